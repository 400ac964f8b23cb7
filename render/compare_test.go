package render

import (
	"context"
	"math"
	"reflect"
	"strings"
	"testing"

	"beamfall/render/chart"
	"beamfall/render/draw"
)

func TestCompareIsOnOneScale(t *testing.T) {
	columns := []Column{{Subject: awkward()[0]}, {Subject: awkward()[5]}, {Subject: awkward()[7]}}
	c, v, err := drawCompare(context.Background(), columns, draw.Night(), CompareOptions{Width: 900})
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
		s := columns[i].Subject
		askBands(t, s.Rig, c, p.Box, v.Labels, func(px draw.Point) float64 { return s.Scene.GroundLux(p.Ground(px)) })
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
