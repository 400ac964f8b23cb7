package sight

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Farthest is how far along the track (m) things are sought.
const Farthest = 1000

// Nearest is the distance along the track (m) from which on it matters that a thing is not seen.
const Nearest = 5

// shortest is the length (m) from which on a stretch without sight counts.
const shortest = 1

// LeastVisibility is the meteorological optical range (m) of air with particles below which no
// range is named: light that is scattered more than once, which is left out, is then more than a
// trifle.
const LeastVisibility = 30

// Sight is how far along the track, from the bumper, a thing is seen.
type Sight struct {
	// The farthest place where it is seen, m; NaN if it is nowhere seen, or the air is too dense.
	Range float64
	// Stretches nearer than that where it is not, from Nearest on and at least 1 m long.
	Lost []geometry.Stretch

	Hidden bool // what ends the range is not the light: ground or body hide the thing beyond
}

// TooDense tells whether the air is too dense for a range to be named: particles leave less than
// LeastVisibility.
func (v *View) TooDense() bool {
	return v.scattering > 0 && v.Scene.Site.Visibility < LeastVisibility
}

// Along is a thing along the track, at places close enough for what lies between to follow.
type Along struct {
	view   *View
	thing  Thing
	places []float64 // distances along the track, m
	parts  []Parts

	// Veil and glow change slowly: they are worked out at some of the places, and between them by
	// cubics that do not reach past where the ground bends.
	hazeAt []float64 // eased distances
	hazes  []haze
	bends  []int // indexes of those at the ends and at bends
}

// Along works out a thing along the track. All that can be asked of it then, by whichever lamps,
// costs little. It is kept for the next time.
func (v *View) Along(t Thing) *Along {
	made, _ := v.alongs.LoadOrStore(t, sync.OnceValue(func() *Along { return v.along(t) }))
	return made.(func() *Along)()
}

func (v *View) along(t Thing) *Along {
	if len(v.origins) > 0 {
		return v.together(t)
	}
	places, bends := v.stations()
	a := &Along{view: v, thing: t, places: places}
	a.parts = make([]Parts, len(places))
	lines := make([]r3.Vec, len(places))
	inParallel(len(places), func(i int, _ *worker) {
		a.parts[i], lines[i] = v.plain(t, v.OnTrack(places[i], 0),
			v.every)
	})

	// From one haze to the next. Far off, the line of sight turns so little that many places share few
	// of them, unless there is glow: that changes with the distance as well.
	const least, turn, most = 0.2 * math.Pi / 180, 1 * math.Pi / 180, 6 // rad, rad, places
	var at []int
	for i, s := range a.places {
		last := len(at) - 1
		_, bend := slices.BinarySearch(bends, s)
		bend = bend || i == 0 || i == len(a.places)-1
		if bend {
			a.bends = append(a.bends, len(at))
		}
		turned := func() float64 { return norm(r3.Sub(lines[i], lines[at[last]])) }
		if bend || i-at[last] >= most && (v.scattering > 0 || turned() > least) || turned() > turn {
			at = append(at, i)
			a.hazeAt = append(a.hazeAt, eased(s))
		}
	}
	v.prepare(lines)
	a.hazes = make([]haze, len(at))
	inParallel(len(at), func(i int, _ *worker) { a.hazes[i] = v.haze(&a.parts[at[i]], lines[at[i]]) })
	for i, s := range a.places {
		a.parts[i].add(a.haze(s))
	}
	return a
}

// together is a thing along the track by the lamps of other views.
func (v *View) together(t Thing) *Along {
	from := make([]*Along, len(v.origins)) // by lamp
	for l, p := range v.origins {
		from[l] = p.view.Along(t)
	}
	a := *from[0]
	a.view, a.parts, a.hazes = v, slices.Clone(a.parts), slices.Clone(a.hazes)
	for i := range a.parts {
		lamps := make([]Light, len(from))
		for l, p := range v.origins {
			lamps[l] = from[l].parts[i].Lamps[p.lamp]
		}
		a.parts[i].Lamps = lamps
	}
	for i := range a.hazes {
		h := v.newHaze()
		h.sky = a.hazes[i].sky
		for l, p := range v.origins {
			of := &from[l].hazes[i]
			h.ground[l], h.body[l], h.air[l] = of.ground[p.lamp], of.body[p.lamp], of.air[p.lamp]
			if h.before != nil {
				h.before[l], h.behind[l] = of.before[p.lamp], of.behind[p.lamp]
			}
		}
		a.hazes[i] = h
	}
	return &a
}

