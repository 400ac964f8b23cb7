package draw

import (
	"fmt"
	"image"
	"math"
)

// A canvas is a picture being drawn: a surface, a theme, and the unit, in which the sizes of type,
// lines and margins are given, so that a picture of any width is the same picture.

// UnitWidth is the width in pixels of a picture whose unit is one pixel.
const UnitWidth = 1600

// Canvas is a picture being drawn. It is not for use from several goroutines at once.
type Canvas struct {
	Theme  Theme
	Bounds Rect // what can be drawn on, px

	surface Surface
	unit    float64
	faces   *typesetter
}

// New is an empty canvas of the given size in pixels, in the background colour of the theme. Either
// side may have 100 to 20000 px, and both together 200 million.
func New(width, height int, theme Theme) (*Canvas, error) {
	const least, most, area = 100, 20000, 200e6
	if width < least || width > most || height < least || height > most {
		return nil, fmt.Errorf("picture of %d × %d px: each side must have %d to %d px", width, height, least, most)
	}
	if float64(width)*float64(height) > area {
		return nil, fmt.Errorf("picture of %d × %d px: at most %.0f million pixels", width, height, area/1e6)
	}
	faces := newTypesetter()
	return &Canvas{
		Theme:   theme,
		Bounds:  R(0, 0, float64(width), float64(height)),
		surface: newRaster(width, height, theme.Background, faces),
		unit:    float64(width) / UnitWidth,
		faces:   faces,
	}, nil
}

// On is a canvas that draws on a surface of another kind, of a width and height in pixels.
func On(surface Surface, width, height float64, theme Theme) *Canvas {
	return &Canvas{Theme: theme, Bounds: R(0, 0, width, height), surface: surface, unit: width / UnitWidth,
		faces: newTypesetter()}
}

// U is n units in pixels.
func (c *Canvas) U(n float64) float64 { return n * c.unit }

// Inside is a canvas on the same pixels, with the same coordinates and unit, that draws only within
// r (rounded to whole pixels). It is empty where r and c have nothing in common.
func (c *Canvas) Inside(r Rect) *Canvas {
	px := pixelsOf(r).Intersect(pixelsOf(c.Bounds))
	in := *c
	in.Bounds = R(float64(px.Min.X), float64(px.Min.Y), float64(px.Max.X), float64(px.Max.Y))
	in.surface = c.surface.Within(px)
	return &in
}

// Scaled is a canvas on the same pixels whose unit is a number of times as large.
func (c *Canvas) Scaled(times float64) *Canvas {
	s := *c
	s.unit *= times
	return &s
}

// pixelsOf is r in whole pixels, empty if r is.
func pixelsOf(r Rect) image.Rectangle {
	return image.Rectangle{image.Pt(round(r.X0), round(r.Y0)), image.Pt(round(r.X1), round(r.Y1))}
}

// FirstPixel is the first pixel whose middle is at v or beyond.
func FirstPixel(v float64) int { return int(math.Ceil(v - 0.5)) }

func round(v float64) int { return int(math.Round(max(-1e6, min(1e6, v)))) }
