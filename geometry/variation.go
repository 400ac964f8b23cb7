package geometry

import (
	"math"

	"beamfall/beam"
)

// variation is how a distribution changes with the angle. It decides how many emitters stand for a
// bar, and how far apart points may be worked out if those between are interpolated. It is found
// once for each optic, by looking along a few lines through the beam.
type variation struct {
	// greatest relative change of intensity across the beam (1/rad), down to 2^-16 of the peak; at
	// least a gaussian's
	slope    float64
	steepest float64 // the same, across or up and down
	hard     bool    // ends in a step short of 90° (a step at 90° is at one depth for a whole bar)
	searched bool    // is not sure to be brightest from the emitter straight across
	rough    bool    // has points or streaks: not to be interpolated
	pointed  bool    // its peak is a point, as of a gaussian with an exponent below 2 or of a table of straight pieces
	faint    float64 // cosine of the angle from the axis beyond which no intensity is above 2^-faintest of the peak

	bendsAcross, bendsUpDown bends
}

// faintest is how many octaves below its peak the light of a beam still counts in rows and fields:
// 2^-22 is 2.4e-7.
const faintest = 22

// bends are, in one plane through the axis, the fourth roots of the greatest fourth derivative of
// the intensity relative to itself (1/rad), by octaves below the peak: bends[k] is down to 2^-k.
// They bound the error of cubics.
type bends [faintest + 1]float64

// darkness is the same everywhere.
var darkness = variation{faint: 1}

func variationOf(d beam.Distribution, point bool) variation {
	switch {
	case d.Peak() == 0:
		return darkness
	case point && !beam.Falls(d):
		return variation{rough: true, faint: d.Cutoff()} // all that counts for a point
	}
	var v variation
	v.slope, v.hard = steepness(d, 1, 0)
	upDown, hard := steepness(d, 0, 1)
	v.hard = v.hard || hard
	v.faint = d.Cutoff()
	if beam.Falls(d) {
		v.faint = max(v.faint, math.Cos(max(faintAt(d, 1, 0), faintAt(d, 0, 1))))
	} else {
		v.slope = max(v.slope, gaussianSlope/streak(d, math.Acos(max(0, d.Cutoff()))))
	}
	v.steepest = max(v.slope, upDown)
	v.pointed = pointed(d, 1, 0) || pointed(d, 0, 1)
	v.rough = v.pointed || !beam.Falls(d)
	v.pointed = v.pointed && !point // a lamp that is a point has no parts on either side of one
	v.searched = !beam.Falls(d) || beam.FullAngle(d, 0.5, 1, 0) > 150*math.Pi/180
	if !v.rough && !v.hard {
		v.bendsAcross, v.bendsUpDown = bendsOf(d, 1, 0), bendsOf(d, 0, 1)
	}
	return v
}

// faintAt is the angle (rad) at which a falling beam is faint, in the plane of (left, up).
func faintAt(d beam.Distribution, left, up float64) float64 {
	return beam.FullAngle(d, math.Exp2(-faintest), left, up) / 2
}

// mean is the intensity at an angle in the plane of (left, up), the mean of both sides.
func mean(d beam.Distribution, angle, left, up float64) float64 {
	s, c := math.Sincos(angle)
	return (d.Candela(c, s*left, s*up) + d.Candela(c, -s*left, -s*up)) / 2
}

// steepness is the greatest relative change of intensity (1/rad) in the plane of (left, up), and
// whether the beam ends in a step there.
func steepness(d beam.Distribution, left, up float64) (slope float64, hard bool) {
	const floor, n = 0x1p-16, 512
	peak, end := d.Peak(), math.Acos(max(0, d.Cutoff()))
	at := func(angle float64) float64 { return max(floor*peak, mean(d, angle, left, up)) }
	last := at(0)
	for i := 1; i < n; i++ {
		next := at(float64(i) / n * end)
		fall := math.Abs(math.Log(next / last))
		if fall > math.Log(16) && max(last, next) > peak/16 {
			hard = true
		} else {
			slope = max(slope, fall/(end/n))
		}
		last = next
	}
	hard = hard || d.Cutoff() > 1e-9 && last > peak/16
	if edge := beam.FullAngle(d, 0.5, left, up) / 2; edge > 0 && !hard {
		slope = max(slope, gaussianSlope/edge)
	}
	return slope, hard
}

// bendsOf looks for the bends of a falling beam in the plane of (left, up), by differences of
// fourth order.
func bendsOf(d beam.Distribution, left, up float64) bends {
	const n, wide = 512, 6 // points from the axis to where it is faint; and from one to the next of a difference
	var out bends
	end := faintAt(d, left, up)
	step := end / n
	var at [n + 1 + 4*wide]float64 // from 2·wide before the axis to as many past the end
	for i := range at {
		at[i] = mean(d, math.Abs(float64(i-2*wide))*step, left, up)
	}
	for i := 2 * wide; i <= n+2*wide; i++ {
		if at[i+2*wide] == 0 { // across 90°
			break
		}
		if octave := math.Log2(d.Peak() / at[i]); octave < faintest+1 {
			fourth := math.Abs(at[i-2*wide]-4*at[i-wide]+6*at[i]-4*at[i+wide]+at[i+2*wide]) / at[i]
			k := max(0, int(octave))
			out[k] = max(out[k], math.Sqrt(math.Sqrt(fourth))/(wide*step))
		}
	}
	for k := 1; k < len(out); k++ {
		out[k] = max(out[k], out[k-1])
	}
	return out
}

// streak is the least angle (rad) across a measured beam from a streak of light to one of dark, of
// at least 3 %, along a number of lines from left to right; an emitter must stand for each.
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

// pointed tells whether the peak has a point in the plane of (left, up): near a smooth one the
// logarithm falls as the square of the angle, fourfold for twice.
func pointed(d beam.Distribution, left, up float64) bool {
	half := beam.FullAngle(d, 0.5, left, up) / 2
	fall := func(angle float64) float64 { return math.Log(d.Candela(1, 0, 0) / mean(d, angle, left, up)) }
	one, two := fall(half/16), fall(half/8)
	return two > 1e-6 && two < 3.5*one
}
