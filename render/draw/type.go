package draw

import (
	"image/color"
	"math"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	fixedpoint "golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// Type is drawn from the outlines of the Go fonts, without hinting: letters have the same shape and spacing at every
// width of the picture, can stand at any angle, and get a halo by drawing their outline thick beneath.

// Role is what a text is for, which decides its font and size.
type Role int

const (
	Label   Role = iota // names and figures in the picture
	Title               // of the picture
	Heading             // of a part of it
	Small               // ticks, legends
	Caution             // warnings; bold, in the caution colour
	Key                 // numbers of a key
	Figures             // columns of figures, all of one width
)

// roles gives the size in units: a small text is still 6 px high when a picture is shown 400 px wide.
var roles = [...]struct {
	font Font
	size float64
}{
	Label:   {Regular, 28},
	Title:   {Bold, 42},
	Heading: {Bold, 29},
	Small:   {Regular, 25},
	Caution: {Bold, 24},
	Key:     {Bold, 28},
	Figures: {Mono, 25},
}

// Font is one of the Go fonts.
type Font int

// The fonts.
const (
	Regular Font = iota
	Bold
	Mono
)

// TTF is the font as a TrueType file.
func (f Font) TTF() []byte {
	return [...][]byte{Regular: goregular.TTF, Bold: gobold.TTF, Mono: gomono.TTF}[f]
}

func (f Font) face() *sfnt.Font {
	return [...]func() *sfnt.Font{Regular: regular, Bold: bold, Mono: mono}[f]()
}

var (
	regular = sync.OnceValue(func() *sfnt.Font { return parse(goregular.TTF) })
	bold    = sync.OnceValue(func() *sfnt.Font { return parse(gobold.TTF) })
	mono    = sync.OnceValue(func() *sfnt.Font { return parse(gomono.TTF) })
)

func parse(ttf []byte) *sfnt.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("embedded font: " + err.Error())
	}
	return f
}

// em is the number of parts of the letter height that the outlines are read in: the fonts' own, so nothing is rounded.
const em = 2048

// The line box, in shares of the size: the ascent and descent of the Go fonts. capHeight is that of their capitals.
const (
	ascent    = 0.945
	descent   = 0.211
	capHeight = 0.723
	lineBox   = ascent + descent
)

type glyph struct {
	advance  float64 // shares of the size
	segments sfnt.Segments
}

type glyphKey struct {
	font *sfnt.Font
	r    rune
}

// typesetter keeps the outlines that have been used.
type typesetter struct {
	buf    sfnt.Buffer
	glyphs map[glyphKey]*glyph
}

func newTypesetter() *typesetter { return &typesetter{glyphs: map[glyphKey]*glyph{}} }

// glyph is the outline of r; nil if the font has none.
func (t *typesetter) glyph(f *sfnt.Font, r rune) *glyph {
	key := glyphKey{f, r}
	if g, ok := t.glyphs[key]; ok {
		return g
	}
	var g *glyph
	if index, err := f.GlyphIndex(&t.buf, r); err == nil && index != 0 {
		segments, err := f.LoadGlyph(&t.buf, index, fixedpoint.I(em), nil)
		advance, err2 := f.GlyphAdvance(&t.buf, index, fixedpoint.I(em), font.HintingNone)
		if err == nil && err2 == nil {
			g = &glyph{float64(advance) / 64 / em, append(sfnt.Segments(nil), segments...)}
		}
	}
	t.glyphs[key] = g
	return g
}

// letters is the outlines for a text. What cannot be seen is left out, blanks of all kinds are one blank; a letter that the font
// lacks loses its accent if that helps, and else is a question mark.
func (t *typesetter) letters(f *sfnt.Font, text string) []*glyph {
	var gs []*glyph
	for _, r := range norm.NFC.String(text) {
		switch {
		case unicode.IsSpace(r):
			r = ' '
		case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Mn, unicode.Me):
			continue
		case r == '-':
			r = '\u00ad' // the fonts draw their hyphen as wide as a minus, and only the soft one as a hyphen
		}
		g := t.glyph(f, r)
		if g == nil {
			for _, base := range norm.NFKD.String(string(r)) {
				g = t.glyph(f, base)
				break
			}
		}
		if g == nil {
			g = t.glyph(f, '?')
		}
		gs = append(gs, g)
	}
	return gs
}

// Backing is what stands behind a text.
type Backing int

const (
	Bare  Backing = iota // nothing: for text on the background or a plate
	Halo                 // the background colour, close around each letter and between words
	Plate                // a box with an edge
)

