package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Box is a part of the body that stops light, its faces square to the axes of the parked vehicle.
type Box struct {
	Name     string
	Min, Max r3.Vec // right rear bottom and left front top corner
}

// Inside tells whether p (parked) lies within the box, not merely on a face.
func (b *Box) Inside(p r3.Vec) bool {
	return p.X > b.Min.X && p.X < b.Max.X && p.Y > b.Min.Y && p.Y < b.Max.Y && p.Z > b.Min.Z && p.Z < b.Max.Z
}

// A shadow is worked out where it is exact: the triangle between a point and a bar (or between a lamp and a row of
// points) cuts a convex box in a convex figure, so what the box hides of the bar is one stretch of it.

// touch is how deep (m) light may run within a face and still pass along it: turned with the nose, what touches has
// rounding.
const touch = 1e-12

// graze is the least share of a ray that must lie within a box for the box to stop it.
const graze = 1e-9

// core is what of the box stops light: all but its skin. least is not below most where there is nothing left.
func (b *Box) core() (least, most r3.Vec) {
	skin := r3.Vec{X: touch, Y: touch, Z: touch}
	return r3.Add(b.Min, skin), r3.Sub(b.Max, skin)
}

// hides is the stretch of e between -1 and 1 for which the ray from the point q to at + e·half passes through the box.
// lo > hi means none. half is not zero.
func (b *Box) hides(q, at, half r3.Vec) (lo, hi float64) {
	d := r3.Sub(at, q)
	least, most := b.core()
	if beside(q.X, d.X, half.X, least.X, most.X) || beside(q.Y, d.Y, half.Y, least.Y, most.Y) || beside(q.Z, d.Z, half.Z, least.Z, most.Z) {
		return 1, -1
	}
	// Points of the triangle are q + α·d + β·half with 0 ≤ α ≤ 1 and |β| ≤ α; e = β/α. The corners of what six
	// half-planes leave of it bound e.
	poly := polygon{n: 3}
	poly.v[0], poly.v[1], poly.v[2] = [2]float64{0, 0}, [2]float64{1, -1}, [2]float64{1, 1}
	poly.clip(q.X-least.X, d.X, half.X)
	poly.clip(most.X-q.X, -d.X, -half.X)
	poly.clip(q.Y-least.Y, d.Y, half.Y)
	poly.clip(most.Y-q.Y, -d.Y, -half.Y)
	poly.clip(q.Z-least.Z, d.Z, half.Z)
	poly.clip(most.Z-q.Z, -d.Z, -half.Z)
	lo, hi = 1, -1
	near, far := math.Inf(1), math.Inf(-1)
	for _, v := range poly.v[:poly.n] {
		near, far = min(near, v[0]), max(far, v[0])
		if v[0] > graze {
			lo, hi = min(lo, v[1]/v[0]), max(hi, v[1]/v[0])
		}
	}
	if far-near < graze {
		return 1, -1
	}
	return max(lo, -1), min(hi, 1)
}

// beside tells whether along one axis all of the triangle lies to one side of the box, or the box is none.
func beside(q, d, half, least, most float64) bool {
	half = math.Abs(half)
	return max(q, q+d+half) <= least || min(q, q+d-half) >= most || least >= most
}

// polygon is a convex polygon in the plane of (α, β). Each of six cuts adds at most one corner to a triangle.
type polygon struct {
	n int
	v [12][2]float64
}

// clip keeps the part where c + a·α + b·β ≥ 0; nothing if all of that is on the line, since what only lies in a face is
// not within.
func (p *polygon) clip(c, a, b float64) {
	in := 0
	for _, v := range p.v[:p.n] {
		if c+a*v[0]+b*v[1] >= 0 {
			in++
		}
	}
	if in == p.n {
		return
	}
	if in == 0 {
		p.n = 0
		return
	}
	var out polygon
	within := false
	for i := range p.n {
		u, v := p.v[i], p.v[(i+1)%p.n]
		fu, fv := c+a*u[0]+b*u[1], c+a*v[0]+b*v[1]
		if fu >= 0 {
			out.v[out.n] = u
			out.n++
			within = within || fu > 0
		}
		if (fu >= 0) != (fv >= 0) {
			t := fu / (fu - fv)
			out.v[out.n] = [2]float64{u[0] + t*(v[0]-u[0]), u[1] + t*(v[1]-u[1])}
			out.n++
		}
	}
	if !within {
		out.n = 0
	}
	*p = out
}

