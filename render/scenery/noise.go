package scenery

import "sync"

// Fixed patterns: numbers that look like chance and are always the same.

// chance is a number from 0 to 1 for each whole number (the finaliser of SplitMix64; Steele, Lea,
// Flood, Fast Splittable Pseudorandom Number Generators, 2014).
func chance(n uint64) float64 {
	n += 0x9e3779b97f4a7c15
	n = (n ^ n>>30) * 0xbf58476d1ce4e5b9
	n = (n ^ n>>27) * 0x94d049bb133111eb
	n ^= n >> 31
	return float64(n>>11) / (1 << 53)
}

// pattern is what grain is made of: even chance from -1 to 1, repeated in both directions, and how
// far on it is from one whole number to the next.
type pattern struct {
	tile [1 << 16]float32 // 256 rows of 256
	ease [1 << easeBits]float32
}

const easeBits = 10

var theOnly = sync.OnceValue(func() *pattern {
	p := new(pattern)
	for i := range p.tile {
		p.tile[i] = float32(2*chance(uint64(i)) - 1)
	}
	for i := range p.ease {
		p.ease[i] = float32(rise(0, 1, (float64(i)+0.5)/float64(len(p.ease))))
	}
	return p
})

// grain is chance that changes smoothly from one whole number to the next in either direction, -1
// to 1: its mean is 0.
type grain struct{ *pattern }

func newGrain() grain { return grain{theOnly()} }

func (g grain) at(x, y float64) float64 {
	const bits = 20 // after the point
	i, j := int64(x*(1<<bits)), int64(y*(1<<bits))
	s, t := g.ease[i>>(bits-easeBits)&(1<<easeBits-1)], g.ease[j>>(bits-easeBits)&(1<<easeBits-1)]
	left, right := uint16(uint8(i>>bits)), uint16(uint8(i>>bits+1))
	here, next := uint16(j>>bits)<<8, uint16(j>>bits+1)<<8
	a, b := g.tile[here|left], g.tile[here|right]
	c, d := g.tile[next|left], g.tile[next|right]
	a, c = a+s*(b-a), c+s*(d-c)
	return float64(a + t*(c-a))
}

// resolved is the share of a pattern with a period that pixels of a size still show.
func resolved(period, pixel float64) float64 { return max(0, min(1, period/pixel-0.5)) }

// rise is 0 up to a, 1 from b on, and smooth in between.
func rise(a, b, v float64) float64 {
	t := max(0, min(1, (v-a)/(b-a)))
	return t * t * (3 - 2*t)
}
