package render

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"beamfall/geometry/sight"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/scenery"
	"beamfall/render/units"
)

// The driver's view: the track by the light of the lamps alone, with the things that are looked for
// at round distances, as bright as they are to the eye, and the farthest place where the first of
// them is seen.

// ViewOptions is what can be chosen of a driver's view.
type ViewOptions struct {
	Width   int     // px; 0 = UnitWidth
	MidGrey float64 // cd/m² that is shown as mid grey; 0 = chosen by the light
}

// viewHeight is the height of the view, units.
const viewHeight = 870

// viewLayout tells what is where on a driver's view.
type viewLayout struct {
	prospect
	Small    bool                // too small for more than marks
	Seen     *scenery.Luminances // through the windscreen
	Far      *scenery.Luminances // the far end, magnified; nil: it is near
	Exposure exposure
	Labels   []draw.Rect // the boxes of all texts on and around the view, px
}

// View draws what the driver of a subject sees. The eye must be given, and above the ground. It
// stops early, with the context's error, when the context ends.
func View(ctx context.Context, s Subject, theme draw.Theme, o ViewOptions) (*draw.Canvas, error) {
	c, _, err := drawView(ctx, s, theme, o)
	return c, err
}

func drawView(ctx context.Context, s Subject, theme draw.Theme, o ViewOptions) (*draw.Canvas, viewLayout, error) {
	if o.MidGrey != 0 && !(o.MidGrey > 0 && o.MidGrey < math.Inf(1)) {
		return nil, viewLayout{}, fmt.Errorf("driver's view: mid grey of %g cd/m²: must be above 0", o.MidGrey)
	}
	p, err := s.prospect(ctx)
	if err != nil {
		return nil, viewLayout{}, fmt.Errorf("driver's view: %w", err)
	}
	v := viewLayout{prospect: p}

	what := "driver's view, eye " + s.length(s.Vehicle.Eye.Up) + " up"
	if s.EyeAssumed {
		what += " (assumed)"
	}
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, viewLayout{}, err
	}
	r := page.Ruler
	page.Add(chart.Title(s.Rig, s.details(what)), chart.PageGap)
	room := page.Add(chart.Space(r.U(viewHeight)), 8)
	strip := page.Add(chart.Space(exposureStrip(1, s.Reflectance).Height(r, page.Width())), chart.PageGap)
	if v.Seen, err = p.world.Through(ctx, p.window(room.Whole())); err != nil {
		return nil, viewLayout{}, err
	}
	if v.Exposure = exposure(o.MidGrey); o.MidGrey == 0 {
		v.Exposure = exposureOf(v.Seen)
	}
	page.Add(chart.Paragraph(v.Exposure.String()+". Reflectance: "+s.reflectances()+"."), signsGap)
	page.Add(chart.Paragraph(p.sightWords(s)+" Ruts, plants and where things stand are made up, their light is not."),
		chart.PageGap)
	c, texts, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, viewLayout{}, err
	}
	v.Labels = append(texts, exposureStrip(v.Exposure, s.Reflectance).Draw(c, strip)...)
	return c, v, v.draw(ctx, c, s)
}

