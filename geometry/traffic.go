package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// What the light means for driving, and for whoever comes the other way.

// Braking is how a vehicle is stopped: reaction time (s), then a constant deceleration (m/s²) on
// the level, above 0. On a slope gravity adds to that or takes from it.
type Braking struct {
	Reaction, Deceleration float64
	Slope                  float64 // of the road, + rises ahead: 0.05 is 5 %
}

// GreenBook is AASHTO's design driver for stopping sight distance: 2.5 s, 3.4 m/s².
var GreenBook = Braking{Reaction: 2.5, Deceleration: 3.4}

// onSlope is the deceleration (m/s²) on the slope; not above 0 where the vehicle cannot be stopped.
func (b Braking) onSlope() float64 {
	const gravity = 9.81
	return b.Deceleration + gravity*b.Slope
}

// Distance is the stopping distance (m) from a speed (m/s), d = v·t + v²/(2(a + 9.81·G)) on a slope
// G (AASHTO Green Book, stopping sight distance; on grades); +Inf where the slope is too steep to
// stop on.
func (b Braking) Distance(speed float64) float64 {
	a := b.onSlope()
	if a <= 0 && speed > 0 {
		return math.Inf(1)
	}
	return speed*b.Reaction + speed*speed/(2*a)
}

// Speed is the greatest speed (m/s) from which the vehicle stops within a distance (m, not below
// 0); the inverse of Distance.
func (b Braking) Speed(distance float64) float64 {
	a := b.onSlope()
	if a <= 0 {
		return 0
	}
	at := a * b.Reaction
	return math.Sqrt(at*at+2*a*distance) - at
}

// EyeHeight is the height (m) of a driver's eye over the road: AASHTO Green Book, 3.5 ft.
const EyeHeight = 1.08

// Glare is light at an eye: illuminance (lx) on a plane across its line of sight, and veiling
// luminance (cd/m²), NaN where the formula does not hold.
type Glare struct {
	Lux, Veil float64
}

// Angles (rad) between the line of sight and a light between which the equation for small angles
// holds.
const leastVeilAngle, mostVeilAngle = 0.1 * math.Pi / 180, 30 * math.Pi / 180

// Oncoming is the light at an eye at a distance s along the track and left of its centreline (m),
// EyeHeight over the ground, that looks straight back along the track. age is that of the eye, in
// years. The veiling luminance is
//
//	Σ E·(10/θ³ + 5/θ²·(1 + (age/62.5)⁴))
//
// over the lights, θ in degrees between the line of sight and the light: the equation of CIE
// 146:2002 for small angles, from 0.1° to 30°. It is NaN if more than 1e-4 of the lux comes from
// outside of that. Past the end of the track there is no eye: both are NaN.
func (s *Scene) Oncoming(along, left, age float64) Glare {
	if along > s.site().Track.End() {
		return Glare{math.NaN(), math.NaN()}
	}
	x, y := s.site().Track.Place(along, left)
	eye, sight := s.site().At(x, y, EyeHeight), r3.Scale(-1, s.site().Track.Heading(along))
	old := 1 + math.Pow(age/62.5, 4)
	// split is a weight of light by its angle from the line of sight, in the range of the equation
	// or outside.
	split := func(in, out func(degrees float64) float64) func(toward r3.Vec) float64 {
		return func(toward r3.Vec) float64 {
			cos := r3.Dot(toward, sight)
			theta := math.Atan2(norm(r3.Cross(toward, sight)), cos)
			switch {
			case cos <= 0:
				return 0
			case theta >= leastVeilAngle && theta <= mostVeilAngle:
				return cos * in(theta*180/math.Pi)
			}
			return cos * out(theta*180/math.Pi)
		}
	}
	none, all := func(float64) float64 { return 0 }, func(float64) float64 { return 1 }
	veil := split(func(degrees float64) float64 { return (10/degrees + 5*old) / (degrees * degrees) }, none)
	outside := split(none, all)
	g, missed := Glare{Lux: s.Lux(eye, sight)}, 0.0
	for i := range s.Lamps {
		g.Veil += s.SumOf(i, eye, veil)
		missed += s.SumOf(i, eye, outside)
	}
	if missed > 1e-4*g.Lux {
		g.Veil = math.NaN()
	}
	return g
}
