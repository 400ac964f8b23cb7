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
// What is left out is the light beyond the cutoff, below 1e-12 of a beam's peak.

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
		p.dst[i] += p.sumOver(p.bar, p.row.at(i), measure{normal: p.row.Normal}, p.lo, p.hi, boxes)
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
