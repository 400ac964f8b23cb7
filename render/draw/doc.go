// Package draw is a canvas: lines, areas, lettering and the colours for them, on which everything
// scales as one.
//
//	c, err := draw.New(1600, 900, draw.Night())    // pixels in the background colour of a theme
//	line := []draw.Point{draw.Pt(100, 100), draw.Pt(500, 300)}
//	c.Line(line, draw.Pen{Colour: c.Theme.Ink, Width: 3})
//	c.Fill(c.Theme.Accent, draw.R(100, 400, 300, 500).Corners())
//	c.Write(draw.Pt(100, 600), "a label", draw.Lettering{Backing: draw.Plate})
//	err = c.Encode(file)                           // PNG
//
// Places are in pixels, which run right and down from the top left corner, as image.Image has them.
// Sizes of type, lines and gaps are in units: one unit is a pixel of a picture 1600 pixels wide, so
// a picture of any width is the same picture. Canvas.U turns units into pixels. Angles are in
// radians, counterclockwise as seen.
//
// A Theme has every colour, and a Role every size of type. A canvas draws on a Surface: pixels, or
// whatever else can fill a path, draw a line along one and write a line of text. Drawing the same
// gives the same bytes, on any number of cores.
package draw
