package render

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"testing"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// sideViewSheet are the pictures of a subject from the side and from the seat, and its sheet, with
// their texts.
func sideViewSheet(
	t testing.TB, s Subject, theme draw.Theme, width int, sheet bool,
) (pictures []*draw.Canvas, labels [][]draw.Rect) {
	t.Helper()
	s = seeing(s)
	c, v, err := drawSide(context.Background(), s, theme, SideOptions{Width: width}) // not one from before
	if err != nil {
		t.Fatal(err)
	}
	pictures, labels = append(pictures, c), append(labels, v.Labels)
	d, w := driver(t, s, theme, ViewOptions{Width: width})
	pictures, labels = append(pictures, d), append(labels, w.Labels)
	if !sheet {
		return pictures, labels
	}
	for _, p := range sheetPages(t, sheetOf(s), A4) {
		pictures, labels = append(pictures, p.Canvas), append(labels, p.labels)
	}
	return pictures, labels
}

// No two texts overlap, whatever the rig.
func TestSideViewSheetTextsAreApart(t *testing.T) {
	rigs := part(slices.Concat(awkward(), strange(1, 50)))
	for i := range rigs {
		if i%3 == 2 || *sweep {
			imperial := rigs[i]
			imperial.Units = units.Imperial
			rigs = append(rigs, imperial)
		}
	}
	for k, s := range rigs {
		theme := draw.Night()
		if k%2 == 1 {
			theme = draw.Paper()
		}
		pictures, labels := sideViewSheet(t, s, theme, 400, k%4 == 0)
		for i, c := range pictures {
			disjoint(t, fmt.Sprintf("%s, picture %d", s.Rig, i), labels[i], c.Bounds)
		}
	}
}

// The same subject gives the same bytes on any number of cores.
func TestSideViewSheetAreTheSameOnAnyNumberOfCores(t *testing.T) {
	for _, s := range append(strange(0, 5), awkward()[6]) {
		some, _ := sideViewSheet(t, s, draw.Night(), 400, true)
		others := onOtherCores(func() ([]*draw.Canvas, error) {
			pictures, _ := sideViewSheet(t, s, draw.Night(), 400, true)
			return pictures, nil
		})
		for i := range some {
			if !bytes.Equal(some[i].Image().Pix, others[i].Image().Pix) {
				t.Errorf("%s, picture %d: differs with the number of cores", s.Rig, i)
			}
		}
	}
}

// Pictures have the width that they are asked for, and their shape does not depend on it.
func TestSideViewHaveAnyWidth(t *testing.T) {
	s := spots()
	shapes := map[string]float64{}
	for _, width := range []int{1000, 400, 601} {
		pictures, _ := sideViewSheet(t, s, draw.Paper(), width, false)
		for k, name := range []string{"side", "view"} {
			b := pictures[k].Bounds
			if b.W() != float64(width) {
				t.Errorf("%s: %g px wide, want %d", name, b.W(), width)
			}
			shape := b.H() / b.W()
			if shapes[name] == 0 {
				shapes[name] = shape
			}
			if d := shape - shapes[name]; d*d > 0.005*0.005 {
				t.Errorf("%s: %.4f times as high as wide at %d px, %.4f at 1000 px", name, shape, width, shapes[name])
			}
		}
	}
}

func BenchmarkSide(b *testing.B) {
	for _, width := range []int{1600, 4000} {
		b.Run(fmt.Sprint(width), func(b *testing.B) {
			s := newTrail()
			b.ReportAllocs()
			for b.Loop() {
				side(b, s, draw.Night(), SideOptions{Width: width})
			}
		})
	}
}

func BenchmarkView(b *testing.B) {
	for _, width := range []int{1600, 4000} {
		b.Run(fmt.Sprint(width), func(b *testing.B) {
			s := newTrail()
			b.ReportAllocs()
			for b.Loop() {
				driver(b, s, draw.Night(), ViewOptions{Width: width})
			}
		})
	}
}
