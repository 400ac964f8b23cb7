package beam

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// The flux of a shape is its intensity summed over solid angle, Φ = ∫∫ I(θ,φ) sin θ dθ dφ.

// panels are the bounds, in multiples of θh, between which a shape is smooth enough for one
// Gauss-Legendre rule: fine toward the axis, where a gaussian of a low exponent has a cusp, and at
// the edge, where a uniform beam ends.
var panels = []float64{0, 1. / 256, 1. / 64, 1. / 16, 1. / 4, 0.6, 1, 1.5, 2.2, 3.2, 4.6, 7, 11, 18, 30, 60, 120, 400}

// nodes of each rule. With them and planes the flux comes out to 1e-6 for every shape and spread of
// the rig file: the tests hold it against closed forms.
const nodes = 16

// planes is how many of them a quarter turn of an oval beam takes.
const planes = 48

// Panels farther out than the spread are given up where one adds less than a Darkness of what is
// there already.
const farOut = 3

// legendre is the integral of f from a to b by one rule.
func legendre(f func(float64) float64, a, b float64, n int) float64 {
	return quad.Fixed(f, a, b, n, quad.Legendre{}, 0)
}

// sector is ∫ weight(θ) at(θ) sin θ dθ from lo to hi in the plane whose sin²φ is m.
func (s Shape) sector(m, lo, hi float64, weight func(theta float64) float64) float64 {
	edge, sum := s.spread.edge(m), 0.0
	bound := func(i int) float64 { return panels[i] * edge }
	if s.profile == gaussianField && s.exponent(m) > 2 {
		// all of the fall is near the edge; in (θ/θh)^p it is as long as ever
		narrow := 2 / s.exponent(m)
		bound = func(i int) float64 { return math.Pow(panels[i], narrow) * edge }
	}
	for i := 1; i < len(panels); i++ {
		a, b := max(lo, bound(i-1)), min(hi, bound(i))
		if a >= b {
			continue
		}
		part := legendre(func(t float64) float64 { return s.at(t, m) * math.Sin(t) * weight(t) }, a, b, nodes)
		sum += part
		if panels[i] > farOut && part < Darkness*sum {
			break
		}
	}
	return sum
}

func one(float64) float64 { return 1 }

// plane turns ψ, which divides the half-peak ellipse evenly (θH cos ψ, θV sin ψ), into φ, sin²φ and
// dφ/dψ. An oval beam is as smooth in ψ as a round one is in φ.
func (a Angles) plane(psi float64) (sin, cos, m, rate float64) {
	x, y := a.Across*math.Cos(psi), a.UpDown*math.Sin(psi)
	r2 := x*x + y*y
	r := math.Sqrt(r2)
	return y / r, x / r, y * y / r2, a.Across * a.UpDown / r2
}

func (s Shape) round() bool {
	return s.spread.round() && (s.profile != gaussianField || s.field.round())
}

// wedge is ∫ at(θ) sin θ dθ over all of the plane whose sin²φ is m.
func (s Shape) wedge(m float64) float64 {
	if s.profile == cosine { // in closed form, since a low power is no polynomial near 90°
		return 1 / (power(s.spread.edge(m)) + 1)
	}
	return s.sector(m, 0, math.Pi/2, one)
}

// unitFlux is the flux over the front hemisphere for a peak of 1.
func (s Shape) unitFlux() float64 {
	if s.round() {
		return 2 * math.Pi * s.wedge(0)
	}
	quarter := func(psi float64) float64 {
		_, _, m, rate := s.spread.plane(psi)
		return s.wedge(m) * rate
	}
	return 4 * legendre(quarter, 0, math.Pi/2, planes)
}

// FluxInto is the flux (lm) into a half-space, as package-level [FluxInto] has it.
func (f *formula) FluxInto(ahead, left, up float64) float64 {
	if f.shape.round() {
		return f.peak * f.shape.capFlux(ahead, math.Hypot(left, up))
	}
	return f.peak * halfSpace(ahead, left, up, f.shape.spread, 8, func(_, _, m, lo, hi float64) float64 {
		return f.shape.sector(m, lo, min(hi, math.Pi/2), one)
	})
}

// capFlux is the flux of a round shape into the half-space of a vector with components along and
// square to the axis. The ring at θ has that part of its turn on the vector's side where along·cos
// θ + square·sin θ·cos φ > 0.
func (s Shape) capFlux(along, square float64) float64 {
	arc := func(t float64) float64 {
		st, ct := math.Sincos(t)
		c := along * ct / max(square*st, math.SmallestNonzeroFloat64)
		return 2 * (math.Pi - math.Acos(max(-1, min(1, c))))
	}
	kink := math.Atan2(math.Abs(along), square)
	return s.sector(0, 0, kink, arc) + s.sector(0, kink, math.Pi/2, arc)
}
