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
	signs          string     // what the signs of the lamps mean, above their key
	caution        string
}

// mostKey is the greatest height of a key of the lamps, units. What has no room there is counted.
const mostKey = 1000

// ruler is a canvas of a width (px; 0 is the usual one) to measure on before the height of a picture is known.
func ruler(width int, theme Theme) (*Canvas, error) {
	if width == 0 {
		width = UnitWidth
	}
	return New(width, max(100, width/4), theme)
}

// pageGap is the distance between the parts of a page, units.
const pageGap = 14

// room is where a drawing of a height (px) goes on a page.
func (p page) room(ruler *Canvas, height float64) Rect {
	at := ruler.Page()
	y := ruler.TitleBlock(p.title, p.details).Y1 + ruler.U(pageGap)
	return Rect{at.X0, y, at.X1, y + height}
}

// open is a canvas with all of the page drawn, and the room left for a drawing, whose height (px) is asked for with its
// width. Texts are the boxes of what the page has on it.
func (p page) open(width int, theme Theme, height func(c *Canvas, width float64) float64) (c *Canvas, room Rect, texts []Rect, err error) {
	r, err := ruler(width, theme)
	if err != nil {
		return nil, Rect{}, nil, err
	}
	room = p.room(r, height(r, r.Page().W()))
	c, texts, err = p.around(r, room)
	return c, room, texts, err
}

// around is a canvas with all of the page drawn around the room of a drawing, and the boxes of its texts.
func (p page) around(ruler *Canvas, room Rect) (c *Canvas, texts []Rect, err error) {
	at, gap := ruler.Page(), ruler.U(pageGap)
	lamps, more := ruler.cutKey(p.lamps, at.W())

	y := room.Y1 + gap
	levels := y
	if p.levels {
		y += ruler.LevelStripHeight() + gap
	}
	signs := y
	if p.signs != "" {
		box, _ := ruler.paragraph(Point{X: at.X0, Y: y}, p.signs, at.W())
		y = box.Y1 + ruler.U(4)
	}
	key := y
	if len(lamps) > 0 {
		y += ruler.LampKeyHeight(at.W(), lamps) + gap
	}
	rest := y
	if more != "" {
		_, h := ruler.Measure(more, Small)
		y += h + gap
	}
	foot := ruler.CautionLine(p.caution)
	c, err = New(round(at.X0+at.X1), round(y+foot.H()+ruler.U(margin)), ruler.Theme)
	if err != nil {
		return nil, nil, err
	}
	texts = append(texts, c.TitleBlock(p.title, p.details), c.CautionLine(p.caution))
	if p.levels {
		texts = append(texts, c.LevelStrip(Point{X: at.X0, Y: levels}, at.W()))
	}
	if p.signs != "" {
		_, lines := c.paragraph(Point{X: at.X0, Y: signs}, p.signs, at.W())
		texts = append(texts, lines...)
	}
	if len(lamps) > 0 {
		texts = append(texts, c.LampKey(Point{X: at.X0, Y: key}, at.W(), lamps))
	}
	if more != "" {
		texts = append(texts, c.Write(Point{X: at.X0, Y: rest}, more, Lettering{Role: Small, Colour: c.Theme.Muted, Max: at.W()}))
	}
	return c, texts, nil
}

// paragraph writes a second-rank text from the top left corner p on as many lines as it needs, and returns its box and
// those of its lines.
func (c *Canvas) paragraph(p Point, text string, width float64) (box Rect, lines []Rect) {
	box = Rect{p.X, p.Y, p.X + width, p.Y}
	_, h := c.Measure("", Small)
	for _, line := range c.Wrap(text, Small, width) {
		r := c.Write(Point{X: p.X, Y: box.Y1}, line, Lettering{Role: Small, Colour: c.Theme.Muted})
		lines = append(lines, Rect{p.X, box.Y1, r.X1, box.Y1 + h})
		box.Y1 += h
	}
	return box, lines
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

// details is the line below a title: the scene, what is seen of it, how the vehicle stands, on what, and in what air.
func (s Subject) details(what string) string {
	text := what
	if s.Name != "" {
		text = "scene " + s.Name + " · " + text
	}
	for _, condition := range []string{s.attitude(), s.slopes(), s.air()} {
		if condition != "" {
			text += " · " + condition
		}
	}
	return text
}
