package render

import "fmt"

// A page is what stands around the drawing of every picture: the title above it; levels, lamps and a caution below. The
// height of a picture follows from its width and from what stands on it.

// offRoad is the caution of pictures of light. Many places require such lamps to be covered and off on public roads
// (California Vehicle Code §24411 is one).
const offRoad = "Off-road use only: covered and off on public roads. Never look into a lit lamp. Local law comes first."

// page is what stands around a drawing.
type page struct {
	title, details string
	levels         bool       // the ramp is shown
	lamps          []KeyEntry // empty: no key
	caution        string
}

// mostKey is the greatest height of a key of the lamps, units. What has no room there is counted.
const mostKey = 1000

// open is a canvas of a width (px; 0 is the usual one) with all of the page drawn, and the room left for a drawing,
// whose height (px) is asked for with its width. Texts are the boxes of what the page has on it.
func (p page) open(width int, theme Theme, height func(c *Canvas, width float64) float64) (c *Canvas, room Rect, texts []Rect, err error) {
	if width == 0 {
		width = UnitWidth
	}
	scratch, err := New(width, max(100, width/4), theme) // to measure on
	if err != nil {
		return nil, Rect{}, nil, err
	}
	at := scratch.Page()
	gap := scratch.U(14)
	head := scratch.TitleBlock(p.title, p.details)
	foot := scratch.CautionLine(p.caution)
	lamps, more := scratch.cutKey(p.lamps, at.W())

	y := head.Y1 + gap
	room = Rect{at.X0, y, at.X1, y + height(scratch, at.W())}
	y = room.Y1 + gap
	levels := y
	if p.levels {
		y += scratch.LevelStripHeight() + gap
	}
	key := y
	if len(lamps) > 0 {
		y += scratch.LampKeyHeight(at.W(), lamps) + gap
	}
	rest := y
	if more != "" {
		_, h := scratch.Measure(more, Small)
		y += h + gap
	}
	c, err = New(width, round(y+foot.H()+scratch.U(margin)), theme)
	if err != nil {
		return nil, Rect{}, nil, err
	}
	texts = append(texts, c.TitleBlock(p.title, p.details), c.CautionLine(p.caution))
	if p.levels {
		texts = append(texts, c.LevelStrip(Point{X: at.X0, Y: levels}, at.W()))
	}
	if len(lamps) > 0 {
		texts = append(texts, c.LampKey(Point{X: at.X0, Y: key}, at.W(), lamps))
	}
	if more != "" {
		texts = append(texts, c.Write(Point{X: at.X0, Y: rest}, more, Lettering{Role: Small, Colour: theme.Muted, Max: at.W()}))
	}
	return c, room, texts, nil
}

// cutKey is the entries that a key has room for, and a text for the others.
func (c *Canvas) cutKey(entries []KeyEntry, width float64) (shown []KeyEntry, more string) {
	n := len(entries)
	for n > 1 && c.LampKeyHeight(width, entries[:n]) > c.U(mostKey) {
		n--
	}
	if n < len(entries) {
		more = fmt.Sprintf("and %d more lamps, as in the table", len(entries)-n)
	}
	return entries[:n], more
}

// key is the key number of lamp i of a subject.
func (s Subject) key(i int) int {
	if i < len(s.Keys) {
		return s.Keys[i]
	}
	return i + 1
}
