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
func AimPicture(ctx context.Context, a Aiming, theme Theme, o AimOptions) (*Canvas, error) {
	c, _, err := drawAim(ctx, a, theme, o)
	return c, err
}

func drawAim(ctx context.Context, a Aiming, theme Theme, o AimOptions) (*Canvas, compareLayout, error) {
	if len(a.Before.Scene.Lamps) != len(a.After.Scene.Lamps) {
		return nil, compareLayout{}, fmt.Errorf("aiming: %d lamps before and %d after: both need the same lamps",
			len(a.Before.Scene.Lamps), len(a.After.Scene.Lamps))
	}
	e, err := a.extent(ctx)
	if err != nil {
		return nil, compareLayout{}, err
	}
	page, err := NewPage(o.Width, theme)
	if err != nil {
		return nil, compareLayout{}, err
	}
	unit := a.Before.Units.Axis()
	b := page.Ruler.beside(2, e, unit)
	page.Add(TitleBlock(a.Before.Rig, a.Before.details("aim before and after: light on the ground from above, on one scale")), PageGap)
	page.Add(headings([]string{"before", "after"}, b.columns), 0)
	room := page.Add(Space(b.height), 6)
	page.Add(FigureRows(a.figures(), b.columns), 8)
	page.Add(a.changes(), PageGap)
	page.Add(LevelStrip(lightRamp(theme)), PageGap)
	signs := "Rectangle: light asked for, and how much of it there is. Number: where the lamp's axis meets the ground. " +
		"Tilts are down from level."
	if len(a.Limits) > 0 {
		signs += " Crossed circle: a place that must not get more light than allowed."
	}
	page.Add(Paragraph(signs), signsGap)
	c, labels, err := page.Draw(CautionLine(offRoad))
	if err != nil {
		return nil, compareLayout{}, err
	}
	view := compareLayout{Plans: b.plans(room, e, unit), Labels: labels}
	for i, p := range view.Plans {
		texts, err := c.drawAimPlan(ctx, p, a, i)
		if err != nil {
			return nil, compareLayout{}, err
		}
		view.Labels = append(view.Labels, texts...)
		c.sideAxes(p.Frame, i == 0)
	}
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
func (a *Aiming) figures() []FigureRow {
	var rows []FigureRow
	if len(a.Targets) > 0 {
		rows = append(rows, FigureRow{"light asked for, in all", []string{units.Percent(a.FulfilmentBefore), units.Percent(a.FulfilmentAfter)}})
	}
	for _, t := range a.Targets {
		rows = append(rows, FigureRow{t.Name, []string{units.Percent(t.Before), units.Percent(t.After)}})
	}
	for _, l := range a.Limits {
		rows = append(rows, FigureRow{l.Name, []string{l.words(l.Before), l.words(l.After)}})
	}
	if len(rows) > mostAsked {
		more := fmt.Sprintf("and %d more, as in the table", len(rows)-mostAsked)
		rows = append(rows[:mostAsked], FigureRow{more, []string{"", ""}})
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

// drawAimPlan draws a plan before (0) or after (1) aiming, and returns the boxes of its texts.
func (c *Canvas) drawAimPlan(ctx context.Context, p Plan, a Aiming, when int) (texts []Rect, err error) {
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
		outlines, targets = append(outlines, append(corners, corners[0])), append(targets, BoundsOf(corners))
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
	write(c.WriteLevels(isolux, taken)...)
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

// changes is what is to be turned, lamp by lamp: in two columns, the name above the change. There are at most as many rows as
// in a key.
func (a *Aiming) changes() Flow {
	return func(c *Canvas, at Point, width float64) (bottom float64, texts []Rect) {
		keyW, keyH := c.KeySize()
		pitch := keyH + c.U(4)
		columns := Rect{at.X, at.Y, at.X + width, at.Y}.Columns(2, c.U(columnGap))
		s := a.After
		shown := min(len(s.Scene.Lamps), 2*int(c.U(MostKey)/keyH))
		rows := (shown + 1) / 2
		for i := range shown {
			column := columns[i/rows]
			y := column.Y0 + (float64(i%rows)+0.5)*pitch
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
		if more := len(s.Scene.Lamps) - shown; more > 0 {
			y := at.Y + (float64(rows)+0.5)*pitch
			texts = append(texts, c.Write(Point{X: at.X, Y: y}, fmt.Sprintf(moreLamps, more),
				Lettering{Role: Small, Colour: c.Theme.Muted, AnchorY: 0.5}))
			rows++
		}
		return at.Y + float64(rows)*pitch, texts
	}
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
