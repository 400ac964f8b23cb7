package render

import (
	"math"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Where each lamp is aimed, on a plan: its half-peak line on the ground and the spot its axis hits.
// Where an axis leaves the plan there is an arrow at the plan's edge, with the distance of the hit
// or the words that there is none.

// noHit stands for the place of an axis that meets no ground.
const noHit = "no hit"

// hitPlace is where the axis of a lamp hits, in words: "25.9 m ahead", "2.2 m ahead, 8.1 m left".
func (s Subject) hitPlace(i int) string {
	p, ok := s.Scene.Site.AxisHit(&s.Scene.Lamps[i])
	if !ok {
		return noHit
	}
	words := s.distance(math.Abs(p.X)) + " ahead"
	if p.X < 0 {
		words = s.distance(-p.X) + " behind"
	}
	switch {
	case p.Y >= 1:
		words += ", " + s.distance(p.Y) + " " + sides[0]
	case p.Y <= -1:
		words += ", " + s.distance(-p.Y) + " " + sides[1]
	}
	return words
}

// hits tells whether the axis of a lamp hits the ground of a plan.
func (p Plan) hits(s Subject, i int) bool {
	hit, ok := s.Scene.Site.AxisHit(&s.Scene.Lamps[i])
	return ok && p.Box.Has(p.Pixel(hit.X, hit.Y))
}

// footprints are the half-peak lines of a lamp as lines on a plan.
func (p Plan) footprints(site *geometry.Site, m *geometry.Mounted) [][]draw.Point {
	const limit = 1e5 // m, beyond any plan
	onProfile := len(site.Ground.Profile) > 0
	var lines [][]draw.Point
	for _, run := range site.Footprint(m, limit) {
		from := 0
		var line []draw.Point
		for i, q := range run {
			if onProfile && i > 0 && hiddenBetween(site, m, run[i-1], q) {
				lines, line, from = append(lines, line), nil, i
			}
			line = append(line, p.Pixel(q.X, q.Y))
		}
		if n := len(line); n > 2 && from == 0 && run[0] != run[n-1] && !onProfile {
			// On a plane the open ends are those of a conic, which is nearly straight beyond the
			// last points.
			line = append(line, beyond(line[n-2], line[n-1]))
			line = append([]draw.Point{beyond(line[1], line[0])}, line...)
		}
		lines = append(lines, line)
	}
	return lines
}

// hiddenBetween tells whether the ground between two neighbouring places that a lamp lights lies in
// the lee of a crest.
func hiddenBetween(site *geometry.Site, m *geometry.Mounted, a, b r3.Vec) bool {
	mid := r3.Scale(0.5, r3.Add(a, b))
	mid = site.At(mid.X, mid.Y, 0)
	d := r3.Sub(mid, m.Place)
	hit, ok := site.Ground.Hit(m.Place, d)
	return ok && r3.Norm(r3.Sub(hit, m.Place)) < 0.99*r3.Norm(d)
}

// beyond is far out on the line from a through b.
func beyond(a, b draw.Point) draw.Point {
	d := r2.Sub(b, a)
	if n := r2.Norm(d); n > 0 {
		return r2.Add(b, r2.Scale(1e5/n, d))
	}
	return b
}

// footprint is the half-peak lines of one lamp, and of the lamps whose lines run along them.
type footprint struct {
	style chart.Style
	lines [][]draw.Point
}

// footprintsOf are the half-peak lines to draw on a plan, and for each lamp the style that its
// lines have.
func footprintsOf(c *draw.Canvas, p Plan, s Subject) (drawn []footprint, styles []chart.Style) {
	all := make([][][]draw.Point, len(s.Scene.Lamps))
	draw.Rows(len(all), func(i int) {
		for _, line := range p.footprints(s.Scene.Site, &s.Scene.Lamps[i]) {
			all[i] = append(all[i], p.Box.CutLine(line)...)
		}
	})
	return distinct(c, all, s)
}

// distinct drops lines that run so close along those of an earlier lamp that the two cannot be told
// apart. It returns the lines to draw, and for each lamp the style that its lines are drawn in.
func distinct(c *draw.Canvas, all [][][]draw.Point, s Subject) (drawn []footprint, styles []chart.Style) {
next:
	for i, lines := range all {
		style := s.style(i)
		for _, f := range drawn {
			if alongside(lines, f.lines, c.U(7)) && alongside(f.lines, lines, c.U(7)) {
				styles = append(styles, chart.Style{Number: style.Number, Dash: f.style.Dash, Marker: style.Marker})
				continue next
			}
		}
		styles = append(styles, style)
		if len(lines) > 0 {
			drawn = append(drawn, footprint{style, lines})
		}
	}
	return drawn, styles
}

// alongside tells whether all of the lines a run within a distance of the lines b. It looks at
// every sixth point.
func alongside(a, b [][]draw.Point, distance float64) bool {
	near := func(p draw.Point) bool {
		room := draw.Around(p, 2*distance, 2*distance)
		for _, line := range b {
			for i := 1; i < len(line); i++ {
				if room.Crosses(line[i-1], line[i]) {
					return true
				}
			}
		}
		return false
	}
	for _, line := range a {
		for i := 0; i < len(line); i += 6 {
			if !near(line[i]) {
				return false
			}
		}
		if !near(line[len(line)-1]) {
			return false
		}
	}
	return true
}

// drawFootprints draws half-peak lines within a box, and returns all of them.
func drawFootprints(c *draw.Canvas, box draw.Rect, footprints []footprint) (all [][]draw.Point) {
	in := c.Inside(box)
	for _, f := range footprints {
		pen := f.style.Pen(c.Theme, 2)
		pen.Casing = 1
		in.Lines(f.lines, pen)
		all = append(all, f.lines...)
	}
	return all
}

// hitMark is the radius of the spot where an axis hits, units.
const hitMark = 6

// drawHit draws where the axis of a lamp hits, and returns its tag.
func drawHit(c *draw.Canvas, p Plan, s Subject, i int) chart.Tag {
	m, style := &s.Scene.Lamps[i], s.style(i)
	tag := chart.Tag{Key: &style, Priority: -i}
	lamp := p.Pixel(m.Place.X, m.Place.Y)
	hit, ok := s.Scene.Site.AxisHit(m)
	to := p.Pixel(hit.X, hit.Y)
	switch {
	case ok && p.Box.Has(to):
		c.Inside(p.Box).Disc(to, hitMark, c.Theme.Ink, draw.Pen{Colour: c.Theme.Background, Width: 2})
		tag.At, tag.Mark = to, hitMark+2
	case !ok && math.Abs(m.Axes.Ahead.Z) > 0.9: // an arrow would say that it points somewhere
		tag.At, tag.Mark, tag.Text = p.Box.Nearest(lamp), 4, noHit
	default:
		if !ok {
			a := r3.Add(m.Place, r3.Scale(1e4, m.Axes.Azimuth()))
			to = p.Pixel(a.X, a.Y)
		}
		tag.At, tag.Text = arrowOut(c, p.Box, lamp, to, outPen(c)), s.hitPlace(i)
		tag.Mark = 12
	}
	return tag
}

// arrowOut draws an arrow to where the line from a to b leaves a box, and returns its tail.
func arrowOut(c *draw.Canvas, box draw.Rect, a, b draw.Point, pen draw.Pen) draw.Point {
	_, edge, ok := box.Cut(a, b)
	if !ok {
		edge = box.Nearest(b)
	}
	d := r2.Sub(b, a)
	if n := r2.Norm(d); n > 0 {
		d = r2.Scale(1/n, d)
	}
	tail := box.Nearest(r2.Sub(edge, r2.Scale(c.U(44), d)))
	c.Arrow(tail, r2.Sub(edge, r2.Scale(c.U(4), d)), pen)
	return tail
}

// outPen is the pen of arrows to where lamps are aimed.
func outPen(c *draw.Canvas) draw.Pen {
	return draw.Pen{Colour: c.Theme.Ink, Width: 3.5}.Cased(c.Theme, 1.5)
}

// lampKey is the entries of a key, with where each axis hits.
func (s Subject) lampKey(styles []chart.Style) []chart.KeyEntry {
	var key []chart.KeyEntry
	for i := range s.Scene.Lamps {
		key = append(key, chart.KeyEntry{Style: styles[i], Name: s.Scene.Lamps[i].Lamp.Name, Note: s.hitPlace(i)})
	}
	return key
}
