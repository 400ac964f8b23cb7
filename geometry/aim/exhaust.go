package aim

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sort"
	"sync"
	"sync/atomic"
)

// Going through all settings, one bracket after the other. What the brackets still to be set can
// add at a point lies between the least and the greatest of their choices; a part of the search is
// left out where even that makes no better setting.

// mostLooks ends a search through all settings, in points looked at: some seconds.
const mostLooks = 300_000_000

// through is a search through all settings.
type through struct {
	t      *tables
	order  []int       // brackets, the one that matters most first
	among  [][]int     // the choices of each bracket, as far as they are known
	rest   []rest      // by depth: of that bracket and all later ones
	least  [][]float64 // by depth, what they give to each limit at the least
	stay   []sums      // by depth, what they give as they are now
	stayAt [][]float64 // by depth, and to each limit
	looks  int         // left
	ctx    context.Context
	visit  func(setting []int) // called for each setting that may be good enough
	enough func() float64      // what a setting must be worth at least
	moves  int                 // how many brackets may be moved; all others stay as they are now

	setting []int
	at      []sums      // by depth
	limits  [][]float64 // by depth
	spent   []work      // by depth, on the brackets before
	shares  [][]float64 // by depth, of each choice what it may be worth by slices of points
}

// newThrough prepares a search; the brackets are ordered by how much setting them otherwise than in
// a good setting changes.
func (t *tables) newThrough(ctx context.Context, good []int) *through {
	n := len(good)
	b := &through{t: t, ctx: ctx, looks: mostLooks, moves: n + 1, setting: slices.Clone(good)}
	b.among = t.known()
	matter := make([]float64, n)
	for v := range n {
		b.order = append(b.order, v)
		scores := t.each(good, v, b.among[v])
		matter[v] = slices.Max(scores) - slices.Min(scores)
	}
	sort.SliceStable(b.order, func(i, j int) bool { return matter[b.order[i]] > matter[b.order[j]] })
	b.rest, b.least = make([]rest, n+1), make([][]float64, n+1)
	b.rest[n] = rest{newSums(t.points, t.adapt), newSums(t.points, false)}
	b.least[n] = make([]float64, t.limits)
	b.stay, b.stayAt = make([]sums, n+1), make([][]float64, n+1)
	b.stay[n], b.stayAt[n] = newSums(t.points, t.adapt), make([]float64, t.limits)
	for d := n - 1; d >= 0; d-- {
		v := b.order[d]
		r := rest{newSums(t.points, t.adapt), newSums(t.points, false)}
		least := func(dst, before []float32, of func(sums) []float32, better func(a, b float32) float32) {
			copy(dst, of(t.gives[v][b.among[v][0]]))
			for _, k := range b.among[v][1:] {
				for i, a := range of(t.gives[v][k]) {
					dst[i] = better(dst[i], a)
				}
			}
			for i := range dst {
				dst[i] += before[i]
			}
		}
		light := func(s sums) []float32 { return s.light }
		least(r.low.light, b.rest[d+1].low.light, light, func(a, b float32) float32 { return min(a, b) })
		least(r.high.light, b.rest[d+1].high.light, light, func(a, b float32) float32 { return max(a, b) })
		least(r.low.adapt, b.rest[d+1].low.adapt, func(s sums) []float32 { return s.adapt },
			func(a, b float32) float32 { return min(a, b) })
		b.rest[d], b.least[d] = r, slices.Clone(b.least[d+1])
		for i := range b.least[d] {
			m := math.Inf(1)
			for _, k := range b.among[v] {
				m = min(m, t.givesAt[v][k][i])
			}
			b.least[d][i] += m
		}
		b.stay[d], b.stayAt[d] = newSums(t.points, t.adapt), slices.Clone(b.stayAt[d+1])
		b.stay[d].set(b.stay[d+1], t.gives[v][t.present[v]])
		for i, a := range t.givesAt[v][t.present[v]] {
			b.stayAt[d][i] += a
		}
	}
	for range n + 1 {
		b.at, b.limits = append(b.at, newSums(t.points, t.adapt)), append(b.limits, make([]float64, t.limits))
	}
	b.at[0].set(t.fixed, b.rest[n].low) // the last rest is nothing
	copy(b.limits[0], t.fixedAt)
	b.spent = make([]work, n+1)
	for _, v := range b.order {
		b.shares = append(b.shares, make([]float64, len(t.choices[v])*len(t.most())))
	}
	return b
}

// run goes through all settings, taking at each depth only choices that may be taken. It tells
// whether it came to its end.
func (b *through) run(may func(depth, choice int) bool) bool {
	return b.runFrom(0, b.t.most(), may)
}

