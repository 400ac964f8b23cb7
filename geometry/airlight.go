package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Airlight is what air with particles throws into a line of sight. From one emitter at a distance h
// off the line, with β the angle at the emitter from straight across, a stretch ds of the line at
// the distance r has ds/r² = dβ/h, so that
//
//	∫ I/r² · T(r) · p(Θ) · T(s) ds = 1/h ∫ I(β) · p(Θ) · T(r) · T(s) dβ,  cos Θ = -sin β
//
// has no peak at the lamp any more, and what is left varies as the beam does, and as the air dims
// it far away. What a beam leaves dark is one stretch of β, and so is what each box and each crest
// hides: between their ends Gauss-Legendre rules take few points.

// Airlight is what lamp i adds to the luminance (cd/m²) of a line of sight from a point along a
// unit direction, up to a distance (m, +Inf for no end), by single scattering in air that scatters
// a share of 1 per metre: times the scattering coefficient (1/m) it is the glow of the air. phase
// is the share per steradian by the cosine of the angle of scattering, 1 being straight on. Light
// is dimmed on both ways as the site's visibility says; boxes and crests shade it; what stops the
// line of sight is the caller's to say by the distance. It is within 0.5 % of the converged
// integral, or 1e-6 of what the lamp would give if its axis followed the line.
func (s *Scene) Airlight(i int, from, direction r3.Vec, distance float64, phase func(cos float64) float64) float64 {
	l := line{Site: s.site(), from: from, along: direction, end: distance, phase: phase}
	if l.Visibility > 0 {
		l.extinction = l.Site.extinction()
		l.end = min(l.end, dark/l.extinction)
	}
	const far = 1e6 // m; a lamp is a point of no light from there
	l.end = min(l.end, far)
	l.parked = l.Attitude.Parked(from)
	l.parkedEnd = l.Attitude.Parked(r3.Add(from, r3.Scale(l.end, direction)))
	sum, bars := 0.0, s.bars(i)
	for j := range bars {
		sum += l.bar(&bars[j])
	}
	return sum
}

// line is a line of sight.
type line struct {
	*Site
	from, along       r3.Vec
	end               float64
	parked, parkedEnd r3.Vec // its ends among the boxes
	extinction        float64
	phase             func(cos float64) float64
	shaded            bool    // something has hidden a part of it from an emitter
	enough            float64 // of light from a bar, half of its part times the mean over that: what parts add to

	turns turns
	nodes struct{ ahead, left, up, weight, candela [lineNodes]float64 }
}

const lineNodes = 6 // of the rule of one panel

// bar is the light from all of a bar.
func (l *line) bar(b *bar) float64 {
	if b.beam.Peak() == 0 {
		return 0
	}
	const grazing = 1e-9 // m
	lo, hi := keepAbove(l.Ground.over(b.at)+grazing, l.Ground.over(r3.Add(b.at, b.half))-l.Ground.over(b.at), -1, 1)
	if lo > hi {
		return 0
	}
	if b.length == 0 {
		return b.share * l.emitter(b, 0)
	}
	if !l.passes(b) {
		return 0
	}
	// Seen from the line at a distance h, one emitter stands for a bar that is short against h, the
	// more so in a narrow beam.
	to := r3.Add(l.from, r3.Scale(l.end, l.along))
	distance := b.distanceTo(&corners{l.from, l.from, to, to})
	wide := b.length / distance
	wide *= max(1, b.slope/gaussianSlope)
	if wide < 0.1 && !b.hard {
		return b.share * (hi - lo) / 2 * l.emitter(b, (lo+hi)/2)
	}
	n := int(min(8, 2+wide/6))
	if b.hard { // one emitter lights the line and the next does not
		n = 8
	}
	middle, half := (lo+hi)/2, (hi-lo)/2
	l.shaded = false
	all := l.emitters(b, middle, half, n)
	// Where nothing shades any of it, what one emitter makes of it within 2 %, two make of it
	// within far less; and what is dark to three is dark to all. 1e-9 of the peak is far below 1e-6
	// of what the lamp would give along its axis, of which air throws some per cent back over some
	// degrees.
	const agree, dark = 0.02, 1e-9
	if n == 2 && !l.shaded {
		one := l.emitter(b, middle)
		if off := math.Abs(one - all); !l.shaded && off <= max(agree*all, dark*b.beam.Peak()/distance) {
			return b.share * half * all
		}
	}
	l.enough = max(half*all, dark*b.beam.Peak()/distance)
	return b.share * half * l.part(b, middle, half, n, all)
}

