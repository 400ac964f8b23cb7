package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// What the points of a part of a tile see of a bar: whether they are within its beam, how far off
// it is, and whether they see all of it.

// corners is the corners of a flat parallelogram in order around it; of a row, two and two are one.
type corners [4]r3.Vec

// mayLight tells whether any emitter of the bar may have any point of a corners within its beam:
// false is sure. How far points are within a cone, ahead·v - cos·|v|, is concave, so that it is
// nowhere above its tangent at the middle.
func (b *bar) mayLight(c *corners) bool {
	if b.faint < 0 {
		return true
	}
	v := r3.Sub(r3.Scale(0.5, r3.Add(c[0], c[2])), b.at)
	d := norm(v)
	if d == 0 {
		return true
	}
	slope := r3.Sub(b.axes.Ahead, r3.Scale(b.faint/d, v))
	within := r3.Dot(slope, v) + math.Abs(r3.Dot(slope, b.half)) +
		(math.Abs(r3.Dot(slope, r3.Sub(c[1], c[0])))+math.Abs(r3.Dot(slope, r3.Sub(c[3], c[0]))))/2
	const rounding = 1e-12
	return within >= -rounding*d
}

// mayLightWithin tells whether any emitter of the bar may have any point of a ball within an angle,
// given by its cosine and sine, of the beam axis: false is sure.
func (b *bar) mayLightWithin(middle r3.Vec, radius, angleCos, angleSin float64) bool {
	if angleCos <= -1 {
		return true
	}
	radius += b.length / 2
	v := r3.Sub(middle, b.at)
	d := norm(v)
	if d <= radius {
		return true
	}
	// within the beam's angle widened by asin(radius/d)?
	sin := radius / d
	cos := math.Sqrt(1 - sin*sin)
	if cos <= -angleCos { // beyond 180°
		return true
	}
	return r3.Dot(b.axes.Ahead, v) >= d*(angleCos*cos-angleSin*sin)
}

// lights tells whether all of a bar that ends in a step lights all points of a corners.
func (b *bar) lights(c *corners) bool {
	if !b.hard {
		return true
	}
	for _, p := range c {
		if b.length == 0 {
			if !b.on(b.at, p) {
				return false
			}
		} else if !b.on(r3.Sub(b.at, b.half), p) || !b.on(r3.Add(b.at, b.half), p) {
			return false
		}
	}
	return true
}

// seesPoint tells whether a corners is before a bar, or nearly so, that has a pointed beam: no rule
// that its points share would do, since where along the bar they see the point of the peak is for
// each another place.
func (b *bar) seesPoint(c *corners) bool {
	if !b.pointed {
		return false
	}
	room := 0.6 * b.length // half of it and a margin
	least, most := math.Inf(1), math.Inf(-1)
	for _, p := range c {
		left := r3.Dot(b.axes.Left, r3.Sub(p, b.at))
		least, most = min(least, left), max(most, left)
	}
	return least <= room && most >= -room
}

// distanceTo is the least distance from a bar to a corners.
func (b *bar) distanceTo(c *corners) float64 {
	least := c.distance(b.at)
	if b.length < 0.02*least { // as good as a point
		return max(least-b.length/2, nearest)
	}
	right, left := r3.Sub(b.at, b.half), r3.Add(b.at, b.half)
	least = min(c.distance(right), c.distance(left))
	for i := range c {
		least = min(least, segmentsApart(right, left, c[i], c[(i+1)%4]))
	}
	return max(least, nearest)
}

// distance is from a point to the nearest point of the corners.
func (c *corners) distance(p r3.Vec) float64 {
	u, v, w := r3.Sub(c[1], c[0]), r3.Sub(c[3], c[0]), r3.Sub(p, c[0])
	uu, vv, uv := r3.Norm2(u), r3.Norm2(v), r3.Dot(u, v)
	if det := uu*vv - uv*uv; det > 1e-12*uu*vv {
		wu, wv := r3.Dot(w, u), r3.Dot(w, v)
		a, b := (wu*vv-wv*uv)/det, (wv*uu-wu*uv)/det
		if a >= 0 && a <= 1 && b >= 0 && b <= 1 {
			return norm(r3.Sub(w, r3.Add(r3.Scale(a, u), r3.Scale(b, v))))
		}
	}
	least := math.Inf(1)
	for i := range c {
		least = min(least, segmentDistance(p, c[i], c[(i+1)%4]))
	}
	return least
}

// segmentsApart is the distance between the segments a0 a1 and b0 b1.
func segmentsApart(a0, a1, b0, b1 r3.Vec) float64 {
	least := min(
		segmentDistance(a0, b0, b1), segmentDistance(a1, b0, b1),
		segmentDistance(b0, a0, a1), segmentDistance(b1, a0, a1),
	)
	// Where neither is nearest with an end, the way between the two is square to both.
	u, v := r3.Sub(a1, a0), r3.Sub(b1, b0)
	if n := r3.Cross(u, v); n != (r3.Vec{}) {
		w, n2 := r3.Sub(b0, a0), r3.Norm2(n)
		s, t := r3.Dot(r3.Cross(w, v), n)/n2, r3.Dot(r3.Cross(w, u), n)/n2
		if s > 0 && s < 1 && t > 0 && t < 1 {
			least = min(least, math.Abs(r3.Dot(w, n))/math.Sqrt(n2))
		}
	}
	return least
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
