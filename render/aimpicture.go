package render

import (
	"context"
	"fmt"
	"math"

	"beamfall/geometry"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r2"
)

// Before and after aiming, on one scale: the light that was asked for as rectangles on the ground, what must not be lit
// as crossed circles, and how far each lamp is to be turned.

// Aiming is a rig before and after aiming, with what was asked of it.
type Aiming struct {
	Before, After Subject // the same lamps in the same order
	Targets       []AimTarget
	Limits        []AimLimit

	FulfilmentBefore, FulfilmentAfter float64 // of all targets together, 0 to 1
}

// AimTarget is ground to be lit.
type AimTarget struct {
	Name                string
	From, To, HalfWidth float64 // m ahead of the bumper, and to either side of the centreline
	Before, After       float64 // fulfilment, 0 to 1
}

// AimLimit is a place that must not get more than some light.
type AimLimit struct {
	Name                   string
	Ahead, Left            float64 // m
	Allowed, Before, After float64 // lx
}

// AimOptions are choices for a picture of aiming.
type AimOptions struct {
	Width int // px; 0 is UnitWidth
}

// AimPicture draws a rig before and after aiming. The plans of the view are those two. It stops early, with the
// context's error, when the context ends.
func AimPicture(ctx context.Context, a Aiming, theme Theme, o AimOptions) (*Canvas, CompareView, error) {
	if len(a.Before.Scene.Lamps) != len(a.After.Scene.Lamps) {
		return nil, CompareView{}, fmt.Errorf("aiming: %d lamps before and %d after: both need the same lamps",
			len(a.Before.Scene.Lamps), len(a.After.Scene.Lamps))
	}
	e, err := a.extent(ctx)
	if err != nil {
		return nil, CompareView{}, err
	}
	r, err := ruler(o.Width, theme)
	if err != nil {
		return nil, CompareView{}, err
	}
	frame := page{
		title: a.Before.Rig, details: a.Before.details("aim before and after: light on the ground from above, on one scale"),
		levels: true, caution: offRoad,
		signs: "Rectangle: light asked for, and how much of it there is. Number: where the lamp's axis meets the ground. " +
			"Tilts are down from level.",
	}
	if len(a.Limits) > 0 {
		frame.signs += " Crossed circle: a place that must not get more light than allowed."
	}
	unit := a.Before.Units.Axis()
	table := a.figures()
	b := r.beside(2, e, unit)
	_, heading := r.Measure("", Heading)
	room := frame.room(r, heading+b.height+r.U(6)+r.figuresHeight(table, b.column)+r.U(8)+r.changesHeight(a))
	c, labels, err := frame.around(r, room)
	if err != nil {
		return nil, CompareView{}, err
	}
	view := CompareView{Labels: labels}
	view.Plans = b.plans(Rect{room.X0, room.Y0 + heading, room.X1, room.Y0 + heading + b.height}, e, unit)
	for i, title := range []string{"before", "after"} {
		p := view.Plans[i]
		t := c.Write(Point{X: p.Box.X0, Y: room.Y0}, title, Lettering{Role: Heading, Max: p.Box.W()})
		view.Labels = append(view.Labels, Rect{t.X0, room.Y0, t.X1, room.Y0 + heading})
		texts, err := c.drawAim(ctx, p, a, i)
		if err != nil {
			return nil, CompareView{}, err
		}
		view.Labels = append(view.Labels, texts...)
		c.sideAxes(p.Frame, i == 0)
	}
	y := view.Plans[0].Box.Y1 + b.bottom + c.U(6)
	view.Labels = append(view.Labels, c.drawFigures(table, view.Plans, y)...)
	y += c.figuresHeight(table, view.Plans[0].Box.W()) + c.U(8)
	view.Labels = append(view.Labels, c.drawChanges(a, Rect{room.X0, y, room.X1, room.Y1})...)
	return c, view, nil
}

// extent is the ground to show: what is lit, and what was asked for.
func (a *Aiming) extent(ctx context.Context) (geometry.Extent, error) {
	e := nowhere()
	for _, s := range []Subject{a.Before, a.After} {
		g, err := s.ground(ctx)
		if err != nil {
			return e, err
		}
		e = joined(e, g)
	}
	for _, t := range a.Targets {
		e = joined(e, t.extent())
	}
	for _, l := range a.Limits {
		e = joined(e, geometry.Extent{Behind: l.Ahead, Ahead: l.Ahead, Right: l.Left, Left: l.Left})
	}
	return withRoom(e), nil
}

func (t *AimTarget) extent() geometry.Extent {
	return geometry.Extent{Behind: t.From, Ahead: t.To, Right: -t.HalfWidth, Left: t.HalfWidth}
}

