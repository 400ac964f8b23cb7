package geometry_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"testing"

	"beamfall/beam"
	"beamfall/beam/lm63"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rigs on every edge there is: lamps that look straight down, stand in a box, on a box or under the
// ground; beams from a needle to the whole hemisphere; points on the lens and in its plane; ground
// with all but upright steps. Whatever is asked of them, light is a number and not below none, a
// place is a number or none, and rows are Lux at speed.

// one of several.
func one[T any](d draw, of ...T) T { return of[d.IntN(len(of))] }

// edgeBeams are the narrowest and the widest beams of a rig file, hard-edged and pointed ones,
// ovals as flat as can be, and what is no modelled beam at all.
var edgeBeams = func() []beam.Distribution {
	round := func(a float64) beam.Angles { return beam.Round(a * deg) }
	oval := func(a, u float64) beam.Angles { return beam.Angles{Across: a * deg, UpDown: u * deg} }
	var out []beam.Distribution
	for _, s := range []beam.Shape{
		beam.Gaussian(round(0.51)), beam.Gaussian(round(20)), beam.Gaussian(round(174.9)),
		beam.Gaussian(oval(174.9, 0.51)), beam.Gaussian(oval(3, 90)),
		beam.GaussianField(round(0.51), round(179.9)), beam.GaussianField(round(174.9), round(179.9)),
		beam.GaussianField(round(20), round(20.01)),
		beam.GaussianField(oval(60, 10), oval(61, 170)), beam.GaussianField(round(12), round(15)),
		beam.Cosine(round(0.51)), beam.Cosine(round(120)), beam.Cosine(round(150)), beam.Cosine(round(174.9)),
		beam.Cosine(oval(174.9, 10)),
		beam.Uniform(round(0.51)), beam.Uniform(round(60)), beam.Uniform(round(174.9)),
		beam.Uniform(oval(170, 20)), beam.Uniform(oval(0.51, 174.9)),
	} {
		out = append(out, s.WithFlux(5000))
	}
	file, err := os.Open("../testdata/lm63/driving-a-2002.ies")
	if err != nil {
		panic(err)
	}
	defer file.Close()
	table, err := lm63.Read(file)
	if err != nil {
		panic(err)
	}
	return append(out, table.Distribution(1), isotropic(500), isotropic(0))
}()

// strange draws a scene with up to three lamps, or none, as wide as that (m).
func (d draw) strange(widest float64) *geometry.Scene {
	site := &geometry.Site{
		Attitude:   geometry.NoseUp(one(d, 0, 0, 20, -20, 1e-3)*deg, one(d, -4, 0.0)),
		Visibility: one(d, 0, 0, 10, 1e6),
	}
	ground := &site.Ground
	switch d.IntN(6) {
	case 0:
		ground.Grade = one(d, 0.3, -0.3, 1, -1)
	case 1: // a wall up and a pit, a step as upright as numbers can have it
		step := one(d, 1e-9, 1e-6, 1e-3)
		ground.Profile = []geometry.Knot{
			{Ahead: 0},
			{Ahead: 5},
			{Ahead: 5 + step, Height: 1},
			{Ahead: 20, Height: 1},
			{Ahead: 20 + step, Height: -3},
		}
	case 2: // the ground over the vehicle
		ground.Profile = []geometry.Knot{{Ahead: -6, Height: 3}, {Ahead: 2, Height: 1}, {Ahead: 30, Height: -2}}
	case 3:
		ground.Profile = []geometry.Knot{{}}
	}
	ground.CrossFall = one(d, 0, 0, 0, 0.5, -0.5)
	box := func(x0, x1, y0, y1, z0, z1 float64) geometry.Box {
		return geometry.Box{Name: "box", Min: r3.Vec{X: x0, Y: y0, Z: z0}, Max: r3.Vec{X: x1, Y: y1, Z: z1}}
	}
	for range d.IntN(4) {
		site.Body = append(site.Body, one(d,
			box(-1.5, -0.2, -0.8, 0.8, 0.5, 1.15), // a hood
			box(-3, -1, -0.8, 0.8, -1, -0.2),      // under the ground
			box(-1, -1, -0.8, 0.8, 0.5, 1),        // no thicker than a sheet
			box(0, 3, 0, 0, 1, 1),                 // nor than a line
			box(-5, 5, -5, 5, 0, 5),               // around everything
		))
	}
	var lamps []geometry.Lamp
	for range d.IntN(4) {
		l := geometry.Lamp{
			At: r3.Vec{
				X: one(d, -1, -0.2, -1.9, 0),
				Y: one(d, 0, 0, 0.8, d.between(-1, 1)),
				Z: one(d, 1.15, 0.8, 2, 0.05, -0.1, 30),
			},
			Aim: geometry.Aim{
				Tilt: one(d, 0, 90, -90, 90-1e-7, 1e-7, 7, d.between(-90, 90)) * deg,
				Turn: one(d, 0, 90, -90, 180, -180, 180-1e-7, d.between(-180, 180)) * deg,
				Roll: one(d, 0, 0, 90, -90, 180, d.between(-180, 180)) * deg,
			},
			Width:  one(d, 0, 0, 1e-6, 0.5, widest),
			Optics: []geometry.Optic{{Beam: one(d, edgeBeams...)}},
		}
		if d.chance(0.3) {
			share := one(d, 0, 0.5, 1)
			l.Optics[0].Span = geometry.Middle(share)
			l.Optics = append(l.Optics, geometry.Optic{Beam: one(d, edgeBeams...), Span: geometry.Ends(share)})
		}
		lamps = append(lamps, l)
	}
	return site.Scene(lamps...)
}

