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

// Shadows of the body, by similar triangles: light goes in straight lines past the edges of a box.

// box is one with its faces at these places.
func box(name string, rear, front, right, left, bottom, top float64) geometry.Box {
	return geometry.Box{Name: name, Min: r3.Vec{X: rear, Y: right, Z: bottom}, Max: r3.Vec{X: front, Y: left, Z: top}}
}

var hood = box("hood", -1.5, -0.2, -0.8, 0.8, 0.5, 1.15)

// roofLamp is a wide one on a roof, at 2.05 m, 1.9 m behind the bumper.
func roofLamp(width float64) geometry.Lamp {
	return lamp(r3.Vec{X: -1.9, Z: 2.05}, tilted(10), width, beam.Cosine(beam.Round(150*deg)).WithFlux(5000))
}

func TestHoodShadowEndsOnTheLinePastItsEdges(t *testing.T) {
	site := &geometry.Site{Body: []geometry.Box{hood}}
	shaded, open := site.Scene(roofLamp(0)), onLevel(roofLamp(0))
	// From the lens over the front edge (-0.2, 1.15): 0.9 m down on 1.7 m, so 2.05 m down on
	// 2.05·1.7/0.9 m.
	front := -1.9 + 2.05*1.7/0.9
	// Over the left edge, 0.9 m down on 0.8 m aside, so 2.05 m down on 2.05·0.8/0.9 m.
	const side = 2.05 * 0.8 / 0.9
	for _, tt := range []struct {
		where string
		x, y  float64
		lit   bool
	}{
		{"just behind the line past the front edge", front - 1e-6, 0, false},
		{"just before it", front + 1e-6, 0, true},
		{"the same to the side", front - 1e-6, 1.2, false},
		{"the same to the side", front + 1e-6, 1.2, true},
		{"just within the line past the left edge", 1.5, side - 1e-6, false},
		{"just without", 1.5, side + 1e-6, true},
		{"the right one within", 1.5, -side + 1e-6, false},
		{"and without", 1.5, -side - 1e-6, true},
		{"far ahead", 60, 0, true},
		{"under the hood", -0.8, 0, false},
	} {
		got, want := shaded.GroundLux(tt.x, tt.y), 0.0
		if tt.lit {
			want = open.GroundLux(tt.x, tt.y)
		}
		if got != want || open.GroundLux(tt.x, tt.y) == 0 {
			t.Errorf("%s: %v lx, want %v", tt.where, got, want)
		}
		// A plane 0.6 m up is in the shadow until the line is 0.6 m up: 1.45 m down.
		up06 := -1.9 + 1.45*1.7/0.9
		if shaded.FacingLux(up06-1e-6, 0, 0.6) != 0 || shaded.FacingLux(up06+1e-6, 0, 0.6) == 0 {
			t.Errorf("facing light does not begin at %.4f m", up06)
		}
	}
	to, by, ok := site.Shade(&shaded.Lamps[0])
	if !ok || by != "hood" {
		t.Fatalf("shade: %v, by %q", ok, by)
	}
	near(t, "shade ahead of the bumper", to, front, 1e-7)
}

func TestShade(t *testing.T) {
	site := &geometry.Site{Body: []geometry.Box{hood, box("rack", -0.4, -0.3, -0.5, 0.5, 1.15, 1.35)}}
	for _, tt := range []struct {
		where string
		lamp  geometry.Lamp
		to    float64 // NaN: not in the shade
		by    string
	}{
		// from (-1.9, 2.05) past the rack's top front edge (-0.3, 1.35)
		{"past the rack", roofLamp(0), -1.9 + 2.05*1.6/0.7, "rack"},
		// 0.6 m to the left, over the centreline: the rack is passed on its left, the hood's front
		// edge counts
		{"to the left of the rack", lamp(r3.Vec{X: -1.0, Y: 0.75, Z: 1.3}, tilted(5), 0, isotropic(1)),
			-1.0 + 1.3*0.8/0.15, "hood"},
		{"on the bumper", lamp(r3.Vec{X: 0.05, Z: 0.6}, tilted(1), 0, isotropic(1)), math.NaN(), ""},
		{"rearward", lamp(r3.Vec{X: -1.9, Z: 2.05}, geometry.Aim{Turn: math.Pi}, 0, isotropic(1)), math.NaN(), ""},
	} {
		to, by, ok := site.Shade(mounted(site, tt.lamp))
		if ok == math.IsNaN(tt.to) || by != tt.by {
			t.Errorf("%s: shade %v, by %q, want %q", tt.where, ok, by, tt.by)
		} else if ok {
			near(t, tt.where, to, tt.to, 1e-7)
		}
	}
	if _, _, ok := new(geometry.Site).Shade(mounted(new(geometry.Site), roofLamp(0))); ok {
		t.Error("shade without a body")
	}
	// A wall that shades everything ahead has no end within reach.
	walled := &geometry.Site{Body: []geometry.Box{box("wall", -0.5, -0.4, -50, 50, 0, 20)}}
	if to, by, ok := walled.Shade(mounted(walled, roofLamp(0))); !ok || by != "wall" || to < 50 {
		t.Errorf("behind a wall: shade to %v, by %q", to, by)
	}
}

