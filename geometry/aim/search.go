package aim

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sort"

	"golang.org/x/sync/errgroup"
)

// A setting is a choice for every bracket, by its index. The search climbs from several settings,
// one bracket at a time and then two at a time, and so finds a good one quickly. Where there are
// few enough settings, it then goes through all of them, but for those that a bound shows to be no
// better: that proves the best one.

// same is how little more a setting has to be worth to count as better.
const same = 1e-7

// keepsTo is by how much, as a share, a limit may be passed and still be kept: what single lamps
// give is added up in another order than the light of all.
const keepsTo = 1e-9

// slack is [Slack] less what the tables may be off: they are in single precision, and thresholds of
// what is to be seen are tabulated.
func (t *tables) slack() float64 {
	if t.adapt {
		return 0.8 * Slack
	}
	return 0.99 * Slack
}

// sumOf is what a setting gives, without the brackets to skip.
func (t *tables) sumOf(setting []int, skip ...int) (sums, []float64) {
	s, limits := newSums(t.points, t.adapt), slices.Clone(t.fixedAt)
	copy(s.light, t.fixed.light)
	copy(s.adapt, t.fixed.adapt)
	for v, k := range setting {
		if slices.Contains(skip, v) {
			continue
		}
		s.set(s, t.gives[v][k])
		for i, a := range t.givesAt[v][k] {
			limits[i] += a
		}
	}
	return s, limits
}

// keeps tells whether limits hold with what a choice adds to them.
func keeps(limits, adds []float64) bool {
	for i, l := range limits {
		if l+adds[i] > 1+keepsTo {
			return false
		}
	}
	return true
}

// worth is the fulfilment of a setting, and whether it keeps the limits.
func (t *tables) worth(setting []int) (float64, bool) {
	last := len(setting) - 1
	s, limits := t.sumOf(setting, last)
	k := setting[last]
	return t.value(s, t.gives[last][k]), keeps(limits, t.givesAt[last][k])
}

// known are the choices of each bracket that have been worked out.
func (t *tables) known() [][]int {
	out := make([][]int, len(t.choices))
	for v := range out {
		for k := range t.choices[v] {
			if t.gives[v][k].light != nil {
				out[v] = append(out[v], k)
			}
		}
	}
	return out
}

// complete tells whether all choices have been worked out.
func (t *tables) complete() bool {
	for v, known := range t.known() {
		if len(known) < len(t.choices[v]) {
			return false
		}
	}
	return true
}

// best is the search from a setting that keeps the limits. Where only some of the choices have been
// worked out, it goes on to those around the best of them, in ever smaller steps.
func (t *tables) best(ctx context.Context, start []int) (setting []int, proved bool, err error) {
	setting = start
	for step := t.stride; ; {
		if err := t.fillNear(ctx, setting, step); err != nil {
			return nil, false, err
		}
		before := slices.Clone(setting)
		if setting, err = t.climbs(ctx, setting); err != nil {
			return nil, false, err
		}
		if t.complete() || step == 1 && slices.Equal(before, setting) {
			break
		}
		step = max(1, step/2)
	}
	value, _ := t.worth(setting)
	if t.complete() {
		setting, proved = t.exhaust(ctx, setting, value)
		value, _ = t.worth(setting)
	}
	return t.leastWork(ctx, setting, value), proved, ctx.Err()
}

