package render

import (
	"errors"
	"fmt"
	"math"

	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// The sheet documents how a vehicle's lamps are set: to work by, to sign, and to file. All of it is black on white, with
// no grey and no fine line, so that a bad copy of a copy can still be read.

// PaperSize is a size of paper, m.
type PaperSize struct {
	Name          string
	Width, Height float64
}

// A4 is that of ISO 216; Letter is 8.5 in × 11 in (ANSI/ASME Y14.1, size A).
var (
	A4     = PaperSize{"a4", 0.210, 0.297}
	Letter = PaperSize{"letter", 8.5 * units.Inch, 11 * units.Inch}
)

// PaperNamed is the size of paper called a4 or letter.
func PaperNamed(name string) (PaperSize, error) {
	for _, p := range []PaperSize{A4, Letter} {
		if p.Name == name {
			return p, nil
		}
	}
	return PaperSize{}, fmt.Errorf("paper %q: there are a4 and letter", name)
}

// SheetDPI is the resolution of sheets, for EncodePrint.
const SheetDPI = 200

// SheetText is what the sheet says of its lamps, in words that are printed as they are.
type SheetText struct {
	Rows          []SheetRow
	Wall          string   // distance of the wall from the bumper
	GroundReading string   // what the meter shows on the ground, if the readings allow for it
	Notes         []string // what the figures rest on
}

// Sheet draws the setting sheet of a subject at SheetDPI: one page, if the lamps have room on it in type of a legible
// size, or else more, each with its number.
func Sheet(s Subject, paper PaperSize, t SheetText) ([]*draw.Canvas, error) {
	pages, err := drawSheet(s, paper, t)
	var out []*draw.Canvas
	for _, p := range pages {
		out = append(out, p.Canvas)
	}
	return out, err
}

// sheetPage is a page of the sheet.
type sheetPage struct {
	*draw.Canvas
	labels []draw.Rect // around all that is written, px
	boxes  []draw.Rect // to tick, one for each lamp of the page in the order of the rows, px
}

func drawSheet(s Subject, paper PaperSize, t SheetText) ([]sheetPage, error) {
	if paper == (PaperSize{}) {
		return nil, errors.New("sheet: no size of paper")
	}
	pixels := func(m float64) int { return int(math.Round(m / units.Inch * SheetDPI)) }
	open := func() (*draw.Canvas, error) {
		return draw.New(pixels(paper.Width), pixels(paper.Height), copierTheme())
	}
	c, err := open()
	if err != nil {
		return nil, fmt.Errorf("sheet: %w", err)
	}
	b := sheet{s: s, text: t}
	plan := b.plan(c)
	pages := make([]sheetPage, len(plan.ends))
	from := 0
	for k, end := range plan.ends {
		if k > 0 {
			if c, err = open(); err != nil {
				return nil, fmt.Errorf("sheet: %w", err)
			}
		}
		number := ""
		if len(plan.ends) > 1 {
			number = fmt.Sprintf("page %d of %d", k+1, len(plan.ends))
		}
		pages[k] = b.page(c, k == 0, number, plan, from, end)
		from = end
	}
	return pages, nil
}

// copierTheme is the paper theme without greys and colours.
func copierTheme() draw.Theme {
	t := draw.Paper()
	black, white := draw.Hex(0x000000), draw.Hex(0xffffff)
	t.Name = "copier"
	t.PlateEdge, t.Ink, t.Muted, t.Grid, t.Accent, t.Caution, t.VehicleEdge = black, black, black, black, black, black, black
	t.Vehicle, t.Ground = white, white
	return t
}

// Measures of the sheet, units. Printers leave about 6 mm blank at the edges of the paper.
const (
	sheetMargin  = 70
	sheetGap     = 18
	leastFigures = 300
	mostFigures  = 640
	blankRow     = 54
	stepIndent   = 40
)

// sheetSizes are the sizes of the table's type, times that of small text, which is 9 points.
var sheetSizes = [...]float64{1, 0.9, 0.8, 0.75}

// noteSize is the size of the type of notes, times small text, and mostNotes how many lines of them there are.
const noteSize, mostNotes = 0.8, 6

// sheet is what a sheet is of. Its parts are boxes.
type sheet struct {
	s    Subject
	text SheetText
}

func sheetArea(c *draw.Canvas) draw.Rect { return c.Bounds.Inset(c.U(sheetMargin)) }

// sheetPlan is how the rows are divided into pages.
type sheetPlan struct {
	table   *sheetTable
	figures float64 // height of the drawings, px
	ends    []int   // the row after the last of each page
}

// plan tries one page with larger type, then with smaller; else as many as are needed.
func (b *sheet) plan(c *draw.Canvas) sheetPlan {
	gap, at := c.U(sheetGap), sheetArea(c)
	height := func(parts ...chart.Box) (sum float64) {
		for _, p := range parts {
			sum += p.Height(c, at.W())
		}
		return sum
	}
	head := height(b.head(""))
	foot := height(b.steps(), blanks, cautions, b.notes()) + 3*gap
	n := len(b.text.Rows)
	room := at.H() - head - foot - 2*gap
	for _, size := range sheetSizes {
		t := newSheetTable(c, b.text.Rows, at.X0, at.X1, size)
		if left := room - t.height(0, n); left >= c.U(leastFigures) {
			figures := max(left-c.U(2*blankRow), c.U(leastFigures)) // and a line or two for remarks
			return sheetPlan{t, min(figures, c.U(mostFigures)), []int{n}}
		}
	}
	p := sheetPlan{table: newSheetTable(c, b.text.Rows, at.X0, at.X1, 0.9), figures: c.U(leastFigures)}
	room -= p.figures
	for i := 0; i < n; {
		end := i
		for end < n && p.table.height(i, end+1) <= room {
			end++
		}
		if end == i {
			end++ // a row that is higher than a page cannot be; but progress must
		}
		p.ends = append(p.ends, end)
		i = end
		room = at.H() - head - height(cautions) - 2*gap
	}
	return p
}

// page draws the rows from one to before another, with all else that belongs on the page.
func (b *sheet) page(c *draw.Canvas, first bool, number string, p sheetPlan, from, to int) sheetPage {
	gap, at := c.U(sheetGap), sheetArea(c)
	page := sheetPage{Canvas: c}
	y := at.Y0
	add := func(part chart.Box) {
		end := y + part.Height(c, at.W())
		page.labels = append(page.labels, part.Draw(c, draw.R(at.X0, y, at.X1, end))...)
		y = end
	}
	add(b.head(number))
	if first {
		page.labels = append(page.labels, b.figures(c, draw.R(at.X0, y, at.X1, y+p.figures))...)
		y += p.figures + gap
	}
	texts, boxes := p.table.draw(c, y, from, to)
	page.labels, page.boxes = append(page.labels, texts...), boxes
	y += p.table.height(from, to) + gap
	end := at.Y1 - cautions.Height(c, at.W())
	if first {
		add(b.steps())
		y += gap
		add(blanks)
		end -= b.notes().Height(c, at.W())
	}
	if first || to == len(b.text.Rows) { // on the last page there is room for them
		page.labels = append(page.labels, remarks(c, draw.R(at.X0, y, at.X1, end-gap))...)
	}
	y = end
	add(cautions)
	if first {
		add(b.notes())
	}
	return page
}

// lineHeight is the distance of lines of text, in whole pixels: text stands on them.
func lineHeight(c *draw.Canvas, role draw.Role, size float64) float64 {
	_, h := c.Measure("", role)
	return math.Ceil(size*h) + 1
}

// head is the title, with a number of the page if there is one.
func (b *sheet) head(number string) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (float64, []draw.Rect) {
		var texts []draw.Rect
		right := 0.0
		if number != "" {
			w, _ := c.Measure(number, draw.Label)
			texts = append(texts, c.Write(draw.Pt(at.X+width, at.Y+c.U(10)), number, draw.Lettering{AnchorX: 1}))
			right = w + c.U(40)
		}
		r := c.Write(at, b.s.Rig, draw.Lettering{Role: draw.Title, Max: width - right})
		text := "setting sheet, vehicle parked on level ground"
		if b.s.Name != "" {
			text = "scene " + b.s.Name + " · " + text
		}
		_, title := c.Measure("", draw.Title)
		_, line := c.Measure("", draw.Label)
		below := c.Write(draw.Pt(at.X, max(r.Y1, at.Y+title)), text, draw.Lettering{Max: width})
		return at.Y + title + line + c.U(sheetGap), append(texts, r, below)
	}
}

