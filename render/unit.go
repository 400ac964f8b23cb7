package render

import (
	"math"
	"strconv"
	"strings"
)

// A unit is how an axis counts: data are SI throughout, ticks are round in the unit shown.

// Unit is a unit of an axis, with its size in the SI unit of the data.
type Unit struct {
	Name string  // as written behind a figure
	Size float64 // SI
}

// Units of length are exact (NIST SP 811).
var (
	Metre = Unit{"m", 1}
	Foot  = Unit{"ft", 0.3048}
	Inch  = Unit{"in", 0.0254}
	Lux   = Unit{"lx", 1}
	Plain = Unit{"", 1} // figures without a unit
)

// figure is a number as people write it: no more digits than it has, a true minus sign.
func figure(v float64) string {
	if v == 0 {
		return "0" // never −0
	}
	return strings.Replace(strconv.FormatFloat(v, 'f', -1, 64), "-", "−", 1)
}

// roundStep is the smallest of 1, 2, 5 times a power of ten that is not below v.
func roundStep(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, s := range []float64{1, 2, 5, 10} {
		if s*p >= v*(1-1e-9) {
			return s * p
		}
	}
	return 10 * p
}

// roundBelow is the largest of 1, 2, 5 times a power of ten that is not above v.
func roundBelow(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, s := range []float64{10, 5, 2} {
		if s*p <= v*(1+1e-9) {
			return s * p
		}
	}
	return p
}

// multiple is k steps without the noise of binary fractions: 3·0.1 is 0.3.
func multiple(k, step float64) float64 {
	v, _ := strconv.ParseFloat(strconv.FormatFloat(k*step, 'g', 12, 64), 64)
	return v
}
