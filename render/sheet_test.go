package render

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"beamfall/geometry"
	"beamfall/render/draw"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// sheetOf is the sheet of a subject, as a caller would write it.
func sheetOf(s Subject) Sheet {
	const wall = 7.62 // m
	t := Sheet{
		Subject: s, Wall: s.length(wall), GroundReading: "0.4°", Tolerance: "±0.5°",
		Files: "rig file trail.toml 0123abcd",
		Notes: []string{"output of lamps not given: 1 assumed", "reflectance of the ground not given: 0.2 assumed"},
	}
	for i := range s.Scene.Lamps {
		l := &s.Scene.Lamps[i].Lamp
		row := SheetRow{
			Key: s.key(i), Lamp: l.Name, Height: s.length(l.At.Z),
			Tilt: units.Degrees(l.Aim.Tilt), Reading: units.Degrees(l.Aim.Tilt + 0.4*math.Pi/180),
			WallHeight: "–", WallSide: "–",
		}
		if mark, ok := l.WallMark(wall); ok {
			row.WallHeight = s.mark(mark.Z)
			row.WallSide = s.mark(math.Abs(mark.Y))
			switch {
			case mark.Y > 1e-3:
				row.WallSide += " left"
			case mark.Y < -1e-3:
				row.WallSide += " right"
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// sheetPages are the pages of a sheet as pictures.
func sheetPages(t testing.TB, s Sheet, paper PaperSize) (pages []*sheetPage) {
	t.Helper()
	open := func() (*draw.Canvas, error) { return blankPaper(paper) }
	if _, err := drawSheets([]Sheet{s}, paper, open,
		func(p *sheetPage) error { pages = append(pages, p); return nil }); err != nil {
		t.Fatal(err)
	}
	return pages
}

// hasText says whether a page has a text of the width of one.
func (p *sheetPage) hasText(text string, role draw.Role) bool {
	w, _ := p.Measure(text, role)
	return slices.ContainsFunc(p.labels, func(r draw.Rect) bool { return math.Abs(r.W()-w) < 0.01 })
}

// A4 is 210 mm × 297 mm (ISO 216), Letter 8.5 in × 11 in (ANSI/ASME Y14.1); at 200 dots per inch.
func TestSheetIsTheSizeOfPaper(t *testing.T) {
	for _, c := range []struct {
		paper         string
		width, height int
	}{
		{"a4", 1654, 2339},
		{"letter", 1700, 2200},
	} {
		paper, err := PaperNamed(c.paper)
		if err != nil {
			t.Fatal(err)
		}
		pages := sheetPages(t, sheetOf(trail()), paper)
		if len(pages) != 1 {
			t.Errorf("%s: %d pages for eight lamps", c.paper, len(pages))
		}
		var file bytes.Buffer
		if err := pages[0].EncodePrint(&file, SheetDPI); err != nil {
			t.Fatal(err)
		}
		// 200 dpi are 7874 dots per metre (PNG, chunk pHYs).
		at := bytes.Index(file.Bytes(), []byte("pHYs"))
		if at < 0 || binary.BigEndian.Uint32(file.Bytes()[at+4:]) != 7874 {
			t.Errorf("%s: the file does not say 7874 dots per metre", c.paper)
		}
		im, err := png.Decode(&file)
		if err != nil {
			t.Fatal(err)
		}
		if b := im.Bounds(); b.Dx() != c.width || b.Dy() != c.height {
			t.Errorf("%s: %d × %d dots, want %d × %d", c.paper, b.Dx(), b.Dy(), c.width, c.height)
		}
	}
	if _, err := PaperNamed("a3"); err == nil {
		t.Error("paper a3: not refused")
	}
	if _, _, err := SheetDocument([]Sheet{sheetOf(trail())}, PaperSize{}); err == nil {
		t.Error("no paper: not refused")
	}
}

// A copier has no grey: but for the smoothing of edges all is black or white.
func TestSheetIsBlackOnWhite(t *testing.T) {
	pages := sheetPages(t, sheetOf(trail()), A4)
	im := pages[0].Image()
	black := 0
	for y := 1; y < im.Bounds().Dy(); y++ {
		for x := 1; x < im.Bounds().Dx(); x++ {
			v := im.RGBAAt(x, y)
			if v.R != v.G || v.G != v.B {
				t.Fatalf("colour %v at %d, %d", v, x, y)
			}
			if v.R == 0 {
				black++
			} else if v.R < 255 && x > 1 && y > 1 && alike(im, v, x-2, y-2) {
				t.Fatalf("grey area %v at %d, %d", v, x, y)
			}
		}
	}
	if black < 10000 {
		t.Errorf("only %d black dots", black)
	}
}

// alike says whether the nine pixels from x, y on are all of a colour.
func alike(im *image.RGBA, v color.RGBA, x, y int) bool {
	for i := range 9 {
		if im.RGBAAt(x+i%3, y+i/3) != v {
			return false
		}
	}
	return true
}

// rail is a rig of n lamps all over a vehicle.
func rail(n int) Subject {
	s := newTrail()
	lamps := s.Scene.Lamps[:0:0]
	for i := range n {
		lamps = append(lamps, s.Scene.Lamps[i%len(s.Scene.Lamps)])
		lamps[i].Lamp.Name = fmt.Sprintf("lamp %d of a row with a rather long name", i+1)
		lamps[i].Lamp.At.X = -5 + 5*float64(i%7)/7
		lamps[i].Lamp.At.Y = -0.9 + 1.8*float64(i%11)/11
		lamps[i].Lamp.At.Z = 0.4 + 1.8*float64(i%5)/5
		lamps[i].Place = lamps[i].Lamp.At
		s.Keys = append(s.Keys, i+1)
	}
	s.Scene.Lamps = lamps
	return s
}

// All lamps are on the sheet, on one page up to a dozen of them with long names, and on as many
// pages as it takes else.
func TestSheetHasAllLamps(t *testing.T) {
	for i, c := range []struct{ lamps, least, most int }{{0, 1, 1}, {24, 1, 2}, {60, 2, 4}, {1, 1, 1}, {12, 1, 1},
		{200, 5, 10}} {
		for k, paper := range []PaperSize{Letter, A4} {
			if (i+k)%2 == 0 && !*sweep || c.lamps > 60 && !*sweep {
				continue
			}
			s := rail(c.lamps)
			text := sheetOf(s)
			pages := sheetPages(t, text, paper)
			if len(pages) < c.least || len(pages) > c.most {
				t.Errorf("%s: %d pages for %d lamps, want %d to %d", paper.Name, len(pages), c.lamps, c.least, c.most)
			}
			boxes := 0
			for k, page := range pages {
				boxes += len(page.boxes)
				for _, r := range page.boxes {
					im, x, y := page.Image(), int(r.Centre().X), int(r.Centre().Y)
					if im.RGBAAt(int(r.X0), y).R > 128 || im.RGBAAt(x, int(r.Y1)).R > 128 || im.RGBAAt(x, y).R < 128 {
						t.Errorf("%s: no empty box at %v", paper.Name, r)
					}
				}
				disjoint(t, fmt.Sprintf("%s: page %d of %d lamps", paper.Name, k+1, c.lamps), page.labels, page.Bounds)
			}
			if boxes != c.lamps {
				t.Errorf("%s: %d boxes to tick for %d lamps", paper.Name, boxes, c.lamps)
			}
		}
	}
}

// disjoint reports boxes that overlap, or leave the picture.
func disjoint(t *testing.T, name string, boxes []draw.Rect, picture draw.Rect) {
	t.Helper()
	for i, a := range boxes {
		if !picture.Contains(a) {
			t.Errorf("%s: text %d leaves the picture: %v", name, i, a)
		}
		for _, b := range boxes[:i] {
			if a.Overlaps(b) {
				t.Errorf("%s: texts overlap: %v, %v", name, a, b)
			}
		}
	}
}

// Notes that have no room are counted.
func TestSheetNotes(t *testing.T) {
	text := sheetOf(trail())
	for i := range 20 {
		text.Notes = append(text.Notes, fmt.Sprintf("note %d", i))
	}
	c, err := draw.New(1654, 2339, copierTheme())
	if err != nil {
		t.Fatal(err)
	}
	b, width := sheet{Sheet: text}, sheetArea(c).W()
	lines := b.noteLines(c, width)
	if len(lines) != 4 || lines[3] != "and 19 more notes, as in the table" {
		t.Errorf("notes are %q", lines)
	}
	if b.Notes = text.Notes[:4]; !slices.Equal(b.noteLines(c, width), text.Notes[:4]) {
		t.Errorf("four notes are %q", b.noteLines(c, width))
	}
}

func BenchmarkSheet(b *testing.B) {
	s := newTrail()
	for b.Loop() {
		sheetPages(b, sheetOf(s), A4)
	}
}

// The drawings say in full where they are seen from, however narrow the vehicle is.
func TestSheetSaysWhereItsDrawingsAreSeenFrom(t *testing.T) {
	narrow := newTrail()
	narrow.Vehicle.Width, narrow.Scene.Site.Body = 0.8, []geometry.Box{{Min: r3.Vec{X: -5.2, Y: -0.4, Z: 0.5},
		Max: r3.Vec{X: 0, Y: 0.4, Z: 2}}}
	long := newTrail()
	long.Vehicle.Length, long.Scene.Site.Body = 18, []geometry.Box{{Min: r3.Vec{X: -18, Y: -1.2, Z: 0.5},
		Max: r3.Vec{X: 0, Y: 1.2, Z: 2}}}
	rigs := []Subject{awkward()[1], narrow, long}
	if *sweep {
		rigs = append(rigs, awkward()...)
	}
	for _, s := range rigs {
		pages := sheetPages(t, sheetOf(s), A4)
		for _, text := range []string{"seen from the right", "seen from ahead"} {
			if !pages[0].hasText(text, draw.Small) && !pages[0].hasText(text+"; rings: at the back", draw.Small) {
				t.Errorf("%s: no text as wide as %q", s.Rig, text)
			}
		}
	}
}

// There are lines for remarks, on the last page if the first is full.
func TestSheetHasRoomForRemarks(t *testing.T) {
	for _, n := range []int{1, 12, 30} {
		s := rail(n)
		pages := sheetPages(t, sheetOf(s), Letter)
		last := pages[len(pages)-1]
		if !last.hasText("remarks", draw.Small) {
			t.Errorf("%d lamps: no remarks on page %d", n, len(pages))
		}
	}
}

// Every page can be signed by itself, and says what it is of.
func TestSheetIsSignedOnEveryPage(t *testing.T) {
	s := sheetOf(rail(60))
	s.Record = SheetRecord{Registration: "AB 123", Installer: "Łucja Öberg"}
	pages := sheetPages(t, s, A4)
	if len(pages) < 2 {
		t.Fatalf("%d pages", len(pages))
	}
	for k, p := range pages {
		for _, text := range []string{"signature", "date, place", "installer, in print", "Łucja Öberg"} {
			if !p.hasText(text, draw.Small) {
				t.Errorf("page %d has no %q", k+1, text)
			}
		}
		if !p.hasText("registration AB 123 · setting sheet · vehicle parked on level ground", draw.Label) &&
			s.Subject.Name == "" {
			t.Errorf("page %d does not say what vehicle it is of", k+1)
		}
	}
}

// Turn and roll have columns where a lamp has any, as what was found and how far off it is has.
func TestSheetTableHasTheColumnsItNeeds(t *testing.T) {
	c, err := blankPaper(A4)
	if err != nil {
		t.Fatal(err)
	}
	heads := func(rows ...SheetRow) (heads []string) {
		for _, f := range newSheetTable(c, rows, 0, 1500, 1).figures {
			heads = append(heads, f.head[1])
		}
		return heads
	}
	if h := heads(SheetRow{}, SheetRow{}); len(h) != 7 || slices.Contains(h, "turn") || slices.Contains(h, "off") {
		t.Errorf("columns of plain lamps are %q", h)
	}
	h := heads(SheetRow{Turn: "5.0° L"}, SheetRow{Roll: "7.0° R down"}, SheetRow{Off: "+1.0°"})
	if !slices.Equal(h, []string{"height", "tilt", "turn", "roll", "reads", "height", "centreline", "found", "off",
		"set"}) {
		t.Errorf("columns of all are %q", h)
	}
}

// No name is cut, whatever its length.
func TestSheetNamesAreWhole(t *testing.T) {
	c, err := blankPaper(Letter)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"roof bar", strings.Repeat("long ", 40) + "(left)", strings.Repeat("Überlänge", 20)} {
		table := newSheetTable(c, []SheetRow{{Lamp: name, Height: "12 ft 11 3/4 in", Turn: "90.0° L",
			Roll: "10.0° R down"}}, 0, 1500, 1)
		if got := strings.Join(table.names[0], ""); strings.ReplaceAll(got, " ", "") != strings.ReplaceAll(name, " ",
			"") {
			t.Errorf("%q is written as %q", name, table.names[0])
		}
	}
}

// All vehicles are in one document: its pages are numbered through, its text is text, and the mark
// at the foot of its pages is 100 mm long on paper.
func TestSheetDocument(t *testing.T) {
	one, two := sheetOf(awkward()[2]), sheetOf(rail(40))
	one.Record.Registration, one.Files = "KA 12", "rig file 7.toml 3f2a9c14, base fleet.toml 11aa22bb"
	d, pages, err := SheetDocument([]Sheet{one, two}, Letter)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(pages, []int{1, 2}) {
		t.Errorf("the sheets have %v pages, want one and two", pages)
	}
	name := filepath.Join(t.TempDir(), "sheet.pdf")
	var file bytes.Buffer
	if err := d.Encode(&file); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, file.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, program := range []string{"pdftotext", "pdfinfo", "pdftoppm"} {
		if _, err := exec.LookPath(program); err != nil {
			t.Skipf("there is no %s here", program)
		}
	}
	run := func(program string, args ...string) string {
		t.Helper()
		out, err := exec.Command(program, args...).CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v\n%s", program, err, out)
		}
		return string(out)
	}
	if info := run("pdfinfo", name); !strings.Contains(info, "612 x 792 pts (letter)") ||
		!regexp.MustCompile(`Pages: +3\n`).MatchString(info) {
		t.Fatalf("pdfinfo says\n%s", info)
	}
	text := strings.Split(run("pdftotext", name, "-"), "\f")
	for k, wants := range [][]string{
		{"registration KA 12", "page 1 of 3", "3f2a9c14", "11aa22bb", "a lamp on the front rail with number 112",
			"signature", "as found"},
		{"page 2 of 3", "0123abcd", "lamp 1 of a row", "signature"},
		{"page 3 of 3", "0123abcd", "lamp 40 of a row", "signature", "remarks"},
	} {
		page := strings.Join(strings.Fields(text[k]), " ")
		for _, want := range wants {
			if !strings.Contains(page, want) {
				t.Errorf("page %d has no %q in\n%s", k+1, want, page)
			}
		}
	}
	// The lower half of the first page, at 254 dots to the inch, 10 to the millimetre.
	to := strings.TrimSuffix(name, ".pdf")
	run("pdftoppm", "-r", "254", "-y", "1400", "-H", "1394", "-gray", "-png", "-singlefile", name, to)
	f, err := os.Open(to + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	page, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := page.Bounds()
	for y := b.Max.Y - 1; ; y-- { // the lowest line of the page that is longer than a word
		if y < b.Min.Y {
			t.Fatal("there is no mark at the foot")
		}
		from, to := -1, -1
		for x := b.Min.X; x < b.Max.X/2+100; x++ {
			if r, _, _, _ := page.At(x, y).RGBA(); r < 0x8000 {
				if to = x + 1; from < 0 {
					from = x
				}
			} else if from >= 0 {
				break
			}
		}
		if to-from > 300 {
			if math.Abs(float64(to-from)-1000) > 4 { // its ends are round and 0.3 mm thick
				t.Errorf("the mark of 100 mm is %.1f mm long on paper", float64(to-from)/10)
			}
			break
		}
	}
}
