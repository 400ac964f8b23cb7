package lm63_test

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"beamfall/beam"
	"beamfall/beam/lm63"

	"github.com/google/go-cmp/cmp"
)

const degree = math.Pi / 180

// A direction has the components ahead, left and up.
type direction [3]float64

// The conventions of the three types, as the contract has them, with right = -left.

func typeC(gamma, c float64) direction {
	sinG, cosG := math.Sincos(gamma * degree)
	sinC, cosC := math.Sincos(c * degree)
	return direction{cosG, -sinG * cosC, sinG * sinC}
}

func typeA(h, v float64) direction {
	sinH, cosH := math.Sincos(h * degree)
	sinV, cosV := math.Sincos(v * degree)
	return direction{cosV * cosH, -cosV * sinH, sinV}
}

func typeB(h, v float64) direction {
	sinH, cosH := math.Sincos(h * degree)
	sinV, cosV := math.Sincos(v * degree)
	return direction{cosH * cosV, -sinH, cosH * sinV}
}

func candela(d beam.Distribution, to direction) float64 { return d.Candela(to[0], to[1], to[2]) }

func load(t testing.TB, name string) *lm63.File {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../testdata/lm63", name))
	if err != nil {
		t.Fatal(err)
	}
	f, err := lm63.Read(bytes.NewReader(data))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return f
}

func read(t testing.TB, text string) *lm63.File {
	t.Helper()
	f, err := lm63.Read(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func near(t testing.TB, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: got %.8g, want %.8g within %g %%", what, got, want, 100*share)
	}
}

const exact = 1e-9

// sphereFlux adds up a distribution over the sphere by the midpoint rule, in bands that are narrow
// ahead: it knows nothing of tables. With ahead = 1 - 2s² the solid angle is 4s ds dφ.
func sphereFlux(d beam.Distribution) float64 {
	const bands, turns = 2400, 128
	var ahead, left, up, cd [turns]float64
	var sum float64
	for b := range bands {
		s := (float64(b) + 0.5) / bands
		z := 1 - 2*s*s
		rho := math.Sqrt(1 - z*z)
		for i := range turns {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / turns)
			ahead[i], left[i], up[i] = z, rho*cos, rho*sin
		}
		d.Candelas(cd[:], ahead[:], left[:], up[:])
		for _, v := range cd {
			sum += 4 * s * v
		}
	}
	return sum * 2 * math.Pi / (bands * turns)
}

type spot struct {
	what string
	to   direction
	cd   float64
}

