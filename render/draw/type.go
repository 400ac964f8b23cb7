package draw

import (
	"image/color"
	"math"
	"slices"
	"strings"
	"unicode/utf8"
)

// A text is measured, cut or broken into lines to fit, and written at a point, bare or on something
// that keeps it apart from what is beneath.

// Backing is what stands behind a text.
type Backing int

const (
	Bare  Backing = iota // nothing: for text on the background or a plate
	Halo                 // the background colour, close around each letter and between words
	Plate                // a box with an edge
)

// Lettering is how a text is written. The zero value is a bare label in ink, with its top left
// corner at the point.
type Lettering struct {
	Role    Role
	Colour  color.RGBA // transparent = that of the role: ink, or caution
	Backing Backing

	// Which part of the text's box is at the point, as shares of its width and height: 0,0 the top
	// left corner, 0.5,0.5 the middle, 1,1 the bottom right.
	AnchorX, AnchorY float64

	Size  float64 // times the size of the role; 0 = 1
	Angle float64 // radians, counterclockwise as seen, about the point
	Max   float64 // px; a wider text is cut with an ellipsis; 0 = any width
}

func (l Lettering) size() float64 {
	if l.Size == 0 {
		return 1
	}
	return l.Size
}

// size is the letter height of a role in pixels.
func (c *Canvas) size(role Role) float64 { return c.U(roles[role].size) }

// Measure is the width and the height in pixels of the box of a text.
func (c *Canvas) Measure(text string, role Role) (w, h float64) {
	for _, g := range c.faces.letters(roles[role].font.face(), text) {
		w += g.advance
	}
	return w * c.size(role), lineBox * c.size(role)
}

// Fit is the text, cut in its middle with an ellipsis to the width in pixels: names that begin
// alike end differently. Where not even the ellipsis has room, it is empty.
func (c *Canvas) Fit(text string, role Role, width float64) string {
	return c.cut(text, role, width, 0.5)
}

// FitApart is texts, each cut to a width in pixels of its own, so that no two that differ become
// the same, if there is any way to cut them so.
func (c *Canvas) FitApart(texts []string, role Role, width func(i int) float64) []string {
	out := make([]string, len(texts))
	for i, text := range texts {
		for _, share := range []float64{0.5, 0.75, 0.25, 0.9, 0.1, 0.5} {
			out[i] = c.cut(text, role, width(i), share)
			if !slices.ContainsFunc(texts[:i], func(other string) bool {
				k := slices.Index(texts, other)
				return other != text && out[k] == out[i]
			}) {
				break
			}
		}
	}
	return out
}

// cut is the text with an ellipsis for as much as has to go, and a share of what stays before it.
func (c *Canvas) cut(text string, role Role, width, share float64) string {
	wide := func(s string) bool { w, _ := c.Measure(s, role); return w > width }
	if !wide(text) {
		return text
	}
	letters := []rune(text)
	for n := len(letters) - 1; n > 0; n-- {
		head := int(math.Ceil(share * float64(n)))
		before, after := string(letters[:head]), string(letters[len(letters)-n+head:])
		if s := strings.TrimRight(before, " ") + "…" + strings.TrimLeft(after, " "); !wide(s) {
			return s
		}
	}
	if !wide("…") {
		return "…"
	}
	return ""
}

// Wrap divides a text between words into lines of at most the width in pixels. A word that is too
// long is cut.
func (c *Canvas) Wrap(text string, role Role, width float64) []string {
	var lines []string
	line := ""
	for _, word := range unbroken(strings.Fields(text)) {
		longer := strings.TrimLeft(line+" "+word, " ")
		if w, _ := c.Measure(longer, role); w > width && line != "" {
			lines = append(lines, line)
			longer = word
		}
		line = c.Fit(longer, role, width)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// unbroken joins numbers and the short words after them, which are units as a rule.
func unbroken(words []string) (joined []string) {
	for _, word := range words {
		if n := len(joined) - 1; n >= 0 && utf8.RuneCountInString(strings.TrimRight(word, ".,;)")) <= 2 {
			if last := joined[n]; '0' <= last[len(last)-1] && last[len(last)-1] <= '9' {
				joined[n] += " " + word
				continue
			}
		}
		joined = append(joined, word)
	}
	return joined
}

// PlatePadX and PlatePadY are the padding of a plate, units.
const PlatePadX, PlatePadY = 8, 3

// Write writes a text at p and returns the upright box around all that was drawn, plate or halo
// included.
func (c *Canvas) Write(p Point, text string, l Lettering) Rect {
	if l.Max > 0 {
		text = c.Fit(text, l.Role, l.Max/l.size())
	}
	if text == "" || !Finite(p) {
		return R(p.X, p.Y, p.X, p.Y)
	}
	words, w, h := c.words(p, text, l)
	padX, padY := 0.0, 0.0
	switch l.Backing {
	case Plate:
		padX, padY = c.U(PlatePadX), c.U(PlatePadY)
	case Halo:
		padX = c.U(HaloWidth)
	}
	corners := []Point{
		words.Place(-padX, -padY), words.Place(w+padX, -padY), words.Place(w+padX, h+padY), words.Place(-padX, h+padY),
	}
	box := BoundsOf(corners)
	if l.Backing == Plate {
		c.plate(corners, l.Angle == 0)
	}
	if box.Overlaps(c.Bounds) {
		c.surface.Words(words)
	}
	return box
}

// words is a text as it is drawn at p, and the width and height (px) of its line box.
func (c *Canvas) words(p Point, text string, l Lettering) (words Words, w, h float64) {
	w, h = c.Measure(text, l.Role)
	w, h = l.size()*w, l.size()*h
	font := roles[l.Role].font
	words = Words{
		Text: c.faces.spelled(font.face(), text), Font: font, Size: l.size() * c.size(l.Role), Colour: l.Colour,
		At: p, Right: -l.AnchorX * w, Down: -l.AnchorY * h, Angle: l.Angle,
	}
	if l.Angle == 0 { // upright text stands on whole pixels, which keeps the feet of the letters sharp
		words.At.Y = math.Round(p.Y+words.Down+ascent*words.Size) - words.Down - ascent*words.Size
	}
	switch {
	case l.Colour.A != 0:
	case l.Role == Caution:
		words.Colour = c.Theme.Caution
	default:
		words.Colour = c.Theme.Ink
	}
	if l.Backing == Halo {
		words.Halo, words.HaloColour = c.U(HaloWidth), c.Theme.Background
	}
	return words, w, h
}

// plate draws the plate of a text, by its corners.
func (c *Canvas) plate(corners []Point, upright bool) {
	edge := Pen{Colour: c.Theme.PlateEdge, Width: 1}
	if upright {
		c.Box(R(corners[0].X, corners[0].Y, corners[2].X, corners[2].Y), 5, c.Theme.Plate, edge)
		return
	}
	c.Fill(c.Theme.Plate, corners)
	c.Outline(corners, edge)
}

// HaloWidth is how far a halo reaches on every side of a stroke of the letters, units.
const HaloWidth = 3
