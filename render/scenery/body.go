package scenery

import (
	"context"
	"math"

	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The body in the foreground: what the hood hides, and the light that falls on it.

// body is the boxes of a vehicle as a window shows them.
type body struct {
	window *Window
	site   *geometry.Site
	boxes  []bodyBox

	// The eye among the boxes, which are as parked, and the direction ahead there, with what slopes
	// left and up add to it.
	eye, ahead, left, up r3.Vec
}

// bodyBox is a box that may be in view.
type bodyBox struct {
	geometry.Box
	seen  draw.Rect // px, with all of it
	faces [6]*face  // those in view, by number
}

// face is the light on one face of a box.
type face struct {
	lux    *field
	glow   *grid // cd/m², of the air before it; nil: none
	pixels float64
}

// faceNumber is 0 to 5 for a normal, two for each axis.
func faceNumber(n r3.Vec) int {
	switch {
	case n.X != 0:
		return 0 + int(n.X+1)/2
	case n.Y != 0:
		return 2 + int(n.Y+1)/2
	}
	return 4 + int(n.Z+1)/2
}

// onFace is how far a place on a face is along each of its two directions, 0 to 1.
func onFace(b *geometry.Box, number int, p r3.Vec) (s, t float64) {
	x, y, z := (p.X-b.Min.X)/(b.Max.X-b.Min.X), (p.Y-b.Min.Y)/(b.Max.Y-b.Min.Y), (p.Z-b.Min.Z)/(b.Max.Z-b.Min.Z)
	switch number / 2 {
	case 0:
		return y, z
	case 1:
		return x, z
	}
	return y, x
}

// faceAt is the inverse of onFace.
func faceAt(b *geometry.Box, number int, s, t float64) r3.Vec {
	p, size := b.Min, r3.Sub(b.Max, b.Min)
	if number%2 == 1 {
		p = b.Max
	}
	switch number / 2 {
	case 0:
		p.Y, p.Z = b.Min.Y+s*size.Y, b.Min.Z+t*size.Z
	case 1:
		p.X, p.Z = b.Min.X+s*size.X, b.Min.Z+t*size.Z
	default:
		p.Y, p.X = b.Min.Y+s*size.Y, b.Min.X+t*size.X
	}
	return p
}

// boxesIn is the body in a window without its light, and without the boxes that the eye is in.
func boxesIn(site *geometry.Site, w *Window) *body {
	b := &body{window: w, site: site, eye: site.Attitude.Parked(w.Eye)}
	for _, d := range []struct {
		parked *r3.Vec
		driven r3.Vec
	}{{&b.ahead, r3.Vec{X: 1}}, {&b.left, r3.Vec{Y: 1}}, {&b.up, r3.Vec{Z: 1}}} {
		*d.parked = r3.Sub(site.Attitude.Parked(r3.Add(w.Eye, d.driven)), b.eye)
	}
	for _, box := range site.Body {
		if box.Inside(b.eye) {
			continue // it is looked out of
		}
		if seen, ok := b.around(box); ok {
			b.boxes = append(b.boxes, bodyBox{Box: box, seen: seen})
		}
	}
	return b
}

// newBody is the body in a window, and the light on it.
func newBody(ctx context.Context, v *sight.View, w *Window) (*body, error) {
	b := boxesIn(v.Scene.Site, w)
	// Which faces are in view is found by looking at every few pixels.
	step := max(1, math.Round(w.Box.W()/300))
	for y := w.Box.Y0 + step/2; y < w.Box.Y1; y += step {
		for x := w.Box.X0 + step/2; x < w.Box.X1; x += step {
			if h := b.first(x, y); h.box >= 0 {
				f := &b.boxes[h.box].faces[h.face]
				if *f == nil {
					*f = &face{}
				}
				(*f).pixels += step * step
			}
		}
	}
	for i := range b.boxes {
		for n, f := range b.boxes[i].faces {
			if f == nil {
				continue
			}
			if err := f.light(ctx, v, w.Eye, &b.boxes[i].Box, n); err != nil {
				return nil, err
			}
		}
	}
	return b, nil
}

// faceStep is the distance (px) of the samples of light on a face, about.
const faceStep = 4

// light works out the light on a face.
func (f *face) light(ctx context.Context, v *sight.View, eye r3.Vec, box *geometry.Box, number int) error {
	attitude := v.Scene.Site.Attitude
	long, high := r3.Norm(r3.Sub(faceAt(box, number, 1, 0), faceAt(box, number, 0, 0))),
		r3.Norm(r3.Sub(faceAt(box, number, 0, 1), faceAt(box, number, 0, 0)))
	n := f.pixels / (faceStep * faceStep)
	nx := min(400, max(4, int(2*math.Sqrt(n*long/high)))) // seen aslant: along the rows there is more of it
	ny := min(400, max(4, int(math.Sqrt(n*high/long))))
	at := func(u, t float64) r3.Vec {
		return attitude.Driven(faceAt(box, number, (u+0.5)/float64(nx), (t+0.5)/float64(ny)))
	}
	sign := float64(number%2*2 - 1)
	normal := [3]r3.Vec{{X: sign}, {Y: sign}, {Z: sign}}[number/2]
	normal = r3.Sub(attitude.Driven(normal), attitude.Driven(r3.Vec{}))
	var err error
	f.lux, err = newField(ctx, nx, ny, func(dst []float64, u, du, t float64) {
		start := at(u, t)
		v.Scene.AddRow(dst, geometry.Row{Start: start, Step: r3.Sub(at(u+du, t), start), Normal: normal})
	})
	if err == nil && scatters(v) {
		const n = 4
		f.glow = newGrid(n, n, 1, 1)
		draw.Rows(n*n, func(k int) {
			p := attitude.Driven(faceAt(box, number, (float64(k%n)+0.5)/n, (float64(k/n)+0.5)/n))
			d := r3.Sub(p, eye)
			f.glow.values[k] = glow(v, eye, r3.Unit(d), r3.Norm(d))
		})
	}
	return err
}

// corner is a corner of a box, k from 0 to 7: bit 0 is ahead, 1 left, 2 up.
func corner(b geometry.Box, k int) r3.Vec {
	p := b.Min
	if k&1 != 0 {
		p.X = b.Max.X
	}
	if k&2 != 0 {
		p.Y = b.Max.Y
	}
	if k&4 != 0 {
		p.Z = b.Max.Z
	}
	return p
}

// around is the part of the window in which a box is; ok is false where it is not.
func (b *body) around(box geometry.Box) (draw.Rect, bool) {
	r := draw.R(math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1))
	behind := 0
	for k := range 8 {
		px, ok := b.window.Pixel(b.site.Attitude.Driven(corner(box, k)))
		if !ok {
			behind++
			continue
		}
		r = draw.R(min(r.X0, px.X), min(r.Y0, px.Y), max(r.X1, px.X), max(r.Y1, px.Y))
	}
	switch {
	case behind == 8:
		return r, false
	case behind > 0:
		r = b.window.Box
	}
	return r, r.Overlaps(b.window.Box)
}

