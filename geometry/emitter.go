package geometry

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"
)

// A bar is summed over emitters along it. Where they sit and what each weighs is a Gauss-Legendre
// rule, which stands for evenly spread light exactly and needs few emitters: how few depends on how
// large the bar looks from the point, measured in the angle over which its beam changes.

// rule is a Gauss-Legendre rule for the mean over -1 to 1: places e and weights that add up to 1.
type rule struct{ e, weight []float64 }

const mostEmitters = 64

// rules are by number of emitters; rules[0] is empty.
var rules = func() (rules [mostEmitters + 1]rule) {
	for n := 1; n <= mostEmitters; n++ {
		r := rule{make([]float64, n), make([]float64, n)}
		quad.Legendre{}.FixedLocations(r.e, r.weight, -1, 1)
		rest := 1.0
		for i := range r.weight {
			r.weight[i] /= 2
			if i > 0 && i < n-1 {
				rest -= r.weight[i]
			}
		}
		if n > 1 { // the two ends have what the others leave; gonum 0.17 gives them no weight for n = 26
			r.weight[0], r.weight[n-1] = rest/2, rest/2
		}
		rules[n] = r
	}
	return rules
}()

// ruleReach is how large a bar may look for each number of emitters, from 1: the length of the bar
// over the distance, in half-peak half-angles of a gaussian beam. The error of an n-point rule over
// a length r is f⁽²ⁿ⁾ r²ⁿ⁺¹ (n!)⁴ / ((2n+1) (2n)!³); for a gaussian at 2^-16 of its peak, where the
// logarithm falls by 5.5 per half-angle, these keep it below 0.2 %, and nearer the peak far below.
var ruleReach = [...]float64{0.04, 0.31, 0.72, 1.2, 1.7, 2.3}

// gaussianSlope is the slope of a gaussian at 2^-16 of its peak, four half-angles off: 2 ln 2 · 4
// per half-angle.
const gaussianSlope = 5.5

// emitters is the number of emitters for a part of a bar at a distance. lean is by how much, as a
// share, the height of its ends over the plane lit differs from that of its middle: one emitter
// stands for even light alone.
func emitters(length, distance, slope, lean float64) int {
	if length == 0 {
		return 1
	}
	wide := length / distance
	r := wide * max(1, slope/gaussianSlope)
	for n, reach := range ruleReach {
		if r <= reach && (n > 0 || lean < 0.05) {
			return n + 1
		}
	}
	last := ruleReach[len(ruleReach)-1]
	// A gaussian has no poles, the inverse square has them at the distance off the bar: Bernstein's
	// ellipse through them bounds the error of n points by about (1 + 2/wide)^(-2n).
	n := float64(len(ruleReach)) + math.Ceil(max(1.7*(r-last), 2.5*(wide-last)))
	return int(min(n, mostEmitters)) // before it is an int, which has its limits
}

// nearest is the least distance (m) kept from a lens: closer, a lamp is no bar of emitters any
// more, and inverse square has no meaning.
const nearest = 1e-3

// measure is what the light from an emitter counts for by the direction that it comes from: on a
// plane by the cosine of its incidence, else by what a function says.
type measure struct {
	normal r3.Vec                      // of the plane
	weight func(toward r3.Vec) float64 // in place of a plane, if not nil; toward is the unit vector to the emitter
	curves *emitted                    // memory to look intensities up as rows do; nil: by the formula
}

// sum is Σ I/d² · T(d) · what the measure m says, over the visible emitters of a bar: of a plane,
// its illuminance (lx).
func (s *Site) sum(b *bar, q r3.Vec, m measure) float64 {
	lo, hi := s.Ground.clears(q, b.at, b.half, b.knots, -1, 1)
	if lo > hi {
		return 0
	}
	return s.sumOver(b, q, m, lo, hi, b.boxes)
}

