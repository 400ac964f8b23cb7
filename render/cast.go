package render

import (
	"math"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// A line of sight, or the axis of a beam, ends at the first thing in its way: a box of the body or the ground.

// struck is what a ray meets.
type struck struct {
	along  float64 // in lengths of the ray's direction; +Inf: nothing
	box    int     // of the body; −1: the ground, or nothing
	normal r3.Vec  // of the face of the box, as parked
}

// cast sends a ray from p in the direction d, both as driven. Boxes that p lies within are not in its way.
func cast(site *geometry.Site, p, d r3.Vec) struck {
	s := struck{along: math.Inf(1), box: -1}
	if hit, ok := site.Ground.Hit(p, d); ok {
		s.along = r3.Norm(r3.Sub(hit, p)) / r3.Norm(d)
	}
	from, dir := parkedRay(site, p, d)
	for i := range site.Body {
		b := &site.Body[i]
		if t, normal, ok := enter(b, from, dir); ok && t < s.along && !b.Inside(from) {
			s = struck{t, i, normal}
		}
	}
	return s
}

// parkedRay is a ray among the body boxes, which are as parked.
func parkedRay(site *geometry.Site, p, d r3.Vec) (from, dir r3.Vec) {
	from = site.Attitude.Parked(p)
	return from, r3.Sub(site.Attitude.Parked(r3.Add(p, d)), from)
}

// enter is where a ray comes into a box, in lengths of d, and through which face. A ray along a face passes.
func enter(b *geometry.Box, p, d r3.Vec) (t float64, normal r3.Vec, ok bool) {
	const graze = 1e-9
	t0, t1 := 0.0, math.Inf(1)
	slab := func(p, d, lo, hi float64, axis r3.Vec) bool {
		if d == 0 {
			return p > lo && p < hi
		}
		in, out := (lo-p)/d, (hi-p)/d
		if in > out {
			in, out = out, in
		}
		if in > t0 {
			t0, normal = in, r3.Scale(-math.Copysign(1, d), axis)
		}
		t1 = min(t1, out)
		return t0 < t1
	}
	ok = slab(p.X, d.X, b.Min.X, b.Max.X, r3.Vec{X: 1}) &&
		slab(p.Y, d.Y, b.Min.Y, b.Max.Y, r3.Vec{Y: 1}) &&
		slab(p.Z, d.Z, b.Min.Z, b.Max.Z, r3.Vec{Z: 1}) && t1-t0 > graze
	return t0, normal, ok
}
