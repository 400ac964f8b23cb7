package render

import (
	"image/color"
	"math"

	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// The section: ground, vehicle and beams on the centreline, heights drawn larger than lengths.

// exaggerations of heights that a picture may have, the greatest that fits.
var exaggerations = []float64{0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50}

// heights is the axis up of a section with so many units to the metre across, and how many times as
// many it has up: ground, vehicle and lamps, room for labels below the ground, and some air.
func (s Subject) heights(perMetre float64, across chart.Axis) (up chart.Axis, exaggeration float64) {
	lo, hi := 0.0, 1.0
	for _, p := range s.groundLine(across) {
		lo, hi = min(lo, p.Y), max(hi, p.Y+0.3)
	}
	for i := range s.Scene.Lamps {
		hi = max(hi, s.Scene.Lamps[i].Place.Z)
	}
	for _, outline := range (profile{attitude: s.Scene.Site.Attitude}).boxes(s.Scene.Site.Body) {
		for _, q := range outline {
			hi = max(hi, q.Y)
		}
	}
	const soil, air = 0.26, 0.12 // shares of the frame
	exaggeration = exaggerations[0]
	for _, e := range exaggerations {
		if (hi-lo)*perMetre*e <= (1-soil-air)*sectionHeight {
			exaggeration = e
		}
	}
	total := sectionHeight / perMetre / exaggeration
	from := lo - soil*total // what is left over is air: it has the beams in it
	return chart.Axis{From: from, To: from + total, Unit: s.Units.Axis(),
		Title: "height, drawn ×" + units.Figure(exaggeration)}, exaggeration
}

// groundLine is the ground on the centreline over an axis, m ahead and m up.
func (s Subject) groundLine(across chart.Axis) []draw.Point {
	g := &s.Scene.Site.Ground
	line := []draw.Point{draw.Pt(across.From, g.Height(across.From, 0))}
	for _, k := range g.Profile {
		if k.Ahead > across.From && k.Ahead < across.To {
			line = append(line, draw.Pt(k.Ahead, g.Height(k.Ahead, 0)))
		}
	}
	return append(line, draw.Pt(across.To, g.Height(across.To, 0)))
}

// veil is a colour that lets a share of what is beneath it through.
func veil(c color.RGBA, share float64) color.RGBA {
	part := func(v uint8) uint8 { return uint8(math.Round(float64(v) * share)) }
	return color.RGBA{part(c.R), part(c.G), part(c.B), part(255)}
}

func drawSection(c *draw.Canvas, v *sideLayout, s Subject, a sideRange) {
	f := v.Section
	in := c.Inside(f.Box)
	in.Fill(c.Theme.Sky, f.Box.Corners())
	beams := make([]beamAside, len(s.Scene.Lamps))
	draw.Rows(len(beams), func(i int) { beams[i] = s.aside(i) })
	drawFans(in, f, beams)
	ground := s.groundLine(f.Across)
	soil := append(ground[:len(ground):len(ground)], draw.Pt(f.Across.To, f.Up.From-1),
		draw.Pt(f.Across.From, f.Up.From-1))
	in.Fill(c.Theme.Ground, f.Map(soil))
	shadeGaps(c, f, a.gaps)
	f.DrawGrid(c)
	in.Line(f.Map(ground), draw.Pen{Colour: c.Theme.VehicleEdge, Width: 3})
	taken := drawProfile(in, f, profile{attitude: s.Scene.Site.Attitude}, s, s.Scene.Lamps)
	if len(taken) == 0 { // lamps do not float
		for _, beam := range beams {
			foot := f.At(beam.from.X, s.Scene.Site.Ground.Height(beam.from.X, 0))
			in.Line([]draw.Point{f.At(beam.from.X, beam.from.Y), foot}, draw.Pen{Colour: c.Theme.VehicleEdge, Width: 2})
		}
	}
	for i, beam := range beams {
		if n := len(beam.fan); n > 0 {
			edges := [][]draw.Point{f.Map([]draw.Point{beam.from, beam.fan[0]}),
				f.Map([]draw.Point{beam.from, beam.fan[n-1]})}
			in.Lines(edges, draw.Pen{Colour: c.Theme.Muted, Width: 1.5, Dash: s.style(i).Dash})
		}
	}
	var low, high []chart.Tag // those whose place is the ground, and the others
	for i, beam := range beams {
		in.Line(f.Map([]draw.Point{beam.from, beam.end}),
			draw.Pen{Colour: c.Theme.Ink, Width: 3, Dash: s.style(i).Dash})
		if beam.onBody && beam.onLand { // where it would go without the body
			in.Line(f.Map([]draw.Point{beam.end, beam.hit}),
				draw.Pen{Colour: c.Theme.Muted, Width: 1, Dash: []float64{2, 6}})
		}
		if tag := s.sectionTag(f, i, beam); beam.onLand || beam.onBody {
			low = append(low, tag)
		} else {
			high = append(high, tag)
		}
	}
	for _, beam := range beams {
		in.Disc(f.At(beam.from.X, beam.from.Y), 4, c.Theme.Ink, draw.Pen{})
		if beam.onLand {
			fill := c.Theme.Ink
			if beam.onBody {
				fill = c.Theme.Background
			}
			in.Disc(f.At(beam.hit.X, beam.hit.Y), hitMark, fill, draw.Pen{Colour: c.Theme.Background, Width: 2})
		}
	}
	// Labels are best in the ground, where there is nothing else.
	layout := chart.Layout{Bounds: f.Box.Inset(c.U(4)), Taken: taken, Gap: c.U(5)}
	boxes, _ := layout.DrawTags(c, high, c.U(260))
	layout.Taken, layout.Avoid = append(layout.Taken, boxes...), s.skyOf(f)
	more, _ := layout.DrawTags(c, low, c.U(260))
	v.Labels = append(append(v.Labels, boxes...), more...)
	f.DrawAxes(c)
}

// drawFans veils the air that is between the half-peak edges of each beam.
func drawFans(c *draw.Canvas, f chart.Frame, beams []beamAside) {
	// Many veils of a colour would round to another one.
	grey := color.RGBA{c.Theme.Ink.G, c.Theme.Ink.G, c.Theme.Ink.G, 255}
	share := min(0.1, 0.35/float64(max(1, len(beams))))
	for _, beam := range beams {
		if len(beam.fan) > 0 {
			c.Fill(veil(grey, share), f.Map(append([]draw.Point{beam.from}, beam.fan...)))
		}
	}
}

// sectionTag is the tag of lamp i on a section: at its hit, or where its axis leaves the frame.
func (s Subject) sectionTag(f chart.Frame, i int, beam beamAside) chart.Tag {
	style := s.style(i)
	tag := chart.Tag{Key: &style, Priority: -i}
	from := f.At(beam.from.X, beam.from.Y)
	switch _, end, ok := f.Box.Cut(from, f.At(beam.end.X, beam.end.Y)); {
	case beam.onLand && f.Box.Has(f.At(beam.hit.X, beam.hit.Y)):
		tag.At, tag.Mark = f.At(beam.hit.X, beam.hit.Y), hitMark+1
	case beam.onLand:
		tag.At, tag.Text = end, s.hitDistance(i)+" →"
	case ok:
		tag.At, tag.Text = end, noHit
	default:
		tag.At, tag.Text = from, noHit
	}
	if beam.onBody {
		tag.Text = "on the body"
	}
	return tag
}

// skyOf is the part of a section that is above the ground, as columns.
func (s Subject) skyOf(f chart.Frame) (sky []draw.Rect) {
	const columns = 40
	b, ground := f.Box, &s.Scene.Site.Ground
	at := func(k int) float64 { return b.X0 + b.W()*float64(k)/columns }
	top := func(x float64) float64 { return f.Y(ground.Height(f.AcrossAt(x), 0)) }
	for k := range columns {
		if y := min(top(at(k)), top(at(k+1))); y > b.Y0 {
			sky = append(sky, draw.R(at(k), b.Y0, at(k+1), min(y, b.Y1)))
		}
	}
	return sky
}
