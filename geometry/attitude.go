package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Attitude is how the body of the vehicle sits as driven, against how it is parked: moved rigidly
// in the x-z plane, by a load in the back, say. The zero value is as parked.
type Attitude struct {
	sin, versed float64 // of the angle by which the nose is up: sin and 1 - cos
	x, z        float64 // where the origin of the parked vehicle comes to, m
}

// NoseUp is the attitude with the nose raised by an angle (rad) about the ground contact of the
// rear axle at x = rearAxle (m, negative).
func NoseUp(angle, rearAxle float64) Attitude { return Attitude{}.Pitched(angle, rearAxle) }

// Raised is the attitude in which the body has come up (m, negative: gone down) by front over the
// front axle at x = frontAxle (m) and by rear over the rear axle at x = rearAxle, which lies behind
// it: turned about the ground contact of the rear axle by asin((front - rear) / wheelbase), and
// lifted by rear. front and rear differ by less than the wheelbase; NaN comes of more.
func Raised(front, rear, frontAxle, rearAxle float64) Attitude {
	a := NoseUp(math.Asin((front-rear)/(frontAxle-rearAxle)), rearAxle)
	a.z += rear
	return a
}

// Pitched is the attitude with the nose up by an angle (rad) more, down where it is negative, about
// the ground contact of the rear axle at x = rearAxle (m): a bump under the front wheels.
func (a Attitude) Pitched(noseUp, rearAxle float64) Attitude {
	half := math.Sin(noseUp / 2)
	turn := Attitude{sin: math.Sin(noseUp), versed: 2 * half * half}
	turn.x, turn.z = turn.versed*rearAxle, -turn.sin*rearAxle
	origin := turn.Driven(r3.Vec{X: a.x, Z: a.z})
	sin := turn.sin*(1-a.versed) + (1-turn.versed)*a.sin
	cosLess := turn.versed + a.versed - turn.versed*a.versed + turn.sin*a.sin
	return Attitude{sin, cosLess, origin.X, origin.Z}
}

// NoseUp is the angle (rad) by which the nose is up.
func (a Attitude) NoseUp() float64 { return math.Atan2(a.sin, 1-a.versed) }

// Driven is where a point of the parked vehicle is when driven.
func (a Attitude) Driven(p r3.Vec) r3.Vec {
	p = a.turned(p)
	p.X += a.x
	p.Z += a.z
	return p
}

// Parked is the inverse of Driven.
func (a Attitude) Parked(p r3.Vec) r3.Vec {
	p.X -= a.x
	p.Z -= a.z
	a.sin = -a.sin
	return a.turned(p)
}

// DrivenAxes are directions of the parked vehicle when driven.
func (a Attitude) DrivenAxes(x Axes) Axes {
	return Axes{a.turned(x.Ahead), a.turned(x.Left), a.turned(x.Up), a.turned(x.top)}
}

func (a Attitude) turned(v r3.Vec) r3.Vec {
	return r3.Vec{X: v.X - (a.versed*v.X + a.sin*v.Z), Y: v.Y, Z: v.Z + (a.sin*v.X - a.versed*v.Z)}
}
