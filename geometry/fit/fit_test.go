package fit

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

var sweep = flag.Bool("sweep", false, "fit many more rigs, for minutes")

const deg = math.Pi / 180

func lamp(name string, at r3.Vec, tilt, spread, lumens, width float64) geometry.Lamp {
	return geometry.Lamp{Name: name, At: at, Aim: geometry.Aim{Tilt: tilt * deg}, Width: width,
		Optics: []geometry.Optic{
			{Beam: beam.Gaussian(beam.Round(spread * deg)).WithFlux(lumens)},
		}}
}

// truth is what a lamp really does.
type truth struct{ factor, tilt float64 } // of its output, degrees lower than set

// rig is lamps as a file has them, each a group of its own, and stakes.
type rig struct {
	site   geometry.Site
	lamps  []geometry.Lamp
	stakes []Stake
}

// stake adds stakes at a height and distances ahead (m), facing the vehicle, with all lamps lit or
// those named by index.
func (r *rig) stake(lit []int, up float64, ahead ...float64) {
	if lit == nil {
		for n := range r.lamps {
			lit = append(lit, n)
		}
	}
	for _, x := range ahead {
		r.stakes = append(r.stakes, Stake{r3.Vec{X: x, Z: up}, r3.Vec{X: -1}, lit})
	}
}

func (r *rig) problem() *Problem {
	groups := make([][]int, len(r.lamps))
	for n := range groups {
		groups[n] = []int{n}
	}
	return New(&r.site, r.lamps, groups, r.stakes)
}

// readings are what an exact meter reads when the lamps do what is true of them: worked out here by
// the light field with those lamps, not by what the fit goes by.
func (r *rig) readings(truths ...truth) []float64 {
	lux := make([]float64, len(r.stakes))
	for n, l := range r.lamps {
		l.Aim.Tilt += truths[n].tilt * deg
		one := r.site.Scene(l)
		for k, s := range r.stakes {
			for _, lit := range s.Lit {
				if lit == n {
					lux[k] += truths[n].factor * one.Lux(s.At, s.Normal)
				}
			}
		}
	}
	return lux
}

// noisy are readings with errors of a share of them (normal, as logarithms).
func noisy(lux []float64, share float64, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 11))
	out := make([]float64, len(lux))
	for i, v := range lux {
		out[i] = v * math.Exp(share*r.NormFloat64())
	}
	return out
}

// bar is one lamp read at eight distances; both is a bar and a spot read one by one and together.
func bar() *rig {
	r := &rig{lamps: []geometry.Lamp{lamp("bar", r3.Vec{X: -1.9, Z: 2}, 4, 12, 10000, 1)}}
	r.stake(nil, 0.6, 8, 12, 16, 20, 25, 30, 40, 60)
	return r
}

func both() *rig {
	r := &rig{lamps: []geometry.Lamp{
		lamp("bar", r3.Vec{X: -1.9, Z: 2}, 4, 14, 10000, 1), lamp("spot", r3.Vec{Z: 0.8}, 1, 8, 2500, 0),
	}}
	r.stake([]int{0}, 0.6, 8, 14, 20, 30, 45)
	r.stake([]int{1}, 0.6, 8, 14, 20)
	r.stake([]int{1}, 1.8, 8, 14, 20) // a low lamp shines level: only heights tell its tilt
	r.stake(nil, 0.6, 15, 35)
	return r
}

// Exact readings give back what is true.
func TestExactReadingsAreExplained(t *testing.T) {
	for _, truths := range [][]truth{{{1, 0}, {1, 0}}, {{0.7, 0.8}, {0.85, -0.5}}, {{1.3, -1.2}, {0.5, 1}}} {
		r := both()
		got, err := r.problem().Fit(r.readings(truths...), 0.05)
		if err != nil {
			t.Fatal(err)
		}
		for g, e := range got.Groups {
			if !e.FactorTold || !e.TiltTold {
				t.Errorf("%s: not told: %+v", r.lamps[g].Name, e)
			}
			// What is believed beforehand pulls by less than a thousandth.
			if math.Abs(math.Log(e.Factor/truths[g].factor)) > 0.003 || math.Abs(e.Tilt/deg-truths[g].tilt) > 0.02 {
				t.Errorf("%s: factor %.4f and tilt %.3f°, want %+v", r.lamps[g].Name, e.Factor, e.Tilt/deg, truths[g])
			}
		}
		if got.Misfit > 0.002 {
			t.Errorf("misfit %.4f of exact readings", got.Misfit)
		}
	}
}

