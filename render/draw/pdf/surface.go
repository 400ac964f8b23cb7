package pdf

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"

	"beamfall/render/draw"

	"codeberg.org/go-pdf/fpdf"
)

// surface is a page, or a part of it. What is said of colours and lines holds within the calls that
// say it.
type surface struct {
	doc   *Document
	page  int
	scale float64          // points per pixel
	area  *image.Rectangle // nil: the whole page
}

var _ draw.Surface = (*surface)(nil)

// within makes drawing end at the edges of the area.
func (s *surface) within(f *fpdf.Fpdf, drawing func()) {
	if s.page != s.doc.pages {
		panic("pdf: drawing on a page that another was added behind")
	}
	if s.area == nil {
		drawing()
		return
	}
	if s.area.Empty() {
		return
	}
	f.ClipRect(s.scale*float64(s.area.Min.X), s.scale*float64(s.area.Min.Y), s.scale*float64(s.area.Dx()),
		s.scale*float64(s.area.Dy()), false)
	drawing()
	f.ClipEnd()
}

// trace makes a path the one that is drawn next.
func (s *surface) trace(f *fpdf.Fpdf, path draw.Path) {
	at := func(p draw.Point) (x, y float64) { return s.scale * p.X, s.scale * p.Y }
	var last draw.Point
	for _, g := range path {
		switch g.Kind {
		case draw.MoveTo:
			f.MoveTo(at(g.A))
			last = g.A
		case draw.LineTo:
			f.LineTo(at(g.A))
			last = g.A
		case draw.QuadTo: // as a cubic, which a parabola is one of
			third := func(end draw.Point) draw.Point { return draw.Pt((end.X+2*g.A.X)/3, (end.Y+2*g.A.Y)/3) }
			s.curve(f, third(last), third(g.B), g.B)
			last = g.B
		case draw.CubeTo:
			s.curve(f, g.A, g.B, g.C)
			last = g.C
		case draw.ClosePath:
			f.ClosePath()
		}
	}
}

func (s *surface) curve(f *fpdf.Fpdf, a, b, to draw.Point) {
	f.CurveBezierCubicTo(s.scale*a.X, s.scale*a.Y, s.scale*b.X, s.scale*b.Y, s.scale*to.X, s.scale*to.Y)
}

func (s *surface) Fill(path draw.Path, colour color.RGBA, evenOdd bool) {
	f := s.doc.pdf
	f.SetFillColor(int(colour.R), int(colour.G), int(colour.B))
	how := "f"
	if evenOdd {
		how = "f*"
	}
	s.within(f, func() {
		s.trace(f, path)
		f.DrawPath(how)
	})
}

func (s *surface) Stroke(path draw.Path, how draw.Stroke) {
	f := s.doc.pdf
	f.SetDrawColor(int(how.Colour.R), int(how.Colour.G), int(how.Colour.B))
	f.SetLineWidth(s.scale * how.Width)
	f.SetLineJoinStyle("round")
	f.SetLineCapStyle("round")
	var dash []float64
	for _, d := range how.Dash {
		dash = append(dash, s.scale*d)
		f.SetLineCapStyle("butt")
	}
	f.SetDashPattern(dash, 0)
	s.within(f, func() {
		s.trace(f, path)
		f.DrawPath("S")
	})
}

func (s *surface) Words(w draw.Words) {
	f := s.doc.pdf
	if w.Halo > 0 {
		s.halo(w)
	}
	s.doc.use(w.Font, s.scale*w.Size)
	f.SetTextColor(int(w.Colour.R), int(w.Colour.G), int(w.Colour.B))
	s.write(w)
}

// write writes words in the font and colour that are set.
func (s *surface) write(w draw.Words) {
	f := s.doc.pdf
	base := w.Base()
	x, y := s.scale*base.X, s.scale*base.Y
	s.within(f, func() {
		if w.Angle != 0 {
			f.TransformBegin()
			f.TransformRotate(w.Angle*180/math.Pi, x, y)
			defer f.TransformEnd()
		}
		for i, part := range strings.Split(w.Text, "-") {
			if i > 0 { // drawn as another letter, but to be found and copied as what it is
				f.RawWriteStr("/Span <</ActualText (-)>> BDC")
				f.Text(x, y, string(draw.Hyphen))
				f.RawWriteStr("EMC")
				x += f.GetStringWidth(string(draw.Hyphen))
			}
			if part != "" {
				f.Text(x, y, part)
				x += f.GetStringWidth(part)
			}
		}
	})
}

// halo draws what is around and between the letters of words.
func (s *surface) halo(w draw.Words) {
	f := s.doc.pdf
	s.doc.use(w.Font, s.scale*w.Size)
	letters := strings.ReplaceAll(w.Text, "-", string(draw.Hyphen))
	for i, r := range letters {
		if r == ' ' {
			from := f.GetStringWidth(letters[:i]) / s.scale
			s.Fill(w.Gap(from, from+f.GetStringWidth(" ")/s.scale), w.HaloColour, true)
		}
	}
	f.SetDrawColor(int(w.HaloColour.R), int(w.HaloColour.G), int(w.HaloColour.B))
	f.SetLineWidth(s.scale * 2 * w.Halo)
	f.SetLineJoinStyle("round")
	f.SetDashPattern(nil, 0)
	const outline, fill = 1, 0
	f.SetTextRenderingMode(outline)
	s.write(w)
	f.SetTextRenderingMode(fill)
}

// Pixels puts a picture on the page. What was there before is not known: it is given to paint as
// white, and covered.
func (s *surface) Pixels(area image.Rectangle, paint func(y int, row []uint8)) {
	if s.area != nil {
		area = area.Intersect(*s.area)
	}
	if area.Empty() {
		return
	}
	pixels := image.NewRGBA(area)
	for i := range pixels.Pix {
		pixels.Pix[i] = 255
	}
	draw.Rows(area.Dy(), func(k int) { paint(area.Min.Y+k, pixels.Pix[k*pixels.Stride:(k+1)*pixels.Stride]) })
	var b bytes.Buffer
	f := s.doc.pdf
	if err := png.Encode(&b, pixels); err != nil {
		f.SetError(err)
		return
	}
	s.doc.images++
	name, kind := fmt.Sprintf("picture %d", s.doc.images), fpdf.ImageOptions{ImageType: "PNG"}
	f.RegisterImageOptionsReader(name, kind, &b)
	s.within(f, func() {
		f.ImageOptions(name, s.scale*float64(area.Min.X), s.scale*float64(area.Min.Y),
			s.scale*float64(area.Dx()), s.scale*float64(area.Dy()), false, kind, 0, "")
	})
}

func (s *surface) Within(area image.Rectangle) draw.Surface {
	in := *s
	if s.area != nil {
		area = area.Intersect(*s.area)
	}
	in.area = &area
	return &in
}
