package pdf

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"beamfall/render/draw"
)

const dpi = 200

// everything is a page with all that a canvas can draw: lines, dashes, areas, curves, text bare,
// haloed, on plates, at angles, within a part of the page, and pixels.
func everything(c *draw.Canvas) {
	ink := draw.Pen{Colour: c.Theme.Ink, Width: 3}
	c.Line([]draw.Point{draw.Pt(100, 100), draw.Pt(500, 300), draw.Pt(900, 120)}, ink)
	c.Line([]draw.Point{draw.Pt(100, 200), draw.Pt(500, 400)},
		draw.Pen{Colour: c.Theme.Accent, Width: 4, Dash: []float64{18, 9}})
	c.Fill(draw.Hex(0x909090), draw.R(100, 450, 500, 700).Corners(), draw.R(200, 500, 400, 650).Corners())
	c.Disc(draw.Pt(700, 550), 80, c.Theme.Plate, ink)
	c.Box(draw.R(850, 450, 1100, 650), 30, c.Theme.Background, ink)
	c.Write(draw.Pt(100, 800), "Label – half-peak ½ × 3.2 m² at -1.5°", draw.Lettering{})
	c.Write(draw.Pt(100, 880), "Title, Łódź, Жук", draw.Lettering{Role: draw.Title})
	c.Write(draw.Pt(900, 900), "turned up", draw.Lettering{Angle: math.Pi / 5})
	c.Fill(draw.Hex(0x303030), draw.R(100, 1000, 700, 1100).Corners())
	c.Write(draw.Pt(120, 1020), "with a halo", draw.Lettering{Backing: draw.Halo})
	c.Write(draw.Pt(420, 1020), "on a plate", draw.Lettering{Backing: draw.Plate})
	part := c.Inside(draw.R(800, 1000, 1000, 1100))
	part.Fill(draw.Hex(0x606060), draw.R(700, 900, 1100, 1050).Corners())
	part.Write(draw.Pt(780, 1060), "cut at both ends of its part", draw.Lettering{})
	c.Inside(draw.Rect{}).Write(draw.Pt(100, 1200), "nowhere", draw.Lettering{})
	c.Pixels(draw.R(100, 1250, 300, 1350), func(y int, row []uint8) {
		for i := 0; i < len(row); i += 8 {
			row[i], row[i+1], row[i+2] = uint8(y), 80, 160
		}
	})
}

// made is a document of one A4 page of everything, with the picture that the other surface makes of
// it.
func made(t *testing.T) (file []byte, picture image.Image) {
	t.Helper()
	d := New("a “title”")
	c := d.Page(0.210, 0.297, dpi, draw.Paper())
	d.Bookmark("first", 0)
	everything(c)
	var b bytes.Buffer
	if err := d.Encode(&b); err != nil {
		t.Fatal(err)
	}
	same, err := draw.New(1654, 2339, draw.Paper())
	if err != nil {
		t.Fatal(err)
	}
	everything(same)
	return b.Bytes(), same.Image()
}

func TestSameDrawingSameBytes(t *testing.T) {
	first, _ := made(t)
	second, _ := made(t)
	if !bytes.Equal(first, second) {
		t.Error("two documents of one drawing differ")
	}
	for _, word := range []string{"Date", "(D:"} {
		if bytes.Contains(first, []byte(word)) {
			t.Errorf("the file has %q in it: it must not say when it was made", word)
		}
	}
}

// streams are the contents of a file's streams.
func streams(t *testing.T, file []byte) (all []string) {
	t.Helper()
	for _, m := range regexp.MustCompile(`(?s)stream\n(.*?)\nendstream`).FindAllSubmatch(file, -1) {
		r, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			all = append(all, string(m[1]))
			continue
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, string(text))
	}
	return all
}

