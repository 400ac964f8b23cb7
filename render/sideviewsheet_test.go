package render

import (
	"bytes"
	"context"
	"fmt"
	"runtime"
	"testing"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// sideViewSheet are the pictures of a subject from the side and from the seat, and its sheet, with their texts.
func sideViewSheet(t testing.TB, s Subject, theme draw.Theme, width int, sheet bool) (pictures []*draw.Canvas, labels [][]draw.Rect) {
	t.Helper()
	if s.Vehicle.Eye.Up == 0 {
		s.Vehicle.Eye, s.EyeAssumed = Eye{-2.1, 0.4, 1.65}, true
	}
	c, v := side(t, s, theme, SideOptions{Width: width})
	pictures, labels = append(pictures, c), append(labels, v.Labels)
	d, w := driver(t, s, theme, ViewOptions{Width: width})
	pictures, labels = append(pictures, d), append(labels, w.Labels)
	if !sheet {
		return pictures, labels
	}
	pages, err := drawSheet(s, A4, sheetOf(s))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range pages {
		pictures, labels = append(pictures, p.Canvas), append(labels, p.labels)
	}
	return pictures, labels
}

// No two texts overlap, whatever the rig.
func TestSideViewSheetTextsAreApart(t *testing.T) {
	var rigs []Subject
	for _, s := range awkward() {
		imperial := s
		imperial.Units = units.Imperial
		rigs = append(rigs, s, imperial)
	}
	for seed := range uint64(50) {
		rigs = append(rigs, randomRig(seed))
	}
	if testing.Short() {
		rigs = rigs[:6]
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
	for _, s := range []Subject{trail(), awkward()[6], randomRig(4)} {
		var first [][]byte
		for _, cores := range []int{1, 2, 5} {
			before := runtime.GOMAXPROCS(cores)
			pictures, _ := sideViewSheet(t, s, draw.Night(), 400, cores < 5)
			runtime.GOMAXPROCS(before)
			for i, c := range pictures {
				var file bytes.Buffer
				if err := c.Encode(&file); err != nil {
					t.Fatal(err)
				}
				if cores == 1 {
					first = append(first, file.Bytes())
				} else if !bytes.Equal(file.Bytes(), first[i]) {
					t.Errorf("%s, picture %d: other bytes on %d cores than on one", s.Rig, i, cores)
				}
			}
		}
	}
}

// Pictures have the width that they are asked for, and their shape does not depend on it.
func TestSideViewHaveAnyWidth(t *testing.T) {
	s := trail()
	shapes := map[string]float64{}
	for _, width := range []int{1600, 400, 4000} {
		if width > 1600 && testing.Short() {
			continue
		}
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
				t.Errorf("%s: %.4f times as high as wide at %d px, %.4f at 1600 px", name, shape, width, shapes[name])
			}
		}
	}
}

func BenchmarkSide(b *testing.B) {
	for _, width := range []int{1600, 4000} {
		b.Run(fmt.Sprint(width), func(b *testing.B) {
			s := trail()
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
			s := trail()
			b.ReportAllocs()
			for b.Loop() {
				if _, _, err := drawView(context.Background(), s, draw.Night(), ViewOptions{Width: width}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
