package render

import (
	"context"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"

	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/scenery"
	"beamfall/render/units"
)

// Subjects side by side: from above with ahead upward, all on one scale, the shape of the ground
// where the driver sees the first of the things that are looked for, and how far that is in large
// figures. Below that what each driver sees, with one exposure, and the other figures.

// Column is one of the subjects that are compared.
type Column struct {
	Subject
	Title   string      // over the column; empty is what tells it from the others: rig, scene or both
	About   string      // what it is of, in a few words; may be empty
	What    string      // what Value is, as "person seen to"
	Value   string      // the one figure that the column is known by
	Gain    string      // by how much that is above what the column is held against; may be empty
	Figures [][2]string // label and value, the same labels in the same order for all
}

// CompareOptions are choices for a comparison. What is 0 is chosen by the light.
type CompareOptions struct {
	Title               string   // empty says what is compared
	Width               int      // px; 0 is UnitWidth
	Ahead, Behind, Side float64  // m from the bumper to be seen at least, Side to either side
	Steps               bool     // a column is held against the one before it; else against the first
	Notes               []string // what must be said of what is shown
}

// compareLayout is where things are on a comparison: the plan and the shape of each subject, the
// boxes of the driver's views (px), and those of all texts.
type compareLayout struct {
	Plans  []Plan
	Shapes []silhouette
	Views  []draw.Rect
	Labels []draw.Rect
}

// The height of a column's plan, units, and the distance between columns.
const leastColumn, mostColumn, columnGap = 520, 1150, 36

// Compare draws two to four subjects side by side. It stops early, with the context's error, when
// the context ends.
func Compare(ctx context.Context, columns []Column, theme draw.Theme, o CompareOptions) (*draw.Canvas, error) {
	c, _, err := drawCompare(ctx, columns, theme, o)
	return c, err
}

func drawCompare(
	ctx context.Context, columns []Column, theme draw.Theme, o CompareOptions,
) (*draw.Canvas, compareLayout, error) {
	if len(columns) < 2 || len(columns) > 4 {
		return nil, compareLayout{}, fmt.Errorf("comparison of %d: two to four have room beside each other",
			len(columns))
	}
	columns = slices.Clone(columns)
	for i := range columns {
		columns[i].Subject = columns[i].Looking()
	}
	table, err := figureRows(columns)
	if err != nil {
		return nil, compareLayout{}, err
	}
	v := compareLayout{Shapes: make([]silhouette, len(columns))}
	e := geometry.Extent{Ahead: 10, Right: -5, Left: 5}
	for i := range columns {
		if v.Shapes[i], err = columns[i].silhouette(ctx); err != nil {
			return nil, compareLayout{}, err
		}
		e = e.With(columns[i].onGround()).With(v.Shapes[i].extent())
	}
	e = TopOptions{Ahead: o.Ahead, Behind: o.Behind, Side: o.Side}.widen(withRoom(e))
	views, err := viewsBeside(ctx, columns)
	if err != nil {
		return nil, compareLayout{}, err
	}
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, compareLayout{}, err
	}
	unit := columns[0].Units.Axis()
	title, titles := comparedTitles(columns)
	if o.Title != "" {
		title = o.Title
	}
	page.Add(chart.Title(title, comparedDetails(columns, v.Shapes, o.Steps)), chart.PageGap)
	b := setBeside(page.Ruler, len(columns), e, unit)
	page.Add(foldedHeadings(titles, b.columns), 0)
	page.Add(abouts(columns, b.columns), 4)
	page.Add(headlines(columns, b.columns), 8)
	room := page.Add(chart.Space(b.height), 6)
	strip := page.Add(views.room(b.columns), chart.PageGap)
	page.Add(chart.FigureRows(table, b.columns), chart.PageGap)
	for _, key := range compareKeys(v.Shapes, o.Steps, theme) {
		page.Add(key, chart.PageGap)
	}
	for _, text := range append(comparedWords(columns, v.Shapes, views), o.Notes...) {
		page.Add(chart.Paragraph(text), signsGap)
	}
	c, labels, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, compareLayout{}, err
	}
	v.Plans, v.Labels = b.plans(room, e, unit), labels
	for i, p := range v.Plans {
		var before *silhouette
		switch {
		case i > 0 && o.Steps:
			before = &v.Shapes[i-1]
		case i > 0:
			before = &v.Shapes[0]
		}
		v.Labels = append(v.Labels, drawColumn(c, p, columns[i].Subject, &v.Shapes[i], before, i == 0)...)
	}
	if v.Views, err = views.draw(ctx, c, b.columns(strip)); err != nil {
		return nil, compareLayout{}, err
	}
	return c, v, nil
}

