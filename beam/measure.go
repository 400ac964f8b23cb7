package beam

import "math"

// How wide a beam is: where its intensity passes a share of its peak.

const (
	// steps is how finely half of a plane is searched for an edge of a distribution that may rise
	// and fall.
	steps = 2000

	// halvings bring a bracket of half a turn down to the last digit of the angle.
	halvings = 50

	// slack is the share by which a level is lowered, so that a beam that is flat at the level
	// counts as at it in spite of rounding.
	slack = 1e-12
)

// Edges looks along the plane through the beam axis in which the direction at right angles to the
// axis has the components (left, up), a unit vector, and returns the least and the greatest angle
// (rad, + toward that direction) at which the intensity is at least the given share of the peak:
// the half-peak edges for 0.5, the ends of the field angle for 0.1 (IES definitions of beam angle
// and field angle). ok is false where the plane has no such angle.
func Edges(d Distribution, share, left, up float64) (least, greatest float64, ok bool) {
	level := share * d.Peak() * (1 - slack)
	at := func(t float64) float64 {
		s, c := math.Sincos(t)
		return d.Candela(c, s*left, s*up)
	}
	end := outer(d)
	if f, is := d.(symmetric); is {
		edge := min(f.edge(share*(1-slack), left, up), end)
		return -edge, edge, true
	}
	if Falls(d) {
		return closeIn(at, level, 0, -end), closeIn(at, level, 0, end), true
	}
	past := outside(d, share)
	least, ok = outermost(at, level, -end, end/steps, past)
	if !ok {
		return 0, 0, false
	}
	greatest, _ = outermost(at, level, end, -end/steps, past)
	return least, greatest, true
}

// Edge is the greatest of Edges alone, in half of the time.
func Edge(d Distribution, share, left, up float64) (greatest float64, ok bool) {
	if _, is := d.(symmetric); is {
		_, greatest, ok = Edges(d, share, left, up)
		return greatest, ok
	}
	level, end := share*d.Peak()*(1-slack), outer(d)
	at := func(t float64) float64 {
		s, c := math.Sincos(t)
		return d.Candela(c, s*left, s*up)
	}
	if Falls(d) {
		return closeIn(at, level, 0, end), true
	}
	return outermost(at, level, end, -end/steps, outside(d, share))
}

// symmetric is a distribution that knows its edges, which are as far to either side.
type symmetric interface {
	edge(share, left, up float64) float64
}

// outer is the angle (rad) from the axis from which on a distribution is dark.
func outer(d Distribution) float64 { return math.Acos(max(-1, d.Cutoff())) }

// outside is how many steps from the outside in a distribution is known to be below a share of its
// peak.
func outside(d Distribution, share float64) int {
	b, ok := d.(interface{ Within(share float64) float64 })
	if !ok {
		return 0
	}
	end := outer(d)
	return max(0, int((end-math.Acos(b.Within(share)))/end*steps))
}

// outermost walks from start by step, of which it skips some, to the first angle that reaches the
// level and closes in on where it does.
func outermost(at func(float64) float64, level, start, step float64, skip int) (float64, bool) {
	for i := skip; i <= 2*steps; i++ {
		in := start + float64(i)*step
		switch {
		case at(in) < level:
		case i == 0:
			return in, true
		default:
			return closeIn(at, level, in, in-step), true
		}
	}
	return 0, false
}

// closeIn halves the stretch between an angle that reaches the level and one that does not.
func closeIn(at func(float64) float64, level, in, out float64) float64 {
	for range halvings {
		if mid := (in + out) / 2; at(mid) >= level {
			in = mid
		} else {
			out = mid
		}
	}
	return in
}

// FullAngle is the angle (rad) between the two directions at the given share of the peak in the
// plane of (left, up): the beam angle for 0.5, the field angle for 0.1 (IES definitions); NaN where
// there is none.
func FullAngle(d Distribution, share, left, up float64) float64 {
	least, greatest, ok := Edges(d, share, left, up)
	if !ok {
		return math.NaN()
	}
	return greatest - least
}
