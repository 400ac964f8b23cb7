package render

import (
	"context"
	"fmt"
	"math"

	"beamfall/geometry"
	"beamfall/geometry/aim"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r2"
)

// Before and after aiming, on one scale: the light asked for as rectangles on the ground, places
// that must stay dark as crossed circles, and how far to turn each lamp.

// Aiming is a rig before and after aiming, with what was asked of it.
type Aiming struct {
	Before, After Subject // the same lamps in the same order
	Targets       []AimTarget
	Limits        []AimLimit

	FulfilmentBefore, FulfilmentAfter float64 // of all targets together, 0 to 1
}

// AimTarget is a target with how far it is met.
type AimTarget struct {
	aim.Target
	Before, After float64 // fulfilment, 0 to 1
}

// AimLimit is a limit with the light that its place gets.
type AimLimit struct {
	aim.Limit
	Before, After float64 // lx
}

// AimOptions are choices for a picture of aiming.
type AimOptions struct {
	Width int // px; 0 is UnitWidth
}

// Aim draws a rig before and after aiming. It stops early, with the context's error, when the
// context ends.
func Aim(ctx context.Context, a Aiming, theme draw.Theme, o AimOptions) (*draw.Canvas, error) {
	c, _, err := drawAim(ctx, a, theme, o)
	return c, err
}

func drawAim(ctx context.Context, a Aiming, theme draw.Theme, o AimOptions) (*draw.Canvas, compareLayout, error) {
	if len(a.Before.Scene.Lamps) != len(a.After.Scene.Lamps) {
		return nil, compareLayout{}, fmt.Errorf("aiming: %d lamps before and %d after: both need the same lamps",
			len(a.Before.Scene.Lamps), len(a.After.Scene.Lamps))
	}
	e, err := a.extent(ctx)
	if err != nil {
		return nil, compareLayout{}, err
	}
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, compareLayout{}, err
	}
	unit := a.Before.Units.Axis()
	b := setBeside(page.Ruler, 2, e, unit)
	what := a.Before.details("aim before and after: light on the ground from above, on one scale")
	page.Add(chart.Title(a.Before.Rig, what), chart.PageGap)
	page.Add(headings([]string{"before", "after"}, b.columns), 0)
	room := page.Add(chart.Space(b.height), 6)
	page.Add(chart.FigureRows(a.figures(), b.columns), 8)
	page.Add(a.changes(), chart.PageGap)
	page.Add(chart.LevelStrip(LightRamp(theme)), chart.PageGap)
	signs := "Rectangle: light asked for, and how much of it there is. " +
		"Number: where the lamp's axis meets the ground. Tilts are down from level."
	if len(a.Limits) > 0 {
		signs += " Crossed circle: a place that must not get more light than allowed."
	}
	page.Add(chart.Paragraph(signs), signsGap)
	c, labels, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, compareLayout{}, err
	}
	view := compareLayout{Plans: b.plans(room, e, unit), Labels: labels}
	for i, p := range view.Plans {
		texts, err := drawAimPlan(ctx, c, p, a, i)
		if err != nil {
			return nil, compareLayout{}, err
		}
		view.Labels = append(view.Labels, texts...)
		p.DrawAxes(c)
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
		e = e.With(g)
	}
	for _, t := range a.Targets {
		e = e.With(t.extent())
	}
	for _, l := range a.Limits {
		e = e.With(geometry.Extent{Behind: l.At.X, Ahead: l.At.X, Right: l.At.Y, Left: l.At.Y})
	}
	return withRoom(e), nil
}

func (t *AimTarget) extent() geometry.Extent {
	return geometry.Extent{Behind: t.From, Ahead: t.To, Right: -t.HalfWidth, Left: t.HalfWidth}
}

// mostAsked is how many targets and limits are listed; the rest are counted.
const mostAsked = 20

