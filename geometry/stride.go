package geometry

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Between points some strides apart light is a cubic, along rows and across them.

// mostStride is the greatest stride: 2^mostStride rows or points.
const mostStride = 5

// reach is the greatest distance h between the points of a cubic, times the rate at which light
// changes: the fourth root of its fourth derivative relative to itself, f⁗/f. Between the middle
// two of four even points a cubic is off by at most 3/128 h⁴ f⁗, here 0.2 % of f. What is taken for
// the rate is a sum of bounds that seldom meet: found is less than 0.1 %.
const reach = 0.55

// falloff is the rate of 1/d³, times d: (3·4·5·6)^(1/4) = 4.36, and a tenth for the height over the
// plane, which changes too.
const falloff = 4.8

// count is the number of points worked out for n points at a stride of 2^k: one before and two
// after the first of each.
func count(n, k int) int {
	if k == 0 {
		return n
	}
	return (n-1)>>k + 4
}

// strides are how many rows and points (as powers of two) may lie between those that are worked out
// of a part, at a distance from the bar.
func (t *tile) strides(p patch, c *corners, distance float64) (down, along int) {
	b := t.bar
	if b.rough {
		return 0, 0
	}
	beam, least := t.emitted.view(b, c)
	down = t.stride(p.i1-p.i0, t.down, &beam, least, distance)
	along = t.stride(p.j1-p.j0, t.step, &beam, least, distance)
	for down > 0 || along > 0 {
		if t.evenAround(p, down, along) {
			break
		}
		if down > along {
			down--
		} else {
			along--
		}
	}
	return down, along
}

// stride is how many points (as a power of two) may lie between those that are worked out of n
// points in a direction.
func (t *tile) stride(n int, step r3.Vec, v *[4]ray, octave int, distance float64) int {
	if n < 3 {
		return 0
	}
	b := t.bar
	rate := 0.0
	for i := range v {
		r := &v[i]
		on := r3.Dot(step, r.toward)
		square := r3.Sub(step, r3.Scale(on, r.toward)) // what turns the direction
		turn := norm(square)
		across, upDown := turn, turn
		if r.ahead > 0.3 {
			across = min(turn, math.Abs(r3.Dot(square, b.axes.Left))/r.ahead)
			upDown = min(turn, math.Abs(r3.Dot(square, b.axes.Up))/r.ahead)
		}
		rate = max(rate, b.bendsAcross[octave]*across+b.bendsUpDown[octave]*upDown)
	}
	if t.Visibility > 0 {
		rate += 3 / t.Visibility * distance * norm(step)
	}
	rate = (rate + falloff*norm(step)) / distance
	k := 0
	for k < mostStride && rate*float64(int(2)<<k) <= reach && 2<<k < n {
		k++
	}
	return k
}

// evenAround tells whether the points around a part that cubics need see all of the bar as the part
// does.
func (t *tile) evenAround(p patch, down, along int) bool {
	i, j := before(down), before(along)
	c := t.corners(p, i, 3*i, j, 3*j)
	if t.over(&c).least <= t.lean || !t.bar.lights(&c) {
		return false
	}
	// Toward the plane of the lens a cosine of a low power (below 4: 2^-40 of the peak at cos θ =
	// 2^-10) is no cubic: it takes two steps more.
	if t.bar.cutoff < 0x1p-10 {
		c = t.corners(p, 3*i, 6*i, 3*j, 6*j)
		for _, q := range c {
			if r3.Dot(t.bar.axes.Ahead, r3.Sub(q, t.bar.at)) <= 0 {
				return false
			}
		}
	}
	return true
}

// ray is a direction from a bar.
type ray struct {
	toward r3.Vec
	ahead  float64 // its component along the beam axis
}

// view is the rays of a bar to the corners of a part, and by how many octaves its beam is at most
// below its peak toward them.
func (m *emitted) view(b *bar, c *corners) (rays [4]ray, octave int) {
	m.room(3 * len(rays))
	n := 0
	look := func(v r3.Vec) (toward r3.Vec) {
		toward = r3.Scale(1/math.Sqrt(r3.Norm2(v)), v)
		m.ahead[n], m.left[n], m.up[n] = b.axes.components(toward)
		n++
		return toward
	}
	for i, p := range c {
		v := r3.Sub(p, b.at)
		rays[i].toward = look(v)
		rays[i].ahead = m.ahead[n-1]
		if b.length*b.length > 4e-4*r3.Norm2(v) {
			look(r3.Sub(v, b.half))
			look(r3.Add(v, b.half))
		}
	}
	b.beam.Candelas(m.candela[:n], m.ahead[:n], m.left[:n], m.up[:n])
	least := slices.Min(m.candela[:n])
	const more = 2                                                // at points around the corners, within reach of them
	if o := math.Log2(b.beam.Peak()/least) + more; o < faintest { // not where a corner is on the lens
		return rays, max(0, int(o))
	}
	return rays, faintest
}

// sums are light worked out at strides over a part of a tile, by all bars.
type sums []sum

// sum is light at strides of 2^down rows and 2^along points.
type sum struct {
	down, along int
	lux         []float64
}

