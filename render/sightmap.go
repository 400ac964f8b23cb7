package render

import (
	"context"
	"fmt"
	"image/color"
	"math"

	"github.com/lucasb-eyer/go-colorful"

	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// The map of sight: the ground from above, where the driver sees the first of the things that are
// looked for and how far each of the others.

// SightOptions is what can be chosen of a map of sight.
type SightOptions struct {
	Width int // px; 0 = UnitWidth
}

// sightLayout is what is where on a map of sight.
type sightLayout struct {
	Plan   Plan
	Things []thingSight
	Labels []draw.Rect // the boxes of all that is written, px
}

// thingSight is where a thing is seen.
type thingSight struct {
	sight.Thing
	sight.Sight // along the track
	// logarithm of the visibility level over the one that counts as seen, in metres; nil: nowhere
	level *chart.Grid
}

// hidden stands in a thingSight for the level of what is hidden, and is the least there is.
const hiddenLevel, mostLevel = -3, 5

// Sight draws where on the ground the driver of a subject sees things. The eye must be given, and
// above the ground. It stops early, with the context's error, when the context ends.
func Sight(ctx context.Context, s Subject, theme draw.Theme, o SightOptions) (*draw.Canvas, error) {
	c, _, err := drawSight(ctx, s, theme, o)
	return c, err
}

func drawSight(ctx context.Context, s Subject, theme draw.Theme, o SightOptions) (*draw.Canvas, sightLayout, error) {
	eye, err := s.eye()
	if err != nil {
		return nil, sightLayout{}, fmt.Errorf("map of sight: %w", err)
	}
	view := s.look(eye)
	things, err := s.thingSights(ctx, view)
	if err != nil {
		return nil, sightLayout{}, err
	}
	e := s.onGround()
	for i := range things {
		if seen, ok := things[i].extent(); ok {
			e = e.With(seen)
		}
	}
	e = e.With(geometry.Extent{Ahead: 25, Right: -8, Left: 8})
	e = withRoom(e)

	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, sightLayout{}, err
	}
	r := page.Ruler
	page.Add(chart.Title(s.Rig, s.details("what the driver sees, from above")), chart.PageGap)
	room := page.Add(chart.Space(planHeight(r, e, s.Units.Axis(), leastPlan, mostPlan)), chart.PageGap)
	p := planIn(r, room, e, s.Units.Axis())
	page.Add(levelStrip(things[0].Name, view.Observer), chart.PageGap)
	page.Add(sightKey(s, things, view), signsGap)
	page.Add(chart.Paragraph("Lines: how far things are seen that face back along the track, wherever they stand "+
		"or lie, by eyes that are on them, "+
		observerWords(view.Observer)+". Blank: not seen, or hidden by the ground or the body. Sizes and "+
		"reflectances are a choice."), chart.PageGap)
	c, labels, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, sightLayout{}, err
	}
	v := sightLayout{Plan: p, Things: things, Labels: labels}
	p.drawSeen(c, things)
	arcs := drawArcs(c, p)
	drawTrack(c, p, s.Scene.Site)
	lines := p.drawBoundaries(c, things)
	vehicle := drawVehicle(c, p, s)
	v.label(c, s, arcs, vehicle, lines)
	p.DrawAxes(c)
	return c, v, nil
}

// observerWords says who looks.
func observerWords(o sight.Observer) string {
	return fmt.Sprintf("of %s years, in a glance of %s s", units.Figure(o.Age), units.Figure(o.Glance))
}

// thingSights works out where the things of a subject are seen.
func (s Subject) thingSights(ctx context.Context, view *sight.View) ([]thingSight, error) {
	var things []thingSight
	for _, thing := range s.things() {
		points := float64(manyPoints)
		if len(things) > 0 {
			points = fewPoints
		}
		t, err := s.thingSight(ctx, view, thing, points)
		if err != nil {
			return nil, err
		}
		things = append(things, t)
	}
	return things, nil
}

