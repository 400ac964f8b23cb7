package geometry_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// A track that bends, and which way a plane faces the vehicle.

func TestTrackThroughABend(t *testing.T) {
	// 60 m to the left from 20 m on: a quarter of a turn is 94.248 m long and ends at (80, 60),
	// half a turn at (20, 120).
	left := geometry.Track{Radius: 60, Left: true, From: 20}
	right := geometry.Track{Radius: 60, From: 20}
	quarter := 60 * math.Pi / 2
	half := math.Sqrt(0.5)
	for _, tt := range []struct{ s, left, x, y, headX, headY float64 }{
		{-5, 1, -5, 1, 1, 0},
		{20, 0, 20, 0, 1, 0},
		{20 + quarter/2, 0, 20 + 60*half, 60 - 60*half, half, half},
		{20 + quarter, 0, 80, 60, 0, 1},
		{20 + quarter, 3, 77, 60, 0, 1}, // 3 m to the left, toward the middle of the bend
		{20 + 2*quarter, 0, 20, 120, -1, 0},
		{20 + 2*quarter, -3, 20, 123, -1, 0},
		{20 + 2*quarter + 7, 0, 13, 120, -1, 0}, // straight on past the end
	} {
		x, y := left.Place(tt.s, tt.left)
		closeTo(t, fmt.Sprintf("x at %.1f, %v", tt.s, tt.left), x, tt.x, 1e-9)
		closeTo(t, fmt.Sprintf("y at %.1f, %v", tt.s, tt.left), y, tt.y, 1e-9)
		closeTo(t, fmt.Sprintf("heading at %.1f", tt.s),
			r3.Norm(r3.Sub(left.Heading(tt.s), r3.Vec{X: tt.headX, Y: tt.headY})), 0, 1e-12)
		mx, my := right.Place(tt.s, -tt.left)
		closeTo(t, "mirrored, x", mx, tt.x, 1e-9)
		closeTo(t, "mirrored, y", my, -tt.y, 1e-9)
		if tt.s <= left.End() {
			closeTo(t, fmt.Sprintf("nearest to (%v, %v)", tt.x, tt.y), left.Nearest(x, y), tt.s, 1e-9)
			closeTo(t, "mirrored, nearest", right.Nearest(mx, my), tt.s, 1e-9)
		}
	}
	closeTo(t, "end", left.End(), 20+2*quarter, 1e-12)
}

// The nearest place of a track against steps of a centimetre along it.
func TestNearestPlaceOfATrack(t *testing.T) {
	for _, track := range []geometry.Track{{Radius: 15, Left: true, From: 10}, {Radius: 40}, {}} {
		for _, p := range [][2]float64{
			{3, 2}, {3, 40}, {3, 29}, {12, 14}, {30, 20}, {30, -20}, {12, 33}, {-8, 31}, {60, 70}, {10, -50},
			{-1, -83},
		} {
			want, best := 0.0, math.Inf(1)
			for s := -100.0; s <= min(150, track.End()); s += 0.01 {
				x, y := track.Place(s, 0)
				if d := math.Hypot(x-p[0], y-p[1]); d < best {
					want, best = s, d
				}
			}
			s := track.Nearest(p[0], p[1])
			x, y := track.Place(s, 0)
			if d := math.Hypot(x-p[0], y-p[1]); math.Abs(s-want) > 0.006+1e-3*best && math.Abs(d-best) > 1e-4 {
				t.Errorf("%+v, nearest to %v: %.3f, %.4f m off; steps have %.3f, %.4f m off", track, p, s, d, want,
					best)
			}
		}
	}
}

// The offset that sight on a bend needs, R (1 - cos(28.65° S/R)): 425 ft on 1150 ft need 19.58 ft
// (AASHTO, as in TxDOT Roadway Design Manual 4.7.9). It is from the middle of the arc to the middle
// of the line of sight, both ends of which are on the track.
func TestSightOffsetOnABend(t *testing.T) {
	track := geometry.Track{Radius: 1150, Left: true}
	x, y := track.Place(425, 0)
	mx, my := track.Place(425/2., 0)
	closeTo(t, "offset, ft", math.Hypot(x/2-mx, y/2-my), 19.58, 0.005)
}

