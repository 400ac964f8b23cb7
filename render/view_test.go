package render

import (
	"context"
	"image/color"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"
	"beamfall/render/draw"

	"github.com/lucasb-eyer/go-colorful"
	"gonum.org/v1/gonum/spatial/r3"
)

func driver(t testing.TB, s Subject, theme draw.Theme, o ViewOptions) (*draw.Canvas, perspective) {
	t.Helper()
	c, v, err := drawView(context.Background(), s, theme, o)
	if err != nil {
		t.Fatal(err)
	}
	return c, v
}

// shade is the linear green of a pixel: how bright it is.
func shade(c *draw.Canvas, p draw.Point) float64 { return linear(c.Image().RGBAAt(int(p.X), int(p.Y))) }

// linear is the share of full light that the green of a colour has.
func linear(c color.RGBA) float64 {
	full, _ := colorful.MakeColor(c)
	_, g, _ := full.LinearRgb()
	return g
}

// sun is a lamp far above that lights all ground around with much the same light.
func sun(site geometry.Site) Subject {
	return subject("High above", "", site, geometry.Lamp{
		Name: "mast", At: r3.Vec{X: -30, Z: 30}, Aim: geometry.Aim{Tilt: 20 * deg},
		Optics: []geometry.Optic{{Beam: beam.Cosine(beam.Round(120 * deg)).WithFlux(4e5)}},
	})
}

func TestViewIsBlackWithAllLampsOff(t *testing.T) {
	for _, s := range []Subject{trail(), awkward()[6]} {
		s.Scene = s.Scene.Only()
		c, v := driver(t, s, draw.Paper(), ViewOptions{})
		for y := int(v.Box.Y0) + 3; y < int(v.Box.Y1)-3; y++ {
			for x := int(v.Box.X0) + 3; x < int(v.Box.X1)-3; x++ {
				p := draw.Pt(float64(x), float64(y))
				black := c.Image().RGBAAt(x, y) == color.RGBA{A: 255}
				if !black && !onLabel(v.Labels, p) && !onLeader(v, p) {
					t.Fatalf("%s: light at %v", s.Rig, p)
				}
			}
		}
	}
}

func onLabel(labels []draw.Rect, p draw.Point) bool {
	for _, r := range labels {
		if r.Inset(-4).Has(p) {
			return true
		}
	}
	return false
}

// onLeader is where lines from labels to posts may be: near the vanishing point.
func onLeader(v perspective, p draw.Point) bool {
	return math.Hypot(p.X-v.Centre.X, p.Y-v.Centre.Y) < 0.1*v.Box.W()
}

func TestViewPostsFadeWithDistance(t *testing.T) {
	s := subject("One lamp", "", geometry.Site{}, rigLamp("spot", 0, 0, 1, 0, 0, 0, 20, 600))
	c, v := driver(t, s, draw.Night(), ViewOptions{Width: 4000})
	at := func(ahead float64) float64 {
		p, ok := v.Pixel(r3.Vec{X: ahead, Y: 1.5, Z: 0.5})
		if !ok {
			t.Fatalf("the post at %g m is not in view", ahead)
		}
		return shade(c, p)
	}
	if at(40) <= at(100) || at(100) <= 0 {
		t.Errorf("post at 40 m: %.4f, at 100 m: %.4f of full light; want more, and some", at(40), at(100))
	}
	// What is shown is E·ρ/π through the exposure.
	lux := s.Scene.FacingLux(40, 1.5, 0.5)
	want := exposure(v.MidGrey).share(lux*postReflectance/math.Pi) * linear(glow)
	if got := at(40); math.Abs(got-want) > 0.03*want+0.002 {
		t.Errorf("post at 40 m: %.4f of full light, want %.4f by %.1f lx", got, want, lux)
	}
}

