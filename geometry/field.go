package geometry

import (
	"context"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"
)

// Grid is NX × NY points over the ground, seen from above: (X0 + i·Step, Y0 + j·Step), in metres.
type Grid struct {
	X0, Y0 float64
	Step   float64
	NX, NY int
}

// X is the distance ahead of the points of row i.
func (g Grid) X(i int) float64 { return g.X0 + float64(i)*g.Step }

// Y is the distance to the left of the points of column j.
func (g Grid) Y(j int) float64 { return g.Y0 + float64(j)*g.Step }

// Field is the illuminance (lx) over a grid; the value of point (i, j) is Lux[i·NY + j].
type Field struct {
	Grid
	Lux []float64
}

// At is the value (lx) of point (i, j).
func (f *Field) At(i, j int) float64 { return f.Lux[i*f.NY+j] }

// GroundField is the illuminance on the ground's own surface over a grid. It does not depend on the number of cores.
// It stops early, with the context's error, when the context ends.
func (s *Scene) GroundField(ctx context.Context, g Grid) (*Field, error) {
	return s.field(ctx, g, func(dst []float64, x float64, w *work) {
		s.addRow(dst, s.rowAcross(x, g.Y0, g.Step, 0, s.Site.Ground.Normal(x)), w)
	})
}

// FacingField is the illuminance on vertical planes that face the vehicle, at a height (m) over the ground. It stops
// early as GroundField does.
func (s *Scene) FacingField(ctx context.Context, g Grid, height float64) (*Field, error) {
	return s.field(ctx, g, func(dst []float64, x float64, w *work) {
		for j := 0; j < len(dst); {
			normal, n := s.Site.Facing(x, g.Y(j)), 1
			for j+n < len(dst) && s.Site.Facing(x, g.Y(j+n)) == normal {
				n++
			}
			s.addRow(dst[j:j+n], s.rowAcross(x, g.Y(j), g.Step, height, normal), w)
			j += n
		}
	})
}

// rowAcross is a row of points across at x, from y to the left, at a height over the ground.
func (s *Scene) rowAcross(x, y, step, height float64, normal r3.Vec) Row {
	return Row{s.Site.At(x, y, height), r3.Vec{Y: step, Z: s.Site.Ground.CrossFall * step}, normal}
}

func (s *Scene) field(ctx context.Context, g Grid, addRow func(dst []float64, x float64, w *work)) (*Field, error) {
	f := &Field{g, make([]float64, g.NX*g.NY)}
	var next atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range min(runtime.GOMAXPROCS(0), g.NX) {
		group.Go(func() error {
			var w work
			for {
				i := int(next.Add(1)) - 1
				if i >= g.NX {
					return nil
				}
				if err := ctx.Err(); err != nil {
					return err
				}
				addRow(f.Lux[i*g.NY:(i+1)*g.NY], g.X(i), &w)
			}
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	return f, nil
}