// steps are how to set the lamps.
func (b *sheet) steps() chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (y float64, texts []draw.Rect) {
		y = at.Y
		for k, step := range sheetSteps(b.text.Wall, b.text.GroundReading) {
			if k > 0 {
				y += c.U(6)
			}
			texts = append(texts, c.Write(draw.Pt(at.X, y), fmt.Sprint(k+1), draw.Lettering{Role: draw.Key, Size: draw.Small.Size() / draw.Key.Size()}))
			for _, line := range c.Wrap(step, draw.Small, width-c.U(stepIndent)) {
				texts = append(texts, c.Write(draw.Pt(at.X+c.U(stepIndent), y), line, draw.Lettering{Role: draw.Small}))
				y += lineHeight(c, draw.Small, 1)
			}
		}
		return y, texts
	}
}

// blanks is the boxes to tick and the lines to fill in.
var blanks chart.Flow = func(c *draw.Canvas, at draw.Point, width float64) (y float64, texts []draw.Rect) {
	y = at.Y
	_, h := c.Measure("", draw.Small)
	for k, column := range (draw.R(at.X, y, at.X+width, y+h)).Columns(len(sheetChecks), c.U(30)) {
		box := draw.Around(draw.Pt(column.X0+c.U(14), y+h/2), c.U(26), c.U(26))
		c.Box(box, 0, c.Theme.Background, draw.Pen{Colour: c.Theme.Ink, Width: 2.5})
		texts = append(texts, c.Write(draw.Pt(column.X0+c.U(stepIndent), y), sheetChecks[k],
			draw.Lettering{Role: draw.Small, Max: column.W() - c.U(stepIndent)}))
	}
	y += h + c.U(10)
	for _, row := range sheetBlanks {
		y += c.U(blankRow)
		for k, column := range (draw.R(at.X, y, at.X+width, y)).Columns(len(row), c.U(30)) {
			r := c.Write(draw.Pt(column.X0, y), row[k], draw.Lettering{Role: draw.Small, AnchorY: 1, Max: column.W()})
			c.Line([]draw.Point{draw.Pt(r.X1+c.U(10), y-c.U(4)), draw.Pt(column.X1, y-c.U(4))}, draw.Pen{Colour: c.Theme.Ink, Width: 2})
			texts = append(texts, r)
		}
	}
	return y, texts
}