// Readings with an error of 5 % give back what is true, each figure within what is said of it, in
// at least 90 of 100 draws.
func TestNoisyReadingsAreWithinWhatIsSaid(t *testing.T) {
	draws := uint64(100)
	if *sweep {
		draws = 2000
	}
	for name, c := range map[string]struct {
		rig    *rig
		truths []truth
	}{
		"bar":          {bar(), []truth{{0.7, 0.8}}},
		"bar and spot": {both(), []truth{{0.65, -0.6}, {1.2, 0.5}}},
	} {
		exact, p := c.rig.readings(c.truths...), c.rig.problem()
		within, told := 0, 0
		for seed := range draws {
			got, err := p.Fit(noisy(exact, 0.05, seed), 0.05)
			if err != nil {
				t.Fatal(err)
			}
			all, known := true, true
			for g, e := range got.Groups {
				all = all && e.Low() <= c.truths[g].factor && c.truths[g].factor <= e.High() &&
					math.Abs(e.Tilt/deg-c.truths[g].tilt) <= e.TiltOff/deg
				known = known && e.FactorTold && e.TiltTold
			}
			if all {
				within++
			}
			if known {
				told++
			}
		}
		t.Logf("%s: all figures within in %d of %d draws, told in %d", name, within, draws, told)
		if within < int(draws)*90/100 {
			t.Errorf("%s: all figures are within what is said in %d of %d draws", name, within, draws)
		}
		if told < int(draws)*90/100 {
			t.Errorf("%s: told in %d of %d draws", name, told, draws)
		}
	}
}

// Readings that err by more than was assumed are known by how badly they fit.
func TestWorseReadingsAreLessSure(t *testing.T) {
	r := bar()
	exact, p := r.readings(truth{0.7, 0.8}), r.problem()
	within := 0
	const draws = 100
	for seed := range uint64(draws) {
		got, err := p.Fit(noisy(exact, 0.15, seed), 0.05)
		if err != nil {
			t.Fatal(err)
		}
		if e := got.Groups[0]; e.Low() <= 0.7 && 0.7 <= e.High() && math.Abs(e.Tilt/deg-0.8) <= e.TiltOff/deg {
			within++
		}
	}
	if within < 90 {
		t.Errorf("with errors of 15 %% where 5 %% are assumed, within in %d of %d draws", within, draws)
	}
}

// Where readings cannot tell, that is said.
func TestWhatCannotBeTold(t *testing.T) {
	three := both()
	three.stakes = nil
	three.stake(nil, 0.6, 12, 25, 40)
	unlit := both()
	unlit.stakes = nil
	unlit.stake([]int{0}, 0.6, 8, 14, 20, 30, 45)
	one := bar()
	one.stakes = one.stakes[4:5]
	for _, c := range []struct {
		name string
		rig  *rig
		told string // factor and tilt of each lamp
	}{
		{"three readings for two lamps", three, "- - - -"},
		{"the spot was never lit", unlit, "f t - -"},
		{"one reading", one, "- -"},
	} {
		truths := []truth{{0.8, 0.3}, {0.9, -0.3}}
		got, err := c.rig.problem().Fit(c.rig.readings(truths[:len(c.rig.lamps)]...), 0.05)
		if err != nil {
			t.Fatal(err)
		}
		told := ""
		for _, e := range got.Groups {
			f, tilt := "-", "-"
			if e.FactorTold {
				f = "f"
			}
			if e.TiltTold {
				tilt = "t"
			}
			told += fmt.Sprintf("%s %s ", f, tilt)
		}
		if told != c.told+" " {
			t.Errorf("%s: told %q, want %q: %+v", c.name, told, c.told, got.Groups)
		}
		if c.name == "the spot was never lit" && got.Groups[1].Seen != 0 {
			t.Error("a lamp that was never lit is not said to be unseen")
		}
	}
}

// Readings that have no logarithm, or are not one for each stake, are errors.
func TestReadingsThatAreNone(t *testing.T) {
	p := bar().problem()
	for _, lux := range [][]float64{nil, {1}, {1, 2, 3, 4, 5, 6, 7, 0}, {1, 2, 3, 4, 5, 6, 7, math.Inf(1)},
		{1, 2, 3, 4, 5, 6, 7, math.NaN()}} {
		if _, err := p.Fit(lux, 0.05); err == nil {
			t.Errorf("%v: no error", lux)
		}
	}
}

func BenchmarkFit(b *testing.B) {
	r := both()
	lux := noisy(r.readings(truth{0.65, -0.6}, truth{1.2, 0.5}), 0.05, 1)
	for b.Loop() {
		if _, err := r.problem().Fit(lux, 0.05); err != nil {
			b.Fatal(err)
		}
	}
}
