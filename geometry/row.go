package geometry

import (
	"math"

	"beamfall/beam"

	"gonum.org/v1/gonum/spatial/r3"
)

// The light field at speed. A row of evenly spaced points on a straight line sees an emitter through quantities that
// are linear along the row (depth along the beam axis, offsets across it, height over the plane lit) and one that is
// quadratic (squared distance), so a point costs a square root, a division and a look at the beam's curve; and the
// points within a beam's cutoff are one stretch, found from a quadratic equation. What is not so simple (edges of
// shadows, steps of a hard-edged bar, points close to a bar) is passed to Scene.Lux point by point, and so is exact.
//
// Light that changes slowly along a row is worked out at every so manieth point, and the points between by cubics: that
// keeps to 0.1 % down to 2^-16 of a beam's peak. What is left out is the light beyond the cutoff, below 1e-12 of the peak.

// Row is n points Start + i·Step, each with a plane that faces along the unit vector Normal. On a ground profile, rows
// along y on the ground or at one height over it are the fast ones.
type Row struct {
	Start, Step, Normal r3.Vec
}

// AddRow adds the illuminance (lx) at the points of a row to dst, one for each. It agrees with Lux to 0.3 %, or a millionth
// of what the lamps would give if their axes pointed at the point, where that is more; with bars of measured beams, to 1 %
// or a hundred-thousandth. Within a millimetre of a lens, or 2e-6 rad of its plane or axis, it may be off by more.
func (s *Scene) AddRow(dst []float64, row Row) {
	var w work
	s.addRow(dst, row, &w)
}

// AddRows is AddRow for several rows at once, with one piece of memory for all: rows[i] is added to dst[i].
func (s *Scene) AddRows(dst [][]float64, rows []Row) {
	var w work
	for i, row := range rows {
		s.addRow(dst[i], row, &w)
	}
}

// A row is cut into blocks of points that share one choice of emitters and of stride; points that are done one by one
// share it in shorter ones, so that what is near the lamp does not decide for what is far from it.
const (
	block = 256
	short = 64
)

// work is the memory of one worker.
type work struct {
	ahead, left, up, weight, candela [block]float64
	pass                             pass
	coarse                           [block/2 + 4]float64
	near                             []Box // boxes that may shade the row at hand, and after them those of parts of it
}

func (s *Scene) addRow(dst []float64, row Row, w *work) {
	onProfile := len(s.Site.Ground.Profile) > 0
	even := row.Step.X == 0 && row.Step.Z == s.Site.Ground.CrossFall*row.Step.Y
	if onProfile && !even {
		for i := range dst {
			dst[i] += s.Lux(row.at(i), row.Normal)
		}
		return
	}
	for i := range s.Lamps {
		bars := s.Lamps[i].bars
		for j := range bars {
			s.Site.addBar(dst, row, &bars[j], w)
		}
	}
}

func (r *Row) at(i int) r3.Vec { return r3.Add(r.Start, r3.Scale(float64(i), r.Step)) }

// addBar adds one bar's light to a row that sees the ground between it and the bar alike at all its points.
func (s *Site) addBar(dst []float64, row Row, b *bar, w *work) {
	p := &w.pass
	*p = pass{Site: s, dst: dst, row: row, bar: b, work: w, lean: math.Abs(r3.Dot(row.Normal, b.half))}
	last := row.at(len(dst) - 1)
	if max(p.over(row.Start), p.over(last))+p.lean <= 0 {
		return
	}
	lo, hi := s.Ground.clears(row.Start, b.at, b.half, -1, 1)
	if lo > hi {
		return
	}
	p.lo, p.hi = lo, hi
	p.middle, p.half, p.share = (lo+hi)/2, (hi-lo)/2, b.share
	if b.length > 0 {
		p.share *= p.half
	}
	from, to := b.within(&p.row, b.at, b.widened(row.Start, last), 0, len(dst))
	if from >= to {
		return
	}
	w.near = s.near(w.near[:0], s.Body, b, row.at(from), row.at(to-1))
	boxes := w.near
	pointFrom, pointTo := b.seesPoint(&p.row, from, to)
	for end := from; from < to; from = end {
		if end = min(from+block, to); from < pointFrom {
			end = min(end, pointFrom)
		} else if from < pointTo {
			end = min(end, pointTo)
			p.exactly(from, end, boxes)
			continue
		}
		p.add(from, end, boxes)
	}
}

