package render

import "math"

// The dress of a frame: grid, axes with their figures and titles, scale bar.

const tickLength = 7 // units

// AxisRoom is the room in pixels that a frame's figures and titles need to the left of its box and below it.
func (c *Canvas) AxisRoom(f Frame) (left, bottom float64) {
	_, h := c.Measure("0", Small)
	for _, t := range c.UpTicks(f) {
		w, _ := c.Measure(t.Text, Small)
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

// Grid draws a fine line at every tick with a figure.
func (c *Canvas) Grid(f Frame) {
	pen := Pen{Colour: c.Theme.Grid, Width: 1}
	var lines [][]Point
	for _, t := range c.AcrossTicks(f) {
		if t.Text != "" {
			lines = append(lines, []Point{{X: f.X(t.At), Y: f.Box.Y0}, {X: f.X(t.At), Y: f.Box.Y1}})
		}
	}
	for _, t := range c.UpTicks(f) {
		if t.Text != "" {
			lines = append(lines, []Point{{X: f.Box.X0, Y: f.Y(t.At)}, {X: f.Box.X1, Y: f.Y(t.At)}})
		}
	}
	c.Lines(lines, pen)
}

// Axes draws the frame's edge, and outside of it to the left and below the ticks, figures and titles. It returns the
// box around it all: figures at the ends of an axis reach beyond the frame by half their size.
func (c *Canvas) Axes(f Frame) Rect {
	pen := Pen{Colour: c.Theme.Muted, Width: 1.5}
	b := f.Box
	c.Outline([]Point{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1, Y: b.Y1}, {X: b.X0, Y: b.Y1}}, pen)

	left, bottom := c.AxisRoom(f)
	around := Rect{b.X0 - left, b.Y0, b.X1, b.Y1 + bottom}
	write := func(p Point, text string, l Lettering) { around = around.Union(c.Write(p, text, l)) }
	var marks [][]Point
	text := Lettering{Role: Small, Colour: c.Theme.Muted}
	long := func(t Tick) float64 {
		if t.Text == "" {
			return c.U(tickLength) / 2
		}
		return c.U(tickLength)
	}
	free := math.Inf(-1) // figures at the very corner may reach beyond the box, but not the picture
	for _, t := range c.AcrossTicks(f) {
		x := f.X(t.At)
		marks = append(marks, []Point{{X: x, Y: b.Y1}, {X: x, Y: b.Y1 + long(t)}})
		if w, h := c.Measure(t.Text, Small); t.Text != "" {
			x = min(max(x, c.Bounds.X0+w/2+c.U(2)), c.Bounds.X1-w/2-c.U(2))
			if x-w/2 < free {
				continue
			}
			free = x + w/2
			text.AnchorX, text.AnchorY = 0.5, 0
			write(Point{X: x, Y: min(b.Y1+c.U(tickLength+2), c.Bounds.Y1-h)}, t.Text, text)
		}
	}
	for _, t := range c.UpTicks(f) {
		y := f.Y(t.At)
		marks = append(marks, []Point{{X: b.X0, Y: y}, {X: b.X0 - long(t), Y: y}})
		text.AnchorX, text.AnchorY = 1, 0.5
		write(Point{X: b.X0 - c.U(tickLength+4), Y: y}, t.Text, text)
	}
	c.Lines(marks, pen)
	text.AnchorX = 0.5
	if label := f.Across.label(); label != "" {
		text.AnchorY, text.Max = 1, b.W()
		write(Point{X: b.Centre().X, Y: b.Y1 + bottom}, label, text)
	}
	if label := f.Up.label(); label != "" {
		text.AnchorY, text.Angle, text.Max = 0, math.Pi/2, b.H()
		write(Point{X: b.X0 - left, Y: b.Centre().Y}, label, text)
	}
	return around
}

// ScaleBar draws a bar of a round length, at most a share of a quarter of the frame's width, with its length beside it,
// on a plate whose lower left corner is at p. It returns the plate.
func (c *Canvas) ScaleBar(f Frame, p Point) Rect {
	unit := f.Across.Unit
	length := roundBelow(0.25 * f.Box.W() / f.PerMetre() / unit.Size)
	text := figure(length) + " " + unit.Name
	px := length * unit.Size * f.PerMetre()
	w, h := c.Measure(text, Small)
	pad, bar := c.U(10), c.U(9)
	plate := Rect{p.X, p.Y - h - pad, p.X + px + w + 3*pad, p.Y}
	c.Box(plate, 5, c.Theme.Plate, Pen{Colour: c.Theme.PlateEdge, Width: 1})
	x, y := p.X+pad, plate.Centre().Y
	for i := range 4 { // quarters in turn, so that it can be read in parts
		q := Rect{x + px*float64(i)/4, y - bar/2, x + px*float64(i+1)/4, y + bar/2}
		fill := c.Theme.Ink
		if i%2 == 1 {
			fill = c.Theme.Plate
		}
		c.Fill(fill, []Point{{X: q.X0, Y: q.Y0}, {X: q.X1, Y: q.Y0}, {X: q.X1, Y: q.Y1}, {X: q.X0, Y: q.Y1}})
	}
	c.Outline([]Point{{X: x, Y: y - bar/2}, {X: x + px, Y: y - bar/2}, {X: x + px, Y: y + bar/2}, {X: x, Y: y + bar/2}},
		Pen{Colour: c.Theme.Ink, Width: 1.5})
	c.Write(Point{X: x + px + pad, Y: y}, text, Lettering{Role: Small, AnchorY: 0.5})
	return plate
}