// Places are the distances along the track (m), rising, at which the thing was worked out. They are
// not to be changed.
func (a *Along) Places() []float64 { return a.places }

// Parts are the thing at each of the places, and are not to be changed either.
func (a *Along) Parts() []Parts { return a.parts }

// stations are the distances at which things are looked at, each further by at most a fiftieth or
// half a metre, and bends those among them where the ground has a knot or the track begins to bend.
func (v *View) stations() (at, bends []float64) {
	const first, least, share = 0.5, 0.5, 0.02
	const opaque = 9 // extinctions: of the light there and back, 1e-8 is left
	track := &v.Scene.Site.Track
	end := min(Farthest, track.End())
	if v.extinction > 0 {
		end = max(2*first, min(end, opaque/v.extinction))
	}
	for s := first; s < end; s += max(least, share*s) {
		at = append(at, s)
	}
	at = append(at, end)
	for _, k := range v.Scene.Site.Ground.Profile {
		bends = append(bends, track.Crossings(k.Ahead)...)
	}
	if !track.Straight() {
		bends = append(bends, track.From)
	}
	bends = slices.DeleteFunc(bends, func(s float64) bool { return s <= first || s >= end })
	at = append(at, bends...)
	slices.Sort(at)
	slices.Sort(bends)
	return slices.Compact(at), bends
}

// eased is a measure of distance along which the line of sight to what is on the track, and so the
// veil over it, changes at an even pace.
func eased(s float64) float64 { return -1 / (s + 3) }

// haze is that over the thing at a distance; past the last place it is that of the last.
func (a *Along) haze(s float64) haze {
	x := min(eased(s), a.hazeAt[len(a.hazeAt)-1])
	i, on := slices.BinarySearch(a.hazeAt, x)
	if on {
		return a.hazes[i]
	}
	// Lagrange's polynomial through the two before and the two behind, if there are so many between
	// the bends
	bend, _ := slices.BinarySearch(a.bends, i)
	first, last := a.bends[bend-1], a.bends[bend]
	i = max(first, min(i-2, last-3))
	at := a.hazeAt[i:min(i+4, last+1)]
	sum := a.view.newHaze()
	for j, xj := range at {
		w := 1.0
		for k, xk := range at {
			if k != j {
				w *= (x - xk) / (xj - xk)
			}
		}
		sum.addTimes(w, &a.hazes[i+j])
	}
	return sum
}

// At is the thing at a distance (m) along the track.
func (a *Along) At(s float64) Parts { return a.by(s, a.view.every) }

// by is the thing at a distance, with what the lamps with these indexes do to it, and the haze of
// all.
func (a *Along) by(s float64, lit []int) Parts {
	p, _ := a.view.plain(a.thing, a.view.OnTrack(s, 0), lit)
	p.add(a.haze(s))
	return p
}

// Sight is how far the thing is seen by the light of the lamps with these indexes.
func (a *Along) Sight(lit []int) Sight {
	return a.SightIf(lit, func(l Light) Light { return l })
}

// Range is that of Sight alone: it is found from the far end.
func (a *Along) Range(lit []int) float64 {
	const some, more = 32, 3 // places at a time, and on either side, to see what is between
	asked := asked{a, lit, func(l Light) Light { return l }}
	for end := len(a.places); end > 0 && !a.view.TooDense(); end -= some {
		from := max(0, end-some-more)
		seen := asked.seen(from, min(end+more, len(a.places)))
		if n := len(seen); n > 0 && (from == 0 || seen[n-1].To > a.places[from+more]) {
			return seen[n-1].To
		}
	}
	return math.NaN()
}

