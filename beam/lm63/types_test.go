package lm63_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"beamfall/beam/lm63"
)

// tilted is a smooth beam without any symmetry: longer than high, rolled, and off the axis to the
// right and up.
func tilted(ahead, left, up float64) float64 {
	if ahead <= 0 {
		return 0
	}
	sin, cos := math.Sincos(20 * degree)
	a, b := -left-math.Sin(2*degree), up-math.Sin(1*degree)
	along, across := a*cos+b*sin, b*cos-a*sin
	u, w := along/math.Sin(6*degree), across/math.Sin(4*degree)
	return 50000 * math.Exp2(-(u*u + w*w))
}

// tabulated writes a beam as a file of the given type.
func tabulated(kind lm63.Type, vertical, horizontal []float64, shine func(ahead, left, up float64) float64) string {
	to := map[lm63.Type]func(h, v float64) direction{
		lm63.TypeA: typeA,
		lm63.TypeB: typeB,
		lm63.TypeC: func(h, v float64) direction { return typeC(v, h) },
	}[kind]
	var b strings.Builder
	fmt.Fprintf(&b, "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 %d %d %d 2 0 0 0\n1 1 1\n", len(vertical), len(horizontal),
		kind)
	for _, angles := range [][]float64{vertical, horizontal} {
		for _, a := range angles {
			fmt.Fprintf(&b, "%.6g\n", a)
		}
	}
	for _, h := range horizontal {
		for _, v := range vertical {
			d := to(h, v)
			fmt.Fprintf(&b, "%.7g\n", max(shine(d[0], d[1], d[2]), 0))
		}
	}
	return b.String()
}

func steps(from, to, step float64) (angles []float64) {
	for i := 0; ; i++ {
		a := from + float64(i)*step
		if a > to+step/2 {
			return angles
		}
		angles = append(angles, a)
	}
}

// One beam in the three types is one beam: this is what fixes their axes and signs against each
// other.
func TestOneBeamInThreeTypes(t *testing.T) {
	square := steps(-24, 24, 0.1)
	files := map[lm63.Type]*lm63.Table{
		lm63.TypeA: read(t, tabulated(lm63.TypeA, square, square, tilted)).Distribution(1),
		lm63.TypeB: read(t, tabulated(lm63.TypeB, square, square, tilted)).Distribution(1),
		lm63.TypeC: read(t, tabulated(lm63.TypeC, steps(0, 24, 0.1), steps(0, 360, 1), tilted)).Distribution(1),
	}
	const peak = 50000
	random := rand.New(rand.NewPCG(1, 2))
	tried := 0
	for range 5000 {
		to := typeC(23*math.Sqrt(random.Float64()), 360*random.Float64())
		want := tilted(to[0], to[1], to[2])
		if want < 0.001*peak {
			continue
		}
		tried++
		for kind, d := range files {
			if got := candela(d, to); math.Abs(got-want) > 0.005*want {
				t.Fatalf("type %v, ahead %.4f left %.4f up %.4f: got %.6g cd, want %.6g within 0.5 %%",
					kind, to[0], to[1], to[2], got, want)
			}
		}
	}
	if tried < 2000 {
		t.Fatalf("only %d directions are in the beam", tried)
	}
	for kind, d := range files {
		near(t, fmt.Sprintf("type %v flux", kind), d.Flux(), sphereFlux(computed{tilted, peak}), 0.005)
		near(t, fmt.Sprintf("type %v peak", kind), d.Peak(), peak, 0.005)
	}
}

// computed is a test beam given by its intensity alone.
type computed struct {
	cd   func(ahead, left, up float64) float64
	peak float64
}

func (c computed) Candela(ahead, left, up float64) float64 { return c.cd(ahead, left, up) }
func (c computed) Candelas(dst, ahead, left, up []float64) {
	for i := range dst {
		dst[i] = c.cd(ahead[i], left[i], up[i])
	}
}
func (c computed) Peak() float64   { return c.peak }
func (c computed) Flux() float64   { return sphereFlux(c) }
func (c computed) Cutoff() float64 { return -1 }

