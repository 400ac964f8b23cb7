// Package pdf is documents to print: pages that canvases draw on, with text as text and lines as
// lines.
//
//	d := pdf.New("a report")
//	c := d.Page(0.210, 0.297, 200, draw.Paper()) // of A4, 200 px to the inch
//	d.Bookmark("first page", 0)
//	c.Write(draw.Pt(100, 100), "a label", draw.Lettering{})
//	err := d.Encode(file)
//
// The fonts are part of the file, with the letters that are used. Drawing the same gives the same
// bytes: a document says nothing of when or where it was made.
package pdf

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"time"

	"beamfall/render/draw"

	"codeberg.org/go-pdf/fpdf"
)

const pointsPerInch, metresPerInch = 72, 0.0254

// Document is pages, of which the last one can be drawn on.
type Document struct {
	pdf    *fpdf.Fpdf
	pages  int
	fonts  map[draw.Font]bool // that are in it
	images int                // how many are
}

// New is a document without pages. The title is for whoever looks at it on a screen.
func New(title string) *Document {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt"})
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetCatalogSort(true)
	f.SetTitle(title, true)
	f.SetLang("en")
	f.SetDisplayMode("fullpage", "SinglePage")
	f.SetProducer("beamfall", false)
	f.SetCreationDate(noDate)
	f.SetModificationDate(noDate)
	return &Document{pdf: f, fonts: map[draw.Font]bool{}}
}

// Page adds a page of a width and height in metres, and is a canvas on it with dpi pixels to the
// inch. It can be drawn on until the next page is added; to draw on it later is an error of the
// program, and panics.
func (d *Document) Page(width, height, dpi float64, theme draw.Theme) *draw.Canvas {
	points := func(m float64) float64 { return m / metresPerInch * pointsPerInch }
	d.pdf.AddPageFormat("P", fpdf.SizeType{Wd: points(width), Ht: points(height)})
	d.pages++
	s := &surface{doc: d, page: d.pages, scale: pointsPerInch / dpi}
	c := draw.On(s, width/metresPerInch*dpi, height/metresPerInch*dpi, theme)
	if white := draw.Hex(0xffffff); theme.Background != white {
		c.Fill(theme.Background, c.Bounds.Corners())
	}
	return c
}

// Bookmark adds a line to the outline of the document that leads to the last page: on level 0, or
// below the last one of the level above.
func (d *Document) Bookmark(text string, level int) {
	d.use(draw.Regular, 1) // in whose letters it is
	d.pdf.Bookmark(text, level, 0)
}

// Encode writes the document, which ends it.
func (d *Document) Encode(w io.Writer) error {
	var b bytes.Buffer
	if err := d.pdf.Output(&b); err != nil {
		return fmt.Errorf("document as PDF: %w", err)
	}
	if _, err := w.Write(undated(b.Bytes())); err != nil {
		return fmt.Errorf("document as PDF: %w", err)
	}
	return nil
}

// noDate stands where the library puts a date.
var noDate = time.Unix(0, 0).UTC()

var dates = regexp.MustCompile(`/(?:Creation|Mod)Date \(D:\d*\)`)

// undated is a file with blanks for its dates, which stand behind its last stream.
func undated(file []byte) []byte {
	tail := file[max(0, bytes.LastIndex(file, []byte("endstream"))):]
	for _, at := range dates.FindAllIndex(tail, -1) {
		copy(tail[at[0]:at[1]], bytes.Repeat([]byte(" "), at[1]-at[0]))
	}
	return file
}

// use makes a font of a size in points that of what is written next.
func (d *Document) use(font draw.Font, size float64) {
	style := map[draw.Font]string{draw.Bold: "B"}[font]
	if !d.fonts[font] {
		d.pdf.AddUTF8FontFromBytes("Go", style, font.TTF())
		d.fonts[font] = true
	}
	d.pdf.SetFont("Go", style, size)
}
