package chart

import (
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/lucasb-eyer/go-colorful"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// eyes are the ways a picture may be seen. The matrices act on linear sRGB: full dichromacy after
// G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for Simulation
// of Color Vision Deficiency", IEEE TVCG 15(6), 2009, table of severity 1.0 (from memory; each row
// adds up to 1, so grey stays grey). Grey is the luminance of WCAG 2.2.
var eyes = []struct {
	name string
	m    [3][3]float64
}{
	{"full colour", [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}},
	{"protanopia", [3][3]float64{{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216},
		{-0.003882, -0.048116, 1.051998}}},
	{"deuteranopia", [3][3]float64{{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413},
		{-0.011820, 0.042940, 0.968881}}},
	{"tritanopia", [3][3]float64{{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602},
		{0.004733, 0.691367, 0.303900}}},
	{"grey", [3][3]float64{{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}}},
}

// linear is the linear sRGB of a colour as an eye has it.
func linear(c color.RGBA, m [3][3]float64) (out [3]float64) {
	full, _ := colorful.MakeColor(c)
	r, g, b := full.LinearRgb()
	for i := range out {
		out[i] = min(1, max(0, m[i][0]*r+m[i][1]*g+m[i][2]*b))
	}
	return out
}

// seen is the lightness (0 to 100) that a colour has to an eye.
func seen(c color.RGBA, m [3][3]float64) float64 {
	rgb := linear(c, m)
	l, _, _ := colorful.LinearRgb(rgb[0], rgb[1], rgb[2]).Lab()
	return 100 * l
}

// luminance is the relative luminance of a colour to an eye, 0 for black to 1 for white: WCAG 2.2.
func luminance(c color.RGBA, m [3][3]float64) float64 {
	rgb := linear(c, m)
	return 0.2126*rgb[0] + 0.7152*rgb[1] + 0.0722*rgb[2]
}

// testRamp is levels as of light, in the colours of a theme.
func testRamp(theme draw.Theme) Ramp {
	r := NewRamp(theme.Scale, units.Lux, 0.3, 1, 3, 10, 30, 100, 300, 1000, 3000)
	r.Likeness = []Likeness{{0.25, "full moon"}, {10, "street lighting"}, {100, "living room"}, {500, "office"}}
	return r
}

// colour is that of the band of a value.
func (r Ramp) colour(v float64) color.RGBA { return r.Bands[r.Band(v)] }

// Neighbouring bands differ in lightness alone by several times what can just be noticed (ΔE*ab
// about 2.3, Mahy and others 1994, from memory), however they are seen: by three times at night, by
// two on paper, where dark bands cost ink and every band has a line around it.
func TestBandsAreToldApart(t *testing.T) {
	for _, theme := range []draw.Theme{draw.Night(), draw.Paper()} {
		least := 8.0
		if theme.Name == "paper" {
			least = 4.6
		}
		for _, eye := range eyes {
			for i := 1; i < len(testRamp(theme).Bands); i++ {
				a, b := seen(testRamp(theme).Bands[i-1], eye.m), seen(testRamp(theme).Bands[i], eye.m)
				if step := b - a; step < least {
					t.Errorf("%s, %s: lightness steps by %.1f from band %d to %d, want %g", theme.Name, eye.name, step,
						i-1, i, least)
				}
			}
		}
	}
}

// Lines of lamps and of sight show on every band: line and casing have a contrast of 3:1 (WCAG 2.2,
// success criterion 1.4.11), and one of them has it against the band, however they are seen.
func TestLinesShowOnBands(t *testing.T) {
	for _, theme := range []draw.Theme{draw.Night(), draw.Paper()} {
		pens := map[string]draw.Pen{
			"a lamp's line":   StyleOf(2).Pen(theme, 2),
			"a line of sight": draw.Pen{Colour: theme.Sight, Width: 3}.Cased(theme, 1),
		}
		for name, pen := range pens {
			if pen.Casing < 1 {
				t.Errorf("%s, %s: a casing of %g", theme.Name, name, pen.Casing)
			}
			for _, eye := range eyes {
				line, casing := luminance(pen.Colour, eye.m), luminance(pen.CasingColour, eye.m)
				if got := contrast(line, casing); got < 3 {
					t.Errorf("%s, %s, %s: %.1f:1 against its casing", theme.Name, eye.name, name, got)
				}
				for i, band := range testRamp(theme).Bands {
					on := luminance(band, eye.m)
					if got := max(contrast(line, on), contrast(casing, on)); got < 3 {
						t.Errorf("%s, %s, %s: %.1f:1 on band %d", theme.Name, eye.name, name, got, i)
					}
				}
			}
		}
	}
}

// contrast is the ratio of two relative luminances: WCAG 2.2.
func contrast(a, b float64) float64 { return (max(a, b) + 0.05) / (min(a, b) + 0.05) }

// Even: one step of lightness is like the other to within rounding of the components, and no step
// of colour is more than half again as large as another.
func TestRampIsEven(t *testing.T) {
	for _, theme := range []draw.Theme{draw.Night(), draw.Paper()} {
		var l, e []float64
		for i := 1; i < len(testRamp(theme).Bands); i++ {
			a, _ := colorful.MakeColor(testRamp(theme).Bands[i-1])
			b, _ := colorful.MakeColor(testRamp(theme).Bands[i])
			la, _, _ := a.Lab()
			lb, _, _ := b.Lab()
			l, e = append(l, 100*math.Abs(lb-la)), append(e, 100*a.DistanceLab(b))
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

func TestBand(t *testing.T) {
	r := testRamp(draw.Night())
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

// An isolux line differs from both its bands by three noticeable steps at least.
func TestLineOnBands(t *testing.T) {
	for _, theme := range []draw.Theme{draw.Night(), draw.Paper()} {
		for i := range testRamp(theme).Levels {
			for _, b := range []color.RGBA{testRamp(theme).Bands[i], testRamp(theme).Bands[i+1]} {
				for _, eye := range eyes {
					if d := math.Abs(seen(testRamp(theme).Lines[i], eye.m) - seen(b, eye.m)); d < 10 {
						t.Errorf("%s, %s: line at %g lx is only %.1f in lightness from a band", theme.Name, eye.name,
							testRamp(theme).Levels[i], d)
					}
				}
			}
		}
	}
}

func canvas(t testing.TB, width, height int, theme draw.Theme) *draw.Canvas {
	t.Helper()
	c, err := draw.New(width, height, theme)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// changed is the box around all pixels that differ from the background.
func changed(c *draw.Canvas) draw.Rect {
	var box image.Rectangle
	im, bare := c.Image(), c.Theme.Background
	for y := range im.Rect.Dy() {
		row := im.Pix[im.PixOffset(0, y):im.PixOffset(im.Rect.Dx(), y)]
		for x := 0; x < len(row); x += 4 {
			if row[x] != bare.R || row[x+1] != bare.G || row[x+2] != bare.B {
				box = box.Union(image.Rect(x/4, y, x/4+1, y+1))
			}
		}
	}
	return draw.R(float64(box.Min.X), float64(box.Min.Y), float64(box.Max.X), float64(box.Max.Y))
}
