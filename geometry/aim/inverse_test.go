package aim_test

import (
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"
	"beamfall/geometry/aim"
)

// On level ground, driven as parked, the tilts for one place are closed forms (right triangles).
func TestTiltForOnePlaceIsATriangle(t *testing.T) {
	var site geometry.Site
	for _, tt := range []struct{ height, spread, distance float64 }{
		{2.05, 10, 30}, {0.6, 36, 4}, {1.9, 20, 0.5}, {3.8, 8, 250}, {0.3, 60, 12},
	} {
		for _, turn := range []float64{0, 75, 180, -130} {
			l := lamp(-1.9, 0.4, tt.height, 3, tt.spread, 4000)
			l.Aim.Turn = turn * deg
			check := func(what string, got float64, err error, want float64) {
				t.Helper()
				if err != nil || math.Abs(got-want) > 1e-9 {
					t.Errorf("%s, %v m up, %v m away, %v° spread, turned %v°: %.9f° (%v), want %.9f°", what, tt.height,
						tt.distance,
						tt.spread, turn, got/deg, err, want/deg)
				}
			}
			down := math.Atan(tt.height / tt.distance)
			tilt, err := aim.Hit(&site, l, tt.distance)
			check("hit", tilt, err, down)
			tilt, err = aim.LevelEdge(&site, l)
			check("level edge", tilt, err, tt.spread/2*deg)
			tilt, err = aim.Near(&site, l, tt.distance)
			check("near", tilt, err, down-tt.spread/2*deg)
		}
	}
}

// With a load, on a slope or a profile, and rolled, the tilt found does what was asked.
func TestTiltForOnePlaceDoesIt(t *testing.T) {
	sites := map[string]*geometry.Site{
		"load":  {Attitude: geometry.NoseUp(1.2*deg, -4)},
		"slope": {Ground: geometry.Ground{Grade: 0.06, CrossFall: -0.04}},
		"profile": {Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: 0}, {Ahead: 10}, {Ahead: 30, Height: 1.5},
			{Ahead: 60, Height: -2}}}, Attitude: geometry.NoseUp(-0.8*deg, -4)},
	}
	for name, site := range sites {
		for _, turn := range []float64{0, 40, 200} {
			l := lamp(-1.9, 0.4, 2.05, 3, 12, 4000)
			l.Optics[0].Beam = beam.Gaussian(beam.Angles{Across: 40 * deg, UpDown: 12 * deg}).WithFlux(4000)
			l.Aim.Turn, l.Aim.Roll = turn*deg, 25*deg
			aimed := func(tilt float64) *geometry.Mounted {
				l := l
				l.Aim.Tilt = tilt
				return &site.Scene(l).Lamps[0]
			}
			if tilt, err := aim.Hit(site, l, 20); err != nil {
				t.Errorf("%s, turned %v°: %v", name, turn, err)
			} else if p, ok := site.AxisHit(aimed(tilt)); !ok || math.Abs(aimed(tilt).Range(p)-20) > 1e-6 {
				t.Errorf("%s, turned %v°: the axis hits %v %v", name, turn, p, ok)
			}
			if tilt, err := aim.Near(site, l, 6); err != nil {
				t.Errorf("%s, turned %v°: %v", name, turn, err)
			} else if near, _ := site.NearFar(aimed(tilt)); math.Abs(near-6) > 1e-6 {
				t.Errorf("%s, turned %v°: the lower edge is at %v", name, turn, near)
			}
			if tilt, err := aim.LevelEdge(site, l); err != nil {
				t.Errorf("%s, turned %v°: %v", name, turn, err)
			} else if _, upper, _ := aimed(tilt).Edges(); math.Abs(upper.Z) > 1e-9 {
				t.Errorf("%s, turned %v°: the upper edge rises by %v", name, turn, upper.Z)
			}
		}
	}
	// behind the crest at 30 m nothing can be hit from 0.7 m up
	l := lamp(0, 0, 0.7, 0, 10, 1000)
	if tilt, err := aim.Hit(sites["profile"], l, 55); err == nil {
		t.Errorf("hits the ground behind a crest with a tilt of %v°", tilt/deg)
	}
}
