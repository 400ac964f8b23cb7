package geometry_test

import (
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Illuminance as textbooks work it out: E = I cos θ / d² (IES definitions, cosine law), of points
// and of flat diffuse sources that hang over a plane.

func TestIlluminanceOfTextbookSources(t *testing.T) {
	hung := func(height float64, d beam.Distribution) *geometry.Scene {
		return onLevel(lamp(r3.Vec{Z: height}, down, 0, d))
	}
	tests := []struct {
		source string
		got    float64
		want   float64
		share  float64 // what the book rounds to
	}{
		// H. C. Verma, Concepts of Physics 1, ch. 22 (attribution from memory): 628 lm make 50 cd;
		// at 1 m on a plane that the light meets at 37° (cos 37° = 0.8): 40 lx.
		{"628 lm at 1 m, 37°", hung(1, isotropic(628/(4*math.Pi))).Lux(r3.Vec{}, r3.Vec{X: 0.6, Z: 0.8}), 40, 1e-3},
		// Same book, exercise: 15 lx straight below at 0.60 m; 0.80 m aside the light is 1.0 m away
		// and cos = 0.6.
		{"15 lx below", hung(0.60, isotropic(15*0.36)).GroundLux(0, 0), 15, 1e-12},
		{"0.80 m aside", hung(0.60, isotropic(15*0.36)).GroundLux(0, 0.80), 3.24, 1e-12},
		{"0.80 m ahead", hung(0.60, isotropic(15*0.36)).GroundLux(0.80, 0), 3.24, 1e-12},
		// Same book, exercise: a flat diffuse source, 25 lx below at 2.4 m; 1.8 m aside cos = 0.8,
		// and cos⁴ = 0.4096.
		{"25 lx below a diffuse source", hung(2.4, lambertian(25*2.4*2.4)).GroundLux(0, 0), 25, 1e-12},
		{"1.8 m aside, cos⁴", hung(2.4, lambertian(25*2.4*2.4)).GroundLux(0, -1.8), 10.24, 1e-9},
		// The same level of exercise: 40 lx below at 1 m; 1 m aside: 40 cos³ 45°.
		{"1 m aside, cos³ 45°", hung(1, isotropic(40)).GroundLux(-1, 0), 14.1, 5e-3},
		// NIST SP 811, appendix B: 1 fc = 10.76391 lx, one candela at one foot (0.3048 m).
		{"one foot-candle", hung(0.3048, isotropic(1)).GroundLux(0, 0), 10.76391, 1e-7},
	}
	for _, tt := range tests {
		near(t, tt.source, tt.got, tt.want, tt.share)
	}
}

func TestPlaneLitFromBehindIsDark(t *testing.T) {
	s := onLevel(lamp(r3.Vec{X: 1, Z: 1}, down, 0, isotropic(100)), lamp(r3.Vec{X: 1, Z: 1}, down, 0.5, isotropic(100)))
	for _, n := range []r3.Vec{{Z: -1}, {X: -1}, {X: -0.8, Z: 0.6}} {
		if got := s.Lux(r3.Vec{}, n); got != 0 {
			t.Errorf("%v lx on the side of a plane toward %v, away from the lamps", got, n)
		}
	}
	// A bar that a plane cuts lights it with the half in front of it: 0.25 m to the left of the
	// plane y = 0.
	half := lamp(r3.Vec{X: 1, Y: 0.125, Z: 1}, down, 0.25, isotropic(50))
	near(t, "half of a bar before a plane", s.Only(1).Lux(r3.Vec{}, r3.Vec{Y: 1}),
		onLevel(half).Lux(r3.Vec{}, r3.Vec{Y: 1}), 1e-4)
}

func TestIntensityOnTheScreen(t *testing.T) {
	// UN Regulation No. 112 practice (from memory): a screen at 25 m, I = E · 625. UN Regulation
	// No. 149, table 5: least intensity of a driving beam, class A 27 000 cd, B 40 500 cd, D 43 800
	// cd.
	for _, tt := range []struct{ candela, lux float64 }{
		{30000, 48}, {150000, 240}, {27000, 43.2}, {40500, 64.8}, {43800, 70.08},
	} {
		for _, shape := range []beam.Shape{
			beam.Gaussian(beam.Round(6 * deg)), beam.Cosine(beam.Round(20 * deg)), beam.Uniform(beam.Round(3 * deg)),
			beam.GaussianField(beam.Round(8*deg), beam.Round(20*deg)),
			beam.Gaussian(beam.Angles{Across: 20 * deg, UpDown: 8 * deg}),
		} {
			s := onLevel(lamp(r3.Vec{X: -0.4, Y: 0.3, Z: 0.75}, geometry.Aim{}, 0, shape.WithPeak(tt.candela)))
			near(t, "screen at 25 m", s.Lux(r3.Vec{X: 24.6, Y: 0.3, Z: 0.75}, facing), tt.lux, 1e-9)
		}
	}
}

func TestSolidAngleOfACone(t *testing.T) {
	// 2π(1 - cos(α/2)), 1 sr at α = 65.54° (BIPM SI brochure; geometry): 1000 lm in 1 sr are 1000
	// cd, and 250 lx at 2 m.
	for _, tt := range []struct{ cone, steradian float64 }{
		{65.54, 1}, {120, math.Pi}, {90, 2 * math.Pi * (1 - math.Sqrt2/2)},
	} {
		s := onLevel(lamp(r3.Vec{Z: 2}, down, 0, beam.Uniform(beam.Round(tt.cone*deg)).WithFlux(1000)))
		near(t, "cone below", s.GroundLux(0, 0), 1000/tt.steradian/4, 1e-4)
		edge := 2 * math.Tan(tt.cone/2*deg)
		if s.GroundLux(0, edge*0.999) == 0 || s.GroundLux(0, edge*1.001) != 0 {
			t.Errorf("a cone of %v° does not end %.3f m aside", tt.cone, edge)
		}
	}
}

func TestFiveTimesRule(t *testing.T) {
	// IES Lighting Handbook (from memory): inverse square holds within about 1 % from five times
	// the largest dimension of a diffuse source. For a line of length L the ratio to inverse square
	// is exactly
	//	(u/(1+u²) + arctan u)/(2u) with u = L/2d	(∫ du/(1+u²)², any table of integrals)
	const length, peak = 1.3, 5000
	bar := onLevel(lamp(r3.Vec{Z: 1}, geometry.Aim{}, length, lambertian(peak)))
	for _, times := range []float64{0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6, 8, 10, 20, 50} {
		d := times * length
		u := length / (2 * d)
		exact := (u/(1+u*u) + math.Atan(u)) / (2 * u)
		got := bar.Lux(r3.Vec{X: d, Z: 1}, facing) / (peak / (d * d))
		near(t, "bar over inverse square", got, exact, 1e-4)
		if holds := math.Abs(got-1) < 0.01; holds != (times >= 5) {
			t.Errorf("at %v times the length the bar has %.4f of what inverse square gives", times, got)
		}
	}
}

func TestMeteorologicalOpticalRange(t *testing.T) {
	// WMO-No. 8, chapter on visibility: 0.05 of the light is left at the optical range; its square
	// at twice that.
	for _, visibility := range []float64{50, 400, 2000} {
		site := &geometry.Site{Visibility: visibility}
		foggy, clear := site.Scene(lamp(r3.Vec{Z: 1}, geometry.Aim{}, 0, isotropic(1e5))), onLevel(
			lamp(r3.Vec{Z: 1}, geometry.Aim{}, 0, isotropic(1e5)),
		)
		for _, tt := range []struct{ ranges, share float64 }{
			{0.01, math.Pow(0.05, 0.01)}, {0.5, math.Sqrt(0.05)}, {1, 0.05}, {2, 0.0025},
		} {
			p := r3.Vec{X: tt.ranges * visibility, Z: 1}
			near(t, "transmission", foggy.Lux(p, facing)/clear.Lux(p, facing), tt.share, 1e-9)
			row := []float64{0}
			foggy.AddRow(row, geometry.Row{Start: p, Step: r3.Vec{Y: 1}, Normal: facing})
			near(t, "transmission in a row", row[0]/clear.Lux(p, facing), tt.share, 1e-9)
		}
	}
}

func TestLightOfLampsAddsUp(t *testing.T) {
	a, b := lamp(r3.Vec{Z: 2}, tilted(20), 0, lambertian(900)), lamp(r3.Vec{Y: 1, Z: 1}, tilted(5), 0.4,
		lambertian(300))
	both := onLevel(a, b)
	p := r3.Vec{X: 4, Y: 0.5}
	near(t, "both", both.Lux(p, up), both.LuxOf(0, p, up)+both.LuxOf(1, p, up), 1e-15)
	near(t, "one", both.LuxOf(1, p, up), onLevel(b).Lux(p, up), 0)
	near(t, "only", both.Only(1).Lux(p, up), onLevel(b).Lux(p, up), 0)
	if onLevel().Lux(p, up) != 0 {
		t.Error("light without lamps")
	}
}
