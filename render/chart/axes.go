package chart

import (
	"math"
	"strings"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// What is around and behind the drawing in a frame: grid, axes with their figures and titles, scale
// bar.

const (
	tickLength = 7  // units
	figureGap  = 10 // at least between figures, units
)

// AxisRoom is the room in pixels that a frame's figures and titles need to the left of its box and
// below it.
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

// DrawAxes draws the frame's edge, and outside of it to the left and below the ticks, figures and
// titles. It returns the box around it all: figures at the ends of an axis reach beyond the frame
// by half their size.
func (f Frame) DrawAxes(c *draw.Canvas) draw.Rect {
	pen := draw.Pen{Colour: c.Theme.Muted, Width: 1.5}
	c.Outline(f.Box.Corners(), pen)
	left, bottom := f.AxisRoom(c)
	w := axisWriter{c: c, f: f, around: f.Box.Trim(-left, 0, 0, -bottom)}
	w.figuresAcross()
	if !f.Up.Shared {
		w.figuresUp()
	}
	c.Lines(w.marks, pen)
	w.titleAcross(f.Box.Y1 + bottom)
	if !f.Up.Shared {
		w.titleUp(f.Box.X0 - left)
	}
	return w.around
}

// axisWriter writes the figures and titles of a frame's axes.
type axisWriter struct {
	c      *draw.Canvas
	f      Frame
	marks  [][]draw.Point // ticks
	around draw.Rect      // all that is written
}

func (w *axisWriter) write(p draw.Point, text string, l draw.Lettering) {
	l.Role, l.Colour = draw.Small, w.c.Theme.Muted
	w.around = w.around.Union(w.c.Write(p, text, l))
}

// length is that of the mark of a tick.
func (w *axisWriter) length(t Tick) float64 {
	if t.Text == "" {
		return w.c.U(tickLength) / 2
	}
	return w.c.U(tickLength)
}

// figuresAcross writes the figures below the frame. Those at its corners may reach beyond its box
// as far as the picture goes, unless its sides are named: then the frame beside it has figures
// there. One that would run into the last is left out.
func (w *axisWriter) figuresAcross() {
	c, b := w.c, w.f.Box
	within := c.Bounds.Inset(c.U(2))
	if w.f.Across.outward() {
		within = b
	}
	var last draw.Rect
	for _, t := range w.f.AcrossTicks(c) {
		x := w.f.X(t.At)
		w.marks = append(w.marks, []draw.Point{draw.Pt(x, b.Y1), draw.Pt(x, b.Y1+w.length(t))})
		if t.Text == "" {
			continue
		}
		text := t.Text
		if w.f.Across.outward() {
			text = strings.TrimPrefix(text, units.Typeset("-"))
		}
		wide, high := c.Measure(text, draw.Small)
		x = min(max(x, within.X0+wide/2), within.X1-wide/2)
		here := draw.R(x-wide/2, 0, x+wide/2, 1)
		if here.Overlaps(last) {
			continue
		}
		last = here.Inset(-c.U(figureGap))
		w.write(draw.Pt(x, min(b.Y1+c.U(tickLength+2), c.Bounds.Y1-high)), text, draw.Lettering{AnchorX: 0.5})
	}
}

func (w *axisWriter) figuresUp() {
	for _, t := range w.f.UpTicks(w.c) {
		x, y := w.f.Box.X0, w.f.Y(t.At)
		w.marks = append(w.marks, []draw.Point{draw.Pt(x, y), draw.Pt(x-w.length(t), y)})
		w.write(draw.Pt(x-w.c.U(tickLength+4), y), t.Text, draw.Lettering{AnchorX: 1, AnchorY: 0.5})
	}
}

// titleAcross writes the title of the axis across with its foot at y, between the names of its
// sides if it has such. Where they have no room beside each other the title gives way to its unit,
// and then the names are left out.
func (w *axisWriter) titleAcross(y float64) {
	a, b := w.f.Across, w.f.Box
	title := draw.Lettering{AnchorX: 0.5, AnchorY: 1, Max: b.W()}
	if !a.outward() {
		w.write(draw.Pt(b.Centre().X, y), a.label(), title)
		return
	}
	from, to, middle := "← "+a.Outward[0], a.Outward[1]+" →", a.label()
	width := func(text string) float64 { w, _ := w.c.Measure(text, draw.Small); return w }
	room := b.W() - 2*max(width(from), width(to)) - w.c.U(20)
	if width(middle) > room {
		middle = a.Unit.Name
	}
	if width(middle) > room {
		from, to = "", ""
	}
	w.write(draw.Pt(b.Centre().X, y), middle, title)
	w.write(draw.Pt(b.X0, y), from, draw.Lettering{AnchorY: 1})
	w.write(draw.Pt(b.X1, y), to, draw.Lettering{AnchorX: 1, AnchorY: 1})
}

func (w *axisWriter) titleUp(x float64) {
	w.write(draw.Pt(x, w.f.Box.Centre().Y), w.f.Up.label(),
		draw.Lettering{AnchorX: 0.5, Angle: math.Pi / 2, Max: w.f.Box.H()})
}

// DrawScaleBar draws a bar of a round length, at most a quarter of the frame's width, with its
// length beside it, on a plate whose lower left corner is at p. It returns the plate.
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

// ScaleBarCorner is where to put the scale bar of a frame within a box: the first corner in which
// it covers none of avoid, or the lower left one if it covers something in all of them.
func (f Frame) ScaleBarCorner(c *draw.Canvas, box draw.Rect, avoid []draw.Rect) draw.Rect {
	size := f.DrawScaleBar(c.Inside(draw.Rect{}), draw.Point{}) // drawn nowhere, to measure it
	in := box.Inset(c.U(12))
	left, right := in.X0, in.X1-size.W()
	top, bottom := in.Y0, in.Y1-size.H()
	at := func(x, y float64) draw.Rect { return draw.R(x, y, x+size.W(), y+size.H()) }
	for _, r := range []draw.Rect{at(left, bottom), at(left, top), at(right, bottom), at(right, top)} {
		if !r.OverlapsAny(avoid) {
			return r
		}
	}
	return at(left, bottom)
}
