package render

import (
	"slices"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// The table of the sheet: for each lamp what the meter should read and where its mark is on the
// wall, blanks for what it was found at and set to, and a box to tick. Columns that would say
// nothing are left out.

// SheetRow is one lamp's row, in words that are printed as they are.
type SheetRow struct {
	Key        int
	Lamp       string
	Height     string // of the lamp above the ground
	Tilt       string // to be set
	Turn, Roll string // to be set, with their sides; empty: none
	Reading    string // of the meter
	WallHeight string // of the mark above the ground
	WallSide   string // of the mark from the centreline, with left or right
	Found      string // reading of the meter; empty: a blank
	Off        string // by how much that is off
	Again      bool   // it has to be set again
}

// sheetColumn is a column of figures.
type sheetColumn struct {
	head  [2]string // on up to two lines
	cell  func(*SheetRow) string
	least float64 // units; 0: as wide as its texts
	spare bool    // left out where no row has anything in it
	bold  bool    // it is what the sheet is for
}

var sheetColumns = []sheetColumn{
	{head: [2]string{"lamp", "height"}, cell: func(r *SheetRow) string { return r.Height }},
	{head: [2]string{"", "tilt"}, cell: func(r *SheetRow) string { return r.Tilt }},
	{head: [2]string{"", "turn"}, cell: func(r *SheetRow) string { return r.Turn }, spare: true},
	{head: [2]string{"", "roll"}, cell: func(r *SheetRow) string { return r.Roll }, spare: true},
	{head: [2]string{"meter", "reads"}, cell: func(r *SheetRow) string { return r.Reading }, bold: true},
	{head: [2]string{"mark,", "height"}, cell: func(r *SheetRow) string { return r.WallHeight }},
	{head: [2]string{"mark from", "centreline"}, cell: func(r *SheetRow) string { return r.WallSide }},
	{head: [2]string{"as", "found"}, cell: func(r *SheetRow) string { return r.Found }, least: 95},
	{head: [2]string{"", "off"}, cell: func(r *SheetRow) string { return r.Off }, spare: true},
	{head: [2]string{"as", "set"}, cell: func(*SheetRow) string { return "" }, least: 95},
}

// The columns before those of figures.
const (
	doneColumn = iota
	keyColumn
	lampColumn
	firstFigure
)

// sheetTable is a table laid out for a width and a size of type.
type sheetTable struct {
	c       *draw.Canvas
	size    float64 // times that of small text
	rows    []SheetRow
	figures []sheetColumn
	names   [][]string // the lamps' names on as many lines as they need
	x       []float64  // edges of all columns
	fits    bool       // there is room for all of it
}

// boldSize makes bold type as large as small type.
var boldSize = draw.Small.Size() / draw.Caution.Size()

func (t *sheetTable) lineHeight() float64 { return lineHeight(t.c, draw.Small, t.size) }

const cellPad = 9 // units, on either side of a cell

func newSheetTable(c *draw.Canvas, rows []SheetRow, from, to, size float64) *sheetTable {
	t := &sheetTable{c: c, size: size, rows: rows}
	for _, column := range sheetColumns {
		if !column.spare || slices.ContainsFunc(rows, func(r SheetRow) bool { return column.cell(&r) != "" }) {
			t.figures = append(t.figures, column)
		}
	}
	pad := c.U(cellPad)
	widest := func(texts ...string) (width float64) {
		for _, text := range texts {
			w, _ := c.Measure(text, draw.Small)
			width = max(width, size*w+2*pad)
		}
		return width
	}
	width := []float64{doneColumn: widest("done"), keyColumn: widest("key"), lampColumn: 0}
	for _, column := range t.figures {
		w := max(c.U(column.least), widest(column.head[:]...))
		for i := range rows {
			text := column.cell(&rows[i])
			if w = max(w, widest(text)); column.bold || rows[i].Again {
				bold, _ := c.Measure(text, draw.Caution)
				w = max(w, size*boldSize*bold+2*pad)
			}
		}
		width = append(width, w)
	}
	const leastName = 200 // units
	rest := to - from
	for _, w := range width {
		rest -= w
	}
	t.fits = rest >= c.U(leastName)
	width[lampColumn] = max(rest, c.U(leastName))
	if !t.fits { // texts too long for the paper: all columns of figures give way
		over := (width[lampColumn] - rest) / float64(len(t.figures))
		for k := firstFigure; k < len(width); k++ {
			width[k] = max(c.U(30), width[k]-over)
		}
	}
	t.x = []float64{from}
	for k, w := range width {
		t.x = append(t.x, min(to, t.x[k]+w))
	}
	for _, r := range rows {
		t.names = append(t.names, whole(c, r.Lamp, draw.Small, (width[lampColumn]-2*pad)/size))
	}
	return t
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

// pages divides the rows among pages that have room for a table of one height, then of another
// (px): it is the row after the last of each page. The first may have none.
func (t *sheetTable) pages(room, rest float64) (ends []int) {
	for i := 0; i < len(t.rows); {
		end := i
		for end < len(t.rows) && t.height(i, end+1) <= room {
			end++
		}
		if end == i && i > 0 {
			end++ // a row that is higher than a page cannot be; but progress must
		}
		ends, i, room = append(ends, end), end, rest
	}
	return ends
}

// draw draws the rows from i to before j below y on a canvas of the same size, and returns the
// places of all texts and of the boxes to tick.
func (t *sheetTable) draw(c *draw.Canvas, y float64, i, j int) (texts, boxes []draw.Rect) {
	pad := c.U(cellPad)
	write := func(p draw.Point, text string, l draw.Lettering) {
		l.Size *= t.size
		if text != "" {
			texts = append(texts, c.Write(p, text, l))
		}
	}
	small := draw.Lettering{Role: draw.Small, Size: 1}
	place := func(k int) (x float64, l draw.Lettering) {
		l = small
		l.Max = t.x[k+1] - t.x[k] - 2*pad + 1
		switch k {
		case doneColumn, keyColumn:
			l.AnchorX = 0.5
			return (t.x[k] + t.x[k+1]) / 2, l
		case lampColumn:
			return t.x[k] + pad, l
		}
		if t.figures[k-firstFigure].least > 0 { // to be written in
			l.AnchorX = 0.5
			return (t.x[k] + t.x[k+1]) / 2, l
		}
		l.AnchorX = 1
		return t.x[k+1] - pad, l
	}
	heads := [][2]string{{"", "done"}, {"", "key"}, {"", "lamp"}}
	for _, column := range t.figures {
		heads = append(heads, column.head)
	}
	bottom := y + t.height(i, j)
	var rules [][]draw.Point
	rule := func(y float64) {
		rules = append(rules, []draw.Point{draw.Pt(t.x[0], y), draw.Pt(t.x[len(t.x)-1], y)})
	}
	for _, x := range t.x {
		rules = append(rules, []draw.Point{draw.Pt(x, y), draw.Pt(x, bottom)})
	}
	rule(y)
	for k, head := range heads {
		x, l := place(k)
		for line, text := range head {
			write(draw.Pt(x, y+c.U(5)+float64(line)*t.lineHeight()), text, l)
		}
	}
	y += t.headHeight()
	rule(y)
	for ; i < j; i++ {
		row := &t.rows[i]
		middle := y + t.rowHeight(i)/2
		box := draw.Around(draw.Pt((t.x[0]+t.x[1])/2, middle), t.size*c.U(26), t.size*c.U(26))
		c.Box(box, 0, c.Theme.Background, draw.Pen{Colour: c.Theme.Ink, Width: 2.5})
		boxes = append(boxes, box)
		x, l := place(keyColumn)
		write(draw.Pt(x, middle), units.Figure(float64(row.Key)),
			draw.Lettering{Role: draw.Key, Size: 1, AnchorX: l.AnchorX, AnchorY: 0.5})
		x, l = place(lampColumn)
		l.Max, l.AnchorY = 0, 0.5
		for k, line := range t.names[i] {
			dy := (float64(k) - float64(len(t.names[i])-1)/2) * t.lineHeight()
			write(draw.Pt(x, middle+dy), line, l)
		}
		for k, column := range t.figures {
			x, l := place(firstFigure + k)
			l.AnchorY = 0.5
			if column.bold || row.Again && (column.head[1] == "off" || column.head[1] == "found") {
				l.Role, l.Size = draw.Caution, boldSize
			}
			write(draw.Pt(x, middle), column.cell(row), l)
		}
		y += t.rowHeight(i)
		rule(y)
	}
	c.Lines(rules, draw.Pen{Colour: c.Theme.Ink, Width: 1.5})
	return texts, boxes
}
