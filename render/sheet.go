package render

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/draw/pdf"
	"beamfall/render/units"
)

// The sheet documents how a vehicle's lamps are set: to work by, to sign, and to file. All of it is
// black on white, with no grey and no fine line, so that a bad copy of a copy can still be read. A
// page is described once, and drawn on paper or as a picture.

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

// SheetDPI is the resolution of the pictures of pages, for EncodePrint.
const SheetDPI = 200

// Sheet is what the pages of one vehicle say, in words that are printed as they are.
type Sheet struct {
	Subject Subject
	Recheck bool // it documents what was found, not the first setting
	Record  SheetRecord
	Rows    []SheetRow

	Wall          string   // distance of the wall from the bumper
	GroundReading string   // what the meter shows on the ground, if the readings allow for it
	Tolerance     string   // by how much a reading may be off
	Verdict       []string // on what was found, below the table; may be empty

	Files string   // what the figures were read from, with a digest of each
	Notes []string // what the figures rest on
}

// SheetRecord is what is known of the job. What is empty is left as a line to fill in.
type SheetRecord struct{ Registration, Vehicle, Installer, Meter string }

// SheetDocument draws the sheets of vehicles as one document, with a line of its outline for each,
// and counts the pages of each.
func SheetDocument(sheets []Sheet, paper PaperSize) (d *pdf.Document, pages []int, err error) {
	title := "setting sheets"
	if len(sheets) == 1 {
		title = "setting sheet: " + sheets[0].Subject.Rig
	}
	d = pdf.New(title)
	open := func() (*draw.Canvas, error) { return d.Page(paper.Width, paper.Height, SheetDPI, copierTheme()), nil }
	pages, err = drawSheets(sheets, paper, open, func(p *sheetPage) error {
		if p.first {
			d.Bookmark(p.sheet.outline(), 0)
		}
		if !p.first || !p.last {
			d.Bookmark(p.lamps(), 1)
		}
		return nil
	})
	return d, pages, err
}

// SheetPictures draws the same pages as pictures at SheetDPI, and hands each to done with the index
// of its sheet and that of the page among those of the sheet.
func SheetPictures(sheets []Sheet, paper PaperSize, done func(sheet, page int, c *draw.Canvas) error) error {
	open := func() (*draw.Canvas, error) { return blankPaper(paper) }
	_, err := drawSheets(sheets, paper, open, func(p *sheetPage) error { return done(p.index, p.number, p.Canvas) })
	return err
}

func blankPaper(paper PaperSize) (*draw.Canvas, error) {
	pixels := func(m float64) int { return int(math.Round(m / units.Inch * SheetDPI)) }
	return draw.New(pixels(paper.Width), pixels(paper.Height), copierTheme())
}

// sheetPage is a page of a sheet.
type sheetPage struct {
	*draw.Canvas
	sheet       *sheet
	index       int // of the sheet
	number      int // of the page among those of the sheet, from 0
	first, last bool
	from, to    int // rows

	labels []draw.Rect // around all that is written, px
	boxes  []draw.Rect // to tick, one for each lamp of the page in the order of the rows, px
	ruler  [2]draw.Point
}

// lamps says which lamps are on a page.
func (p *sheetPage) lamps() string {
	rows := p.sheet.Rows[p.from:p.to]
	if len(rows) == 0 {
		return "no lamps"
	}
	return fmt.Sprintf("keys %d to %d", rows[0].Key, rows[len(rows)-1].Key)
}

// drawSheets draws all pages in order, each on a canvas of its own, and counts those of each sheet.
// The last page of a sheet may be its first.
func drawSheets(sheets []Sheet, paper PaperSize, open func() (*draw.Canvas, error),
	done func(*sheetPage) error) (pages []int, err error) {
	if paper == (PaperSize{}) {
		return nil, errors.New("sheet: no size of paper")
	}
	ruler, err := blankPaper(paper)
	if err != nil {
		return nil, fmt.Errorf("sheet: %w", err)
	}
	plans := make([]sheetPlan, len(sheets))
	all := 0
	for i, s := range sheets {
		b := &sheet{s, paper}
		plans[i] = b.plan(ruler)
		pages = append(pages, len(plans[i].ends))
		all += pages[i]
	}
	number := 0
	for i, plan := range plans {
		from := 0
		for k, end := range plan.ends {
			number++
			c, err := open()
			if err != nil {
				return pages, fmt.Errorf("sheet: %w", err)
			}
			p := &sheetPage{
				Canvas: c, sheet: &sheet{sheets[i], paper}, index: i, number: k, first: k == 0,
				last: k == len(plan.ends)-1, from: from, to: end,
			}
			p.draw(plan, fmt.Sprintf("page %d of %d", number, all))
			if err := done(p); err != nil {
				return pages, err
			}
			from = end
		}
	}
	return pages, nil
}