// remarks rules what is left of the page for remarks.
func remarks(c *draw.Canvas, in draw.Rect) (texts []draw.Rect) {
	name := "remarks"
	for y := in.Y0 + c.U(blankRow); y <= in.Y1; y += c.U(blankRow) {
		from := in.X0
		if name != "" {
			r := c.Write(draw.Pt(in.X0, y), name, draw.Lettering{Role: draw.Small, AnchorY: 1})
			from, name, texts = r.X1+c.U(10), "", append(texts, r)
		}
		c.Line([]draw.Point{draw.Pt(from, y-c.U(4)), draw.Pt(in.X1, y-c.U(4))}, draw.Pen{Colour: c.Theme.Ink, Width: 2})
	}
	return texts
}

// cautions are the cautions in full.
var cautions chart.Flow = func(c *draw.Canvas, at draw.Point, width float64) (y float64, texts []draw.Rect) {
	y = at.Y
	for _, caution := range sheetCautions {
		for _, line := range c.Wrap(caution, draw.Caution, width) {
			texts = append(texts, c.Write(draw.Pt(at.X, y), line, draw.Lettering{Role: draw.Caution}))
			y += lineHeight(c, draw.Caution, 1)
		}
	}
	return y, texts
}

// noteLines are the notes on a few lines, the last of which counts those left out.
func (b *sheet) noteLines(c *draw.Canvas, width float64) (lines []string) {
	for k, note := range b.text.Notes {
		wrapped := c.Wrap(note, draw.Small, width/noteSize)
		last := k == len(b.text.Notes)-1
		if len(lines)+len(wrapped) > mostNotes || !last && len(lines)+len(wrapped) == mostNotes {
			return append(lines, fmt.Sprintf("and %d more notes, as in the table", len(b.text.Notes)-k))
		}
		lines = append(lines, wrapped...)
	}
	return lines
}

// notes are the notes in small type, below a little space.
func (b *sheet) notes() chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (y float64, texts []draw.Rect) {
		lines := b.noteLines(c, width)
		if len(lines) == 0 {
			return at.Y, nil
		}
		y = at.Y + c.U(8)
		for _, line := range lines {
			texts = append(texts, c.Write(draw.Pt(at.X, y), line, draw.Lettering{Role: draw.Small, Size: noteSize}))
			y += lineHeight(c, draw.Small, noteSize)
		}
		return y, texts
	}
}