// pass is one bar's light on one row.
type pass struct {
	*Site
	dst          []float64
	row          Row
	bar          *bar
	work         *work
	lo, hi       float64 // the stretch of the bar that the ground lets through
	middle, half float64 // of that
	share        float64 // of the bar's light that comes from it
	lean         float64 // of the bar's ends from its middle, over the planes lit
}

// over is the height of the bar's middle over the plane at a point.
func (p *pass) over(at r3.Vec) float64 { return r3.Dot(p.row.Normal, r3.Sub(p.bar.at, at)) }

// exactly asks for each of the points from..to by itself.
func (p *pass) exactly(from, to int, boxes []Box) {
	for i := from; i < to; i++ {
		p.dst[i] += p.luxOver(p.bar, p.row.at(i), p.row.Normal, p.lo, p.hi, boxes)
	}
}

// add lights the points from..to, at most a block, by one choice of emitters for all of them. Where they do not all see
// the bar alike it halves them, and what is left of that is done exactly. No other boxes than those given are in the way.
func (p *pass) add(from, to int, boxes []Box) {
	const few = 4
	first, last := p.row.at(from), p.row.at(to-1)
	mark := len(p.work.near)
	p.work.near = p.near(p.work.near, boxes, p.bar, first, last)
	boxes = p.work.near[mark:]
	least := min(p.over(first), p.over(last))
	alike, n := len(boxes) == 0 && least >= p.lean && p.evenly(p.bar, first, last), 1
	stride := 1
	if alike {
		distance := p.bar.between(first, last)
		n = emitters(p.half*p.bar.length, distance, p.bar.steep, p.lean/least)
		stride = p.stride(from, to, distance)
	}
	switch {
	case alike && n <= mostEmitters/2 && stride > 1:
		p.sparsely(from, to, stride, n)
	case alike && n <= mostEmitters/2 && to-from <= short:
		p.emit(p.dst, &p.row, from, to, n)
	case p.hidden(boxes, p.bar, first, last):
	case to-from <= few:
		p.exactly(from, to, boxes)
	default:
		middle := (from + to) / 2
		p.add(from, middle, boxes)
		p.add(middle, to, boxes)
	}
	p.work.near = p.work.near[:mark]
}

// emit adds the light of n emitters to the points from..to of a row.
func (p *pass) emit(dst []float64, row *Row, from, to, n int) {
	for i, e := range rules[n].e {
		at := r3.Add(p.bar.at, r3.Scale(p.middle+p.half*e, p.bar.half))
		if i0, i1 := p.bar.within(row, at, p.bar.cutoff, from, to); i0 < i1 {
			p.addEmitter(dst[i0:i1], row, i0, p.bar, at, p.share*rules[n].weight[i], p.work)
		}
	}
}

// fineness is the greatest distance between points that are worked out, as a share of the half-peak half-angle of a
// gaussian beam seen at its distance, for the points between to be interpolated. The error of a cubic through four even
// steps h is at most 3/128 h⁴ f⁗; for a gaussian at 2^-16 of its peak, where the logarithm falls by 5.5 per half-angle,
// this keeps it below 0.1 %, at the half-peak edge below 0.001 %.
const fineness = 0.08

