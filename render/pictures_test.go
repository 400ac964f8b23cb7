package render

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/color"
	"math"
	"runtime"
	"slices"
	"testing"

	"beamfall/render/chart"
	"beamfall/render/draw"
)

// What every picture must keep: the same bytes on any number of cores, labels apart from each
// other, an end when it is told to stop.

// drawn is a finished picture with the boxes of what is written on it.
type drawn struct {
	*draw.Canvas
	labels []draw.Rect
}

// of draws a picture of a subject, or has it from before.
func (d drawing) of(s Subject, theme draw.Theme, width int) (drawn, error) {
	return once(s, fmt.Sprintf("%s %s %d", d.name, theme.Name, width), func() (drawn, error) {
		return d.draw(context.Background(), s, theme, width)
	})
}

type drawing struct {
	name string
	draw func(ctx context.Context, s Subject, theme draw.Theme, width int) (drawn, error)
}

var drawings = []drawing{
	{"top", func(ctx context.Context, s Subject, theme draw.Theme, width int) (drawn, error) {
		c, v, err := drawTop(ctx, s, theme, TopOptions{Width: width})
		return drawn{c, v.Labels}, err
	}},
	{"wall", func(ctx context.Context, s Subject, theme draw.Theme, width int) (drawn, error) {
		c, v, err := drawWall(ctx, s, theme, WallOptions{Width: width})
		return drawn{c, v.Labels}, err
	}},
	{"compare", func(ctx context.Context, s Subject, theme draw.Theme, width int) (drawn, error) {
		c, v, err := drawCompare(ctx, compared(s), theme, CompareOptions{Width: width})
		return drawn{c, v.Labels}, err
	}},
	{"aim", func(ctx context.Context, s Subject, theme draw.Theme, width int) (drawn, error) {
		c, v, err := drawAim(ctx, aimed(s), theme, AimOptions{Width: width})
		return drawn{c, v.Labels}, err
	}},
	{"sight", func(ctx context.Context, s Subject, theme draw.Theme, width int) (drawn, error) {
		c, v, err := drawSight(ctx, seeing(s), theme, SightOptions{Width: width})
		return drawn{c, v.Labels}, err
	}},
}

// compared is a subject beside the same one with its first lamp alone, and in a sweep with others
// alone.
func compared(s Subject) []Column {
	rows := func(reach string) [][2]string { return [][2]string{{"reach at 1 lx", reach}, {"lamps", "some"}} }
	columns := []Column{{Subject: s, Title: "all of a name that is far too long for its column",
		Figures: rows("312 m")}}
	most := 1
	if *sweep {
		most = 3
	}
	for i := range min(len(s.Scene.Lamps), most) {
		one := s
		one.Scene = s.Scene.Only(i)
		columns = append(columns, Column{Subject: one, Figures: rows("99.5 m")})
	}
	for i := range columns {
		k := &columns[i]
		k.About, k.What, k.Value = "low beams that just meet a rule of some length", "person seen to", "1240 m"
		if i > 0 {
			k.Gain = "- 1010 m"
		}
	}
	return columns
}

// Labels of pictures from above are asked of in TestTopTextsKeepClearOfMarks.
func TestLabelsDoNotOverlap(t *testing.T) {
	rigs := part(slices.Concat(awkward(), strange(1, 50)))
	for k, d := range drawings[1:] {
		for i, s := range rigs {
			if k >= 1 && i%8 > 0 { // they are made of the same parts as the picture from above
				continue
			}
			if k >= 1 && !*sweep {
				s = spots()
			}
			p, err := d.of(s, draw.Night(), 400)
			if err != nil {
				t.Errorf("%s of %q: %v", d.name, s.Rig, err)
				continue
			}
			disjoint(t, d.name+" of "+s.Rig, p.labels, p.Bounds)
		}
	}
}

func TestPicturesAreTheSameOnAnyNumberOfCores(t *testing.T) {
	for _, d := range drawings {
		kept, err := d.of(spots(), draw.Night(), 400)
		if err != nil {
			t.Fatal(err)
		}
		other := onOtherCores(func() (drawn, error) {
			return d.draw(context.Background(), spots(), draw.Night(), 400)
		})
		if !bytes.Equal(kept.Image().Pix, other.Image().Pix) {
			t.Errorf("%s differs with the number of cores", d.name)
		}
	}
}

