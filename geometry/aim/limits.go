package aim

import (
	"context"
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

// without is the fulfilment that climbing from a setting comes to with a limit of the problem lifted.
func (t *tables) without(ctx context.Context, limit int, setting []int) float64 {
	lift := func(shares []float64) []float64 {
		out := slices.Clone(shares)
		for i := limit; i < len(out); i += len(t.problem.Limits) {
			out[i] = 0
		}
		return out
	}
	free := t.like()
	free.fixedAt = lift(t.fixedAt)
	for v, of := range t.givesAt {
		free.givesAt[v] = make([][]float64, len(of))
		for k := range of {
			free.givesAt[v][k] = lift(of[k])
		}
	}
	return free.climb(ctx, slices.Clone(setting), t.known())
}

// alone is the fulfilment of a target that climbing from a setting comes to if no other counts.
func (t *tables) alone(ctx context.Context, target int, setting []int) float64 {
	one := t.like()
	one.spans = nil
	for i, sp := range t.spans {
		if i%len(t.problem.Targets) == target {
			sp.weight = 1 / float64(sp.to-sp.from)
			one.spans = append(one.spans, sp)
		}
	}
	return one.climb(ctx, slices.Clone(setting), t.known())
}

// like is tables of the same figures, to be searched under another rule.
func (t *tables) like() *tables {
	return &tables{
		problem: t.problem, sites: t.sites, spans: t.spans, points: t.points, adapt: t.adapt, choices: t.choices, present: t.present,
		fixed: t.fixed, gives: t.gives, limits: t.limits, fixedAt: t.fixedAt, givesAt: slices.Clone(t.givesAt),
	}
}
