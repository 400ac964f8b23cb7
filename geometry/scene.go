// Package geometry is about where the light goes: lamps on a vehicle, the vehicle on the ground,
// what stops the light on its way, and the illuminance that is left.
//
// A [Site] is what lamps shine on, a [Scene] the lamps that are lit there:
//
//	spot := geometry.Lamp{
//		At:     r3.Vec{X: -1.9, Z: 2.05},              // 1.9 m behind the bumper, 2.05 m up
//		Aim:    geometry.Aim{Tilt: 5 * math.Pi / 180}, // 5° down
//		Optics: []geometry.Optic{{Beam: tenDegrees}},  // a beam.Distribution
//	}
//	scene := new(geometry.Site).Scene(spot)
//	lux := scene.GroundLux(40, 0)         // on the ground 40 m ahead
//	reach := scene.Centreline(1).Reach(1) // how far ahead what stands there has 1 lx
//
// [Scene.Lux] is the light on any plane at any point, exactly; [Scene.GroundField] and
// [Scene.AddRow] the light at many points at speed, and [Scene.SumOf] what arrives at a point
// weighed in any other way. Where a beam meets the ground is asked of the site: [Site.AxisHit],
// [Site.NearFar], [Site.Footprint].
//
// Axes follow ISO 8855: x ahead, y to the left, z up; the origin is on the ground on the vehicle's
// centreline, below the foremost point of the front bumper. Lengths are in metres, angles in
// radians, illuminances in lux.
package geometry

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Site is what lamps shine on and through: the ground and the track on it, the body that they are
// mounted on, and the air. The zero value is level ground, a straight track, nothing in the way,
// clear air, driven as parked.
type Site struct {
	Ground     Ground
	Track      Track
	Body       []Box
	Length     float64 // of the vehicle, m; 0 where it is not known, and none of it is beside anything
	Attitude   Attitude
	Visibility float64 // meteorological optical range, m; 0 is clear air
}

// Scene is lamps on a site, all of them lit: the one place where light is added up. Tables,
// pictures and aim ask it, so they cannot disagree. [Site.Scene] makes one; the zero Scene is dark.
// It is not changed by what it is asked, and may be asked from several goroutines at once.
type Scene struct {
	Site  *Site     // nil counts as the zero Site
	Lamps []Mounted // mounted on that site
}

func (s *Scene) site() *Site {
	if s.Site == nil {
		return new(Site)
	}
	return s.Site
}

// bars are those of lamp i.
func (s *Scene) bars(i int) []bar {
	m := &s.Lamps[i]
	if m.varies == nil && len(m.Lamp.Optics) > 0 {
		panic(fmt.Sprintf("geometry: lamp %q is not mounted: Site.Scene and Site.Reaim mount lamps", m.Lamp.Name))
	}
	return m.bars
}

// Scene mounts lamps.
func (s *Site) Scene(lamps ...Lamp) *Scene {
	sc := &Scene{Site: s, Lamps: make([]Mounted, len(lamps))}
	for i, l := range lamps {
		same := slices.IndexFunc(lamps[:i], func(m Lamp) bool { return sameOptics(&l, &m) })
		if same >= 0 {
			sc.Lamps[i] = s.mount(l, sc.Lamps[same].varies)
		} else {
			sc.Lamps[i] = s.mountNew(l)
		}
	}
	return sc
}

// With is other lamps on the same site, already mounted.
func (s *Site) With(lamps ...Mounted) *Scene { return &Scene{Site: s, Lamps: lamps} }

// Only is the scene with just the lamps that have these indexes lit. Like the other methods that
// take an index, it panics if there is no such lamp.
func (s *Scene) Only(lamps ...int) *Scene {
	sc := &Scene{Site: s.site()}
	for _, i := range lamps {
		sc.Lamps = append(sc.Lamps, s.Lamps[i])
	}
	return sc
}

// Lux is the illuminance (lx) at p on the side of a plane toward the unit vector normal. A point is
// dark where a box or a crest lies between it and a lamp, or the lamp is under the ground; p itself
// is taken to be on the ground or over it. A bar is within 1 % of the sum over its emitters from 1
// m out, of a measured beam where that is above a thousandth of the peak.
func (s *Scene) Lux(p, normal r3.Vec) float64 {
	sum := 0.0
	for i := range s.Lamps {
		sum += s.LuxOf(i, p, normal)
	}
	return sum
}

// LuxOf is what lamp i, an index of Lamps, contributes to Lux.
func (s *Scene) LuxOf(i int, p, normal r3.Vec) float64 {
	return s.sumOf(i, p, measure{normal: normal})
}

// SumOf is Σ I/d² · T(d) · weight(u) over the emitters of lamp i that are visible from p, u the
// unit vector from p toward the emitter: what arrives at p, each direction weighed. With the cosine
// of incidence, max(0, normal·u), it is LuxOf; with a phase function it is what air scatters, with
// a glare function what dazzles. Boxes, crests and air count as in Lux. It is as accurate as Lux,
// and asks for weight a few times for each bar, more often where it changes over the length of one.
func (s *Scene) SumOf(i int, p r3.Vec, weight func(toward r3.Vec) float64) float64 {
	return s.sumOf(i, p, measure{weight: weight})
}

func (s *Scene) sumOf(i int, p r3.Vec, m measure) float64 {
	sum, site, bars := 0.0, s.site(), s.bars(i)
	for j := range bars {
		sum += site.sum(&bars[j], p, m)
	}
	return sum
}

// Facing is the normal of the vertical plane at (x, y) that faces the vehicle. Ahead of the bumper
// it points back along the track, as that heads where it is nearest; behind the tail straight
// ahead; beside the vehicle across to the centreline, on which it points back.
func (s *Site) Facing(x, y float64) r3.Vec {
	switch {
	case x >= 0 && !s.Track.Straight():
		return r3.Scale(-1, s.Track.Heading(s.Track.Nearest(x, y)))
	case x >= 0:
		return r3.Vec{X: -1}
	case x < -s.Length:
		return r3.Vec{X: 1}
	case y > 0:
		return r3.Vec{Y: -1}
	case y < 0:
		return r3.Vec{Y: 1}
	}
	return r3.Vec{X: -1}
}

// ObjectHeight is the height (m) over the ground at which facing light counts: AASHTO Green Book,
// object height for stopping sight distance, 2.0 ft.
const ObjectHeight = 0.6

// At is the point over (x, y) at a height over the ground, m.
func (s *Site) At(x, y, height float64) r3.Vec {
	return r3.Vec{X: x, Y: y, Z: s.Ground.Height(x, y) + height}
}

// GroundLux is the illuminance (lx) on the ground's own surface at (x, y).
func (s *Scene) GroundLux(x, y float64) float64 {
	return s.Lux(s.site().At(x, y, 0), s.site().Ground.Normal(x))
}

// FacingLux is the illuminance (lx) on the vertical plane that faces the vehicle, at a height (m)
// over the ground.
func (s *Scene) FacingLux(x, y, height float64) float64 {
	return s.Lux(s.site().At(x, y, height), s.site().Facing(x, y))
}

// mostCandela is an upper bound of the intensity of all lamps together in any direction.
func (s *Scene) mostCandela() float64 {
	sum := 0.0
	for i := range s.Lamps {
		for _, o := range s.Lamps[i].Lamp.Optics {
			sum += o.Beam.Peak()
		}
	}
	return sum
}

// farthest is the distance (m) from the lamps beyond which no plane has lux, above 0, of
// illuminance: E ≤ I/d².
func (s *Scene) farthest(lux float64) float64 { return math.Sqrt(s.mostCandela() / lux) }
