package beam_test

import (
	"fmt"
	"math"

	"beamfall/beam"
)

// A lamp of 9000 lm with a beam angle of 10°: how bright it is ahead and 5° aside, where it has
// half of that.
func Example() {
	const degree = math.Pi / 180
	spot := beam.Gaussian(beam.Round(10 * degree)).WithFlux(9000)
	sin, cos := math.Sincos(5 * degree)
	fmt.Printf("%.0f cd ahead, %.0f cd at 5°\n", spot.Candela(1, 0, 0), spot.Candela(cos, sin, 0))
	fmt.Printf("1 lx at %.0f m\n", math.Sqrt(spot.Peak()))
	// Output:
	// 261227 cd ahead, 130614 cd at 5°
	// 1 lx at 511 m
}

// The beam angle and the field angle of a lamp with two kinds of lenses are those of their sum.
func ExampleFullAngle() {
	const degree = math.Pi / 180
	bar := beam.Mix{
		beam.Gaussian(beam.Round(10 * degree)).WithFlux(6000),
		beam.Gaussian(beam.Angles{Across: 60 * degree, UpDown: 20 * degree}).WithFlux(4000),
	}
	across := beam.FullAngle(bar, 0.5, 1, 0)
	field := beam.FullAngle(bar, 0.1, 1, 0)
	fmt.Printf("beam angle across %.1f°, field angle %.1f°\n", across/degree, field/degree)
	// Output: beam angle across 10.4°, field angle 20.6°
}

// What goes to the sky of a flood that is tilted 5° down: FluxInto is asked along the world's up,
// seen from the lamp.
func ExampleFluxInto() {
	const degree = math.Pi / 180
	flood := beam.Gaussian(beam.Round(36 * degree)).WithFlux(5000)
	sin, cos := math.Sincos(5 * degree)
	sky := beam.FluxInto(flood, -sin, 0, cos)
	fmt.Printf("%.0f %% goes to the sky\n", 100*sky/flood.Flux())
	// Output: 37 % goes to the sky
}

// A Lambertian source of π lm has 1 cd: the cosine profile with a beam angle of 120°.
func ExampleCosine() {
	lambert := beam.Cosine(beam.Round(2 * math.Pi / 3)).WithFlux(math.Pi)
	fmt.Printf("%.3f cd\n", lambert.Peak())
	// Output: 1.000 cd
}

// A shape says what is wrong with its angles before it is scaled.
func ExampleShape_Validate() {
	fmt.Println(beam.Uniform(beam.Round(math.Pi)).Validate())
	// Output: spread: 180° is not between 0° and 180°
}
