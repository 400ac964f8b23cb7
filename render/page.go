package render

// A page is a picture made of boxes, one below the other: the title above, the drawing, legends, and a caution at the
// foot. How high a box is follows from its width, and the height of the picture from its boxes.

// Box is a part of a page.
type Box interface {
	// Height is the height (px) of the box at a width (px) on a canvas such as c, which is only measured on.
	Height(c *Canvas, width float64) float64
	// Draw draws the box in a rectangle of that width and height, and returns the boxes of its texts.
	Draw(c *Canvas, in Rect) (texts []Rect)
}

// Flow is a box that is drawn from its top left corner down as far as it goes. To measure it, it is drawn where nothing
// shows.
type Flow func(c *Canvas, at Point, width float64) (bottom float64, texts []Rect)

// Height is the height (px) of what is drawn.
func (f Flow) Height(c *Canvas, width float64) float64 {
	at := c.Page()
	bottom, _ := f(c.Inside(Rect{}), Point{X: at.X0, Y: at.Y0}, width)
	return bottom - at.Y0
}

// Draw draws it from the top left corner of a rectangle.
func (f Flow) Draw(c *Canvas, in Rect) []Rect {
	_, texts := f(c, Point{X: in.X0, Y: in.Y0}, in.W())
	return texts
}

// Space is a box of a height (px) that is left empty, for what is drawn there later.
type Space float64

// Height is that of the space, whatever the width.
func (s Space) Height(*Canvas, float64) float64 { return float64(s) }

// Draw draws nothing.
func (Space) Draw(*Canvas, Rect) []Rect { return nil }

// Page is boxes from top to bottom.
type Page struct {
	Ruler *Canvas // of the width of the picture, to measure on; it is not part of the picture

	y      float64 // px, where the next box begins
	boxes  []Box
	places []Rect
}

// Margin is what stays free around a page, and PageGap the usual distance between its boxes, units.
const Margin, PageGap = 28, 14

// Page is the canvas less its margins.
func (c *Canvas) Page() Rect { return c.Bounds.Inset(c.U(Margin)) }

// NewPage is an empty page of a width in pixels, UnitWidth if that is 0.
func NewPage(width int, theme Theme) (*Page, error) {
	if width == 0 {
		width = UnitWidth
	}
	ruler, err := New(width, max(100, width/4), theme)
	if err != nil {
		return nil, err
	}
	return &Page{Ruler: ruler, y: ruler.Page().Y0}, nil
}

// Width is the width (px) of the boxes.
func (p *Page) Width() float64 { return p.Ruler.Page().W() }

// Add puts a box below those there are, with a gap (units) below it, and returns the rectangle that it has.
func (p *Page) Add(b Box, gap float64) Rect {
	at := p.Ruler.Page()
	in := Rect{at.X0, p.y, at.X1, p.y + b.Height(p.Ruler, at.W())}
	p.boxes, p.places = append(p.boxes, b), append(p.places, in)
	p.y = in.Y1 + p.Ruler.U(gap)
	return in
}

// Draw draws all boxes and, below them, one at the foot of the picture, and returns the boxes of all texts.
func (p *Page) Draw(foot Box) (c *Canvas, texts []Rect, err error) {
	at := p.Ruler.Page()
	height := foot.Height(p.Ruler, at.W())
	if c, err = New(round(at.X0+at.X1), round(p.y+height+p.Ruler.U(Margin)), p.Ruler.Theme); err != nil {
		return nil, nil, err
	}
	for i, b := range p.boxes {
		texts = append(texts, b.Draw(c, p.places[i])...)
	}
	end := c.Page().Y1
	return c, append(texts, foot.Draw(c, Rect{at.X0, end - height, at.X1, end})...), nil
}