// silhouette is the shape of what a subject's light comes to: where the first thing is seen, and as
// far as there is so much light on an upright plane.
type silhouette struct {
	thingSight
	view  *sight.View // nil: there is no eye to see by
	known bool        // where the thing is seen; else the light is all that there is to show
	lux   float64     // of the edge
	light *chart.Grid // logarithm of the facing light over lux, in metres ahead and to the left; nil: none
	reach float64     // of lux, straight ahead, m; NaN: none
}

// columnPoints is how many places are looked at for a shape, which is smaller than a map of sight.
const columnPoints = 5000

// silhouette works out the shape of a subject.
func (s Subject) silhouette(ctx context.Context) (out silhouette, err error) {
	out.lux = 1
	if len(s.Thresholds) > 0 {
		out.lux = s.Thresholds[0]
	}
	out.reach = s.Scene.Centreline(out.lux).Reach(out.lux)
	if eye, err := s.eye(); err == nil {
		out.view = s.look(eye)
		out.known = !out.view.TooDense()
	}
	if out.known {
		points := float64(columnPoints)
		if !out.view.Around.Particles.None() {
			points = glowPoints
		}
		if out.thingSight, err = s.thingSight(ctx, out.view, s.things()[0], points); err != nil {
			return out, err
		}
	}
	e, ok, err := s.litBy(ctx, sight.Thing{Height: 2 * geometry.ObjectHeight}, out.lux)
	if err != nil || !ok {
		return out, err
	}
	const wider, tries = 0.2, 8 // the extent may miss the tip of a narrow beam
	for range tries {
		if out.light, err = s.facingOver(ctx, e, out.lux); err != nil || !openEnded(out.light) {
			break
		}
		along, across := wider*(e.Ahead-e.Behind), wider*(e.Left-e.Right)
		e = geometry.Extent{
			Behind: e.Behind - along, Ahead: e.Ahead + along, Right: e.Right - across, Left: e.Left + across,
		}
	}
	return out, err
}

// facingOver is the logarithm of the facing light over so many lux, on an extent.
func (s Subject) facingOver(ctx context.Context, e geometry.Extent, lux float64) (*chart.Grid, error) {
	const points = 20000
	step := math.Sqrt((e.Ahead - e.Behind) * (e.Left - e.Right) / points)
	f, err := s.Scene.FacingField(ctx, geometry.Grid{
		X0: e.Behind - step, Y0: e.Right - step, Step: step,
		NX: 4 + int((e.Ahead-e.Behind)/step), NY: 4 + int((e.Left-e.Right)/step),
	}, geometry.ObjectHeight)
	if err != nil {
		return nil, err
	}
	g := &chart.Grid{NX: f.NX, NY: f.NY, X0: f.X0, Y0: f.Y0, DX: step, DY: step, Values: make([]float64, len(f.Lux))}
	for i := range f.NX {
		for j := range f.NY {
			g.Values[j*g.NX+i] = math.Log(max(1e-3, f.At(i, j)/lux))
		}
	}
	return g, nil
}

// lit is where there is so much light, in the way of a thing that is seen there.
func (s *silhouette) lit() *thingSight { return &thingSight{level: s.light} }

