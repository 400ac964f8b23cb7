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

// peerRig is the rig that the numpy script of the performance table computes: eight lamps, 46
// emitters at 0.1 m there.
func peerRig() []geometry.Lamp {
	lamp := func(x, y, z, width, tilt, turn, lumens, across, upDown float64) geometry.Lamp {
		return geometry.Lamp{
			At: r3.Vec{X: x, Y: y, Z: z}, Width: width, Aim: geometry.Aim{Tilt: tilt * deg, Turn: turn * deg},
			Optics: []geometry.Optic{
				{Beam: beam.Gaussian(beam.Angles{Across: across * deg, UpDown: upDown * deg}).WithFlux(lumens)},
			},
		}
	}
	return []geometry.Lamp{
		lamp(-1.9, 0, 2.05, 1, 5, 0, 16000, 12, 12),
		lamp(-0.1, 0, 0.75, 0.5, 0.5, 0, 8000, 36, 14),
		lamp(-5, 0, 1.9, 0.5, 15, 180, 8000, 36, 36),
		lamp(0, 0.45, 0.6, 0.2, 0, 0, 3600, 10, 10),
		lamp(0, -0.45, 0.6, 0.2, 0, 0, 3600, 10, 10),
		lamp(-2.2, 0.7, 2, 0.1, 20, 75, 1400, 36, 36),
		lamp(-2.2, -0.7, 2, 0.1, 20, -75, 1400, 36, 36),
		lamp(-1, 0, 1.2, 2, 12, 0, 20000, 60, 20),
	}
}

// peerGrid is the script's: 150 m ahead to 50 m behind, 40 m to either side, a point each 0.1 m.
var peerGrid = geometry.Grid{X0: -50, Y0: -40, Step: 0.1, NX: 2001, NY: 801}

// figures of a field that the script prints too.
func figures(f *geometry.Field) (maxLux, flux float64) {
	for _, v := range f.Lux {
		maxLux = math.Max(maxLux, v)
		flux += v * f.Step * f.Step
	}
	return maxLux, flux
}

func TestPeerField(t *testing.T) {
	f, err := new(geometry.Site).Scene(peerRig()...).GroundField(context.Background(), peerGrid)
	if err != nil {
		t.Fatal(err)
	}
	// what the numpy script prints
	maxLux, flux := figures(f)
	if math.Abs(maxLux/853.6454-1) > 0.005 || math.Abs(flux/46837.04-1) > 0.005 {
		t.Errorf("greatest %.4f lx, flux %.2f lm; the script has 853.6454 lx and 46837.04 lm", maxLux, flux)
	}
}

func BenchmarkPeerField(b *testing.B) {
	s := new(geometry.Site).Scene(peerRig()...)
	var f *geometry.Field
	b.ReportAllocs()
	for b.Loop() {
		f, _ = s.GroundField(context.Background(), peerGrid)
	}
	maxLux, flux := figures(f)
	b.ReportMetric(maxLux, "max_lx")
	b.ReportMetric(flux, "flux_lm")
}

// How time grows, everything else as in the peer's field at a point each metre.

var coarse = geometry.Grid{X0: -50, Y0: -40, Step: 0.5, NX: 401, NY: 161}

func benchmarkField(b *testing.B, s *geometry.Scene, g geometry.Grid) {
	for b.Loop() {
		if _, err := s.GroundField(context.Background(), g); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(g.NX*g.NY)/float64(len(s.Lamps)),
		"ns/point/lamp")
}

func BenchmarkLamps(b *testing.B) {
	rig := peerRig()
	for _, n := range []int{1, 2, 4, 8, 16, 24} {
		var lamps []geometry.Lamp
		for i := range n {
			lamps = append(lamps, rig[i%len(rig)])
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) { benchmarkField(b, new(geometry.Site).Scene(lamps...), coarse) })
	}
}

