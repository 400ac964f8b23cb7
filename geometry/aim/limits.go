package aim

import (
	"math"
	"slices"
	"sort"
)

// dimmest is a setting that keeps the limits, the given one if it does, or else one of the least excess; the excess is the
// greatest share by which a limit is passed (not above 0: none is), and limit which it is. It goes through all settings, but
// for those where even the dimmest choices of the brackets left are worse; it is exact unless it ends by its budget.
func (t *tables) dimmest(near []int) (setting []int, excess float64, limit int) {
	setting = slices.Clone(near)
	if t.limits == 0 {
		return setting, -1, -1
	}
	worst := func(sum []float64) (float64, int) {
		w, at := math.Inf(-1), -1
		for i, l := range sum {
			if l-1 > w {
				w, at = l-1, i
			}
		}
		return w, at % len(t.problem.Limits)
	}
	n := len(near)
	// least[v] is what brackets v and later give at the least, to each limit by itself
	least := make([][]float64, n+1)
	least[n] = make([]float64, t.limits)
	for v := n - 1; v >= 0; v-- {
		least[v] = slices.Clone(least[v+1])
		for i := range least[v] {
			m := math.Inf(1)
			for _, gives := range t.givesAt[v] {
				m = min(m, gives[i])
			}
			least[v][i] += m
		}
	}
	sum := slices.Clone(t.fixedAt)
	for v, k := range near {
		for i, a := range t.givesAt[v][k] {
			sum[i] += a
		}
	}
	if excess, limit = worst(sum); excess <= keepsTo {
		return setting, excess, limit
	}
	current := make([]int, n)
	sum = slices.Clone(t.fixedAt)
	budget := 20_000_000 // choices looked at
	var visit func(v int)
	visit = func(v int) {
		if excess <= 0 || budget < 0 {
			return
		}
		if v == n {
			if w, at := worst(sum); w < excess {
				excess, limit = w, at
				copy(setting, current)
			}
			return
		}
		budget -= len(t.choices[v])
		order := make([]int, len(t.choices[v]))
		score := make([]float64, len(order))
		for k := range order {
			order[k] = k
			score[k] = math.Inf(-1)
			for i, a := range t.givesAt[v][k] {
				score[k] = max(score[k], sum[i]+a+least[v+1][i])
			}
		}
		sort.SliceStable(order, func(i, j int) bool { return score[order[i]] < score[order[j]] })
		for _, k := range order {
			if score[k]-1 >= excess {
				return
			}
			for i, a := range t.givesAt[v][k] {
				sum[i] += a
			}
			current[v] = k
			visit(v + 1)
			for i, a := range t.givesAt[v][k] {
				sum[i] -= a
			}
			if excess <= 0 {
				return
			}
		}
	}
	visit(0)
	return setting, excess, limit
}
