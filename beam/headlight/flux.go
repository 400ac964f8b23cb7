package headlight

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// The flux of a headlight is its intensity over the screen, where dΩ = dx dy / (1+x²+y²)^(3/2). The
// sums go by columns, in panels that are fine around the cut-off and the bend of it and ever wider
// away from them: the beam is smooth on the scale of its distance to them.

const (
	nodes   = 8            // of the rule of each panel
	finest  = 0.1 * degree // the first panels, of a blur's size
	coarser = 2            // each panel is as wide as what lies between it and the middle
)

var node, weight = func() (x, w [nodes]float64) {
	quad.Legendre{}.FixedLocations(x[:], w[:], 0, 1)
	return x, w
}()

// FluxInto is the flux (lm) into the half-space on the side of a vector given along the lamp's
// axes, to 1e-4 of the beam's.
func (b *Beam) FluxInto(ahead, left, up float64) float64 {
	right := -left * b.side
	end := math.Sqrt(1/sq(b.cutoff) - 1)
	breaks := graded(nil, 0, end)
	if right != 0 { // where the plane's line crosses the cut-off, whose light it may cut off within no distance
		breaks = graded(breaks, -(ahead+up*b.edge.level)/right, end)
	}
	slices.Sort(breaks)
	total := 0.0
	for i := 1; i < len(breaks); i++ {
		from, width := breaks[i-1], breaks[i]-breaks[i-1]
		for k := range node {
			if x := from + width*node[k]; width > 0 {
				total += width * weight[k] * b.column(x, ahead+right*x, up, end)
			}
		}
	}
	return total
}

// column is the flux per x at x, of the part where level + up·y > 0.
func (b *Beam) column(x, level, up, end float64) float64 {
	low, high := -end, end
	switch bound := -level / up; {
	case up > 0:
		low = max(low, bound)
	case up < 0:
		high = min(high, bound)
	case level <= 0:
		return 0
	}
	breaks := graded(nil, b.edge.height(x), end)
	slices.Sort(breaks)
	total := 0.0
	for i := 1; i < len(breaks); i++ {
		from, to := max(low, breaks[i-1]), min(high, breaks[i])
		if from >= to {
			continue
		}
		for k := range node {
			y := from + (to-from)*node[k]
			r2 := 1 + x*x + y*y
			total += (to - from) * weight[k] * b.at(x, y) / (r2 * math.Sqrt(r2))
		}
	}
	return total
}

// graded adds bounds of panels on both sides of a middle, from -end to end.
func graded(bounds []float64, middle, end float64) []float64 {
	for _, v := range []float64{-end, middle, end} {
		bounds = append(bounds, max(-end, min(end, v)))
	}
	for d := finest; d < 2*end; d *= coarser {
		for _, v := range []float64{middle - d, middle + d} {
			if -end < v && v < end {
				bounds = append(bounds, v)
			}
		}
	}
	return bounds
}
