package lm63

import (
	"math"
	"testing"
)

// The way round the square gives the angle that math.Atan2 gives, to 1e-9 rad: a fifty-millionth of
// a degree.
func TestPlace(t *testing.T) {
	uneven := []float64{-math.Pi, -3, -1, -1e-3, 0, 1e-4, 2e-4, 0.5, math.Pi / 2, 3.1, math.Pi}
	turn := []float64{0, 0.1, 2, 4, 2 * math.Pi}
	for _, c := range []struct {
		nodes []float64
		wrap  bool
	}{{uneven, false}, {turn, true}} {
		a := newAxis(c.nodes, c.wrap)
		for i := -100000; i <= 100000; i++ {
			y, x := math.Sincos(float64(i) * math.Pi / 100000)
			for _, size := range []float64{1, 1e-150} {
				want := math.Atan2(y, x)
				if c.wrap && want < 0 {
					want += 2 * math.Pi
				}
				in, fraction, ok := a.place(y*size, x*size)
				got := c.nodes[in] + fraction*(c.nodes[in+1]-c.nodes[in])
				if !ok || math.Abs(got-want) > 1e-9 {
					t.Fatalf("(%g, %g): got %.12f in cell %d, want %.12f", y, x, got, in, want)
				}
			}
		}
	}
}

func TestPlaceOutside(t *testing.T) {
	a := newAxis([]float64{-0.5, 0, 1}, false)
	for _, c := range []struct {
		angle float64
		want  bool
	}{
		{-0.5, true}, {1, true}, {0.3, true}, {-0.5 - 1e-8, false}, {1 + 1e-8, false},
		{2, false}, {-2, false}, {math.Pi, false}, {math.NaN(), false},
	} {
		if _, _, ok := a.place(math.Sin(c.angle), math.Cos(c.angle)); ok != c.want {
			t.Errorf("%g rad: found %v, want %v", c.angle, ok, c.want)
		}
	}
	// The point without an angle counts as at 0, the pole's.
	if in, fraction, ok := a.place(0, 0); !ok || in+int(fraction) != 1 {
		t.Errorf("pole: cell %d, fraction %g, %v", in, fraction, ok)
	}
}
