package beam

import "math"

// Edges looks along the plane through the beam axis in which the direction at right angles to the axis has the
// components (left, up), a unit vector, and returns the least and the greatest angle (rad, + toward that direction)
// at which the intensity is at least the given share of the peak: the half-peak edges for 0.5, the ends of the field
// angle for 0.1 (IES definitions of beam angle and field angle). ok is false where the plane has no such angle.
func Edges(d Distribution, share, left, up float64) (least, greatest float64, ok bool) {
	level := share * d.Peak()
	at := func(t float64) float64 {
		s, c := math.Sincos(t)
		return d.Candela(c, s*left, s*up)
	}
	end := math.Acos(math.Max(-1, d.Cutoff()))
	const steps = 2000
	least, ok = outermost(at, level, -end, end/steps)
	if !ok {
		return 0, 0, false
	}
	greatest, _ = outermost(at, level, end, -end/steps)
	return least, greatest, true
}

// outermost walks from start by step to the first angle that reaches the level and closes in on where it does.
func outermost(at func(float64) float64, level, start, step float64) (float64, bool) {
	const least = 1e-12
	level *= 1 - least
	n := int(math.Round(2 * math.Abs(start/step)))
	if at(start) >= level {
		return start, true
	}
	for i := 1; i <= n; i++ {
		in := start + float64(i)*step
		if i == n/2 {
			in = 0
		}
		if at(in) < level {
			continue
		}
		out := in - step
		for range 60 {
			mid := (in + out) / 2
			if at(mid) >= level {
				in = mid
			} else {
				out = mid
			}
		}
		return in, true
	}
	return 0, false
}

// FullAngle is the angle (rad) between the two directions at the given share of the peak in the plane of (left, up):
// the beam angle for 0.5, the field angle for 0.1; NaN where there is none.
func FullAngle(d Distribution, share, left, up float64) float64 {
	least, greatest, ok := Edges(d, share, left, up)
	if !ok {
		return math.NaN()
	}
	return greatest - least
}
