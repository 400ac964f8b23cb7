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

// sums are light worked out at strides over a whole tile, by the strides down and along, as powers
// of two.
type sums struct {
	ni, nj int
	signed bool // may be below 0
	used   [mostStride + 1][mostStride + 1]bool
	at     [mostStride + 1][mostStride + 1][]float64
	rows   between
}

// open begins a tile.
func (s *sums) open(ni, nj int, signed bool) {
	s.ni, s.nj, s.signed = ni, nj, signed
	s.used = [mostStride + 1][mostStride + 1]bool{}
}

// of is the sum for strides, its rows count(nj, along) long.
func (s *sums) of(down, along int) []float64 {
	n := count(s.ni, down) * count(s.nj, along)
	if cap(s.at[down][along]) < n {
		s.at[down][along] = make([]float64, n)
	} else if s.at[down][along] = s.at[down][along][:n]; !s.used[down][along] {
		clear(s.at[down][along])
	}
	s.used[down][along] = true
	return s.at[down][along]
}

// close interpolates the sums at the points between and adds them to dst.
func (s *sums) close(dst []float64, rowLength int) {
	top := -1 // the greatest stride along rows
	for along := range mostStride + 1 {
		for down := range mostStride + 1 {
			if s.used[down][along] {
				top = along
			}
		}
	}
	if top < 0 {
		return
	}
	for i := range s.ni {
		s.rows.open(s.nj, top, s.signed)
		for along := range top + 1 {
			for down := range mostStride + 1 {
				if s.used[down][along] {
					s.rows.addRow(s.at[down][along], i, along, down)
				}
			}
		}
		s.rows.close(dst[i*rowLength:][:s.nj])
	}
}

// between is one row of light at every point, and what of it is to be interpolated from strides, as
// powers of two.
type between struct {
	top   int
	floor float64 // no value is below it: beside the cutoff a cubic may dip below 0
	every bool    // some of it is at every point
	row   [mostStride + 1][]float64
}

// open begins a row of n points with strides of at most 2^top.
func (b *between) open(n, top int, signed bool) {
	b.top, b.every, b.floor = top, false, 0
	if signed {
		b.floor = math.Inf(-1)
	}
	for k := range top + 1 {
		m := count(n, k)
		if cap(b.row[k]) < m {
			b.row[k] = make([]float64, m)
		}
		if b.row[k] = b.row[k][:m]; k > 0 {
			clear(b.row[k])
		}
	}
}

// addRow adds row i, interpolated from rows at strides of 2^down rows and 2^along points.
func (b *between) addRow(rows []float64, i, along, down int) {
	dst := b.row[along]
	n := len(dst)
	if along == 0 && !b.every {
		clear(dst)
		b.every = true
	}
	if down == 0 {
		for j, v := range rows[i*n:][:n] {
			dst[j] += v
		}
		return
	}
	k := i >> down
	w := &cubics[down][i&(1<<down-1)]
	w0, w1, w2, w3 := w[0], w[1], w[2], w[3]
	p, q, r, s := rows[k*n:][:n], rows[(k+1)*n:][:n], rows[(k+2)*n:][:n], rows[(k+3)*n:][:n]
	for j := range dst {
		dst[j] += w0*p[j] + w1*q[j] + w2*r[j] + w3*s[j]
	}
}

// close adds the row to dst: from the greatest stride on, each is halved by cubics through the
// middle of four points.
func (b *between) close(dst []float64) {
	for k := b.top; k > 1; k-- {
		halve(b.row[k-1], b.row[k])
	}
	floor := b.floor
	if b.every {
		for j, v := range b.row[0][:len(dst)] {
			if v > floor {
				dst[j] += v
			}
		}
	}
	if b.top == 0 {
		return
	}
	row := b.row[1]
	p, q, r := row[0], row[1], row[2]
	for _, s := range row[3:] {
		if q > floor {
			dst[0] += q
		}
		if len(dst) < 2 {
			break
		}
		if v := (9*(q+r) - (p + s)) / 16; v > floor {
			dst[1] += v
		}
		p, q, r, dst = q, r, s, dst[2:]
		if len(dst) == 0 {
			break
		}
	}
}

// halve adds a row at a stride to one at half of it.
func halve(fine, coarse []float64) {
	// the point before the first is from the four at hand: no more than a sixteenth of it will
	// count
	fine[0] += (5*(coarse[0]-coarse[2]) + 15*coarse[1] + coarse[3]) / 16
	fine = fine[1:]
	p, q, r := coarse[0], coarse[1], coarse[2]
	last := coarse[len(coarse)-4:]
	for _, s := range coarse[3:] {
		if len(fine) < 2 {
			break
		}
		fine[0] += q
		fine[1] += (9*(q+r) - (p + s)) / 16
		p, q, r, fine = q, r, s, fine[2:]
	}
	// what is left are the points after the row, of which one counts
	for i, v := range [...]float64{q, (5*(last[3]-last[1]) + 15*last[2] + last[0]) / 16, r} {
		if i < len(fine) {
			fine[i] += v
		}
	}
}

// cubics are the weights of four even points for the places between the second and the third, by
// stride.
var cubics = func() (out [mostStride + 1][1 << mostStride][4]float64) {
	for k := range out {
		for j := range 1 << k {
			t := float64(j) / float64(int(1)<<k) // Lagrange's, with the points at -1, 0, 1 and 2
			out[k][j] = [4]float64{
				-t * (t - 1) * (t - 2) / 6, (t + 1) * (t - 1) * (t - 2) / 2,
				-(t + 1) * t * (t - 2) / 2, (t + 1) * t * (t - 1) / 6,
			}
		}
	}
	return out
}()
