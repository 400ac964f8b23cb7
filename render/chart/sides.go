package chart

import (
	"math"
	"strings"

	"beamfall/render/draw"
)

// To both sides of the vehicle people count from the centreline outward: "two metres left", never "minus two".

// DrawSideAxes draws the edge, ticks, figures and titles of a frame whose axis across is metres to the left; without figures
// up, it is one of a row of frames that share them.
func (f Frame) DrawSideAxes(c *draw.Canvas, figuresUp bool) {
	pen := draw.Pen{Colour: c.Theme.Muted, Width: 1.5}
	text := draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted}
	b := f.Box
	c.Outline(b.Corners(), pen)
	left, bottom := f.AxisRoom(c)
	var marks [][]draw.Point
	text.AnchorX = 0.5
	for _, t := range f.AcrossTicks(c) {
		x := f.X(t.At)
		marks = append(marks, []draw.Point{draw.Pt(x, b.Y1), draw.Pt(x, b.Y1+c.U(tickLength))})
		figure := strings.TrimPrefix(t.Text, "−")
		w, _ := c.Measure(figure, draw.Small)
		x = min(max(x, b.X0+w/2), b.X1-w/2) // the frame beside it has figures too
		c.Write(draw.Pt(x, b.Y1+c.U(tickLength+2)), figure, text)
	}
	title := text
	title.AnchorY = 1
	y := b.Y1 + bottom
	toLeft, toRight, middle := "← left", "right →", f.Across.label()
	width := func(text string) float64 { w, _ := c.Measure(text, draw.Small); return w }
	room := b.W() - 2*max(width(toLeft), width(toRight)) - c.U(20)
	if width(middle) > room {
		middle = f.Across.Unit.Name
	}
	if width(middle) > room {
		toLeft, toRight = "", ""
	}
	title.AnchorX = 0.5
	c.Write(draw.Pt(b.Centre().X, y), middle, title)
	title.AnchorX = 0
	c.Write(draw.Pt(b.X0, y), toLeft, title)
	title.AnchorX = 1
	c.Write(draw.Pt(b.X1, y), toRight, title)
	if figuresUp {
		text.AnchorX, text.AnchorY = 1, 0.5
		for _, t := range f.UpTicks(c) {
			y := f.Y(t.At)
			marks = append(marks, []draw.Point{draw.Pt(b.X0, y), draw.Pt(b.X0-c.U(tickLength), y)})
			c.Write(draw.Pt(b.X0-c.U(tickLength+4), y), t.Text, text)
		}
		text.AnchorX, text.AnchorY, text.Angle, text.Max = 0.5, 0, math.Pi/2, b.H()
		c.Write(draw.Pt(b.X0-left, b.Centre().Y), f.Up.label(), text)
	}
	c.Lines(marks, pen)
}
