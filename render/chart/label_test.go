package chart

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"beamfall/render/draw"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

var sweep = flag.Bool("sweep", false, "place many more sets of labels")

// Awkward sets: lamps at one place, in a row, at the edges and beyond them, long names, things in
// the way. Whatever the set, no label overlaps another, a mark or what is taken, and none leaves
// the picture.
func TestLabelsNeverOverlap(t *testing.T) {
	bounds := draw.R(0, 0, 1600, 1000)
	sets := uint64(10)
	if *sweep {
		sets = 500
	}
	for set := range sets {
		r := rand.New(rand.NewPCG(set, 7))
		layout := Layout{Bounds: bounds, Gap: 5}
		for range r.IntN(4) {
			layout.Taken = append(layout.Taken,
				draw.Around(draw.Pt(1600*r.Float64(), 1000*r.Float64()), 400*r.Float64(), 200*r.Float64()))
		}
		var labels []Label
		place := draw.Pt(1600*r.Float64(), 1000*r.Float64())
		for i := range 24 {
			l := Label{Anchor: place, Priority: r.IntN(3), Mark: 12 * r.Float64()}
			switch set % 5 {
			case 1: // a row closer than the labels are wide
				l.Anchor.X = 300 + 40*float64(i)
			case 2: // along the edge, or beyond it
				l.Anchor = [4]draw.Point{draw.Pt(-50, 0), draw.Pt(1600, 1000*r.Float64()),
					draw.Pt(1600*r.Float64(), 1000), draw.Pt(1e9, -1e9)}[i%4]
			case 3: // anywhere
				l.Anchor = draw.Pt(1600*r.Float64(), 1000*r.Float64())
			case 4: // marks themselves
				l.On = true
				l.Anchor.X += 30 * r.Float64()
			}
			l.Forms = []Size{{30 + 570*r.Float64(), 38}, {52, 52}} // a name of forty characters is about 560 px
			labels = append(labels, l)
		}
		placed, dropped := layout.Place(labels)
		if len(dropped) > 0 {
			t.Errorf("set %d: dropped %v with room for all", set, dropped)
		}
		for i, p := range placed {
			if p.Form < 0 {
				continue
			}
			if size := labels[i].Forms[p.Form]; math.Abs(p.Box.W()-size.W) > 1e-9 || math.Abs(p.Box.H()-size.H) > 1e-9 {
				t.Errorf("set %d: label %d is %v, its form %v", set, i, p.Box, size)
			}
			if !bounds.Contains(p.Box) {
				t.Errorf("set %d: label %d leaves the picture: %v", set, i, p.Box)
			}
			for j, q := range placed[:i] {
				if q.Form >= 0 && p.Box.Overlaps(q.Box) {
					t.Errorf("set %d: labels %d and %d overlap", set, i, j)
				}
			}
			if p.Box.OverlapsAny(layout.Taken) {
				t.Errorf("set %d: label %d lies on what is taken", set, i)
			}
			for j, l := range labels {
				if mark := draw.Around(bounds.Nearest(l.Anchor), 2*l.Mark, 2*l.Mark); !(i == j && l.On) &&
					p.Box.Overlaps(mark) {
					t.Errorf("set %d: label %d lies on the mark of %d", set, i, j)
				}
			}
			if p.Leader && !p.Box.Inset(-1e-9).Has(p.To) {
				t.Errorf("set %d: the leader of label %d ends at %v, off its label", set, i, p.To)
			}
		}
		if again, _ := layout.Place(labels); !cmp.Equal(placed, again) {
			t.Errorf("set %d: another result the second time", set)
		}
	}
}

// With no room for all, the less important go, and the caller is told which.
func TestLeastImportantIsDropped(t *testing.T) {
	layout := Layout{Bounds: draw.R(0, 0, 100, 45)}
	label := func(priority int) Label {
		return Label{Anchor: draw.Pt(50, 20), Forms: []Size{{90, 20}}, Priority: priority}
	}
	for _, c := range []struct {
		priorities []int
		want       []int
	}{
		{[]int{1}, nil},
		{[]int{1, 1, 1}, []int{1, 2}}, // the first in the middle leaves no room above or below
		{[]int{1, 3, 2}, []int{0, 2}},
	} {
		var labels []Label
		for _, p := range c.priorities {
			l := label(p)
			l.On = true
			labels = append(labels, l)
		}
		if _, dropped := layout.Place(labels); !cmp.Equal(dropped, c.want, cmpopts.EquateEmpty()) {
			t.Errorf("priorities %v: dropped %v, want %v", c.priorities, dropped, c.want)
		}
	}
}

