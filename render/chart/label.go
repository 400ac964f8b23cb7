package chart

import (
	"cmp"
	"math"
	"slices"

	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r2"
)

// Labels are placed one after the other, the most important first, each at the free place nearest to what it names:
// close beside it, or farther out with a leader. A shorter form is taken where the full one would be far off or make a
// tangle. What has no place in any form is dropped, and the caller is told, so that a legend can carry it.

// Size is the width and height of a label in pixels.
type Size struct{ W, H float64 }

// Label is a label to be placed.
type Label struct {
	Anchor   draw.Point // what it names, px
	Mark     float64    // half the width of what is drawn at the anchor, px; no label lies over it
	On       bool       // the label may lie on its anchor: it is the mark itself
	Forms    []Size     // preferred first
	Priority int        // higher is placed first; of equals the earlier one
}

// Placed is where a label goes.
type Placed struct {
	Form     int // which of its forms, from 0; −1: dropped
	Box      draw.Rect
	Leader   bool // it is too far from its anchor to be understood without a line from From to To
	From, To draw.Point
}

// Layout is the space that labels are placed in.
type Layout struct {
	Bounds draw.Rect
	Taken  []draw.Rect // where no label may be
	Shy    []draw.Rect // where labels are better not
	Gap    float64
}

// turns are the places round an anchor in order of preference: right, left, above, below, then between.
var turns = [...]float64{0, math.Pi, math.Pi / 2, -math.Pi / 2, math.Pi / 4, 3 * math.Pi / 4, -math.Pi / 4, -3 * math.Pi / 4}

// Place finds a place for every label, by its index. No two boxes overlap, nor does any overlap Taken, a mark or the
// edge of Bounds; all keep Gap pixels between them. An anchor outside of Bounds counts as at its edge.
func (l Layout) Place(labels []Label) (placed []Placed, dropped []int) {
	order := make([]int, len(labels))
	marks := make([]draw.Rect, len(labels))
	for i, label := range labels {
		order[i] = i
		marks[i] = draw.Around(l.Bounds.Nearest(label.Anchor), 2*label.Mark, 2*label.Mark)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(labels[b].Priority, labels[a].Priority) })

	placed = make([]Placed, len(labels))
	boxes := slices.Clone(l.Taken)
	var leaders [][2]draw.Point
	for _, i := range order {
		placed[i] = Placed{Form: -1}
		if !draw.Finite(labels[i].Anchor) {
			continue
		}
		taken := slices.Clone(boxes) // and all marks, but a label's own if it may lie on it
		for k, m := range marks {
			if m.W() > 0 && !(k == i && labels[k].On) {
				taken = append(taken, m)
			}
		}
		least := math.Inf(1)
		for form := range labels[i].Forms {
			p, cost, ok := l.find(labels[i], form, taken, leaders, least-shorter*float64(form))
			if ok {
				placed[i], least = p, cost+shorter*float64(form)
			}
		}
		if p := placed[i]; p.Form >= 0 {
			boxes = append(boxes, p.Box)
			if p.Leader {
				leaders = append(leaders, [2]draw.Point{p.From, p.To})
			}
		}
	}
	for i, p := range placed {
		if p.Form < 0 {
			dropped = append(dropped, i)
		}
	}
	return placed, dropped
}

// The cost of a place is the distance from the anchor, in heights of the label's last form, and what is added for faults.
const (
	shorter     = 6.0 // for every form but the first
	onShy       = 3.0
	withLeader  = 2.0
	overLeader  = 8.0 // the label hides part of another's leader
	leaderUnder = 8.0 // its leader is hidden in part by another label
	leaderCross = 4.0
)

// find is the free place of least cost for one form of a label, if it costs less than limit.
func (l Layout) find(label Label, form int, taken []draw.Rect, leaders [][2]draw.Point, limit float64) (best Placed, bestCost float64, ok bool) {
	anchor := l.Bounds.Nearest(label.Anchor)
	size := label.Forms[form]
	unit := max(label.Forms[len(label.Forms)-1].H, 1)
	bestCost = limit
	try := func(centre draw.Point, distance, preference float64) {
		cost := distance/unit + preference
		if cost >= bestCost {
			return
		}
		box := draw.Around(centre, size.W, size.H)
		room := box.Inset(-l.Gap)
		if !l.Bounds.Contains(box) || room.OverlapsAny(taken) {
			return
		}
		p := Placed{Form: form, Box: box}
		p.From, p.To = anchor, box.Nearest(anchor)
		p.Leader = distance > label.Mark+l.Gap+unit/2 && !box.Has(anchor)
		for _, shy := range l.Shy {
			if box.Overlaps(shy) {
				cost += onShy
			}
		}
		for _, leader := range leaders {
			if room.Crosses(leader[0], leader[1]) {
				cost += overLeader
			}
			if p.Leader && draw.Crossing(leader[0], leader[1], p.From, p.To) {
				cost += leaderCross
			}
		}
		if p.Leader {
			cost += withLeader
			for _, t := range taken {
				if t.Inset(1).Crosses(p.From, p.To) && !t.Has(anchor) {
					cost += leaderUnder
				}
			}
		}
		if cost < bestCost {
			best, bestCost, ok = p, cost, true
		}
	}
	if label.On {
		try(anchor, 0, 0)
	}
	// Rings of boxes that touch a square about the anchor; the nearest point of a box is then as far out as the ring.
	// The last ring reaches every corner of Bounds.
	reach := math.Hypot(l.Bounds.W(), l.Bounds.H())
	for ring, out := 0, label.Mark+l.Gap; out < reach && out/unit < bestCost; ring++ {
		n := len(turns)
		if ring > 0 {
			n = 32
		}
		for k := range n {
			angle, preference := 2*math.Pi*float64(k)/float64(n), 0.0
			if ring == 0 {
				angle, preference = turns[k], 0.05*float64(k)
			}
			sin, cos := math.Sincos(angle)
			d := draw.Pt(cos*(size.W/2+out), -sin*(size.H/2+out))
			if ring == 0 && k >= 4 { // corners touch corners
				d = draw.Pt(math.Copysign(size.W/2+out/math.Sqrt2, cos), -math.Copysign(size.H/2+out/math.Sqrt2, sin))
			}
			centre := r2.Add(anchor, d)
			gap := r2.Norm(r2.Sub(draw.Around(centre, size.W, size.H).Nearest(anchor), anchor))
			try(centre, gap, preference)
		}
		out += unit / 2
	}
	if ok || !math.IsInf(limit, 1) {
		return best, bestCost, ok
	}
	// Nothing on the rings: look everywhere, in steps of half a label.
	for y := l.Bounds.Y0 + size.H/2; y <= l.Bounds.Y1-size.H/2; y += size.H / 2 {
		for x := l.Bounds.X0 + size.W/2; x <= l.Bounds.X1-size.W/2; x += size.W / 4 {
			centre := draw.Pt(x, y)
			try(centre, r2.Norm(r2.Sub(draw.Around(centre, size.W, size.H).Nearest(anchor), anchor)), 0)
		}
	}
	return best, bestCost, ok
}