func TestStops(t *testing.T) {
	lens := r3.Vec{X: -1.9, Z: 2.05}
	front := -1.9 + 2.05*1.7/0.9 // the line past the front edge, as above
	for _, tt := range []struct {
		where string
		to    r3.Vec
		stops bool
	}{
		{"just within the shadow", r3.Vec{X: front - 1e-6}, true},
		{"just without", r3.Vec{X: front + 1e-6}, false},
		{"over it", r3.Vec{X: 1, Z: 2}, false},
		{"onto its top", r3.Vec{X: -0.7, Z: 1.15}, false},
		{"into it", r3.Vec{X: -0.7, Z: 1.1}, true},
		{"short of it", r3.Vec{X: -1.8, Z: 1.9}, false},
		{"away from it", r3.Vec{X: -6}, false},
		{"straight down before it", r3.Vec{X: -1.9}, false},
	} {
		if got := hood.Stops(lens, tt.to); got != tt.stops {
			t.Errorf("%s: stopped %v", tt.where, got)
		}
		if got := hood.Stops(tt.to, lens); got != tt.stops {
			t.Errorf("%s, the other way: stopped %v", tt.where, got)
		}
	}
}

func TestPenumbraOfABar(t *testing.T) {
	// A bar of 1.0 m, a thin wall 2 m before it that covers all to the right of its middle, and a
	// screen at 6 m: each end of the bar throws the wall's edge to the other side, (6 - 2)/2 = 2
	// times as far as it is off. Between -1 m and 1 m the light rises from nothing to everything;
	// at y the emitters to the left of -y/2 see the screen.
	wall := box("wall", 2, 2.0001, -10, 0, 0, 5)
	bar := lamp(r3.Vec{Z: 1}, geometry.Aim{}, 1, beam.Cosine(beam.Round(150*deg)).WithPeak(1000))
	shaded, open := (&geometry.Site{Body: []geometry.Box{wall}}).Scene(bar), onLevel(bar)
	lux := func(s *geometry.Scene, y float64) float64 { return s.Lux(r3.Vec{X: 6, Y: y, Z: 1}, facing) }
	const thick = 1e-4 // m of penumbra for the wall's own thickness
	for _, tt := range []struct{ y, part float64 }{
		{-3, 0}, {-1.0 - thick, 0}, {-0.5, 0.25}, {0, 0.5}, {0.25, 0.625}, {0.5, 0.75}, {1.0 + thick, 1}, {3, 1},
	} {
		lit := lamp(r3.Vec{Y: 0.5 - tt.part/2, Z: 1}, geometry.Aim{}, tt.part,
			beam.Cosine(beam.Round(150*deg)).WithPeak(1000*tt.part))
		want := lux(onLevel(lit), tt.y) // the part of the bar that sees the screen, as a bar of its own
		if tt.part == 0 {
			want = 0
		}
		closeTo(t, fmt.Sprintf("light at y = %v", tt.y), lux(shaded, tt.y), want, 1e-4*lux(open, tt.y))
	}
	if lux(shaded, -1+0.01) == 0 || lux(shaded, 1-0.01) > 0.999*lux(open, 1-0.01) {
		t.Error("the penumbra is narrower than 2 m")
	}
	// the same along a row
	row := make([]float64, 61)
	shaded.AddRow(row, geometry.Row{Start: r3.Vec{X: 6, Y: -1.5, Z: 1}, Step: r3.Vec{Y: 0.05}, Normal: facing})
	for i, v := range row {
		near(t, "row through the penumbra", v, lux(shaded, -1.5+float64(i)*0.05), 1e-4)
	}
}

