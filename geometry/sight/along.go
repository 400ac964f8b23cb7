package sight

import (
	"cmp"
	"math"
	"slices"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Farthest is how far along the track (m) things are sought.
const Farthest = 1000

// Nearest is the distance along the track (m) from which on it matters that a thing is not seen.
const Nearest = 5

// shortest is the length (m) from which on a stretch without sight counts.
const shortest = 1

// LeastVisibility is the meteorological optical range (m) of air with particles below which no range is named: light that is
// scattered more than once, which is left out, is then more than a trifle.
const LeastVisibility = 30

// Sight is how far along the track, from the bumper, a thing is seen.
type Sight struct {
	Range float64            // the farthest place where it is seen, m; NaN if it is nowhere seen, or the air is too dense
	Lost  []geometry.Stretch // stretches nearer than that where it is not, from Nearest on and at least 1 m long
}

// TooDense tells whether the air is too dense for a range to be named: particles leave less than LeastVisibility.
func (v *View) TooDense() bool {
	return v.scattering > 0 && v.Scene.Site.Visibility < LeastVisibility
}

// Along is a thing along the track, at places close enough for what lies between to follow.
type Along struct {
	view   *View
	thing  Thing
	places []float64 // distances along the track, m
	parts  []Parts

	// The veil changes slowly: it is worked out at some of the places, and between them by cubics that do not reach past
	// where the ground bends.
	veilAt []float64 // eased distances
	veils  []dazzle
	bends  []int // indexes of those at the ends and at bends
}

// Along works out a thing along the track. All that can be asked of it then, by whichever lamps, costs little.
func (v *View) Along(t Thing) *Along {
	places, bends := v.stations()
	a := &Along{view: v, thing: t, places: places}
	a.parts = make([]Parts, len(places))
	lines := make([]r3.Vec, len(places))
	inParallel(len(places), func(i int, _ *worker) { a.parts[i], lines[i] = v.plain(t, v.OnTrack(places[i], 0)) })

	const most, turn = 4, 1 * math.Pi / 180 // places, and of the line of sight, from one veil to the next
	var at []int
	for i, s := range a.places {
		last := len(at) - 1
		_, bend := slices.BinarySearch(bends, s)
		bend = bend || i == 0 || i == len(a.places)-1
		if bend {
			a.bends = append(a.bends, len(at))
		}
		if bend || i-at[last] >= most || r3.Norm(r3.Sub(lines[i], lines[at[last]])) > turn {
			at = append(at, i)
			a.veilAt = append(a.veilAt, eased(s))
		}
	}
	v.prepare(lines)
	a.veils = make([]dazzle, len(at))
	inParallel(len(at), func(i int, _ *worker) { a.veils[i] = v.dazzle(lines[at[i]], usualFineness) })
	for i, s := range a.places {
		v.addVeil(&a.parts[i], a.veil(s))
	}
	return a
}

// Places are the distances along the track (m), rising, at which the thing was worked out. They are not to be changed.
func (a *Along) Places() []float64 { return a.places }

// Parts are the thing at each of the places, and are not to be changed either.
func (a *Along) Parts() []Parts { return a.parts }

// stations are the distances at which things are looked at, each further by at most a fiftieth or half a metre, and bends
// those among them where the ground has a knot or the track begins to bend.
func (v *View) stations() (at, bends []float64) {
	const first, least, share = 0.5, 0.5, 0.02
	track := &v.Scene.Site.Track
	end := min(Farthest, track.End())
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

// eased is a measure of distance along which what the eye sees changes at an even pace.
func eased(s float64) float64 { return math.Log(s + 3) }

// veil is the veil over the line of sight to the thing at a distance.
func (a *Along) veil(s float64) dazzle {
	x := eased(s)
	i, on := slices.BinarySearch(a.veilAt, x)
	if on {
		return a.veils[i]
	}
	// Lagrange's polynomial through the two veils before and the two behind, if there are so many between the bends
	bend, _ := slices.BinarySearch(a.bends, i)
	first, last := a.bends[bend-1], a.bends[bend]
	i = max(first, min(i-2, last-3))
	at := a.veilAt[i:min(i+4, last+1)]
	d := newDazzle(len(a.view.Scene.Lamps))
	for j, xj := range at {
		w := 1.0
		for k, xk := range at {
			if k != j {
				w *= (x - xk) / (xj - xk)
			}
		}
		d.sky += w * a.veils[i+j].sky
		for l := range d.ground {
			d.ground[l] += w * a.veils[i+j].ground[l]
			d.body[l] += w * a.veils[i+j].body[l]
			d.air[l] += w * a.veils[i+j].air[l]
		}
	}
	return d
}

// At is the thing at a distance (m) along the track.
func (a *Along) At(s float64) Parts {
	p, _ := a.view.plain(a.thing, a.view.OnTrack(s, 0))
	a.view.addVeil(&p, a.veil(s))
	return p
}

// Sight is how far the thing is seen by the light of the lamps with these indexes.
func (a *Along) Sight(lit []int) Sight {
	var seen []geometry.Stretch
	if !a.view.TooDense() {
		seen = a.seen(lit)
	}
	if len(seen) == 0 {
		return Sight{Range: math.NaN()}
	}
	sight := Sight{Range: seen[len(seen)-1].To}
	from := float64(Nearest)
	for _, s := range seen {
		if s.From-from >= shortest {
			sight.Lost = append(sight.Lost, geometry.Stretch{From: from, To: s.From})
		}
		from = max(from, s.To)
	}
	return sight
}

// look is how plain the thing is at a place.
type look struct {
	at     float64
	margin float64 // by how much, as a share, the level is above that which counts as seen; -1 where it is hidden
	darker bool
}

func (a *Along) look(s float64, p *Parts, lit []int) look {
	if p.Hidden {
		return look{s, -1, false}
	}
	seen := p.See(lit)
	return look{s, seen.Level/a.view.Observer.Level - 1, seen.Thing < seen.Background}
}

// seen are the stretches of the track on which the thing is seen, in ascending order.
func (a *Along) seen(lit []int) []geometry.Stretch {
	looks := make([]look, len(a.places))
	for i := range looks {
		looks[i] = a.look(a.places[i], &a.parts[i], lit)
	}
	looks = a.between(looks, lit)
	var seen []geometry.Stretch
	for i, l := range looks {
		if l.margin < 0 {
			continue
		}
		if i == 0 || looks[i-1].margin < 0 {
			from := l.at
			if i > 0 {
				from = a.edge(l, looks[i-1], lit)
			}
			seen = append(seen, geometry.Stretch{From: from})
		}
		switch last := &seen[len(seen)-1]; {
		case i == len(looks)-1:
			last.To = l.at
		case looks[i+1].margin < 0:
			last.To = a.edge(l, looks[i+1], lit)
		}
	}
	return seen
}

// between adds looks where, between two places, the thing may be lost or found again: where it turns from brighter than its
// background to darker, it is not seen on the way; and where it is plainest or least plain of all places around, by a
// margin that is small, it may be more so beside.
func (a *Along) between(looks []look, lit []int) []look {
	const small = 0.5
	at := func(s float64) look {
		p := a.At(s)
		return a.look(s, &p, lit)
	}
	out := looks[:0:0]
	for i, l := range looks {
		if i > 0 && i+1 < len(looks) && math.Abs(l.margin) < small {
			before, after := looks[i-1], looks[i+1]
			if l.margin > 0 && l.margin < min(before.margin, after.margin) {
				out = append(out, extreme(at, before.at, after.at, -1))
			} else if l.margin < 0 && l.margin > max(before.margin, after.margin) {
				out = append(out, extreme(at, before.at, after.at, 1))
			}
		}
		out = append(out, l)
		if i+1 == len(looks) {
			continue
		}
		if next := looks[i+1]; l.margin >= 0 && next.margin >= 0 && l.darker != next.darker {
			was, is := l, next
			for is.at-was.at > tolerance(l.at) {
				if m := at((was.at + is.at) / 2); m.darker == l.darker {
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
func extreme(at func(float64) look, lo, hi, sign float64) look {
	a, b := at(hi-golden*(hi-lo)), at(lo+golden*(hi-lo))
	for hi-lo > 0.05 {
		if sign*a.margin > sign*b.margin {
			hi, b = b.at, a
			a = at(hi - golden*(hi-lo))
		} else {
			lo, a = a.at, b
			b = at(lo + golden*(hi-lo))
		}
	}
	if sign*a.margin > sign*b.margin {
		return a
	}
	return b
}

// tolerance is how well (m) the ends of a stretch at a distance are found.
func tolerance(s float64) float64 { return max(1e-3, 1e-5*s) }

// edge is where between two places, at in of which the thing is seen and at out not, that changes: by false position, with
// the weight of an end that stays halved each time (the Illinois rule), and by halves where that is slow.
func (a *Along) edge(in, out look, lit []int) float64 {
	f0, f1 := in.margin, out.margin
	for step := 0; math.Abs(out.at-in.at) > tolerance(in.at) && step < 60; step++ {
		share := 0.5
		if step%3 != 2 && f0 > f1 {
			share = max(0.01, min(0.99, f0/(f0-f1)))
		}
		s := in.at + share*(out.at-in.at)
		p := a.At(s)
		m := a.look(s, &p, lit)
		if m.margin >= 0 {
			in, f0 = m, m.margin
			f1 /= 2
		} else {
			out, f1 = m, m.margin
			f0 /= 2
		}
	}
	return in.at
}
