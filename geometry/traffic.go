package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// What the light means for driving, and for whoever comes the other way.

// Braking is how a vehicle is stopped: reaction time (s), then a constant deceleration (m/s²), above 0.
type Braking struct {
	Reaction, Deceleration float64
}

// GreenBook is AASHTO's design driver for stopping sight distance: 2.5 s, 3.4 m/s².
var GreenBook = Braking{2.5, 3.4}

// Distance is the stopping distance (m) from a speed (m/s), d = v·t + v²/(2a) (AASHTO Green Book, stopping sight
// distance on the level).
func (b Braking) Distance(speed float64) float64 {
	return speed*b.Reaction + speed*speed/(2*b.Deceleration)
}

// Speed is the greatest speed (m/s) from which the vehicle stops within a distance (m, not below 0); the inverse of Distance.
func (b Braking) Speed(distance float64) float64 {
	at := b.Deceleration * b.Reaction
	return math.Sqrt(at*at+2*b.Deceleration*distance) - at
}

// EyeHeight is the height (m) of a driver's eye over the road: AASHTO Green Book, 3.5 ft.
const EyeHeight = 1.08

// Glare is light at an eye: illuminance (lx) on a plane across its line of sight, and veiling luminance (cd/m²), NaN
// where the formula does not hold.
type Glare struct {
	Lux, Veil float64
}

// Oncoming is the light at an eye over (x, y) that looks straight back along the road. The veiling luminance is
// Σ 10·E/θ² over the lights, θ in degrees between the line of sight and the light, which holds from 1° to 30°
// (Stiles-Holladay; CIE 146:2002). It is NaN if a light that adds more than 1e-4 of the lux is outside of that.
func (s *Scene) Oncoming(x, y float64) Glare {
	eye := s.Site.At(x, y, EyeHeight)
	g := Glare{Lux: s.Lux(eye, Facing)}
	for i := range s.Lamps {
		for _, b := range s.Lamps[i].bars {
			for _, part := range b.parts(8) {
				e := s.Site.sum(&part, eye, measure{normal: Facing})
				if e == 0 {
					continue
				}
				toLight := r3.Sub(part.at, eye)
				theta := math.Acos(r3.Dot(r3.Unit(toLight), Facing)) * 180 / math.Pi
				if theta >= 1 && theta <= 30 {
					g.Veil += 10 * e / (theta * theta)
				} else if e > 1e-4*g.Lux {
					g.Veil = math.NaN()
				}
			}
		}
	}
	return g
}

// parts cuts a bar into n; a point is its own only part.
func (b *bar) parts(n int) []bar {
	if b.length == 0 {
		return []bar{*b}
	}
	out := make([]bar, n)
	for i := range out {
		c := *b
		e := (2*float64(i)+1)/float64(n) - 1
		c.at, c.parkedAt = r3.Add(b.at, r3.Scale(e, b.half)), r3.Add(b.parkedAt, r3.Scale(e, b.parkedHalf))
		scale := 1 / float64(n)
		c.half, c.parkedHalf = r3.Scale(scale, b.half), r3.Scale(scale, b.parkedHalf)
		c.length, c.share = b.length*scale, b.share*scale
		out[i] = c
	}
	return out
}