// extent is that of all places where the thing is seen, or there is so much light.
func (s *silhouette) extent() geometry.Extent {
	e := nowhere()
	for _, part := range []*thingSight{&s.thingSight, s.lit()} {
		if in, ok := part.extent(); ok {
			e = e.With(in)
		}
	}
	return e
}

// outline is the edge of the shape: of sight, or of the light where that is all that is known.
func (s *silhouette) outline() [][]draw.Point {
	if s.known {
		return s.thingSight.lines()
	}
	return s.lit().lines()
}

// transposed is a grid with its columns as rows.
func transposed(g *chart.Grid) *chart.Grid {
	t := &chart.Grid{
		NX: g.NY, NY: g.NX, X0: g.Y0, Y0: g.X0, DX: g.DY, DY: g.DX, Values: make([]float64, len(g.Values)),
	}
	for j := range t.NY {
		for i := range t.NX {
			t.Values[j*t.NX+i] = g.Values[i*g.NX+j]
		}
	}
	return t
}

// edgePen draws how far there is so much light, beforePen the shape that a column is held against.
// Where the thing is seen is drawn as on the map of sight.
func edgePen(theme draw.Theme) draw.Pen {
	return draw.Pen{Colour: theme.Accent, Width: 2.5}.Cased(theme, 1)
}

func beforePen(theme draw.Theme) draw.Pen {
	return draw.Pen{Colour: theme.Ink, Width: 2.5, Dash: []float64{9, 7}}
}

// drawColumn draws the plan of a subject, and on it the outline that it is held against, if any. It
// returns the boxes of its texts.
func drawColumn(
	c *draw.Canvas, p Plan, s Subject, shape, before *silhouette, scaleBar bool,
) (texts []draw.Rect) {
	in := c.Inside(p.Box)
	paintShape(c, p, shape)
	if !s.Scene.Site.Track.Straight() {
		drawTrack(c, p, s.Scene.Site)
	}
	arcs := drawArcs(c, p)
	taken := []draw.Rect{drawVehicle(c, p, s)}
	write := func(boxes ...draw.Rect) { taken, texts = append(taken, boxes...), append(texts, boxes...) }
	if before != nil {
		in.Lines(p.pixels(before.outline()), beforePen(c.Theme))
	}
	in.Lines(p.pixels(shape.lit().lines()), edgePen(c.Theme))
	var tags []chart.Tag
	var marks []draw.Rect
	mark := func(along float64, name string, pen draw.Pen) {
		if math.IsNaN(along) {
			return
		}
		text := name + " " + s.distance(along)
		// no room beside the mark; the keys have the name
		if w, _ := c.Measure(text, draw.Label); w > p.Box.W()/2-c.U(40) {
			text = s.distance(along)
		}
		track := &s.Scene.Site.Track
		x, y := track.Place(along, 0)
		a, b := p.across(x, y, track.Heading(along), c.U(14))
		in.Line([]draw.Point{a, b}, pen)
		marks = append(marks, draw.BoundsOf([]draw.Point{a, b}).Inset(-c.U(3)))
		tags = append(tags, chart.Tag{At: p.Pixel(x, y), Text: text, Mark: 8, Priority: -len(tags)})
	}
	if shape.known {
		in.Lines(p.pixels(shape.outline()), thingPen(c.Theme, 0))
		mark(shape.Range, shape.Name, thingPen(c.Theme, 0))
	}
	mark(shape.reach, units.Figure(shape.lux)+" lx", edgePen(c.Theme))
	if scaleBar {
		bar := p.ScaleBarCorner(c, p.Box, append(chart.MarkBoxes(c, tags), taken...))
		write(p.DrawScaleBar(c, draw.Pt(bar.X0, bar.Y1)))
	}
	boxes, _ := chart.Layout{Bounds: p.Box.Inset(c.U(5)), Taken: taken, Gap: c.U(5)}.DrawTags(c, tags,
		p.Box.W()-c.U(20))
	write(boxes...)
	write(writeArcs(c, p, arcs, append(taken, marks...), p.pixels(shape.outline()))...)
	p.DrawAxes(c)
	return texts
}

