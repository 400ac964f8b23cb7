package sight

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"beamfall/geometry"

	"golang.org/x/sync/errgroup"
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

	seen  sync.Once
	trees []*tree // of the luminance of what the eye sees of each part
}

// band is rings of half-sides that grow evenly.
type band struct {
	from, step   float64 // the first half-side, m; growth from one to the next, of the logarithm
	first, count int     // of the rings in the table
}

func (b *band) ring(k int) float64 {
	const within = 1e-9 // the outermost are a little within the piece of ground
	return b.from * math.Exp(b.step*max(within, min(float64(b.count-1)-within, float64(k))))
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
		for _, c := range along {
			c *= share * weight
			for l, e := range at[:lamps] {
				dst[l] += c * float64(e)
			}
			at = at[lamps:]
		}
	}
	// Where light ends with an edge, no cubic will do.
	first := ((b.first+k+1)*sidePoints + j + 1) * lamps
	next := first + sidePoints*lamps
	for l, least := range s.edge {
		p, q, m, n := s.lux[first+l], s.lux[first+lamps+l], s.lux[next+l], s.lux[next+lamps+l]
		if high := max(p, q, m, n); float64(high) > least && min(p, q, m, n) < steep*high {
			table := s.lux[((b.first+k)*sidePoints+j)*lamps:]
			dst[l] += weight * f.beyondCubic(table, lamps, l, x, y, r, out, along)
		}
	}
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
			at = append(at, s.parts[i].ring(k))
		}
	}
	lamps := len(f.view.Scene.Lamps)
	s.lux = make([]float32, rings*sidePoints*lamps)
	const batch = 16
	inParallel((rings+batch-1)/batch, func(piece int, w *worker) {
		first := piece * batch
		at := at[first:min(first+batch, rings)]
		lux := w.rows(batch, sidePoints)[:len(at)]
		for l := range lamps {
			for _, row := range lux {
				clear(row)
			}
			f.rows(lux, n, at, w.lamp(f.view.Scene, l))
			for k, row := range lux {
				for j, e := range row {
					s.lux[((first+k)*sidePoints+j)*lamps+l] = float32(e * at[k] * at[k])
				}
			}
		}
	})
	s.edge = make([]float64, lamps)
	for i, e := range s.lux {
		const matters = 1e-4
		s.edge[i%lamps] = max(s.edge[i%lamps], matters*float64(e))
	}
}

