package sight

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// What shines into the eye from far off the line of sight counts by where it is, and not much by
// where exactly. So a surface is cut into small cells once, and these are gathered four by four
// into larger ones, as for bodies that attract each other from afar: a line of sight looks at few
// and large cells far from it, at many and small ones close by. A cell stands for its light at the
// middle of that light, lamp by lamp, so that a spot of light in a corner of it counts where it is.

// tree is a surface cut into cells.
type tree struct {
	lamps  int
	levels []treeLevel // the first is the finest
	light  []float32   // of the finest cells, by cell and by lamp: what a cell sends to the eye, cd/m² · sr
}

// treeLevel is nx by ny cells; cell (i, j) is i·ny + j.
type treeLevel struct {
	nx, ny int
	cells  []treeCell
	light  []moments // by cell and by lamp; of the finest level left to the tree
}

// treeCell is a part of a surface as the eye sees it.
type treeCell struct {
	toward r3.Vec  // direction to the middle of what is seen of it
	solid  float64 // solid angle of that, sr; 0 if nothing is seen
	size   float64 // angle from the middle to the farthest corner, rad, or a little more
}

// moments is light that a cell sends to the eye, cd/m² · sr, and that times its direction.
type moments struct{ light, x, y, z float32 }

func (m *moments) add(o moments) {
	m.light, m.x, m.y, m.z = m.light+o.light, m.x+o.x, m.y+o.y, m.z+o.z
}

// newTree is a tree over nx by ny cells, the finest of which are left to be filled.
func newTree(nx, ny, lamps int) *tree {
	return &tree{lamps, []treeLevel{{nx: nx, ny: ny, cells: make([]treeCell, nx*ny)}}, make([]float32, nx*ny*lamps)}
}

// set gives cell n of the finest level the luminance (cd/m²) of a lamp.
func (t *tree) set(n, lamp int, luminance float64) {
	t.light[n*t.lamps+lamp] = float32(luminance * t.levels[0].cells[n].solid)
}

// gather fills the coarser levels from the finest.
func (t *tree) gather() {
	for {
		fine := &t.levels[len(t.levels)-1]
		if fine.nx <= 2 && fine.ny <= 2 {
			return
		}
		nx, ny := (fine.nx+1)/2, (fine.ny+1)/2
		l := treeLevel{nx, ny, make([]treeCell, nx*ny), make([]moments, nx*ny*t.lamps)}
		for n := range l.cells {
			c := &l.cells[n]
			parts, count := fine.under(n/ny, n%ny)
			for _, m := range parts[:count] {
				p := &fine.cells[m]
				c.solid += p.solid
				c.toward = r3.Add(c.toward, r3.Scale(p.solid, p.toward))
				for k := range t.lamps {
					if fine.light != nil {
						l.light[n*t.lamps+k].add(fine.light[m*t.lamps+k])
						continue
					}
					light := t.light[m*t.lamps+k]
					l.light[n*t.lamps+k].add(moments{
						light, light * float32(p.toward.X), light * float32(p.toward.Y), light * float32(p.toward.Z),
					})
				}
			}
			if c.solid == 0 {
				continue
			}
			c.toward = unit(c.toward)
			for _, m := range parts[:count] {
				if p := &fine.cells[m]; p.solid > 0 {
					c.size = max(c.size, math.Sqrt(r3.Norm2(r3.Sub(p.toward, c.toward)))+p.size)
				}
			}
		}
		t.levels = append(t.levels, l)
	}
}

// under is the cells of this level that cell (i, j) of the next coarser one is gathered from.
func (l *treeLevel) under(i, j int) (parts [4]int, count int) {
	for a := 2 * i; a < min(2*i+2, l.nx); a++ {
		for b := 2 * j; b < min(2*j+2, l.ny); b++ {
			parts[count] = a*l.ny + b
			count++
		}
	}
	return parts, count
}

// dazzle adds the veil (cd/m²) of the surface over a line of sight to dst, lamp by lamp. fine is
// how small a cell has to be against its angle off the line of sight.
func (t *tree) dazzle(dst []float64, line r3.Vec, k *kernel, fine float64) {
	last := len(t.levels) - 1
	for n := range t.levels[last].cells {
		t.dazzleCell(dst, last, n, line, k, fine)
	}
}

