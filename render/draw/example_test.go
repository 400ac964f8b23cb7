package draw_test

import (
	"fmt"
	"io"
	"log"

	"beamfall/render/draw"
)

// A line, an area and a text, and a question to the picture: what colour is there?
func Example() {
	c, err := draw.New(400, 200, draw.Paper())
	if err != nil {
		log.Fatal(err)
	}
	c.Fill(c.Theme.Accent, draw.R(20, 20, 120, 120).Corners())
	c.Line([]draw.Point{draw.Pt(0, 160), draw.Pt(400, 160)}, draw.Pen{Colour: c.Theme.Ink, Width: 8})
	box := c.Write(draw.Pt(200, 40), "a label", draw.Lettering{Role: draw.Title})

	fmt.Println(c.Image().RGBAAt(70, 70) == c.Theme.Accent, c.Image().RGBAAt(390, 160) == c.Theme.Ink)
	fmt.Println(box.Overlaps(draw.R(0, 0, 200, 200)), c.Bounds.Contains(box))
	fmt.Println(c.Encode(io.Discard))
	// Output:
	// true true
	// false true
	// <nil>
}

// A text is cut so that both its beginning and what tells it from others are kept.
func ExampleCanvas_Fit() {
	c, err := draw.New(1600, 200, draw.Paper())
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(c.Fit("work lamp on the mast (left)", draw.Label, 300))
	// Output: work lamp o…ast (left)
}

func ExampleRect_Columns() {
	for _, column := range draw.R(0, 0, 320, 100).Columns(3, 10) {
		fmt.Println(column)
	}
	// Output:
	// {0 0 100 100}
	// {110 0 210 100}
	// {220 0 320 100}
}
