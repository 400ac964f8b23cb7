package sight

import (
	"math"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// A line of sight goes from the eye to the first thing that is not air: the ground, a face of the
// body, or nothing, which is the sky.

type surface int

const (
	sky surface = iota
	ground
	top  // of a body box
	face // any other one of a body box: taken to be black
)

// sighting is what a line of sight ends on.
type sighting struct {
	surface
	distance float64 // from the eye, m; of the sky +Inf
	at       r3.Vec
	box      int // of top and face, an index of the eye's boxes
}

// eye is the driver's eye among the body boxes, as driven.
type eye struct {
	site  *geometry.Site
	at    r3.Vec
	boxes []geometry.Box // those that do not contain it
	out   *geometry.Lookout

	parked r3.Vec    // where it is among the boxes, which are as parked
	turned [3]r3.Vec // the axes among the boxes
}

func newEye(site *geometry.Site, at r3.Vec) eye {
	e := eye{site: site, at: at, parked: site.Attitude.Parked(at), out: site.Ground.From(at)}
	for i := range site.Body {
		if !site.Body[i].Inside(e.parked) {
			e.boxes = append(e.boxes, site.Body[i])
		}
	}
	zero := site.Attitude.Parked(r3.Vec{})
	for i, axis := range [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		e.turned[i] = r3.Sub(site.Attitude.Parked(axis), zero)
	}
	return e
}

// amongBoxes is a direction as it is in the parked vehicle.
func (e *eye) amongBoxes(d r3.Vec) r3.Vec {
	t := &e.turned
	return r3.Vec{
		X: d.X*t[0].X + d.Y*t[1].X + d.Z*t[2].X,
		Y: d.X*t[0].Y + d.Y*t[1].Y + d.Z*t[2].Y,
		Z: d.X*t[0].Z + d.Y*t[1].Z + d.Z*t[2].Z,
	}
}

// looks is what the eye sees in the unit direction d.
func (e *eye) looks(d r3.Vec) sighting {
	s := sighting{distance: math.Inf(1)}
	if p, ok := e.out.Hit(d); ok {
		s = sighting{surface: ground, distance: norm(r3.Sub(p, e.at)), at: p}
	}
	if box, t, onTop := e.meets(d); t < s.distance {
		s = sighting{surface: face, distance: t, at: r3.Add(e.at, r3.Scale(t, d)), box: box}
		if onTop {
			s.surface = top
		}
	}
	return s
}

// reach is how far (m) a line of sight goes in the unit direction d if no body is in its way.
func (e *eye) reach(d r3.Vec) float64 {
	if p, ok := e.out.Hit(d); ok {
		return norm(r3.Sub(p, e.at))
	}
	return math.Inf(1)
}

// meets is the first body box in the unit direction d, how far it is (m, +Inf if there is none),
// and whether it is met on its top.
func (e *eye) meets(d r3.Vec) (box int, distance float64, onTop bool) {
	distance = math.Inf(1)
	if len(e.boxes) == 0 {
		return 0, distance, false
	}
	d = e.amongBoxes(d)
	inverse := r3.Vec{X: 1 / d.X, Y: 1 / d.Y, Z: 1 / d.Z}
	for i := range e.boxes {
		if t, above := enters(&e.boxes[i], e.parked, d, inverse); t < distance {
			box, distance, onTop = i, t, above
		}
	}
	return box, distance, onTop
}

// enters is how far along a ray from p a box begins, +Inf if the ray passes it, and whether the ray
// comes in from above. inverse has 1 over each of the ray's components d.
func enters(b *geometry.Box, p, d, inverse r3.Vec) (t float64, above bool) {
	in, out := 0.0, math.Inf(1)
	slab := func(at, dir, inverse, lo, hi float64) (enters bool) {
		if dir == 0 {
			if at <= lo || at >= hi {
				in = math.Inf(1)
			}
			return false
		}
		t0, t1 := (lo-at)*inverse, (hi-at)*inverse
		if dir < 0 {
			t0, t1 = t1, t0
		}
		if t1 < out {
			out = t1
		}
		if t0 > in {
			in = t0
			return true
		}
		return false
	}
	if slab(p.Y, d.Y, inverse.Y, b.Min.Y, b.Max.Y); in >= out {
		return math.Inf(1), false
	}
	if slab(p.X, d.X, inverse.X, b.Min.X, b.Max.X); in >= out {
		return math.Inf(1), false
	}
	if above = slab(p.Z, d.Z, inverse.Z, b.Min.Z, b.Max.Z) && d.Z < 0; in >= out {
		return math.Inf(1), false
	}
	return in, above
}

// obstructed tells whether ground or body stand between the eye and a point, which may lie on the
// ground.
func (e *eye) obstructed(p r3.Vec) bool {
	d := r3.Sub(p, e.at)
	distance := norm(d)
	d = r3.Scale(1/distance, d)
	const grazing = 1e-6 // of the distance: the ground is not in its own way
	if _, box, _ := e.meets(d); box < distance*(1-grazing) {
		return true
	}
	return e.reach(d) < distance*(1-grazing)
}

// BodyHides is how far ahead (m) the body hides the ground on the vehicle's centreline from the
// driver: 0 if it hides none of it, +Inf if it does so as far as things are sought.
func (v *View) BodyHides() float64 {
	hides := func(x float64) bool {
		d := r3.Sub(v.Scene.Site.At(x, 0, 0), v.eye.at)
		distance := norm(d)
		_, box, _ := v.eye.meets(r3.Scale(1/distance, d))
		return box < distance
	}
	if hides(Farthest) {
		return math.Inf(1)
	}
	out := float64(Farthest)
	for out > 0 {
		in := max(0, out-max(0.05, 0.01*out))
		if !hides(in) {
			out = in
			continue
		}
		for out-in > 1e-4 {
			if mid := (in + out) / 2; hides(mid) {
				in = mid
			} else {
				out = mid
			}
		}
		return in
	}
	return 0
}

// norm is the length of a vector, which is far from where its square would overflow or vanish.
func norm(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }

// unit is the vector of length 1 in the direction of v.
func unit(v r3.Vec) r3.Vec { return r3.Scale(1/norm(v), v) }
