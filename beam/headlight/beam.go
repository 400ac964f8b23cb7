package headlight

import (
	"math"

	"beamfall/beam"
)

// Beam is the light of one headlight. It is immutable.
type Beam struct {
	below, free []heap
	edge        edge
	side        float64 // 1 where traffic keeps right: x is to the right
	peak        float64
	flux        float64
	cutoff      float64
}

var (
	_ beam.Falling   = (*Beam)(nil)
	_ beam.Divisible = (*Beam)(nil)
)

func newBeam(p pattern, side float64) *Beam {
	b := &Beam{below: heaps(p.below), free: heaps(p.free), edge: p.edge.inTangents(), side: side, cutoff: -1}
	b.peak = b.brightest()
	b.cutoff = b.Within(beam.Darkness)
	b.flux = b.FluxInto(1, 0, 0)
	return b
}

// Times is the same beam, brighter by a factor above 0.
func (b *Beam) Times(strength float64) *Beam {
	k := *b
	k.below, k.free = brighter(b.below, strength), brighter(b.free, strength)
	k.peak *= strength
	k.flux *= strength
	return &k
}

func brighter(heaps []heap, strength float64) []heap {
	out := make([]heap, len(heaps))
	for i, h := range heaps {
		h.peak *= strength
		out[i] = h
	}
	return out
}

// at is the intensity (cd) at a point of the screen.
func (b *Beam) at(x, y float64) float64 {
	cd := sum(b.free, x, y)
	if len(b.below) > 0 {
		cd += sum(b.below, x, y) * b.edge.passes(x, y)
	}
	return cd
}

// Candela is the intensity (cd) in a direction.
func (b *Beam) Candela(ahead, left, up float64) float64 {
	if ahead <= b.cutoff {
		return 0
	}
	nearer := 1 / ahead
	return b.at(-left*b.side*nearer, up*nearer)
}

// Candelas writes the intensities (cd) of len(dst) directions to dst; they are those of Candela.
func (b *Beam) Candelas(dst, ahead, left, up []float64) {
	ahead, left, up = ahead[:len(dst)], left[:len(dst)], up[:len(dst)]
	for i, a := range ahead {
		dst[i] = b.Candela(a, left[i], up[i])
	}
}

// Peak is the greatest intensity (cd).
func (b *Beam) Peak() float64 { return b.peak }

// Flux is the flux (lm) into all directions.
func (b *Beam) Flux() float64 { return b.flux }

// Cutoff is the cosine of the angle from the axis from which on the beam is dark.
func (b *Beam) Cutoff() float64 { return b.cutoff }

// Falls is true of a high beam, whose lobes are all around the axis.
func (b *Beam) Falls() bool { return len(b.below) == 0 }

// brightest climbs from the middles of the lobes to the peak.
func (b *Beam) brightest() float64 {
	const finest = 1e-9 // of a step: near a peak what is left is its square
	most := 0.0
	for _, h := range append(b.below[:len(b.below):len(b.below)], b.free...) {
		x, y, top := h.x, h.y, b.at(h.x, h.y)
		for step := degree / 4; step > finest; {
			moved := false
			for _, d := range [...][2]float64{{step, 0}, {-step, 0}, {0, step}, {0, -step}} {
				if cd := b.at(x+d[0], y+d[1]); cd > top {
					x, y, top, moved = x+d[0], y+d[1], cd, true
				}
			}
			if !moved {
				step /= 2
			}
		}
		most = max(most, top)
	}
	return most
}

// Within is the cosine of the angle from the axis beyond which the beam is below a share of its
// peak. Far out a lobe is less than peak · (across/r)⁴, across being the wider of its two widths and
// r the distance on the screen from its middle.
func (b *Beam) Within(share float64) float64 {
	far, aside := 0.0, 0.0
	for _, h := range append(b.below[:len(b.below):len(b.below)], b.free...) {
		far += h.peak / sq(min(h.p, h.q))
		aside = max(aside, math.Hypot(h.x, h.y))
	}
	r := math.Sqrt(math.Sqrt(far/(share*b.peak))) + aside
	return 1 / math.Sqrt(1+r*r)
}
