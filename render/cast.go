package render

import (
	"math"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// A line of sight, or the axis of a beam, ends at the first thing in its way: a box of the body or
// the ground.

// encounter is what a ray meets first.
type encounter struct {
	along  float64 // in lengths of the ray's direction; +Inf: nothing
	box    int     // of the body; −1: the ground, or nothing
	normal r3.Vec  // of the face of the box, as parked
}

// cast sends a ray from p in the direction d, both as driven. Boxes that p lies within are not in
// its way.
func cast(site *geometry.Site, p, d r3.Vec) encounter {
	s := encounter{along: math.Inf(1), box: -1}
	if hit, ok := site.Ground.Hit(p, d); ok {
		s.along = r3.Norm(r3.Sub(hit, p)) / r3.Norm(d)
	}
	from, dir := parkedRay(site, p, d)
	for i := range site.Body {
		b := &site.Body[i]
		if t, normal, ok := b.Enter(from, dir); ok && t < s.along && !b.Inside(from) {
			s = encounter{t, i, normal}
		}
	}
	return s
}

// parkedRay is a ray among the body boxes, which are as parked.
func parkedRay(site *geometry.Site, p, d r3.Vec) (from, dir r3.Vec) {
	from = site.Attitude.Parked(p)
	return from, r3.Sub(site.Attitude.Parked(r3.Add(p, d)), from)
}
