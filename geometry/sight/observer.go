package sight

import (
	"fmt"
	"math"
)

// Observer is who looks: how well the eye sees, how long it looks, and how plain a thing has to be
// to count as seen.
type Observer struct {
	Age    float64 // years, 20 to 75
	Glance float64 // how long the eye rests on a place, s
	Level  float64 // visibility level from which a thing counts as seen
}

// Usual is the observer where a rig names none. The visibility level of 10 is what Adrian and
// Gibbons give for headlamps (Light & Engineering 3(3), 1995, from memory); 7 is a common
// recommendation, 13.35 and more was measured outside of towns (Appl. Sci. 13, 2023, 2964, from
// memory).
var Usual = Observer{Age: 40, Glance: 0.2, Level: 10}

// Validate reports an observer that the formulas do not hold for.
func (o Observer) Validate() error {
	switch {
	case !(o.Age >= 20 && o.Age <= 75):
		return fmt.Errorf("age: %g years is not from 20 to 75", o.Age)
	case !(o.Glance > 0) || math.IsInf(o.Glance, 0):
		return fmt.Errorf("glance: %g s is not above 0 s", o.Glance)
	case !(o.Level > 0) || math.IsInf(o.Level, 0):
		return fmt.Errorf("visibility level: %g is not above 0", o.Level)
	}
	return nil
}

// AgeFactor is by how much more contrast an eye of an age (years) needs than one of 23 or below
// (Adrian 1989).
func AgeFactor(age float64) float64 {
	switch {
	case age <= 23:
		return 1
	case age <= 64:
		return (age-19)*(age-19)/2160 + 0.99
	}
	return (age-56.6)*(age-56.6)/116.3 + 1.43
}

// pigmentation is p of the disability glare equation: 0 for black eyes, 1.2 for very light ones
// (CIE 146:2002, from memory).
const pigmentation = 0.5

// VeilPerLux is the veiling luminance (cd/m²) in an eye of an age (years) per lux on it, from light
// at an angle (rad) off the line of sight: the general disability glare equation of CIE 146:2002
// with a pigmentation of 0.5,
//
//	10/θ³ + (5/θ² + 0.1 p/θ)(1 + (age/62.5)⁴) + 0.0025 p,  θ in degrees from 0.1° to 100°.
func VeilPerLux(angle, age float64) float64 {
	t := angle * 180 / math.Pi
	a := age / 62.5
	return 10/(t*t*t) + (5/(t*t)+0.1*pigmentation/t)*(1+a*a*a*a) + 0.0025*pigmentation
}
