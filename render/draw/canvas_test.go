package draw

import (
	"bytes"
	"encoding/binary"
	"image/color"
	"image/png"
	"math"
	"testing"
)

func TestNewRefusesSizes(t *testing.T) {
	for _, s := range [][2]int{{0, 100}, {-5, 100}, {1600, 20001}, {99, 400}, {20000, 20000}} {
		if _, err := New(s[0], s[1], Night()); err == nil {
			t.Errorf("%d × %d px: no error", s[0], s[1])
		}
	}
}

// Lines that go off to anywhere are drawn as far as they show, and what is not a number is not
// drawn.
func TestFarOutLines(t *testing.T) {
	pen := Pen{Colour: color.RGBA{255, 255, 255, 255}, Width: 3}.Cased(Night(), 1)
	nan, inf := math.NaN(), math.Inf(1)
	for _, q := range []struct {
		name string
		line []Point
		want map[[2]int]bool // is the pixel drawn on?
	}{
		{"through the middle", []Point{Pt(-1e12, 100), Pt(1e12, 100)},
			map[[2]int]bool{{0, 100}: true, {200, 100}: true, {399, 100}: true, {200, 110}: false}},
		{"past a corner", []Point{Pt(-1e12, 150), Pt(50, -1e12)}, map[[2]int]bool{{200, 100}: false}},
		{"a gap", []Point{Pt(50, 100), Pt(100, 100), Pt(nan, 0), Pt(300, 100), Pt(350, 100)},
			map[[2]int]bool{{75, 100}: true, {200, 100}: false, {325, 100}: true}},
		{"endless", []Point{Pt(50, 100), Pt(inf, inf), Pt(-inf, 5)}, map[[2]int]bool{{75, 100}: false}},
		{"a point", []Point{Pt(50, 100)}, map[[2]int]bool{{50, 100}: false}},
		{"none", nil, nil},
	} {
		c := canvas(t, 400, 200, Night())
		c.Line(q.line, pen)
		for at, want := range q.want {
			if got := c.Image().RGBAAt(at[0], at[1]) != c.Theme.Background; got != want {
				t.Errorf("%s: pixel %v drawn on: %v, want %v", q.name, at, got, want)
			}
		}
		c.Outline(q.line, pen)
		c.Fill(pen.Colour, q.line)
		c.Hatch(q.line, pen, 5, 0.3)
	}
	c := canvas(t, 400, 200, Night())
	c.Disc(Pt(nan, 0), 5, pen.Colour, pen)
	c.Disc(Pt(1e12, 0), 5, pen.Colour, pen)
	c.Box(R(nan, 0, 10, 10), 2, pen.Colour, pen)
	c.Arrow(Pt(nan, 0), Pt(5, 5), pen)
	c.Write(Pt(inf, 0), "far out", Lettering{Backing: Halo})
	c.Write(Pt(-1e9, 1e9), "far out", Lettering{Backing: Plate})
	if box := changed(c); box != (Rect{}) {
		t.Errorf("something was drawn at %v", box)
	}
	c.Box(R(-1e12, 50, 1e12, 150), 2, pen.Colour, Pen{})
	if box, want := changed(c), (R(0, 50, 400, 150)); box != want {
		t.Errorf("a box without ends shows at %v, want %v", box, want)
	}
}

// An area with a hole, by area and by pixel.
func TestFillEvenOdd(t *testing.T) {
	c := canvas(t, 400, 400, Night())
	square := func(d float64) []Point {
		return R(200-d, 200-d, 200+d, 200+d).Corners()
	}
	c.Fill(c.Theme.Ink, square(100), square(50))
	n := 0
	for y := range 400 {
		for x := range 400 {
			if c.Image().RGBAAt(x, y) == c.Theme.Ink {
				n++
			}
		}
	}
	if want := 200*200 - 100*100; n != want {
		t.Errorf("%d pixels are filled, want %d", n, want)
	}
}

