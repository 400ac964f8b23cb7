package sight

import (
	"context"
	"math"
	"slices"
	"sync"

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
// interpolated between lines of sight that are apart by some degrees, which are kept for the next
// map by the same lamps; the rest is as Parts has it: that takes some five times as long in air
// with particles. It stops early, with the context's error, when the context ends.
func (v *View) Map(ctx context.Context, t Thing, g geometry.Grid, lit []int) (*Map, error) {
	few := v.mapped.by(v, lit)
	if err := few.lookUp(ctx, t, g); err != nil {
		return nil, err
	}
	m := &Map{g, make([]float64, g.NX*g.NY)}
	err := inParallelUntil(ctx, g.NX, func(i int, _ *worker) {
		for j := range g.NY {
			p, line := few.plain(t, few.faced(Place{X: g.X(i), Y: g.Y(j)}), few.every)
			if p.Hidden {
				continue
			}
			h := few.newHaze()
			few.add(&h.dazzle, line)
			few.glowAbout(&h, &p, line)
			p.add(h)
			m.Level[i*g.NY+j] = p.See(few.every).Level
		}
	})
	return m, err
}

// mapped keeps what maps by some lamps of a view have in common, for the last ones asked for.
type mapped struct {
	sync.Mutex
	lit  []int
	last *veils
}

func (m *mapped) by(v *View, lit []int) *veils {
	m.Lock()
	defer m.Unlock()
	if m.last == nil || !slices.Equal(m.lit, lit) {
		few := v
		if !slices.Equal(lit, v.every) {
			few = Look(v.Scene.Only(lit...), v.eye.at, v.Observer, v.Around)
		}
		m.lit, m.last = slices.Clone(lit), &veils{View: few, over: make([]dazzle, veilRows*veilTurns)}
	}
	return m.last
}

// veils is a view by all of its lamps, and the veil over lines of sight in even directions, by
// their slope and their turn: each is worked out when it is first needed.
type veils struct {
	*View
	sync.Mutex
	over []dazzle // of no lamps where it has not been needed
}

// Slopes are even steps of their inverse hyperbolic sine: of the slope itself where a line of sight
// is all but level, of its logarithm where it is steep.
const (
	veilTurns  = 72   // directions, all around
	veilLevel  = 0.05 // slope up to which a line of sight is all but level
	veilStep   = 0.22 // from one to the next, times veilLevel where they are
	veilSteep  = 3    // slope beyond which the veil is taken to be the same
	veilMiddle = 26   // row of the level ones
	veilRows   = 2*veilMiddle + 1
)

// mapFineness keeps the veil within 1 %, with a mean of 0.3 %, on the track.
var mapFineness = fineness{planes: 24, nodes: 3, wide: 6, cells: 0.2}

// cells are the four rows and the four turns about a line of sight, and where it lies between them.
func (v *veils) cells(line r3.Vec) (row, turn int, up, around float64) {
	slope := line.Z / max(1e-9, math.Hypot(line.X, line.Y))
	slope = max(-veilSteep, min(veilSteep, slope))
	row, up = cell(veilMiddle+math.Asinh(slope/veilLevel)/veilStep, veilRows)
	a := math.Atan2(line.Y, line.X) / (2 * math.Pi) * veilTurns
	turn = int(math.Floor(a))
	return row, turn - 1, up, a - float64(turn)
}

func (v *veils) index(row, turn int) int {
	return row*veilTurns + (turn%veilTurns+veilTurns)%veilTurns
}

// lookUp works out the veils that the points of a grid need.
func (v *veils) lookUp(ctx context.Context, t Thing, g geometry.Grid) error {
	v.Lock()
	defer v.Unlock()
	needed := make([]bool, len(v.over))
	for i := range g.NX {
		for j := range g.NY {
			row, turn, _, _ := v.cells(v.toward(v.middle(t, Place{X: g.X(i), Y: g.Y(j)})))
			for k := range 4 {
				for n := range 4 {
					needed[v.index(row+k, turn+n)] = true
				}
			}
		}
	}
	var at []int
	var lines []r3.Vec
	for i, n := range needed {
		if !n || v.over[i].ground != nil {
			continue
		}
		sin, cos := math.Sincos(2 * math.Pi * float64(i%veilTurns) / veilTurns)
		slope := veilLevel * math.Sinh(veilStep*float64(i/veilTurns-veilMiddle))
		at, lines = append(at, i), append(lines, unit(r3.Vec{X: cos, Y: sin, Z: slope}))
	}
	v.prepare(lines)
	return inParallelUntil(ctx, len(at), func(n int, _ *worker) { v.over[at[n]] = v.dazzle(lines[n], mapFineness) })
}

// add adds the veil over a line of sight to d.
func (v *veils) add(d *dazzle, line r3.Vec) {
	row, turn, up, around := v.cells(line)
	upward := cubic(up)
	for n, b := range cubic(around) {
		for k, a := range upward {
			d.addTimes(a*b, &v.over[v.index(row+k, turn+n)])
		}
	}
}
