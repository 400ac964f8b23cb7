package render

import (
	"math"
	"strings"
)

// To both sides of the vehicle people count from the centreline outward: "two metres left", never "minus two".

// sideAxes draws the edge, ticks, figures and titles of a frame whose axis across is metres to the left; without figures
// up, it is one of a row of frames that share them.
func (c *Canvas) sideAxes(f Frame, figuresUp bool) {
	pen := Pen{Colour: c.Theme.Muted, Width: 1.5}
	text := Lettering{Role: Small, Colour: c.Theme.Muted}
	b := f.Box
	c.Outline([]Point{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1, Y: b.Y1}, {X: b.X0, Y: b.Y1}}, pen)
	left, bottom := c.AxisRoom(f)
	var marks [][]Point
	text.AnchorX = 0.5
	for _, t := range c.AcrossTicks(f) {
		x := f.X(t.At)
		marks = append(marks, []Point{{X: x, Y: b.Y1}, {X: x, Y: b.Y1 + c.U(tickLength)}})
		figure := strings.TrimPrefix(t.Text, "−")
		w, _ := c.Measure(figure, Small)
		x = min(max(x, b.X0+w/2), b.X1-w/2) // the frame beside it has figures too
		c.Write(Point{X: x, Y: b.Y1 + c.U(tickLength+2)}, figure, text)
	}
	title := text
	title.AnchorY = 1
	y := b.Y1 + bottom
	toLeft, toRight, middle := "← left", "right →", f.Across.label()
	width := func(text string) float64 { w, _ := c.Measure(text, Small); return w }
	room := b.W() - 2*max(width(toLeft), width(toRight)) - c.U(20)
	if width(middle) > room {
		middle = f.Across.Unit.Name
	}
	if width(middle) > room {
		toLeft, toRight = "", ""
	}
	title.AnchorX = 0.5
	c.Write(Point{X: b.Centre().X, Y: y}, middle, title)
	title.AnchorX = 0
	c.Write(Point{X: b.X0, Y: y}, toLeft, title)
	title.AnchorX = 1
	c.Write(Point{X: b.X1, Y: y}, toRight, title)
	if figuresUp {
		text.AnchorX, text.AnchorY = 1, 0.5
		for _, t := range c.UpTicks(f) {
			y := f.Y(t.At)
			marks = append(marks, []Point{{X: b.X0, Y: y}, {X: b.X0 - c.U(tickLength), Y: y}})
			c.Write(Point{X: b.X0 - c.U(tickLength+4), Y: y}, t.Text, text)
		}
		text.AnchorX, text.AnchorY, text.Angle, text.Max = 0.5, 0, math.Pi/2, b.H()
		c.Write(Point{X: b.X0 - left, Y: b.Centre().Y}, f.Up.label(), text)
	}
	c.Lines(marks, pen)
}
