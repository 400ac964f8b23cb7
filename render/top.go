package render

import (
	"context"

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
}

// topLayout is where things are on a picture from above: its plan, and the boxes (px) of all texts.
type topLayout struct {
	Plan   Plan
	Labels []draw.Rect
}

// mostFootprints is how many half-peak lines can be told apart. If there are more, none is drawn.
const mostFootprints = 24

// The height of the plan, units.
const leastPlan, mostPlan = 430, 900

// Top draws a subject from above: ground light in bands and isolux lines, the vehicle, and for each
// lamp its half-peak line on the ground and the spot that its axis hits. It stops early, with the
// context's error, when the context ends.
func Top(ctx context.Context, s Subject, theme draw.Theme, o TopOptions) (*draw.Canvas, error) {
	c, _, err := drawTop(ctx, s, theme, o)
	return c, err
}

func drawTop(ctx context.Context, s Subject, theme draw.Theme, o TopOptions) (*draw.Canvas, topLayout, error) {
	e, err := s.ground(ctx)
	if err != nil {
		return nil, topLayout{}, err
	}
	e = o.widen(withRoom(e))
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, topLayout{}, err
	}
	r := page.Ruler
	page.Add(chart.Title(s.Rig, s.details("light on the ground from above")), chart.PageGap)
	room := page.Add(chart.Space(planHeight(r, e, s.Units.Axis())), chart.PageGap)
	p := planIn(r, room, e, s.Units.Axis())
	signs := "Number: where the lamp's axis meets the ground, and how far that is from the lamp."
	footprints, styles := footprintsOf(r, p, s)
	if len(footprints) > mostFootprints {
		footprints = nil
	} else {
		signs += " Line: half of the beam's peak."
	}
	page.Add(chart.LevelStrip(LightRamp(theme)), chart.PageGap)
	page.Add(chart.Paragraph(signs), signsGap)
	if key := s.lampKey(styles); len(key) > 0 {
		page.Add(chart.Key(key, moreLamps), chart.PageGap)
	}
	c, labels, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, topLayout{}, err
	}
	view := topLayout{Plan: p, Labels: labels}
	isolux, err := drawLight(ctx, c, p, s.Scene)
	if err != nil {
		return nil, topLayout{}, err
	}
	arcs := drawArcs(c, p)
	vehicle := drawVehicle(c, p, s)
	lines := drawFootprints(c, p.Box, footprints)
	tags := drawHits(c, p, s)

	bar := p.ScaleBarCorner(c, p.Box, append(chart.MarkBoxes(c, tags), vehicle))
	p.DrawScaleBar(c, draw.Pt(bar.X0, bar.Y1))
	taken := []draw.Rect{vehicle, bar}
	view.Labels = append(view.Labels, bar)
	write := func(boxes []draw.Rect) { taken, view.Labels = append(taken, boxes...), append(view.Labels, boxes...) }
	boxes, _ := chart.Layout{Bounds: p.Box.Inset(c.U(5)), Taken: taken, Gap: c.U(5)}.DrawTags(c, tags, c.U(200))
	write(boxes)
	write(writeArcs(c, p, arcs, taken, lines))
	write(isolux.WriteLevels(c, taken))
	p.DrawAxes(c)
	return c, view, nil
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

// planHeight is the height (px) that a plan with its axes needs to show an extent across the page.
func planHeight(c *draw.Canvas, e geometry.Extent, unit units.Unit) float64 {
	room := draw.R(0, 0, chart.PageArea(c).W(), c.U(mostPlan))
	inner := planIn(c, room, e, unit).Box
	height := inner.W() * (e.Left - e.Right) / (e.Ahead - e.Behind)
	return room.H() - inner.H() + min(max(height, c.U(leastPlan)), c.U(mostPlan))
}

// planIn is a plan of at least an extent in a room that also holds its axes.
func planIn(c *draw.Canvas, room draw.Rect, e geometry.Extent, unit units.Unit) Plan {
	left, bottom := newPlan(room, e, false, unit).Frame.AxisRoom(c)
	return newPlan(room.Trim(left, 0, 0, bottom), e, false, unit)
}
