package geometry_test

import (
	"context"
	"math"
	"testing"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// What is switched off changes nothing, to the last bit.

func TestSwitchedOffIsPlain(t *testing.T) {
	t.Parallel()
	off := map[string]geometry.Site{
		"no boxes":           {Body: []geometry.Box{}},
		"level ground":       {Ground: geometry.Ground{Grade: 0, CrossFall: 0, Profile: []geometry.Knot{}}},
		"no load":            {Attitude: geometry.NoseUp(0, -4)},
		"no load, other car": {Attitude: geometry.NoseUp(0, 0)},
		"clear air":          {Visibility: 0},
		"all of it": {
			Body:     []geometry.Box{},
			Ground:   geometry.Ground{Profile: []geometry.Knot{}},
			Attitude: geometry.NoseUp(0, -2.9),
		},
		"a flat profile": {
			Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: -5}, {Ahead: 20}, {Ahead: 60}}},
		},
		"endless sight":   {Visibility: math.Inf(1)},
		"a box elsewhere": {Body: []geometry.Box{box("far", -500, -499, 0, 1, 0, 1)}},
	}
	same := func(t *testing.T, what string, a, b float64) {
		t.Helper()
		if math.Float64bits(a) != math.Float64bits(b) && !(math.IsNaN(a) && math.IsNaN(b)) {
			t.Errorf("%s: %v, plain %v", what, a, b)
		}
	}
	grid := geometry.Grid{X0: -12, Y0: -15, Step: 1.3, NX: 40, NY: 24}
	for seed := range uint64(2) {
		r := newDraw(seed + 90000).rig()
		bare := rig{lamps: r.lamps, rearAxle: r.rearAxle}
		lamps := func(site *geometry.Site) *geometry.Scene {
			var l []geometry.Lamp
			for _, m := range bare.scene().Lamps {
				l = append(l, m.Lamp)
			}
			return site.Scene(l...)
		}
		plain := lamps(new(geometry.Site))
		want, err := plain.GroundField(context.Background(), grid)
		if err != nil {
			t.Fatal(err)
		}
		for name := range off {
			site := off[name]
			s := lamps(&site)
			f, err := s.GroundField(context.Background(), grid)
			if err != nil {
				t.Fatal(err)
			}
			for i := range f.Lux {
				same(t, name+": field", f.Lux[i], want.Lux[i])
			}
			d := newDraw(seed + 91000)
			for range 50 {
				p, n := d.place(&bare)
				same(t, name+": lux", s.Lux(p, n), plain.Lux(p, n))
			}
			for i := range s.Lamps {
				a, b := &s.Lamps[i], &plain.Lamps[i]
				an, af := site.NearFar(a)
				bn, bf := plain.Site.NearFar(b)
				same(t, name+": near", an, bn)
				same(t, name+": far", af, bf)
				same(t, name+": sky", a.SkyShare(), b.SkyShare())
			}
			same(t, name+": reach", s.Azimuth(0, 10).Reach(10), plain.Azimuth(0, 10).Reach(10))
			if seed == 0 {
				same(t, name+": brightest", s.Brightest().Lux, plain.Brightest().Lux)
			}
			same(t, name+": oncoming", s.Oncoming(50, 3.5, 40).Lux, plain.Oncoming(50, 3.5, 40).Lux)
		}
	}
}

func TestSmallestOfEachIsNotNothing(t *testing.T) {
	// The same switches, turned on by a little, are seen.
	l := lamp(r3.Vec{X: -1.9, Z: 2}, tilted(5), 0, lambertian(1000))
	plain := onLevel(l).GroundLux(15, 1)
	for name, site := range map[string]geometry.Site{
		"box":        {Body: []geometry.Box{box("post", 5, 5.01, -2, 2, 0, 3)}},
		"grade":      {Ground: geometry.Ground{Grade: 1e-3}},
		"cross fall": {Ground: geometry.Ground{CrossFall: 1e-3}},
		"profile":    {Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: 0}, {Ahead: 100, Height: 0.1}}}},
		"load":       {Attitude: geometry.NoseUp(0.01*deg, -4)},
		"air":        {Visibility: 1e5},
	} {
		if got := site.Scene(l).GroundLux(15, 1); got == plain {
			t.Errorf("%s makes no difference: %v lx", name, got)
		}
	}
}
