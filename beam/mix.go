package beam

import "math"

// Mix is several distributions on one axis, seen from so far that they are one: a bar of spot and flood optics, say.
type Mix []Distribution

func (m Mix) Candela(ahead, left, up float64) float64 {
	sum := 0.0
	for _, d := range m {
		sum += d.Candela(ahead, left, up)
	}
	return sum
}

// Candelas allocates; the light field adds the parts of a mix itself.
func (m Mix) Candelas(dst, ahead, left, up []float64) {
	part := make([]float64, len(dst))
	clear(dst)
	for _, d := range m {
		d.Candelas(part, ahead, left, up)
		for i, v := range part {
			dst[i] += v
		}
	}
}

// Peak is exact where every part has its peak on the axis, as all shapes have, or where there is one part.
func (m Mix) Peak() float64 {
	if len(m) == 1 {
		return m[0].Peak()
	}
	return m.Candela(1, 0, 0)
}

func (m Mix) Flux() float64 {
	sum := 0.0
	for _, d := range m {
		sum += d.Flux()
	}
	return sum
}

func (m Mix) Cutoff() float64 {
	least := 1.0
	for _, d := range m {
		least = math.Min(least, d.Cutoff())
	}
	return least
}
