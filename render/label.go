package render

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Labels are placed one after the other, the most important first, each at the free place nearest to what it names:
// close beside it, or farther out with a leader. What has no place at all in its full form is tried in shorter ones,
// and dropped last; the caller is told, so that a legend can carry it.

// Size is the width and height of a label in pixels.
type Size struct{ W, H float64 }

// LabelAt is a label to be placed.
type LabelAt struct {
	Anchor   Point   // what it names, px
	Mark     float64 // half the width of what is drawn at the anchor, px; no label lies over it
	On       bool    // the label may lie on its anchor: it is the mark itself
	Forms    []Size  // preferred first
	Priority int     // higher is placed first; of equals the earlier one
}

// Placed is where a label goes.
type Placed struct {
	Form     int // which of its forms, from 0; −1: dropped
	Box      Rect
	Leader   bool // it is too far from its anchor to be understood without a line from From to To
	From, To Point
}

// Layout is the space that labels are placed in.
type Layout struct {
	Bounds Rect
	Taken  []Rect // where no label may be
	Shy    []Rect // where labels are better not
	Gap    float64
}

// turns are the places round an anchor in order of preference: right, left, above, below, then between.
var turns = [...]float64{0, math.Pi, math.Pi / 2, -math.Pi / 2, math.Pi / 4, 3 * math.Pi / 4, -math.Pi / 4, -3 * math.Pi / 4}

// Place finds a place for every label, by its index. No two boxes overlap, nor does any overlap Taken, a mark or the
// edge of Bounds; all keep Gap pixels between them. An anchor outside of Bounds counts as at its edge.
func (l Layout) Place(labels []LabelAt) (placed []Placed, dropped []int) {
	order := make([]int, len(labels))
	marks := make([]Rect, len(labels))
	for i, label := range labels {
		order[i] = i
		marks[i] = Around(l.Bounds.Nearest(label.Anchor), 2*label.Mark, 2*label.Mark)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(labels[b].Priority, labels[a].Priority) })

	placed = make([]Placed, len(labels))
	taken := slices.Clone(l.Taken)
	for i, m := range marks {
		if labels[i].Mark > 0 && !labels[i].On {
			taken = append(taken, m)
		}
	}
	var leaders [][2]Point
	for _, i := range order {
		placed[i] = Placed{Form: -1}
		if !finite(labels[i].Anchor) {
			continue
		}
		for form, size := range labels[i].Forms {
			p, ok := l.find(labels[i], size, taken, leaders)
			if !ok {
				continue
			}
			p.Form = form
			placed[i] = p
			taken = append(taken, p.Box)
			if p.Leader {
				leaders = append(leaders, [2]Point{p.From, p.To})
			}
			break
		}
	}
	for i, p := range placed {
		if p.Form < 0 {
			dropped = append(dropped, i)
		}
	}
	return placed, dropped
}