func TestFacing(t *testing.T) {
	ahead, back, left, right := r3.Vec{X: 1}, r3.Vec{X: -1}, r3.Vec{Y: 1}, r3.Vec{Y: -1}
	half := math.Sqrt(0.5)
	truck := geometry.Site{Length: 5}
	bend := geometry.Site{Length: 5, Track: geometry.Track{Radius: 30, From: 10}}
	for _, tt := range []struct {
		site geometry.Site
		x, y float64
		want r3.Vec
	}{
		{truck, 50, 3, back}, {truck, 0, -9, back}, // ahead of the bumper
		{truck, -5.001, 2, ahead}, {truck, -30, 0, ahead}, // behind the tail
		{truck, -5, 2, right}, {truck, -0.001, 9, right}, {truck, -2, -1, left}, // beside, to the centreline
		{truck, -2, 0, back},                                           // on it
		{geometry.Site{}, 0, 2, back}, {geometry.Site{}, -1, 2, ahead}, // no length: nothing is beside it
		{bend, 8, 2, back},
		// an eighth of a turn to the right: it heads to the right
		{bend, 10 + 30*half, -30 + 30*half, r3.Vec{X: -half, Y: half}},
		{bend, 10 + 40*half, -30 + 40*half, r3.Vec{X: -half, Y: half}}, // outside of it
		{bend, 40, -30, left}, {bend, 10, -60, ahead},
		{bend, -20, 5, ahead}, {bend, -3, 5, right},
	} {
		if got := tt.site.Facing(tt.x, tt.y); r3.Norm(r3.Sub(got, tt.want)) > 1e-12 {
			t.Errorf("facing at (%v, %v) on %+v: %.3f, want %.3f", tt.x, tt.y, tt.site.Track, got, tt.want)
		}
	}
}

// A rear lamp lights what faces it from behind, a side lamp what stands beside the vehicle: E = I
// cos/d² of a point.
func TestFacingLightAround(t *testing.T) {
	site := geometry.Site{Length: 5}
	s := site.Scene(lamp(r3.Vec{X: -5, Z: 1.6}, geometry.Aim{}, 0, isotropic(1000)))
	near(t, "10 m behind the tail", s.FacingLux(-15, 0, 0.6), 1000*10/math.Pow(101, 1.5), 1e-12)
	near(t, "4 m to the left", s.FacingLux(-5, 4, 1.6), 1000./16, 1e-12)
	near(t, "4 m to the right", s.FacingLux(-5, -4, 1.6), 1000./16, 1e-12)
	near(t, "ahead", s.FacingLux(5, 0, 1.6), 1000./100, 1e-12)
}

// pods are lamps for bends: two turned outward by 35°, a wide one and a spot straight ahead.
func pods() []geometry.Lamp {
	flood := beam.Gaussian(beam.Angles{Across: 40 * deg, UpDown: 20 * deg}).WithFlux(4000)
	return []geometry.Lamp{
		lamp(r3.Vec{X: -1.5, Y: 0.7, Z: 1.9}, geometry.Aim{Tilt: 5 * deg, Turn: 35 * deg}, 0.15, flood),
		lamp(r3.Vec{X: -1.5, Y: -0.7, Z: 1.9}, geometry.Aim{Tilt: 5 * deg, Turn: -35 * deg}, 0.15, flood),
		lamp(r3.Vec{X: -1.9, Z: 2.05}, tilted(4), 1, beam.Gaussian(beam.Round(12*deg)).WithFlux(9000)),
	}
}

