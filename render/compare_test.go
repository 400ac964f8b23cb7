package render

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/chart"
	"beamfall/render/draw"
)

func TestCompareIsOnOneScale(t *testing.T) {
	columns := []Column{{Subject: spots()}, {Subject: awkward()[5]}}
	c, v, err := drawCompare(context.Background(), columns, draw.Night(), CompareOptions{Width: 600})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range v.Plans {
		if math.Abs(p.PerMetre()/v.Plans[0].PerMetre()-1) > 1e-9 || p.Extent() != v.Plans[0].Extent() ||
			p.Box.Y0 != v.Plans[0].Box.Y0 {
			t.Errorf("plan %d is %+v, the first %+v", i, p, v.Plans[0])
		}
		if ahead, here := p.Pixel(10, 0), p.Pixel(0, 0); ahead.Y >= here.Y || ahead.X != here.X {
			t.Errorf("ahead is not up: %v is ahead of %v", ahead, here)
		}
		if left, here := p.Pixel(0, 5), p.Pixel(0, 0); left.X >= here.X {
			t.Errorf("left is not left: %v is left of %v", left, here)
		}
		for _, g := range []*chart.Grid{v.Shapes[i].level, v.Shapes[i].light} {
			if g != nil && openEnded(g) {
				t.Errorf("plan %d: an edge is open", i)
			}
		}
		for _, lines := range [][][]draw.Point{v.Shapes[i].outline(), v.Shapes[i].lit().lines()} {
			for _, line := range p.pixels(lines) {
				for _, q := range line {
					if !p.Box.Has(q) {
						t.Fatalf("plan %d: the edge at %v is not on it", i, q)
					}
				}
			}
		}
		if i > 0 && (v.Views[i].W() != v.Views[0].W() || v.Views[i].H() != v.Views[0].H()) {
			t.Errorf("view %d is %v, the first %v", i, v.Views[i], v.Views[0])
		}
	}
	if c.Bounds.H() < v.Views[0].Y1 {
		t.Errorf("the views end at %v of %v", v.Views[0].Y1, c.Bounds.H())
	}
}

// What is painted as seen is seen there, and what is not is not: asked of sight itself, away from
// lines and texts. Where there is no eye to see by, it is the facing light that is painted.
func TestCompareShapes(t *testing.T) {
	blind := awkward()[1]
	blind.Vehicle.Eye = Eye{}
	roof := trail()
	roof.Scene = roof.Scene.Only(0, 1, 2)
	columns := []Column{{Subject: roof}, {Subject: blind}}
	c, v, err := drawCompare(context.Background(), columns, draw.Paper(), CompareOptions{Width: 700})
	if err != nil {
		t.Fatal(err)
	}
	eye, err := columns[0].eye()
	if err != nil {
		t.Fatal(err)
	}
	view, ramp, asked := columns[0].look(eye), LightRamp(c.Theme), map[string]int{}
	for i, p := range v.Plans {
		for y := math.Ceil(p.Box.Y0) + 6.5; y < p.Box.Y1-6; y += 9 {
			for x := math.Ceil(p.Box.X0) + 6.5; x < p.Box.X1-6; x += 7 {
				at := draw.Pt(x, y)
				here := colourAt(c, at)
				if !evenAround(c, at, here, 2) || draw.Around(at, 8, 8).OverlapsAny(v.Labels) {
					continue
				}
				ahead, left := p.Ground(at)
				if i == 0 {
					parts := view.Parts(v.Shapes[0].Thing, sight.Place{X: ahead, Y: left})
					seen := parts.See(columns[0].lit())
					if seen.Level > 9 && seen.Level < 11 || here != seenFill(c.Theme) && here != c.Theme.Background {
						continue // on the edge; the vehicle
					}
					asked[fmt.Sprint(seen.Seen)]++
					if painted := here == seenFill(c.Theme); painted != seen.Seen {
						t.Errorf("at %.1f m, %.1f m left painted as seen: %v, level %.1f", ahead, left, painted,
							seen.Level)
					}
					continue
				}
				lux := blind.Scene.FacingLux(ahead, left, geometry.ObjectHeight)
				if band := ramp.Band(lux); here == ramp.Bands[band] && lux > 1.1 {
					asked["lit"]++
				} else if here == c.Theme.Background && lux < 0.9 {
					asked["dark"]++
				} else if lux > 1.1 && ramp.Band(0.95*lux) == band && ramp.Band(1.05*lux) == band &&
					here == c.Theme.Background {
					t.Errorf("blind, at %.1f m, %.1f m left: %.3g lx painted as dark", ahead, left, lux)
				}
			}
		}
	}
	for _, what := range []string{"true", "false", "lit", "dark"} {
		if asked[what] < 10 {
			t.Errorf("asked %d places that are %s", asked[what], what)
		}
	}
}

