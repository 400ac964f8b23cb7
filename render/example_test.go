package render_test

import (
	"fmt"
	"io"
	"log"
	"math"

	"beamfall/render"
	"beamfall/render/units"
)

// A picture from above with one lamp: bands of light, lines of equal light, and the lamp's key number.
func Example() {
	c, err := render.New(1600, 900, render.Night())
	if err != nil {
		log.Fatal(err)
	}
	title := c.TitleBlock("one lamp, 1000 cd all round", "ground light from above")
	foot := c.CautionLine("Never look into a lit lamp.")
	strip := render.Point{X: title.X0, Y: foot.Y0 - c.LevelStripHeight() - c.U(12)}
	c.LevelStrip(strip, title.W())

	// The frame: metres ahead to the right, metres to the left up, to scale, in what room is left.
	ahead := render.Axis{From: -5, To: 45, Unit: units.Metres, Title: "ahead of the bumper"}
	left := render.Axis{From: -10, To: 10, Unit: units.Metres, Title: "to the left"}
	room := render.Rect{X0: title.X0, Y0: title.Y1 + c.U(12), X1: title.X1, Y1: strip.Y - c.U(16)}
	side, below := c.AxisRoom(render.Filling(room, ahead, left, 1))
	f := render.Filling(room.Trim(side, 0, 0, below), ahead, left, 1)

	// The light, sampled every 4 units, for bands and lines alike. The lamp is 1 m up: E = I·h/d³.
	lux := render.Sample(f, c.U(4), func(row, xs []float64, y float64) {
		for i, x := range xs {
			row[i] = 1000 / math.Pow(x*x+y*y+1, 1.5)
		}
	})
	c.Bands(f, lux)
	lines := c.Isolux(f, lux)
	c.Grid(f)

	lamp := render.StyleOf(1)
	bar := c.ScaleBar(f, render.Point{X: f.Box.X0 + c.U(16), Y: f.Box.Y1 - c.U(16)})
	tags, dropped := c.Tags(render.Layout{Bounds: f.Box, Taken: []render.Rect{bar}, Gap: c.U(5)},
		[]render.Tag{{At: f.At(0, 0), Lamp: &lamp, Text: "work lamp", Mark: 6}}, c.U(320))
	c.IsoluxTexts(f, lines, append(tags, bar))
	c.Axes(f)

	at := f.At(9, 3) // 1000/91^1.5 = 1.15 lx
	fmt.Println(c.Image().RGBAAt(int(at.X), int(at.Y)) == c.Theme.Ramp.Colour(1.15), len(dropped), c.Encode(io.Discard))
	// Output: true 0 <nil>
}
