package render

import (
	"math"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/scenery"

	"gonum.org/v1/gonum/spatial/r3"
)

// The track on a plan: its edges, how far along it a thing is seen, and stretches of it that are
// dark or where the thing is lost.

// halfTrack is half the width of a site's track, m.
func halfTrack(site *geometry.Site) float64 {
	if site.Track.Width > 0 {
		return site.Track.Width / 2
	}
	return scenery.TrackWidth / 2.
}

// alongTrack is the line so far to the left of the centreline of a track from one place along it to
// another (m).
func (p Plan) alongTrack(t *geometry.Track, left, from, to float64) []draw.Point {
	const most = 400
	n := 1 + min(most, int((to-from)*p.PerMetre()/3))
	line := make([]draw.Point, n+1)
	for i := range line {
		line[i] = p.Pixel(t.Place(from+(to-from)*float64(i)/float64(n), left))
	}
	return line
}

// drawTrack draws the edges of a track.
func drawTrack(c *draw.Canvas, p Plan, site *geometry.Site) {
	e, half := p.Extent(), halfTrack(site)
	far := min(site.Track.End(), 2*math.Hypot(max(e.Ahead, -e.Behind), max(e.Left, -e.Right)))
	c.Inside(p.Box).Lines([][]draw.Point{p.alongTrack(&site.Track, -half, 0, far),
		p.alongTrack(&site.Track, half, 0, far)},
		draw.Pen{Colour: c.Theme.Muted, Width: 1.5, Dash: []float64{10, 8}}.Cased(c.Theme, 0.6))
}

// across is a line of half a length (px) to either side of a place on the ground, square to a
// heading.
func (p Plan) across(x, y float64, heading r3.Vec, half float64) (a, b draw.Point) {
	m := half / p.PerMetre()
	return p.Pixel(x-m*heading.Y, y+m*heading.X), p.Pixel(x+m*heading.Y, y-m*heading.X)
}

// overTrack is how far a line across the track goes beyond its edges, units.
const overTrack = 9

// drawRange draws a line across the track where something is just seen, or an arrow where that is
// beyond the plan, and returns a tag for it and the box (px) around it.
func (p Plan) drawRange(c *draw.Canvas, site *geometry.Site, along float64, text string) (chart.Tag, draw.Rect) {
	t, half := &site.Track, halfTrack(site)*p.PerMetre()+c.U(overTrack)
	x, y := t.Place(along, 0)
	a, b := p.across(x, y, t.Heading(along), half)
	pen := draw.Pen{Colour: c.Theme.Sight, Width: 4.5}.Cased(c.Theme, 1.5)
	if p.Box.Has(p.Pixel(x, y)) {
		c.Inside(p.Box).Line([]draw.Point{a, b}, pen)
		return chart.Tag{At: p.Box.Nearest(a), Text: text, Mark: 4}, draw.BoundsOf([]draw.Point{a, b}).Inset(-c.U(4))
	}
	// Beside the track, so that it keeps clear of the arrows of lamps.
	line := p.alongTrack(t, half/p.PerMetre(), 0, along)
	tail := line[0]
	for i := 1; i < len(line) && p.Box.Has(line[i]); i++ {
		tail = line[i-1]
	}
	tail = arrowOut(c, p.Box, tail, line[len(line)-1], pen)
	return chart.Tag{At: tail, Text: text, Mark: 12}, draw.Around(tail, c.U(60), c.U(24))
}

// drawStretches draws stretches along one edge of the track, and returns the middle of the longest
// of them and the boxes around them (px). What is hardly longer than the pen is wide is left out.
func (p Plan) drawStretches(c *draw.Canvas, site *geometry.Site, stretches []geometry.Stretch, left float64,
	pen draw.Pen) (middle draw.Point, boxes []draw.Rect) {
	longest := c.U(4 * pen.Width)
	for _, s := range stretches {
		if s.To-s.From < leastStretch || (s.To-s.From)*p.PerMetre() < c.U(4*pen.Width) {
			continue
		}
		for _, line := range p.Box.CutLine(p.alongTrack(&site.Track, left, s.From, s.To)) {
			c.Line(line, pen)
			for _, end := range []draw.Point{line[0], line[len(line)-1]} {
				c.Disc(end, pen.Width/2+2, pen.Colour, draw.Pen{})
			}
			box := draw.BoundsOf(line).Inset(-c.U(pen.Width/2 + 2))
			boxes = append(boxes, box)
			if length := max(box.W(), box.H()); length > longest {
				middle, longest = line[len(line)/2], length
			}
		}
	}
	return middle, boxes
}

// leastStretch is how long (m) a stretch is at least that is worth showing: a bumper's own shadow
// is shorter.
const leastStretch = 2
