package render

import (
	"math"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The vehicle in profile and from ahead: its boxes, and where there are none the length or width that is known, dashed,
// for its height is not.

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
		if p.front {
			outlines = append(outlines, []draw.Point{
				draw.Pt(b.Min.Y, b.Min.Z), draw.Pt(b.Max.Y, b.Min.Z), draw.Pt(b.Max.Y, b.Max.Z), draw.Pt(b.Min.Y, b.Max.Z),
			})
			continue
		}
		outlines = append(outlines, []draw.Point{
			p.at(r3.Vec{X: b.Min.X, Z: b.Min.Z}), p.at(r3.Vec{X: b.Max.X, Z: b.Min.Z}),
			p.at(r3.Vec{X: b.Max.X, Z: b.Max.Z}), p.at(r3.Vec{X: b.Min.X, Z: b.Max.Z}),
		})
	}
	return outlines
}

// rest is the outline where there are no boxes; up to the highest lamp, or the height of an eye. Empty if nothing is known.
func (p profile) rest(v Vehicle, lamps []geometry.Mounted) []draw.Point {
	const clearance = 0.3 // m
	high := 1.0
	for i := range lamps {
		high = max(high, lamps[i].At.Z)
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

// wheelRadius (m) is that of a sign for a wheel; where the wheels stand is known, how large they are is not.
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
	edge := draw.Pen{Colour: c.Theme.VehicleEdge, Width: 2}
	for _, w := range p.wheels(s.Vehicle) {
		wheel := f.Arc(w, wheelRadius, 0, 2*math.Pi)
		if p.front {
			half := wheelRadius / 3
			wheel = f.Map([]draw.Point{
				draw.Pt(w.X-half, 0), draw.Pt(w.X+half, 0), draw.Pt(w.X+half, 2*wheelRadius), draw.Pt(w.X-half, 2*wheelRadius),
			})
		}
		c.Fill(c.Theme.Vehicle, wheel)
		c.Outline(wheel, edge)
		parts = append(parts, draw.BoundsOf(wheel))
	}
	outlines := p.boxes(s.Scene.Site.Body)
	for _, o := range outlines {
		px := f.Map(o)
		c.Fill(c.Theme.Vehicle, px)
		parts = append(parts, draw.BoundsOf(px))
	}
	for _, o := range outlines {
		c.Outline(f.Map(o), edge)
	}
	if rest := p.rest(s.Vehicle, lamps); len(outlines) == 0 && len(rest) > 0 {
		px := f.Map(rest)
		c.Fill(c.Theme.Vehicle, px)
		c.Outline(px, draw.Pen{Colour: c.Theme.VehicleEdge, Width: 2, Dash: []float64{10, 6}})
		parts = append(parts, draw.BoundsOf(px))
	}
	return parts
}
