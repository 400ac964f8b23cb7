package geometry_test

import (
	"fmt"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Stopping, and the light in someone else's eyes.

func TestStoppingSightDistance(t *testing.T) {
	// AASHTO Green Book table 3-1 (from memory): design values, calculated and rounded up to 5 m or
	// 5 ft; 2.5 s, 3.4 m/s² (11.2 ft/s²), as in TxDOT Roadway Design Manual 4.11.1.
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

// 80 km/h on grades, rounded up to metres: AASHTO Green Book (from memory; recomputed from d = v t
// + v²/(2 (a + 9.81 G))).
func TestStoppingOnGrades(t *testing.T) {
	for slope, want := range map[float64]float64{
		-0.09: 154, -0.06: 144, -0.03: 136, 0: 129, 0.03: 123, 0.06: 118, 0.09: 114,
	} {
		b := geometry.GreenBook
		b.Slope = slope
		d := b.Distance(80 / 3.6)
		closeTo(t, fmt.Sprintf("80 km/h on %+.0f %%", 100*slope), math.Ceil(d), want, 0)
		near(t, "and back", b.Speed(d), 80/3.6, 1e-12)
	}
	steep := geometry.Braking{Reaction: 2.5, Deceleration: 3.4, Slope: -0.4} // gravity takes 3.9 m/s²
	if d, v := steep.Distance(1), steep.Speed(100); !math.IsInf(d, 1) || v != 0 {
		t.Errorf("on a slope too steep to stop on: %v m from 1 m/s, %v m/s within 100 m", d, v)
	}
}

// disability is the equation of CIE 146:2002 for small angles (from memory): veil per lux, θ in
// degrees.
func disability(theta, age float64) float64 {
	return 10/(theta*theta*theta) + 5/(theta*theta)*(1+math.Pow(age/62.5, 4))
}

func TestVeilOfAnOncomingEye(t *testing.T) {
	// by hand: (40/62.5)⁴ = 0.16777
	near(t, "per lux at 1°, 40 years", disability(1, 40), 15.83886, 1e-6)
	near(t, "per lux at 4°, 40 years", disability(4, 40), 0.521179, 1e-6)
	// A lamp at eye height on the centreline, and an eye 3.5 m to the left that looks straight
	// back: tan θ = 3.5/d.
	const i = 20000.0
	s := onLevel(lamp(r3.Vec{Z: geometry.EyeHeight}, geometry.Aim{}, 0, isotropic(i)))
	for _, tt := range []struct{ ahead, theta float64 }{
		{25, 7.970}, {50, 4.004}, {100, 2.0045}, {200, 1.00258}, {6.1, 29.85}, {1000, 0.200534},
	} {
		d := math.Hypot(tt.ahead, 3.5)
		lux := i * tt.ahead / (d * d * d)
		for _, age := range []float64{20, 40, 75} {
			g := s.Oncoming(tt.ahead, 3.5, age)
			near(t, "eye lux", g.Lux, lux, 1e-12)
			near(t, "veil", g.Veil, lux*disability(tt.theta, age), 5e-4)
			if other := s.Oncoming(tt.ahead, -3.5, age); math.Abs(other.Veil-g.Veil) > 1e-12*g.Veil {
				t.Errorf("on the other side of the road %v, not %v", other, g)
			}
		}
	}
	// nearer to the line of sight than 0.1°, or farther from it than 30°, the equation does not
	// hold
	for _, ahead := range []float64{2006, 6.0, 2} {
		if g := s.Oncoming(ahead, 3.5, 40); !math.IsNaN(g.Veil) || !(g.Lux > 0) {
			t.Errorf("%v m ahead: %+v", ahead, g)
		}
	}
	// behind the eye there is neither
	if g := s.Oncoming(-10, 3.5, 40); g.Lux != 0 || g.Veil != 0 {
		t.Errorf("an eye behind the lamp: %+v", g)
	}
}

// On a bend an oncoming eye is on the track, and looks back along it: here after a quarter of a
// turn to the left with 40 m, 3.5 m to the left of the centreline, at (36.5, 40), looking to the
// right.
func TestOncomingOnABend(t *testing.T) {
	site := &geometry.Site{Track: geometry.Track{Radius: 40, Left: true}}
	s := site.Scene(lamp(r3.Vec{Z: geometry.EyeHeight}, geometry.Aim{}, 0, isotropic(20000)))
	d := math.Hypot(36.5, 40)
	cos := 40 / d
	g := s.Oncoming(20*math.Pi, 3.5, 30)
	near(t, "eye lux", g.Lux, 20000/(d*d)*cos, 1e-9)
	if theta := math.Acos(cos) / deg; theta < 30 || !math.IsNaN(g.Veil) {
		t.Errorf("%v° off the line of sight: veil %v", theta, g.Veil)
	}
	// at 30 m, 42.97° round: at (36.5 sin 42.97°, 40 - 36.5 cos 42.97°)
	x, y := 36.5*math.Sin(30./40), 40-36.5*math.Cos(30./40)
	d = math.Hypot(x, y)
	cos = (x*math.Cos(30./40) + y*math.Sin(30./40)) / d
	g = s.Oncoming(30, 3.5, 30)
	near(t, "eye lux at 30 m", g.Lux, 20000/(d*d)*cos, 1e-9)
	near(t, "veil at 30 m", g.Veil, g.Lux*disability(math.Acos(cos)/deg, 30), 1e-9)
	if past := s.Oncoming(130, 3.5, 30); !math.IsNaN(past.Lux) || !math.IsNaN(past.Veil) {
		t.Errorf("past the end of the bend: %+v", past)
	}
}

func TestVeilsAddUp(t *testing.T) {
	// Two lamps, each at its own angle; a third in the line of sight that sends next to nothing is
	// let pass.
	a, b := lamp(r3.Vec{X: -2, Z: 2.05}, tilted(2), 0, isotropic(3000)), lamp(r3.Vec{Y: -0.5, Z: 0.7}, geometry.Aim{},
		0, isotropic(8000))
	faint := lamp(r3.Vec{Y: 3.5, Z: geometry.EyeHeight}, geometry.Aim{}, 0, isotropic(0.5))
	veil, lux := 0.0, 0.0
	for _, l := range []struct{ x, y, z, i float64 }{{-2, 0, 2.05, 3000}, {0, -0.5, 0.7, 8000}} {
		dx, off := 50-l.x, math.Hypot(3.5-l.y, geometry.EyeHeight-l.z)
		e := l.i * dx / math.Pow(dx*dx+off*off, 1.5)
		lux += e
		veil += e * disability(math.Atan(off/dx)/deg, 40)
	}
	g := onLevel(a, b, faint).Oncoming(50, 3.5, 40)
	near(t, "eye lux", g.Lux, lux, 1e-4)
	near(t, "veil", g.Veil, veil, 1e-9)
	faint.Optics[0].Beam = isotropic(50)
	if g := onLevel(a, b, faint).Oncoming(50, 3.5, 40); !math.IsNaN(g.Veil) {
		t.Errorf("a lamp in the line of sight: %+v", g)
	}
}

func TestVeilOfABar(t *testing.T) {
	// A bar of 1.6 m at 25 m: each emitter at its own angle, summed densely; half of it behind the
	// hood.
	for _, body := range [][]geometry.Box{nil, {box("screen", 1, 1.0001, -3, 0.3, 0, 3)}} {
		site := &geometry.Site{Body: body}
		l := lamp(r3.Vec{Y: 0.2, Z: 0.9}, geometry.Aim{Roll: 20 * deg}, 1.6,
			beam.Gaussian(beam.Round(30*deg)).WithFlux(9000))
		g := site.Scene(l).Oncoming(25, 3.5, 40)
		const n = 4000
		lux, veil := 0.0, 0.0
		eye := r3.Vec{X: 25, Y: 3.5, Z: geometry.EyeHeight}
		for i := range n {
			e := ((float64(i)+0.5)/n - 0.5) * 1.6
			at := r3.Vec{Y: 0.2 + e*math.Cos(20*deg), Z: 0.9 + e*math.Sin(20*deg)}
			v := site.Scene(lamp(at, geometry.Aim{Roll: 20 * deg}, 0, scaled{l.Optics[0].Beam, 1. / n})).Lux(eye,
				facing)
			ray := r3.Sub(at, eye)
			lux += v
			veil += v * disability(math.Acos(-ray.X/r3.Norm(ray))/deg, 40)
		}
		near(t, "eye lux", g.Lux, lux, 1e-3)
		near(t, "veil", g.Veil, veil, 2e-3)
	}
}

func TestEyeOnASlope(t *testing.T) {
	// 1.08 m (AASHTO Green Book, 3.5 ft) over the ground where the eye is, not over the lamp's.
	s := (&geometry.Site{Ground: geometry.Ground{Grade: 0.03, CrossFall: 0.02}}).Scene(
		lamp(r3.Vec{Z: 0.7}, geometry.Aim{}, 0, isotropic(1000)),
	)
	p := r3.Vec{X: 40, Y: 3.5, Z: 1.2 + 0.07 + 1.08}
	near(t, "eye lux", s.Oncoming(40, 3.5, 40).Lux, s.Lux(p, facing), 1e-12)
	near(t, "eye height in feet", geometry.EyeHeight/0.3048, 3.5, 0.02)
	near(t, "object height in feet", geometry.ObjectHeight/0.3048, 2.0, 0.02)
}
