package render

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"beamfall/geometry"
	"beamfall/geometry/aim"
	"beamfall/geometry/sight"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// Before and after aiming, on one scale: maps of what was asked for, be that sight or light, with
// the places where it is wanted outlined, places that must stay dark as crossed circles, the
// driver's views with one exposure, and how far to turn each lamp.

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

// aimLayout is where things are on a picture of aiming: the plans before and after of each map, the
// driver's views, and the boxes (px) of all marks and texts.
type aimLayout struct {
	Maps          []mapped // the one that counts most first
	Plans         [][2]Plan
	Views         []viewLayout // none where there is no eye to see by
	Marks, Labels []draw.Rect
}

// The two times of a picture of aiming.
var beforeAfter = [2]string{"before", "after"}

// The height of the plans, units.
const leastAim, mostAim = 190, 420

func drawAim(ctx context.Context, a Aiming, theme draw.Theme, o AimOptions) (*draw.Canvas, aimLayout, error) {
	if len(a.Before.Scene.Lamps) != len(a.After.Scene.Lamps) {
		return nil, aimLayout{}, fmt.Errorf("aiming: %d lamps before and %d after: both need the same lamps",
			len(a.Before.Scene.Lamps), len(a.After.Scene.Lamps))
	}
	v := aiming{Aiming: a}
	v.lookFor()
	if err := v.choose(); err != nil {
		return nil, aimLayout{}, err
	}
	e, err := v.extent(ctx)
	if err != nil {
		return nil, aimLayout{}, err
	}
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, aimLayout{}, err
	}
	r, s := page.Ruler, v.Before
	unit := s.Units.Axis()
	page.Add(chart.Title(s.Rig, s.details("before and after aiming, on one scale")), chart.PageGap)
	for _, m := range v.Maps {
		var plans [2]Plan
		for when, name := range beforeAfter {
			page.Add(headed(name, v.result(m, when)), 4)
			room := page.Add(chart.Space(planHeight(r, e, unit, leastAim, mostAim)), 8)
			plans[when] = planIn(r, room, e, unit)
		}
		plans[1].Across, plans[1].Up = plans[0].Across, plans[0].Up
		page.Add(m.legend(s, theme), chart.PageGap)
		v.Plans = append(v.Plans, plans)
	}
	halves := func(in draw.Rect) []draw.Rect { return in.Columns(2, r.U(columnGap)) }
	if v.ranges[0] != nil && v.ranges[1] != nil { // the driver sees
		page.Add(foldedHeadings([]string{"before, the driver's view", "after, with the same exposure"}, halves), 4)
		width := halves(draw.R(0, 0, page.Width(), 0))[0].W()
		windscreens := halves(page.Add(chart.Space(math.Round(width*viewShape)), 8))
		if v.Views, err = views(ctx, []Subject{v.Before, v.After}, windscreens); err != nil {
			return nil, aimLayout{}, err
		}
	}
	page.Add(chart.FigureRows(v.figures(), halves), 8)
	page.Add(v.changes(), chart.PageGap)
	page.Add(chart.Paragraph(v.signs()), signsGap)
	c, labels, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, aimLayout{}, err
	}
	v.Labels = labels
	for i, m := range v.Maps {
		for when, p := range v.Plans[i] {
			if err := v.drawPlan(ctx, c, p, m, when); err != nil {
				return nil, aimLayout{}, err
			}
		}
	}
	for i := range v.Views {
		if err := v.Views[i].draw(ctx, c, v.at(i)); err != nil {
			return nil, aimLayout{}, err
		}
		v.Labels = append(v.Labels, v.Views[i].Labels...)
	}
	return c, v.aimLayout, nil
}

// aiming is a picture of aiming being drawn.
type aiming struct {
	Aiming
	aimLayout
	ranges [2][]float64 // how far the things that are looked for are seen, m; NaN: nowhere
}

// at is the subject before (0) or after (1) aiming.
func (v *aiming) at(when int) Subject { return [...]Subject{v.Before, v.After}[when] }

