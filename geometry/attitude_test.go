package geometry_test

import (
	"fmt"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Aims and attitudes: which way a lamp points as set, and what a load in the back does to that.

func TestAxesOfAnAim(t *testing.T) {
	// ISO 8855: x ahead, y to the left, z up.
	for _, tt := range []struct {
		name                string
		tilt, turn, roll    float64
		ahead, left, lampUp r3.Vec
	}{
		{"level ahead", 0, 0, 0, r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}},
		{"straight down", 90, 0, 0, r3.Vec{Z: -1}, r3.Vec{Y: 1}, r3.Vec{X: 1}},
		{"straight up", -90, 0, 0, r3.Vec{Z: 1}, r3.Vec{Y: 1}, r3.Vec{X: -1}},
		{"to the left", 0, 90, 0, r3.Vec{Y: 1}, r3.Vec{X: -1}, r3.Vec{Z: 1}},
		{"to the right", 0, -90, 0, r3.Vec{Y: -1}, r3.Vec{X: 1}, r3.Vec{Z: 1}},
		{"rearward", 0, 180, 0, r3.Vec{X: -1}, r3.Vec{Y: -1}, r3.Vec{Z: 1}},
		{"30° down", 30, 0, 0, r3.Vec{X: math.Sqrt(3) / 2, Z: -0.5}, r3.Vec{Y: 1}, r3.Vec{X: 0.5, Z: math.Sqrt(3) / 2}},
		// right side down as seen from behind: the left side goes up, the top to the right
		{"rolled 90°", 0, 0, 90, r3.Vec{X: 1}, r3.Vec{Z: 1}, r3.Vec{Y: -1}},
		{"rolled 30°", 0, 0, 30, r3.Vec{X: 1}, r3.Vec{Y: math.Sqrt(3) / 2, Z: 0.5},
			r3.Vec{Y: -0.5, Z: math.Sqrt(3) / 2}},
		{"rearward, rolled", 0, 180, 90, r3.Vec{X: -1}, r3.Vec{Z: 1}, r3.Vec{Y: 1}},
	} {
		got := geometry.Aim{Tilt: tt.tilt * deg, Turn: tt.turn * deg, Roll: tt.roll * deg}.Axes()
		for _, c := range []struct{ got, want r3.Vec }{
			{got.Ahead, tt.ahead}, {got.Left, tt.left}, {got.Up, tt.lampUp},
		} {
			if r3.Norm(r3.Sub(c.got, c.want)) > 1e-15 {
				t.Errorf("%s: %.3f, want %.3f", tt.name, c.got, c.want)
			}
		}
	}
}

func TestUprightAndAzimuth(t *testing.T) {
	for _, tt := range []struct {
		tilt, turn, roll float64
		left, up         float64
		azimuth          r3.Vec
	}{
		{0, 0, 0, 0, 1, r3.Vec{X: 1}},
		{40, 0, 0, 0, 1, r3.Vec{X: 1}},
		{-40, 180, 0, 0, 1, r3.Vec{X: -1}},
		{10, 30, 90, 1, 0, r3.Vec{X: math.Sqrt(3) / 2, Y: 0.5}}, // its left is up
		{10, 0, -90, -1, 0, r3.Vec{X: 1}},
		{10, 0, 30, 0.5, math.Sqrt(3) / 2, r3.Vec{X: 1}},
		{90, 0, 0, 0, 1, r3.Vec{X: 1}},  // straight down: where the top points
		{-90, 0, 0, 0, 1, r3.Vec{X: 1}}, // straight up: away from it
		{90, 90, 0, 0, 1, r3.Vec{Y: 1}}, // straight down, turned
		{-90, -90, 0, 0, 1, r3.Vec{Y: -1}},
		{90, 0, 60, math.Sqrt(3) / 2, 0.5, r3.Vec{X: 1}}, // rolled: the plane is that of the turn
		{90, 90, -90, -1, 0, r3.Vec{Y: 1}},
	} {
		a := geometry.Aim{Tilt: tt.tilt * deg, Turn: tt.turn * deg, Roll: tt.roll * deg}.Axes()
		left, up := a.Upright()
		closeTo(t, "upright, left", left, tt.left, 1e-12)
		closeTo(t, "upright, up", up, tt.up, 1e-12)
		if r3.Norm(r3.Sub(a.Azimuth(), tt.azimuth)) > 1e-12 {
			t.Errorf("azimuth of %+v: %.3f", tt, a.Azimuth())
		}
	}
}

