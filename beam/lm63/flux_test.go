package lm63_test

import (
	"math"
	"testing"
)

// Fluxes that any textbook gives in closed form.
func TestFlux(t *testing.T) {
	const head = "IESNA:LM-63-2002\nTILT=NONE\n"
	sin := func(deg float64) float64 { return math.Sin(deg * degree) }
	for _, c := range []struct {
		name string
		text string
		want float64
	}{
		// Textbook exercise (isotropic 628 lm: 50 cd), as in H. C. Verma, Concepts of Physics 1,
		// ch. 22, from memory.
		{"isotropic, 50 cd", "1 -1 1 3 1 1 2 0 0 0\n1 1 1\n0 90 180\n0\n50 50 50\n", 4 * math.Pi * 50},
		{"isotropic, type A all round",
			"1 -1 1 3 3 3 2 0 0 0\n1 1 1\n-90 0 90\n-180 0 180\n50 50 50 50 50 50 50 50 50\n", 4 * math.Pi * 50},
		{"isotropic, type B all round",
			"1 -1 1 3 3 2 2 0 0 0\n1 1 1\n-180 0 180\n-90 0 90\n50 50 50 50 50 50 50 50 50\n", 4 * math.Pi * 50},
		// Cone: 2π(1 - cos(α/2)) sr, 1 sr at α = 65.54° (BIPM SI brochure; geometry).
		// The SI brochure's 65.54° has four digits: 1.5e-4 of the flux.
		{"one steradian, 100 cd", "1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 32.77\n0\n100 100\n", 100},
		// Belts between parallels: Δazimuth · Δsin(elevation).
		{"type A window", "1 -1 1 2 2 3 2 0 0 0\n1 1 1\n-10 20\n-30 40\n7 7 7 7\n",
			7 * 70 * degree * (sin(20) + sin(10))},
		{"type B window", "1 -1 1 2 2 2 2 0 0 0\n1 1 1\n-10 20\n-30 40\n7 7 7 7\n",
			7 * 30 * degree * (sin(40) + sin(30))},
		{"type A quarter", "1 -1 1 2 2 3 2 0 0 0\n1 1 1\n0 20\n0 40\n7 7 7 7\n", 7 * 80 * degree * 2 * sin(20)},
		// ∫ (1 - θ/β) 2π sin θ dθ = 2π (1 - sin β / β)
		{"straight to dark at 30°",
			"1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 30\n0\n1000 0\n", 2000 * math.Pi * (1 - sin(30)/(30*degree))},
		// The same in azimuth: a quadrant that falls straight from 100 to 0 has the mean.
		{"quadrants", "1 -1 1 2 2 1 2 0 0 0\n1 1 1\n80 90\n0 90\n100 100 0 0\n",
			50 * 2 * math.Pi * math.Cos(80*degree)},
	} {
		f := read(t, head+c.text)
		d := f.Distribution(1)
		share := 1e-6
		if c.want == 100 {
			share = 1.5e-4
		}
		near(t, c.name, d.Flux(), c.want, share)
		near(t, c.name+", added up over the sphere", sphereFlux(d), c.want, 0.01)
	}
}

// Relative files add up to what their header says their lamps give.
func TestRatedFlux(t *testing.T) {
	for name, share := range map[string]float64{
		"round-1986.ies":  0.001,  // Lambertian in steps of 5°: the chord of a cosine is h²/12 low
		"half-b-1995.ies": 0.002,  // cos⁸ in steps of 5°
		"tilt-1995.ies":   0.0001, // isotropic
	} {
		f := load(t, name)
		rated, absolute := f.RatedLumens()
		if absolute {
			t.Fatalf("%s is absolute", name)
		}
		near(t, name, f.Distribution(1).Flux(), rated, share)
	}
	if rated, absolute := load(t, "hand-b-2002.ies").RatedLumens(); rated != 0 || !absolute {
		t.Errorf("absolute photometry: rated %g lm, absolute %v", rated, absolute)
	}
}

// Scaled to 628 lm an isotropic lamp has 50 cd, and 40 lx at 1 m where cos(incidence) is 0.8 (the
// same exercise).
func TestScale(t *testing.T) {
	f := load(t, "tilt-1995.ies")
	rated, _ := f.RatedLumens()
	d := f.Distribution(2 * rated / rated)
	near(t, "twice the flux", d.Flux(), 4*math.Pi*100, exact)
	near(t, "twice the peak", d.Peak(), 100, exact)
	d = f.Distribution(628 / f.Distribution(1).Flux())
	cd := candela(d, typeC(37, 200))
	near(t, "candela", cd, 50, 0.001)
	near(t, "lux", cd*0.8/(1*1), 40, 0.001)
	if again := f.Distribution(1).Peak(); again != 50 {
		t.Errorf("the file's own peak has become %g cd", again)
	}
	for _, scale := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("scale %v does not panic", scale)
				}
			}()
			f.Distribution(scale)
		}()
	}
}