// The ground is as bright as E·ρ/π says, wherever it is looked at: on slopes, beyond a dip, and with the ground falling to
// the side.
func TestViewGroundIsTheScene(t *testing.T) {
	for name, ground := range map[string]geometry.Ground{
		"level":      {},
		"grade":      {Grade: 0.05},
		"cross fall": {CrossFall: 0.08},
		"dip":        {Profile: []geometry.Knot{{Ahead: 10}, {Ahead: 30, Height: -1}, {Ahead: 60, Height: 3}}, CrossFall: -0.03},
	} {
		s := sun(geometry.Site{Ground: ground})
		s.Vehicle.Eye = Eye{-2, 0, 2.5}
		c, v := driver(t, s, draw.Night(), ViewOptions{MidGrey: 3})
		seen := 0
		for _, at := range []draw.Point{draw.Pt(6, 0), draw.Pt(9, -2.5), draw.Pt(15, 4), draw.Pt(28, 6), draw.Pt(35, -5), draw.Pt(55, 0.7)} {
			p := s.Scene.Site.At(at.X, at.Y, 0)
			px, ok := v.Pixel(p)
			if !ok || !v.Box.Inset(3).Has(px) || onLabel(v.Labels, px) {
				continue
			}
			if hit, ok := s.Scene.Site.Ground.Hit(v.Eye, r3.Sub(p, v.Eye)); !ok || r3.Norm(r3.Sub(hit, p)) > 1e-6 {
				continue // hidden
			}
			seen++
			want := exposure(v.MidGrey).share(s.Scene.GroundLux(at.X, at.Y)*s.Reflectance/math.Pi) * linear(glow)
			if got := shade(c, px); math.Abs(got-want) > 0.03*want {
				t.Errorf("%s: at %g m, %g m left: %.4f of full light, want %.4f", name, at.X, at.Y, got, want)
			}
		}
		if seen < 3 {
			t.Errorf("%s: only %d places are in view", name, seen)
		}
	}
}

// Similar triangles: an edge 1.9 m ahead of the eye and 0.5 m below it is seen a slope of 0.5/1.9 below eye level. Driven,
// both turn about the rear axle.
func TestViewHoodEdge(t *testing.T) {
	for _, noseUp := range []float64{0, 2} {
		site := geometry.Site{
			Body:     []geometry.Box{{Name: "hood", Min: r3.Vec{X: -1.5, Y: -0.8, Z: 0.5}, Max: r3.Vec{X: -0.2, Y: 0.8, Z: 1.15}}},
			Attitude: geometry.NoseUp(noseUp*deg, -4),
		}
		s := sun(site)
		c, v := driver(t, s, draw.Night(), ViewOptions{})
		slope := 0.5 / 1.9
		if noseUp != 0 { // the slope of the line between them turns with the vehicle
			slope = math.Tan(math.Atan(slope) - noseUp*deg)
		}
		want := v.Centre.Y + v.Focal*slope
		x := v.Centre.X
		edge, fall := 0.0, 0.0
		for y := v.Centre.Y + 60; y < v.Box.Y1-4; y++ {
			if d := shade(c, draw.Pt(x, y)) - shade(c, draw.Pt(x, y+3)); d > fall {
				edge, fall = y+1.5, d
			}
		}
		if fall < 0.02 || math.Abs(edge-want) > 2.5 {
			t.Errorf("nose up %g°: edge at row %.1f (a fall of %.3f), want %.1f", noseUp, edge, fall, want)
		}
		// The top of the hood has the light that falls on it.
		top, up := site.Attitude.Driven(r3.Vec{X: -0.6, Y: 0.3, Z: 1.15}), r3.Sub(site.Attitude.Driven(r3.Vec{Z: 1}), site.Attitude.Driven(r3.Vec{}))
		px, _ := v.Pixel(top)
		light := exposure(v.MidGrey).share(s.Scene.Lux(top, up)*bodyReflectance/math.Pi) * linear(glow)
		if got := shade(c, px); light < 0.01 || math.Abs(got-light) > 0.03*light {
			t.Errorf("nose up %g°: the hood has %.4f of full light, want %.4f", noseUp, got, light)
		}
	}
}

