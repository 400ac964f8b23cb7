package render

import (
	"context"
	"image/color"
	"math"
	"slices"
	"testing"

	"beamfall/geometry"
	"beamfall/geometry/aim"
	"beamfall/geometry/sight"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r2"
)

// The maps are of what the targets ask for: light on the ground, facing light at the height that is
// asked for, or sight; with the outlines of the targets, along a bend too, and the places of
// limits.
func TestAimShowsWhatWasAskedFor(t *testing.T) {
	person := sight.Things()[0]
	ground, facing, see := aimed(spots()), aimed(spots()), aimed(seeing(awkward()[1]))
	for i := range facing.Targets {
		facing.Targets[i].Facing, facing.Targets[i].Up = true, 1.1
		see.Targets[i].See = &person
	}
	for _, s := range []*Subject{&ground.Before, &ground.After, &facing.Before, &facing.After} {
		s.Vehicle.Eye = Eye{} // no views, which take long
	}
	for _, s := range []*Subject{&facing.Before, &facing.After} {
		s.Scene = bent(*s.Scene.Site, 90).Scene(lampsOf(s.Scene)...)
	}
	for want, a := range map[Map]Aiming{MapGround: ground, MapFacing: facing, MapSight: see} {
		c, v, err := drawAim(context.Background(), a, draw.Night(), AimOptions{Width: 1150})
		if err != nil {
			t.Fatal(err)
		}
		if len(v.Maps) != 1 || v.Maps[0].Map != want {
			t.Errorf("maps of %v, want %v", v.Maps, want)
		}
		hidden := append(slices.Clone(v.Labels), v.Marks...)
		for i, p := range v.Plans[0] {
			s := []Subject{a.Before, a.After}[i]
			switch want {
			case MapGround:
				askBands(t, beforeAfter[i], c, p.Box, hidden, func(px draw.Point) float64 {
					return s.Scene.GroundLux(p.Ground(px))
				})
			case MapFacing:
				askBands(t, beforeAfter[i], c, p.Box, hidden, func(px draw.Point) float64 {
					x, y := p.Ground(px)
					return s.Scene.FacingLux(x, y, 1.1)
				})
			case MapSight:
				askSight(t, s, c, p, hidden)
			}
			track := &s.Scene.Site.Track
			for _, target := range a.Targets {
				asked, found := 0, 0
				for along := target.From + 0.5; along < target.To; along += 0.5 {
					for _, left := range []float64{-target.HalfWidth, target.HalfWidth} {
						px := p.Pixel(track.Place(along, left))
						if asked++; hasNear(c, px, c.Theme.Accent) || writtenOn(hidden, px) {
							found++
						}
					}
				}
				if found < asked*9/10 {
					t.Errorf("%s: its outline has its colour at %d of %d places", target.Name, found, asked)
				}
			}
			for _, l := range a.Limits {
				if at := p.Pixel(l.At.X, l.At.Y); !hasNear(c, at, c.Theme.Caution) {
					t.Errorf("%s: %v where its mark is", l.Name, colourAt(c, at))
				}
			}
		}
		if v.Plans[0][0].Extent() != v.Plans[0][1].Extent() ||
			math.Abs(v.Plans[0][0].PerMetre()/v.Plans[0][1].PerMetre()-1) > 1e-9 {
			t.Error("before and after are not on one scale")
		}
		if e := v.Plans[0][0].Extent(); e.Ahead < 50 || e.Left < 3.5 {
			t.Errorf("what was asked for is not within %+v", e)
		}
	}
}

// What counts most is shown first, and each kind of what is asked for once.
func TestAimMapsEachKindOnce(t *testing.T) {
	a := aimed(seeing(awkward()[1]))
	rut := sight.Things()[4]
	a.Targets = append(a.Targets, a.Targets[0], a.Targets[1])
	a.Targets[1].Weight = 1
	a.Targets[2].Facing, a.Targets[2].Weight = true, 3
	a.Targets[3].See, a.Targets[3].Weight = &rut, 2
	_, v, err := drawAim(context.Background(), a, draw.Night(), AimOptions{Width: 400})
	if err != nil {
		t.Fatal(err)
	}
	var got []Map
	for _, m := range v.Maps {
		got = append(got, m.Map)
	}
	if !slices.Equal(got, []Map{MapFacing, MapSight, MapGround}) {
		t.Errorf("maps %v, want facing, sight, ground", got)
	}
}