// Files that leave out a part by symmetry are the same light as those that spell it out.
func TestSymmetrySpelledOut(t *testing.T) {
	oblong := func(ahead, left, up float64) float64 {
		return max(ahead, 0) * 1000 * math.Exp2(-(2*left*left + 9*up*up))
	}
	rightward := func(ahead, left, up float64) float64 { return oblong(ahead, left, up) * (1 - 0.7*left) }
	downward := func(ahead, left, up float64) float64 { return oblong(ahead, left, up) * (1 - 0.7*up) }
	roundish := func(ahead, _, _ float64) float64 { return 1000 * max(ahead, 0) }
	gamma, all := steps(0, 90, 2.5), steps(-90, 90, 2.5)
	full := steps(0, 360, 15)
	for _, c := range []struct {
		name           string
		short, written string
	}{
		{"C round",
			tabulated(lm63.TypeC, gamma, []float64{0}, roundish),
			tabulated(lm63.TypeC, gamma, full, roundish)},
		{"C quadrants",
			tabulated(lm63.TypeC, gamma, steps(0, 90, 15), oblong),
			tabulated(lm63.TypeC, gamma, full, oblong)},
		{"C 0-180",
			tabulated(lm63.TypeC, gamma, steps(0, 180, 15), rightward),
			tabulated(lm63.TypeC, gamma, full, rightward)},
		{"C 90-270",
			tabulated(lm63.TypeC, gamma, steps(90, 270, 15), downward),
			tabulated(lm63.TypeC, gamma, full, downward)},
		{"C 180-360",
			tabulated(lm63.TypeC, gamma, steps(180, 360, 15), rightward),
			tabulated(lm63.TypeC, gamma, full, rightward)},
		{"C -90-90",
			tabulated(lm63.TypeC, gamma, steps(-90, 90, 15), downward),
			tabulated(lm63.TypeC, gamma, full, downward)},
		{"C -180-180",
			tabulated(lm63.TypeC, gamma, steps(-180, 180, 15), rightward),
			tabulated(lm63.TypeC, gamma, full, rightward)},
		{"C 0-345",
			tabulated(lm63.TypeC, gamma, steps(0, 345, 15), rightward),
			tabulated(lm63.TypeC, gamma, full, rightward)},
		{"C 90-180",
			tabulated(lm63.TypeC, gamma, steps(90, 180, 15), oblong),
			tabulated(lm63.TypeC, gamma, full, oblong)},
		{"B one-sided",
			tabulated(lm63.TypeB, all, gamma, downward),
			tabulated(lm63.TypeB, all, all, downward)},
		{"A one-sided",
			tabulated(lm63.TypeA, all, gamma, downward),
			tabulated(lm63.TypeA, all, all, downward)},
		{"B up only",
			tabulated(lm63.TypeB, gamma, all, rightward),
			tabulated(lm63.TypeB, all, all, rightward)},
		{"A up only",
			tabulated(lm63.TypeA, gamma, all, rightward),
			tabulated(lm63.TypeA, all, all, rightward)},
		{"B quarter",
			tabulated(lm63.TypeB, gamma, gamma, oblong),
			tabulated(lm63.TypeB, all, all, oblong)},
		{"A quarter",
			tabulated(lm63.TypeA, gamma, gamma, oblong),
			tabulated(lm63.TypeA, all, all, oblong)},
		{"B one cut",
			tabulated(lm63.TypeB, gamma, []float64{0}, roundish),
			tabulated(lm63.TypeC, gamma, []float64{0}, roundish)},
		{"A one cut",
			tabulated(lm63.TypeA, all, []float64{0}, roundish),
			tabulated(lm63.TypeC, gamma, []float64{0}, roundish)},
	} {
		t.Run(c.name, func(t *testing.T) {
			short, written := read(t, c.short).Distribution(1), read(t, c.written).Distribution(1)
			random := rand.New(rand.NewPCG(3, 4))
			for range 3000 {
				to := typeC(180*random.Float64(), 360*random.Float64())
				a, b := candela(short, to), candela(written, to)
				if math.Abs(a-b) > 2e-6*1000 {
					t.Fatalf("%v: %.8g cd, spelled out %.8g", to, a, b)
				}
			}
			near(t, "flux", short.Flux(), written.Flux(), 1e-6)
			near(t, "peak", short.Peak(), written.Peak(), 1e-6)
			near(t, "cutoff", 2+short.Cutoff(), 2+written.Cutoff(), 1e-6)
		})
	}
}

