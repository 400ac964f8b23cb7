package render

import (
	"fmt"
	"math"
	"strings"
)

// Legends say what a picture's signs mean: once, at its edge, on the background.

// likeness is what a light level is like on the surface that it falls on.
type likeness struct {
	lux  float64
	what string
}

// Common handbook values: a full moon high in a clear sky gives 0.1 to 0.3 lx; minor streets are lit to 2 to 15 lx (the
// P classes of EN 13201-2); living rooms to about 100; offices to 500 lx (EN 12464-1, writing and reading).
var likenesses = []likeness{{0.25, "full moon"}, {10, "street lighting"}, {100, "living room"}, {500, "office"}}

// LevelStripHeight is the height in pixels of a LevelStrip.
func (c *Canvas) LevelStripHeight() float64 {
	_, h := c.Measure("0", Small)
	return 2*h + c.U(stripHeight+4+12)
}

const stripHeight = 26 // units

// LevelStrip draws the ramp as a strip across a width from the top left corner p: the levels below it, and above it what
// they are like. It returns its box.
func (c *Canvas) LevelStrip(p Point, width float64) Rect {
	ramp := c.Theme.Ramp
	_, h := c.Measure("0", Small)
	box := Rect{p.X, p.Y, p.X + width, p.Y + c.LevelStripHeight()}
	top := p.Y + h + c.U(12)
	bottom := top + c.U(stripHeight)
	n := len(ramp.Bands)
	cell := width / float64(n)
	for i, b := range ramp.Bands {
		r := Rect{math.Round(p.X + float64(i)*cell), top, math.Round(p.X + float64(i+1)*cell), bottom}
		c.Fill(b, []Point{{X: r.X0, Y: r.Y0}, {X: r.X1, Y: r.Y0}, {X: r.X1, Y: r.Y1}, {X: r.X0, Y: r.Y1}})
	}
	c.Outline([]Point{{X: p.X, Y: top}, {X: box.X1, Y: top}, {X: box.X1, Y: bottom}, {X: p.X, Y: bottom}},
		Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
	for i, level := range ramp.Levels {
		text := figure(level)
		if i == len(ramp.Levels)-1 {
			text += " lx"
		}
		x := p.X + float64(i+1)*cell
		c.Line([]Point{{X: x, Y: bottom}, {X: x, Y: bottom + c.U(5)}}, Pen{Colour: c.Theme.Muted, Width: 1.5})
		w, _ := c.Measure(figure(level), Small)
		c.Write(Point{X: x - w/2, Y: bottom + c.U(5)}, text, Lettering{Role: Small})
	}
	// The bands are of one width and about half a decade each, so a level between is placed by its logarithm.
	free := p.X
	for _, like := range likenesses {
		b := ramp.Band(like.lux)
		lo, hi := 0.1, 10000.0
		if b > 0 {
			lo = ramp.Levels[b-1]
		}
		if b < len(ramp.Levels) {
			hi = ramp.Levels[b]
		}
		x := p.X + cell*(float64(b)+math.Log(like.lux/lo)/math.Log(hi/lo))
		w, _ := c.Measure(like.what, Small)
		at := min(max(x-w/2, free), box.X1-w)
		if at < free || x < at-c.U(4) || x > at+w+c.U(4) {
			continue // no room to stand above its level
		}
		c.Write(Point{X: at, Y: p.Y}, like.what, Lettering{Role: Small, Colour: c.Theme.Muted})
		c.Fill(c.Theme.Muted, []Point{{X: x, Y: top - c.U(1)}, {X: x - c.U(6), Y: top - c.U(10)}, {X: x + c.U(6), Y: top - c.U(10)}})
		free = at + w + c.U(14)
	}
	return box
}

// LevelColumn draws the ramp as a column of swatches, brightest above, from the top left corner p, with the levels and
// what they are like beside it. It returns its box.
func (c *Canvas) LevelColumn(p Point) Rect {
	ramp := c.Theme.Ramp
	_, h := c.Measure("0", Small)
	box := Rect{p.X, p.Y, p.X, p.Y + h*float64(len(ramp.Bands))}
	swatch := c.U(44)
	name := func(i int) string {
		if i == 0 {
			return "below " + figure(ramp.Levels[0]) + " lx"
		}
		return "from " + figure(ramp.Levels[i-1]) + " lx"
	}
	names := 0.0
	for i := range ramp.Bands {
		w, _ := c.Measure(name(i), Small)
		names = max(names, w)
	}
	for i, band := range ramp.Bands {
		y := p.Y + h*float64(len(ramp.Bands)-1-i)
		c.Fill(band, []Point{{X: p.X, Y: y}, {X: p.X + swatch, Y: y}, {X: p.X + swatch, Y: y + h}, {X: p.X, Y: y + h}})
		r := c.Write(Point{X: p.X + swatch + c.U(10), Y: y}, name(i), Lettering{Role: Small})
		for _, like := range likenesses {
			if ramp.Band(like.lux) == i {
				r = c.Write(Point{X: p.X + swatch + names + c.U(24), Y: y}, fmt.Sprintf("%s, about %s lx", like.what, figure(like.lux)),
					Lettering{Role: Small, Colour: c.Theme.Muted})
			}
		}
		box.X1 = max(box.X1, r.X1)
	}
	c.Outline([]Point{{X: p.X, Y: p.Y}, {X: p.X + swatch, Y: p.Y}, {X: p.X + swatch, Y: box.Y1}, {X: p.X, Y: box.Y1}},
		Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
	return box
}

// KeyEntry is a lamp in the key.
type KeyEntry struct {
	Style Style
	Name  string
	Note  string // set behind the name in the second rank; may be empty
}

// keyLine is the length of a lamp's line in the key, and keyGap the room between columns, units.
const keyLine, keyGap = 70, 32

// keyColumns is in how many columns a key is set: at most four, and no more than leave its longest name whole, or half
// the width.
func (c *Canvas) keyColumns(width float64, entries []KeyEntry) int {
	keyW, _ := c.KeySize()
	widest := 0.0
	for _, e := range entries {
		w, _ := c.Measure(e.Name, Label)
		note, _ := c.Measure(e.Note, Small)
		widest = max(widest, keyW+c.U(keyLine+24)+w+note)
	}
	fit := int((width + c.U(keyGap)) / (widest + c.U(keyGap)))
	least := 1
	if width > c.U(1000) {
		least = 2
	}
	return max(1, min(len(entries), max(fit, least), 4))
}

func (c *Canvas) keyRow() float64 { _, h := c.KeySize(); return h + c.U(2) }

// LampKeyHeight is the height in pixels that a key needs at a width in pixels.
func (c *Canvas) LampKeyHeight(width float64, entries []KeyEntry) float64 {
	columns := c.keyColumns(width, entries)
	return c.keyRow() * float64((len(entries)+columns-1)/columns)
}

// LampKey draws the key of the lamps from the top left corner p in columns across a width: number, line, name and note.
// Where both are too long for the column, the note has what the name leaves of it, or two fifths. It returns its box.
func (c *Canvas) LampKey(p Point, width float64, entries []KeyEntry) Rect {
	box := Rect{p.X, p.Y, p.X + width, p.Y + c.LampKeyHeight(width, entries)}
	if len(entries) == 0 {
		return box
	}
	n := c.keyColumns(width, entries)
	perColumn := (len(entries) + n - 1) / n
	columns := box.Columns(n, c.U(keyGap))
	keyW, _ := c.KeySize()
	for i, e := range entries {
		column := columns[i/perColumn]
		y := p.Y + c.keyRow()*(float64(i%perColumn)+0.5)
		x := column.X0
		c.Line([]Point{{X: x + keyW, Y: y}, {X: x + keyW + c.U(keyLine), Y: y}}, Pen{Colour: c.Theme.Ink, Width: 3, Dash: e.Style.Dash})
		c.Key(Point{X: x + keyW/2, Y: y}, e.Style)
		x += keyW + c.U(keyLine+12)
		room := column.X1 - x + 0.01 // px, for rounding
		nameW, _ := c.Measure(e.Name, Label)
		note, noteW := c.Fit(e.Note, Small, max(0.4*room, room-nameW-c.U(12))), 0.0
		if note != "" {
			noteW, _ = c.Measure(note, Small)
			noteW += c.U(12)
		}
		r := c.Write(Point{X: x, Y: y}, e.Name, Lettering{AnchorY: 0.5, Max: room - noteW})
		c.Write(Point{X: r.X1 + c.U(12), Y: y}, note, Lettering{Role: Small, Colour: c.Theme.Muted, AnchorY: 0.5})
	}
	return box
}

// margin of a picture, units.
const margin = 28

// Page is the canvas less its margins.
func (c *Canvas) Page() Rect { return c.Bounds.Inset(c.U(margin)) }

// TitleBlock writes a picture's title, such as the rig, and beneath it the details, such as the scene and the view, at
// the top of the page. Details have two lines if they need them. It returns its box.
func (c *Canvas) TitleBlock(title, details string) Rect {
	page := c.Page()
	r := c.Write(Point{X: page.X0, Y: page.Y0 - c.U(6)}, title, Lettering{Role: Title, Max: page.W()})
	lines := c.Wrap(details, Label, page.W())
	if len(lines) > 2 {
		lines = []string{lines[0], strings.Join(lines[1:], " ")}
	}
	for _, line := range lines {
		r = c.Write(Point{X: page.X0, Y: r.Y1}, line, Lettering{Colour: c.Theme.Muted, Max: page.W()})
	}
	return Rect{page.X0, page.Y0, page.X1, r.Y1}
}

// CautionLine writes a caution at the foot of the page, on as many lines as it needs, and returns its box.
func (c *Canvas) CautionLine(text string) Rect {
	page := c.Page()
	lines := c.Wrap(text, Caution, page.W())
	_, h := c.Measure("", Caution)
	y := page.Y1 - h*float64(len(lines))
	box := Rect{page.X0, y, page.X1, page.Y1}
	for _, line := range lines {
		c.Write(Point{X: page.X0, Y: y}, line, Lettering{Role: Caution})
		y += h
	}
	return box
}
