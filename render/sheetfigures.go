package render

import (
	"fmt"
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The drawings of the sheet: the vehicle as parked, from its side and from ahead, with the keys of
// the lamps.

// figures draws the vehicle from the right and from ahead, on one scale, with the keys of the
// lamps.
func (b *sheet) figures(c *draw.Canvas, box draw.Rect) (texts []draw.Rect) {
	s := b.Subject
	lamps := s.Scene.Lamps
	side, front := profile{}, profile{front: true}
	spread := func(p profile) (lo, hi draw.Point) {
		lo, hi = draw.Pt(math.Inf(1), 0), draw.Pt(math.Inf(-1), 1)
		add := func(q draw.Point) {
			lo.X, hi.X, hi.Y = min(lo.X, q.X), max(hi.X, q.X), max(hi.Y, q.Y)
		}
		outlines := append(p.boxes(s.Scene.Site.Body), p.rest(s.Vehicle, lamps))
		for _, o := range outlines {
			for _, q := range o {
				add(q)
			}
		}
		for i := range lamps {
			add(p.at(lamps[i].Lamp.At))
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
	_, caption := c.Measure("", draw.Small)
	_, keys := chart.PlateSize(c) // the rows of keys above and below
	if box.H() < c.U(420) {
		keys *= chart.CalloutSizes[1]
	}
	keys += c.U(10)
	side0, high := c.U(40), max(sideHi.Y, frontHi.Y)
	long, wide := sideHi.X-sideLo.X, frontHi.X-frontLo.X
	perMetre := min((box.W()-c.U(sheetGap)-4*side0)/(long+wide), (box.H()-caption-2*keys-c.U(40))/high)
	// The drawings share what is left over.
	spare := box.W() - c.U(sheetGap) - perMetre*(long+wide)
	split := box.X0 + perMetre*long + spare/2
	drawing := func(r draw.Rect, p profile, lo, hi draw.Point, captions ...string) {
		c.Box(r, 0, c.Theme.Background, draw.Pen{Colour: c.Theme.Ink, Width: 1.5})
		inner := draw.Around(r.Centre(), perMetre*(hi.X-lo.X), perMetre*high)
		inner.Y1 = r.Y1 - caption - keys - c.U(12)
		inner.Y0 = inner.Y1 - perMetre*high
		f := chart.Frame{Box: inner, Across: chart.Axis{From: lo.X, To: hi.X, Unit: s.Units.Axis()},
			Up: chart.Axis{To: high, Unit: s.Units.Axis()}}
		ground := f.Y(0)
		c.Line([]draw.Point{draw.Pt(r.X0, ground), draw.Pt(r.X1, ground)}, draw.Pen{Colour: c.Theme.Ink, Width: 2})
		drawProfile(c, f, p, s, lamps)
		var callouts []chart.Callout
		for i := range lamps {
			at := p.at(lamps[i].Lamp.At)
			half := r3.Scale(lamps[i].Lamp.Width/2, lamps[i].Lamp.Aim.Axes().Left)
			from, to := p.at(r3.Sub(lamps[i].Lamp.At, half)), p.at(r3.Add(lamps[i].Lamp.At, half))
			c.Line([]draw.Point{f.At(from.X, from.Y), f.At(to.X, to.Y)}, draw.Pen{Colour: c.Theme.Ink, Width: 6})
			c.Line(f.Map([]draw.Point{at, p.mounted(at, s)}), draw.Pen{Colour: c.Theme.Ink, Width: 2})
			callouts = append(callouts, chart.Callout{At: f.At(at.X, at.Y), Style: s.style(i)})
		}
		row := r.Inset(c.U(6))
		above, below := row, row
		above.Y1, below.Y0, below.Y1 = row.Y0+keys, ground+c.U(4), ground+c.U(4)+keys
		boxes, ok := chart.CallOut(c, callouts, above, below)
		more := ""
		if !ok { // all that there is room for
			var tags []chart.Tag
			for i := range callouts {
				tags = append(tags, chart.Tag{At: callouts[i].At, Key: &callouts[i].Style, Mark: 8, Priority: -i})
			}
			var dropped []int
			layout := chart.Layout{Bounds: draw.R(row.X0, row.Y0, row.X1, below.Y1), Gap: c.U(4)}
			if boxes, dropped = layout.DrawTags(c, tags, r.W()/2); len(dropped) > 0 {
				more = fmt.Sprintf("; %d more lamps", len(dropped))
			}
		}
		text := captions[0] + more
		for _, longer := range captions[1:] { // the longest that there is room for
			if w, _ := c.Measure(longer+more, draw.Small); w <= r.W()-c.U(20) {
				text = longer + more
			}
		}
		texts = append(texts, c.Write(draw.Pt(r.X0+c.U(10), r.Y1-c.U(4)), text,
			draw.Lettering{Role: draw.Small, AnchorY: 1, Max: r.W() - c.U(20)}))
		texts = append(texts, boxes...)
		for i, l := range callouts {
			if p.front && s.atTheBack(lamps[i]) {
				c.Disc(l.At, 6, c.Theme.Background, draw.Pen{Colour: c.Theme.Ink, Width: 2.5})
			} else {
				c.Disc(l.At, 6, c.Theme.Ink, draw.Pen{Colour: c.Theme.Background, Width: 2})
			}
		}
	}
	drawing(draw.R(box.X0, box.Y0, split, box.Y1), side, sideLo, sideHi, "seen from the right")
	ahead := []string{"seen from ahead"}
	if slices.ContainsFunc(lamps, s.atTheBack) {
		ahead = append(ahead, "seen from ahead; rings: behind", "seen from ahead; rings: at the back")
	}
	drawing(draw.R(split+c.U(sheetGap), box.Y0, box.X1, box.Y1), front, frontLo, frontHi, ahead...)
	return texts
}

// atTheBack says whether a lamp that shines backward is on the rear half of the vehicle.
func (s Subject) atTheBack(l geometry.Mounted) bool {
	middle := 0.0
	for _, b := range s.Scene.Site.Body {
		middle = min(middle, b.Min.X/2)
	}
	return l.Lamp.At.X < min(middle, -s.Vehicle.Length/2) && l.Lamp.Aim.Axes().Ahead.X < 0
}

// mounted is where a lamp that is seen at a place meets the vehicle, or the ground where nothing is
// known of it: lamps do not float.
func (p profile) mounted(at draw.Point, s Subject) draw.Point {
	nearest := draw.Pt(at.X, 0)
	for _, r := range p.body(s.Vehicle, s.Scene.Site.Body) {
		q := r.Nearest(at)
		if math.Hypot(q.X-at.X, q.Y-at.Y) < math.Hypot(nearest.X-at.X, nearest.Y-at.Y) {
			nearest = q
		}
	}
	if rest := p.rest(s.Vehicle, s.Scene.Lamps); len(s.Scene.Site.Body) == 0 && len(rest) > 0 {
		nearest = draw.BoundsOf(rest).Nearest(at)
	}
	return nearest
}
