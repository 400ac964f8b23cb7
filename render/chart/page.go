package chart

import (
	"math"

	"beamfall/render/draw"
)

// A page is a picture made of boxes, one below the other: the title above, the drawing, legends,
// and a caution at the foot. How high a box is follows from its width, and the height of the
// picture from its boxes.

// Box is a part of a page.
type Box interface {
	// Height is the height (px) of the box at a width (px) on a canvas such as c, which is only
	// measured on.
	Height(c *draw.Canvas, width float64) float64
	// Draw draws the box in a rectangle of that width and height, and returns the boxes of its
	// texts.
	Draw(c *draw.Canvas, in draw.Rect) (texts []draw.Rect)
}

// Flow is a box that is drawn from its top left corner down as far as it goes. To measure it, it is
// drawn where nothing shows.
type Flow func(c *draw.Canvas, at draw.Point, width float64) (bottom float64, texts []draw.Rect)

// Height is the height (px) of what is drawn.
func (f Flow) Height(c *draw.Canvas, width float64) float64 {
	at := PageArea(c)
	bottom, _ := f(c.Inside(draw.Rect{}), draw.Pt(at.X0, at.Y0), width)
	return bottom - at.Y0
}

// Draw draws it from the top left corner of a rectangle.
func (f Flow) Draw(c *draw.Canvas, in draw.Rect) []draw.Rect {
	_, texts := f(c, draw.Pt(in.X0, in.Y0), in.W())
	return texts
}

// Space is a box of a height (px) that is left empty, for what is drawn there later.
type Space float64

// Height is that of the space, whatever the width.
func (s Space) Height(*draw.Canvas, float64) float64 { return float64(s) }

// Draw draws nothing.
func (Space) Draw(*draw.Canvas, draw.Rect) []draw.Rect { return nil }

// Page is boxes from top to bottom.
type Page struct {
	Ruler *draw.Canvas // of the width of the picture, to measure on; it is not part of the picture

	y      float64 // px, where the next box begins
	boxes  []Box
	places []draw.Rect
}

// Margin is what stays free around a page, and PageGap the usual distance between its boxes, units.
const Margin, PageGap = 28, 14

// PageArea is the canvas less its margins.
func PageArea(c *draw.Canvas) draw.Rect { return c.Bounds.Inset(c.U(Margin)) }

// NewPage is an empty page of a width in pixels, UnitWidth if that is 0.
func NewPage(width int, theme draw.Theme) (*Page, error) {
	if width == 0 {
		width = draw.UnitWidth
	}
	ruler, err := draw.New(width, max(100, width/16), theme)
	if err != nil {
		return nil, err
	}
	return &Page{Ruler: ruler, y: PageArea(ruler).Y0}, nil
}

// Width is the width (px) of the boxes.
func (p *Page) Width() float64 { return PageArea(p.Ruler).W() }

// Add puts a box below those there are, with a gap (units) below it, and returns the rectangle that
// it has.
func (p *Page) Add(b Box, gap float64) draw.Rect {
	at := PageArea(p.Ruler)
	in := draw.R(at.X0, p.y, at.X1, p.y+b.Height(p.Ruler, at.W()))
	p.boxes, p.places = append(p.boxes, b), append(p.places, in)
	p.y = in.Y1 + p.Ruler.U(gap)
	return in
}

// Draw draws all boxes and, below them, one at the foot of the picture, and returns the boxes of
// all texts.
func (p *Page) Draw(foot Box) (c *draw.Canvas, texts []draw.Rect, err error) {
	at := PageArea(p.Ruler)
	height := foot.Height(p.Ruler, at.W())
	if c, err = draw.New(round(at.X0+at.X1), round(p.y+height+p.Ruler.U(Margin)), p.Ruler.Theme); err != nil {
		return nil, nil, err
	}
	for i, b := range p.boxes {
		texts = append(texts, b.Draw(c, p.places[i])...)
	}
	end := PageArea(c).Y1
	return c, append(texts, foot.Draw(c, draw.R(at.X0, end-height, at.X1, end))...), nil
}

func round(v float64) int { return int(math.Round(v)) }