// The line across the track is where the thing that is asked for is just seen, before and after,
// and after there is the one of before as well.
func TestAimShowsTheGain(t *testing.T) {
	person := sight.Things()[0]
	low := subject("spots", "", geometry.Site{Body: truck()}, rigLamp("spots", 0, 0, 0.9, 0.4, 4, 0, 10, 9000))
	high := tilted(low, -4*deg)
	a := Aiming{Before: low, After: high, Targets: []AimTarget{
		{aim.Target{Name: "a person", From: 30, To: 200, HalfWidth: 2, See: &person, Weight: 1}, 0.4, 0.9}}}
	c, v, err := drawAim(context.Background(), a, draw.Paper(), AimOptions{Width: 1150})
	if err != nil {
		t.Fatal(err)
	}
	was, _ := low.outlook()
	is, _ := high.outlook()
	if is.sight.Range < was.sight.Range+30 {
		t.Fatalf("seen to %.1f m before and %.1f m after: no gain to show", was.sight.Range, is.sight.Range)
	}
	lines := func(p Plan, along float64) (pixels int) {
		for left := -2.0; left <= 2; left += 0.05 {
			if colourAt(c, p.Pixel(along, left)) == c.Theme.Sight {
				pixels++
			}
		}
		return pixels
	}
	for when, asked := range [2][2]float64{{was.sight.Range, is.sight.Range}, {is.sight.Range, was.sight.Range}} {
		p := v.Plans[0][when]
		if n := lines(p, asked[0]); n < 60 {
			t.Errorf("%s: %d of 81 places on the line at %.1f m have its colour", beforeAfter[when], n, asked[0])
		}
		if n := lines(p, asked[1]); (n > 10) != (when == 1) {
			t.Errorf("%s: %d of 81 places at %.1f m have its colour", beforeAfter[when], n, asked[1])
		}
	}
	if len(v.Views) != 2 || v.Views[0].Exposure != v.Views[1].Exposure {
		t.Errorf("%d driver's views, not two of one exposure", len(v.Views))
	}
}

// No label covers a mark. A key plate may cover the mark of its own lamp.
func TestAimTextsKeepClearOfMarks(t *testing.T) {
	for _, i := range []int{0, 2, 5} {
		s := awkward()[i]
		s.Vehicle.Eye = Eye{}
		_, v, err := drawAim(context.Background(), aimed(s), draw.Night(), AimOptions{Width: 400})
		if err != nil {
			t.Fatal(err)
		}
		for _, mark := range v.Marks {
			for _, label := range v.Labels {
				if label.Overlaps(mark) && r2.Norm(r2.Sub(label.Centre(), mark.Centre())) > 0.5 {
					t.Errorf("%s: the text at %v hides the mark at %v", s.Rig, label, mark)
				}
			}
		}
	}
}

// The texts of what is asked for stand beside their rectangles and hide none of their edges.
func TestAimWritesBesideWhatWasAskedFor(t *testing.T) {
	s := subject("long and narrow", "", geometry.Site{Body: truck()}, rigLamp("bar", -1.5, 0, 2.1, 0, 5, 0, 20, 6300))
	a := Aiming{Before: s, After: s, Targets: []AimTarget{
		{aim.Target{Name: "near track", From: 3, To: 15, HalfWidth: 2}, 0.94, 0.98},
		{aim.Target{Name: "stopping distance", From: 15, To: 63, HalfWidth: 2}, 0.66, 0.96},
	}}
	c, v, err := drawAim(context.Background(), a, draw.Night(), AimOptions{Width: 800})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range v.Plans[0] {
		for _, target := range a.Targets {
			for _, share := range []float64{-0.8, -0.4, 0, 0.4, 0.8} {
				if got := colourAt(c, p.Pixel(target.To, share*target.HalfWidth)); got != c.Theme.Accent {
					t.Errorf("%s: %v on its far edge, %.1f m left", target.Name, got, share*target.HalfWidth)
				}
			}
		}
	}
}

// hasNear tells whether there is a colour within a pixel of a place.
func hasNear(c *draw.Canvas, p draw.Point, colour color.RGBA) bool {
	for dx := -1.0; dx <= 1; dx++ {
		for dy := -1.0; dy <= 1; dy++ {
			if colourAt(c, draw.Pt(p.X+dx, p.Y+dy)) == colour {
				return true
			}
		}
	}
	return false
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
	}{{4.62, "4.6 of 5 lx facing"}, {7.13, "7.1, over 5 lx facing"}, {0.043, "0.043 of 5 lx facing"},
		{128.4, "128, over 5 lx facing"},
		{0, "0 of 5 lx facing"}} {
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