// strangePlace draws a point that is easily divided by, and a plane through it.
func (d draw) strangePlace(s *geometry.Scene) (p, normal r3.Vec) {
	along := func(v r3.Vec) r3.Vec {
		return r3.Scale(one(d, 0, 1e-9, 1e-4, 0.3, -0.3, 5, 5, 40, 1e4, d.between(-30, 30)), v)
	}
	p = r3.Vec{X: 1, Z: 1}
	axes := geometry.Aim{}.Axes()
	if n := len(s.Lamps); n > 0 {
		m := &s.Lamps[d.IntN(n)]
		p, axes = m.Place, m.Axes
		p = r3.Add(p, r3.Scale(one(d, 0, 0.5, -0.5)*m.Lamp.Width, axes.Left)) // an end of the bar
	}
	for _, v := range []r3.Vec{axes.Ahead, axes.Left, axes.Up} {
		if d.chance(0.5) {
			p = r3.Add(p, along(v))
		}
	}
	normal = one(d, up, up, facing, facing, r3.Scale(-1, axes.Ahead), axes.Left, axes.Up)
	if d.chance(0.5) {
		p = s.Site.At(p.X, p.Y, one(d, 0, 0.6))
		if d.chance(0.6) {
			normal = s.Site.Ground.Normal(p.X)
		}
	}
	return p, normal
}

func TestStrangeRigsGiveLight(t *testing.T) {
	t.Parallel()
	const places, rows, points = 20, 8, 70
	rigs := drawn(60, 400)
	lit := 0
	for seed := range uint64(rigs) {
		d := newDraw(seed + 110000)
		s := d.strange(10)
		for range places {
			p, n := d.strangePlace(s)
			isLight(t, seed, s, fmt.Sprintf("at %v toward %v", p, n), s.Lux(p, n))
		}
		for range rows {
			start, n := d.strangePlace(s)
			step := one(d, 0, 1e-6, 0.02, 0.1, 0.1, 1)
			across := r3.Vec{Y: step, Z: step * s.Site.Ground.CrossFall}
			row := geometry.Row{Normal: n, Step: one(d, across, across, r3.Vec{X: step}, r3.Vec{Z: step})}
			row.Start = r3.Sub(start, r3.Scale(one(d, 0, 20, 35.5), row.Step))
			got := make([]float64, points)
			s.AddRow(got, row)
			for i, v := range got {
				p := r3.Add(row.Start, r3.Scale(float64(i), row.Step))
				isLight(t, seed, s, fmt.Sprintf("in a row at %v toward %v", p, n), v)
				want, share, floor := s.Lux(p, n), 0.003, 1e-6*axial(s, p)+1e-14
				if hasMeasuredBar(s) {
					share, floor = 0.01, 10*floor
				}
				if want > 100*floor {
					lit++
				}
				if math.Abs(v-want) > share*want+floor && !onLens(s, p) {
					t.Errorf("rig %d, point %d of %+v: %.8g lx, Lux has %.8g\n%s", seed, i, row, v, want, describe(s))
					break
				}
			}
		}
	}
	if lit < rigs*rows*points/20 {
		t.Errorf("%d lit points: too few to mean anything", lit)
	}
}