// sumOver is sum for the part lo to hi of the bar, which the ground lets through, with the given
// boxes in its way.
func (s *Site) sumOver(b *bar, q r3.Vec, m measure, lo, hi float64, boxes []Box) float64 {
	toBar := r3.Sub(b.at, q)
	if m.weight == nil {
		lo, hi = keepAbove(r3.Dot(m.normal, toBar), r3.Dot(m.normal, b.half), lo, hi)
	}
	if lo > hi || (lo == hi && b.length > 0) {
		return 0
	}
	if lo, hi = b.reaches(toBar, lo, hi); lo > hi {
		return 0
	}
	if len(boxes) == 0 {
		return s.sumClear(b, q, m, lo, hi)
	}
	parked := s.Attitude.Parked(q)
	if b.length == 0 {
		for i := range boxes {
			if boxes[i].crosses(parked, r3.Sub(b.parkedAt, parked)) {
				return 0
			}
		}
		return s.sumClear(b, q, m, lo, hi)
	}
	var few [16]Span
	hidden := few[:0]
	var w way
	if m.curves == nil { // else a tile has looked at them
		w.open([]r3.Vec{r3.Sub(b.parkedAt, b.parkedHalf), r3.Add(b.parkedAt, b.parkedHalf)}, []r3.Vec{parked})
	}
	for i := range boxes {
		if m.curves == nil && w.misses(&boxes[i]) {
			continue
		}
		from, to := boxes[i].hides(parked, b.parkedAt, b.parkedHalf)
		switch {
		case from > to || to <= lo || from >= hi:
		case from <= lo && to >= hi:
			return 0
		default:
			hidden = append(hidden, Span{from, to})
		}
	}
	slices.SortFunc(hidden, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	sum := 0.0
	for _, h := range hidden {
		if h.From > lo {
			sum += s.sumClear(b, q, m, lo, h.From)
		}
		if lo = max(lo, h.To); lo >= hi {
			return sum
		}
	}
	return sum + s.sumClear(b, q, m, lo, hi)
}

// reaches narrows lo to hi to the emitters that have the point within their cutoff. The depth of
// the point along the beam axis is the same for all of them.
func (b *bar) reaches(toBar r3.Vec, lo, hi float64) (float64, float64) {
	ahead := -r3.Dot(b.axes.Ahead, toBar)
	if b.cutoff < 0 {
		return lo, hi
	}
	if ahead <= 0 {
		return 1, -1
	}
	if b.length == 0 || b.cutoff == 0 {
		return lo, hi
	}
	// |toBar + e·half| ≤ ahead/cutoff
	h2 := b.length * b.length / 4
	mid := b.across(toBar)
	room := ahead*ahead/(b.cutoff*b.cutoff)*(1+1e-12) - r3.Norm2(toBar) + mid*mid*h2
	if room < 0 {
		return 1, -1
	}
	w := math.Sqrt(room / h2)
	return max(lo, mid-w), min(hi, mid+w)
}

// sumClear is sum for the part lo to hi of a bar that nothing hides.
func (s *Site) sumClear(b *bar, q r3.Vec, m measure, lo, hi float64) float64 {
	if b.hard && b.length > 0 {
		lo, hi = b.lit(q, lo, hi)
	}
	toBar := r3.Sub(b.at, q)
	if b.pointed {
		// the point of the peak is seen from the emitter straight across; each side of it is smooth
		if e := b.across(toBar); lo < e && e < hi {
			return s.sumByRule(b, q, m, lo, e) + s.sumByRule(b, q, m, e, hi)
		}
	}
	return s.sumByRule(b, q, m, lo, hi)
}

// across is the place along a bar, -1 to 1 and beyond, that is straight across from a point.
func (b *bar) across(toBar r3.Vec) float64 { return -r3.Dot(toBar, b.half) / (b.length * b.length / 4) }

// sumByRule is sum for a part of a bar over which the beam is smooth. A part that would need many
// emitters is halved: each half is farther away or leaves more of the beam, or gives no light that
// counts.
func (s *Site) sumByRule(b *bar, q r3.Vec, m measure, lo, hi float64) float64 {
	toBar := r3.Sub(b.at, q)
	middle, half := (lo+hi)/2, (hi-lo)/2
	lean := 0.0
	if m.weight == nil {
		lean = half * math.Abs(r3.Dot(m.normal, b.half)/r3.Dot(m.normal, r3.Add(toBar, r3.Scale(middle, b.half))))
	}
	n := emitters(half*b.length, b.distance(toBar, lo, hi), b.slope, lean)
	const many, least = mostEmitters / 2, 1e-6
	if n > many && half > least {
		if !b.searched && b.dim(q, max(lo, min(hi, b.across(toBar)))) {
			return 0
		}
		return s.sumByRule(b, q, m, lo, middle) + s.sumByRule(b, q, m, middle, hi)
	}
	sum := s.emit(b, toBar, m, middle, half, n)
	if m.weight != nil && b.length > 0 && half > least {
		// How steep a weight is nobody says: it counts as even where one emitter more makes no
		// difference.
		const even = 1e-3
		few := sum
		if sum = s.emit(b, toBar, m, middle, half, n+1); math.Abs(sum-few) > even*math.Abs(sum) {
			return s.sumByRule(b, q, m, lo, middle) + s.sumByRule(b, q, m, middle, hi)
		}
	}
	return sum
}

// emit is sum for n emitters that stand for the part middle ± half of a bar.
func (s *Site) emit(b *bar, toBar r3.Vec, m measure, middle, half float64, n int) float64 {
	share := b.share
	if b.length > 0 {
		share *= half
	}
	if m.curves != nil {
		return share * m.curves.sum(s, b, toBar, m.normal, middle, half, n)
	}
	sum := 0.0
	for i, e := range rules[n].e {
		e = middle + half*e
		v := r3.Add(toBar, r3.Scale(e, b.half)) // from the point to the emitter
		d2 := max(r3.Norm2(v), nearest*nearest)
		d := math.Sqrt(d2)
		toward := r3.Scale(1/d, v)
		ahead, left, up := b.axes.components(r3.Scale(-1, toward))
		candela := rules[n].weight[i] * b.beam.Candela(ahead, left, up) * s.transmission(d) / d2
		if m.weight == nil {
			sum += candela * max(0, r3.Dot(m.normal, toward))
		} else if candela > 0 {
			sum += candela * m.weight(toward)
		}
	}
	return share * sum
}

// dim tells whether an emitter, the one of a part of a bar that is nearest to straight across,
// sends less than 1e-12 of its peak to a point.
func (b *bar) dim(q r3.Vec, e float64) bool {
	ahead, left, up := b.axes.components(unit(r3.Sub(q, r3.Add(b.at, r3.Scale(e, b.half)))))
	return b.beam.Candela(ahead, left, up) < 1e-12*b.beam.Peak()
}

// distance is from the point to the nearest emitter between lo and hi.
func (b *bar) distance(toBar r3.Vec, lo, hi float64) float64 {
	e := lo
	if b.length > 0 {
		e = max(lo, min(hi, b.across(toBar)))
	}
	return max(nearest, math.Sqrt(r3.Norm2(r3.Add(toBar, r3.Scale(e, b.half)))))
}

// lit narrows lo to hi to the emitters of a hard-edged beam that light the point. A beam is convex,
// so they are one part of the bar.
func (b *bar) lit(q r3.Vec, lo, hi float64) (float64, float64) {
	on := func(e float64) bool { return b.on(r3.Add(b.at, r3.Scale(e, b.half)), q) }
	// The emitter straight across lights the point if any does: for it the point is nearest to the
	// axis. Only beams that nearly fill the hemisphere, and measured ones, may have it otherwise,
	// and are searched.
	middle := max(lo, min(hi, b.across(r3.Sub(b.at, q))))
	first, last, found := middle, middle, on(middle)
	from, to := lo, hi // dark, if not the ends
	if b.searched {
		const steps = 256
		for i := 0; i <= steps; i++ {
			e := lo + (hi-lo)*float64(i)/steps
			switch {
			case on(e) && (!found || e < first):
				first, last, found = e, max(last, e), true
			case on(e) && e > last:
				last = e
			}
		}
		from, to = max(lo, first-(hi-lo)/steps), min(hi, last+(hi-lo)/steps)
	}
	if !found {
		return lo, lo
	}
	if !on(from) {
		from = edge(first, from, on)
	}
	if !on(to) {
		to = edge(last, to, on)
	}
	return from, to
}

// on tells whether the beam sends any light from an emitter to a point.
func (b *bar) on(emitter, q r3.Vec) bool {
	ahead, left, up := b.axes.components(unit(r3.Sub(q, emitter)))
	return b.beam.Candela(ahead, left, up) > 0
}

// transmission is the share of the light that the air lets through over d metres: 0.05 over the
// meteorological optical range (WMO-No. 8, chapter on visibility).
func (s *Site) transmission(d float64) float64 {
	return fade(s.extinction() * d)
}

// extinction is the coefficient of the air, 1/m.
func (s *Site) extinction() float64 {
	if s.Visibility == 0 {
		return 0
	}
	const range20 = 2.995732273553991 // ln 20
	return range20 / s.Visibility
}

// dark is how many extinctions leave next to nothing, 1e-13.
const dark = 30

const fadeSteps = 16 // of fades, to 1

// fades are e^-x in even steps of x.
var fades = func() (out [dark*fadeSteps + 1]float64) {
	for i := range out {
		out[i] = math.Exp(-float64(i) / fadeSteps)
	}
	return out
}()

// fade is e^-x for an x from 0 on, within 1e-11 of it: a step, and the series of what is left, at most
// half of one.
func fade(x float64) float64 {
	if !(x < dark) {
		return 0
	}
	i := max(0, int(x*fadeSteps+0.5))
	r := x - float64(i)/fadeSteps
	return fades[i] * (1 - r*(1-r*(1./2)*(1-r*(1./3)*(1-r*(1./4)*(1-r*(1./5))))))
}
