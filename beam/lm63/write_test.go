package lm63_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"beamfall/beam"
	"beamfall/beam/lm63"
)

// shaped is a beam given by its intensity over the angle from the axis and the half-peak angle
// there, as the contract has them: 1/θh² = cos²φ/θH² + sin²φ/θV².
func shaped(across, upDown, peak float64, fall func(theta, half float64) float64) computed {
	return computed{func(ahead, left, up float64) float64 {
		if ahead <= 0 {
			return 0
		}
		rho := math.Hypot(left, up)
		theta := math.Atan2(rho, ahead)
		half := across / 2 * degree
		if rho > 0 {
			half = 1 / math.Hypot(left/rho/(across/2*degree), up/rho/(upDown/2*degree))
		}
		return peak * fall(theta, half)
	}, peak}
}

// quick is a gaussian beam for tests that are not about its values.
func quick(spread, peak float64) beam.Distribution {
	return beam.Gaussian(beam.Round(spread * degree)).WithPeak(peak)
}

func gaussian(across, upDown, peak float64) computed { return super(across, upDown, 2, peak) }

func super(across, upDown, power, peak float64) computed {
	return shaped(across, upDown, peak, func(theta, half float64) float64 {
		return math.Exp2(-math.Pow(theta/half, power))
	})
}

func cosine(spread, peak float64) computed {
	return shaped(spread, spread, peak, func(theta, half float64) float64 {
		return math.Pow(math.Cos(theta), math.Log(0.5)/math.Log(math.Cos(half)))
	})
}

func uniform(across, upDown, peak float64) computed {
	return shaped(across, upDown, peak, func(theta, half float64) float64 {
		if theta <= half {
			return 1
		}
		return 0
	})
}

// turned is a beam whose axis points to the right and up of the lamp's.
func turned(c computed, right, up float64) computed {
	a := typeA(right, up)
	r, u := typeA(right+90, 0), typeA(right, up+90)
	return computed{func(ahead, left, high float64) float64 {
		along := func(e direction) float64 { return ahead*e[0] + left*e[1] + high*e[2] }
		return c.cd(along(a), -along(r), along(u))
	}, c.peak}
}

// sum is several beams in one housing.
func sum(parts ...computed) computed {
	var peak float64
	for _, p := range parts {
		peak += p.peak
	}
	return computed{func(ahead, left, up float64) (cd float64) {
		for _, p := range parts {
			cd += p.cd(ahead, left, up)
		}
		return cd
	}, peak}
}

