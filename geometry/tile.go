package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A tile is some rows of points that are lit together.
//
// A bar's light over a part of a tile is worked out by one choice of emitters for all of its
// points, and of points some strides apart, if the whole bar is seen from all of the part and is
// even enough there; where it is not, the part is halved, down to a few points that are asked for
// one by one. What is worked out at strides is summed up by part and stride, and interpolated once
// for all bars.

const (
	tileRows   = 64
	tilePoints = tileRows * 64
	few        = 16 // points asked one by one: a part this small is not halved any more
)

// tile is also the memory of one worker.
type tile struct {
	*Site
	lattice
	ni, nj    int
	dst       []float64 // row i from i·rowLength on
	rowLength int
	whole     part     // all of it
	alone     part     // what one bar alone has
	turning   *turning // of planes along a bend
	upright   bool     // its one row stands on a ground profile

	bar                 *bar
	lo, hi              float64 // the part of the bar that is seen
	middle, half, share float64 // of that: its middle, half of its length, and its share of the light
	lean                float64 // of the bar's ends from its middle, over the planes lit

	way     way
	boxes   []Box // stack of those in the way of the part at hand, below them those of the parts that it is of
	between between
	emitted emitted
	band    []float64 // some rows of a map
}

// turning is light on planes along a bend: that on planes at one place that turn about the upright
// is linear in their normal, as long as all of it comes from the front. It is summed up, with its
// sign, as light from ahead and light from the left.
type turning struct {
	direct [2][tilePoints]float64 // at every point
	lit    bool
}

var fromAheadAndLeft = [2]r3.Vec{{X: 1}, {Y: 1}}

// patch is the rows from i0 up to but not i1 of a tile, and of each the points from j0 to j1.
type patch struct{ i0, i1, j0, j1 int }

func (p patch) points() int { return (p.i1 - p.i0) * (p.j1 - p.j0) }

// halves are a patch's along its longer side.
func (p patch) halves() (a, b patch) {
	a, b = p, p
	if p.i1-p.i0 > p.j1-p.j0 {
		a.i1 = (p.i0 + p.i1) / 2
		b.i0 = a.i1
	} else {
		a.j1 = (p.j0 + p.j1) / 2
		b.j0 = a.j1
	}
	return a, b
}

// part is a part of a tile, with what of its light is worked out at strides.
type part struct {
	patch
	sums   [2]sums // of planes along a bend those from ahead and from the left; else the first
	halves *[2]part
	halved bool // its halves have light of their own
}

// inHalves are the halves of a part.
func (p *part) inHalves() *[2]part {
	if p.halves == nil {
		p.halves = new([2]part)
	}
	h := p.halves
	h[0].patch, h[1].patch = p.patch.halves()
	p.halved = true
	return h
}

// open begins a tile.
func (t *tile) open(s *Site, l lattice, ni, nj int, dst []float64, rowLength int) {
	t.Site, t.lattice, t.ni, t.nj, t.dst, t.rowLength = s, l, ni, nj, dst, rowLength
	t.whole.patch = patch{0, ni, 0, nj}
	if !l.bend {
		return
	}
	if t.turning == nil {
		t.turning = new(turning)
	}
	t.turning.lit = false
	for c := range fromAheadAndLeft {
		clear(t.turning.direct[c][:ni*nj])
	}
}

// close adds what has been summed up to the points.
func (t *tile) close() {
	t.interpolate(&t.whole)
	if !t.bend || !t.turning.lit {
		return
	}
	w := t.turning
	for i := range t.ni {
		for j := range t.nj {
			p := t.at(i, j)
			k, normal := i*t.nj+j, t.Facing(p.X, p.Y)
			t.dst[i*t.rowLength+j] += max(0, normal.X*w.direct[0][k]+normal.Y*w.direct[1][k])
		}
	}
}

// interpolate adds the light of a part that is worked out at strides to all points, and empties the
// part.
func (t *tile) interpolate(p *part) {
	if !t.bend {
		p.sums[0].close(p.patch, &t.between, 0, t.dst, t.rowLength)
	} else {
		for c := range fromAheadAndLeft {
			p.sums[c].close(p.patch, &t.between, math.Inf(-1), t.turning.direct[c][:], t.nj)
		}
	}
	if p.halved {
		p.halved = false
		t.interpolate(&p.halves[0])
		t.interpolate(&p.halves[1])
	}
}

// emit adds the light of n emitters to a part, worked out at strides of 2^down rows and 2^along
// points.
func (t *tile) emit(p *part, down, along, n int) {
	if !t.bend {
		t.emitted.emit(&p.sums[0], t.dst, t.rowLength, t, t.normal, p.patch, down, along, n)
		return
	}
	w := t.turning
	w.lit = true
	for c, normal := range fromAheadAndLeft {
		t.emitted.emit(&p.sums[c], w.direct[c][:], t.nj, t, normal, p.patch, down, along, n)
	}
}

