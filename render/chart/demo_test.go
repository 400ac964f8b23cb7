package chart

import (
	"fmt"
	"math"
	"testing"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// A mock picture from above, with all layers of the drawing at once. It is light-like, not light:
// each lamp is a gaussian beam on flat ground.

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

func mockPicture(t testing.TB, theme draw.Theme, width int, unit units.Unit, n int) *draw.Canvas {
	lamps := mockLamps()[:n]
	c, err := draw.New(width, width*11/10, theme)
	if err != nil {
		t.Fatal(err)
	}
	var key []KeyEntry
	for i, l := range lamps {
		key = append(key, KeyEntry{StyleOf(i + 1), l.name, fmt.Sprintf("%g° down", l.tilt)})
	}
	page := PageArea(c)
	foot := Caution("Off-road use only: cover and switch off on public roads. Never look into a lit lamp.")
	put := func(b Box, y float64) draw.Rect {
		in := draw.R(page.X0, y, page.X1, y+b.Height(c, page.W()))
		b.Draw(c, in)
		return in
	}
	title := put(Title("A vehicle with rather many lamps",
		"scene trail · ground light from above · driven, nose up 0.8°"), page.Y0)
	y := put(foot, page.Y1-foot.Height(c, page.W())).Y0
	lampKey := Key(key, "and %d more")
	y = put(lampKey, y-lampKey.Height(c, page.W())-c.U(8)).Y0
	levels := LevelStrip(testRamp(theme))
	strip := put(levels, y-levels.Height(c, page.W())-c.U(20)).Y0

	across := Axis{From: -10, To: 80, Unit: unit, Title: "ahead of the bumper"}
	up := Axis{From: -20, To: 20, Unit: unit, Title: "to the left"}
	area := draw.R(page.X0, title.Y1+c.U(12), page.X1, strip-c.U(14))
	left, bottom := Filling(area, across, up, 1).AxisRoom(c)
	f := Filling(area.Trim(left, 0, 0, bottom), across, up, 1)

	lux := Sample(f, 4*c.U(1), func(row, xs []float64, y float64) {
		for i, x := range xs {
			for _, l := range lamps {
				row[i] += l.lux(x, y)
			}
		}
	})
	f.DrawBands(c, lux, testRamp(theme))
	isolux := f.DrawIsolines(c, lux, testRamp(theme))
	f.DrawGrid(c)
	in := c.Inside(f.Box)
	var taken []draw.Rect
	for r := 20.0; r <= 80; r += 20 {
		arc := f.Arc(draw.Point{}, r, -math.Pi/2, math.Pi/2)
		in.Line(arc, draw.Pen{Colour: theme.Muted, Width: 1})
	}
	body := []draw.Point{draw.Pt(0, -0.95), draw.Pt(0, 0.95), draw.Pt(-5.2, 0.95), draw.Pt(-5.2, -0.95)}
	c.Fill(theme.Vehicle, f.Map(body))
	c.Outline(f.Map(body), draw.Pen{Colour: theme.VehicleEdge, Width: 2})
	taken = append(taken, draw.BoundsOf(f.Map(body)))
	taken = append(taken, f.DrawScaleBar(c, draw.Pt(f.Box.X0+c.U(16), f.Box.Y1-c.U(16))))
	var tags []Tag
	for i, l := range lamps {
		s := StyleOf(i + 1)
		d := l.z / math.Tan(l.tilt*math.Pi/180)
		hit := draw.Pt(l.x+d*math.Cos(l.turn*math.Pi/180), l.y+d*math.Sin(l.turn*math.Pi/180))
		in.Line(f.Map([]draw.Point{draw.Pt(l.x, l.y), hit}), s.Pen(theme, 2))
		in.Disc(f.At(hit.X, hit.Y), 6, theme.Ink, draw.Pen{Colour: theme.Background, Width: 2})
		tag := Tag{At: f.At(hit.X, hit.Y), Key: &s, Mark: 7, Priority: len(lamps) - i}
		if i%3 == 0 {
			tag.Text = l.name
		}
		tags = append(tags, tag)
	}
	layout := Layout{Bounds: f.Box.Inset(c.U(4)), Taken: taken, Gap: c.U(5)}
	boxes, _ := layout.DrawTags(c, tags, c.U(300))
	isolux.WriteLevels(c, append(taken, boxes...))
	f.DrawAxes(c)
	return c
}

// Twenty-four lamps at one place and in a row, with names of forty characters: all have a place.
func TestCrowd(t *testing.T) {
	c := canvas(t, 1600, 800, draw.Night())
	var tags []Tag
	for i := range 24 {
		s := StyleOf(i + 1)
		at := draw.Pt(c.U(800), c.U(400))
		if i > 12 {
			at.X += c.U(200 + 3*float64(i))
		}
		if i > 17 {
			at.X += c.U(float64(i-17) * 40)
		}
		tags = append(tags, Tag{At: at, Key: &s, Mark: 6, Priority: -i})
		if i > 12 {
			tags[i].Text = fmt.Sprintf("lamp number %d of a long row on the roof", i+1)
		}
	}
	_, dropped := Layout{Bounds: PageArea(c), Gap: c.U(5)}.DrawTags(c, tags, c.U(340))
	if len(dropped) > 0 {
		t.Errorf("dropped %v", dropped)
	}
}

// A picture of twice the width is the same picture, sharper.
func TestPictureScales(t *testing.T) {
	small, large := mockPicture(t, draw.Night(), 400, units.Metres, 10).Image(), mockPicture(t, draw.Night(), 800,
		units.Metres, 10).Image()
	sum, n := 0.0, 0.0
	for y := range small.Rect.Dy() {
		for x := range small.Rect.Dx() {
			for channel := range 3 {
				a := float64(small.Pix[small.PixOffset(x, y)+channel])
				b := 0.0
				for _, o := range []int{large.PixOffset(2*x, 2*y), large.PixOffset(2*x+1, 2*y),
					large.PixOffset(2*x, 2*y+1), large.PixOffset(2*x+1, 2*y+1)} {
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