// Drawing inside of a part leaves the rest alone, and lands where it would without.
func TestInside(t *testing.T) {
	part := R(100, 50, 300, 150)
	draw := func(c *Canvas) {
		c.Line([]Point{Pt(-50, 0), Pt(450, 200)}, Pen{Colour: c.Theme.Ink, Width: 20})
		c.Disc(Pt(290, 60), 100, c.Theme.Accent, Pen{})
		c.Write(Pt(80, 60), "over the edge", Lettering{Role: Title, Backing: Halo})
		c.Hatch([]Point{Pt(0, 120), Pt(400, 120), Pt(200, 300)}, Pen{Colour: c.Theme.Caution, Width: 3}, 30, 1)
	}
	all, in := canvas(t, 400, 200, Night()), canvas(t, 400, 200, Night())
	draw(all)
	draw(in.Inside(part))
	for y := range 200 {
		for x := range 400 {
			got, want := in.Image().RGBAAt(x, y), in.Theme.Background
			if part.Inset(0.5).Has(Pt(float64(x)+0.5, float64(y)+0.5)) {
				want = all.Image().RGBAAt(x, y)
			}
			if far(got, want) > 8 { // of 255: lines that are cut elsewhere run 1/64 px or so beside
				t.Fatalf("pixel %d, %d is %v, want %v", x, y, got, want)
			}
		}
	}
	for _, nothing := range []Rect{R(-100, -100, -50, -50), R(500, 0, 600, 200), R(20, 20, 20, 20), R(30, 30, 10, 10)} {
		c := canvas(t, 400, 200, Night())
		draw(c.Inside(nothing))
		c.Inside(nothing).Pixels(c.Bounds, func(y int, row []uint8) {
			for i := range row {
				row[i] = 99
			}
		})
		if box := changed(c); box != (Rect{}) {
			t.Errorf("inside %v: drawn at %v", nothing, box)
		}
	}
}

// far is the greatest difference of two colours in a component.
func far(a, b color.RGBA) int {
	d := func(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }
	return max(d(a.R, b.R), d(a.G, b.G), d(a.B, b.B))
}

func canvas(t testing.TB, width, height int, theme Theme) *Canvas {
	t.Helper()
	c, err := New(width, height, theme)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// What is written is what was drawn, the same bytes each time: few colours, many, and a new one at
// every pixel.
func TestEncode(t *testing.T) {
	few := canvas(t, 400, 300, Paper())
	few.Fill(few.Theme.Accent, R(30, 20, 390, 200).Corners())
	few.Line([]Point{Pt(0, 300), Pt(400, 0)}, Pen{Colour: few.Theme.Ink, Width: 20, Dash: []float64{60, 30}})
	few.Write(Pt(40, 40), "a picture", Lettering{Role: Title, Backing: Halo})
	many := canvas(t, 401, 303, Paper())
	many.Pixels(many.Bounds, func(y int, row []uint8) {
		for i := range row {
			if i%4 < 3 && y%3 > 0 { // every third row has one colour
				row[i] = uint8((i*i*7 + y*y*13) >> 3)
			}
		}
	})
	for _, c := range []*Canvas{few, many} {
		checkEncode(t, c)
	}
}

func checkEncode(t *testing.T, c *Canvas) {
	t.Helper()
	var plain, again, print bytes.Buffer
	for _, w := range []*bytes.Buffer{&plain, &again} {
		if err := c.Encode(w); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(plain.Bytes(), again.Bytes()) {
		t.Error("other bytes the second time")
	}
	if err := c.EncodePrint(&print, 200); err != nil {
		t.Fatal(err)
	}
	// PNG specification, 11.3.4.3: pixels per metre, twice, and unit 1; 200 dpi are 7874 px/m.
	i := bytes.Index(print.Bytes(), []byte("pHYs"))
	if i < 0 {
		t.Fatal("no pHYs in the printed picture")
	}
	chunk := print.Bytes()[i+4:]
	x, y, unit := binary.BigEndian.Uint32(chunk), binary.BigEndian.Uint32(chunk[4:]), chunk[8]
	if x != 7874 || y != 7874 || unit != 1 {
		t.Errorf("pHYs %d, %d, unit %d; want 7874, 7874, 1", x, y, unit)
	}
	for name, w := range map[string]*bytes.Buffer{"plain": &plain, "print": &print} {
		im, err := png.Decode(w) // checks every chunk's CRC
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for y := range im.Bounds().Dy() {
			for x := range im.Bounds().Dx() {
				if c.Image().RGBAAt(x, y) != color.RGBAModel.Convert(im.At(x, y)) {
					t.Fatalf("%s: pixel %d, %d comes back different", name, x, y)
				}
			}
		}
	}
}

// A ring of very many points, of which each lies next to the last, is as round as any.
func TestLinesOfManyPointsKeepTheirBends(t *testing.T) {
	for _, points := range []int{40, 4000} {
		c := canvas(t, 400, 400, Night())
		var ring []Point
		for k := range points + 1 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(points))
			ring = append(ring, Pt(200+8*cos, 200+8*sin))
		}
		c.Line(ring, Pen{Colour: c.Theme.Ink, Width: 12})
		for k := range 16 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 16)
			x, y := int(200+8*cos), int(200+8*sin)
			if got := c.Image().RGBAAt(x, y); got != c.Theme.Ink {
				t.Errorf("ring of %d points: at %d, %d is %v", points, x, y, got)
			}
		}
		if got := c.Image().RGBAAt(200, 200); got != c.Theme.Background {
			t.Errorf("ring of %d points: its middle is %v", points, got)
		}
	}
}
