package geometry

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"
)

// Ground is the surface that the vehicle drives on: a height that changes with the distance ahead,
// by a constant slope or by a profile of straight pieces, plus a constant slope to the left. The
// vehicle stands on z = 0. The zero value is level ground.
type Ground struct {
	Grade     float64 // slope, + rises ahead; unused with a profile
	CrossFall float64 // slope, + rises to the left
	Profile   []Knot  // at distances that ascend, no two alike; level beyond its ends
}

// Knot is a point of a ground profile, m.
type Knot struct {
	Ahead, Height float64
}

// piece is the index of the profile's straight piece at x: 0 before the first knot, len(Profile)
// from the last on.
func (g *Ground) piece(x float64) int {
	return sort.Search(len(g.Profile), func(i int) bool { return g.Profile[i].Ahead > x })
}

// line is the straight line that piece i lies on: height + slope·(x - x0).
func (g *Ground) line(i int) (x0, height, slope float64) {
	switch n := len(g.Profile); {
	case n == 0:
		return 0, 0, g.Grade
	case i == 0:
		return 0, g.Profile[0].Height, 0
	case i == n:
		return 0, g.Profile[n-1].Height, 0
	}
	a, b := g.Profile[i-1], g.Profile[i]
	return a.Ahead, a.Height, (b.Height - a.Height) / (b.Ahead - a.Ahead)
}

// straight tells whether the ground from x to a further x is straight, knots or not.
func (g *Ground) straight(x, further float64) bool {
	x0, height, slope := g.line(g.piece(x))
	for i := g.piece(x) + 1; i <= g.piece(further); i++ {
		if x1, height1, slope1 := g.line(i); slope1 != slope || height1 != height+slope*(x1-x0) {
			return false
		}
	}
	return true
}

// along is the height on the centreline and the slope ahead at x.
func (g *Ground) along(x float64) (height, slope float64) {
	x0, height, slope := g.line(g.piece(x))
	return height + slope*(x-x0), slope
}

// Height is z (m) of the ground at (x, y).
func (g *Ground) Height(x, y float64) float64 {
	h, _ := g.along(x)
	return h + g.CrossFall*y
}

// Normal is the unit vector upward from the ground at x. At a knot it is that of the piece ahead.
func (g *Ground) Normal(x float64) r3.Vec {
	_, slope := g.along(x)
	n := r3.Vec{X: -slope, Y: -g.CrossFall, Z: 1}
	return r3.Scale(1/norm(n), n)
}

// Level tells whether the ground is the plane z = 0.
func (g *Ground) Level() bool {
	return g.Grade == 0 && g.CrossFall == 0 && len(g.Profile) == 0
}

// over is the height of a point over the ground below it.
func (g *Ground) over(p r3.Vec) float64 { return p.Z - g.Height(p.X, p.Y) }

// horizon is a distance (m) beyond which a unit direction is parallel to the ground but for
// rounding.
const horizon = 1e9

// Hit is where a ray from p in the unit direction d first meets the ground. ok is false where it
// never does, and where p itself is not above the ground.
func (g *Ground) Hit(p, d r3.Vec) (hit r3.Vec, ok bool) {
	if g.over(p) <= 0 {
		return r3.Vec{}, false
	}
	return g.hitFrom(p, d, g.piece(p.X))
}

// hitFrom is Hit for a p above the ground whose ray does not meet the ground before piece i.
func (g *Ground) hitFrom(p, d r3.Vec, i int) (hit r3.Vec, ok bool) {
	step := 1
	if d.X < 0 {
		step = -1
	}
	for ; i >= 0 && i <= len(g.Profile); i += step {
		// Height over the piece's line is linear along the ray: over - t·fall.
		x0, height, slope := g.line(i)
		over := p.Z - g.CrossFall*p.Y - height - slope*(p.X-x0)
		fall := slope*d.X + g.CrossFall*d.Y - d.Z
		end := math.Inf(1) // t where the ray leaves the piece
		switch {
		case d.X > 0 && i < len(g.Profile):
			end = (g.Profile[i].Ahead - p.X) / d.X
		case d.X < 0 && i > 0:
			end = (g.Profile[i-1].Ahead - p.X) / d.X
		}
		if t := max(0, over/fall); fall > 0 && t <= end && t < horizon {
			hit = r3.Add(p, r3.Scale(t, d))
			hit.Z = g.Height(hit.X, hit.Y)
			return hit, true
		}
		if math.IsInf(end, 1) {
			break
		}
	}
	return r3.Vec{}, false
}

