package render

import (
	"context"
	"errors"
	"image/color"
	"math"
	"slices"
	"testing"

	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/draw"
)

func mapOfSight(t testing.TB, s Subject, theme draw.Theme, width int) (*draw.Canvas, sightLayout) {
	t.Helper()
	c, v, err := drawSight(context.Background(), s, theme, SightOptions{Width: width})
	if err != nil {
		t.Fatal(err)
	}
	return c, v
}

// onCrest is two spots before a hollow that things stand in unseen.
func onCrest() Subject {
	site := geometry.Site{Body: truck(), Ground: geometry.Ground{Profile: []geometry.Knot{
		{Ahead: 20}, {Ahead: 40, Height: -3.5}, {Ahead: 60, Height: -3.5}, {Ahead: 90, Height: 1},
	}}}
	return subject("Two spots before a hollow", "", site,
		rigLamp("left", 0, 0.5, 0.9, 0.2, 0.5, 0, 12, 4000), rigLamp("right", 0, -0.5, 0.9, 0.2, 0.5, 0, 12, 4000))
}

// What is painted as seen is seen there, and what is blank is not: asked of sight itself, away from
// lines and texts.
func TestSightMapPaintsWhatIsSeen(t *testing.T) {
	for _, s := range []Subject{seeing(awkward()[1]), onCrest()} {
		c, v := mapOfSight(t, s, draw.Night(), 500)
		askSight(t, s, c, v.Plan, v.Labels)
	}
}

// askSight asks sight itself about places all over a plan, away from lines and texts.
func askSight(t *testing.T, s Subject, c *draw.Canvas, plan Plan, labels []draw.Rect) {
	t.Helper()
	eye, err := s.eye()
	if err != nil {
		t.Fatal(err)
	}
	view, tints, thing := s.look(eye), sightShades(c.Theme), s.things()[0]
	asked := map[bool]int{}
	for y := math.Ceil(plan.Box.Y0) + 6.5; y < plan.Box.Y1-6; y += 9 {
		for x := math.Ceil(plan.Box.X0) + 6.5; x < plan.Box.X1-6; x += 13 {
			p := draw.Pt(x, y)
			here := colourAt(c, p)
			seen := slices.Contains(tints[:], here)
			if !seen && here != c.Theme.Background || !evenAround(c, p, here, 3) ||
				draw.Around(p, 8, 8).OverlapsAny(labels) {
				continue
			}
			ahead, left := plan.Ground(p)
			parts := view.Parts(thing, sight.Place{X: ahead, Y: left})
			want := parts.See(s.lit())
			if math.Abs(math.Log(want.Level/view.Observer.Level)) < 0.1 {
				continue // on the edge
			}
			asked[seen]++
			if seen != want.Seen {
				t.Errorf("%s: at %.1f m, %.1f m left painted as seen: %v, level %.1f, hidden: %v", s.Rig, ahead, left,
					seen, want.Level, parts.Hidden)
			}
		}
	}
	if asked[true] < 20 || asked[false] < 20 {
		t.Errorf("%s: asked %d places that are seen and %d that are not", s.Rig, asked[true], asked[false])
	}
}

// evenAround tells whether all pixels up to a distance have one colour.
func evenAround(c *draw.Canvas, p draw.Point, colour color.RGBA, distance float64) bool {
	for dx := -distance; dx <= distance; dx++ {
		for dy := -distance; dy <= distance; dy++ {
			if colourAt(c, draw.Pt(p.X+dx, p.Y+dy)) != colour {
				return false
			}
		}
	}
	return true
}

// The boundary crosses the track where the range along it ends, for every thing, and there is a
// mark.
func TestSightMapBoundariesEndAtTheRange(t *testing.T) {
	s := onCrest()
	s.Scene = (&geometry.Site{Body: truck()}).With(s.Scene.Lamps...)
	s.Things = []sight.Thing{sight.Things()[0], sight.Things()[4]}
	c, v := mapOfSight(t, s, draw.Paper(), 800)
	for _, thing := range v.Things {
		nearest := math.Inf(1)
		for _, line := range thing.lines() {
			for _, p := range line {
				if math.Abs(p.Y) < thing.level.DX {
					nearest = min(nearest, math.Hypot(p.X-thing.Range, p.Y))
				}
			}
		}
		if step := thing.level.DX; !(nearest < 1.5*step) {
			t.Errorf("%s: seen to %.1f m on the track, the boundary is %.1f m from there", thing.Name, thing.Range,
				nearest)
		}
		if thing.Range < 60 { // under the paint of other marks
			continue
		}
		at, marked := v.Plan.Pixel(thing.Range, 0), false
		for dy := -6.0; dy <= 6; dy++ {
			marked = marked || colourAt(c, draw.Pt(at.X, at.Y+dy)) == c.Theme.Sight
		}
		if !marked {
			t.Errorf("%s: no mark at %v", thing.Name, at)
		}
	}
}

// The map holds all of every boundary.
func TestSightMapHoldsEveryBoundary(t *testing.T) {
	for _, s := range []Subject{awkward()[3], awkward()[5]} {
		_, v := mapOfSight(t, s, draw.Night(), 400)
		for _, thing := range v.Things {
			if thing.level == nil {
				t.Errorf("%s: %s is not looked for", s.Rig, thing.Name)
				continue
			}
			if openEnded(thing.level) {
				t.Errorf("%s: %s is seen beyond its map", s.Rig, thing.Name)
			}
			for _, line := range thing.lines() {
				for _, p := range line {
					if !v.Plan.Box.Has(v.Plan.Pixel(p.X, p.Y)) {
						t.Fatalf("%s: %s is seen at %v, which is not on the map", s.Rig, thing.Name, p)
					}
				}
			}
		}
	}
}

func TestSightMapRefuses(t *testing.T) {
	blind := trail()
	blind.Vehicle.Eye = Eye{}
	if _, err := Sight(context.Background(), blind, draw.Night(), SightOptions{}); err == nil {
		t.Error("no eye: not refused")
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Sight(done, trail(), draw.Night(), SightOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("after the context's end: %v", err)
	}
	dense := inDust(onCrest(), 25)
	if _, err := Sight(context.Background(), dense, draw.Night(), SightOptions{Width: 400}); err != nil {
		t.Errorf("air too dense for a range: %v", err)
	}
}
