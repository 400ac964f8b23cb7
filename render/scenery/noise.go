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

const tileSide = 256

// tile is even chance from -1 to 1, repeated in both directions.
var tile = sync.OnceValue(func() *[tileSide * tileSide]float32 {
	t := new([tileSide * tileSide]float32)
	for i := range t {
		t[i] = float32(2*chance(uint64(i)) - 1)
	}
	return t
})

// grain is chance that changes from one whole number to the next in either direction, -1 to 1,
// straight in between: its mean is 0.
type grain struct{ tile *[tileSide * tileSide]float32 }

func newGrain() grain { return grain{tile()} }

func (g grain) at(x, y float64) float64 {
	i, j := floor(x), floor(y)
	s, t := float32(x-float64(i)), float32(y-float64(j))
	s, t = s*s*(3-2*s), t*t*(3-2*t)
	i0, i1 := i&(tileSide-1), (i+1)&(tileSide-1)
	j0, j1 := j&(tileSide-1)*tileSide, (j+1)&(tileSide-1)*tileSide
	a, b := g.tile[j0+i0], g.tile[j0+i1]
	c, d := g.tile[j1+i0], g.tile[j1+i1]
	a, c = a+s*(b-a), c+s*(d-c)
	return float64(a + t*(c-a))
}

// floor is the whole number below x, which is above -2^20.
func floor(x float64) int { return int(x+1<<20) - 1<<20 }

// resolved is the share of a pattern with a period that pixels of a size still show.
func resolved(period, pixel float64) float64 { return max(0, min(1, period/pixel-0.5)) }

// rise is 0 up to a, 1 from b on, and smooth in between.
func rise(a, b, v float64) float64 {
	t := max(0, min(1, (v-a)/(b-a)))
	return t * t * (3 - 2*t)
}
