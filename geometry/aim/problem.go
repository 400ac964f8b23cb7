// Package aim is the inverse of the light field: which way to set the brackets so that the light does what it should.
//
// Light adds up. What a lamp gives to every sample point is worked out once for each way its bracket can be set; after
// that, trying a setting of all brackets is a sum. The sought setting is the one of the greatest fulfilment that keeps
// every limit, among all that the steps of the brackets allow.
package aim

import (
	"context"
	"math"
	"runtime"
	"sort"

	"beamfall/geometry"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"
)

// Target is light that is wanted on a stretch of the track.
type Target struct {
	Name      string
	From, To  float64 // m along the track from the bumper
	HalfWidth float64 // m to either side of the centreline
	Facing    bool    // on vertical planes that face the vehicle, Up over the ground; else on the ground's surface
	Up        float64 // m
	Lux       float64 // wanted, lx, above 0
	Weight    float64 // of its fulfilment beside that of the others, above 0
}

// Limit is light that must not be exceeded on the vertical plane that faces the vehicle, at a point over the ground.
type Limit struct {
	Name string
	At   r3.Vec  // ahead, to the left, over the ground (m)
	Lux  float64 // allowed, lx, above 0
}

// Bracket is what is set as one: a lamp, or the lamps of a pair, whose turns mirror each other.
type Bracket struct {
	Lamps  []int     // indexes of Problem.Lamps
	Mirror []bool    // for each, whether its turn is the negative
	Tilts  []float64 // rad, that it can be set to; at least one
	Turns  []float64 // rad; empty: it cannot be turned
}

// choices is the number of ways to set the bracket.
func (b *Bracket) choices() int { return len(b.Tilts) * max(1, len(b.Turns)) }

// Aims are the aims of the bracket's lamps for one choice, in the order of Lamps. Choices count from 0 through all tilts
// of the first turn, then of the next. Lamps are those of the problem.
func (b *Bracket) Aims(choice int, lamps []geometry.Lamp) []geometry.Aim {
	out := make([]geometry.Aim, len(b.Lamps))
	for i, n := range b.Lamps {
		a := lamps[n].Aim
		a.Tilt = b.Tilts[choice%len(b.Tilts)]
		if len(b.Turns) > 0 {
			a.Turn = b.Turns[choice/len(b.Tilts)]
			if b.Mirror[i] {
				a.Turn = -a.Turn
			}
		}
		out[i] = a
	}
	return out
}

// current is the choice nearest to how the bracket is set, and whether it is just that.
func (b *Bracket) current(lamps []geometry.Lamp) (choice int, exact bool) {
	best := math.Inf(1)
	for k := range b.choices() {
		off := 0.0
		for i, a := range b.Aims(k, lamps) {
			was := lamps[b.Lamps[i]].Aim
			off += math.Abs(a.Tilt-was.Tilt) + math.Abs(a.Turn-was.Turn)
		}
		if off < best-1e-12 {
			best, choice = off, k
		}
	}
	return choice, best < 1e-9
}

// nearest is all choices, those that turn the bracket least from a choice first.
func (b *Bracket) nearest(choice int) []int {
	off := func(k int) float64 {
		d := math.Abs(b.Tilts[k%len(b.Tilts)] - b.Tilts[choice%len(b.Tilts)])
		if len(b.Turns) > 0 {
			d += math.Abs(b.Turns[k/len(b.Tilts)] - b.Turns[choice/len(b.Tilts)])
		}
		return d
	}
	order := make([]int, b.choices())
	for k := range order {
		order[k] = k
	}
	sort.SliceStable(order, func(i, j int) bool { return off(order[i]) < off(order[j]) })
	return order
}

// Problem is a rig to aim. No lamp belongs to two brackets.
type Problem struct {
	Site     *geometry.Site
	Lamps    []geometry.Lamp // all that are lit, free or not
	Brackets []Bracket
	Targets  []Target
	Limits   []Limit
}

// spacing is the greatest distance (m) between the sample points of a target.
const spacing = 1