func BenchmarkPoints(b *testing.B) {
	s := new(geometry.Site).Scene(peerRig()...)
	for _, n := range []float64{1e4, 1e5, 1e6, 1e7} {
		step := math.Sqrt(200 * 80 / n)
		g := geometry.Grid{X0: -50, Y0: -40, Step: step, NX: int(200/step) + 1, NY: int(80/step) + 1}
		b.Run(fmt.Sprintf("%.0e", n), func(b *testing.B) { benchmarkField(b, s, g) })
	}
}

func BenchmarkBoxes(b *testing.B) {
	for _, n := range []int{0, 1, 2, 4, 8} {
		var site geometry.Site
		for i := range n { // hood, cab and what else stands behind them
			x := -0.2 - 0.6*float64(i)
			site.Body = append(site.Body, geometry.Box{
				Min: r3.Vec{X: x - 0.6, Y: -0.8, Z: 0.6}, Max: r3.Vec{X: x, Y: 0.8, Z: 0.9 + 0.03*float64(i)},
			})
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) { benchmarkField(b, site.Scene(peerRig()...), coarse) })
	}
}

func BenchmarkProfilePoints(b *testing.B) {
	for _, n := range []int{0, 2, 20, 200} {
		var site geometry.Site
		for i := range n {
			site.Ground.Profile = append(site.Ground.Profile, geometry.Knot{
				Ahead: float64(i) * 150 / float64(n), Height: 0.1 * math.Sin(float64(i)),
			})
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) { benchmarkField(b, site.Scene(peerRig()...), coarse) })
	}
}

// One point at a time, as one who asks for single places does.
func BenchmarkLux(b *testing.B) {
	site := geometry.Site{
		Body: []geometry.Box{box("hood", -1.5, -0.2, -0.8, 0.8, 0.5, 1.15), box("cab", -4, -1.5, -0.8, 0.8, 0.5, 1.9)},
	}
	s := site.Scene(peerRig()...)
	b.ReportAllocs()
	sum := 0.0
	for b.Loop() {
		for x := 1.0; x < 100; x *= 1.2 {
			sum += s.Lux(r3.Vec{X: x, Y: 1, Z: 0.6}, facing)
		}
	}
}

// limits is a rig as large as a rig file may be: wide bars, boxes that overlap, a washboard of
// ground.
func limits(lamps, boxes, knots int) *geometry.Scene {
	var site geometry.Site
	for i := range boxes {
		k := float64(i)
		site.Body = append(site.Body,
			box("", -0.5-0.07*k, -0.2-0.07*k, -0.8+0.02*float64(i%20), 0.3+0.02*float64(i%25), 0.5, 0.8+0.01*k))
	}
	for i := range knots {
		site.Ground.Profile = append(site.Ground.Profile,
			geometry.Knot{Ahead: 0.199 * float64(i), Height: 0.05 * math.Sin(0.7*float64(i))})
	}
	var all []geometry.Lamp
	for i := range lamps {
		k := float64(i % 100)
		all = append(all, lamp(
			r3.Vec{X: -0.05 * k, Y: -0.9 + 0.018*k, Z: 0.6 + 0.012*float64(i%130)},
			geometry.Aim{
				Tilt: float64(i%12) * deg,
				Turn: float64(i*37%120-60) * deg,
			},
			2,
			beam.Gaussian(beam.Round(float64(10+i%50)*deg)).WithFlux(3000),
		))
	}
	return site.Scene(all...)
}

func BenchmarkLimits(b *testing.B) {
	g := geometry.Grid{X0: -20, Y0: -30, Step: 0.4, NX: 250, NY: 150}
	for _, n := range [][3]int{{20, 0, 0}, {20, 64, 0}, {20, 0, 1000}, {20, 64, 1000}} {
		s := limits(n[0], n[1], n[2])
		b.Run(fmt.Sprintf("%d_lamps_%d_boxes_%d_knots", n[0], n[1], n[2]),
			func(b *testing.B) { benchmarkField(b, s, g) })
	}
}