// hit is what of the body a line of sight meets first.
type hit struct {
	box, face int     // -1: none
	at        r3.Vec  // as parked
	ahead     float64 // m ahead of the eye
}

// same tells whether two lines of sight meet the same face, or both none.
func (h *hit) same(g *hit) bool { return h.box == g.box && h.face == g.face }

// toward is the direction through a place on the picture, among the boxes; it is one long ahead of
// the vehicle as driven.
func (b *body) toward(x, y float64) r3.Vec {
	left, up := b.window.Left(x), b.window.Up(y)
	return r3.Vec{
		X: b.ahead.X + left*b.left.X + up*b.up.X, Y: b.ahead.Y + left*b.left.Y + up*b.up.Y,
		Z: b.ahead.Z + left*b.left.Z + up*b.up.Z,
	}
}

// first is what a line of sight through a place on the picture meets.
func (b *body) first(x, y float64) hit {
	h := hit{box: -1, face: -1, ahead: math.Inf(1)}
	dir := b.toward(x, y)
	for i := range b.boxes {
		bb := &b.boxes[i]
		if !bb.seen.Has(draw.Pt(x, y)) {
			continue
		}
		if t, normal, ok := bb.Enter(b.eye, dir); ok && t < h.ahead {
			h.box, h.face, h.ahead = i, faceNumber(normal), t
		}
	}
	if h.box >= 0 {
		h.at = r3.Add(b.eye, r3.Scale(h.ahead, dir))
	}
	return h
}

// luminance is that of the body where a line of sight meets it (cd/m²).
func (b *body) luminance(h *hit, perLux float64) float64 {
	f := b.boxes[h.box].faces[h.face]
	if f == nil {
		return 0
	}
	s, t := onFace(&b.boxes[h.box].Box, h.face, h.at)
	l := perLux * f.lux.at(s*float64(f.lux.nx)-0.5, t*float64(f.lux.ny)-0.5)
	if f.glow != nil {
		l += f.glow.at(s-0.5, t)
	}
	return l
}

