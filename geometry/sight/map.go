package sight

import (
	"context"
	"math"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Map is how well a thing is seen anywhere on the ground, at the points of a grid.
type Map struct {
	geometry.Grid
	Level []float64 // visibility level at point (i, j), [i·NY + j]; 0 where ground or body hide the thing
}

// At is the visibility level at point (i, j).
func (m *Map) At(i, j int) float64 { return m.Level[i*m.NY+j] }

// Map works out where a thing is seen by the light of the lamps with these indexes. The veil is
// interpolated between places that are apart by some degrees and a share of their distance, the
// rest is as Parts has it: that takes some five times as long in air with particles. It stops
// early, with the context's error, when the context ends.
func (v *View) Map(ctx context.Context, t Thing, g geometry.Grid, lit []int) (*Map, error) {
	lamps := make([]geometry.Mounted, len(lit))
	all := make([]int, len(lit))
	for k, i := range lit {
		lamps[k], all[k] = v.Scene.Lamps[i], k
	}
	few := Look(v.Scene.Site.With(lamps...), v.eye.at, v.Observer, v.Around)
	veils, err := few.lattice(ctx, t, g)
	if err != nil {
		return nil, err
	}
	m := &Map{g, make([]float64, g.NX*g.NY)}
	err = inParallelUntil(ctx, g.NX, func(i int, _ *worker) {
		for j := range g.NY {
			x, y := g.X(i), g.Y(j)
			p, line := few.plain(t, few.faced(Place{X: x, Y: y}), few.every)
			if p.Hidden {
				continue
			}
			h := few.newHaze()
			veils.add(&h.dazzle, x, y)
			few.glowAbout(&h, &p, line)
			p.add(h)
			m.Level[i*g.NY+j] = p.See(all).Level
		}
	})
	return m, err
}

// lattice is the veil over a thing at places on circles about the eye that grow by a constant
// share, at even angles.
type lattice struct {
	x, y    float64  // below the eye
	veils   []dazzle // by circle and direction; those that no point of the map needs are empty
	circles int
}

const (
	latticeTurns = 72   // directions, all around
	latticeFirst = 0.5  // radius of the first circle, m
	latticeStep  = 0.15 // growth from one to the next, of the logarithm
)

func (l *lattice) radius(k int) float64 { return latticeFirst * math.Exp(latticeStep*float64(k)) }

// cells are the four circles and the four directions about a place, and where it lies between them.
func (l *lattice) cells(x, y float64) (circle, turn int, out, around float64) {
	dx, dy := x-l.x, y-l.y
	r := max(latticeFirst, math.Hypot(dx, dy))
	circle, out = cell(math.Log(r/latticeFirst)/latticeStep, l.circles)
	a := math.Atan2(dy, dx) / (2 * math.Pi) * latticeTurns
	turn = int(math.Floor(a))
	return circle, turn - 1, out, a - float64(turn)
}

func (l *lattice) index(circle, turn int) int {
	return circle*latticeTurns + (turn%latticeTurns+latticeTurns)%latticeTurns
}

// lattice works out the veil at the places that the points of a grid need.
func (v *View) lattice(ctx context.Context, t Thing, g geometry.Grid) (*lattice, error) {
	l := &lattice{x: v.eye.at.X, y: v.eye.at.Y}
	far := 0.0
	for _, i := range [2]int{0, g.NX - 1} {
		for _, j := range [2]int{0, g.NY - 1} {
			far = max(far, math.Hypot(g.X(i)-l.x, g.Y(j)-l.y))
		}
	}
	l.circles = max(4, 3+int(math.Log(max(1, far/latticeFirst))/latticeStep))
	l.veils = make([]dazzle, l.circles*latticeTurns)
	needed := make([]bool, len(l.veils))
	for i := range g.NX {
		for j := range g.NY {
			circle, turn, _, _ := l.cells(g.X(i), g.Y(j))
			for k := range 4 {
				for n := range 4 {
					needed[l.index(circle+k, turn+n)] = true
				}
			}
		}
	}
	var at []int
	for i, n := range needed {
		if n {
			at = append(at, i)
		}
	}
	height := t.Height / 2
	if t.Lies {
		height = 0
	}
	lines := make([]r3.Vec, len(at))
	for n, i := range at {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%latticeTurns) / latticeTurns)
		r := l.radius(i / latticeTurns)
		lines[n] = v.toward(v.Scene.Site.At(l.x+r*cos, l.y+r*sin, height))
	}
	v.prepare(lines)
	err := inParallelUntil(ctx, len(at), func(n int, _ *worker) { l.veils[at[n]] = v.dazzle(lines[n], usualFineness) })
	return l, err
}

// add adds the veil over the thing at a place to d.
func (l *lattice) add(d *dazzle, x, y float64) {
	circle, turn, out, around := l.cells(x, y)
	outward := cubic(out)
	for n, b := range cubic(around) {
		for k, a := range outward {
			d.addTimes(a*b, &l.veils[l.index(circle+k, turn+n)])
		}
	}
}