// runFrom does so from a depth on, where slices of points are worth no more than before.
func (b *through) runFrom(depth int, before []float64, may func(depth, choice int) bool) bool {
	if depth > 0 {
		u := b.order[depth-1]
		b.at[depth].set(b.at[depth-1], b.t.gives[u][b.setting[u]])
	}
	if b.spent[depth].moved == b.moves {
		return b.stayFrom(depth)
	}
	t, v := b.t, b.order[depth]
	last := depth == len(b.order)-1
	type next struct {
		choice int
		worth  float64
	}
	shares := func(k int) []float64 { return b.shares[depth][k*len(before):][:len(before)] }
	var all []next
	for _, k := range b.among[v] {
		if may(depth, k) && b.fits(depth, k) {
			all = append(all, next{choice: k})
		}
	}
	if b.looks -= t.points * len(all); b.looks < 0 || b.ctx.Err() != nil {
		return false
	}
	enough := b.enough()
	onAllCores(len(all), func(i int) {
		if n := &all[i]; last {
			n.worth = t.value(b.at[depth], t.gives[v][n.choice])
		} else {
			n.worth = t.bound(b.at[depth], t.gives[v][n.choice], &b.rest[depth+1], before, shares(n.choice), enough)
		}
	})
	sort.SliceStable(all, func(i, j int) bool { return all[i].worth > all[j].worth })
	for _, n := range all {
		if n.worth < b.enough() {
			return true
		}
		b.setting[v] = n.choice
		if last {
			b.visit(b.setting)
			continue
		}
		for i, a := range t.givesAt[v][n.choice] {
			b.limits[depth+1][i] = b.limits[depth][i] + a
		}
		b.spent[depth+1] = b.spent[depth].plus(t.workOn(v, n.choice))
		if !b.runFrom(depth+1, shares(n.choice), may) {
			return false
		}
	}
	return true
}

// stayFrom looks at the one setting in which all brackets from a depth on stay as they are now.
func (b *through) stayFrom(depth int) bool {
	t := b.t
	if b.looks -= t.points; b.looks < 0 || b.ctx.Err() != nil {
		return false
	}
	if keeps(b.limits[depth], b.stayAt[depth]) && t.value(b.at[depth], b.stay[depth]) >= b.enough() {
		for _, v := range b.order[depth:] {
			b.setting[v] = t.present[v]
		}
		b.visit(b.setting)
	}
	return true
}

// fits tells whether the limits can still hold with a choice of the bracket at a depth.
func (b *through) fits(depth, choice int) bool {
	gives := b.t.givesAt[b.order[depth]][choice]
	for i, l := range b.limits[depth] {
		if l+gives[i]+b.least[depth+1][i] > 1+keepsTo {
			return false
		}
	}
	return true
}

// exhaust goes through all settings for one that is worth more than a good one, and tells whether
// it came to the end of them.
func (t *tables) exhaust(ctx context.Context, good []int, value float64) (best []int, proved bool) {
	best = slices.Clone(good)
	b := t.newThrough(ctx, good)
	b.enough = func() float64 { return value + same }
	b.visit = func(setting []int) {
		if f, keeps := t.worth(setting); keeps && f > value+same {
			value = f
			copy(best, setting)
		}
	}
	return best, b.run(func(int, int) bool { return true })
}

// work is what it takes to set brackets: how many have to be moved, and by how much (rad) in all.
type work struct {
	moved int
	by    float64
}

func (w work) less(o work) bool { return w.moved < o.moved || w.moved == o.moved && w.by < o.by-onStep }

func (w work) plus(o work) work { return work{w.moved + o.moved, w.by + o.by} }

// workOn is the work of setting a bracket to a choice.
func (t *tables) workOn(v, k int) work {
	if k == t.present[v] {
		return work{}
	}
	return work{1, t.choices[v][k].moved(t.choices[v][t.present[v]])}
}

func (t *tables) workOf(setting []int) (w work) {
	for v, k := range setting {
		w = w.plus(t.workOn(v, k))
	}
	return w
}

// leastWork is, of the settings that are as good as one of a value, the one that takes the least
// work: as far as the search through them comes to its end, else the least that moving brackets
// back one by one comes to.
func (t *tables) leastWork(ctx context.Context, setting []int, value float64) []int {
	floor := value - t.slack()
	best := t.moveBack(ctx, setting, floor)
	least := t.workOf(best)
	b := t.newThrough(ctx, best)
	b.looks /= 2 // a bracket less to move is worth less of a wait than a better setting
	b.enough = func() float64 { return floor }
	b.visit = func(s []int) {
		if w := t.workOf(s); w.less(least) {
			least = w
			copy(best, s)
		}
	}
	for b.moves = 0; b.moves <= least.moved; b.moves++ {
		b.run(func(depth, k int) bool { return b.spent[depth].plus(t.workOn(b.order[depth], k)).less(least) })
	}
	return best
}

// moveBack sets brackets as they are now, one after the other, as long as the others can make up
// for it; then each that has to be moved as little as it may.
func (t *tables) moveBack(ctx context.Context, setting []int, floor float64) []int {
	if f, keeps := t.worth(t.present); keeps && f >= floor {
		return slices.Clone(t.present)
	}
	setting = slices.Clone(setting)
	for ctx.Err() == nil {
		var best []int
		value := floor
		for v := range setting {
			if setting[v] == t.present[v] {
				continue
			}
			among := make([][]int, len(setting))
			for u := range among {
				among[u] = []int{setting[u]}
				if u != v && setting[u] != t.present[u] {
					among[u] = t.known()[u]
				}
			}
			try := slices.Clone(setting)
			try[v], among[v] = t.present[v], []int{t.present[v]}
			if f := t.climb(ctx, try, among); f >= value {
				best, value = try, f
			}
		}
		if best == nil {
			break
		}
		setting = best
	}
	for v := range setting {
		now := t.choices[v][t.present[v]]
		scores := t.each(setting, v, t.known()[v])
		for k, f := range scores {
			if f >= floor && t.choices[v][k].moved(now) < t.choices[v][setting[v]].moved(now)-onStep &&
				k != t.present[v] {
				setting[v] = k
			}
		}
	}
	return setting
}

// onAllCores calls do for 0 to n-1, in any order and several at a time.
func onAllCores(n int, do func(i int)) {
	var next atomic.Int64
	var cores sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		cores.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	cores.Wait()
}