// paintShape fills a plan where the thing is seen, or by the facing light where that is not known.
func paintShape(c *draw.Canvas, p Plan, shape *silhouette) {
	dark := c.Theme.Background
	c.Fill(dark, p.Box.Corners())
	switch ramp := LightRamp(c.Theme); {
	case shape.known && shape.level != nil:
		seen := seenFill(c.Theme)
		p.DrawField(c, transposed(shape.level), func(v float64) color.RGBA {
			if v < 0 {
				return dark
			}
			return seen
		})
	case !shape.known && shape.light != nil:
		p.DrawField(c, transposed(shape.light), func(v float64) color.RGBA {
			if v < 0 {
				return dark
			}
			return ramp.Bands[ramp.Band(shape.lux*math.Exp(v))]
		})
	}
}

// seenFill is the colour of the ground where the thing is seen: one for all of it.
func seenFill(theme draw.Theme) color.RGBA { return sightShades(theme)[1] }

// pixels are lines in metres ahead and to the left as they are on a plan.
func (p Plan) pixels(lines [][]draw.Point) [][]draw.Point {
	out := make([][]draw.Point, len(lines))
	for i, line := range lines {
		out[i] = make([]draw.Point, len(line))
		for k, q := range line {
			out[i][k] = p.Pixel(q.X, q.Y)
		}
	}
	return out
}

// comparedDetails is the line below the title: what is shown, and what all columns share.
func comparedDetails(columns []Column, shapes []silhouette, steps bool) string {
	what := "the light from above, on one scale"
	for i := range shapes {
		if shapes[i].known {
			what = "where the " + shapes[i].Name + " is seen, from above, on one scale"
			break
		}
	}
	if steps {
		what = "built up step by step: " + what
	}
	one := columns[0].Subject
	for i := range columns {
		switch k := &columns[i]; {
		case k.Rig != one.Rig || k.air() != one.air():
			return what
		case k.Name != one.Name:
			one.Name = ""
		}
	}
	return one.details(what)
}

// comparedWords say what the shapes and views are.
func comparedWords(columns []Column, shapes []silhouette, v *besideViews) (words []string) {
	for i := range shapes {
		if s := &shapes[i]; s.known {
			words = append(words, fmt.Sprintf("Seen: the %s (%s) anywhere on the ground, by eyes that are on it, %s.",
				s.Name, columns[i].thingWords(s.Thing), observerWords(s.view.Observer)))
			break
		}
	}
	words = append(words, fmt.Sprintf("%s lx facing: on an upright plane %s above the ground that faces the vehicle.",
		units.Figure(shapes[0].lux), columns[0].length(geometry.ObjectHeight)))
	if !v.none() {
		words = append(words, "Driver's views: "+v.exposure.String()+". The same for all.")
	}
	return words
}

// compareKeys are the legends: of the light, where that is all there is to show, and of the lines.
func compareKeys(shapes []silhouette, steps bool, theme draw.Theme) (keys []chart.Box) {
	var lines []lineKey
	known, dark := false, false
	for i := range shapes {
		if s := &shapes[i]; s.known && !known {
			known = true
			lines = append(lines, lineKey{thingPen(theme, 0), seenFill(theme), "the " + s.Name + " is seen"})
		}
		dark = dark || !shapes[i].known
	}
	if dark {
		keys = append(keys, chart.LevelStrip(LightRamp(theme)))
	}
	held := "the same in the first column"
	if steps {
		held = "the same before this step"
	}
	return append(keys, lineKeys(append(lines,
		lineKey{edgePen(theme), theme.Background, units.Figure(shapes[0].lux) + " lx facing or more"},
		lineKey{beforePen(theme), theme.Background, held})))
}