// byWeight are the targets, those that count most first.
func (a *Aiming) byWeight() []AimTarget {
	targets := slices.Clone(a.Targets)
	slices.SortStableFunc(targets, func(a, b AimTarget) int { return cmp.Compare(b.Weight, a.Weight) })
	return targets
}

// lookFor makes what targets want to be seen the things that are looked for, and works out how far
// they are seen.
func (v *aiming) lookFor() {
	var things []sight.Thing
	for _, t := range v.byWeight() {
		if t.See != nil && !slices.Contains(things, *t.See) {
			things = append(things, *t.See)
		}
	}
	for when, s := range []*Subject{&v.Before, &v.After} {
		if s.Things = s.things()[:1]; len(things) > 0 {
			s.Things = things
		}
		*s = s.Looking()
		o, ok := s.outlook()
		if !ok {
			continue
		}
		v.ranges[when] = []float64{o.sight.Range}
		for _, t := range s.Things[1:] {
			v.ranges[when] = append(v.ranges[when], o.view.Along(t).Sight(s.lit()).Range)
		}
	}
}

// choose makes maps of what is asked for.
func (v *aiming) choose() error {
	for _, t := range v.byWeight() {
		m := mapped{Map: MapGround}
		switch {
		case t.See != nil:
			m.Map = MapSight
		case t.Facing:
			m = mapped{MapFacing, t.Up}
		}
		if slices.ContainsFunc(v.Maps, func(k mapped) bool { return k.Map == m.Map }) {
			continue
		}
		if _, err := v.Before.mapped(m.Map); err != nil {
			return err
		}
		v.Maps = append(v.Maps, m)
	}
	if len(v.Maps) == 0 {
		v.Maps = []mapped{{Map: MapGround}}
	}
	return nil
}

// of tells whether a target asks for what a map has.
func (t *AimTarget) of(m mapped) bool {
	switch m.Map {
	case MapSight:
		return t.See != nil
	case MapFacing:
		return t.See == nil && t.Facing
	}
	return t.See == nil && !t.Facing
}

// result says what comes of a setting: how far things are seen, or how much there is of the light
// that is asked for.
func (v *aiming) result(m mapped, when int) string {
	s := v.at(when)
	var words []string
	if m.Map != MapSight {
		for _, t := range v.Targets {
			if t.of(m) {
				words = append(words, units.Percent([...]float64{t.Before, t.After}[when])+" "+t.Name)
			}
		}
		return strings.Join(append([]string{m.title(s)}, words...), " · ")
	}
	for i, was := range v.ranges[0] {
		is := v.ranges[1][i]
		far := [...]float64{was, is}[when]
		text := s.Things[i].Name + " seen to " + s.distance(far)
		if math.IsNaN(far) {
			text = s.Things[i].Name + " seen nowhere"
		}
		if when == 1 && math.Abs(is-was) >= leastGain {
			text += " (" + units.Changed(was, is, s.distance).String() + ")"
		}
		words = append(words, text)
	}
	return strings.Join(words, ", ")
}

// leastGain is the least change of a range (m) that is worth telling.
const leastGain = 0.5

// headed is a heading with more beside it.
func headed(name, more string) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		_, h := c.Measure("", draw.Heading)
		t := c.Write(at, name, draw.Lettering{Role: draw.Heading})
		more := c.Write(draw.Pt(t.X1+c.U(14), at.Y+h), more, draw.Lettering{AnchorY: 1, Max: width - t.W() - c.U(14)})
		return at.Y + h, []draw.Rect{draw.R(at.X, at.Y, more.X1, at.Y+h)}
	}
}

// signs say what the signs on the picture are.
func (v *aiming) signs() string {
	signs := "Outlined: what is asked for, and how much of it there is."
	if slices.ContainsFunc(v.Maps, func(m mapped) bool { return m.Map != MapSight }) {
		signs += " Number: where the axis of a lamp to be moved meets the ground."
	}
	if slices.ContainsFunc(v.Maps, func(m mapped) bool { return m.Map == MapSight }) {
		signs += " Line across the track: how far a thing is seen; dashed: the " + v.Before.Things[0].Name + " before."
	}
	if len(v.Limits) > 0 {
		signs += " Crossed circle: a place that must not get more facing light than allowed."
	}
	if len(v.Views) > 0 {
		signs += " " + v.Views[0].Exposure.String() + "."
	}
	return signs + " Tilts are down from level."
}

