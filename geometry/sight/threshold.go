package sight

import "math"

// The threshold is the least difference in luminance between a thing and what is behind it that an
// eye finds: W. Adrian, Visibility of targets: model for calculation, Lighting Research and
// Technology 21 (1989) 181. The constants are as two open transcriptions agree on them; the paper
// itself was not seen.

// leastAdaptation is the luminance (cd/m²) below which an eye adapts no further, as taken here.
const leastAdaptation = 1e-4

// largest is the size (minutes of arc) beyond which a thing is no easier to find.
const largest = 60

// Arcminutes is the diameter, in minutes of arc, of a disc of an area (m²) across the line of sight
// at a distance (m): the size of what is looked at.
func Arcminutes(area, distance float64) float64 {
	return 2 * math.Atan(math.Sqrt(area/math.Pi)/distance) * 180 / math.Pi * 60
}

// Threshold is the least difference in luminance (cd/m²) that the observer as good as surely finds
// (which the factor 2.6 stands for), for a thing of a size in minutes of arc, of which no more than
// 60 count. The eye is adapted to a luminance (cd/m²): background and veil together. A thing darker
// than its background needs less than one that is brighter.
func (o Observer) Threshold(adaptation, arcmin float64, darker bool) float64 {
	l, size := max(adaptation, leastAdaptation), min(arcmin, largest)
	flux, lum := ricco(l)
	s := flux/size + lum
	base := 2.6 * s * s // of a bright thing, in no hurry, at 23
	t := base * (blondel(l, size) + o.Glance) / o.Glance * AgeFactor(o.Age)
	if darker {
		t *= polarity(l, size, base)
	}
	return t
}

// ricco is √φ and √ℓ: the luminous flux that counts for small things (Ricco's law), and the
// luminance that counts for large ones (Weber's law), at an adaptation l in cd/m².
func ricco(l float64) (flux, lum float64) {
	lg := math.Log10(l)
	switch {
	case l >= 0.6:
		return math.Log10(4.1925*power(l, 0.1556)) + 0.1684*power(l, 0.5867), 0.05946 * power(l, 0.466)
	case l > 0.00418:
		return tenTo(-0.072 + 0.3372*lg + 0.0866*lg*lg), tenTo(-1.256 + 0.319*lg)
	}
	return tenTo(0.028 + 0.173*lg), tenTo(-0.891 + 0.5275*lg + 0.0227*lg*lg)
}

// blondel is the time a (s) of the law of Blondel and Rey: a glance of t needs (a + t)/t of the
// contrast.
func blondel(l, size float64) float64 {
	x, y := math.Log10(size)+0.523, math.Log10(l)+6
	a := 0.36 - 0.0972*x*x/(x*x-2.513*x+2.7895)
	b := 0.355 - 0.1217*y*y/(y*y-10.4*y+52.28)
	return math.Hypot(a, b) / 2.1
}

// polarity is by how much less difference a thing needs that is darker than its background, given
// what a bright one needs without age and time. At 0.004 cd/m² and below the model, as transcribed,
// makes no difference.
func polarity(l, size, base float64) float64 {
	if l <= 0.004 {
		return 1
	}
	c := 0.075
	if l >= 0.1 {
		c = 0.125
	}
	lg := math.Log10(l) + 1
	m := tenTo(-tenTo(-(c*lg*lg + 0.0245)))
	return max(0, 1-m*power(size, -0.6*power(l, -0.1488))/(2.4*base))
}

// power and tenTo are math.Pow within 1e-14 for what comes up here, in a quarter of its time.
func power(x, y float64) float64 { return math.Exp(y * math.Log(x)) }
func tenTo(y float64) float64    { return math.Exp(y * math.Ln10) }