// lineKey is a line around an area, the colour of that, and what they are.
type lineKey struct {
	pen  draw.Pen
	fill color.RGBA
	text string
}

// lineKeys are keys of lines, as many beside each other as have room.
func lineKeys(keys []lineKey) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		const sample, gap = 60, 36 // units
		_, h := c.Measure("", draw.Label)
		x, y := at.X, at.Y
		for _, k := range keys {
			w, _ := c.Measure(k.text, draw.Label)
			if w += c.U(sample + 12); x > at.X && x+w > at.X+width {
				x, y = at.X, y+h
			}
			box := draw.R(x, y, x+c.U(sample), y+h).Inset(c.U(6))
			c.Fill(k.fill, box.Corners())
			c.Outline(box.Corners(), k.pen)
			c.Write(draw.Pt(x+c.U(sample+12), y), k.text, draw.Lettering{})
			texts = append(texts, draw.R(x, y, x+w, y+h))
			x += w + c.U(gap)
		}
		return y + h, texts
	}
}

// abouts are what columns are of, below their titles.
func abouts(columns []Column, under func(draw.Rect) []draw.Rect) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		_, h := c.Measure("", draw.Small)
		bottom = at.Y
		for i, in := range under(draw.R(at.X, at.Y, at.X+width, at.Y)) {
			for k, line := range c.Wrap(columns[i].About, draw.Small, in.W()) {
				y := at.Y + float64(k)*h
				t := c.Write(draw.Pt(in.X0, y), line, draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted})
				texts, bottom = append(texts, draw.R(t.X0, y, t.X1, y+h)), max(bottom, y+h)
			}
		}
		return bottom, texts
	}
}

// headlines are the figures that columns are known by, in large letters, with what is gained.
func headlines(columns []Column, under func(draw.Rect) []draw.Rect) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		const large, lesser = 2.1, 1.3 // times the size of a heading
		_, small := c.Measure("", draw.Small)
		_, h := c.Measure("", draw.Heading)
		if columns[0].Value == "" {
			return at.Y, nil
		}
		bottom = at.Y + small + large*h
		for i, in := range under(draw.R(at.X, at.Y, at.X+width, at.Y)) {
			k := &columns[i]
			what := c.Write(draw.Pt(in.X0, at.Y), k.What,
				draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, Max: in.W()})
			gap := c.U(18)
			value, _ := c.Measure(k.Value, draw.Heading)
			gain, _ := c.Measure(k.Gain, draw.Heading)
			fit := min(1, in.W()/(large*value+gap+lesser*gain))
			big := c.Write(draw.Pt(in.X0, bottom), k.Value,
				draw.Lettering{Role: draw.Heading, Size: fit * large, AnchorY: 1})
			texts = append(texts, draw.R(in.X0, at.Y, max(what.X1, big.X1), bottom))
			if k.Gain != "" {
				l := draw.Lettering{Role: draw.Heading, Size: fit * lesser, Colour: c.Theme.Sight, AnchorY: 1}
				w := c.Write(draw.Pt(big.X1+fit*gap, bottom-fit*c.U(5)), k.Gain, l)
				texts = append(texts, draw.R(w.X0, at.Y+small, w.X1, bottom))
			}
		}
		return bottom, texts
	}
}

// besideViews are the driver's views of columns, with one exposure.
type besideViews struct {
	prospects []*prospect // nil: there is no eye to see by
	exposure  exposure
}

// viewsBeside looks through all windscreens, and finds the exposure.
func viewsBeside(ctx context.Context, columns []Column) (*besideViews, error) {
	v := &besideViews{prospects: make([]*prospect, len(columns))}
	var all []*scenery.Luminances
	for i := range columns {
		if _, err := columns[i].eye(); err != nil {
			continue
		}
		p, err := columns[i].prospect(ctx)
		if err != nil {
			return nil, err
		}
		const width = 160 // px: enough for a mean
		seen, err := p.world.Through(ctx, p.window(draw.R(0, 0, width, math.Round(width*viewShape))))
		if err != nil {
			return nil, err
		}
		v.prospects[i], all = &p, append(all, seen)
	}
	v.exposure = exposureOf(all...)
	return v, nil
}

