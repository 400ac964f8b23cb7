package aim

import (
	"context"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/floats"
)

// dimming is the search for the setting that breaks the limits least: it goes through all settings,
// but for those where even the dimmest choices of the brackets left are worse.
type dimming struct {
	t       *tables
	least   [][]float64 // by bracket, what that one and all later ones give to each limit at the least
	sum     []float64   // what the brackets before the one at hand give to each limit
	current []int
	left    int // choices that may still be looked at

	setting []int // the best so far, what it exceeds the limits by, and which by most
	excess  float64
	limit   int
}

// dimmest is a setting that keeps the limits, the given one if it does, or else one of the least
// excess; the excess is the greatest share by which a limit is passed (not above 0: none is), and
// limit which it is. It is exact unless it ends by its budget.
func (t *tables) dimmest(near []int) (setting []int, excess float64, limit int) {
	if t.limits == 0 {
		return slices.Clone(near), -1, -1
	}
	const budget = 20_000_000
	d := &dimming{
		t: t, least: t.leastAtLimits(), sum: slices.Clone(t.fixedAt), current: make([]int, len(near)), left: budget,
		excess: math.Inf(1),
	}
	copy(d.current, near)
	for v, k := range near {
		floats.Add(d.sum, t.givesAt[v][k])
	}
	d.take()
	if d.excess > keepsTo {
		copy(d.sum, t.fixedAt)
		d.visit(0)
	}
	return d.setting, d.excess, d.limit
}

// leastAtLimits is, by bracket, what that one and all later ones give at the least, to each limit
// by itself.
func (t *tables) leastAtLimits() [][]float64 {
	least := make([][]float64, len(t.givesAt)+1)
	least[len(t.givesAt)] = make([]float64, t.limits)
	for v := len(t.givesAt) - 1; v >= 0; v-- {
		least[v] = slices.Clone(least[v+1])
		for i := range least[v] {
			m := math.Inf(1)
			for _, gives := range t.givesAt[v] {
				m = min(m, gives[i])
			}
			least[v][i] += m
		}
	}
	return least
}

// take keeps the current setting, whose sum is complete, if it is the best so far.
func (d *dimming) take() {
	at := floats.MaxIdx(d.sum)
	if excess := d.sum[at] - 1; excess < d.excess {
		d.excess, d.limit, d.setting = excess, at%len(d.t.problem.Limits), slices.Clone(d.current)
	}
}

// visit goes through the choices of a bracket and of all later ones.
func (d *dimming) visit(v int) {
	if v == len(d.current) {
		d.take()
		return
	}
	gives := d.t.givesAt[v]
	d.left -= len(gives)
	order, score := make([]int, len(gives)), make([]float64, len(gives))
	for k := range gives {
		order[k], score[k] = k, math.Inf(-1)
		for i, a := range gives[k] {
			score[k] = max(score[k], d.sum[i]+a+d.least[v+1][i])
		}
	}
	sort.SliceStable(order, func(i, j int) bool { return score[order[i]] < score[order[j]] })
	before := slices.Clone(d.sum)
	for _, k := range order {
		if score[k]-1 >= d.excess || d.excess <= 0 || d.left < 0 {
			return
		}
		floats.AddTo(d.sum, before, gives[k])
		d.current[v] = k
		d.visit(v + 1)
		copy(d.sum, before)
	}
}

// without is the fulfilment that climbing from a setting comes to with a limit of the problem
// lifted.
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
		problem: t.problem, sites: t.sites, spans: t.spans, points: t.points, adapt: t.adapt, choices: t.choices,
		present: t.present,
		fixed:   t.fixed, gives: t.gives, limits: t.limits, fixedAt: t.fixedAt, givesAt: slices.Clone(t.givesAt),
	}
}