func TestInclinationInPercent(t *testing.T) {
	// UN Regulation No. 48 usage: 1 % is 10 cm on 10 m, 0.573°.
	l := lamp(r3.Vec{Z: 0.75}, geometry.Aim{Tilt: math.Atan(0.01)}, 0, isotropic(1))
	near(t, "1 % in degrees", l.Aim.Tilt/deg, 0.573, 2e-4)
	mark, ok := l.WallMark(10)
	if !ok {
		t.Fatal("no mark")
	}
	near(t, "10 m off", l.At.Z-mark.Z, 0.10, 1e-12)
}

func TestAimingScreen(t *testing.T) {
	// 25 ft = 7.62 m (vehicle makers' service procedures; SAE J599, from memory), here measured
	// from the bumper. By right triangles: what a lamp at height h drops is
	// run/cos(turn)·tan(tilt), to the side it goes run·tan(turn).
	const wall = 7.62
	for _, tt := range []struct {
		name         string
		at           r3.Vec
		tilt, turn   float64
		height, left float64
		ok           bool
	}{
		{"level", r3.Vec{Y: 0.6, Z: 0.7}, 0, 0, 0.7, 0.6, true},
		// 25 ft · tan 2° = 0.2661 m
		{"2° down", r3.Vec{Z: 0.7}, 2, 0, 0.7 - 0.26610, 0, true},
		// 1.9 m behind the bumper: 9.52 m to the wall, 9.52·tan 5° = 0.83289 m
		{"roof, 5° down", r3.Vec{X: -1.9, Z: 2.05}, 5, 0, 2.05 - 0.83289, 0, true},
		// 10° to the left: 9.52·tan 10° = 1.67863 m aside, 9.52/cos 10° · tan 5° = 0.84574 m down
		{"and 10° to the left", r3.Vec{X: -1.9, Y: -0.4, Z: 2.05}, 5, 10, 2.05 - 0.84574, -0.4 + 1.67863, true},
		{"and to the right", r3.Vec{X: -1.9, Y: 0.4, Z: 2.05}, 5, -10, 2.05 - 0.84574, 0.4 - 1.67863, true},
		// 7.62 · tan 1° = 0.13301 m up
		{"1° up", r3.Vec{Z: 0.7}, -1, 0, 0.7 + 0.13301, 0, true},
		{"into the ground before", r3.Vec{Z: 0.7}, 6, 0, 0, 0, false},
		{"rearward", r3.Vec{X: -5, Z: 1.9}, 10, 180, 0, 0, false},
		{"square to the side", r3.Vec{Z: 1.9}, 0, 90, 0, 0, false},
		{"ahead of the wall", r3.Vec{X: 8, Z: 1}, 0, 0, 0, 0, false},
		{"straight up", r3.Vec{Z: 1}, -90, 0, 0, 0, false},
	} {
		l := lamp(tt.at, geometry.Aim{Tilt: tt.tilt * deg, Turn: tt.turn * deg, Roll: 40 * deg}, 0, isotropic(1))
		mark, ok := l.WallMark(wall)
		if ok != tt.ok {
			t.Errorf("%s: mark %v", tt.name, ok)
		}
		if !ok {
			continue
		}
		closeTo(t, tt.name+": height", mark.Z, tt.height, 1e-5)
		closeTo(t, tt.name+": left", mark.Y, tt.left, 1e-5)
		closeTo(t, tt.name+": distance", mark.X, wall, 0)
	}
}