// find is the free place of least cost. Cost is the distance from the anchor in label heights, more where the label
// would lie on something shy or over a leader, or its leader over another label.
func (l Layout) find(label LabelAt, size Size, taken []Rect, leaders [][2]Point) (best Placed, ok bool) {
	anchor := l.Bounds.Nearest(label.Anchor)
	unit := max(size.H, 1)
	bestCost := math.Inf(1)
	try := func(centre Point, distance, preference float64) {
		cost := distance/unit + preference
		if cost >= bestCost {
			return
		}
		box := Around(centre, size.W, size.H)
		room := box.Inset(-l.Gap)
		if !l.Bounds.Contains(box) || overlapsAny(room, taken) {
			return
		}
		p := Placed{Box: box}
		p.From, p.To = anchor, box.Nearest(anchor)
		p.Leader = distance > label.Mark+l.Gap+unit/2 && !box.Has(anchor)
		for _, shy := range l.Shy {
			if box.Overlaps(shy) {
				cost += 3
			}
		}
		for _, leader := range leaders {
			if room.crosses(leader[0], leader[1]) {
				cost += 6
			}
			if p.Leader && crossing(leader[0], leader[1], p.From, p.To) {
				cost += 4
			}
		}
		if p.Leader {
			cost += 2
			for _, t := range taken {
				if t.Inset(1).crosses(p.From, p.To) && !t.Has(anchor) {
					cost += 3
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
			d := Point{X: cos * (size.W/2 + out), Y: -sin * (size.H/2 + out)}
			if ring == 0 && k >= 4 { // corners touch corners
				d = Point{X: math.Copysign(size.W/2+out/math.Sqrt2, cos), Y: -math.Copysign(size.H/2+out/math.Sqrt2, sin)}
			}
			centre := r2.Add(anchor, d)
			gap := r2.Norm(r2.Sub(Around(centre, size.W, size.H).Nearest(anchor), anchor))
			try(centre, gap, preference)
		}
		out += unit / 2
	}
	if ok {
		return best, true
	}
	// Nothing on the rings: look everywhere, in steps of half a label.
	for y := l.Bounds.Y0 + size.H/2; y <= l.Bounds.Y1-size.H/2; y += size.H / 2 {
		for x := l.Bounds.X0 + size.W/2; x <= l.Bounds.X1-size.W/2; x += size.W / 4 {
			centre := Point{X: x, Y: y}
			try(centre, r2.Norm(r2.Sub(Around(centre, size.W, size.H).Nearest(anchor), anchor)), 0)
		}
	}
	return best, ok
}

// crossing says whether the lines a–b and c–d cross between their ends.
func crossing(a, b, c, d Point) bool {
	side := func(p, q, r Point) float64 { return r2.Cross(r2.Sub(q, p), r2.Sub(r, p)) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

// Tag is a lamp's key number or any other text to be placed beside what it names.
type Tag struct {
	At       Point   // px
	Lamp     *Style  // its key plate is shown; nil: only the text
	Text     string  // may be empty if there is a lamp
	Mark     float64 // half the width of what is drawn there already, units; a lamp without text may lie on it
	Priority int
}

// Tags places tags in a layout and draws them with their leaders: key plate and text first, and if there is no room for both
// the key plate alone. Texts are cut to the width in pixels. It returns the boxes taken up and the indexes of what had no place.
func (c *Canvas) Tags(l Layout, tags []Tag, width float64) (boxes []Rect, dropped []int) {
	keyW, keyH := c.KeySize()
	texts := make([]string, len(tags))
	labels := make([]LabelAt, len(tags))
	for i, t := range tags {
		texts[i] = c.Fit(t.Text, Label, width)
		w, h := c.Measure(texts[i], Label)
		w, h = w+c.U(2*platePadX), h+c.U(2*platePadY)
		labels[i] = LabelAt{Anchor: t.At, Mark: c.U(t.Mark), Priority: t.Priority}
		switch {
		case t.Lamp == nil:
			labels[i].Forms = []Size{{w, h}}
		case texts[i] == "":
			labels[i].Forms = []Size{{keyW, keyH}}
			labels[i].On = true
		default:
			labels[i].Forms = []Size{{keyW + w, keyH}, {keyW, keyH}}
		}
	}
	placed, dropped := l.Place(labels)
	for _, p := range placed { // all leaders below all labels
		if p.Leader {
			c.Line([]Point{p.From, p.To}, Pen{Colour: c.Theme.Ink, Width: 1.5}.Cased(c.Theme, 1.5))
			c.Disc(p.From, 3.5, c.Theme.Ink, Pen{})
		}
		if p.Form >= 0 {
			boxes = append(boxes, p.Box)
		}
	}
	for i, p := range placed {
		if p.Form < 0 {
			continue
		}
		x, y := p.Box.X0, p.Box.Centre().Y
		if tags[i].Lamp != nil {
			x += keyW / 2
		}
		if texts[i] != "" && p.Form == 0 {
			c.Box(Rect{x, y - p.Box.H()/2*0.75, p.Box.X1, y + p.Box.H()/2*0.75}, 5, c.Theme.Plate, Pen{Colour: c.Theme.PlateEdge, Width: 1})
			c.Write(Point{X: p.Box.X1 - c.U(platePadX), Y: y}, texts[i], Lettering{AnchorX: 1, AnchorY: 0.5})
		}
		if tags[i].Lamp != nil {
			c.Key(Point{X: x, Y: y}, *tags[i].Lamp)
		}
	}
	return boxes, dropped
}
