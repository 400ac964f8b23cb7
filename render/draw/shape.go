package draw

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Point is a place on a picture in pixels, or in a frame in its own units.
type Point = r2.Vec

// Rect is an upright rectangle with X0 ≤ X1 and Y0 ≤ Y1, in pixels.
type Rect struct{ X0, Y0, X1, Y1 float64 }

// Pt is shorthand for a Point.
func Pt(x, y float64) Point { return Point{X: x, Y: y} }

// R is shorthand for a Rect.
func R(x0, y0, x1, y1 float64) Rect { return Rect{x0, y0, x1, y1} }

// Around is the rectangle of width w and height h with its centre at p.
func Around(p Point, w, h float64) Rect {
	return R(p.X-w/2, p.Y-h/2, p.X+w/2, p.Y+h/2)
}

// W is the width.
func (r Rect) W() float64 { return r.X1 - r.X0 }

// H is the height.
func (r Rect) H() float64 { return r.Y1 - r.Y0 }

// Centre is the point in the middle.
func (r Rect) Centre() Point { return Pt((r.X0+r.X1)/2, (r.Y0+r.Y1)/2) }

// Inset is r made smaller by d on every side; a negative d makes it larger.
func (r Rect) Inset(d float64) Rect { return R(r.X0+d, r.Y0+d, r.X1-d, r.Y1-d) }

// Trim is r made smaller by a width of its own on each side.
func (r Rect) Trim(left, top, right, bottom float64) Rect {
	return R(r.X0+left, r.Y0+top, r.X1-right, r.Y1-bottom)
}

// Whole is r with its sides on the nearest edges of pixels.
func (r Rect) Whole() Rect {
	return R(math.Round(r.X0), math.Round(r.Y0), math.Round(r.X1), math.Round(r.Y1))
}

// Columns divides r into n columns of one width with gap between them.
func (r Rect) Columns(n int, gap float64) []Rect {
	w := (r.W() - gap*float64(n-1)) / float64(n)
	columns := make([]Rect, n)
	for i := range columns {
		x := r.X0 + float64(i)*(w+gap)
		columns[i] = R(x, r.Y0, x+w, r.Y1)
	}
	return columns
}

// Corners are the corners of r in order round it.
func (r Rect) Corners() []Point {
	return []Point{Pt(r.X0, r.Y0), Pt(r.X1, r.Y0), Pt(r.X1, r.Y1), Pt(r.X0, r.Y1)}
}

// Union is the rectangle around r and s.
func (r Rect) Union(s Rect) Rect {
	return R(min(r.X0, s.X0), min(r.Y0, s.Y0), max(r.X1, s.X1), max(r.Y1, s.Y1))
}

// Overlaps says whether r and s have an area in common; touching is not overlapping.
func (r Rect) Overlaps(s Rect) bool { return r.X0 < s.X1 && s.X0 < r.X1 && r.Y0 < s.Y1 && s.Y0 < r.Y1 }

// Contains says whether s lies within r.
func (r Rect) Contains(s Rect) bool {
	return s.X0 >= r.X0 && s.X1 <= r.X1 && s.Y0 >= r.Y0 && s.Y1 <= r.Y1
}

// Has says whether p lies in r or on its edge.
func (r Rect) Has(p Point) bool { return p.X >= r.X0 && p.X <= r.X1 && p.Y >= r.Y0 && p.Y <= r.Y1 }

// Nearest is the point of r nearest to p.
func (r Rect) Nearest(p Point) Point {
	return Pt(min(r.X1, max(r.X0, p.X)), min(r.Y1, max(r.Y0, p.Y)))
}

// Cut is the part of the line from a to b within r (Liang and Barsky's method); ok is false where
// there is none.
func (r Rect) Cut(a, b Point) (from, to Point, ok bool) {
	t0, t1 := 0.0, 1.0
	d := r2.Sub(b, a)
	for _, side := range [4][2]float64{{-d.X, a.X - r.X0}, {d.X, r.X1 - a.X}, {-d.Y, a.Y - r.Y0}, {d.Y, r.Y1 - a.Y}} {
		p, q := side[0], side[1]
		switch {
		case p == 0 && q < 0:
			return a, b, false
		case p < 0:
			t0 = max(t0, q/p)
		case p > 0:
			t1 = min(t1, q/p)
		}
	}
	if t0 > t1 {
		return a, b, false
	}
	from, to = a, b
	if t0 > 0 {
		from = r2.Add(a, r2.Scale(t0, d))
	}
	if t1 < 1 {
		to = r2.Add(a, r2.Scale(t1, d))
	}
	return from, to, true
}

