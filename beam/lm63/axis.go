package lm63

import "math"

// An axis is the ascending angles along one side of a table and the way to find a point's place
// among them, without an arctangent: a picture asks for millions.
//
// The point (x, y) is looked up by its way round the square |x| + |y| = 1,
//
//	d = y / (|x| + |y|)   for x ≥ 0,   2 - d or -2 - d   for x < 0,
//
// which ascends with its angle from -2 to 2, one unit a quarter turn, and costs one division. The
// axis cuts the quarters that it touches into buckets. Each knows the angle as a cubic of d, and
// the first node that may matter.
type axis struct {
	nodes     []float64 // rad
	cells     []cell
	buckets   []bucket
	first     float64 // d where the first bucket begins, whole
	wrap      bool    // angles run from 0 to 2π, not from -π to π
	low, high float64 // rad; the ends with the rim
}

// A cell is the way from one node to the next.
type cell struct {
	from, to float64 // rad
	inverse  float64 // 1 / (to - from)
}

// In a quarter turn tan(angle) = d/(1-d), and d(angle)/dd = 1/(d² + (1-d)²). Hermite's cubic
// through the angle and its slope at both ends of a bucket stays within 1e-10 rad of it. c holds
// its coefficients in the bucket's own 0 … 1.
type bucket struct {
	c    [4]float64
	cell int
}

const perQuarter = 256 // buckets

// rim is how far outside the table's angles (rad) a direction still counts as on its last one:
// rounding should not darken it.
const rim = 1e-9

func newAxis(nodes []float64, wrap bool) axis {
	n := len(nodes)
	a := axis{nodes: nodes, wrap: wrap, cells: make([]cell, n-1), low: nodes[0] - rim, high: nodes[n-1] + rim}
	for i := range a.cells {
		a.cells[i] = cell{nodes[i], nodes[i+1], 1 / (nodes[i+1] - nodes[i])}
	}
	a.cells[n-2].to = math.Inf(1) // the search in place ends here
	a.first = math.Floor(a.low / (math.Pi / 2))
	quarters := int(math.Ceil(a.high/(math.Pi/2)) - a.first)
	a.buckets = make([]bucket, quarters*perQuarter)
	at := 0
	for b := range a.buckets {
		low, slopeLow := square(a.first + float64(b)/perQuarter)
		high, slopeHigh := square(a.first + float64(b+1)/perQuarter)
		slopeLow, slopeHigh = slopeLow/perQuarter, slopeHigh/perQuarter
		for low-rim >= a.cells[at].to {
			at++
		}
		a.buckets[b] = bucket{cell: at, c: [4]float64{
			low, slopeLow, 3*(high-low) - 2*slopeLow - slopeHigh, 2*(low-high) + slopeLow + slopeHigh,
		}}
	}
	return a
}

// square is the angle (rad) and its slope at d on the square.
func square(d float64) (angle, slope float64) {
	quarter := math.Floor(d)
	d -= quarter
	return quarter*math.Pi/2 + math.Atan2(d, 1-d), 1 / (d*d + (1-d)*(1-d))
}

// place is the cell that the angle of (x, y) lies in and the fraction of the way through it; ok is
// false outside the axis and for NaN.
func (a *axis) place(y, x float64) (in int, fraction float64, ok bool) {
	d := 0.0
	if s := math.Abs(x) + math.Abs(y); s != 0 {
		d = y / s
	}
	if x < 0 {
		d = math.Copysign(2, y) - d
	}
	if a.wrap && d < 0 {
		d += 4
	}
	d = (d - a.first) * perQuarter
	if !(d >= 0 && d < float64(len(a.buckets))) {
		return 0, 0, false
	}
	b := &a.buckets[int(d)]
	d -= float64(int(d))
	angle := b.c[0] + d*(b.c[1]+d*(b.c[2]+d*b.c[3]))
	if angle < a.low || angle > a.high {
		return 0, 0, false
	}
	in = b.cell
	for angle >= a.cells[in].to {
		in++
	}
	c := &a.cells[in]
	fraction = (angle - c.from) * c.inverse
	if fraction < 0 {
		fraction = 0
	}
	if fraction > 1 {
		fraction = 1
	}
	return in, fraction, true
}

// trapezia are the weights of the nodes in the integral of the broken line through values at them.
func trapezia(nodes []float64) []float64 {
	w := make([]float64, len(nodes))
	for i := range len(nodes) - 1 {
		h := nodes[i+1] - nodes[i]
		w[i] += h / 2
		w[i+1] += h / 2
	}
	return w
}

// belts are the weights of the nodes in the integral over solid angle of the broken line, per
// radian of azimuth: the line times sin of the angle from the pole, or cos of the elevation. With
// the cell's middle m, h = 2u its width and the line's two hat functions 1/2 ± (p-m)/h:
//
//	∫ sin p dp = 2 sin m sin u,   ∫ (p-m) sin p dp = 2 cos m (sin u - u cos u)
func belts(nodes []float64, fromPole bool) []float64 {
	w := make([]float64, len(nodes))
	for i := range len(nodes) - 1 {
		m, u := (nodes[i]+nodes[i+1])/2, (nodes[i+1]-nodes[i])/2
		sin, cos := math.Sincos(m)
		if !fromPole {
			sin, cos = cos, -sin
		}
		area := 2 * sin * math.Sin(u)
		moment := 2 * cos * (math.Sin(u) - u*math.Cos(u)) / (2 * u)
		w[i] += area/2 - moment
		w[i+1] += area/2 + moment
	}
	return w
}
