package htmlpage

import (
	"context"
	"math"
	"strconv"

	"beamfall/beam"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Where the light of a page is worked out: on lines across and along the ground that are close
// together near the vehicle and farther apart away from it.

// grid is the places (x, y) for all x and all y, both rising, m.
type grid struct {
	X []float64 `json:"x"`
	Y []float64 `json:"y"`
}

// room is how far around the bumper there may be light worth a look, m.
type room struct{ ahead, behind, side float64 }

// roomFor is where lamps may give a lux of facing light, by the peaks of those that are turned that
// way, within what a page has room for.
func roomFor(s *geometry.Scene, length float64) room {
	var ahead, behind, side float64 // cd
	for i := range s.Lamps {
		m := &s.Lamps[i]
		spill := math.Pi/4 + beam.FullAngle(m.Lamp.Beam(), 0.1, 1, 0)/2
		a := m.Axes.Azimuth()
		toward := func(v r3.Vec) bool { return math.Acos(max(-1, min(1, r3.Dot(a, v)))) < spill }
		if toward(r3.Vec{X: 1}) {
			ahead += m.Lamp.Beam().Peak()
		}
		if toward(r3.Vec{X: -1}) {
			behind += m.Lamp.Beam().Peak()
		}
		if toward(r3.Vec{Y: 1}) || toward(r3.Vec{Y: -1}) {
			side += m.Lamp.Beam().Peak()
		}
	}
	within := func(candela, least, most float64) float64 { return max(least, min(most, math.Sqrt(candela))) }
	r := room{within(ahead, 40, 400), length + within(behind, 10, 60), within(side, 15, 60)}
	r.side = max(r.side, r.ahead/5)
	return r
}

// gridOver has lines some half a metre apart near the vehicle, and from there on ever farther
// apart: all of them closer, or farther, the fewer or the more tilts there are to keep the light
// of.
func gridOver(r room, tilts int) grid {
	const near, usual = 14.0, 100
	wide := max(0.5, min(1.6, math.Sqrt(float64(tilts)/usual)))
	step, growth := tidy(0.5*wide), 0.04*wide
	var g grid
	for x := -step * math.Round(r.behind/step); x < near; x += step {
		g.X = append(g.X, x)
	}
	for x := near; x < r.ahead*(1+growth); x += max(step, tidy(growth*x)) {
		g.X = append(g.X, x)
	}
	half := []float64{0}
	for y := 0.0; y < r.side; {
		switch {
		case y < 4:
			y += step / 2
		case y < 10:
			y += step
		case y < 24:
			y += 2 * step
		default:
			y += 8 * step
		}
		half = append(half, y)
	}
	for i := len(half) - 1; i > 0; i-- {
		g.Y = append(g.Y, -half[i])
	}
	g.Y = append(g.Y, half...)
	return g
}

func tidy(m float64) float64 { return math.Round(m*100) / 100 }

// row is a row of a scene's points and which of a grid's they are: Y[from] to Y[to-1] of one X.
type row struct {
	geometry.Row
	x, from, to int
}

// rows cuts the lines of a grid that run across the vehicle into rows of even steps that face one
// way.
func (g grid) rows(s *geometry.Site, height float64, normal func(x, y float64) r3.Vec) []row {
	var rows []row
	for i, x := range g.X {
		for j := 0; j < len(g.Y); {
			n, to := normal(x, g.Y[j]), j+1
			step := 0.0
			for ; to < len(g.Y) && normal(x, g.Y[to]) == n; to++ {
				if d := g.Y[to] - g.Y[to-1]; step == 0 {
					step = d
				} else if math.Abs(d-step) > 1e-9 {
					break
				}
			}
			rows = append(rows, row{geometry.Row{
				Start: s.At(x, g.Y[j], height), Step: r3.Vec{Y: step, Z: step * s.Ground.CrossFall}, Normal: n,
			}, i, j, to})
			j = to
		}
	}
	return rows
}

// field is the illuminance (lx) of a scene at the points of rows: of the grid's place (X[i], Y[j])
// in i·len(Y) + j.
func (g grid) field(s *geometry.Scene, rows []row) []float64 {
	lux := make([]float64, len(g.X)*len(g.Y))
	dst, plain := make([][]float64, len(rows)), make([]geometry.Row, len(rows))
	for i, r := range rows {
		dst[i], plain[i] = lux[r.x*len(g.Y)+r.from:r.x*len(g.Y)+r.to], r.Row
	}
	s.AddRows(dst, plain)
	return lux
}

// onGround and facing are the rows of the ground itself, and of what stands on it.
func (g grid) onGround(s *geometry.Site) []row {
	return g.rows(s, 0, func(x, _ float64) r3.Vec { return s.Ground.Normal(x) })
}

func (g grid) facing(s *geometry.Site) []row {
	return g.rows(s, geometry.ObjectHeight, s.Facing)
}

// light writes the tables of light: for each control the ground field and the facing field of each
// tilt, then its ground light and its facing light along the track, with a row for each tilt. What
// is one number of each tilt goes to the header.
func (b *builder) light(ctx context.Context, site *geometry.Site) error {
	h := &b.header
	h.Light = lightSteps
	onGround, facing := h.Grid.onGround(site), h.Grid.facing(site)
	type lit struct {
		ground, facing, groundAlong, facingAlong, tops []float64
		eye                                            geometry.Glare
	}
	all := make([]lit, len(b.variants))
	if err := figures.Each(ctx, len(all), func(i int) error {
		s, l := site.With(b.variants[i].lamps...), &all[i]
		l.ground, l.facing = h.Grid.field(s, onGround), h.Grid.field(s, facing)
		for _, d := range h.Stations {
			x, y := site.Track.Place(d, 0)
			l.groundAlong = append(l.groundAlong, s.GroundLux(x, y))
			l.facingAlong = append(l.facingAlong, s.FacingLux(x, y, geometry.ObjectHeight))
		}
		l.tops = []float64{}
		for _, k := range b.tops {
			l.tops = append(l.tops, digits(s.BodyLight(k).Mean))
		}
		l.eye = s.Oncoming(eyeAhead, figures.EyeAside(b.rig, &b.options.Figures), b.rig.Driver.Age)
		return nil
	}); err != nil {
		return err
	}
	for i := range h.Controls {
		c := &h.Controls[i]
		c.Tops, c.Oncoming = append(c.Tops, nil), append(c.Oncoming, nil)
		last := len(c.Tops) - 1
		var onGround, facing []float64
		for _, l := range all[:len(c.Tilts)] {
			b.tables.table(l.ground, len(h.Grid.Y), lightSteps)
			b.tables.table(l.facing, len(h.Grid.Y), lightSteps)
			onGround, facing = append(onGround, l.groundAlong...), append(facing, l.facingAlong...)
			c.Tops[last] = append(c.Tops[last], l.tops)
			c.Oncoming[last] = append(c.Oncoming[last], [2]*float64{number(l.eye.Lux), number(l.eye.Veil)})
		}
		b.tables.table(onGround, len(h.Stations), lightSteps)
		b.tables.table(facing, len(h.Stations), lightSteps)
		all = all[len(c.Tilts):]
	}
	return nil
}

// eyeAhead is where an oncoming driver's eye is looked at, m along the track.
const eyeAhead = 50

// number is a number, nil if it is none.
func number(v float64) *float64 {
	if math.IsNaN(v) {
		return nil
	}
	v = digits(v)
	return &v
}

// digits is a number to six digits.
func digits(v float64) float64 {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	return v
}
