package render

import (
	"bytes"
	"encoding/binary"
	"image/color"
	"image/png"
	"math"
	"testing"

	"beamfall/render/units"
)

func TestNewRefusesSizes(t *testing.T) {
	for _, s := range [][2]int{{0, 100}, {-5, 100}, {1600, 20001}, {99, 400}, {20000, 20000}} {
		if _, err := New(s[0], s[1], Night()); err == nil {
			t.Errorf("%d × %d px: no error", s[0], s[1])
		}
	}
}

// A picture of twice the width is the same picture, sharper.
func TestPictureScales(t *testing.T) {
	small, large := mockPicture(t, Night(), 800, units.Metres, 10).Image(), mockPicture(t, Night(), 1600, units.Metres, 10).Image()
	sum, n := 0.0, 0.0
	for y := range small.Rect.Dy() {
		for x := range small.Rect.Dx() {
			for channel := range 3 {
				a := float64(small.Pix[small.PixOffset(x, y)+channel])
				b := 0.0
				for _, o := range []int{large.PixOffset(2*x, 2*y), large.PixOffset(2*x+1, 2*y), large.PixOffset(2*x, 2*y+1), large.PixOffset(2*x+1, 2*y+1)} {
					b += float64(large.Pix[o+channel]) / 4
				}
				sum, n = sum+math.Abs(a-b), n+1
			}
		}
	}
	if mean := sum / n; mean > 2 { // of 255; edges alone differ
		t.Errorf("pixels differ by %.2f of 255 in the mean, want at most 2", mean)
	}
}

// Lines that go off to anywhere are drawn as far as they show, and what is not a number is not drawn.
func TestFarOutLines(t *testing.T) {
	pen := Pen{Colour: color.RGBA{255, 255, 255, 255}, Width: 3}.Cased(Night(), 1)
	nan, inf := math.NaN(), math.Inf(1)
	for _, q := range []struct {
		name string
		line []Point
		want map[[2]int]bool // is the pixel drawn on?
	}{
		{"through the middle", []Point{{X: -1e12, Y: 100}, {X: 1e12, Y: 100}}, map[[2]int]bool{{0, 100}: true, {200, 100}: true, {399, 100}: true, {200, 110}: false}},
		{"past a corner", []Point{{X: -1e12, Y: 150}, {X: 50, Y: -1e12}}, map[[2]int]bool{{200, 100}: false}},
		{"a gap", []Point{{X: 50, Y: 100}, {X: 100, Y: 100}, {X: nan}, {X: 300, Y: 100}, {X: 350, Y: 100}}, map[[2]int]bool{{75, 100}: true, {200, 100}: false, {325, 100}: true}},
		{"endless", []Point{{X: 50, Y: 100}, {X: inf, Y: inf}, {X: -inf, Y: 5}}, map[[2]int]bool{{75, 100}: false}},
		{"a point", []Point{{X: 50, Y: 100}}, map[[2]int]bool{{50, 100}: false}},
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
	c.Disc(Point{X: nan}, 5, pen.Colour, pen)
	c.Disc(Point{X: 1e12}, 5, pen.Colour, pen)
	c.Box(Rect{nan, 0, 10, 10}, 2, pen.Colour, pen)
	c.Arrow(Point{X: nan}, Point{X: 5, Y: 5}, pen)
	c.Write(Point{X: inf}, "far out", Lettering{Backing: Halo})
	c.Write(Point{X: -1e9, Y: 1e9}, "far out", Lettering{Backing: Plate})
	if box := changed(c); box != (Rect{}) {
		t.Errorf("something was drawn at %v", box)
	}
	c.Box(Rect{-1e12, 50, 1e12, 150}, 2, pen.Colour, Pen{})
	if box, want := changed(c), (Rect{0, 50, 400, 150}); box != want {
		t.Errorf("a box without ends shows at %v, want %v", box, want)
	}
}

// An area with a hole, by area and by pixel.
func TestFillEvenOdd(t *testing.T) {
	c := canvas(t, 400, 400, Night())
	square := func(d float64) []Point {
		return []Point{{X: 200 - d, Y: 200 - d}, {X: 200 + d, Y: 200 - d}, {X: 200 + d, Y: 200 + d}, {X: 200 - d, Y: 200 + d}}
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
	part := Rect{100, 50, 300, 150}
	draw := func(c *Canvas) {
		c.Line([]Point{{X: -50, Y: 0}, {X: 450, Y: 200}}, Pen{Colour: c.Theme.Ink, Width: 20})
		c.Disc(Point{X: 290, Y: 60}, 100, c.Theme.Accent, Pen{})
		c.Write(Point{X: 80, Y: 60}, "over the edge", Lettering{Role: Title, Backing: Halo})
		c.Hatch([]Point{{X: 0, Y: 120}, {X: 400, Y: 120}, {X: 200, Y: 300}}, Pen{Colour: c.Theme.Caution, Width: 3}, 30, 1)
	}
	all, in := canvas(t, 400, 200, Night()), canvas(t, 400, 200, Night())
	draw(all)
	draw(in.Inside(part))
	for y := range 200 {
		for x := range 400 {
			got, want := in.Image().RGBAAt(x, y), in.Theme.Background
			if part.Inset(0.5).Has(Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}) {
				want = all.Image().RGBAAt(x, y)
			}
			if far(got, want) > 8 { // of 255: lines that are cut elsewhere run 1/64 px or so beside
				t.Fatalf("pixel %d, %d is %v, want %v", x, y, got, want)
			}
		}
	}
	for _, nothing := range []Rect{{-100, -100, -50, -50}, {500, 0, 600, 200}, {20, 20, 20, 20}, {30, 30, 10, 10}} {
		c := canvas(t, 400, 200, Night())
		draw(c.Inside(nothing))
		c.Inside(nothing).Bands(Frame{c.Bounds, Axis{To: 1}, Axis{To: 1}}, &Grid{NX: 2, NY: 2, DX: 1, DY: 1, Values: []float64{9, 9, 9, 9}}, testRamp(c.Theme))
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

func TestEncode(t *testing.T) {
	c := mockPicture(t, Paper(), 400, units.Feet, 3)
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
	if x, y, unit := binary.BigEndian.Uint32(print.Bytes()[i+4:]), binary.BigEndian.Uint32(print.Bytes()[i+8:]), print.Bytes()[i+12]; x != 7874 || y != 7874 || unit != 1 {
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
				if r, g, b, _ := im.At(x, y).RGBA(); c.Image().RGBAAt(x, y) != (color.RGBA{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8), 255}) {
					t.Fatalf("%s: pixel %d, %d comes back different", name, x, y)
				}
			}
		}
	}
}