// A post behind a crest is not seen: from 1.65 m over the ground, past 0 m at 30 m, the line of sight has fallen to −1.65 m
// by about 60 m; ground at −4 m hides a post of 1 m.
func TestViewCrestHides(t *testing.T) {
	crest := geometry.Ground{Profile: []geometry.Knot{{Ahead: 30}, {Ahead: 40, Height: -4}}}
	for name, want := range map[string]bool{"level": true, "crest": false} {
		site := geometry.Site{}
		if name == "crest" {
			site.Ground = crest
		}
		s := sun(site)
		_, v := driver(t, s, draw.Night(), ViewOptions{})
		for _, p := range s.posts(&v) {
			if p.ahead == 60 && (p.shownFoot > p.top) != want {
				t.Errorf("%s: post at 60 m seen: %v, want %v", name, p.shownFoot > p.top, want)
			}
			if p.ahead == 20 && p.shownFoot != p.foot {
				t.Errorf("%s: post at 20 m is not seen down to its foot", name)
			}
		}
		// Where the post would be is sky: without light.
		px, _ := v.Pixel(s.Scene.Site.At(60, 1.5, 0.5))
		land, err := newLandscape(context.Background(), s.Scene, &v, 1)
		if err != nil {
			t.Fatal(err)
		}
		ahead, _ := land.seen(v.left(px.X), v.up(px.Y))
		if behind := ahead > 62; want != behind {
			t.Errorf("%s: the line of sight to 60 m ends at %.1f m", name, ahead)
		}
	}
}

// That the eye is assumed, and what cannot be seen, is said.
func TestViewSaysWhatItRestsOn(t *testing.T) {
	s := trail()
	given, v := driver(t, s, draw.Night(), ViewOptions{Width: 800})
	s.EyeAssumed = true
	assumed, _ := driver(t, s, draw.Night(), ViewOptions{Width: 800})
	differ := 0
	for y := range int(v.Box.Y0) {
		for x := range 800 {
			if given.Image().RGBAAt(x, y) != assumed.Image().RGBAAt(x, y) {
				differ++
			}
		}
	}
	if differ < 100 {
		t.Errorf("above the view only %d px tell of an assumed eye", differ)
	}
	_, lit := driver(t, s, draw.Night(), ViewOptions{Width: 800})
	s.Scene = s.Scene.Only()
	_, dark := driver(t, s, draw.Night(), ViewOptions{Width: 800})
	if len(dark.Labels) != len(lit.Labels)+1 {
		t.Errorf("%d texts without light, %d with it; want one more", len(dark.Labels), len(lit.Labels))
	}
}

func TestViewRefuses(t *testing.T) {
	s := trail()
	blind, buried := s, s
	blind.Vehicle.Eye = Eye{}
	buried.Scene = (&geometry.Site{Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: -3, Height: 4}, {Ahead: 3, Height: 4}}}}).Scene()
	for name, do := range map[string]func() error{
		"no eye": func() error {
			_, _, err := drawView(context.Background(), blind, draw.Night(), ViewOptions{})
			return err
		},
		"in the ground": func() error {
			_, _, err := drawView(context.Background(), buried, draw.Night(), ViewOptions{})
			return err
		},
		"below black": func() error {
			_, _, err := drawView(context.Background(), s, draw.Night(), ViewOptions{MidGrey: -1})
			return err
		},
		"no number": func() error {
			_, _, err := drawView(context.Background(), s, draw.Night(), ViewOptions{MidGrey: math.NaN()})
			return err
		},
		"too narrow": func() error {
			_, _, err := drawView(context.Background(), s, draw.Night(), ViewOptions{Width: 20})
			return err
		},
	} {
		if do() == nil {
			t.Errorf("%s: not refused", name)
		}
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := drawView(done, s, draw.Night(), ViewOptions{}); err == nil {
		t.Error("goes on after the context's end")
	}
}