// onOtherCores draws on one core, or on three where there is but one anyway.
func onOtherCores[T any](draw func() (T, error)) T {
	cores := 1
	if runtime.GOMAXPROCS(0) == 1 {
		cores = 3
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
	p, err := draw()
	if err != nil {
		panic(err)
	}
	return p
}

func TestPicturesStop(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	for _, d := range drawings {
		if _, err := d.draw(ctx, awkward()[0], draw.Night(), 400); !errors.Is(err, context.Canceled) {
			t.Errorf("%s after it was told to stop: %v", d.name, err)
		}
	}
}

func TestWidths(t *testing.T) {
	for _, d := range drawings {
		widths := []int{400}
		if *sweep {
			widths = []int{400, 401, 1200}
		}
		for _, width := range widths {
			p, err := d.of(spots(), draw.Night(), width)
			if err != nil {
				t.Errorf("%s %d px wide: %v", d.name, width, err)
			} else if got := p.Image().Bounds().Dx(); got != width {
				t.Errorf("%s is %d px wide, want %d", d.name, got, width)
			}
		}
		if _, err := d.draw(context.Background(), awkward()[1], draw.Paper(), 50); err == nil {
			t.Errorf("%s 50 px wide: no error", d.name)
		}
	}
}

// Ground is the place (m ahead of the bumper, m to the left) under a pixel, the inverse of Pixel.
func (p Plan) Ground(px draw.Point) (ahead, left float64) {
	across, up := p.AcrossAt(px.X), p.UpAt(px.Y)
	if p.Upward {
		return up, across
	}
	return across, up
}

// colourAt is the colour of the pixel that a point lies in.
func colourAt(c *draw.Canvas, p draw.Point) color.RGBA {
	return c.Image().RGBAAt(int(math.Floor(p.X)), int(math.Floor(p.Y)))
}

// plainBand is the band that all pixels around a point are in; ok is false where a line, a label or
// the edge of a band is near.
func plainBand(c *draw.Canvas, ramp chart.Ramp, p draw.Point) (band int, ok bool) {
	middle := colourAt(c, p)
	for dx := -2.0; dx <= 2; dx++ {
		for dy := -2.0; dy <= 2; dy++ {
			if colourAt(c, draw.Pt(p.X+dx, p.Y+dy)) != middle {
				return 0, false
			}
		}
	}
	band = slices.Index(ramp.Bands, middle)
	return band, band >= 0
}

// askBands asks a picture at points all over a box, away from its labels, which band it shows
// there, and compares with the light.
func askBands(t *testing.T, what string, c *draw.Canvas, box draw.Rect, labels []draw.Rect,
	lux func(draw.Point) float64) {
	t.Helper()
	asked, seen, ramp := 0, map[int]bool{}, LightRamp(c.Theme)
	for y := math.Ceil(box.Y0) + 3.5; y < box.Y1-3; y += 7 {
		for x := math.Ceil(box.X0) + 3.5; x < box.X1-3; x += 7 {
			p := draw.Pt(x, y)
			band, ok := plainBand(c, ramp, p)
			if !ok || draw.Around(p, 8, 8).OverlapsAny(labels) {
				continue
			}
			asked++
			seen[band] = true
			if want := ramp.Band(lux(p)); band != want {
				t.Errorf("%s at (%.0f, %.0f) px: band %d for %.3g lx, want %d", what, x, y, band, lux(p), want)
			}
		}
	}
	if asked < 1000 || len(seen) < 4 {
		t.Errorf("%s: only %d places with %d bands to ask", what, asked, len(seen))
	}
}

// askIsolux looks for the pixels of the isolux lines, and asks whether the light passes the level
// there.
func askIsolux(t *testing.T, what string, c *draw.Canvas, box draw.Rect, lux func(draw.Point) float64) {
	t.Helper()
	levels := map[color.RGBA]float64{}
	for i, level := range LightRamp(c.Theme).Levels {
		levels[LightRamp(c.Theme).Lines[i]] = level
	}
	found := 0
	for y := math.Ceil(box.Y0) + 3.5; y < box.Y1-3; y += 2 {
		for x := math.Ceil(box.X0) + 3.5; x < box.X1-3; x++ {
			p := draw.Pt(x, y)
			level, ok := levels[colourAt(c, p)]
			if !ok {
				continue
			}
			found++
			lo, hi := math.Inf(1), 0.0
			for _, d := range []draw.Point{{}, draw.Pt(2, 0), draw.Pt(-2, 0), draw.Pt(0, 2), draw.Pt(0, -2)} {
				v := lux(draw.Pt(p.X+d.X, p.Y+d.Y))
				lo, hi = min(lo, v), max(hi, v)
			}
			if level < 0.98*lo || level > 1.02*hi { // where the light is all but even, a per cent is many pixels
				t.Errorf("%s: the %g lx line at (%.0f, %.0f) px, where there are %.3g to %.3g lx", what, level, x, y,
					lo, hi)
			}
		}
	}
	if found < 100 {
		t.Errorf("%s: only %d pixels of isolux lines found", what, found)
	}
}

func benchmark(b *testing.B, name string, width int) {
	s := newTrail()
	for _, d := range drawings {
		if d.name != name {
			continue
		}
		b.ReportAllocs()
		for b.Loop() {
			if _, err := d.draw(context.Background(), s, draw.Night(), width); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkTop1600(b *testing.B)     { benchmark(b, "top", 1600) }
func BenchmarkTop4000(b *testing.B)     { benchmark(b, "top", 4000) }
func BenchmarkWall1600(b *testing.B)    { benchmark(b, "wall", 1600) }
func BenchmarkCompare1600(b *testing.B) { benchmark(b, "compare", 1600) }
func BenchmarkAim1600(b *testing.B)     { benchmark(b, "aim", 1600) }
