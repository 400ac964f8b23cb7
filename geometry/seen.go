package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// What the points of a row see of a bar: which of them are within its beam, how far off it is, what stands between, and
// whether they see it alike.

// evenly tells whether points p0 to p1 are lit by all of a bar that ends in a step.
func (s *Site) evenly(b *bar, p0, p1 r3.Vec) bool {
	if !b.hard || b.length == 0 {
		return true
	}
	right, left := r3.Sub(b.at, b.half), r3.Add(b.at, b.half)
	return b.on(right, p0) && b.on(right, p1) && b.on(left, p0) && b.on(left, p1)
}

// near appends to dst those of the boxes that may be in the way of light from a bar to points p0 to p1.
func (s *Site) near(dst, boxes []Box, b *bar, p0, p1 r3.Vec) []Box {
	if len(boxes) == 0 {
		return dst
	}
	right, left := r3.Sub(b.parkedAt, b.parkedHalf), r3.Add(b.parkedAt, b.parkedHalf)
	p0, p1 = s.Attitude.Parked(p0), s.Attitude.Parked(p1)
	for i := range boxes {
		if !boxes[i].apart(right, left, p0, p1) {
			dst = append(dst, boxes[i])
		}
	}
	return dst
}

// hidden tells whether a box is known to stop all light from a bar to points p0 to p1: a convex box that stops it at
// all four corners does.
func (s *Site) hidden(boxes []Box, b *bar, p0, p1 r3.Vec) bool {
	right, left := r3.Sub(b.parkedAt, b.parkedHalf), r3.Add(b.parkedAt, b.parkedHalf)
	p0, p1 = s.Attitude.Parked(p0), s.Attitude.Parked(p1)
	for i := range boxes {
		box := &boxes[i]
		if box.crosses(p0, r3.Sub(right, p0)) && box.crosses(p1, r3.Sub(right, p1)) &&
			box.crosses(p0, r3.Sub(left, p0)) && box.crosses(p1, r3.Sub(left, p1)) {
			return true
		}
	}
	return false
}

// widened is the cosine of the angle about the centre of the bar within which every point of a row lies that any of
// its emitters has within its cutoff.
func (b *bar) widened(p0, p1 r3.Vec) float64 {
	if b.length == 0 || b.cutoff <= 0 {
		return b.cutoff
	}
	d := segmentDistance(b.at, p0, p1)
	if d <= b.length/2 {
		return -1
	}
	return math.Cos(min(math.Pi, math.Acos(b.cutoff)+math.Asin(b.length/2/d)))
}

// seesPoint narrows the points from..to of a row to those before a bar, or nearly so, if its beam is a pointed one: no
// rule that they share would do, since where along the bar they see the point of the peak is for each another place.
func (b *bar) seesPoint(row *Row, from, to int) (int, int) {
	if !b.pointed {
		return to, to
	}
	room := 0.6 * b.length // half of it and a margin
	l0, l1 := r3.Dot(b.axes.Left, r3.Sub(row.Start, b.at)), r3.Dot(b.axes.Left, row.Step)
	lo, hi := keepAbove(room+l0, l1, float64(from), float64(to))
	lo, hi = keepAbove(room-l0, -l1, lo, hi)
	if lo > hi {
		return to, to
	}
	return int(lo), min(to, int(hi)+2)
}

// between is the distance from a bar to the segment p0 p1.
func (b *bar) between(p0, p1 r3.Vec) float64 {
	least := segmentDistance(b.at, p0, p1)
	if b.length < 0.02*least { // as good as a point
		return max(least-b.length/2, nearest)
	}
	right, left := r3.Sub(b.at, b.half), r3.Add(b.at, b.half)
	least = min(
		segmentDistance(right, p0, p1), segmentDistance(left, p0, p1), segmentDistance(p0, right, left), segmentDistance(p1, right, left),
	)
	// Where neither is nearest with an end, the way between the two is square to both.
	u, v := r3.Sub(left, right), r3.Sub(p1, p0)
	if n := r3.Cross(u, v); n != (r3.Vec{}) {
		w, n2 := r3.Sub(p0, right), r3.Norm2(n)
		s, t := r3.Dot(r3.Cross(w, v), n)/n2, r3.Dot(r3.Cross(w, u), n)/n2
		if s > 0 && s < 1 && t > 0 && t < 1 {
			least = min(least, math.Abs(r3.Dot(w, n))/math.Sqrt(n2))
		}
	}
	return max(least, nearest)
}

// segmentDistance is from p to the nearest point between a and b.
func segmentDistance(p, a, b r3.Vec) float64 {
	ab, ap := r3.Sub(b, a), r3.Sub(p, a)
	t := 0.0
	if n := r3.Norm2(ab); n > 0 {
		t = max(0, min(1, r3.Dot(ap, ab)/n))
	}
	return math.Sqrt(r3.Norm2(r3.Sub(ap, r3.Scale(t, ab))))
}

// within narrows the points from..to of a row to those within an angle, given by its cosine, of the beam axis as seen
// from an emitter. A cone is convex, so they are one stretch, up to one point too long at either end.
func (b *bar) within(row *Row, at r3.Vec, cos float64, from, to int) (int, int) {
	if cos < 0 {
		return from, to
	}
	v := r3.Sub(row.Start, at)
	a0, a1 := r3.Dot(b.axes.Ahead, v), r3.Dot(b.axes.Ahead, row.Step)
	lo, hi := math.Inf(-1), math.Inf(1)
	// (a0 + t·a1)² ≥ cos² |v + t·Step|² with a0 + t·a1 > 0, as A·t² + 2·B·t + C ≥ 0
	c2 := cos * cos
	A := a1*a1 - c2*r3.Norm2(row.Step)
	B := a0*a1 - c2*r3.Dot(v, row.Step)
	C := a0*a0 - c2*r3.Norm2(v)
	root := B*B - A*C
	// The roots in the way in which nothing cancels, however near to the cone's edge the row lies.
	q := -(B + math.Copysign(math.Sqrt(max(0, root)), B))
	least, most := min(q/A, C/q), max(q/A, C/q)
	switch {
	case cos == 0: // a half-space
		lo, hi = keepAbove(a0, a1, lo, hi)
	case A < 0 && root <= 0:
		return from, from
	case A < 0: // between the roots, if there the axis points their way
		if lo, hi = least, most; a0+a1*(lo+hi)/2 <= 0 {
			return from, from
		}
	case A > 0 && root > 0 && a1 > 0: // beyond one of the roots
		lo = most
	case A > 0 && root > 0:
		hi = least
	case A > 0: // a half-space but for rounding
		lo, hi = keepAbove(a0, a1, lo, hi)
	default: // A == 0
		lo, hi = keepAbove(C, 2*B, lo, hi)
	}
	if !(lo <= hi) || lo > float64(to) || hi < float64(from) {
		return from, from
	}
	return int(max(float64(from), math.Floor(lo))), int(min(float64(to), math.Ceil(hi)+1))
}