// extent is the ground to show: what was asked for, how far that is seen, and what is lit.
func (v *aiming) extent(ctx context.Context) (geometry.Extent, error) {
	e := v.Before.onGround().With(geometry.Extent{Ahead: 25, Right: -8, Left: 8})
	track := &v.Before.Scene.Site.Track
	for i := range v.Targets {
		e = e.With(v.Targets[i].extent(track))
	}
	for _, l := range v.Limits {
		e = e.With(geometry.Extent{Behind: l.At.X, Ahead: l.At.X, Right: l.At.Y, Left: l.At.Y})
	}
	for when, ranges := range v.ranges {
		if len(v.Maps) > 1 || v.Maps[0].Map != MapSight {
			lit, err := v.at(when).ground(ctx)
			if err != nil {
				return e, err
			}
			e = e.With(lit)
			continue
		}
		for _, far := range ranges {
			if !math.IsNaN(far) {
				e = e.With((&AimTarget{Target: aim.Target{To: far}}).extent(track))
			}
		}
	}
	const room = 0.05 // of the length: enough for an arrow at the edge
	length := room * (e.Ahead - e.Behind)
	return geometry.Extent{Behind: e.Behind - length, Ahead: e.Ahead + length, Right: e.Right - 1, Left: e.Left + 1},
		nil
}

// outline is the area of a target.
func (t *AimTarget) outline(track *geometry.Track) []draw.Point {
	const most = 200
	n := most
	if track.Straight() {
		n = 1
	}
	area := make([]draw.Point, 2*(n+1))
	for i := range n + 1 {
		along := t.From + (t.To-t.From)*float64(i)/float64(n)
		area[i].X, area[i].Y = track.Place(along, t.HalfWidth)
		area[2*n+1-i].X, area[2*n+1-i].Y = track.Place(along, -t.HalfWidth)
	}
	return area
}

func (t *AimTarget) extent(track *geometry.Track) geometry.Extent {
	r := draw.BoundsOf(t.outline(track))
	return geometry.Extent{Behind: r.X0, Ahead: r.X1, Right: r.Y0, Left: r.Y1}
}

// mostAsked is how many targets and limits are listed; the rest are counted.
const mostAsked = 20

