package aim

import (
	"math"
	"sort"
)

// A setting is a choice for every bracket. The search climbs from several settings, one bracket at a time and then two
// at a time, and so finds a good one quickly; bound.go tells how good, and branch.go finds a better one if there is one.

// state is a setting with the light that it gives.
type state struct {
	setting []int
	light   []float64 // at each point, share of what is wanted
	limits  []float64 // share of what is allowed
}

func (t *tables) state(setting []int) *state {
	s := &state{append([]int(nil), setting...), append([]float64(nil), t.fixed...), append([]float64(nil), t.fixedLimits...)}
	for v, k := range setting {
		t.add(s, v, k, 1)
	}
	return s
}

func (t *tables) add(s *state, bracket, choice int, sign float64) {
	for i, a := range t.at(bracket, choice) {
		s.light[i] += sign * float64(a)
	}
	for i, a := range t.limitsAt(bracket, choice) {
		s.limits[i] += sign * a
	}
}

// move puts a bracket to another choice.
func (t *tables) move(s *state, bracket, choice int) {
	t.add(s, bracket, s.setting[bracket], -1)
	t.add(s, bracket, choice, 1)
	s.setting[bracket] = choice
}

// value is the fulfilment of the rig under light plus what one more choice gives.
func (t *tables) value(light []float64, gives []float32) float64 {
	total := 0.0
	for _, sp := range t.spans {
		sum, l := 0.0, light[sp.from:sp.to]
		for i, a := range gives[sp.from:sp.to] {
			sum += min(1, l[i]+float64(a))
		}
		total += sp.weight * sum
	}
	return total
}

func (t *tables) fulfilment(s *state) float64 {
	total := 0.0
	for _, sp := range t.spans {
		sum := 0.0
		for _, l := range s.light[sp.from:sp.to] {
			sum += min(1, l)
		}
		total += sp.weight * sum
	}
	return total
}

// keeps tells whether limits are kept, with what one more choice adds.
func keeps(limits, adds []float64) bool {
	for i, l := range limits {
		if l+adds[i] > 1 {
			return false
		}
	}
	return true
}

// same is the difference in fulfilment below which two settings are as good as each other.
const same = 1e-7

// mostEffort keeps climbing from taking for ever, in values looked at: a minute or less. A dozen lamps take a hundredth of
// it; two hundred, two by two, would take hours.
const mostEffort int64 = 40_000_000_000

// spend takes effort, and tells whether to go on.
func (t *tables) spend(effort int) bool {
	*t.effort -= int64(effort)
	return *t.effort > 0 && t.ctx.Err() == nil
}

// climb improves a setting that keeps the limits until no change of one bracket, nor of two among the given candidates,
// improves it. It returns the fulfilment.
func (t *tables) climb(s *state, candidates [][]int) float64 {
	best := t.fulfilment(s)
	for {
		start := best
		for v := range s.setting {
			if !t.spend(len(t.gives[v])) {
				return best
			}
			was := s.setting[v]
			t.add(s, v, was, -1)
			to := was
			for k := range t.count(v) {
				if k == was || !keeps(s.limits, t.limitsAt(v, k)) {
					continue
				}
				if f := t.value(s.light, t.at(v, k)); f > best+same {
					best, to = f, k
				}
			}
			t.add(s, v, to, 1)
			s.setting[v] = to
		}
		if best > start+same {
			continue
		}
		for v := range s.setting {
			for u := range v {
				if !t.spend(len(candidates[u]) * len(candidates[v]) * t.points) {
					return best
				}
				best = t.climbPair(s, u, v, candidates, best)
			}
		}
		if best <= start+same {
			return t.fulfilment(s)
		}
	}
}

func (t *tables) climbPair(s *state, u, v int, candidates [][]int, best float64) float64 {
	toU, toV := s.setting[u], s.setting[v]
	wasU, wasV := toU, toV
	t.add(s, u, wasU, -1)
	t.add(s, v, wasV, -1)
	for _, i := range candidates[u] {
		t.add(s, u, i, 1)
		for _, j := range candidates[v] {
			if !keeps(s.limits, t.limitsAt(v, j)) {
				continue
			}
			if f := t.value(s.light, t.at(v, j)); f > best+same {
				best, toU, toV = f, i, j
			}
		}
		t.add(s, u, i, -1)
	}
	t.add(s, u, toU, 1)
	t.add(s, v, toV, 1)
	s.setting[u], s.setting[v] = toU, toV
	return best
}

// count is the number of choices of a bracket.
func (t *tables) count(bracket int) int { return len(t.gives[bracket]) / t.points }

// top is the most choices of each bracket, by falling score; at most so many.
func top(scores [][]float64, most int) [][]int {
	out := make([][]int, len(scores))
	for v, s := range scores {
		order := make([]int, len(s))
		for k := range order {
			order[k] = k
		}
		sort.SliceStable(order, func(i, j int) bool { return s[order[i]] > s[order[j]] })
		out[v] = order[:min(most, len(order))]
	}
	return out
}

// dimmest is a setting that keeps the limits, or else one of the least excess; the excess is the greatest share by
// which a limit is passed (below 0: none is) and which it is. It is a search over all settings, cut off where even the
// dimmest choices of the brackets left would be worse, and exact unless it ends by its budget.
func (t *tables) dimmest(near []int) (setting []int, excess float64, limit int) {
	n := len(near)
	setting = append([]int(nil), near...)
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
		return w, at
	}
	// least[v] is what brackets v and later give at the least, to each limit by itself
	least := make([][]float64, n+1)
	least[n] = make([]float64, t.limits)
	for v := n - 1; v >= 0; v-- {
		least[v] = append([]float64(nil), least[v+1]...)
		for i := range least[v] {
			m := math.Inf(1)
			for k := range t.count(v) {
				m = min(m, t.limitsAt(v, k)[i])
			}
			least[v][i] += m
		}
	}
	s := t.state(near)
	if excess, limit = worst(s.limits); excess <= 0 {
		return setting, excess, limit
	}
	current := make([]int, n)
	sum := append([]float64(nil), t.fixedLimits...)
	budget := 20_000_000 // choices looked at
	var visit func(v int)
	visit = func(v int) {
		if excess <= 0 || budget < 0 || t.ctx.Err() != nil {
			return
		}
		if v == n {
			if w, at := worst(sum); w < excess {
				excess, limit = w, at
				copy(setting, current)
			}
			return
		}
		budget -= t.count(v)
		order := make([]int, t.count(v))
		score := make([]float64, len(order))
		for k := range order {
			order[k] = k
			score[k] = math.Inf(-1)
			for i, a := range t.limitsAt(v, k) {
				score[k] = max(score[k], sum[i]+a+least[v+1][i])
			}
		}
		sort.SliceStable(order, func(i, j int) bool { return score[order[i]] < score[order[j]] })
		for _, k := range order {
			if score[k]-1 >= excess {
				return
			}
			for i, a := range t.limitsAt(v, k) {
				sum[i] += a
			}
			current[v] = k
			visit(v + 1)
			for i, a := range t.limitsAt(v, k) {
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
