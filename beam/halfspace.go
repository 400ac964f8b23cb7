package beam

import "math"

// What of a beam goes to one side of a plane: to the sky, say.

// FluxInto is the flux (lm) that d sends into the half-space on the side of the vector with the
// given components along the lamp's axes: with the world's up as the vector, what goes to the sky.
// It is good to 1e-4 of the whole flux. A [Divisible] distribution answers itself; of any other,
// intensities are added up a degree at a time.
func FluxInto(d Distribution, ahead, left, up float64) float64 {
	if d, ok := d.(Divisible); ok {
		return d.FluxInto(ahead, left, up)
	}
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

// halfSpace sums planes ψ around the axis; in each, the vector's side is where R·cos(θ - θ0) > 0.
// Toward the two planes in which the axis stands square to the vector's part across it, θ0 turns
// fast if the axis is nearly level: panels of ψ are graded there.
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
