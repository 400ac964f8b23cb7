package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Many points see an emitter through quantities that are linear in both directions of a lattice
// (depth along the beam axis, offsets across it, height over the plane lit) and one that is
// quadratic (squared distance), so a point costs a square root, a division and a look at the beam's
// curve.

// emitted is memory for points lit at once.
type emitted struct {
	ahead, left, up, weight, candela []float64
}

const atOnce = 512

// room makes room for n points.
func (m *emitted) room(n int) {
	if n <= len(m.ahead) {
		return
	}
	n = max(n, mostEmitters)
	all := make([]float64, 5*n)
	m.ahead, m.left, m.up, m.weight, m.candela = all[:n], all[n:2*n], all[2*n:3*n], all[3*n:4*n], all[4*n:]
}

// emit adds the light of n emitters of t's bar on planes toward a normal to a part of t, worked out
// at strides of 2^down rows and 2^along points: to its sums, or if that is at every point to dst,
// row i of which is from i·rowLength on.
func (m *emitted) emit(sums *sums, dst []float64, rowLength int, t *tile, normal r3.Vec, p patch, down, along, n int) {
	l := t.lattice
	rows, points := count(p.i1-p.i0, down), count(p.j1-p.j0, along)
	l.start, l.normal = t.at(p.i0-before(down), p.j0-before(along)), normal
	l.down, l.step = r3.Scale(float64(int(1)<<down), l.down), r3.Scale(float64(int(1)<<along), l.step)
	if down == 0 && along == 0 {
		m.emitTo(dst[p.i0*rowLength+p.j0:], rowLength, t, l, rows, points, n)
	} else {
		m.emitTo(sums.of(p, down, along), points, t, l, rows, points, n)
	}
}

// before is how many rows or points before the first are worked out at a stride of 2^k.
func before(k int) int {
	if k == 0 {
		return 0
	}
	return 1 << k
}

// emitTo adds the light of n emitters to rows of points, row i in dst from i·rowLength on.
func (m *emitted) emitTo(dst []float64, rowLength int, t *tile, l lattice, rows, points, n int) {
	b, atATime := t.bar, max(1, atOnce/points)
	m.room(min(atATime, rows) * min(atOnce, points))
	for i := 0; i < rows; i += atATime {
		for j := 0; j < points; j += atOnce {
			part := l
			part.start = l.at(i, j)
			ni, nj := min(atATime, rows-i), min(atOnce, points-j)
			for k, e := range rules[n].e {
				at := r3.Add(b.at, r3.Scale(t.middle+t.half*e, b.half))
				m.emitter(dst[i*rowLength+j:], rowLength, t.Site, b, at, t.share*rules[n].weight[k], &part, ni, nj)
			}
		}
	}
}

// emitter is the inner loop: an emitter of a bar, with a share of the bar's light, and at most
// atOnce points, nothing between them.
func (m *emitted) emitter(
	dst []float64, rowLength int, s *Site, b *bar, at r3.Vec, share float64, l *lattice, rows, points int,
) {
	v := r3.Sub(l.start, at) // from the emitter to the point
	a0, l0, u0 := b.axes.components(v)
	ai, li, ui := b.axes.components(l.down)
	aj, lj, uj := b.axes.components(l.step)
	k0, ki, kj := -share*r3.Dot(l.normal, v), -share*r3.Dot(l.normal, l.down), -share*r3.Dot(l.normal, l.step)
	q1, q2 := 2*r3.Dot(v, l.step), r3.Norm2(l.step)
	n := rows * points
	for i := range rows {
		y := float64(i)
		q0 := r3.Norm2(r3.Add(v, r3.Scale(y, l.down)))
		q1 := q1 + 2*y*r3.Dot(l.down, l.step)
		a0, l0, u0, k0 := a0+y*ai, l0+y*li, u0+y*ui, k0+y*ki
		from := i * points
		ahead := m.ahead[from : from+points]
		left, up, weight := m.left[from:][:len(ahead)], m.up[from:][:len(ahead)], m.weight[from:][:len(ahead)]
		fill(ahead, left, up, weight, q0, q1+q2, 2*q2, a0, aj, l0, lj, u0, uj, k0, kj)
		if s.Visibility > 0 {
			for j := range weight {
				x := float64(j)
				weight[j] *= s.transmission(math.Sqrt(max(q0+x*(q1+x*q2), nearest*nearest)))
			}
		}
	}
	candela := m.candela[:n]
	b.beam.Candelas(candela, m.ahead[:n], m.left[:n], m.up[:n])
	for i := range rows {
		to, from := dst[i*rowLength:][:points], i*points
		candela, weight := candela[from:from+points], m.weight[from:from+points]
		candela, weight = candela[:len(to)], weight[:len(to)]
		for j := range to {
			to[j] += candela[j] * weight[j]
		}
	}
}

// fill fills in a row of directions and weights, from one point to the next by differences: of the
// squared distance of first and second order.
func fill(ahead, left, up, weight []float64, d2, first, second, a, aj, l, lj, u, uj, k, kj float64) {
	n := len(ahead)
	left, up, weight = left[:n], up[:n], weight[:n]
	for j := range ahead {
		inverse := 1 / math.Sqrt(d2)
		if d2 < nearest*nearest {
			inverse = 1 / nearest
		}
		ahead[j] = a * inverse
		left[j] = l * inverse
		up[j] = u * inverse
		weight[j] = k * inverse * inverse * inverse
		d2 += first
		first += second
		a += aj
		l += lj
		u += uj
		k += kj
	}
}

// sum is the light of n emitters that stand for a part of a bar on one plane, toBar from it, of all
// of the bar's light.
func (m *emitted) sum(s *Site, b *bar, toBar, normal r3.Vec, middle, half float64, n int) float64 {
	m.room(n)
	for i, e := range rules[n].e {
		v := r3.Add(toBar, r3.Scale(middle+half*e, b.half)) // from the point to the emitter
		d2 := max(r3.Norm2(v), nearest*nearest)
		inverse := 1 / math.Sqrt(d2)
		a, l, u := b.axes.components(v)
		m.ahead[i], m.left[i], m.up[i] = -a*inverse, -l*inverse, -u*inverse
		m.weight[i] = rules[n].weight[i] * max(0, r3.Dot(normal, v)) * inverse / d2
		if s.Visibility > 0 {
			m.weight[i] *= s.transmission(d2 * inverse)
		}
	}
	b.beam.Candelas(m.candela[:n], m.ahead[:n], m.left[:n], m.up[:n])
	sum := 0.0
	for i, c := range m.candela[:n] {
		sum += c * m.weight[i]
	}
	return sum
}
