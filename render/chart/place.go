package chart

import "math"

// Labels in a row or a column move along it until they are apart.

// Spread moves rising places as little as possible, by least squares, so that they are at least a
// distance apart, between lo and hi, and each where it is free; if free is nil, all places are. If
// there are no such places, they are spread without regard to what is free; and if there is no room
// for that, they end at hi and begin before lo.
func Spread(at []float64, distance, lo, hi float64, free func(i int, place float64) bool) []float64 {
	if free != nil {
		if places, ok := spreadFree(at, distance, lo, hi, free); ok {
			return places
		}
	}
	// Isotonic regression of what is left of each place when the distances are taken off.
	type pool struct {
		sum float64
		n   int
	}
	var pools []pool
	mean := func(k int) float64 { return pools[k].sum / float64(pools[k].n) }
	for i, x := range at {
		pools = append(pools, pool{x - float64(i)*distance, 1})
		for k := len(pools) - 1; k > 0 && mean(k) <= mean(k-1); k-- {
			pools[k-1] = pool{pools[k-1].sum + pools[k].sum, pools[k-1].n + pools[k].n}
			pools = pools[:k]
		}
	}
	var places []float64
	last := float64(len(at)-1) * distance
	for k, p := range pools {
		for range p.n {
			rest := min(max(mean(k), lo), hi-last)
			places = append(places, rest+float64(len(places))*distance)
		}
	}
	return places
}

// spreadFree finds the best places on a grid of steps by dynamic programming: for every step, the
// least cost of the places up to one of them if that one is at the step or before it.
func spreadFree(
	at []float64, distance, lo, hi float64, free func(i int, place float64) bool,
) (places []float64, ok bool) {
	const perDistance = 6
	step := distance / perDistance
	n := 1 + int((hi-lo)/step)
	if n < 1 || len(at) == 0 {
		return nil, false
	}
	least := make([]float64, n)     // cost, for the places up to the last one looked at
	steps := make([][]int, len(at)) // where each place then is
	before := make([]float64, n)    // least, without the last one
	for i, want := range at {
		least, before = before, least
		steps[i] = make([]int, n)
		for k := range n {
			cost := math.Inf(1)
			if place := lo + float64(k)*step; (i == 0 || k >= perDistance) && free(i, place) {
				cost = (place - want) * (place - want)
				if i > 0 {
					cost += before[k-perDistance]
				}
			}
			least[k], steps[i][k] = cost, k
			if k > 0 && least[k-1] <= cost {
				least[k], steps[i][k] = least[k-1], steps[i][k-1]
			}
		}
	}
	if math.IsInf(least[n-1], 1) {
		return nil, false
	}
	places = make([]float64, len(at))
	for i, k := len(at)-1, n-1; i >= 0; i-- {
		k = steps[i][k]
		places[i] = lo + float64(k)*step
		k -= perDistance
	}
	for i, want := range at { // those that are less than a step from where they would be go there
		if math.Abs(want-places[i]) < step && want >= lo && want <= hi && free(i, want) &&
			(i == 0 || want-places[i-1] >= distance) && (i == len(at)-1 || places[i+1]-want >= distance) {
			places[i] = want
		}
	}
	return places, true
}
