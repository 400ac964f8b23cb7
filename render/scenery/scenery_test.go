package scenery

import (
	"context"
	"fmt"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

const deg = math.Pi / 180

// spot is a round gaussian lamp.
func spot(ahead, left, up, tilt, turn, spread, lumens float64) geometry.Lamp {
	return geometry.Lamp{
		At: r3.Vec{X: ahead, Y: left, Z: up}, Aim: geometry.Aim{Tilt: tilt * deg, Turn: turn * deg},
		Optics: []geometry.Optic{{Beam: beam.Gaussian(beam.Round(spread * deg)).WithFlux(lumens)}},
	}
}

// mast is a lamp far above that lights all ground around with much the same light.
var mast = geometry.Lamp{
	At: r3.Vec{X: -30, Z: 30}, Aim: geometry.Aim{Tilt: 20 * deg},
	Optics: []geometry.Optic{{Beam: beam.Cosine(beam.Round(120 * deg)).WithFlux(4e5)}},
}

var hood = geometry.Box{Name: "hood", Min: r3.Vec{X: -1.5, Y: -0.8, Z: 0.5}, Max: r3.Vec{X: -0.2, Y: 0.8, Z: 1.15}}

// seat is where the eye is, parked.
var seat = r3.Vec{X: -2.1, Y: 0.4, Z: 1.65}

// world is the world of lamps on a site, with persons in their places.
func world(t testing.TB, site geometry.Site, around sight.Around, persons []Standing, lamps ...geometry.Lamp) *World {
	t.Helper()
	eye := site.Attitude.Driven(seat)
	for i := range persons {
		persons[i].Thing = sight.Things()[0]
	}
	w, err := New(context.Background(), sight.Look(site.Scene(lamps...), eye, sight.Usual, around), eye, persons)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// wide is a window of a width (px) of 50°.
func wide(width float64) Window {
	w := Window{Box: draw.R(10, 20, 10+width, 20+math.Round(0.56*width)), Focal: width / 2 / math.Tan(25*deg)}
	w.Centre = draw.Pt(w.Box.Centre().X, math.Round(20+0.2*width))
	return w
}

func through(t testing.TB, w *World, window Window) *Luminances {
	t.Helper()
	l, err := w.Through(context.Background(), window)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// near reports a value that is off by more than a share of what it should be.
func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: %.5g, want %.5g", what, got, want)
	}
}

// bare are the plants taken out of a world, to see what is behind them.
func bare(w *World) *World {
	var rest []upright
	for _, u := range w.uprights {
		if u.bare {
			rest = append(rest, u)
		}
	}
	w.uprights = rest
	return w
}

// The ground is as bright as E·ρ/π and the veil say, wherever it is looked at: on slopes, beyond a
// dip, with the ground falling to the side, in mist, on a bend.
func TestGroundIsTheScene(t *testing.T) {
	for name, site := range map[string]geometry.Site{
		"level":      {},
		"grade":      {Ground: geometry.Ground{Grade: 0.05}},
		"cross fall": {Ground: geometry.Ground{CrossFall: 0.08}},
		"dip": {Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: 10}, {Ahead: 30, Height: -1},
			{Ahead: 60, Height: 3}}, CrossFall: -0.03}},
		"mist": {Visibility: 80},
		"bend": {Track: geometry.Track{Radius: 30, Left: true}},
	} {
		w := bare(world(t, site, sight.AtNight(0.2), nil, mast))
		l := through(t, w, wide(1000))
		g, err := newGround(context.Background(), w.View.Scene, &l.Window)
		if err != nil {
			t.Fatal(err)
		}
		seen := 0
		for _, at := range []draw.Point{draw.Pt(6, 0), draw.Pt(9, -2.5), draw.Pt(15, 4), draw.Pt(28, 6),
			draw.Pt(35, -5), draw.Pt(55, 0.7)} {
			p := w.View.Scene.Site.At(at.X, at.Y, 0)
			px, ok := l.Pixel(p)
			if !ok || !l.Box.Inset(3).Has(px) {
				continue
			}
			if hit, ok := site.Ground.Hit(w.Eye, r3.Sub(p, w.Eye)); !ok || r3.Norm(r3.Sub(hit, p)) > 1e-6 {
				continue // hidden
			}
			seen++
			// Grain is as fine as pixels are, and worked out for every second one.
			px = draw.Pt(l.Box.X0+2*math.Floor((px.X-l.Box.X0)/2)+0.5, math.Floor(px.Y)+0.5)
			hit, _ := site.Ground.Hit(w.Eye, r3.Vec{X: 1, Y: l.Left(px.X), Z: l.Up(px.Y)})
			middle, deep := g.ahead(g.row(0, l.Up(px.Y)))
			grit := newGrit(newGrain(), deep, middle/l.Focal)
			along, left := w.onTrack(hit.X, hit.Y)
			lit := w.View.Scene.GroundLux(hit.X, hit.Y) * 0.2 / math.Pi * grit.tone(along, left, w.half)
			want := lit*transmission(&site, r3.Norm(r3.Sub(hit, w.Eye))) + w.veilOver(l.direction(px.X, px.Y))
			near(t, fmt.Sprintf("%s: at %g m, %g m left", name, at.X, at.Y), l.At(px), want, 0.05)
		}
		if seen < 3 {
			t.Errorf("%s: only %d places are in view", name, seen)
		}
	}
}

