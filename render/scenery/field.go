package scenery

import (
	"context"
	"math"

	"beamfall/render/draw"
)

// A field is a quantity sampled on a grid, straight between its samples. Where it leaps from one
// sample to the next, at the edge of a shadow or a crest, a sample is the mean over its cell, so
// that edges are smooth and stand where they are to a fraction of a cell.

type field struct {
	nx, ny int
	values []float64
}

// sampler fills dst with the quantity at (u + i·du, v), in cells: (0, 0) is the middle of the
// first.
type sampler func(dst []float64, u, du, v float64)

// leap is the share of the greater of two neighbours by which the slope between samples has to
// change for a leap, and faint the share of the greatest of all below which none is looked for.
// cuts is in how many parts a cell with a leap is cut.
const leap, faint, cuts = 0.15, 1e-5, 4

// newField samples nx × ny cells, 2 at least in each direction.
func newField(ctx context.Context, nx, ny int, sample sampler) (*field, error) {
	f := &field{nx: nx, ny: ny, values: make([]float64, nx*ny)}
	most := make([]float64, ny)
	draw.Rows(ny, func(j int) {
		if ctx.Err() != nil {
			return
		}
		row := f.values[j*nx : (j+1)*nx]
		sample(row, 0, 1, float64(j))
		for _, v := range row {
			most[j] = max(most[j], v)
		}
	})
	dim := 0.0
	for _, v := range most {
		dim = max(dim, faint*v)
	}
	smooth := make([]float64, len(f.values))
	draw.Rows(ny, func(j int) {
		row := smooth[j*nx : (j+1)*nx]
		copy(row, f.values[j*nx:(j+1)*nx])
		if ctx.Err() != nil {
			return
		}
		var fine []float64
		for i := 0; i < nx; {
			end := i
			for end < nx && f.leaps(end, j, dim) {
				end++
			}
			if end > i {
				fine = f.average(row, fine, i, end, j, sample)
			}
			i = end + 1
		}
	})
	f.values = smooth
	return f, ctx.Err()
}

// leaps tells whether the field leaps at a sample.
func (f *field) leaps(i, j int, dim float64) bool {
	b := f.values[j*f.nx+i]
	bends := func(a, c float64) bool {
		m := max(a, b, c)
		return m > dim && math.Abs(a-2*b+c) > leap*m
	}
	if i > 0 && i+1 < f.nx && bends(f.values[j*f.nx+i-1], f.values[j*f.nx+i+1]) {
		return true
	}
	return j > 0 && j+1 < f.ny && bends(f.values[(j-1)*f.nx+i], f.values[(j+1)*f.nx+i])
}

// average puts means over the cells from..to of row j into row. fine is memory that it hands on.
func (f *field) average(row, fine []float64, from, to, j int, sample sampler) []float64 {
	n := cuts * (to - from)
	if cap(fine) < n {
		fine = make([]float64, n)
	}
	fine = fine[:n]
	clear(row[from:to])
	const first, step = (1./cuts - 1) / 2, 1. / cuts
	for k := range cuts {
		clear(fine)
		sample(fine, float64(from)+first, step, float64(j)+first+float64(k)*step)
		for i := range fine {
			row[from+i/cuts] += fine[i] / (cuts * cuts)
		}
	}
	return fine
}

// at is the field at a place in cells, and beyond the outermost samples as there.
func (f *field) at(u, v float64) float64 {
	i, s := split(u, f.nx)
	j, t := split(v, f.ny)
	a, b := f.values[j*f.nx+i:], f.values[(j+1)*f.nx+i:]
	low, high := a[0]+s*(a[1]-a[0]), b[0]+s*(b[1]-b[0])
	return low + t*(high-low)
}

// split is the sample before a place, and how far beyond it the place is.
func split(u float64, n int) (i int, rest float64) {
	u = max(0, min(float64(n-1), u))
	i = min(int(u), n-2)
	return i, u - float64(i)
}
