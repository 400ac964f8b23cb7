package render

import (
	"context"
	"fmt"
	"image/color"
	"math"
	"slices"
	"testing"

	"github.com/lucasb-eyer/go-colorful"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
)

func side(t testing.TB, s Subject, theme draw.Theme, o SideOptions) (*draw.Canvas, sideLayout) {
	t.Helper()
	p, err := once(s, fmt.Sprintf("side %s %+v", theme.Name, o), func() (p sidePicture, err error) {
		p.c, p.v, err = drawSide(context.Background(), s, theme, o)
		return p, err
	})
	if err != nil {
		t.Fatal(err)
	}
	return p.c, p.v
}

type sidePicture struct {
	c *draw.Canvas
	v sideLayout
}

// like tells whether two colours are hardly told apart; thin lines are mixed with what is beside
// them.
func like(a, b color.RGBA) bool {
	one, _ := colorful.MakeColor(a)
	other, _ := colorful.MakeColor(b)
	return one.DistanceLab(other) < 0.25
}

// near tells whether a picture has a colour within a few pixels of a point.
func near(c *draw.Canvas, p draw.Point, colour color.RGBA, within int) bool {
	for dy := -within; dy <= within; dy++ {
		for dx := -within; dx <= within; dx++ {
			if like(c.Image().RGBAAt(int(p.X)+dx, int(p.Y)+dy), colour) {
				return true
			}
		}
	}
	return false
}

// A lamp at 1 m tilted 2° hits level ground 1/tan 2° = 28.64 m ahead of it.
func TestSideHitsWhereTheTangentSays(t *testing.T) {
	for _, theme := range []draw.Theme{draw.Night(), draw.Paper()} {
		s := subject("One lamp", "", geometry.Site{}, rigLamp("spot", 0, 0, 1, 0, 2, 0, 10, 3000))
		c, v := side(t, s, theme, SideOptions{})
		hit := v.Near.At(1/math.Tan(2*deg), 0)
		disc := func(p draw.Point) bool { // of ink, against the ground line of another colour
			for _, d := range []draw.Point{draw.Pt(-3, 0), draw.Pt(3, 0), draw.Pt(0, -3), draw.Pt(0, 3)} {
				if c.Image().RGBAAt(int(p.X+d.X), int(p.Y+d.Y)) != theme.Ink {
					return false
				}
			}
			return true
		}
		if !disc(hit) {
			t.Errorf("%s: no mark at %v", theme.Name, hit)
		}
		for _, d := range []float64{-14, 14} {
			if disc(draw.Pt(hit.X+d, hit.Y)) {
				t.Errorf("%s: the mark is also %g px beside", theme.Name, d)
			}
		}
	}
}

// Where a curve is drawn it has the light that the scene tells: below and above it, two decades
// off, is none of its colour.
func TestSideCurvesAreTheScene(t *testing.T) {
	s := awkward()[0]
	c, v := side(t, s, draw.Night(), SideOptions{})
	g, accent := v.Light, c.Theme.Accent
	for x := 3.0; x < 100; x += 7 {
		lux := s.Scene.FacingLux(x, 0, geometry.ObjectHeight)
		if !near(c, g.At(x, lux), accent, 1) {
			t.Errorf("facing light at %g m, %.1f lx: not on the curve", x, lux)
		}
		if p := g.At(x, lux*100); g.Box.Has(p) && near(c, p, accent, 2) {
			t.Errorf("facing light at %g m: also at %.1f lx", x, 100*lux)
		}
	}
	on, of := 0, 0
	for x := 10.0; x < 90; x += 0.5 { // dashed: 14 of 21 units are drawn
		lux := s.Scene.GroundLux(x, 0)
		of++
		if near(c, g.At(x, lux), c.Theme.Ink, 0) {
			on++
		}
	}
	if share := float64(on) / float64(of); share < 0.5 || share > 0.8 {
		t.Errorf("ground light: %.0f %% of its dashes are on the curve, want 67 %%", 100*share)
	}
}

