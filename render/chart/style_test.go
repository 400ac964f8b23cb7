package chart

import (
	"fmt"
	"slices"
	"testing"

	"beamfall/render/draw"
)

// Lamps are told apart without colour and even without their number: dashes and marker together are
// one lamp's own up to 42.
func TestStylesAreToldApart(t *testing.T) {
	seen := map[string]int{}
	for n := 1; n <= 42; n++ {
		s := StyleOf(n)
		look := fmt.Sprint(s.Dash, s.Marker)
		if other, ok := seen[look]; ok {
			t.Errorf("lamps %d and %d look alike", other, n)
		}
		seen[look] = n
	}
	for n := range 200 {
		if a, b := StyleOf(n+1), StyleOf(n+2); a.Marker == b.Marker || slices.Equal(a.Dash, b.Dash) ||
			a.Number == b.Number {
			t.Errorf("neighbours %d and %d share a marker, dashes or a number", n+1, n+2)
		}
	}
}

// The room that a layout keeps for a key plate holds all of it.
func TestKeyStaysInItsBox(t *testing.T) {
	for _, n := range []int{1, 2, 3, 4, 5, 6, 7, 12, 13, 20, 24, 88, 99, 100, 199, 200} {
		c := canvas(t, 1600, 200, draw.Night())
		StyleOf(n).DrawPlate(c, draw.Pt(100, 100))
		w, h := PlateSize(c)
		if ink, box := changed(c), draw.Around(draw.Pt(100, 100), w, h); !box.Inset(-1).Contains(ink) {
			t.Errorf("key %d: ink in %v, box %v", n, ink, box)
		}
	}
}

// Tags of any rig: nothing overlaps, nothing leaves the layout, and every lamp is named or said to
// be dropped.
func TestTags(t *testing.T) {
	name := "a lamp whose name has forty letters, yes"
	for _, n := range []int{1, 24, 200} {
		for _, spread := range []float64{0, 3, 40, 4000} {
			c := canvas(t, 1600, 1000, draw.Night())
			var tags []Tag
			for i := range n {
				s := StyleOf(i + 1)
				tags = append(tags, Tag{At: draw.Pt(700+spread*float64(i%17), 500+spread*float64(i%5)), Key: &s,
					Mark: 7, Priority: i % 3})
				if i%2 == 0 {
					tags[i].Text = name
				}
			}
			bounds := PageArea(c)
			taken := []draw.Rect{draw.R(0, 0, 600, 300)}
			boxes, dropped := Layout{Bounds: bounds, Taken: taken, Gap: 4}.DrawTags(c, tags, 320)
			for i, b := range boxes {
				if !bounds.Contains(b) || b.OverlapsAny(boxes[:i]) || b.OverlapsAny(taken) {
					t.Errorf("%d lamps, %g px apart: tag %d at %v overlaps or leaves", n, spread, i, b)
				}
			}
			if n <= 24 && len(dropped) > 0 {
				t.Errorf("%d lamps, %g px apart: dropped %v", n, spread, dropped)
			}
			if len(boxes)+len(dropped) == 0 {
				t.Errorf("%d lamps, %g px apart: none placed", n, spread)
			}
		}
	}
}

func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		numbers []int
		want    string
	}{
		{nil, ""}, {[]int{3}, "3"}, {[]int{1, 2}, "1, 2"}, {[]int{1, 2, 3}, "1–3"}, {[]int{1, 2, 3, 7, 9, 10, 11, 12},
			"1–3, 7, 9–12"},
	} {
		if got := Numbers(c.numbers); got != c.want {
			t.Errorf("%v: %q, want %q", c.numbers, got, c.want)
		}
	}
}
