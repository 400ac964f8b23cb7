package chart_test

import (
	"fmt"
	"io"
	"log"

	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// A field seen from above: bands, lines of equal value, a tag, axes, and a legend below.
func Example() {
	page, err := chart.NewPage(1600, draw.Night())
	if err != nil {
		log.Fatal(err)
	}
	ramp := chart.NewRamp(draw.Night().Scale, units.Lux, 1, 3, 10, 30, 100)
	page.Add(chart.Title("a hill", "height of the ground from above"), chart.PageGap)
	room := page.Add(chart.Space(500), chart.PageGap)
	page.Add(chart.LevelStrip(ramp), chart.PageGap)
	c, _, err := page.Draw(chart.Caution("Mind the step."))
	if err != nil {
		log.Fatal(err)
	}

	across := chart.Axis{From: -20, To: 20, Unit: units.Metres, Title: "east"}
	up := chart.Axis{From: -5, To: 5, Unit: units.Metres, Title: "north"}
	left, bottom := chart.Filling(room, across, up, 1).AxisRoom(c)
	f := chart.Filling(room.Trim(left, 0, 0, bottom), across, up, 1)
	hill := chart.Sample(f, c.U(4), func(row, xs []float64, y float64) {
		for i, x := range xs {
			row[i] = 400 / (x*x + y*y + 1)
		}
	})
	f.DrawBands(c, hill, ramp)
	lines := f.DrawIsolines(c, hill, ramp)
	top := chart.StyleOf(1)
	tags, dropped := chart.Layout{Bounds: f.Box, Gap: c.U(5)}.DrawTags(c,
		[]chart.Tag{{At: f.At(0, 0), Key: &top, Text: "the top", Mark: 6}}, c.U(320))
	lines.WriteLevels(c, tags)
	f.DrawAxes(c)

	at := f.At(9, 3) // 400 / 91 = 4.4
	fmt.Println(c.Image().RGBAAt(int(at.X), int(at.Y)) == ramp.Bands[ramp.Band(4.4)], len(dropped),
		c.Encode(io.Discard))
	// Output: true 0 <nil>
}

// Labels find their places: beside what they name, clear of each other.
func ExampleLayout_Place() {
	label := chart.Label{Anchor: draw.Pt(50, 50), Forms: []chart.Size{{W: 40, H: 20}}}
	placed, dropped := chart.Layout{Bounds: draw.R(0, 0, 200, 100)}.Place([]chart.Label{label, label})
	fmt.Println(placed[0].Box, placed[1].Box, len(dropped))
	// Output: {50 40 90 60} {10 40 50 60} 0
}

// What is between two metres and four is marked in whole metres, or in feet.
func ExampleFrame_AcrossTicks() {
	c, err := draw.New(1600, 200, draw.Paper())
	if err != nil {
		log.Fatal(err)
	}
	for _, unit := range []units.Unit{units.Metres, units.Feet} {
		f := chart.Frame{Box: draw.R(0, 0, 400, 100), Across: chart.Axis{From: 2, To: 4, Unit: unit}}
		for _, t := range f.AcrossTicks(c) {
			fmt.Print(t.Text, " ")
		}
		fmt.Println(unit.Name)
	}
	// Output:
	// 2 2.5 3 3.5 4 m
	// 8 10 12 ft
}
