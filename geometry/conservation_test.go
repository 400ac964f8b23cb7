package geometry_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// No light is lost and none is made: what a lamp sends out lands somewhere.

// profiles is one of each, narrow and wide, round and oval.
var profiles = func() []struct {
	name  string
	shape beam.Shape
} {
	oval := func(a, u float64) beam.Angles { return beam.Angles{Across: a * deg, UpDown: u * deg} }
	round := func(a float64) beam.Angles { return beam.Round(a * deg) }
	return []struct {
		name  string
		shape beam.Shape
	}{
		{"gaussian 10°", beam.Gaussian(round(10))},
		{"gaussian 150°", beam.Gaussian(round(150))},
		{"gaussian 60 × 12", beam.Gaussian(oval(60, 12))},
		{"field 10°/40°", beam.GaussianField(round(10), round(40))},
		{"field 40 × 10", beam.GaussianField(oval(40, 10), oval(60, 40))},
		{"cosine 30°", beam.Cosine(round(30))},
		{"cosine 120°", beam.Cosine(round(120))},
		{"cosine 100 × 30", beam.Cosine(oval(100, 30))},
		{"uniform 30°", beam.Uniform(round(30))},
		{"uniform 80 × 20", beam.Uniform(oval(80, 20))},
	}
}()

func TestFluxOnTheGroundAndInTheSky(t *testing.T) {
	t.Parallel()
	// Rings around the foot of the lamp, r = h tan α with even steps of α, so that each sees an
	// even part of the beam, out to a million times the height.
	const rated, h = 1000.0, 2.0
	for i, p := range profiles {
		if i%3 != 0 && !*sweep {
			continue
		}
		for j, width := range []float64{0, 0.8}[:1+i%2] {
			tilt := []float64{12, 60, -5, 3, 25}[(i+2*j)%5]
			s := onLevel(
				lamp(r3.Vec{X: -1, Y: 0.5, Z: h}, geometry.Aim{Tilt: tilt * deg, Turn: 37 * deg, Roll: 20 * deg},
					width, p.shape.WithFlux(rated)),
			)
			rings, spokes := 300, 200
			if width == 0 && strings.HasPrefix(p.name, "uniform") { // whose edge cuts through cells
				rings, spokes = 900, 540
			}
			ground := 0.0
			for i := range rings {
				// finer toward the horizon, where a level beam lies
				u := (float64(i) + 0.5) / float64(rings)
				left := math.Pi / 2 * (1 - u) * (1 - u)
				alpha, dAlpha := math.Pi/2-left, math.Pi*(1-u)/float64(rings)
				r := h * math.Tan(alpha)
				for j := range spokes {
					// finer toward the azimuth: its turn, and a full circle about it
					v := 2*(float64(j)+0.5)/float64(spokes) - 1
					phi := 37*deg + math.Pi*v*(0.3+0.7*v*v)
					dPhi := math.Pi * (0.3 + 2.1*v*v) * 2 / float64(spokes)
					cell := r * h / sq(math.Cos(alpha)) * dAlpha * dPhi
					ground += s.GroundLux(-1+r*math.Cos(phi), 0.5+r*math.Sin(phi)) * cell
				}
			}
			sky := s.Lamps[0].SkyShare()
			near(t,
				fmt.Sprintf("%s %v° down, %v m wide: ground %.2f lm, sky share %.4f", p.name, tilt, width, ground, sky),
				ground+sky*rated, rated, 1e-3)
		}
	}
}

func TestFluxThroughAClosedBox(t *testing.T) {
	t.Parallel()
	// Six walls 1 m around a lamp catch all of it, whatever the lamp and its aim; and half a metre
	// beside it none is left over: what enters a box that holds no lamp leaves it again.
	wall := func(s *geometry.Scene, centre r3.Vec, half float64, n int, inward bool) float64 {
		flux := 0.0
		for axis := range 3 {
			for _, side := range []float64{-1, 1} {
				unit := func(a, b, c float64) r3.Vec {
					v := [3]float64{}
					v[axis], v[(axis+1)%3], v[(axis+2)%3] = a, b, c
					return r3.Vec{X: v[0], Y: v[1], Z: v[2]}
				}
				normal := unit(-side, 0, 0)
				if !inward {
					normal = unit(side, 0, 0)
				}
				step := 2 * half / float64(n)
				row := make([]float64, n)
				for i := range n {
					clear(row)
					start := r3.Add(centre, unit(side*half, -half+(float64(i)+0.5)*step, -half+step/2))
					s.AddRow(row, geometry.Row{Start: start, Step: unit(0, 0, step), Normal: normal})
					for _, v := range row {
						flux += v * step * step
					}
				}
			}
		}
		return flux
	}
	at := r3.Vec{X: 3, Y: 2, Z: 5}
	for i, p := range profiles {
		width := 0.6 * float64(i%2)
		s := onLevel(
			lamp(at, geometry.Aim{Tilt: 30 * deg, Turn: 50 * deg, Roll: 10 * deg}, width, p.shape.WithFlux(1000)),
		)
		n, share := 44, 1e-3
		if strings.HasPrefix(p.name, "uniform") { // whose edge is as wide as a square of the walls
			n, share = 110, 4e-3
		}
		near(t, fmt.Sprintf("%s, %v m wide: flux on six walls", p.name, width), wall(s, at, 1, n, true), 1000, share)
		off := r3.Add(at, r3.Scale(1.1, s.Lamps[0].Axes.Ahead))
		in, out := wall(s, off, 0.5, n, false), wall(s, off, 0.5, n, true)
		near(t, fmt.Sprintf("%s, %v m wide: flux through a box", p.name, width), out, in, 2*share)
	}
	near(t, "isotropic", wall(onLevel(lamp(at, down, 0, isotropic(100))), at, 1, 64, true), 400*math.Pi, 1e-4)
}

