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

// What is interpolated keeps to 0.1 % of what is worked out, as long as the light is above 2^-16 of
// the beam's peak: lamps that are points, maps and rows of every step, on the ground and on facing
// planes. Points a third farther apart would not.
func TestInterpolationKeepsToATenthOfAPercent(t *testing.T) {
	const bound, faintest = 1e-3, 0x1p-16
	beams := map[string]beam.Shape{
		"gaussian, 10°": beam.Gaussian(beam.Round(10 * deg)), "gaussian, 36°": beam.Gaussian(beam.Round(36 * deg)),
		"oval": beam.Gaussian(
			beam.Angles{Across: 50 * deg, UpDown: 6 * deg},
		), "field": beam.GaussianField(beam.Round(20*deg), beam.Round(25*deg)),
		"cosine, 30°": beam.Cosine(beam.Round(30 * deg)), "cosine, 120°": beam.Cosine(beam.Round(120 * deg)),
	}
	for name, shape := range beams {
		const peak = 1e5
		at, aim := r3.Vec{X: -1, Y: 0.3, Z: 2}, geometry.Aim{Tilt: 5 * deg, Turn: 20 * deg}
		s := onLevel(lamp(at, aim, 0, shape.WithPeak(peak)))
		worst, where := 0.0, ""
		look := func(got float64, p, normal r3.Vec) {
			want, v := s.Lux(p, normal), r3.Sub(p, at)
			ray, axes := r3.Unit(v), aim.Axes()
			if s.Lamps[0].Lamp.Beam().Candela(r3.Dot(ray, axes.Ahead), r3.Dot(ray, axes.Left),
				r3.Dot(ray, axes.Up)) < faintest*peak {
				return
			}
			if off := math.Abs(got/want - 1); off > worst {
				worst, where = off, fmt.Sprintf("%.6g lx at %.2f toward %.2f", want, p, normal)
			}
		}
		for step := 0.04; step < 1; step *= 1.4 {
			g := geometry.Grid{X0: 4 * step, Y0: -80 * step, Step: step, NX: 256, NY: 160}
			ground, err := s.GroundField(context.Background(), g)
			if err != nil {
				t.Fatal(err)
			}
			facing, err := s.FacingField(context.Background(), g, 0.6)
			if err != nil {
				t.Fatal(err)
			}
			for i := 0; i < g.NX; i += 3 {
				for j := 1; j < g.NY; j += 4 {
					look(ground.At(i, j), r3.Vec{X: g.X(i), Y: g.Y(j)}, up)
					look(facing.At(i, j), r3.Vec{X: g.X(i), Y: g.Y(j), Z: 0.6}, r3.Vec{X: -1})
				}
			}
		}
		if worst > bound {
			t.Errorf("%s: off by %.2g, %s", name, worst, where)
		}
	}
}