// passes tells whether the line comes within the beam of any emitter of a bar; false is sure. Where
// that is a cone, the depth of a point along the axis less the cosine of the cone times its distance
// is above 0 in it. That is concave along the line and the bar together; the depth is the same for
// all emitters, so of them the nearest counts, and what is left is concave along the line: nowhere
// above the tangents at either end.
func (l *line) passes(b *bar) bool {
	if b.faint < 0 {
		return true
	}
	at := func(s float64) (value, slope float64) {
		toBar := r3.Sub(b.at, r3.Add(l.from, r3.Scale(s, l.along)))
		v := r3.Add(toBar, r3.Scale(max(-1, min(1, b.across(toBar))), b.half))
		d := max(norm(v), nearest)
		return -r3.Dot(b.axes.Ahead, v) - b.faint*d, r3.Dot(b.axes.Ahead, l.along) + b.faint*r3.Dot(v, l.along)/d
	}
	lo, hi := 0.0, l.end
	f0, d0 := at(lo)
	f1, d1 := at(hi)
	for range 40 {
		switch {
		case f0 >= 0 || f1 >= 0:
			return true
		case d0 <= 0 || d1 >= 0: // it falls from the one end on, or rises to the other
			return false
		}
		// where the tangents meet
		mid := (f1 - f0 + d0*lo - d1*hi) / (d0 - d1)
		if f0+d0*(mid-lo) < 0 {
			return false
		}
		if f, d := at(mid); d > 0 {
			lo, f0, d0 = mid, f, d
		} else {
			hi, f1, d1 = mid, f, d
		}
	}
	return true
}

// part is the light from the part middle ± half of a bar by n emitters on either half of it, or
// more: shadows that end on the bar, and edges of its beam, are looked at ever closer until the
// halves agree with the sum that n emitters give for all, to a share of the light of the whole bar.
func (l *line) part(b *bar, middle, half float64, n int, all float64) float64 {
	const agree, least = 0.005, 1. / 64
	right, left := l.emitters(b, middle-half/2, half/2, n), l.emitters(b, middle+half/2, half/2, n)
	sum := (right + left) / 2
	if half <= least || half*math.Abs(sum-all) <= agree*l.enough && (sum > 0 || half <= 1./4) {
		return sum
	}
	return (l.part(b, middle-half/2, half/2, n, right) + l.part(b, middle+half/2, half/2, n, left)) / 2
}

// emitters is the mean of n emitters over the part middle ± half of a bar, of all its intensity.
func (l *line) emitters(b *bar, middle, half float64, n int) float64 {
	sum := 0.0
	for k, e := range rules[n].e {
		sum += rules[n].weight[k] * l.emitter(b, middle+half*e)
	}
	return sum
}

// emitter is the light from one emitter, at e along a bar, of all its intensity.
func (l *line) emitter(b *bar, e float64) float64 {
	at := r3.Add(b.at, r3.Scale(e, b.half))
	v := r3.Sub(at, l.from)
	foot := r3.Dot(v, l.along)
	across := r3.Sub(r3.Scale(foot, l.along), v) // from the emitter to the foot
	h := norm(across)
	if h < nearest { // a line through the lens
		h = nearest
		across = r3.Scale(h, squareTo(l.along))
	}
	across = r3.Scale(1/h, across)
	p := path{line: l, bar: b, h: h, foot: foot, across: across}
	p.a0, p.l0, p.u0 = b.axes.components(across)
	p.a1, p.l1, p.u1 = b.axes.components(l.along)
	// where the beam is not faint: R cos(β - middle) ≥ faint
	r := math.Sqrt(p.a0*p.a0 + p.a1*p.a1)
	if b.faint >= 0 && r <= b.faint {
		return 0
	}
	middle := math.Atan2(p.a1, p.a0)
	lo, hi := math.Atan(-foot/h), math.Atan((l.end-foot)/h)
	if b.faint >= 0 {
		reach := math.Acos(b.faint / r)
		lo, hi = max(lo, middle-reach), min(hi, middle+reach)
	}
	if lo >= hi {
		return 0
	}
	if b.hard {
		if lo, hi = p.on(lo, hi); lo >= hi {
			return 0
		}
	}
	p.middle = middle
	return p.visible(at, r3.Add(b.parkedAt, r3.Scale(e, b.parkedHalf)), lo, hi)
}

