package chart

import (
	"math"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// The dress of a frame: grid, axes with their figures and titles, scale bar.

const tickLength = 7 // units

// AxisRoom is the room in pixels that a frame's figures and titles need to the left of its box and below it.
func (f Frame) AxisRoom(c *draw.Canvas) (left, bottom float64) {
	_, h := c.Measure("0", draw.Small)
	for _, t := range f.UpTicks(c) {
		w, _ := c.Measure(t.Text, draw.Small)
		left = max(left, w)
	}
	left += c.U(tickLength + 6)
	bottom = c.U(tickLength+3) + h
	if f.Up.label() != "" {
		left += h
	}
	if f.Across.label() != "" {
		bottom += h
	}
	return left, bottom
}

// label is the title with the unit.
func (a Axis) label() string {
	if a.Title == "" || a.Unit.Name == "" {
		return a.Title
	}
	return a.Title + ", " + a.Unit.Name
}

// DrawGrid draws a fine line at every tick with a figure.
func (f Frame) DrawGrid(c *draw.Canvas) {
	pen := draw.Pen{Colour: c.Theme.Grid, Width: 1}
	var lines [][]draw.Point
	for _, t := range f.AcrossTicks(c) {
		if t.Text != "" {
			lines = append(lines, []draw.Point{draw.Pt(f.X(t.At), f.Box.Y0), draw.Pt(f.X(t.At), f.Box.Y1)})
		}
	}
	for _, t := range f.UpTicks(c) {
		if t.Text != "" {
			lines = append(lines, []draw.Point{draw.Pt(f.Box.X0, f.Y(t.At)), draw.Pt(f.Box.X1, f.Y(t.At))})
		}
	}
	c.Lines(lines, pen)
}

// DrawAxes draws the frame's edge, and outside of it to the left and below the ticks, figures and titles. It returns the
// box around it all: figures at the ends of an axis reach beyond the frame by half their size.
func (f Frame) DrawAxes(c *draw.Canvas) draw.Rect {
	pen := draw.Pen{Colour: c.Theme.Muted, Width: 1.5}
	b := f.Box
	c.Outline(b.Corners(), pen)

	left, bottom := f.AxisRoom(c)
	around := draw.R(b.X0-left, b.Y0, b.X1, b.Y1+bottom)
	write := func(p draw.Point, text string, l draw.Lettering) { around = around.Union(c.Write(p, text, l)) }
	var marks [][]draw.Point
	text := draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted}
	long := func(t Tick) float64 {
		if t.Text == "" {
			return c.U(tickLength) / 2
		}
		return c.U(tickLength)
	}
	free := math.Inf(-1) // figures at the very corner may reach beyond the box, but not the picture
	for _, t := range f.AcrossTicks(c) {
		x := f.X(t.At)
		marks = append(marks, []draw.Point{draw.Pt(x, b.Y1), draw.Pt(x, b.Y1+long(t))})
		if w, h := c.Measure(t.Text, draw.Small); t.Text != "" {
			x = min(max(x, c.Bounds.X0+w/2+c.U(2)), c.Bounds.X1-w/2-c.U(2))
			if x-w/2 < free {
				continue
			}
			free = x + w/2
			text.AnchorX, text.AnchorY = 0.5, 0
			write(draw.Pt(x, min(b.Y1+c.U(tickLength+2), c.Bounds.Y1-h)), t.Text, text)
		}
	}
	for _, t := range f.UpTicks(c) {
		y := f.Y(t.At)
		marks = append(marks, []draw.Point{draw.Pt(b.X0, y), draw.Pt(b.X0-long(t), y)})
		text.AnchorX, text.AnchorY = 1, 0.5
		write(draw.Pt(b.X0-c.U(tickLength+4), y), t.Text, text)
	}
	c.Lines(marks, pen)
	text.AnchorX = 0.5
	if label := f.Across.label(); label != "" {
		text.AnchorY, text.Max = 1, b.W()
		write(draw.Pt(b.Centre().X, b.Y1+bottom), label, text)
	}
	if label := f.Up.label(); label != "" {
		text.AnchorY, text.Angle, text.Max = 0, math.Pi/2, b.H()
		write(draw.Pt(b.X0-left, b.Centre().Y), label, text)
	}
	return around
}

// DrawScaleBar draws a bar of a round length, at most a share of a quarter of the frame's width, with its length beside it,
// on a plate whose lower left corner is at p. It returns the plate.
func (f Frame) DrawScaleBar(c *draw.Canvas, p draw.Point) draw.Rect {
	unit := f.Across.Unit
	length := RoundBelow(0.25 * f.Box.W() / f.PerMetre() / unit.Size)
	text := units.Figure(length) + " " + unit.Name
	px := length * unit.Size * f.PerMetre()
	w, h := c.Measure(text, draw.Small)
	pad, bar := c.U(10), c.U(9)
	plate := draw.R(p.X, p.Y-h-pad, p.X+px+w+3*pad, p.Y)
	c.Box(plate, 5, c.Theme.Plate, draw.Pen{Colour: c.Theme.PlateEdge, Width: 1})
	x, y := p.X+pad, plate.Centre().Y
	for i := range 4 { // quarters in turn, so that it can be read in parts
		q := draw.R(x+px*float64(i)/4, y-bar/2, x+px*float64(i+1)/4, y+bar/2)
		fill := c.Theme.Ink
		if i%2 == 1 {
			fill = c.Theme.Plate
		}
		c.Fill(fill, q.Corners())
	}
	c.Outline(draw.R(x, y-bar/2, x+px, y+bar/2).Corners(),
		draw.Pen{Colour: c.Theme.Ink, Width: 1.5})
	c.Write(draw.Pt(x+px+pad, y), text, draw.Lettering{Role: draw.Small, AnchorY: 0.5})
	return plate
}
