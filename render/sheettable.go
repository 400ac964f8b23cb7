package render

import (
	"beamfall/render/draw"
	"beamfall/render/units"
)

// The table of the sheet: for each lamp what the meter should read and where its mark is on the wall, a blank for what it
// was set to, and a box to tick.

// SheetRow is one lamp's row, in words that are printed as they are.
type SheetRow struct {
	Key        int
	Lamp       string
	Height     string // of the lamp above the ground
	Tilt       string // to be set
	Reading    string // of the meter
	WallHeight string // of the mark above the ground
	WallSide   string // of the mark from the centreline, with left or right
}

// sheetColumns are the heads of the table, each on up to two lines. The lamp's column has the width that the others leave.
var sheetColumns = [...][2]string{
	{"", "done"}, {"", "key"}, {"", "lamp"}, {"lamp", "height"}, {"tilt", "to set"}, {"meter", "reads"}, {"mark on", "wall, height"}, {"mark from", "centreline"}, {"", "as set"},
}

const (
	doneColumn = iota
	keyColumn
	lampColumn
	firstFigure
	lastColumn = len(sheetColumns) - 1
)

func (r SheetRow) cell(column int) string {
	return [...]string{firstFigure: r.Height, r.Tilt, r.Reading, r.WallHeight, r.WallSide, lastColumn: ""}[column]
}

// sheetTable is a table laid out for a width and a size of type.
type sheetTable struct {
	c     *draw.Canvas
	size  float64 // times that of small text
	rows  []SheetRow
	names [][]string // the lamps' names on one or two lines
	x     [len(sheetColumns) + 1]float64
}

func (t *sheetTable) lineHeight() float64 { return lineHeight(t.c, draw.Small, t.size) }

const cellPad = 9 // units, on either side of a cell

func newSheetTable(c *draw.Canvas, rows []SheetRow, from, to, size float64) *sheetTable {
	t := &sheetTable{c: c, size: size, rows: rows}
	pad := c.U(cellPad)
	var width [len(sheetColumns)]float64
	rest := to - from
	for k, head := range sheetColumns {
		widest := func(texts ...string) {
			for _, text := range texts {
				w, _ := c.Measure(text, draw.Small)
				width[k] = max(width[k], size*w+2*pad)
			}
		}
		widest(head[0], head[1])
		if k >= firstFigure {
			for _, r := range rows {
				widest(r.cell(k))
			}
		}
		if k == lastColumn {
			width[k] = max(width[k], c.U(130)) // room to write by hand
		}
		if k != lampColumn {
			rest -= width[k]
		}
	}
	width[lampColumn] = max(rest, c.U(160))
	if rest < width[lampColumn] { // texts too long for the paper: all columns of figures give way
		over := (width[lampColumn] - rest) / float64(len(sheetColumns)-firstFigure)
		for k := firstFigure; k <= lastColumn; k++ {
			width[k] = max(c.U(30), width[k]-over)
		}
	}
	t.x[0] = from
	for k, w := range width {
		t.x[k+1] = min(to, t.x[k]+w)
	}
	for _, r := range rows {
		t.names = append(t.names, t.name(r.Lamp, width[lampColumn]-2*pad))
	}
	return t
}

// name is a name on one line, or on two, the last one cut if need be.
func (t *sheetTable) name(text string, width float64) []string {
	width /= t.size
	lines := t.c.Wrap(text, draw.Small, width)
	if len(lines) > 2 {
		rest := lines[1]
		for _, line := range lines[2:] {
			rest += " " + line
		}
		lines = []string{lines[0], t.c.Fit(rest, draw.Small, width)}
	}
	return lines
}

func (t *sheetTable) headHeight() float64 { return 2*t.lineHeight() + t.c.U(10) }

// rowHeight is that of row i.
func (t *sheetTable) rowHeight(i int) float64 {
	_, key := t.c.Measure("", draw.Key)
	return max(float64(max(1, len(t.names[i])))*t.lineHeight(), t.size*key) + t.c.U(7)
}

// height is that of the rows from i to before j, with a head.
func (t *sheetTable) height(i, j int) float64 {
	h := t.headHeight()
	for ; i < j; i++ {
		h += t.rowHeight(i)
	}
	return h
}

// draw draws the rows from i to before j below y on a canvas of the same size, and returns the places of all texts and
// of the boxes to tick.
func (t *sheetTable) draw(c *draw.Canvas, y float64, i, j int) (texts, boxes []draw.Rect) {
	pad := c.U(cellPad)
	write := func(p draw.Point, text string, l draw.Lettering) {
		if l.Size = t.size; text != "" {
			texts = append(texts, c.Write(p, text, l))
		}
	}
	place := func(k int) (x, anchor, width float64) {
		width = t.x[k+1] - t.x[k] - 2*pad
		switch {
		case k == doneColumn || k == keyColumn || k == lastColumn:
			return (t.x[k] + t.x[k+1]) / 2, 0.5, width
		case k == lampColumn:
			return t.x[k] + pad, 0, width
		}
		return t.x[k+1] - pad, 1, width
	}
	bottom := y + t.height(i, j)
	ink := draw.Pen{Colour: c.Theme.Ink, Width: 1.5}
	var rules [][]draw.Point
	rule := func(y float64) {
		rules = append(rules, []draw.Point{draw.Pt(t.x[0], y), draw.Pt(t.x[lastColumn+1], y)})
	}
	for _, x := range t.x {
		rules = append(rules, []draw.Point{draw.Pt(x, y), draw.Pt(x, bottom)})
	}
	rule(y)
	for k, head := range sheetColumns {
		x, anchor, width := place(k)
		for line, text := range head {
			write(draw.Pt(x, y+c.U(5)+float64(line)*t.lineHeight()), text, draw.Lettering{Role: draw.Small, AnchorX: anchor, Max: width + 1})
		}
	}
	y += t.headHeight()
	rule(y)
	for ; i < j; i++ {
		middle := y + t.rowHeight(i)/2
		box := draw.Around(draw.Pt((t.x[0]+t.x[1])/2, middle), t.size*c.U(26), t.size*c.U(26))
		c.Box(box, 0, c.Theme.Background, draw.Pen{Colour: c.Theme.Ink, Width: 2.5})
		boxes = append(boxes, box)
		x, anchor, _ := place(keyColumn)
		write(draw.Pt(x, middle), units.Figure(float64(t.rows[i].Key)), draw.Lettering{Role: draw.Key, AnchorX: anchor, AnchorY: 0.5})
		x, _, _ = place(lampColumn)
		for k, line := range t.names[i] {
			dy := (float64(k) - float64(len(t.names[i])-1)/2) * t.lineHeight()
			write(draw.Pt(x, middle+dy), line, draw.Lettering{Role: draw.Small, AnchorY: 0.5})
		}
		for k := firstFigure; k <= lastColumn; k++ {
			x, anchor, width := place(k)
			write(draw.Pt(x, middle), t.rows[i].cell(k), draw.Lettering{Role: draw.Small, AnchorX: anchor, AnchorY: 0.5, Max: width + 1})
		}
		y += t.rowHeight(i)
		rule(y)
	}
	c.Lines(rules, ink)
	return texts, boxes
}
