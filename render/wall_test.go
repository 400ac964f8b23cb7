package render

import (
	"context"
	"math"
	"strings"
	"testing"

	"beamfall/geometry"
	"beamfall/render/draw"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

func wall(t *testing.T, s Subject, theme draw.Theme, o WallOptions) (*draw.Canvas, wallLayout) {
	t.Helper()
	c, v, err := drawWall(context.Background(), s, theme, o)
	if err != nil {
		t.Fatal(err)
	}
	return c, v
}

func TestWallShowsTheLight(t *testing.T) {
	for _, test := range []struct {
		rig, width int // lines are a pixel wide from 1600 px on
		theme      draw.Theme
	}{{2, 1600, draw.Night()}, {0, 800, draw.Paper()}} {
		s := awkward()[test.rig]
		c, v := wall(t, s, test.theme, WallOptions{Width: test.width})
		above := v.Frame.Box
		above.Y1 = v.Frame.Y(0)
		lux := func(p draw.Point) float64 {
			return s.Parked.Lux(r3.Vec{X: UsualWall, Y: v.Frame.AcrossAt(p.X), Z: v.Frame.UpAt(p.Y)}, r3.Vec{X: -1})
		}
		askBands(t, "wall of "+s.Rig, c, above, v.Labels, lux)
		if test.width >= 1600 {
			askIsolux(t, "wall of "+s.Rig, c, above, lux)
		}
		if e := v.Frame.Exaggeration(); math.Abs(e-1) > 1e-9 {
			t.Errorf("a metre up is %g times one across", e)
		}
		if left, right := v.Frame.X(1), v.Frame.X(-1); left >= right {
			t.Errorf("left is at %g px, right at %g px", left, right)
		}
	}
}

// The axis of a lamp at (x, y, z), tilted t and turned u, meets a wall at w: z − (w − x)·tan t /
// cos u up and y + (w − x)·tan u to the left.
func TestWallMarks(t *testing.T) {
	s := subject("marks", "", geometry.Site{},
		rigLamp("roof bar", -1.9, 0, 2.05, 1, 5, 0, 10, 9000), // 2.05 − 9.52·tan 5° = 1.217 m
		rigLamp("turned", -1.9, 0.6, 2.05, 0.2, 8, 6, 36,
			3000), // 2.05 − 9.52·tan 8°/cos 6° = 0.705 m; 0.6 + 9.52·tan 6° = 1.601 m
		rigLamp("bumper", 0, -0.45, 0.75, 0.2, 0.8, 0, 10, 3000), // 0.75 − 7.62·tan 0.8° = 0.644 m
		rigLamp("steep", -1.9, 0, 2.05, 0.2, 14, 0, 36, 3000),    // meets the ground 8.2 m ahead of it
		rigLamp("work light", -4, 0, 2, 0.2, 10, 180, 60, 3000),
	)
	marks, without := s.wallMarks(7.62)
	if len(marks) != 3 {
		t.Fatalf("%d marks, want 3", len(marks))
	}
	imperial := s
	imperial.Units = units.Imperial
	for i, want := range []struct{ up, aside, imperialUp, imperialAside string }{
		{"1.217 m up", "centre", "4 ft up", "centre"},                              // 47.91 in
		{"0.705 m up", "1.601 m left", "2 ft 3 3/4 in up", "5 ft 3 in left"},       // 27.74, 63.02 in
		{"0.644 m up", "0.450 m right", "2 ft 1 1/4 in up", "1 ft 5 3/4 in right"}, // 25.34, 17.72 in
	} {
		if up, aside := s.measures(marks[i]); up != want.up || aside != want.aside {
			t.Errorf("mark %d: %q, %q, want %q, %q", i+1, up, aside, want.up, want.aside)
		}
		if up, aside := imperial.measures(marks[i]); up != want.imperialUp || aside != want.imperialAside {
			t.Errorf("mark %d: %q, %q, want %q, %q", i+1, up, aside, want.imperialUp, want.imperialAside)
		}
	}
	for _, want := range []string{"lamp 5 (aimed away)", "lamp 4 (on the ground before it)"} {
		if !strings.Contains(without, want) {
			t.Errorf("%q does not say %q", without, want)
		}
	}

	c, v := wall(t, s, draw.Night(), WallOptions{})
	for i, p := range []draw.Point{draw.Pt(0, 1.2171), draw.Pt(1.6006, 0.7047), draw.Pt(-0.45, 0.6436)} {
		at := v.Frame.At(p.X, p.Y)
		for _, d := range []draw.Point{{}, draw.Pt(10, 0), draw.Pt(-10, 0), draw.Pt(0, 10), draw.Pt(0, -10)} {
			if got := colourAt(c, draw.Pt(at.X+d.X, at.Y+d.Y)); got != c.Theme.Ink {
				t.Errorf("mark %d: no cross at %.3f, %.3f m: %v", i+1, p.X, p.Y, got)
			}
		}
	}
}

// Lines leave to the side that the mark is on, and run through no cross of another lamp; texts lie
// on no cross and on no line.
func TestWallLinesKeepClearOfMarks(t *testing.T) {
	fan := subject("a row and a bar", "", geometry.Site{},
		rigLamp("1", -1.5, 0.6, 2, 0.2, 3, 0, 10, 3000), rigLamp("2", -1.5, 0.2, 2, 0.2, 3, 0, 10, 3000),
		rigLamp("3", -1.5, -0.2, 2, 0.2, 3, 0, 10, 3000), rigLamp("4", -1.5, -0.6, 2, 0.2, 3, 0, 10, 3000),
		rigLamp("bar", -1.4, 0, 2, 1, 3, 0, 36, 3000), rigLamp("pod", 0, 0.7, 0.8, 0.2, 0, 0, 20, 3000),
		rigLamp("pod", 0, -0.7, 0.8, 0.2, 0, 0, 20, 3000))
	for _, s := range []Subject{awkward()[0], awkward()[1], awkward()[2], awkward()[3], awkward()[5], fan} {
		_, v := wall(t, s, draw.Night(), WallOptions{Width: 800})
		marks, _ := s.wallMarks(UsualWall)
		for _, l := range v.Leaders {
			for _, m := range marks {
				at := v.Frame.At(m.at.X, m.at.Y)
				if m.lamp == l.lamp {
					if side := m.at.X; math.Abs(side) > 0.02 &&
						(l.line[len(l.line)-1].X < v.Frame.Box.Centre().X) != (side > 0) {
						t.Errorf("%s: the mark %.2f m left is written to the other side", s.Rig, side)
					}
					continue
				}
				if r2.Norm(r2.Sub(at, l.line[0])) > 20 && draw.Around(at, 12, 12).Touches(l.line) {
					t.Errorf("%s: the line of lamp %d runs through the cross of lamp %d", s.Rig, l.lamp, m.lamp)
				}
			}
			for _, label := range v.Labels {
				if label.Inset(1).Touches(l.line) {
					t.Errorf("%s: the text at %v lies on the line of lamp %d", s.Rig, label, l.lamp)
				}
			}
		}
		for _, label := range v.Labels {
			if label.OverlapsAny(v.Marks) {
				t.Errorf("%s: the text at %v lies on a cross", s.Rig, label)
			}
		}
	}
}

// A round beam of 10° has half of its peak 5° off its axis: on a wall square to the axis at 7.62 m,
// a circle of 7.62·tan 5° = 0.667 m about the mark.
func TestWallHalfPeakOutline(t *testing.T) {
	s := subject("one", "", geometry.Site{}, rigLamp("spot", 0, 0.3, 1.2, 0, 0, 0, 10, 3000))
	c, v := wall(t, s, draw.Night(), WallOptions{})
	for angle := 0.05; angle < 2*math.Pi; angle += 0.1 {
		sin, cos := math.Sincos(angle)
		p := v.Frame.At(0.3+7.62*math.Tan(5*deg)*cos, 1.2+7.62*math.Tan(5*deg)*sin)
		if !hasNear(c, p, c.Theme.Ink) && !writtenOn(v.Labels, p) && math.Abs(sin) > 0.05 {
			t.Errorf("no half-peak line %.0f° round the mark: %v", angle/deg, colourAt(c, p))
		}
	}
}

func TestWallRefuses(t *testing.T) {
	for _, ahead := range []float64{-3, math.NaN()} {
		if _, _, err := drawWall(context.Background(), trail(), draw.Night(), WallOptions{Ahead: ahead}); err == nil {
			t.Errorf("a wall %g m ahead is drawn", ahead)
		}
	}
}

func TestNumbered(t *testing.T) {
	for _, test := range []struct {
		numbers []int
		want    string
	}{{[]int{4}, "lamp 4"}, {[]int{4, 5}, "lamps 4, 5"}, {[]int{1, 3, 4, 5, 9}, "lamps 1, 3–5, 9"}} {
		if got := numbered("lamp", test.numbers); got != test.want {
			t.Errorf("%v: %q, want %q", test.numbers, got, test.want)
		}
	}
}

// On a wall at distance D a lamp lights a place at the angle α from square to it by I(θ)·cos³α /
// D². For a Gaussian beam of half-peak half-angle h, tilted t, ln E = −ln2·((α − t)/h)² + 3·ln cos
// α, which is greatest where (t − α) = 1.5·h²·tan α / ln 2: a beam of 36° at 8° down is brightest
// 1.4° above its axis, one of 10° at 5° down 0.1°.
func TestWallTellsWhichLampsAreNotSetByTheirBrightestSpot(t *testing.T) {
	for _, test := range []struct {
		tilt, spread float64
		off          float64 // degrees
	}{
		{5, 10, 0.081}, // 1.5·0.0873²·tan 4.92° / ln 2 = 0.00142
		{8, 36, 1.413}, // 1.5·0.3142²·tan 6.59° / ln 2 = 0.02466
		{0, 60, 0},
	} {
		s := subject("one", "", geometry.Site{}, rigLamp("lamp", -1.9, 0, 2.05, 0, test.tilt, 0, test.spread, 5000))
		marks, _ := s.wallMarks(UsualWall)
		if len(marks) != 1 {
			t.Fatalf("%d marks", len(marks))
		}
		if got := s.brightestOff(marks[0], UsualWall) / deg; math.Abs(got-test.off) > 0.03 {
			t.Errorf("%g° wide, %g° down: brightest %.2f° off the mark, want %.2f°", test.spread, test.tilt, got,
				test.off)
		}
		if told := strings.Contains(s.wallSigns(marks, UsualWall, true),
			"Set lamp 1 by the tilt meter"); told != (test.off > 1) {
			t.Errorf("%g° wide, %g° down: told to use the meter: %v", test.spread, test.tilt, told)
		}
	}
	if signs := trail().wallSigns(nil, UsualWall, false); signs != "" {
		t.Errorf("without a cross the wall says what one is: %q", signs)
	}
}
