// Package aim is the inverse of the light field: which way to set the brackets so that the light
// does what it should.
//
// Two calls do it:
//
//	p := aim.Problem{
//		Sites: []*geometry.Site{site}, Lamps: lamps,
//		Brackets: brackets, Targets: targets, Look: look,
//	}
//	result, err := p.Solve(ctx, 0.5*math.Pi/180, nil)
//
// Light adds up, and so do the luminances that a driver's sight follows from. What a lamp gives to
// every sample point is worked out once for each way its bracket can be set; after that, trying a
// setting of all brackets is a sum, and one threshold for each point at which something is to be
// seen. The sought setting is the one of the greatest fulfilment that keeps every limit; among
// those that are as good as it, the one that moves the fewest brackets, by the fewest degrees.
package aim

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/geometry/sight"
)

// Problem is a rig to aim. No lamp belongs to two brackets.
type Problem struct {
	// Sites are what the lamps shine on, in each attitude that the setting is judged in: one, or
	// several that differ in the nose. The fulfilment that counts is the least among them; limits
	// hold in all.
	Sites    []*geometry.Site
	Lamps    []geometry.Lamp // as they are set now
	Lit      []int           // indexes of the lamps that are lit for the targets; nil: all
	Brackets []Bracket
	Targets  []Target
	Limits   []Limit

	// Look is the driver's view of a scene on one of the sites; needed where a target asks for
	// something to be seen.
	Look func(*geometry.Scene) *sight.View
}

// Result is a setting and what it does.
type Result struct {
	Aims          []geometry.Aim // of all lamps of the problem
	Moved         []bool         // of each bracket, whether it is to be set otherwise than it is
	Before, After float64        // fulfilment of the rig, 0 to 1
	Targets       []Met          // how far each target is met
	Limits        []Kept         // what there is at each limit
	Off           []Off          // of each bracket
	Proved        bool           // no setting on the steps has a fulfilment above After by more than Slack
	OffSteps      bool           // how some bracket is set now is not one of its steps; that was looked at all the same
}

// Change is a figure as the rig is set now, and as it is to be set.
type Change struct{ Before, After float64 }

// Met is the fulfilment of a target, and the most that a setting which keeps the limits was found
// to give it if nothing else counted.
type Met struct {
	Change
	Alone float64
}

// Kept is the illuminance (lx) at a limit, and the fulfilment that the rig was found to have
// without the limit.
type Kept struct {
	Change
	Without float64
}

// Off is what is left when one bracket is set wrong: the fulfilment of the rig with its tilt too
// great and too small by the tolerance, and the index of a limit that is then broken, -1 for none.
type Off struct {
	Down, Up             float64
	BrokenDown, BrokenUp int
}

// Slack is by how much of the fulfilment two settings may differ and still be as good as each
// other.
const Slack = 0.001

// Unmet is the error that no setting keeps all limits or, with so many brackets that not all
// settings can be looked at, that none was found to. Solve then returns the setting that breaks
// them least: whose greatest excess, as a share of what is allowed, is least.
type Unmet struct {
	Limit int       // index of the one that is broken by most
	Lux   float64   // lx there
	Lamps []float64 // lx there from each lamp of the problem

	name    string
	allowed float64
}

func (u *Unmet) Error() string {
	return fmt.Sprintf("no setting keeps every limit: %s allows %.4g lx and gets %.4g lx at the least", u.name,
		u.allowed, u.Lux)
}

// ErrNothing says that a problem has nothing to aim or to aim at.
var ErrNothing = errors.New("nothing to aim")

// Solve finds the best setting on the steps of the brackets. Off is the tilt error (rad) that [Off]
// is about. The answer is the same on every run and any number of cores. Progress, if not nil, gets
// the share done, from any goroutine.
//
// The error is ErrNothing where there is no bracket or no target; an *[Unmet] where no setting
// keeps every limit, with a result all the same; and the context's where that ends first.
func (p *Problem) Solve(ctx context.Context, off float64, progress func(float64)) (*Result, error) {
	if len(p.Brackets) == 0 || len(p.Targets) == 0 {
		return nil, ErrNothing
	}
	t, err := p.tabulate(ctx, progress)
	if err != nil {
		return nil, err
	}
	r := &Result{OffSteps: t.offSteps}
	start, excess, worst := t.dimmest(t.present)
	if excess > keepsTo {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		p.describe(ctx, r, t, start, off)
		return r, p.unmet(worst, r.Aims)
	}
	setting, proved, err := t.best(ctx, start)
	if err != nil {
		return nil, err
	}
	r.Proved = proved
	p.describe(ctx, r, t, setting, off)
	return r, ctx.Err()
}

// scenes are the lamps as aimed, on each of the sites.
func (p *Problem) scenes(aims []geometry.Aim) []*geometry.Scene {
	lamps := append([]geometry.Lamp(nil), p.Lamps...)
	for i, a := range aims {
		lamps[i].Aim = a
	}
	out := make([]*geometry.Scene, len(p.Sites))
	for i, s := range p.Sites {
		out[i] = s.Scene(lamps...)
	}
	return out
}

// Fulfilment is that of the rig and of each target, from 0 to 1, with the lamps aimed so: where
// there are several sites, on the one where that of the rig is least. That of a rig is the weighted
// mean over its targets.
func (p *Problem) Fulfilment(aims []geometry.Aim) (rig float64, targets []float64) {
	f := p.fulfilments([][]geometry.Aim{aims})[0]
	return f.rig, f.targets
}

// fulfilled is what Fulfilment gives.
type fulfilled struct {
	rig     float64
	targets []float64
}