// A bend of 100 m against points placed by hand, planes turned by hand.
func TestLightAlongABend(t *testing.T) {
	site := &geometry.Site{Track: geometry.Track{Radius: 100, Left: true, From: 15}}
	s := site.Scene(pods()...)
	profile := s.Centreline(0.5)
	for i, d := range profile.Distance {
		if i%40 != 0 {
			continue
		}
		p, n := r3.Vec{X: d, Z: 0.6}, r3.Vec{X: -1}
		if d > 15 {
			phi := (d - 15) / 100
			p = r3.Vec{X: 15 + 100*math.Sin(phi), Y: 100 * (1 - math.Cos(phi)), Z: 0.6}
			n = r3.Vec{X: -math.Cos(phi), Y: -math.Sin(phi)}
		}
		near(t, fmt.Sprintf("at %.2f m", d), profile.Lux[i], s.Lux(p, n), 1e-9)
		near(t, fmt.Sprintf("facing at %.2f m", d), s.FacingLux(p.X, p.Y, 0.6), s.Lux(p, n), 1e-9)
	}
	// A spot straight ahead leaves the track: on the tangent it would reach farther.
	spot := site.Scene(pods()[2])
	if on, straight := spot.Centreline(1).Reach(1), onLevel(pods()[2]).Centreline(1).Reach(1); !(on < 0.6*straight) {
		t.Errorf("a spot reaches %v m along the bend, %v m straight on", on, straight)
	}
}

// Straight is the limit of a wide bend.
func TestWideBendIsStraight(t *testing.T) {
	straight := onLevel(pods()...)
	for _, left := range []bool{true, false} {
		site := &geometry.Site{Track: geometry.Track{Radius: 1e10, Left: left, From: 3}}
		bend := site.Scene(pods()...)
		near(t, "reach", bend.Centreline(1).Reach(1), straight.Centreline(1).Reach(1), 1e-6)
		for _, p := range [][2]float64{{5, 2}, {40, -3}, {90, 0}} {
			near(t, "facing", bend.FacingLux(p[0], p[1], 0.6), straight.FacingLux(p[0], p[1], 0.6), 1e-6)
		}
		a, b := bend.Oncoming(80, 3.5, 40), straight.Oncoming(80, 3.5, 40)
		near(t, "veil", a.Veil, b.Veil, 1e-6)
	}
}

// Left and right change places when the rig is mirrored: the pods are their own mirror image.
func TestBendsMirror(t *testing.T) {
	var scenes [2]*geometry.Scene
	for i, left := range []bool{true, false} {
		scenes[i] = (&geometry.Site{Length: 5, Track: geometry.Track{Radius: 25, Left: left, From: 4}}).Scene(pods()...)
	}
	for x := -4.0; x < 40; x += 3 {
		for y := -30.0; y < 30; y += 2.5 {
			closeTo(t, fmt.Sprintf("(%v, %v), mirrored", x, y), scenes[1].FacingLux(x, -y, 0.6),
				scenes[0].FacingLux(x, y, 0.6), 1e-9)
		}
	}
	near(t, "reach", scenes[1].Centreline(1).Reach(1), scenes[0].Centreline(1).Reach(1), 1e-9)
}

// The map of facing light on a bend, beside the vehicle and behind it, against one point at a time.
func TestFacingFieldOnABend(t *testing.T) {
	for _, track := range []geometry.Track{{}, {Radius: 20, Left: true, From: 5}, {Radius: 60}} {
		site := &geometry.Site{
			Length: 4.5,
			Track:  track,
			Body:   []geometry.Box{box("hood", -1.4, -0.2, -0.8, 0.8, 0.5, 1.1)},
		}
		s := site.Scene(
			append(
				pods(),
				lamp(r3.Vec{X: -4.5, Z: 1.8}, geometry.Aim{Tilt: 12 * deg, Turn: math.Pi}, 0.3,
					beam.Gaussian(beam.Round(36*deg)).WithFlux(3000)),
			)...)
		grid := geometry.Grid{X0: -12, Y0: -21, Step: 0.7, NX: 60, NY: 61}
		f, err := s.FacingField(context.Background(), grid, 0.6)
		if err != nil {
			t.Fatal(err)
		}
		lit := 0
		for i := range grid.NX {
			for j := range grid.NY {
				x, y := grid.X(i), grid.Y(j)
				got, want := f.At(i, j), s.FacingLux(x, y, 0.6)
				if math.Abs(got-want) > 0.005*want+1e-6*2e5/(x*x+y*y) {
					t.Fatalf("%+v at (%.2f, %.2f): %v lx, want %v", track, x, y, got, want)
				}
				if want > 0.5 {
					lit++
				}
			}
		}
		if lit < 500 {
			t.Errorf("%+v: %d points lit, too few to mean anything", track, lit)
		}
	}
}
