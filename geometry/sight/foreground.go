package sight

import (
	"math"
	"slices"
	"sync"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The foreground is the ground around the eye as each lamp lights it, worked out once on squares
// about the eye that grow by a constant share: so it is resolved alike as seen from the eye, near
// and far, and its points lie on straight rows, which the scene lights at speed.

const (
	ringFirst = 0.1  // half the side of the innermost square, m
	ringLast  = 2000 // of the outermost: beyond, no ground is bright enough to count
	ringStep  = 0.06 // growth from one to the next, of the logarithm
	across    = 80   // steps along a side, which is seen within 90°
	pad       = 1    // points more at either end, for the cubics between points
)

const sidePoints = across + 1 + 2*pad

// foreground has one table for each side of the squares: ahead, left, behind, right. A table is
// made when it is first looked at. It holds lux · R² by ring of half-side R, by point along the
// side, and by lamp: lux falls by so many powers of ten that this is what changes little.
type foreground struct {
	view  *View
	x, y  float64   // below the eye
	knots []float64 // x at which the ground bends, in ascending order
	sides [4]side
}

type side struct {
	once  sync.Once
	parts []band // each on one piece of the ground, in ascending order of R
	lux   []float32
	edge  []float64 // by lamp: what of lux · R² is enough for an edge of light to matter
	edged []bool    // by the point that a cell begins at: whether there is one in it, of any lamp

	seen  sync.Once
	trees []*tree // of the luminance of what the eye sees of each part
}

// band is rings of half-sides that grow evenly.
type band struct {
	from, step   float64 // the first half-side, m; growth from one to the next, of the logarithm
	first, count int     // of the rings in the table
}

// ring is the half-side (m) of ring k, or between two of them.
func (b *band) ring(k float64) float64 {
	const within = 1e-9 // the outermost are a little within the piece of ground
	return b.from * math.Exp(b.step*max(within, min(float64(b.count-1)-within, k)))
}

// add adds weight times the ground's illuminance (lx) at (x, y), lamp by lamp, to dst.
func (f *foreground) add(dst []float64, x, y, weight float64) {
	dx, dy := x-f.x, y-f.y
	n, r, t := 0, dx, dy
	if math.Abs(dy) > math.Abs(dx) {
		n, r, t = 1, dy, dx
	}
	if r < 0 {
		n, r = n+2, -r
	}
	if r >= ringLast {
		return
	}
	r = max(r, ringFirst)
	t /= max(r, math.Abs(t))
	s := f.side(n)
	last := len(s.parts) - 1
	for last > 0 && r < s.parts[last].from {
		last--
	}
	b := &s.parts[last]
	k, u := cell(math.Log(r/b.from)/b.step, b.count)
	j, w := cell((t+1)*(across/2)+pad, sidePoints)
	lamps := len(dst)
	weight /= r * r
	out, along := cubic(u), cubic(w)
	for i, share := range out {
		at := s.lux[((b.first+k+i)*sidePoints+j)*lamps:]
		share *= weight
		c0, c1, c2, c3 := share*along[0], share*along[1], share*along[2], share*along[3]
		p, q, m, n := at[:lamps], at[lamps:][:lamps], at[2*lamps:][:lamps], at[3*lamps:][:lamps]
		for l := range dst {
			dst[l] += c0*float64(p[l]) + c1*float64(q[l]) + c2*float64(m[l]) + c3*float64(n[l])
		}
	}
	// Where light ends with an edge, no cubic will do.
	if n := (b.first+k+1)*sidePoints + j + 1; s.edged[n] {
		for l := range dst {
			if s.edgeIn(n, l, lamps) {
				table := s.lux[((b.first+k)*sidePoints+j)*lamps:]
				dst[l] += weight * f.beyondCubic(table, lamps, l, x, y, r, out, along)
			}
		}
	}
}

// edgeIn tells whether the light of a lamp ends with an edge in the cell that begins at point n of
// the table.
func (s *side) edgeIn(n, l, lamps int) bool {
	first, next := n*lamps+l, (n+sidePoints)*lamps+l
	a, b, c, d := s.lux[first], s.lux[first+lamps], s.lux[next], s.lux[next+lamps]
	high := max(a, b, c, d)
	return float64(high) > s.edge[l] && min(a, b, c, d) < steep*high
}

// beyondCubic is what the illuminance at (x, y) is beyond what cubics make of the table from at on,
// both times r².
func (f *foreground) beyondCubic(at []float32, lamps, l int, x, y, r float64, out, along [4]float64) float64 {
	sum := 0.0
	for i, a := range out {
		for j, b := range along {
			sum += a * b * float64(at[(i*sidePoints+j)*lamps+l])
		}
	}
	site := f.view.Scene.Site
	return f.view.Scene.LuxOf(l, site.At(x, y, 0), site.Ground.Normal(x))*r*r - sum
}

// cell is the first of the four of n points, between the middle two of which a place lies if it
// can, and how far it is from the second.
func cell(at float64, n int) (first int, on float64) {
	second := max(1, min(int(at), n-3))
	return second - 1, at - float64(second)
}

// cubic is the weights of Lagrange's polynomial through points at -1, 0, 1 and 2.
func cubic(t float64) [4]float64 {
	a, b, c := t+1, t-1, t-2
	return [4]float64{-t * b * c / 6, a * b * c / 2, -a * t * c / 2, a * t * b / 6}
}

func (f *foreground) side(n int) *side {
	s := &f.sides[n]
	s.once.Do(func() { f.light(s, n) })
	return s
}

// bands cuts the squares where side n of them crosses a bend of the ground.
func (f *foreground) bands(n int) (parts []band, rings int) {
	ends := []float64{ringFirst}
	if n%2 == 0 {
		for _, x := range f.knots {
			ends = append(ends, (x-f.x)*float64(1-n))
		}
	}
	ends = append(ends, ringLast)
	slices.Sort(ends)
	from := ends[0]
	for _, to := range ends[1:] {
		const thin = 0.01 // m; not worth a band
		if from = max(from, ringFirst); to < from+thin {
			continue
		}
		steps := max(3, math.Ceil(math.Log(to/from)/ringStep))
		b := band{from: from, step: math.Log(to/from) / steps, first: rings, count: int(steps) + 1}
		parts, rings, from = append(parts, b), rings+b.count, to
		if to == ringLast {
			break
		}
	}
	return parts, rings
}

// light works out side n of the squares.
func (f *foreground) light(s *side, n int) {
	var rings int
	s.parts, rings = f.bands(n)
	at := make([]float64, 0, rings)
	for i := range s.parts {
		for k := range s.parts[i].count {
			at = append(at, s.parts[i].ring(float64(k)))
		}
	}
	lamps := len(f.view.Scene.Lamps)
	s.lux = make([]float32, rings*sidePoints*lamps)
	if f.view.origins != nil {
		f.copyLux(s, n)
	} else {
		f.workOut(s, n, at)
	}
	s.edge = make([]float64, lamps)
	for i, e := range s.lux {
		const matters = 1e-4
		s.edge[i%lamps] = max(s.edge[i%lamps], matters*float64(e))
	}
	s.edged = make([]bool, rings*sidePoints)
	for i := range s.parts {
		b := &s.parts[i]
		for k := b.first; k < b.first+b.count-1; k++ {
			for n := k * sidePoints; n < (k+1)*sidePoints-1; n++ {
				for l := range lamps {
					if s.edgeIn(n, l, lamps) {
						s.edged[n] = true
						break
					}
				}
			}
		}
	}
}

// copyLux fills the table of side n from those of the views that this one is put together from.
func (f *foreground) copyLux(s *side, n int) {
	lamps := len(f.view.origins)
	for l, o := range f.view.origins {
		of, all := o.view.fore.side(n), len(o.view.Scene.Lamps)
		for i := 0; i*lamps < len(s.lux); i++ {
			s.lux[i*lamps+l] = of.lux[i*all+o.lamp]
		}
	}
}

// workOut fills the table of side n of squares of half-sides at.
func (f *foreground) workOut(s *side, n int, at []float64) {
	const batch = 64
	lamps, rings := len(f.view.Scene.Lamps), len(at)
	inParallel((rings+batch-1)/batch*lamps, func(piece int, w *worker) {
		first, l := piece/lamps*batch, piece%lamps
		at := at[first:min(first+batch, rings)]
		lux := w.rows(len(at), sidePoints)
		f.rows(lux, n, at, -pad, 1, f.view.Scene.Only(l))
		for k, row := range lux {
			for j, e := range row {
				s.lux[((first+k)*sidePoints+j)*lamps+l] = float32(e * at[k] * at[k])
			}
		}
	})
}

// rows adds the illuminance (lx) from a scene at points of side n of squares of half-sides at, which
// begin so many of the side's steps along it and are so many of them apart.
func (f *foreground) rows(dst [][]float64, n int, at []float64, from, apart float64, s *geometry.Scene) {
	g := &s.Site.Ground
	rows := make([]geometry.Row, len(dst))
	for i, r := range at {
		step := r * 2 / across
		first := -r + from*step
		step *= apart
		if n >= 2 {
			r = -r
		}
		if n%2 == 0 {
			rows[i] = geometry.Row{
				Start: s.Site.At(f.x+r, f.y+first, 0), Step: r3.Vec{Y: step, Z: step * g.CrossFall},
				Normal: g.Normal(f.x + r),
			}
			continue
		}
		if len(g.Profile) > 0 {
			for j := range dst[i] {
				dst[i][j] += s.GroundLux(f.x+first+float64(j)*step, f.y+r)
			}
			continue
		}
		rows[i] = geometry.Row{
			Start: s.Site.At(f.x+first, f.y+r, 0), Step: r3.Vec{X: step, Z: step * g.Grade}, Normal: g.Normal(f.x),
		}
	}
	if n%2 == 0 || len(g.Profile) == 0 {
		s.AddRows(dst, rows)
	}
}

// at is the point of the ground on side n of the square of half-side r, at a distance along it from
// its middle.
func (f *foreground) at(n int, r, along float64) r3.Vec {
	if n >= 2 {
		r = -r
	}
	if n%2 == 0 {
		return f.view.Scene.Site.At(f.x+r, f.y+along, 0)
	}
	return f.view.Scene.Site.At(f.x+along, f.y+r, 0)
}