// Every value below is read off the sample file with a finger: a table value times the factors, or
// the mean of two or four neighbours.
func TestSamples(t *testing.T) {
	for _, c := range []struct {
		name     string
		edition  int
		kind     lm63.Type
		rated    float64 // lm; 0 = absolute
		peak     float64
		doubts   []string
		at       []spot
		absolute bool
	}{
		{
			// Lambertian, 1000 lm: I0 = Φ/π.
			name: "round-1986.ies", edition: 1986, kind: lm63.TypeC, rated: 1000, peak: 318.3,
			at: []spot{
				{"ahead", typeC(0, 0), 318.3},
				{"60° right", typeC(60, 0), 159.2},
				{"60° up", typeC(60, 90), 159.2},
				{"60° somewhere", typeC(60, 217), 159.2},
				{"behind", typeC(91, 0), 0},
			},
		},
		{
			// Multiplier 6.2, ballast factor 0.95: 5.89.
			name: "quadrant-1991.ies", edition: 1991, kind: lm63.TypeC, rated: 3000, peak: 5890,
			doubts: []string{"54 % of the 3000 lm"},
			at: []spot{
				{"right", typeC(20, 0), 500 * 5.89},
				{"left", typeC(20, 180), 500 * 5.89},
				{"up", typeC(10, 90), 500 * 5.89},
				{"down", typeC(10, 270), 500 * 5.89},
				{"right, half a step up", typeC(20, 11.25), (500 + 369) / 2. * 5.89},
				{"right, half a step down", typeC(20, 348.75), (500 + 369) / 2. * 5.89},
				{"left, half a step up", typeC(20, 168.75), (500 + 369) / 2. * 5.89},
				{"left, half a step down", typeC(20, 191.25), (500 + 369) / 2. * 5.89},
			},
		},
		{
			name: "bilateral-1995.ies", edition: 1995, kind: lm63.TypeC, absolute: true, peak: 4089,
			at: []spot{
				{"right", typeC(30, 0), 2813},
				{"left", typeC(30, 180), 1688},
				{"up", typeC(30, 90), 2250},
				{"down", typeC(30, 270), 2250},
				{"right and up", typeC(30, 15), (2813 + 2737) / 2.},
				{"right and down", typeC(30, 345), (2813 + 2737) / 2.},
			},
		},
		{
			name: "side-2002.ies", edition: 2002, kind: lm63.TypeC, absolute: true, peak: 4089,
			at: []spot{
				{"up", typeC(30, 90), 1688},
				{"down", typeC(30, 270), 2813},
				{"left", typeC(30, 180), 2250},
				{"right", typeC(30, 0), 2250},
				{"down and left", typeC(30, 255), (2813 + 2737) / 2.},
				{"down and right", typeC(30, 285), (2813 + 2737) / 2.},
			},
		},
		{
			name: "full-2019.ies", edition: 2019, kind: lm63.TypeC, absolute: true, peak: 2000,
			at: []spot{
				{"right", typeC(20, 0), 1333},
				{"right and up", typeC(20, 45), 1200},
				{"right and down", typeC(20, 315), 1200},
				{"half a step before the seam", typeC(20, 337.5), (1200 + 1333) / 2.},
				{"down and left", typeC(15, 225), (833 + 667) / 2.},
				{"between four", typeC(15, 247.5), (833 + 667 + 1167 + 933) / 4.},
			},
		},
		{
			name: "seam-2002.ies", edition: 2002, kind: lm63.TypeC, absolute: true, peak: 2000,
			doubts: []string{"360° is not repeated after 315°"},
			at: []spot{
				{"right", typeC(20, 0), 1333},
				{"half a step before the seam", typeC(20, 337.5), (1200 + 1333) / 2.},
				{"half a step after the seam", typeC(20, 22.5), (1200 + 1333) / 2.},
			},
		},
		{
			name: "half-b-1995.ies", edition: 1995, kind: lm63.TypeB, rated: 698, peak: 1000,
			at: []spot{
				{"right", typeB(20, 0), 608},
				{"left", typeB(-20, 0), 608},
				{"right and up", typeB(20, 10), 538},
				{"left and down", typeB(-20, -10), 538},
				{"left and half a step down", typeB(-20, -12.5), (538 + 461) / 2.},
			},
		},
		{
			name: "driving-a-2002.ies", edition: 2002, kind: lm63.TypeA, absolute: true, peak: 27574,
			at: []spot{
				{"right and below", typeA(10, -2), 25691},
				{"right", typeA(10, 0), 24456},
				{"left", typeA(-10, 0), 13888},
				{"between four", typeA(5, -1), (27574 + 26248 + 25691 + 24456) / 4.},
			},
		},
		{
			name: "half-a-2002.ies", edition: 2002, kind: lm63.TypeA, absolute: true, peak: 9000,
			doubts: []string{"the same below and above"},
			at: []spot{
				{"right", typeA(4, 0), 7000},
				{"left", typeA(-4, 0), 7000},
				{"right and up", typeA(4, 2), 4000},
				{"right and down", typeA(4, -2), 4000},
				{"left and down, half a step right", typeA(-8, -4), 500},
				{"outside", typeA(12.1, 0), 0},
			},
		},
		{
			name: "tilt-1995.ies", edition: 1995, kind: lm63.TypeC, rated: 628.3, peak: 50,
			doubts: []string{"tilt factors are not applied"},
			at:     []spot{{"ahead", typeC(0, 0), 50}, {"behind", typeC(180, 0), 50}, {"up", typeC(90, 90), 50}},
		},
		{
			// Multiplier 2, third factor 0.9: 1.8.
			name: "factor-2019.ies", edition: 2019, kind: lm63.TypeC, absolute: true, peak: 1800,
			doubts: []string{".9 is no file generation type", "stops at vertical angle 10°"},
			at: []spot{
				{"inside", typeC(9.9, 33), 1800}, {"on the edge", typeC(10, 33), 1800},
				{"outside", typeC(10.1, 33), 0},
			},
		},
		{
			name: "wrapped-2002.ies", edition: 2002, kind: lm63.TypeC, absolute: true, peak: 12000,
			at: []spot{
				{"ahead", typeC(0, 0), 12000},
				{"5°", typeC(5, 10), 8000},
				{"7.5°", typeC(7.5, 10), 5500},
				{"15°", typeC(15, 10), 500},
			},
		},
		{
			name: "upper-2002.ies", edition: 2002, kind: lm63.TypeC, rated: 1000, peak: 318,
			doubts: []string{"94 % of the 1000 lm", "180° off the beam axis"},
			at: []spot{
				{"ahead", typeC(0, 0), 0},
				{"aside", typeC(89, 0), 0},
				{"back", typeC(180, 0), 318},
				{"on the way", typeC(157.5, 70), 271.5},
			},
		},
		{
			name: "one-plane-b-2002.ies", edition: 2002, kind: lm63.TypeB, absolute: true, peak: 1000,
			doubts: []string{"round about the beam axis"},
			at: []spot{
				{"ahead", typeB(0, 0), 1000},
				{"up", typeB(0, 5), 400},
				{"down", typeB(0, -5), 600},
				{"right, between the two", typeB(5, 0), 500},
				{"left, between the two", typeB(-5, 0), 500},
				{"down, half a step", typeB(0, -2.5), 800},
			},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := load(t, c.name)
			if f.Edition != c.edition || f.Type != c.kind {
				t.Errorf("edition %d type %v, want %d %v", f.Edition, f.Type, c.edition, c.kind)
			}
			rated, absolute := f.RatedLumens()
			if absolute != c.absolute {
				t.Errorf("absolute: %v", absolute)
			}
			near(t, "rated lumens", rated, c.rated, exact)
			if len(f.Doubts) != len(c.doubts) {
				t.Fatalf("doubts: got %q, want %q", f.Doubts, c.doubts)
			}
			for i, want := range c.doubts {
				if !strings.Contains(f.Doubts[i], want) {
					t.Errorf("doubt %q does not say %q", f.Doubts[i], want)
				}
			}
			d := f.Distribution(1)
			near(t, "peak", d.Peak(), c.peak, exact)
			near(t, "flux", d.Flux(), sphereFlux(d), 0.003)
			for _, s := range c.at {
				near(t, s.what, candela(d, s.to), s.cd, exact)
			}
		})
	}
}

