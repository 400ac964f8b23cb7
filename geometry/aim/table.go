package aim

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync/atomic"

	"beamfall/geometry"
	"beamfall/geometry/sight"

	"golang.org/x/sync/errgroup"
)

// tables are what every way to set every bracket gives to each sample point and to each limit. They
// are filled as far as the search asks for.
type tables struct {
	problem  *Problem
	sites    int
	spans    []span
	points   int  // of all targets on all sites
	adapt    bool // something is to be seen
	choices  [][]Setting
	present  []int // how each bracket is set now, an index of its choices
	offSteps bool
	stride   int // steps from one choice to the next of those to start from
	fixed    sums
	gives    [][]sums      // of each bracket and choice; empty until it is asked for
	limits   int           // on all sites
	fixedAt  []float64     // share of what each limit allows, from lamps that are not free
	givesAt  [][][]float64 // of each bracket and choice, at each limit

	mounted  []*geometry.Scene // the lamps as they are set, on each site
	progress func(float64)
	done     atomic.Int64 // choices worked out
}

// tabulate prepares the tables and fills them: with all choices if they are few, else with some to
// start from.
func (p *Problem) tabulate(ctx context.Context, progress func(float64)) (*tables, error) {
	t := &tables{problem: p, sites: len(p.Sites), limits: len(p.Limits) * len(p.Sites), progress: progress}
	for v := range p.Brackets {
		b := &p.Brackets[v]
		choices, now := slices.Clone(b.Settings), b.Now(p.Lamps)
		at := slices.IndexFunc(choices, func(s Setting) bool { return s.moved(now) < onStep })
		if at < 0 {
			at, choices, t.offSteps = len(choices), append(choices, now), true
		}
		t.choices, t.present = append(t.choices, choices), append(t.present, at)
		t.gives, t.givesAt = append(t.gives, make([]sums, len(choices))),
			append(t.givesAt, make([][]float64, len(choices)))
	}
	t.lay()
	var fixed []int
	for i := range p.Lamps {
		if !slices.ContainsFunc(p.Brackets, func(b Bracket) bool { return slices.Contains(b.Lamps, i) }) {
			fixed = append(fixed, i)
		}
	}
	for _, s := range p.Sites {
		t.mounted = append(t.mounted, s.Scene(p.Lamps...))
	}
	t.fixed, t.fixedAt = newSums(t.points, t.adapt), t.limitShares(fixed, nil)
	t.light([]candidate{{lamps: fixed, sums: t.fixed}}, true)
	t.lightLimits()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return t, t.fill(ctx, t.first())
}

// lightLimits works out what every choice gives to every limit, which is a single point.
func (t *tables) lightLimits() {
	p := t.problem
	for v := range p.Brackets {
		b := &p.Brackets[v]
		for k, setting := range t.choices[v] {
			t.givesAt[v][k] = t.limitShares(b.Lamps, b.Aims(setting, p.Lamps))
		}
	}
}

// limitShares is what some lamps, aimed so, give to each limit on each site, as a share of what is
// allowed.
func (t *tables) limitShares(lamps []int, aims []geometry.Aim) []float64 {
	p := t.problem
	out := make([]float64, 0, t.limits)
	for site, s := range p.Sites {
		for i := range p.Limits {
			sum := 0.0
			for j, n := range lamps {
				if slices.Contains(p.litFor(i), n) {
					m := t.mounted[site].Lamps[n]
					if aims != nil {
						m = s.Reaim(&m, aims[j])
					}
					sum += p.Limits[i].lux(s.With(m), []int{0})
				}
			}
			out = append(out, min(sum/p.Limits[i].Lux, plenty))
		}
	}
	return out
}

// lay gives every target on every site its span of the points.
func (t *tables) lay() {
	p := t.problem
	weights := 0.0
	for i := range p.Targets {
		weights += p.Targets[i].Weight
		t.adapt = t.adapt || p.Targets[i].See != nil
	}
	for site := range p.Sites {
		for i := range p.Targets {
			n := p.Targets[i].points()
			t.spans = append(t.spans, span{
				site: site, from: t.points, to: t.points + n, weight: p.Targets[i].Weight / weights / float64(n),
			})
			t.points += n
		}
	}
}

// candidate is some lamps as they may be set, and what they come to.
type candidate struct {
	lamps []int
	aims  []geometry.Aim // of each; nil: as they are
	sums  sums
}

// light works out what candidates give. Dark says that what there is without any lamp is to be
// added.
func (t *tables) light(all []candidate, dark bool) {
	p := t.problem
	for site, s := range p.Sites {
		var lamps []geometry.Mounted
		for _, c := range all {
			for i, n := range c.lamps {
				m := t.mounted[site].Lamps[n]
				if c.aims != nil {
					m = s.Reaim(&m, c.aims[i])
				}
				lamps = append(lamps, m)
			}
		}
		scene := s.With(lamps...)
		t.lightTargets(all, scene, site, dark)
	}
}

