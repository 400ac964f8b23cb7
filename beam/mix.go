package beam

// Mix is several distributions on one axis, seen from so far that they are one: a bar of spot and
// flood optics, say. Its intensity (cd) and its flux (lm) are the sums of theirs. The empty Mix is
// dark.
type Mix []Distribution

var (
	_ Falling   = Mix{}
	_ Divisible = Mix{}
)

// Candela is the sum of the parts' intensities (cd).
func (m Mix) Candela(ahead, left, up float64) float64 {
	sum := 0.0
	for _, d := range m {
		sum += d.Candela(ahead, left, up)
	}
	return sum
}

// Candelas agrees with Candela as its parts' Candelas do. It allocates; the light field adds the
// parts of a mix itself.
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

// Peak is the intensity (cd) on the axis where there are several parts. That is the peak if every
// part has its own there, as all shapes have; a mix of tables with their peaks off the axis may
// have more elsewhere.
func (m Mix) Peak() float64 {
	if len(m) == 1 {
		return m[0].Peak()
	}
	return m.Candela(1, 0, 0)
}

// Flux is the sum of the parts' fluxes (lm).
func (m Mix) Flux() float64 {
	sum := 0.0
	for _, d := range m {
		sum += d.Flux()
	}
	return sum
}

// Cutoff is that of the part that reaches farthest from the axis.
func (m Mix) Cutoff() float64 {
	least := 1.0
	for _, d := range m {
		least = min(least, d.Cutoff())
	}
	return least
}

// Falls is true where all parts fall.
func (m Mix) Falls() bool {
	for _, d := range m {
		if !Falls(d) {
			return false
		}
	}
	return true
}

// FluxInto is the sum of the parts' fluxes (lm) into a half-space.
func (m Mix) FluxInto(ahead, left, up float64) float64 {
	sum := 0.0
	for _, d := range m {
		sum += FluxInto(d, ahead, left, up)
	}
	return sum
}
