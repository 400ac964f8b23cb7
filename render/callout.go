package render

import (
	"cmp"
	"math"
	"slices"
)

// Callouts are key plates in a row above a drawing and a row below it, each with a line to its lamp. In each row they stand
// in the order of their lamps, so that the lines do not cross.

// callout is a lamp on a drawing.
type callout struct {
	at    Point // px
	style Style
}

// calloutSizes are the sizes of key plates that are tried, the largest first.
var calloutSizes = [...]float64{1, 0.8, 0.6}

// sized is a canvas on which type, lines and key plates are so many times as large.
func (c *Canvas) Scaled(times float64) *Canvas {
	s := *c
	s.unit *= times
	return &s
}

// callOut draws the keys of lamps in the rows above and below, each lamp in the nearer one as long as that has room. It
// returns their boxes, and false if even the smallest plates do not fit.
func (c *Canvas) callOut(lamps []callout, above, below Rect) (boxes []Rect, ok bool) {
	for _, size := range calloutSizes {
		s := c.Scaled(size)
		w, h := s.KeySize()
		gap := s.U(2)
		if h > above.H() || h > below.H() {
			continue
		}
		fit := func(r Rect) int { return int((r.W() + gap) / (w + gap)) }
		if len(lamps) > fit(above)+fit(below) {
			continue
		}
		high := slices.Clone(lamps) // the highest first
		slices.SortStableFunc(high, func(a, b callout) int { return cmp.Compare(a.at.Y, b.at.Y) })
		middle := (above.Y1 + below.Y0) / 2
		n := 0
		for n < len(high) && high[n].at.Y < middle {
			n++
		}
		n = min(max(n, len(high)-fit(below)), fit(above))
		rows := [2][]callout{high[:n], high[n:]}
		for k, row := range rows {
			room := [2]Rect{above, below}[k]
			slices.SortStableFunc(row, func(a, b callout) int {
				return cmp.Or(cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.style.Number, b.style.Number))
			})
			xs := make([]float64, len(row))
			for i, l := range row {
				xs[i] = l.at.X
			}
			xs = apart(xs, w+gap, room.X0+w/2, room.X1-w/2)
			y, pen := room.Centre().Y, Pen{Colour: c.Theme.Ink, Width: 1.5}
			for i := 0; i < len(row); { // lamps seen at one place are strung together
				j := i + 1
				for j < len(row) && math.Hypot(row[j].at.X-row[i].at.X, row[j].at.Y-row[i].at.Y) < c.U(5) {
					j++
				}
				c.Line([]Point{{X: xs[i], Y: y}, {X: xs[j-1], Y: y}}, pen)
				c.Line([]Point{row[i].at, {X: (xs[i] + xs[j-1]) / 2, Y: y}}, pen)
				i = j
			}
			for i, l := range row {
				p := Point{X: xs[i], Y: y}
				s.Key(p, l.style)
				boxes = append(boxes, Around(p, w, h))
			}
		}
		return boxes, true
	}
	return nil, false
}

// apart moves rising places as little as need be (in the sum of squares) to be at least a distance apart and between lo
// and hi, where they have room: isotonic regression of what is left of each place when the distances are taken off.
func apart(xs []float64, distance, lo, hi float64) []float64 {
	type pool struct {
		sum float64
		n   int
	}
	var pools []pool
	for i, x := range xs {
		pools = append(pools, pool{x - float64(i)*distance, 1})
		for k := len(pools) - 1; k > 0 && pools[k].sum/float64(pools[k].n) <= pools[k-1].sum/float64(pools[k-1].n); k-- {
			pools[k-1] = pool{pools[k-1].sum + pools[k].sum, pools[k-1].n + pools[k].n}
			pools = pools[:k]
		}
	}
	var places []float64
	last := float64(len(xs)-1) * distance
	for _, p := range pools {
		for range p.n {
			rest := min(max(p.sum/float64(p.n), lo), hi-last)
			places = append(places, rest+float64(len(places))*distance)
		}
	}
	return places
}