// figures are the rows under the plans.
func (a *Aiming) figures() []chart.FigureRow {
	var rows []chart.FigureRow
	if len(a.Targets) > 0 {
		rows = append(rows, chart.FigureRow{Label: "light asked for, in all",
			Values: []string{units.Percent(a.FulfilmentBefore), units.Percent(a.FulfilmentAfter)}})
	}
	for _, t := range a.Targets {
		rows = append(rows, chart.FigureRow{Label: t.Name,
			Values: []string{units.Percent(t.Before), units.Percent(t.After)}})
	}
	for _, l := range a.Limits {
		rows = append(rows, chart.FigureRow{Label: l.Name, Values: []string{l.words(l.Before), l.words(l.After)}})
	}
	if len(rows) > mostAsked {
		more := fmt.Sprintf("and %d more, as in the table", len(rows)-mostAsked)
		rows = append(rows[:mostAsked], chart.FigureRow{Label: more, Values: []string{"", ""}})
	}
	return rows
}

// words are the light at a limit and what is allowed there: "4.6 of 5 lx".
func (l *AimLimit) words(lux float64) string {
	verdict := " of "
	if lux > l.Lux {
		verdict = ", over "
	}
	return units.TwoDigits(lux) + verdict + units.Figure(units.Steps(math.Round(100*l.Lux), 0.01)) + " lx"
}

// drawAimPlan draws a plan before (0) or after (1) aiming, and returns the boxes of its texts.
func drawAimPlan(ctx context.Context, c *draw.Canvas, p Plan, a Aiming, when int) (texts []draw.Rect, err error) {
	s := [...]Subject{a.Before, a.After}[when]
	isolux, err := drawLight(ctx, c, p, s.Scene)
	if err != nil {
		return nil, err
	}
	in := c.Inside(p.Box)
	arcs := drawArcs(c, p)
	taken := []draw.Rect{drawVehicle(c, p, s)}
	write := func(boxes ...draw.Rect) { taken, texts = append(taken, boxes...), append(texts, boxes...) }
	var tags, asked []chart.Tag
	var outlines [][]draw.Point
	var targets []draw.Rect
	for i := range a.Targets {
		t := &a.Targets[i]
		corners := p.corners(t.extent())
		in.Outline(corners, draw.Pen{Colour: c.Theme.Accent, Width: 4}.Cased(c.Theme, 1.5))
		outlines, targets = append(outlines, append(corners, corners[0])), append(targets, draw.BoundsOf(corners))
		far := p.Pixel(t.To, -t.HalfWidth) // right of it a text is beside the rectangle, not across it
		share := [...]float64{t.Before, t.After}[when]
		asked = append(asked, chart.Tag{At: p.Box.Nearest(far), Text: units.Percent(share) + " " + t.Name,
			Priority: -i})
	}
	for i := range a.Limits {
		l := &a.Limits[i]
		at, ring := p.Pixel(l.At.X, l.At.Y), c.U(9)
		in.Disc(at, 13, c.Theme.Background, draw.Pen{Colour: c.Theme.Caution, Width: 3})
		in.Lines([][]draw.Point{
			{draw.Pt(at.X-ring, at.Y-ring), draw.Pt(at.X+ring, at.Y+ring)},
			{draw.Pt(at.X-ring, at.Y+ring), draw.Pt(at.X+ring, at.Y-ring)},
		}, draw.Pen{Colour: c.Theme.Caution, Width: 3})
		tags = append(tags, chart.Tag{At: at, Text: l.Name, Mark: 15, Priority: -500 - i})
	}
	if when == 1 {
		drawMoves(c, p, a)
	}
	tags = append(tags, drawHits(c, p, s)...)
	if when == 0 {
		bar := p.ScaleBarCorner(c, p.Box, append(chart.MarkBoxes(c, tags), taken...))
		write(p.DrawScaleBar(c, draw.Pt(bar.X0, bar.Y1)))
	}
	// Key numbers stand on their spots. Words go beside the rectangles, not across their edges.
	var numbers, words []chart.Tag
	for _, t := range tags {
		if t.Text == "" {
			numbers = append(numbers, t)
		} else {
			words = append(words, t)
		}
	}
	place := func(tags []chart.Tag, layout chart.Layout) {
		layout.Bounds, layout.Gap = p.Box.Inset(c.U(5)), c.U(5)
		boxes, _ := layout.DrawTags(c, tags, p.Box.W()/2)
		write(boxes...)
	}
	place(numbers, chart.Layout{Taken: taken})
	place(asked, chart.Layout{Taken: append(chart.MarkBoxes(c, tags), taken...), Avoid: targets})
	place(words, chart.Layout{Taken: taken, Avoid: targets})
	write(writeArcs(c, p, arcs, taken, outlines)...)
	write(isolux.WriteLevels(c, taken)...)
	return texts, nil
}