// climbs climbs from a setting and from some others, and returns the best that it comes to.
func (t *tables) climbs(ctx context.Context, start []int) ([]int, error) {
	const random = 6
	among := t.known()
	starts := [][]int{start}
	pick := rand.New(rand.NewPCG(1, 2)) // the same on every run
	for range random {
		s := make([]int, len(start))
		for v := range s {
			s[v] = among[v][pick.IntN(len(among[v]))]
		}
		starts = append(starts, s)
	}
	values := make([]float64, len(starts))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range starts {
		group.Go(func() error {
			values[i] = t.climb(ctx, starts[i], among)
			return ctx.Err()
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	best := 0
	for i, v := range values {
		if v > values[best]+same {
			best = i
		}
	}
	return starts[best], nil
}

// climb improves a setting until no change of one bracket, nor of two, improves it: of one to any
// of the given choices, of two to those that are the best for each alone. It returns the
// fulfilment; that of a setting which keeps not all limits, and that no change of a bracket mends,
// is -1.
func (t *tables) climb(ctx context.Context, setting []int, among [][]int) float64 {
	const (
		few         = 12 // choices of each of two brackets
		mostInPairs = 40 // brackets; of more there are too many pairs
	)
	best, keeping := t.worth(setting)
	if !keeping {
		best = -1
	}
	for ctx.Err() == nil {
		was := best
		top := make([][]int, len(setting))
		for v := range setting {
			scores := t.each(setting, v, among[v])
			order := slices.Clone(among[v])
			sort.SliceStable(order, func(i, j int) bool { return scores[order[i]] > scores[order[j]] })
			if k := order[0]; scores[k] > best+same {
				best, setting[v] = scores[k], k
			}
			top[v] = order[:min(few, len(order))]
		}
		if best > was+same {
			continue
		}
		if best < 0 {
			return best
		}
		if len(setting) > mostInPairs {
			break
		}
		for v := range setting {
			for u := range v {
				best = t.climbTwo(setting, u, v, top[u], top[v], best)
			}
		}
		if !(best > was+same) {
			break
		}
	}
	return best
}

// each is the fulfilment with one bracket set each way, by choice; -1 where that breaks a limit.
func (t *tables) each(setting []int, v int, among []int) []float64 {
	s, limits := t.sumOf(setting, v)
	scores := make([]float64, len(t.choices[v]))
	for _, k := range among {
		scores[k] = -1
		if keeps(limits, t.givesAt[v][k]) {
			scores[k] = t.value(s, t.gives[v][k])
		}
	}
	return scores
}

// climbTwo sets two brackets as well as they can be among some choices, if that is better than
// best.
func (t *tables) climbTwo(setting []int, u, v int, amongU, amongV []int, best float64) float64 {
	s, limits := t.sumOf(setting, u, v)
	both, with := newSums(t.points, t.adapt), make([]float64, t.limits)
	for _, i := range amongU {
		both.set(s, t.gives[u][i])
		for n, a := range t.givesAt[u][i] {
			with[n] = limits[n] + a
		}
		for _, j := range amongV {
			if !keeps(with, t.givesAt[v][j]) {
				continue
			}
			if f := t.value(both, t.gives[v][j]); f > best+same {
				best, setting[u], setting[v] = f, i, j
			}
		}
	}
	return best
}

// first are the choices to start from: all of them where they are few enough, else some spread over
// the range and how the bracket is set now. It sets stride, how many steps they are apart.
func (t *tables) first() [][]int {
	total := 0
	for v := range t.choices {
		total += len(t.choices[v])
	}
	t.stride = 1
	if t.cost(total) > affordable {
		for v := range t.choices {
			tilts, turns := axes(t.choices[v])
			t.stride = max(t.stride, (len(tilts)+coarseTilts-1)/coarseTilts, (len(turns)+coarseTurns-1)/coarseTurns)
		}
	}
	out := make([][]int, len(t.choices))
	for v := range out {
		out[v] = t.grid(v, t.stride)
	}
	return out
}

const (
	// affordable is how many looks at a point the tables may take to fill: a few seconds.
	affordable = 2_000_000
	// coarseTilts and coarseTurns are about how many of each there are to start from where there
	// are too many.
	coarseTilts, coarseTurns = 9, 6
	// lookLight is what light on a point costs beside a look at a thing.
	lookLight = 0.01
)

// cost is the work of filling the tables for a number of choices, in looks at a thing.
func (t *tables) cost(choices int) float64 {
	sum := 0.0
	for i := range t.spans {
		each := lookLight
		if t.problem.Targets[i%len(t.problem.Targets)].See != nil {
			each = 1
		}
		sum += each * float64(t.spans[i].to-t.spans[i].from)
	}
	return sum * float64(choices)
}

// grid are the choices of a bracket on every so many of its steps in tilt and in turn, its ends,
// and how it is set now.
func (t *tables) grid(v, stride int) []int {
	return t.onGrid(v, func(i, n int) bool { return i%stride == 0 || i == n-1 }, func(i, n int) bool {
		return i%stride == 0 || i == n-1
	})
}

// onGrid are the choices of a bracket for which tilt and turn both say yes, and how it is set now.
// They are asked about step i of n.
func (t *tables) onGrid(v int, tilt, turn func(i, n int) bool) []int {
	tilts, turns := axes(t.choices[v])
	var out []int
	for k, s := range t.choices[v] {
		if k == t.present[v] || tilt(step(tilts, s.Tilt), len(tilts)) && turn(step(turns, s.Turn), len(turns)) {
			out = append(out, k)
		}
	}
	return out
}

// axes are the different tilts and turns that settings have, ascending.
func axes(settings []Setting) (tilts, turns []float64) {
	for _, s := range settings {
		tilts, turns = append(tilts, s.Tilt), append(turns, s.Turn)
	}
	near := func(a, b float64) bool { return math.Abs(b-a) < onStep }
	slices.Sort(tilts)
	slices.Sort(turns)
	return slices.CompactFunc(tilts, near), slices.CompactFunc(turns, near)
}

// step is the index of a value among those of an axis.
func step(axis []float64, value float64) int { return sort.SearchFloat64s(axis, value-onStep) }

// fillNear works out the choices of a setting, and of each bracket those a number of steps away
// from it in tilt or in turn.
func (t *tables) fillNear(ctx context.Context, setting []int, steps int) error {
	want := make([][]int, len(setting))
	for v, k := range setting {
		tilts, turns := axes(t.choices[v])
		near := func(at int) func(i, n int) bool {
			return func(i, n int) bool { return i == at || i == max(0, at-steps) || i == min(n-1, at+steps) }
		}
		at := t.choices[v][k]
		want[v] = t.onGrid(v, near(step(tilts, at.Tilt)), near(step(turns, at.Turn)))
	}
	return t.fill(ctx, want)
}