// steps is evenly spaced numbers from a to b, at most spacing apart, both ends among them.
func steps(a, b float64) []float64 {
	n := int(math.Ceil((b-a)/spacing - 1e-9))
	if n <= 0 {
		return []float64{(a + b) / 2}
	}
	out := make([]float64, n+1)
	for i := range out {
		out[i] = a + (b-a)*float64(i)/float64(n)
	}
	return out
}

// row is some of the sample points of a target, n of them.
type row struct {
	geometry.Row
	n int
}

// rows are the sample points of a target, across the track at each distance along it, and their number in all.
func (t *Target) rows(site *geometry.Site) (rows []row, points int) {
	aside := steps(-t.HalfWidth, t.HalfWidth)
	for _, s := range steps(t.From, t.To) {
		places := make([]r3.Vec, len(aside))
		normals := make([]r3.Vec, len(aside))
		for i, left := range aside {
			x, y := site.Track.Place(s, left)
			if t.Facing {
				places[i], normals[i] = site.At(x, y, t.Up), site.Facing(x, y)
				if s >= 0 {
					normals[i] = r3.Scale(-1, site.Track.Heading(s))
				}
			} else {
				places[i], normals[i] = site.At(x, y, 0), site.Ground.Normal(x)
			}
		}
		for i := 0; i < len(places); {
			n := 1
			for i+n < len(places) && normals[i+n] == normals[i] {
				n++
			}
			r := row{geometry.Row{Start: places[i], Step: r3.Vec{Y: 1}, Normal: normals[i]}, n}
			if n > 1 {
				r.Step = r3.Scale(1/float64(n-1), r3.Sub(places[i+n-1], places[i]))
			}
			rows = append(rows, r)
			i += n
		}
		points += len(places)
	}
	return rows, points
}

// Fulfilment of a target, from 0 to 1, is the mean over its sample points of min(1, E / wanted) under the lamps of a scene.
// The points are at most 1 m apart, ends and edges among them.
func (t *Target) Fulfilment(s *geometry.Scene) float64 {
	rows, points := t.rows(s.Site)
	sum := 0.0
	for _, r := range rows {
		for i := range r.n {
			sum += min(1, s.Lux(r3.Add(r.Start, r3.Scale(float64(i), r.Step)), r.Normal)/t.Lux)
		}
	}
	return sum / float64(points)
}

// LuxAt is the illuminance (lx) that a limit is about, under the lamps of a scene.
func (l *Limit) LuxAt(s *geometry.Scene) float64 { return s.FacingLux(l.At.X, l.At.Y, l.At.Z) }

// Total is the weighted mean of the fulfilments of targets, one for each, from 0 to 1; 0 where there are none.
func Total(targets []Target, fulfilments []float64) float64 {
	sum, weights := 0.0, 0.0
	for i, t := range targets {
		sum += t.Weight * fulfilments[i]
		weights += t.Weight
	}
	if weights == 0 {
		return 0
	}
	return sum / weights
}

// tables are what every choice of every bracket gives: to each sample point as a share of what is wanted there, and to
// each limit as a share of what is allowed.
type tables struct {
	ctx    context.Context // ends the search; what has been found by then is no answer
	effort *int64          // left for climbing, in values looked at; what has been found when it ends is the answer

	spans  []span      // of the points, one for each target
	points int         // in all
	fixed  []float64   // by lamps that are not free, at each point
	gives  [][]float32 // of each bracket: choice · points + point

	limits      int
	fixedLimits []float64
	givesLimits [][]float64 // of each bracket: choice · limits + limit
}

// plenty is the greatest share that is told apart from more: where next to nothing is wanted or allowed, shares could be
// larger than numbers are.
const plenty = 1e6

// span is the points of one target, each with the same weight in the fulfilment of the rig.
type span struct {
	from, to int
	weight   float64
}

func (t *tables) at(bracket, choice int) []float32 {
	return t.gives[bracket][choice*t.points : (choice+1)*t.points]
}