// Lettering is how a text is written. The zero value is a bare label in ink, with its top left corner at the point.
type Lettering struct {
	Role    Role
	Colour  color.RGBA // transparent = that of the role: ink, or caution
	Backing Backing

	// Which part of the text's box is at the point, as shares of its width and height: 0,0 the top left corner,
	// 0.5,0.5 the middle, 1,1 the bottom right.
	AnchorX, AnchorY float64

	Size  float64 // times the size of the role; 0 = 1
	Angle float64 // radians, counterclockwise as seen, about the point
	Max   float64 // px; a wider text is cut with an ellipsis; 0 = any width
}

// Size is the letter height of a role in units.
func (r Role) Size() float64 { return roles[r].size }

// size is the letter height of a role in pixels.
func (c *Canvas) size(role Role) float64 { return c.U(roles[role].size) }

// Measure is the width and the height in pixels of the box of a text.
func (c *Canvas) Measure(text string, role Role) (w, h float64) {
	for _, g := range c.faces.letters(roles[role].font.face(), text) {
		w += g.advance
	}
	return w * c.size(role), lineBox * c.size(role)
}

// Fit is the text, cut with an ellipsis to the width in pixels. A last word in brackets, as in "NAME (left)", is kept
// as long as it leaves room for the name. Where not even the ellipsis has room, it is empty.
func (c *Canvas) Fit(text string, role Role, width float64) string {
	wide := func(s string) bool { w, _ := c.Measure(s, role); return w > width }
	if !wide(text) {
		return text
	}
	tail := ""
	if i := strings.LastIndex(text, " ("); i > 0 && strings.HasSuffix(text, ")") {
		if w, _ := c.Measure("…"+text[i:], role); w < 0.6*width {
			tail = text[i:]
		}
	}
	letters := []rune(strings.TrimSuffix(text, tail))
	for n := len(letters) - 1; n > 0; n-- {
		if s := strings.TrimRight(string(letters[:n]), " ") + "…" + tail; !wide(s) {
			return s
		}
	}
	if !wide("…") {
		return "…"
	}
	return ""
}

// Wrap divides a text between words into lines of at most the width in pixels. A word that is too long is cut.
func (c *Canvas) Wrap(text string, role Role, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
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

// padding of a plate, units.
const PlatePadX, PlatePadY = 8, 3

// Write writes a text at p and returns the upright box around all that was drawn, plate or halo included.
func (c *Canvas) Write(p Point, text string, l Lettering) Rect {
	if l.Max > 0 && l.Size > 0 {
		text = c.Fit(text, l.Role, l.Max/l.Size)
	} else if l.Max > 0 {
		text = c.Fit(text, l.Role, l.Max)
	}
	if text == "" || !Finite(p) {
		return R(p.X, p.Y, p.X, p.Y)
	}
	w, h := c.Measure(text, l.Role)
	size := c.size(l.Role)
	if l.Size > 0 {
		w, h, size = l.Size*w, l.Size*h, l.Size*size
	}
	words := Words{
		Text: text, Font: roles[l.Role].font, Size: size, At: p, Right: -l.AnchorX * w, Down: -l.AnchorY * h, Angle: l.Angle,
	}
	if l.Angle == 0 { // upright text stands on whole pixels, which keeps the feet of the letters sharp
		words.At.Y = math.Round(p.Y+words.Down+ascent*size) - words.Down - ascent*size
	}
	padX, padY := 0.0, 0.0
	switch l.Backing {
	case Plate:
		padX, padY = c.U(PlatePadX), c.U(PlatePadY)
	case Halo:
		padX, padY = c.U(HaloWidth), 0
	}
	corners := []Point{
		words.Place(-padX, -padY), words.Place(w+padX, -padY), words.Place(w+padX, h+padY), words.Place(-padX, h+padY),
	}
	if l.Backing == Plate {
		if l.Angle == 0 {
			c.Box(R(corners[0].X, corners[0].Y, corners[2].X, corners[2].Y), 5, c.Theme.Plate, Pen{Colour: c.Theme.PlateEdge, Width: 1})
		} else {
			c.Fill(c.Theme.Plate, corners)
			c.Outline(corners, Pen{Colour: c.Theme.PlateEdge, Width: 1})
		}
	}
	colour := l.Colour
	if colour.A == 0 {
		colour = c.Theme.Ink
		if l.Role == Caution {
			colour = c.Theme.Caution
		}
	}
	if box := BoundsOf(corners); !box.Overlaps(c.Bounds) {
		return box
	}
	if l.Backing == Halo {
		words.Halo, words.HaloColour = c.U(HaloWidth), c.Theme.Background
	}
	words.Colour = colour
	c.surface.Words(words)
	return BoundsOf(corners)
}

const HaloWidth = 3 // units, on every side of a stroke of the letters
