package render

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The pattern on a wall, as one sees it from the driver's seat with the vehicle parked on level
// ground: what to expect there, and where to put tape for each lamp.

// WallOptions are choices for a picture of a wall.
type WallOptions struct {
	Width   int     // px; 0 is UnitWidth
	Ahead   float64 // distance of the wall from the bumper, m; 0 is UsualWall
	NoMarks bool    // the lamps are not set by it
}

// UsualWall is the distance (m) of the wall of an aiming screen: 25 ft (vehicle makers' service
// procedures; SAE J599, from memory).
const UsualWall = 7.62

// wallLayout is where things are on a picture of a wall: its frame, with metres to the left across
// and metres above the ground up, the boxes (px) of all crosses and of all texts, and the lines
// between them.
type wallLayout struct {
	Frame         chart.Frame
	Marks, Labels []draw.Rect
	Leaders       []wallLeader
}

// wallMark is where the axis of a lamp meets the wall.
type wallMark struct {
	lamp int
	at   draw.Point // m to the left, m up
}

// The height of the wall on the picture, and of the strip of ground below it, units.
const (
	leastWall, mostWall = 560, 960
	groundStrip         = 22
)

// Wall draws the light of a subject, parked, on a wall that stands square to the vehicle:
// vertical-plane illuminance in bands and isolux lines, and the tape marks of the lamps with their
// measures. It stops early, with the context's error, when the context ends.
func Wall(ctx context.Context, s Subject, theme draw.Theme, o WallOptions) (*draw.Canvas, error) {
	c, _, err := drawWall(ctx, s, theme, o)
	return c, err
}

func drawWall(ctx context.Context, s Subject, theme draw.Theme, o WallOptions) (*draw.Canvas, wallLayout, error) {
	if o.Ahead == 0 {
		o.Ahead = UsualWall
	}
	if !(o.Ahead > 0) {
		return nil, wallLayout{}, fmt.Errorf("wall %g m ahead of the bumper: it must stand ahead of it", o.Ahead)
	}
	marks, without := s.wallMarks(o.Ahead)
	if o.NoMarks {
		marks, without = nil, ""
	}
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, wallLayout{}, err
	}
	r := page.Ruler
	m := wallMarginsOf(r, s, marks)
	f, err := wallFrame(ctx, r, s, o.Ahead, marks, page.Width()-m.room(r, 0)-m.room(r, 1), m.height(r))
	if err != nil {
		return nil, wallLayout{}, err
	}
	page.Add(chart.Title(s.Rig, s.parkedDetails("pattern on a wall "+s.length(o.Ahead)+" ahead of the bumper")),
		chart.PageGap)
	left, bottom := f.AxisRoom(r)
	all := page.Add(chart.Space(f.Box.H()+bottom), chart.PageGap)
	x := all.X0 + m.room(r, 0) + left
	f.Box = draw.R(x, all.Y0, x+f.Box.W(), all.Y0+f.Box.H())
	page.Add(chart.LevelStrip(LightRamp(theme).Of("facing light on the wall")), chart.PageGap)
	outlines := outlinesOnWall(s, o.Ahead)
	styles, outlined := drawOutlines(r, f, s, o.Ahead, outlines) // on the ruler, to know them
	if signs := s.wallSigns(marks, o.Ahead, outlined) + without; signs != "" {
		page.Add(chart.Paragraph(signs), signsGap)
	}
	var key []chart.KeyEntry
	for i := range s.Parked.Lamps {
		key = append(key, chart.KeyEntry{Style: styles[i], Name: s.Parked.Lamps[i].Lamp.Name})
	}
	if len(key) > 0 {
		page.Add(chart.Key(key, moreLamps), chart.PageGap)
	}
	c, labels, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, wallLayout{}, err
	}
	view := wallLayout{Frame: f, Labels: labels}

	lux := wallLight(ctx, s, o.Ahead, f, fieldStep(c, len(s.Parked.Lamps)))
	if err := ctx.Err(); err != nil {
		return nil, wallLayout{}, err
	}
	f.DrawBands(c, lux, LightRamp(theme))
	isolux := f.DrawIsolines(c, lux, LightRamp(theme)).Gradual(c, lux)
	in := c.Inside(f.Box)
	left0, right0 := f.At(f.Across.From, 0), f.At(f.Across.To, 0)
	in.Fill(theme.Ground, []draw.Point{left0, right0, draw.Pt(right0.X, f.Box.Y1), draw.Pt(left0.X, f.Box.Y1)})
	in.Line([]draw.Point{left0, right0}, draw.Pen{Colour: theme.Ink, Width: 3})
	centreline := draw.Pen{Colour: theme.Muted, Width: 1.5, Dash: []float64{24, 6, 4, 6}}.Cased(theme, 0.8)
	in.Line(f.Map([]draw.Point{draw.Pt(0, f.Up.From), draw.Pt(0, f.Up.To)}), centreline)
	above := draw.R(f.Box.X0, f.Box.Y0, f.Box.X1, f.Y(0))
	drawLampHeights(c, f, s, marks)
	drawOutlines(c, f, s, o.Ahead, outlines)
	texts, crosses, leaders := drawWallMarks(c, f, s, m, [2]draw.Rect{
		draw.R(all.X0, f.Box.Y0, f.Box.X0-left, f.Box.Y1), draw.R(f.Box.X1, f.Box.Y0, all.X1, f.Box.Y1),
	})
	view.Labels, view.Marks, view.Leaders = append(view.Labels, texts...), crosses, leaders
	taken := slices.Clone(crosses)
	var lines []draw.Rect
	for _, l := range leaders {
		lines = append(lines, beads(l.line, c.U(8))...)
	}
	write := func(boxes ...draw.Rect) { taken, view.Labels = append(taken, boxes...), append(view.Labels, boxes...) }
	write(nameUp(in, f, append(lines, taken...)))
	bar := f.ScaleBarCorner(c, above, append(lines, taken...))
	write(f.DrawScaleBar(c, draw.Pt(bar.X0, bar.Y1)))
	write(writeLampHeights(c, f, s, marks, taken, lines)...)
	write(isolux.WriteLevels(c, append(lines, taken...))...)
	f.DrawAxes(c)
	return c, view, nil
}

