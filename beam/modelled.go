package beam

import "math"

// A shape with a scale is a distribution. Single directions are answered by the formula. Rows of
// directions are answered from curves, so that no direction of a row needs an angle: by 1 - cos θ
// where the beam is round, and by the squared angle relative to the half-peak edge where it is
// oval,
//
//	x = (θ/θh)² = (θ/sin θ)² · (left²/θH² + up²/θV²)
//
// Each way of answering rows is a type of its own on top of the formula.

var (
	_ Falling   = (*formula)(nil)
	_ Divisible = (*formula)(nil)
)

// WithFlux scales the shape to a flux (lm) over the front hemisphere. It comes out to 1e-6; see
// nodes.
func (s Shape) WithFlux(flux float64) Distribution { return s.scaled(flux/s.unitFlux(), flux) }

// WithPeak scales the shape to a peak intensity (cd).
func (s Shape) WithPeak(peak float64) Distribution { return s.scaled(peak, peak*s.unitFlux()) }

// scaled picks the way in which rows are answered.
func (s Shape) scaled(peak, flux float64) Distribution {
	f := formula{shape: s, peak: peak, flux: flux, cutoff: math.Cos(s.cutoff())}
	if s.oneExponent() && (s.profile != cosine || s.spread.round()) {
		f.steepness = s.steepness(0)
	}
	if f.cutoff < rightAngle {
		f.cutoff = 0
	}
	round, bits := s.spread.round(), s.bits()
	switch {
	case !s.oneExponent() || bits > mostBits:
		return &f
	case s.profile == uniform && round:
		f.cutoff = math.Cos(s.spread.Across / 2)
		return &cone{f}
	case s.profile == uniform:
		return &ovalCone{f, stretchCurve(bits)}
	case s.profile == cosine && !round:
		return &f
	case s.profile == cosine && power(s.spread.Across/2) < lowPower:
		return &wideCosine{f, s.cosineCurve(peak, bits)}
	case round:
		return &roundBeam{f, s.turnCurve(peak, f.cutoff, bits)}
	}
	return &ovalBeam{f, stretchCurve(min(bits, 11)), s.fallCurve(peak, bits)}
}

// rightAngle is the cosine below which an angle is 90°: math.Cos has 6e-17 there, and no beam ends
// within 1e-9 rad of it.
const rightAngle = 1e-9

// formula answers every direction by the shape's formula. It is the base of all other modelled
// beams, and the whole of those that no curve fits: an exponent that changes around the axis, an
// oval cosine, a field all but at the spread.
type formula struct {
	shape     Shape
	peak      float64
	flux      float64
	cutoff    float64 // cosine
	steepness float64 // 0 where it changes around the axis
}

func (f *formula) Peak() float64   { return f.peak }
func (f *formula) Flux() float64   { return f.flux }
func (f *formula) Cutoff() float64 { return f.cutoff }

// Falls is true of every shape.
func (f *formula) Falls() bool { return true }

func (f *formula) Candela(ahead, left, up float64) float64 {
	if ahead <= 0 {
		return 0
	}
	r2 := left*left + up*up
	m := 0.0
	if r2 > 0 {
		m = up * up / r2
	}
	steepness := f.steepness
	if steepness == 0 {
		steepness = f.shape.steepness(m)
	}
	return f.peak * f.shape.fall(math.Atan2(math.Sqrt(r2), ahead), m, steepness)
}

// edge is the angle (rad), at most 90°, down to which the intensity is at least a share of the peak
// in the plane of (left, up): what Candela computes, turned around.
func (f *formula) edge(share, left, up float64) float64 {
	s, m := &f.shape, up*up/(left*left+up*up)
	steepness := s.steepness(m)
	switch s.profile {
	case gaussian, gaussianField:
		return min(math.Pi/2, s.spread.edge(m)*math.Pow(max(0, -math.Log2(share)), 1/steepness))
	case cosine:
		return math.Acos(math.Pow(min(1, share), 1/steepness))
	}
	return s.spread.edge(m)
}

func (f *formula) Candelas(dst, ahead, left, up []float64) {
	for i := range dst {
		dst[i] = f.Candela(ahead[i], left[i], up[i])
	}
}

// cone is a round uniform beam. It compares cosines, so that a point on the edge is judged alike by
// both ways.
type cone struct{ formula }

func (b *cone) Candela(ahead, _, _ float64) float64 {
	if ahead <= 0 || ahead < b.cutoff {
		return 0
	}
	return b.peak
}

func (b *cone) Candelas(dst, ahead, _, _ []float64) {
	ahead = ahead[:len(dst)]
	for i, a := range ahead {
		dst[i] = b.Candela(a, 0, 0)
	}
}

// roundBeam is a round beam whose rows are looked up by 1 - cos θ.
type roundBeam struct {
	formula
	byTurn *curve
}

func (b *roundBeam) Candelas(dst, ahead, _, _ []float64) {
	c := b.byTurn
	ahead = ahead[:len(dst)]
	for i, a := range ahead {
		dst[i] = 0
		if a > 0 {
			dst[i] = c.at(1 - a)
		}
	}
}

