package sight

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The foreground as the eye sees it, for what of it lies far off the line of sight: trees of cells
// over the tables of its light.

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