// stride is how many points apart the light from..to, at a distance from the bar, may be worked out, the rest being
// interpolated: 1, 2, 4 or 8.
// Beams with steps, points or measured streaks, and points near a plane where light ends, are not interpolated.
func (p *pass) stride(from, to int, distance float64) int {
	b := p.bar
	if b.rough {
		return 1
	}
	step := fineness * distance / max(1, b.steepest/gaussianSteep) / r3.Norm(p.row.Step)
	stride := 1
	for stride < 8 && float64(2*stride) <= step && 2*stride < to-from {
		stride *= 2
	}
	if stride == 1 {
		return 1
	}
	for _, i := range [2]int{from - stride, to - 1 + 2*stride} {
		if p.over(p.row.at(i)) <= p.lean {
			return 1
		}
	}
	// Toward the plane of the lens a cosine of a low power (below 4: 2^-40 of the peak at cos θ = 2^-10) is no cubic: it takes
	// two steps more.
	if b.cutoff < 0x1p-10 {
		for _, i := range [2]int{from - 3*stride, to - 1 + 4*stride} {
			if r3.Dot(b.axes.Ahead, r3.Sub(p.row.at(i), b.at)) <= 0 {
				return 1
			}
		}
	}
	return stride
}

// sparsely lights the points from..to by working out every so manieth and interpolating the rest by cubics.
func (p *pass) sparsely(from, to, stride, n int) {
	row := Row{p.row.at(from - stride), r3.Scale(float64(stride), p.row.Step), p.row.Normal}
	count := (to-from+stride-1)/stride + 3
	coarse := p.work.coarse[:count]
	clear(coarse)
	p.emit(coarse, &row, 0, count, n)
	weights := cubics[stride]
	for i := from; i < to; i += stride {
		k := (i - from) / stride
		a, b, c, d := coarse[k], coarse[k+1], coarse[k+2], coarse[k+3]
		dst := p.dst[i:min(i+stride, to)]
		for j := range dst {
			w := &weights[j]
			if v := w[0]*a + w[1]*b + w[2]*c + w[3]*d; v > 0 { // beside the cutoff a cubic may dip below
				dst[j] += v
			}
		}
	}
}

// cubics are the weights of four even points for the places between the second and the third, by stride.
var cubics = func() (out [9][8][4]float64) {
	for _, stride := range []int{2, 4, 8} {
		for j := range stride {
			t := float64(j) / float64(stride) // Lagrange's, with the points at -1, 0, 1 and 2
			out[stride][j] = [4]float64{
				-t * (t - 1) * (t - 2) / 6, (t + 1) * (t - 1) * (t - 2) / 2, -(t + 1) * t * (t - 2) / 2, (t + 1) * t * (t - 1) / 6,
			}
		}
	}
	return out
}()

// addEmitter is the inner loop: one emitter, at most a block of points, nothing between them.
func (s *Site) addEmitter(dst []float64, row *Row, first int, b *bar, at r3.Vec, share float64, w *work) {
	v := r3.Sub(row.at(first), at) // from the emitter to the point
	a0, l0, u0 := b.axes.components(v)
	a1, l1, u1 := b.axes.components(row.Step)
	k0, k1 := -share*r3.Dot(row.Normal, v), -share*r3.Dot(row.Normal, row.Step)
	q0, q1, q2 := r3.Norm2(v), 2*r3.Dot(v, row.Step), r3.Norm2(row.Step)
	n := len(dst)
	ahead, weight, candela := w.ahead[:n], w.weight[:n], w.candela[:n]
	t := 0.0
	if beam.IsRound(b.beam) {
		weight := weight[:len(ahead)]
		for i := range ahead {
			d2, k := q0+t*(q1+t*q2), k0+t*k1
			if d2 < nearest*nearest {
				d2 = nearest * nearest
			}
			if k < 0 {
				k = 0
			}
			inverse := 1 / math.Sqrt(d2)
			ahead[i] = (a0 + t*a1) * inverse
			weight[i] = k * inverse * inverse * inverse
			t++
		}
		b.beam.Candelas(candela, ahead, nil, nil)
	} else {
		left, up := w.left[:len(ahead)], w.up[:len(ahead)]
		weight := weight[:len(ahead)]
		for i := range ahead {
			d2, k := q0+t*(q1+t*q2), k0+t*k1
			if d2 < nearest*nearest {
				d2 = nearest * nearest
			}
			if k < 0 {
				k = 0
			}
			inverse := 1 / math.Sqrt(d2)
			ahead[i] = (a0 + t*a1) * inverse
			left[i] = (l0 + t*l1) * inverse
			up[i] = (u0 + t*u1) * inverse
			weight[i] = k * inverse * inverse * inverse
			t++
		}
		b.beam.Candelas(candela, ahead, left, up)
	}
	if s.Visibility > 0 {
		for i := range weight {
			t := float64(i)
			weight[i] *= s.transmission(math.Sqrt(max(q0+t*(q1+t*q2), nearest*nearest)))
		}
	}
	candela, weight = candela[:len(dst)], weight[:len(dst)]
	for i := range dst {
		dst[i] += candela[i] * weight[i]
	}
}