// thingSight works out where a thing is seen, at about so many points.
func (s Subject) thingSight(ctx context.Context, view *sight.View, thing sight.Thing,
	points float64) (thingSight, error) {
	if err := ctx.Err(); err != nil {
		return thingSight{}, err
	}
	along, lit := view.Along(thing), s.lit()
	t := thingSight{Thing: thing, Sight: along.Sight(lit)}
	if view.TooDense() {
		return t, nil
	}
	// There is more light than this where the thing is just seen on the track.
	lux := dimmest / thing.Reflectance
	if !math.IsNaN(t.Range) {
		parts := along.At(t.Range)
		lux = min(lux, parts.Sum(lit).Lux/2)
	}
	return t, t.mapWhereLit(ctx, s, view, lux, points)
}

// dimmest is the light that a thing throws back (lx) below which few are seen.
const dimmest = 0.05

// At so many points the first thing is looked for, each of the others, and any where air glows,
// which takes long.
const manyPoints, fewPoints, glowPoints = 12000, 4000, 1600

// mapWhereLit works out where the thing is seen among the places that have so much light (lx), and
// with less if that is not all.
func (t *thingSight) mapWhereLit(ctx context.Context, s Subject, view *sight.View, lux, points float64) error {
	const fainter, tries = 4, 3
	for range tries {
		e, ok, err := s.litBy(ctx, t.Thing, lux)
		if err != nil || !ok {
			return err
		}
		if err := t.mapOver(ctx, view, e, points, s.lit()); err != nil || !openEnded(t.level) {
			return err
		}
		lux /= fainter
	}
	return nil
}

// openEnded tells whether a map is 0 or more at its edge: where it is, there is more outside.
func openEnded(g *chart.Grid) bool {
	for j := range g.NY {
		for i := range g.NX {
			if edge := i == 0 || j == 0 || i == g.NX-1 || j == g.NY-1; edge && g.Values[j*g.NX+i] >= 0 {
				return true
			}
		}
	}
	return false
}

// litBy is an extent that holds all places where a thing has at least so much light (lx); ok is
// false where there is none.
func (s Subject) litBy(ctx context.Context, t sight.Thing, lux float64) (e geometry.Extent, ok bool, err error) {
	candela := 0.0
	for i := range s.Scene.Lamps {
		for _, optic := range s.Scene.Lamps[i].Lamp.Optics {
			candela += optic.Beam.Peak()
		}
	}
	if candela == 0 {
		return e, false, nil
	}
	far := min(sight.Farthest, 10+math.Sqrt(candela/lux)) // light falls with the square of the distance
	e = geometry.Extent{Behind: -far, Ahead: far, Right: -far, Left: far}
	const points, passes = 100, 2 // to a side
	for range passes {
		step := max(e.Ahead-e.Behind, e.Left-e.Right) / points
		grid := geometry.Grid{
			X0: e.Behind, Y0: e.Right, Step: step, NX: 2 + int((e.Ahead-e.Behind)/step),
			NY: 2 + int((e.Left-e.Right)/step),
		}
		var f *geometry.Field
		if t.Lies {
			f, err = s.Scene.GroundField(ctx, grid)
		} else {
			f, err = s.Scene.FacingField(ctx, grid, t.Height/2)
		}
		if err != nil {
			return e, false, err
		}
		found, ok := litOf(f, lux)
		if !ok {
			return e, false, nil
		}
		e = found
	}
	return e, true, nil
}

// mapOver works out where the thing is seen in an extent, at about so many points.
func (t *thingSight) mapOver(ctx context.Context, view *sight.View, e geometry.Extent, points float64,
	lit []int) error {
	if !view.Around.Particles.None() {
		points = min(points, glowPoints)
	}
	step := math.Sqrt((e.Ahead - e.Behind) * (e.Left - e.Right) / points)
	grid := geometry.Grid{
		X0: e.Behind, Y0: e.Right, Step: step,
		NX: 2 + int((e.Ahead-e.Behind)/step), NY: 2 + int((e.Left-e.Right)/step),
	}
	m, err := view.Map(ctx, t.Thing, grid, lit)
	if err != nil {
		return err
	}
	g := &chart.Grid{NX: m.NX, NY: m.NY, X0: m.X0, Y0: m.Y0, DX: step, DY: step, Values: make([]float64, len(m.Level))}
	for i := range m.NX {
		for j := range m.NY {
			level := m.At(i, j) / view.Observer.Level
			g.Values[j*g.NX+i] = max(hiddenLevel, min(mostLevel, math.Log(max(1e-9, level))))
		}
	}
	t.level = g
	return nil
}