// hand-b-2002.ies angle by angle: multiplier 10 × ballast factor 0.5 = 5. Columns are V = -10, -5,
// 0, 5; the lines between are means of their neighbours.
func TestByHand(t *testing.T) {
	d := load(t, "hand-b-2002.ies").Distribution(1)
	vertical := []float64{-10, -7.5, -5, -2.5, 0, 2.5, 5}
	for _, c := range []struct {
		h  float64
		cd [7]float64
	}{
		{-30, [7]float64{0, 50, 100, 150, 200, 100, 0}},
		{-20, [7]float64{0, 275, 550, 1075, 1600, 900, 200}},
		{-10, [7]float64{0, 500, 1000, 2000, 3000, 1700, 400}},
		{-5, [7]float64{0, 750, 1500, 4000, 6500, 3475, 450}},
		{0, [7]float64{0, 1000, 2000, 6000, 10000, 5250, 500}},
		{5, [7]float64{0, 875, 1750, 4375, 7000, 3737.5, 475}},
		{10, [7]float64{0, 750, 1500, 2750, 4000, 2225, 450}},
		{20, [7]float64{0, 425, 850, 1500, 2150, 1187.5, 225}},
		{30, [7]float64{0, 100, 200, 250, 300, 150, 0}},
		{30.001, [7]float64{}},
		{-30.001, [7]float64{}},
	} {
		for i, v := range vertical {
			got := candela(d, typeB(c.h, v))
			if math.Abs(got-c.cd[i]) > 1e-7*10000 {
				t.Errorf("H %g° V %g°: got %.8g cd, want %g", c.h, v, got, c.cd[i])
			}
		}
		for _, v := range []float64{-10.001, 5.001, 90, 180} {
			if got := candela(d, typeB(c.h, v)); got != 0 {
				t.Errorf("H %g° V %g°: got %g cd outside the table", c.h, v, got)
			}
		}
	}
	// The corner of the table that is farthest off the axis and not dark all round: H 30°, V -10°.
	near(t, "cutoff", d.Cutoff(), math.Cos(30*degree)*math.Cos(10*degree), 1e-6)
}

func TestHeader(t *testing.T) {
	f := load(t, "quadrant-1991.ies") // Latin-1, CR LF
	want := []lm63.Keyword{
		{Name: "TEST", Text: "NONE: INVENTED DATA"},
		{Name: "MANUFAC", Text: "none"},
		{Name: "LUMINAIRE", Text: "Rückfahrscheinwerfer, länglich\nzweite Zeile: 40° × 20°\ndritte Zeile"},
		{Name: "LAMP", Text: "2 × 1500 lm"},
	}
	if diff := cmp.Diff(want, f.Keywords); diff != "" {
		t.Error(diff)
	}
	if got := f.Keyword("LAMP"); got != "2 × 1500 lm" {
		t.Errorf("keyword LAMP: %q", got)
	}
	if got := f.Keyword("BALLAST"); got != "" {
		t.Errorf("keyword BALLAST: %q", got)
	}
	// Quarter of a foot by half a foot: 1 ft = 0.3048 m (NIST SP 811).
	near(t, "width", f.Width, 0.0762, exact)
	near(t, "length", f.Length, 0.1524, exact)
	near(t, "watts", f.Watts, 36, exact)

	old := load(t, "round-1986.ies")
	if diff := cmp.Diff([]string{"WORK LAMP, MATT DOME", "INVENTED DATA"}, old.Labels); diff != "" {
		t.Error(diff)
	}
	if got := load(t, "full-2019.ies"); got.Generation != "1.00010" || got.ThirdFactor != 1 {
		t.Errorf("generation %q, factor %g", got.Generation, got.ThirdFactor)
	}
	if got := load(t, "factor-2019.ies"); got.Generation != "" || got.ThirdFactor != 0.9 {
		t.Errorf("generation %q, factor %g", got.Generation, got.ThirdFactor)
	}
	tilt := &lm63.Tilt{Geometry: 1, Angles: []float64{0, 45 * degree, 90 * degree}, Factors: []float64{1, .97, .94}}
	if diff := cmp.Diff(tilt, load(t, "tilt-1995.ies").Tilt); diff != "" {
		t.Error(diff)
	}
}
