package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Aim is the direction of a beam axis as it is set with the vehicle parked on level ground, in
// radians.
type Aim struct {
	Tilt float64 // below horizontal, + down
	Turn float64 // to the left of straight ahead; π is rearward
	Roll float64 // about the beam axis, + right side down as seen from behind the lamp
}

// Axes are the lamp's own directions as unit vectors: the beam axis, and left and up across it.
type Axes struct {
	Ahead, Left, Up r3.Vec

	top r3.Vec // Up as it was before the roll
}

// Axes are those of a lamp aimed so.
func (a Aim) Axes() Axes {
	st, ct := math.Sincos(a.Tilt)
	sy, cy := math.Sincos(a.Turn)
	ahead := r3.Vec{X: ct * cy, Y: ct * sy, Z: -st}
	left := r3.Vec{X: -sy, Y: cy}
	up := r3.Cross(ahead, left)
	if a.Roll == 0 {
		return Axes{ahead, left, up, up}
	}
	sr, cr := math.Sincos(a.Roll)
	return Axes{
		ahead,
		r3.Add(r3.Scale(cr, left), r3.Scale(sr, up)),
		r3.Sub(r3.Scale(cr, up), r3.Scale(sr, left)),
		up,
	}
}

// components of v along the axes.
func (a Axes) components(v r3.Vec) (ahead, left, up float64) {
	return r3.Dot(a.Ahead, v), r3.Dot(a.Left, v), r3.Dot(a.Up, v)
}

// Direction is the unit vector at an angle from the beam axis, toward the direction across it that
// has the components (left, up).
func (a Axes) Direction(angle, left, up float64) r3.Vec {
	s, c := math.Sincos(angle)
	return r3.Add(r3.Scale(c, a.Ahead), r3.Add(r3.Scale(s*left, a.Left), r3.Scale(s*up, a.Up)))
}

// Upright is the direction across the beam axis, in the vertical plane of the axis, that points
// most nearly up, as components (left, up) of the lamp. For an axis straight up or down it is what
// it is for one that is nearly so.
func (a Axes) Upright() (left, up float64) {
	left, up = a.Left.Z, a.Up.Z
	if math.Hypot(left, up) < 1e-12 {
		left, up = r3.Dot(a.top, a.Left), r3.Dot(a.top, a.Up)
	}
	n := math.Hypot(left, up)
	return left / n, up / n
}

// Azimuth is the horizontal unit vector along which the beam axis points; for an axis straight up
// or down, along which it would point if it were tilted level.
func (a Axes) Azimuth() r3.Vec {
	h := r3.Vec{X: a.Ahead.X, Y: a.Ahead.Y}
	if norm(h) < 1e-12 {
		left, up := a.Upright()
		h = r3.Add(r3.Scale(left, a.Left), r3.Scale(up, a.Up))
		h = r3.Scale(-math.Copysign(1, a.Ahead.Z), r3.Vec{X: h.X, Y: h.Y})
	}
	return unit(h)
}

// norm is the length of a vector. Lengths here are far from where their squares would overflow or
// vanish, which r3.Norm takes its time to allow for.
func norm(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }

// unit is the vector of length 1 in the direction of v.
func unit(v r3.Vec) r3.Vec { return r3.Scale(1/norm(v), v) }
