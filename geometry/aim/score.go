package aim

import (
	"math"

	"beamfall/geometry/sight"
)

// What a setting is worth at a point follows from two sums over the lamps. Where light is wanted it
// is E / wanted. Where a thing is to be seen, it is the difference C in luminance between the thing
// and its background, and the luminance L that the eye is adapted to: the visibility level is |C| /
// ΔL, and ΔL depends on L, on the size of the thing and on the sign of C. The threshold takes a
// dozen powers and logarithms, so for each size it is tabulated over L.

// sums are the two sums at every sample point: of the lamps that stay as they are, of one way to
// set a bracket, or of a setting of all.
type sums struct {
	light []float32 // E / wanted, or C, cd/m²
	adapt []float32 // L, cd/m²; empty where nothing is to be seen
}

func newSums(points int, adapt bool) sums {
	s := sums{light: make([]float32, points)}
	if adapt {
		s.adapt = make([]float32, points)
	}
	return s
}

// set makes s the sum of a and b.
func (s *sums) set(a, b sums) {
	light, plus := s.light[:len(a.light)], b.light[:len(a.light)]
	for i, v := range a.light {
		light[i] = v + plus[i]
	}
	adapt, plus := s.adapt[:len(a.adapt)], b.adapt[:len(a.adapt)]
	for i, v := range a.adapt {
		adapt[i] = v + plus[i]
	}
}

// span is the points of one target on one site, each with the same weight in the fulfilment of the
// rig.
type span struct {
	site     int
	from, to int
	weight   float64
	gains    []*gain // of each point; nil where light is wanted
}

// plenty is the greatest share that is told apart from more: where next to nothing is wanted or
// allowed, shares could be larger than numbers are.
const plenty = 1e6

// A gain is how much each cd/m² of difference counts, as a share of what counts as seen, by the
// luminance that the eye is adapted to: straight pieces in even steps of the floating-point number,
// gainSteps to an octave.
type gain struct {
	bright, dark [gainOctaves * gainSteps]piece
}

// piece is a straight piece of a gain, and the greatest gain on it and on all that follow.
type piece struct{ value, slope, most float32 }

const (
	gainFirst   = -14 // log₂ of the least luminance, cd/m²: below 1e-4 the eye adapts no further
	gainOctaves = 32
	gainSteps   = 16    // a threshold that goes as L is then within (1/16)²/4, 0.1 %
	gainOver    = 1.002 // what the gain may rise to within a piece over its ends
)

// newGain is the gain for a thing of a size in minutes of arc.
func newGain(o sight.Observer, arcmin float64) *gain {
	g := &gain{}
	for dark, pieces := range [2]*[gainOctaves * gainSteps]piece{&g.bright, &g.dark} {
		at := func(i int) (l, gain float64) {
			l = math.Ldexp(1+float64(i%gainSteps)/gainSteps, gainFirst+i/gainSteps)
			return l, 1 / (o.Level * max(o.Threshold(l, arcmin, dark == 1), 1e-30))
		}
		most := float32(0)
		for i := len(pieces) - 1; i >= 0; i-- {
			l0, g0 := at(i)
			l1, g1 := at(i + 1)
			slope := (g1 - g0) / (l1 - l0)
			most = max(most, float32(gainOver*g0), float32(gainOver*g1))
			pieces[i] = piece{float32(g0 - slope*l0), float32(slope), most}
		}
	}
	return g
}

// piece is where an adaptation l lies.
func gainPiece(l float32) int {
	const shift = 23 - 4 // mantissa bits of a float32, less those of gainSteps
	i := int(math.Float32bits(l)>>shift) - (127+gainFirst)<<4
	return max(0, min(i, gainOctaves*gainSteps-1))
}

// share is what a difference c is of what counts as seen, at most 1, to an eye adapted to l, cd/m².
func (g *gain) share(c, l float32) float32 {
	pieces := &g.bright
	if c < 0 {
		pieces, c = &g.dark, -c
	}
	p := &pieces[gainPiece(l)]
	l = max(l, 0x1p-14)
	return min(1, c*(p.value+p.slope*l))
}