// Ruts and grain change nothing about the reflectance of the track as a whole, and little beside
// it.
func TestTrackReflectsWhatItShould(t *testing.T) {
	for _, pixel := range []float64{1e-3, 0.05, 0.5} {
		sum, n, grit := 0.0, 0.0, newGrit(newGrain(), pixel, pixel/4)
		for along := 3.0; along < 40; along += 0.031 {
			for left := -1.9; left < 1.9; left += 0.037 {
				sum += grit.tone(along, left, 2)
				n++
			}
		}
		near(t, fmt.Sprintf("mean at %g m", pixel), sum/n, 1, 0.03)
	}
	rut, crown, grit := 0.0, 0.0, newGrit(newGrain(), 0.05, 0.01)
	for along := 3.0; along < 40; along += 0.031 {
		rut += grit.tone(along, 0.8, 2)
		crown += grit.tone(along, 0, 2)
	}
	if rut < 1.2*crown {
		t.Errorf("a rut is %.2f times as bright as the crown between", rut/crown)
	}
}

// Similar triangles: an edge 1.9 m ahead of the eye and 0.5 m below it is seen a slope of 0.5/1.9
// below eye level. Driven, both turn about the rear axle. The top of the hood has the light that
// falls on it.
func TestHood(t *testing.T) {
	for _, noseUp := range []float64{0, 2} {
		site := geometry.Site{Body: []geometry.Box{hood}, Attitude: geometry.NoseUp(noseUp*deg, -4)}
		w := bare(world(t, site, sight.AtNight(0.2), nil, mast))
		l := through(t, w, wide(1000))
		slope := math.Tan(math.Atan(0.5/1.9) - noseUp*deg)
		want := l.Centre.Y + l.Focal*slope
		up := site.Attitude.DrivenAxes(geometry.Axes{Up: r3.Vec{Z: 1}}).Up
		top := site.Attitude.Driven(r3.Vec{X: -0.6, Y: 0.3, Z: 1.15})
		px, _ := l.Pixel(top)
		light := w.View.Scene.Lux(top, up) * sight.BodyReflectance / math.Pi
		near(t, fmt.Sprintf("nose up %g°: the hood", noseUp), l.At(px), light+w.veilOver(l.direction(px.X, px.Y)), 0.02)
		edge := px.Y // up from there as far as it is as bright as the hood
		for ; math.Abs(l.At(draw.Pt(px.X, edge-1))/l.At(px)-1) < 0.1; edge-- {
		}
		if math.Abs(math.Floor(edge)-want) > 1.5 {
			t.Errorf("nose up %g°: edge at row %.1f, want %.1f", noseUp, edge, want)
		}
	}
}

