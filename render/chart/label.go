package chart

import (
	"cmp"
	"math"
	"slices"

	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r2"
)

// Labels are placed one after the other, the most important first, each at the free place nearest
// to what it names: close beside it, or farther out with a leader. A shorter form is taken where
// the full one would be far off or its leader would cross others. A label that has no place in any
// form is dropped and reported, so that a legend can carry it.

// Size is the width and height of a label in pixels.
type Size struct{ W, H float64 }

// Label is a label to be placed.
type Label struct {
	Anchor   draw.Point // what it names, px
	Mark     float64    // half the width of what is drawn at the anchor, px; no label lies over it
	On       bool       // the label may lie on its anchor: it is the mark itself
	Tied     bool       // beside its anchor it has a leader, however near it is
	Forms    []Size     // preferred first
	Priority int        // the highest is placed first; of equals the first
}

// Placed is where a label goes.
type Placed struct {
	Form     int // which of its forms, from 0; −1: dropped
	Box      draw.Rect
	Leader   bool // it is so far from its anchor that it needs a line, from From to To
	From, To draw.Point
}

// Layout is the space that labels are placed in.
type Layout struct {
	Bounds draw.Rect
	Taken  []draw.Rect // where no label may be
	Avoid  []draw.Rect // where labels are only if there is no place nearby
	Gap    float64
}

// turns are the directions from an anchor in order of preference: right, left, above, below, then
// between.
var turns = [...]float64{
	0, math.Pi, math.Pi / 2, -math.Pi / 2,
	math.Pi / 4, 3 * math.Pi / 4, -math.Pi / 4, -3 * math.Pi / 4,
}

// Place finds a place for every label, by its index. No two boxes overlap, nor does any overlap
// Taken, a mark or the edge of Bounds; all keep Gap pixels between them. An anchor outside of
// Bounds counts as at its edge.
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

// The cost of a place is the distance from the anchor, in heights of the label's last form, and
// what is added for faults.
const (
	shorter     = 6.0 // for every form but the first
	onAvoid     = 3.0
	withLeader  = 2.0
	overLeader  = 8.0 // the label hides part of another's leader
	leaderUnder = 8.0 // its leader is hidden in part by another label
	leaderCross = 4.0
)

// find is the free place of least cost for one form of a label, if it costs less than limit.
func (l Layout) find(
	label Label, form int, taken []draw.Rect, leaders [][2]draw.Point, limit float64,
) (best Placed, cost float64, ok bool) {
	s := search{
		Layout: l, label: label, form: form, taken: taken, leaders: leaders,
		anchor: l.Bounds.Nearest(label.Anchor), size: label.Forms[form],
		unit: max(label.Forms[len(label.Forms)-1].H, 1), cost: limit,
	}
	if label.On {
		s.try(s.anchor, 0, 0)
	}
	s.rings()
	if !s.ok && math.IsInf(limit, 1) {
		s.everywhere()
	}
	return s.best, s.cost, s.ok
}

// search is the search for the best place of one form of a label.
type search struct {
	Layout
	label   Label
	form    int
	taken   []draw.Rect
	leaders [][2]draw.Point // of the labels that have their places

	anchor draw.Point
	size   Size
	unit   float64 // px, the distance that costs 1

	best Placed
	cost float64 // of the best, or at first what it must be below
	ok   bool
}

// rings tries boxes that touch a square about the anchor; the nearest point of a box is then as far
// out as the ring. The last ring reaches every corner of Bounds.
func (s *search) rings() {
	reach := math.Hypot(s.Bounds.W(), s.Bounds.H())
	for ring, out := 0, s.label.Mark+s.Gap; out < reach && out/s.unit < s.cost; ring++ {
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
			d := draw.Pt(cos*(s.size.W/2+out), -sin*(s.size.H/2+out))
			if ring == 0 && k >= 4 { // corners touch corners
				d = draw.Pt(math.Copysign(s.size.W/2+out/math.Sqrt2, cos),
					-math.Copysign(s.size.H/2+out/math.Sqrt2, sin))
			}
			centre := r2.Add(s.anchor, d)
			s.try(centre, s.distance(centre), preference)
		}
		out += s.unit / 2
	}
}

// everywhere tries all of Bounds in steps of half a label.
func (s *search) everywhere() {
	for y := s.Bounds.Y0 + s.size.H/2; y <= s.Bounds.Y1-s.size.H/2; y += s.size.H / 2 {
		for x := s.Bounds.X0 + s.size.W/2; x <= s.Bounds.X1-s.size.W/2; x += s.size.W / 4 {
			s.try(draw.Pt(x, y), s.distance(draw.Pt(x, y)), 0)
		}
	}
}

// distance is that of a box about a centre from the anchor.
func (s *search) distance(centre draw.Point) float64 {
	return r2.Norm(r2.Sub(draw.Around(centre, s.size.W, s.size.H).Nearest(s.anchor), s.anchor))
}

// try takes a place if it is free and better than the best.
func (s *search) try(centre draw.Point, distance, preference float64) {
	cost := distance/s.unit + preference
	if cost >= s.cost {
		return
	}
	const hair = 1e-6 // px: what touches, its own mark above all, does not overlap by rounding
	box := draw.Around(centre, s.size.W, s.size.H)
	if !s.Bounds.Contains(box) || box.Inset(hair-s.Gap).OverlapsAny(s.taken) {
		return
	}
	p := Placed{Form: s.form, Box: box, From: s.anchor, To: box.Nearest(s.anchor)}
	p.Leader = (s.label.Tied || distance > s.label.Mark+s.Gap+s.unit/2) && !box.Has(s.anchor)
	if cost += s.faults(p); cost < s.cost {
		s.best, s.cost, s.ok = p, cost, true
	}
}

// faults is what the faults of a place cost.
func (s *search) faults(p Placed) (cost float64) {
	for _, b := range s.Avoid {
		if p.Box.Overlaps(b) {
			cost += onAvoid
		}
	}
	room := p.Box.Inset(-s.Gap)
	for _, leader := range s.leaders {
		if room.Crosses(leader[0], leader[1]) {
			cost += overLeader
		}
		if p.Leader && draw.Crossing(leader[0], leader[1], p.From, p.To) {
			cost += leaderCross
		}
	}
	if !p.Leader {
		return cost
	}
	cost += withLeader
	for _, t := range s.taken {
		if t.Inset(1).Crosses(p.From, p.To) && !t.Has(s.anchor) {
			cost += leaderUnder
		}
	}
	return cost
}