// draw draws what is seen, with its labels.
func (v *viewLayout) draw(ctx context.Context, c *draw.Canvas, s Subject) error {
	expose(c, v.Seen, v.Exposure)
	if err := v.drawFar(ctx, c); err != nil {
		return err
	}
	v.drawBody(c)
	v.label(c, s)
	box := v.Seen.Box
	if v.Seen.Greatest() <= 2*v.world.View.Around.Sky {
		in := c.Inside(box)
		v.Labels = append(v.Labels, in.Write(draw.Pt(box.Centre().X, box.Y0+0.6*box.H()),
			"no light on anything in view",
			draw.Lettering{Backing: draw.Plate, AnchorX: 0.5, AnchorY: 0.5, Max: box.W() - c.U(20)}))
	}
	c.Outline(box.Corners(), draw.Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
	return nil
}

// views are small driver's views of several subjects in boxes of one size, with one exposure. They
// can be drawn.
func views(ctx context.Context, subjects []Subject, boxes []draw.Rect) ([]viewLayout, error) {
	all, seen := make([]viewLayout, len(subjects)), make([]*scenery.Luminances, len(subjects))
	for i, s := range subjects {
		p, err := s.prospect(ctx)
		if err != nil {
			return nil, fmt.Errorf("driver's view: %w", err)
		}
		if seen[i], err = p.world.Through(ctx, p.window(boxes[i].Whole())); err != nil {
			return nil, err
		}
		all[i] = viewLayout{prospect: p, Seen: seen[i], Small: true}
	}
	for i := range all {
		all[i].Exposure = exposureOf(seen...)
	}
	return all, nil
}

// reflectances says how much of the light comes back.
func (s Subject) reflectances() string {
	return fmt.Sprintf("ground %s (ruts paler, verge darker), plants %s, body %s",
		units.Figure(s.Reflectance), units.Figure(scenery.Foliage), units.Figure(sight.BodyReflectance))
}

// prospect is what a driver has before the eyes, and how far the first thing is seen.
type prospect struct {
	outlook
	world *scenery.World
	row   []float64 // m along the track, where the first thing stands, as far as it is worth showing
}

// outlook is how far along the track the first thing of a subject is seen.
type outlook struct {
	view  *sight.View
	thing sight.Thing
	along *sight.Along
	sight sight.Sight
}

// Looking is the subject with what its driver has before the eyes, to be worked out once for several
// pictures. Without an eye above the ground it is as it was.
func (s Subject) Looking() Subject {
	if eye, err := s.eye(); err == nil {
		s.Views = append(slices.Clip(s.Views), s.look(eye))
	}
	return s
}

// outlook is that of the driver; ok is false without an eye above the ground.
func (s Subject) outlook() (o outlook, ok bool) {
	eye, err := s.eye()
	if err != nil {
		return o, false
	}
	o.view, o.thing = s.look(eye), s.things()[0]
	o.along = o.view.Along(o.thing)
	o.sight = o.along.Sight(s.lit())
	return o, true
}

// thingsApart is how far from the edge of the track things stand, m.
const thingsApart = 0.6

// prospect puts the things of a subject where they are looked at: the first along the right edge of
// the track, at round distances, and in the middle where it is just seen; each of the others along
// the left edge; what lies in the middle.
func (s Subject) prospect(ctx context.Context) (prospect, error) {
	eye, err := s.eye()
	if err != nil {
		return prospect{}, err
	}
	things, half := s.things(), halfTrack(s.Scene.Site)
	var p prospect
	p.outlook, _ = s.outlook()
	side := max(0.3*half, half-thingsApart)
	const beyond, least = 1.6, 100 // times as far as it is seen, m: it is worth seeing that it is not
	far := min(max(least, beyond*p.sight.Range), s.Scene.Site.Track.End())
	if math.IsNaN(p.sight.Range) {
		far = min(least, s.Scene.Site.Track.End())
	}
	var stand []scenery.Standing
	for _, along := range s.roundDistances() {
		if along > far {
			break
		}
		p.row = append(p.row, along)
		stand = append(stand, scenery.Standing{Thing: p.thing, Along: along, Left: -side})
	}
	others := slices.Clone(things[1:])
	// none hides another
	slices.SortStableFunc(others, func(a, b sight.Thing) int { return cmp.Compare(a.Height, b.Height) })
	upright, lying := 0, 0
	for _, t := range others {
		n, left := &upright, side
		if t.Lies {
			n, left = &lying, 0
		}
		if *n < len(p.row) {
			stand = append(stand, scenery.Standing{Thing: t, Along: p.row[*n], Left: left})
			*n++
		}
	}
	if p.thing.Lies { // in the middle as it is
		for i := range stand {
			if stand[i].Thing == p.thing {
				stand[i].Left = 0
			}
		}
	}
	if p.seen() {
		stand = append(stand, p.farthest())
	}
	p.world, err = scenery.New(ctx, p.view, eye, stand)
	return p, err
}

// seen tells whether the first thing is seen anywhere.
func (p *outlook) seen() bool { return !math.IsNaN(p.sight.Range) }

// farthest is the first thing where it is just seen.
func (p *prospect) farthest() scenery.Standing {
	return scenery.Standing{Thing: p.thing, Along: p.sight.Range}
}

// roundDistances are those at which things stand, m.
func (s Subject) roundDistances() []float64 {
	if s.Units == units.Imperial {
		var m []float64
		for _, ft := range []float64{50, 100, 200, 300, 400, 500, 700, 1000, 1500, 2000, 3000} {
			m = append(m, ft*units.Foot)
		}
		return m
	}
	return []float64{20, 40, 60, 80, 100, 150, 200, 300, 400, 500, 700, 1000}
}

// sightWords says how far the first thing is seen, by whom.
func (p *outlook) sightWords(s Subject) string {
	driver := p.view.Observer
	what := fmt.Sprintf("The %s (%s × %s, reflectance %s)", p.thing.Name, s.length(p.thing.Width),
		s.length(p.thing.Height),
		units.Figure(p.thing.Reflectance))
	who := fmt.Sprintf(" by a driver of %s years at a glance of %s s", units.Figure(driver.Age),
		units.Figure(driver.Glance))
	switch {
	case p.view.TooDense():
		return what + ": in air this dense no distance is named."
	case !p.seen():
		return what + " is seen nowhere" + who + "."
	}
	words := what + " is seen to " + s.distance(p.sight.Range) + who
	for i, lost := range p.sight.Lost {
		words += []string{", but not from ", " and from "}[min(i, 1)] + s.distance(lost.From) + " to " +
			s.distance(lost.To)
		if i == 2 && len(p.sight.Lost) > 3 {
			words += " and farther on"
			break
		}
	}
	return words + "."
}

// The view is so much wide (rad), and so much as high as wide; so far down is the ground in the
// distance, as a share of it.
const viewAngle, viewShape, viewHorizon = 50 * math.Pi / 180, viewHeight / (draw.UnitWidth - 2.*chart.Margin), 0.36

// window is the perspective of a view in a box: the ground in the distance has its place in the
// upper half, and a bend is looked into.
func (p *prospect) window(box draw.Rect) scenery.Window {
	eye, site := p.world.Eye, p.world.View.Scene.Site
	w := scenery.Window{Box: box, Eye: eye, Focal: box.W() / 2 / math.Tan(viewAngle/2)}
	const far, most = 150, 0.25 // m; of the width
	slope := (site.Ground.Height(far, 0) - eye.Z) / (far - eye.X)
	w.Centre = draw.Pt(box.Centre().X, math.Round(box.Y0+viewHorizon*box.H()+slope*w.Focal))
	if track := &site.Track; !track.Straight() {
		x, y := track.Place(min(track.End(), track.From+0.7*track.Radius, far), 0)
		aside := (y - eye.Y) / max(1, x-eye.X) * w.Focal
		w.Centre.X += math.Round(max(-most, min(most, 0.6*aside/box.W())) * box.W())
	}
	return w
}

// The inset: its size as a share of the view's, and how high (as a share of its height) the first
// thing is shown in it.
const farWide, farHigh, farThing = 0.36, 0.33, 0.32

// farWindow is the perspective of the far end in an upper corner of the view, and how many times it
// magnifies.
func (p *prospect) farWindow(seen *scenery.Luminances) (w scenery.Window, times float64, ok bool) {
	const most = 12
	if !p.seen() {
		return w, 0, false
	}
	s, site := p.farthest(), p.world.View.Scene.Site
	x, y := site.Track.Place(s.Along, 0)
	at, ahead := seen.Pixel(site.At(x, y, 0.45*s.Thing.Height))
	b := seen.Box
	if !ahead || !b.Inset(0.02*b.W()).Has(at) {
		return w, 0, false
	}
	box := draw.R(b.X0, b.Y0, math.Round(b.X0+farWide*b.W()), math.Round(b.Y0+farHigh*b.H()))
	gap := math.Round(0.012 * b.W())
	if at.X > b.Centre().X-0.1*b.W() { // in the corner that the far end is not in
		box = draw.R(box.X0+gap, box.Y0+gap, box.X1+gap, box.Y1+gap)
	} else {
		box = draw.R(b.X1-gap-box.W(), box.Y0+gap, b.X1-gap, box.Y1+gap)
	}
	size := s.Thing.Height
	if s.Thing.Lies {
		size = s.Thing.Width
	}
	times = math.Floor(min(most, farThing*box.H()/(size*seen.Focal/(x-p.world.Eye.X))))
	w = scenery.Window{Box: box, Eye: seen.Eye, Focal: times * seen.Focal}
	middle := box.Centre()
	w.Centre = draw.Pt(middle.X+times*(seen.Centre.X-at.X), middle.Y+0.08*box.H()+times*(seen.Centre.Y-at.Y))
	return w, times, times >= 3
}

// drawFar draws the far end, magnified, and where it is.
func (v *viewLayout) drawFar(ctx context.Context, c *draw.Canvas) (err error) {
	w, times, ok := v.farWindow(v.Seen)
	if !ok {
		return nil
	}
	if v.Far, err = v.world.Through(ctx, w); err != nil {
		return err
	}
	expose(c, v.Far, v.Exposure)
	pen := draw.Pen{Colour: c.Theme.Muted, Width: 1.5}
	in := c.Inside(v.Seen.Box)
	small := v.inMain(w.Box)
	a, b := draw.Pt(w.Box.X1, w.Box.Y1), draw.Pt(small.X0, small.Y0)
	if small.X0 < w.Box.X0 {
		a.X, b.X = w.Box.X0, small.X1
	}
	in.Line([]draw.Point{a, b}, pen)
	in.Outline(small.Corners(), pen)
	c.Outline(w.Box.Corners(), pen)
	text := "far end, " + units.Figure(times) + " times as large"
	if v.Small {
		text = units.Figure(times) + " times as large"
	}
	v.Labels = append(v.Labels, c.Write(draw.Pt(w.Box.X0+c.U(8), w.Box.Y1-c.U(6)), text,
		draw.Lettering{Role: draw.Small, Backing: draw.Halo, AnchorY: 1, Max: w.Box.W() - c.U(16)}))
	return nil
}

// inMain is what of the view a rectangle of the far end shows.
func (v *viewLayout) inMain(r draw.Rect) draw.Rect {
	k := v.Seen.Focal / v.Far.Focal
	x := func(x float64) float64 { return v.Seen.Centre.X + k*(x-v.Far.Centre.X) }
	y := func(y float64) float64 { return v.Seen.Centre.Y + k*(y-v.Far.Centre.Y) }
	return draw.R(x(r.X0), y(r.Y0), x(r.X1), y(r.Y1))
}

// drawBody draws the edges of the body: a dark hood before its own shadow would not be seen.
func (v *viewLayout) drawBody(c *draw.Canvas) {
	if len(v.world.View.Scene.Lamps) == 0 {
		return
	}
	in := c.Inside(v.Seen.Box)
	in.Lines(v.world.Edges(v.Seen.Window), draw.Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
}

// label marks the farthest place where the first thing is seen, and says what stands where.
func (v *viewLayout) label(c *draw.Canvas, s Subject) {
	var inset draw.Rect
	if v.Far != nil {
		inset = v.Far.Box
		v.labelThings(c, s, v.Far, draw.Rect{})
	}
	v.labelThings(c, s, v.Seen, inset)
}

// labelThings labels the things in a window, of which a part is covered.
func (v *viewLayout) labelThings(c *draw.Canvas, s Subject, l *scenery.Luminances, covered draw.Rect) {
	in := c.Inside(l.Box)
	layout := chart.Layout{Bounds: l.Box.Inset(c.U(6)), Gap: c.U(4), Taken: v.labelsIn(l.Box)}
	if covered.W() > 0 {
		layout.Taken = append(layout.Taken, covered, v.inMain(covered))
	}
	var tags []chart.Tag
	var row []rowLabel
	missed := false // the nearest place beyond the range is enough
	for _, t := range v.world.Stand {
		r, ok := v.world.Place(l.Window, t)
		if !ok || r.Overlaps(covered) {
			continue
		}
		layout.Taken = append(layout.Taken, r)
		switch {
		case v.isFarthest(t):
			mark := r.Inset(-c.U(5))
			in.Lines(brackets(mark, c.U(9)), draw.Pen{Colour: c.Theme.Sight, Width: 2.5}.Cased(c.Theme, 1))
			layout.Taken = append(layout.Taken, mark)
			if l == v.Seen {
				row = append(row, rowLabel{draw.Pt(mark.Centre().X, mark.Y0),
					v.thing.Name + " seen to " + s.distance(v.sight.Range)})
			}
		case t.Thing == v.thing:
			large := max(r.H(), r.W()/2) >= c.U(22) &&
				(v.Far == nil || l == v.Far || t.Along <= v.row[min(1, len(v.row)-1)])
			beyond := !(t.Along <= v.sight.Range)
			if large && !(beyond && missed) {
				row = append(row, rowLabel{draw.Pt(r.Centre().X, r.Y0), s.axisDistance(t.Along) + v.notSeen(t.Along)})
				missed = missed || beyond
			}
		case l == v.Seen && max(r.W(), r.H()) > c.U(8):
			tags = append(tags, chart.Tag{At: draw.Pt(r.X0, r.Centre().Y), Text: t.Thing.Name})
		}
	}
	if v.Small {
		return
	}
	boxes := labelRow(in, row, l.Box)
	layout.Taken, v.Labels = append(layout.Taken, boxes...), append(v.Labels, boxes...)
	boxes, _ = layout.DrawTags(in, tags, c.U(460))
	v.Labels = append(v.Labels, boxes...)
}

// isFarthest tells whether a thing stands where the first one is just seen.
func (v *viewLayout) isFarthest(t scenery.Standing) bool {
	return t.Thing == v.thing && v.seen() && t.Along == v.sight.Range
}

// notSeen says of a distance along the track that the first thing is not seen there.
func (v *viewLayout) notSeen(along float64) string {
	lost := !(along <= v.sight.Range)
	for _, l := range v.sight.Lost {
		lost = lost || along > l.From && along < l.To
	}
	if lost {
		return ", not seen"
	}
	return ""
}

// rowLabel is a text over a place.
type rowLabel struct {
	at   draw.Point
	text string
}

// labelRow writes texts in a row over places that are about as high, in their order, each with a
// leader. Those that have no room within a box are left out, the last first.
func labelRow(c *draw.Canvas, row []rowLabel, box draw.Rect) (boxes []draw.Rect) {
	slices.SortStableFunc(row, func(a, b rowLabel) int { return cmp.Compare(a.at.X, b.at.X) })
	pad, high := c.U(draw.PlatePadX), box.Y1
	var xs, widths []float64
	total := 0.0
	for i, l := range row {
		w, _ := c.Measure(l.text, draw.Small)
		w += 2*pad + c.U(4)
		if total+w > box.W() {
			row = row[:i]
			break
		}
		total, high = total+w, min(high, l.at.Y)
		xs, widths = append(xs, l.at.X), append(widths, w)
	}
	if len(row) == 0 {
		return nil
	}
	_, h := c.Measure("", draw.Small)
	y := max(high-c.U(26), box.Y0+h+c.U(8))
	xs = inRow(xs, widths, box.X0+c.U(4), box.X1-c.U(4))
	pen := draw.Pen{Colour: c.Theme.Ink, Width: 1.5}.Cased(c.Theme, 1)
	for i, l := range row {
		c.Line([]draw.Point{draw.Pt(xs[i], y-c.U(4)), draw.Pt(l.at.X, l.at.Y-c.U(3))}, pen)
	}
	for i, l := range row {
		boxes = append(boxes, c.Write(draw.Pt(xs[i], y), l.text,
			draw.Lettering{Role: draw.Small, Backing: draw.Plate, AnchorX: 0.5, AnchorY: 1}))
	}
	return boxes
}

// inRow moves rising middles of so wide pieces as little as need be to be apart and between lo and
// hi.
func inRow(middles, widths []float64, lo, hi float64) []float64 {
	// As if all had no width: what is left of each when the widths before it are taken off.
	starts, before := make([]float64, len(middles)), 0.0
	for i, m := range middles {
		starts[i] = m - widths[i]/2 - before
		before += widths[i]
	}
	starts = chart.Spread(starts, 0, lo, hi-before, nil)
	out, before := make([]float64, len(middles)), 0.0
	for i := range out {
		out[i] = starts[i] + before + widths[i]/2
		before += widths[i]
	}
	return out
}

// labelsIn are the labels within a box.
func (v *viewLayout) labelsIn(box draw.Rect) (in []draw.Rect) {
	for _, r := range v.Labels {
		if r.Overlaps(box) {
			in = append(in, r)
		}
	}
	return in
}

// axisDistance is a round distance in the unit of axes.
func (s Subject) axisDistance(m float64) string {
	unit := s.Units.Axis()
	return units.Figure(units.Steps(math.Round(m/unit.Size), 1)) + " " + unit.Name
}

// brackets are the corners of a rectangle, so long along its sides.
func brackets(r draw.Rect, long float64) [][]draw.Point {
	x, y := min(long, r.W()/3), min(long, r.H()/3)
	corner := func(x0, y0, dx, dy float64) []draw.Point {
		return []draw.Point{draw.Pt(x0+dx, y0), draw.Pt(x0, y0), draw.Pt(x0, y0+dy)}
	}
	return [][]draw.Point{corner(r.X0, r.Y0, x, y), corner(r.X1, r.Y0, -x, y), corner(r.X1, r.Y1, -x, -y),
		corner(r.X0, r.Y1, x, -y)}
}