// paint adds the body to a strip of pixels. behind is how far ahead of the eye (m) is what is seen
// in a column without it.
func (b *body) paint(s *strip, behind func(x float64) float64, perLux float64) {
	from, to := len(s.free), 0
	here := *b
	here.boxes = nil
	for _, box := range b.boxes {
		if s.y < box.seen.Y0-1 || s.y > box.seen.Y1+1 {
			continue
		}
		here.boxes = append(here.boxes, box)
		from, to = min(from, int(box.seen.X0)-s.x0-1), max(to, int(box.seen.X1)-s.x0+2)
	}
	from, to = max(0, from), min(len(s.free), to)
	if from >= to {
		return
	}
	// Where the corners of a block of pixels are on one face, so are all of them; where not, its
	// pixels are looked at one by one, and those in which faces meet in parts.
	const block = 8
	for i := from; i < to; i += block {
		end := min(i+block, to)
		if h := here.alike(s.x0+i, s.x0+end, s.y); h != nil && here.large() {
			if h.box >= 0 {
				here.paintFace(s, h, i, end, behind, perLux)
			}
			continue
		}
		for k := i; k < end; k++ {
			here.paintPixel(s, k, behind, perLux)
		}
	}
}

// large tells whether no box is so small that it might lie between pixels that are looked at.
func (b *body) large() bool {
	for i := range b.boxes {
		if s := &b.boxes[i].seen; min(s.W(), s.H()) < 10 {
			return false
		}
	}
	return true
}

// alike is what a part of a row of pixels meets if it is one face, or nothing, at all corners; nil
// if it is not.
func (b *body) alike(x0, x1 int, y float64) *hit {
	h := b.first(float64(x0), y-0.5)
	for _, at := range [3]draw.Point{draw.Pt(float64(x1), y-0.5), draw.Pt(float64(x0), y+0.5),
		draw.Pt(float64(x1), y+0.5)} {
		if g := b.first(at.X, at.Y); !g.same(&h) {
			return nil
		}
	}
	return &h
}

// paintFace paints the pixels from..to of a strip, which are all on one face.
func (b *body) paintFace(s *strip, h *hit, from, to int, behind func(x float64) float64, perLux float64) {
	box := &b.boxes[h.box].Box
	at := box.Min
	if h.face%2 == 1 {
		at = box.Max
	}
	for i := from; i < to; i++ {
		x := float64(s.x0+i) + 0.5
		dir := b.toward(x, s.y)
		switch h.face / 2 {
		case 0:
			h.ahead = (at.X - b.eye.X) / dir.X
		case 1:
			h.ahead = (at.Y - b.eye.Y) / dir.Y
		default:
			h.ahead = (at.Z - b.eye.Z) / dir.Z
		}
		if h.ahead <= behind(x) {
			h.at = r3.Add(b.eye, r3.Scale(h.ahead, dir))
			s.add(i, 1, b.luminance(h, perLux))
		}
	}
}

// paintPixel paints a pixel by what a few lines of sight through it meet.
func (b *body) paintPixel(s *strip, i int, behind func(x float64) float64, perLux float64) {
	const n = 4
	shown, sum, parts := 0, 0.0, 1
	see := func(x, y float64) {
		if h := b.first(x, y); h.box >= 0 && h.ahead <= behind(x) {
			shown++
			sum += b.luminance(&h, perLux)
		}
	}
	switch h := b.alike(s.x0+i, s.x0+i+1, s.y); {
	case h == nil:
		parts = n * n
		for k := range parts {
			see(float64(s.x0+i)+(float64(k%n)+0.5)/n, s.y+(float64(k/n)+0.5)/n-0.5)
		}
	case h.box >= 0:
		see(float64(s.x0+i)+0.5, s.y)
	}
	if shown > 0 {
		s.add(i, float64(shown)/float64(parts), sum/float64(shown))
	}
}

// edges are the edges of the boxes (px), as far as no box hides them.
func (b *body) edges() [][]draw.Point {
	const pieces = 64
	var lines [][]draw.Point
	for i := range b.boxes {
		for from := range 8 {
			for axis := 1; axis <= 4; axis *= 2 {
				if from&axis != 0 {
					continue
				}
				p := b.site.Attitude.Driven(corner(b.boxes[i].Box, from))
				q := b.site.Attitude.Driven(corner(b.boxes[i].Box, from|axis))
				var line []draw.Point
				for k := range pieces + 1 {
					at := r3.Add(p, r3.Scale(float64(k)/pieces, r3.Sub(q, p)))
					px, ok := b.window.Pixel(at)
					if ok {
						h := b.first(px.X, px.Y)
						ok = h.box < 0 || h.ahead > (at.X-b.window.Eye.X)*(1-1e-6)
					}
					if ok {
						line = append(line, px)
						continue
					}
					if len(line) > 1 {
						lines = append(lines, line)
					}
					line = nil
				}
				if len(line) > 1 {
					lines = append(lines, line)
				}
			}
		}
	}
	return lines
}
