package draw

import (
	"bytes"
	"image"
	"image/color"

	"github.com/fogleman/gg"
	"golang.org/x/image/font/sfnt"
	fixedpoint "golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// The surface of a picture: opaque pixels.

type raster struct {
	whole  image.Point // size of the whole picture
	pixels *image.RGBA
	dc     *gg.Context
	mask   *vector.Rasterizer // of what is being filled
	faces  *typesetter
}

func newRaster(width, height int, background color.RGBA, faces *typesetter) *raster {
	whole, b := image.Pt(width, height), background
	pixels := &image.RGBA{Pix: bytes.Repeat([]uint8{b.R, b.G, b.B, b.A}, width*height), Stride: 4 * width,
		Rect: image.Rectangle{Max: whole}}
	return &raster{whole, pixels, brush(whole, pixels), new(vector.Rasterizer), faces}
}

// brush draws on an image with the coordinates of the whole picture, of which it may be a part. The
// rasterizer takes its size from the image that it is made with, so it is made with one of full
// size and shown the part after that. (To move the origin would do as well, but that the rasterizer
// rounds wrongly between −1 and 0.)
func brush(size image.Point, part *image.RGBA) *gg.Context {
	im := &image.RGBA{Rect: image.Rectangle{Max: size}}
	dc := gg.NewContextForRGBA(im)
	*im = *part
	return dc
}

func (r *raster) Within(area image.Rectangle) Surface {
	part := r.pixels.SubImage(area).(*image.RGBA)
	return &raster{r.whole, part, brush(r.whole, part), r.mask, r.faces}
}

func (r *raster) trace(path Path) {
	for _, s := range path {
		switch s.Kind {
		case MoveTo:
			r.dc.MoveTo(s.A.X, s.A.Y)
		case LineTo:
			r.dc.LineTo(s.A.X, s.A.Y)
		case QuadTo:
			r.dc.QuadraticTo(s.A.X, s.A.Y, s.B.X, s.B.Y)
		case CubeTo:
			r.dc.CubicTo(s.A.X, s.A.Y, s.B.X, s.B.Y, s.C.X, s.C.Y)
		case ClosePath:
			r.dc.ClosePath()
		}
	}
}

func (r *raster) Fill(path Path, colour color.RGBA, evenOdd bool) {
	if !evenOdd && r.cover(path, colour) {
		return
	}
	r.trace(path)
	if evenOdd {
		r.dc.SetFillRuleEvenOdd()
	} else {
		r.dc.SetFillRuleWinding()
	}
	r.dc.SetColor(colour)
	r.dc.Fill()
}

// cover fills a path through a mask of it, unless that is too large: for letters several times as
// fast as the other way, which walks along what each row of the picture has of the path so far.
func (r *raster) cover(path Path, colour color.RGBA) bool {
	const most = 1 << 18 // px
	area := pixelsOf(path.bounds().Inset(-0.5)).Intersect(r.pixels.Rect)
	if area.Dx()*area.Dy() > most {
		return false
	}
	if area.Empty() {
		return true
	}
	z := r.mask
	z.Reset(area.Dx(), area.Dy())
	at := func(p Point) (x, y float32) {
		return float32(p.X - float64(area.Min.X)), float32(p.Y - float64(area.Min.Y))
	}
	for _, s := range path {
		ax, ay := at(s.A)
		bx, by := at(s.B)
		cx, cy := at(s.C)
		switch s.Kind {
		case MoveTo:
			z.ClosePath()
			z.MoveTo(ax, ay)
		case LineTo:
			z.LineTo(ax, ay)
		case QuadTo:
			z.QuadTo(ax, ay, bx, by)
		case CubeTo:
			z.CubeTo(ax, ay, bx, by, cx, cy)
		case ClosePath:
			z.ClosePath()
		}
	}
	z.ClosePath()
	z.Draw(r.pixels, area, image.NewUniform(colour), image.Point{})
	return true
}

func (r *raster) Stroke(path Path, s Stroke) {
	r.trace(path)
	r.dc.SetLineJoinRound()
	r.dc.SetDash(s.Dash...)
	if len(s.Dash) > 0 {
		r.dc.SetLineCapButt()
	} else {
		r.dc.SetLineCapRound()
	}
	r.dc.SetLineWidth(s.Width)
	r.dc.SetColor(s.Colour)
	r.dc.Stroke()
}

func (r *raster) Words(w Words) {
	letters := r.faces.letters(w.Font.face(), w.Text)
	outlines := make([]Path, len(letters))
	x := 0.0
	for i, g := range letters {
		to := x + g.advance*w.Size
		if outlines[i] = w.outline(g, x); w.Halo > 0 && len(g.segments) == 0 {
			r.Fill(w.Gap(x, to), w.HaloColour, false)
		}
		x = to
	}
	if w.Halo > 0 {
		for _, outline := range outlines { // for all at once the time grows with their square
			r.Stroke(outline, Stroke{Colour: w.HaloColour, Width: 2 * w.Halo})
		}
	}
	for _, outline := range outlines {
		r.Fill(outline, w.Colour, false)
	}
}

// outline is that of a letter that begins at a distance along the text (px).
func (w Words) outline(g *glyph, x float64) (path Path) {
	place := func(q fixedpoint.Point26_6) Point {
		return w.Place(x+float64(q.X)/64/em*w.Size, ascent*w.Size+float64(q.Y)/64/em*w.Size)
	}
	for _, s := range g.segments {
		a, b, c := place(s.Args[0]), place(s.Args[1]), place(s.Args[2])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			path = append(path, Segment{Kind: ClosePath}, Segment{Kind: MoveTo, A: a})
		case sfnt.SegmentOpLineTo:
			path = append(path, Segment{Kind: LineTo, A: a})
		case sfnt.SegmentOpQuadTo:
			path = append(path, Segment{Kind: QuadTo, A: a, B: b})
		case sfnt.SegmentOpCubeTo:
			path = append(path, Segment{Kind: CubeTo, A: a, B: b, C: c})
		}
	}
	return append(path, Segment{Kind: ClosePath})
}

func (r *raster) Pixels(area image.Rectangle, paint func(y int, row []uint8)) {
	area = area.Intersect(r.pixels.Rect)
	Rows(area.Dy(), func(k int) {
		from := r.pixels.PixOffset(area.Min.X, area.Min.Y+k)
		paint(area.Min.Y+k, r.pixels.Pix[from:from+4*area.Dx()])
	})
}
