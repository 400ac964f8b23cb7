package render

import (
	"math"
	"slices"
)

// Isolux lines are the edges of the bands with their levels written on them.

// Isolux draws the lines of equal light (lx) of a frame at every level of the ramp, and the level along each line where
// it is straight and keeps clear of avoid. It returns the boxes of those texts.
func (c *Canvas) Isolux(f Frame, lux *Grid, avoid []Rect) []Rect {
	in := c.Inside(f.Box)
	log := lux.Log()
	var lines [][][]Point // by level
	for i, level := range c.Theme.Ramp.Levels {
		var px [][]Point
		for _, line := range log.Contours(math.Log(level)) {
			px = append(px, f.Map(line.Line()))
		}
		in.Lines(px, Pen{Colour: c.Theme.Ramp.Line(i), Width: 1.5})
		lines = append(lines, px)
	}
	var texts []Rect
	for i, level := range c.Theme.Ramp.Levels {
		text := figure(level) + " lx"
		w, h := c.Measure(text, Small)
		for _, line := range longest(lines[i], 2) {
			taken := append(texts[:len(texts):len(texts)], avoid...)
			spots := Spots(line, w, h, f.Box.Inset(c.U(8)), taken)
			if len(spots) == 0 {
				continue
			}
			box := in.Write(spots[0].At, text, Lettering{Role: Small, Backing: Halo, AnchorX: 0.5, AnchorY: 0.5, Angle: spots[0].Angle})
			texts = append(texts, box.Inset(-c.U(10)))
		}
	}
	return texts
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
