package geometry

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// LitArea is the area (m²), seen from above, of the ground that has at least lux, above 0, on its
// own surface. It is right to some tenths of a percent; patches below about 0.1 m² may be lost
// beside large ones. The error is that of the context.
func (s *Scene) LitArea(ctx context.Context, lux float64) (float64, error) {
	areas, err := s.LitAreas(ctx, lux)
	if err != nil {
		return 0, err
	}
	return areas[0], nil
}

// LitAreas is LitArea at several levels of light, which rise.
func (s *Scene) LitAreas(ctx context.Context, lux ...float64) ([]float64, error) {
	// A grid twice as fine is wrong by a quarter as much: one of 350 by 0.1 % or so, but for areas
	// that are thin. With very many lamps a coarser one does.
	const enough = 0.002
	first := 350
	if lamps := float64(len(s.Lamps)); lamps > 40 {
		first = max(150, int(350*math.Sqrt(40/lamps)))
	}
	areas, search := make([]float64, len(lux)), s.searchLit()
	for i, lux := range lux {
		ok, err := search.close(ctx, lux)
		if err != nil {
			return nil, err
		}
		if !ok {
			break
		}
		areas[i] = search.border.AreaOver(lux)
		for n := first; n <= 4*first; n *= 2 {
			f, err := s.GroundField(ctx, search.grid(n))
			if err != nil {
				return nil, err
			}
			before := areas[i]
			if areas[i] = f.AreaOver(lux); math.Abs(areas[i]-before) <= enough*areas[i] {
				break
			}
		}
	}
	return areas, nil
}

// Extent is a rectangle over the ground, m.
type Extent struct {
	Behind, Ahead, Right, Left float64 // x from Behind to Ahead, y from Right to Left
}

// grid covers the extent with about n points along its longer side.
func (e Extent) grid(n int) Grid {
	step := max(e.Ahead-e.Behind, e.Left-e.Right) / float64(n)
	return Grid{
		X0: e.Behind, Y0: e.Right, Step: step,
		NX: int(math.Ceil((e.Ahead-e.Behind)/step)) + 1, NY: int(math.Ceil((e.Left-e.Right)/step)) + 1,
	}
}

// With is the extent that holds another one too.
func (e Extent) With(o Extent) Extent {
	return Extent{
		Behind: min(e.Behind, o.Behind), Ahead: max(e.Ahead, o.Ahead),
		Right: min(e.Right, o.Right), Left: max(e.Left, o.Left),
	}
}

// near is the extent within a distance of a point.
func near(p r3.Vec, r float64) Extent { return Extent{p.X - r, p.X + r, p.Y - r, p.Y + r} }

// grown is the extent with a margin, a share of its longer side.
func (e Extent) grown(share float64) Extent {
	m := share * max(e.Ahead-e.Behind, e.Left-e.Right)
	return Extent{e.Behind - m, e.Ahead + m, e.Right - m, e.Left + m}
}

var nowhere = Extent{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}

// within is the part of an extent that lies in another one.
func (e Extent) within(o Extent) Extent {
	return Extent{max(e.Behind, o.Behind), min(e.Ahead, o.Ahead), max(e.Right, o.Right), min(e.Left, o.Left)}
}

// Lit is an extent that holds all ground with at least lux, above 0; ok is false where there is
// none. It closes in from one that no light of that level can leave, and goes on to what a narrow
// beam lights between the points of the grids that it closes in by.
func (s *Scene) Lit(ctx context.Context, lux float64) (e Extent, ok bool, err error) {
	search := s.searchLit()
	ok, err = search.close(ctx, lux)
	return search.Extent, ok, err
}

// litSearch closes in on lit ground, at one level of light after the other, which rise: what has
// the next one lies within what has the last.
type litSearch struct {
	*Scene
	Extent
	border *Field   // of a little more than the extent
	starts [][]Spot // lamp by lamp, once they are needed
}

func (s *Scene) searchLit() *litSearch {
	return &litSearch{Scene: s, Extent: Extent{math.Inf(-1), math.Inf(1), math.Inf(-1), math.Inf(1)}}
}

// close closes in on the ground with at least lux; ok is false where there is none.
func (l *litSearch) close(ctx context.Context, lux float64) (ok bool, err error) {
	e, err := l.closeIn(ctx, lux)
	if err != nil {
		return false, err
	}
	if l.starts == nil {
		for i := range l.Lamps {
			l.starts = append(l.starts, l.Only(i).starts(&l.Lamps[i]))
		}
	}
	for i := range l.Lamps {
		for _, spot := range l.starts[i] {
			if p := spot.At; p.X > e.Behind && p.X < e.Ahead && p.Y > e.Right && p.Y < e.Left {
				continue
			}
			if spot = l.climb(Spot{l.GroundLux(spot.At.X, spot.At.Y), spot.At}, 8); spot.Lux >= lux {
				e = e.With(near(spot.At, 0.5+0.1*l.Lamps[i].Range(spot.At)))
			}
		}
	}
	if l.Extent = e; e == nowhere {
		return false, nil
	}
	for range 16 { // until the border is dark
		if l.border, err = l.GroundField(ctx, l.grown(0.1).grid(250)); err != nil {
			return false, err
		}
		in, ok := l.border.over(lux)
		margin := 2 * l.border.Step
		lit := Extent{in.Behind + margin, in.Ahead - margin, in.Right + margin, in.Left - margin}
		if !ok || l.With(lit) == l.Extent {
			break
		}
		l.Extent = l.With(in)
	}
	return true, nil
}

