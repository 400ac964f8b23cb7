package beam

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Flux is intensity summed over solid angle, Φ = ∫∫ I(θ,φ) sin θ dθ dφ.

// panels are the bounds, in multiples of θh, between which a shape is smooth enough for one Gauss-Legendre rule: fine
// toward the axis, where a gaussian of a low exponent has a cusp, and at the edge, where a uniform beam ends.
var panels = []float64{0, 1. / 256, 1. / 64, 1. / 16, 1. / 4, 0.6, 1, 1.5, 2.2, 3.2, 4.6, 7, 11, 18, 30, 60, 120, 400}

const nodes = 16 // of each rule; the flux comes out to 1e-6 for every shape and spread of the rig file

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
		if panels[i] > 3 && part < 1e-12*sum {
			break
		}
	}
	return sum
}

func one(float64) float64 { return 1 }

// plane turns ψ, which divides the half-peak ellipse evenly (θH cos ψ, θV sin ψ), into φ, sin²φ and dφ/dψ. An oval beam
// is as smooth in ψ as a round one is in φ.
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
	return 4 * legendre(quarter, 0, math.Pi/2, 48)
}

// FluxInto is the flux (lm) that d sends into the half-space on the side of the vector with the given components along
// the lamp's axes: with the world's up as the vector, what goes to the sky. It is good to 1e-4 of the whole flux.
func FluxInto(d Distribution, ahead, left, up float64) float64 {
	switch d := d.(type) {
	case Mix:
		sum := 0.0
		for _, part := range d {
			sum += FluxInto(part, ahead, left, up)
		}
		return sum
	case *modelled:
		if d.shape.round() {
			return d.peak * d.shape.capFlux(ahead, math.Hypot(left, up))
		}
		return d.peak * halfSpace(ahead, left, up, d.shape.spread, 8, func(_, _, m, lo, hi float64) float64 {
			return d.shape.sector(m, lo, min(hi, math.Pi/2), one)
		})
	default:
		return halfSpace(ahead, left, up, Round(1), 16, func(sin, cos, _, lo, hi float64) float64 {
			f := func(t float64) float64 {
				st, ct := math.Sincos(t)
				return d.Candela(ct, st*cos, st*sin) * st
			}
			sum := 0.0
			const degree = math.Pi / 180
			for ; lo < hi; lo += degree {
				sum += legendre(f, lo, min(hi, lo+degree), 3)
			}
			return sum
		})
	}
}

// capFlux is the flux of a round shape into the half-space of a vector with components along and square to the axis.
// The ring at θ has that part of its turn on the vector's side where along·cos θ + square·sin θ·cos φ > 0.
func (s Shape) capFlux(along, square float64) float64 {
	arc := func(t float64) float64 {
		st, ct := math.Sincos(t)
		c := along * ct / max(square*st, 1e-300)
		return 2 * (math.Pi - math.Acos(max(-1, min(1, c))))
	}
	kink := math.Atan2(math.Abs(along), square)
	return s.sector(0, 0, kink, arc) + s.sector(0, kink, math.Pi/2, arc)
}

// halfSpace sums planes ψ around the axis; in each, the vector's side is where R·cos(θ - θ0) > 0. Toward the two planes in
// which the axis stands square to the vector's part across it, θ0 turns fast if the axis is nearly level: panels of ψ are
// graded there.
func halfSpace(ahead, left, up float64, spread Angles, order int,
	sector func(sin, cos, m, lo, hi float64) float64) float64 {
	plane := func(psi float64) float64 {
		sin, cos, m, rate := spread.plane(psi)
		theta0, sum := math.Atan2(left*cos+up*sin, ahead), 0.0
		for _, turn := range []float64{theta0, theta0 + 2*math.Pi} {
			lo, hi := max(0, turn-math.Pi/2), min(math.Pi, turn+math.Pi/2)
			if lo < hi {
				sum += sector(sin, cos, m, lo, hi) * rate
			}
		}
		return sum
	}
	// where left·cos φ + up·sin φ = 0
	level := math.Atan2(-left/spread.UpDown, up/spread.Across)
	sum := 0.0
	for _, centre := range []float64{level, level + math.Pi} {
		from := 0.0
		for _, to := range []float64{0.002, 0.008, 0.03, 0.1, 0.3, 0.7, 1.1, math.Pi / 2} {
			sum += legendre(plane, centre+from, centre+to, order) + legendre(plane, centre-to, centre-from, order)
			from = to
		}
	}
	return sum
}
