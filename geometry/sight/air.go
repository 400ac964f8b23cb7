package sight

import "math"

// Particles is what floats in the air and how it scatters light: a share Albedo of what it takes
// out of a beam, into directions as two terms of Henyey and Greenstein have it, of which the second
// looks back. One term alone is wrong by an order of magnitude where it matters: a driver sees the
// light of their own lamps turned around by 150° to 180°.
//
// The zero value is none: air that at most dims.
type Particles struct {
	Name          string
	Back          float64 // share of the term that looks back, b
	Ahead, Astern float64 // asymmetry of the two terms, g1 and g2
	Albedo        float64 // ω
}

// AllParticles are the built-in ones.
func AllParticles() []Particles { return []Particles{Dust, Fog, Snow} }

// The fits are this project's own, to an asymmetry g and a lidar ratio (extinction over back
// scatter, sr) of measurements; the measured values are from memory.
var (
	Fog  = Particles{"fog", 0.068, 0.9525, 0.6, 1}     // g about 0.85; droplets about 18 sr
	Dust = Particles{"dust", 0.048, 0.7555, 0.4, 0.95} // g about 0.7; about 50 sr
	Snow = Particles{"snow", 0.0786, 0.911, 0.5, 1}    // g about 0.8; about 25 sr
)

// None tells whether there are no particles.
func (p Particles) None() bool { return p.Albedo == 0 }

// Phase is the share of the scattered light per steradian, by the cosine of the angle by which it
// is turned; over all directions it adds up to 1.
func (p Particles) Phase(cos float64) float64 { return p.phase()(cos) }

// phase is Phase for many angles.
func (p Particles) phase() func(cos float64) float64 {
	a, b := henyeyGreenstein(1-p.Back, p.Ahead), henyeyGreenstein(p.Back, -p.Astern)
	return func(cos float64) float64 { return a.at(cos) + b.at(cos) }
}

// lobe is a share of the phase function of Henyey and Greenstein (Astrophysical Journal 93, 1941,
// 70), per steradian: share·(1 - g²)/(4π (1 + g² - 2 g cos)^1.5).
type lobe struct{ scale, base, slope float64 }

func henyeyGreenstein(share, g float64) lobe {
	return lobe{share * (1 - g*g) / (4 * math.Pi), 1 + g*g, 2 * g}
}

func (l *lobe) at(cos float64) float64 {
	d := l.base - l.slope*cos
	return l.scale / (d * math.Sqrt(d))
}