// most is the greatest share that a difference from low to high can be, to an eye adapted to l or
// more.
func (g *gain) most(low, high, l float32) float32 {
	i := gainPiece(l)
	return min(1, max(high*g.bright[i].most, -low*g.dark[i].most))
}

// least is the fulfilment of the rig on the site where it is least. Of is what the shares at the
// points of a span add up to.
func (t *tables) least(of func(sp *span) float32) float64 {
	least := math.Inf(1)
	for site := range t.sites {
		total := 0.0
		for i := range t.spans {
			if sp := &t.spans[i]; sp.site == site {
				total += sp.weight * float64(of(sp))
			}
		}
		least = min(least, total)
	}
	return least
}

// value is the fulfilment of the rig by the sum of a and b.
func (t *tables) value(a, b sums) float64 {
	return t.least(func(sp *span) (sum float32) {
		light, plus := a.light[sp.from:sp.to], b.light[sp.from:sp.to]
		if sp.gains == nil {
			for i, e := range light {
				sum += min(1, e+plus[i])
			}
			return sum
		}
		adapt, glare := a.adapt[sp.from:sp.to], b.adapt[sp.from:sp.to]
		for i, g := range sp.gains {
			sum += g.share(light[i]+plus[i], adapt[i]+glare[i])
		}
		return sum
	})
}

// rest is what brackets that are not set yet may add: at every point between low and high to the
// light, and at least adapt.
type rest struct {
	low, high sums // of high, only light
}

// slice is how many points a bound looks at before it sees whether that is enough.
const slice = 64

// most is what slices of points can be worth at all.
func (t *tables) most() []float64 {
	var out []float64
	for i := range t.spans {
		for n := t.spans[i].to - t.spans[i].from; n > 0; n -= slice {
			out = append(out, t.spans[i].weight*float64(min(n, slice)))
		}
	}
	return out
}

// bound is the greatest fulfilment that the rest may make of the sum of a and b; or, where that is
// less than enough, anything less. Slices of points are known to be worth no more than before, and
// what they are worth goes to shares: so most sums need not be looked at to their end.
func (t *tables) bound(a, b sums, r *rest, before, shares []float64, enough float64) float64 {
	least := math.Inf(1)
	for site := range t.sites {
		total, left, at := 0.0, 0.0, 0 // left is what the slices to come may be worth
		for i := range t.spans {
			for range t.spans[i].slices() {
				if t.spans[i].site == site {
					left += before[at]
				}
				at++
			}
		}
		at = 0
		for i := range t.spans {
			sp, sum := &t.spans[i], float32(0)
			if sp.site != site {
				at += sp.slices()
				continue
			}
			for from := sp.from; from < sp.to; from += slice {
				was := sum
				sum = sp.most(a, b, r, from, min(from+slice, sp.to), sum)
				shares[at] = sp.weight * float64(sum-was)
				left -= before[at]
				at++
				if total+sp.weight*float64(sum)+left < enough-2*rounding {
					return 0
				}
			}
			total += sp.weight * float64(sum)
		}
		least = min(least, total)
	}
	return rounding + least
}

// slices is how many a span has.
func (sp *span) slices() int { return (sp.to - sp.from + slice - 1) / slice }

// most is a sum and the greatest shares that the rest may make of the sum of a and b at some points.
func (sp *span) most(a, b sums, r *rest, from, to int, sum float32) float32 {
	light, plus, high := a.light[from:to], b.light[from:to], r.high.light[from:to]
	if sp.gains == nil {
		for i, e := range light {
			sum += min(1, e+plus[i]+high[i])
		}
		return sum
	}
	low := r.low.light[from:to]
	adapt, glare, more := a.adapt[from:to], b.adapt[from:to], r.low.adapt[from:to]
	for i, g := range sp.gains[from-sp.from : to-sp.from] {
		c := light[i] + plus[i]
		sum += g.most(c+low[i], c+high[i], adapt[i]+glare[i]+more[i])
	}
	return sum
}

// rounding is by how much the sum of a few thousand shares in single precision may be off.
const rounding = 1e-5
