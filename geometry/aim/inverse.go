package aim

import (
	"errors"
	"fmt"
	"math"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The tilt of one lamp for one place. On level ground with the vehicle as parked these are the
// closed forms atan(height / distance), that less half the spread, and half the spread; with a
// load, a roll or a slope the same conditions are solved for the tilt.

// ErrNoTilt says that no tilt from straight up to straight down does it. Errors of [Hit], [Near]
// and [LevelEdge] are this one, or wrap it and say why.
var ErrNoTilt = errors.New("no tilt from -90° to 90° does that")

// Hit is the tilt (rad) with which the beam axis meets the ground, as driven, at a horizontal
// distance (m) from the lamp, solved to rounding.
func Hit(site *geometry.Site, l geometry.Lamp, distance float64) (float64, error) {
	return toward(site, l, distance, func(m *geometry.Mounted) (r3.Vec, bool) { return m.Axes.Ahead, true })
}

// Near is the tilt (rad) with which the lower half-peak edge meets the ground at a horizontal
// distance (m) from the lamp; otherwise as [Hit].
func Near(site *geometry.Site, l geometry.Lamp, distance float64) (float64, error) {
	return toward(site, l, distance, func(m *geometry.Mounted) (r3.Vec, bool) {
		lower, _, ok := m.Edges()
		return lower, ok
	})
}

// LevelEdge is the tilt (rad) with which the upper half-peak edge is horizontal as driven.
func LevelEdge(site *geometry.Site, l geometry.Lamp) (float64, error) {
	return root(site, l, func(m *geometry.Mounted) (float64, bool) {
		_, upper, ok := m.Edges()
		return depression(m, upper), ok
	})
}

// toward is the tilt with which a ray of the lamp goes to the ground at a distance along the lamp's
// azimuth.
func toward(site *geometry.Site, l geometry.Lamp, distance float64,
	ray func(*geometry.Mounted) (r3.Vec, bool)) (float64, error) {
	point := func(m *geometry.Mounted) r3.Vec {
		p := r3.Add(m.Place, r3.Scale(distance, m.Axes.Azimuth()))
		p.Z = site.Ground.Height(p.X, p.Y)
		return p
	}
	tilt, err := root(site, l, func(m *geometry.Mounted) (float64, bool) {
		d, ok := ray(m)
		return depression(m, d) - depression(m, r3.Sub(point(m), m.Place)), ok
	})
	if err != nil {
		return 0, err
	}
	// On a profile the way there may be shut.
	l.Aim.Tilt = tilt
	m := &site.Scene(l).Lamps[0]
	d, _ := ray(m)
	if p, ok := site.Ground.Hit(m.Place, d); !ok || math.Abs(m.Along(p)-distance) > 1e-3*(1+distance) {
		return 0, fmt.Errorf("%w: the ground there lies behind a crest", ErrNoTilt)
	}
	return tilt, nil
}

// depression is the angle of a direction below horizontal, counted in the lamp's upright plane:
// past straight down it goes on beyond 90°.
func depression(m *geometry.Mounted, d r3.Vec) float64 {
	return math.Atan2(-d.Z, r3.Dot(d, m.Axes.Azimuth()))
}

// root finds the tilt at which f, which grows with the tilt, is 0.
func root(site *geometry.Site, l geometry.Lamp, f func(m *geometry.Mounted) (float64, bool)) (float64, error) {
	mounted := site.Scene(l).Lamps[0]
	at := func(tilt float64) (float64, bool) {
		a := l.Aim
		a.Tilt = tilt
		m := site.Reaim(&mounted, a)
		return f(&m)
	}
	// Straight up and straight down have no azimuth.
	const end = math.Pi/2 - 1e-9
	lo, hi := -end, end
	a, ok := at(lo)
	b, ok2 := at(hi)
	if !ok || !ok2 || a > 0 || b < 0 {
		return 0, ErrNoTilt
	}
	for range 100 {
		mid := (lo + hi) / 2
		v, ok := at(mid)
		if !ok {
			return 0, ErrNoTilt
		}
		if v < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, nil
}
