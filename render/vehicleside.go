package render

import (
	"math"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The vehicle in profile and from ahead: the outline of its body on wheels, and where there are no
// boxes the length or width that is known, dashed, for its height is not.

// profile is a way to look at the vehicle along an axis.
type profile struct {
	attitude geometry.Attitude
	front    bool // from ahead: across is to the left; else from the right side: across is ahead
}

// at is where a point of the parked vehicle is seen, m across and up.
func (p profile) at(q r3.Vec) draw.Point {
	q = p.attitude.Driven(q)
	if p.front {
		return draw.Pt(q.Y, q.Z)
	}
	return draw.Pt(q.X, q.Z)
}

// boxes are the outlines of the body boxes.
func (p profile) boxes(body []geometry.Box) [][]draw.Point {
	var outlines [][]draw.Point
	for _, b := range body {
		outlines = append(outlines, p.stand(p.rect(b).Corners()))
	}
	return outlines
}

// rect is a box as it is seen on the parked vehicle, m across and up.
func (p profile) rect(b geometry.Box) draw.Rect {
	if p.front {
		return draw.R(b.Min.Y, b.Min.Z, b.Max.Y, b.Max.Z)
	}
	return draw.R(b.Min.X, b.Min.Z, b.Max.X, b.Max.Z)
}

// stand is where points of the parked vehicle, m across and up, are with it as driven. From ahead
// it is as parked.
func (p profile) stand(line []draw.Point) []draw.Point {
	if p.front {
		return line
	}
	out := make([]draw.Point, len(line))
	for i, q := range line {
		out[i] = p.at(r3.Vec{X: q.X, Z: q.Y})
	}
	return out
}

// body is the boxes and, where the length or width is known, the sill that joins them to the
// bumpers, as parked.
func (p profile) body(v Vehicle, body []geometry.Box) (rects []draw.Rect) {
	if len(body) == 0 {
		return nil
	}
	low := math.Inf(1)
	for _, b := range body {
		rects = append(rects, p.rect(b))
		low = min(low, b.Min.Z)
	}
	low = max(low, sillClearance+sillHeight/2)
	sill := draw.R(-v.Length, low-sillHeight/2, 0, low+sillHeight/2)
	if p.front {
		sill.X0, sill.X1 = -v.Width/2, v.Width/2
	}
	if sill.W() > 0 {
		rects = append(rects, sill)
	}
	return rects
}

// sillHeight is that of a sign for what joins the body to the bumpers, sillClearance that of its
// lower edge at least, m.
const sillHeight, sillClearance = 0.2, 0.25

// rest is the outline where there are no boxes; up to the highest lamp that is not on a mast. Empty
// if nothing is known.
func (p profile) rest(v Vehicle, lamps []geometry.Mounted) []draw.Point {
	const clearance, most = 0.3, 2.5 // m; a lamp that is higher is on a mast
	high := 1.0
	for i := range lamps {
		high = min(most, max(high, lamps[i].Lamp.At.Z))
	}
	from, to := r3.Vec{X: -v.Length, Y: 0}, r3.Vec{}
	if p.front {
		from, to = r3.Vec{Y: -v.Width / 2}, r3.Vec{Y: v.Width / 2}
	}
	if from == to {
		return nil
	}
	corner := func(q r3.Vec, z float64) draw.Point { q.Z = z; return p.at(q) }
	return []draw.Point{corner(from, clearance), corner(to, clearance), corner(to, high), corner(from, high)}
}

// wheelRadius (m) is that of a sign for a wheel; where the wheels stand is known, how large they
// are is not.
const wheelRadius = 0.38

// wheels are the places of their middles.
func (p profile) wheels(v Vehicle) []draw.Point {
	if p.front {
		if v.Width == 0 {
			return nil
		}
		side := v.Width/2 - wheelRadius/3
		return []draw.Point{draw.Pt(-side, wheelRadius), draw.Pt(side, wheelRadius)}
	}
	if v.Wheelbase == 0 {
		return nil
	}
	return []draw.Point{
		p.at(r3.Vec{X: -v.FrontOverhang, Z: wheelRadius}),
		p.at(r3.Vec{X: -v.FrontOverhang - v.Wheelbase, Z: wheelRadius}),
	}
}

// drawProfile draws a vehicle in a frame and returns the boxes (px) of its parts.
func drawProfile(c *draw.Canvas, f chart.Frame, p profile, s Subject, lamps []geometry.Mounted) []draw.Rect {
	var parts []draw.Rect
	edge := draw.Pen{Colour: c.Theme.VehicleEdge, Width: 2.5}
	if p.front {
		parts = append(parts, drawWheels(c, f, p, s.Vehicle)...)
	}
	var shape [][]draw.Point
	for _, line := range outline(p.body(s.Vehicle, s.Scene.Site.Body)) {
		shape = append(shape, f.Map(p.stand(line)))
	}
	c.Fill(c.Theme.Vehicle, shape...)
	for _, line := range shape {
		c.Outline(line, edge)
	}
	for _, box := range p.boxes(s.Scene.Site.Body) {
		px := f.Map(box)
		c.Outline(px, draw.Pen{Colour: c.Theme.VehicleEdge, Width: 1})
		parts = append(parts, draw.BoundsOf(px))
	}
	if rest := p.rest(s.Vehicle, lamps); len(shape) == 0 && len(rest) > 0 {
		px := f.Map(rest)
		c.Fill(c.Theme.Vehicle, px)
		c.Outline(px, draw.Pen{Colour: c.Theme.VehicleEdge, Width: 2, Dash: []float64{10, 6}})
		parts = append(parts, draw.BoundsOf(px))
		for i := range lamps { // those on a mast do not float
			if lamp, top := f.Map([]draw.Point{p.at(lamps[i].Lamp.At)})[0], draw.BoundsOf(px).Y0; lamp.Y < top {
				c.Line([]draw.Point{lamp, draw.Pt(lamp.X, top)}, draw.Pen{Colour: c.Theme.VehicleEdge, Width: 2})
			}
		}
	}
	if !p.front {
		parts = append(parts, drawWheels(c, f, p, s.Vehicle)...)
	}
	return parts
}

// drawWheels draws tyres and, from the side, rims, and returns their boxes (px).
func drawWheels(c *draw.Canvas, f chart.Frame, p profile, v Vehicle) (boxes []draw.Rect) {
	const rim, half = 0.6, wheelRadius / 3 // of the radius, m
	for _, w := range p.wheels(v) {
		if p.front {
			tyre := f.Map(draw.R(w.X-half, 0, w.X+half, 2*wheelRadius).Corners())
			c.Fill(c.Theme.Vehicle, tyre)
			c.Outline(tyre, draw.Pen{Colour: c.Theme.VehicleEdge, Width: 2.5})
			boxes = append(boxes, draw.BoundsOf(tyre))
			continue
		}
		tyre := f.Arc(w, wheelRadius, 0, 2*math.Pi)
		c.Fill(c.Theme.VehicleEdge, tyre)
		c.Fill(c.Theme.Vehicle, f.Arc(w, rim*wheelRadius, 0, 2*math.Pi))
		boxes = append(boxes, draw.BoundsOf(tyre))
	}
	return boxes
}
