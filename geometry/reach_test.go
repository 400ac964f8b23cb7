package geometry_test

import (
	"fmt"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// How far one sees: reach and dark gaps against what can be worked out by hand.

// solve is the x between lo and hi at which f falls through zero.
func solve(lo, hi float64, f func(float64) float64) float64 {
	for range 200 {
		if mid := (lo + hi) / 2; f(mid) >= 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func TestReachOfAPoint(t *testing.T) {
	// At the height of what is lit, E = I/d²; from a height h more, E = I d/(d²+h²)^(3/2).
	for _, lux := range []float64{0.25, 1, 3, 10} {
		for _, tt := range []struct{ ahead, height, candela float64 }{
			{0, 0.6, 900}, {-1.9, 0.6, 30000}, {-1.9, 2.05, 30000}, {-5, 3.6, 400},
		} {
			l := lamp(r3.Vec{X: tt.ahead, Z: tt.height}, geometry.Aim{}, 0, isotropic(tt.candela))
			h := tt.height - 0.6
			want := solve(h, 1e4, func(d float64) float64 { return tt.candela*d/math.Pow(d*d+h*h, 1.5) - lux })
			s := onLevel(l)
			near(t, "reach of a lamp, from the lamp", s.Azimuth(0, lux).Reach(lux), want, 1e-9)
			near(t, "reach of a scene, from the bumper", s.Centreline(lux).Reach(lux), want+tt.ahead, 1e-9)
		}
	}
	near(t, "inverse square", onLevel(lamp(r3.Vec{Z: 0.6}, geometry.Aim{}, 0, isotropic(900))).Azimuth(0, 1).Reach(1),
		30, 1e-12)
}

func TestReachOfABeam(t *testing.T) {
	// A gaussian of 10° and 60 000 cd, 1.5 m over the object and tilted 2°: the object is seen at
	// arctan(1.5/d) below level. Turned any way, the lamp has the same reach along its own azimuth.
	const peak, h = 60000.0, 1.5
	for _, turn := range []float64{0, 35, 90, 180, -120} {
		for _, visibility := range []float64{0, 300} {
			l := lamp(r3.Vec{X: -2, Y: 0.4, Z: 0.6 + h},
				geometry.Aim{Tilt: 2 * deg, Turn: turn * deg, Roll: 15 * deg}, 0,
				beam.Gaussian(beam.Round(10*deg)).WithPeak(peak))
			s := (&geometry.Site{Visibility: visibility}).Scene(l)
			for _, lux := range []float64{1, 3, 20} {
				want := solve(25, 1e4, func(d float64) float64 {
					away := math.Atan(h/d) - 2*deg
					air := 1.0
					if visibility > 0 {
						air = math.Pow(0.05, math.Hypot(d, h)/visibility)
					}
					return peak*math.Exp2(-sq(away/(5*deg)))*d/math.Pow(d*d+h*h, 1.5)*air - lux
				})
				near(t, fmt.Sprintf("reach at %v lx, turned %v°, visibility %v m", lux, turn, visibility),
					s.Azimuth(0, lux).Reach(lux), want, 1e-9)
			}
		}
	}
	// No such point: none at all.
	high := onLevel(lamp(r3.Vec{Z: 2}, tilted(-40), 0, beam.Gaussian(beam.Round(10*deg)).WithPeak(1000)))
	if r := high.Azimuth(0, 1).Reach(1); !math.IsNaN(r) {
		t.Errorf("a lamp aimed at the sky reaches %v m", r)
	}
	if g := high.Centreline(1).Gaps(1); len(g) != 0 {
		t.Errorf("gaps %v without a reach", g)
	}
	back := onLevel(
		lamp(r3.Vec{X: -5, Z: 2}, geometry.Aim{Tilt: 5 * deg, Turn: math.Pi}, 0,
			beam.Gaussian(beam.Round(10*deg)).WithPeak(10000)),
	)
	if r := back.Centreline(1).Reach(1); !math.IsNaN(r) {
		t.Errorf("a rear lamp reaches %v m ahead", r)
	}
}

func TestReachOfAHardEdge(t *testing.T) {
	// An even cone of ±5° tilted 8°, 1.9 m over what is lit: its upper edge, 3° down, passes there
	// at 1.9/tan 3° m, the lower one at 1.9/tan 13° m. Before that it is dark.
	l := lamp(r3.Vec{Z: 2.5}, tilted(8), 0, beam.Uniform(beam.Round(10*deg)).WithPeak(50000))
	s := onLevel(l)
	reach, first := 1.9/math.Tan(3*deg), 1.9/math.Tan(13*deg)
	near(t, "reach", s.Centreline(1).Reach(1), reach, 1e-9)
	gaps := s.Centreline(1).Gaps(1)
	if len(gaps) != 1 || gaps[0].From != 0 {
		t.Fatalf("gaps %v", gaps)
	}
	near(t, "dark before it", gaps[0].To, first, 1e-9)
	if g := s.Centreline(1).Gaps(1e9); len(g) != 0 {
		t.Errorf("gaps %v at a level that nothing reaches", g)
	}
}

func TestGapBetweenTwoBeams(t *testing.T) {
	// Two such cones, one near and one far: dark from the upper edge of the one to the lower edge
	// of the other.
	cone := beam.Uniform(beam.Round(4 * deg)).WithPeak(50000)
	s := onLevel(lamp(r3.Vec{X: -1, Z: 2.6}, tilted(20), 0, cone), lamp(r3.Vec{X: -1, Z: 2.6}, tilted(5), 0, cone))
	at := func(below float64) float64 { return -1 + 2/math.Tan(below*deg) }
	gaps := s.Centreline(1).Gaps(1)
	want := []geometry.Stretch{{From: 0, To: at(22)}, {From: at(18), To: at(7)}}
	if len(gaps) != len(want) {
		t.Fatalf("gaps %v, want %v", gaps, want)
	}
	for i := range want {
		closeTo(t, "gap from", gaps[i].From, want[i].From, 1e-6)
		closeTo(t, "gap to", gaps[i].To, want[i].To, 1e-6)
	}
	near(t, "reach", s.Centreline(1).Reach(1), at(3), 1e-9)
	near(t, "reach of the near one", s.Azimuth(0, 1).Reach(1), at(18)+1, 1e-9)
}

func TestGapBehindACrest(t *testing.T) {
	// The shadow worked out in TestShadowBehindACrest: 0.6 m over the ground it is dark from 48 m
	// to 66 m.
	s := (&geometry.Site{Ground: crest}).Scene(
		lamp(r3.Vec{Z: 2}, tilted(2), 0.5, beam.Cosine(beam.Round(100*deg)).WithPeak(1e5)),
	)
	gaps := s.Centreline(1).Gaps(1)
	if len(gaps) != 1 {
		t.Fatalf("gaps %v", gaps)
	}
	closeTo(t, "gap from", gaps[0].From, 48, 1e-5)
	closeTo(t, "gap to", gaps[0].To, 66, 1e-5)
	if r := s.Azimuth(0, 1).Reach(1); r < 200 {
		t.Errorf("reach %v m, past the crest it is lit", r)
	}
}

func TestGapBehindTheHood(t *testing.T) {
	// In the hood's shadow a plane 0.6 m up is dark until the line past its edge, as in
	// TestHoodShadow….
	s := (&geometry.Site{Body: []geometry.Box{hood}}).Scene(roofLamp(0))
	gaps := s.Centreline(1).Gaps(1)
	if len(gaps) != 1 || gaps[0].From != 0 {
		t.Fatalf("gaps %v", gaps)
	}
	closeTo(t, "gap to", gaps[0].To, -1.9+1.45*1.7/0.9, 1e-6)
}

func TestReachAndGapsAgainstSteps(t *testing.T) {
	t.Parallel()
	// Random rigs, walked in steps of 5 cm.
	reached, dark := 0, 0
	for seed := range uint64(40) {
		d := newDraw(seed + 60000)
		s := d.rig().scene()
		const lux, step, end = 3.0, 0.05, 400.0
		profile := s.Centreline(lux)
		reach, gaps := profile.Reach(lux), profile.Gaps(lux)
		last := math.NaN()
		for x := step / 2; x < end; x += step {
			in := s.FacingLux(x, 0, 0.6) >= lux
			if in {
				last = x
			}
			inGap := false
			for _, g := range gaps {
				inGap = inGap || g.From < x && x < g.To
			}
			if x < reach-step && in == inGap {
				// A step beside an edge may be on either side of it; a gap shorter than 5 cm does
				// not count, and light that is shorter than the steps of a profile may be missed.
				room := 0.05 + 0.005*x
				near := (x < room || (s.FacingLux(x-room, 0, 0.6) >= lux) != in) &&
					(s.FacingLux(x+room, 0, 0.6) >= lux) != in
				for _, g := range gaps {
					near = near || math.Abs(x-g.From) < room || math.Abs(x-g.To) < room
				}
				if !near {
					t.Errorf("rig %d at %.2f m: lit %v, in a gap %v (reach %v, gaps %v)", seed, x, in, inGap, reach,
						gaps)
				}
			}
			if inGap {
				dark++
			}
		}
		if reach < end-step && math.Abs(reach-last) > step+0.005*reach || math.IsNaN(reach) != math.IsNaN(last) {
			t.Errorf("rig %d: reach %v, steps have %v", seed, reach, last)
		}
		if reach > 0 {
			reached++
		}
	}
	if reached < 12 || dark < 300 {
		t.Errorf("%d rigs reach, %d steps dark: too few to mean anything", reached, dark)
	}
}