// A gap has an edge of its colour at either end, through the curves and up to the height of an
// object in the section, and is hatched between, but not beside.
func TestSideShadesGaps(t *testing.T) {
	s := awkward()[6] // before a crest
	c, v := side(t, s, draw.Night(), SideOptions{})
	gaps := s.Scene.Centreline(1).Gaps(1)
	if len(gaps) == 0 {
		t.Fatal("the crest casts no shadow")
	}
	long := gaps[len(gaps)-1]
	hatched := func(f chart.Frame, from, to float64) (share float64) {
		n, of := 0, 0
		for x := f.X(from) + 4; x < f.X(to)-4; x += 3 {
			ground := s.Scene.Site.Ground.Height(f.AcrossAt(x), 0)
			y0, y1 := f.Box.Y0+60, f.Box.Y0+100
			if f == v.Far {
				y0, y1 = f.Y(ground+0.5), f.Y(ground+0.1)
			}
			for y := y0; y < y1; y += 3 {
				of++
				if like(c.Image().RGBAAt(int(x), int(y)), c.Theme.Caution) {
					n++
				}
			}
		}
		return float64(n) / float64(of)
	}
	for _, x := range []float64{long.From, long.To} {
		if math.Abs(x-v.Things[0].Range) < 2 { // under its mark
			continue
		}
		if !near(c, draw.Pt(v.Light.X(x), v.Light.Box.Y0+5), c.Theme.Caution, 2) {
			t.Errorf("light: no edge at %.1f m", x)
		}
		if !near(c, v.Far.At(x, s.Scene.Site.Ground.Height(x, 0)+geometry.ObjectHeight/2), c.Theme.Caution, 2) {
			t.Errorf("far: no edge at %.1f m", x)
		}
	}
	for name, f := range map[string]chart.Frame{"far": v.Far, "light": v.Light} {
		if in := hatched(f, long.From, long.To); in < 0.02 {
			t.Errorf("%s: %.1f %% of the gap is hatched", name, 100*in)
		}
		if out := hatched(f, 5, long.From); out > 0.001 && name == "light" {
			t.Errorf("%s: %.1f %% before the gap is hatched", name, 100*out)
		}
	}
}

// A point source of I candela gives 1 lx at √I m (inverse square). A lamp so weak that all of it is
// on the picture has its reach marked there; level with the object height the axis itself is what
// counts.
func TestSideMarksReach(t *testing.T) {
	s := subject("Weak", "", geometry.Site{}, rigLamp("spot", 0, 0, 0.6, 0, 0, 0, 20, 0))
	if _, v := side(t, s, draw.Night(), SideOptions{}); len(v.Gaps) != 0 {
		t.Errorf("no light has no gaps short of its reach, but %v", v.Gaps)
	}
	s = subject("Weak", "", geometry.Site{}, rigLamp("spot", 0, 0, 0.6, 0, 0, 0, 20, 150))
	c, v := side(t, s, draw.Night(), SideOptions{})
	candela := s.Scene.Lamps[0].Lamp.Beam().Peak()
	for _, lux := range []float64{1, 3} {
		x := math.Sqrt(candela / lux)
		if x > v.Light.Across.To {
			t.Fatalf("%g lx at %.1f m is beyond the picture's %.1f m", lux, x, v.Light.Across.To)
		}
		p := v.Light.At(x, lux)
		for _, d := range []float64{-5, 0, 5} {
			if got := c.Image().RGBAAt(int(p.X), int(p.Y+d)); got != c.Theme.Accent {
				t.Errorf("%g lx at %.1f m: no mark %g px from the place", lux, x, d)
			}
		}
	}
}

// The near section is 1:1: a metre is as many pixels up as along, whatever the rig, and goes at
// least as far as it says.
func TestSideNearIsTrueToScale(t *testing.T) {
	for _, s := range slices.Concat(awkward(), strange(20, 200)) {
		for _, across := range []chart.Axis{{From: -7, To: 30}, {From: -30, To: 3}} {
			f, height := s.nearFrame(across, 1400)
			f.Box = draw.R(0, 0, 1400, height)
			if e := f.Exaggeration(); math.Abs(e-1) > 1e-9 {
				t.Errorf("%s: a metre up is %g times one along", s.Rig, e)
			}
			if f.Across.From != across.From || f.Across.To < across.To-1e-9 {
				t.Errorf("%s: from %.1f m to %.1f m, asked for %.0f m to %.0f m", s.Rig, f.Across.From, f.Across.To,
					across.From, across.To)
			}
		}
	}
	for _, s := range []Subject{awkward()[0], awkward()[6]} {
		if _, v := side(t, s, draw.Night(), SideOptions{Width: 400}); math.Abs(v.Near.Exaggeration()-1) > 1e-9 {
			t.Errorf("%s: drawn with %g times", s.Rig, v.Near.Exaggeration())
		}
	}
}

