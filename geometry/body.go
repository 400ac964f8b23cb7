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

// A shadow is worked out where it is exact: the triangle between a point and a bar cuts a convex
// box in a convex figure, so what the box hides of the bar is one part of it.

// touch is how deep (m) light may run within a face and still pass along it: turned with the nose,
// what touches has rounding.
const touch = 1e-12

// graze is the least share of a ray that must lie within a box for the box to stop it.
const graze = 1e-9

// core is what of the box stops light: all but its skin. least is not below most where there is
// nothing left.
func (b *Box) core() (least, most r3.Vec) {
	skin := r3.Vec{X: touch, Y: touch, Z: touch}
	return r3.Add(b.Min, skin), r3.Sub(b.Max, skin)
}

// hides is the range of e between -1 and 1 for which the ray from the point q to at + e·half passes
// through the box. lo > hi means none.
func (b *Box) hides(q, at, half r3.Vec) (lo, hi float64) {
	d := r3.Sub(at, q)
	least, most := b.core()
	if least.X >= most.X || least.Y >= most.Y || least.Z >= most.Z {
		return 1, -1
	}
	// The ray is within the box after its length has been divided by a, at least 1, if
	//
	//	(least - q)·a ≤ d + e·half ≤ (most - q)·a
	//
	// in every axis. Each is a bound of a that is linear in e; no e but those at which none from
	// above is below one from below has an a.
	s := slabs{lowers: 1}
	s.lower[0] = bound{1, 1}
	s.add(least.X-q.X, most.X-q.X, d.X-half.X, d.X+half.X)
	s.add(least.Y-q.Y, most.Y-q.Y, d.Y-half.Y, d.Y+half.Y)
	s.add(least.Z-q.Z, most.Z-q.Z, d.Z-half.Z, d.Z+half.Z)
	lo, hi = -1, 1
	for _, u := range s.upper[:s.uppers] {
		u.right -= graze * u.right
		u.left -= graze * u.left
		for _, l := range s.lower[:s.lowers] {
			right, left := u.right-l.right, u.left-l.left
			switch {
			case right >= 0 && left >= 0:
				continue
			case right < 0 && left < 0:
				return 1, -1
			case right < 0:
				lo = max(lo, (left+right)/(right-left))
			default:
				hi = min(hi, (left+right)/(right-left))
			}
			if lo > hi {
				return 1, -1
			}
		}
	}
	return lo, hi
}

// bound is linear in e: its values at the right end of a bar, where e is -1, and at the left, where
// e is 1.
type bound struct{ right, left float64 }

// slabs are bounds of the divisor of a ray, from above and from below.
type slabs struct {
	upper          [6]bound
	lower          [7]bound
	uppers, lowers int
}

// add adds the bounds least·a ≤ d ≤ most·a of one axis, d at the right end and at the left.
func (s *slabs) add(least, most, right, left float64) {
	const atFace = 1e-15 // m; a point on a face is on the side of it that is outside
	if least == 0 {
		least = atFace
	}
	if most == 0 {
		most = -atFace
	}
	l, m := 1/least, 1/most
	if least > 0 {
		s.upper[s.uppers] = bound{right * l, left * l}
		s.uppers++
	} else {
		s.lower[s.lowers] = bound{right * l, left * l}
		s.lowers++
	}
	if most > 0 {
		s.lower[s.lowers] = bound{right * m, left * m}
		s.lowers++
	} else {
		s.upper[s.uppers] = bound{right * m, left * m}
		s.uppers++
	}
}

// way is the room between two sets of points, of a bar and of what it lights: the smallest boxes
// around either, by axes, and how far along the way from the one to the other a place is. It tells
// cheaply of most boxes that they are not in it.
type way struct {
	from, to, all [3]interval
	axes          [3]along
}

type interval struct{ least, most float64 }

// along is the least and the greatest share of the way along one axis: (place - origin)·rate.
type along struct {
	apart                bool // the sets are, along this axis
	origin, rate         float64
	lastOrigin, lastRate float64
}

func (w *way) open(from, to []r3.Vec) {
	w.from, w.to = around(from), around(to)
	for k := range w.axes {
		f, t := w.from[k], w.to[k]
		w.all[k] = interval{min(f.least, t.least), max(f.most, t.most)}
		switch {
		case f.most < t.least:
			w.axes[k] = along{true, f.most, 1 / (t.most - f.most), f.least, 1 / (t.least - f.least)}
		case f.least > t.most:
			w.axes[k] = along{true, f.least, 1 / (t.least - f.least), f.most, 1 / (t.most - f.most)}
		default:
			w.axes[k].apart = false
		}
	}
}

