package chart

import (
	"bytes"
	"image/color"
	"math"
	"runtime"
	"testing"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// ringFrame is 30 m to either side at 10 px per metre, ringLight the light of 1000 cd at 1 m: E =
// 1000/(d²+1), so that a level E is at d = √(1000/E − 1).
func ringFrame(c *draw.Canvas) Frame {
	return ToScale(c.Bounds.Inset(c.U(20)), Axis{From: -30, To: 30}, Axis{From: -30, To: 30}, 1)
}

func ringLight(row, xs []float64, y float64) {
	for i, x := range xs {
		row[i] = 1000 / (x*x + y*y + 1)
	}
}

// A ruler on the picture: which band is at how many metres?
func TestBandsAreToScale(t *testing.T) {
	for _, theme := range []draw.Theme{draw.Night(), draw.Paper()} {
		c := canvas(t, 800, 800, theme)
		f := ringFrame(c)
		f.DrawBands(c, Sample(f, 4, ringLight), testRamp(c.Theme))
		for m := 0.25; m < 30; m += 0.5 {
			for _, at := range []draw.Point{f.At(m, 0), f.At(-m, 0), f.At(0, m), f.At(0, -m), f.At(0.6*m, 0.8*m)} {
				d := math.Hypot(f.AcrossAt(math.Floor(at.X)+0.5), f.UpAt(math.Floor(at.Y)+0.5))
				lux := 1000 / (d*d + 1)
				if nearLevel(testRamp(theme), lux, 0.02) {
					continue
				}
				if got, want := c.Image().RGBAAt(int(at.X), int(at.Y)), testRamp(theme).colour(lux); got != want {
					t.Errorf("%s: %.2f m from the middle is %v, want %v of %.1f lx", theme.Name, d, got, want, lux)
				}
			}
		}
		if got := c.Image().RGBAAt(5, 5); got != theme.Background {
			t.Errorf("%s: the margin is %v", theme.Name, got)
		}
	}
}

func nearLevel(r Ramp, lux, share float64) bool {
	for _, l := range r.Levels {
		if math.Abs(lux/l-1) < share {
			return true
		}
	}
	return false
}

// The isolux line is the edge of the bands: on either side of it, a pixel off, are the two bands of
// its level.
func TestIsoluxLineIsTheEdgeOfTheBands(t *testing.T) {
	c := canvas(t, 1600, 1600, draw.Night())
	f := ringFrame(c)
	grid := Sample(f, 5, ringLight)
	f.DrawBands(c, grid, testRamp(c.Theme))
	bands := append([]uint8(nil), c.Image().Pix...)
	seen := 0
	for _, line := range f.DrawIsolines(c, grid, testRamp(c.Theme)).lines {
		level := testRamp(c.Theme).Levels[line.level]
		want := math.Sqrt(1000/level - 1)
		for _, p := range line.points {
			d := math.Hypot(f.AcrossAt(p.X), f.UpAt(p.Y))
			if math.Abs(d-want) > 0.02 {
				t.Errorf("the %g lx line is at %.3f m, want %.3f", level, d, want)
			}
			for side, off := range []float64{1.5, -1.5} { // px outward, inward
				q := f.At(f.AcrossAt(p.X)*(1+off/(d*f.PerMetre())), f.UpAt(p.Y)*(1+off/(d*f.PerMetre())))
				if !f.Box.Inset(2).Has(q) {
					continue
				}
				i := c.Image().PixOffset(int(q.X), int(q.Y))
				if got := (color.RGBA{bands[i], bands[i+1], bands[i+2],
					255}); got != testRamp(c.Theme).Bands[line.level+side] {
					t.Errorf("beside the %g lx line at %.1f m is %v, want band %d", level, d, got, line.level+side)
				}
				seen++
			}
		}
	}
	if seen < 1000 {
		t.Errorf("only %d places looked at", seen)
	}
}

// Where there is no data, and beyond the grid, the picture stays as it is.
func TestBandsLeaveMissingDataAlone(t *testing.T) {
	c := canvas(t, 400, 400, draw.Paper())
	f := Frame{draw.R(0, 0, 400, 400), Axis{From: 0, To: 40}, Axis{From: 0, To: 40}}
	f.DrawBands(c, &Grid{NX: 3, NY: 2, X0: 10, Y0: 10, DX: 10, DY: 20,
		Values: []float64{50, 50, math.NaN(), 50, 50, math.NaN()}}, testRamp(c.Theme))
	lit, bare := testRamp(c.Theme).colour(50), c.Theme.Background
	for _, q := range []struct {
		across, up float64
		want       color.RGBA
	}{{15, 20, lit}, {25, 20, bare}, {5, 20, bare}, {15, 5, bare}, {15, 35, bare}, {10.1, 29.9, lit}} {
		p := f.At(q.across, q.up)
		if got := c.Image().RGBAAt(int(p.X), int(p.Y)); got != q.want {
			t.Errorf("at %g, %g: %v, want %v", q.across, q.up, got, q.want)
		}
	}
}

// The same bytes on one core and on several.
func TestSameBytesOnAnyNumberOfCores(t *testing.T) {
	picture := func(cores int) []byte {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		return mockPicture(t, draw.Night(), 400, units.Metres, 10).Image().Pix
	}
	if !bytes.Equal(picture(1), picture(3)) {
		t.Error("three cores draw another picture than one")
	}
}

func BenchmarkBands(b *testing.B) {
	for _, width := range []int{1600, 4000} {
		b.Run(map[int]string{1600: "1600px", 4000: "4000px"}[width], func(b *testing.B) {
			c := canvas(b, width, width*5/8, draw.Night())
			f := Filling(c.Bounds, Axis{From: -10, To: 90}, Axis{From: -30, To: 30}, 1)
			grid := Sample(f, c.U(4), ringLight)
			b.SetBytes(int64(width * width * 5 / 8))
			for b.Loop() {
				f.DrawBands(c, grid, testRamp(c.Theme))
			}
		})
	}
}

func BenchmarkIsolux(b *testing.B) {
	c := canvas(b, 1600, 1000, draw.Night())
	f := Filling(c.Bounds, Axis{From: -10, To: 90}, Axis{From: -30, To: 30}, 1)
	grid := Sample(f, 4, ringLight)
	for b.Loop() {
		f.DrawIsolines(c, grid, testRamp(c.Theme)).WriteLevels(c, nil)
	}
}

// The whole mock picture, and its encoding.
func BenchmarkPicture(b *testing.B) {
	for _, width := range []int{1600, 4000} {
		name := map[int]string{1600: "1600px", 4000: "4000px"}[width]
		b.Run(name+"/draw", func(b *testing.B) {
			for b.Loop() {
				mockPicture(b, draw.Night(), width, units.Metres, 10)
			}
		})
		b.Run(name+"/encode", func(b *testing.B) {
			c := mockPicture(b, draw.Night(), width, units.Metres, 10)
			for b.Loop() {
				var w bytes.Buffer
				if err := c.Encode(&w); err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(w.Len()), "bytes")
			}
		})
	}
}
