package geometry

import (
	"context"
	"runtime"
	"slices"
	"sync"

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

// GroundField is the illuminance on the ground's own surface over a grid. It does not depend on the
// number of cores. It stops early, with the context's error, when the context ends.
func (s *Scene) GroundField(ctx context.Context, g Grid) (*Field, error) {
	all := []planes{{to: g.NY}}
	return s.field(ctx, g, 0, func(x float64) []planes {
		if normal := s.site().Ground.Normal(x); normal != all[0].normal {
			all = []planes{{to: g.NY, normal: normal}}
		}
		return all
	})
}

// FacingField is the illuminance on vertical planes that face the vehicle, at a height (m) over the
// ground. It stops early as GroundField does.
func (s *Scene) FacingField(ctx context.Context, g Grid, height float64) (*Field, error) {
	return s.field(ctx, g, height, func(x float64) []planes { return s.facingPlanes(g, x) })
}

// planes are those at the points from..to of a row of a grid: toward one normal, or facing the
// vehicle along a bend.
type planes struct {
	from, to int
	normal   r3.Vec
	bend     bool
}

// facingPlanes are the planes of a row that face the vehicle.
func (s *Scene) facingPlanes(g Grid, x float64) []planes {
	site := s.site()
	switch straight := site.Track.Straight(); {
	case !straight && x >= max(0, site.Track.From):
		return []planes{{to: g.NY, bend: true}}
	case x >= 0 && straight || x < -site.Length:
		return []planes{{to: g.NY, normal: site.Facing(x, 0)}}
	}
	var out []planes
	for j := range g.NY {
		normal := site.Facing(x, g.Y(j))
		if n := len(out); n > 0 && out[n-1].normal == normal {
			out[n-1].to = j + 1
		} else {
			out = append(out, planes{j, j + 1, normal, false})
		}
	}
	return out
}

// field lights a grid in bands of rows over one straight piece of ground, with alike planes.
func (s *Scene) field(ctx context.Context, g Grid, height float64, planesAt func(x float64) []planes) (*Field, error) {
	f := &Field{g, make([]float64, g.NX*g.NY)}
	type band struct {
		from, to int
		planes   []planes
	}
	var bands []band
	for i := range g.NX {
		is := planesAt(g.X(i))
		if n := len(bands) - 1; n >= 0 && bands[n].to-bands[n].from < tileRows && slices.Equal(is, bands[n].planes) &&
			s.site().Ground.straight(g.X(bands[n].from), g.X(i)) {
			bands[n].to = i + 1
		} else {
			bands = append(bands, band{i, i + 1, is})
		}
	}
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	tiles := sync.Pool{New: func() any { return new(tile) }}
	for _, b := range bands {
		group.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			t := tiles.Get().(*tile)
			defer tiles.Put(t)
			// Summed up in memory that stays in the cache: all of a map does not.
			result := f.Lux[b.from*g.NY : b.to*g.NY]
			lux := room(&t.band, len(result))
			site, x := s.site(), g.X(b.from)
			_, slope := site.Ground.along(x)
			for _, p := range b.planes {
				s.addLattice(lux[p.from:], g.NY, lattice{
					start: site.At(x, g.Y(p.from), height), down: r3.Vec{X: g.Step, Z: slope * g.Step},
					step: r3.Vec{Y: g.Step, Z: site.Ground.CrossFall * g.Step}, normal: p.normal, bend: p.bend,
				}, b.to-b.from, p.to-p.from, t)
			}
			copy(result, lux)
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	return f, nil
}