// around is the smallest box around points.
func around(points []r3.Vec) (out [3]interval) {
	for i, p := range points {
		for k, v := range [3]float64{p.X, p.Y, p.Z} {
			if i == 0 {
				out[k] = interval{v, v}
			} else {
				out[k].least, out[k].most = min(out[k].least, v), max(out[k].most, v)
			}
		}
	}
	return out
}

// misses tells whether a box is not in the way, by more than its skin, or has nothing within its
// skin: true is sure.
func (w *way) misses(b *Box) bool {
	box := [3]interval{
		{b.Min.X + touch, b.Max.X - touch}, {b.Min.Y + touch, b.Max.Y - touch}, {b.Min.Z + touch, b.Max.Z - touch},
	}
	for k, a := range w.all {
		if a.least >= box[k].most || a.most <= box[k].least || box[k].least >= box[k].most {
			return true
		}
	}
	for k := range w.axes {
		a := &w.axes[k]
		if !a.apart {
			continue
		}
		near, far := box[k].least, box[k].most
		if a.rate < 0 {
			near, far = far, near
		}
		first, last := max(0, (near-a.origin)*a.rate), min(1, (far-a.lastOrigin)*a.lastRate)
		for other := range w.axes {
			if other == k {
				continue
			}
			f, t := w.from[other], w.to[other]
			least := min(f.least+first*(t.least-f.least), f.least+last*(t.least-f.least))
			most := max(f.most+first*(t.most-f.most), f.most+last*(t.most-f.most))
			if least >= box[other].most || most <= box[other].least {
				return true
			}
		}
	}
	return false
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

// hull is the ends of a bar and, from the third on, the corners of a corners.
type hull [6]r3.Vec

// apart tells whether the box lies clear of the hull, so that it cannot touch any light from the
// bar to the corners: some direction separates them (separating axis theorem: face normals of
// either, and cross products of their edges). The faces of the box have been asked before, see way.
// False where that has not been found.
func (b *Box) apart(h *hull) bool {
	const slack = touch // of directions as long or short as edges and their products are
	centre := r3.Scale(0.5, r3.Add(b.Min, b.Max))
	size := r3.Scale(0.5, r3.Sub(b.Max, b.Min))
	var at hull
	for i := range h {
		at[i] = r3.Sub(h[i], centre)
	}
	separates := func(n r3.Vec) bool {
		reach := math.Abs(n.X)*size.X + math.Abs(n.Y)*size.Y + math.Abs(n.Z)*size.Z
		slack := slack * (math.Abs(n.X) + math.Abs(n.Y) + math.Abs(n.Z))
		least, most := math.Inf(1), math.Inf(-1)
		for i := range at {
			p := r3.Dot(n, at[i])
			least, most = min(least, p), max(most, p)
		}
		return slack > 0 && (least >= reach-slack || most <= slack-reach)
	}
	crossed := func(e r3.Vec) bool { // with the box's edges
		return separates(r3.Vec{Y: e.Z, Z: -e.Y}) || separates(r3.Vec{X: -e.Z, Z: e.X}) ||
			separates(r3.Vec{X: e.Y, Y: -e.X})
	}
	for i := 2; i < 6; i++ {
		side := r3.Sub(h[2+(i-1)%4], h[i])
		for _, end := range h[:2] {
			if ray := r3.Sub(end, h[i]); crossed(ray) || separates(r3.Cross(ray, side)) {
				return true
			}
			if h[0] == h[1] {
				break
			}
		}
		if crossed(side) {
			return true
		}
	}
	if h[0] == h[1] {
		return false
	}
	bar := r3.Sub(h[1], h[0])
	for i := 2; i < 6; i++ {
		if separates(r3.Cross(bar, r3.Sub(h[i], h[0]))) {
			return true
		}
	}
	return crossed(bar)
}

// Stops tells whether the box stops light from one point to another, both as parked.
func (b *Box) Stops(from, to r3.Vec) bool { return b.crosses(from, r3.Sub(to, from)) }

// Enter is where a ray from p along d, both as parked, comes into the box, in lengths of d, and the
// normal of the face that it comes in through. A ray along a face passes. From within, it is 0 with
// no face.
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
			for _, c := range [...]r3.Vec{
				{X: t, Y: u[0], Z: u[1]}, {X: u[0], Y: t, Z: u[1]}, {X: u[0], Y: u[1], Z: t},
			} {
				out = append(out, r3.Vec{X: b.Min.X + c.X*size.X, Y: b.Min.Y + c.Y*size.Y, Z: b.Min.Z + c.Z*size.Z})
			}
		}
	}
	return out
}
