package draw

import (
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Lines and areas. Pens are measured in units.

// Pen is how a line is drawn. Widths and dashes are in units.
type Pen struct {
	Colour color.RGBA
	Width  float64
	Dash   []float64 // lengths on and off in turn; none = unbroken

	// A casing is a wider line beneath, unbroken, that keeps the line apart from whatever it
	// crosses.
	Casing       float64 // how far it shows on either side; 0 = none
	CasingColour color.RGBA
}

// Cased is p with a casing in the background colour of the theme.
func (p Pen) Cased(theme Theme, casing float64) Pen {
	p.Casing, p.CasingColour = casing, theme.Background
	return p
}

// Line draws a line through the points. A point with a coordinate that is not a finite number
// leaves a gap.
func (c *Canvas) Line(line []Point, pen Pen) { c.stroke([][]Point{line}, pen) }

// Outline draws the closed line through the points.
func (c *Canvas) Outline(area []Point, pen Pen) {
	if len(area) > 0 {
		c.stroke([][]Point{append(area[:len(area):len(area)], area[0])}, pen)
	}
}

// Lines draws several lines as one: no casing covers another of them.
func (c *Canvas) Lines(lines [][]Point, pen Pen) { c.stroke(lines, pen) }

func (c *Canvas) stroke(lines [][]Point, pen Pen) {
	// Far beyond the picture the rasterizer's numbers overflow, so lines are cut well outside of
	// what shows.
	room := c.Bounds.Inset(-c.U(2*(pen.Width+2*pen.Casing)) - 16)
	var path Path
	for _, line := range lines {
		for _, part := range room.CutLine(line) {
			path = path.polyline(fewer(part), false)
		}
	}
	if len(path) == 0 {
		return
	}
	if pen.Casing > 0 {
		c.surface.Stroke(path, Stroke{Colour: pen.CasingColour, Width: c.U(pen.Width + 2*pen.Casing)})
	}
	s := Stroke{Colour: pen.Colour, Width: c.U(pen.Width)}
	for _, d := range pen.Dash {
		s.Dash = append(s.Dash, c.U(d))
	}
	c.surface.Stroke(path, s)
}

// fewer is a line without those of its points that lie on it all the same, to a fiftieth of a pixel.
// Each that is left costs a round corner; and of points an eighth of a pixel apart fogleman/gg leaves
// out all, which cuts off tight bends.
func fewer(line []Point) []Point {
	const most, off = 16, 0.02 // points left out in a row; px
	if len(line) < 3 {
		return line
	}
	out := line[:1:1]
	for from, i := 0, 2; i < len(line); i++ {
		chord := r2.Sub(line[i], line[from])
		reach := off * r2.Norm(chord)
		for k := from + 1; k < i; k++ {
			d := r2.Sub(line[k], line[from])
			if i-from > most || math.Abs(r2.Cross(chord, d)) > reach || r2.Dot(chord, d) < 0 ||
				r2.Norm2(d) > r2.Norm2(chord) {
				out, from = append(out, line[i-1]), i-1
				break
			}
		}
	}
	return append(out, line[len(line)-1])
}

// Fill fills the areas, each a closed line; where two of them overlap is outside (even-odd).
func (c *Canvas) Fill(colour color.RGBA, areas ...[]Point) {
	room := c.Bounds.Inset(-16)
	var path Path
	for _, area := range areas {
		if area = room.cutArea(area); len(area) > 2 {
			path = path.polyline(area, true)
		}
	}
	if len(path) > 0 {
		c.surface.Fill(path, colour, true)
	}
}

// Box draws an upright rectangle with corners of the given radius (units), filled unless fill is
// transparent, outlined unless the pen has no width.
func (c *Canvas) Box(r Rect, radius float64, fill color.RGBA, pen Pen) {
	r = r.Within(c.Bounds.Inset(-c.U(radius+pen.Width) - 16))
	if !(r.W() > 0 && r.H() > 0) { // NaN is neither
		return
	}
	c.shape(rounded(r, min(c.U(radius), r.W()/2, r.H()/2)), fill, pen)
}

// Disc draws a circle of the given radius (units) about p.
func (c *Canvas) Disc(p Point, radius float64, fill color.RGBA, pen Pen) {
	if !Finite(p) || !c.Bounds.Inset(-c.U(radius+pen.Width)-16).Has(p) {
		return
	}
	c.shape(append(Path(nil).arc(p, c.U(radius), 0, 2*math.Pi), Segment{Kind: ClosePath}), fill, pen)
}

func (c *Canvas) shape(path Path, fill color.RGBA, pen Pen) {
	if fill.A > 0 {
		c.surface.Fill(path, fill, false)
	}
	if pen.Width > 0 {
		c.surface.Stroke(path, Stroke{Colour: pen.Colour, Width: c.U(pen.Width)})
	}
}

// Pixels calls paint with every row of a rectangle, in whole pixels, several rows at a time. A row
// has 4 bytes a pixel: red, green, blue and 255, as they are so far.
func (c *Canvas) Pixels(r Rect, paint func(y int, row []uint8)) {
	c.surface.Pixels(pixelsOf(r).Intersect(pixelsOf(c.Bounds)), paint)
}

// Arrow draws a line from a to b with a filled head at b. The head is five times as long as the pen
// is wide, but at least 14 units. If the line is shorter than its head, it is all head.
func (c *Canvas) Arrow(a, b Point, pen Pen) {
	d := Pt(b.X-a.X, b.Y-a.Y)
	length := math.Hypot(d.X, d.Y)
	if !Finite(a) || !Finite(b) || length == 0 {
		return
	}
	head := min(c.U(max(14, 5*pen.Width)), length)
	d.X, d.Y = d.X/length, d.Y/length
	neck := Pt(b.X-head*d.X, b.Y-head*d.Y)
	w := 0.4 * head
	c.Line([]Point{a, neck}, pen)
	c.Fill(pen.Colour, []Point{b, Pt(neck.X-w*d.Y, neck.Y+w*d.X), Pt(neck.X+w*d.Y, neck.Y-w*d.X)})
}

// Hatch fills an area with parallel lines at the given distance (units) and angle (radians from the
// horizontal), which shows through whatever is beneath and survives a copier.
func (c *Canvas) Hatch(area []Point, pen Pen, distance, angle float64) {
	area = c.Bounds.Inset(-c.U(2*pen.Width) - 16).cutArea(area)
	if len(area) < 3 || distance <= 0 {
		return
	}
	sin, cos := math.Sincos(angle)
	along := func(p Point) float64 { return p.X*cos - p.Y*sin }
	across := func(p Point) float64 { return p.X*sin + p.Y*cos }
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range area {
		lo, hi = min(lo, across(p)), max(hi, across(p))
	}
	step := c.U(distance)
	var lines [][]Point
	for k := math.Ceil(lo / step); k*step < hi; k++ {
		v := k * step
		var at []float64
		for i, b := range area {
			a := area[(i+len(area)-1)%len(area)]
			if va, vb := across(a), across(b); (va <= v) != (vb <= v) {
				at = append(at, along(a)+(along(b)-along(a))*(v-va)/(vb-va))
			}
		}
		slices.Sort(at)
		for i := 1; i < len(at); i += 2 {
			p := func(u float64) Point { return Pt(u*cos+v*sin, -u*sin+v*cos) }
			lines = append(lines, []Point{p(at[i-1]), p(at[i])})
		}
	}
	c.stroke(lines, pen)
}