func TestNoseUp(t *testing.T) {
	// 0.8° about the ground contact of the rear axle at x = -4.0 m. A lamp on the roof at (-1.9,
	// 2.05) is 2.1 m ahead of it: x = -4 + 2.1 cos 0.8° - 2.05 sin 0.8°, z = 2.1 sin 0.8° + 2.05
	// cos 0.8°.
	att := geometry.NoseUp(0.8*deg, -4)
	site := &geometry.Site{Attitude: att}
	l := lamp(r3.Vec{X: -1.9, Y: 0.3, Z: 2.05}, tilted(5), 1, beam.Gaussian(beam.Round(10*deg)).WithFlux(1000))
	m := mounted(site, l)
	closeTo(t, "roof lamp, ahead", m.Place.X, -1.928827, 1e-6)
	closeTo(t, "roof lamp, left", m.Place.Y, 0.3, 0)
	closeTo(t, "roof lamp, height", m.Place.Z, 2.079120, 1e-6)
	closeTo(t, "roof lamp, tilt", math.Asin(-m.Axes.Ahead.Z)/deg, 4.2, 1e-9)
	hit, _ := site.AxisHit(m)
	closeTo(t, "roof lamp, axis range", m.Range(hit), 2.079120/math.Tan(4.2*deg), 1e-4)
	closeTo(t, "its hit, ahead", hit.X, -1.928827+2.079120/math.Tan(4.2*deg), 1e-4)
	n, f := site.NearFar(m)
	closeTo(t, "near edge", n, 2.079120/math.Tan(9.2*deg), 1e-4)
	if !math.IsNaN(f) {
		t.Errorf("far edge at %v m with an upper edge of 0.8° up", f)
	}

	rear := mounted(site, lamp(r3.Vec{X: -5, Z: 1.9}, geometry.Aim{Tilt: 15 * deg, Turn: math.Pi}, 0, isotropic(1)))
	closeTo(t, "rear lamp, tilt", math.Asin(-rear.Axes.Ahead.Z)/deg, 15.8, 1e-9)
	closeTo(t, "rear lamp, height", rear.Place.Z, -math.Sin(0.8*deg)+1.9*math.Cos(0.8*deg), 1e-12)

	side := mounted(site, lamp(r3.Vec{X: -4, Z: 2}, geometry.Aim{Turn: 90 * deg}, 0.5, isotropic(1)))
	closeTo(t, "side lamp, tilt", side.Axes.Ahead.Z, 0, 1e-15)
	closeTo(t, "side lamp, its left end down", side.Axes.Left.Z, -math.Sin(0.8*deg), 1e-15)

	// The contact of the rear axle stays where it is.
	if p := att.Driven(r3.Vec{X: -4, Y: 1}); p != (r3.Vec{X: -4, Y: 1}) {
		t.Errorf("rear contact moves to %v", p)
	}
	// Parked undoes Driven.
	for _, p := range []r3.Vec{{X: -1, Y: 2, Z: 3}, {X: 70, Z: 0.6}} {
		if q := att.Parked(att.Driven(p)); r3.Norm(r3.Sub(p, q)) > 1e-13 {
			t.Errorf("%v comes back as %v", p, q)
		}
	}

	// What is read off the parked vehicle is unaffected: the tilt set, and the mark on the wall.
	parked := mounted(new(geometry.Site), l)
	if m.Lamp.Aim != parked.Lamp.Aim {
		t.Errorf("reading %v driven, %v parked", m.Lamp.Aim, parked.Lamp.Aim)
	}
	a, _ := m.Lamp.WallMark(7.62)
	b, _ := parked.Lamp.WallMark(7.62)
	if a != b {
		t.Errorf("wall mark %v driven, %v parked", a, b)
	}
}