// drawMoves draws an arrow from where each axis hit to where it hits now.
func drawMoves(c *draw.Canvas, p Plan, a Aiming) {
	in := c.Inside(p.Box)
	for i := range a.After.Scene.Lamps {
		was, ok := a.Before.Scene.Site.AxisHit(&a.Before.Scene.Lamps[i])
		is, ok2 := a.After.Scene.Site.AxisHit(&a.After.Scene.Lamps[i])
		from, to := p.Pixel(was.X, was.Y), p.Pixel(is.X, is.Y)
		if !ok || !ok2 || !p.Box.Has(from) || !p.Box.Has(to) || r2.Norm(r2.Sub(to, from)) < c.U(30) {
			continue
		}
		in.Disc(from, 5, c.Theme.Background, draw.Pen{Colour: c.Theme.Ink, Width: 2})
		if d := r2.Sub(to, from); r2.Norm(d) > c.U(60) { // its head is not to be under the key plate on the hit
			to = r2.Sub(to, r2.Scale(c.U(30)/r2.Norm(d), d))
		}
		in.Arrow(from, to, draw.Pen{Colour: c.Theme.Ink, Width: 2.5}.Cased(c.Theme, 1.5))
	}
}

// changes says lamp by lamp what to turn, in two columns, the name above the change. It has no more
// rows than a key has.
func (a *Aiming) changes() chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		keyW, keyH := chart.PlateSize(c)
		pitch := keyH + c.U(4)
		columns := draw.R(at.X, at.Y, at.X+width, at.Y).Columns(2, c.U(columnGap))
		s := a.After
		shown := min(len(s.Scene.Lamps), 2*int(c.U(chart.MostKey)/keyH))
		rows := (shown + 1) / 2
		for i := range shown {
			column := columns[i/rows]
			y := column.Y0 + (float64(i%rows)+0.5)*pitch
			s.style(i).DrawPlate(c, draw.Pt(column.X0+keyW/2, y))
			x := column.X0 + keyW + c.U(10)
			c.Write(draw.Pt(x, y), s.Scene.Lamps[i].Lamp.Name, draw.Lettering{AnchorY: 0.95, Max: column.X1 - x})
			text, changed := change(a.Before.Scene.Lamps[i].Lamp.Aim, s.Scene.Lamps[i].Lamp.Aim)
			l := draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorY: 0.05, Max: column.X1 - x}
			if changed {
				l.Role, l.Colour = draw.Caution, c.Theme.Ink
			}
			c.Write(draw.Pt(x, y), text, l)
			texts = append(texts, draw.R(column.X0, y-keyH/2, column.X1, y+keyH/2))
		}
		if more := len(s.Scene.Lamps) - shown; more > 0 {
			y := at.Y + (float64(rows)+0.5)*pitch
			texts = append(texts, c.Write(draw.Pt(at.X, y), fmt.Sprintf(moreLamps, more),
				draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorY: 0.5}))
			rows++
		}
		return at.Y + float64(rows)*pitch, texts
	}
}

// change puts into words how an aim changes, and reports whether it does.
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