// copierTheme is the paper theme without greys and colours.
func copierTheme() draw.Theme {
	t := draw.Paper()
	black, white := draw.Hex(0x000000), draw.Hex(0xffffff)
	t.Name = "copier"
	t.PlateEdge, t.Ink, t.Muted, t.Grid, t.Accent, t.Caution, t.VehicleEdge = black, black, black, black, black, black,
		black
	t.Vehicle, t.Ground = white, white
	return t
}

// Measures of the sheet, units. Printers leave about 6 mm blank at the edges of the paper.
const (
	sheetMargin  = 70
	sheetGap     = 18
	goodFigures  = 460
	leastFigures = 280
	mostFigures  = 640
	blankRow     = 54
	stepIndent   = 40
)

// sheetSizes are the sizes of the table's type, times that of small text, which is 9 points.
var sheetSizes = [...]float64{1, 0.95, 0.9, 0.85, 0.8, 0.75}

// noteSize is the size of the type of notes, times small text, and mostNotes how many lines of them
// there are.
const noteSize, mostNotes = 0.8, 4

// sheet is what a sheet is of. Its parts are boxes.
type sheet struct {
	Sheet
	paper PaperSize
}

func sheetArea(c *draw.Canvas) draw.Rect { return c.Bounds.Inset(c.U(sheetMargin)) }

// outline is what the outline of a document calls a sheet.
func (b *sheet) outline() string {
	if b.Record.Registration == "" {
		return b.Subject.Rig
	}
	return b.Record.Registration + ": " + b.Subject.Rig
}

// sheetPlan is how the rows are divided into pages.
type sheetPlan struct {
	table   *sheetTable
	figures float64 // height of the drawings, px
	ends    []int   // the row after the last of each page
}

// plan tries one page with larger type, then with smaller, then with small drawings; else as many
// as are needed.
func (b *sheet) plan(c *draw.Canvas) sheetPlan {
	gap, at := c.U(sheetGap), sheetArea(c)
	height := func(parts ...chart.Box) (sum float64) {
		for _, p := range parts {
			sum += p.Height(c, at.W())
		}
		return sum
	}
	head, foot := height(b.head()), height(b.signing(), cautions)+footRow(c)+2*gap
	once := height(b.record(), b.verdict(), b.steps(), blanks, b.notes()) + 4*gap // what the first page has besides
	n := len(b.Rows)
	room := at.H() - head - foot - once
	var table *sheetTable
	for _, least := range []float64{goodFigures, leastFigures} {
		for _, size := range sheetSizes {
			table = newSheetTable(c, b.Rows, at.X0, at.X1, size)
			// Below them is a line for remarks, and a second one where the drawings are large
			// enough.
			if left := room - table.height(0, n) - c.U(blankRow); table.fits && left >= c.U(least) {
				figures := max(left-c.U(blankRow), c.U(least))
				return sheetPlan{table, min(figures, c.U(mostFigures)), []int{n}}
			}
		}
	}
	for _, size := range sheetSizes[1:] { // on more pages there is no need for small type
		if table = newSheetTable(c, b.Rows, at.X0, at.X1, size); table.fits {
			break
		}
	}
	// The drawings are as large as they can be without another page.
	var p sheetPlan
	for _, figures := range []float64{leastFigures, goodFigures, mostFigures} {
		ends := table.pages(room-c.U(figures), at.H()-head-foot-2*gap)
		if p.ends != nil && len(ends) > len(p.ends) {
			break
		}
		p = sheetPlan{table, c.U(figures), ends}
	}
	return p
}

// draw draws the rows of a page, with all else that belongs on it.
func (p *sheetPage) draw(plan sheetPlan, number string) {
	b, c := p.sheet, p.Canvas
	gap, at := c.U(sheetGap), sheetArea(c)
	y := at.Y0
	add := func(part chart.Box) {
		end := y + part.Height(c, at.W())
		p.labels = append(p.labels, part.Draw(c, draw.R(at.X0, y, at.X1, end))...)
		y = end
	}
	add(b.head())
	if p.first {
		add(b.record())
		y += gap
		p.labels = append(p.labels, b.figures(c, draw.R(at.X0, y, at.X1, y+plan.figures))...)
		y += plan.figures + gap
	}
	if !p.first {
		y += gap
	}
	if p.to > p.from || p.last {
		texts, boxes := plan.table.draw(c, y, p.from, p.to)
		p.labels, p.boxes = append(p.labels, texts...), boxes
		y += plan.table.height(p.from, p.to) + gap
	}
	end := at.Y1 - footRow(c) - cautions.Height(c, at.W()) - b.signing().Height(c, at.W()) - gap
	if p.first {
		add(b.verdict())
		add(b.steps())
		y += gap
		add(blanks)
		end -= b.notes().Height(c, at.W())
	}
	if p.last { // there is room for them
		p.labels = append(p.labels, remarks(c, draw.R(at.X0, y, at.X1, end))...)
	}
	y = end
	add(b.signing())
	y += gap
	add(cautions)
	if p.first {
		add(b.notes())
	}
	p.foot(draw.R(at.X0, at.Y1-footRow(c), at.X1, at.Y1), number)
}

