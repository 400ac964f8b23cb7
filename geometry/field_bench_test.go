package geometry_test

import (
	"context"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// peerRig is the rig that the numpy script of the performance table computes: eight lamps, 46 emitters at 0.1 m there.
func peerRig() []geometry.Lamp {
	lamp := func(x, y, z, width, tilt, turn, lumens, across, upDown float64) geometry.Lamp {
		return geometry.Lamp{
			At: r3.Vec{X: x, Y: y, Z: z}, Width: width, Aim: geometry.Aim{Tilt: tilt * deg, Turn: turn * deg},
			Optics: []geometry.Optic{{Beam: beam.Gaussian(beam.Angles{Across: across * deg, UpDown: upDown * deg}).WithFlux(lumens)}},
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