// wideCosine is a round cosine beam of a low power, whose rows are looked up by cos θ: toward 90°,
// 1 - cos θ has no digits for it. In the plane of the lens itself rows use the formula.
type wideCosine struct {
	formula
	byCos *curve
}

func (b *wideCosine) Candelas(dst, ahead, _, _ []float64) {
	ahead = ahead[:len(dst)]
	for i, a := range ahead {
		switch {
		case a >= beside:
			dst[i] = b.byCos.at(min(a, 1-0x1p-53))
		case a > 0:
			dst[i] = b.peak * math.Pow(a, power(b.shape.spread.Across/2))
		default:
			dst[i] = 0
		}
	}
}

// ovalBeam is an oval gaussian whose rows are looked up by x.
type ovalBeam struct {
	formula
	stretch *curve
	byX     *curve
}

func (b *ovalBeam) Candelas(dst, ahead, left, up []float64) {
	ahead, left, up = ahead[:len(dst)], left[:len(dst)], up[:len(dst)]
	h, v := b.shape.spread.reciprocals()
	for i, a := range ahead {
		dst[i] = 0
		if a > 0 {
			dst[i] = b.byX.at(b.stretch.at(1-a) * (left[i]*left[i]*h + up[i]*up[i]*v))
		}
	}
}

// ovalCone is an oval uniform beam: lit as far as x is 1.
type ovalCone struct {
	formula
	stretch *curve
}

func (b *ovalCone) Candelas(dst, ahead, left, up []float64) {
	ahead, left, up = ahead[:len(dst)], left[:len(dst)], up[:len(dst)]
	h, v := b.shape.spread.reciprocals()
	for i, a := range ahead {
		dst[i] = 0
		if a > 0 && b.stretch.at(1-a)*(left[i]*left[i]*h+up[i]*up[i]*v) <= 1 {
			dst[i] = b.peak
		}
	}
}

const (
	// beside is the cosine below which a direction is all but in the plane of the lens.
	beside = 0x1p-20

	// lowPower is the power of a cosine from which on it has fallen below Darkness, cosⁿ θ < 2^-40,
	// where 1 - cos θ still has digits enough: n = 20 does so at cos θ = 1/4.
	lowPower = 20

	// mostBits limits a curve to a million pieces an octave. A field that needs more is all but a
	// step.
	mostBits = 20
)

// bits is how many of them a curve of the shape takes: 8 keep 2^-x within RowAccuracy (see curve),
// a cosine takes one more, and (θ/θh)^p as many more as p has octaves above 2.
func (s Shape) bits() uint {
	switch s.profile {
	case gaussianField:
		return 8 + uint(max(0, math.Ceil(math.Log2(s.exponent(0)/2))))
	case cosine:
		return 9
	}
	return 8
}

// octaves is how far below the half-peak edge a curve begins, in octaves of 1 - cos θ or of x, of
// which the p/2th power is what falls: 2^-(2^-20) is within 1e-6 of the peak. For a needle of a
// peak the curve begins at what 1 - cos θ can be, 2^-50: there it has the peak on its axis alone.
func (s Shape) octaves() float64 {
	p := 2.0
	if s.profile == gaussianField {
		p = s.exponent(0)
	}
	return min(40/p, 50)
}

// turnCurve is the intensity of a round beam by 1 - cos θ.
func (s Shape) turnCurve(peak, cutoff float64, bits uint) *curve {
	lo, hi := math.Exp2(-s.octaves())*2*sq(math.Sin(s.spread.Across/4)), 1-cutoff
	return newCurve(bits, lo, hi, func(w float64) float64 {
		// up to the step at 90°, not down it
		return peak * s.at(min(2*math.Asin(math.Sqrt(w/2)), math.Nextafter(math.Pi/2, 0)), 0)
	})
}

// cosineCurve is the intensity of a round cosine beam by cos θ, from beside on.
func (s Shape) cosineCurve(peak float64, bits uint) *curve {
	n := power(s.spread.Across / 2)
	return newCurve(bits, beside, 1, func(c float64) float64 { return peak * math.Exp(n*math.Log(c)) })
}

// fallCurve is the intensity of a gaussian beam by x.
func (s Shape) fallCurve(peak float64, bits uint) *curve {
	p := s.exponent(0)
	return newCurve(bits, math.Exp2(-s.octaves()), math.Pow(darkOctaves, 2/p), func(x float64) float64 {
		return peak * math.Exp(-math.Ln2*math.Exp(p/2*math.Log(x)))
	})
}

// stretchCurve is (θ/sin θ)² by 1 - cos θ. It goes on beyond 90°: there 1 - cos θ rounds to 1, and
// a curve is 0 from its end on, which would be the axis.
func stretchCurve(bits uint) *curve {
	const end = 1 + 1./8
	return newCurve(bits, math.Exp2(-20), end, func(w float64) float64 {
		if w == 0 {
			return 1
		}
		theta := 2 * math.Asin(math.Sqrt(w/2))
		return sq(theta) / (w * (2 - w))
	})
}

func sq(x float64) float64 { return x * x }