func TestSkyShare(t *testing.T) {
	for _, tt := range []struct {
		name string
		tilt float64
		roll float64
		d    beam.Distribution
		want float64
	}{
		{"level", 0, 0, beam.Gaussian(beam.Round(20 * deg)).WithFlux(500), 0.5},
		{"level, rolled", 0, 33, beam.Cosine(beam.Angles{Across: 80 * deg, UpDown: 20 * deg}).WithFlux(500), 0.5},
		{"at the sky", -90, 0, beam.Gaussian(beam.Round(20 * deg)).WithFlux(500), 1},
		{"at the ground", 90, 0, beam.Cosine(beam.Round(120 * deg)).WithFlux(500), 0},
		{"cone below level", 12, 0, beam.Uniform(beam.Round(20 * deg)).WithFlux(500), 0},
		{"isotropic", 40, 0, isotropic(30), 0.5},
		{"no light", 40, 0, isotropic(0), 0},
		// view factor of a tilted diffuse surface to the sky, (1 + cos(90° + t))/2 (any radiation
		// handbook)
		{"Lambertian, 30° down", 30, 10, lambertian(100), 0.25},
		{"Lambertian, 30° up", -30, 0, lambertian(100), 0.75},
	} {
		m := mounted(new(geometry.Site),
			lamp(r3.Vec{Z: 1}, geometry.Aim{Tilt: tt.tilt * deg, Turn: 60 * deg, Roll: tt.roll * deg}, 0.3, tt.d))
		closeTo(t, tt.name, m.SkyShare(), tt.want, 1e-4)
	}
	// Driven with the nose up the beam is level.
	m := mounted(&geometry.Site{Attitude: geometry.NoseUp(5*deg, -3)},
		lamp(r3.Vec{Z: 1}, tilted(5), 0, beam.Gaussian(beam.Round(8*deg)).WithFlux(1)))
	closeTo(t, "5° down, nose 5° up", m.SkyShare(), 0.5, 1e-6)
	// A mix is the mean by flux: level, half of the light of either is up.
	mix := geometry.Lamp{At: r3.Vec{Z: 1}, Optics: []geometry.Optic{
		{Beam: beam.Gaussian(beam.Round(8 * deg)).WithFlux(300)},
		{Beam: beam.Uniform(beam.Round(60 * deg)).WithFlux(100)}}}
	closeTo(t, "mix, level", mounted(new(geometry.Site), mix).SkyShare(), 0.5, 1e-4)
	// cone of 60° (0.5 sr-weight by cap): 10° up, the part below level of a cap of 30° cut 10° off
	// its middle, by numbers
	mix.Aim = tilted(-10)
	below, all := 0.0, 0.0
	for i := range 2000 {
		th := (float64(i) + 0.5) / 2000 * 30 * deg
		for j := range 400 {
			ph := (float64(j) + 0.5) / 400 * 2 * math.Pi
			w := math.Sin(th)
			all += w
			if math.Cos(th)*math.Sin(10*deg)+math.Sin(th)*math.Cos(10*deg)*math.Cos(ph) < 0 {
				below += w
			}
		}
	}
	spot := mounted(new(geometry.Site),
		lamp(r3.Vec{Z: 1}, tilted(-10), 0, beam.Gaussian(beam.Round(8*deg)).WithFlux(1))).SkyShare()
	closeTo(t, "mix, 10° up", mounted(new(geometry.Site), mix).SkyShare(), 0.75*spot+0.25*(1-below/all), 1e-3)
}