// evenly tells whether points p0 to p1 are lit by all of a bar that ends in a step.
func (s *Site) evenly(b *bar, p0, p1 r3.Vec) bool {
	if !b.hard || b.length == 0 {
		return true
	}
	right, left := r3.Sub(b.at, b.half), r3.Add(b.at, b.half)
	return b.on(right, p0) && b.on(right, p1) && b.on(left, p0) && b.on(left, p1)
}

// near appends to dst those of the boxes that may be in the way of light from a bar to points p0 to p1.
func (s *Site) near(dst, boxes []Box, b *bar, p0, p1 r3.Vec) []Box {
	if len(boxes) == 0 {
		return dst
	}
	right, left := r3.Sub(b.parkedAt, b.parkedHalf), r3.Add(b.parkedAt, b.parkedHalf)
	p0, p1 = s.Attitude.Parked(p0), s.Attitude.Parked(p1)
	for i := range boxes {
		if !boxes[i].apart(right, left, p0, p1) {
			dst = append(dst, boxes[i])
		}
	}
	return dst
}

// hidden tells whether a box is known to stop all light from a bar to points p0 to p1: a convex box that stops it at
// all four corners does.
func (s *Site) hidden(boxes []Box, b *bar, p0, p1 r3.Vec) bool {
	right, left := r3.Sub(b.parkedAt, b.parkedHalf), r3.Add(b.parkedAt, b.parkedHalf)
	p0, p1 = s.Attitude.Parked(p0), s.Attitude.Parked(p1)
	for i := range boxes {
		box := &boxes[i]
		if box.crosses(p0, r3.Sub(right, p0)) && box.crosses(p1, r3.Sub(right, p1)) &&
			box.crosses(p0, r3.Sub(left, p0)) && box.crosses(p1, r3.Sub(left, p1)) {
			return true
		}
	}
	return false
}

// widened is the cosine of the angle about the centre of the bar within which every point of a row lies that any of
// its emitters has within its cutoff.
func (b *bar) widened(p0, p1 r3.Vec) float64 {
	if b.length == 0 || b.cutoff <= 0 {
		return b.cutoff
	}
	d := segmentDistance(b.at, p0, p1)
	if d <= b.length/2 {
		return -1
	}
	return math.Cos(min(math.Pi, math.Acos(b.cutoff)+math.Asin(b.length/2/d)))
}

// seesPoint narrows the points from..to of a row to those before a bar, or nearly so, if its beam is a pointed one: no
// rule that they share would do, since where along the bar they see the point of the peak is for each another place.
func (b *bar) seesPoint(row *Row, from, to int) (int, int) {
	if !b.pointed {
		return to, to
	}
	room := 0.6 * b.length // half of it and a margin
	l0, l1 := r3.Dot(b.axes.Left, r3.Sub(row.Start, b.at)), r3.Dot(b.axes.Left, row.Step)
	lo, hi := keepAbove(room+l0, l1, float64(from), float64(to))
	lo, hi = keepAbove(room-l0, -l1, lo, hi)
	if lo > hi {
		return to, to
	}
	return int(lo), min(to, int(hi)+2)
}