// The ground, the vehicle's front and the lamps are where their metres say, and heights of the far
// section are exaggerated as stated, on the distances of the curves.
func TestSideIsToScale(t *testing.T) {
	s := awkward()[6]
	c, v := side(t, s, draw.Night(), SideOptions{Ahead: 150, Behind: 10})
	if v.Near.Across.From != -10 || v.Far.Across.To != 150 {
		t.Errorf("asked for −10 m to 150 m, shows %g m to %g m", v.Near.Across.From, v.Far.Across.To)
	}
	for name, f := range map[string]chart.Frame{"light": v.Light, "level": v.Level} {
		if f.X(40) != v.Far.X(40) || f.X(140) != v.Far.X(140) {
			t.Errorf("%s: not on the distances of the far section", name)
		}
	}
	if e := v.Far.Exaggeration(); math.Abs(e-2) > 1e-9 {
		t.Errorf("exaggeration %g", e)
	}
	for _, x := range []float64{10, 50, 80, 140} { // the ground line of the profile
		z := s.Scene.Site.Ground.Height(x, 0)
		if !near(c, v.Far.At(x, z), c.Theme.VehicleEdge, 2) {
			t.Errorf("no ground line at %g m, %g m up", x, z)
		}
	}
	if !near(c, v.Near.At(-0.2, 0.8), c.Theme.VehicleEdge, 2) {
		t.Error("no front of the hood 0.2 m behind the bumper")
	}
	if !near(c, v.Near.At(-2.5, 4), c.Theme.Ink, 1) {
		t.Error("no lamp at its place")
	}
}

// The air has the band of the light that falls on what stands there, facing the vehicle: in front
// of it, behind it, over a crest and along a bend.
func TestSideBandsAreFacingLight(t *testing.T) {
	bend := spots()
	site := *bend.Scene.Site
	site.Track = geometry.Track{Radius: 50, From: 8, Left: true}
	bend.Scene = site.With(bend.Scene.Lamps...)
	for name, s := range map[string]Subject{
		"straight": awkward()[0], "crest": awkward()[6], "bend": bend, "rear": awkward()[5],
	} {
		c, v := side(t, s, draw.Night(), SideOptions{Width: 1100})
		site := s.Scene.Site
		for where, f := range map[string]chart.Frame{"near": v.Near, "far": v.Far} {
			asked, bands := 0, map[int]bool{}
			ramp := LightRamp(c.Theme)
			for y := math.Ceil(f.Box.Y0) + 3.5; y < f.Box.Y1-3; y += 9 {
				for x := math.Ceil(f.Box.X0) + 3.5; x < f.Box.X1-3; x += 9 {
					p := draw.Pt(x, y)
					band, ok := plainBand(c, ramp, p)
					across, left := site.Track.Place(f.AcrossAt(x), 0)
					up := f.UpAt(y) - site.Ground.Height(across, left)
					if !ok || up < 0 || draw.Around(p, 8, 8).OverlapsAny(v.Labels) {
						continue
					}
					asked++
					bands[band] = true
					lux := s.Scene.FacingLux(across, left, up)
					if ramp.Band(lux/1.03) > band || ramp.Band(1.03*lux) < band { // 1.03: on the edge
						t.Errorf("%s, %s: band %d %.1f m ahead, %.1f m up, for %.3g lx, want %d", name, where, band,
							f.AcrossAt(x), up, lux, ramp.Band(lux))
					}
				}
			}
			if asked < 400 || len(bands) < 3 {
				t.Errorf("%s, %s: only %d places with %d bands to ask", name, where, asked, len(bands))
			}
		}
	}
}