// Nothing jumps where the azimuth does.
func TestSeam(t *testing.T) {
	for _, name := range []string{"full-2019.ies", "seam-2002.ies"} {
		d := load(t, name).Distribution(1)
		for _, gamma := range []float64{5, 10, 20, 33, 60} {
			const hair = 1e-6
			on := candela(d, typeC(gamma, 0))
			near(t, "just below the seam", candela(d, typeC(gamma, 360-hair)), on, 1e-6)
			near(t, "just above the seam", candela(d, typeC(gamma, hair)), on, 1e-6)
			near(t, "a turn on", candela(d, typeC(gamma, 360)), on, exact)
		}
	}
	// Between C 315 (0.9 of the level at 0) and C 0 the way is straight, in steps of 5 of 45
	// degrees.
	d := load(t, "seam-2002.ies").Distribution(1)
	for k := range 10 {
		want := 1200 + (1333-1200)*float64(k)/9
		near(t, fmt.Sprintf("C %d", 315+5*k), candela(d, typeC(20, float64(315+5*k))), want, exact)
	}
}

// A file whose planes 0 and 360 differ has no seam either, but a doubt.
func TestTornSeam(t *testing.T) {
	f := read(t, "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 3 1 2 0 0 0\n1 1 1\n0 90\n0 180 360\n900 100\n900 100\n"+
		"900 300\n")
	if len(f.Doubts) != 1 || !strings.Contains(f.Doubts[0], "0° and 360° differ by up to 200 cd") {
		t.Errorf("doubts: %q", f.Doubts)
	}
	d := f.Distribution(1)
	near(t, "before the seam", candela(d, typeC(90, 359.999999)), 200, 1e-6)
	near(t, "after the seam", candela(d, typeC(90, 0.000001)), 200, 1e-6)
	near(t, "flux", d.Flux(), sphereFlux(d), 0.003)
}

// A pole is one direction, and has one intensity however it is come upon.
func TestPoles(t *testing.T) {
	for _, c := range []struct {
		name  string
		text  string
		pole  direction
		aside func(hair, around float64) direction
		want  float64
		doubt string
	}{
		{
			name: "C, the beam axis",
			text: "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 4 1 2 0 0 0\n1 1 1\n0 90\n0 90 270 360\n" +
				"400 100\n800 100\n600 100\n400 100\n",
			pole:  direction{1, 0, 0},
			aside: typeC,
			want:  (400*90 + 800*135 + 600*135) / 360., // weighed with the azimuth each plane stands for
			doubt: "at 0° all planes meet in one direction, but are 400 to 800 cd there",
		},
		{
			name: "A, straight up",
			text: "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 3 3 3 2 0 0 0\n1 1 1\n-90 0 90\n-90 0 90\n" +
				"0 700 100\n0 900 300\n0 700 100\n",
			pole:  direction{0, 0, 1},
			aside: func(hair, around float64) direction { return typeA(around/2-90, 90-hair) },
			want:  (100*45 + 300*90 + 100*45) / 180.,
			doubt: "at 90° all planes meet in one direction, but are 100 to 300 cd there",
		},
		{
			name: "B, to the right",
			text: "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 3 3 2 2 0 0 0\n1 1 1\n-90 0 90\n-90 0 90\n" +
				"0 0 0\n700 900 700\n100 300 100\n",
			pole:  direction{0, -1, 0},
			aside: func(hair, around float64) direction { return typeB(90-hair, around/2-90) },
			want:  200,
			doubt: "at 90° all planes meet in one direction, but are 100 to 300 cd there",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := read(t, c.text)
			if len(f.Doubts) != 1 || !strings.Contains(f.Doubts[0], c.doubt) {
				t.Errorf("doubts: %q, want %q", f.Doubts, c.doubt)
			}
			d := f.Distribution(1)
			near(t, "pole", candela(d, c.pole), c.want, exact)
			for around := 1.0; around < 360; around += 7 {
				near(t, fmt.Sprintf("beside the pole, %g° round", around), candela(d, c.aside(1e-5, around)), c.want,
					1e-5)
			}
		})
	}
}
