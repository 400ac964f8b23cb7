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

// The foreground is the ground around the eye as each lamp lights it, worked out once on squares about the eye that grow by
// a constant share: so it is resolved alike as seen from the eye, near and far, and its points lie on straight rows, which
// the scene lights at speed.

const (
	ringFirst = 0.1  // half the side of the innermost square, m
	ringLast  = 2000 // of the outermost: beyond, no ground is bright enough to count
	ringStep  = 0.05 // growth from one to the next, of the logarithm
	across    = 96   // steps along a side, which is seen within 90°
	pad       = 1    // points more at either end, for the cubics between points
)

const sidePoints = across + 1 + 2*pad

// foreground has one table for each side of the squares: ahead, left, behind, right. A table is made when it is first
// looked at. It holds lux · R² by ring of half-side R, by point along the side, and by lamp: lux falls by so many powers
// of ten that this is what changes little.
type foreground struct {
	scene *geometry.Scene
	x, y  float64   // below the eye
	knots []float64 // x at which the ground bends, in ascending order
	sides [4]side
}

type side struct {
	once  sync.Once
	parts []band // each on one piece of the ground, in ascending order of R
	lux   []float64
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
	along := cubic(w)
	for i, share := range cubic(u) {
		at := s.lux[((b.first+k+i)*sidePoints+j)*lamps:]
		for _, c := range along {
			c *= share * weight
			for l, e := range at[:lamps] {
				dst[l] += c * e
			}
			at = at[lamps:]
		}
	}
}

// cell is the first of the four of n points, between the middle two of which a place lies if it can, and how far it is from
// the second.
func cell(at float64, n int) (first int, on float64) {
	second := max(1, min(int(at), n-3))
	return second - 1, at - float64(second)
}

// cubic is the weights of Lagrange's polynomial through points at -1, 0, 1 and 2.
func cubic(t float64) [4]float64 {
	return [4]float64{-t * (t - 1) * (t - 2) / 6, (t + 1) * (t - 1) * (t - 2) / 2, -(t + 1) * t * (t - 2) / 2, (t + 1) * t * (t - 1) / 6}
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
	lamps := len(f.scene.Lamps)
	s.lux = make([]float64, rings*sidePoints*lamps)
	const batch = 16
	inParallel((rings+batch-1)/batch, func(piece int, w *worker) {
		first := piece * batch
		at := at[first:min(first+batch, rings)]
		lux := w.rows(batch, sidePoints)[:len(at)]
		for l := range lamps {
			for _, row := range lux {
				clear(row)
			}
			f.rows(lux, n, at, w.lamp(f.scene, l))
			for k, row := range lux {
				for j, e := range row {
					s.lux[((first+k)*sidePoints+j)*lamps+l] = e * at[k] * at[k]
				}
			}
		}
	})
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
				Start: s.Site.At(f.x+r, f.y+first, 0), Step: r3.Vec{Y: step, Z: step * g.CrossFall}, Normal: g.Normal(f.x + r),
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
