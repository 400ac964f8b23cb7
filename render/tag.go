package render

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// Tags are the labels that pictures use: the key plate of a lamp, its name, or both, placed by a Layout. Lamps that meet
// at one place share one label with one leader, for two dozen leaders from a point say nothing.

// Tag is a lamp's key number or any other text to be placed beside what it names.
type Tag struct {
	At       Point   // px
	Lamp     *Style  // its key plate is shown; nil: only the text
	Text     string  // may be empty if there is a lamp
	Mark     float64 // half the width of what is drawn there already, units; a lamp without text may lie on it
	Priority int
}

// group is the tags of one place. Its forms, from full to short: every lamp with its name in a row of its own; key plates
// close together; the key numbers as a text.
type group struct {
	tags  []int
	texts []string // cut to width; of the rows
	forms []Size
	kinds []int // what each form is
}

const (
	inRows = iota
	inPlates
	inFigures
)

// manyRows and manyPlates are how many lamps a group may have for its fuller forms.
const manyRows, manyPlates = 5, 12

// plateColumns is in how many columns n key plates stand.
func plateColumns(n int) int { return int(math.Ceil(math.Sqrt(float64(n)))) }

// Tags places tags in a layout and draws them with their leaders, in shorter forms where there is no room for all.
// Texts are cut to the width in pixels. It returns the boxes taken up and the indexes of the tags that had no place.
func (c *Canvas) Tags(l Layout, tags []Tag, width float64) (boxes []Rect, dropped []int) {
	groups := c.groups(tags, width)
	labels := make([]LabelAt, len(groups))
	for i, g := range groups {
		first := tags[g.tags[0]]
		labels[i] = LabelAt{Anchor: first.At, Forms: g.forms, Priority: first.Priority}
		labels[i].On = g.kinds[0] == inPlates && len(g.tags) == 1
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
			c.Line([]Point{p.From, c.leaderEnd(groups[i], tags, p)}, Pen{Colour: c.Theme.Ink, Width: 1.5}.Cased(c.Theme, 1.5))
			c.Disc(p.From, 3.5, c.Theme.Ink, Pen{})
		}
	}
	for i, p := range placed {
		if p.Form >= 0 {
			c.drawGroup(groups[i], tags, p)
		}
	}
	return boxes, dropped
}

// groups joins the lamps that are closer to the first of a group than half a key plate.
func (c *Canvas) groups(tags []Tag, width float64) []group {
	keyW, keyH := c.KeySize()
	var groups []group
next:
	for i, t := range tags {
		if t.Lamp != nil {
			for j, g := range groups {
				first := tags[g.tags[0]]
				if first.Lamp != nil && r2.Norm(r2.Sub(first.At, t.At)) < keyW/2 {
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
			text := c.Fit(tags[i].Text, Label, width)
			g.texts = append(g.texts, text)
			if text != "" {
				w, _ := c.Measure(text, Label)
				rowW, named = max(rowW, w+c.U(2*PlatePadX)), true
			}
		}
		add := func(kind int, w, h float64) {
			g.forms, g.kinds = append(g.forms, Size{w, h}), append(g.kinds, kind)
		}
		_, h := c.Measure("", Label)
		h += c.U(2 * PlatePadY)
		if tags[g.tags[0]].Lamp == nil {
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
			w, _ := c.Measure(c.Fit(g.figures(tags), Label, width), Label)
			add(inFigures, w+c.U(2*PlatePadX), h)
		}
	}
	return groups
}

// figures are the key numbers of a group, runs of them as from–to.
func (g group) figures(tags []Tag) string {
	var parts []string
	for i := 0; i < len(g.tags); {
		from, to := tags[g.tags[i]].Lamp.Number, tags[g.tags[i]].Lamp.Number
		for i++; i < len(g.tags) && tags[g.tags[i]].Lamp.Number == to+1; i++ {
			to++
		}
		switch {
		case to > from+1:
			parts = append(parts, fmt.Sprintf("%d–%d", from, to))
		case to > from:
			parts = append(parts, fmt.Sprint(from), fmt.Sprint(to))
		default:
			parts = append(parts, fmt.Sprint(from))
		}
	}
	return strings.Join(parts, ", ")
}

// row is where a tag of a group stands in its box: the middle of its key plate, and the plate of its text, which begins
// there. Left of its anchor a row is the other way round, so that the key plate is the part that is nearer.
func (c *Canvas) row(g group, tags []Tag, p Placed, k int) (key Point, text Rect) {
	keyW, keyH := c.KeySize()
	switch g.kinds[p.Form] {
	case inPlates:
		columns := plateColumns(len(g.tags))
		return Point{X: p.Box.X0 + keyW*(float64(k%columns)+0.5), Y: p.Box.Y0 + keyH*(float64(k/columns)+0.5)}, Rect{}
	case inFigures:
		return Point{}, p.Box
	}
	if tags[g.tags[k]].Lamp == nil {
		return Point{}, p.Box
	}
	key = Point{X: p.Box.X0 + keyW/2, Y: p.Box.Y0 + keyH*(float64(k)+0.5)}
	if g.texts[k] != "" {
		w, h := c.Measure(g.texts[k], Label)
		text = Rect{key.X, key.Y - h/2 - c.U(PlatePadY), key.X + keyW/2 + w + c.U(2*PlatePadX), key.Y + h/2 + c.U(PlatePadY)}
	}
	if p.From.X >= p.Box.X1 {
		key.X = p.Box.X0 + p.Box.X1 - key.X
		if text != (Rect{}) {
			text.X0, text.X1 = p.Box.X0+p.Box.X1-text.X1, key.X
		}
	}
	return key, text
}

// leaderEnd is the place on a label's key plates and texts that is nearest to where its leader comes from.
func (c *Canvas) leaderEnd(g group, tags []Tag, p Placed) Point {
	best, nearest := p.To, math.Inf(1)
	for k, i := range g.tags {
		key, text := c.row(g, tags, p, k)
		ends := []Point{text.Nearest(p.From)}
		if tags[i].Lamp != nil && g.kinds[p.Form] != inFigures {
			ends = []Point{key}
			if text != (Rect{}) {
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

func (c *Canvas) drawGroup(g group, tags []Tag, p Placed) {
	edge := Pen{Colour: c.Theme.PlateEdge, Width: 1}
	if g.kinds[p.Form] == inFigures {
		c.Box(p.Box, 5, c.Theme.Plate, edge)
		c.Write(p.Box.Centre(), g.figures(tags), Lettering{AnchorX: 0.5, AnchorY: 0.5, Max: p.Box.W() - c.U(2*PlatePadX) + 1})
		return
	}
	for k, i := range g.tags {
		key, text := c.row(g, tags, p, k)
		if text != (Rect{}) {
			c.Box(text, 5, c.Theme.Plate, edge)
			at, l := Point{X: text.X1 - c.U(PlatePadX), Y: text.Centre().Y}, Lettering{AnchorX: 1, AnchorY: 0.5}
			if tags[i].Lamp != nil && key.X == text.X1 {
				at.X, l.AnchorX = text.X0+c.U(PlatePadX), 0
			}
			c.Write(at, g.texts[k], l)
		}
		if tags[i].Lamp != nil {
			c.Key(key, *tags[i].Lamp)
		}
	}
}