// SightIf is how far it would be seen if their light were another one: without the veil of the
// body, say. change is what becomes of the sum of their light.
func (a *Along) SightIf(lit []int, change func(Light) Light) Sight {
	asked := asked{a, lit, change}
	var seen []stretch
	if !a.view.TooDense() {
		seen = asked.seen(0, len(a.places))
	}
	if len(seen) == 0 {
		return Sight{Range: math.NaN()}
	}
	last := seen[len(seen)-1]
	sight := Sight{Range: last.To, Hidden: last.hidden}
	from := float64(Nearest)
	for _, s := range seen {
		if s.From-from >= shortest {
			sight.Lost = append(sight.Lost, geometry.Stretch{From: from, To: s.From})
		}
		from = max(from, s.To)
	}
	return sight
}

// asked is a thing along the track, by some lamps.
type asked struct {
	*Along
	lit    []int
	change func(Light) Light
}

// look is how plain the thing is at a place.
type look struct {
	at     float64
	margin float64 // by how much, as a share, the level is above that which counts as seen; -1 where it is hidden
	darker bool
	hidden bool
}

func (a *asked) look(s float64, p *Parts) look {
	if p.Hidden {
		return look{at: s, margin: -1, hidden: true}
	}
	seen := p.By(a.change(p.Sum(a.lit)))
	return look{at: s, margin: seen.Level/a.view.Observer.Level - 1, darker: seen.Thing < seen.Background}
}

func (a *asked) lookAt(s float64) look {
	p := a.by(s, a.lit)
	return a.look(s, &p)
}

// stretch is a part of the track on which the thing is seen; hidden tells that it is hidden beyond.
type stretch struct {
	geometry.Stretch
	hidden bool
}

// seen are the stretches of the track on which the thing is seen, in ascending order, by the places
// from one up to but not another.
func (a *asked) seen(from, to int) (seen []stretch) {
	looks := make([]look, to-from)
	for i := range looks {
		looks[i] = a.look(a.places[from+i], &a.parts[from+i])
	}
	looks = a.between(looks)
	for i, l := range looks {
		if l.margin < 0 {
			continue
		}
		if i == 0 || looks[i-1].margin < 0 {
			from := l.at
			if i > 0 && from > Nearest { // nearer, it does not matter
				from, _ = a.edge(looks, i, i-1)
			}
			seen = append(seen, stretch{Stretch: geometry.Stretch{From: from}})
		}
		switch last := &seen[len(seen)-1]; {
		case i == len(looks)-1:
			last.To = l.at
		case looks[i+1].margin < 0:
			last.To, last.hidden = a.edge(looks, i, i+1)
		}
	}
	return seen
}

// between adds looks where, between two places, the thing may be lost or found again: where it
// turns from brighter than its background to darker, it is not seen on the way; and where it is
// plainest or least plain of all places around, by a margin that is small, it may be more so
// beside.
func (a *asked) between(looks []look) []look {
	const small = 0.5
	out := looks[:0:0]
	for i, l := range looks {
		if i > 0 && i+1 < len(looks) && math.Abs(l.margin) < small {
			before, after := looks[i-1], looks[i+1]
			if l.margin > 0 && l.margin < min(before.margin, after.margin) {
				out = append(out, a.extreme(before.at, after.at, -1))
			} else if l.margin < 0 && l.margin > max(before.margin, after.margin) {
				out = append(out, a.extreme(before.at, after.at, 1))
			}
		}
		out = append(out, l)
		if i+1 == len(looks) {
			continue
		}
		if next := looks[i+1]; l.margin >= 0 && next.margin >= 0 && l.darker != next.darker {
			was, is := l, next
			for is.at-was.at > tolerance(l.at) {
				if m := a.lookAt((was.at + is.at) / 2); m.darker == l.darker {
					was = m
				} else {
					is = m
				}
			}
			out = append(out, was)
		}
	}
	slices.SortFunc(out, func(a, b look) int { return cmp.Compare(a.at, b.at) })
	return out
}