// The edge of a shadow is where the light says to a fraction of a pixel, row by row, and so has no
// stairs: that of a box on the ground to the side, and that of a cabin on the hood.
func TestShadowsHaveSmoothEdges(t *testing.T) {
	van := geometry.Box{Min: r3.Vec{X: -5, Y: -1, Z: 0.4}, Max: r3.Vec{X: -1, Y: 1, Z: 2.4}}
	level := r3.Vec{Z: 1}
	for name, c := range map[string]struct {
		box   geometry.Box
		lamp  geometry.Lamp
		plane float64 // height of what is shadowed, m
		rows  [2]float64
	}{
		"ground": {van, spot(-3, 1.02, 2.3, 35, 70, 90, 3000), 0, [2]float64{0.22, 0.36}},
		"hood":   {hood, spot(-2, 1.2, 2.2, 90, 0, 60, 1500), 1.15, [2]float64{0.285, 0.36}},
	} {
		site := geometry.Site{Body: []geometry.Box{c.box}}
		if name == "hood" {
			site.Body = append(site.Body, geometry.Box{Min: r3.Vec{X: -3.6, Y: -0.9, Z: 0.5},
				Max: r3.Vec{X: -1.5, Y: 0.9, Z: 1.95}})
		}
		w := bare(world(t, site, sight.Around{Ground: 0.2, Body: 0.1}, nil, c.lamp))
		l := through(t, w, wide(800))
		lux := func(x, y float64) float64 {
			d := r3.Vec{X: 1, Y: l.Left(x), Z: l.Up(y)}
			return w.View.Scene.Lux(r3.Add(w.Eye, r3.Scale((c.plane+1e-9-w.Eye.Z)/d.Z, d)), level)
		}
		edges := 0
		for y := math.Floor(l.Centre.Y+c.rows[0]*800) + 0.5; y < l.Box.Y1-1 && y < l.Centre.Y+c.rows[1]*800; y++ {
			row := l.Row(int(y))
			for x := l.Box.X0 + 8.5; x < l.Box.X1-8; x++ {
				if (lux(x, y) > 0.05) == (lux(x+1, y) > 0.05) {
					continue
				}
				lo, hi := x, x+1
				for range 20 {
					if mid := (lo + hi) / 2; (lux(mid, y) > 0.05) == (lux(x, y) > 0.05) {
						lo = mid
					} else {
						hi = mid
					}
				}
				i := int(x - l.Box.X0)
				a, b := float64(row[i-5]), float64(row[i+6])
				if max(a, b) < 4*min(a, b) {
					continue // another edge is near
				}
				got := math.NaN()
				for k := i - 5; k < i+6; k++ {
					u, v, half := float64(row[k]), float64(row[k+1]), (a+b)/2
					if (u < half) != (v < half) {
						got = l.Box.X0 + float64(k) + 0.5 + (half-u)/(v-u)
					}
				}
				edges++
				if !(math.Abs(got-lo) < 1.5) {
					t.Errorf("%s: row %.1f has an edge at %.2f px, want %.2f", name, y, got, lo)
				}
			}
		}
		if edges < 20 {
			t.Errorf("%s: only %d edges were asked for", name, edges)
		}
	}
}

// A person behind a crest is not seen: from 1.65 m over the ground, past 0 m at 30 m, the line of
// sight has fallen to -1.7 m at 60 m; ground at -4 m hides 1.7 m.
func TestCrestHides(t *testing.T) {
	crest := geometry.Site{Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: 30}, {Ahead: 40, Height: -4}}}}
	for name, c := range map[string]struct {
		site geometry.Site
		want bool
	}{"level": {want: true}, "crest": {site: crest}} {
		w := bare(world(t, c.site, sight.AtNight(0.2), []Standing{{Along: 60}, {Along: 20}}, mast))
		l, without := through(t, w, wide(800)),
			through(t, bare(world(t, c.site, sight.AtNight(0.2), nil, mast)), wide(800))
		px, _ := l.Pixel(w.View.Scene.Site.At(60, 0, 0.9))
		if got := l.At(px) != without.At(px); got != c.want {
			t.Errorf("%s: the person at 60 m is seen: %v", name, got)
		}
		for _, s := range w.Stand {
			if _, seen := w.Place(l.Window, s); seen != (c.want || s.Along == 20) {
				t.Errorf("%s: person at %g m seen: %v", name, s.Along, seen)
			}
		}
	}
}

// A person has the luminance that sight says, on a straight track and on a bend, in clear air and
// in dust.
func TestPersonIsAsSightSays(t *testing.T) {
	dust := sight.AtNight(0.2)
	dust.Particles = sight.Dust
	for name, c := range map[string]struct {
		site   geometry.Site
		around sight.Around
		along  float64
	}{
		"straight": {along: 60, around: sight.AtNight(0.2)},
		"bend": {along: 35, around: sight.AtNight(0.2),
			site: geometry.Site{Track: geometry.Track{Radius: 80, From: 10}}},
		"dust": {along: 25, around: dust, site: geometry.Site{Visibility: 120}},
	} {
		c.site.Body = []geometry.Box{hood}
		w := world(t, c.site, c.around, []Standing{{Along: c.along, Left: -1}}, spot(0, 0.5, 0.8, 1, 0, 20, 3000),
			spot(-1.5, 0, 2, 4, 0, 40, 6000))
		window := wide(1000)
		window.Focal *= c.along / 12 // as large as from near by
		parts := w.View.Parts(w.Stand[0].Thing, w.View.OnTrack(c.along, -1))
		foot, _ := (&Window{Box: window.Box, Eye: w.Eye, Focal: window.Focal}).Pixel(w.Stand[0].Foot)
		window.Centre = draw.Pt(window.Box.Centre().X-foot.X, window.Box.Y1-30-foot.Y)
		l := through(t, w, window)
		r, seen := w.Place(l.Window, w.Stand[0])
		if !seen {
			t.Fatalf("%s: is not in view at %v", name, r)
		}
		mean := 0.0
		// a leg, the hip, the chest
		for _, at := range [3][2]float64{{0.5 + 0.19, 1. / 6}, {0.5 + 0.06, 3. / 6}, {0.5, 5. / 6}} {
			mean += l.At(draw.Pt(r.X0+at[0]*r.W(), r.Y1-at[1]*r.H())) / 3
		}
		sum := parts.Sum([]int{0, 1})
		near(t, name, mean, sum.Thing+sum.Veil.Sum(), 0.02)
	}
}