func TestTwoBoxesHideWhatEitherHides(t *testing.T) {
	// Two posts before a bar leave what neither hides, whether they overlap, touch or stand apart.
	bar := lamp(r3.Vec{Z: 1}, geometry.Aim{}, 2, beam.Cosine(beam.Round(120*deg)).WithPeak(1000))
	post := func(right, left float64) geometry.Box { return box("post", 3, 3.0001, right, left, 0, 3) }
	p := r3.Vec{X: 6, Z: 1} // from y at the posts the light left the bar at 2y
	for _, tt := range []struct {
		where string
		posts []geometry.Box
		lit   [][2]float64 // along the bar, m
	}{
		{"apart", []geometry.Box{post(-0.3, -0.2), post(0.1, 0.25)}, [][2]float64{{-1, -0.6}, {-0.4, 0.2}, {0.5, 1}}},
		{"overlapping", []geometry.Box{post(-0.3, 0), post(-0.1, 0.25)}, [][2]float64{{-1, -0.6}, {0.5, 1}}},
		{"touching", []geometry.Box{post(0, 0.25), post(-0.3, 0)}, [][2]float64{{-1, -0.6}, {0.5, 1}}},
		{"one within the other's shade", []geometry.Box{post(-0.3, 0.3), post(-0.1, 0.1)},
			[][2]float64{{-1, -0.6}, {0.6, 1}}},
		{"past the ends", []geometry.Box{post(-2, -0.4), post(0.4, 2)}, [][2]float64{{-0.8, 0.8}}},
		{"all", []geometry.Box{post(-2, 0.1), post(0, 2)}, nil},
	} {
		want := 0.0
		for _, l := range tt.lit {
			width := l[1] - l[0]
			part := lamp(r3.Vec{Y: (l[0] + l[1]) / 2, Z: 1}, geometry.Aim{}, width,
				beam.Cosine(beam.Round(120*deg)).WithPeak(500*width))
			want += onLevel(part).Lux(p, facing)
		}
		near(t, tt.where, (&geometry.Site{Body: tt.posts}).Scene(bar).Lux(p, facing), want, 2e-4)
	}
}

func TestLampWithinABoxIsDark(t *testing.T) {
	site := &geometry.Site{Body: []geometry.Box{hood}}
	for _, width := range []float64{0, 0.6} {
		s := site.Scene(lamp(r3.Vec{X: -0.8, Z: 0.8}, geometry.Aim{}, width, isotropic(1000)))
		for _, p := range []r3.Vec{{X: 5}, {X: -5}, {X: -0.8, Y: 3}, {X: -0.8, Z: 3}} {
			if got := s.Lux(p, r3.Unit(r3.Sub(r3.Vec{X: -0.8, Z: 0.8}, p))); got != 0 {
				t.Errorf("%v lx at %v from a lamp in the hood", got, p)
			}
		}
	}
	for _, tt := range []struct {
		p  r3.Vec
		in bool
	}{
		{r3.Vec{X: -0.8, Z: 0.8}, true}, {r3.Vec{X: -0.2, Z: 0.8}, false}, {r3.Vec{X: -0.2001, Z: 0.8}, true},
		{r3.Vec{X: -0.8, Z: 1.15}, false}, {r3.Vec{X: -0.8, Y: 0.9, Z: 0.8}, false},
	} {
		if hood.Inside(tt.p) != tt.in {
			t.Errorf("%v within the hood: %v", tt.p, !tt.in)
		}
	}
}