// extreme is the look with the greatest sign · margin between two places, by golden section.
func (a *asked) extreme(lo, hi, sign float64) look {
	m, n := a.lookAt(hi-golden*(hi-lo)), a.lookAt(lo+golden*(hi-lo))
	for hi-lo > 0.05 {
		if sign*m.margin > sign*n.margin {
			hi, n = n.at, m
			m = a.lookAt(hi - golden*(hi-lo))
		} else {
			lo, m = m.at, n
			n = a.lookAt(lo + golden*(hi-lo))
		}
	}
	if sign*m.margin > sign*n.margin {
		return m
	}
	return n
}

// tolerance is how well (m) the ends of a stretch at a distance are found.
func tolerance(s float64) float64 { return max(1e-3, 1e-5*s) }

// edge is where, between two looks next to each other, at in of which the thing is seen and at out
// not, that changes, and whether it is hidden beyond: mostly at once, from the looks around; else by
// false position, with the weight of an end that stays halved each time (the Illinois rule), and by
// halves where that is slow.
func (a *asked) edge(looks []look, in, out int) (at float64, hidden bool) {
	seen, not := looks[in], looks[out]
	narrow := func(at float64) (isSeen bool) {
		m := a.lookAt(at)
		if isSeen = m.margin >= 0; isSeen {
			seen = m
		} else {
			not = m
		}
		return isSeen
	}
	if not.hidden { // where that begins takes no light to find
		clear, hidden := seen.at, not.at
		for math.Abs(hidden-clear) > tolerance(seen.at) {
			if mid := (clear + hidden) / 2; a.view.eye.obstructed(a.view.middle(a.thing, a.view.OnTrack(mid, 0))) {
				hidden = mid
			} else {
				clear = mid
			}
		}
		not.at = hidden
		if clear != seen.at {
			narrow(clear)
		}
	} else if guess, sure, ok := guessed(looks, min(in, out)); sure {
		return guess, false
	} else if ok {
		aside := math.Copysign(0.4*tolerance(guess), not.at-seen.at)
		for _, at := range [2]float64{guess - aside, guess + aside} {
			if (at-seen.at)*(not.at-at) > 0 {
				narrow(at)
			}
		}
	}
	f0, f1 := seen.margin, not.margin
	for step := 0; math.Abs(not.at-seen.at) > tolerance(seen.at) && step < 60; step++ {
		share := 0.5
		if step%3 != 2 && f0 > f1 {
			share = max(0.01, min(0.99, f0/(f0-f1)))
		}
		if narrow(seen.at + share*(not.at-seen.at)) {
			f0 = seen.margin
			f1 /= 2
		} else {
			f1 = not.margin
			f0 /= 2
		}
	}
	return seen.at, not.hidden
}

// guessed is where the margin is 0 between look i and the next, by the cubic of the place in the
// margin through two looks on either side; ok is false where the margin does not go one way through
// them. It is sure where the parabola through three of them has it within a five-thousandth of the
// distance: the cubic is then far nearer than that.
func guessed(looks []look, i int) (at float64, sure, ok bool) {
	if i < 1 || i+3 > len(looks) {
		return 0, false, false
	}
	near := looks[i-1 : i+3]
	for k := range near[:3] {
		if (near[k].margin < near[k+1].margin) != (near[0].margin < near[3].margin) ||
			near[k].margin == near[k+1].margin {
			return 0, false, false
		}
	}
	crosses := func(near []look) (at float64) {
		for k := range near {
			w := near[k].at
			for n := range near {
				if n != k {
					w *= near[n].margin / (near[n].margin - near[k].margin)
				}
			}
			at += w
		}
		return at
	}
	at = crosses(near)
	const agree = 1. / 5000
	sure = math.Abs(at-crosses(near[:3])) < agree*at && math.Abs(at-crosses(near[1:])) < agree*at
	return at, sure && at > near[1].at && at < near[2].at, true
}
