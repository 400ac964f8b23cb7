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

// rounding is how far (m) beyond the end of a piece of the ground a ray still meets it: one toward
// a knot meets the ground there, and does not slip over it.
const rounding = 1e-9

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
		if t := max(0, over/fall); fall > 0 && t <= end+rounding && t < horizon {
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

// Lookout is a place from which rays go to the ground, many of them: over a long profile it need
// not go along the ground for each.
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
	// A ray passes all knots that are not as steep as it is, and is followed from the first that is.
	i, slope := l.piece, (d.Z-l.ground.CrossFall*d.Y)/math.Abs(d.X)
	const hair = 1e-12 // for rounding
	slope -= hair * (1 + math.Abs(slope))
	switch {
	case d.X > 0:
		i += sort.SearchFloat64s(l.ahead, slope)
	case d.X < 0:
		i -= sort.SearchFloat64s(l.behind, slope)
	}
	return l.ground.hitFrom(l.at, d, i)
}

// clears narrows the part of a bar from which the ground lets light through to the point q: the
// range of e for which at + e·half stands above the line from q over every knot between. lo > hi
// means none. The ground below the bar itself is taken to be one piece. knots are those over the
// bar, if they are known.
func (g *Ground) clears(q, at, half r3.Vec, knots *knotsOver, lo, hi float64) (float64, float64) {
	const grazing = 1e-9 // m; rounding must not make the ground shade itself
	over := g.over(at)
	lo, hi = keepAbove(over+grazing, g.over(r3.Add(at, half))-over, lo, hi)
	if lo > hi || len(g.Profile) == 0 || knots != nil && knots.clear(g, q, at, half) {
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

// knotsOver is, for either end of a bar, the greatest slope from it to any of the knots of a long
// profile up to each, ahead of the bar and behind it.
type knotsOver struct {
	first, last   int // of the knots ahead the nearest, and of those behind
	ahead, behind [2][]float64
}

// knotsOver is nil for a profile that is not long.
func (g *Ground) knotsOver(at, half r3.Vec) *knotsOver {
	const long = 16
	if len(g.Profile) < long {
		return nil
	}
	x := math.Abs(half.X)
	k := &knotsOver{first: g.piece(at.X + x), last: g.piece(at.X-x) - 1}
	for end, p := range [2]r3.Vec{r3.Sub(at, half), r3.Add(at, half)} {
		z, most := p.Z-g.CrossFall*p.Y, math.Inf(-1)
		for i := k.first; i < len(g.Profile); i++ {
			most = max(most, (g.Profile[i].Height-z)/(g.Profile[i].Ahead-p.X))
			k.ahead[end] = append(k.ahead[end], most)
		}
		most = math.Inf(-1)
		for i := k.last; i >= 0; i-- {
			if dx := p.X - g.Profile[i].Ahead; dx > 0 {
				most = max(most, (g.Profile[i].Height-z)/dx)
			}
			k.behind[end] = append(k.behind[end], most)
		}
	}
	return k
}

// clear tells whether no knot stands higher than the lines from both ends of a bar to a point: then
// none shades any of the bar. False where it has not been found out.
func (k *knotsOver) clear(g *Ground, q, at, half r3.Vec) bool {
	zq := q.Z - g.CrossFall*q.Y
	for end, p := range [2]r3.Vec{r3.Sub(at, half), r3.Add(at, half)} {
		between, slopes := 0, k.ahead[end]
		if q.X < at.X {
			slopes = k.behind[end]
			between = k.last + 1 - g.piece(q.X)
		} else {
			between = g.piece(q.X) - k.first
		}
		if between <= 0 {
			continue
		}
		if dx := math.Abs(q.X - p.X); dx == 0 || slopes[between-1] > (zq-p.Z+g.CrossFall*p.Y)/dx {
			return false
		}
	}
	return true
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
