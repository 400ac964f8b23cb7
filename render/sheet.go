package render

import (
	"errors"
	"fmt"
	"math"
	"slices"

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

// SheetPage is a page of the sheet.
type SheetPage struct {
	*Canvas
	Labels []Rect // around all that is written, px
	Boxes  []Rect // to tick, one for each lamp of the page in the order of the rows, px
}

// Sheet draws the setting sheet of a subject at SheetDPI: one page, if the lamps have room on it in type of a legible
// size, or else more, each with its number.
func Sheet(s Subject, paper PaperSize, t SheetText) ([]SheetPage, error) {
	if paper == (PaperSize{}) {
		return nil, errors.New("sheet: no size of paper")
	}
	pixels := func(m float64) int { return round(m / units.Inch * SheetDPI) }
	open := func() (*Canvas, error) { return New(pixels(paper.Width), pixels(paper.Height), copierTheme()) }
	c, err := open()
	if err != nil {
		return nil, fmt.Errorf("sheet: %w", err)
	}
	b := sheetBuilder{c: c, s: s, text: t, at: c.Bounds.Inset(c.U(sheetMargin))}
	plan := b.plan()
	pages := make([]SheetPage, len(plan.ends))
	from := 0
	for k, end := range plan.ends {
		if k > 0 {
			if b.c, err = open(); err != nil {
				return nil, fmt.Errorf("sheet: %w", err)
			}
		}
		b.labels, b.boxes = nil, nil
		number := ""
		if len(plan.ends) > 1 {
			number = fmt.Sprintf("page %d of %d", k+1, len(plan.ends))
		}
		b.page(k == 0, number, plan, from, end)
		pages[k] = SheetPage{b.c, b.labels, b.boxes}
		from = end
	}
	return pages, nil
}

// copierTheme is the paper theme without greys and colours.
func copierTheme() Theme {
	t := Paper()
	black, white := hex(0x000000), hex(0xffffff)
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
)

// sheetSizes are the sizes of the table's type, times that of small text, which is 9 points.
var sheetSizes = [...]float64{1, 0.9, 0.8, 0.75}

// sheetBuilder draws pages from top to bottom.
type sheetBuilder struct {
	c             *Canvas
	s             Subject
	text          SheetText
	at            Rect
	labels, boxes []Rect
}

// sheetPlan is how the rows are divided into pages.
type sheetPlan struct {
	table   *sheetTable
	figures float64 // height of the drawings, px
	notes   []string
	ends    []int // the row after the last of each page
}

// plan tries one page with larger type, then with smaller; else as many as are needed.
func (b *sheetBuilder) plan() sheetPlan {
	c := b.c
	gap := c.U(sheetGap)
	head := b.headHeight()
	notes := b.notes(6)
	foot := b.stepsHeight() + b.blanksHeight() + b.cautionsHeight() + 3*gap + b.notesHeight(notes)
	n := len(b.text.Rows)
	room := b.at.H() - head - foot - 2*gap
	for _, size := range sheetSizes {
		t := c.newSheetTable(b.text.Rows, b.at.X0, b.at.X1, size)
		if left := room - t.height(0, n); left >= c.U(leastFigures) {
			figures := max(left-c.U(2*blankRow), c.U(leastFigures)) // and a line or two for remarks
			return sheetPlan{t, min(figures, c.U(mostFigures)), notes, []int{n}}
		}
	}
	p := sheetPlan{table: c.newSheetTable(b.text.Rows, b.at.X0, b.at.X1, 0.9), figures: c.U(leastFigures), notes: notes}
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
		room = b.at.H() - head - b.cautionsHeight() - 2*gap
	}
	return p
}

func (b *sheetBuilder) page(first bool, number string, p sheetPlan, from, to int) {
	c, gap := b.c, b.c.U(sheetGap)
	y := b.head(number)
	if first {
		b.figures(Rect{b.at.X0, y, b.at.X1, y + p.figures})
		y += p.figures + gap
	}
	texts, boxes := p.table.draw(c, y, from, to)
	b.labels, b.boxes = append(b.labels, texts...), boxes
	y += p.table.height(from, to) + gap
	end := b.at.Y1 - b.cautionsHeight()
	if first {
		y = b.steps(y) + gap
		y = b.blanks(y)
		end -= b.notesHeight(p.notes)
	}
	if first || to == len(b.text.Rows) { // on the last page there is room for them
		b.remarks(y, end-gap)
	}
	y = b.cautions(end)
	if first {
		b.lines(y+c.U(8), p.notes, noteSize, 0)
	}
}

// write writes a text and keeps its box.
func (b *sheetBuilder) write(p Point, text string, l Lettering) Rect {
	r := b.c.Write(p, text, l)
	if text != "" {
		b.labels = append(b.labels, r)
	}
	return r
}

func (b *sheetBuilder) headHeight() float64 {
	_, title := b.c.Measure("", Title)
	_, line := b.c.Measure("", Label)
	return title + line + b.c.U(sheetGap)
}

// head writes the title, and returns where it ends.
func (b *sheetBuilder) head(number string) float64 {
	c := b.c
	right := 0.0
	if number != "" {
		w, _ := c.Measure(number, Label)
		b.write(Point{X: b.at.X1, Y: b.at.Y0 + c.U(10)}, number, Lettering{AnchorX: 1})
		right = w + c.U(40)
	}
	r := b.write(Point{X: b.at.X0, Y: b.at.Y0}, b.s.Rig, Lettering{Role: Title, Max: b.at.W() - right})
	text := "setting sheet, vehicle parked on level ground"
	if b.s.Name != "" {
		text = "scene " + b.s.Name + " · " + text
	}
	_, title := c.Measure("", Title)
	b.write(Point{X: b.at.X0, Y: max(r.Y1, b.at.Y0+title)}, text, Lettering{Max: b.at.W()})
	return b.at.Y0 + b.headHeight()
}

