package draw

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	fixedpoint "golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// Type is drawn from the outlines of the Go fonts, without hinting: letters have the same shape and
// spacing at every width of the picture, can stand at any angle, and get a halo by drawing their
// outline thick beneath.

// Role is what a text is for, which decides its font and size.
type Role int

const (
	Label   Role = iota // names and figures in the picture
	Title               // of the picture
	Heading             // of a part of it
	Small               // ticks, legends
	Caution             // warnings; bold, in the caution colour
	Key                 // numbers of a key
)

// roles gives the size in units: a small text is still 6 px high when a picture is shown 400 px
// wide.
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
}

// Size is the letter height of a role in units.
func (r Role) Size() float64 { return roles[r].size }

// Font is one of the Go fonts.
type Font int

// The fonts.
const (
	Regular Font = iota
	Bold
)

// TTF is the font as a TrueType file.
func (f Font) TTF() []byte {
	return [...][]byte{Regular: goregular.TTF, Bold: gobold.TTF}[f]
}

func (f Font) face() *sfnt.Font {
	return [...]func() *sfnt.Font{Regular: regular, Bold: bold}[f]()
}

var (
	regular = sync.OnceValue(func() *sfnt.Font { return parse(goregular.TTF) })
	bold    = sync.OnceValue(func() *sfnt.Font { return parse(gobold.TTF) })
)

func parse(ttf []byte) *sfnt.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("embedded font: " + err.Error())
	}
	return f
}

// em is the size that outlines are read at: that of the fonts' own grid, so nothing is rounded.
const em = 2048

// The line box, in shares of the size: the ascent and descent of the Go fonts. capHeight is that of
// their capitals.
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

// Hyphen is the letter that the Go fonts draw a hyphen as: their "-" is as wide as a minus.
const Hyphen = '\u00ad'

// letters is the outlines for a text.
func (t *typesetter) letters(f *sfnt.Font, text string) (gs []*glyph) {
	t.spell(f, text, func(_ rune, g *glyph) { gs = append(gs, g) })
	return gs
}

// spelled is a text in letters that a font has.
func (t *typesetter) spelled(f *sfnt.Font, text string) string {
	var out strings.Builder
	t.spell(f, text, func(r rune, _ *glyph) { out.WriteRune(r) })
	return out.String()
}

// spell adds the letters of a text one by one, as a font has them. What cannot be seen is left out,
// blanks of all kinds are one blank; a letter that the font lacks loses its accent if that helps,
// and else is a question mark.
func (t *typesetter) spell(f *sfnt.Font, text string, add func(r rune, g *glyph)) {
	for _, r := range norm.NFC.String(text) {
		switch {
		case unicode.IsSpace(r):
			r = ' '
		case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Mn, unicode.Me):
			continue
		case r == '-':
			add(r, t.glyph(f, Hyphen))
			continue
		}
		g := t.glyph(f, r)
		if g == nil {
			for _, base := range norm.NFKD.String(string(r)) {
				r, g = base, t.glyph(f, base)
				break
			}
		}
		if g == nil {
			r, g = '?', t.glyph(f, '?')
		}
		add(r, g)
	}
}

// Lacking is the letters of a text that the fonts have no shape for, each once: in pictures they
// are question marks.
func Lacking(text string) string {
	t := newTypesetter()
	var lacking []rune
	for _, r := range norm.NFC.String(text) {
		t.spell(regular(), string(r), func(has rune, _ *glyph) {
			if has == '?' && r != '?' && !slices.Contains(lacking, r) {
				lacking = append(lacking, r)
			}
		})
	}
	return string(lacking)
}
