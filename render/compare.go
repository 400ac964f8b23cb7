package render

import (
	"context"
	"fmt"
	"math"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// Subjects side by side: the ground from above with ahead upward, all on one scale and one ramp,
// with figures under each. Figures that differ are set in bold, so that the difference is easy to
// say aloud.

// Column is one of the subjects that are compared.
type Column struct {
	Subject
	Title   string      // over the column; empty is what tells it from the others: rig, scene or both
	Figures [][2]string // label and value, the same labels in the same order for all
}

// CompareOptions are choices for a comparison. What is 0 is chosen by the light.
type CompareOptions struct {
	Title               string  // empty says what is compared
	Width               int     // px; 0 is UnitWidth
	Ahead, Behind, Side float64 // m from the bumper that are to be seen at least, Side to either side
}

// compareLayout is where things are on a comparison: the plan of each subject, and the boxes (px)
// of all texts.
type compareLayout struct {
	Plans  []Plan
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
	e := nowhere()
	for i := range columns {
		g, err := columns[i].ground(ctx)
		if err != nil {
			return nil, compareLayout{}, err
		}
		e = e.With(g)
	}
	e = TopOptions{Ahead: o.Ahead, Behind: o.Behind, Side: o.Side}.widen(withRoom(e))
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, compareLayout{}, err
	}
	r := page.Ruler
	unit := columns[0].Units.Axis()
	title, titles := comparedTitles(columns)
	if o.Title != "" {
		title = o.Title
	}
	table, err := figureRows(columns)
	if err != nil {
		return nil, compareLayout{}, err
	}
	page.Add(chart.Title(title, "light on the ground from above, all on one scale"), chart.PageGap)
	b := setBeside(r, len(columns), e, unit)
	page.Add(headings(titles, b.columns), 0)
	room := page.Add(chart.Space(b.height), 6)
	page.Add(chart.FigureRows(table, b.columns), chart.PageGap)
	page.Add(chart.LevelStrip(LightRamp(theme)), chart.PageGap)
	page.Add(chart.Paragraph("Bold: where they differ. Reach: how far ahead an upright thing "+
		columns[0].length(geometry.ObjectHeight)+" above the ground still gets so much light."), signsGap)
	c, labels, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, compareLayout{}, err
	}
	view := compareLayout{Plans: b.plans(room, e, unit), Labels: labels}
	for i, p := range view.Plans {
		s := columns[i].Subject
		isolux, err := drawLight(ctx, c, p, s.Scene)
		if err != nil {
			return nil, compareLayout{}, err
		}
		arcs := drawArcs(c, p)
		taken := []draw.Rect{drawVehicle(c, p, s)}
		write := func(boxes []draw.Rect) { taken, view.Labels = append(taken, boxes...), append(view.Labels, boxes...) }
		if i == 0 {
			bar := p.ScaleBarCorner(c, p.Box, taken)
			write([]draw.Rect{p.DrawScaleBar(c, draw.Pt(bar.X0, bar.Y1))})
		}
		write(drawReach(c, p, s, taken))
		write(writeArcs(c, p, arcs, taken, nil))
		write(isolux.WriteLevels(c, taken))
		p.DrawAxes(c)
	}
	return c, view, nil
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

// headings are the titles of columns.
func headings(titles []string, columns func(draw.Rect) []draw.Rect) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		_, h := c.Measure("", draw.Heading)
		for i, column := range columns(draw.R(at.X, at.Y, at.X+width, at.Y)) {
			t := c.Write(draw.Pt(column.X0, at.Y), titles[i], draw.Lettering{Role: draw.Heading, Max: column.W()})
			texts = append(texts, draw.R(t.X0, at.Y, t.X1, at.Y+h))
		}
		return at.Y + h, texts
	}
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

// drawReach marks on the centreline how far a scene reaches at each threshold: by an arc, or by
// words at the far edge of the plan where the reach ends beyond it. It returns the boxes of the
// texts.
func drawReach(c *draw.Canvas, p Plan, s Subject, avoid []draw.Rect) (texts []draw.Rect) {
	if len(s.Thresholds) == 0 {
		return nil
	}
	in := c.Inside(p.Box)
	profile := s.Scene.Centreline(s.Thresholds[0])
	edge := p.Box.Y0 + c.U(6)
	_, h := c.Measure("", draw.Small)
	l := draw.Lettering{Role: draw.Small, Colour: c.Theme.Accent, Backing: draw.Plate, AnchorX: 0.5,
		Max: p.Box.W() - c.U(20)}
	for k := len(s.Thresholds) - 1; k >= 0; k-- {
		reach := profile.Reach(s.Thresholds[k])
		if !(reach > 0) {
			continue
		}
		text := "reach at " + units.Figure(s.Thresholds[k]) + " lx: " + s.distance(reach)
		at := p.Pixel(reach, 0)
		y := at.Y - h - c.U(9)
		if y < edge {
			text = "↑ " + text
			y = edge
		} else {
			const half = 0.2 // rad
			in.Line(p.Arc(draw.Point{}, reach, math.Pi/2-half, math.Pi/2+half),
				draw.Pen{Colour: c.Theme.Accent, Width: 4}.Cased(c.Theme, 1.5))
		}
		box := draw.R(at.X, y, at.X, y+h+c.U(2*draw.PlatePadY))
		for (draw.R(p.Box.X0, box.Y0, p.Box.X1, box.Y1)).OverlapsAny(append(avoid, texts...)) {
			y += h / 4
			box.Y0, box.Y1 = y, y+h+c.U(2*draw.PlatePadY)
			if box.Y1 > p.Box.Y1 {
				break
			}
		}
		if box.Y1 > p.Box.Y1 {
			continue
		}
		texts = append(texts, c.Write(draw.Pt(at.X, y+c.U(draw.PlatePadY)), text, l))
	}
	return texts
}
