package chart

import "beamfall/render/draw"

// The scale bar stands in a corner, where it hides nothing that is marked.

// ScaleBarCorner is where the scale bar of a frame goes within a box: the first corner in which it covers none of
// avoid, the lower left one if there is none.
func (f Frame) ScaleBarCorner(c *draw.Canvas, box draw.Rect, avoid []draw.Rect) draw.Rect {
	size := f.DrawScaleBar(c.Inside(draw.Rect{}), draw.Point{}) // drawn nowhere, to measure it
	in := box.Inset(c.U(12))
	left, right := in.X0, in.X1-size.W()
	top, bottom := in.Y0, in.Y1-size.H()
	at := func(x, y float64) draw.Rect { return draw.R(x, y, x+size.W(), y+size.H()) }
	for _, r := range []draw.Rect{at(left, bottom), at(left, top), at(right, bottom), at(right, top)} {
		if !r.OverlapsAny(avoid) {
			return r
		}
	}
	return at(left, bottom)
}

// MarkBoxes are the boxes around what tags name, with the room of an arrow.
func MarkBoxes(c *draw.Canvas, tags []Tag) (boxes []draw.Rect) {
	for _, t := range tags {
		boxes = append(boxes, draw.Around(t.At, c.U(2*max(t.Mark, 30)), c.U(2*max(t.Mark, 30))))
	}
	return boxes
}
