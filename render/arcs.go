package render

import (
	"math"

	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// Distance arcs: circles about the middle of the bumper at round distances, so that a distance can
// be read in any direction, not only along an axis.

// drawArcs draws the arcs of a plan and returns them with their distances (m).
func drawArcs(c *draw.Canvas, p Plan) (radii []float64) {
	unit := p.Across.Unit
	step := chart.RoundStep(c.U(170)/p.PerMetre()/unit.Size) * unit.Size
	e, in := p.Extent(), c.Inside(p.Box)
	far := math.Hypot(max(e.Ahead, -e.Behind), max(e.Left, -e.Right))
	for k := 1.0; k*step <= far; k++ {
		in.Line(p.Arc(draw.Point{}, k*step, -math.Pi, math.Pi), draw.Pen{Colour: c.Theme.Muted, Width: 1.2})
		radii = append(radii, k*step)
	}
	return radii
}

// writeArcs writes the distances on the arcs, all in one row: along a side of the plan or in one
// direction from the bumper, wherever most of them have room and fewest lines run beneath. It
// returns the boxes of the texts.
func writeArcs(c *draw.Canvas, p Plan, radii []float64, avoid []draw.Rect, lines [][]draw.Point) (texts []draw.Rect) {
	room := p.Box.Inset(c.U(6))
	row := func(at func(radius float64) (ahead, left float64)) (boxes []draw.Rect, names []string, worth float64) {
		for _, r := range radii {
			text := arcText(c, r, p.Across.Unit)
			w, h := c.Measure(text, draw.Small)
			b := draw.Around(p.Pixel(at(r)), w+c.U(2*draw.HaloWidth), h)
			if !room.Contains(b) || b.OverlapsAny(avoid) || b.OverlapsAny(boxes) {
				continue
			}
			boxes, names = append(boxes, b), append(names, text)
			worth++
			for _, line := range lines {
				if b.Touches(line) {
					worth -= 0.6
					break
				}
			}
		}
		return boxes, names, worth
	}
	var names []string
	most := 0.0
	try := func(at func(radius float64) (ahead, left float64)) {
		if boxes, found, worth := row(at); worth > most {
			texts, names, most = boxes, found, worth
		}
	}
	e := p.Extent()
	inset := c.U(32) / p.PerMetre()
	for _, side := range []float64{e.Right + inset, e.Left - inset} {
		try(func(r float64) (ahead, left float64) {
			if r <= math.Abs(side) {
				return 0, math.Copysign(r, side)
			}
			return math.Sqrt(r*r - side*side), side
		})
	}
	for _, degrees := range []float64{12, 8, 16, 20, 25, 30, 38, 46, 55, 70, 90, 120, 150, 180, 0} {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		try(func(r float64) (ahead, left float64) { return r * cos, -r * sin })
		try(func(r float64) (ahead, left float64) { return r * cos, r * sin })
	}
	for i, b := range texts {
		c.Write(b.Centre(), names[i], draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, Backing: draw.Halo,
			AnchorX: 0.5, AnchorY: 0.5})
	}
	return texts
}

func arcText(c *draw.Canvas, radius float64, unit units.Unit) string {
	return units.Figure(units.Steps(math.Round(radius/unit.Size*1e6), 1e-6)) + " " + unit.Name
}
