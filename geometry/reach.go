package geometry

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// How far light reaches ahead, and the dark stretches before it.

// Profile is illuminance along a line on the ground, at distances that grow by at most half a
// percent or 2 cm.
type Profile struct {
	Distance, Lux []float64
	at            func(distance float64) float64
}

// profile samples at from 0 to end, and on either side of the given distances.
func profile(at func(float64) float64, end float64, breaks []float64) *Profile {
	p := &Profile{at: at}
	for d := 0.0; d < end; d += max(0.02, 0.005*d) {
		p.Distance = append(p.Distance, d)
	}
	p.Distance = append(p.Distance, end)
	for _, b := range breaks {
		for _, d := range []float64{b - 1e-6, b + 1e-6} {
			if d > 0 && d < end {
				p.Distance = append(p.Distance, d)
			}
		}
	}
	slices.Sort(p.Distance)
	p.Lux = make([]float64, len(p.Distance))
	for i, d := range p.Distance {
		p.Lux[i] = at(d)
	}
	return p
}

// crossing is where the profile passes a level between two samples, one of them at or above it.
func (p *Profile) crossing(above, below int, lux float64) float64 {
	return edge(p.Distance[above], p.Distance[below], func(d float64) bool { return p.at(d) >= lux })
}

// Reach is the farthest distance (m) at which the profile is at least lux; NaN where it nowhere is.
func (p *Profile) Reach(lux float64) float64 {
	for i := len(p.Lux) - 1; i >= 0; i-- {
		if p.Lux[i] < lux {
			continue
		}
		if i == len(p.Lux)-1 {
			return p.Distance[i]
		}
		return p.crossing(i, i+1, lux)
	}
	return math.NaN()
}

// Stretch is a part of a line, from and to in metres.
type Stretch struct{ From, To float64 }

// Gaps are the stretches short of the reach at lux where the profile is below lux. One shorter than
// 5 cm is not counted.
func (p *Profile) Gaps(lux float64) []Stretch {
	const shortest = 0.05
	reach := p.Reach(lux)
	var gaps []Stretch
	from, dark := 0.0, false
	for i, v := range p.Lux {
		if math.IsNaN(reach) || p.Distance[i] > reach {
			break
		}
		switch {
		case v < lux && !dark:
			dark = true
			if from = 0; i > 0 {
				from = p.crossing(i-1, i, lux)
			}
		case v >= lux && dark:
			dark = false
			if to := p.crossing(i, i-1, lux); to-from > shortest {
				gaps = append(gaps, Stretch{from, to})
			}
		}
	}
	return gaps
}

// Centreline is the facing illuminance at ObjectHeight on the centreline of the track, by distance
// along it from the bumper, as far as there may be lux of it, which is above 0, or as far as the
// track goes.
func (s *Scene) Centreline(lux float64) *Profile {
	track, far := &s.site().Track, s.farthest(lux)
	end := far
	for i := range s.Lamps {
		m := &s.Lamps[i]
		reach := far + m.Place.X + m.Lamp.Width/2
		if !track.Straight() {
			// An arc of at most half a circle is at most π/2 times as long as it is far from end to
			// end.
			x, y := track.Place(track.From, 0)
			reach = track.From + math.Pi/2*(far+m.Lamp.Width/2+math.Hypot(m.Place.X-x, m.Place.Y-y))
		}
		end = max(end, reach)
	}
	var breaks []float64
	for _, k := range s.site().Ground.Profile {
		breaks = append(breaks, track.Crossings(k.Ahead)...)
	}
	return profile(func(d float64) float64 {
		x, y := track.Place(d, 0)
		return s.Lux(s.site().At(x, y, ObjectHeight), r3.Scale(-1, track.Heading(d)))
	}, min(end, track.End()), breaks)
}

// Azimuth is the facing illuminance of lamp i alone at ObjectHeight along its own azimuth, on
// vertical planes square to it, by horizontal distance from the lamp, as far as there may be lux of
// it, which is above 0.
func (s *Scene) Azimuth(i int, lux float64) *Profile {
	m, one := &s.Lamps[i], s.Only(i)
	azimuth := m.Axes.Azimuth()
	var breaks []float64
	for _, k := range s.site().Ground.Profile {
		if math.Abs(azimuth.X) > 1e-9 {
			breaks = append(breaks, (k.Ahead-m.Place.X)/azimuth.X)
		}
	}
	return profile(func(d float64) float64 {
		p := r3.Add(m.Place, r3.Scale(d, azimuth))
		return one.Lux(s.site().At(p.X, p.Y, ObjectHeight), r3.Scale(-1, azimuth))
	}, one.farthest(lux)+m.Lamp.Width/2, breaks)
}