// nameUp writes what the axis up is in an upper corner of a frame, the first that is free, and
// returns the box of that.
func nameUp(c *draw.Canvas, f chart.Frame, taken []draw.Rect) draw.Rect {
	text, l := "↑ above the ground, "+f.Up.Unit.Name, draw.Lettering{Role: draw.Small, Backing: draw.Halo}
	in := f.Box.Inset(c.U(8))
	at := draw.Pt(in.X0, in.Y0-c.U(4))
	w, h := c.Measure(text, draw.Small)
	if (draw.R(at.X, at.Y, at.X+w, at.Y+h)).OverlapsAny(taken) {
		at.X, l.AnchorX = in.X1, 1
	}
	return c.Write(at, text, l)
}

// wallMarks are the marks of the lamps, and words about the lamps that have none.
func (s Subject) wallMarks(wall float64) (marks []wallMark, without string) {
	var away, ground []int
	for i := range s.Parked.Lamps {
		l := &s.Parked.Lamps[i]
		switch p, ok := l.Lamp.WallMark(wall); {
		case ok:
			marks = append(marks, wallMark{i, draw.Pt(p.Y, p.Z)})
		case p.Z < 0:
			ground = append(ground, s.key(i))
		default:
			away = append(away, s.key(i))
		}
	}
	var parts []string
	if len(away) > 0 {
		parts = append(parts, numbered("lamp", away)+" (aimed away)")
	}
	if len(ground) > 0 {
		parts = append(parts, numbered("lamp", ground)+" (on the ground before it)")
	}
	if len(parts) > 0 {
		without = "No mark on the wall: " + strings.Join(parts, ", ") + "."
	}
	return marks, without
}

// wallSigns says what to do with the marks.
func (s Subject) wallSigns(marks []wallMark, wall float64, outlined bool) string {
	if len(marks) == 0 {
		return ""
	}
	signs := "Cross: where the middle of the beam belongs. " +
		"Put tape there, light that lamp alone, and tilt it until its brightest spot is on it. "
	if outlined {
		signs += "Line around it: half of that lamp's peak. "
	}
	var off []int
	for _, m := range marks {
		if s.brightestOff(m, wall) > offMark {
			off = append(off, s.key(m.lamp))
		}
	}
	switch {
	case len(off) == 1:
		signs += "Set " + numbered("lamp", off) + " by the tilt meter: its brightest spot is not on its cross. "
	case len(off) > 1:
		signs += "Set " + numbered("lamp", off) + " by the tilt meter: their brightest spots are not on their crosses. "
	}
	return signs
}

// offMark is the greatest angle (rad) between the brightest spot of a lamp and its mark with which
// the lamp can be set by that spot: a degree, twice the accuracy to which a bracket is usually set
// (common practice, no source).
const offMark = math.Pi / 180

