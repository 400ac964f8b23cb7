package beam

import (
	"fmt"
	"math"
)

// The shape of a modelled beam: intensity relative to the peak, as a function of θ, the angle from
// the beam axis, and of φ, the angle around it (0 along the lamp's left). The half-peak edge at φ
// lies at
//
//	θh(φ) = (cos²φ/θH² + sin²φ/θV²)^(-1/2)
//
// with θH and θV half of the spread across and up-down. No shape sends light to θ ≥ 90°.

// Angles is a pair of full angles (rad): across the beam, in the plane of the lamp's left, and
// up-down.
type Angles struct {
	Across, UpDown float64
}

// Round is the same full angle (rad) in every plane.
func Round(angle float64) Angles { return Angles{angle, angle} }

func (a Angles) round() bool { return a.Across == a.UpDown }

// reciprocals are 1/θH² and 1/θV² of the half angles.
func (a Angles) reciprocals() (across, upDown float64) {
	return 4 / (a.Across * a.Across), 4 / (a.UpDown * a.UpDown)
}

// edge is θh at the φ whose sin² is m.
func (a Angles) edge(m float64) float64 {
	h, v := a.reciprocals()
	return 1 / math.Sqrt((1-m)*h+m*v)
}

type profile int

const (
	gaussian profile = iota
	gaussianField
	cosine
	uniform
)

// Shape is a modelled distribution without a scale: its peak is 1, on the axis. Give it one by
// [Shape.WithFlux] or [Shape.WithPeak]. The zero Shape is none; [Shape.Validate] tells which are.
//
// Spread and field are the beam angle and the field angle of the trade: full angles (rad) at one
// half and at one tenth of the peak (IES definitions; ANSI C78.379).
type Shape struct {
	profile profile
	spread  Angles // full angles at half of the peak
	field   Angles // full angles at one tenth of the peak, for gaussianField
}

// Gaussian is I = 2^(-(θ/θh)²): the beam angle is spread, the field angle √(log2 10) = 1.8226 times
// that (algebra).
func Gaussian(spread Angles) Shape { return Shape{profile: gaussian, spread: spread} }

// GaussianField is I = 2^(-(θ/θh)^p) with p such that the intensity is one half at the edge of
// spread and one tenth at the edge of field: p = ln(log2 10) / ln(θ10/θh). The field must be wider
// than the spread in both planes.
func GaussianField(spread, field Angles) Shape {
	return Shape{profile: gaussianField, spread: spread, field: field}
}

// Cosine is I = cos^n θ with n = ln 0.5 / ln cos θh. A spread of 120° is the Lambertian source, n =
// 1 (IES Lighting Handbook).
func Cosine(spread Angles) Shape { return Shape{profile: cosine, spread: spread} }

// Uniform is I = 1 for θ ≤ θh and 0 beyond: a cone of the solid angle 2π(1 - cos θh) where it is
// round.
func Uniform(spread Angles) Shape { return Shape{profile: uniform, spread: spread} }

// Validate reports angles that no beam has: a spread that is not above 0° and below 180°, a field
// that is not wider than the spread and below 180°. Scaling a shape that it reports gives no
// distribution.
func (s Shape) Validate() error {
	for _, a := range []float64{s.spread.Across, s.spread.UpDown} {
		if !(a > 0 && a < math.Pi) {
			return fmt.Errorf("spread: %.4g° is not between 0° and 180°", a*180/math.Pi)
		}
	}
	if s.profile != gaussianField {
		return nil
	}
	f, b := s.field, s.spread
	if !(f.Across > b.Across && f.UpDown > b.UpDown && f.Across < math.Pi && f.UpDown < math.Pi) {
		return fmt.Errorf("field: %.4g° × %.4g° is not wider than the spread and below 180°",
			f.Across*180/math.Pi, f.UpDown*180/math.Pi)
	}
	return nil
}

// log2of10 is what the field angle needs: one tenth = 2^-log2(10).
var log2of10 = math.Log2(10)

// exponent is p of the gaussian profiles at the φ whose sin² is m.
func (s Shape) exponent(m float64) float64 {
	if s.profile == gaussian {
		return 2
	}
	return math.Log(log2of10) / math.Log(s.field.edge(m)/s.spread.edge(m))
}

// oneExponent tells whether p is the same at every φ.
func (s Shape) oneExponent() bool {
	const rounding = 1e-12 // of exponents from fields in one proportion to the spread
	return s.profile != gaussianField || math.Abs(s.exponent(0)-s.exponent(1)) < rounding
}

// power is n of the cosine profile for a half-peak edge at θh.
func power(edge float64) float64 { return math.Ln2 / -math.Log(math.Cos(edge)) }

// at is the relative intensity at θ and the φ whose sin² is m.
func (s Shape) at(theta, m float64) float64 { return s.fall(theta, m, s.steepness(m)) }

// steepness is p of the gaussian profiles, or n of the cosine one, at the φ whose sin² is m.
func (s Shape) steepness(m float64) float64 {
	switch s.profile {
	case gaussian, gaussianField:
		return s.exponent(m)
	case cosine:
		return power(s.spread.edge(m))
	}
	return 0
}

// fall is at, given the steepness. It takes powers by way of logarithms to the base e, for which
// there are instructions: it is within 1e-14 of them.
func (s Shape) fall(theta, m, steepness float64) float64 {
	if theta >= math.Pi/2 {
		return 0
	}
	h, v := s.spread.reciprocals()
	x := theta * theta * ((1-m)*h + m*v) // (θ/θh)²
	switch s.profile {
	case gaussian:
		return math.Exp(-math.Ln2 * x)
	case gaussianField:
		return math.Exp(-math.Ln2 * math.Exp(steepness/2*math.Log(x)))
	case cosine:
		return math.Exp(steepness * math.Log(math.Cos(theta)))
	default:
		if theta <= s.spread.edge(m) {
			return 1
		}
		return 0
	}
}

// darkOctaves is how often a peak is halved until it is below Darkness: 2^-40 is 0.9e-12.
const darkOctaves = 40

// cutoff is the θ beyond which the shape is below Darkness in every plane; at most 90°.
func (s Shape) cutoff() float64 {
	widest := 0.0
	for _, m := range []float64{0, 1} {
		edge := s.spread.edge(m)
		reach := edge
		switch s.profile {
		case gaussian, gaussianField:
			reach = edge * math.Pow(darkOctaves, 1/s.exponent(m))
		case cosine:
			reach = math.Acos(math.Exp2(-darkOctaves / power(edge)))
		}
		widest = max(widest, reach)
	}
	if !s.oneExponent() {
		widest = math.Pi / 2 // the widest plane may be neither of the two
	}
	return min(widest, math.Pi/2)
}
