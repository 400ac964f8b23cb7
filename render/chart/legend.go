package chart

import (
	"fmt"
	"math"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// Legends say what a picture's signs mean: once, at its edge, on the background.

// StripHeight is the height of a strip of colours, units.
const StripHeight = 26

// LevelStrip is a ramp as a strip of its bands: the levels below it, and above it what they are
// like, and at the right end what they are of.
func LevelStrip(ramp Ramp) Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (float64, []draw.Rect) {
		_, h := c.Measure("0", draw.Small)
		box := draw.R(at.X, at.Y, at.X+width, at.Y+2*h+c.U(StripHeight+4+12))
		top := at.Y + h + c.U(12)
		bottom := top + c.U(StripHeight)
		cell := width / float64(len(ramp.Bands))
		for i, b := range ramp.Bands {
			r := draw.R(math.Round(at.X+float64(i)*cell), top, math.Round(at.X+float64(i+1)*cell), bottom)
			c.Fill(b, r.Corners())
		}
		c.Outline(draw.R(at.X, top, box.X1, bottom).Corners(), draw.Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
		for i, level := range ramp.Levels {
			text := units.Figure(level)
			if i == len(ramp.Levels)-1 {
				text += " " + ramp.Unit.Name
			}
			x := at.X + float64(i+1)*cell
			c.Line([]draw.Point{draw.Pt(x, bottom), draw.Pt(x, bottom+c.U(5))},
				draw.Pen{Colour: c.Theme.Muted, Width: 1.5})
			w, _ := c.Measure(units.Figure(level), draw.Small)
			c.Write(draw.Pt(x-w/2, bottom+c.U(5)), text, draw.Lettering{Role: draw.Small})
		}
		// The bands are of one width and about half a decade each, so a level between is placed by
		// its logarithm.
		free, end := at.X, box.X1
		if ramp.What != "" {
			end = c.Write(draw.Pt(box.X1, at.Y), ramp.What,
				draw.Lettering{Role: draw.Small, AnchorX: 1, Max: width}).X0 - c.U(14)
		}
		for _, like := range ramp.Likeness {
			b := ramp.Band(like.Value)
			lo, hi := ramp.Levels[0]/3, ramp.Levels[len(ramp.Levels)-1]*10/3
			if b > 0 {
				lo = ramp.Levels[b-1]
			}
			if b < len(ramp.Levels) {
				hi = ramp.Levels[b]
			}
			x := at.X + cell*(float64(b)+math.Log(like.Value/lo)/math.Log(hi/lo))
			w, _ := c.Measure(like.What, draw.Small)
			left := min(max(x-w/2, free), end-w)
			if left < free || x < left-c.U(4) || x > left+w+c.U(4) {
				continue // no room to stand above its level
			}
			c.Write(draw.Pt(left, at.Y), like.What, draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted})
			c.Fill(c.Theme.Muted, []draw.Point{draw.Pt(x, top-c.U(1)), draw.Pt(x-c.U(6), top-c.U(10)),
				draw.Pt(x+c.U(6), top-c.U(10))})
			free = left + w + c.U(14)
		}
		return box.Y1, []draw.Rect{box}
	}
}

// KeyEntry is one line of a key.
type KeyEntry struct {
	Style Style
	Name  string
	Note  string // set behind the name in the second rank; may be empty
}

// MostKey is the greatest height of a key, units. What has no room there is counted.
const MostKey = 1000

// keyLine is the length of an entry's line in a key, and keyGap the room between columns, units.
const keyLine, keyGap = 70, 32

// Key is a key in columns: number, line, name and note of each entry. More is a format for how many
// entries have no room.
func Key(entries []KeyEntry, more string) Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		keyW, keyH := PlateSize(c)
		row := keyH + c.U(2)
		height := func(shown int) float64 {
			columns := keyColumns(c, width, entries[:shown])
			return row * float64((shown+columns-1)/columns)
		}
		shown := len(entries)
		for shown > 1 && height(shown) > c.U(MostKey) {
			shown--
		}
		box := draw.R(at.X, at.Y, at.X+width, at.Y+height(shown))
		n := keyColumns(c, width, entries[:shown])
		perColumn := (shown + n - 1) / n
		columns := box.Columns(n, c.U(keyGap))
		before := keyW + c.U(keyLine+12)
		names, notes := keyTexts(c, entries[:shown], columns[0].W()-before)
		for i, e := range entries[:shown] {
			at := draw.Pt(columns[i/perColumn].X0, box.Y0+row*(float64(i%perColumn)+0.5))
			c.Line([]draw.Point{draw.Pt(at.X+keyW, at.Y), draw.Pt(at.X+keyW+c.U(keyLine), at.Y)},
				draw.Pen{Colour: c.Theme.Ink, Width: 3, Dash: e.Style.Dash})
			e.Style.DrawPlate(c, draw.Pt(at.X+keyW/2, at.Y))
			r := c.Write(draw.Pt(at.X+before, at.Y), names[i], draw.Lettering{AnchorY: 0.5})
			c.Write(draw.Pt(r.X1+c.U(12), at.Y), notes[i],
				draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorY: 0.5})
		}
		bottom, texts = box.Y1, []draw.Rect{box}
		if left := len(entries) - shown; left > 0 {
			_, h := c.Measure("", draw.Small)
			y := bottom + c.U(PageGap)
			texts = append(texts, c.Write(draw.Pt(at.X, y), fmt.Sprintf(more, left),
				draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, Max: width}))
			bottom = y + h
		}
		return bottom, texts
	}
}

// keyColumns is in how many columns a key is set: at most four, and no more than leave its longest
// name whole, or half the width.
func keyColumns(c *draw.Canvas, width float64, entries []KeyEntry) int {
	keyW, _ := PlateSize(c)
	widest := 0.0
	for _, e := range entries {
		w, _ := c.Measure(e.Name, draw.Label)
		note, _ := c.Measure(e.Note, draw.Small)
		widest = max(widest, keyW+c.U(keyLine+24)+w+note)
	}
	fit := int((width + c.U(keyGap)) / (widest + c.U(keyGap)))
	least := 1
	if width > c.U(1000) {
		least = 2
	}
	return max(1, min(len(entries), max(fit, least), 4))
}

// keyTexts are the names and notes of entries, cut to a room in pixels for both. Where both are too
// long, the note has what the name leaves of it, or half.
func keyTexts(c *draw.Canvas, entries []KeyEntry, room float64) (names, notes []string) {
	rest := make([]float64, len(entries)) // for the name
	for i, e := range entries {
		nameW, _ := c.Measure(e.Name, draw.Label)
		note := c.Fit(e.Note, draw.Small, max(0.5*room, room-nameW-c.U(12)))
		if rest[i] = room + 0.01; note != "" { // px, for rounding
			w, _ := c.Measure(note, draw.Small)
			rest[i] -= w + c.U(12)
		}
		names, notes = append(names, e.Name), append(notes, note)
	}
	return c.FitApart(names, draw.Label, func(i int) float64 { return rest[i] }), notes
}
