package lm63

import "math"

// An axis is the ascending angles along one side of a table and the way to find an angle's place among them: a bucket
// index, so that even steps and steps that vary a hundredfold are found alike without a search through all.
type axis struct {
	nodes     []float64 // rad
	inverse   []float64 // 1 / (nodes[i+1] - nodes[i])
	start     []int32   // start[b] is the last node at or below bucket b's lower end
	perBucket float64   // buckets per radian
}

// rim is how far outside the table's angles (rad) a direction still counts as on its last one: rounding should not
// darken it.
const rim = 1e-9

func newAxis(nodes []float64) axis {
	n := len(nodes)
	a := axis{nodes: nodes, inverse: make([]float64, n-1)}
	for i := range a.inverse {
		a.inverse[i] = 1 / (nodes[i+1] - nodes[i])
	}
	buckets := 4 * n
	width := (nodes[n-1] - nodes[0]) / float64(buckets)
	a.perBucket = 1 / width
	a.start = make([]int32, buckets+1)
	at := 0
	for b := range a.start {
		for at < n-2 && nodes[at+1] <= nodes[0]+float64(b)*width {
			at++
		}
		a.start[b] = int32(at)
	}
	return a
}

// place is the cell that angle lies in and the fraction of the way through it; ok is false outside the axis and for NaN.
func (a *axis) place(angle float64) (cell int, fraction float64, ok bool) {
	nodes := a.nodes
	if !(angle >= nodes[0]-rim && angle <= nodes[len(nodes)-1]+rim) {
		return 0, 0, false
	}
	b := min(max(int((angle-nodes[0])*a.perBucket), 0), len(a.start)-2)
	low, high := int(a.start[b]), int(a.start[b+1])+1
	for high-low > 1 {
		if mid := (low + high) / 2; nodes[mid] <= angle {
			low = mid
		} else {
			high = mid
		}
	}
	return low, min(max((angle-nodes[low])*a.inverse[low], 0), 1), true
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

// belts are the weights of the nodes in the integral over solid angle of the broken line, per radian of azimuth: the
// line times sin of the angle from the pole, or cos of the elevation. With the cell's middle m, h = 2u its width and the
// line's two hat functions 1/2 ± (p-m)/h:
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