// brightestOff is the angle (rad), as seen from a lamp, between its mark and its brightest spot on
// a wall. The place square ahead of the lamp is nearer, and light falls on it more steeply. So the
// brightest spot of a wide beam lies on the line from the mark to that place, and is looked for
// there.
func (s Subject) brightestOff(m wallMark, wall float64) float64 {
	const steps = 200
	l := &s.Parked.Lamps[m.lamp]
	one := s.Parked.Only(m.lamp)
	mark := r3.Vec{X: wall, Y: m.at.X, Z: m.at.Y}
	square := r3.Vec{X: wall, Y: l.Lamp.At.Y, Z: l.Lamp.At.Z}
	best, most := mark, 0.0
	for k := range steps + 1 {
		p := r3.Add(mark, r3.Scale(float64(k)/steps, r3.Sub(square, mark)))
		if lux := one.Lux(p, r3.Vec{X: -1}); lux > most {
			best, most = p, lux
		}
	}
	cos := r3.Cos(r3.Sub(mark, l.Lamp.At), r3.Sub(best, l.Lamp.At))
	return math.Acos(min(1, cos))
}

// parkedDetails is the line below a title of a picture of the vehicle as parked.
func (s Subject) parkedDetails(what string) string {
	what += " · parked on level ground"
	if s.Name != "" {
		what = "scene " + s.Name + " · " + what
	}
	return what
}

// wallLight is the illuminance (lx) on the wall over a frame. Below the ground it is that at the
// foot of the wall.
func wallLight(ctx context.Context, s Subject, wall float64, f chart.Frame, step float64) *chart.Grid {
	return chart.SampleRows(f, step, func(dst [][]float64, xs, zs []float64) {
		if ctx.Err() != nil {
			return
		}
		rows := make([]geometry.Row, len(zs))
		for i, z := range zs {
			rows[i] = geometry.Row{
				Start: r3.Vec{X: wall, Y: xs[0], Z: max(z, 0)}, Normal: r3.Vec{X: -1},
				Step: r3.Vec{Y: (xs[len(xs)-1] - xs[0]) / float64(len(xs)-1)},
			}
		}
		s.Parked.AddRows(dst, rows)
	})
}

// wallFrame is the frame of a wall that fits a width (px) with its axes. It holds the marks, the
// heights of their lamps and the brighter part of the light, unless they are too far out, and is at
// least so high (px), up to a limit.
func wallFrame(ctx context.Context, c *draw.Canvas, s Subject, wall float64, marks []wallMark,
	width, least float64) (chart.Frame, error) {
	far := 1.2*wall + 1 // m to the side; marks farther out are at the edge
	high := 0.8*wall + 1
	half, top := max(0.4*wall, s.Vehicle.Width/2+0.5), 1.5
	for i := range s.Parked.Lamps {
		high = max(high, s.Parked.Lamps[i].Lamp.At.Z+0.5)
	}
	for _, m := range marks {
		half = max(half, min(far, math.Abs(m.at.X)+0.5))
		top = max(top, min(high, m.at.Y+0.5), min(high, s.Parked.Lamps[m.lamp].Lamp.At.Z+0.3))
	}
	look := wallLight(ctx, s, wall, chart.Frame{Box: draw.R(0, 0, 160, 80), Across: chart.Axis{From: far, To: -far},
		Up: chart.Axis{From: 0, To: high}}, 1)
	if err := ctx.Err(); err != nil {
		return chart.Frame{}, err
	}
	brightest := 0.0
	for _, v := range look.Values {
		brightest = max(brightest, v)
	}
	for k, v := range look.Values {
		if brightest > 0 && v >= brightest/10 {
			half = max(half, math.Abs(look.X0+float64(k%look.NX)*look.DX))
			top = max(top, look.Y0+float64(k/look.NX)*look.DY)
		}
	}

	f := chart.Frame{
		Box:    draw.R(0, 0, width, c.U(leastWall)),
		Across: chart.Axis{From: half, To: -half, Unit: s.Units.Axis(), Title: "from the centreline", Outward: sides},
		Up:     chart.Axis{From: 0, To: top, Unit: s.Units.Axis()},
	}
	left, _ := f.AxisRoom(c)
	f.Box.X1 -= left
	strip := c.U(groundStrip)
	height := min(max(top*f.PerMetre()+strip, c.U(leastWall), least), c.U(mostWall))
	k := min(f.PerMetre(), (height-strip)/top)
	half = f.Box.W() / k / 2
	f.Across.From, f.Across.To = half, -half
	f.Up.From, f.Up.To = -strip/k, (height-strip)/k
	f.Box.Y1 = height
	return f, nil
}
