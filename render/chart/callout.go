package chart

import (
	"cmp"
	"math"
	"slices"

	"beamfall/render/draw"
)

// Callouts are key plates in a row above a drawing and a row below it, each with a line to its
// place. In each row they stand in the order of their places, so that the lines do not cross.

// Callout is a place on a drawing that is called out.
type Callout struct {
	At    draw.Point // px
	Style Style
}

// CalloutSizes are the sizes of key plates that are tried, the largest first.
var CalloutSizes = [...]float64{1, 0.8, 0.6}

// CallOut draws key plates in the rows above and below, each in the nearer row if that has room. It
// returns their boxes, or false if even the smallest plates do not fit.
func CallOut(c *draw.Canvas, places []Callout, above, below draw.Rect) (boxes []draw.Rect, ok bool) {
	for _, size := range CalloutSizes {
		s := c.Scaled(size)
		w, h := PlateSize(s)
		gap := s.U(2)
		if h > above.H() || h > below.H() {
			continue
		}
		fit := func(r draw.Rect) int { return int((r.W() + gap) / (w + gap)) }
		if len(places) > fit(above)+fit(below) {
			continue
		}
		high := slices.Clone(places) // the highest first
		slices.SortStableFunc(high, func(a, b Callout) int { return cmp.Compare(a.At.Y, b.At.Y) })
		middle := (above.Y1 + below.Y0) / 2
		n := 0
		for n < len(high) && high[n].At.Y < middle {
			n++
		}
		n = min(max(n, len(high)-fit(below)), fit(above))
		rows := [2][]Callout{high[:n], high[n:]}
		for k, row := range rows {
			room := [2]draw.Rect{above, below}[k]
			slices.SortStableFunc(row, func(a, b Callout) int {
				return cmp.Or(cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.Style.Number, b.Style.Number))
			})
			xs := make([]float64, len(row))
			for i, l := range row {
				xs[i] = l.At.X
			}
			xs = Spread(xs, w+gap, room.X0+w/2, room.X1-w/2, nil)
			y, pen := room.Centre().Y, draw.Pen{Colour: c.Theme.Ink, Width: 1.5}.Cased(c.Theme, 1.5)
			for i := 0; i < len(row); { // those of one place are strung together
				j := i + 1
				for j < len(row) && math.Hypot(row[j].At.X-row[i].At.X, row[j].At.Y-row[i].At.Y) < c.U(5) {
					j++
				}
				c.Line([]draw.Point{draw.Pt(xs[i], y), draw.Pt(xs[j-1], y)}, pen)
				c.Line([]draw.Point{row[i].At, draw.Pt((xs[i]+xs[j-1])/2, y)}, pen)
				i = j
			}
			for i, l := range row {
				p := draw.Pt(xs[i], y)
				l.Style.DrawPlate(s, p)
				boxes = append(boxes, draw.Around(p, w, h))
			}
		}
		return boxes, true
	}
	return nil, false
}
