package render

import "fmt"

// Figures under pictures that stand side by side: a row for each, its label and value under every picture, bold where
// the values differ.

// figureRow is one figure of all columns.
type figureRow struct {
	label  string
	values []string
}

// figureRows are the figures of columns by row.
func figureRows(columns []Column) ([]figureRow, error) {
	rows := make([]figureRow, len(columns[0].Figures))
	for i := range columns {
		if len(columns[i].Figures) != len(rows) {
			return nil, fmt.Errorf("column %d: %d figures where the first has %d: all need the same ones",
				i+1, len(columns[i].Figures), len(rows))
		}
		for k, f := range columns[i].Figures {
			if i == 0 {
				rows[k].label = f[0]
			} else if f[0] != rows[k].label {
				return nil, fmt.Errorf("column %d: figure %q where the first has %q: all need the same ones", i+1, f[0], rows[k].label)
			}
			rows[k].values = append(rows[k].values, f[1])
		}
	}
	return rows, nil
}

// differ tells whether the values are not all the same.
func (r figureRow) differ() bool {
	for _, v := range r.values {
		if v != r.values[0] {
			return true
		}
	}
	return false
}

// figureHeight is the height of a row, px.
func (c *Canvas) figureHeight() float64 {
	_, h := c.Measure("", Heading)
	return h + c.U(6)
}

func (c *Canvas) figuresHeight(n int) float64 { return float64(n) * c.figureHeight() }

// drawFigures writes rows under plans, from y (px) down, and returns the boxes of the texts.
func (c *Canvas) drawFigures(rows []figureRow, plans []Plan, y float64) (texts []Rect) {
	h := c.figureHeight()
	for k, row := range rows {
		top := y + float64(k)*h
		value := Lettering{Colour: c.Theme.Muted, AnchorX: 1, AnchorY: 0.5}
		if row.differ() {
			value.Role, value.Colour = Heading, c.Theme.Ink
		}
		for i, p := range plans {
			b := Rect{p.Box.X0, top, p.Box.X1, top + h}
			c.Line([]Point{{X: b.X0, Y: b.Y1}, {X: b.X1, Y: b.Y1}}, Pen{Colour: c.Theme.Grid, Width: 1})
			value.Max = 0.65 * b.W()
			v := c.Write(Point{X: b.X1, Y: b.Centre().Y}, row.values[i], value)
			l := c.Write(Point{X: b.X0, Y: b.Centre().Y}, row.label,
				Lettering{Role: Small, Colour: c.Theme.Muted, AnchorY: 0.5, Max: b.W() - v.W() - c.U(12)})
			texts = append(texts, Rect{v.X0, b.Y0, v.X1, b.Y1}, Rect{l.X0, b.Y0, l.X1, b.Y1})
		}
	}
	return texts
}