// Nothing is lit beyond the cutoff, and something is just inside it.
func TestCutoff(t *testing.T) {
	for _, c := range []struct {
		name string
		text string
		want float64
	}{
		{"cone of 10°", "1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 10\n0\n1 1\n", math.Cos(10 * degree)},
		{"dark from 20° on", "1 -1 1 4 1 1 2 0 0 0\n1 1 1\n0 10 20 90\n0\n9 9 0 0\n", math.Cos(20 * degree)},
		{"less than 1e-12 of the peak is dark",
			"1 -1 1 4 1 1 2 0 0 0\n1 1 1\n0 10 20 90\n0\n1000 9 9e-10 9e-10\n", math.Cos(20 * degree)},
		{"sphere", "1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 180\n0\n1 1\n", -1},
		{"window, type A", "1 -1 1 2 2 3 2 0 0 0\n1 1 1\n-10 20\n-30 40\n7 7 7 7\n",
			math.Cos(20*degree) * math.Cos(40*degree)},
		{"window, type B", "1 -1 1 2 2 2 2 0 0 0\n1 1 1\n-10 20\n-30 40\n7 7 7 7\n",
			math.Cos(20*degree) * math.Cos(40*degree)},
		{"ring behind, type A", "1 -1 1 2 2 3 2 0 0 0\n1 1 1\n-10 20\n-30 120\n7 7 7 7\n", math.Cos(120 * degree)},
		{"above and behind, type A",
			"1 -1 1 2 2 3 2 0 0 0\n1 1 1\n10 20\n-30 120\n7 7 7 7\n", math.Cos(120*degree) * math.Cos(10*degree)},
	} {
		d := read(t, "IESNA:LM-63-2002\nTILT=NONE\n"+c.text).Distribution(1)
		if math.Abs(d.Cutoff()-c.want) > 1e-8 {
			t.Errorf("%s: got %.10f, want %.10f", c.name, d.Cutoff(), c.want)
		}
		nearest := 1.0
		for gamma := 0.05; gamma < 180; gamma += 0.1 {
			for around := 0.05; around < 360; around += 2 {
				to := typeC(gamma, around)
				if cd := candela(d, to); cd > 1e-12*d.Peak() {
					nearest = min(nearest, to[0])
					if to[0] < d.Cutoff() {
						t.Fatalf("%s: %g cd at ahead %.8f, beyond the cutoff %.8f", c.name, cd, to[0], d.Cutoff())
					}
				}
			}
		}
		if nearest > d.Cutoff()+0.02 {
			t.Errorf("%s: nothing lit beyond ahead %.4f, cutoff %.4f", c.name, nearest, d.Cutoff())
		}
	}
}

// batched are samples of every type and symmetry.
var batched = []string{
	"round-1986.ies", "quadrant-1991.ies", "full-2019.ies", "driving-a-2002.ies", "half-b-1995.ies",
}

// The batch is the single question, many times over.
func TestCandelas(t *testing.T) {
	for _, name := range batched {
		d := load(t, name).Distribution(1.7)
		ahead, left, up := directions(2000)
		dst := make([]float64, 1999)
		d.Candelas(dst, ahead, left, up)
		for i, cd := range dst {
			if want := d.Candela(ahead[i], left[i], up[i]); cd != want {
				t.Fatalf("%s, direction %d: %g cd in the batch, %g alone", name, i, cd, want)
			}
			if !(cd >= 0 && cd <= d.Peak()*(1+1e-12)) {
				t.Fatalf("%s, direction %d: %g cd with a peak of %g", name, i, cd, d.Peak())
			}
		}
		if n := testing.AllocsPerRun(10, func() { d.Candelas(dst, ahead, left, up) }); n != 0 {
			t.Errorf("%s: %g allocations in a batch", name, n)
		}
	}
}

// directions are spread evenly over the sphere (Fibonacci's lattice).
func directions(n int) (ahead, left, up []float64) {
	for i := range n {
		z := 1 - (2*float64(i)+1)/float64(n)
		sin, cos := math.Sincos(float64(i) * math.Pi * (3 - math.Sqrt(5)))
		rho := math.Sqrt(1 - z*z)
		ahead, left, up = append(ahead, z), append(left, rho*cos), append(up, rho*sin)
	}
	return ahead, left, up
}

func BenchmarkCandelas(b *testing.B) {
	for _, name := range batched {
		b.Run(name, func(b *testing.B) {
			d := load(b, name).Distribution(1)
			var ahead, left, up []float64
			for v := -20.0; v < 20; v += 0.4 { // a picture, row by row
				for h := -50.0; h < 50; h += 0.5 {
					to := typeA(h, v)
					ahead, left, up = append(ahead, to[0]), append(left, to[1]), append(up, to[2])
				}
			}
			dst := make([]float64, len(ahead))
			b.ReportAllocs()
			for b.Loop() {
				d.Candelas(dst, ahead, left, up)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(dst)), "ns/direction")
		})
	}
}