// extent is that of all places where the thing is seen; ok is false where there is none.
func (t *thingSight) extent() (e geometry.Extent, ok bool) {
	e = nowhere()
	if t.level == nil {
		return e, false
	}
	g := t.level
	for j := range g.NY {
		for i := range g.NX {
			if g.Values[j*g.NX+i] >= 0 {
				x, y := g.X0+float64(i)*g.DX, g.Y0+float64(j)*g.DY
				e = e.With(geometry.Extent{Behind: x, Ahead: x, Right: y, Left: y})
			}
		}
	}
	return e, e.Behind <= e.Ahead
}

// lines are where the thing begins to be seen, in metres.
func (t *thingSight) lines() [][]draw.Point {
	var lines [][]draw.Point
	if t.level != nil {
		for _, l := range t.level.Contours(0) {
			lines = append(lines, l.Line())
		}
	}
	return lines
}

// Where a thing is seen is painted in three shades of the colour of sight, from levels of so many
// times the one that counts.
var sightLevels = [...]float64{1, 3, 10}

type sightTints [len(sightLevels)]color.RGBA

// sightShades are the shades of a theme.
func sightShades(theme draw.Theme) (tints sightTints) {
	a, _ := colorful.MakeColor(theme.Background)
	b, _ := colorful.MakeColor(theme.Sight)
	for i, share := range [...]float64{0.2, 0.38, 0.58} {
		r, g, bl := a.BlendLab(b, share).Clamped().RGB255()
		tints[i] = color.RGBA{r, g, bl, 255}
	}
	return tints
}

// of is the shade of a logarithm of a level, or that of what is not seen.
func (s *sightTints) of(level float64, not color.RGBA) color.RGBA {
	for i := len(sightLevels) - 1; i >= 0; i-- {
		if level >= math.Log(sightLevels[i]) {
			return s[i]
		}
	}
	return not
}

// levelStrip says what the shades are.
func levelStrip(name string, o sight.Observer) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (float64, []draw.Rect) {
		_, h := c.Measure("0", draw.Small)
		box := draw.R(at.X, at.Y, at.X+width, at.Y+h+c.U(chart.StripHeight+8))
		shades := sightShades(c.Theme)
		texts := []string{"the " + name + " is not seen"}
		fills := []color.RGBA{c.Theme.Background}
		for i, times := range sightLevels {
			text := "level " + units.Figure(times*o.Level)
			if i == 0 {
				text = "seen: visibility " + text + " and more"
			}
			texts, fills = append(texts, text), append(fills, shades[i])
		}
		cells := draw.R(box.X0, box.Y0, box.X1, box.Y0+c.U(chart.StripHeight)).Columns(len(fills), 0)
		for i, cell := range cells {
			c.Fill(fills[i], cell.Corners())
			w, _ := c.Measure(texts[i], draw.Small)
			x, anchor := cell.X0, 0.0
			if i > 0 && w < cell.W() {
				x = cell.X0 + c.U(2)
			}
			c.Write(draw.Pt(x, cell.Y1+c.U(6)), texts[i],
				draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorX: anchor, Max: cell.W() - c.U(6)})
		}
		c.Outline(draw.R(box.X0, box.Y0, box.X1, cells[0].Y1).Corners(),
			draw.Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
		c.Line([]draw.Point{draw.Pt(cells[1].X0, cells[1].Y0), draw.Pt(cells[1].X0, cells[1].Y1)}, thingPen(c.Theme, 0))
		return box.Y1, []draw.Rect{box}
	}
}

// thingPen is how the boundary of a thing is drawn: the colour of sight, and dashes of its own; the
// first one is strong.
func thingPen(theme draw.Theme, i int) draw.Pen {
	pen := draw.Pen{Colour: theme.Sight, Width: 2.5, Dash: chart.StyleOf(i + 1).Dash}.Cased(theme, 1)
	if i == 0 {
		pen.Width = 4
	}
	return pen
}

