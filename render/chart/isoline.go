package chart

import (
	"math"
	"slices"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// Isolines are the edges of the bands. Their levels are written on them last, where the picture has
// room left.

// Isolines are the lines of equal value of a field on a picture.
type Isolines struct {
	frame Frame
	ramp  Ramp
	lines []isoline
}

type isoline struct {
	level  int // index of the level in the ramp
	points []draw.Point
}

// DrawIsolines draws the lines of equal value of a field over the frame, at every level of the
// ramp.
func (f Frame) DrawIsolines(c *draw.Canvas, g *Grid, ramp Ramp) Isolines {
	in := c.Inside(f.Box)
	lines := Isolines{frame: f, ramp: ramp}
	for i, contours := range ramp.banded(g).contours() {
		var px [][]draw.Point
		for _, line := range contours {
			px = append(px, f.Map(line.Line()))
			lines.lines = append(lines.lines, isoline{i, px[len(px)-1]})
		}
		in.Lines(px, draw.Pen{Colour: ramp.Lines[i], Width: 1.5})
	}
	return lines
}

// WriteLevels writes the level on the two longest lines of each level, where the line is straight
// and the text keeps clear of avoid. It returns the boxes of the texts.
func (l Isolines) WriteLevels(c *draw.Canvas, avoid []draw.Rect) []draw.Rect {
	in := c.Inside(l.frame.Box)
	taken := slices.Clone(avoid)
	for i, level := range l.ramp.Levels {
		text := units.Figure(level) + " " + l.ramp.Unit.Name
		w, h := c.Measure(text, draw.Small)
		var here [][]draw.Point
		for _, line := range l.lines {
			if line.level == i {
				here = append(here, line.points)
			}
		}
		for _, line := range longest(here, 2) {
			gap := c.U(8)
			spots := Spots(line, w+2*gap, h+gap, l.frame.Box.Inset(gap), taken)
			if len(spots) == 0 {
				continue
			}
			taken = append(taken, in.Write(spots[0].At, text,
				draw.Lettering{
					Role: draw.Small, Backing: draw.Halo, AnchorX: 0.5, AnchorY: 0.5, Angle: spots[0].Angle,
				}))
		}
	}
	return taken[len(avoid):]
}

// longest are the n longest of lines, in their order.
func longest(lines [][]draw.Point, n int) [][]draw.Point {
	if len(lines) <= n {
		return lines
	}
	lengths := make([]float64, len(lines))
	for i, line := range lines {
		for j := 1; j < len(line); j++ {
			lengths[i] += math.Hypot(line[j].X-line[j-1].X, line[j].Y-line[j-1].Y)
		}
	}
	least := slices.Sorted(slices.Values(lengths))[len(lines)-n]
	var long [][]draw.Point
	for i, line := range lines {
		if lengths[i] >= least && len(long) < n {
			long = append(long, line)
		}
	}
	return long
}

// Along an edge of the field, such as that of a shadow, the lines of all levels run together. A
// level written there would name the edge, so levels are written only where the field changes
// gradually.

// steep is the ratio of neighbouring samples above which there is an edge between them.
const steep = 1.25

// Gradual is the parts of lines that a level can be written on: not along edges of the field, and
// not small rings.
func (l Isolines) Gradual(c *draw.Canvas, g *Grid) Isolines {
	gradual := l
	gradual.lines = nil
	for _, line := range l.lines {
		n := len(line.points)
		if b := draw.BoundsOf(line.points); line.points[0] == line.points[n-1] && min(b.W(), b.H()) < c.U(60) {
			continue
		}
		from := 0
		for i := 0; i <= n; i++ {
			if i < n && !g.steepAt(l.frame.AcrossAt(line.points[i].X), l.frame.UpAt(line.points[i].Y)) {
				continue
			}
			if i-from > 1 {
				gradual.lines = append(gradual.lines, isoline{line.level, line.points[from:i]})
			}
			from = i + 1
		}
	}
	return gradual
}

// steepAt tells whether the field changes fast in the cell of a place.
func (g *Grid) steepAt(x, y float64) bool {
	i, j := int(math.Floor((x-g.X0)/g.DX)), int(math.Floor((y-g.Y0)/g.DY))
	i, j = max(0, min(i, g.NX-2)), max(0, min(j, g.NY-2))
	k := j*g.NX + i
	a, b, c, d := g.Values[k], g.Values[k+1], g.Values[k+g.NX], g.Values[k+g.NX+1]
	return max(a, b, c, d) > steep*min(a, b, c, d)
}