// Crosses says whether the line from a to b has a point within r.
func (r Rect) Crosses(a, b Point) bool {
	_, _, ok := r.Cut(a, b)
	return ok
}

// CutLine is the parts of a line of many points within r. A point that is not a number ends a part.
func (r Rect) CutLine(line []Point) [][]Point {
	var parts [][]Point
	var part []Point
	end := func() {
		if len(part) > 1 {
			parts = append(parts, part)
		}
		part = nil
	}
	for i := 1; i < len(line); i++ {
		if !Finite(line[i-1]) || !Finite(line[i]) {
			end()
			continue
		}
		a, b, ok := r.Cut(line[i-1], line[i])
		if !ok {
			end()
			continue
		}
		if len(part) == 0 || part[len(part)-1] != a {
			end()
			part = []Point{a}
		}
		part = append(part, b)
		if b != line[i] {
			end()
		}
	}
	end()
	return parts
}

// cutArea is the part of a polygon within r (Sutherland and Hodgman's method).
func (r Rect) cutArea(area []Point) []Point {
	sides := []struct {
		in func(Point) bool
		at func(a, b Point) Point
	}{
		{func(p Point) bool { return p.X >= r.X0 }, func(a, b Point) Point { return atX(a, b, r.X0) }},
		{func(p Point) bool { return p.X <= r.X1 }, func(a, b Point) Point { return atX(a, b, r.X1) }},
		{func(p Point) bool { return p.Y >= r.Y0 }, func(a, b Point) Point { return atY(a, b, r.Y0) }},
		{func(p Point) bool { return p.Y <= r.Y1 }, func(a, b Point) Point { return atY(a, b, r.Y1) }},
	}
	var in []Point
	for _, p := range area {
		if Finite(p) {
			in = append(in, p)
		}
	}
	for _, side := range sides {
		var out []Point
		for i, b := range in {
			a := in[(i+len(in)-1)%len(in)]
			if side.in(a) != side.in(b) {
				out = append(out, side.at(a, b))
			}
			if side.in(b) {
				out = append(out, b)
			}
		}
		in = out
	}
	return in
}

func atX(a, b Point, x float64) Point {
	return Pt(x, a.Y+(b.Y-a.Y)*(x-a.X)/(b.X-a.X))
}

func atY(a, b Point, y float64) Point {
	return Pt(a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y), y)
}

// Finite says whether both coordinates are finite numbers.
func Finite(p Point) bool { return !math.IsNaN(p.X-p.X) && !math.IsNaN(p.Y-p.Y) }

// OverlapsAny says whether r overlaps one of rs.
func (r Rect) OverlapsAny(rs []Rect) bool { return slices.ContainsFunc(rs, r.Overlaps) }

// Within is the part of r in room.
func (r Rect) Within(room Rect) Rect {
	return R(max(r.X0, room.X0), max(r.Y0, room.Y0), min(r.X1, room.X1), min(r.Y1, room.Y1))
}

// Touches says whether a line of many points has a point within r.
func (r Rect) Touches(line []Point) bool {
	for i := 1; i < len(line); i++ {
		if r.Crosses(line[i-1], line[i]) {
			return true
		}
	}
	return false
}

// BoundsOf is the upright rectangle around points.
func BoundsOf(ps []Point) Rect {
	r := R(math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1))
	for _, p := range ps {
		r = R(min(r.X0, p.X), min(r.Y0, p.Y), max(r.X1, p.X), max(r.Y1, p.Y))
	}
	return r
}

// Crossing says whether the lines a–b and c–d cross between their ends.
func Crossing(a, b, c, d Point) bool {
	side := func(p, q, r Point) float64 { return r2.Cross(r2.Sub(q, p), r2.Sub(r, p)) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}
