package render

import (
	"context"
	"image/color"
	"math"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// The picture from above: where the light falls on the ground, and where each lamp is aimed. Ahead
// is to the right: beams are longer than they are wide, and so are screens.

// TopOptions are choices for a picture from above. What is 0 is chosen by the light.
type TopOptions struct {
	Width               int     // px; 0 is UnitWidth
	Ahead, Behind, Side float64 // m from the bumper that are to be seen at least, Side to either side
	Map                 Map
}

// topLayout is where things are on a picture from above: its plans, and the boxes (px) of all marks
// and texts.
type topLayout struct {
	Plan          Plan
	Far           Plan // the whole way to where the first thing is seen; the zero value where Plan has it
	Marks, Labels []draw.Rect
}

// mostFootprints is how many half-peak lines can be told apart. If there are more, none is drawn.
const mostFootprints = 24

// The height of the plan, and of that of the whole way, units.
const leastPlan, mostPlan, leastFar, mostFar = 430, 900, 150, 420

// Top draws a subject from above: light on the ground or what else is to be mapped, the vehicle,
// for each lamp its half-peak line on the ground and the spot that its axis hits, and where along
// the track the first thing is just seen. It stops early, with the context's error, when the
// context ends.
func Top(ctx context.Context, s Subject, theme draw.Theme, o TopOptions) (*draw.Canvas, error) {
	c, _, err := drawTop(ctx, s, theme, o)
	return c, err
}

func drawTop(ctx context.Context, s Subject, theme draw.Theme, o TopOptions) (*draw.Canvas, topLayout, error) {
	e, err := s.ground(ctx)
	if err != nil {
		return nil, topLayout{}, err
	}
	s.Things = s.things()[:1]
	t := fromAbove{Subject: s.Looking()}
	if t.mapped, err = s.mapped(o.Map); err != nil {
		return nil, topLayout{}, err
	}
	t.outlook, t.eyed = t.Subject.outlook()
	e = o.widen(withRoom(e))
	e, whole, beyond := t.wholeWay(e)
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, topLayout{}, err
	}
	r, unit := page.Ruler, s.Units.Axis()
	page.Add(chart.Title(s.Rig, s.details(t.mapped.title(s)+", from above")), chart.PageGap)
	room := page.Add(chart.Space(planHeight(r, e, unit, leastPlan, mostPlan)), chart.PageGap)
	t.Plan = planIn(r, room, e, unit)
	if beyond {
		room := page.Add(chart.Space(planHeight(r, whole, unit, leastFar, mostFar)), chart.PageGap)
		_, bottom := t.Plan.AxisRoom(r)
		t.Far = newPlan(draw.R(t.Plan.Box.X0, room.Y0, room.X1, room.Y1-bottom), whole, false, unit)
		t.Far.Up.Title = ""
	}
	footprints, styles := footprintsOf(r, t.Plan, s)
	signs := "Number: where the lamp's axis meets the ground, measured from the bumper."
	if len(footprints) > mostFootprints {
		footprints = nil
	} else {
		signs += " Line: half of the beam's peak."
	}
	if t.eyed {
		signs += " " + t.sightWords(s)
		if t.seen() {
			signs += " Line across the track: where it is just seen."
		}
	}
	if beyond {
		signs += " Framed: the part shown large."
	}
	page.Add(t.mapped.legend(t.Subject, theme), chart.PageGap)
	page.Add(chart.Paragraph(signs), signsGap)
	if key := s.lampKey(styles); len(key) > 0 {
		page.Add(chart.Key(key, moreLamps), chart.PageGap)
	}
	c, labels, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, topLayout{}, err
	}
	t.Labels = labels
	if err := t.draw(ctx, c, t.Plan, footprints); err != nil {
		return nil, topLayout{}, err
	}
	if beyond {
		if err := t.draw(ctx, c, t.Far, nil); err != nil {
			return nil, topLayout{}, err
		}
	}
	return c, t.topLayout, nil
}

// fromAbove is a picture from above being drawn.
type fromAbove struct {
	Subject
	topLayout
	outlook
	eyed   bool // there is an eye that looks out
	mapped mapped
}

// wholeWay is an extent made to hold how far the first thing is seen, if that is not much farther;
// else beyond, and the whole way there.
func (t *fromAbove) wholeWay(e geometry.Extent) (near, whole geometry.Extent, beyond bool) {
	if !t.eyed || math.IsNaN(t.sight.Range) {
		return e, e, false
	}
	const steps, room, little, aside = 100, 1.06, 1.5, 3 // m, aside
	half := halfTrack(t.Scene.Site) + aside
	whole = t.onGround()
	for i := range steps + 1 {
		x, y := t.Scene.Site.Track.Place(t.sight.Range*float64(i)/steps, 0)
		whole = whole.With(geometry.Extent{Behind: x, Ahead: room * x, Right: y - half, Left: y + half})
	}
	if all := e.With(whole); all.Ahead-all.Behind < little*(e.Ahead-e.Behind) &&
		all.Left-all.Right < little*(e.Left-e.Right) {
		return all, e, false
	}
	whole.Right, whole.Left = whole.Right-aside, whole.Left+aside
	return e, whole, true
}

