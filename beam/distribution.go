// Package beam is about what leaves a lamp: luminous intensity by direction, and the flux that it adds up to.
//
// Directions are given by their components along the lamp's own axes: ahead (the beam axis), left and up, a unit
// vector. Intensities are in candela, fluxes in lumens, angles in radians.
package beam

// Distribution is a luminous intensity distribution in the lamp's own axes.
//
// A Distribution is immutable and may be used from several goroutines at once.
type Distribution interface {
	// Candela is the intensity (cd) in the direction with the given unit components.
	Candela(ahead, left, up float64) float64

	// Candelas writes the intensities (cd) of len(dst) directions to dst. The component slices are at least as long as
	// dst. It agrees with Candela to 0.2 % wherever the intensity is above 1e-12 of the peak, but within 1e-6 rad of the
	// axis, where 1 - cos θ is all rounding, to what a needle of a peak changes by in that.
	Candelas(dst, ahead, left, up []float64)

	// Peak is the greatest intensity (cd) in any direction.
	Peak() float64

	// Flux is the flux (lm) into all directions.
	Flux() float64

	// Cutoff is the cosine of the angle from the beam axis beyond which the intensity is nowhere more than 1e-12 of
	// the peak; -1 where there is no such angle.
	Cutoff() float64
}

// IsRound tells whether a distribution is known to depend on the angle from the axis alone, so that Candelas does not
// look at left and up: it has a method Round that says so.
func IsRound(d Distribution) bool {
	r, ok := d.(interface{ Round() bool })
	return ok && r.Round()
}
