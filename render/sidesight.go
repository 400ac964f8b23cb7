package render

import (
	"image/color"
	"math"

	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// Sight on the side picture: how far each thing is seen along the track, how plainly the first one
// is, and what becomes of its range as the nose moves up and down.

// seenThing is how far a thing is seen.
type seenThing struct {
	sight.Thing
	sight.Sight
}

// sightAlong is what a driver sees along the track.
type sightAlong struct {
	view   *sight.View
	things []seenThing
	// m along the track, visibility level of the first thing, NaN where it is hidden; nil: there is
	// no driver who sees
	first []draw.Point

	nods     *geometry.Stretch // ranges of the first thing as the nose moves; nil: it does not move
	nodsText string
}

// sightAlong works out the things of a subject; where the driver sees nothing there are none.
func (s Subject) sightAlong() (a sightAlong) {
	o, ok := s.outlook()
	if a.view = o.view; !ok || a.view.TooDense() {
		return a
	}
	lit, things := s.lit(), s.things()
	a.things = make([]seenThing, len(things))
	a.things[0] = seenThing{o.thing, o.sight}
	draw.Rows(len(things)-1, func(i int) {
		t := things[i+1]
		a.things[i+1] = seenThing{t, a.view.Along(t).Sight(lit)}
	})
	places := o.along.Places()
	for i, parts := range o.along.Parts() {
		level := math.NaN()
		if !parts.Hidden {
			level = parts.See(lit).Level
		}
		a.first = append(a.first, draw.Pt(places[i], level))
	}
	a.nod(s)
	return a
}

// nod works out the range of the first thing with the nose up and down.
func (a *sightAlong) nod(s Subject) {
	if s.NoseUp == nil || s.NoseDown == nil {
		return
	}
	ranges, words := [2]float64{}, [2]string{}
	for k, scene := range []*geometry.Scene{s.NoseDown, s.NoseUp} {
		moved := s
		moved.Scene = scene
		words[k] = "not seen"
		if o, ok := moved.outlook(); ok && !math.IsNaN(o.sight.Range) {
			ranges[k], words[k] = o.sight.Range, s.distance(o.sight.Range)
		}
	}
	by := s.NoseUp.Site.Attitude.NoseUp() - s.Scene.Site.Attitude.NoseUp()
	a.nods = &geometry.Stretch{From: min(ranges[0], ranges[1]), To: max(ranges[0], ranges[1])}
	if r := a.things[0].Range; !math.IsNaN(r) {
		a.nods.From, a.nods.To = min(a.nods.From, r), max(a.nods.To, r)
	}
	a.nodsText = "nose " + units.Degrees(by) + " down " + words[0] + ", up " + words[1]
}

// levelAxis is the axis of visibility levels, with the one that counts as seen a decade up.
func (a *sightAlong) levelAxis() chart.Axis {
	counts := a.view.Observer.Level
	most := 10 * counts
	for _, p := range a.first {
		if p.Y > most {
			most = p.Y
		}
	}
	most = counts * math.Pow(10, math.Ceil(2*math.Log10(most/counts))/2)
	return chart.Axis{From: counts / 10, To: min(most, 100*counts), Log: true, Unit: units.Plain, Title: "level"}
}

// drawRange draws how far the first thing is seen from top to bottom of a frame.
func (a *sightAlong) drawRange(c *draw.Canvas, f chart.Frame) {
	in := c.Inside(f.Box)
	if len(a.things) == 0 || math.IsNaN(a.things[0].Range) {
		return
	}
	x := f.X(a.things[0].Range)
	in.Line([]draw.Point{draw.Pt(x, f.Box.Y0), draw.Pt(x, f.Box.Y1)},
		draw.Pen{Colour: c.Theme.Sight, Width: 3}.Cased(c.Theme, 1))
}

// drawNods shades the band of a frame in which the range moves with the nose.
func (a *sightAlong) drawNods(c *draw.Canvas, f chart.Frame) {
	if a.nods != nil {
		band := draw.R(f.X(a.nods.From), f.Box.Y0, f.X(a.nods.To), f.Box.Y1)
		c.Inside(f.Box).Fill(nodShade(c.Theme), band.Corners())
	}
}

func nodShade(theme draw.Theme) color.RGBA { return veil(theme.Sight, 0.22) }

// drawLevel draws how plainly the first thing is seen, by distance.
func (v *sideLayout) drawLevel(c *draw.Canvas, s Subject, a sightAlong) {
	f := v.Level
	in := c.Inside(f.Box)
	shadeGaps(c, f, v.Gaps)
	a.drawNods(c, f)
	a.drawRange(c, f)
	f.DrawGrid(c)
	counts, thing := a.view.Observer.Level, a.things[0]
	in.Line([]draw.Point{draw.Pt(f.Box.X0, f.Y(counts)), draw.Pt(f.Box.X1, f.Y(counts))},
		draw.Pen{Colour: c.Theme.Sight, Width: 1.5, Dash: []float64{4, 4}})
	pen := draw.Pen{Colour: c.Theme.Sight, Width: 4}.Cased(c.Theme, 1.5)
	in.Line(f.Map(a.first), pen)
	f.DrawAxes(c)
	h := over(c, f)
	h.line(pen, "visibility level of the "+thing.Name+", seen from "+units.Figure(counts)+" on: "+
		s.seenWords(thing.Sight, a.view))
	if a.nods != nil {
		h.area(func(area []draw.Point) { c.Fill(nodShade(c.Theme), area) }, a.nodsText)
	}
	v.Labels = append(v.Labels, h.boxes...)
}