// lines writes lines of small text, each at the same indent, and returns where they end.
func (b *sheetBuilder) lines(y float64, lines []string, size, indent float64) float64 {
	for _, line := range lines {
		b.write(Point{X: b.at.X0 + indent, Y: y}, line, Lettering{Role: Small, Size: size})
		y += b.c.lineHeight(Small, size)
	}
	return y
}

const stepIndent = 40 // units

// lineHeight is the distance of lines of text, in whole pixels: text stands on them.
func (c *Canvas) lineHeight(role Role, size float64) float64 {
	_, h := c.Measure("", role)
	return math.Ceil(size*h) + 1
}

func (b *sheetBuilder) wrapped(text string) []string {
	return b.c.Wrap(text, Small, b.at.W()-b.c.U(stepIndent))
}

func (b *sheetBuilder) stepsHeight() float64 {
	lines := 0
	for _, step := range sheetSteps(b.text.Wall, b.text.GroundReading) {
		lines += len(b.wrapped(step))
	}
	return float64(lines)*b.c.lineHeight(Small, 1) + 4*b.c.U(6)
}

func (b *sheetBuilder) steps(y float64) float64 {
	for k, step := range sheetSteps(b.text.Wall, b.text.GroundReading) {
		if k > 0 {
			y += b.c.U(6)
		}
		b.write(Point{X: b.at.X0, Y: y}, fmt.Sprint(k+1), Lettering{Role: Key, Size: roles[Small].size / roles[Key].size})
		y = b.lines(y, b.wrapped(step), 1, b.c.U(stepIndent))
	}
	return y
}

func (b *sheetBuilder) blanksHeight() float64 {
	_, h := b.c.Measure("", Small)
	return h + b.c.U(10) + float64(len(sheetBlanks))*b.c.U(blankRow)
}

// blanks draws the boxes to tick and the lines to fill in.
func (b *sheetBuilder) blanks(y float64) float64 {
	c := b.c
	_, h := c.Measure("", Small)
	for k, column := range (Rect{b.at.X0, y, b.at.X1, y + h}).Columns(len(sheetChecks), c.U(30)) {
		box := Around(Point{X: column.X0 + c.U(14), Y: y + h/2}, c.U(26), c.U(26))
		c.Box(box, 0, c.Theme.Background, Pen{Colour: c.Theme.Ink, Width: 2.5})
		b.write(Point{X: column.X0 + c.U(stepIndent), Y: y}, sheetChecks[k], Lettering{Role: Small, Max: column.W() - c.U(stepIndent)})
	}
	y += h + c.U(10)
	for _, row := range sheetBlanks {
		y += c.U(blankRow)
		for k, column := range (Rect{b.at.X0, y, b.at.X1, y}).Columns(len(row), c.U(30)) {
			r := b.write(Point{X: column.X0, Y: y}, row[k], Lettering{Role: Small, AnchorY: 1, Max: column.W()})
			c.Line([]Point{{X: r.X1 + c.U(10), Y: y - c.U(4)}, {X: column.X1, Y: y - c.U(4)}}, Pen{Colour: c.Theme.Ink, Width: 2})
		}
	}
	return y
}

// remarks rules what is left of the page for remarks.
func (b *sheetBuilder) remarks(y, end float64) {
	c := b.c
	name := "remarks"
	for y += c.U(blankRow); y <= end; y += c.U(blankRow) {
		r := b.write(Point{X: b.at.X0, Y: y}, name, Lettering{Role: Small, AnchorY: 1})
		from := r.X0
		if name != "" {
			from, name = r.X1+c.U(10), ""
		}
		c.Line([]Point{{X: from, Y: y - c.U(4)}, {X: b.at.X1, Y: y - c.U(4)}}, Pen{Colour: c.Theme.Ink, Width: 2})
	}
}

func (b *sheetBuilder) cautionLines() []string {
	var lines []string
	for _, caution := range sheetCautions {
		lines = append(lines, b.c.Wrap(caution, Caution, b.at.W())...)
	}
	return lines
}

func (b *sheetBuilder) cautionsHeight() float64 {
	return float64(len(b.cautionLines())) * b.c.lineHeight(Caution, 1)
}

func (b *sheetBuilder) cautions(y float64) float64 {
	for _, line := range b.cautionLines() {
		b.write(Point{X: b.at.X0, Y: y}, line, Lettering{Role: Caution})
		y += b.c.lineHeight(Caution, 1)
	}
	return y
}

const noteSize = 0.8 // times small text

// notes are the notes on at most so many lines; the last one counts those left out.
func (b *sheetBuilder) notes(most int) []string {
	var lines []string
	for k, note := range b.text.Notes {
		wrapped := b.c.Wrap(note, Small, b.at.W()/noteSize)
		last := k == len(b.text.Notes)-1
		if len(lines)+len(wrapped) > most || !last && len(lines)+len(wrapped) == most {
			left := len(b.text.Notes) - k
			return append(slices.Clip(lines), fmt.Sprintf("and %d more notes, as in the table", left))
		}
		lines = append(lines, wrapped...)
	}
	return lines
}

func (b *sheetBuilder) notesHeight(lines []string) float64 {
	if len(lines) == 0 {
		return 0
	}
	return b.c.lineHeight(Small, noteSize)*float64(len(lines)) + b.c.U(8)
}
