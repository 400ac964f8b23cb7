package render

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image/png"
	"math"
	"slices"
	"testing"

	"beamfall/geometry"
	"beamfall/render/draw"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// sheetOf is the text of a sheet for a subject, as a caller would write it.
func sheetOf(s Subject) SheetText {
	const wall = 7.62 // m
	t := SheetText{
		Wall: s.length(wall), GroundReading: "0.4°",
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
		pages, err := drawSheet(trail(), paper, sheetOf(trail()))
		if err != nil {
			t.Fatal(err)
		}
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
	if _, err := drawSheet(trail(), PaperSize{}, SheetText{}); err == nil {
		t.Error("no paper: not refused")
	}
}

// A copier has no grey: but for the smoothing of edges all is black or white.
func TestSheetIsBlackOnWhite(t *testing.T) {
	pages, err := drawSheet(trail(), A4, sheetOf(trail()))
	if err != nil {
		t.Fatal(err)
	}
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
			} else if v.R < 255 && im.RGBAAt(x-1, y) == v && im.RGBAAt(x, y-1) == v && im.RGBAAt(x-1, y-1) == v {
				t.Fatalf("grey area %v at %d, %d", v, x, y)
			}
		}
	}
	if black < 10000 {
		t.Errorf("only %d black dots", black)
	}
}

// rail is a rig of n lamps all over a vehicle.
func rail(n int) Subject {
	s := trail()
	lamps := s.Scene.Lamps[:0:0]
	for i := range n {
		lamps = append(lamps, s.Scene.Lamps[i%len(s.Scene.Lamps)])
		lamps[i].Name = fmt.Sprintf("lamp %d of a row with a rather long name", i+1)
		lamps[i].At.X = -5 + 5*float64(i%7)/7
		lamps[i].At.Y = -0.9 + 1.8*float64(i%11)/11
		lamps[i].At.Z = 0.4 + 1.8*float64(i%5)/5
		lamps[i].Place = lamps[i].At
		s.Keys = append(s.Keys, i+1)
	}
	s.Scene.Lamps = lamps
	return s
}

// All lamps are on the sheet, on one page up to two dozen of them, and on as many pages as it takes else.
func TestSheetHasAllLamps(t *testing.T) {
	for i, c := range []struct{ lamps, pages int }{{0, 1}, {24, 1}, {60, 2}, {1, 1}, {12, 1}, {200, 4}} {
		for k, paper := range []PaperSize{Letter, A4} {
			if (i+k)%2 == 0 && !*sweep || c.lamps > 60 && !*sweep {
				continue
			}
			s := rail(c.lamps)
			text := sheetOf(s)
			pages, err := drawSheet(s, paper, text)
			if err != nil {
				t.Fatal(err)
			}
			if len(pages) < c.pages || c.pages == 1 && len(pages) > 1 || len(pages) > 2*c.pages {
				t.Errorf("%s: %d pages for %d lamps, want %d or some more", paper.Name, len(pages), c.lamps, c.pages)
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
	b, width := sheet{text: text}, sheetArea(c).W()
	lines := b.noteLines(c, width)
	if len(lines) != 6 || lines[5] != "and 17 more notes, as in the table" {
		t.Errorf("notes are %q", lines)
	}
	if b.text.Notes = text.Notes[:6]; !slices.Equal(b.noteLines(c, width), text.Notes[:6]) {
		t.Errorf("six notes are %q", b.noteLines(c, width))
	}
}

func BenchmarkSheet(b *testing.B) {
	s := trail()
	for b.Loop() {
		if _, err := drawSheet(s, A4, sheetOf(s)); err != nil {
			b.Fatal(err)
		}
	}
}

// The drawings say in full where they are seen from, however narrow the vehicle is.
func TestSheetSaysWhereItsDrawingsAreSeenFrom(t *testing.T) {
	narrow := trail()
	narrow.Vehicle.Width, narrow.Scene.Site.Body = 0.8, []geometry.Box{{Min: r3.Vec{X: -5.2, Y: -0.4, Z: 0.5}, Max: r3.Vec{X: 0, Y: 0.4, Z: 2}}}
	long := trail()
	long.Vehicle.Length, long.Scene.Site.Body = 18, []geometry.Box{{Min: r3.Vec{X: -18, Y: -1.2, Z: 0.5}, Max: r3.Vec{X: 0, Y: 1.2, Z: 2}}}
	rigs := []Subject{awkward()[1], narrow, long}
	if *sweep {
		rigs = append(rigs, awkward()...)
	}
	for _, s := range rigs {
		pages, err := drawSheet(s, A4, sheetOf(s))
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range []string{"seen from the right", "seen from ahead"} {
			w, _ := pages[0].Measure(text, draw.Small)
			if !slices.ContainsFunc(pages[0].labels, func(r draw.Rect) bool { return math.Abs(r.W()-w) < 0.01 }) {
				t.Errorf("%s: no text as wide as %q", s.Rig, text)
			}
		}
	}
}

// There are lines for remarks, on the last page if the first is full.
func TestSheetHasRoomForRemarks(t *testing.T) {
	for _, n := range []int{1, 12, 30} {
		s := rail(n)
		pages, err := drawSheet(s, Letter, sheetOf(s))
		if err != nil {
			t.Fatal(err)
		}
		last := pages[len(pages)-1]
		w, _ := last.Measure("remarks", draw.Small)
		if !slices.ContainsFunc(last.labels, func(r draw.Rect) bool { return math.Abs(r.W()-w) < 0.01 }) {
			t.Errorf("%d lamps: no remarks on page %d", n, len(pages))
		}
	}
}
