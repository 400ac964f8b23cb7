package render

import (
	"context"
	"fmt"
	"image/color"
	"math"
	"strings"
	"testing"

	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/draw"
	"beamfall/render/scenery"

	"github.com/lucasb-eyer/go-colorful"
	"gonum.org/v1/gonum/spatial/r3"
)

func driver(t testing.TB, s Subject, theme draw.Theme, o ViewOptions) (*draw.Canvas, viewLayout) {
	t.Helper()
	type picture struct {
		c *draw.Canvas
		v viewLayout
	}
	p, err := once(s, fmt.Sprintf("view %s %+v", theme.Name, o), func() (picture, error) {
		c, v, err := drawView(context.Background(), s, theme, o)
		return picture{c, v}, err
	})
	if err != nil {
		t.Fatal(err)
	}
	return p.c, p.v
}

// linear is the share of full light that the green of a colour has.
func linear(c color.RGBA) float64 {
	full, _ := colorful.MakeColor(c)
	_, g, _ := full.LinearRgb()
	return g
}

// shown is the luminance (cd/m²) that a picture shows at a place, read off its colour through the
// exposure.
func shown(c *draw.Canvas, e exposure, p draw.Point) float64 {
	share := linear(colourAt(c, p)) / linear(draw.Night().Ink)
	lo, hi := 0.0, e.white()
	for range 60 {
		if mid := (lo + hi) / 2; e.tones().share(mid) < share {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// inDust is a subject in air with dust.
func inDust(s Subject, visibility float64) Subject {
	site := *s.Scene.Site
	site.Visibility = visibility
	s.Scene = site.With(s.Scene.Lamps...)
	s.Around = sight.AtNight(s.Reflectance)
	s.Around.Particles = sight.Dust
	return s
}

// tilted is a subject with all lamps turned down by an angle (rad).
func tilted(s Subject, by float64) Subject {
	var lamps []geometry.Lamp
	for i := range s.Scene.Lamps {
		l := s.Scene.Lamps[i].Lamp
		l.Aim.Tilt += by
		lamps = append(lamps, l)
	}
	s.Scene, s.Parked = s.Scene.Site.Scene(lamps...), s.Parked.Site.Scene(lamps...)
	return s
}

// A person at 60 m has the luminance that sight says, with the veil over it, through the exposure.
func TestViewPersonIsAsSightSays(t *testing.T) {
	s := trail()
	for name, grey := range map[string]float64{"its own": 0, "dim": 0.2} {
		c, v := driver(t, s, draw.Night(), ViewOptions{Width: 1300, MidGrey: grey})
		for _, at := range v.world.Stand {
			if at.Along != 60 || at.Thing.Name != "person" {
				continue
			}
			r, ok := v.world.Place(v.Seen.Window, at)
			if !ok {
				t.Fatalf("%s: the person at 60 m is not in view", name)
			}
			parts := v.world.View.Parts(at.Thing, v.world.View.OnTrack(60, at.Left))
			sum := parts.Sum(s.lit())
			got := 0.0
			// a leg, the hip, the chest
			for _, p := range [3][2]float64{{0.5 + 0.2, 1. / 6}, {0.5 + 0.1, 3. / 6}, {0.5, 5. / 6}} {
				got += shown(c, v.Exposure, draw.Pt(r.X0+p[0]*r.W(), r.Y1-p[1]*r.H())) / 3
			}
			if want := sum.Thing + sum.Veil.Sum(); math.Abs(got-want) > 0.04*want {
				t.Errorf("%s: shown with %.4f cd/m², want %.4f", name, got, want)
			}
		}
	}
}

// Air that glows leaves nothing as dark as air that only dims.
func TestViewGlowRaisesTheDarkestPixel(t *testing.T) {
	dust := inDust(spots(), 150)
	mist := dust
	mist.Around.Particles = sight.Particles{}
	darkest := func(s Subject) float64 {
		c, v := driver(t, s, draw.Night(), ViewOptions{Width: 400, MidGrey: 1})
		least := math.Inf(1)
		for y := v.Seen.Box.Y0 + 3.5; y < v.Seen.Box.Y1-3; y++ {
			for x := v.Seen.Box.X0 + 3.5; x < v.Seen.Box.X1-3; x++ {
				p := draw.Pt(x, y)
				if !draw.Around(p, 12, 12).OverlapsAny(v.Labels) && v.Seen.At(p) < 2*least {
					least = min(least, shown(c, v.Exposure, p))
				}
			}
		}
		return least
	}
	if with, without := darkest(dust), darkest(mist); with < 2*without || with < 0.01 {
		t.Errorf("the darkest pixel has %.4f cd/m² in dust, %.4f in air that only dims", with, without)
	}
}

// Under one exposure a setting that lights the foreground looks like it: before the hood brighter,
// far off darker.
func TestViewBadSettingLooksBad(t *testing.T) {
	good := subject("Two spots", "", geometry.Site{Body: truck()},
		rigLamp("left", 0, 0.5, 0.9, 0.2, 1, 0, 10, 4000), rigLamp("right", 0, -0.5, 0.9, 0.2, 1, 0, 10, 4000))
	bad := tilted(good, 8*deg)
	look := func(s Subject) (foreground, far float64) {
		c, v := driver(t, s, draw.Night(), ViewOptions{Width: 800, MidGrey: 0.3})
		if v.Exposure != 0.3 {
			t.Fatalf("exposed for %v cd/m², want 0.3", v.Exposure)
		}
		near, _ := v.Seen.Pixel(r3.Vec{X: 6, Y: 0.3})
		person, _ := v.Seen.Pixel(v.world.View.Scene.Site.At(100, -1.4, 0.9))
		return shown(c, v.Exposure, near), shown(c, v.Exposure, person)
	}
	foreground, far := look(good)
	foregroundBad, farBad := look(bad)
	if foregroundBad < 2*foreground || farBad > far/2 {
		t.Errorf("the foreground shows %.3g after %.3g cd/m², a person at 100 m %.3g after %.3g", foregroundBad,
			foreground, farBad, far)
	}
}

// The farthest place where a person is seen is marked where it is, in the view and in what
// magnifies its far end.
func TestViewMarksTheFarthestPlace(t *testing.T) {
	for _, theme := range []draw.Theme{draw.Night(), draw.Paper()} {
		c, v := driver(t, trail(), theme, ViewOptions{Width: 1000})
		if want := v.world.View.Along(v.thing).Sight(trail().lit()).Range; v.sight.Range != want || !(want > 100) {
			t.Fatalf("seen to %.1f m, want %.1f", v.sight.Range, want)
		}
		if v.Far == nil {
			t.Fatal("the far end is not magnified")
		}
		foot := v.world.View.Scene.Site.At(v.sight.Range, 0, 0)
		for _, seen := range []draw.Point{pixel(t, v.Seen.Pixel, foot), pixel(t, v.Far.Pixel, foot)} {
			marked := 0
			for dx := -40.0; dx <= 40; dx++ {
				for dy := -100.0; dy <= 20; dy++ {
					if colourAt(c, draw.Pt(seen.X+dx, seen.Y+dy)) == theme.Sight {
						marked++
					}
				}
			}
			if marked < 20 {
				t.Errorf("%s: only %d pixels of a mark about %v", theme.Name, marked, seen)
			}
		}
	}
}

func pixel(t *testing.T, of func(r3.Vec) (draw.Point, bool), p r3.Vec) draw.Point {
	t.Helper()
	px, ok := of(p)
	if !ok {
		t.Fatalf("%v is not ahead", p)
	}
	return px
}

// Without lamps there is at most the sky of a night, and the picture says so.
func TestViewIsDarkWithAllLampsOff(t *testing.T) {
	for _, s := range []Subject{trail(), awkward()[6]} {
		_, lit := driver(t, s, draw.Night(), ViewOptions{Width: 400})
		s.Scene = s.Scene.Only()
		_, v := driver(t, s, draw.Night(), ViewOptions{Width: 400})
		if most := v.Seen.Greatest(); most > 1.2*sight.NightSky {
			t.Errorf("%s: %.4f cd/m² without a lamp", s.Rig, most)
		}
		if v.seen() || v.Far != nil {
			t.Errorf("%s: a person is seen to %.0f m without a lamp", s.Rig, v.sight.Range)
		}
		said := false
		for _, r := range v.Labels {
			said = said || r.Centre().X > v.Seen.Box.Centre().X-2 && r.Centre().X < v.Seen.Box.Centre().X+2 &&
				v.Seen.Box.Contains(r)
		}
		if !said || len(lit.Labels) == 0 {
			t.Errorf("%s: that there is no light is not said", s.Rig)
		}
	}
}

// What is seen, by whom, and what is made up is said; and how light becomes grey.
func TestViewSaysWhatItRestsOn(t *testing.T) {
	s := trail()
	_, v := driver(t, s, draw.Night(), ViewOptions{Width: 400})
	words := v.sightWords(s)
	for _, want := range []string{"person", "0.50 m × 1.70 m", "reflectance 0.05",
		"seen to " + s.distance(v.sight.Range), "40 years", "0.2 s"} {
		if !strings.Contains(words, want) {
			t.Errorf("%q does not say %q", words, want)
		}
	}
	if got, want := exposure(0.3).String(), "0.3 cd/m² is shown as mid grey, 30 "+
		"as white"; !strings.Contains(got, want) {
		t.Errorf("%q does not say %q", got, want)
	}
	dense := inDust(spots(), 25)
	p, err := dense.prospect(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if words := p.sightWords(dense); !strings.Contains(words, "no distance is named") {
		t.Errorf("in dense air: %q", words)
	}
	assumed := s
	assumed.EyeAssumed = true
	a, _ := driver(t, s, draw.Night(), ViewOptions{Width: 400})
	b, _ := driver(t, assumed, draw.Night(), ViewOptions{Width: 400})
	differ := 0
	for y := range int(v.Seen.Box.Y0) {
		for x := range 400 {
			if a.Image().RGBAAt(x, y) != b.Image().RGBAAt(x, y) {
				differ++
			}
		}
	}
	if differ < 50 {
		t.Errorf("above the view only %d px tell of an assumed eye", differ)
	}
}

// On paper what is dark is darker than what is bright, and no more ink is used than that takes.
func TestViewSparesInkOnPaper(t *testing.T) {
	c, v := driver(t, trail(), draw.Paper(), ViewOptions{Width: 400})
	sum, n := 0.0, 0.0
	for y := v.Seen.Box.Y0 + 3.5; y < v.Seen.Box.Y1-3; y += 3 {
		for x := v.Seen.Box.X0 + 3.5; x < v.Seen.Box.X1-3; x += 3 {
			sum += linear(colourAt(c, draw.Pt(x, y)))
			n++
		}
	}
	if mean := sum / n; mean < 0.4 {
		t.Errorf("the paper is %.2f white", mean)
	}
	for _, theme := range []draw.Theme{draw.Night(), draw.Paper()} {
		table := newShades(theme)
		last := -1.0
		for i := range table {
			g := linear(table[i])
			if g < last {
				t.Fatalf("%s: shade %d is darker than the one before", theme.Name, i)
			}
			last = g
		}
		if dark := linear(table[0]); theme.Name == "paper" && (dark < 0.2 || dark > 0.4) {
			t.Errorf("no light is %.2f white on paper", dark)
		}
	}
}

func TestViewRefuses(t *testing.T) {
	s := trail()
	blind, buried := s, s
	blind.Vehicle.Eye = Eye{}
	buried.Scene = (&geometry.Site{Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: -3, Height: 4},
		{Ahead: 3, Height: 4}}}}).Scene()
	for name, do := range map[string]func() error{
		"no eye": func() error {
			_, err := View(context.Background(), blind, draw.Night(), ViewOptions{})
			return err
		},
		"in the ground": func() error {
			_, err := View(context.Background(), buried, draw.Night(), ViewOptions{})
			return err
		},
		"below black": func() error {
			_, err := View(context.Background(), s, draw.Night(), ViewOptions{MidGrey: -1})
			return err
		},
		"no number": func() error {
			_, err := View(context.Background(), s, draw.Night(), ViewOptions{MidGrey: math.NaN()})
			return err
		},
		"too narrow": func() error {
			_, err := View(context.Background(), s, draw.Night(), ViewOptions{Width: 20})
			return err
		},
	} {
		if do() == nil {
			t.Errorf("%s: not refused", name)
		}
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := View(done, s, draw.Night(), ViewOptions{}); err == nil {
		t.Error("goes on after the context's end")
	}
}

func TestExposure(t *testing.T) {
	for _, e := range []exposure{0.1, 1, 30} {
		if got := e.tones().share(float64(e)); math.Abs(got-0.18) > 0.0005 {
			t.Errorf("mid grey %g cd/m² is shown with %.4f, want 0.18", float64(e), got)
		}
		if got := e.tones().share(e.white()); math.Abs(got-1) > 1e-12 {
			t.Errorf("white %g cd/m² is shown with %.4f", e.white(), got)
		}
		last := 0.0
		for l := float64(e) / 1e4; l < 1e4*float64(e); l *= 1.1 {
			got := e.tones().share(l)
			if got < last || got > 1 {
				t.Fatalf("%g cd/m² is shown with %.4f after %.4f", l, got, last)
			}
			last = got
		}
	}
	for adapted, want := range map[float64]exposure{1e-4: 0.03, 0.04: 0.03, 0.06: 0.1, 0.16: 0.1, 0.2: 0.3, 0.7: 1,
		40: 1} {
		even := scenery.Luminances{Columns: 1, Rows: 1, Values: []float32{float32(adapted)}}
		if got := exposureOf(&even); got != want {
			t.Errorf("adapted to %g cd/m²: exposed for %g, want %g", adapted, float64(got), float64(want))
		}
	}
	if got := newShades(draw.Night()).of(0); got != (color.RGBA{A: 255}) {
		t.Errorf("no light is shown as %v", got)
	}
}