// Veil and glow follow between the lines of sight along which they are worked out.
func TestSheets(t *testing.T) {
	dust := sight.AtNight(0.2)
	dust.Particles = sight.Dust
	for name, c := range map[string]struct {
		site   geometry.Site
		around sight.Around
	}{"clear": {geometry.Site{}, sight.AtNight(0.2)}, "dust": {geometry.Site{Visibility: 150}, dust}} {
		c.site.Body = []geometry.Box{hood}
		w := world(t, c.site, c.around, nil, spot(0, 0.5, 0.8, 1, 0, 10, 3000), spot(-1.5, 0, 2, 4, 0, 40, 6000))
		l := through(t, w, wide(400))
		veil, err := w.veil(context.Background(), &l.Window)
		if err != nil {
			t.Fatal(err)
		}
		air, err := w.air(context.Background(), &l.Window)
		if err != nil || (air != nil) != (name == "dust") {
			t.Fatal(air, err)
		}
		row := make([]float32, l.Columns)
		for y := l.Box.Y0 + 7.5; y < l.Box.Y1; y += 31 {
			for x := 13; x < l.Columns; x += 57 {
				direction := l.direction(l.Box.X0+float64(x)+0.5, y)
				veil.along(row, y)
				near(t, fmt.Sprintf("%s: veil at %d, %.1f", name, x, y), float64(row[x]), w.veilOver(direction), 0.1)
				if air == nil || l.Up(y) < -0.2 { // there the body is before the ground
					continue
				}
				air.along(row, y)
				glow := 0.0
				for _, g := range w.View.Glow(direction) {
					glow += g
				}
				near(t, fmt.Sprintf("%s: glow at %d, %.1f", name, x, y), float64(row[x]), glow, 0.06)
			}
		}
	}
}

// No plant stands on the track or hides it, on the sharpest of bends.
func TestPlantsLeaveTheTrackFree(t *testing.T) {
	for _, track := range []geometry.Track{{}, {Radius: 25, Left: true}, {Radius: 60, From: 20},
		{Radius: 400, Left: true, Width: 8}} {
		w := world(t, geometry.Site{Track: track}, sight.AtNight(0.2), nil)
		if len(w.uprights) < 20 {
			t.Errorf("%+v: only %d plants", track, len(w.uprights))
		}
		for s := 2.0; s < min(track.End(), 200); s++ {
			x, y := track.Place(s, 0)
			for i := range w.uprights {
				u := &w.uprights[i]
				if d := math.Hypot(u.foot.X-x, u.foot.Y-y); d < w.half {
					t.Fatalf("%+v: a plant %.1f m from the middle of the track at %g m", track, d, s)
				}
				ahead := u.foot.X - w.Eye.X
				if x-w.Eye.X > ahead && math.Abs((y-w.Eye.Y)/(x-w.Eye.X)*ahead+w.Eye.Y-u.foot.Y) < u.width/4 {
					t.Fatalf("%+v: a plant at %.1f hides the track at %g m", track, u.foot, s)
				}
			}
		}
	}
}

// What lies on the ground is dark where it lies.
func TestRutLies(t *testing.T) {
	w := world(t, geometry.Site{}, sight.AtNight(0.2), nil, mast)
	w.lying = []lying{{Standing{Thing: sight.Things()[4], Along: 8}, 0.1}}
	l := through(t, w, wide(1000))
	on, _ := l.Pixel(r3.Vec{X: 8})
	before, _ := l.Pixel(r3.Vec{X: 7.5})
	if l.At(on) > 0.5*l.At(before) {
		t.Errorf("the rut has %.3g cd/m², the ground before it %.3g", l.At(on), l.At(before))
	}
}

func BenchmarkThrough(b *testing.B) {
	w := world(b, geometry.Site{Body: []geometry.Box{hood}}, sight.AtNight(0.2), nil, spot(0, 0.5, 0.8, 1, 0, 10, 3000),
		spot(-1.5, 0, 2, 4, 0, 40, 6000))
	for b.Loop() {
		through(b, w, wide(1544))
	}
}
