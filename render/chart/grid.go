package chart

import (
	"math"

	"beamfall/render/draw"
)

// A grid is a field as figures at regular places, computed once and asked by bands and contours
// alike, so that the edge of a band and the line at its level are the same line.

// Grid is a field sampled at nx columns and ny rows. Column i is at X0 + i·DX and row j at Y0 +
// j·DY of a frame's values; Values[j*NX+i] is the field there. NaN is no data.
type Grid struct {
	NX, NY         int
	X0, Y0, DX, DY float64
	Values         []float64 // not to be changed once they are drawn

	banded *banded // kept with the grid, for bands and lines are drawn of the same
}

// Sample is a grid over all of a frame with a sample every step pixels or a little closer, 0 <
// step. Field fills row with the values at (xs[i], y); it is called for several rows at a time from
// as many goroutines as can run.
func Sample(f Frame, step float64, field func(row, xs []float64, y float64)) *Grid {
	return SampleRows(f, step, func(rows [][]float64, xs, ys []float64) {
		for j, row := range rows {
			field(row, xs, ys[j])
		}
	})
}

// SampleRows is Sample by several rows at a time: field fills rows[j] with the values at (xs[i],
// ys[j]).
func SampleRows(f Frame, step float64, field func(rows [][]float64, xs, ys []float64)) *Grid {
	nx := max(2, 1+int(math.Ceil(f.Box.W()/step)))
	ny := max(2, 1+int(math.Ceil(f.Box.H()/step)))
	g := &Grid{
		NX: nx, NY: ny,
		X0: f.Across.From, DX: (f.Across.To - f.Across.From) / float64(nx-1),
		Y0: f.Up.From, DY: (f.Up.To - f.Up.From) / float64(ny-1),
		Values: make([]float64, nx*ny),
	}
	xs := make([]float64, nx)
	for i := range xs {
		xs[i] = g.X0 + float64(i)*g.DX
	}
	const batch = 64
	draw.Rows((ny+batch-1)/batch, func(b int) {
		var rows [][]float64
		var ys []float64
		for j := b * batch; j < min((b+1)*batch, ny); j++ {
			rows, ys = append(rows, g.Values[j*nx:(j+1)*nx]), append(ys, g.Y0+float64(j)*g.DY)
		}
		field(rows, xs, ys)
	})
	return g
}