func TestBoxThatOnlyTouchesHidesNothing(t *testing.T) {
	// A lamp on the front face of a box, one standing on its top, and light along a face, all with
	// the nose up as well.
	bumper := box("bumper", -0.3, 0, -0.9, 0.9, 0.4, 0.7)
	for _, noseUp := range []float64{0, 1.5} {
		att := geometry.NoseUp(noseUp*deg, -4)
		site, bare := &geometry.Site{Attitude: att, Body: []geometry.Box{bumper}}, &geometry.Site{Attitude: att}
		for name, at := range map[string]r3.Vec{
			"on the face": {Z: 0.55}, "at the top edge": {Z: 0.7}, "on the top": {X: -0.15, Z: 0.7},
		} {
			for _, width := range []float64{0, 0.5} {
				l := lamp(at, geometry.Aim{}, width, beam.Cosine(beam.Round(120*deg)).WithFlux(1000))
				shaded, open := site.Scene(l), bare.Scene(l)
				p, n := att.Driven(r3.Vec{X: 12, Y: 1, Z: 0.9}), facing
				if got, want := shaded.Lux(p, n), open.Lux(p, n); got != want || want == 0 {
					t.Errorf("%s, %v m wide, nose up %v°: %v lx, want %v", name, width, noseUp, got, want)
				}
			}
		}
	}
	// Along the top face, from a point of light and from bars that lie in its plane, level and
	// upright.
	site := &geometry.Site{Body: []geometry.Box{bumper}}
	for name, l := range map[string]geometry.Lamp{
		"point":   lamp(r3.Vec{X: -2, Z: 0.7}, geometry.Aim{}, 0, isotropic(100)),
		"bar":     lamp(r3.Vec{X: -2, Z: 0.7}, geometry.Aim{}, 0.5, isotropic(100)),
		"upright": lamp(r3.Vec{X: -2, Y: 0.9, Z: 0.5}, geometry.Aim{Roll: 90 * deg}, 0.3, isotropic(100)),
	} {
		p := r3.Vec{X: 3, Y: l.At.Y, Z: l.At.Z}
		if got, want := site.Scene(l).Lux(p, facing), onLevel(l).Lux(p, facing); got != want {
			t.Errorf("%s along a face: %v lx, want %v", name, got, want)
		}
	}
}

func TestTopOfABoxIsLit(t *testing.T) {
	for _, noseUp := range []float64{0, -2, 0.8} {
		att := geometry.NoseUp(noseUp*deg, -4)
		site, bare := &geometry.Site{Attitude: att, Body: []geometry.Box{hood}}, &geometry.Site{Attitude: att}
		for _, width := range []float64{0, 1.2} {
			shaded, open := site.Scene(roofLamp(width)), bare.Scene(roofLamp(width))
			n := r3.Vec{X: -math.Sin(noseUp * deg), Z: math.Cos(noseUp * deg)}
			for x := -1.5; x <= -0.2; x += 0.13 {
				p := att.Driven(r3.Vec{X: x, Y: 0.3, Z: 1.15})
				if got, want := shaded.Lux(p, n), open.Lux(p, n); got != want || want == 0 {
					t.Errorf("hood at %.2f, nose up %v°: %v lx, want %v", x, noseUp, got, want)
				}
			}
		}
	}
}

func TestBodyLight(t *testing.T) {
	// A point of light of intensity I at h over the middle of a rectangle 2a × 2b sees it under the
	// solid angle 4 arctan(ab/(h √(a²+b²+h²))) (any text on view factors): the flux on it is I
	// times that.
	const intensity, h, a, b = 500.0, 0.9, 0.65, 0.8
	plain := &geometry.Site{Body: []geometry.Box{hood, box("roof", -3, -1.6, -0.7, 0.7, 1.6, 1.8)}}
	got := plain.Scene(lamp(r3.Vec{X: -0.85, Z: 1.15 + h}, tilted(5), 0, isotropic(intensity))).BodyLights()
	if len(got) != 2 || got[0].Name != "hood" || got[1].Name != "roof" {
		t.Fatalf("%+v", got)
	}
	omega := 4 * math.Atan(a*b/(h*math.Sqrt(a*a+b*b+h*h)))
	near(t, "mean on the hood", got[0].Mean, intensity*omega/(4*a*b), 1e-3)
	near(t, "greatest on the hood, straight below", got[0].Max, intensity/(h*h), 1e-4)
	// The roof is lit at a slant: greatest at its front edge, E = I h/d³ there.
	d := math.Hypot(0.75, h-0.65)
	near(t, "greatest on the roof", got[1].Max, intensity*(h-0.65)/(d*d*d), 1e-3)

	// Turned with the vehicle, body and lamp keep their light.
	turned := &geometry.Site{Body: plain.Body, Attitude: geometry.NoseUp(3*deg, -4)}
	again := turned.Scene(lamp(r3.Vec{X: -0.85, Z: 1.15 + h}, tilted(5), 0, isotropic(intensity))).BodyLights()
	for i := range got {
		near(t, "mean with the nose up", again[i].Mean, got[i].Mean, 1e-6)
		near(t, "greatest with the nose up", again[i].Max, got[i].Max, 1e-6)
	}

	// A dark roof over a lamp, and a dense sum under a bar.
	low := plain.Scene(lamp(r3.Vec{X: 0.1, Z: 0.6}, tilted(0), 0.5, lambertian(1000))).BodyLights()
	if low[0].Max != 0 || low[1].Mean != 0 {
		t.Errorf("a bumper lamp lights the hood by %v and the roof by %v lx", low[0].Max, low[1].Mean)
	}
	s := (&geometry.Site{Body: []geometry.Box{hood}}).Scene(roofLamp(1.1))
	const n = 120
	mean, most := 0.0, 0.0
	for i := range n {
		for j := range n {
			v := s.Lux(r3.Vec{X: -1.5 + 1.3*(float64(i)+0.5)/n, Y: -0.8 + 1.6*(float64(j)+0.5)/n, Z: 1.15}, up)
			mean, most = mean+v/(n*n), math.Max(most, v)
		}
	}
	bar := s.BodyLights()[0]
	near(t, "mean under a bar", bar.Mean, mean, 1e-4)
	near(t, "greatest under a bar, at the rear edge", bar.Max, s.Lux(r3.Vec{X: -1.5, Z: 1.15}, up), 1e-4)
	if bar.Max < most {
		t.Errorf("greatest under a bar: %v lx, %v lx elsewhere", bar.Max, most)
	}
}