// Where the first thing is just seen there is a sign of its height in the far section, and the
// curve of its visibility level passes the level that counts as seen.
func TestSideMarksSight(t *testing.T) {
	for _, theme := range []draw.Theme{draw.Night(), draw.Paper()} {
		s := spots()
		c, v := side(t, s, theme, SideOptions{})
		eye, err := s.eye()
		if err != nil {
			t.Fatal(err)
		}
		view := s.look(eye)
		for i, thing := range v.Things {
			want := view.Along(s.Things[i]).Sight(s.lit()).Range
			if thing.Range != want {
				t.Errorf("%s: seen to %.1f m, want %.1f", thing.Name, thing.Range, want)
			}
			if thing.Lies {
				continue
			}
			if colourAt(c, v.Far.At(want, 0.5*thing.Height)) != theme.Sight {
				t.Errorf("%s, %s: no sign at %.1f m", theme.Name, thing.Name, want)
			}
		}
		if got := v.Level.At(v.Things[0].Range, view.Observer.Level); !near(c, got, theme.Sight, 1) {
			t.Errorf("%s: no curve at %v", theme.Name, got)
		}
		for x := 20.0; x < 300; x += 31 {
			parts := view.Parts(s.Things[0], view.OnTrack(x, 0))
			p := v.Level.At(x, parts.See(s.lit()).Level)
			if v.Level.Box.Has(p) && !near(c, p, theme.Sight, 2) {
				t.Errorf("%s: at %g m no curve at %v", theme.Name, x, p)
			}
		}
	}
}

// With a nose that moves, the range is a band from where it is with the nose down to where it is
// with the nose up.
func TestSideShadesWhatMovesWithTheNose(t *testing.T) {
	s := spots()
	still, v := side(t, s, draw.Night(), SideOptions{})
	nod := func(angle float64) *geometry.Scene {
		site := *s.Scene.Site
		site.Attitude = site.Attitude.Pitched(angle, -4)
		var lamps []geometry.Lamp
		for i := range s.Scene.Lamps {
			lamps = append(lamps, s.Scene.Lamps[i].Lamp)
		}
		return site.Scene(lamps...)
	}
	s.NoseUp, s.NoseDown = nod(deg), nod(-deg)
	c, w := side(t, s, draw.Night(), SideOptions{Ahead: v.Far.Across.To})
	var ranges []float64
	for _, scene := range []*geometry.Scene{s.NoseDown, s.NoseUp} {
		moved := s
		moved.Scene = scene
		eye, err := moved.eye()
		if err != nil {
			t.Fatal(err)
		}
		ranges = append(ranges, moved.look(eye).Along(s.things()[0]).Sight(s.lit()).Range)
	}
	slices.Sort(ranges)
	if ranges[1]-ranges[0] < 20 {
		t.Fatalf("seen to %.1f m and %.1f m: too little to show", ranges[0], ranges[1])
	}
	y := w.Level.Box.Y0 + 9
	shaded := func(at float64) bool {
		x := int(w.Level.X(at))
		return c.Image().RGBAAt(x, int(y)) != still.Image().RGBAAt(x, int(y))
	}
	for _, at := range []float64{ranges[0] + 3, ranges[1] - 3} {
		if !shaded(at) {
			t.Errorf("%.1f m is not in the band from %.1f m to %.1f m", at, ranges[0], ranges[1])
		}
	}
	for _, at := range []float64{ranges[0] - 5, max(ranges[1], v.Things[0].Range) + 5} {
		if shaded(at) {
			t.Errorf("%.1f m is in the band from %.1f m to %.1f m", at, ranges[0], ranges[1])
		}
	}
}

// An axis ends at what stops it: at the hood, 1.15 m high from −1.5 m to −0.2 m, at the ground, and
// where the track bends away from it. Lamps turned from the section are not drawn.
func TestAxisAside(t *testing.T) {
	site := geometry.Site{Body: truck()}
	s := subject("", "", site,
		rigLamp("into the hood", -1.4, 0, 2.05, 0, 45, 0, 4, 1000), // meets 1.15 m at −1.4 + 0.9 = −0.5 m
		rigLamp("over the hood", -1.9, 0, 2.05, 0, 10, 0, 4, 1000), // 2.05/tan 10° = 11.63 m
		rigLamp("to the side", -1, 0.9, 1.5, 0, 45, 90, 4, 1000),
		rigLamp("to the rear", -5.2, 0, 1, 0, 45, 180, 4, 1000),
		rigLamp("up", 0, 0, 1, 0, -10, 0, 4, 1000),
	)
	for i, want := range []struct {
		end             draw.Point
		inPlane, onBody bool
	}{
		{draw.Pt(-0.5, 1.15), true, true},
		{draw.Pt(-1.9+2.05/math.Tan(10*deg), 0), true, false},
		{draw.Pt(-1, 0), false, false},
		{draw.Pt(-6.2, 0), true, false},
		{draw.Pt(away*math.Cos(10*deg), 1+away*math.Sin(10*deg)), true, false},
	} {
		a := s.aside(i)
		if math.Hypot(a.end.X-want.end.X, a.end.Y-want.end.Y) > 1e-6 ||
			a.onBody != want.onBody || a.inPlane != want.inPlane {
			t.Errorf("%s: ends at %.3f, on the body %v, in the section %v; want %.3f, %v, %v",
				s.Scene.Lamps[i].Lamp.Name, a.end, a.onBody, a.inPlane, want.end, want.onBody, want.inPlane)
		}
	}
	bend := site
	bend.Track = geometry.Track{Radius: 30, From: 2}
	s.Scene = bend.With(s.Scene.Lamps...)
	// 0.5 m off a circle of 30 m after √(2·30·0.5 − 0.5²) m
	if a := s.aside(4); !a.bentOff || math.Abs(a.end.X-(2+math.Sqrt(30-0.25))) > 0.05 {
		t.Errorf("on a bend the axis ends at %.2f", a.end)
	}
	if a := s.aside(0); a.bentOff || !a.onBody {
		t.Error("an axis that ends before the bend is off it")
	}
}