// none tells whether there is no view at all.
func (v *besideViews) none() bool {
	for _, p := range v.prospects {
		if p != nil {
			return false
		}
	}
	return true
}

// room is what the views take up below columns.
func (v *besideViews) room(columns func(draw.Rect) []draw.Rect) chart.Flow {
	return func(_ *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		if v.none() {
			return at.Y, nil
		}
		return at.Y + math.Round(columns(draw.R(at.X, at.Y, at.X+width, at.Y))[0].W()*viewShape), nil
	}
}

// draw paints each view in its column, with brackets about the farthest place where the first thing
// is seen, and returns their boxes.
func (v *besideViews) draw(ctx context.Context, c *draw.Canvas, columns []draw.Rect) (boxes []draw.Rect, err error) {
	if v.none() {
		return nil, nil
	}
	for i, room := range columns {
		box := draw.R(math.Round(room.X0), math.Round(room.Y0), math.Round(room.X0)+math.Floor(room.W()),
			math.Round(room.Y1))
		boxes = append(boxes, box)
		in := c.Inside(box)
		if p := v.prospects[i]; p != nil {
			seen, err := p.world.Through(ctx, p.window(box))
			if err != nil {
				return nil, err
			}
			expose(c, seen, v.exposure)
			if r, ok := p.world.Place(seen.Window, p.farthest()); p.seen() && ok {
				in.Lines(brackets(r.Inset(-c.U(5)), c.U(9)),
					draw.Pen{Colour: c.Theme.Sight, Width: 2.5}.Cased(c.Theme, 1))
			}
		} else {
			in.Write(box.Centre(), "no eye to see by",
				draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorX: 0.5, AnchorY: 0.5})
		}
		c.Outline(box.Corners(), draw.Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
	}
	return boxes, nil
}

// figureRows are the figures of columns by row.
func figureRows(columns []Column) ([]chart.FigureRow, error) {
	rows := make([]chart.FigureRow, len(columns[0].Figures))
	for i := range columns {
		if len(columns[i].Figures) != len(rows) {
			return nil, fmt.Errorf("column %d: %d figures where the first has %d: all need the same ones",
				i+1, len(columns[i].Figures), len(rows))
		}
		for k, f := range columns[i].Figures {
			if i == 0 {
				rows[k].Label = f[0]
			} else if f[0] != rows[k].Label {
				return nil, fmt.Errorf("column %d: figure %q where the first has %q: all need the same ones", i+1, f[0],
					rows[k].Label)
			}
			rows[k].Values = append(rows[k].Values, f[1])
		}
	}
	return rows, nil
}

// comparedTitles are the title of a comparison and those of its columns, each of which tells a
// column from the others.
func comparedTitles(columns []Column) (title string, titles []string) {
	title = [...]string{2: "Two compared", 3: "Three compared", 4: "Four compared"}[len(columns)]
	oneRig, oneScene := true, true
	for i := range columns {
		oneRig = oneRig && columns[i].Rig == columns[0].Rig
		oneScene = oneScene && columns[i].Name == columns[0].Name
	}
	if oneRig && columns[0].Rig != "" {
		title = columns[0].Rig
	}
	for i := range columns {
		k := &columns[i]
		switch {
		case k.Title != "":
			titles = append(titles, k.Title)
		case oneRig && k.Name != "":
			titles = append(titles, k.Name)
		case oneScene || k.Name == "":
			titles = append(titles, k.Rig)
		default:
			titles = append(titles, k.Rig+" · "+k.Name)
		}
	}
	return title, titles
}