func TestShadowOnAFieldIsTheShadowOfLux(t *testing.T) {
	// 5 m of ground about the hood's shadow: a field has the same points in the dark, and the same
	// light beside them.
	site := &geometry.Site{Body: []geometry.Box{hood}}
	for _, width := range []float64{0, 1} {
		s := site.Scene(roofLamp(width))
		f, err := s.GroundField(context.Background(), geometry.Grid{X0: -1, Y0: -2.5, Step: 0.05, NX: 101, NY: 101})
		if err != nil {
			t.Fatal(err)
		}
		dark := 0
		for i := range f.NX {
			for j := range f.NY {
				want := s.GroundLux(f.X(i), f.Y(j))
				if want == 0 {
					dark++
				}
				if got := f.At(i, j); math.Abs(got-want) > 0.003*want {
					t.Fatalf("(%.2f, %.2f): %v lx, want %v", f.X(i), f.Y(j), got, want)
				}
			}
		}
		if dark < 1000 || dark > 5000 {
			t.Errorf("%d points in the dark", dark)
		}
	}
}

// A ray into the unit box at the origin.
func TestBoxEnter(t *testing.T) {
	box := geometry.Box{Min: r3.Vec{X: 0, Y: 0, Z: 0}, Max: r3.Vec{X: 1, Y: 1, Z: 1}}
	for _, c := range []struct {
		name   string
		p, d   r3.Vec
		along  float64
		normal r3.Vec
		ok     bool
	}{
		{"head on", r3.Vec{X: -2, Y: 0.5, Z: 0.5}, r3.Vec{X: 1}, 2, r3.Vec{X: -1}, true},
		{"from above", r3.Vec{X: 0.5, Y: 0.5, Z: 3}, r3.Vec{Z: -2}, 1, r3.Vec{Z: 1}, true},
		{"aslant", r3.Vec{X: -1, Y: 0.5, Z: 2}, r3.Vec{X: 1, Z: -0.9}, 10. / 9, r3.Vec{Z: 1}, true},
		{"away", r3.Vec{X: -2, Y: 0.5, Z: 0.5}, r3.Vec{X: -1}, 0, r3.Vec{}, false},
		{"past", r3.Vec{X: -2, Y: 1.5, Z: 0.5}, r3.Vec{X: 1}, 0, r3.Vec{}, false},
		{"along a face", r3.Vec{X: -2, Y: 1, Z: 0.5}, r3.Vec{X: 1}, 0, r3.Vec{}, false},
		{"from a face outward", r3.Vec{X: 0, Y: 0.5, Z: 0.5}, r3.Vec{X: -1}, 0, r3.Vec{}, false},
	} {
		along, normal, ok := box.Enter(c.p, c.d)
		if ok != c.ok || ok && (math.Abs(along-c.along) > 1e-12 || normal != c.normal) {
			t.Errorf("%s: %g, %v, %v; want %g, %v, %v", c.name, along, normal, ok, c.along, c.normal, c.ok)
		}
	}
}
