package render

import (
	"context"
	"math"
	"testing"

	"beamfall/geometry"
	"beamfall/geometry/aim"
	"beamfall/render/draw"
)

func TestAimShowsWhatWasAskedFor(t *testing.T) {
	a := aimed(trail())
	c, v, err := drawAim(context.Background(), a, draw.Night(), AimOptions{Width: 1000})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range v.Plans {
		s := []Subject{a.Before, a.After}[i]
		askBands(t, []string{"before", "after"}[i], c, p.Box, v.Labels,
			func(px draw.Point) float64 { return s.Scene.GroundLux(p.Ground(px)) })
		for _, target := range a.Targets {
			for _, at := range []draw.Point{ // on its outline, away from its corners
				p.Pixel(target.From+1.2, target.HalfWidth), p.Pixel(target.From+1.2,
					-target.HalfWidth), p.Pixel(target.From, -target.HalfWidth/2),
			} {
				if got := colourAt(c, at); got != c.Theme.Accent && !writtenOn(v.Labels, at) {
					t.Errorf("%s: %v where its outline is", target.Name, got)
				}
			}
		}
		for _, l := range a.Limits {
			if got := colourAt(c, p.Pixel(l.At.X, l.At.Y)); got != c.Theme.Caution {
				t.Errorf("%s: %v where its mark is", l.Name, got)
			}
		}
	}
	if v.Plans[0].Extent() != v.Plans[1].Extent() || math.Abs(v.Plans[0].PerMetre()/v.Plans[1].PerMetre()-1) > 1e-9 {
		t.Error("before and after are not on one scale")
	}
	if e := v.Plans[0].Extent(); e.Ahead < 60 || e.Left < 3.5 {
		t.Errorf("what was asked for is not within %+v", e)
	}
}

// The texts of what is asked for stand beside their rectangles and hide none of their edges.
func TestAimWritesBesideWhatWasAskedFor(t *testing.T) {
	s := subject("long and narrow", "", geometry.Site{Body: truck()}, rigLamp("bar", -1.5, 0, 2.1, 0, 5, 0, 20, 6300))
	a := Aiming{Before: s, After: s, Targets: []AimTarget{
		{aim.Target{Name: "near track", From: 3, To: 15, HalfWidth: 2}, 0.94, 0.98},
		{aim.Target{Name: "stopping distance", From: 15, To: 63, HalfWidth: 2}, 0.66, 0.96},
	}}
	c, v, err := drawAim(context.Background(), a, draw.Night(), AimOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range v.Plans {
		for _, target := range a.Targets {
			for _, share := range []float64{-0.8, -0.4, 0, 0.4, 0.8} {
				if got := colourAt(c, p.Pixel(target.To, share*target.HalfWidth)); got != c.Theme.Accent {
					t.Errorf("%s: %v on its far edge, %.1f m left", target.Name, got, share*target.HalfWidth)
				}
			}
		}
	}
}

func writtenOn(labels []draw.Rect, p draw.Point) bool {
	for _, l := range labels {
		if l.Has(p) {
			return true
		}
	}
	return false
}

func TestChangesInWords(t *testing.T) {
	set := func(tilt, turn float64) geometry.Aim { return geometry.Aim{Tilt: tilt * deg, Turn: turn * deg} }
	for _, test := range []struct {
		before, after geometry.Aim
		want          string
		changed       bool
	}{
		{set(5, 0), set(3.5, 0), "tilt 5.0° → 3.5°: raise by 1.5°", true},
		{set(1, 0), set(2.3, 0), "tilt 1.0° → 2.3°: lower by 1.3°", true},
		{set(1, 0), set(-0.5, 0), "tilt 1.0° → −0.5°: raise by 1.5°", true},
		{set(5, 10), set(5, 10), "tilt 5.0°, as it is", false},
		{set(5, 10), set(5.01, 10), "tilt 5.0°, as it is", false},
		{set(5, 10), set(5, 6), "tilt 5.0°, as it is; turn by 4.0° to the right", true},
		{set(5, 178), set(4, -178), "tilt 5.0° → 4.0°: raise by 1.0°; turn by 4.0° to the left",
			true}, // the short way round
	} {
		if text, changed := change(test.before, test.after); text != test.want || changed != test.changed {
			t.Errorf("%q (%v), want %q (%v)", text, changed, test.want, test.changed)
		}
	}
}

func TestLimitsInWords(t *testing.T) {
	l := AimLimit{Limit: aim.Limit{Lux: 5}}
	for _, test := range []struct {
		lux  float64
		want string
	}{{4.62, "4.6 of 5 lx"}, {7.13, "7.1, over 5 lx"}, {0.043, "0.043 of 5 lx"}, {128.4, "128, over 5 lx"},
		{0, "0 of 5 lx"}} {
		if got := l.words(test.lux); got != test.want {
			t.Errorf("%g lx: %q, want %q", test.lux, got, test.want)
		}
	}
}

func TestAimRefuses(t *testing.T) {
	a := aimed(trail())
	a.After = awkward()[1]
	if _, _, err := drawAim(context.Background(), a, draw.Night(), AimOptions{Width: 400}); err == nil {
		t.Error("eight lamps before and one after are drawn")
	}
}