// squareTo is a unit vector square to a unit vector.
func squareTo(v r3.Vec) r3.Vec {
	if math.Abs(v.X) < 0.7 {
		return unit(r3.Cross(v, r3.Vec{X: 1}))
	}
	return unit(r3.Cross(v, r3.Vec{Y: 1}))
}

// path is a line of sight as an emitter sees it, by the angle β at the emitter.
type path struct {
	*line
	bar                    *bar
	h, foot                float64 // how far the line is from the emitter, and where on it the nearest point is, m
	across                 r3.Vec  // toward that point
	a0, l0, u0, a1, l1, u1 float64 // components of across and of the line along the axes of the lamp
	middle                 float64 // β nearest to the beam axis
}

// beta is the angle at a distance along the line.
func (p *path) beta(s float64) float64 { return math.Atan((s - p.foot) / p.h) }

func (p *path) candela(beta float64) float64 {
	s, c := math.Sincos(beta)
	return p.bar.beam.Candela(c*p.a0+s*p.a1, c*p.l0+s*p.l1, c*p.u0+s*p.u1)
}

// on narrows lo to hi to where a hard-edged beam lights the line. A beam is convex, so that is one
// stretch.
func (p *path) on(lo, hi float64) (float64, float64) {
	const n = 64
	first, last := math.NaN(), math.NaN()
	for i := range n + 1 {
		if b := lo + (hi-lo)*float64(i)/n; p.candela(b) > 0 {
			if math.IsNaN(first) {
				first = b
			}
			last = b
		}
	}
	if math.IsNaN(first) {
		return hi, lo
	}
	lit := func(beta float64) bool { return p.candela(beta) > 0 }
	step := (hi - lo) / n
	if first > lo {
		lo = edge(first, first-step, lit)
	}
	if last < hi {
		hi = edge(last, last+step, lit)
	}
	return lo, hi
}

// visible is the light over what boxes and crests leave of lo to hi.
func (p *path) visible(at, parkedAt r3.Vec, lo, hi float64) float64 {
	if len(p.bar.boxes) == 0 && len(p.Ground.Profile) == 0 {
		return p.integral(lo, hi)
	}
	var room [8][2]float64
	hidden := room[:0]
	hide := func(from, to float64) { // distances along the line
		if from < to {
			if from, to = p.beta(from), p.beta(to); to > lo && from < hi {
				hidden = append(hidden, [2]float64{from, to})
			}
		}
	}
	half := r3.Scale(0.5, r3.Sub(p.parkedEnd, p.parked))
	for i := range p.bar.boxes {
		if from, to := p.bar.boxes[i].hides(parkedAt, r3.Add(p.parked, half), half); from < to {
			hide((1+from)/2*p.end, (1+to)/2*p.end)
		}
	}
	p.crests(at, hide)
	p.shaded = p.shaded || len(hidden) > 0
	sum := 0.0
	for lo < hi {
		shade, next := false, hi
		for _, s := range hidden {
			switch {
			case s[1] <= lo || s[0] >= hi:
			case s[0] <= lo:
				lo, shade = s[1], true
			default:
				next = min(next, s[0])
			}
		}
		if !shade {
			sum += p.integral(lo, next)
			lo = next
		}
	}
	return sum
}