// No label covers the point where an axis meets the ground. A key plate may cover that of its own
// lamp.
func TestSideTextsKeepOffHits(t *testing.T) {
	for _, s := range slices.Concat(awkward(), strange(0, 60)) {
		c, v := side(t, s, draw.Night(), SideOptions{Width: 400})
		plate, _ := chart.PlateSize(c)
		for i, a := range s.axes() {
			hit := v.Near.At(a.hit.X, a.hit.Y)
			if !a.inPlane || !a.onLand || a.onBody || !v.Near.Box.Inset(c.U(12)).Has(hit) {
				continue
			}
			for _, r := range v.Labels {
				if r.Has(hit) && r.W() > plate+1 {
					t.Errorf("%s: the hit of lamp %d at %.0f px is under %v", s.Rig, i+1, hit, r)
				}
			}
		}
	}
}

func TestSideRefuses(t *testing.T) {
	s := awkward()[0]
	for _, o := range []SideOptions{{Ahead: 1, Behind: -5}, {Ahead: math.NaN()}, {Ahead: math.Inf(1)}, {Width: 50}} {
		if _, _, err := drawSide(context.Background(), s, draw.Night(), o); err == nil {
			t.Errorf("%+v: not refused", o)
		}
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := drawSide(done, s, draw.Night(), SideOptions{}); err == nil {
		t.Error("goes on after the context's end")
	}
}

// A section is of beams, which are in the air: the ground below a lamp on a mast does not take half
// of it.
func TestSectionHasMoreAirThanGround(t *testing.T) {
	for _, up := range []float64{0.3, 2, 30} {
		s := subject("mast", "", geometry.Site{Body: truck()}, rigLamp("lamp", -1.9, 0, up, 0, 60, 0, 40, 14000))
		_, v := side(t, s, draw.Night(), SideOptions{Width: 400})
		for name, f := range map[string]chart.Frame{"near": v.Near, "far": v.Far} {
			if soil := (f.Box.Y1 - f.Y(0)) / f.Box.H(); soil < 0.1 || soil > 0.35 {
				t.Errorf("lamp %g m up: %.0f %% of the %s section is ground", up, 100*soil, name)
			}
		}
		if y := v.Near.Y(up); y < v.Near.Box.Y0+0.02*v.Near.Box.H() {
			t.Errorf("lamp %g m up: at %.0f px, the section begins at %.0f px", up, y, v.Near.Box.Y0)
		}
	}
}

// The number of a lamp that never meets the ground is in the air beside its axis, not in the
// ground, where hits are.
func TestSectionTagsLampsWithoutAHitInTheAir(t *testing.T) {
	site := geometry.Site{Body: truck(), Attitude: geometry.NoseUp(0.6*deg, -4)}
	s := subject("level", "", site,
		rigLamp("spot (left)", 0, 0.55, 0.8, 0, 0, 0, 9, 2700),
		rigLamp("spot (right)", 0, -0.55, 0.8, 0, 0, 0, 9, 2700))
	_, v := side(t, s, draw.Night(), SideOptions{})
	f, tags := v.Near, 0
	for _, r := range v.Labels {
		if !f.Box.Contains(r) {
			continue
		}
		tags++
		if r.Y1 > f.Y(0) {
			t.Errorf("label %v is in the ground, which begins at %.0f px", r, f.Y(0))
		}
	}
	if tags == 0 {
		t.Error("no label on the section")
	}
}