// draw draws one of the plans. On that of the whole way there is only what the other does not have.
func (t *fromAbove) draw(ctx context.Context, c *draw.Canvas, p Plan, footprints []footprint) error {
	s, whole := t.Subject, p == t.Far
	isolux, err := t.mapped.draw(ctx, c, p, s)
	if err != nil {
		return err
	}
	arcs := drawArcs(c, p)
	drawTrack(c, p, s.Scene.Site)
	taken := []draw.Rect{drawVehicle(c, p, s)}
	lines := drawFootprints(c, p.Box, footprints)
	if whole {
		frame := p.corners(t.Plan.Extent())
		c.Inside(p.Box).Outline(frame, draw.Pen{Colour: c.Theme.Ink, Width: 1.5}.Cased(c.Theme, 1))
		lines = append(lines, append(frame, frame[0]))
	}
	tags, marks := t.drawTrackMarks(c, p)
	taken = append(taken, marks...)
	for i := range s.Scene.Lamps {
		if whole && (t.Plan.hits(s, i) || !p.hits(s, i)) {
			continue
		}
		tag := drawHit(c, p, s, i)
		tags, marks = append(tags, tag), append(marks, draw.Around(tag.At, c.U(2*tag.Mark), c.U(2*tag.Mark)))
	}
	write := func(boxes ...draw.Rect) { taken, t.Labels = append(taken, boxes...), append(t.Labels, boxes...) }
	if !whole {
		bar := p.ScaleBarCorner(c, p.Box, append(chart.MarkBoxes(c, tags), taken...))
		write(p.DrawScaleBar(c, draw.Pt(bar.X0, bar.Y1)))
	}
	boxes, _ := chart.Layout{Bounds: p.Box.Inset(c.U(5)), Taken: taken, Gap: c.U(5)}.DrawTags(c, tags, c.U(420))
	write(boxes...)
	taken, t.Marks = append(taken, marks...), append(t.Marks, marks...)
	write(writeArcs(c, p, arcs, taken, lines)...)
	write(isolux.WriteLevels(c, taken)...)
	p.DrawAxes(c)
	return nil
}

// drawTrackMarks draws along the track of a plan how far the first thing is seen, where it is lost
// short of that, and where it is dark, and returns tags for them and the boxes (px) of the marks.
func (t *fromAbove) drawTrackMarks(c *draw.Canvas, p Plan) (tags []chart.Tag, marks []draw.Rect) {
	site, half := t.Scene.Site, halfTrack(t.Scene.Site)
	stretches := func(stretches []geometry.Stretch, left float64, colour color.RGBA, text string) {
		pen := draw.Pen{Colour: colour, Width: 4}.Cased(c.Theme, 1.5)
		at, boxes := p.drawStretches(c.Inside(p.Box), site, stretches, left, pen)
		if marks = append(marks, boxes...); len(boxes) > 0 {
			tags = append(tags, chart.Tag{At: at, Text: text, Mark: 5})
		}
	}
	stretches(t.Scene.Centreline(darkBelow).Gaps(darkBelow), -half, c.Theme.Caution,
		"under "+units.Figure(darkBelow)+" lx facing")
	if !t.eyed || !t.seen() {
		return tags, marks
	}
	stretches(t.sight.Lost, half, c.Theme.Sight, t.thing.Name+" not seen")
	tag, mark := p.drawRange(c, site, t.sight.Range, t.thing.Name+" seen to "+t.distance(t.sight.Range))
	return append(tags, tag), append(marks, mark)
}

// widen is an extent with those of its sides moved that were asked for.
func (o TopOptions) widen(e geometry.Extent) geometry.Extent {
	if o.Ahead > 0 {
		e.Ahead = o.Ahead
	}
	if o.Behind > 0 {
		e.Behind = -o.Behind
	}
	if o.Side > 0 {
		e.Right, e.Left = -o.Side, o.Side
	}
	return e
}

// planHeight is the height (px) that a plan with its axes needs to show an extent across the page,
// with a frame of at least and at most so many units.
func planHeight(c *draw.Canvas, e geometry.Extent, unit units.Unit, least, most float64) float64 {
	room := draw.R(0, 0, chart.PageArea(c).W(), c.U(most))
	inner := planIn(c, room, e, unit).Box
	height := inner.W() * (e.Left - e.Right) / (e.Ahead - e.Behind)
	return room.H() - inner.H() + min(max(height, c.U(least)), c.U(most))
}

// planIn is a plan of at least an extent in a room that also holds its axes.
func planIn(c *draw.Canvas, room draw.Rect, e geometry.Extent, unit units.Unit) Plan {
	left, bottom := newPlan(room, e, false, unit).Frame.AxisRoom(c)
	return newPlan(room.Trim(left, 0, 0, bottom), e, false, unit)
}
