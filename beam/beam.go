// Package beam is about what leaves a lamp: luminous intensity by direction, and the flux that it
// adds up to.
//
// A lamp that is known by its ratings is a shape, scaled to a flux or to a peak:
//
//	spot := beam.Gaussian(beam.Round(10 * math.Pi / 180)).WithFlux(9000) // 9000 lm, beam angle 10°
//	cd := spot.Candela(1, 0, 0)                                          // straight ahead
//
// A lamp that was measured comes from package [beamfall/beam/lm63], the headlights of a vehicle
// from [beamfall/beam/headlight]. All of them are a [Distribution], and [Edges], [FullAngle] and
// [FluxInto] measure any.
//
// Directions are unit vectors, given by their components along the lamp's own axes: ahead (the beam
// axis), left and up. Intensities are in candela, fluxes in lumens, angles in radians.
package beam

// Distribution is a luminous intensity distribution in the lamp's own axes.
//
// A Distribution is immutable and may be used from several goroutines at once. What it knows of
// itself beyond this it tells by further methods: see [Falling] and [Divisible].
type Distribution interface {
	// Candela is the intensity (cd) in the direction with the given unit components.
	Candela(ahead, left, up float64) float64

	// Candelas writes the intensities (cd) of len(dst) directions to dst. The component slices are
	// at least as long as dst. It agrees with Candela to RowAccuracy wherever the intensity is
	// above Darkness, but within 1e-6 rad of the axis, where 1 - cos θ is all rounding, to what a
	// needle of a peak changes by in that.
	Candelas(dst, ahead, left, up []float64)

	// Peak is the greatest intensity (cd) in any direction.
	Peak() float64

	// Flux is the flux (lm) into all directions.
	Flux() float64

	// Cutoff is the cosine of the angle from the beam axis beyond which the intensity is nowhere
	// above Darkness; -1 where there is no such angle.
	Cutoff() float64
}

// Darkness is the share of the peak below which intensity counts as none. Of the brightest lamp
// there is, 10⁸ cd, it leaves 0.1 mcd: a tenth of a microlux at 30 m, a millionth of full moon.
const Darkness = 1e-12

// RowAccuracy is by what share of it an intensity of Candelas may differ from that of Candela.
const RowAccuracy = 0.002

// Falling is a distribution that may know that its intensity rises nowhere with the angle from the
// axis, in any plane through it. An edge of such a beam is found by halving; any other has to be
// searched from the outside in, or from where its method Within(share) says that a share of its
// peak may be reached (the cosine of an angle from the axis).
type Falling interface {
	Distribution
	Falls() bool
}

// Divisible is a distribution that can say itself how much of its flux goes into a half-space; see
// [FluxInto].
type Divisible interface {
	Distribution
	FluxInto(ahead, left, up float64) float64
}

// Falls tells whether a distribution is known to be [Falling].
func Falls(d Distribution) bool {
	f, ok := d.(Falling)
	return ok && f.Falls()
}
