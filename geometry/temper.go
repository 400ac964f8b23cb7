package geometry

import (
	"math"

	"beamfall/beam"
)

// What a beam is like decides how it may be summed: how steeply it falls, whether it ends in a step or peaks in a point, and
// whether it is streaked. That is found out once, by looking along a few lines through it.

// temper is how a distribution changes with the angle, which decides how many emitters stand for a bar, and how far
// apart the points of a row may be worked out.
type temper struct {
	steep    float64 // greatest relative change of intensity across the beam (1/rad), down to 2^-16 of the peak; as of a gaussian at least
	steepest float64 // the same, across or up and down
	hard     bool    // ends in a step short of 90° (a step at 90° is at one depth for a whole bar)
	searched bool    // is not sure to be brightest from the emitter straight across
	rough    bool    // has steps, points or streaks: not to be interpolated
	pointed  bool    // has a peak with a point, as a gaussian of an exponent below 2 or a table of straight pieces
}

func temperOf(d beam.Distribution) temper {
	var t temper
	t.steep, t.hard = steepness(d, 1, 0)
	upDown, hard := steepness(d, 0, 1)
	if !beam.Falls(d) {
		t.steep = max(t.steep, gaussianSteep/streak(d, math.Acos(max(0, d.Cutoff()))))
	}
	t.steepest = max(t.steep, upDown)
	t.pointed = pointed(d, 1, 0) || pointed(d, 0, 1)
	t.rough = t.hard || hard || t.pointed || !beam.Falls(d)
	t.searched = !beam.Falls(d) || beam.FullAngle(d, 0.5, 1, 0) > 150*math.Pi/180
	return t
}

// steepness is the greatest relative change of intensity (1/rad) in the plane of (left, up), and whether the beam ends
// in a step there.
func steepness(d beam.Distribution, left, up float64) (steep float64, hard bool) {
	const floor, n = 0x1p-16, 512
	peak, end := d.Peak(), math.Acos(max(0, d.Cutoff()))
	at := func(angle float64) float64 {
		s, c := math.Sincos(angle)
		return max(floor*peak, (d.Candela(c, s*left, s*up)+d.Candela(c, -s*left, -s*up))/2)
	}
	last := at(0)
	for i := 1; i < n; i++ {
		next := at(float64(i) / n * end)
		fall := math.Abs(math.Log(next / last))
		if fall > math.Log(16) && max(last, next) > peak/16 {
			hard = true
		} else {
			steep = max(steep, fall/(end/n))
		}
		last = next
	}
	hard = hard || d.Cutoff() > 1e-9 && last > peak/16
	if edge := beam.FullAngle(d, 0.5, left, up) / 2; edge > 0 && !hard {
		steep = max(steep, gaussianSteep/edge)
	}
	return steep, hard
}

// streak is the least angle (rad) across a measured beam from a streak of light to one of dark, of at least 3 %, along a
// number of lines from left to right; an emitter must stand for each.
func streak(d beam.Distribution, end float64) float64 {
	const lines, n, tell, floor = 15, 1024, 0.03, 1. / 64
	least := 2 * end
	for line := range lines {
		su, cu := math.Sincos(end * (2*float64(line)/(lines-1) - 1))
		turned, rising, extreme := math.Inf(-1), true, 0.0
		at := -end
		for i := 0; i <= n; i++ {
			angle := end * (2*float64(i)/n - 1)
			s, c := math.Sincos(angle)
			v := d.Candela(c*cu, s, c*su)
			switch margin := tell * max(extreme, floor*d.Peak()); {
			case rising == (v >= extreme):
				extreme, at = v, angle
			case math.Abs(v-extreme) > margin:
				least = min(least, at-turned)
				turned, rising, extreme, at = at, !rising, v, angle
			}
		}
	}
	return max(least, end/n)
}

// pointed tells whether the peak has a point in the plane of (left, up): near a smooth one the logarithm falls as the
// square of the angle, fourfold for twice.
func pointed(d beam.Distribution, left, up float64) bool {
	edge := beam.FullAngle(d, 0.5, left, up) / 2
	fall := func(angle float64) float64 {
		s, c := math.Sincos(angle)
		return math.Log(2 * d.Candela(1, 0, 0) / (d.Candela(c, s*left, s*up) + d.Candela(c, -s*left, -s*up)))
	}
	one, two := fall(edge/16), fall(edge/8)
	return two > 1e-6 && two < 3.5*one
}
