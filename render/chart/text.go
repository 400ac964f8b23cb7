package chart

import (
	"strings"

	"beamfall/render/draw"
)

// The texts of a page: its title, paragraphs, a caution at its foot.

// Title is a picture's title and beneath it the details, on two lines if they need them.
func Title(title, details string) Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (float64, []draw.Rect) {
		r := c.Write(draw.Pt(at.X, at.Y-c.U(6)), title, draw.Lettering{Role: draw.Title, Max: width})
		lines := c.Wrap(details, draw.Label, width)
		if len(lines) > 2 {
			lines = []string{lines[0], strings.Join(lines[1:], " ")}
		}
		for _, line := range lines {
			r = c.Write(draw.Pt(at.X, r.Y1), line, draw.Lettering{Colour: c.Theme.Muted, Max: width})
		}
		return r.Y1, []draw.Rect{draw.R(at.X, at.Y, at.X+width, r.Y1)}
	}
}

// Paragraph is a muted text on as many lines as it needs.
func Paragraph(text string) Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		bottom = at.Y
		_, h := c.Measure("", draw.Small)
		for _, line := range c.Wrap(text, draw.Small, width) {
			r := c.Write(draw.Pt(at.X, bottom), line, draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted})
			texts = append(texts, draw.R(at.X, bottom, r.X1, bottom+h))
			bottom += h
		}
		return bottom, texts
	}
}

// Caution is a caution on as many lines as it needs.
func Caution(text string) Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (float64, []draw.Rect) {
		_, h := c.Measure("", draw.Caution)
		y := at.Y
		for _, line := range c.Wrap(text, draw.Caution, width) {
			c.Write(draw.Pt(at.X, y), line, draw.Lettering{Role: draw.Caution})
			y += h
		}
		return y, []draw.Rect{draw.R(at.X, at.Y, at.X+width, y)}
	}
}