// mostAsked is how many targets and limits are listed.
const mostAsked = 20

// figures are the rows under the plans.
func (a *Aiming) figures() []figureRow {
	var rows []figureRow
	if len(a.Targets) > 0 {
		rows = append(rows, figureRow{"light asked for, in all", []string{units.Percent(a.FulfilmentBefore), units.Percent(a.FulfilmentAfter)}})
	}
	for _, t := range a.Targets {
		rows = append(rows, figureRow{t.Name, []string{units.Percent(t.Before), units.Percent(t.After)}})
	}
	for _, l := range a.Limits {
		rows = append(rows, figureRow{l.Name, []string{l.words(l.Before), l.words(l.After)}})
	}
	if len(rows) > mostAsked {
		more := fmt.Sprintf("and %d more, as in the table", len(rows)-mostAsked)
		rows = append(rows[:mostAsked], figureRow{more, []string{"", ""}})
	}
	return rows
}

// words are the light at a limit beside what is allowed.
func (l *AimLimit) words(lux float64) string {
	verdict := " of "
	if lux > l.Allowed {
		verdict = ", over "
	}
	return lightLevel(lux) + verdict + figure(units.Steps(math.Round(100*l.Allowed), 0.01)) + " lx"
}

// lightLevel is a light level in lx to two figures or whole lux.
func lightLevel(lux float64) string {
	switch {
	case lux < 0.0995:
		return units.Fixed(lux, 2)
	case lux < 9.95:
		return units.Fixed(lux, 1)
	}
	return units.Fixed(lux, 0)
}

// drawAim draws a plan before (0) or after (1) aiming, and returns the boxes of its texts.
func (c *Canvas) drawAim(ctx context.Context, p Plan, a Aiming, when int) (texts []Rect, err error) {
	s := [...]Subject{a.Before, a.After}[when]
	isolux, err := c.drawLight(ctx, p, s.Scene)
	if err != nil {
		return nil, err
	}
	in := c.Inside(p.Box)
	arcs := c.drawArcs(p)
	taken := []Rect{c.drawVehicle(p, s)}
	write := func(boxes ...Rect) { taken, texts = append(taken, boxes...), append(texts, boxes...) }
	var tags, asked []Tag
	var outlines [][]Point
	var targets []Rect
	for i := range a.Targets {
		t := &a.Targets[i]
		corners := p.corners(t.extent())
		in.Outline(corners, Pen{Colour: c.Theme.Accent, Width: 4}.Cased(c.Theme, 1.5))
		outlines, targets = append(outlines, append(corners, corners[0])), append(targets, bounds(corners))
		far := p.Pixel(t.To, -t.HalfWidth) // right of it a text is beside the rectangle, not across it
		share := [...]float64{t.Before, t.After}[when]
		asked = append(asked, Tag{At: p.Box.Nearest(far), Text: units.Percent(share) + " " + t.Name, Priority: -i})
	}
	for i := range a.Limits {
		l := &a.Limits[i]
		at, ring := p.Pixel(l.Ahead, l.Left), c.U(9)
		in.Disc(at, 13, c.Theme.Background, Pen{Colour: c.Theme.Caution, Width: 3})
		in.Lines([][]Point{
			{{X: at.X - ring, Y: at.Y - ring}, {X: at.X + ring, Y: at.Y + ring}},
			{{X: at.X - ring, Y: at.Y + ring}, {X: at.X + ring, Y: at.Y - ring}},
		}, Pen{Colour: c.Theme.Caution, Width: 3})
		tags = append(tags, Tag{At: at, Text: l.Name, Mark: 15, Priority: -500 - i})
	}
	if when == 1 {
		c.drawMoves(p, a)
	}
	tags = append(tags, c.drawHits(p, s)...)
	if when == 0 {
		bar := c.cornerForScaleBar(p.Frame, p.Box, append(c.marks(tags), taken...))
		write(c.ScaleBar(p.Frame, Point{X: bar.X0, Y: bar.Y1}))
	}
	// Numbers stand on the spots that they are of; words go beside what is asked for, not across its edge.
	var numbers, words []Tag
	for _, t := range tags {
		if t.Text == "" {
			numbers = append(numbers, t)
		} else {
			words = append(words, t)
		}
	}
	place := func(tags []Tag, layout Layout) {
		layout.Bounds, layout.Gap = p.Box.Inset(c.U(5)), c.U(5)
		boxes, _ := c.Tags(layout, tags, p.Box.W()/2)
		write(boxes...)
	}
	place(numbers, Layout{Taken: taken})
	place(asked, Layout{Taken: append(c.marks(tags), taken...), Shy: targets})
	place(words, Layout{Taken: taken, Shy: targets})
	write(c.writeArcs(p, arcs, taken, outlines)...)
	write(c.IsoluxTexts(p.Frame, isolux, taken)...)
	return texts, nil
}