// rows adds the illuminance (lx) from a scene at the points of side n of squares of half-sides at.
func (f *foreground) rows(dst [][]float64, n int, at []float64, s *geometry.Scene) {
	g := &s.Site.Ground
	rows := make([]geometry.Row, len(dst))
	for i, r := range at {
		step := r * 2 / across
		first := -r - pad*step
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

// dazzle adds the veil of the ground over a line of sight to dst, lamp by lamp.
func (f *foreground) dazzle(dst []float64, line r3.Vec, k *kernel, fine float64) {
	for n := range f.sides {
		if !lies(n, line) {
			continue
		}
		s := f.side(n)
		s.seen.Do(func() { f.see(s, n) })
		for _, t := range s.trees {
			t.dazzle(dst, line, k, fine)
		}
	}
}

// lies tells whether side n lies within a right angle of a line of sight, but for what is straight
// below the eye.
func lies(n int, line r3.Vec) bool {
	x, y := line.X, line.Y
	if n%2 == 1 {
		x, y = y, x
	}
	if n >= 2 {
		x = -x
	}
	const little = 0.1
	return x+math.Abs(y) > little*math.Hypot(x, y) || line.Z < -0.5
}

// see makes the trees of side n.
func (f *foreground) see(s *side, n int) {
	s.trees = make([]*tree, len(s.parts))
	for i := range s.parts {
		s.trees[i] = f.tree(s, n, &s.parts[i])
	}
}

// tree is what the eye sees of one band of side n: cells between points along the rings and between
// rings, several of which are taken together where they are thin to the eye.
func (f *foreground) tree(s *side, n int, b *band) *tree {
	v, lamps := f.view, len(f.view.Scene.Lamps)
	g := &v.Scene.Site.Ground
	at := func(k, j float64) r3.Vec { // between rings and points
		r := b.from * math.Exp(b.step*max(1e-9, min(float64(b.count-1)-1e-9, k)))
		return f.at(n, r, r*(2*j/across-1))
	}
	groups := []int{0}
	for k, last := 1, v.toward(at(0, across/2)); k < b.count; k++ {
		const thin = 0.7 * math.Pi / 180
		if line := v.toward(at(float64(k), across/2)); k == b.count-1 || r3.Norm2(r3.Sub(line, last)) > thin*thin {
			groups, last = append(groups, k), line
		}
	}
	corners := make([]r3.Vec, b.count*(across+1)) // directions; none where the corner is hidden
	inParallel(b.count, func(k int, _ *worker) {
		for j := range across + 1 {
			if p := at(float64(k), float64(j)); !v.eye.obstructed(p) {
				corners[k*(across+1)+j] = v.toward(p)
			}
		}
	})
	t := newTree(len(groups)-1, across, lamps)
	partly := make([]bool, len(t.levels[0].cells)) // hidden
	inParallel(len(groups)-1, func(i int, _ *worker) {
		lux := make([]float64, lamps)
		for j := range across {
			c := &t.levels[0].cells[i*across+j]
			var sum r3.Vec
			clear(lux)
			for k := groups[i]; k < groups[i+1]; k++ {
				seen := 0
				for _, m := range [4]int{0, 1, across + 1, across + 2} {
					if corners[k*(across+1)+j+m] != (r3.Vec{}) {
						seen++
					}
				}
				if seen == 0 {
					continue
				}
				y, x := float64(j)+.5, float64(k)+.5
				d := r3.Sub(at(x, y), v.eye.at)
				d2 := r3.Norm2(d)
				distance := math.Sqrt(d2)
				ring := b.from * math.Exp(b.step*x)
				area := ring * b.step * ring * 2 / across // seen from above
				normal := g.Normal(v.eye.at.X + d.X)
				solid := max(0, -r3.Dot(normal, d)) / normal.Z * area / (d2 * distance)
				middle := r3.Scale(1/distance, d)
				if seen < 4 {
					partly[i*across+j] = true
					solid *= v.share(at, k, j, &middle)
				}
				c.solid += solid
				sum = r3.Add(sum, r3.Scale(solid, middle))
				reflects := solid * v.Around.Ground / math.Pi * v.through(distance) / (ring * ring) / 4
				for _, p := range [4]int{0, 1, sidePoints, sidePoints + 1} {
					at := s.lux[((b.first+k)*sidePoints+j+pad+p)*lamps:]
					for l, e := range at[:lamps] {
						lux[l] += float64(e) * reflects
					}
				}
			}
			if c.solid == 0 {
				continue
			}
			c.toward = r3.Unit(sum)
			for _, k := range [2]int{groups[i], groups[i+1]} {
				for _, m := range [2]int{0, 1} {
					corner := corners[k*(across+1)+j+m]
					if corner == (r3.Vec{}) {
						corner = v.toward(at(float64(k), float64(j+m)))
					}
					c.size = max(c.size, math.Sqrt(r3.Norm2(r3.Sub(corner, c.toward))))
				}
			}
			for l, light := range lux {
				t.light[(i*across+j)*lamps+l] = float32(light)
			}
		}
	})
	f.sharpen(t, s, b, groups, partly, at)
	t.gather()
	return t
}

// steep is the least share that the darkest corner of a cell has of the brightest if light has no
// edge between them.
const steep = 0.25

// sharpen looks closer at those cells of a tree in which light ends with an edge, or which are
// partly hidden, if they matter.
func (f *foreground) sharpen(t *tree, s *side, b *band, groups []int, partly []bool, at func(k, j float64) r3.Vec) {
	const matters, n = 1e-4, 5
	v, lamps := f.view, t.lamps
	total := make([]float64, lamps)
	for i, light := range t.light {
		total[i%lamps] += float64(light)
	}
	inParallel(len(groups)-1, func(i int, _ *worker) {
		for j := range across {
			cell := i*across + j
			for l := range lamps {
				least, most := math.Inf(1), 0.0
				for k := groups[i]; k <= groups[i+1]; k++ {
					for _, m := range [2]int{0, 1} {
						e := float64(s.lux[((b.first+k)*sidePoints+j+pad+m)*lamps+l])
						least, most = min(least, e), max(most, e)
					}
				}
				r := b.from * math.Exp(b.step*float64(groups[i]))
				light := most * v.Around.Ground * t.levels[0].cells[cell].solid / (r * r)
				if least >= steep*most && !partly[cell] || !(light > matters*total[l]) {
					continue
				}
				rows := groups[i+1] - groups[i]
				light = 0
				for a := range n * rows {
					for c := range n {
						x, y := float64(groups[i])+(float64(a)+.5)/n, float64(j)+(float64(c)+.5)/n
						p := at(x, y)
						d := r3.Sub(p, v.eye.at)
						normal := v.Scene.Site.Ground.Normal(p.X)
						e := v.Scene.LuxOf(l, p, normal)
						if e == 0 || v.eye.obstructed(p) {
							continue
						}
						ring, d2 := b.from*math.Exp(b.step*x), r3.Norm2(d)
						area := ring * b.step * ring * 2 / across / (n * n)
						solid := max(0, -r3.Dot(normal, d)) / normal.Z * area / (d2 * math.Sqrt(d2))
						light += e * solid * v.Around.Ground / math.Pi * v.through(math.Sqrt(d2))
					}
				}
				t.light[cell*lamps+l] = float32(light)
			}
		}
	})
}

// share is how much of a cell is seen, which something hides in part, and sets the direction to the
// middle of that.
func (v *View) share(at func(k, j float64) r3.Vec, k, j int, toward *r3.Vec) float64 {
	const n = 5
	seen := 0
	var sum r3.Vec
	for a := range n {
		for b := range n {
			if p := at(float64(k)+(float64(a)+.5)/n, float64(j)+(float64(b)+.5)/n); !v.eye.obstructed(p) {
				seen++
				sum = r3.Add(sum, v.toward(p))
			}
		}
	}
	if seen == 0 {
		return 0
	}
	*toward = r3.Unit(sum)
	return float64(seen) / (n * n)
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

// worker is the memory of one of several that share work.
type worker struct {
	lux []float64
	row [][]float64
	one []*geometry.Scene // one lamp at a time
}

// rows are n rows of a number of points.
func (w *worker) rows(n, points int) [][]float64 {
	if w.row == nil {
		w.lux, w.row = make([]float64, n*points), make([][]float64, n)
		for i := range w.row {
			w.row[i] = w.lux[i*points : (i+1)*points]
		}
	}
	return w.row
}

func (w *worker) lamp(s *geometry.Scene, l int) *geometry.Scene {
	if w.one == nil {
		w.one = make([]*geometry.Scene, len(s.Lamps))
	}
	if w.one[l] == nil {
		w.one[l] = s.Only(l)
	}
	return w.one[l]
}

// inParallel does n pieces of work, each on its own, on all cores.
func inParallel(n int, do func(i int, w *worker)) {
	// The error is that of a context which nobody ends.
	_ = inParallelUntil(context.Background(), n, do)
}

// inParallelUntil does so until the context ends, and has its error then.
func inParallelUntil(ctx context.Context, n int, do func(i int, w *worker)) error {
	var next atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range min(runtime.GOMAXPROCS(0), n) {
		group.Go(func() error {
			var w worker
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return nil
				}
				if err := ctx.Err(); err != nil {
					return err
				}
				do(i, &w)
			}
		})
	}
	return group.Wait()
}