func written(t testing.TB, d beam.Distribution) (*lm63.File, []byte) {
	t.Helper()
	var text bytes.Buffer
	if err := lm63.Write(&text, d, lm63.Header{Lamp: "test"}); err != nil {
		t.Fatal(err)
	}
	f, err := lm63.Read(bytes.NewReader(text.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	return f, text.Bytes()
}

// What is written reads back within 1 % wherever there is more than 1 % of the peak.
func TestWriteReadsBack(t *testing.T) {
	type test struct {
		name     string
		d        computed
		wide     float64 // degrees off the axis to try
		oneSided bool
	}
	tests := []test{
		{"flood 174°, as bright as may be", gaussian(174, 174, 1e10), 89.9, true},
		{"spot off the axis", turned(gaussian(0.8, 0.6, 2e6), -7, 4), 10, false},
		{"rolled", computed{tilted, 50000}, 20, false},
	}
	if *sweep {
		tests = append(tests,
			test{"spot 4°", gaussian(4, 4, 500000), 8, true},
			test{"spot 0.6°", gaussian(0.6, 0.6, 2e6), 1.2, true},
			test{"flood 36°", gaussian(36, 36, 5000), 60, true},
			test{"driving 60° × 8°", gaussian(60, 8, 30000), 89, true},
			test{"Lambertian", cosine(120, 1000/math.Pi), 89.9, true},
			test{"cosine 10°", cosine(10, 1e5), 20, true},
			test{"steep, field 1.3 × spread", super(10, 10, math.Log(math.Log2(10))/math.Log(1.3), 1e5), 10, true},
			test{"off the axis", turned(gaussian(5, 3, 80000), 12, -3), 25, false},
			test{"spot in a flood", sum(gaussian(5, 5, 1e5), gaussian(60, 40, 2000)), 80, true},
		)
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			f, text := written(t, c.d)
			if len(f.Doubts) > 0 {
				t.Errorf("doubts: %q", f.Doubts)
			}
			d := f.Distribution(1)
			random := rand.New(rand.NewPCG(5, 6))
			tried, worst := 0, 0.0
			try := func(gamma, around float64) {
				to := typeC(gamma, around)
				want := candela(c.d, to)
				if want < 0.01*c.d.peak {
					return
				}
				tried++
				worst = max(worst, math.Abs(candela(d, to)-want)/want)
			}
			for range 10000 {
				try(c.wide*math.Sqrt(random.Float64()), 360*random.Float64())
				try(c.wide*random.Float64(), 360*random.Float64())
			}
			t.Logf("%d directions, worst %.2f %%, %d × %d angles, %d kB",
				tried, 100*worst, len(f.Horizontal), len(f.Vertical), len(text)/1000)
			if worst > 0.01 {
				t.Errorf("reads back %.2f %% off", 100*worst)
			}
			if tried < 100 {
				t.Errorf("only %d directions tried", tried)
			}
			if len(text) > 1e6 {
				t.Errorf("%d kB", len(text)/1000)
			}
			near(t, "flux", d.Flux(), sphereFlux(c.d), 0.005)
			if oneSided := f.Horizontal[0] == 0; oneSided != c.oneSided {
				t.Errorf("written one-sided: %v", oneSided)
			}
		})
	}
}

// A hard edge reads back sharp: beyond a small part of the beam's width on either side of it there
// is no trace of the table.
func TestWriteHardEdges(t *testing.T) {
	for _, spread := range []float64{0.6, 10, 120} {
		d := uniform(spread, spread, 1000)
		f, text := written(t, d)
		table := f.Distribution(1)
		blur := 0.0
		for gamma := 0.0; gamma < min(spread, 90); gamma += spread / 500 {
			for around := 0.0; around < 360; around += 3.7 {
				to := typeC(gamma, around)
				if math.Abs(candela(table, to)-candela(d, to)) > 10 {
					blur = max(blur, math.Abs(gamma-spread/2))
				}
			}
		}
		t.Logf("%g°: edge blurred by %.2f %% of the spread, %d × %d angles, %d kB",
			spread, 100*blur/spread, len(f.Horizontal), len(f.Vertical), len(text)/1000)
		if blur > spread/100 {
			t.Errorf("%g°: the edge is blurred by %.3f°", spread, blur)
		}
		near(t, fmt.Sprintf("%g° flux", spread), table.Flux(), 2000*math.Pi*(1-math.Cos(spread/2*degree)), 0.01)
	}
}