// corners of the points of a part, widened on all sides by some rows and points before and after.
func (t *tile) corners(p patch, rowsBefore, rowsAfter, before, after int) corners {
	i0, i1, j0, j1 := p.i0-rowsBefore, p.i1-1+rowsAfter, p.j0-before, p.j1-1+after
	return corners{t.at(i0, j0), t.at(i0, j1), t.at(i1, j1), t.at(i1, j0)}
}

// addBar adds one bar's light.
func (t *tile) addBar(b *bar) {
	t.bar = b
	if t.lean = math.Abs(r3.Dot(t.normal, b.half)); t.bend {
		t.lean = math.Hypot(b.half.X, b.half.Y)
	}
	c := t.corners(t.whole.patch, 0, 0, 0, 0)
	if !b.mayLight(&c) || t.over(&c).most+t.lean <= 0 {
		return
	}
	// What a crest shades of a straight piece of ground begins at one end of it.
	if t.upright {
		t.addUpright(t.whole.patch)
		return
	}
	lo0, hi0 := t.letsThrough(0)
	lo1, hi1 := t.letsThrough(t.ni - 1)
	if max(lo0, lo1) > -1 || min(hi0, hi1) < 1 {
		t.addRows()
	} else {
		t.addSeen(&t.whole, -1, 1)
	}
}

// letsThrough is the part of the bar that the ground lets through to a row.
func (t *tile) letsThrough(i int) (lo, hi float64) {
	return t.Ground.clears(t.at(i, 0), t.bar.at, t.bar.half, t.bar.knots, -1, 1)
}

// addRows adds the bar's light row by row: they see different parts of it.
func (t *tile) addRows() {
	for i := range t.ni {
		if lo, hi := t.letsThrough(i); lo <= hi {
			t.addAlone(patch{i, i + 1, 0, t.nj}, lo, hi)
		}
	}
}

// addUpright adds the bar's light to a part of an upright row, of which a higher point sees all
// of the bar that a lower one sees.
func (t *tile) addUpright(p patch) {
	low, high := t.at(p.i0, p.j0), t.at(p.i0, p.j1-1)
	if low.Z > high.Z {
		low, high = high, low
	}
	if lo, hi := t.Ground.clears(high, t.bar.at, t.bar.half, t.bar.knots, -1, 1); lo > hi {
		return
	}
	if lo, hi := t.Ground.clears(low, t.bar.at, t.bar.half, t.bar.knots, -1, 1); p.points() == 1 || lo <= -1 &&
		hi >= 1 {
		t.addAlone(p, lo, hi)
		return
	}
	first, second := p.halves()
	t.addUpright(first)
	t.addUpright(second)
}

// addAlone is addSeen for a patch that no other bar has.
func (t *tile) addAlone(p patch, lo, hi float64) {
	t.alone.patch = p
	t.addSeen(&t.alone, lo, hi)
	t.interpolate(&t.alone)
}

// addSeen adds the light of the part lo to hi of the bar.
func (t *tile) addSeen(p *part, lo, hi float64) {
	t.see(lo, hi)
	t.boxes = t.boxes[:0]
	t.add(p, t.bar.boxes)
}

// see makes lo to hi the part of the bar that is seen.
func (t *tile) see(lo, hi float64) {
	t.lo, t.hi = lo, hi
	t.middle, t.half, t.share = (lo+hi)/2, (hi-lo)/2, t.bar.share
	if t.bar.length > 0 {
		t.share *= t.half
	}
}

// inTheWay is those of the boxes that may be in the way of light from the bar to a part; they are
// on the stack of boxes. What of the bar no point of the part sees is taken off its ends.
func (t *tile) inTheWay(boxes []Box, c *corners) []Box {
	mark, b := len(t.boxes), t.bar
	if len(boxes) == 0 {
		return nil
	}
	var parked corners
	for i, p := range c {
		parked[i] = t.Attitude.Parked(p)
	}
	for again := true; again; { // what is left of the bar may have fewer in its way, and others at its ends
		again = false
		t.boxes = t.boxes[:mark]
		h := hull{r3.Add(b.parkedAt, r3.Scale(t.lo, b.parkedHalf)), r3.Add(b.parkedAt, r3.Scale(t.hi, b.parkedHalf))}
		copy(h[2:], parked[:])
		t.way.open(h[:2], h[2:])
		for i := range boxes {
			if t.way.misses(&boxes[i]) {
				continue
			}
			// A part of the bar that a box hides from all corners it hides from all points between.
			// A box that hides nothing from a corner may still do so from points between.
			box, from, to, some := &boxes[i], t.lo, t.hi, false
			for _, q := range parked {
				l, h := box.hides(q, b.parkedAt, b.parkedHalf)
				from, to, some = max(from, l), min(to, h), some || l <= h && l <= t.hi && h >= t.lo
				if from > to && some {
					break
				}
			}
			switch {
			case !some && box.apart(&h):
			case from > to || from == to && b.length > 0 || from > t.lo && to < t.hi:
				t.boxes = append(t.boxes, *box)
			case from <= t.lo && to >= t.hi:
				t.see(1, -1)
				return nil
			case from <= t.lo:
				t.see(to, t.hi)
				again = true
			default:
				t.see(t.lo, from)
				again = true
			}
		}
	}
	return t.boxes[mark:]
}

