package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The drawings of the sheet: the vehicle as parked, from its side and from ahead, with the keys of the lamps.

// figures draws the vehicle from the right and from ahead, on one scale, with the keys of the lamps.
func (b *sheet) figures(c *Canvas, box Rect) (texts []Rect) {
	s := b.s
	lamps := s.Scene.Lamps
	side, front := profile{}, profile{front: true}
	spread := func(p profile) (lo, hi Point) {
		lo, hi = Point{X: math.Inf(1), Y: 0}, Point{X: math.Inf(-1), Y: 1}
		add := func(q Point) {
			lo.X, hi.X, hi.Y = min(lo.X, q.X), max(hi.X, q.X), max(hi.Y, q.Y)
		}
		outlines := append(p.boxes(s.Scene.Site.Body), p.rest(s.Vehicle, lamps))
		for _, o := range outlines {
			for _, q := range o {
				add(q)
			}
		}
		for i := range lamps {
			add(p.at(lamps[i].At))
		}
		if lo.X > hi.X {
			lo.X, hi.X = -1, 1
		}
		if hi.X-lo.X < 0.5 {
			lo.X, hi.X = lo.X-0.25, hi.X+0.25
		}
		return lo, hi
	}
	sideLo, sideHi := spread(side)
	frontLo, frontHi := spread(front)
	_, caption := c.Measure("", Small)
	_, keys := c.KeySize() // the rows of keys above and below
	if box.H() < c.U(420) {
		keys *= calloutSizes[1]
	}
	keys += c.U(10)
	side0, high := c.U(40), max(sideHi.Y, frontHi.Y)
	long, wide := sideHi.X-sideLo.X, frontHi.X-frontLo.X
	perMetre := min((box.W()-c.U(sheetGap)-4*side0)/(long+wide), (box.H()-caption-2*keys-c.U(40))/high)
	// The drawings share what is left over.
	spare := box.W() - c.U(sheetGap) - perMetre*(long+wide)
	split := box.X0 + perMetre*long + spare/2
	draw := func(r Rect, p profile, lo, hi Point, text string) {
		c.Box(r, 0, c.Theme.Background, Pen{Colour: c.Theme.Ink, Width: 1.5})
		written := c.Write(Point{X: r.X0 + c.U(10), Y: r.Y1 - c.U(4)}, text, Lettering{Role: Small, AnchorY: 1, Max: r.W() - c.U(20)})
		texts = append(texts, written)
		inner := Around(r.Centre(), perMetre*(hi.X-lo.X), perMetre*high)
		inner.Y1 = r.Y1 - caption - keys - c.U(12)
		inner.Y0 = inner.Y1 - perMetre*high
		f := Frame{inner, Axis{From: lo.X, To: hi.X, Unit: s.Units.Axis()}, Axis{To: high, Unit: s.Units.Axis()}}
		ground := f.Y(0)
		c.Line([]Point{{X: r.X0, Y: ground}, {X: r.X1, Y: ground}}, Pen{Colour: c.Theme.Ink, Width: 2})
		bare := len(c.drawProfile(f, p, s, lamps)) == 0
		var callouts []callout
		for i := range lamps {
			at := p.at(lamps[i].At)
			half := r3.Scale(lamps[i].Width/2, lamps[i].Aim.Axes().Left)
			from, to := p.at(r3.Sub(lamps[i].At, half)), p.at(r3.Add(lamps[i].At, half))
			c.Line([]Point{f.At(from.X, from.Y), f.At(to.X, to.Y)}, Pen{Colour: c.Theme.Ink, Width: 6})
			if bare { // lamps do not float
				c.Line([]Point{f.At(at.X, at.Y), f.At(at.X, 0)}, Pen{Colour: c.Theme.Ink, Width: 2})
			}
			callouts = append(callouts, callout{f.At(at.X, at.Y), s.style(i)})
		}
		row := r.Inset(c.U(6))
		above, below := row, row
		above.Y1, below.Y0, below.Y1 = row.Y0+keys, ground+c.U(4), ground+c.U(4)+keys
		boxes, ok := c.callOut(callouts, above, below)
		if !ok { // all that there is room for
			var tags []Tag
			for i := range callouts {
				tags = append(tags, Tag{At: callouts[i].at, Lamp: &callouts[i].style, Mark: 8, Priority: -i})
			}
			var dropped []int
			if boxes, dropped = c.Tags(Layout{Bounds: Rect{row.X0, row.Y0, row.X1, below.Y1}, Gap: c.U(4)}, tags, r.W()/2); len(dropped) > 0 {
				texts = append(texts, c.Write(Point{X: r.X1 - c.U(10), Y: r.Y1 - c.U(4)}, fmt.Sprintf("%d more lamps", len(dropped)),
					Lettering{Role: Small, AnchorX: 1, AnchorY: 1, Max: r.X1 - written.X1 - c.U(30)}))
			}
		}
		texts = append(texts, boxes...)
		for _, l := range callouts {
			c.Disc(l.at, 6, c.Theme.Ink, Pen{Colour: c.Theme.Background, Width: 2})
		}
	}
	draw(Rect{box.X0, box.Y0, split, box.Y1}, side, sideLo, sideHi, "seen from the right")
	draw(Rect{split + c.U(sheetGap), box.Y0, box.X1, box.Y1}, front, frontLo, frontHi, "seen from ahead")
	return texts
}
