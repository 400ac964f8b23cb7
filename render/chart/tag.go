package chart

import (
	"math"
	"slices"

	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r2"
)

// Tags are the labels that pictures use: a key plate, a name, or both, placed by a Layout. A key
// plate stands on its place, or has a leader to it. Keys that meet at one place share one label
// with one leader: two dozen leaders from one point would say nothing.

// Tag is a key plate or any other text to be placed beside what it names.
type Tag struct {
	At       draw.Point // px
	Key      *Style     // whose key plate is shown; nil: only the text
	Text     string     // may be empty if there is a key
	Mark     float64    // half the width of what is drawn there already, units; a key without text may lie on it
	Priority int
}

// group is the tags of one place. Its forms, from full to short: every key with its name in a row
// of its own; key plates close together; the key numbers as a text.
type group struct {
	tags  []int
	texts []string // cut to width; of the rows
	forms []Size
	kinds []int // what each form is
}

const (
	inRows = iota
	inPlates
	inNumbers
)

// manyRows and manyPlates are how many keys a group may have for its fuller forms.
const manyRows, manyPlates = 5, 12

// plateColumns is in how many columns n key plates stand.
func plateColumns(n int) int { return int(math.Ceil(math.Sqrt(float64(n)))) }

// DrawTags places tags in a layout and draws them with their leaders, in shorter forms where there
// is no room for all. Texts are cut to the width in pixels. It returns the boxes taken up and the
// indexes of the tags that had no place.
func (l Layout) DrawTags(c *draw.Canvas, tags []Tag, width float64) (boxes []draw.Rect, dropped []int) {
	groups := groups(c, tags, width)
	l.Taken = slices.Clone(l.Taken)
	for _, g := range groups {
		for _, k := range g.tags[1:] { // labels know the first mark of their group
			l.Taken = append(l.Taken, draw.Around(tags[k].At, c.U(2*tags[k].Mark), c.U(2*tags[k].Mark)))
		}
	}
	labels := make([]Label, len(groups))
	for i, g := range groups {
		first := tags[g.tags[0]]
		labels[i] = Label{Anchor: first.At, Forms: g.forms, Priority: first.Priority}
		labels[i].On = g.kinds[0] == inPlates && len(g.tags) == 1
		labels[i].Tied = first.Key != nil
		for _, k := range g.tags {
			labels[i].Mark = max(labels[i].Mark, c.U(tags[k].Mark))
			labels[i].Priority = max(labels[i].Priority, tags[k].Priority)
		}
	}
	placed, lost := l.Place(labels)
	for _, i := range lost {
		dropped = append(dropped, groups[i].tags...)
	}
	for i, p := range placed { // all leaders below all labels
		if p.Form < 0 {
			continue
		}
		boxes = append(boxes, p.Box)
		if p.Leader {
			drawLeaders(c, groups[i], tags, p)
		}
	}
	for i, p := range placed {
		if p.Form >= 0 {
			drawGroup(c, groups[i], tags, p)
		}
	}
	return boxes, dropped
}

// drawLeaders draws a line from each place of a group to its label.
func drawLeaders(c *draw.Canvas, g group, tags []Tag, p Placed) {
	together := true
	for _, i := range g.tags[1:] {
		together = together && r2.Norm(r2.Sub(tags[i].At, tags[g.tags[0]].At)) < 1
	}
	var lines [][]draw.Point
	var ends []draw.Point
	for k, i := range g.tags {
		from := tags[i].At
		if k == 0 {
			from = p.From
		}
		to, _ := row(c, g, tags, p, k)
		switch {
		case together && k > 0:
			continue
		case together || tags[i].Key == nil || g.kinds[p.Form] == inNumbers:
			to = leaderEnd(c, g, tags, p)
		}
		// What is drawn there stays clear, unless it is as good as a dot.
		if d, mark := r2.Norm(r2.Sub(to, from)), c.U(tags[i].Mark); mark > c.U(largeMark) && d > mark {
			from = r2.Add(from, r2.Scale(mark/d, r2.Sub(to, from)))
		} else {
			ends = append(ends, from)
		}
		lines = append(lines, []draw.Point{from, to})
	}
	c.Lines(lines, draw.Pen{Colour: c.Theme.Ink, Width: 1.5}.Cased(c.Theme, 1.5))
	for _, end := range ends {
		c.Disc(end, 3.5, c.Theme.Ink, draw.Pen{})
	}
}

// largeMark is half the width of a mark that a leader does not run into, units.
const largeMark = 13