// crests calls hide with the stretches of the line that knots of the ground hide from a point. Only
// where the ground bends down does a knot hide anything that those beside it do not.
func (l *line) crests(at r3.Vec, hide func(from, to float64)) {
	g := &l.Ground
	z := func(p r3.Vec) float64 { return p.Z - g.CrossFall*p.Y }
	zAt, z0, z1 := z(at), z(l.from), z(l.along)
	for i, k := range g.Profile {
		_, _, before := g.line(i)
		_, _, after := g.line(i + 1)
		dx := k.Ahead - at.X
		if after >= before || dx == 0 {
			continue
		}
		sign := math.Copysign(1, dx)
		// behind the knot, where sign·(x - knot) > 0, the line is hidden if it is lower than the
		// ray over the knot: (z - zAt)·|dx| < (height - zAt)·|x - xAt|
		lo, hi := keepAbove(sign*(l.from.X-k.Ahead), sign*l.along.X, 0, l.end)
		if lo < hi {
			rise := k.Height - zAt
			base := rise*sign*(l.from.X-at.X) - (z0-zAt)*sign*dx
			lo, hi = keepAbove(base, rise*sign*l.along.X-z1*sign*dx, lo, hi)
		}
		hide(lo, hi)
	}
}

// integral is the light over lo to hi, none of it hidden, in panels: each so short that the beam is
// smooth in it, and shorter toward the far end of the line, where the air dims the light within a
// small angle.
func (p *path) integral(lo, hi float64) float64 {
	const half = math.Pi / 2
	panel := 4 * math.Pi / 180 // of measured beams, which may be streaked
	if p.bar.steepest > 0 {
		panel = 2.5 * gaussianSlope / p.bar.steepest
	}
	if p.extinction > 0 { // T(r)·T(s) < 1e-13 within a small angle of the far end
		hi = min(hi, half-p.extinction*p.h/15)
	}
	sum := 0.0
	for hi > lo {
		const growth = 3 // of the angle from the far end
		width, next := min(panel, growth*(half-hi)+1e-3), lo
		if width < hi-lo {
			next = hi - width
		} else {
			width = hi - lo
		}
		near := p.middle > next-panel && p.middle < hi+panel
		if near || p.bar.steepest == 0 || p.bar.searched || !p.faint(next, hi) {
			sum += p.rule(next+width/2, width/2)
		}
		hi = next
	}
	return sum / p.h
}

// faint tells whether the beam sends less than 1e-7 of its peak to all of lo to hi.
func (p *path) faint(lo, hi float64) bool {
	n := &p.nodes
	s, c := math.Sincos(max(lo, min(hi, p.middle)))
	p.direct(0, s, c)
	p.bar.beam.Candelas(n.candela[:1], n.ahead[:1], n.left[:1], n.up[:1])
	return n.candela[0] < 1e-7*p.bar.beam.Peak()
}

// direct makes an angle at the emitter, given by its sine and cosine, the direction of node k.
func (p *path) direct(k int, s, c float64) {
	n := &p.nodes
	n.ahead[k], n.left[k], n.up[k] = c*p.a0+s*p.a1, c*p.l0+s*p.l1, c*p.u0+s*p.u1
}

// turns are the sines and cosines of the angles from the middle of a panel to its nodes. Most panels
// are as wide as the last one.
type turns struct {
	half     float64
	sin, cos [lineNodes]float64
}

func (t *turns) open(half float64) {
	if t.half == half {
		return
	}
	t.half = half
	for k, e := range rules[lineNodes].e {
		t.sin[k], t.cos[k] = math.Sincos(half * e)
	}
}

// rule is the integral over one panel, middle ± half.
func (p *path) rule(middle, half float64) float64 {
	r := &rules[lineNodes]
	n, t := &p.nodes, &p.turns
	t.open(half)
	sin, cos := math.Sincos(middle)
	for k := range r.e {
		s, c := sin*t.cos[k]+cos*t.sin[k], cos*t.cos[k]-sin*t.sin[k]
		p.direct(k, s, c)
		n.weight[k] = r.weight[k] * p.phase(-s)
		if p.extinction > 0 {
			n.weight[k] *= fade(p.extinction * ((1+s)*p.h/c + p.foot))
		}
	}
	p.bar.beam.Candelas(n.candela[:], n.ahead[:], n.left[:], n.up[:])
	sum := 0.0
	for k, w := range n.weight {
		sum += w * n.candela[k]
	}
	return sum * 2 * half
}