// Titles of forty letters are whole, on at most three lines of a narrow column; of longer ones both
// ends are there.
func TestFoldTitle(t *testing.T) {
	c, err := draw.New(1600, 400, draw.Night())
	if err != nil {
		t.Fatal(err)
	}
	const width = 340
	for _, title := range []string{
		"+ driving lamps on the bumper, pair, spots", "+ ditchlights_at_the_windscreen_pillars_ab",
	} {
		lines := foldTitle(c, title, width)
		got, want := strings.ReplaceAll(strings.Join(lines, ""), " ", ""), strings.ReplaceAll(title, " ", "")
		if len(lines) > 3 || got != want {
			t.Errorf("%q: %q", title, lines)
		}
	}
	long := "first " + strings.Repeat("and yet another long word ", 12) + "last"
	lines := foldTitle(c, long, width)
	got := strings.Join(lines, " ")
	if len(lines) > 3 || !strings.HasPrefix(got, "first") || !strings.HasSuffix(got, "last") {
		t.Errorf("%q", lines)
	}
	for _, line := range lines {
		if w, _ := c.Measure(line, draw.Heading); w > width {
			t.Errorf("%q is %.0f px wide", line, w)
		}
	}
}

func TestCompareRefuses(t *testing.T) {
	one := Column{Subject: awkward()[1]}
	figures := func(f ...[2]string) Column { return Column{Subject: awkward()[1], Figures: f} }
	for _, test := range []struct {
		columns []Column
		want    string
	}{
		{[]Column{one}, "two to four"},
		{[]Column{one, one, one, one, one}, "two to four"},
		{[]Column{figures([2]string{"reach", "1 m"}), one}, "same ones"},
		{[]Column{figures([2]string{"reach", "1 m"}), figures([2]string{"area", "1 m²"})},
			`"area" where the first has "reach"`},
	} {
		if _, _, err := drawCompare(context.Background(), test.columns, draw.Night(),
			CompareOptions{Width: 400}); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%d columns: %v, want %q", len(test.columns), err, test.want)
		}
	}
}

func TestFiguresByRow(t *testing.T) {
	rows, err := figureRows([]Column{
		{Figures: [][2]string{{"lamps", "4"}, {"reach", "312 m"}}},
		{Figures: [][2]string{{"lamps", "4"}, {"reach", "280 m"}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := []chart.FigureRow{{Label: "lamps", Values: []string{"4", "4"}},
		{Label: "reach", Values: []string{"312 m", "280 m"}}}
	if !reflect.DeepEqual(rows, want) {
		t.Errorf("rows %v, want %v", rows, want)
	}
}

func TestComparedTitles(t *testing.T) {
	of := func(rig, scene, title string) Column {
		return Column{Subject: Subject{Rig: rig, Name: scene}, Title: title}
	}
	for _, test := range []struct {
		columns []Column
		title   string
		titles  string
	}{
		{[]Column{of("truck", "trail", ""), of("truck", "camp", "")}, "truck", "trail|camp"},
		{[]Column{of("truck", "", ""), of("van", "", "")}, "Two compared", "truck|van"},
		{[]Column{of("truck", "trail", ""), of("van", "trail", ""), of("cart", "trail", "")}, "Three compared",
			"truck|van|cart"},
		{[]Column{of("truck", "trail", ""), of("van", "camp", "")}, "Two compared", "truck · trail|van · camp"},
		{[]Column{of("truck", "trail", "spots"), of("truck", "trail", "floods")}, "truck", "spots|floods"},
	} {
		title, titles := comparedTitles(test.columns)
		if got := strings.Join(titles, "|"); title != test.title || got != test.titles {
			t.Errorf("%q with %q, want %q with %q", title, got, test.title, test.titles)
		}
	}
}
