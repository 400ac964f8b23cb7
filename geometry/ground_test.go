package geometry_test

import (
	"math"
	"slices"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The ground: slopes, profiles, where a straight line meets them, and the shadow behind a crest.

// crest is level to 30 m, falls 3 m to 60 m and is level from there.
var crest = geometry.Ground{Profile: []geometry.Knot{{Ahead: 0}, {Ahead: 30}, {Ahead: 60, Height: -3}}}

func TestHeightAndNormal(t *testing.T) {
	rough := geometry.Ground{CrossFall: 0.05, Profile: []geometry.Knot{{-10, 1}, {10, 1}, {20, 2}, {50, -1}}}
	for _, tt := range []struct {
		name      string
		ground    geometry.Ground
		x, y      float64
		z         float64
		slope     float64 // ahead
		crossFall float64
	}{
		{"level", geometry.Ground{}, 17, -4, 0, 0, 0},
		{"4 % ahead", geometry.Ground{Grade: 0.04}, 50, 3, 2, 0.04, 0},
		{"4 % behind", geometry.Ground{Grade: 0.04}, -50, 3, -2, 0.04, 0},
		{"cross fall", geometry.Ground{Grade: -0.1, CrossFall: 0.02}, 10, -5, -1.1, -0.1, 0.02},
		{"before the profile", rough, -40, 0, 1, 0, 0.05},
		{"first piece", rough, 0, 2, 1.1, 0, 0.05},
		{"rise", rough, 15, 0, 1.5, 0.1, 0.05},
		{"at a knot, the piece ahead", rough, 20, 0, 2, -0.1, 0.05},
		{"fall", rough, 40, -2, -0.1, -0.1, 0.05},
		{"last knot", rough, 50, 0, -1, 0, 0.05},
		{"beyond", rough, 500, 0, -1, 0, 0.05},
		{"a profile goes before a grade", geometry.Ground{Grade: 0.5, Profile: []geometry.Knot{{0, 0}, {10, 1}}}, 5, 0,
			0.5, 0.1, 0},
	} {
		closeTo(t, tt.name+": height", tt.ground.Height(tt.x, tt.y), tt.z, 1e-12)
		want := r3.Unit(r3.Vec{X: -tt.slope, Y: -tt.crossFall, Z: 1})
		if r3.Norm(r3.Sub(tt.ground.Normal(tt.x), want)) > 1e-15 {
			t.Errorf("%s: normal %v, want %v", tt.name, tt.ground.Normal(tt.x), want)
		}
	}
	for _, g := range []geometry.Ground{{Grade: 1e-9}, {CrossFall: 1e-9}, {Profile: []geometry.Knot{{}}}} {
		if g.Level() || !new(geometry.Ground).Level() {
			t.Errorf("%+v level: %v", g, g.Level())
		}
	}
	site := geometry.Site{Ground: geometry.Ground{Grade: 0.1, CrossFall: -0.05}}
	if p := site.At(20, 4, 0.6); r3.Norm(r3.Sub(p, r3.Vec{X: 20, Y: 4, Z: 2 - 0.2 + 0.6})) > 1e-12 {
		t.Errorf("0.6 m over the ground: %v", p)
	}
}

func TestHit(t *testing.T) {
	tan := func(d float64) float64 { return math.Tan(d * deg) }
	none := math.NaN()
	for _, tt := range []struct {
		name   string
		ground geometry.Ground
		at     r3.Vec
		tilt   float64
		turn   float64
		x      float64 // NaN: no hit
	}{
		{"level ground", geometry.Ground{}, r3.Vec{X: 1, Z: 2}, 5, 0, 1 + 2/tan(5)},
		{"level beam on level ground", geometry.Ground{}, r3.Vec{Z: 2}, 0, 0, none},
		{"level beam on a rise of 4 %", geometry.Ground{Grade: 0.04}, r3.Vec{Z: 2}, 0, 0, 50},
		{"level beam on a fall of 4 %", geometry.Ground{Grade: -0.04}, r3.Vec{Z: 2}, 0, 0, none},
		{"the same rearward", geometry.Ground{Grade: -0.04}, r3.Vec{Z: 2}, 0, 180, -50},
		{"beam along the slope", geometry.Ground{Grade: -0.04}, r3.Vec{Z: 2}, math.Atan(0.04) / deg, 0, none},
		{"level beam aside on cross fall", geometry.Ground{CrossFall: 0.1}, r3.Vec{X: 3, Y: 1, Z: 2}, 0, 90, 3},
		{"straight down", geometry.Ground{Grade: 0.1}, r3.Vec{X: 10, Z: 2}, 90, 0, 10},
		{"before the crest", crest, r3.Vec{Z: 2}, 5, 0, 2 / tan(5)},
		// over the crest the ray falls 3.5 %, the ground 10 %: it comes down on the level at -3 m
		{"over the crest", crest, r3.Vec{Z: 2}, 2, 0, 5 / tan(2)},
		// 2 - 0.12 x = -(x - 30)/10 at x = -50: never; falls 12 %: before the crest at 16.7 m
		{"12 %", crest, r3.Vec{Z: 2}, math.Atan(0.12) / deg, 0, 2 / 0.12},
		// 4 m up, 12.5 %: 4 - x/8 = 3 - x/10 at 40 m
		{"on the slope", crest, r3.Vec{Z: 4}, math.Atan(0.125) / deg, 0, 40},
		{"back up the slope", crest, r3.Vec{X: 80, Z: -1}, -0.5, 180, 60 - (2+20*tan(0.5))/(0.1-tan(0.5))},
		{"back over the crest", crest, r3.Vec{X: 80, Z: 1}, 0, 180, none},
		{"the slope just above its foot", crest, r3.Vec{X: 80, Z: -1}, 5, 180, 60 - (2-20*tan(5))/(0.1+tan(5))},
		{"level, off the end of the profile", crest, r3.Vec{X: 100, Z: 1}, 10, 0, 100 + 4/tan(10)},
		{"behind the start of the profile", crest, r3.Vec{X: -3, Z: 1}, 10, 180, -3 - 1/tan(10)},
		{"at a knot, rearward", crest, r3.Vec{X: 30, Z: 1}, 45, 180, 29},
		{"at a knot, down", crest, r3.Vec{X: 30, Z: 1}, 90, 0, 30},
		{"from below", geometry.Ground{}, r3.Vec{Z: -1}, 10, 0, none},
		{"from the ground", geometry.Ground{}, r3.Vec{}, 10, 0, none},
	} {
		site := &geometry.Site{Ground: tt.ground}
		hit, ok := site.AxisHit(
			mounted(site, lamp(tt.at, geometry.Aim{Tilt: tt.tilt * deg, Turn: tt.turn * deg}, 0, isotropic(1))),
		)
		if ok == math.IsNaN(tt.x) {
			t.Errorf("%s: hit %v at %v, want %v", tt.name, ok, hit, tt.x)
		} else if ok {
			closeTo(t, tt.name, hit.X, tt.x, 1e-9*math.Max(1, math.Abs(tt.x)))
			closeTo(t, tt.name+": on the ground", hit.Z, tt.ground.Height(hit.X, hit.Y), 0)
		}
	}
}

// A ray toward a crest meets it, whatever is rounded on the way.
func TestHitOnACrest(t *testing.T) {
	knot := r3.Vec{X: 30}
	for i := range 1000 {
		from := r3.Vec{X: -2 - 0.0123*float64(i), Y: 0.5, Z: 1 + 0.00217*float64(i)}
		ray := r3.Unit(r3.Sub(r3.Add(knot, r3.Vec{Y: -0.01 * float64(i)}), from))
		hit, ok := crest.Hit(from, ray)
		looked, found := crest.From(from).Hit(ray)
		if !ok || math.Abs(hit.X-knot.X) > 1e-6 || !found || looked != hit {
			t.Fatalf("from %v: hit %v at %v, from a lookout %v at %v", from, ok, hit, found, looked)
		}
	}
}

func TestHitAgainstMarching(t *testing.T) {
	t.Parallel()
	// The first of many small steps along the ray that is below the ground.
	hits := 0
	for seed := range uint64(100) {
		d := newDraw(seed + 50000)
		r := d.rig()
		s := r.scene()
		for i := range s.Lamps {
			m := &s.Lamps[i]
			const step, end = 0.05, 150.0
			want := math.NaN()
			if m.Place.Z > r.height(m.Place.X, m.Place.Y) {
				for at := step; at < end; at += step {
					if p := r3.Add(m.Place, r3.Scale(at, m.Axes.Ahead)); p.Z <= r.height(p.X, p.Y) {
						want = at - step/2
						break
					}
				}
			}
			hit, ok := s.Site.AxisHit(m)
			got := r3.Norm(r3.Sub(hit, m.Place))
			switch {
			case math.IsNaN(want) && ok && got < end-step, !math.IsNaN(want) && !ok:
				t.Errorf("rig %d: hit %v at %v m, marching has %v", seed, ok, got, want)
			case !math.IsNaN(want):
				hits++
				closeTo(t, "length of the ray", got, want, step)
			}
		}
	}
	if hits < 60 {
		t.Errorf("%d rays hit the ground: too few to mean anything", hits)
	}
}

// Knots on the straight between two others make a profile longer, and no difference.
func TestLongProfileIsTheShortOne(t *testing.T) {
	shaded, lit := 0, 0
	for seed := range uint64(drawn(40, 400)) {
		d := newDraw(seed + 53000)
		short := geometry.Site{Ground: geometry.Ground{CrossFall: d.between(-0.05, 0.05)}}
		x := -30.0
		for range 3 + d.IntN(5) {
			short.Ground.Profile = append(short.Ground.Profile, geometry.Knot{Ahead: x, Height: 2 * d.NormFloat64()})
			x += d.between(3, 25)
		}
		long := short
		long.Ground.Profile = nil
		for i, k := range short.Ground.Profile {
			if i > 0 {
				was := short.Ground.Profile[i-1]
				for n := 1; n < 12; n++ {
					u := float64(n) / 12
					long.Ground.Profile = append(long.Ground.Profile, geometry.Knot{
						Ahead: was.Ahead + u*(k.Ahead-was.Ahead), Height: was.Height + u*(k.Height-was.Height),
					})
				}
			}
			long.Ground.Profile = append(long.Ground.Profile, k)
		}
		at := r3.Vec{X: d.between(-20, 20), Y: d.between(-1, 1)}
		at.Z = short.Ground.Height(at.X, at.Y) + d.between(0.3, 4)
		if slices.ContainsFunc(short.Ground.Profile,
			func(k geometry.Knot) bool { return math.Abs(k.Ahead-at.X) < 1.1 }) {
			continue // the ground below a bar is taken to be one piece
		}
		l := lamp(at, geometry.Aim{Tilt: d.between(-5, 20) * deg, Turn: d.between(-180, 180) * deg,
			Roll: d.between(-30, 30) * deg},
			d.between(0, 2), isotropic(1000))
		one, other := short.Scene(l), long.Scene(l)
		for range 200 {
			x, y, up := d.between(-60, 90), d.between(-20, 20), max(0, d.NormFloat64())
			p, facing := short.At(x, y, up), short.Facing(x, y)
			want, got := one.Lux(p, facing), other.Lux(p, facing)
			if math.Abs(got-want) > 1e-6*want+1e-12 {
				t.Fatalf("site %d at %v: %.9g lx, %.9g over the short profile", seed, p, got, want)
			}
			if want > 0 {
				lit++
			} else {
				shaded++
			}
		}
	}
	if lit < 1000 || shaded < 1000 {
		t.Errorf("%d places lit and %d dark: too few to mean anything", lit, shaded)
	}
}

// From one place a ray meets the ground where it meets it otherwise.
func TestHitFromALookout(t *testing.T) {
	hits, missed := 0, 0
	for seed := range uint64(30) {
		d := newDraw(seed + 52000)
		g := geometry.Ground{CrossFall: d.between(-0.1, 0.1)}
		x, h := -40.0, 0.0
		for range 1 + d.IntN(200) {
			x += 0.05 + 4*d.Float64()*d.Float64()
			h += d.NormFloat64() / 4
			g.Profile = append(g.Profile, geometry.Knot{Ahead: x, Height: h})
		}
		at := r3.Vec{X: d.between(-60, 60), Y: d.between(-5, 5)}
		if at.Z = g.Height(at.X, at.Y) + 2*d.Float64(); d.chance(0.1) {
			at.X = g.Profile[0].Ahead
			at.Z = g.Height(at.X, at.Y) + 1
		}
		from := g.From(at)
		for range 300 {
			ray := r3.Unit(r3.Vec{X: d.NormFloat64(), Y: d.NormFloat64() / 3, Z: d.NormFloat64() / 8})
			if d.chance(0.02) {
				ray = r3.Unit(r3.Vec{Y: ray.Y, Z: ray.Z})
			}
			want, ok := g.Hit(at, ray)
			got, found := from.Hit(ray)
			if found != ok || r3.Norm(r3.Sub(got, want)) > 1e-9*(1+r3.Norm(want)) {
				t.Fatalf("ground %d, from %v along %v: %v %v, otherwise %v %v", seed, at, ray, got, found, want, ok)
			}
			if ok {
				hits++
			} else {
				missed++
			}
		}
	}
	if hits < 2000 || missed < 1000 {
		t.Errorf("%d rays hit the ground and %d miss it: too few to mean anything", hits, missed)
	}
}

func TestShadowBehindACrest(t *testing.T) {
	// A lamp 2 m up looks over the crest at 30 m: the line of sight falls 1 in 15, the ground
	// behind it 1 in 10. On the level at -3 m it is met where 2 - x/15 = -3, at 75 m. A thing 0.6 m
	// high drops out of the light where 3.6 - x/10 = 2 - x/15, at 48 m, and comes back where 2 -
	// x/15 = -2.4, at 66 m.
	site := &geometry.Site{Ground: crest}
	for _, width := range []float64{0, 1} {
		l := lamp(r3.Vec{Z: 2}, tilted(2), width, beam.Cosine(beam.Round(100*deg)).WithPeak(1e5))
		s, open := site.Scene(l), onLevel(l)
		for _, tt := range []struct {
			x           float64
			ground, obj bool
		}{
			{29.999, true, true}, {30.001, false, true}, {47.999, false, true}, {48.001, false, false},
			{65.999, false, false},
			{66.001, false, true}, {74.999, false, true}, {75.001, true, true}, {200, true, true},
		} {
			for _, y := range []float64{0, 3, -11} {
				if got := s.GroundLux(tt.x, y) > 0; got != tt.ground {
					t.Errorf("ground at (%v, %v), lamp %v m wide: lit %v", tt.x, y, width, got)
				}
				if got := s.FacingLux(tt.x, y, 0.6) > 0; got != tt.obj {
					t.Errorf("0.6 m up at (%v, %v), lamp %v m wide: lit %v", tt.x, y, width, got)
				}
			}
			if p := site.At(tt.x, 0, 0.6); tt.obj {
				near(t, "light beside the shadow", s.FacingLux(tt.x, 0, 0.6), open.Lux(p, facing), 1e-12)
			}
		}
	}
	// From behind: the same hill, mirrored.
	mirror := &geometry.Site{Ground: geometry.Ground{Profile: []geometry.Knot{{-60, -3}, {-30, 0}, {0, 0}}}}
	back := mirror.Scene(
		lamp(r3.Vec{Z: 2}, geometry.Aim{Tilt: 2 * deg, Turn: math.Pi}, 0.5,
			beam.Cosine(beam.Round(100*deg)).WithPeak(1e5)),
	)
	for _, tt := range []struct {
		x   float64
		lit bool
	}{{-29.999, true}, {-30.001, false}, {-74.999, false}, {-75.001, true}} {
		if got := back.GroundLux(tt.x, 1) > 0; got != tt.lit {
			t.Errorf("behind, ground at %v: lit %v", tt.x, got)
		}
	}
}

func TestCrestHidesPartOfAnUprightBar(t *testing.T) {
	// A bar of 1 m stands upright, 1.5 m to 2.5 m up, 20 m before a crest of 1 m. Seen from the
	// level 20 m behind it the line over the crest comes from 2 m: the upper half is in sight.
	site := &geometry.Site{Ground: geometry.Ground{Profile: []geometry.Knot{{0, 0}, {19, 0}, {20, 1}, {21, 0}}}}
	bar := func(height, width float64) geometry.Lamp {
		return lamp(r3.Vec{Z: height}, geometry.Aim{Roll: 90 * deg}, width,
			beam.Cosine(beam.Round(120*deg)).WithPeak(1000*width))
	}
	p := r3.Vec{X: 40}
	near(t, "upper half", site.Scene(bar(2, 1)).Lux(p, facing), onLevel(bar(2.25, 0.5)).Lux(p, facing), 1e-4)
	near(t, "all of it", site.Scene(bar(2.6, 1)).Lux(p, facing), onLevel(bar(2.6, 1)).Lux(p, facing), 1e-12)
	if got := site.Scene(bar(1.4, 1)).Lux(p, facing); got != 0 {
		t.Errorf("%v lx from behind the crest", got)
	}
	// What of a bar is under the ground gives no light.
	low := bar(0.2, 1) // from -0.3 m to 0.7 m
	near(t, "half buried", onLevel(low).Lux(r3.Vec{X: 10, Z: 1}, facing),
		onLevel(bar(0.35, 0.7)).Lux(r3.Vec{X: 10, Z: 1}, facing), 1e-6)
	if got := onLevel(lamp(r3.Vec{Z: -0.1}, geometry.Aim{}, 0, isotropic(100))).Lux(r3.Vec{X: 3}, facing); got != 0 {
		t.Errorf("%v lx from under the ground", got)
	}
}

func TestLightOnASlope(t *testing.T) {
	// A slope that faces the lamp squarely has all of the light, one along the light none.
	const i = 1000.0
	s := (&geometry.Site{Ground: geometry.Ground{Grade: 1}}).Scene(
		lamp(r3.Vec{X: -5, Z: 5}, geometry.Aim{}, 0, isotropic(i)),
	)
	near(t, "45° up", s.GroundLux(0, 0), i/50, 1e-12)
	side := (&geometry.Site{Ground: geometry.Ground{CrossFall: 1}}).Scene(
		lamp(r3.Vec{Y: -5, Z: 5}, geometry.Aim{}, 0, isotropic(i)),
	)
	near(t, "45° to the left", side.GroundLux(0, 0), i/50, 1e-12)
	along := (&geometry.Site{Ground: geometry.Ground{Grade: -1}}).Scene(
		lamp(r3.Vec{Z: 1}, geometry.Aim{}, 0, isotropic(i)),
	)
	// 1 m over a fall of 45° the perpendicular is 1/√2 m; 3 m ahead and 3 m down the light has gone
	// √(9+16) m
	near(t, "along", along.GroundLux(3, 0), i*math.Sqrt2/2/125, 1e-12)
}
