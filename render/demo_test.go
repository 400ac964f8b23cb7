package render

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// A mock picture from above, with all layers of the drawing at once. It is light-like, not light: each lamp is a
// gaussian beam on flat ground. Set BEAMFALL_PICTURES to a directory to keep the pictures and look at them.

type mockLamp struct {
	x, y, z, tilt, turn, spread, cd float64
	name                            string
}

func mockLamps() []mockLamp {
	ls := []mockLamp{
		{-1.9, 0, 2.05, 5, 0, 10, 300000, "roof bar, middle spots"},
		{-1.9, 0, 2.05, 8, 0, 36, 40000, "roof bar, outer floods"},
		{0, 0.5, 0.9, 1, 2, 12, 90000, "bumper spot (left)"},
		{0, -0.5, 0.9, 1, -2, 12, 90000, "bumper spot (right)"},
		{-0.5, 0.85, 1.2, 6, 40, 60, 6000, "a-pillar ditch light with a very long name (left)"},
		{-0.5, -0.85, 1.2, 6, -40, 60, 6000, "a-pillar ditch light with a very long name (right)"},
		{-3, 0.9, 1.9, 20, 90, 90, 3000, "camp light (left)"},
		{-3, -0.9, 1.9, 20, -90, 90, 3000, "camp light (right)"},
		{-5.1, 0, 1.2, 15, 180, 70, 5000, "reversing light"},
		{0, 0, 0.6, 2, 0, 50, 20000, "fog"},
	}
	return ls
}

func (l mockLamp) lux(x, y float64) float64 {
	dx, dy, dz := x-l.x, y-l.y, -l.z
	d2 := dx*dx + dy*dy + dz*dz
	d := math.Sqrt(d2)
	ct, st := math.Cos(l.tilt*math.Pi/180), math.Sin(l.tilt*math.Pi/180)
	ax, ay, az := ct*math.Cos(l.turn*math.Pi/180), ct*math.Sin(l.turn*math.Pi/180), -st
	theta := math.Acos(math.Min(1, (dx*ax+dy*ay+dz*az)/d)) * 180 / math.Pi
	if theta >= 90 {
		return 0
	}
	return l.cd * math.Pow(2, -math.Pow(2*theta/l.spread, 2)) * l.z / (d * d2)
}

func mockPicture(t testing.TB, theme Theme, width int, unit Unit, n int) *Canvas {
	lamps := mockLamps()[:n]
	c, err := New(width, width*11/10, theme)
	if err != nil {
		t.Fatal(err)
	}
	var key []KeyEntry
	for i, l := range lamps {
		key = append(key, KeyEntry{StyleOf(i + 1), l.name, fmt.Sprintf("%g° down", l.tilt)})
	}
	page := c.Page()
	title := c.TitleBlock("A vehicle with rather many lamps", "scene trail · ground light from above · driven, nose up 0.8°")
	foot := c.CautionLine("Off-road use only: cover and switch off on public roads. Never look into a lit lamp.")
	keyHeight := c.LampKeyHeight(len(key), page.W())
	c.LampKey(Point{X: page.X0, Y: foot.Y0 - keyHeight - c.U(8)}, page.W(), key)
	strip := foot.Y0 - keyHeight - c.LevelStripHeight() - c.U(28)
	c.LevelStrip(Point{X: page.X0, Y: strip}, page.W())

	across := Axis{From: -10, To: 80, Unit: unit, Title: "ahead of the bumper"}
	up := Axis{From: -20, To: 20, Unit: unit, Title: "to the left"}
	area := Rect{page.X0, title.Y1 + c.U(12), page.X1, strip - c.U(14)}
	left, bottom := c.AxisRoom(Filling(area, across, up, 1))
	f := Filling(area.Trim(left, 0, 0, bottom), across, up, 1)

	lux := Sample(f, 4*c.U(1), func(row, xs []float64, y float64) {
		for i, x := range xs {
			for _, l := range lamps {
				row[i] += l.lux(x, y)
			}
		}
	})
	c.Bands(f, lux)
	c.Grid(f)
	in := c.Inside(f.Box)
	var taken []Rect
	for r := 20.0; r <= 80; r += 20 {
		arc := f.Arc(Point{}, r, -math.Pi/2, math.Pi/2)
		in.Line(arc, Pen{Colour: theme.Muted, Width: 1.5, Dash: []float64{2, 6}})
	}
	body := []Point{{X: 0, Y: -0.95}, {X: 0, Y: 0.95}, {X: -5.2, Y: 0.95}, {X: -5.2, Y: -0.95}}
	c.Fill(theme.Vehicle, f.Map(body))
	c.Outline(f.Map(body), Pen{Colour: theme.VehicleEdge, Width: 2})
	taken = append(taken, bounds(f.Map(body)))
	taken = append(taken, c.ScaleBar(f, Point{X: f.Box.X0 + c.U(16), Y: f.Box.Y1 - c.U(16)}))
	var tags []Tag
	for i, l := range lamps {
		s := StyleOf(i + 1)
		d := l.z / math.Tan(l.tilt*math.Pi/180)
		hit := Point{X: l.x + d*math.Cos(l.turn*math.Pi/180), Y: l.y + d*math.Sin(l.turn*math.Pi/180)}
		in.Line(f.Map([]Point{{X: l.x, Y: l.y}, hit}), s.Pen(theme, 2))
		in.Disc(f.At(hit.X, hit.Y), 6, theme.Ink, Pen{Colour: theme.Background, Width: 2})
		tag := Tag{At: f.At(hit.X, hit.Y), Lamp: &s, Mark: 7, Priority: len(lamps) - i}
		if i%3 == 0 {
			tag.Text = l.name
		}
		tags = append(tags, tag)
	}
	layout := Layout{Bounds: f.Box.Inset(c.U(4)), Taken: taken, Gap: c.U(5)}
	boxes, _ := c.Tags(layout, tags, c.U(300))
	c.Isolux(f, lux, append(taken, boxes...))
	c.Axes(f)
	return c
}

func TestMockPicture(t *testing.T) {
	dir := os.Getenv("BEAMFALL_PICTURES")
	if dir == "" {
		dir = t.TempDir()
	}
	for _, theme := range []Theme{Night(), Paper()} {
		for _, width := range []int{1600, 400} {
			unit := Metre
			if theme.Name == "paper" {
				unit = Foot
			}
			file, err := os.Create(filepath.Join(dir, fmt.Sprintf("%s-%d.png", theme.Name, width)))
			if err != nil {
				t.Fatal(err)
			}
			if err := mockPicture(t, theme, width, unit, 10).Encode(file); err != nil {
				t.Fatal(err)
			}
			if err := file.Close(); err != nil {
				t.Fatal(err)
			}
		}
	}
}
