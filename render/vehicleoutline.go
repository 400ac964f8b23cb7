package render

import (
	"slices"

	"beamfall/render/draw"
)

// The outline of a vehicle: the boxes of its body joined into one shape. A vehicle is known by its
// outline; the boxes are how someone measured it.

// outline is the closed lines around upright rectangles (m across and up) that overlap or touch,
// and around holes that they leave.
func outline(rects []draw.Rect) [][]draw.Point {
	// On the grid of all their edges each cell is either in one of them or in none.
	xs, ys := edges(rects, func(r draw.Rect) (a, b float64) { return r.X0, r.X1 }),
		edges(rects, func(r draw.Rect) (a, b float64) { return r.Y0, r.Y1 })
	in := func(i, j int) bool {
		if i < 0 || j < 0 || i >= len(xs)-1 || j >= len(ys)-1 {
			return false
		}
		middle := draw.Pt((xs[i]+xs[i+1])/2, (ys[j]+ys[j+1])/2)
		return slices.ContainsFunc(rects, func(r draw.Rect) bool { return r.Has(middle) })
	}
	// From each corner of the grid, the steps along edges that have the inside on their left, in
	// the order in which they turn left most of all from the one before.
	type corner struct{ i, j int }
	next := map[corner][]corner{}
	var starts []corner
	add := func(from, to corner) {
		next[from] = append(next[from], to)
		starts = append(starts, from)
	}
	for j := range len(ys) {
		for i := range len(xs) {
			if in(i, j) && !in(i, j-1) {
				add(corner{i, j}, corner{i + 1, j})
			}
			if !in(i, j) && in(i, j-1) {
				add(corner{i + 1, j}, corner{i, j})
			}
			if in(i, j) && !in(i-1, j) {
				add(corner{i, j + 1}, corner{i, j})
			}
			if !in(i, j) && in(i-1, j) {
				add(corner{i, j}, corner{i, j + 1})
			}
		}
	}
	step := func(from, before corner) corner {
		ways := next[from]
		k := 0
		if len(ways) > 1 { // two shapes meet at a corner: stay with the one that is followed
			dx, dy := from.i-before.i, from.j-before.j
			k = max(0, slices.IndexFunc(ways, func(to corner) bool { return dx*(to.j-from.j)-dy*(to.i-from.i) > 0 }))
		}
		to := ways[k]
		next[from] = slices.Delete(ways, k, k+1)
		return to
	}
	var lines [][]draw.Point
	for _, start := range starts {
		if len(next[start]) == 0 {
			continue
		}
		var loop []corner
		for at, before := start, (corner{start.i - 1, start.j}); ; {
			loop = append(loop, at)
			at, before = step(at, before), at
			if at == start {
				break
			}
		}
		var line []draw.Point
		for k, c := range loop { // corners on straight stretches are left out
			before, after := loop[(k+len(loop)-1)%len(loop)], loop[(k+1)%len(loop)]
			if (before.i == c.i) != (c.i == after.i) {
				line = append(line, draw.Pt(xs[c.i], ys[c.j]))
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// edges are the places of the edges of rectangles, rising, each once.
func edges(rects []draw.Rect, of func(draw.Rect) (a, b float64)) (places []float64) {
	for _, r := range rects {
		a, b := of(r)
		places = append(places, a, b)
	}
	slices.Sort(places)
	return slices.Compact(places)
}