func TestShorterFormWhereTheFullOneHasNoRoom(t *testing.T) {
	layout := Layout{Bounds: draw.R(0, 0, 100, 100)}
	placed, dropped := layout.Place([]Label{{Anchor: draw.Pt(50, 50), Forms: []Size{{300, 20}, {40, 20}}}})
	if len(dropped) > 0 || placed[0].Form != 1 {
		t.Errorf("form %d, dropped %v; want form 1", placed[0].Form, dropped)
	}
}

// A label with all the room stands to the right of its anchor, its middle level with it, without a
// leader.
func TestFreeLabelIsBesideItsAnchor(t *testing.T) {
	layout := Layout{Bounds: draw.R(0, 0, 400, 400), Gap: 4}
	placed, _ := layout.Place([]Label{{Anchor: draw.Pt(200, 200), Mark: 6, Forms: []Size{{80, 20}}}})
	want := draw.R(210, 190, 290, 210)
	if !cmp.Equal(placed[0].Box, want, cmpopts.EquateApprox(0, 1e-9)) || placed[0].Leader {
		t.Errorf("placed %+v, want box %v without a leader", placed[0], want)
	}
}

// Wherever between pixels its mark is, a label that is free stands right of it.
func TestFreeLabelTouchesItsMark(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 1000 {
		label := Label{
			Anchor: draw.Pt(200+400*r.Float64(), 200+400*r.Float64()), Mark: 10 * r.Float64(),
			Forms: []Size{{20 + 80*r.Float64(), 10 + 20*r.Float64()}},
		}
		placed, _ := Layout{Bounds: draw.R(0, 0, 800, 800), Gap: 5 * r.Float64()}.Place([]Label{label})
		if b := placed[0].Box; b.X0 < label.Anchor.X || placed[0].Leader {
			t.Fatalf("%+v is at %+v", label, placed[0])
		}
	}
}

// A key beside its mark, however near, has a line to it; on its mark it needs none.
func TestTiedLabelHasALeader(t *testing.T) {
	label := Label{Anchor: draw.Pt(200, 200), Mark: 6, On: true, Tied: true, Forms: []Size{{50, 50}}}
	layout := Layout{Bounds: draw.R(0, 0, 400, 400), Gap: 5}
	if placed, _ := layout.Place([]Label{label}); placed[0].Leader || placed[0].Box.Centre() != label.Anchor {
		t.Errorf("free to lie on its mark, it is at %+v", placed[0])
	}
	layout.Taken = []draw.Rect{draw.R(201, 150, 260, 190)} // on the mark there is no room
	placed, _ := layout.Place([]Label{label})
	if p := placed[0]; !p.Leader || p.Box.Has(label.Anchor) || p.From != label.Anchor {
		t.Errorf("beside its mark it is at %+v", p)
	}
}

// What cannot be placed at all does no harm to the others.
func TestLabelWithoutPlace(t *testing.T) {
	layout := Layout{Bounds: draw.R(0, 0, 400, 400)}
	_, dropped := layout.Place([]Label{
		{Anchor: draw.Pt(math.NaN(), 0), Forms: []Size{{10, 10}}},
		{Anchor: draw.Pt(math.Inf(1), 0), Forms: []Size{{10, 10}}},
		{Anchor: draw.Pt(10, 10)},
		{Anchor: draw.Pt(10, 10), Forms: []Size{{500, 10}}},
		{Anchor: draw.Pt(10, 10), Forms: []Size{{10, 10}}},
	})
	if want := []int{0, 1, 2, 3}; !cmp.Equal(dropped, want) {
		t.Errorf("dropped %v, want %v", dropped, want)
	}
}