// heights are bounds of those of the bar's middle over the planes of a part.
type heights struct{ least, most float64 }

func (t *tile) over(c *corners) heights {
	normal, turn := t.normal, 0.0
	if t.bend {
		// How far normals are from that in the middle: most at a corner, unless the centre of the
		// bend is in the patch, and then by more than lets all of it be seen from the front.
		middle := r3.Scale(0.5, r3.Add(c[0], c[2]))
		normal = t.Facing(middle.X, middle.Y)
		for _, p := range c {
			turn = max(turn, norm(r3.Sub(t.Facing(p.X, p.Y), normal)))
		}
	}
	h := heights{math.Inf(1), math.Inf(-1)}
	for _, p := range c {
		v := r3.Sub(t.bar.at, p)
		over, off := r3.Dot(normal, v), 0.0
		if turn > 0 {
			off = turn * math.Hypot(v.X, v.Y)
		}
		h.least, h.most = min(h.least, over-off), max(h.most, over+off)
	}
	return h
}

// add adds the bar's light to a part of the tile. No other boxes than those given are in its way.
func (t *tile) add(p *part, boxes []Box) {
	b := t.bar
	c := t.corners(p.patch, 0, 0, 0, 0)
	if !b.mayLight(&c) {
		return
	}
	h := t.over(&c)
	if h.most+t.lean <= 0 {
		return
	}
	mark, lo, hi := len(t.boxes), t.lo, t.hi
	boxes = t.inTheWay(boxes, &c)
	defer func() {
		t.boxes = t.boxes[:mark]
		t.see(lo, hi)
	}()
	if t.lo > t.hi {
		return
	}
	if len(boxes) == 0 && h.least >= t.lean && !b.seesPoint(&c) && b.lights(&c) {
		distance := b.distanceTo(&c)
		n := emitters(t.half*b.length, distance, b.slope, t.lean/h.least)
		if n <= mostEmitters/2 {
			down, along := t.strides(p.patch, &c, distance)
			const plenty, wide = 512, 16 // values worked out, rows or points: worth a look at halves by themselves
			values := n * count(p.i1-p.i0, down) * count(p.j1-p.j0, along)
			if values <= plenty || p.i1-p.i0 <= wide && p.j1-p.j0 <= wide || b.rough {
				if down == 0 && along == 0 {
					t.emitLit(p, n)
				} else {
					t.emit(p, down, along, n)
				}
				return
			}
		}
	}
	if p.points() <= few {
		t.ask(p.patch, boxes)
		return
	}
	halves := p.inHalves()
	t.add(&halves[0], boxes)
	t.add(&halves[1], boxes)
}

// emitLit adds the light of n emitters to a part at every point, but for what of it is dark.
func (t *tile) emitLit(p *part, n int) {
	rows := min(8, p.i1-p.i0)
	points := 64 / rows
	for i := p.i0; i < p.i1; i += rows {
		for j := p.j0; j < p.j1; j += points {
			q := part{patch: patch{i, min(i+rows, p.i1), j, min(j+points, p.j1)}}
			if c := t.corners(q.patch, 0, 0, 0, 0); t.bar.mayLight(&c) {
				t.emit(&q, 0, 0, n)
			}
		}
	}
}

// ask asks for the bar's light point by point.
func (t *tile) ask(p patch, boxes []Box) {
	for i := p.i0; i < p.i1; i++ {
		for j := p.j0; j < p.j1; j++ {
			q, m := t.at(i, j), measure{normal: t.normal, curves: &t.emitted}
			if t.bend {
				m.normal = t.Facing(q.X, q.Y)
			}
			t.dst[i*t.rowLength+j] += t.sumOver(t.bar, q, m, t.lo, t.hi, boxes)
		}
	}
}