// fulfilments are Fulfilment for several ways to aim the lamps. Most lamps are aimed alike in most
// of them: each is looked at once for every aim that it has.
func (p *Problem) fulfilments(ways [][]geometry.Aim) []fulfilled {
	const together = 32 // ways
	var out []fulfilled
	for some := range slices.Chunk(ways, together) {
		type aimed struct {
			lamp int
			aim  geometry.Aim
		}
		var lamps []geometry.Lamp
		known, lit := map[aimed]int{}, make([][]int, len(some))
		for w, aims := range some {
			for _, n := range p.litForTargets() {
				key := aimed{n, aims[n]}
				if _, ok := known[key]; !ok {
					known[key] = len(lamps)
					lamp := p.Lamps[n]
					lamp.Aim = aims[n]
					lamps = append(lamps, lamp)
				}
				lit[w] = append(lit[w], known[key])
			}
		}
		first := len(out)
		for range some {
			out = append(out, fulfilled{rig: math.Inf(1)})
		}
		for _, s := range p.Sites {
			p.fulfil(out[first:], s.Scene(lamps...), lit)
		}
	}
	return out
}

// fulfil lowers fulfilments to those by some lamps of a scene each, where that is less.
func (p *Problem) fulfil(dst []fulfilled, s *geometry.Scene, lit [][]int) {
	var view *sight.View
	each, weights := make([][]float64, len(p.Targets)), 0.0
	for i := range p.Targets {
		t := &p.Targets[i]
		if t.See != nil && view == nil {
			view = p.Look(s)
		}
		each[i] = t.fulfilments(s, view, lit)
		weights += t.Weight
	}
	for w := range dst {
		sum, targets := 0.0, make([]float64, len(p.Targets))
		for i := range p.Targets {
			targets[i] = each[i][w]
			sum += p.Targets[i].Weight * targets[i]
		}
		if sum/weights < dst[w].rig {
			dst[w] = fulfilled{sum / weights, targets}
		}
	}
}

// LuxAt is the illuminance (lx) that limit i is about with the lamps aimed so: the greatest on any
// of the sites.
func (p *Problem) LuxAt(i int, aims []geometry.Aim) float64 {
	most := 0.0
	for _, s := range p.scenes(aims) {
		most = max(most, p.Limits[i].lux(s, p.litFor(i)))
	}
	return most
}

// litFor are the lamps that count for limit i.
func (p *Problem) litFor(i int) []int {
	if lit := p.Limits[i].Lit; lit != nil {
		return lit
	}
	return p.litForTargets()
}

func (p *Problem) litForTargets() []int {
	if p.Lit != nil {
		return p.Lit
	}
	all := make([]int, len(p.Lamps))
	for i := range all {
		all[i] = i
	}
	return all
}

// describe works out what a setting does, with the light field itself and not with the tables.
func (p *Problem) describe(ctx context.Context, r *Result, t *tables, setting []int, off float64) {
	before, after := t.aims(nil), t.aims(setting)
	r.Aims = after
	ways := [][]geometry.Aim{before, after}
	for v := range p.Brackets {
		for _, by := range [2]float64{off, -off} { // down, up
			aims := slices.Clone(after)
			for _, n := range p.Brackets[v].Lamps {
				aims[n].Tilt += by
			}
			ways = append(ways, aims)
		}
	}
	found := p.fulfilments(ways)
	was, is := found[0], found[1]
	r.Before, r.After = was.rig, is.rig
	for i := range p.Targets {
		m := Met{Change{was.targets[i], is.targets[i]}, is.targets[i]}
		if len(p.Targets) > 1 {
			m.Alone = max(m.After, t.alone(ctx, i, setting))
		}
		r.Targets = append(r.Targets, m)
	}
	for i := range p.Limits {
		k := Kept{Change{p.LuxAt(i, before), p.LuxAt(i, after)}, r.After}
		if k.After > closeTo*p.Limits[i].Lux {
			k.Without = max(r.After, t.without(ctx, i, setting))
		}
		r.Limits = append(r.Limits, k)
	}
	broken := func(aims []geometry.Aim) int {
		for i := range p.Limits {
			if p.LuxAt(i, aims) > p.Limits[i].Lux*(1+keepsTo) {
				return i
			}
		}
		return -1
	}
	for v := range p.Brackets {
		r.Moved = append(r.Moved, setting[v] != t.present[v])
		down, up := 2+2*v, 3+2*v
		r.Off = append(r.Off, Off{found[down].rig, found[up].rig, broken(ways[down]), broken(ways[up])})
	}
}

// closeTo is the share of what is allowed from which on a limit may hold the rig back.
const closeTo = 0.9

// unmet is the error about the limit that a setting breaks by most.
func (p *Problem) unmet(limit int, aims []geometry.Aim) *Unmet {
	l := &p.Limits[limit]
	u := &Unmet{Limit: limit, Lux: p.LuxAt(limit, aims), Lamps: make([]float64, len(p.Lamps)), name: l.Name,
		allowed: l.Lux}
	for _, s := range p.scenes(aims) {
		for _, n := range p.litFor(limit) {
			u.Lamps[n] = max(u.Lamps[n], l.lux(s, []int{n}))
		}
	}
	return u
}

// Work is how many values Solve keeps for the settings that it looks at first: light at every
// sample point, and what goes with a setting. They take 8 bytes of memory each.
func (p *Problem) Work() int {
	points := len(p.Limits) + 8
	for i := range p.Targets {
		points += p.Targets[i].points()
	}
	settings := 0
	for _, b := range p.Brackets {
		settings += min(len(b.Settings), 2*(coarseTilts+1)*(coarseTurns+1))
	}
	return points * settings * len(p.Sites)
}
