package render

import (
	"fmt"
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// Light along the track as curves, with thresholds, reaches and gaps.

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
		area := draw.R(f.X(g.From), f.Box.Y0, f.X(g.To), f.Box.Y1).Corners()
		shadeGap(in, area)
		in.Lines([][]draw.Point{{area[0], area[3]}, {area[1], area[2]}}, draw.Pen{Colour: c.Theme.Caution, Width: 1.5})
	}
}

func shadeGap(c *draw.Canvas, area []draw.Point) {
	c.Fill(veil(c.Theme.Caution, 0.16), area)
	c.Hatch(area, draw.Pen{Colour: c.Theme.Caution, Width: 1.5}, 14, math.Pi/4)
}

// shadeGapsOnGround hatches the dark stretches of a section, up to the height at which they are
// dark.
func (s Subject) shadeGapsOnGround(c *draw.Canvas, f chart.Frame, gaps []geometry.Stretch) {
	in := c.Inside(f.Box)
	for _, g := range gaps {
		ground := s.groundLine(chart.Axis{From: max(g.From, f.Across.From), To: min(g.To, f.Across.To)})
		area := f.Map(ground)
		for _, p := range slices.Backward(ground) {
			area = append(area, f.At(p.X, p.Y+geometry.ObjectHeight))
		}
		shadeGap(in, area)
		in.Outline(area, draw.Pen{Colour: c.Theme.Caution, Width: 1.5})
	}
}

// leastShown is the lower end (lx) of the light axis, unless a threshold asks for less.
const leastShown = 0.1

// lightAxis is the axis of light. It begins below the lowest threshold, and ends above the
// brightest place of the track so that labels have room there.
func (s Subject) lightAxis(across chart.Axis) chart.Axis {
	lo, hi := leastShown, 100.0
	for _, t := range s.Thresholds {
		lo, hi = min(lo, math.Pow(10, math.Floor(math.Log10(t/2)))), max(hi, 10*t)
	}
	const samples = 400
	for k := range samples + 1 {
		x := across.At(float64(k) / samples)
		hi = max(hi, s.groundAlong(x), s.facingAlong(max(0, x)))
	}
	hi = min(hi, 25e3) // closer to a lens there is more, and no use for it
	return chart.Axis{From: lo, To: math.Pow(10, math.Ceil(2*math.Log10(4*hi))/2), Log: true, Unit: units.Lux,
		Title: "light"}
}

// facingAlong is the facing light (lx) at the height of an object on the track, and groundAlong
// that on its ground, at a distance along it (m).
func (s Subject) facingAlong(along float64) float64 {
	x, y := s.Scene.Site.Track.Place(along, 0)
	return s.Scene.FacingLux(x, y, geometry.ObjectHeight)
}

func (s Subject) groundAlong(along float64) float64 {
	return s.Scene.GroundLux(s.Scene.Site.Track.Place(along, 0))
}

// curve is light along the track from a distance (m) to another, sampled once a unit.
func curve(c *draw.Canvas, f chart.Frame, from, to float64, lux func(x float64) float64) []draw.Point {
	from, to = max(f.Box.X0, f.X(from)), min(f.Box.X1, f.X(to))
	n := int(math.Ceil((to - from) / max(1, c.U(1))))
	if n < 1 {
		return nil
	}
	line := make([]draw.Point, n+1)
	draw.Rows(n+1, func(i int) {
		x := f.AcrossAt(from + (to-from)*float64(i)/float64(n))
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

// drawLight draws the light along the track as curves.
func (v *sideLayout) drawLight(c *draw.Canvas, s Subject, a sideRange, seen sightAlong) {
	f := v.Light
	in := c.Inside(f.Box)
	shadeGaps(c, f, a.gaps)
	seen.drawNods(c, f)
	seen.drawRange(c, f)
	f.DrawGrid(c)
	facing := curve(c, f, 0, f.Across.To, s.facingAlong)
	behind := curve(c, f, f.Across.From, -s.Scene.Site.Length, s.facingAlong)
	ground := curve(c, f, f.Across.From, f.Across.To, s.groundAlong)
	facingPen := draw.Pen{Colour: c.Theme.Accent, Width: 4}.Cased(c.Theme, 1.5)
	groundPen := draw.Pen{Colour: c.Theme.Ink, Width: 3, Dash: []float64{14, 7}}.Cased(c.Theme, 1.5)

	var lines [][]draw.Point
	for i, t := range s.Thresholds {
		lines = append(lines, []draw.Point{draw.Pt(f.Box.X0, f.Y(t)), draw.Pt(f.Box.X1, f.Y(t))})
		if x := f.X(a.reach[i]); x <= f.Box.X1 {
			lines = append(lines, []draw.Point{draw.Pt(x, f.Box.Y0), draw.Pt(x, f.Box.Y1)})
		}
	}
	in.Lines(lines, draw.Pen{Colour: c.Theme.Accent, Width: 1.5, Dash: []float64{4, 4}})
	in.Line(f.Map(ground), groundPen)
	in.Lines([][]draw.Point{f.Map(behind), f.Map(facing)}, facingPen)
	v.Labels = append(v.Labels, curveLabels(c, f, s, a, f.Map(facing))...)
	f.DrawAxes(c)

	h := over(c, f)
	h.line(facingPen, "facing light, "+s.length(geometry.ObjectHeight)+" up")
	h.line(groundPen, "on the ground")
	if len(a.gaps) > 0 {
		h.area(func(area []draw.Point) { shadeGap(c, area) }, fmt.Sprintf("dark: facing light below %d lx", darkBelow))
	}
	v.Labels = append(v.Labels, h.boxes...)
}
