package geometry_test

import (
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Stopping, and the light in someone else's eyes.

func TestStoppingSightDistance(t *testing.T) {
	// AASHTO Green Book table 3-1 (from memory): design values, calculated and rounded up to 5 m or 5 ft; 2.5 s, 3.4 m/s²
	// (11.2 ft/s²), as in TxDOT Roadway Design Manual 4.11.1.
	feet := geometry.Braking{Reaction: 2.5, Deceleration: 11.2}
	for _, tt := range []struct {
		braking geometry.Braking
		speed   float64 // of length per second
		design  float64
	}{
		{geometry.GreenBook, 50 / 3.6, 65}, {geometry.GreenBook, 80 / 3.6, 130}, {geometry.GreenBook, 100 / 3.6, 185},
		{feet, 30 * 5280 / 3600., 200}, {feet, 50 * 5280 / 3600., 425}, {feet, 60 * 5280 / 3600., 570},
	} {
		d := tt.braking.Distance(tt.speed)
		if got := math.Ceil(d/5) * 5; got != tt.design {
			t.Errorf("from %.1f: %.1f, rounded up %v, want %v", tt.speed, d, got, tt.design)
		}
		near(t, "speed from that distance", tt.braking.Speed(d), tt.speed, 1e-12)
	}
	// by hand: 20 m/s · 2.5 s + 400/6.8
	near(t, "20 m/s", geometry.GreenBook.Distance(20), 50+400/6.8, 1e-15)
	near(t, "no distance", geometry.GreenBook.Speed(0), 0, 0)
}

func TestStilesHolladay(t *testing.T) {
	// 10 · E/θ², θ in degrees, 1° to 30° (Stiles-Holladay; CIE 146:2002), for a lamp at eye height on the centreline and
	// an eye 3.5 m to the left, looking straight back: tan θ = 3.5/d.
	const i = 20000.0
	s := onLevel(lamp(r3.Vec{Z: geometry.EyeHeight}, geometry.Aim{}, 0, isotropic(i)))
	for _, tt := range []struct{ ahead, theta float64 }{
		{25, 7.970}, {50, 4.004}, {100, 2.0045}, {200, 1.00258}, {6.1, 29.85},
	} {
		d := math.Hypot(tt.ahead, 3.5)
		lux := i * tt.ahead / (d * d * d)
		g := s.Oncoming(tt.ahead, 3.5)
		near(t, "eye lux", g.Lux, lux, 1e-12)
		near(t, "veil", g.Veil, 10*lux/(tt.theta*tt.theta), 5e-4)
		if other := s.Oncoming(tt.ahead, -3.5); math.Abs(other.Veil-g.Veil) > 1e-12*g.Veil {
			t.Errorf("on the other side of the road %v, not %v", other, g)
		}
	}
	// nearer to the line of sight than 1°, or farther from it than 30°, the formula does not hold
	for _, ahead := range []float64{201, 300, 6.0, 2} {
		if g := s.Oncoming(ahead, 3.5); !math.IsNaN(g.Veil) || !(g.Lux > 0) {
			t.Errorf("%v m ahead: %+v", ahead, g)
		}
	}
	// behind the eye there is neither
	if g := s.Oncoming(-10, 3.5); g.Lux != 0 || g.Veil != 0 {
		t.Errorf("an eye behind the lamp: %+v", g)
	}
}

func TestVeilsAddUp(t *testing.T) {
	// Two lamps, each at its own angle; a third in the line of sight that sends next to nothing is let pass.
	a, b := lamp(r3.Vec{X: -2, Z: 2.05}, tilted(2), 0, isotropic(3000)), lamp(r3.Vec{Y: -0.5, Z: 0.7}, geometry.Aim{}, 0, isotropic(8000))
	faint := lamp(r3.Vec{Y: 3.5, Z: geometry.EyeHeight}, geometry.Aim{}, 0, isotropic(0.5))
	veil, lux := 0.0, 0.0
	for _, l := range []struct{ x, y, z, i float64 }{{-2, 0, 2.05, 3000}, {0, -0.5, 0.7, 8000}} {
		dx, off := 50-l.x, math.Hypot(3.5-l.y, geometry.EyeHeight-l.z)
		e := l.i * dx / math.Pow(dx*dx+off*off, 1.5)
		lux += e
		veil += 10 * e / sq(math.Atan(off/dx)/deg)
	}
	g := onLevel(a, b, faint).Oncoming(50, 3.5)
	near(t, "eye lux", g.Lux, lux, 1e-4)
	near(t, "veil", g.Veil, veil, 1e-9)
	faint.Optics[0].Beam = isotropic(50)
	if g := onLevel(a, b, faint).Oncoming(50, 3.5); !math.IsNaN(g.Veil) {
		t.Errorf("a lamp in the line of sight: %+v", g)
	}
}

func TestVeilOfABar(t *testing.T) {
	// A bar of 1.6 m at 25 m: each emitter at its own angle, summed densely; half of it behind the hood.
	for _, body := range [][]geometry.Box{nil, {box("screen", 1, 1.0001, -3, 0.3, 0, 3)}} {
		site := &geometry.Site{Body: body}
		l := lamp(r3.Vec{Y: 0.2, Z: 0.9}, geometry.Aim{Roll: 20 * deg}, 1.6, beam.Gaussian(beam.Round(30*deg)).WithFlux(9000))
		g := site.Scene(l).Oncoming(25, 3.5)
		const n = 4000
		lux, veil := 0.0, 0.0
		eye := r3.Vec{X: 25, Y: 3.5, Z: geometry.EyeHeight}
		for i := range n {
			e := ((float64(i)+0.5)/n - 0.5) * 1.6
			at := r3.Vec{Y: 0.2 + e*math.Cos(20*deg), Z: 0.9 + e*math.Sin(20*deg)}
			v := site.Scene(lamp(at, geometry.Aim{Roll: 20 * deg}, 0, scaled{l.Optics[0].Beam, 1. / n})).Lux(eye, geometry.Facing)
			ray := r3.Sub(at, eye)
			lux += v
			veil += 10 * v / sq(math.Acos(-ray.X/r3.Norm(ray))/deg)
		}
		near(t, "eye lux", g.Lux, lux, 1e-3)
		near(t, "veil", g.Veil, veil, 5e-3) // of eight parts, one of them cut by the screen
	}
}

func TestEyeOnASlope(t *testing.T) {
	// 1.08 m (AASHTO Green Book, 3.5 ft) over the ground where the eye is, not over the lamp's.
	s := (&geometry.Site{Ground: geometry.Ground{Grade: 0.03, CrossFall: 0.02}}).Scene(lamp(r3.Vec{Z: 0.7}, geometry.Aim{}, 0, isotropic(1000)))
	p := r3.Vec{X: 40, Y: 3.5, Z: 1.2 + 0.07 + 1.08}
	near(t, "eye lux", s.Oncoming(40, 3.5).Lux, s.Lux(p, geometry.Facing), 1e-12)
	near(t, "eye height in feet", geometry.EyeHeight/0.3048, 3.5, 0.02)
	near(t, "object height in feet", geometry.ObjectHeight/0.3048, 2.0, 0.02)
}
