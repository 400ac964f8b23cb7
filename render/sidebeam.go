package render

import (
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The axis of a beam on the upright section: up to the body, the ground, or where a bend of the
// track leaves it.

// axisAside is the axis of a lamp as seen from the side, m ahead and m up.
type axisAside struct {
	from, end draw.Point // the lamp; where the axis ends, at the body, the ground, or far away
	hit       draw.Point // of the axis on the ground
	inPlane   bool       // it is drawn: the lamp is not turned away from the section
	onBody    bool       // it ends at the body
	onLand    bool       // there is a hit on the section
	bentOff   bool       // the track bends away from it before it ends
	line      int        // the first lamp with the same line: two dashes on one line say nothing
}

// away is how far (m) a ray that meets nothing is followed.
const away = 1e4

// inPlane tells whether a lamp's axis runs along the section, ahead or back: within 2°, or 1 m in
// 30 m.
func inPlane(m *geometry.Mounted) bool {
	return math.Abs(m.Axes.Ahead.Y) <= math.Sin(2*math.Pi/180)
}

// samePlace tells whether two places in metres are one to the eye.
func samePlace(a, b draw.Point) bool { return math.Abs(a.X-b.X) < 0.02 && math.Abs(a.Y-b.Y) < 0.02 }

// axes are those of all lamps.
func (s Subject) axes() []axisAside {
	axes := make([]axisAside, len(s.Scene.Lamps))
	for i := range axes {
		a := s.aside(i)
		a.line = slices.IndexFunc(axes[:i], func(b axisAside) bool {
			return a.inPlane && b.inPlane && samePlace(a.from, b.from) && samePlace(a.end, b.end)
		})
		if a.line < 0 {
			a.line = i
		}
		axes[i] = a
	}
	return axes
}

func (s Subject) aside(i int) axisAside {
	site, m := s.Scene.Site, &s.Scene.Lamps[i]
	met := cast(site, m.Place, m.Axes.Ahead)
	for j := range site.Body {
		if site.Body[j].Inside(m.Lamp.At) {
			met = encounter{box: j}
		}
	}
	seen := func(p r3.Vec) draw.Point { return draw.Pt(p.X, p.Z) }
	end := r3.Add(m.Place, r3.Scale(min(met.along, away), m.Axes.Ahead))
	a := axisAside{from: seen(m.Place), inPlane: inPlane(m), onBody: met.box >= 0}
	if hit, ok := site.AxisHit(m); ok {
		a.hit, a.onLand = seen(hit), true
	}
	if last := s.leavesPlane(); end.X > last {
		end = r3.Add(m.Place, r3.Scale(max(0, last-m.Place.X)/m.Axes.Ahead.X, m.Axes.Ahead))
		a.onLand, a.bentOff = false, true
	}
	a.end = seen(end)
	return a
}
