package draw

import (
	"image"
	"math"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestFit(t *testing.T) {
	c := canvas(t, 1600, 200, Night())
	long := strings.Repeat("long name of a lamp ", 10) // 200 letters
	for _, text := range []string{"fog", "forty letters, a rather long name for it", long, long + "(right)",
		"灯灯灯灯灯灯灯灯灯灯灯灯", "", "x (left)"} {
		for _, width := range []float64{0, 5, 20, 60, 150, 300, 1000, 5000} {
			got := c.Fit(text, Label, width)
			if w, _ := c.Measure(got, Label); w > width {
				t.Errorf("%q in %g px is %q, %g px wide", text, width, got, w)
			}
			whole, _ := c.Measure(text, Label)
			if (whole <= width) != (got == text) {
				t.Errorf("%q, %g px wide, in %g px is %q", text, whole, width, got)
			}
			if got != text && got != "" && !strings.Contains(got, "…") {
				t.Errorf("%q in %g px is %q, cut without an ellipsis", text, width, got)
			}
			if !utf8.ValidString(got) {
				t.Errorf("%q in %g px is %q, cut within a letter", text, width, got)
			}
		}
	}
	// Which of a pair it is must be seen.
	for _, side := range []string{" (left)", " (right)"} {
		if got := c.Fit(long+side, Label, 300); !strings.HasPrefix(got, "long") || !strings.HasSuffix(got, side) {
			t.Errorf("a long name%s in 300 px is %q", side, got)
		}
	}
}

// Names that differ anywhere are cut so that they still do, and equal ones alike.
func TestFitApart(t *testing.T) {
	c := canvas(t, 1600, 200, Night())
	texts := []string{
		"driving lamp on the upper rail of the cab, outer (left)",
		"driving lamp on the upper rail of the cab, outer (right)",
		"driving lamp on the upper rail of the cab, inner (left)",
		"driving lamp on the lower rail of the cab, inner (left)",
		"driving lamp on the upper rail of the cab, inner (left)", "fog",
	}
	for _, width := range []float64{180, 250, 400, 2000} {
		got := c.FitApart(texts, Label, func(int) float64 { return width })
		for i, a := range got {
			if w, _ := c.Measure(a, Label); w > width {
				t.Errorf("%q is %g px wide, want %g", a, w, width)
			}
			for k, b := range got[:i] {
				if (a == b) != (texts[i] == texts[k]) {
					t.Errorf("in %g px %q is %q, and %q is %q", width, texts[i], a, texts[k], b)
				}
			}
		}
	}
}

func TestWrap(t *testing.T) {
	c := canvas(t, 1600, 200, Night())
	text := "never look into a lit lamp; set up with people out of the beam"
	lines := c.Wrap(text, Caution, 300)
	if strings.Join(lines, " ") != text || len(lines) < 2 {
		t.Errorf("%q", lines)
	}
	for _, line := range append(lines, c.Wrap("Donaudampfschifffahrtsgesellschaft", Caution, 300)...) {
		if w, _ := c.Measure(line, Caution); w > 300 {
			t.Errorf("%q is %g px wide, want 300", line, w)
		}
	}
}

// A number stays with its unit, wherever the line ends.
func TestWrapKeepsNumbersWithUnits(t *testing.T) {
	c := canvas(t, 1600, 200, Night())
	text := "a person, 1.70 m high, is seen to 208 m in a glance of 0.2 s by 30 lx"
	for width := 120.0; width < 900; width += 7 {
		for _, line := range c.Wrap(text, Small, width) {
			for _, unit := range []string{"m", "m,", "s", "lx"} {
				if line == unit || strings.HasPrefix(line, unit+" ") {
					t.Errorf("in %g px a line begins with %q: %q", width, unit, line)
				}
			}
		}
	}
}

// Whatever a name is made of, it is drawn as something: an accent that the font lacks is lost
// before the letter is, an unknown letter is a question mark, and what cannot be seen takes no
// room.
func TestLettersThatTheFontLacks(t *testing.T) {
	c := canvas(t, 1600, 200, Night())
	for _, q := range []struct{ text, like string }{
		{"灯", "?"},
		{"💡", "?"},
		{"ế", "e"},       // no such letter in the Go fonts
		{"e\u0301", "é"}, // a letter and its accent apart
		{"a\u00a0b", "a b"},
		{"a\tb\n", "a b "},
		{"a\u200b\ufeffb", "ab"}, // blanks of no width
		{"\x00\x07a", "a"},
		{"a\xffb", "a\ufffdb"}, // not UTF-8; the font has a sign for that
		{"ﬁ", "ﬁ"},
	} {
		got, _ := c.Measure(q.text, Label)
		want, _ := c.Measure(q.like, Label)
		if got != want || want == 0 {
			t.Errorf("%q is %g px wide, want that of %q, %g", q.text, got, q.like, want)
		}
		c.Write(Pt(50, 50), q.text, Lettering{})
	}
	// What the pictures themselves write must be there.
	for _, r := range "0123456789.,−°×½¼…–²·→≥≤≈±′″ÄÖÜäöüßéèçñøåŁł" {
		for _, role := range []Role{Label, Title} {
			if c.faces.glyph(roles[role].font.face(), r) == nil {
				t.Errorf("%q is missing in the font of role %d", r, role)
			}
		}
	}
}

// changed is the box around all pixels that differ from the background.
func changed(c *Canvas) Rect {
	var box image.Rectangle
	im, bare := c.Image(), c.Theme.Background
	for y := range im.Rect.Dy() {
		row := im.Pix[im.PixOffset(0, y):im.PixOffset(im.Rect.Dx(), y)]
		for x := 0; x < len(row); x += 4 {
			if row[x] != bare.R || row[x+1] != bare.G || row[x+2] != bare.B {
				box = box.Union(image.Rect(x/4, y, x/4+1, y+1))
			}
		}
	}
	return R(float64(box.Min.X), float64(box.Min.Y), float64(box.Max.X), float64(box.Max.Y))
}

// What Write says that it drew on is all that it drew on, so that layouts can trust it.
func TestWriteStaysInItsBox(t *testing.T) {
	for _, backing := range []Backing{Bare, Halo, Plate} {
		for _, angle := range []float64{0, 0.4, math.Pi / 2, -1.2} {
			for _, anchor := range []float64{0, 0.5, 1} {
				c := canvas(t, 800, 800, Paper())
				box := c.Write(Pt(400, 400), "Ágjpqy roof bar, 30 lx",
					Lettering{Role: Title, Backing: backing, Angle: angle, AnchorX: anchor, AnchorY: anchor})
				if ink := changed(c); !box.Inset(-1.5).Contains(ink) { // an edge line's half width, and a pixel
					t.Errorf("backing %d, angle %g, anchor %g: ink in %v, box %v", backing, angle, anchor, ink, box)
				}
			}
		}
	}
}

// Type scales with the width of the picture, exactly.
func TestTypeScales(t *testing.T) {
	w1, h1 := canvas(t, 1600, 200, Night()).Measure("roof bar", Label)
	for _, width := range []int{400, 3200, 4000} {
		w, h := canvas(t, width, 200, Night()).Measure("roof bar", Label)
		if k := float64(width) / 1600; math.Abs(w-k*w1) > 1e-9 || math.Abs(h-k*h1) > 1e-9 {
			t.Errorf("%d px: %g × %g, want %g times %g × %g", width, w, h, k, w1, h1)
		}
	}
}

// A line that a text with a halo lies on is not seen between its words, where it would read as a
// dash: "10-m".
func TestHaloHidesLinesBetweenWords(t *testing.T) {
	for _, angle := range []float64{0, 0.4, -1.2} {
		c := canvas(t, 4000, 800, Night())
		sin, cos := math.Sincos(angle)
		along := func(x float64) Point { return Pt(400+x*cos, 400-x*sin) }
		line := Hex(0x00ff00)
		c.Line([]Point{along(-300), along(300)}, Pen{Colour: line, Width: 3})
		c.Write(along(0), "10 m", Lettering{Role: Label, Backing: Halo, AnchorX: 0.5, AnchorY: 0.5, Angle: angle})
		w, _ := c.Measure("10 m", Label)
		from, _ := c.Measure("10", Label)
		to, _ := c.Measure("10 ", Label)
		if p := along(-280); c.Image().RGBAAt(int(p.X), int(p.Y)) != line {
			t.Fatalf("at %.1f rad: no line beside the text", angle)
		}
		for x := from - w/2; x <= to-w/2; x++ {
			if p := along(x); c.Image().RGBAAt(int(p.X), int(p.Y)) == line {
				t.Errorf("at %.1f rad: the line is seen %.0f px along the text", angle, x)
				break
			}
		}
	}
}

// A hyphen joins words and a minus is a sign: "off-road" has half the stroke of "−5".
func TestHyphensAreShorterThanMinuses(t *testing.T) {
	stroke := func(text string, role Role) float64 {
		c := canvas(t, 6400, 400, Paper())
		c.Write(Pt(100, 20), text, Lettering{Role: role})
		return changed(c).W()
	}
	for _, role := range []Role{Label, Title, Heading, Small, Caution} {
		if hyphen, minus := stroke("-", role), stroke("−", role); hyphen > 0.65*minus || hyphen < 0.3*minus {
			t.Errorf("role %d: a hyphen of %g px, a minus of %g px", role, hyphen, minus)
		}
	}
}

func BenchmarkWords(b *testing.B) {
	c, err := New(1600, 1300, Night())
	if err != nil {
		b.Fatal(err)
	}
	text := strings.Repeat("as long as a caption ", 4)
	for name, backing := range map[string]Backing{"bare": Bare, "halo": Halo} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				c.Write(Pt(60, 700), text, Lettering{Backing: backing})
			}
		})
	}
}
