package render

import (
	"context"
	"image/color"
	"math"
	"testing"

	"github.com/lucasb-eyer/go-colorful"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
)

func side(t testing.TB, s Subject, theme draw.Theme, o SideOptions) (*draw.Canvas, sideLayout) {
	t.Helper()
	c, v, err := drawSide(context.Background(), s, theme, o)
	if err != nil {
		t.Fatal(err)
	}
	return c, v
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
		hit := v.Section.At(1/math.Tan(2*deg), 0)
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
	s := trail()
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

// A gap has an edge of its colour through both frames at either end, and is hatched between, but
// not beside.
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
			for y := f.Box.Y0 + 60; y < f.Box.Y0+100; y += 3 {
				of++
				if like(c.Image().RGBAAt(int(x), int(y)), c.Theme.Caution) {
					n++
				}
			}
		}
		return float64(n) / float64(of)
	}
	for name, f := range map[string]chart.Frame{"section": v.Section, "light": v.Light} {
		for _, x := range []float64{long.From, long.To} {
			if !near(c, draw.Pt(f.X(x), f.Box.Y0+5), c.Theme.Caution, 2) {
				t.Errorf("%s: no edge at %.1f m", name, x)
			}
		}
		if in := hatched(f, long.From, long.To); in < 0.02 {
			t.Errorf("%s: %.1f %% of the gap is hatched", name, 100*in)
		}
		if out := hatched(f, 5, long.From); out > 0.001 {
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

// The ground, the vehicle's front and the lamps are where their metres say, and heights are
// exaggerated as stated.
func TestSideIsToScale(t *testing.T) {
	s := awkward()[6]
	c, v := side(t, s, draw.Night(), SideOptions{Ahead: 150, Behind: 10})
	f := v.Section
	if f.Across.From != -10 || f.Across.To != 150 {
		t.Errorf("asked for −10 m to 150 m, shows %g m to %g m", f.Across.From, f.Across.To)
	}
	if v.Light.X(40) != f.X(40) {
		t.Error("the frames do not share the distance axis")
	}
	if e := f.Exaggeration(); math.Abs(e-3) > 1e-9 && math.Abs(e-2) > 1e-9 {
		t.Errorf("exaggeration %g is not a round number", e)
	}
	for _, x := range []float64{10, 50, 80, 140} { // the ground line of the profile
		z := s.Scene.Site.Ground.Height(x, 0)
		if !near(c, f.At(x, z), c.Theme.VehicleEdge, 2) {
			t.Errorf("no ground line at %g m, %g m up", x, z)
		}
	}
	if !near(c, f.At(-0.2, 0.8), c.Theme.VehicleEdge, 2) {
		t.Error("no front of the hood 0.2 m behind the bumper")
	}
	if !near(c, f.At(-2.5, 4), c.Theme.Ink, 1) {
		t.Error("no lamp at its place")
	}
}

// The beam ends at what stops it: at the hood, 1.15 m high from −1.5 m to −0.2 m, and at the
// ground.
func TestBeamAside(t *testing.T) {
	site := geometry.Site{Body: truck()}
	s := subject("", "", site,
		rigLamp("into the hood", -1.4, 0, 2.05, 0, 45, 0, 4, 1000), // meets 1.15 m at −1.4 + 0.9 = −0.5 m
		rigLamp("over the hood", -1.9, 0, 2.05, 0, 10, 0, 4, 1000), // 2.05/tan 10° = 11.63 m
		rigLamp("to the side", -1, 0.9, 1.5, 0, 45, 90, 4, 1000),
		rigLamp("to the rear", -5.2, 0, 1, 0, 45, 180, 4, 1000),
		rigLamp("up", 0, 0, 1, 0, -10, 0, 4, 1000),
	)
	for i, want := range []struct {
		end    draw.Point
		onBody bool
	}{
		{draw.Pt(-0.5, 1.15), true},
		{draw.Pt(-1.9+2.05/math.Tan(10*deg), 0), false},
		{draw.Pt(-1, 0), false},
		{draw.Pt(-6.2, 0), false},
		{draw.Pt(away*math.Cos(10*deg), 1+away*math.Sin(10*deg)), false},
	} {
		b := s.aside(i)
		if math.Hypot(b.end.X-want.end.X, b.end.Y-want.end.Y) > 1e-6 || b.onBody != want.onBody {
			t.Errorf("%s: ends at %.3f, on the body %v; want %.3f, %v", s.Scene.Lamps[i].Lamp.Name, b.end, b.onBody,
				want.end, want.onBody)
		}
		if len(b.fan) != fanRays+1 {
			t.Errorf("%s: no fan", s.Scene.Lamps[i].Lamp.Name)
		}
	}
}

func TestSideRefuses(t *testing.T) {
	s := trail()
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
	for _, up := range []float64{0.3, 0.8, 2, 5, 12, 30} {
		s := subject("mast", "", geometry.Site{Body: truck()}, rigLamp("lamp", -1.9, 0, up, 0, 60, 0, 40, 14000))
		_, v := side(t, s, draw.Night(), SideOptions{Width: 400})
		f := v.Section
		if soil := (f.Box.Y1 - f.Y(0)) / f.Box.H(); soil < 0.15 || soil > 0.3 {
			t.Errorf("lamp %g m up: %.0f %% of the section is ground", up, 100*soil)
		}
		if y := f.Y(up); y < f.Box.Y0+0.03*f.Box.H() {
			t.Errorf("lamp %g m up: at %.0f px, the section begins at %.0f px", up, y, f.Box.Y0)
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
	f, tags := v.Section, 0
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