// lineHeight is the distance of lines of text, in whole pixels: text stands on them.
func lineHeight(c *draw.Canvas, role draw.Role, size float64) float64 {
	_, h := c.Measure("", role)
	return math.Ceil(size*h) + 1
}

// whole is a text on as many lines as it needs; a word that is longer than a line is divided.
func whole(c *draw.Canvas, text string, role draw.Role, width float64) []string {
	wide := func(s string) bool { w, _ := c.Measure(s, role); return w > width }
	var words []string
	for _, word := range strings.Fields(text) {
		for letters := []rune(word); len(letters) > 0; {
			n := len(letters)
			for n > 1 && wide(string(letters[:n])) {
				n--
			}
			words, letters = append(words, string(letters[:n])), letters[n:]
		}
	}
	return c.Wrap(strings.Join(words, " "), role, width)
}

// head is the title, and what kind of sheet it is the one of.
func (b *sheet) head() chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (y float64, texts []draw.Rect) {
		role, lines := draw.Title, whole(c, b.Subject.Rig, draw.Title, width)
		if len(lines) > 1 {
			role, lines = draw.Heading, whole(c, b.Subject.Rig, draw.Heading, width)
		}
		y = at.Y
		for _, line := range lines {
			texts = append(texts, c.Write(draw.Pt(at.X, y), line, draw.Lettering{Role: role}))
			y += lineHeight(c, role, 1)
		}
		text := "setting sheet · vehicle parked on level ground"
		if b.Recheck {
			text = "recheck sheet, as found and as set · vehicle parked on level ground"
		}
		if b.Record.Registration != "" {
			text = "registration " + b.Record.Registration + " · " + text
		}
		if b.Subject.Name != "" {
			text += " · scene " + b.Subject.Name
		}
		for _, line := range whole(c, text, draw.Label, width) {
			texts = append(texts, c.Write(draw.Pt(at.X, y), line, draw.Lettering{}))
			y += lineHeight(c, draw.Label, 1)
		}
		return y, texts
	}
}

// blank is what is filled in by hand, or printed where it is known, and its share of the width.
type blank struct {
	name, value string
	share       float64
}

// fill draws rows of blanks. What is printed on one is on as many lines as it needs.
func fill(rows ...[]blank) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (y float64, texts []draw.Rect) {
		y = at.Y
		const between = 30
		small := draw.Lettering{Role: draw.Small, AnchorY: 1}
		for _, row := range rows {
			x, high := at.X, 0.0
			var values [][]string
			var froms, ends []float64
			for _, b := range row {
				end := x + b.share*(width+c.U(between)) - c.U(between)
				name, _ := c.Measure(b.name, small.Role)
				from := x + name + c.U(10)
				lines := whole(c, b.value, small.Role, end-from)
				values, froms, ends = append(values, lines), append(froms, from), append(ends, end)
				high = max(high, float64(len(lines)-1)*lineHeight(c, small.Role, 1))
				x = end + c.U(between)
			}
			y += c.U(blankRow) + high
			for k, b := range row {
				texts = append(texts, c.Write(draw.Pt(froms[k]-c.U(10), y), b.name,
					draw.Lettering{Role: draw.Small, AnchorX: 1, AnchorY: 1}))
				for i, line := range values[k] {
					up := float64(len(values[k])-1-i) * lineHeight(c, small.Role, 1)
					texts = append(texts, c.Write(draw.Pt(froms[k], y-c.U(5)-up), line, small))
				}
				c.Line([]draw.Point{draw.Pt(froms[k], y-c.U(4)), draw.Pt(ends[k], y-c.U(4))},
					draw.Pen{Colour: c.Theme.Ink, Width: 2})
			}
		}
		return y, texts
	}
}

// record is what the sheet is of, and what it was set with.
func (b *sheet) record() chart.Flow {
	return fill(
		[]blank{{"registration", b.Record.Registration, 0.4}, {"vehicle", b.Record.Vehicle, 0.6}},
		[]blank{{"meter used", b.Record.Meter, 0.6}, {"readings good within", b.Tolerance, 0.4}},
	)
}

