package render

import (
	"image/color"
	"math"
	"testing"
)

// eyes are the ways a picture may be seen. The matrices act on linear sRGB: full dichromacy after G. M. Machado,
// M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE
// TVCG 15(6), 2009, table of severity 1.0 (from memory; each row adds up to 1, so grey stays grey). Grey is the
// luminance of WCAG 2.2.
var eyes = []struct {
	name string
	m    [3][3]float64
}{
	{"full colour", [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}},
	{"protanopia", [3][3]float64{{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}},
	{"deuteranopia", [3][3]float64{{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}},
	{"tritanopia", [3][3]float64{{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}},
	{"grey", [3][3]float64{{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}}},
}

func seen(c color.RGBA, m [3][3]float64) lab {
	in := [3]float64{linear(c.R), linear(c.G), linear(c.B)}
	var out [3]float64
	for i := range out {
		out[i] = min(1, max(0, m[i][0]*in[0]+m[i][1]*in[1]+m[i][2]*in[2]))
	}
	return labOfLinear(out[0], out[1], out[2])
}

// Neighbouring bands differ by at least 8 in CIELAB lightness however they are seen: three times what can just be
// noticed (ΔE*ab about 2.3, Mahy and others 1994, from memory), by lightness alone.
func TestBandsAreToldApart(t *testing.T) {
	for _, theme := range []Theme{Night(), Paper()} {
		way := 1.0
		if theme.Name == "paper" {
			way = -1
		}
		for _, eye := range eyes {
			for i := 1; i < len(theme.Ramp.Bands); i++ {
				a, b := seen(theme.Ramp.Bands[i-1], eye.m), seen(theme.Ramp.Bands[i], eye.m)
				if step := way * (b.L - a.L); step < 8 {
					t.Errorf("%s, %s: lightness steps by %.1f from band %d to %d, want 8", theme.Name, eye.name, step, i-1, i)
				}
			}
		}
	}
}

// Even: one step of lightness is like the other to within rounding of the components, and no step of colour is more
// than half again as large as another.
func TestRampIsEven(t *testing.T) {
	for _, theme := range []Theme{Night(), Paper()} {
		var l, e []float64
		for i := 1; i < len(theme.Ramp.Bands); i++ {
			a, b := labOf(theme.Ramp.Bands[i-1]), labOf(theme.Ramp.Bands[i])
			l, e = append(l, math.Abs(b.L-a.L)), append(e, a.apart(b))
		}
		if lo, hi := extremes(l); hi-lo > 0.6 {
			t.Errorf("%s: lightness steps from %.2f to %.2f", theme.Name, lo, hi)
		}
		if lo, hi := extremes(e); hi > 1.5*lo {
			t.Errorf("%s: colour steps from %.1f to %.1f", theme.Name, lo, hi)
		}
	}
}

func extremes(v []float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, x := range v {
		lo, hi = min(lo, x), max(hi, x)
	}
	return
}

// Shade, which pictures without bands use, is monotone in lightness all the way.
func TestShadeIsMonotone(t *testing.T) {
	for _, theme := range []Theme{Night(), Paper()} {
		last := labOf(theme.Ramp.Shade(0)).L
		way := labOf(theme.Ramp.Shade(1)).L - last
		for i := 1; i <= 64; i++ { // steps of 1.3, well above the rounding of the components
			l := labOf(theme.Ramp.Shade(float64(i) / 64)).L
			if (l-last)*way <= 0 {
				t.Errorf("%s: lightness turns at %d/64", theme.Name, i)
			}
			last = l
		}
	}
}

func TestBand(t *testing.T) {
	r := Night().Ramp
	for _, c := range []struct {
		lux  float64
		want int
	}{
		{math.NaN(), -1}, {-1, 0}, {0, 0}, {0.25, 0}, {0.3, 1}, {0.999, 1}, {1, 2}, {3, 3}, {9.99, 3}, {10, 4},
		{500, 7}, {3000, 9}, {1e9, 9}, {math.Inf(1), 9},
	} {
		if got := r.Band(c.lux); got != c.want {
			t.Errorf("band of %g lx: %d, want %d", c.lux, got, c.want)
		}
	}
}

func TestTextOnBands(t *testing.T) {
	for _, theme := range []Theme{Night(), Paper()} {
		for i, band := range theme.Ramp.Bands {
			if got := Contrast(theme.Ramp.On(i), band); got < 4.5 {
				t.Errorf("%s: text on band %d has contrast %.2f", theme.Name, i, got)
			}
		}
	}
}

// An isolux line differs from both its bands by three noticeable steps at least.
func TestLineOnBands(t *testing.T) {
	for _, theme := range []Theme{Night(), Paper()} {
		for i := range theme.Ramp.Levels {
			for _, b := range []color.RGBA{theme.Ramp.Bands[i], theme.Ramp.Bands[i+1]} {
				for _, eye := range eyes {
					if d := math.Abs(seen(theme.Ramp.Line(i), eye.m).L - seen(b, eye.m).L); d < 10 {
						t.Errorf("%s, %s: line at %g lx is only %.1f in lightness from a band", theme.Name, eye.name, theme.Ramp.Levels[i], d)
					}
				}
			}
		}
	}
}
