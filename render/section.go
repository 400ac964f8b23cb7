package render

import (
	"image/color"
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// The upright section along the track: the air in the bands of the light that falls on what stands
// there and faces the vehicle, the ground, and the axes of the lamps that lie in the section.

// airLight is the facing light (lx) over all of a section, at about as many points as a map has.
func (s Subject) airLight(c *draw.Canvas, f chart.Frame) *chart.Grid {
	step := fieldStep(c, len(s.Scene.Lamps))
	nx, ny := max(2, 1+int(math.Ceil(f.Box.W()/step))), max(2, 1+int(math.Ceil(f.Box.H()/step)))
	g := &chart.Grid{
		NX: nx, NY: ny, X0: f.Across.From, DX: (f.Across.To - f.Across.From) / float64(nx-1),
		Y0: f.Up.From, DY: (f.Up.To - f.Up.From) / float64(ny-1), Values: make([]float64, nx*ny),
	}
	site := s.Scene.Site
	const batch = 64 // columns that are lit together
	draw.Rows((nx+batch-1)/batch, func(b int) {
		var columns []geometry.Row
		var lux [][]float64
		for i := b * batch; i < min((b+1)*batch, nx); i++ {
			x, y := site.Track.Place(g.X0+float64(i)*g.DX, 0)
			lux, columns = append(lux, make([]float64, ny)), append(columns, geometry.Row{
				Start: r3.Vec{X: x, Y: y, Z: g.Y0}, Step: r3.Vec{Z: g.DY}, Normal: site.Facing(x, y),
			})
		}
		s.Scene.AddRows(lux, columns)
		for i, column := range lux {
			for j, e := range column {
				g.Values[j*nx+b*batch+i] = e
			}
		}
	})
	return g
}

// drawSection paints a section and the ground below it, and returns those parts of the isolux
// lines that a level can be written on.
func (s Subject) drawSection(c *draw.Canvas, f chart.Frame) chart.Isolines {
	in, ramp := c.Inside(f.Box), LightRamp(c.Theme)
	air := s.airLight(c, f)
	f.DrawBands(c, air, ramp)
	isolux := f.DrawIsolines(c, air, ramp).Gradual(c, air)
	ground := s.groundLine(f.Across)
	soil := append(ground[:len(ground):len(ground)], draw.Pt(f.Across.To, f.Up.From-1),
		draw.Pt(f.Across.From, f.Up.From-1))
	in.Fill(c.Theme.Ground, f.Map(soil))
	in.Line(f.Map(ground), draw.Pen{Colour: c.Theme.VehicleEdge, Width: 3})
	return isolux
}

// drawNear draws the near section: with the vehicle, and the axes of lamps.
func (v *sideLayout) drawNear(c *draw.Canvas, s Subject) {
	f := v.Near
	in := c.Inside(f.Box)
	isolux := s.drawSection(c, f)
	axes := s.axes()
	taken := drawProfile(in, f, profile{attitude: s.Scene.Site.Attitude}, s, s.Scene.Lamps)
	if len(taken) == 0 { // lamps do not float
		for _, a := range axes {
			foot := f.At(a.from.X, s.Scene.Site.Ground.Height(a.from.X, 0))
			in.Line([]draw.Point{f.At(a.from.X, a.from.Y), foot}, draw.Pen{Colour: c.Theme.VehicleEdge, Width: 2})
		}
	}
	low, high := v.drawAxes(in, f, s, axes)
	layout := chart.Layout{Bounds: f.Box.Inset(c.U(4)), Taken: taken, Gap: c.U(5)}
	hits := layout
	hits.Avoid = s.columns(f, false)
	hits.Taken = slices.Clone(taken)
	for _, tag := range low {
		hits.Taken = append(hits.Taken, draw.Around(tag.At, c.U(3*hitMark), c.U(3*hitMark)))
	}
	boxes, _ := hits.DrawTags(c, high, c.U(260))
	layout.Taken, layout.Avoid = append(layout.Taken, boxes...), s.columns(f, true)
	more, _ := layout.DrawTags(c, low, c.U(260)) // in the ground, where there is nothing else
	boxes = append(boxes, more...)
	levels := isolux.WriteLevels(c, slices.Concat(hits.Taken, boxes, s.columns(f, false)))
	v.Labels = slices.Concat(v.Labels, boxes, levels)
	f.DrawAxes(c)
	h := over(c, f)
	h.text("near, true to scale; colour: facing light, on what stands there")
	var away []int
	for i, a := range axes {
		if !a.inPlane {
			away = append(away, s.key(i))
		}
	}
	if len(away) > 0 {
		c.Disc(draw.Pt(h.at.X-c.U(14), h.at.Y), lampMark, c.Theme.Background, draw.Pen{Colour: c.Theme.Ink, Width: 2})
		h.text("turned away: " + chart.Numbers(away))
	}
	v.Labels = append(v.Labels, h.boxes...)
}

// lampMark is the radius of the spot where a lamp is, units.
const lampMark = 4.5

// drawAxes draws the axes of the lamps that lie in a section, and returns their tags: of those
// whose place is the ground or the body, and of the others.
func (v *sideLayout) drawAxes(c *draw.Canvas, f chart.Frame, s Subject, axes []axisAside) (low, high []chart.Tag) {
	leaving := map[int]int{} // of the lines that leave the frame, their numbers
	for i, a := range axes {
		if !a.inPlane {
			continue
		}
		if a.line == i {
			c.Line(f.Map([]draw.Point{a.from, a.end}), s.style(i).Pen(c.Theme, 3))
			leaving[i] = len(leaving)
		}
		tag := s.axisTag(f, i, a, leaving[a.line])
		if a.onBody || tag.Mark > 0 {
			low = append(low, tag)
		} else {
			high = append(high, tag)
		}
	}
	for _, fill := range []color.RGBA{c.Theme.Background, c.Theme.Ink} {
		for _, a := range axes {
			if a.inPlane == (fill == c.Theme.Ink) {
				c.Disc(f.At(a.from.X, a.from.Y), lampMark, fill, draw.Pen{Colour: c.Theme.Ink, Width: 2})
			}
		}
	}
	for _, a := range axes {
		if a.inPlane && a.onLand && !a.onBody {
			c.Disc(f.At(a.hit.X, a.hit.Y), hitMark, c.Theme.Ink, draw.Pen{Colour: c.Theme.Background, Width: 2})
		}
	}
	return low, high
}

// axisTag is the tag of lamp i on a section: at its hit, or near where its axis leaves the frame;
// the tags of several such axes one behind the other.
func (s Subject) axisTag(f chart.Frame, i int, a axisAside, number int) chart.Tag {
	style := s.style(i)
	tag := chart.Tag{Key: &style, Priority: -i}
	hit := f.At(a.hit.X, a.hit.Y)
	from, end, _ := f.Box.Cut(f.At(a.from.X, a.from.Y), f.At(a.end.X, a.end.Y))
	const last, step, most = 0.96, 0.15, 5
	tag.At = r2.Add(from, r2.Scale(last-step*float64(number%most), r2.Sub(end, from)))
	switch {
	case a.onBody:
		tag.At, tag.Text = f.At(a.end.X, a.end.Y), "on the body"
	case a.onLand && f.Box.Has(hit):
		tag.At, tag.Mark = hit, hitMark+1
	case a.onLand:
		tag.Text = s.hitPlace(i) + " →"
	case !a.bentOff:
		tag.Text = noHit
	}
	return tag
}

// columns are the part of a section that is above the ground, or that below it: one column over
// each level stretch, several over others.
func (s Subject) columns(f chart.Frame, above bool) (part []draw.Rect) {
	const columns = 40
	b, site := f.Box, s.Scene.Site
	at := func(k int) float64 { return b.X0 + b.W()*float64(k)/columns }
	top := func(x float64) float64 {
		return max(b.Y0, min(b.Y1, f.Y(site.Ground.Height(site.Track.Place(f.AcrossAt(x), 0)))))
	}
	for k := range columns {
		y := min(top(at(k)), top(at(k+1)))
		column := draw.R(at(k), y, at(k+1), b.Y1)
		if above {
			column.Y0, column.Y1 = b.Y0, y
		}
		if n := len(part); n > 0 && part[n-1].Y0 == column.Y0 && part[n-1].Y1 == column.Y1 {
			part[n-1].X1 = column.X1
		} else {
			part = append(part, column)
		}
	}
	return part
}

// drawFar draws the far section: the things where they are just seen, and what axes hit beyond the
// near one.
func (v *sideLayout) drawFar(c *draw.Canvas, s Subject, seen sightAlong, exaggeration float64) {
	f := v.Far
	in := c.Inside(f.Box)
	isolux := s.drawSection(c, f)
	s.shadeGapsOnGround(c, f, v.Gaps)
	if f.Across.From < 0 {
		place := draw.R(f.X(-s.Vehicle.Length), f.Y(geometry.ObjectHeight), f.X(0), f.Y(0)).Corners()
		in.Fill(c.Theme.Vehicle, place)
		in.Outline(place, draw.Pen{Colour: c.Theme.VehicleEdge, Width: 1.5})
	}
	seen.drawRange(c, f)
	tags, taken := v.drawThings(in, s)
	layout := chart.Layout{Bounds: f.Box.Inset(c.U(4)), Taken: taken, Gap: c.U(5)}
	var marks []draw.Rect
	for i, a := range s.axes() {
		hit := f.At(a.hit.X, a.hit.Y)
		if !a.inPlane || !a.onLand || a.onBody || a.hit.X <= v.Near.Across.To || !f.Box.Has(hit) {
			continue
		}
		in.Disc(hit, hitMark, c.Theme.Ink, draw.Pen{Colour: c.Theme.Background, Width: 2})
		style := s.style(i)
		marks = append(marks, draw.Around(hit, c.U(3*hitMark), c.U(3*hitMark)))
		tags = append(tags, chart.Tag{Key: &style, Priority: -100 - i, At: hit, Mark: hitMark + 1})
	}
	boxes, _ := layout.DrawTags(c, tags, c.U(300))
	levels := isolux.WriteLevels(c, slices.Concat(taken, marks, boxes, s.columns(f, false)))
	v.Labels = slices.Concat(v.Labels, boxes, levels)
	f.DrawAxes(c)
	h := over(c, f)
	h.text("far, heights ×" + units.Figure(exaggeration))
	if len(taken) > 0 {
		h.area(func(area []draw.Point) {
			in := draw.BoundsOf(area)
			drawSign(c, draw.Around(in.Centre(), c.U(leastThing), in.H()))
		}, "a thing at its height, where it is just seen")
	}
	if seen.view != nil && seen.view.TooDense() {
		h.text("no range of sight in air this dense")
	}
	v.Labels = append(v.Labels, h.boxes...)
}

// drawThings draws the things on the far section, and returns their tags and the boxes that they
// take up.
func (v *sideLayout) drawThings(c *draw.Canvas, s Subject) (tags []chart.Tag, taken []draw.Rect) {
	f, site := v.Far, s.Scene.Site
	for i := len(v.Things) - 1; i >= 0; i-- {
		t := v.Things[i]
		if math.IsNaN(t.Range) {
			continue
		}
		z := site.Ground.Height(site.Track.Place(t.Range, 0))
		text := t.Name + " " + s.distance(t.Range)
		if t.Range > f.Across.To {
			tags = append(tags, chart.Tag{At: draw.Pt(f.Box.X1, f.Y(z+t.Height/2)), Text: text + " →", Priority: -i})
			continue
		}
		foot, wide, high := f.At(t.Range, z), max(c.U(leastThing), t.Width*f.PerMetre()), f.Y(z)-f.Y(z+t.Height)
		box := draw.R(foot.X-wide/2, foot.Y-high, foot.X+wide/2, foot.Y)
		if t.Lies {
			box = draw.Around(foot, c.U(2.5*leastThing), c.U(leastThing))
		}
		drawSign(c, box)
		taken = append(taken, box)
		tags = append(tags, chart.Tag{At: draw.Pt(foot.X, box.Y0), Text: text, Mark: leastThing, Priority: -i})
	}
	return tags, taken
}

// leastThing is the least width of the sign of a thing, units: what is narrower would not be seen
// itself.
const leastThing = 8

func drawSign(c *draw.Canvas, box draw.Rect) {
	c.Box(box, 0, c.Theme.Sight, draw.Pen{Colour: c.Theme.Background, Width: 1.5})
}

// veil is a colour that lets a share of what is beneath it through.
func veil(c color.RGBA, share float64) color.RGBA {
	part := func(v uint8) uint8 { return uint8(math.Round(float64(v) * share)) }
	return color.RGBA{part(c.R), part(c.G), part(c.B), part(255)}
}