func TestRaised(t *testing.T) {
	// Measured from parked to loaded: 4 mm up over the front axle at x = -0.9 m, 38 mm down over
	// the rear one at -4.0 m. That is asin(42/3100) = 0.77629° of nose up about the rear axle's
	// contact, and all of it 38 mm down.
	att := geometry.Raised(0.004, -0.038, -0.9, -4)
	closeTo(t, "nose up", att.NoseUp()/deg, 0.77629, 1e-5)
	for _, tt := range []struct{ x, up float64 }{{-0.9, 0.004}, {-4, -0.038}, {-2.45, -0.017}} {
		closeTo(t, "comes up", att.Driven(r3.Vec{X: tt.x}).Z, tt.up, 1e-12)
	}
	closeTo(t, "over the rear axle, not moved along", att.Driven(r3.Vec{X: -4}).X, -4, 1e-12)
	// Rear unchanged is the nose up about the rear axle.
	a, b := geometry.Raised(3.1*math.Sin(0.8*deg), 0, -0.9, -4), geometry.NoseUp(0.8*deg, -4)
	// Both alike up is no turn at all.
	c := geometry.Raised(0.05, 0.05, -0.9, -4)
	for _, p := range []r3.Vec{{X: -1.9, Y: 0.3, Z: 2.05}, {X: 60, Z: -1}} {
		if d := r3.Norm(r3.Sub(a.Driven(p), b.Driven(p))); d > 1e-12 {
			t.Errorf("%v is %v m from where the nose up takes it", p, d)
		}
		if d := r3.Norm(r3.Sub(c.Driven(p), r3.Add(p, r3.Vec{Z: 0.05}))); d > 1e-12 {
			t.Errorf("%v raised by 5 cm is %v m off", p, d)
		}
		if q := att.Parked(att.Driven(p)); r3.Norm(r3.Sub(p, q)) > 1e-12 {
			t.Errorf("%v comes back as %v", p, q)
		}
	}
}

func TestPitched(t *testing.T) {
	// A bump: the nose 1° up from how it is driven, about the ground below the rear axle.
	driven := geometry.Raised(0.004, -0.038, -0.9, -4)
	bump := driven.Pitched(1*deg, -4)
	closeTo(t, "nose up", bump.NoseUp(), driven.NoseUp()+1*deg, 1e-15)
	for _, p := range []r3.Vec{{X: -1.9, Y: 0.3, Z: 2.05}, {X: -4, Z: 0.038}} {
		was := r3.Sub(driven.Driven(p), r3.Vec{X: -4})
		want := r3.Add(r3.Vec{X: -4}, r3.NewRotation(-1*deg, r3.Vec{Y: 1}).Rotate(was))
		if d := r3.Norm(r3.Sub(bump.Driven(p), want)); d > 1e-13 {
			t.Errorf("%v is %v m off", p, d)
		}
		if d := r3.Norm(r3.Sub(bump.Pitched(-1*deg, -4).Driven(p), driven.Driven(p))); d > 1e-13 {
			t.Errorf("up and down again, %v is %v m off", p, d)
		}
	}
	if (geometry.Attitude{}).Pitched(0, -4) != (geometry.Attitude{}) {
		t.Error("pitched by nothing is not as parked")
	}
}

func TestAttitudeIsARigidTurn(t *testing.T) {
	// Lamp, body, point and plane turned together: the light does not change.
	body := []geometry.Box{box("hood", -1.5, -0.2, -0.8, 0.8, 0.5, 1.15)}
	l := lamp(r3.Vec{X: -1.9, Y: 0.2, Z: 2.05}, geometry.Aim{Tilt: 8 * deg, Turn: 12 * deg, Roll: 5 * deg}, 1.1,
		beam.Gaussian(beam.Angles{Across: 40 * deg, UpDown: 20 * deg}).WithFlux(1000))
	parked := (&geometry.Site{Body: body}).Scene(l)
	for _, nose := range []float64{-3, 0.8, 4} {
		att := geometry.NoseUp(nose*deg, -4)
		driven := (&geometry.Site{Body: body, Attitude: att}).Scene(l)
		for _, p := range []r3.Vec{
			{X: 8, Y: 2, Z: 1}, {X: 1.9, Y: 0.1, Z: 0.1}, {X: 25, Y: 3, Z: 2}, {X: -0.5, Y: 0.5, Z: 1.15},
		} {
			n := att.DrivenAxes(geometry.Axes{Ahead: r3.Vec{X: -1}, Up: r3.Unit(r3.Vec{X: -1, Z: 1})})
			near(t, "turned with the vehicle", driven.Lux(att.Driven(p), n.Up),
				parked.Lux(p, r3.Unit(r3.Vec{X: -1, Z: 1})), 1e-9)
			near(t, "turned with the vehicle, facing", driven.Lux(att.Driven(p), n.Ahead),
				parked.Lux(p, r3.Vec{X: -1}), 1e-9)
		}
	}
}

