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

// A modelled lamp: as rig files have them.
type modelled struct {
	name string
	beam.Shape
	spread beam.Angles
	hard   bool
}

func models() (all []modelled) {
	oval := func(across, upDown float64) beam.Angles {
		return beam.Angles{Across: across * degree, UpDown: upDown * degree}
	}
	add := func(profile string, spread, field beam.Angles) {
		m := modelled{name: fmt.Sprintf("%s %.4g° × %.4g°", profile, spread.Across/degree, spread.UpDown/degree), spread: spread}
		switch profile {
		case "gaussian":
			m.Shape = beam.Gaussian(spread)
		case "cosine":
			m.Shape = beam.Cosine(spread)
		case "uniform":
			m.Shape, m.hard = beam.Uniform(spread), true
		case "field":
			m.Shape = beam.GaussianField(spread, field)
			m.name += fmt.Sprintf(", field %.4g° × %.4g°", field.Across/degree, field.UpDown/degree)
		}
		if m.Validate() == nil {
			all = append(all, m)
		}
	}
	add("gaussian", oval(5, 3), oval(0, 0))
	add("gaussian", oval(60, 30), oval(0, 0))
	add("uniform", oval(120, 30), oval(0, 0))
	add("uniform", oval(10, 10), oval(0, 0))
	add("cosine", oval(100, 40), oval(0, 0))
	add("field", oval(30, 10), oval(45, 15))
	add("field", oval(30, 10), oval(45, 40))
	if !*sweep {
		return all
	}
	random := rand.New(rand.NewPCG(7, 8))
	angle := func() float64 { return 0.51 * math.Pow(174/0.51, random.Float64()) }
	for range 60 {
		for _, profile := range []string{"gaussian", "cosine", "uniform", "field"} {
			spread := oval(angle(), angle())
			if random.IntN(3) == 0 {
				spread.UpDown = spread.Across
			}
			field := beam.Angles{Across: spread.Across * (1.02 + 2*random.Float64()), UpDown: spread.UpDown * (1.02 + 2*random.Float64())}
			add(profile, spread, field)
		}
	}
	return all
}

// Of any modelled lamp, the file has the flux and the beam angles, and none of its values is above
// the formula.
func TestModelledLampsAsFiles(t *testing.T) {
	const flux = 20000
	for _, m := range models() {
		d := m.WithFlux(flux)
		f, text := written(t, d)
		table := f.Distribution(1)
		near(t, m.name+": flux", table.Flux(), flux, 0.005)
		for _, plane := range []struct {
			name     string
			left, up float64
			want     float64
		}{{"across", 1, 0, m.spread.Across}, {"up and down", 0, 1, m.spread.UpDown}} {
			got := beam.FullAngle(table, 0.5, plane.left, plane.up)
			near(t, m.name+": beam angle "+plane.name, got, plane.want, 0.01)
		}
		for i, cd := range f.Candela {
			to := typeB(f.Horizontal[i/len(f.Vertical)]/degree, f.Vertical[i%len(f.Vertical)]/degree)
			if most := 1.01*candela(d, to) + 1e-6*d.Peak(); cd > most {
				t.Errorf("%s: %.6g cd at %.4v, formula %.6g", m.name, cd, to, candela(d, to))
				break
			}
		}
		t.Logf("%s: %d kB", m.name, len(text)/1000)
	}
}
