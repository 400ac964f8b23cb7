package sight

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Over is a thing at places that lie in rows across the track, as many in each row and the rows one
// behind the other, as evenly spaced as may be. It is Parts at each of them, row after row, but for
// the veil and the glow of the air, which change slowly: they are worked out at some of the places,
// and between them by cubics.
func (v *View) Over(t Thing, rows [][]Place) []Parts {
	if len(rows) == 0 || len(rows[0]) == 0 {
		return nil
	}
	across := len(rows[0])
	parts, lines := make([]Parts, len(rows)*across), make([]r3.Vec, len(rows)*across)
	inParallel(len(parts), func(i int, _ *worker) {
		parts[i], lines[i] = v.plain(t, v.faced(rows[i/across][i%across]),
			v.every)
	})
	v.prepare(lines)

	const (
		turn      = 2 * math.Pi / 180 // of the line of sight, from one veil to the next along the rows
		asideTurn = 8 * math.Pi / 180 // and across them
		further   = 0.4               // how much farther, as a logarithm
	)
	// What changes along the rows at an even pace: the logarithm of the distance, and that rises where
	// the rows come toward the eye, too.
	away := make([]float64, len(rows))
	for i := 1; i < len(rows); i++ {
		const least = 1e-6
		from, to := parts[(i-1)*across+across/2].Distance, parts[i*across+across/2].Distance
		away[i] = away[i-1] + max(least, math.Abs(math.Log(to/from)))
	}
	along := nodes(len(rows), func(i, j int) bool {
		most := 0.0
		for k := range across {
			most = max(most, norm(r3.Sub(lines[i*across+k], lines[j*across+k])))
		}
		return most > turn || math.Abs(away[i]-away[j]) > further
	})
	left := make([]float64, across)
	for j := range left {
		left[j] = float64(j)
	}
	aside := nodes(across, func(i, j int) bool {
		return i-j > across/2 || norm(r3.Sub(lines[i], lines[j])) > asideTurn
	})
	hazes := make([]haze, len(along)*len(aside))
	inParallel(len(hazes), func(i int, _ *worker) {
		at := along[i/len(aside)]*across + aside[i%len(aside)]
		hazes[i] = v.haze(&parts[at], lines[at])
	})
	for i := range rows {
		from, weights := between(along, away, i)
		for j := range across {
			first, shares := between(aside, left, j)
			h := v.newHaze()
			for m, w := range weights {
				for n, share := range shares {
					h.addTimes(w*share, &hazes[(from+m)*len(aside)+first+n])
				}
			}
			parts[i*across+j].add(h)
		}
	}
	return parts
}

// nodes are some of n indexes, the first and the last among them: each as far from the one before
// as it may be before apart says that it is too far.
func nodes(n int, apart func(i, last int) bool) []int {
	out := []int{0}
	for i := 1; i < n; i++ {
		if last := out[len(out)-1]; i-last > 1 && apart(i, last) {
			out = append(out, i-1)
		}
	}
	if n > 1 {
		out = append(out, n-1)
	}
	return out
}

// between is the weights of the four nodes around an index, or of as many as there are, for a value
// there, and which is the first of them; at is where indexes lie.
func between(nodes []int, at []float64, i int) (first int, weights []float64) {
	k := 0
	for k+1 < len(nodes) && nodes[k+1] <= i {
		k++
	}
	first = max(0, min(k-1, len(nodes)-4))
	near := nodes[first:min(first+4, len(nodes))]
	for j, a := range near {
		w := 1.0
		for l, b := range near {
			if l != j {
				w *= (at[i] - at[b]) / (at[a] - at[b])
			}
		}
		weights = append(weights, w)
	}
	return first, weights
}
