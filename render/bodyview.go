package render

import (
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The body in the foreground: what the hood hides, and the light that falls on it.

// bodyView is the boxes of the body as they are seen.
type bodyView struct {
	view  *perspective
	site  *geometry.Site
	boxes []bodyBox
}

// bodyBox is a box that may be in view.
type bodyBox struct {
	geometry.Box
	seen  draw.Rect // px, with all of it
	faces [6]*face  // those in view, by number
}

// face is the light on one face of a box.
type face struct {
	pixels float64 // how many it has, about
	nx, ny int
	lux    []float64

	exactly func(parked r3.Vec) float64 // lx
	dim     float64                     // lx, next to the brightest place of the face nothing
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

// faceAxes are the two directions along a face, as the corners of a box from Min to Max have them.
func faceAxes(number int) (u, v func(p r3.Vec) float64) {
	x, y, z := func(p r3.Vec) float64 { return p.X }, func(p r3.Vec) float64 { return p.Y }, func(p r3.Vec) float64 { return p.Z }
	switch number / 2 {
	case 0:
		return y, z
	case 1:
		return x, z
	}
	return y, x
}

// faceStep is the distance (units) of the samples of light on a face. Where one has so many times the light of its
// neighbour there may be the edge of a shadow between, and each place is worked out by itself: edges are straight.
const faceStep, faceEdge = 6, 2

func newBodyView(scene *geometry.Scene, v *perspective, unit float64) *bodyView {
	b := &bodyView{view: v, site: scene.Site}
	eye := scene.Site.Attitude.Parked(v.Eye)
	for _, box := range scene.Site.Body {
		if box.Inside(eye) {
			continue // it is looked out of
		}
		if seen, ok := b.around(box); ok {
			b.boxes = append(b.boxes, bodyBox{Box: box, seen: seen})
		}
	}
	// Which faces are in view is found by looking at every few pixels.
	step := max(1, math.Round(4*unit))
	for y := v.Box.Y0 + step/2; y < v.Box.Y1; y += step {
		for x := v.Box.X0 + step/2; x < v.Box.X1; x += step {
			if i, normal, _, _ := b.first(x, y); i >= 0 {
				f := &b.boxes[i].faces[faceNumber(normal)]
				if *f == nil {
					*f = &face{}
				}
				(*f).pixels += step * step
			}
		}
	}
	for i := range b.boxes {
		for n, f := range b.boxes[i].faces {
			if f != nil {
				f.light(scene, &b.boxes[i].Box, n, faceStep*unit)
			}
		}
	}
	return b
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

// around is the part of the view in which a box is; ok is false where it is not.
func (b *bodyView) around(box geometry.Box) (draw.Rect, bool) {
	r := draw.R(math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1))
	behind := 0
	for k := range 8 {
		px, ok := b.view.Pixel(b.site.Attitude.Driven(corner(box, k)))
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
		r = b.view.Box
	}
	return r, r.Overlaps(b.view.Box)
}

// first is the box that is nearest in the direction of a place on the picture, the face of it that is seen, the place on
// that (as parked), and how far ahead of the eye it is; −1: none.
func (b *bodyView) first(x, y float64) (box int, normal, at r3.Vec, ahead float64) {
	box, ahead = -1, math.Inf(1)
	var from, dir r3.Vec
	for i := range b.boxes {
		bb := &b.boxes[i]
		if !bb.seen.Has(draw.Pt(x, y)) {
			continue
		}
		if dir == (r3.Vec{}) {
			from, dir = parkedRay(b.site, b.view.Eye, r3.Vec{X: 1, Y: b.view.left(x), Z: b.view.up(y)})
		}
		if t, n, ok := bb.Enter(from, dir); ok && t < ahead {
			box, normal, ahead = i, n, t
		}
	}
	if box >= 0 {
		at = r3.Add(from, r3.Scale(ahead, dir))
	}
	return box, normal, at, ahead
}

// light works out the light on a face, with a sample about every step pixels.
func (f *face) light(scene *geometry.Scene, box *geometry.Box, number int, step float64) {
	u, v := faceAxes(number)
	long, high := u(box.Max)-u(box.Min), v(box.Max)-v(box.Min)
	n := f.pixels / (step * step)
	f.nx = min(96, max(3, int(math.Sqrt(n*long/high))))
	f.ny = min(96, max(3, int(math.Sqrt(n*high/long))))
	f.lux = make([]float64, f.nx*f.ny)
	sample := func(i, j int) r3.Vec {
		s, t := (float64(i)+0.5)/float64(f.nx), (float64(j)+0.5)/float64(f.ny)
		p := box.Min
		if number%2 == 1 {
			p = box.Max
		}
		size := r3.Sub(box.Max, box.Min)
		switch number / 2 {
		case 0:
			p.Y, p.Z = box.Min.Y+s*size.Y, box.Min.Z+t*size.Z
		case 1:
			p.X, p.Z = box.Min.X+s*size.X, box.Min.Z+t*size.Z
		default:
			p.Y, p.X = box.Min.Y+s*size.Y, box.Min.X+t*size.X
		}
		return scene.Site.Attitude.Driven(p)
	}
	var normal r3.Vec
	sign := float64(number%2*2 - 1)
	switch number / 2 {
	case 0:
		normal.X = sign
	case 1:
		normal.Y = sign
	default:
		normal.Z = sign
	}
	att := scene.Site.Attitude
	normal = r3.Sub(att.Driven(normal), att.Driven(r3.Vec{}))
	f.exactly = func(parked r3.Vec) float64 { return scene.Lux(att.Driven(parked), normal) }
	draw.Rows(f.ny, func(j int) {
		start := sample(0, j)
		scene.AddRow(f.lux[j*f.nx:(j+1)*f.nx], geometry.Row{Start: start, Step: r3.Sub(sample(1, j), start), Normal: normal})
	})
	f.dim = 1e-3 * slices.Max(f.lux)
}

// at is the light (lx) at a place on the face (as parked).
func (f *face) at(box *geometry.Box, number int, p r3.Vec) float64 {
	u, v := faceAxes(number)
	s := (u(p)-u(box.Min))/(u(box.Max)-u(box.Min))*float64(f.nx) - 0.5
	t := (v(p)-v(box.Min))/(v(box.Max)-v(box.Min))*float64(f.ny) - 0.5
	s, t = max(0, min(float64(f.nx-1), s)), max(0, min(float64(f.ny-1), t))
	i, j := min(int(s), f.nx-2), min(int(t), f.ny-2)
	s, t = s-float64(i), t-float64(j)
	a, b := f.lux[j*f.nx+i:], f.lux[(j+1)*f.nx+i:]
	if m := max(a[0], a[1], b[0], b[1]); m > f.dim && m > faceEdge*min(a[0], a[1], b[0], b[1]) {
		return f.exactly(p)
	}
	low, high := a[0]+s*(a[1]-a[0]), b[0]+s*(b[1]-b[0])
	return low + t*(high-low)
}

// paint looks at n pixels of a row from column x0 on, and calls draw for those that show the body: the share of the pixel
// that is body, and its luminance (cd/m²). Ground is the distance (m ahead of the eye) of what is seen without the body.
func (b *bodyView) paint(n, x0 int, y float64, ground []float64, draw func(i int, share, luminance float64)) {
	here := bodyView{view: b.view, site: b.site}
	from, to := n, 0
	for _, box := range b.boxes {
		if y < box.seen.Y0-1 || y > box.seen.Y1+1 {
			continue
		}
		here.boxes = append(here.boxes, box)
		from, to = min(from, int(box.seen.X0)-x0-1), max(to, int(box.seen.X1)-x0+2)
	}
	for i := max(0, from); i < min(n, to); i++ {
		share, luminance := 0.0, 0.0
		for _, d := range [4][2]float64{{-0.25, -0.25}, {0.25, -0.25}, {-0.25, 0.25}, {0.25, 0.25}} {
			box, normal, at, ahead := here.first(float64(x0+i)+0.5+d[0], y+d[1])
			if box < 0 || ahead > ground[i] {
				continue
			}
			share += 0.25
			number := faceNumber(normal)
			if f := here.boxes[box].faces[number]; f != nil {
				luminance += f.at(&here.boxes[box].Box, number, at)
			}
		}
		if share > 0 {
			draw(i, share, luminance/(4*share)*bodyReflectance/math.Pi)
		}
	}
}

// edges are the edges of the boxes (px), as far as no box hides them.
func (b *bodyView) edges() [][]draw.Point {
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
					px, ok := b.view.Pixel(at)
					if ok {
						box, _, _, ahead := b.first(px.X, px.Y)
						ok = box < 0 || ahead > (at.X-b.view.Eye.X)*(1-1e-6)
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
