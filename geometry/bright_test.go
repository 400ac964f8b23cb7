package geometry_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The brightest ground: known where it can be known, and never beaten by a dense search.

func TestBrightestGroundBelowALamp(t *testing.T) {
	// A flat diffuse source that looks straight down is brightest straight below, I0/h² there; so
	// is a point of light.
	for name, d := range map[string]beam.Distribution{"diffuse": lambertian(800), "isotropic": isotropic(800)} {
		b := onLevel(lamp(r3.Vec{X: -3, Y: 1.5, Z: 2.5}, down, 0, d)).Brightest()
		near(t, name+": lux", b.Lux, 800/(2.5*2.5), 1e-6)
		closeTo(t, name+": ahead", b.At.X, -3, 2e-3)
		closeTo(t, name+": left", b.At.Y, 1.5, 2e-3)
	}
	// On a slope a point of light is brightest at the foot of the perpendicular: 1 m over a slope
	// of 20 %, h = 1/√1.04.
	s := (&geometry.Site{Ground: geometry.Ground{Grade: 0.2}}).Scene(lamp(r3.Vec{Z: 1}, down, 0, isotropic(100)))
	b := s.Brightest()
	near(t, "slope: lux", b.Lux, 100*1.04, 1e-6)
	closeTo(t, "slope: ahead", b.At.X, 0.2/1.04, 2e-3)
	closeTo(t, "slope: height", b.At.Z, 0.04/1.04, 1e-3)
}

func TestBrightestGroundOfAnEvenCone(t *testing.T) {
	// E = I sin³/h² grows toward the lamp: brightest at the near edge of the cone, t + β below
	// level, whichever way it is turned or rolled.
	for _, tt := range []struct{ tilt, half, turn float64 }{
		{10, 10, 0}, {10, 10, 22.5}, {30, 5, 67}, {3, 2, 11}, {15, 20, 180}, {5, 5, 33}, {60, 20, 100},
	} {
		l := lamp(r3.Vec{X: -1, Z: 2}, geometry.Aim{Tilt: tt.tilt * deg, Turn: tt.turn * deg, Roll: 50 * deg}, 0,
			beam.Uniform(beam.Round(2*tt.half*deg)).WithPeak(1000))
		b := onLevel(l).Brightest()
		near(t, fmt.Sprintf("%+v: lux", tt), b.Lux, 1000*math.Pow(math.Sin((tt.tilt+tt.half)*deg), 3)/4, 5e-4)
	}
}

// An even oval cone is brightest somewhere along its edge: E = I sin³/h² of the steepest ray of the
// edge.
func TestBrightestGroundOfAnEvenOval(t *testing.T) {
	for _, aim := range []geometry.Aim{
		{Tilt: -4.7 * deg, Turn: 3 * deg}, {Tilt: 10 * deg, Turn: 40 * deg, Roll: 25 * deg},
		{Tilt: 20 * deg, Roll: -70 * deg},
	} {
		l := lamp(r3.Vec{X: -1, Z: 1.7}, aim, 0,
			beam.Uniform(beam.Angles{Across: 80 * deg, UpDown: 20 * deg}).WithPeak(1000))
		axes, steepest := aim.Axes(), 0.0
		for phi := 0.0; phi < 2*math.Pi; phi += 1e-4 {
			edge := 1 / math.Hypot(math.Cos(phi)/(40*deg), math.Sin(phi)/(10*deg))
			steepest = math.Max(steepest, -axes.Direction(edge, math.Cos(phi), math.Sin(phi)).Z)
		}
		near(t, fmt.Sprintf("%+v: lux", aim), onLevel(l).Brightest().Lux, 1000*math.Pow(steepest, 3)/(1.7*1.7), 5e-4)
	}
}

// A wide bar that is rolled so far that one end is under the ground or close above it: what it
// lights may be away from all rays of its middle. Never beaten by a grid of 4 cm.
func TestBrightestGroundUnderARolledBar(t *testing.T) {
	for _, tt := range []struct{ up, tilt, turn, roll, width float64 }{
		{0.58, 22, 94, 137, 4.5}, {0.69, 2, 6, -162, 5.1}, {0.28, 22, 0, -36, 9.5}, {0.18, 87, 0, -159, 7.7},
		{0.8, 0, 0, 166, 6.8},
	} {
		l := lamp(r3.Vec{Z: tt.up}, geometry.Aim{Tilt: tt.tilt * deg, Turn: tt.turn * deg, Roll: tt.roll * deg},
			tt.width, beam.Gaussian(beam.Round(20*deg)).WithFlux(3000))
		s := onLevel(l)
		f, err := s.GroundField(context.Background(), geometry.Grid{X0: -6, Y0: -6, Step: 0.06, NX: 201, NY: 201})
		if err != nil {
			t.Fatal(err)
		}
		most := slices.Max(f.Lux)
		if b := s.Brightest(); !(most > 0) || b.Lux < 0.999*most {
			t.Errorf("%+v: %v lx at %.2f, a grid has %v", tt, b.Lux, b.At, most)
		}
	}
}

