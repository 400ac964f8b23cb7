package lm63_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"beamfall/beam"
)

var sweep = flag.Bool("sweep", false, "try hundreds of beams where a few stand for them")

// A modelled lamp, as rig files have them.
type modelled struct {
	name string
	beam.Distribution
}

const modelledFlux = 20000 // lm

func models() (all []modelled) {
	oval := func(across, upDown float64) beam.Angles {
		return beam.Angles{Across: across * degree, UpDown: upDown * degree}
	}
	words := func(a beam.Angles) string { return fmt.Sprintf("%.4g° × %.4g°", a.Across/degree, a.UpDown/degree) }
	add := func(name string, s beam.Shape) {
		if s.Validate() == nil {
			all = append(all, modelled{name, s.WithFlux(modelledFlux)})
		}
	}
	four := func(spread, field beam.Angles) {
		add("gaussian "+words(spread), beam.Gaussian(spread))
		add("cosine "+words(spread), beam.Cosine(spread))
		add("uniform "+words(spread), beam.Uniform(spread))
		add("gaussian "+words(spread)+", field "+words(field), beam.GaussianField(spread, field))
	}
	if *sweep {
		random := rand.New(rand.NewPCG(7, 8))
		angle := func() float64 { return 0.51 * math.Pow(174/0.51, random.Float64()) }
		wider := func() float64 { return 1.02 * math.Pow(100, random.Float64()) }
		for range 60 {
			spread := oval(angle(), angle())
			if random.IntN(3) == 0 {
				spread.UpDown = spread.Across
			}
			four(spread, beam.Angles{Across: spread.Across * wider(), UpDown: spread.UpDown * wider()})
		}
	}
	add("spot", beam.Gaussian(oval(5, 3)))
	add("flood", beam.Gaussian(oval(60, 30)))
	add("flat, even", beam.Uniform(oval(120, 30)))
	add("even", beam.Uniform(oval(10, 10)))
	add("flat cosine", beam.Cosine(oval(100, 40)))
	add("flat, with a field of the same form", beam.GaussianField(oval(30, 10), oval(45, 15)))
	add("flat, with a field of another form", beam.GaussianField(oval(30, 10), oval(45, 40)))
	add("needle with a wide field", beam.GaussianField(oval(0.51, 60), oval(179.9, 60.1)))
	add("round needle with a wide field", beam.GaussianField(oval(0.51, 0.51), oval(179.9, 179.9)))
	for _, flood := range []float64{10, 58} {
		all = append(all, modelled{fmt.Sprintf("a needle and a flood of %g°", flood), beam.Mix{
			beam.Gaussian(oval(0.51, 0.51)).WithFlux(0.6 * modelledFlux),
			beam.Gaussian(oval(flood, flood)).WithFlux(0.4 * modelledFlux),
		}})
	}
	return append(all, modelled{"bar of spots and floods", beam.Mix{
		beam.Gaussian(oval(10, 10)).WithFlux(0.6 * modelledFlux),
		beam.Uniform(oval(60, 20)).WithFlux(0.4 * modelledFlux),
	}})
}

// Of any modelled lamp, the file has the flux and the beam angles, and none of its values is above
// the formula.
func TestModelledLampsAsFiles(t *testing.T) {
	for _, m := range models() {
		f, text := written(t, m)
		table := f.Distribution(1)
		near(t, m.name+": flux", table.Flux(), modelledFlux, 0.005)
		for plane, aside := range map[string][2]float64{"across": {1, 0}, "up and down": {0, 1}} {
			got, want := beam.FullAngle(table, 0.5, aside[0], aside[1]), beam.FullAngle(m, 0.5, aside[0], aside[1])
			near(t, m.name+": beam angle "+plane, got, want, 0.01)
		}
		for i, cd := range f.Candela {
			to := typeB(f.Horizontal[i/len(f.Vertical)]/degree, f.Vertical[i%len(f.Vertical)]/degree)
			if most := 1.01*candela(m, to) + 1e-6*m.Peak(); cd > most {
				t.Errorf("%s: %.6g cd at %.4v, formula %.6g", m.name, cd, to, candela(m, to))
				break
			}
		}
		t.Logf("%s: %d × %d angles, %d kB", m.name, len(f.Horizontal), len(f.Vertical), len(text)/1000)
	}
}