func TestStrangeRigsGiveFigures(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	rigs := drawn(1, 20)
	for seed := range uint64(rigs) {
		d := newDraw(seed + 120000)
		s := d.strange(0.5)
		light := func(what string, v float64) { t.Helper(); isLight(t, seed, s, what, v) }
		place := func(what string, p r3.Vec) {
			t.Helper()
			if n := r3.Norm(p); math.IsNaN(n) || math.IsInf(n, 0) {
				t.Errorf("rig %d: %s at %v\n%s", seed, what, p, describe(s))
			}
		}
		orNone := func(what string, v float64) {
			t.Helper()
			if math.IsInf(v, 0) {
				t.Errorf("rig %d: %s is %v\n%s", seed, what, v, describe(s))
			}
		}
		grid := geometry.Grid{X0: d.between(-8, 0), Y0: d.between(-5, 0), Step: one(d, 0.1, 1), NX: 40, NY: 30}
		for name, field := range map[string]func() (*geometry.Field, error){
			"ground": func() (*geometry.Field, error) { return s.GroundField(ctx, grid) },
			"facing": func() (*geometry.Field, error) { return s.FacingField(ctx, grid, 0.6) },
		} {
			f, err := field()
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range f.Lux {
				light(name+" field", v)
			}
		}
		line := s.Centreline(3)
		orNone("reach", line.Reach(3))
		end := 0.0
		for _, g := range line.Gaps(3) {
			if !(g.From >= end && g.To > g.From && g.To <= line.Reach(3)) {
				t.Errorf("rig %d: gaps %v before a reach of %v\n%s", seed, line.Gaps(3), line.Reach(3), describe(s))
			}
			end = g.To
		}
		area, err := s.LitArea(ctx, 30)
		if err != nil {
			t.Fatal(err)
		}
		light("lit area", area)
		light("lit width", s.LitWidth(5, 30))
		brightest := s.Brightest()
		light("brightest ground", brightest.Lux)
		place("brightest ground", brightest.At)
		for _, x := range []float64{-1, 0, 25} {
			g := s.Oncoming(x, 0, 40)
			light("oncoming", g.Lux)
			orNone("veil", g.Veil)
		}
		for _, b := range s.BodyLights() {
			light("mean on a box", b.Mean)
			light("greatest on a box", b.Max)
		}
		for i := range s.Lamps {
			m := &s.Lamps[i]
			orNone("reach of a lamp", s.Azimuth(i, 3).Reach(3))
			if v := m.SkyShare(); !(v >= 0 && v <= 1+1e-9) {
				t.Errorf("rig %d: sky share %v\n%s", seed, v, describe(s))
			}
			near, far := s.Site.NearFar(m)
			orNone("near edge", near)
			orNone("far edge", far)
			near, far = s.Site.Tolerance(m.Lamp, 0.5*deg)
			orNone("tolerance", near)
			orNone("tolerance", far)
			hit, _ := s.Site.AxisHit(m)
			place("axis", hit)
			mark, _ := m.Lamp.WallMark(7.62)
			place("wall mark", mark)
			for _, run := range s.Site.Footprint(m, 500) {
				for _, p := range run {
					place("footprint", p)
				}
			}
			shade, _, _ := s.Site.Shade(m)
			light("shade", shade)
		}
	}
}

// isLight demands a number that is not below none.
func isLight(t *testing.T, seed uint64, s *geometry.Scene, what string, v float64) {
	t.Helper()
	if !(v >= 0) || math.IsInf(v, 0) {
		t.Errorf("rig %d: %s: %v\n%s", seed, what, v, describe(s))
	}
}

// hasMeasuredBar tells whether there is a bar of a beam that is bent at each angle of a table.
func hasMeasuredBar(s *geometry.Scene) bool {
	for i := range s.Lamps {
		for _, o := range s.Lamps[i].Lamp.Optics {
			if _, ok := o.Beam.(*lm63.Table); ok && s.Lamps[i].Lamp.Width > 0 {
				return true
			}
		}
	}
	return false
}

// onLens tells whether a point lies within 1 mm of a lens, or within 2e-6 rad of its plane or of
// the axis of one that is a point, where rows are not exact.
func onLens(s *geometry.Scene, p r3.Vec) bool {
	for i := range s.Lamps {
		m := &s.Lamps[i]
		d := r3.Sub(p, m.Place)
		e := math.Max(-m.Lamp.Width/2, math.Min(m.Lamp.Width/2, r3.Dot(d, m.Axes.Left)))
		near := r3.Norm(r3.Sub(d, r3.Scale(e, m.Axes.Left)))
		if near < 1e-3 || math.Abs(r3.Dot(d, m.Axes.Ahead)) < 2e-6*(near+m.Lamp.Width) ||
			r3.Norm(r3.Sub(r3.Unit(d), m.Axes.Ahead)) < 2e-6 && m.Lamp.Width < 1e-3 {
			return true
		}
	}
	return false
}

// describe is a rig for whoever has to find out what is wrong with it.
func describe(s *geometry.Scene) string {
	text := fmt.Sprintf("%+v", *s.Site)
	for i := range s.Lamps {
		l := s.Lamps[i].Lamp
		text += fmt.Sprintf("\n%v %+v %v m wide:", l.At, l.Aim, l.Width)
		for _, o := range l.Optics {
			text += fmt.Sprintf(" beam %d on %v", slices.Index(edgeBeams, o.Beam), o.Span)
		}
	}
	return text
}