// crosses tells whether the segment q + t·d, 0 ≤ t ≤ 1, passes through the inside of the box.
func (b *Box) crosses(q, d r3.Vec) bool {
	t0, t1 := 0.0, 1.0
	least, most := b.core()
	for _, s := range [3][4]float64{
		{q.X, d.X, least.X, most.X}, {q.Y, d.Y, least.Y, most.Y}, {q.Z, d.Z, least.Z, most.Z},
	} {
		p, dir, lo, hi := s[0], s[1], s[2], s[3]
		if lo >= hi || dir == 0 && (p <= lo || p >= hi) {
			return false
		}
		if dir == 0 {
			continue
		}
		a, c := (lo-p)/dir, (hi-p)/dir
		t0, t1 = max(t0, min(a, c)), min(t1, max(a, c))
	}
	return t1-t0 > graze
}

// apart tells whether the box lies clear of the hull of a bar and a row, so that it cannot touch any light from the
// one to the other: some direction separates them (separating axis theorem: face normals of either, and cross products
// of their edges).
func (b *Box) apart(bar0, bar1, row0, row1 r3.Vec) bool {
	hull := [4]r3.Vec{bar0, bar1, row0, row1}
	centre := r3.Scale(0.5, r3.Add(b.Min, b.Max))
	size := r3.Scale(0.5, r3.Sub(b.Max, b.Min))
	for i := range hull {
		hull[i] = r3.Sub(hull[i], centre)
	}
	separates := func(n r3.Vec) bool {
		reach := math.Abs(n.X)*size.X + math.Abs(n.Y)*size.Y + math.Abs(n.Z)*size.Z
		slack := touch * r3.Norm(n) // of directions as long or short as edges and their products are
		least, most := math.Inf(1), math.Inf(-1)
		for _, v := range hull {
			p := r3.Dot(n, v)
			least, most = min(least, p), max(most, p)
		}
		return slack > 0 && (least >= reach-slack || most <= slack-reach)
	}
	for _, n := range [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		if separates(n) {
			return true
		}
	}
	edges := [6]r3.Vec{
		r3.Sub(bar1, bar0), r3.Sub(row1, row0), r3.Sub(row0, bar0), r3.Sub(row1, bar0), r3.Sub(row0, bar1), r3.Sub(row1, bar1),
	}
	for _, e := range edges { // crossed with the box's edges
		if separates(r3.Vec{Y: e.Z, Z: -e.Y}) || separates(r3.Vec{X: -e.Z, Z: e.X}) || separates(r3.Vec{X: e.Y, Y: -e.X}) {
			return true
		}
	}
	for _, f := range [4][2]int{{0, 2}, {0, 3}, {1, 2}, {1, 4}} { // faces of the hull
		if separates(r3.Cross(edges[f[0]], edges[f[1]])) {
			return true
		}
	}
	return false
}

// Stops tells whether the box stops light from one point to another, both as parked.
func (b *Box) Stops(from, to r3.Vec) bool { return b.crosses(from, r3.Sub(to, from)) }

// Enter is where a ray from p along d, both as parked, comes into the box, in lengths of d, and the normal of the face that it
// comes in through. A ray along a face passes. From within, it is 0 with no face.
func (b *Box) Enter(p, d r3.Vec) (t float64, face r3.Vec, ok bool) {
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
			t0, face = in, r3.Scale(-math.Copysign(1, d), axis)
		}
		t1 = min(t1, out)
		return t0 < t1
	}
	ok = slab(p.X, d.X, b.Min.X, b.Max.X, r3.Vec{X: 1}) &&
		slab(p.Y, d.Y, b.Min.Y, b.Max.Y, r3.Vec{Y: 1}) &&
		slab(p.Z, d.Z, b.Min.Z, b.Max.Z, r3.Vec{Z: 1}) && t1-t0 > graze
	return t0, face, ok
}

// edges are n points along each edge of the box, both ends among them.
func (b *Box) edges(n int) []r3.Vec {
	var out []r3.Vec
	size := r3.Sub(b.Max, b.Min)
	for i := range n {
		t := float64(i) / float64(n-1)
		for _, u := range [...][2]float64{{0, 0}, {0, 1}, {1, 0}, {1, 1}} {
			for _, c := range [...]r3.Vec{{X: t, Y: u[0], Z: u[1]}, {X: u[0], Y: t, Z: u[1]}, {X: u[0], Y: u[1], Z: t}} {
				out = append(out, r3.Vec{X: b.Min.X + c.X*size.X, Y: b.Min.Y + c.Y*size.Y, Z: b.Min.Z + c.Z*size.Z})
			}
		}
	}
	return out
}
