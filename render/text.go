package render

import "strings"

// The texts of a page: its title, paragraphs, a caution at its foot.

// TitleBlock is a picture's title, such as the rig, and beneath it the details, such as the scene and the view, on two
// lines if they need them.
func TitleBlock(title, details string) Flow {
	return func(c *Canvas, at Point, width float64) (float64, []Rect) {
		r := c.Write(Point{X: at.X, Y: at.Y - c.U(6)}, title, Lettering{Role: Title, Max: width})
		lines := c.Wrap(details, Label, width)
		if len(lines) > 2 {
			lines = []string{lines[0], strings.Join(lines[1:], " ")}
		}
		for _, line := range lines {
			r = c.Write(Point{X: at.X, Y: r.Y1}, line, Lettering{Colour: c.Theme.Muted, Max: width})
		}
		return r.Y1, []Rect{{at.X, at.Y, at.X + width, r.Y1}}
	}
}

// Paragraph is a second-rank text on as many lines as it needs.
func Paragraph(text string) Flow {
	return func(c *Canvas, at Point, width float64) (bottom float64, texts []Rect) {
		bottom = at.Y
		_, h := c.Measure("", Small)
		for _, line := range c.Wrap(text, Small, width) {
			r := c.Write(Point{X: at.X, Y: bottom}, line, Lettering{Role: Small, Colour: c.Theme.Muted})
			texts = append(texts, Rect{at.X, bottom, r.X1, bottom + h})
			bottom += h
		}
		return bottom, texts
	}
}

// CautionLine is a caution on as many lines as it needs.
func CautionLine(text string) Flow {
	return func(c *Canvas, at Point, width float64) (float64, []Rect) {
		_, h := c.Measure("", Caution)
		y := at.Y
		for _, line := range c.Wrap(text, Caution, width) {
			c.Write(Point{X: at.X, Y: y}, line, Lettering{Role: Caution})
			y += h
		}
		return y, []Rect{{at.X, at.Y, at.X + width, y}}
	}
}