// groups joins the keys that are closer to the first of a group than half a key plate.
func groups(c *draw.Canvas, tags []Tag, width float64) []group {
	keyW, keyH := PlateSize(c)
	var groups []group
next:
	for i, t := range tags {
		if t.Key != nil {
			for j, g := range groups {
				first := tags[g.tags[0]]
				if first.Key != nil && r2.Norm(r2.Sub(first.At, t.At)) < keyW/2 {
					groups[j].tags = append(g.tags, i)
					continue next
				}
			}
		}
		groups = append(groups, group{tags: []int{i}})
	}
	for j := range groups {
		g := &groups[j]
		n, rowW, named := len(g.tags), 0.0, false
		for _, i := range g.tags {
			text := c.Fit(tags[i].Text, draw.Label, width)
			g.texts = append(g.texts, text)
			if text != "" {
				w, _ := c.Measure(text, draw.Label)
				rowW, named = max(rowW, w+c.U(2*draw.PlatePadX)), true
			}
		}
		add := func(kind int, w, h float64) {
			g.forms, g.kinds = append(g.forms, Size{w, h}), append(g.kinds, kind)
		}
		_, h := c.Measure("", draw.Label)
		h += c.U(2 * draw.PlatePadY)
		if tags[g.tags[0]].Key == nil {
			add(inRows, rowW, h)
			continue
		}
		if named && n <= manyRows {
			add(inRows, keyW+rowW, float64(n)*keyH)
		}
		if n <= manyPlates {
			columns := plateColumns(n)
			add(inPlates, float64(columns)*keyW, float64((n+columns-1)/columns)*keyH)
		}
		if n > 1 {
			w, _ := c.Measure(c.Fit(g.numbers(tags), draw.Label, width), draw.Label)
			add(inNumbers, w+c.U(2*draw.PlatePadX), h)
		}
	}
	return groups
}

// numbers are the key numbers of a group in words.
func (g group) numbers(tags []Tag) string {
	var numbers []int
	for _, i := range g.tags {
		numbers = append(numbers, tags[i].Key.Number)
	}
	return Numbers(numbers)
}

// row is where a tag of a group stands in the group's box: the middle of its key plate, and the
// plate of its text, which begins there. Left of the anchor a row is reversed, so that its key
// plate is always the part nearest to the anchor.
func row(c *draw.Canvas, g group, tags []Tag, p Placed, k int) (key draw.Point, text draw.Rect) {
	keyW, keyH := PlateSize(c)
	switch g.kinds[p.Form] {
	case inPlates:
		columns := plateColumns(len(g.tags))
		return draw.Pt(p.Box.X0+keyW*(float64(k%columns)+0.5), p.Box.Y0+keyH*(float64(k/columns)+0.5)), draw.Rect{}
	case inNumbers:
		return draw.Point{}, p.Box
	}
	if tags[g.tags[k]].Key == nil {
		return draw.Point{}, p.Box
	}
	key = draw.Pt(p.Box.X0+keyW/2, p.Box.Y0+keyH*(float64(k)+0.5))
	if g.texts[k] != "" {
		w, h := c.Measure(g.texts[k], draw.Label)
		text = draw.R(key.X, key.Y-h/2-c.U(draw.PlatePadY), key.X+keyW/2+w+c.U(2*draw.PlatePadX),
			key.Y+h/2+c.U(draw.PlatePadY))
	}
	if p.From.X >= p.Box.X1 {
		key.X = p.Box.X0 + p.Box.X1 - key.X
		if text != (draw.Rect{}) {
			text.X0, text.X1 = p.Box.X0+p.Box.X1-text.X1, key.X
		}
	}
	return key, text
}

// leaderEnd is where a leader ends: at the nearest of a label's key plates and texts.
func leaderEnd(c *draw.Canvas, g group, tags []Tag, p Placed) draw.Point {
	best, nearest := p.To, math.Inf(1)
	for k, i := range g.tags {
		key, text := row(c, g, tags, p, k)
		ends := []draw.Point{text.Nearest(p.From)}
		if tags[i].Key != nil && g.kinds[p.Form] != inNumbers {
			ends = []draw.Point{key}
			if text != (draw.Rect{}) {
				ends = append(ends, text.Nearest(p.From))
			}
		}
		for _, end := range ends {
			if d := r2.Norm(r2.Sub(end, p.From)); d < nearest {
				best, nearest = end, d
			}
		}
	}
	return best
}

func drawGroup(c *draw.Canvas, g group, tags []Tag, p Placed) {
	edge := draw.Pen{Colour: c.Theme.PlateEdge, Width: 1}
	if g.kinds[p.Form] == inNumbers {
		c.Box(p.Box, 5, c.Theme.Plate, edge)
		c.Write(p.Box.Centre(), g.numbers(tags),
			draw.Lettering{AnchorX: 0.5, AnchorY: 0.5, Max: p.Box.W() - c.U(2*draw.PlatePadX) + 1})
		return
	}
	for k, i := range g.tags {
		key, text := row(c, g, tags, p, k)
		if text != (draw.Rect{}) {
			c.Box(text, 5, c.Theme.Plate, edge)
			at, l := draw.Pt(text.X1-c.U(draw.PlatePadX), text.Centre().Y), draw.Lettering{AnchorX: 1, AnchorY: 0.5}
			if tags[i].Key != nil && key.X == text.X1 {
				at.X, l.AnchorX = text.X0+c.U(draw.PlatePadX), 0
			}
			c.Write(at, g.texts[k], l)
		}
		if tags[i].Key != nil {
			tags[i].Key.DrawPlate(c, key)
		}
	}
}

// MarkBoxes are the boxes around what tags name, each with room for an arrow.
func MarkBoxes(c *draw.Canvas, tags []Tag) (boxes []draw.Rect) {
	for _, t := range tags {
		boxes = append(boxes, draw.Around(t.At, c.U(2*max(t.Mark, 30)), c.U(2*max(t.Mark, 30))))
	}
	return boxes
}