// closeIn looks at grids ever smaller for those points that have at least a quarter of lux. It
// starts with E ≤ I·h/d³ on level ground for a lamp at h, E ≤ I/d² on any.
func (l *litSearch) closeIn(ctx context.Context, lux float64) (Extent, error) {
	most, high := l.mostCandela(), 0.0
	for i := range l.Lamps {
		high = max(high, l.Lamps[i].Place.Z+l.Lamps[i].Lamp.Width/2)
	}
	radius := math.Sqrt(most / lux)
	if l.site().Ground.Level() {
		radius = math.Cbrt(most * high / lux)
	}
	if !(radius > 0) {
		return nowhere, nil
	}
	e := nowhere
	for i := range l.Lamps {
		e = e.With(near(l.Lamps[i].Place, radius+l.Lamps[i].Lamp.Width/2))
	}
	if e = e.within(l.grown(0.1)); e.Ahead <= e.Behind || e.Left <= e.Right {
		return nowhere, nil
	}
	for range 6 {
		f, err := l.GroundField(ctx, e.grid(250))
		if err != nil {
			return nowhere, err
		}
		in, ok := f.over(lux / 4)
		if !ok {
			return nowhere, nil
		}
		done := (in.Ahead-in.Behind) > 0.7*(e.Ahead-e.Behind) || (in.Left-in.Right) > 0.7*(e.Left-e.Right)
		if e = in; done {
			break
		}
	}
	return e, nil
}

// over is the extent of the points with at least lux, with a margin of two steps.
func (f *Field) over(lux float64) (Extent, bool) {
	i0, i1, j0, j1 := f.NX, -1, f.NY, -1
	for i := range f.NX {
		for j := range f.NY {
			if f.At(i, j) >= lux {
				i0, i1, j0, j1 = min(i0, i), max(i1, i), min(j0, j), max(j1, j)
			}
		}
	}
	return Extent{f.X(i0 - 2), f.X(i1 + 2), f.Y(j0 - 2), f.Y(j1 + 2)}, i1 >= 0
}

// AreaOver is the area (m²) of the grid's cells that has at least lux: of each triangle of a cell
// the part cut off by the straight line between the crossings on its sides.
func (f *Field) AreaOver(lux float64) float64 {
	part := 0.0
	for i := range f.NX - 1 {
		for j := range f.NY - 1 {
			a, b, c, d := f.At(i, j), f.At(i+1, j), f.At(i, j+1), f.At(i+1, j+1)
			least, most := min(a, b, c, d), max(a, b, c, d)
			if most < lux {
				continue
			}
			if least >= lux {
				part++
				continue
			}
			if least < most/100 {
				part += stepped(lux, a, b, c, d)
				continue
			}
			middle := math.Sqrt(math.Sqrt(a * b * c * d))
			part += (triangle(lux, a, b, middle) + triangle(lux, b, d, middle) +
				triangle(lux, d, c, middle) + triangle(lux, c, a, middle)) / 4
		}
	}
	return part * f.Step * f.Step
}

// stepped is the share of a cell in which light ends in a step that has at least lux: the step
// crosses its sides half-way.
func stepped(lux float64, corners ...float64) float64 {
	in := 0
	for _, v := range corners {
		if v >= lux {
			in++
		}
	}
	return [...]float64{0, 1. / 8, 1. / 2, 7. / 8, 1}[in]
}

// triangle is the share of a triangle that has at least lux, given the values at its corners.
func triangle(lux, a, b, c float64) float64 {
	in := 0
	for _, v := range [3]float64{a, b, c} {
		if v >= lux {
			in++
		}
	}
	switch in {
	case 0:
		return 0
	case 3:
		return 1
	}
	// turn the corner that differs from the two others to the front
	odd := func(v float64) bool { return (v >= lux) == (in == 1) }
	switch {
	case odd(b):
		a, b = b, a
	case odd(c):
		a, c = c, a
	}
	share := crossingShare(lux, a, b) * crossingShare(lux, a, c)
	if in == 1 {
		return share
	}
	return 1 - share
}

// crossingShare is where between two corners the level lies, from the first, by the logarithm.
func crossingShare(lux, a, b float64) float64 {
	return math.Log(lux/a) / math.Log(b/a)
}

// LitWidth is how much (m) of the line across the track, at a distance along it (m), has at least
// lux, above 0, on the ground. What is shorter than 0.2 m may be missed.
func (s *Scene) LitWidth(along, lux float64) float64 {
	const step = 0.2
	site, end := s.site(), 0.0
	x, y := site.Track.Place(along, 0)
	for i := range s.Lamps {
		m := &s.Lamps[i]
		end = max(end, s.farthest(lux)+math.Hypot(m.Place.X-x, m.Place.Y-y)+m.Lamp.Width/2)
	}
	at := make([]float64, 2*int(math.Ceil(end/step))+1)
	first := -float64(len(at)/2) * step
	place := func(left float64) r3.Vec {
		x, y := site.Track.Place(along, left)
		return site.At(x, y, 0)
	}
	s.AddRow(at, Row{
		Start: place(first), Step: r3.Scale(step, r3.Sub(place(1), place(0))), Normal: site.Ground.Normal(x),
	})
	lit := func(left float64) bool {
		x, y := site.Track.Place(along, left)
		return s.GroundLux(x, y) >= lux
	}
	width := 0.0
	for i := 1; i < len(at); i++ {
		a, b := first+float64(i-1)*step, first+float64(i)*step
		switch {
		case at[i-1] >= lux && at[i] >= lux:
			width += step
		case at[i-1] >= lux:
			width += edge(a, b, lit) - a
		case at[i] >= lux:
			width += b - edge(b, a, lit)
		}
	}
	return width
}