// sightKey says which line is whose, and how far it is seen along the track.
func sightKey(s Subject, things []thingSight, view *sight.View) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (float64, []draw.Rect) {
		const sample = 70 // units
		_, h := c.Measure("", draw.Label)
		notes, widest := make([]string, len(things)), 0.0
		for i, t := range things {
			notes[i] = s.seenWords(t.Sight, view) + " · " + s.thingWords(t.Thing)
			name, _ := c.Measure(t.Name, draw.Label)
			note, _ := c.Measure(notes[i], draw.Small)
			widest = max(widest, c.U(sample+14+12)+name+note)
		}
		columns := 1
		if 2*widest+c.U(28) < width {
			columns = 2
		}
		rows := (len(things) + columns - 1) / columns
		box := draw.R(at.X, at.Y, at.X+width, at.Y+float64(rows)*h)
		for i, t := range things {
			in := box.Columns(columns, c.U(28))[i/rows]
			y := box.Y0 + (float64(i%rows)+0.5)*h
			c.Line([]draw.Point{draw.Pt(in.X0, y), draw.Pt(in.X0+c.U(sample), y)}, thingPen(c.Theme, i))
			name := c.Write(draw.Pt(in.X0+c.U(sample+14), y), t.Name, draw.Lettering{AnchorY: 0.5, Max: 0.4 * in.W()})
			c.Write(draw.Pt(name.X1+c.U(12), y), notes[i],
				draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorY: 0.5, Max: in.X1 - name.X1 - c.U(12)})
		}
		return box.Y1, []draw.Rect{box}
	}
}

// thingWords is the size and reflectance of a thing.
func (s Subject) thingWords(t sight.Thing) string {
	words := s.length(t.Width) + " × " + s.length(t.Height)
	if t.Lies {
		words += ", lying"
	}
	return words + ", reflectance " + units.Figure(t.Reflectance)
}

// seenWords says how far along the track a thing is seen, and where not.
func (s Subject) seenWords(seen sight.Sight, view *sight.View) string {
	switch {
	case view.TooDense():
		return "no range in air this dense"
	case math.IsNaN(seen.Range):
		return "nowhere on the track"
	}
	words := "to " + s.distance(seen.Range)
	for i, lost := range seen.Lost {
		words += []string{", not from ", " and "}[min(i, 1)] + s.distance(lost.From) + " to " + s.distance(lost.To)
		if i == 1 && len(seen.Lost) > 2 {
			words += " and more"
			break
		}
	}
	return words
}

// drawBoundaries draws how far each of some things is seen, the first one above the others, and
// returns the lines (px).
func (p Plan) drawBoundaries(c *draw.Canvas, things []thingSight) (all [][]draw.Point) {
	in := c.Inside(p.Box)
	for i := len(things) - 1; i >= 0; i-- {
		lines := p.pixels(things[i].lines())
		in.Lines(lines, thingPen(c.Theme, i))
		all = append(all, lines...)
	}
	return all
}

// drawSeen paints where the first of some things is seen.
func (p Plan) drawSeen(c *draw.Canvas, things []thingSight) {
	c.Fill(c.Theme.Background, p.Box.Corners())
	if g := things[0].level; g != nil {
		shades := sightShades(c.Theme)
		p.DrawField(c, g, func(v float64) color.RGBA { return shades.of(v, c.Theme.Background) })
	}
}

// label writes how far things are seen where their lines cross the track, and the distances.
func (v *sightLayout) label(c *draw.Canvas, s Subject, arcs []float64, vehicle draw.Rect, lines [][]draw.Point) {
	p := v.Plan
	var tags []chart.Tag
	taken := []draw.Rect{vehicle}
	for i, t := range v.Things {
		if math.IsNaN(t.Range) {
			continue
		}
		tag, mark := p.drawRange(c, s.Scene.Site, t.Range, t.Name+" "+s.distance(t.Range))
		tag.Priority = -i
		tags, taken = append(tags, tag), append(taken, mark)
	}
	bar := p.ScaleBarCorner(c, p.Box, append(chart.MarkBoxes(c, tags), vehicle))
	p.DrawScaleBar(c, draw.Pt(bar.X0, bar.Y1))
	taken = append(taken, bar)
	v.Labels = append(v.Labels, bar)
	boxes, _ := chart.Layout{Bounds: p.Box.Inset(c.U(5)), Taken: taken, Gap: c.U(5)}.DrawTags(c, tags, c.U(260))
	taken, v.Labels = append(taken, boxes...), append(v.Labels, boxes...)
	v.Labels = append(v.Labels, writeArcs(c, p, arcs, taken, lines)...)
}
