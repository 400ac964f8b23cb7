package render

import (
	"fmt"
	"math"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// Light along the centreline as curves, with thresholds, reaches and gaps.

// namedGap is the least length (m) of a gap that gets a label.
const namedGap = 0.5

// stretch says where a dark gap is.
func (s Subject) stretch(g geometry.Stretch) string {
	if g.From == 0 {
		return "dark to " + s.distance(g.To)
	}
	return "dark " + s.distance(g.From) + " to " + s.distance(g.To)
}

// shadeGaps hatches the dark stretches of a frame from top to bottom.
func shadeGaps(c *draw.Canvas, f chart.Frame, gaps []geometry.Stretch) {
	in := c.Inside(f.Box)
	for _, g := range gaps {
		x0, x1 := f.X(g.From), f.X(g.To)
		area := draw.R(x0, f.Box.Y0, x1, f.Box.Y1).Corners()
		in.Fill(veil(c.Theme.Caution, 0.16), area)
		in.Hatch(area, draw.Pen{Colour: c.Theme.Caution, Width: 1.5}, 14, math.Pi/4)
		in.Lines([][]draw.Point{{area[0], area[3]}, {area[1], area[2]}}, draw.Pen{Colour: c.Theme.Caution, Width: 1.5})
	}
}

// leastShown is the lower end (lx) of the light axis, unless a threshold asks for less.
const leastShown = 0.1

// lightAxis is the axis of light. It begins below the lowest threshold, and ends above the
// brightest place of the centreline so that labels have room there.
func (s Subject) lightAxis(across chart.Axis) chart.Axis {
	lo, hi := leastShown, 100.0
	for _, t := range s.Thresholds {
		lo, hi = min(lo, math.Pow(10, math.Floor(math.Log10(t/2)))), max(hi, 10*t)
	}
	const samples = 400
	for k := range samples + 1 {
		x := across.At(float64(k) / samples)
		hi = max(hi, s.Scene.GroundLux(x, 0), s.Scene.FacingLux(max(0, x), 0, geometry.ObjectHeight))
	}
	hi = min(hi, 25e3) // closer to a lens there is more, and no use for it
	return chart.Axis{From: lo, To: math.Pow(10, math.Ceil(2*math.Log10(4*hi))/2), Log: true, Unit: units.Lux,
		Title: "light"}
}

// curve is light along the centreline from a distance (m) on, sampled once a unit.
func curve(c *draw.Canvas, f chart.Frame, from float64, lux func(x float64) float64) []draw.Point {
	from = max(f.Box.X0, f.X(from))
	n := int(math.Ceil((f.Box.X1 - from) / max(1, c.U(1))))
	if n < 1 {
		return nil
	}
	line := make([]draw.Point, n+1)
	draw.Rows(n+1, func(i int) {
		x := f.AcrossAt(from + (f.Box.X1-from)*float64(i)/float64(n))
		line[i] = draw.Pt(x, lux(x))
	})
	return line
}

// curveLabels writes how far each threshold reaches, and where the gaps are.
func curveLabels(c *draw.Canvas, f chart.Frame, s Subject, a sideRange, facing []draw.Point) []draw.Rect {
	in := c.Inside(f.Box)
	var texts []string
	var labels []chart.Label
	add := func(text string, label chart.Label) chart.Size {
		w, h := c.Measure(text, draw.Small)
		size := chart.Size{W: w + c.U(2*draw.PlatePadX), H: h + c.U(2)}
		label.Forms, label.Priority = []chart.Size{size}, -len(labels)
		texts, labels = append(texts, text), append(labels, label)
		return size
	}
	for i, t := range s.Thresholds {
		switch r := a.reach[i]; {
		case r <= f.Across.To:
			in.Disc(f.At(r, t), 7, c.Theme.Accent, draw.Pen{Colour: c.Theme.Background, Width: 2})
			add(units.Figure(t)+" lx to "+s.distance(r), chart.Label{Anchor: f.At(r, t), Mark: c.U(8)})
		default: // on its line, at the end
			text := units.Figure(t) + " lx nowhere ahead"
			if r == r {
				text = units.Figure(t) + " lx to " + s.distance(r) + " →"
			}
			size := add(text, chart.Label{On: true})
			labels[len(labels)-1].Anchor = draw.Pt(f.Box.X1-c.U(8)-size.W/2, f.Y(t))
		}
	}
	for _, g := range a.gaps {
		x0, x1 := f.X(g.From), min(f.X(g.To), f.Box.X1)
		if x0 >= x1 || g.To-g.From < namedGap {
			continue
		}
		size := add(s.stretch(g), chart.Label{})
		label := &labels[len(labels)-1]
		label.Anchor = draw.Pt((x0+x1)/2, f.Box.Y0+size.H/2+c.U(8))
		if label.On = x1-x0 > size.W; !label.On {
			label.Mark = (x1 - x0) / 2
		}
	}
	var curve []draw.Rect
	for i := 8; i < len(facing); i += 8 {
		curve = append(curve, draw.BoundsOf(facing[i-8:i+1]))
	}
	placed, _ := chart.Layout{Bounds: f.Box.Inset(c.U(6)), Avoid: curve, Gap: c.U(2)}.Place(labels)
	var boxes []draw.Rect
	for i, p := range placed {
		if p.Form < 0 {
			continue
		}
		if p.Leader {
			in.Line([]draw.Point{p.From, p.To}, draw.Pen{Colour: c.Theme.Ink, Width: 1.5})
		}
		c.Box(p.Box, 5, c.Theme.Plate, draw.Pen{Colour: c.Theme.PlateEdge, Width: 1})
		c.Write(p.Box.Centre(), texts[i], draw.Lettering{Role: draw.Small, AnchorX: 0.5, AnchorY: 0.5})
		boxes = append(boxes, p.Box)
	}
	return boxes
}

func drawCurves(c *draw.Canvas, v *sideLayout, s Subject, a sideRange) {
	f := v.Light
	in := c.Inside(f.Box)
	shadeGaps(c, f, a.gaps)
	f.DrawGrid(c)
	facing := curve(c, f, 0, func(x float64) float64 { return s.Scene.FacingLux(x, 0, geometry.ObjectHeight) })
	ground := curve(c, f, f.Across.From, func(x float64) float64 { return s.Scene.GroundLux(x, 0) })
	facingPen := draw.Pen{Colour: c.Theme.Accent, Width: 4}.Cased(c.Theme, 1.5)
	groundPen := draw.Pen{Colour: c.Theme.Ink, Width: 3, Dash: []float64{14, 7}}.Cased(c.Theme, 1.5)

	for i, t := range s.Thresholds {
		lines := [][]draw.Point{{draw.Pt(f.Box.X0, f.Y(t)), draw.Pt(f.Box.X1, f.Y(t))}}
		if x := f.X(a.reach[i]); x <= f.Box.X1 {
			lines = append(lines, []draw.Point{draw.Pt(x, f.Box.Y0), draw.Pt(x, f.Box.Y1)},
				[]draw.Point{draw.Pt(x, v.Section.Box.Y0), draw.Pt(x, v.Section.Box.Y1)})
		}
		c.Lines(lines, draw.Pen{Colour: c.Theme.Accent, Width: 1.5, Dash: []float64{4, 4}})
	}
	in.Line(f.Map(ground), groundPen)
	in.Line(f.Map(facing), facingPen)
	v.Labels = append(v.Labels, curveLabels(c, f, s, a, f.Map(facing))...)
	f.DrawAxes(c)

	// What the curves are, on a line of its own between the frames.
	_, h := c.Measure("", draw.Small)
	x, y := f.Box.X0, f.Box.Y0-h/2-c.U(10)
	sample := func(pen draw.Pen, text string) {
		if pen.Width > 0 {
			c.Line([]draw.Point{draw.Pt(x, y), draw.Pt(x+c.U(64), y)}, pen)
		}
		r := c.Write(draw.Pt(x+c.U(74), y), text, draw.Lettering{Role: draw.Small, AnchorY: 0.5})
		v.Labels = append(v.Labels, r)
		x = r.X1 + c.U(36)
	}
	sample(facingPen, "facing light, "+s.length(geometry.ObjectHeight)+" up")
	sample(groundPen, "on the ground")
	if len(a.gaps) > 0 {
		swatch := draw.R(x, y-h/2, x+c.U(64), y+h/2)
		area := swatch.Corners()
		c.Fill(veil(c.Theme.Caution, 0.16), area)
		c.Hatch(area, draw.Pen{Colour: c.Theme.Caution, Width: 1.5}, 14, math.Pi/4)
		sample(draw.Pen{}, fmt.Sprintf("dark: facing light below %d lx", darkBelow))
	}
}
