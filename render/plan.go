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
	"beamfall/render/units"
)

// A plan is the ground seen from above: the one place where ahead and left become across and up.

// sides are the names of the two sides of a vehicle, as seen from its seat.
var sides = [2]string{"left", "right"}

// Plan is a frame over the ground, true to scale. Distances are those on the map: on a slope, the
// horizontal ones.
type Plan struct {
	chart.Frame
	Upward bool // ahead is up and left is left; else ahead is to the right and left is up
}

// newPlan is a plan that fills a box and shows at least an extent.
func newPlan(box draw.Rect, e geometry.Extent, upward bool, unit units.Unit) Plan {
	x := chart.Axis{From: e.Behind, To: e.Ahead, Unit: unit, Title: "ahead of the bumper"}
	y := chart.Axis{From: e.Right, To: e.Left, Unit: unit, Title: "to the left"}
	if upward {
		y.From, y.To = y.To, y.From
		return Plan{chart.Filling(box, y, x, 1), true}
	}
	return Plan{chart.Filling(box, x, y, 1), false}
}

// Pixel is where a place on the ground (m ahead of the bumper, m to the left) is on the picture.
func (p Plan) Pixel(ahead, left float64) draw.Point {
	if p.Upward {
		return p.At(left, ahead)
	}
	return p.At(ahead, left)
}

// Extent is the ground that is shown.
func (p Plan) Extent() geometry.Extent {
	x, y := p.Across, p.Up
	if p.Upward {
		x, y = y, x
	}
	return geometry.Extent{Behind: x.Low(), Ahead: x.High(), Right: y.Low(), Left: y.High()}
}

// lux is a field of light (lx) over all of a plan on which ahead is to the right, with a sample
// every step pixels.
func (p Plan) lux(step float64, field func(geometry.Grid) (*geometry.Field, error)) (*chart.Grid, error) {
	e, m := p.Extent(), step/p.PerMetre()
	points := func(length float64) int { return max(2, 1+int(math.Ceil(length/m-1e-9))) }
	f, err := field(geometry.Grid{
		X0: e.Behind, Y0: e.Right, Step: m, NX: points(e.Ahead - e.Behind), NY: points(e.Left - e.Right),
	})
	if err != nil {
		return nil, err
	}
	g := &chart.Grid{NX: f.NX, NY: f.NY, X0: f.X0, Y0: f.Y0, DX: m, DY: m, Values: make([]float64, len(f.Lux))}
	draw.Rows(g.NY, func(j int) {
		for i := range g.NX {
			g.Values[j*g.NX+i] = f.Lux[i*f.NY+j]
		}
	})
	return g, nil
}

// fieldStep is the distance in pixels of the samples of a field: about one a pixel at the usual
// width, for the edges of shadows to be as sharp as other lines. With very many lamps, whose
// shadows are many and faint, it is up to three, so that they take no longer than a few dozen.
func fieldStep(c *draw.Canvas, lamps int) float64 {
	return max(1, c.U(min(3, 1.25*math.Sqrt(max(1, float64(lamps)/24)))))
}

// Map is what plans are painted with.
type Map int

// The maps.
const (
	MapGround Map = iota // light on the ground
	MapFacing            // light on planes that face the vehicle
	MapSight             // where the first thing is seen
)

var mapNames = [...]string{MapGround: "ground", MapFacing: "facing", MapSight: "sight"}

// MapNamed is the map called ground, facing or sight.
func MapNamed(name string) (Map, error) {
	if i := slices.Index(mapNames[:], name); i >= 0 {
		return Map(i), nil
	}
	return 0, fmt.Errorf("map %q: there are %s", name, strings.Join(mapNames[:], ", "))
}

// mapped is a map and what it is of.
type mapped struct {
	Map
	height float64 // m over the ground, of facing light
}

// mapped makes a map of a subject. For one of sight the eye must be given, and above the ground.
func (s Subject) mapped(m Map) (mapped, error) {
	if _, err := s.eye(); err != nil && m == MapSight {
		return mapped{}, fmt.Errorf("map of sight: %w", err)
	}
	return mapped{m, geometry.ObjectHeight}, nil
}

// title says what is painted.
func (m mapped) title(s Subject) string {
	switch m.Map {
	case MapFacing:
		return "facing light " + s.length(m.height) + " above the ground"
	case MapSight:
		return "where the driver sees the " + s.things()[0].Name
	}
	return "light on the ground"
}

// legend says what the colours are.
func (m mapped) legend(s Subject, theme draw.Theme) chart.Flow {
	switch m.Map {
	case MapFacing:
		return chart.LevelStrip(LightRamp(theme).Of("facing light"))
	case MapSight:
		o, _ := s.outlook()
		return levelStrip(o.thing.Name, o.view.Observer)
	}
	return chart.LevelStrip(LightRamp(theme).Of("light on the ground"))
}

// draw paints a plan of a subject. It returns the parts of isolux lines that a level can be written
// on.
func (m mapped) draw(ctx context.Context, c *draw.Canvas, p Plan, s Subject) (chart.Isolines, error) {
	field := func(g geometry.Grid) (*geometry.Field, error) { return s.Scene.GroundField(ctx, g) }
	switch m.Map {
	case MapSight:
		return chart.Isolines{}, p.drawSight(ctx, c, s)
	case MapFacing:
		field = func(g geometry.Grid) (*geometry.Field, error) { return s.Scene.FacingField(ctx, g, m.height) }
	}
	lux, err := p.lux(fieldStep(c, len(s.Scene.Lamps)), field)
	if err != nil {
		return chart.Isolines{}, err
	}
	ramp := LightRamp(c.Theme)
	p.DrawBands(c, lux, ramp)
	return p.DrawIsolines(c, lux, ramp).Gradual(c, lux), nil
}

// drawSight paints where the first thing of a subject is seen.
func (p Plan) drawSight(ctx context.Context, c *draw.Canvas, s Subject) error {
	o, _ := s.outlook()
	t := thingSight{Thing: o.thing}
	if !o.view.TooDense() {
		if err := t.mapOver(ctx, o.view, p.Extent(), planPoints, s.lit()); err != nil {
			return err
		}
	}
	p.drawSeen(c, []thingSight{t})
	p.drawBoundaries(c, []thingSight{t})
	return nil
}

// planPoints is at how many points of a plan the first thing is looked for.
const planPoints = 5000
