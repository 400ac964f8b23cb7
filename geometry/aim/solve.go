package aim

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"

	"beamfall/geometry"
)

// Result is the best setting and what it does.
type Result struct {
	Aims          []geometry.Aim // of all lamps of the problem
	Before, After float64        // fulfilment of the rig, 0 to 1
	Targets       []TargetResult
	Limits        []LimitResult
	Brackets      []BracketResult
	Bound         float64 // no setting has a greater fulfilment
	Proved        bool    // no setting has a greater fulfilment than After, but for 1e-7
}

// TargetResult is the fulfilment of a target: as set before, as set after, and the most that some setting that keeps the
// limits was found to give it if nothing else counted.
type TargetResult struct {
	Before, After, Alone float64
}

// LimitResult is the illuminance (lx) at a limit, and the fulfilment that the rig was found to have without this limit.
type LimitResult struct {
	Before, After float64
	Without       float64
}

// BracketResult is what is lost when one bracket is set wrong: the fulfilment of the rig with its tilt off by + and by -
// the tolerance, and the index of a limit that is then passed, -1 for none.
type BracketResult struct {
	Down, Up         float64 // fulfilment that is left
	PassDown, PassUp int
}

// Unmet is the error that no setting keeps all limits, or, with so many brackets that not all settings can be looked at, that
// none was found to. It tells the closest miss: the setting whose worst excess, as a share of what is allowed, is least.
type Unmet struct {
	Limit   Limit   // that is passed by most
	Least   float64 // lx, that the closest setting gives
	Setting []geometry.Aim
}

func (u *Unmet) Error() string {
	return fmt.Sprintf("no tilt keeps every limit: %s allows %.4g lx and gets %.4g lx at the least", u.Limit.Name, u.Limit.Lux, u.Least)
}

// ErrNothing says that a problem has nothing to aim or to aim at.
var ErrNothing = errors.New("nothing to aim")

// Solve finds the best setting on the steps of the brackets. Off is the tilt error (rad) that BracketResult is told for.
// It is the same on every run and any number of cores. Progress, if not nil, is told the share done, from any goroutine.
//
// The error is ErrNothing where there is no bracket or no target, an *[Unmet] where no setting keeps every limit, and the
// context's where that ends first.
func (p *Problem) Solve(ctx context.Context, off float64, progress func(float64)) (*Result, error) {
	if len(p.Brackets) == 0 || len(p.Targets) == 0 {
		return nil, ErrNothing
	}
	t, err := p.tabulate(ctx, progress)
	if err != nil {
		return nil, err
	}
	near := make([]int, len(p.Brackets))
	asIs := true
	for i := range p.Brackets {
		exact := false
		near[i], exact = p.Brackets[i].current(p.Lamps)
		asIs = asIs && exact
	}
	start, excess, limit := t.dimmest(near)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if excess > 1e-12 {
		l := p.Limits[limit]
		aims := p.aims(start)
		return nil, &Unmet{l, l.LuxAt(p.aimed(p.Site.Scene(p.Lamps...), aims)), aims}
	}
	setting, value, bound, proved := t.best(start)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	setting = t.restore(p, setting, near, value)
	r := &Result{Aims: p.aims(setting), Bound: bound, Proved: proved}
	p.describe(r, t, setting, off)
	return r, ctx.Err()
}

// best is the search from a setting that keeps the limits.
func (t *tables) best(start []int) (setting []int, value, bound float64, proved bool) {
	none := make([][]int, len(start))
	*t.effort = mostEffort
	s := t.state(start)
	value = t.climb(s, none)
	setting = append(setting, s.setting...)
	try := func(from []int, candidates [][]int) {
		s := t.state(from)
		for _, l := range s.limits {
			if l > 1 {
				return
			}
		}
		if v := t.climb(s, candidates); v > value+same {
			value = v
			copy(setting, s.setting)
		}
	}
	bounds := t.bounds(t.state(setting), value)
	candidates := top(bounds[0].score, 16)
	first := make([]int, len(start))
	for v := range first {
		first[v] = candidates[v][0]
	}
	try(first, candidates)
	try(setting, candidates)
	random := rand.New(rand.NewPCG(1, 2)) // the same on every run
	for range 6 {
		from := make([]int, len(start))
		for v := range from {
			from[v] = candidates[v][random.IntN(len(candidates[v]))]
		}
		try(from, candidates)
	}
	setting, value, proved, _ = t.improve(setting, value, bounds)
	bound = value
	if !proved {
		bound = max(value, bounds[0].value())
	}
	return setting, value, bound, proved
}