// figures are the rows under the plans.
func (a *Aiming) figures() []chart.FigureRow {
	var rows []chart.FigureRow
	if len(a.Targets) > 0 {
		rows = append(rows, chart.FigureRow{Label: "asked for, in all",
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

// words are the light at a limit and what is allowed there: "4.6 of 5 lx facing".
func (l *AimLimit) words(lux float64) string {
	verdict := " of "
	if lux > l.Lux {
		verdict = ", over "
	}
	return units.TwoDigits(lux) + verdict + units.Figure(units.Steps(math.Round(100*l.Lux), 0.01)) + " lx facing"
}

// drawPlan draws a map before (0) or after (1) aiming.
func (v *aiming) drawPlan(ctx context.Context, c *draw.Canvas, p Plan, m mapped, when int) error {
	s, site := v.at(when), v.Before.Scene.Site
	isolux, err := m.draw(ctx, c, p, s)
	if err != nil {
		return err
	}
	in := c.Inside(p.Box)
	arcs := drawArcs(c, p)
	drawTrack(c, p, site)
	taken := []draw.Rect{drawVehicle(c, p, s)}
	write := func(boxes ...draw.Rect) { taken, v.Labels = append(taken, boxes...), append(v.Labels, boxes...) }
	var tags []chart.Tag
	var outlines [][]draw.Point
	var targets, marks []draw.Rect
	for i := range v.Targets {
		t := &v.Targets[i]
		if !t.of(m) {
			continue
		}
		area := p.pixels([][]draw.Point{t.outline(&site.Track)})[0]
		in.Outline(area, draw.Pen{Colour: c.Theme.Accent, Width: 4}.Cased(c.Theme, 1.5))
		outlines, targets = append(outlines, append(area, area[0])), append(targets, draw.BoundsOf(area))
		share := [...]float64{t.Before, t.After}[when]
		tags = append(tags, chart.Tag{At: p.Box.Nearest(area[len(area)/2-1]), Text: units.Percent(share) + " " + t.Name,
			Priority: -100 - i})
	}
	for i := range v.Limits {
		l := &v.Limits[i]
		at, ring := p.Pixel(l.At.X, l.At.Y), c.U(9)
		in.Disc(at, 13, c.Theme.Background, draw.Pen{Colour: c.Theme.Caution, Width: 3})
		in.Lines([][]draw.Point{
			{draw.Pt(at.X-ring, at.Y-ring), draw.Pt(at.X+ring, at.Y+ring)},
			{draw.Pt(at.X-ring, at.Y+ring), draw.Pt(at.X+ring, at.Y-ring)},
		}, draw.Pen{Colour: c.Theme.Caution, Width: 3})
		tags = append(tags, chart.Tag{At: at, Text: l.Name, Mark: 15, Priority: -500 - i})
		marks = append(marks, draw.Around(at, c.U(30), c.U(30)))
	}
	if m.Map == MapSight {
		tag, boxes := v.drawRanges(c, p, when)
		tags, marks, taken = append(tags, tag...), append(marks, boxes...), append(taken, boxes...)
	}
	for i := range s.Scene.Lamps {
		if m.Map != MapSight && v.moved(i) {
			tag := drawHit(c, p, s, i)
			tags, marks = append(tags, tag), append(marks, draw.Around(tag.At, c.U(2*tag.Mark), c.U(2*tag.Mark)))
		}
	}
	if when == 0 {
		bar := p.ScaleBarCorner(c, p.Box, append(chart.MarkBoxes(c, tags), taken...))
		write(p.DrawScaleBar(c, draw.Pt(bar.X0, bar.Y1)))
	}
	layout := chart.Layout{Bounds: p.Box.Inset(c.U(5)), Gap: c.U(5), Taken: taken, Avoid: targets}
	boxes, _ := layout.DrawTags(c, tags, p.Box.W()/3)
	write(boxes...)
	taken, v.Marks = append(taken, marks...), append(v.Marks, marks...)
	write(writeArcs(c, p, arcs, append(targets, taken...), outlines)...)
	write(isolux.WriteLevels(c, taken)...)
	p.DrawAxes(c)
	return nil
}

// drawRanges draws how far things are seen, and how far the first was, and returns tags for that
// and the boxes (px) of the marks.
func (v *aiming) drawRanges(c *draw.Canvas, p Plan, when int) (tags []chart.Tag, marks []draw.Rect) {
	s, site := v.at(when), v.Before.Scene.Site
	if was := v.ranges[0][0]; when == 1 && !math.IsNaN(was) {
		x, y := site.Track.Place(was, 0)
		left, right := p.across(x, y, site.Track.Heading(was), halfTrack(site)*p.PerMetre()+c.U(overTrack))
		pen := draw.Pen{Colour: c.Theme.Sight, Width: 3, Dash: []float64{7, 6}}.Cased(c.Theme, 1)
		c.Inside(p.Box).Line([]draw.Point{left, right}, pen)
		marks = append(marks, draw.BoundsOf([]draw.Point{left, right}))
	}
	for i, far := range v.ranges[when] {
		if !math.IsNaN(far) {
			tag, mark := p.drawRange(c, site, far, s.Things[i].Name+" "+s.distance(far))
			tag.Priority = -i
			tags, marks = append(tags, tag), append(marks, mark)
		}
	}
	return tags, marks
}

// moved tells whether lamp i is to be set otherwise.
func (a *Aiming) moved(i int) bool {
	_, changed := change(a.Before.Scene.Lamps[i].Lamp.Aim, a.After.Scene.Lamps[i].Lamp.Aim)
	return changed
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
