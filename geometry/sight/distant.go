package sight

import (
	"math"
	"slices"

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

// tree is what the eye sees of one band of side n.
func (f *foreground) tree(s *side, n int, b *band) *tree {
	m := f.mesh(n, b)
	rows, lamps := len(m.groups)-1, len(f.view.Scene.Lamps)
	t := newTree(rows, across, lamps)
	partly := make([]bool, rows*across) // hidden
	inParallel(rows, func(i int, _ *worker) {
		lux := make([]float64, lamps)
		for j := range across {
			cell := i*across + j
			t.levels[0].cells[cell], partly[cell] = m.cell(s, i, j, lux)
			for l, light := range lux {
				t.light[cell*lamps+l] = float32(light)
			}
		}
	})
	m.sharpen(t, s, partly)
	t.gather()
	return t
}

// mesh divides one band of a side into cells between points along the rings and between rings,
// several of which are taken together where they are thin to the eye.
type mesh struct {
	f       *foreground
	n       int // of the side
	band    *band
	groups  []int    // rings between which cells lie
	corners []r3.Vec // directions from the eye, by ring and point; none where the corner is hidden
}

func (f *foreground) mesh(n int, b *band) *mesh {
	const thin = 0.7 * math.Pi / 180
	m := &mesh{f: f, n: n, band: b, groups: []int{0}, corners: make([]r3.Vec, b.count*(across+1))}
	v := f.view
	for k, last := 1, v.toward(m.at(0, across/2)); k < b.count; k++ {
		if line := v.toward(m.at(float64(k), across/2)); k == b.count-1 || r3.Norm2(r3.Sub(line, last)) > thin*thin {
			m.groups, last = append(m.groups, k), line
		}
	}
	inParallel(b.count, func(k int, _ *worker) {
		for j := range across + 1 {
			if p := m.at(float64(k), float64(j)); !v.eye.obstructed(p) {
				m.corners[k*(across+1)+j] = v.toward(p)
			}
		}
	})
	return m
}

// at is the place between rings and points.
func (m *mesh) at(k, j float64) r3.Vec {
	r := m.band.ring(k)
	return m.f.at(m.n, r, r*(2*j/across-1))
}

// patch is a piece of ground as the eye sees it.
type patch struct {
	at              r3.Vec
	toward          r3.Vec // of its middle
	ring            float64
	distance, solid float64 // m; sr
}

// patch is the piece about a place between rings and points that is so many steps wide either way.
func (m *mesh) patch(k, j, steps float64) patch {
	p := m.at(k, j)
	d := r3.Sub(p, m.f.view.eye.at)
	d2 := r3.Norm2(d)
	distance := math.Sqrt(d2)
	ring := m.band.from * math.Exp(m.band.step*k)
	area := ring * m.band.step * ring * 2 / across * steps * steps // seen from above
	normal := m.f.view.Scene.Site.Ground.Normal(p.X)
	return patch{p, r3.Scale(1/distance, d), ring, distance,
		max(0, -r3.Dot(normal, d)) / normal.Z * area / (d2 * distance)}
}

// sends is the luminance (cd/m²) that each lux on a patch sends to the eye.
func (m *mesh) sends(p *patch) float64 {
	return m.f.view.Around.Ground / math.Pi * m.f.view.through(p.distance)
}

// cell is cell j of a group of rings as the eye sees it, and whether something hides a part of it.
// It sets lux to what each lamp's light on it sends to the eye, cd/m² · sr.
func (m *mesh) cell(s *side, group, j int, lux []float64) (c treeCell, partly bool) {
	clear(lux)
	lamps := len(lux)
	var sum r3.Vec
	for k := m.groups[group]; k < m.groups[group+1]; k++ {
		seen := m.seen(k, j)
		if seen == 0 {
			continue
		}
		p := m.patch(float64(k)+.5, float64(j)+.5, 1)
		if seen < 4 {
			partly = true
			p.solid *= m.share(k, j, &p.toward)
		}
		c.solid += p.solid
		sum = r3.Add(sum, r3.Scale(p.solid, p.toward))
		reflects := p.solid * m.sends(&p) / (p.ring * p.ring) / 4
		for _, corner := range [4]int{0, 1, sidePoints, sidePoints + 1} {
			at := s.lux[((m.band.first+k)*sidePoints+j+pad+corner)*lamps:]
			for l, e := range at[:lamps] {
				lux[l] += float64(e) * reflects
			}
		}
	}
	if c.solid == 0 {
		return c, partly
	}
	c.toward = unit(sum)
	for _, k := range [2]int{m.groups[group], m.groups[group+1]} {
		for _, at := range [2]int{j, j + 1} {
			corner := m.corners[k*(across+1)+at]
			if corner == (r3.Vec{}) {
				corner = m.f.view.toward(m.at(float64(k), float64(at)))
			}
			c.size = max(c.size, math.Sqrt(r3.Norm2(r3.Sub(corner, c.toward))))
		}
	}
	return c, partly
}

// seen is how many corners of what lies between two rings and two points are seen.
func (m *mesh) seen(k, j int) (seen int) {
	for _, corner := range [4]int{0, 1, across + 1, across + 2} {
		if m.corners[k*(across+1)+j+corner] != (r3.Vec{}) {
			seen++
		}
	}
	return seen
}

// steep is the least share that the darkest corner of a cell has of the brightest if light has no
// edge between them.
const steep = 0.25

// closer is into how many pieces, either way, a cell is divided that is looked at closer.
const closer = 5

// share is how much of what lies between two rings and two points is seen, which something hides in
// part, and sets the direction to the middle of that.
func (m *mesh) share(k, j int, toward *r3.Vec) float64 {
	v, seen := m.f.view, 0
	var sum r3.Vec
	for a := range closer {
		for b := range closer {
			p := m.at(float64(k)+(float64(a)+.5)/closer, float64(j)+(float64(b)+.5)/closer)
			if !v.eye.obstructed(p) {
				seen++
				sum = r3.Add(sum, v.toward(p))
			}
		}
	}
	if seen == 0 {
		return 0
	}
	*toward = unit(sum)
	return float64(seen) / (closer * closer)
}

// sharpen looks closer at those cells of a tree in which light ends with an edge, or which are
// partly hidden, if they matter.
func (m *mesh) sharpen(t *tree, s *side, partly []bool) {
	const matters = 1e-4 // of all light of the lamp
	total := make([]float64, t.lamps)
	for i, light := range t.light {
		total[i%t.lamps] += float64(light)
	}
	inParallel(len(m.groups)-1, func(i int, w *worker) {
		r := m.band.ring(float64(m.groups[i]))
		least, most := make([]float32, t.lamps), make([]float32, t.lamps)
		sharp, some := make([]bool, across*t.lamps), false
		for j := range across {
			cell := i*across + j
			if t.levels[0].cells[cell].solid == 0 {
				continue
			}
			m.extremes(s, i, j, least, most)
			for l := range t.lamps {
				light := float64(most[l]) * m.f.view.Around.Ground * t.levels[0].cells[cell].solid / (r * r)
				if (least[l] < steep*most[l] || partly[cell]) && light > matters*total[l] {
					sharp[j*t.lamps+l], some = true, true
				}
			}
		}
		if some {
			m.closely(t.light[i*across*t.lamps:][:across*t.lamps], i, sharp, w)
		}
	})
}

// extremes sets least and most, lamp by lamp, to what the table holds at the corners of a cell.
func (m *mesh) extremes(s *side, group, j int, least, most []float32) {
	lamps := len(least)
	for k := m.groups[group]; k <= m.groups[group+1]; k++ {
		for n, at := range [2]int{j, j + 1} {
			lux := s.lux[((m.band.first+k)*sidePoints+at+pad)*lamps:][:lamps]
			if n == 0 && k == m.groups[group] {
				copy(least, lux)
				copy(most, lux)
				continue
			}
			for l, e := range lux {
				least[l], most[l] = min(least[l], e), max(most[l], e)
			}
		}
	}
}

// closely sets the light of those cells of a group of rings, by cell and lamp, that are sharp to
// what they send to the eye, cd/m² · sr, from many points of each. Cells of one lamp that lie side
// by side are lit in one.
func (m *mesh) closely(light []float32, group int, sharp []bool, w *worker) {
	v, first := m.f.view, m.groups[group]
	lamps, rows := len(v.Scene.Lamps), closer*(m.groups[group+1]-first)
	at := make([]float64, rows)
	for a := range at {
		at[a] = m.band.ring(float64(first) + (float64(a)+.5)/closer)
	}
	sends := m.sendsClosely(first, rows, func(j int) bool { return slices.Contains(sharp[j*lamps:][:lamps], true) })
	for l := range lamps {
		for from := 0; from < across; from++ {
			to := from
			for to < across && sharp[to*lamps+l] {
				to++
			}
			if to == from {
				continue
			}
			lux := w.rows(rows, (to-from)*closer)
			m.f.rows(lux, m.n, at, float64(from)+.5/closer, 1./closer, v.Scene.Only(l))
			for j := from; j < to; j++ {
				sum := 0.0
				for a, row := range lux {
					for c, e := range row[(j-from)*closer:][:closer] {
						sum += e * sends[(a*across+j)*closer+c]
					}
				}
				light[j*lamps+l] = float32(sum)
			}
			from = to
		}
	}
}

// sendsClosely is what each lux on many points of some cells of a group of rings sends to the eye,
// cd/m² · sr; 0 where something hides the point.
func (m *mesh) sendsClosely(first, rows int, of func(j int) bool) []float64 {
	sends := make([]float64, rows*across*closer)
	for j := range across {
		if !of(j) {
			continue
		}
		for a := range rows {
			for c := range closer {
				p := m.patch(float64(first)+(float64(a)+.5)/closer, float64(j)+(float64(c)+.5)/closer, 1./closer)
				if !m.f.view.eye.obstructed(p.at) {
					sends[(a*across+j)*closer+c] = p.solid * m.sends(&p)
				}
			}
		}
	}
	return sends
}
