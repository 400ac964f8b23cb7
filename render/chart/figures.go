package chart

import "beamfall/render/draw"

// Figures under drawings that stand side by side: a row for each, its label and value under every
// drawing, bold where the values differ.

// FigureRow is one figure of all columns.
type FigureRow struct {
	Label  string
	Values []string
}

// differ tells whether the values are not all the same.
func (r FigureRow) differ() bool {
	for _, v := range r.Values {
		if v != r.Values[0] {
			return true
		}
	}
	return false
}

// FigureRows are rows of figures. Columns gives the columns that they stand under, for the
// rectangle of the rows.
func FigureRows(rows []FigureRow, columns func(in draw.Rect) []draw.Rect) Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect) {
		bottom = at.Y
		under := columns(draw.R(at.X, at.Y, at.X+width, at.Y))
		for _, row := range rows {
			end, boxes := figureRow(c, row, under, bottom)
			bottom, texts = end, append(texts, boxes...)
		}
		return bottom, texts
	}
}

// figureRow writes a row under columns, from top (px) down, and returns where it ends and the boxes
// of its texts. The label has a line for itself unless label and value have room side by side in
// every column.
func figureRow(c *draw.Canvas, row FigureRow, columns []draw.Rect, top float64) (bottom float64, texts []draw.Rect) {
	value := draw.Lettering{Role: draw.Label, Colour: c.Theme.Muted, AnchorX: 1, AnchorY: 0.5}
	if row.differ() {
		value.Role, value.Colour = draw.Heading, c.Theme.Ink
	}
	_, h := c.Measure("", draw.Heading)
	label, line := c.Measure(row.Label, draw.Small)
	above := 0.0 // the height of the label's line
	for _, v := range row.Values {
		if w, _ := c.Measure(v, value.Role); v != "" && label+c.U(12)+w > columns[0].W() {
			above = line
		}
	}
	bottom = top + (above + h + c.U(6))
	for i, column := range columns {
		b := draw.R(column.X0, top, column.X1, bottom)
		c.Line([]draw.Point{draw.Pt(b.X0, b.Y1), draw.Pt(b.X1, b.Y1)}, draw.Pen{Colour: c.Theme.Grid, Width: 1})
		if row.Values[i] == "" && row.differ() {
			continue // the others have what this one has not
		}
		value.Max = b.W()
		v := c.Write(draw.Pt(b.X1, (b.Y0+above+b.Y1)/2), row.Values[i], value)
		name := draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorY: 0.5, Max: b.W() - v.W() - c.U(12)}
		y, split := b.Centre().Y, b.Y0
		if above > 0 {
			name.Max = b.W()
			y, split = b.Y0+c.U(3)+above/2, b.Y0+above
		}
		l := c.Write(draw.Pt(b.X0, y), row.Label, name)
		if above == 0 {
			texts = append(texts, draw.R(v.X0, b.Y0, v.X1, b.Y1), draw.R(l.X0, b.Y0, l.X1, b.Y1))
			continue
		}
		texts = append(texts, draw.R(v.X0, split, v.X1, b.Y1), draw.R(l.X0, b.Y0, l.X1, split))
	}
	return bottom, texts
}
