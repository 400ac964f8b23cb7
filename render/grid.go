package render

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// A grid is a field of light as figures at regular places, computed once and asked by bands and contours alike, so that
// the edge of a band and the isolux line at its level are the same line.

// Grid is a field sampled at nx columns and ny rows. Column i is at X0 + i·DX and row j at Y0 + j·DY of a frame's
// values; Values[j*NX+i] is the field there. NaN is no data.
type Grid struct {
	NX, NY         int
	X0, Y0, DX, DY float64
	Values         []float64
}

// Sample is a grid over all of a frame with a sample every step pixels or a little closer, 0 < step. Field fills row
// with the values at (xs[i], y); it is called for several rows at a time from as many goroutines as can run.
func Sample(f Frame, step float64, field func(row, xs []float64, y float64)) *Grid {
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
	rows(ny, func(j int) { field(g.Values[j*nx:(j+1)*nx], xs, g.Y0+float64(j)*g.DY) })
	return g
}

// rows does a job for every row from 0 to n-1, several at a time. Each row is done by itself, so the result does not
// depend on how many.
func rows(n int, job func(j int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers < 2 {
		for j := range n {
			job(j)
		}
		return
	}
	var next atomic.Int64
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for {
				j := int(next.Add(1)) - 1
				if j >= n {
					return
				}
				job(j)
			}
		})
	}
	all.Wait()
}

// At is the field between the samples, linear along both directions; NaN outside of the grid and next to no data.
func (g *Grid) At(x, y float64) float64 {
	u, v := (x-g.X0)/g.DX, (y-g.Y0)/g.DY
	if !(u >= 0 && v >= 0 && u <= float64(g.NX-1) && v <= float64(g.NY-1)) {
		return math.NaN()
	}
	i, j := min(int(u), g.NX-2), min(int(v), g.NY-2)
	u, v = u-float64(i), v-float64(j)
	r := g.Values[j*g.NX+i:]
	s := r[g.NX:]
	a := r[0] + u*(r[1]-r[0])
	b := s[0] + u*(s[1]-s[0])
	return a + v*(b-a)
}

// darkness is the light level in lx that counts as none in Log: about that of starlight.
const darkness = 1e-3

// Log is the grid of the logarithms of light levels (lx), for bands and contours that run straight between samples on
// the logarithmic steps of the ramp. Less than 0.001 lx counts as that.
func (g *Grid) Log() *Grid {
	l := *g
	l.Values = make([]float64, len(g.Values))
	rows(g.NY, func(j int) {
		for i, v := range g.Values[j*g.NX : (j+1)*g.NX] {
			if v < darkness {
				v = darkness
			}
			l.Values[j*g.NX+i] = math.Log(v)
		}
	})
	return &l
}
