package render

import (
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The vehicle from above, to scale: its length and width, and on it the boxes that stop light and
// the lamps. All of it is drawn as driven, which is where the light comes from.

// onGround is the extent of the vehicle and its lamps, as driven.
func (s Subject) onGround() geometry.Extent {
	e := nowhere()
	if out := s.vehicleOutline(); out.Behind < out.Ahead {
		e = out
	}
	for i := range s.Scene.Site.Body {
		e = e.With(s.boxFromAbove(&s.Scene.Site.Body[i]))
	}
	for i := range s.Scene.Lamps {
		p := s.Scene.Lamps[i].Place
		e = e.With(geometry.Extent{Behind: p.X, Ahead: p.X, Right: p.Y, Left: p.Y})
	}
	return e.With(geometry.Extent{})
}

// vehicleOutline is the vehicle's length and width; what is not known of them is taken from the
// boxes.
func (s Subject) vehicleOutline() geometry.Extent {
	out := nowhere()
	for i := range s.Scene.Site.Body {
		out = out.With(s.boxFromAbove(&s.Scene.Site.Body[i]))
	}
	attitude := s.Scene.Site.Attitude
	if s.Vehicle.Length > 0 {
		out.Behind, out.Ahead = attitude.Driven(r3.Vec{X: -s.Vehicle.Length}).X, attitude.Driven(r3.Vec{}).X
	}
	if s.Vehicle.Width > 0 {
		out.Right, out.Left = -s.Vehicle.Width/2, s.Vehicle.Width/2
	}
	return out
}

// boxFromAbove is a box as driven: its sides stay upright, its ends lean.
func (s Subject) boxFromAbove(b *geometry.Box) geometry.Extent {
	e := geometry.Extent{Behind: math.Inf(1), Ahead: math.Inf(-1), Right: b.Min.Y, Left: b.Max.Y}
	for _, x := range []float64{b.Min.X, b.Max.X} {
		for _, z := range []float64{b.Min.Z, b.Max.Z} {
			p := s.Scene.Site.Attitude.Driven(r3.Vec{X: x, Z: z})
			e.Behind, e.Ahead = min(e.Behind, p.X), max(e.Ahead, p.X)
		}
	}
	return e
}

// corners of an extent on a plan.
func (p Plan) corners(e geometry.Extent) []draw.Point {
	return []draw.Point{
		p.Pixel(e.Behind, e.Right), p.Pixel(e.Ahead, e.Right), p.Pixel(e.Ahead, e.Left), p.Pixel(e.Behind, e.Left),
	}
}

// drawVehicle draws the vehicle and its lamps on a plan, and returns the box (px) around the
// vehicle.
func drawVehicle(c *draw.Canvas, p Plan, s Subject) draw.Rect {
	in := c.Inside(p.Box)
	out := s.vehicleOutline()
	known := out.Behind < out.Ahead && out.Right < out.Left
	body := slices.Clone(s.Scene.Site.Body)
	slices.SortStableFunc(body, func(a, b geometry.Box) int { // the higher ones on top
		switch {
		case a.Max.Z < b.Max.Z:
			return -1
		case a.Max.Z > b.Max.Z:
			return 1
		}
		return 0
	})
	if known {
		in.Fill(c.Theme.Vehicle, p.corners(out))
	}
	for i := range body {
		box := p.corners(s.boxFromAbove(&body[i]))
		in.Fill(c.Theme.Vehicle, box)
		in.Outline(box, draw.Pen{Colour: c.Theme.VehicleEdge, Width: 1})
	}
	if known {
		in.Outline(p.corners(out), draw.Pen{Colour: c.Theme.VehicleEdge, Width: 2})
	}
	for i := range s.Scene.Lamps {
		l := &s.Scene.Lamps[i]
		half := r3.Scale(l.Lamp.Width/2, l.Axes.Left)
		a, b := r3.Sub(l.Place, half), r3.Add(l.Place, half)
		in.Line([]draw.Point{p.Pixel(a.X, a.Y), p.Pixel(b.X, b.Y)}, draw.Pen{Colour: c.Theme.Ink, Width: 5})
		in.Disc(p.Pixel(l.Place.X, l.Place.Y), 3.5, c.Theme.Ink, draw.Pen{})
	}
	if !known {
		at := p.Pixel(0, 0)
		return draw.Around(at, 0, 0)
	}
	return draw.BoundsOf(p.corners(out))
}