// between is the distance from a bar to the segment p0 p1.
func (b *bar) between(p0, p1 r3.Vec) float64 {
	least := segmentDistance(b.at, p0, p1)
	if b.length < 0.02*least { // as good as a point
		return max(least-b.length/2, nearest)
	}
	right, left := r3.Sub(b.at, b.half), r3.Add(b.at, b.half)
	least = min(
		segmentDistance(right, p0, p1), segmentDistance(left, p0, p1), segmentDistance(p0, right, left), segmentDistance(p1, right, left),
	)
	// Where neither is nearest with an end, the way between the two is square to both.
	u, v := r3.Sub(left, right), r3.Sub(p1, p0)
	if n := r3.Cross(u, v); n != (r3.Vec{}) {
		w, n2 := r3.Sub(p0, right), r3.Norm2(n)
		s, t := r3.Dot(r3.Cross(w, v), n)/n2, r3.Dot(r3.Cross(w, u), n)/n2
		if s > 0 && s < 1 && t > 0 && t < 1 {
			least = min(least, math.Abs(r3.Dot(w, n))/math.Sqrt(n2))
		}
	}
	return max(least, nearest)
}

// segmentDistance is from p to the nearest point between a and b.
func segmentDistance(p, a, b r3.Vec) float64 {
	ab, ap := r3.Sub(b, a), r3.Sub(p, a)
	t := 0.0
	if n := r3.Norm2(ab); n > 0 {
		t = max(0, min(1, r3.Dot(ap, ab)/n))
	}
	return math.Sqrt(r3.Norm2(r3.Sub(ap, r3.Scale(t, ab))))
}

// within narrows the points from..to of a row to those within an angle, given by its cosine, of the beam axis as seen
// from an emitter. A cone is convex, so they are one stretch, up to one point too long at either end.
func (b *bar) within(row *Row, at r3.Vec, cos float64, from, to int) (int, int) {
	if cos < 0 {
		return from, to
	}
	v := r3.Sub(row.Start, at)
	a0, a1 := r3.Dot(b.axes.Ahead, v), r3.Dot(b.axes.Ahead, row.Step)
	lo, hi := math.Inf(-1), math.Inf(1)
	// (a0 + t·a1)² ≥ cos² |v + t·Step|² with a0 + t·a1 > 0, as A·t² + 2·B·t + C ≥ 0
	c2 := cos * cos
	A := a1*a1 - c2*r3.Norm2(row.Step)
	B := a0*a1 - c2*r3.Dot(v, row.Step)
	C := a0*a0 - c2*r3.Norm2(v)
	root := B*B - A*C
	// The roots in the way in which nothing cancels, however near to the cone's edge the row lies.
	q := -(B + math.Copysign(math.Sqrt(max(0, root)), B))
	least, most := min(q/A, C/q), max(q/A, C/q)
	switch {
	case cos == 0: // a half-space
		lo, hi = keepAbove(a0, a1, lo, hi)
	case A < 0 && root <= 0:
		return from, from
	case A < 0: // between the roots, if there the axis points their way
		if lo, hi = least, most; a0+a1*(lo+hi)/2 <= 0 {
			return from, from
		}
	case A > 0 && root > 0 && a1 > 0: // beyond one of the roots
		lo = most
	case A > 0 && root > 0:
		hi = least
	case A > 0: // a half-space but for rounding
		lo, hi = keepAbove(a0, a1, lo, hi)
	default: // A == 0
		lo, hi = keepAbove(C, 2*B, lo, hi)
	}
	if !(lo <= hi) || lo > float64(to) || hi < float64(from) {
		return from, from
	}
	return int(max(float64(from), math.Floor(lo))), int(min(float64(to), math.Ceil(hi)+1))
}
