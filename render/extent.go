package render

import (
	"context"
	"math"

	"beamfall/geometry"
)

// How much ground a picture shows: the vehicle, the ground that is lit as one would call it lit,
// and some room.

// shownLevels are light levels (lx). A plan holds all ground that has the first of them that the
// lamps reach.
var shownLevels = [...]float64{3, 1, 0.3}

// litGround is the least extent of all ground with the first of shownLevels that a scene reaches.
func litGround(ctx context.Context, s *geometry.Scene) (e geometry.Extent, ok bool, err error) {
	for _, lux := range shownLevels {
		if e, ok, err = s.Lit(ctx, lux); ok || err != nil {
			break
		}
	}
	if !ok || err != nil {
		return e, false, err
	}
	// Lit returns more than what is lit, so close in on it.
	step := max(e.Ahead-e.Behind, e.Left-e.Right) / 250
	for _, lux := range shownLevels {
		f, err := s.GroundField(ctx, geometry.Grid{
			X0: e.Behind, Y0: e.Right, Step: step,
			NX: 1 + int((e.Ahead-e.Behind)/step), NY: 1 + int((e.Left-e.Right)/step),
		})
		if err != nil {
			return e, false, err
		}
		if in, ok := litOf(f, lux); ok {
			return in, true, nil
		}
	}
	return e, true, nil // the lit patch is so small that the grid missed it
}

// litOf is the extent of what has so much light in a field, and a step around; ok is false where
// nothing has.
func litOf(f *geometry.Field, lux float64) (e geometry.Extent, ok bool) {
	e = nowhere()
	for i := range f.NX {
		for j := range f.NY {
			if f.At(i, j) >= lux {
				e = e.With(geometry.Extent{
					Behind: f.X(i - 1), Ahead: f.X(i + 1), Right: f.Y(j - 1), Left: f.Y(j + 1),
				})
			}
		}
	}
	return e, e.Behind < e.Ahead
}

func nowhere() geometry.Extent {
	return geometry.Extent{Behind: math.Inf(1), Ahead: math.Inf(-1), Right: math.Inf(1), Left: math.Inf(-1)}
}

// ground is the extent of a subject's vehicle and lit ground, and of the axis hits not far beyond.
func (s Subject) ground(ctx context.Context) (geometry.Extent, error) {
	e := s.onGround()
	lit, ok, err := litGround(ctx, s.Scene)
	if err != nil {
		return e, err
	}
	if ok {
		e = e.With(lit)
	} else {
		e = e.With(geometry.Extent{Behind: 0, Ahead: 25, Right: -8, Left: 8})
	}
	const near = 1.3 // a hit this many times as far out is still worth showing
	for i := range s.Scene.Lamps {
		if p, ok := s.Scene.Site.AxisHit(&s.Scene.Lamps[i]); ok &&
			p.X <= near*max(e.Ahead, 10) && p.X >= near*min(e.Behind, -10) &&
			math.Abs(p.Y) <= near*max(e.Left, -e.Right, 10) {
			e = e.With(geometry.Extent{Behind: p.X, Ahead: p.X, Right: p.Y, Left: p.Y})
		}
	}
	return e, nil
}

// withRoom is an extent with room around it and the vehicle in the middle: as much to the left as
// to the right.
func withRoom(e geometry.Extent) geometry.Extent {
	room := max(2, 0.05*max(e.Ahead-e.Behind, e.Left-e.Right))
	side := max(e.Left, -e.Right) + room
	return geometry.Extent{Behind: min(e.Behind, 0) - room, Ahead: max(e.Ahead, 0) + room, Right: -side, Left: side}
}
