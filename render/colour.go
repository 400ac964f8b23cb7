package render

import (
	"image/color"
	"math"
)

// Colours are measured here, so that a theme can promise what it says about lightness and contrast: sRGB by
// IEC 61966-2-1, CIELAB by CIE 15 with the D65 white of sRGB, contrast by WCAG 2.2.

// linear is one sRGB component (0 to 255) as a share of full light.
func linear(c uint8) float64 {
	v := float64(c) / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// encode is the sRGB component of a share of full light, cut to what can be shown.
func encode(v float64) uint8 {
	v = min(1, max(0, v))
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * v))
}

// luminance is the relative luminance of a colour, 0 for black to 1 for white.
func luminance(c color.RGBA) float64 {
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// Contrast is the contrast ratio of WCAG 2.2 between two opaque colours, 1 to 21. Text needs at least 4.5.
func Contrast(a, b color.RGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// lab is a colour in CIELAB: L from 0 to 100, a toward red, b toward yellow.
type lab struct{ L, a, b float64 }

// lch is a colour in CIELAB by lightness, chroma and hue in degrees (0 = red, 90 = yellow).
func lch(l, c, h float64) lab {
	sin, cos := math.Sincos(h * math.Pi / 180)
	return lab{l, c * cos, c * sin}
}

// d65 is the white of sRGB, the row sums of its matrix.
var d65 = [3]float64{0.9505, 1, 1.089}

func labOf(c color.RGBA) lab { return labOfLinear(linear(c.R), linear(c.G), linear(c.B)) }

func labOfLinear(r, g, b float64) lab {
	f := func(t float64) float64 {
		if t > 216./24389 {
			return math.Cbrt(t)
		}
		return (24389./27*t + 16) / 116
	}
	x := f((0.4124*r + 0.3576*g + 0.1805*b) / d65[0])
	y := f((0.2126*r + 0.7152*g + 0.0722*b) / d65[1])
	z := f((0.0193*r + 0.1192*g + 0.9505*b) / d65[2])
	return lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// linearRGB is the colour as shares of full light; below 0 or above 1 it cannot be shown.
func (c lab) linearRGB() (r, g, b float64) {
	f := func(t float64) float64 {
		if t > 6./29 {
			return t * t * t
		}
		return (116*t - 16) * 27 / 24389
	}
	y := (c.L + 16) / 116
	x, z := d65[0]*f(y+c.a/500), d65[2]*f(y-c.b/200)
	y = d65[1] * f(y)
	return 3.2406*x - 1.5372*y - 0.4986*z, -0.9689*x + 1.8758*y + 0.0415*z, 0.0557*x - 0.2040*y + 1.0570*z
}

// rgb is the nearest colour that can be shown.
func (c lab) rgb() color.RGBA {
	r, g, b := c.linearRGB()
	return color.RGBA{encode(r), encode(g), encode(b), 255}
}

// mix is the colour a share t of the way to d.
func (c lab) mix(d lab, t float64) lab {
	return lab{c.L + t*(d.L-c.L), c.a + t*(d.a-c.a), c.b + t*(d.b-c.b)}
}

// apart is the CIE 1976 colour difference ΔE*ab. About 2.3 can just be noticed side by side.
func (c lab) apart(d lab) float64 {
	return math.Sqrt((c.L-d.L)*(c.L-d.L) + (c.a-d.a)*(c.a-d.a) + (c.b-d.b)*(c.b-d.b))
}
