package lm63_test

import (
	"fmt"
	"log"
	"math"
	"strings"

	"beamfall/beam"
	"beamfall/beam/lm63"
)

func ExampleRead() {
	f, err := lm63.Read(strings.NewReader(`IESNA:LM-63-2002
[LUMINAIRE] work lamp, even all round within 60 degrees
TILT=NONE
1 1000 1 3 1 1 2 0.1 0.1 0
1 1 12
0 60 90
0
200 200 0
`))
	if err != nil {
		log.Fatal(err)
	}
	rated, _ := f.RatedLumens()
	d := f.Distribution(1600 / rated) // the same optic with a brighter lamp
	fmt.Printf("%s: %.0f lm, %.0f cd ahead\n", f.Keyword("LUMINAIRE"), d.Flux(), d.Candela(1, 0, 0))
	// Output: work lamp, even all round within 60 degrees: 1496 lm, 320 cd ahead
}

// A lamp that is known by its ratings, written for other software and read back.
func ExampleWrite() {
	spot := beam.Gaussian(beam.Round(10 * math.Pi / 180)).WithFlux(9000)
	var file strings.Builder
	if err := lm63.Write(&file, spot, lm63.Header{Lamp: "spot"}); err != nil {
		log.Fatal(err)
	}
	f, err := lm63.Read(strings.NewReader(file.String()))
	if err != nil {
		log.Fatal(err)
	}
	d := f.Distribution(1)
	fmt.Printf("type %v, %s: %.0f lm, peak %.0f cd\n", f.Type, f.Keyword("TEST"), d.Flux(), d.Peak())
	// Output: type B, computed from a model, not measured: 8996 lm, peak 261200 cd
}
