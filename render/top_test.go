package render

import (
	"context"
	"fmt"
	"image/color"
	"math"
	"slices"
	"testing"

	"beamfall/geometry"
	"beamfall/render/draw"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

func top(t *testing.T, s Subject, theme draw.Theme, o TopOptions) (*draw.Canvas, topLayout) {
	t.Helper()
	type picture struct {
		c *draw.Canvas
		v topLayout
	}
	p, err := once(s, fmt.Sprintf("top %s %+v", theme.Name, o), func() (picture, error) {
		c, v, err := drawTop(context.Background(), s, theme, o)
		return picture{c, v}, err
	})
	if err != nil {
		t.Fatal(err)
	}
	return p.c, p.v
}

func TestTopShowsTheLight(t *testing.T) {
	for i, theme := range map[int]draw.Theme{0: draw.Night(), 5: draw.Paper(), 6: draw.Night()} {
		s := awkward()[i]
		c, v := top(t, s, theme, TopOptions{Width: 800})
		askBands(t, s.Rig, c, v.Plan.Box, v.Labels,
			func(p draw.Point) float64 { return s.Scene.GroundLux(v.Plan.Ground(p)) })
	}
}

func TestTopIsoluxLines(t *testing.T) {
	s := awkward()[7]
	c, v := top(t, s, draw.Night(), TopOptions{Width: 1600})
	askIsolux(t, s.Rig, c, v.Plan.Box, func(p draw.Point) float64 { return s.Scene.GroundLux(v.Plan.Ground(p)) })
}

func TestTopIsToScale(t *testing.T) {
	for _, s := range awkward() {
		_, v := top(t, s, draw.Night(), TopOptions{Width: 400})
		if e := v.Plan.Exaggeration(); math.Abs(e-1) > 1e-9 {
			t.Errorf("%s: a metre to the left is %g times one ahead", s.Rig, e)
		}
		for _, place := range [][2]float64{{0, 0}, {25, -7}, {-12.5, 3}} {
			if x, y := v.Plan.Ground(v.Plan.Pixel(place[0], place[1])); math.Hypot(x-place[0], y-place[1]) > 1e-9 {
				t.Errorf("%s: %v comes back as %g, %g", s.Rig, place, x, y)
			}
		}
	}
}

// The vehicle of the rigs is 5.2 m long and 1.9 m wide, its foremost point is at 0.
func TestTopVehicle(t *testing.T) {
	s := subject("parked", "", geometry.Site{Body: truck()}, rigLamp("lamp", -2, 0, 2, 0, 10, 0, 20, 100))
	c, v := top(t, s, draw.Night(), TopOptions{Width: 1600, Ahead: 10, Behind: 8})
	is := func(p draw.Point) bool {
		got := colourAt(c, p)
		return got == c.Theme.Vehicle || got == c.Theme.VehicleEdge
	}
	span := func(from, to draw.Point) (first, last draw.Point) {
		first, last = draw.Pt(math.NaN(), 0), draw.Pt(math.NaN(), 0)
		for k := range 20001 {
			p := r2.Add(from, r2.Scale(float64(k)/20000, r2.Sub(to, from)))
			if is(p) {
				if math.IsNaN(first.X) {
					first = p
				}
				last = p
			}
		}
		return first, last
	}
	pixel := 1 / v.Plan.PerMetre()
	rear, front := span(v.Plan.Pixel(-7, 0.85), v.Plan.Pixel(3, 0.85))
	x0, _ := v.Plan.Ground(rear)
	x1, _ := v.Plan.Ground(front)
	if math.Abs(x1) > 2*pixel || math.Abs(x1-x0-5.2) > 3*pixel {
		t.Errorf("the vehicle is from %.3f to %.3f m, want −5.2 to 0 within %.3f", x0, x1, pixel)
	}
	right, left := span(v.Plan.Pixel(-4.5, -3), v.Plan.Pixel(-4.5, 3))
	_, y0 := v.Plan.Ground(right)
	_, y1 := v.Plan.Ground(left)
	if math.Abs(y0+0.95) > 2*pixel || math.Abs(y1-0.95) > 2*pixel {
		t.Errorf("the vehicle is from %.3f to %.3f m to the left, want ∓0.95 within %.3f", y0, y1, pixel)
	}
}

// Boxes and vehicle are as parked, what is drawn is as driven. At 10° nose up the rear axle, 4 m
// behind the bumper, stays, and a corner at height h ahead of it moves to (4 m)·cos 10° − h·sin 10°
// from there.
func TestTopVehicleAsDriven(t *testing.T) {
	box := geometry.Box{Min: r3.Vec{X: -1, Y: -0.5}, Max: r3.Vec{X: 0, Y: 0.5, Z: 1}}
	s := subject("loaded", "", geometry.Site{Body: []geometry.Box{box}, Attitude: geometry.NoseUp(10*deg, -4)})
	e := s.boxFromAbove(&box)
	front := -4 + 4*math.Cos(10*deg)
	rear := -4 + 3*math.Cos(10*deg) - math.Sin(10*deg)
	if math.Abs(e.Ahead-front) > 1e-9 || math.Abs(e.Behind-rear) > 1e-9 || e.Left != 0.5 || e.Right != -0.5 {
		t.Errorf("box from above %+v, want %.4f to %.4f m ahead", e, rear, front)
	}
}

// On level ground the axis of a lamp at height h, tilted t, hits h/tan t ahead of it.
func TestTopAxisHits(t *testing.T) {
	s := subject("hits", "", geometry.Site{},
		rigLamp("roof", -1.9, 0, 2.05, 0, 5, 0, 10, 3000),       // 23.43 m
		rigLamp("side", -2, 0.8, 1.8, 0, 12, 60, 40, 3000),      // 8.47 m at 60° left
		rigLamp("rear", -5, 0, 1, 0, 8, 180, 40, 3000),          // 7.12 m behind
		rigLamp("spot (left)", 0, 0.4, 0.9, 0, 2, 0, 10, 3000),  // 25.77 m
		rigLamp("spot (right)", 0, -.4, 0.9, 0, 2, 0, 10, 3000), // the same
	)
	c, v := top(t, s, draw.Night(), TopOptions{Width: 800})
	for i, want := range []draw.Point{
		draw.Pt(-1.9+2.05/math.Tan(5*deg), 0),
		draw.Pt(-2+1.8/math.Tan(12*deg)*math.Cos(60*deg), 0.8+1.8/math.Tan(12*deg)*math.Sin(60*deg)),
		draw.Pt(-5-1/math.Tan(8*deg), 0),
		draw.Pt(0.9/math.Tan(2*deg), 0.4),
		draw.Pt(0.9/math.Tan(2*deg), -0.4),
	} {
		p := v.Plan.Pixel(want.X, want.Y)
		marked := colourAt(c, p) == c.Theme.Ink
		for _, label := range v.Labels { // or the key plate stands there itself
			marked = marked || r2.Norm(r2.Sub(label.Centre(), p)) < 0.5
		}
		if !marked {
			t.Errorf("%s: no mark at %.2f, %.2f m", s.Scene.Lamps[i].Lamp.Name, want.X, want.Y)
		}
	}
	for i, want := range []string{"21.5 m ahead", "2.2 m ahead, 8.1 m left", "12.1 m behind", "25.8 m ahead",
		"25.8 m ahead"} {
		if got := s.hitPlace(i); got != want {
			t.Errorf("%s hits %s, want %s", s.Scene.Lamps[i].Lamp.Name, got, want)
		}
	}
	sky := awkward()[3]
	for i := range sky.Scene.Lamps {
		if got := sky.hitPlace(i); got != noHit {
			t.Errorf("%s hits %s", sky.Scene.Lamps[i].Lamp.Name, got)
		}
	}
}

// A hit beyond the plan is an arrow in ink at its edge, on the line from the lamp to it.
func TestTopHitBeyondThePlan(t *testing.T) {
	s := subject("far", "", geometry.Site{}, rigLamp("spot", 0, 0, 1, 0, 0.5, 0, 10, 3000))
	c, v := top(t, s, draw.Night(), TopOptions{Width: 800, Ahead: 40})
	edge := v.Plan.Pixel(v.Plan.Extent().Ahead, 0)
	if got := colourAt(c, draw.Pt(edge.X-12, edge.Y)); got != c.Theme.Ink {
		t.Errorf("at the edge ahead of the lamp there is %v, want an arrow", got)
	}
}

// No label covers another label or a mark. A key plate may cover the mark of its own lamp.
func TestTopTextsKeepClearOfMarks(t *testing.T) {
	for i, s := range slices.Concat(awkward(), strange(1, 50)) {
		if i%3 == 1 && i > 10 {
			s.Scene = bent(*s.Scene.Site, 30+5*float64(i)).Scene(lampsOf(s.Scene)...)
		}
		c, v := top(t, s, draw.Night(), TopOptions{Width: 400})
		disjoint(t, s.Rig, v.Labels, c.Bounds)
		for _, mark := range v.Marks {
			for _, label := range v.Labels {
				if label.Overlaps(mark) && r2.Norm(r2.Sub(label.Centre(), mark.Centre())) > 0.5 {
					t.Errorf("%s: the text at %v hides the mark at %v", s.Rig, label, mark)
				}
			}
		}
	}
}

// bent is a site with a bend to the left, of a radius in metres.
func bent(site geometry.Site, radius float64) *geometry.Site {
	site.Track = geometry.Track{Radius: radius, From: 5, Left: true}
	return &site
}

// The line across the track is where the thing is just seen, to a pixel, as wide as the track and
// square to it: on the plan if it is not much farther than the light, else on that of the whole
// way, and the plan has an arrow.
func TestTopLineWhereAThingIsSeen(t *testing.T) {
	straight, curved := spots(), spots()
	curved.Scene = bent(*curved.Scene.Site, 60).Scene(lampsOf(curved.Scene)...)
	near := subject("weak", "", geometry.Site{Body: truck()}, rigLamp("flood", 0, 0, 0.9, 0.2, 6, 0, 40, 900))
	for _, s := range []Subject{straight, curved, near} {
		c, v := top(t, s, draw.Night(), TopOptions{Width: 800})
		o, _ := s.outlook()
		p := v.Far
		if beyond := p != (Plan{}); !beyond {
			p = v.Plan
		} else if e := v.Plan.Extent(); e.Ahead > o.sight.Range && s.Scene.Site.Track.Straight() {
			t.Errorf("%s: seen to %.1f m, which the plan to %.1f m has", s.Rig, o.sight.Range, e.Ahead)
		}
		track := &s.Scene.Site.Track
		for _, left := range []float64{-1.8, -1, 1, 1.8} {
			px := p.Pixel(track.Place(o.sight.Range, left))
			if got := colourAt(c, px); got != c.Theme.Sight {
				t.Errorf("%s: seen to %.1f m, %v there %.1f m left", s.Rig, o.sight.Range, got, left)
			}
			for _, off := range []float64{-5, 5} { // px along the track, beyond the line and its casing
				if got := colourAt(c, p.Pixel(track.Place(o.sight.Range+off/p.PerMetre(),
					left))); got == c.Theme.Sight {
					t.Errorf("%s: the line where it is seen to %.1f m reaches %.0f px from there", s.Rig, o.sight.Range,
						off)
				}
			}
		}
	}
}

func lampsOf(s *geometry.Scene) (lamps []geometry.Lamp) {
	for i := range s.Lamps {
		lamps = append(lamps, s.Lamps[i].Lamp)
	}
	return lamps
}

// A stretch of the centreline with less than 1 lx facing is marked along the track's right edge.
func TestTopMarksDarkStretches(t *testing.T) {
	s := subject("gap", "", geometry.Site{Body: truck()},
		rigLamp("near", 0, 0, 1, 0, 30, 0, 10, 300), rigLamp("far", 0, 0, 2.5, 0, 2.5, 0, 3, 2000))
	gaps := s.Scene.Centreline(darkBelow).Gaps(darkBelow)
	longest := geometry.Stretch{}
	for _, g := range gaps {
		if g.To-g.From > longest.To-longest.From {
			longest = g
		}
	}
	if longest.To-longest.From < 3 {
		t.Fatalf("no dark stretch to ask for: %v", gaps)
	}
	c, v := top(t, s, draw.Night(), TopOptions{Width: 800})
	for x := longest.From + 0.3; x < longest.To-0.3; x += 0.3 {
		if got := colourAt(c, v.Plan.Pixel(x, -2)); got != c.Theme.Caution {
			t.Errorf("dark from %.1f to %.1f m, %v at %.1f m", longest.From, longest.To, got, x)
		}
	}
	if got := colourAt(c, v.Plan.Pixel(longest.To+1.5, -2)); got == c.Theme.Caution {
		t.Errorf("dark to %.1f m, marked beyond", longest.To)
	}
}

// Whatever is mapped is what the picture has: facing light, and where a person is seen.
func TestTopMaps(t *testing.T) {
	s := seeing(awkward()[1])
	c, v := top(t, s, draw.Night(), TopOptions{Width: 800, Map: MapFacing})
	askBands(t, "facing light of "+s.Rig, c, v.Plan.Box, append(v.Labels, v.Marks...), func(p draw.Point) float64 {
		x, y := v.Plan.Ground(p)
		return s.Scene.FacingLux(x, y, 0.6)
	})
	c, v = top(t, s, draw.Night(), TopOptions{Width: 800, Map: MapSight})
	askSight(t, s, c, v.Plan, v.Labels)

	for name, want := range map[string]Map{"ground": MapGround, "facing": MapFacing, "sight": MapSight} {
		if got, err := MapNamed(name); got != want || err != nil {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
	if _, err := MapNamed("lux"); err == nil {
		t.Error("a map of lux is not refused")
	}
	blind := trail()
	blind.Vehicle.Eye = Eye{}
	if _, err := Top(context.Background(), blind, draw.Night(), TopOptions{Map: MapSight}); err == nil {
		t.Error("a map of sight without an eye is not refused")
	}
}

func TestTopShowsAllThatIsLit(t *testing.T) {
	for _, s := range awkward() {
		_, v := top(t, s, draw.Night(), TopOptions{Width: 400})
		e := v.Plan.Extent()
		level := 0.0
		for _, lux := range shownLevels {
			if _, ok, err := s.Scene.Lit(context.Background(), lux); err != nil {
				t.Fatal(err)
			} else if ok && s.Scene.Brightest().Lux > lux {
				level = lux
				break
			}
		}
		for k := range 401 {
			u := float64(k) / 400
			x, y := e.Behind+u*(e.Ahead-e.Behind), e.Right+u*(e.Left-e.Right)
			for _, p := range [][2]float64{{x, e.Right}, {x, e.Left}, {e.Behind, y}, {e.Ahead, y}} {
				if lux := s.Scene.GroundLux(p[0], p[1]); level > 0 && lux > level {
					t.Errorf("%s: %.2f lx at %.1f, %.1f m on the edge of the plan, which is to hold all of %g lx",
						s.Rig, lux, p[0], p[1], level)
				}
			}
		}
		if e.Behind > 0 || e.Ahead < 0 || s.Vehicle.Length > 0 && e.Behind > -5.2 {
			t.Errorf("%s: the vehicle is not within %+v", s.Rig, e)
		}
	}
}

func TestTopShowsWhatIsAskedFor(t *testing.T) {
	_, v := top(t, trail(), draw.Night(), TopOptions{Width: 400, Ahead: 150, Behind: 30, Side: 40})
	e := v.Plan.Extent()
	if e.Ahead < 150 || e.Behind > -30 || e.Left < 40 || e.Right > -40 {
		t.Errorf("shown %+v", e)
	}
}

func TestTopWithoutLight(t *testing.T) {
	s := awkward()[4]
	c, v := top(t, s, draw.Night(), TopOptions{Width: 1000})
	seen := map[color.RGBA]bool{}
	for y := v.Plan.Box.Y0 + 1; y < v.Plan.Box.Y1; y++ {
		for x := v.Plan.Box.X0 + 1; x < v.Plan.Box.X1; x++ {
			seen[colourAt(c, draw.Pt(x, y))] = true
		}
	}
	for what, want := range map[string]color.RGBA{"dark ground": LightRamp(c.Theme).Bands[0],
		"vehicle": c.Theme.Vehicle, "lamp": c.Theme.Ink} {
		if !seen[want] {
			t.Errorf("no %s", what)
		}
	}
	for i, band := range LightRamp(c.Theme).Bands[1:] {
		if seen[band] {
			t.Errorf("band %d where there is no light", i+1)
		}
	}
}

// The half-peak line of a round beam on level ground is a conic: closed where the tilt is more than
// half the spread, open where it is less (Apollonius; any analytic geometry text).
func TestFootprintsAreOpenWhereTheyAre(t *testing.T) {
	box := draw.R(0, 0, 1000, 400)
	p := newPlan(box, geometry.Extent{Behind: -20, Ahead: 180, Right: -40, Left: 40}, false, units.Metres)
	for _, test := range []struct {
		tilt, spread float64
		open         bool
	}{{12, 10, false}, {5.5, 10, false}, {4.5, 10, true}, {1, 36, true}, {0, 10, true}} {
		site := geometry.Site{}
		s := site.Scene(rigLamp("lamp", 0, 0, 1.2, 0, test.tilt, 0, test.spread, 1000))
		lines := p.footprints(&site, &s.Lamps[0])
		if len(lines) != 1 {
			t.Fatalf("tilt %g°: %d lines", test.tilt, len(lines))
		}
		first, last := lines[0][0], lines[0][len(lines[0])-1]
		if !test.open && first != last {
			t.Errorf("tilt %g°, spread %g°: from %v to %v, want closed", test.tilt, test.spread, first, last)
		}
		if test.open && (box.Has(first) || box.Has(last)) {
			t.Errorf("tilt %g°, spread %g°: ends on the plan at %v, %v, want it to go on to its edge", test.tilt,
				test.spread, first, last)
		}
	}
}

// Where a crest hides the ground from a lamp, its half-peak line is not drawn.
func TestFootprintsLeaveOutTheLeeOfACrest(t *testing.T) {
	s := awkward()[6]
	site := s.Scene.Site
	p := newPlan(draw.R(0, 0, 1600, 500), geometry.Extent{Behind: -10, Ahead: 150, Right: -25, Left: 25}, false,
		units.Metres)
	for i := range s.Scene.Lamps {
		m := &s.Scene.Lamps[i]
		for _, line := range p.footprints(site, m) {
			for k := 1; k < len(line); k++ {
				mid := r2.Scale(0.5, r2.Add(line[k-1], line[k]))
				if !p.Box.Has(mid) {
					continue
				}
				x, y := p.Ground(mid)
				d := r3.Sub(site.At(x, y, 0.02), m.Place) // a hand's breadth over the ground
				if hit, ok := site.Ground.Hit(m.Place, d); ok && r3.Norm(r3.Sub(hit, m.Place)) < 0.97*r3.Norm(d) {
					t.Errorf("%s: the line at %.1f, %.1f m is behind the crest at %.1f m", m.Lamp.Name, x, y, hit.X)
				}
			}
		}
	}
}

// Twelve lamps side by side have lines that cannot be told apart; each still has the line of one
// that is drawn.
func TestFootprintsThatAreOne(t *testing.T) {
	s := awkward()[2]
	c, v := top(t, s, draw.Night(), TopOptions{Width: 800})
	drawn, styles := footprintsOf(c, v.Plan, s)
	if len(drawn) < 2 || len(drawn) > 6 || len(styles) != 12 {
		t.Errorf("%d lines for %d lamps", len(drawn), len(styles))
	}
	for i, style := range styles {
		if style.Number != i+1 {
			t.Errorf("lamp %d has the number %d", i+1, style.Number)
		}
	}
}

// Where a plan is true to scale a step is as long on both axes, so what fits across fits up:
// figures every 5 m across are every 5 m up too, whatever the width of the plan makes of the last
// digit.
func TestTicksAreAlikeOnBothAxesOfAPlan(t *testing.T) {
	c, err := draw.New(1600, 900, draw.Night())
	if err != nil {
		t.Fatal(err)
	}
	for width := 300.0; width <= 1500; width += 7.123 {
		for _, ahead := range []float64{28.13, 57.7, 121.9} {
			p := newPlan(draw.R(97.3, 110.1, 97.3+width, 110.1+width/2.3),
				geometry.Extent{Behind: -6.81, Ahead: ahead, Right: -11, Left: 11}, false, units.Metres)
			across, up := p.Frame.AcrossTicks(c), p.Frame.UpTicks(c)
			if len(across) < 2 {
				continue
			}
			step := across[1].At - across[0].At
			if want := 1 + 2*int(p.Up.High()/step); len(up) != want {
				t.Errorf("%g px, to %g m: %d figures up in steps of %g m from %.1f to %.1f m, want %d",
					width, ahead, len(up), step, p.Up.Low(), p.Up.High(), want)
			}
		}
	}
}