func (t *tables) limitsAt(bracket, choice int) []float64 {
	return t.givesLimits[bracket][choice*t.limits : (choice+1)*t.limits]
}

// tabulate works out the tables on all cores. Progress, if not nil, is told the share done, from any goroutine.
func (p *Problem) tabulate(ctx context.Context, progress func(float64)) (*tables, error) {
	t := &tables{ctx: ctx, effort: new(int64), limits: len(p.Limits)}
	var rows []geometry.Row
	var cuts []int // start of each row among the points
	weights := 0.0
	for _, target := range p.Targets {
		weights += target.Weight
	}
	for i := range p.Targets {
		of, _ := p.Targets[i].rows(p.Site)
		from := t.points
		for _, r := range of {
			rows, cuts = append(rows, r.Row), append(cuts, t.points)
			t.points += r.n
		}
		t.spans = append(t.spans, span{from, t.points, p.Targets[i].Weight / weights / float64(t.points-from)})
	}
	cuts = append(cuts, t.points)
	wanted := func(i int) float64 { return p.Targets[i].Lux }

	free := map[int]bool{}
	for _, b := range p.Brackets {
		for _, n := range b.Lamps {
			free[n] = true
		}
	}
	mounted := p.Site.Scene(p.Lamps...)
	var fixed []int
	for i := range p.Lamps {
		if !free[i] {
			fixed = append(fixed, i)
		}
	}
	work := func(s *geometry.Scene, lux []float64, limits []float64) {
		clear(lux)
		dst := make([][]float64, len(rows))
		for i := range rows {
			dst[i] = lux[cuts[i]:cuts[i+1]]
		}
		s.AddRows(dst, rows)
		for i, sp := range t.spans {
			for j := sp.from; j < sp.to; j++ {
				lux[j] = min(lux[j]/wanted(i), plenty)
			}
		}
		for i := range p.Limits {
			limits[i] = min(p.Limits[i].LuxAt(s)/p.Limits[i].Lux, plenty)
		}
	}
	t.fixed, t.fixedLimits = make([]float64, t.points), make([]float64, t.limits)
	work(mounted.Only(fixed...), t.fixed, t.fixedLimits)

	type job struct{ bracket, choice int }
	var jobs []job
	for i := range p.Brackets {
		n := p.Brackets[i].choices()
		t.gives = append(t.gives, make([]float32, n*t.points))
		t.givesLimits = append(t.givesLimits, make([]float64, n*t.limits))
		for k := range n {
			jobs = append(jobs, job{i, k})
		}
	}
	const batch = 16
	var group *errgroup.Group
	group, ctx = errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for start := 0; start < len(jobs); start += batch {
		group.Go(func() error {
			lux := make([]float64, t.points)
			for _, j := range jobs[start:min(start+batch, len(jobs))] {
				if err := ctx.Err(); err != nil {
					return err
				}
				b := &p.Brackets[j.bracket]
				var lamps []geometry.Mounted
				for i, a := range b.Aims(j.choice, p.Lamps) {
					lamps = append(lamps, p.Site.Reaim(&mounted.Lamps[b.Lamps[i]], a))
				}
				work(p.Site.With(lamps...), lux, t.limitsAt(j.bracket, j.choice))
				for i, v := range lux {
					t.at(j.bracket, j.choice)[i] = float32(v)
				}
			}
			if progress != nil {
				progress(float64(start) / float64(len(jobs)))
			}
			return nil
		})
	}
	return t, group.Wait()
}

// Work is the number of values that Solve keeps or looks through, for all choices of all brackets: light at every sample
// point, and what goes with a choice. They take 4 bytes of memory each, and time in proportion.
func (p *Problem) Work() int64 {
	const choice, limit = 40, 4 // a choice in lists, and with its score in a dozen bounds; a limit, in two copies of 8 bytes
	work, choices := choice+limit*len(p.Limits), 0
	for i := range p.Targets {
		_, points := p.Targets[i].rows(p.Site)
		work += points
	}
	for i := range p.Brackets {
		choices += p.Brackets[i].choices()
	}
	return int64(work) * int64(choices)
}