// signing is on every page.
func (b *sheet) signing() chart.Flow {
	return fill([]blank{{"date, place", "", 0.3}, {"installer, in print", b.Record.Installer, 0.38},
		{"signature", "", 0.32}})
}

// steps are how to set the lamps.
func (b *sheet) steps() chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (y float64, texts []draw.Rect) {
		y = at.Y
		for k, step := range sheetSteps(&b.Sheet) {
			if k > 0 {
				y += c.U(6)
			}
			texts = append(texts, c.Write(draw.Pt(at.X, y), fmt.Sprint(k+1),
				draw.Lettering{Role: draw.Key, Size: draw.Small.Size() / draw.Key.Size()}))
			for _, line := range c.Wrap(step, draw.Small, width-c.U(stepIndent)) {
				texts = append(texts, c.Write(draw.Pt(at.X+c.U(stepIndent), y), line, draw.Lettering{Role: draw.Small}))
				y += lineHeight(c, draw.Small, 1)
			}
		}
		return y, texts
	}
}

// verdict is on what was found, with a little space below; nothing for a sheet to set by.
func (b *sheet) verdict() chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (y float64, texts []draw.Rect) {
		y = at.Y
		for _, said := range b.Verdict {
			for i, line := range whole(c, "– "+said, draw.Caution, width-c.U(20)) {
				x := at.X + c.U(20*min(1, float64(i)))
				texts = append(texts, c.Write(draw.Pt(x, y), line, draw.Lettering{Role: draw.Caution}))
				y += lineHeight(c, draw.Caution, 1)
			}
		}
		if len(texts) > 0 {
			y += c.U(sheetGap)
		}
		return y, texts
	}
}

// blanks is the boxes to tick and the lines to fill in once.
var blanks chart.Flow = func(c *draw.Canvas, at draw.Point, width float64) (y float64, texts []draw.Rect) {
	y = at.Y
	_, h := c.Measure("", draw.Small)
	for k, column := range (draw.R(at.X, y, at.X+width, y+h)).Columns(len(sheetChecks), c.U(30)) {
		box := draw.Around(draw.Pt(column.X0+c.U(14), y+h/2), c.U(26), c.U(26))
		c.Box(box, 0, c.Theme.Background, draw.Pen{Colour: c.Theme.Ink, Width: 2.5})
		texts = append(texts, c.Write(draw.Pt(column.X0+c.U(stepIndent), y), sheetChecks[k],
			draw.Lettering{Role: draw.Small, Max: column.W() - c.U(stepIndent)}))
	}
	y, more := fill([]blank{{"tyre pressure, front", "", 1. / 3}, {"rear", "", 1. / 3}, {"load", "", 1. / 3}})(c,
		draw.Pt(at.X, y+h), width)
	return y, append(texts, more...)
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
	for k, note := range b.Notes {
		wrapped := c.Wrap(note, draw.Small, width/noteSize)
		last := k == len(b.Notes)-1
		if len(lines)+len(wrapped) > mostNotes || !last && len(lines)+len(wrapped) == mostNotes {
			return append(lines, fmt.Sprintf("and %d more notes, as in the table", len(b.Notes)-k))
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

// footRow is the height of the last row of a page.
func footRow(c *draw.Canvas) float64 { return c.U(50) }

// foot is the last row of a page: a mark to see by whether the page was printed true to size, what
// it was made from, and its number.
func (p *sheetPage) foot(in draw.Rect, number string) {
	c := p.Canvas
	const long, step = 0.1, 0.01 // m
	perMetre := c.Bounds.W() / p.sheet.paper.Width
	pen, y := draw.Pen{Colour: c.Theme.Ink, Width: 2}, in.Y1-c.U(12)
	p.ruler = [2]draw.Point{draw.Pt(in.X0, y), draw.Pt(in.X0+long*perMetre, y)}
	c.Line(p.ruler[:], pen)
	for k := range int(math.Round(long/step)) + 1 {
		x, high := in.X0+float64(k)*step*perMetre, c.U(8)
		if k%5 == 0 {
			high = c.U(14)
		}
		c.Line([]draw.Point{draw.Pt(x, y), draw.Pt(x, y-high)}, pen)
	}
	small := draw.Lettering{Role: draw.Small, Size: noteSize, AnchorY: 1}
	write := func(x, y float64, text string) draw.Rect {
		r := c.Write(draw.Pt(x, y), text, small)
		p.labels = append(p.labels, r)
		return r
	}
	from := p.ruler[1].X + c.U(12)
	write(from, in.Y1, "100 mm when printed true")
	small.AnchorX = 1
	top := write(in.X1, in.Y1, number).Y0
	small.Max = in.X1 - from
	write(in.X1, top, p.sheet.Files)
}