func TestBrightestGroundIsNearerThanTheAxis(t *testing.T) {
	// A gaussian of 10°, 5° down from 2 m, by its own formula along the centreline: E(α) = I(α -
	// 5°) sin³α/h².
	for _, tt := range []struct{ tilt, half float64 }{{5, 5}, {2, 2}, {1, 3}, {10, 18}, {20, 30}} {
		const h = 2.0
		best, at := 0.0, 0.0
		for a := 0.01; a < 90; a += 0.001 {
			if e := math.Exp2(-sq((a-tt.tilt)/tt.half)) * math.Pow(math.Sin(a*deg), 3) / (h * h); e > best {
				best, at = e, h/math.Tan(a*deg)
			}
		}
		for _, turn := range []float64{0, 30, 135} {
			l := lamp(r3.Vec{Z: h}, geometry.Aim{Tilt: tt.tilt * deg, Turn: turn * deg}, 0,
				beam.Gaussian(beam.Round(2*tt.half*deg)).WithPeak(1e4))
			b := onLevel(l).Brightest()
			where := fmt.Sprintf("%v° beam %v° down, turned %v°", 2*tt.half, tt.tilt, turn)
			near(t, where+": lux", b.Lux, 1e4*best, 1e-4)
			near(t, where+": range", math.Hypot(b.At.X, b.At.Y), at, 0.02)
			closeTo(t, where+": off the azimuth", b.At.Y*math.Cos(turn*deg)-b.At.X*math.Sin(turn*deg), 0, 0.01*at)
			if axis := h / math.Tan(tt.tilt*deg); at > axis {
				t.Errorf("%s: brightest at %v m, past the axis at %v m", where, at, axis)
			}
		}
	}
}

func TestBrightestGroundAgainstDenseSearch(t *testing.T) {
	t.Parallel()
	// Nowhere on a grid of rings about each lamp is it brighter by more than half a percent.
	worst, lit := 0.0, 0
	rigs := drawn(6, 24)
	for seed := range uint64(rigs) {
		d := newDraw(seed + 70000)
		r := d.rig()
		s := r.scene()
		b := s.Brightest()
		near(t, "light there", s.GroundLux(b.At.X, b.At.Y), b.Lux, 1e-12)
		most, at := 0.0, r3.Vec{}
		for i := range s.Lamps {
			m := &s.Lamps[i]
			for ring := 0.05; ring < 60; ring *= 1.12 {
				for k := range 60 {
					a := float64(k) * 12 * deg
					if k >= 30 { // half of them close to the azimuth
						a = math.Atan2(m.Axes.Ahead.Y, m.Axes.Ahead.X) + (float64(k-30)-14.5)*0.6*deg
					}
					x, y := m.Place.X+ring*math.Cos(a), m.Place.Y+ring*math.Sin(a)
					if v := s.GroundLux(x, y); v > most {
						most, at = v, r3.Vec{X: x, Y: y}
					}
				}
			}
		}
		if most > 1.005*b.Lux {
			t.Errorf("rig %d: brightest %.5g lx at %.3f, but %.5g lx at %.3f\n%+v", seed, b.Lux, b.At, most, at, *r)
		}
		if most > 0 {
			lit++
			worst = math.Max(worst, most/b.Lux-1)
		}
	}
	t.Logf("%d rigs light the ground, search ahead by at most %.2g", lit, worst)
}

func TestNoBrightestGround(t *testing.T) {
	for name, s := range map[string]*geometry.Scene{
		"no lamps":   onLevel(),
		"at the sky": onLevel(lamp(r3.Vec{Z: 2}, tilted(-60), 0, beam.Uniform(beam.Round(20*deg)).WithPeak(1000))),
		"no light":   onLevel(lamp(r3.Vec{Z: 2}, tilted(10), 0, isotropic(0))),
		"under a bonnet": (&geometry.Site{Body: []geometry.Box{hood}}).Scene(lamp(r3.Vec{X: -1, Z: 0.8}, tilted(10), 0,
			isotropic(100))),
	} {
		if b := s.Brightest(); b.Lux != 0 {
			t.Errorf("%s: %+v", name, b)
		}
	}
}

// Along a cliff every step leads up by next to nothing; the search ends all the same.
func TestBrightestOnACliff(t *testing.T) {
	site := &geometry.Site{
		Attitude: geometry.NoseUp(0.6*deg, -4.1), Visibility: 141.05,
		Ground: geometry.Ground{Profile: []geometry.Knot{{}, {Ahead: 1e-6, Height: 1000}}},
	}
	flood, narrow := beam.Gaussian(beam.Round(39.93*deg)), beam.Gaussian(beam.Round(15.38*deg))
	bar := lamp(r3.Vec{X: -0.78, Y: 0.72, Z: 0.8}, geometry.Aim{Tilt: 0.17 * deg}, 10, flood.WithPeak(45000))
	spot := lamp(r3.Vec{Y: 0.66, Z: 1.35}, geometry.Aim{Tilt: 7.51 * deg}, 0, narrow.WithFlux(4585))
	if b := site.Scene(bar, spot).Brightest(); !(b.Lux > 0) {
		t.Errorf("%+v", b)
	}
}
