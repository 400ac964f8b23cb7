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

// role is the type of the values of a row.
func (r figureRow) role() Role {
	if r.differ() {
		return Heading
	}
	return Label
}

// figureHeight is the height (px) of a row in columns of a width (px), and how much of it is a line that the label has
// for itself: none, where label and value stand side by side in every column.
func (c *Canvas) figureHeight(r figureRow, width float64) (height, label float64) {
	_, h := c.Measure("", Heading)
	name, line := c.Measure(r.label, Small)
	for _, v := range r.values {
		if w, _ := c.Measure(v, r.role()); v != "" && name+c.U(12)+w > width {
			label = line
		}
	}
	return label + h + c.U(6), label
}

func (c *Canvas) figuresHeight(rows []figureRow, width float64) (height float64) {
	for _, r := range rows {
		h, _ := c.figureHeight(r, width)
		height += h
	}
	return height
}

// drawFigures writes rows under plans, from y (px) down, and returns the boxes of the texts.
func (c *Canvas) drawFigures(rows []figureRow, plans []Plan, y float64) (texts []Rect) {
	for _, row := range rows {
		h, line := c.figureHeight(row, plans[0].Box.W())
		value := Lettering{Role: row.role(), Colour: c.Theme.Muted, AnchorX: 1, AnchorY: 0.5}
		if row.differ() {
			value.Colour = c.Theme.Ink
		}
		for i, p := range plans {
			b := Rect{p.Box.X0, y, p.Box.X1, y + h}
			c.Line([]Point{{X: b.X0, Y: b.Y1}, {X: b.X1, Y: b.Y1}}, Pen{Colour: c.Theme.Grid, Width: 1})
			value.Max = b.W()
			v := c.Write(Point{X: b.X1, Y: (b.Y0 + line + b.Y1) / 2}, row.values[i], value)
			name := Lettering{Role: Small, Colour: c.Theme.Muted, AnchorY: 0.5, Max: b.W() - v.W() - c.U(12)}
			at, split := b.Centre().Y, b.Y0
			if line > 0 {
				name.Max = b.W()
				at, split = b.Y0+c.U(3)+line/2, b.Y0+line
			}
			l := c.Write(Point{X: b.X0, Y: at}, row.label, name)
			if line == 0 {
				texts = append(texts, Rect{v.X0, b.Y0, v.X1, b.Y1}, Rect{l.X0, b.Y0, l.X1, b.Y1})
				continue
			}
			texts = append(texts, Rect{v.X0, split, v.X1, b.Y1}, Rect{l.X0, b.Y0, l.X1, split})
		}
		y += h
	}
	return texts
}