// foldedHeadings are the titles of columns on as many lines as they need, up to a few.
func foldedHeadings(titles []string, columns func(draw.Rect) []draw.Rect) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		_, h := c.Measure("", draw.Heading)
		in := columns(draw.R(at.X, at.Y, at.X+width, at.Y))
		most, folded := 1, make([][]string, len(titles))
		for i, title := range titles {
			folded[i] = foldTitle(c, title, in[i].W())
			most = max(most, len(folded[i]))
		}
		bottom = at.Y + float64(most)*h
		for i, lines := range folded {
			for k, line := range lines {
				y := bottom - float64(len(lines)-k)*h // all end on one line
				t := c.Write(draw.Pt(in[i].X0, y), line, draw.Lettering{Role: draw.Heading})
				texts = append(texts, draw.R(t.X0, y, t.X1, y+h))
			}
		}
		return bottom, texts
	}
}

// foldTitle breaks a title into lines of a width (px). Of one that would need more than a few, the
// middle is left out: its two ends tell it from others.
func foldTitle(c *draw.Canvas, title string, width float64) []string {
	const most = 3
	letters := []rune(title)
	lines := foldWords(c, title, width)
	for n := len(letters) - 1; len(lines) > most && n > 2; n-- {
		head := (n + 1) / 2
		lines = foldWords(c, strings.TrimRight(string(letters[:head]), " ")+"…"+
			strings.TrimLeft(string(letters[len(letters)-n+head:]), " "), width)
	}
	return lines
}

// foldWords breaks a text between words, and words that are too long anywhere.
func foldWords(c *draw.Canvas, text string, width float64) (lines []string) {
	wide := func(s string) bool { w, _ := c.Measure(s, draw.Heading); return w > width }
	line := ""
	for _, word := range strings.Fields(text) {
		if longer := strings.TrimLeft(line+" "+word, " "); !wide(longer) {
			line = longer
			continue
		}
		switch {
		case line != "" && !wide(word):
			lines, line = append(lines, line), ""
		case line != "": // it is broken anyhow
			line += " "
		}
		for _, r := range word {
			if line != "" && wide(line+string(r)) {
				lines, line = append(lines, line), ""
			}
			line += string(r)
		}
	}
	return append(lines, line)
}

// sideBySide is how plans of one scale stand beside each other.
type sideBySide struct {
	n                    int
	left, bottom, height float64 // px: of the figures of the axes, and of all
	gap                  float64 // px: between them
}

func setBeside(c *draw.Canvas, n int, e geometry.Extent, unit units.Unit) sideBySide {
	b := sideBySide{n: n, gap: c.U(columnGap)}
	width := chart.PageArea(c).W()
	b.left, b.bottom = newPlan(draw.R(0, 0, width/float64(n), c.U(mostColumn)), e, true, unit).Frame.AxisRoom(c)
	column := b.columns(draw.Rect{X1: width})[0].W()
	b.height = b.bottom + min(max(column*(e.Ahead-e.Behind)/(e.Left-e.Right), c.U(leastColumn)), c.U(mostColumn))
	return b
}

// columns are the parts of a room that the plans have, without the figures of their axes.
func (b sideBySide) columns(room draw.Rect) []draw.Rect {
	return room.Trim(b.left, 0, 0, 0).Columns(b.n, b.gap)
}

// plans are the plans in a room, all of exactly one extent.
func (b sideBySide) plans(room draw.Rect, e geometry.Extent, unit units.Unit) (plans []Plan) {
	for i, column := range b.columns(room.Trim(0, 0, 0, b.bottom)) {
		p := newPlan(column, e, true, unit)
		p.Across.Title, p.Across.Outward = "from the centreline", sides
		if i > 0 {
			p.Across, p.Up = plans[0].Across, plans[0].Up
			p.Up.Shared = true
		}
		plans = append(plans, p)
	}
	return plans
}
