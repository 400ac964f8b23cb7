package geometry

import "gonum.org/v1/gonum/spatial/r3"

// Light that changes slowly along a row is worked out at every so manieth point, and the points between by cubics. That
// keeps to 0.1 % down to 2^-16 of a beam's peak.

// fineness is the greatest distance between points that are worked out, as a share of the half-peak half-angle of a
// gaussian beam seen at its distance, for the points between to be interpolated. The error of a cubic through four even
// steps h is at most 3/128 h⁴ f⁗; for a gaussian at 2^-16 of its peak, where the logarithm falls by 5.5 per half-angle,
// this keeps it below 0.1 %, at the half-peak edge below 0.001 %.
const fineness = 0.08

// stride is how many points apart the light from..to, at a distance from the bar, may be worked out, the rest being
// interpolated: 1, 2, 4 or 8.
// Beams with steps, points or measured streaks, and points near a plane where light ends, are not interpolated.
func (p *pass) stride(from, to int, distance float64) int {
	b := p.bar
	if b.rough {
		return 1
	}
	step := fineness * distance / max(1, b.steepest/gaussianSteep) / r3.Norm(p.row.Step)
	stride := 1
	for stride < 8 && float64(2*stride) <= step && 2*stride < to-from {
		stride *= 2
	}
	if stride == 1 {
		return 1
	}
	for _, i := range [2]int{from - stride, to - 1 + 2*stride} {
		if p.over(p.row.at(i)) <= p.lean {
			return 1
		}
	}
	// Toward the plane of the lens a cosine of a low power (below 4: 2^-40 of the peak at cos θ = 2^-10) is no cubic: it takes
	// two steps more.
	if b.cutoff < 0x1p-10 {
		for _, i := range [2]int{from - 3*stride, to - 1 + 4*stride} {
			if r3.Dot(b.axes.Ahead, r3.Sub(p.row.at(i), b.at)) <= 0 {
				return 1
			}
		}
	}
	return stride
}

// sparsely lights the points from..to by working out every so manieth and interpolating the rest by cubics.
func (p *pass) sparsely(from, to, stride, n int) {
	row := Row{p.row.at(from - stride), r3.Scale(float64(stride), p.row.Step), p.row.Normal}
	count := (to-from+stride-1)/stride + 3
	coarse := p.work.coarse[:count]
	clear(coarse)
	p.emit(coarse, &row, 0, count, n)
	weights := cubics[stride]
	for i := from; i < to; i += stride {
		k := (i - from) / stride
		a, b, c, d := coarse[k], coarse[k+1], coarse[k+2], coarse[k+3]
		dst := p.dst[i:min(i+stride, to)]
		for j := range dst {
			w := &weights[j]
			if v := w[0]*a + w[1]*b + w[2]*c + w[3]*d; v > 0 { // beside the cutoff a cubic may dip below
				dst[j] += v
			}
		}
	}
}

// cubics are the weights of four even points for the places between the second and the third, by stride.
var cubics = func() (out [9][8][4]float64) {
	for _, stride := range []int{2, 4, 8} {
		for j := range stride {
			t := float64(j) / float64(stride) // Lagrange's, with the points at -1, 0, 1 and 2
			out[stride][j] = [4]float64{
				-t * (t - 1) * (t - 2) / 6, (t + 1) * (t - 1) * (t - 2) / 2, -(t + 1) * t * (t - 2) / 2, (t + 1) * t * (t - 1) / 6,
			}
		}
	}
	return out
}()