func TestWriteHeader(t *testing.T) {
	var text bytes.Buffer
	note := strings.Repeat("Gaussian, spread 10 degrees, field 20 degrees; ", 8)
	header := lm63.Header{
		Lamp: "roof\nbar", Maker: "own make", Issued: time.Date(2031, 5, 7, 0, 0, 0, 0, time.UTC),
		Notes: []string{note, "TILT=NONE of your business"}, Width: 1.25, Height: 0.05, Watts: 120,
	}
	if err := lm63.Write(&text, quick(10, 45000), header); err != nil {
		t.Fatal(err)
	}
	for i, line := range strings.Split(strings.TrimSuffix(text.String(), "\r\n"), "\r\n") {
		if len(line) > 132 || strings.ContainsAny(line, "\r\n") {
			t.Errorf("line %d: %q", i+1, line)
		}
	}
	f := read(t, text.String())
	factor := f.Multiplier * f.BallastFactor * f.ThirdFactor
	if f.Edition != 2002 || f.Type != lm63.TypeB || f.Lamps != 1 || f.LumensPerLamp != -1 || factor != 1 {
		t.Errorf("got %d %v, %d lamps of %g lm", f.Edition, f.Type, f.Lamps, f.LumensPerLamp)
	}
	if f.Width != 1.25 || f.Height != 0.05 || f.Watts != 120 {
		t.Errorf("width %g height %g watts %g", f.Width, f.Height, f.Watts)
	}
	for name, want := range map[string]string{
		"TEST": "computed from a model, not measured", "TESTLAB": "none: written by beamfall",
		"ISSUEDATE": "2031-05-07", "MANUFAC": "own make",
		"LUMINAIRE": "roof bar", "OTHER": strings.TrimSpace(note),
	} {
		if got := strings.ReplaceAll(f.Keyword(name), "\n", " "); got != want {
			t.Errorf("[%s] %q, want %q", name, got, want)
		}
	}
	// The first and last angles are those that the format asks for.
	for _, angles := range [][]float64{f.Vertical, f.Horizontal} {
		if last := angles[len(angles)-1]; math.Abs(last-math.Pi/2) > 1e-12 {
			t.Errorf("angles end at %g°", last/degree)
		}
	}

	text.Reset()
	if err := lm63.Write(&text, quick(10, 45000), lm63.Header{}); err != nil {
		t.Fatal(err)
	}
	f = read(t, text.String())
	if f.Keyword("ISSUEDATE") != "not given" || f.Keyword("MANUFAC") != "not given" || f.Keyword("LUMINAIRE") != "" {
		t.Errorf("empty header: %q", f.Keywords)
	}
}

func TestWriteErrors(t *testing.T) {
	sphere := computed{func(_, _, _ float64) float64 { return 100 }, 100}
	nan := computed{func(_, _, _ float64) float64 { return math.NaN() }, 100}
	for _, c := range []struct {
		name   string
		d      beam.Distribution
		header lm63.Header
		want   string
	}{
		{"backwards", sphere, lm63.Header{Lamp: "bulb"},
			`LM-63 file of "bulb": the beam shines backwards too; a type B file holds what goes ahead`},
		{"NaN", nan, lm63.Header{}, "NaN cd at H -90°, V -90°: 0 to 1e+10 cd would be right"},
		{"nowhere", computed{gaussian(10, 10, 9).cd, 1000}, lm63.Header{},
			"LM-63 file: no direction ahead comes near the peak of 1000 cd"},
		{"dark", quick(10, 0), lm63.Header{}, "peak: 0 cd is not from 1e-06 to 1e+10 cd"},
		{"too bright", quick(10, math.Inf(1)), lm63.Header{}, "peak: +Inf cd is not from"},
		{"width", quick(10, 1000), lm63.Header{Width: -1}, "width, height or watts: -1 is not from 0 to 1e+10"},
	} {
		if err := lm63.Write(&bytes.Buffer{}, c.d, c.header); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %s", c.name, err, c.want)
		}
	}
	full := errors.New("the disk is full")
	if err := lm63.Write(failing{full}, quick(10, 1000), lm63.Header{}); !errors.Is(err, full) {
		t.Errorf("a writer's error: %v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// Written values are short: four digits say all that a model knows.
func TestWriteShort(t *testing.T) {
	_, text := written(t, quick(10, 123456.789))
	_, numbers, _ := strings.Cut(string(text), "TILT=NONE")
	for _, word := range strings.Fields(numbers) {
		if len(word) > 8 {
			t.Fatalf("a number of %d characters: %s", len(word), word)
		}
	}
	if !strings.Contains(numbers, " 123500 ") {
		t.Error("the peak of 123456.789 cd is not written as 123500")
	}
}

func BenchmarkWrite(b *testing.B) {
	d := gaussian(10, 4, 1e5)
	for b.Loop() {
		if err := lm63.Write(&bytes.Buffer{}, d, lm63.Header{}); err != nil {
			b.Fatal(err)
		}
	}
}