// of is the sum for strides over a part, its rows count(p.j1-p.j0, along) long.
func (s *sums) of(p patch, down, along int) []float64 {
	all := *s
	for i := range all {
		if all[i].down == down && all[i].along == along {
			return all[i].lux
		}
	}
	n := len(all)
	if n == cap(all) {
		all = append(all, sum{})
	}
	all = all[:n+1] // with the memory of one before
	*s = all
	at := &all[n]
	at.down, at.along = down, along
	return room(&at.lux, count(p.i1-p.i0, down)*count(p.j1-p.j0, along))
}

// close interpolates the sums at all points of a part and adds them to dst, in which rows are
// rowLength from one to the next. No light is below a floor: beside the cutoff a cubic may dip below
// 0. Sums at greater strides are first brought to the least ones.
func (s *sums) close(p patch, m *between, floor float64, dst []float64, rowLength int) {
	all := *s
	if len(all) == 0 {
		return
	}
	*s = all[:0]
	ni, nj := p.i1-p.i0, p.j1-p.j0
	down, along := mostStride, mostStride
	for i := range all {
		down, along = min(down, all[i].down), min(along, all[i].along)
	}
	n := count(nj, along)
	lux := all[0].lux
	if len(all) > 1 {
		lux = room(&m.lux, count(ni, down)*n)
		for i := range all {
			m.add(lux, &all[i], ni, nj, down, along)
		}
	}
	for i := range ni {
		to := dst[(p.i0+i)*rowLength+p.j0:][:nj]
		if down == 0 {
			spread(to, lux[i*n:][:n], along, floor)
			continue
		}
		first, w := four(i, down, count(ni, down))
		row := room(&m.row, n)
		weigh(row, lux[first*n:], w)
		spread(to, row, along, floor)
	}
}

// between is memory for what is interpolated.
type between struct{ lux, wide, row []float64 }

// room is n zeros.
func room(memory *[]float64, n int) []float64 {
	if cap(*memory) < n {
		*memory = make([]float64, n)
	}
	*memory = (*memory)[:n]
	clear(*memory)
	return *memory
}

// add adds a sum over ni rows of nj points to lux, which is at strides not greater.
func (m *between) add(lux []float64, from *sum, ni, nj, down, along int) {
	rows, coarse, n := count(ni, from.down), count(nj, from.along), count(nj, along)
	wide := from.lux
	if from.along > along {
		wide = room(&m.wide, rows*n)
		for j := range n {
			first, w := four(j<<along-before(along), from.along, coarse)
			for i := range rows {
				p := from.lux[i*coarse+first:][:4]
				wide[i*n+j] = w[0]*p[0] + w[1]*p[1] + w[2]*p[2] + w[3]*p[3]
			}
		}
	}
	if from.down == down {
		for j, v := range wide[:len(lux)] {
			lux[j] += v
		}
		return
	}
	for i := range count(ni, down) {
		first, w := four(i<<down-before(down), from.down, rows)
		weigh(lux[i*n:][:n], wide[first*n:], w)
	}
}

// four is the first of the four of n points at a stride of 2^k whose cubic is that at point x, and
// what they weigh in it: Lagrange's weights of points at -1, 0, 1 and 2.
func four(x, k, n int) (first int, w [4]float64) {
	first = max(0, min(x>>k, n-4))
	t := float64(x)/float64(int(1)<<k) - float64(first)
	return first, [4]float64{
		-t * (t - 1) * (t - 2) / 6, (t + 1) * (t - 1) * (t - 2) / 2,
		-(t + 1) * t * (t - 2) / 2, (t + 1) * t * (t - 1) / 6,
	}
}

// weigh adds four rows from the first of rows on, weighed, to dst.
func weigh(dst, rows []float64, w [4]float64) {
	n := len(dst)
	p, q, r, s := rows[:n], rows[n:][:n], rows[2*n:][:n], rows[3*n:][:n]
	w0, w1, w2, w3 := w[0], w[1], w[2], w[3]
	for j := range dst {
		dst[j] += w0*p[j] + w1*q[j] + w2*r[j] + w3*s[j]
	}
}

// spread adds a row at a stride of 2^k, between whose points are cubics, to dst.
func spread(dst, row []float64, k int, floor float64) {
	if k == 0 {
		for j, v := range row[:len(dst)] {
			if v > floor {
				dst[j] += v
			}
		}
		return
	}
	n := 1 << k
	h := 1 / float64(n)
	h2, h3 := h*h, h*h*h
	p, q, r := row[0], row[1], row[2]
	for _, s := range row[3:] {
		// The cubic is q + (r-q-bend/2-twist/6)·x + bend/2·x² + twist/6·x³; v goes along it by
		// differences of first, second and third order.
		bend, twist := p-2*q+r, s-p+3*(q-r)
		v, third := q, twist*h3
		second := bend*h2 + third
		first := h*(r-q-bend/2-twist*(1./6)) + bend*h2/2 + twist*(h3/6)
		part := dst[:min(n, len(dst))]
		for j := range part {
			if v > floor {
				part[j] += v
			}
			v += first
			first += second
			second += third
		}
		p, q, r, dst = q, r, s, dst[len(part):]
	}
}
