package htmlpage

import (
	"math"
	"slices"

	"beamfall/beam"
	"beamfall/cmd/beamfall/internal/assembly"
)

// Every lamp of a rig, or pair, has one tilt on the page, that goes by steps.

const degree = math.Pi / 180

// Without a tilt_range in the rig a lamp is given so much to either side; without a tilt_step,
// steps of half a degree, or of a degree where a beam is so wide that half would not show.
const (
	aside = 6 * degree
	fine  = 0.5 * degree
	wide  = 30 * degree
)

// tilts are the steps of one lamp of the file, rad, rising, with the one that it is set to among
// them.
type tilts struct {
	at      []float64
	present int
	thinned bool // steps of the rig are left out
}

// tiltsOf are the steps of a lamp, thinned out to at most so many.
func tiltsOf(r *assembly.Rig, entry, most int) tilts {
	first := slices.IndexFunc(r.Lamps, func(l assembly.Lamp) bool { return l.Entry == entry })
	now := r.Lamps[first].Aim.Tilt
	if r.IsHeadlight(first) {
		return tilts{at: []float64{now}}
	}
	l := r.EntryOf(first)
	low, high, step := now-aside, now+aside, fine
	if l.TiltRange.Given {
		low, high = l.TiltRange.Value.Low, l.TiltRange.Value.High
	}
	switch {
	case l.TiltStep.Given && l.TiltStep.Value > 0:
		step = l.TiltStep.Value
	case beam.FullAngle(r.Lamps[first].Beam(), 0.5, 0, 1) > wide:
		step = 2 * fine
	}
	low, high = max(low, -math.Pi/2), min(high, math.Pi/2)
	n := int((high - low + 1e-6*degree) / step)
	every := 1
	for n/every+1 > most {
		every++
	}
	t := tilts{thinned: every > 1}
	for i := 0; i <= n; i += every {
		t.at = append(t.at, low+float64(i)*step)
	}
	if i := slices.IndexFunc(t.at, func(a float64) bool { return same(a, now) }); i >= 0 {
		t.at[i] = now
	} else {
		t.at = append(t.at, now)
	}
	slices.Sort(t.at)
	t.present = slices.Index(t.at, now)
	return t
}

// same tells whether two angles (rad) are the same but for rounding.
func same(a, b float64) bool { return math.Abs(a-b) < 1e-6*degree }

// mostTilts is how many steps all lamps of a page may have together, so that it stays small enough
// to be mailed, and leastTilts how many each has at least.
const mostTilts, leastTilts = 200, 5

// allTilts are the steps of some lamps of the file.
func allTilts(r *assembly.Rig, entries []int) []tilts {
	most := mostTilts
	for {
		out, sum := make([]tilts, len(entries)), 0
		for i, e := range entries {
			out[i] = tiltsOf(r, e, most)
			sum += len(out[i].at)
		}
		if sum <= mostTilts || most <= leastTilts {
			return out
		}
		most = max(leastTilts, min(most-1, most*mostTilts/sum+1))
	}
}