func (t *tree) dazzleCell(dst []float64, level, n int, line r3.Vec, k *kernel, fine float64) {
	l := &t.levels[level]
	c := &l.cells[n]
	if c.solid == 0 {
		return
	}
	x, y, z := line.X-c.toward.X, line.Y-c.toward.Y, line.Z-c.toward.Z
	chord2 := x*x + y*y + z*z // the chord is the angle, or a tenth less at 90°
	if far := k.to + c.size; chord2 > far*far {
		return
	}
	if near := k.from - c.size; near > 0 && chord2 < near*near {
		return
	}
	if level > 0 && (c.size*c.size > fine*fine*chord2 || k.edge && chord2 < (k.from+c.size)*(k.from+c.size)) {
		parts, count := t.levels[level-1].under(n/l.ny, n%l.ny)
		for _, m := range parts[:count] {
			t.dazzleCell(dst, level-1, m, line, k, fine)
		}
		return
	}
	weight, slope := k.at(chord2)
	if level == 0 {
		for i, light := range t.light[n*t.lamps : (n+1)*t.lamps] {
			dst[i] += weight * float64(light)
		}
		return
	}
	// To the first order about the middle of the cell: by the cosine of the angle, it is that of
	// the middle of the light.
	weight -= slope * (1 - chord2/2)
	for i := range l.light[n*t.lamps : (n+1)*t.lamps] {
		m := &l.light[n*t.lamps+i]
		dst[i] += weight*float64(m.light) + slope*(line.X*float64(m.x)+line.Y*float64(m.y)+line.Z*float64(m.z))
	}
}

// kernel is what luminance counts for in the veil by its angle off the line of sight, cos θ · v(θ):
// from an angle on, at once or rising from nothing there to all of it at another. It is tabled by
// the square of the chord of the angle, in straight pieces that are even steps of the
// floating-point number itself, 64 to an octave, and keeps to 0.01 %.
type kernel struct {
	from, to float64 // chords between which there is any
	edge     bool    // it begins at once
	first    int
	pieces   []struct{ weight, slope [2]float64 } // value and increase along chord²; slope is by the cosine
}

const kernelBits = 52 - 6

// newKernel is the kernel for an eye of an age (years), from an angle on and all of it from
// another.
func newKernel(age, from, full float64) *kernel {
	chord2 := func(angle float64) float64 { c := 2 * math.Sin(angle/2); return c * c }
	k := &kernel{from: math.Sqrt(chord2(from)), to: math.Sqrt2, edge: full <= from}
	// on either side of the ends it goes on as if there were none, so that no piece has an edge in
	// it
	lo, hi := chord2(from)*0.9, 2.0
	k.first = int(math.Float64bits(lo) >> kernelBits)
	at := func(c2 float64) (weight, slope float64) {
		angle := 2 * math.Asin(math.Sqrt(c2)/2)
		weight, slope = kernelAt(age, angle)
		if !k.edge {
			w, dw := ease(angle, from, full)
			weight, slope = w*weight, w*slope+dw*weight
		}
		return weight, -slope / math.Sin(angle)
	}
	for i := k.first; i <= int(math.Float64bits(hi)>>kernelBits); i++ {
		x0, x1 := math.Float64frombits(uint64(i)<<kernelBits), math.Float64frombits(uint64(i+1)<<kernelBits)
		w0, s0 := at(min(x0, hi))
		w1, s1 := at(min(x1, hi))
		var p struct{ weight, slope [2]float64 }
		p.weight[1], p.slope[1] = (w1-w0)/(x1-x0), (s1-s0)/(x1-x0)
		p.weight[0], p.slope[0] = w0-p.weight[1]*x0, s0-p.slope[1]*x0
		k.pieces = append(k.pieces, p)
	}
	return k
}

// at is the kernel at the square of a chord, and its slope by the cosine of the angle.
func (k *kernel) at(chord2 float64) (weight, slope float64) {
	if chord2 < k.from*k.from || chord2 > k.to*k.to {
		return 0, 0
	}
	p := &k.pieces[min(int(math.Float64bits(chord2)>>kernelBits)-k.first, len(k.pieces)-1)]
	return p.weight[0] + p.weight[1]*chord2, p.slope[0] + p.slope[1]*chord2
}

// kernelAt is cos θ · v(θ), v being VeilPerLux, and its slope by the angle.
func kernelAt(age, angle float64) (weight, slope float64) {
	sin, cos := math.Sincos(angle)
	a, t := age/62.5, angle*180/math.Pi
	f := 1 + a*a*a*a
	v := 10/(t*t*t) + (5/(t*t)+0.1*pigmentation/t)*f + 0.0025*pigmentation
	dv := (-30/(t*t*t*t) - (10/(t*t*t)+0.1*pigmentation/(t*t))*f) * 180 / math.Pi
	return cos * v, cos*dv - sin*v
}

// ease rises from 0 at from to 1 at to, with level ends, and its slope.
func ease(x, from, to float64) (value, slope float64) {
	if x <= from {
		return 0, 0
	}
	if x >= to {
		return 1, 0
	}
	u := (x - from) / (to - from)
	return u * u * (3 - 2*u), 6 * u * (1 - u) / (to - from)
}