func TestTolerance(t *testing.T) {
	// A lamp 2 m up, 4° down and off by 0.5°: 2/tan 4.5° = 25.41 m to 2/tan 3.5° = 32.70 m.
	site := new(geometry.Site)
	for _, tt := range []struct{ tilt, off, near, far float64 }{
		{4, 0.5, 25.412, 32.700}, {0.5, 0.5, 114.58, math.NaN()}, {0.3, 0.5, 2 / math.Tan(0.8*deg), math.NaN()},
		{-1, 0.5, math.NaN(), math.NaN()}, {90, 0.5, 0, 2 * math.Tan(0.5*deg)}, {89.8, 0.5, 0, 2 * math.Tan(0.7*deg)},
	} {
		l := lamp(r3.Vec{X: -1, Y: 1, Z: 2}, geometry.Aim{Tilt: tt.tilt * deg, Turn: 70 * deg}, 0, isotropic(1))
		n, f := site.Tolerance(l, tt.off*deg)
		near(t, "nearest", n, tt.near, 1e-4)
		near(t, "farthest", f, tt.far, 1e-4)
	}
	// Set as parked, driven with the nose 0.5° up: the axis is 3.5° down, and 3° or 4° when off.
	loaded := &geometry.Site{Attitude: geometry.NoseUp(0.5*deg, 0)}
	n, f := loaded.Tolerance(lamp(r3.Vec{Z: 2}, tilted(4), 0, isotropic(1)), 0.5*deg)
	h := 2 * math.Cos(0.5*deg)
	near(t, "loaded, nearest", n, h/math.Tan(4*deg), 1e-9)
	near(t, "loaded, farthest", f, h/math.Tan(3*deg), 1e-9)
}

func TestReaimedLampIsTheLampAimedSo(t *testing.T) {
	for seed := range uint64(20) {
		d := newDraw(seed + 40000)
		r := d.rig()
		aimed := r.scene()
		for i := range r.lamps {
			r.lamps[i].tilt, r.lamps[i].turn = r.lamps[i].tilt-7, r.lamps[i].turn+20
		}
		other := r.scene()
		var back []geometry.Mounted
		for i := range other.Lamps {
			back = append(back, other.Site.Reaim(&other.Lamps[i], aimed.Lamps[i].Lamp.Aim))
		}
		other = other.Site.With(back...)
		for range 20 {
			p, n := d.place(r)
			if got, want := other.Lux(p, n), aimed.Lux(p, n); got != want {
				t.Fatalf("rig %d at %v: %v lx, want %v", seed, p, got, want)
			}
		}
	}
}

// A lamp straight down is the end of those that are nearly so: its edges lie in the plane of its
// turn, whatever its roll.
func TestStraightDownIsNoJump(t *testing.T) {
	for _, turn := range []float64{0, 90, -120, 180} {
		for _, roll := range []float64{0, 60, -90} {
			edges := func(tilt float64) (near, far float64) {
				s := onLevel(lamp(r3.Vec{Z: 1}, geometry.Aim{Tilt: tilt * deg, Turn: turn * deg, Roll: roll * deg}, 0,
					beam.Uniform(beam.Angles{Across: 14 * deg, UpDown: 50 * deg}).WithFlux(1000)))
				return s.Site.NearFar(&s.Lamps[0])
			}
			near0, far0 := edges(90)
			near1, far1 := edges(90 - 1e-6)
			closeTo(t, fmt.Sprintf("near edge, turned %v°, rolled %v°", turn, roll), near0, near1, 1e-7)
			closeTo(t, fmt.Sprintf("far edge, turned %v°, rolled %v°", turn, roll), far0, far1, 1e-7)
		}
	}
}