// 1 pt is 1/72 in (ISO 32000-1, 8.3.2.3): 100 mm are 283.465 pt, A4 is 595.28 × 841.89 pt. Places
// are to 0.01 pt.
func TestPrintsTrue(t *testing.T) {
	d := New("")
	c := d.Page(0.210, 0.297, dpi, draw.Paper())
	const mm = dpi / 25.4
	c.Line([]draw.Point{draw.Pt(20*mm, 50*mm), draw.Pt(120*mm, 50*mm)}, draw.Pen{Colour: c.Theme.Ink, Width: 2})
	var b bytes.Buffer
	if err := d.Encode(&b); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "/MediaBox [0 0 595.28 841.89]") {
		t.Error("the page is not 595.28 × 841.89 pt, which A4 is")
	}
	m := regexp.MustCompile(`([\d.]+) ([\d.]+) m\n([\d.]+) ([\d.]+) l`).FindStringSubmatch(streams(t, b.Bytes())[0])
	var x0, y0, x1, y1 float64
	if _, err := fmt.Sscan(strings.Join(m[1:], " "), &x0, &y0, &x1, &y1); err != nil {
		t.Fatal(err)
	}
	if math.Abs(x1-x0-283.465) > 0.0101 || math.Abs(y0-(841.89-141.73)) > 0.01 || y0 != y1 {
		t.Errorf("a line of 100 mm goes from %g, %g to %g, %g", x0, y0, x1, y1)
	}
}

// poppler is the path of a file of a document, for poppler's programs, of which one is needed.
func poppler(t *testing.T, file []byte, program string) string {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("there is no %s here", program)
	}
	name := filepath.Join(t.TempDir(), "document.pdf")
	if err := os.WriteFile(name, file, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func output(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

// Text can be searched and copied as it was written, hyphens too, and its fonts are in the file.
func TestTextIsText(t *testing.T) {
	file, _ := made(t)
	name := poppler(t, file, "pdftotext")
	text := output(t, "pdftotext", "-layout", name, "-")
	for _, want := range []string{"half-peak ½ × 3.2 m² at -1.5°", "Title, Łódź, Жук", "with a halo", "on a plate"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	fonts := strings.Split(strings.TrimSpace(output(t, "pdffonts", name)), "\n")[2:]
	if len(fonts) != 2 {
		t.Errorf("fonts are %q, want the regular and the bold one", fonts)
	}
	for _, f := range fonts {
		if !regexp.MustCompile(`CID TrueType +Identity-H +yes`).MatchString(f) {
			t.Errorf("not embedded: %s", f)
		}
	}
}

// The page looks as the picture of the same drawing does: but for the smoothing of edges, which
// differs, and pixels that lie across those of the page.
func TestLooksAsThePictureDoes(t *testing.T) {
	file, want := made(t)
	name := poppler(t, file, "pdftoppm")
	to := strings.TrimSuffix(name, ".pdf")
	output(t, "pdftoppm", "-r", fmt.Sprint(dpi), "-png", "-singlefile", name, to)
	f, err := os.Open(to + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	got, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	if got.Bounds() != want.Bounds() {
		t.Fatalf("the page has %v pixels, the picture %v", got.Bounds(), want.Bounds())
	}
	// The mean over a square of so many pixels is compared.
	const side = 12
	grey := func(im image.Image, x0, y0 int) (sum float64) {
		for y := y0; y < y0+side; y++ {
			for x := x0; x < x0+side; x++ {
				r, g, b, _ := im.At(x, y).RGBA()
				sum += float64(r+g+b) / 3 / 65535 / side / side
			}
		}
		return sum
	}
	worst, at := 0.0, image.Point{}
	for y := 0; y+side <= want.Bounds().Dy(); y += side {
		for x := 0; x+side <= want.Bounds().Dx(); x += side {
			if d := math.Abs(grey(got, x, y) - grey(want, x, y)); d > worst {
				worst, at = d, image.Pt(x, y)
			}
		}
	}
	if worst > 0.12 {
		t.Errorf("around %v the page and the picture differ by %.2f of black", at, worst)
	}
}

func TestEarlierPagesAreFinished(t *testing.T) {
	d := New("")
	first := d.Page(0.1, 0.1, dpi, draw.Paper())
	d.Page(0.1, 0.1, dpi, draw.Paper())
	defer func() {
		if recover() == nil {
			t.Error("no panic on drawing on a page with another behind it")
		}
	}()
	first.Write(draw.Pt(10, 10), "too late", draw.Lettering{})
}