// drawMoves draws an arrow from where each axis hit to where it hits now.
func (c *Canvas) drawMoves(p Plan, a Aiming) {
	in := c.Inside(p.Box)
	for i := range a.After.Scene.Lamps {
		was, ok := a.Before.Scene.Site.AxisHit(&a.Before.Scene.Lamps[i])
		is, ok2 := a.After.Scene.Site.AxisHit(&a.After.Scene.Lamps[i])
		from, to := p.Pixel(was.X, was.Y), p.Pixel(is.X, is.Y)
		if !ok || !ok2 || !p.Box.Has(from) || !p.Box.Has(to) || r2.Norm(r2.Sub(to, from)) < c.U(30) {
			continue
		}
		in.Disc(from, 5, c.Theme.Background, Pen{Colour: c.Theme.Ink, Width: 2})
		if d := r2.Sub(to, from); r2.Norm(d) > c.U(60) { // its head is not to be under the key plate on the hit
			to = r2.Sub(to, r2.Scale(c.U(30)/r2.Norm(d), d))
		}
		in.Arrow(from, to, Pen{Colour: c.Theme.Ink, Width: 2.5}.Cased(c.Theme, 1.5))
	}
}

// What is to be turned, lamp by lamp: in two columns, the name above the change.

// changeRows is how many rows the changes have, at most as many as a key.
func (c *Canvas) changeRows(a Aiming) (shown, rows int) {
	_, keyH := c.KeySize()
	shown = min(len(a.After.Scene.Lamps), 2*int(c.U(mostKey)/keyH))
	return shown, (shown + 1) / 2
}

func (c *Canvas) changesHeight(a Aiming) float64 {
	_, keyH := c.KeySize()
	shown, rows := c.changeRows(a)
	if shown < len(a.After.Scene.Lamps) {
		rows++
	}
	return float64(rows) * (keyH + c.U(4))
}

func (c *Canvas) drawChanges(a Aiming, room Rect) (texts []Rect) {
	keyW, keyH := c.KeySize()
	pitch := keyH + c.U(4)
	columns := room.Columns(2, c.U(columnGap))
	shown, rows := c.changeRows(a)
	for i := range shown {
		column := columns[i/rows]
		y := column.Y0 + (float64(i%rows)+0.5)*pitch
		s := a.After
		c.Key(Point{X: column.X0 + keyW/2, Y: y}, s.style(i))
		x := column.X0 + keyW + c.U(10)
		c.Write(Point{X: x, Y: y}, s.Scene.Lamps[i].Name, Lettering{AnchorY: 0.95, Max: column.X1 - x})
		text, changed := change(a.Before.Scene.Lamps[i].Aim, s.Scene.Lamps[i].Aim)
		l := Lettering{Role: Small, Colour: c.Theme.Muted, AnchorY: 0.05, Max: column.X1 - x}
		if changed {
			l.Role, l.Colour = Caution, c.Theme.Ink
		}
		c.Write(Point{X: x, Y: y}, text, l)
		texts = append(texts, Rect{column.X0, y - keyH/2, column.X1, y + keyH/2})
	}
	if more := len(a.After.Scene.Lamps) - shown; more > 0 {
		y := room.Y0 + (float64(rows)+0.5)*pitch
		texts = append(texts, c.Write(Point{X: room.X0, Y: y}, fmt.Sprintf("and %d more lamps, as in the table", more),
			Lettering{Role: Small, Colour: c.Theme.Muted, AnchorY: 0.5}))
	}
	return texts
}

// change is how an aim is changed, in words, and whether it is.
func change(before, after geometry.Aim) (text string, changed bool) {
	text = "tilt " + units.Degrees(before.Tilt) + ", as it is"
	if d := after.Tilt - before.Tilt; units.Degrees(d) != units.Degrees(0) {
		text, changed = "tilt "+units.Degrees(before.Tilt)+" → "+units.Degrees(after.Tilt)+": ", true
		if d < 0 {
			text += "raise by " + units.Degrees(-d)
		} else {
			text += "lower by " + units.Degrees(d)
		}
	}
	if d := math.Remainder(after.Turn-before.Turn, 2*math.Pi); units.Degrees(d) != units.Degrees(0) {
		side := " to the left"
		if d < 0 {
			side = " to the right"
		}
		text, changed = text+"; turn by "+units.Degrees(math.Abs(d))+side, true
	}
	return units.Typeset(text), changed
}
