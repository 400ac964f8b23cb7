package aim

import "sort"

// branch looks through all settings for one better than the best found, leaving out those that a bound shows not to be.

// mostWork keeps the search from taking for ever, in points looked at; what it has not come to by then stays within the
// bound.
const mostWork = 400_000_000

type branch struct {
	t        *tables
	bounds   []*prices
	order    []int   // brackets, the one that matters most first
	choices  [][]int // left of each bracket, by falling score
	state    *state
	partial  [][]float64 // of each bound: constant and scores of the brackets set
	rest     [][]float64 // of each bound and depth: greatest scores of the brackets not set
	best     float64
	setting  []int
	nodes    int
	most     int
	complete bool
}

// improve returns the best setting, whether it is proved to be, and how many were looked at.
func (t *tables) improve(setting []int, reached float64, bounds []*prices) (best []int, value float64, proved bool, nodes int) {
	n := len(setting)
	b := &branch{
		t: t, bounds: bounds, best: reached, setting: append([]int(nil), setting...), complete: true,
		state: t.state(nil), choices: make([][]int, n), most: max(50_000, mostWork/max(1, t.points)),
	}
	b.state.setting = make([]int, n)
	// A choice is out where even with the best of all other brackets it does not beat the best found.
	for v := range n {
		for k := range t.count(v) {
			in := true
			for _, p := range bounds {
				in = in && p.value()-p.best[v]+p.score[v][k] > reached+same
			}
			if in {
				b.choices[v] = append(b.choices[v], k)
			}
		}
		if len(b.choices[v]) == 0 {
			return b.setting, reached, true, 0
		}
		scores := bounds[0].score[v]
		sort.SliceStable(b.choices[v], func(i, j int) bool { return scores[b.choices[v][i]] > scores[b.choices[v][j]] })
	}
	for v := range n {
		b.order = append(b.order, v)
	}
	spread := func(v int) float64 {
		c := b.choices[v]
		return bounds[0].score[v][c[0]] - bounds[0].score[v][c[len(c)-1]]
	}
	sort.SliceStable(b.order, func(i, j int) bool { return spread(b.order[i]) > spread(b.order[j]) })
	for _, p := range bounds {
		part, rest := make([]float64, n+1), make([]float64, n+1)
		part[0] = p.constant
		for d := n - 1; d >= 0; d-- {
			rest[d] = rest[d+1] + p.best[b.order[d]]
		}
		b.partial, b.rest = append(b.partial, part), append(b.rest, rest)
	}
	b.visit(0)
	return b.setting, b.best, b.complete, b.nodes
}

func (b *branch) visit(depth int) {
	v := b.order[depth]
	last := depth == len(b.order)-1
	for _, k := range b.choices[v] {
		if b.nodes++; b.nodes > b.most || b.t.ctx.Err() != nil {
			b.complete = false
			return
		}
		in := true
		for i, p := range b.bounds {
			b.partial[i][depth+1] = b.partial[i][depth] + p.score[v][k]
			in = in && b.partial[i][depth+1]+b.rest[i][depth+1] > b.best+same
		}
		if !in {
			continue
		}
		if last {
			if keeps(b.state.limits, b.t.limitsAt(v, k)) {
				if f := b.t.value(b.state.light, b.t.at(v, k)); f > b.best+same {
					b.best = f
					b.state.setting[v] = k
					copy(b.setting, b.state.setting)
				}
			}
			continue
		}
		b.t.add(b.state, v, k, 1)
		b.state.setting[v] = k
		b.visit(depth + 1)
		b.t.add(b.state, v, k, -1)
		if !b.complete {
			return
		}
	}
}
