package draw

import (
	"image/color"

	"github.com/lucasb-eyer/go-colorful"
)

// A scale is the colours of a theme from nothing to the most, even in lightness, so that it
// survives colour-blindness and a grey copy. Hue follows in both themes alike, from plum through
// rust and ochre to mint or white. What is dark is darker on paper too: people take the dark parts
// of a print for the dark parts of the ground, whatever a legend says. Nothing is a mid grey there,
// about as much ink as a picture is worth.

// Scale is a path through CIELAB whose lightness runs one way, from point to point.
type Scale []LCH

// LCH is a colour in CIELAB under D65 by lightness and chroma, both in the usual hundredths, and
// hue in degrees (0 red, 90 yellow).
type LCH struct{ Lightness, Chroma, Hue float64 }

func (c LCH) colour() colorful.Color { return colorful.Hcl(c.Hue, c.Chroma/100, c.Lightness/100) }

// Shade is the colour a share t of the way along the scale, 0 for nothing to 1 for the most.
func (s Scale) Shade(t float64) color.RGBA {
	first, last := s[0].Lightness, s[len(s)-1].Lightness
	l := first + min(1, max(0, t))*(last-first)
	i := 1
	for i < len(s)-1 && (l-s[i].Lightness)*(last-first) > 0 {
		i++
	}
	a, b := s[i-1], s[i]
	return opaque(a.colour().BlendLab(b.colour(), (l-a.Lightness)/(b.Lightness-a.Lightness)))
}

// Between is the colour of a line between areas of two colours: that of both, but lighter or darker
// than either.
func Between(a, b color.RGBA) color.RGBA {
	l, toRed, toYellow := rgb(a).BlendLab(rgb(b), 0.5).Lab()
	if l < 0.55 {
		l += 0.28
	} else {
		l -= 0.28
	}
	return opaque(colorful.Lab(l, toRed, toYellow))
}

func rgb(c color.RGBA) colorful.Color {
	out, _ := colorful.MakeColor(c)
	return out
}

// opaque is the nearest colour that can be shown.
func opaque(c colorful.Color) color.RGBA {
	r, g, b := c.Clamped().RGB255()
	return color.RGBA{r, g, b, 255}
}

func nightScale() Scale {
	return Scale{{8, 6, 300}, {24, 24, 345}, {42, 38, 35.3}, {62, 46, 78}, {80, 40, 115}, {94, 18, 140}}
}

func paperScale() Scale {
	return Scale{{50, 0, 0}, {58.5, 14, 345}, {69.4, 25, 35}, {81.1, 28, 80}, {90, 14, 100}, {100, 0, 0}}
}