func TestExposure(t *testing.T) {
	for _, e := range []exposure{0.1, 1, 30} {
		if got := e.share(float64(e)); math.Abs(got-0.18) > 0.0005 {
			t.Errorf("mid grey %g cd/m² is shown with %.4f, want 0.18", float64(e), got)
		}
		if got := e.share(e.white()); math.Abs(got-1) > 1e-12 {
			t.Errorf("white %g cd/m² is shown with %.4f", e.white(), got)
		}
		last := 0.0
		for l := float64(e) / 1e4; l < 1e4*float64(e); l *= 1.1 {
			got := e.share(l)
			if got < last || got > 1 {
				t.Fatalf("%g cd/m² is shown with %.4f after %.4f", l, got, last)
			}
			last = got
		}
	}
	if got := newShades().of(0); got != (color.RGBA{A: 255}) {
		t.Errorf("no light is shown as %v", got)
	}
}

// The edge of a shadow on the hood is where the light says, to a few pixels: not in steps as wide as a hand.
func TestViewHoodShadowHasAStraightEdge(t *testing.T) {
	s := subject("Beside the cabin", "", geometry.Site{Body: truck()}, rigLamp("flood", -2, 1.2, 2.2, 0, 90, 0, 60, 1500))
	c, v := driver(t, s, draw.Night(), ViewOptions{})
	const up, near = 1.15, 0.02 // m
	lit := func(ahead, left float64) bool {
		return s.Scene.Lux(r3.Vec{X: ahead, Y: left, Z: up + 1e-6}, r3.Vec{Z: 1}) > 1
	}
	asked := map[bool]int{}
	for ahead := -1.2; ahead < -0.25; ahead += 0.01 {
		for left := -0.75; left < 0.75; left += 0.01 {
			light := lit(ahead, left)
			px, ok := v.Pixel(r3.Vec{X: ahead, Y: left, Z: up})
			if !ok || !v.Box.Inset(3).Has(px) || light != lit(ahead-near, left) || light != lit(ahead+near, left) ||
				light != lit(ahead, left-near) || light != lit(ahead, left+near) {
				continue
			}
			asked[light]++
			if got := shade(c, px); light && got < 0.1 || !light && got > 0.01 {
				t.Fatalf("%.2f m behind the bumper, %.2f m left: shade %.3f, lit: %v", -ahead, left, got, light)
			}
		}
	}
	if asked[true] < 300 || asked[false] < 300 {
		t.Errorf("asked %d places in the light and %d in the shadow", asked[true], asked[false])
	}
}

// What stands farther off is higher up on the view, and so are the texts of the posts: none of those behind the first is
// on the ground before it.
func TestViewTextsOfFarPostsAreAboveThem(t *testing.T) {
	for _, up := range []float64{1.2, 1.35, 1.5, 1.65, 1.8, 2, 2.4, 3} {
		s := subject("eye", "", geometry.Site{}, rigLamp("post lamp", 0, 0, 3, 0, 10, 0, 30, 5600))
		s.Vehicle.Eye.Up = up
		_, v := driver(t, s, draw.Night(), ViewOptions{Width: 800})
		first, _ := v.Pixel(r3.Vec{X: 20, Y: -trackHalf, Z: postHigh})
		far := v.Labels[len(v.Labels)-5 : len(v.Labels)-2] // 200, 100 and 40 m; then the words and the strip of the exposure
		for i, r := range far {
			if horizon := v.Centre.Y; up > postHigh && r.Y1 > max(horizon, first.Y) {
				t.Errorf("eye %g m up: label %v is below the top of the first post, %.0f px", up, r, first.Y)
			}
			if i > 0 && far[i-1].Centre().Y > r.Centre().Y+1 {
				t.Errorf("eye %g m up: label %v of a farther post is below %v", up, far[i-1], r)
			}
		}
	}
}