// Lookout is a place from which rays go to the ground, many of them: over a long profile it need not
// go along the ground for each.
type Lookout struct {
	ground        *Ground
	at            r3.Vec
	above         bool
	piece         int
	ahead, behind []float64 // greatest slope up to any of the knots from the place on
}

// From is a place to look at the ground from.
func (g *Ground) From(at r3.Vec) *Lookout {
	l := &Lookout{ground: g, at: at, above: g.over(at) > 0, piece: g.piece(at.X)}
	steepest := func(knots []Knot, k int) float64 {
		return (knots[k].Height + g.CrossFall*at.Y - at.Z) / math.Abs(knots[k].Ahead-at.X)
	}
	most := math.Inf(-1)
	for k := l.piece; k < len(g.Profile); k++ {
		most = max(most, steepest(g.Profile, k))
		l.ahead = append(l.ahead, most)
	}
	most = math.Inf(-1)
	for k := l.piece - 1; k >= 0; k-- {
		if g.Profile[k].Ahead < at.X {
			most = max(most, steepest(g.Profile, k))
		}
		l.behind = append(l.behind, most)
	}
	return l
}

// Hit is Ground.Hit from the place.
func (l *Lookout) Hit(d r3.Vec) (hit r3.Vec, ok bool) {
	if !l.above {
		return r3.Vec{}, false
	}
	// A ray passes all knots that are not as steep as it is. It is followed from a piece before the
	// first that is, for rounding.
	i, slope := l.piece, (d.Z-l.ground.CrossFall*d.Y)/math.Abs(d.X)
	switch {
	case d.X > 0:
		i = max(i, i+sort.SearchFloat64s(l.ahead, slope)-1)
	case d.X < 0:
		i = min(i, i-sort.SearchFloat64s(l.behind, slope)+1)
	}
	return l.ground.hitFrom(l.at, d, i)
}

// clears narrows the part of a bar from which the ground lets light through to the point q: the
// range of e for which at + e·half stands above the line from q over every knot between. lo > hi
// means none. The ground below the bar itself is taken to be one piece.
func (g *Ground) clears(q, at, half r3.Vec, lo, hi float64) (float64, float64) {
	const grazing = 1e-9 // m; rounding must not make the ground shade itself
	over := g.over(at)
	if lo, hi = keepAbove(over+grazing, g.over(r3.Add(at, half))-over, lo, hi); lo > hi || len(g.Profile) == 0 {
		return lo, hi
	}
	zq, za, zh := q.Z-g.CrossFall*q.Y, at.Z-g.CrossFall*at.Y, half.Z-g.CrossFall*half.Y
	from, to := at.X+math.Abs(half.X), q.X // knots between the bar's near end and q
	sign := 1.0
	if q.X < at.X {
		from, to, sign = q.X, at.X-math.Abs(half.X), -1
	}
	for i := g.piece(from); i < len(g.Profile) && g.Profile[i].Ahead < to; i++ {
		v := g.Profile[i]
		dx, dz := v.Ahead-q.X, v.Height-grazing-zq
		// (za + e·zh - zq)·|dx| ≥ dz·|xa + e·xh - xq|
		base := sign * (dz*(at.X-q.X) - (za-zq)*dx)
		rate := sign * (dz*half.X - zh*dx)
		if lo, hi = keepAbove(base, rate, lo, hi); lo > hi {
			break
		}
	}
	return lo, hi
}

// keepAbove narrows lo to hi to where base + e·rate ≥ 0.
func keepAbove(base, rate, lo, hi float64) (float64, float64) {
	switch {
	case rate > 0:
		lo = max(lo, -base/rate)
	case rate < 0:
		hi = min(hi, -base/rate)
	case base < 0:
		return 1, -1
	}
	return lo, hi
}
