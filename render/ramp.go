package render

import (
	"image/color"
	"sort"
)

// The ramp turns light levels into colours: bands between logarithmic steps, each band one even step of lightness from
// the last. Lightness alone tells the bands apart, so they survive colour-blindness and a grey copy; hue follows the
// level in both themes alike, from plum for hardly any light through rust and ochre to mint for very much.

// Levels are the steps of the bands, lx.
func Levels() []float64 { return []float64{0.3, 1, 3, 10, 30, 100, 300, 1000, 3000} }

// Ramp is the colours of one theme. Bands has one colour more than Levels: Bands[i] is for light from Levels[i-1] up to
// below Levels[i].
type Ramp struct {
	Levels []float64    // lx, rising
	Bands  []color.RGBA // of the theme, opaque
	path   []lab        // control points, lightness one way
}

func newRamp(path ...lab) Ramp {
	r := Ramp{Levels: Levels(), path: path}
	n := len(r.Levels)
	for i := range n + 1 {
		r.Bands = append(r.Bands, r.Shade(float64(i)/float64(n)))
	}
	return r
}

// Shade is the colour a share t of the way along the ramp, 0 for no light to 1 for the most, even in lightness.
func (r Ramp) Shade(t float64) color.RGBA {
	first, last := r.path[0], r.path[len(r.path)-1]
	t = min(1, max(0, t))
	l := first.L + t*(last.L-first.L)
	i := 1
	for i < len(r.path)-1 && (l-r.path[i].L)*(last.L-first.L) > 0 {
		i++
	}
	a, b := r.path[i-1], r.path[i]
	return a.mix(b, (l-a.L)/(b.L-a.L)).rgb()
}

// Band is the number of the band for a light level in lx; 0 is the darkest. NaN has none: -1.
func (r Ramp) Band(lux float64) int {
	if lux != lux {
		return -1
	}
	return sort.Search(len(r.Levels), func(i int) bool { return lux < r.Levels[i] })
}

// Colour is the colour for a light level in lx, and that of the darkest band for NaN.
func (r Ramp) Colour(lux float64) color.RGBA { return r.Bands[max(0, r.Band(lux))] }

// Line is the colour of the isolux line at Levels[i]: that of the bands on either side, lighter or darker than both.
func (r Ramp) Line(i int) color.RGBA {
	m := labOf(r.Bands[i]).mix(labOf(r.Bands[i+1]), 0.5)
	if m.L < 55 {
		m.L += 28
	} else {
		m.L -= 28
	}
	return m.rgb()
}

// On is the colour of text that stands directly on Bands[i]: black or white, whichever has the greater contrast, which
// is never below 4.58 (the square root of WCAG's 21).
func (r Ramp) On(i int) color.RGBA {
	white, black := color.RGBA{255, 255, 255, 255}, color.RGBA{0, 0, 0, 255}
	if Contrast(white, r.Bands[i]) > Contrast(black, r.Bands[i]) {
		return white
	}
	return black
}

func nightRamp() Ramp {
	return newRamp(lch(8, 6, 300), lch(24, 24, 345), lch(42, 38, 35), lch(62, 46, 78), lch(80, 40, 115), lch(94, 18, 140))
}

func paperRamp() Ramp {
	return newRamp(lch(100, 0, 0), lch(86, 18, 345), lch(70, 34, 35), lch(52, 42, 78), lch(34, 30, 130), lch(11, 12, 190))
}
