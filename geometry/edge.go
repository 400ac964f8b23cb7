package geometry

import "math"

// edge is how far something that holds at in, and does not at out, goes on toward out: the last
// place at which it is found to hold, by halving what is between to twelve digits.
func edge(in, out float64, holds func(float64) bool) float64 {
	for math.Abs(out-in) > 1e-12*(math.Abs(in)+math.Abs(out))+1e-15 {
		if mid := (in + out) / 2; holds(mid) {
			in = mid
		} else {
			out = mid
		}
	}
	return in
}
