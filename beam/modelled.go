package beam

import "math"

// modelled is a Shape with a scale. It answers single directions by the formula and rows of directions from curves:
// the round beam as a function of 1 - cos θ, the oval one by way of the squared angle relative to the half-peak edge,
//
//	x = (θ/θh)² = (θ/sin θ)² · (left²/θH² + up²/θV²)
//
// so that no row needs an angle.
type modelled struct {
	shape  Shape
	peak   float64
	flux   float64
	cutoff float64 // cosine

	byTurn  *curve // round: intensity by 1 - cos θ
	byCos   *curve // round and wide cosine: intensity by cos θ, from beside on
	byX     *curve // oval: intensity by x
	stretch *curve // oval: (θ/sin θ)² by 1 - cos θ
}

// WithFlux scales the shape to a flux (lm) over the front hemisphere. The flux comes out to 1e-6.
func (s Shape) WithFlux(flux float64) Distribution { return s.scaled(flux/s.unitFlux(), flux) }

// WithPeak scales the shape to a peak intensity (cd).
func (s Shape) WithPeak(peak float64) Distribution { return s.scaled(peak, peak*s.unitFlux()) }

func (s Shape) scaled(peak, flux float64) Distribution {
	d := &modelled{shape: s, peak: peak, flux: flux}
	if c := math.Cos(s.cutoff()); c > 1e-9 { // else 0, and not the 6e-17 that math.Cos has at 90°
		d.cutoff = c
	}
	if !s.oneExponent() {
		return d // rows use the formula
	}
	p, bits := 2.0, uint(8)
	switch s.profile {
	case gaussianField:
		p = s.exponent(0)
		bits += uint(max(0, math.Ceil(math.Log2(p/2))))
	case cosine:
		bits = 9
	}
	if bits > 20 {
		return d // a field hardly wider than the beam: all but a step
	}
	octaves := min(40/p, 50) // below the half-peak edge, of 1 - cos θ: so near the peak nothing changes by 1e-6
	if s.spread.round() {
		edge := s.spread.Across / 2
		switch {
		case s.profile == uniform:
			d.cutoff = math.Cos(edge)
		case s.profile == cosine && power(edge) < 20:
			d.byCos = newCurve(bits, beside, 1, func(c float64) float64 { return peak * math.Pow(c, power(edge)) })
		default:
			lo, hi := math.Exp2(-octaves)*2*sq(math.Sin(edge/2)), 1-d.cutoff
			d.byTurn = newCurve(bits, lo, hi, func(w float64) float64 {
				// up to the step at 90°, not down it
				return peak * s.at(min(2*math.Asin(math.Sqrt(w/2)), math.Nextafter(math.Pi/2, 0)), 0)
			})
		}
		return d
	}
	if s.profile == cosine {
		return d
	}
	d.stretch = newCurve(min(bits, 11), math.Exp2(-20), 1, func(w float64) float64 {
		theta := 2 * math.Asin(math.Sqrt(w/2))
		return sq(theta) / (w * (2 - w))
	})
	if s.profile != uniform {
		d.byX = newCurve(bits, math.Exp2(-octaves), math.Pow(40, 2/p), func(x float64) float64 {
			return peak * math.Exp2(-math.Pow(x, p/2))
		})
	}
	return d
}

// beside is the cosine below which a direction is all but in the plane of the lens.
const beside = 0x1p-20

func sq(x float64) float64 { return x * x }

func (d *modelled) Peak() float64   { return d.peak }
func (d *modelled) Flux() float64   { return d.flux }
func (d *modelled) Cutoff() float64 { return d.cutoff }

func (d *modelled) Candela(ahead, left, up float64) float64 {
	if ahead <= 0 {
		return 0
	}
	if d.shape.profile == uniform && d.shape.round() {
		// compared as cosines, so that a point on the edge is judged alike by both ways
		if ahead < d.cutoff {
			return 0
		}
		return d.peak
	}
	r2 := left*left + up*up
	m := 0.0
	if r2 > 0 {
		m = up * up / r2
	}
	return d.peak * d.shape.at(math.Atan2(math.Sqrt(r2), ahead), m)
}

func (d *modelled) Candelas(dst, ahead, left, up []float64) {
	ahead = ahead[:len(dst)]
	switch {
	case d.byTurn != nil:
		c := d.byTurn
		for i, a := range ahead {
			dst[i] = 0
			if a > 0 {
				dst[i] = c.at(1 - a)
			}
		}
	case d.byCos != nil:
		c := d.byCos
		for i, a := range ahead {
			switch {
			case a >= beside:
				dst[i] = c.at(min(a, 1-0x1p-53))
			case a > 0:
				dst[i] = d.peak * math.Pow(a, power(d.shape.spread.Across/2))
			default:
				dst[i] = 0
			}
		}
	case d.stretch != nil:
		left, up = left[:len(dst)], up[:len(dst)]
		h, v := d.shape.spread.reciprocals()
		for i, a := range ahead {
			dst[i] = 0
			if a <= 0 {
				continue
			}
			x := d.stretch.at(1-a) * (left[i]*left[i]*h + up[i]*up[i]*v)
			if d.byX != nil {
				dst[i] = d.byX.at(x)
			} else if x <= 1 {
				dst[i] = d.peak
			}
		}
	case d.shape.round(): // uniform
		for i, a := range ahead {
			dst[i] = 0
			if a >= d.cutoff {
				dst[i] = d.peak
			}
		}
	default:
		for i, a := range ahead {
			dst[i] = d.Candela(a, left[i], up[i])
		}
	}
}

// Round tells that rows look at the angle from the axis alone.
func (d *modelled) Round() bool { return d.shape.round() }