// lightTargets works out what candidates give to the targets on a site, where their lamps are those
// of the scene.
func (t *tables) lightTargets(all []candidate, scene *geometry.Scene, site int, dark bool) {
	p := t.problem
	lit := p.litForTargets()
	var view *sight.View
	for i := range p.Targets {
		target, sp := &p.Targets[i], &t.spans[site*len(p.Targets)+i]
		if target.See == nil {
			lightRows(target, all, scene, sp, lit)
			continue
		}
		if view == nil {
			view = p.Look(scene)
		}
		parts := view.Over(*target.See, target.places(view))
		if sp.gains == nil {
			sp.gains = gains(view.Observer, parts)
		}
		at := 0
		for _, c := range all {
			light, adapt := c.sums.light[sp.from:sp.to], c.sums.adapt[sp.from:sp.to]
			add := func(j int, l sight.Light) {
				if !parts[j].Hidden { // else it is not seen, whatever the light
					light[j] += float32(l.Thing - l.Background)
				}
				adapt[j] += float32(l.Background + l.Veil.Sum())
			}
			for j := range parts {
				if dark {
					add(j, parts[j].Dark)
				}
				for k, n := range c.lamps {
					if slices.Contains(lit, n) {
						add(j, parts[j].Lamps[at+k])
					}
				}
			}
			at += len(c.lamps)
		}
	}
}

// lightRows works out the light that candidates give to a target.
func lightRows(target *Target, all []candidate, scene *geometry.Scene, sp *span, lit []int) {
	rows := target.rows(scene.Site)
	lux := make([]float64, sp.to-sp.from)
	at := 0
	for _, c := range all {
		var of []int
		for k, n := range c.lamps {
			if slices.Contains(lit, n) {
				of = append(of, at+k)
			}
		}
		at += len(c.lamps)
		clear(lux)
		dst, all := make([][]float64, len(rows)), make([]geometry.Row, len(rows))
		from := 0
		for i, r := range rows {
			dst[i], all[i] = lux[from:from+r.n], r.Row
			from += r.n
		}
		scene.Only(of...).AddRows(dst, all)
		for j, e := range lux {
			c.sums.light[sp.from+j] = float32(min(e/target.Lux, plenty))
		}
	}
}

// gains are those of things, the same one for sizes that differ by less than a hair.
func gains(o sight.Observer, parts []sight.Parts) []*gain {
	const hair = 0.002 // of the size; the visibility level goes at most as its square
	known, out := map[int]*gain{}, make([]*gain, len(parts))
	for i := range parts {
		k := int(math.Round(math.Log(parts[i].Arcmin) / hair))
		if known[k] == nil {
			known[k] = newGain(o, math.Exp(float64(k)*hair))
		}
		out[i] = known[k]
	}
	return out
}

// fill works out choices of brackets, on all cores: of each bracket those with these indexes, as
// far as they are not known. Those of several brackets are looked at together, since what the eye
// sees is the same for all.
func (t *tables) fill(ctx context.Context, choices [][]int) error {
	const batch = 96 // that are looked at together
	type choice struct{ bracket, index int }
	var want []choice
	for v := range choices {
		for _, k := range choices[v] {
			if t.gives[v][k].light == nil {
				want = append(want, choice{v, k})
			}
		}
	}
	total := t.done.Load() + int64(len(want))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for part := range slices.Chunk(want, batch) {
		group.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			all := make([]candidate, len(part))
			for i, c := range part {
				b := &t.problem.Brackets[c.bracket]
				all[i] = candidate{
					lamps: b.Lamps, aims: b.Aims(t.choices[c.bracket][c.index], t.problem.Lamps),
					sums: newSums(t.points, t.adapt),
				}
			}
			t.light(all, false)
			for i, c := range part {
				t.gives[c.bracket][c.index] = all[i].sums
			}
			if done := t.done.Add(int64(len(all))); t.progress != nil {
				t.progress(float64(done) / float64(total))
			}
			return nil
		})
	}
	return group.Wait()
}

// aims are those of all lamps of the problem for a setting.
func (t *tables) aims(setting []int) []geometry.Aim {
	p := t.problem
	out := make([]geometry.Aim, len(p.Lamps))
	for i, l := range p.Lamps {
		out[i] = l.Aim
	}
	for v, k := range setting {
		for i, a := range p.Brackets[v].Aims(t.choices[v][k], p.Lamps) {
			out[p.Brackets[v].Lamps[i]] = a
		}
	}
	return out
}
