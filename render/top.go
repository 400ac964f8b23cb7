package render

import (
	"context"

	"beamfall/geometry"
	"beamfall/render/units"
)

// The picture from above: where the light falls on the ground, and where each lamp is aimed. Ahead is to the right:
// beams are longer than they are wide, and so are screens.

// TopOptions are choices for a picture from above. Zeros are chosen from the light.
type TopOptions struct {
	Width               int     // px; 0 is UnitWidth
	Ahead, Behind, Side float64 // m from the bumper that are to be seen at least, Side to either side
}

// topLayout is what a picture from above shows, to ask it questions: its plan, and the boxes (px) of all that is written
// on it.
type topLayout struct {
	Plan   Plan
	Labels []Rect
}

// mostFootprints is how many different half-peak lines can be told apart. Of more, none are drawn.
const mostFootprints = 24

// The height of the plan, units.
const leastPlan, mostPlan = 430, 900

// Top draws a subject from above: ground light in bands and isolux lines, the vehicle, and for each lamp its half-peak
// line on the ground and the spot that its axis hits. It stops early, with the context's error, when the context ends.
func Top(ctx context.Context, s Subject, theme Theme, o TopOptions) (*Canvas, error) {
	c, _, err := drawTop(ctx, s, theme, o)
	return c, err
}

func drawTop(ctx context.Context, s Subject, theme Theme, o TopOptions) (*Canvas, topLayout, error) {
	e, err := s.ground(ctx)
	if err != nil {
		return nil, topLayout{}, err
	}
	e = o.widen(withRoom(e))
	page, err := NewPage(o.Width, theme)
	if err != nil {
		return nil, topLayout{}, err
	}
	r := page.Ruler
	page.Add(TitleBlock(s.Rig, s.details("light on the ground from above")), PageGap)
	room := page.Add(Space(r.planHeight(e, s.Units.Axis())), PageGap)
	p := r.planIn(room, e, s.Units.Axis())
	signs := "Number: where the lamp's axis meets the ground, and how far that is from the lamp."
	footprints, styles := r.footprintsOf(p, s)
	if len(footprints) > mostFootprints {
		footprints = nil
	} else {
		signs += " Line: half of the beam's peak."
	}
	page.Add(LevelStrip(lightRamp(theme)), PageGap)
	page.Add(Paragraph(signs), signsGap)
	if key := s.lampKey(styles); len(key) > 0 {
		page.Add(KeyBox(key, moreLamps), PageGap)
	}
	c, labels, err := page.Draw(CautionLine(offRoad))
	if err != nil {
		return nil, topLayout{}, err
	}
	view := topLayout{Plan: p, Labels: labels}
	isolux, err := c.drawLight(ctx, p, s.Scene)
	if err != nil {
		return nil, topLayout{}, err
	}
	arcs := c.drawArcs(p)
	vehicle := c.drawVehicle(p, s)
	lines := c.drawFootprints(p.Box, footprints)
	tags := c.drawHits(p, s)

	bar := c.cornerForScaleBar(p.Frame, p.Box, append(c.marks(tags), vehicle))
	c.ScaleBar(p.Frame, Point{X: bar.X0, Y: bar.Y1})
	taken := []Rect{vehicle, bar}
	view.Labels = append(view.Labels, bar)
	write := func(boxes []Rect) { taken, view.Labels = append(taken, boxes...), append(view.Labels, boxes...) }
	boxes, _ := c.Tags(Layout{Bounds: p.Box.Inset(c.U(5)), Taken: taken, Gap: c.U(5)}, tags, c.U(200))
	write(boxes)
	write(c.writeArcs(p, arcs, taken, lines))
	write(c.WriteLevels(isolux, taken))
	c.Axes(p.Frame)
	return c, view, nil
}

// widen is an extent that holds what was asked for, or that where nothing was.
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

// planHeight is the height (px) of the room for a plan that shows an extent across the page, with its axes.
func (c *Canvas) planHeight(e geometry.Extent, unit units.Unit) float64 {
	room := Rect{0, 0, c.Page().W(), c.U(mostPlan)}
	inner := c.planIn(room, e, unit).Box
	height := inner.W() * (e.Left - e.Right) / (e.Ahead - e.Behind)
	return room.H() - inner.H() + min(max(height, c.U(leastPlan)), c.U(mostPlan))
}

// planIn is a plan of at least an extent in a room that has its axes too.
func (c *Canvas) planIn(room Rect, e geometry.Extent, unit units.Unit) Plan {
	left, bottom := c.AxisRoom(newPlan(room, e, false, unit).Frame)
	return newPlan(room.Trim(left, 0, 0, bottom), e, false, unit)
}
