package render

import (
	"math"
	"slices"
)

// Isolux lines are the edges of the bands. Their levels are written on them last, where the picture has room left.

// IsoluxLine is a line of equal light on a picture.
type IsoluxLine struct {
	Level  int     // index of the level in the theme's ramp
	Points []Point // px
}

// Isolux draws the lines of equal light of a field (lx) over its frame, at every level of the ramp, and returns them for
// IsoluxTexts.
func (c *Canvas) Isolux(f Frame, lux *Grid) []IsoluxLine {
	in := c.Inside(f.Box)
	log := lux.Log()
	var lines []IsoluxLine
	for i, level := range c.Theme.Ramp.Levels {
		var px [][]Point
		for _, line := range log.Contours(math.Log(level)) {
			px = append(px, f.Map(line.Line()))
			lines = append(lines, IsoluxLine{i, px[len(px)-1]})
		}
		in.Lines(px, Pen{Colour: c.Theme.Ramp.Line(i), Width: 1.5})
	}
	return lines
}

// IsoluxTexts writes the level on the two longest lines of each level, where the line is straight and the text keeps
// clear of avoid. It returns the boxes of the texts.
func (c *Canvas) IsoluxTexts(f Frame, lines []IsoluxLine, avoid []Rect) []Rect {
	in := c.Inside(f.Box)
	taken := slices.Clone(avoid)
	for i, level := range c.Theme.Ramp.Levels {
		text := figure(level) + " lx"
		w, h := c.Measure(text, Small)
		var here [][]Point
		for _, line := range lines {
			if line.Level == i {
				here = append(here, line.Points)
			}
		}
		for _, line := range longest(here, 2) {
			gap := c.U(8)
			spots := Spots(line, w+2*gap, h+gap, f.Box.Inset(gap), taken)
			if len(spots) == 0 {
				continue
			}
			taken = append(taken, in.Write(spots[0].At, text,
				Lettering{Role: Small, Backing: Halo, AnchorX: 0.5, AnchorY: 0.5, Angle: spots[0].Angle}))
		}
	}
	return taken[len(avoid):]
}

// longest are the n longest of lines, in their order.
func longest(lines [][]Point, n int) [][]Point {
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
	var long [][]Point
	for i, line := range lines {
		if lengths[i] >= least && len(long) < n {
			long = append(long, line)
		}
	}
	return long
}