// restore moves brackets back toward how they are set as far as that costs nothing, so that of many settings that do
// the same the one of least work is given: all of them if that can be, else one after the other, each as near as it may.
func (t *tables) restore(p *Problem, setting, near []int, value float64) []int {
	fits := func(s *state) bool {
		for _, l := range s.limits {
			if l > 1 {
				return false
			}
		}
		return t.fulfilment(s) >= value-same
	}
	if fits(t.state(near)) {
		return near
	}
	s := t.state(setting)
	for range 4 {
		moved := false
		for v := range s.setting {
			was := s.setting[v]
			for _, k := range p.Brackets[v].nearest(near[v]) {
				if k == was {
					break
				}
				t.move(s, v, k)
				if fits(s) {
					moved = true
					break
				}
				t.move(s, v, was)
			}
		}
		if !moved {
			break
		}
	}
	return s.setting
}

// aims are those of all lamps for a setting.
func (p *Problem) aims(setting []int) []geometry.Aim {
	out := make([]geometry.Aim, len(p.Lamps))
	for i, l := range p.Lamps {
		out[i] = l.Aim
	}
	for v, k := range setting {
		for i, a := range p.Brackets[v].Aims(k, p.Lamps) {
			out[p.Brackets[v].Lamps[i]] = a
		}
	}
	return out
}

// describe works out what a setting does, with the light field itself and not with the tables.
func (p *Problem) describe(r *Result, t *tables, setting []int, off float64) {
	before := p.Site.Scene(p.Lamps...)
	after := p.aimed(before, r.Aims)
	var was, is []float64
	parts := len(p.Targets) + len(p.Limits)
	for i := range p.Targets {
		was = append(was, p.Targets[i].Fulfilment(before))
		is = append(is, p.Targets[i].Fulfilment(after))
		r.Targets = append(r.Targets, TargetResult{was[i], is[i], t.only(i).quick(setting, parts)})
	}
	r.Before, r.After = Total(p.Targets, was), Total(p.Targets, is)
	for i := range p.Limits {
		without := t.without(i)
		r.Limits = append(r.Limits, LimitResult{p.Limits[i].LuxAt(before), p.Limits[i].LuxAt(after), without.quick(setting, parts)})
	}
	for _, b := range p.Brackets {
		at := func(off float64) (float64, int) {
			aims := append([]geometry.Aim(nil), r.Aims...)
			for _, n := range b.Lamps {
				aims[n].Tilt += off
			}
			s := p.aimed(before, aims)
			var fulfilments []float64
			for i := range p.Targets {
				fulfilments = append(fulfilments, p.Targets[i].Fulfilment(s))
			}
			passed := -1
			for i := range p.Limits {
				if p.Limits[i].LuxAt(s) > p.Limits[i].Lux*(1+1e-9) {
					passed = i
				}
			}
			return Total(p.Targets, fulfilments), passed
		}
		var b BracketResult
		b.Down, b.PassDown = at(off)
		b.Up, b.PassUp = at(-off)
		r.Brackets = append(r.Brackets, b)
	}
}

func (p *Problem) aimed(s *geometry.Scene, aims []geometry.Aim) *geometry.Scene {
	lamps := make([]geometry.Mounted, len(aims))
	for i, a := range aims {
		lamps[i] = p.Site.Reaim(&s.Lamps[i], a)
	}
	return p.Site.With(lamps...)
}

// only is the tables with one target alone.
func (t *tables) only(target int) *tables {
	c := *t
	c.spans = []span{t.spans[target]}
	c.spans[0].weight = 1 / float64(c.spans[0].to-c.spans[0].from)
	return &c
}

// without is the tables with one limit lifted.
func (t *tables) without(limit int) *tables {
	c := *t
	lift := func(from []float64) []float64 {
		out := append([]float64(nil), from...)
		for i := limit; i < len(out); i += t.limits {
			out[i] = 0
		}
		return out
	}
	c.fixedLimits = lift(t.fixedLimits)
	c.givesLimits = nil
	for _, g := range t.givesLimits {
		c.givesLimits = append(c.givesLimits, lift(g))
	}
	return &c
}

// quick is the fulfilment that climbing from a setting comes to, with a part of the effort.
func (t *tables) quick(setting []int, parts int) float64 {
	*t.effort = mostEffort / int64(parts)
	return t.climb(t.state(setting), make([][]int, len(setting)))
}
