package geometry

import (
	"math"

	"beamfall/beam"

	"gonum.org/v1/gonum/spatial/r3"
)

// Where a beam meets the ground: its axis, its half-peak edges in the vertical plane of the axis,
// and the whole half-peak line around it, the outermost one if a measured beam has several. Body
// boxes are left out of it: these are places on the ground to set and to measure by.

// AxisHit is where the beam axis meets the ground; ok is false where it never does.
func (s *Site) AxisHit(m *Mounted) (hit r3.Vec, ok bool) {
	return s.Ground.Hit(m.Place, m.Axes.Ahead)
}

// Range is the horizontal distance (m) from the lamp to a point.
func (m *Mounted) Range(p r3.Vec) float64 { return math.Hypot(p.X-m.Place.X, p.Y-m.Place.Y) }

// Along is the horizontal distance (m) from the lamp to a point, along the lamp's azimuth; negative
// behind the lamp.
func (m *Mounted) Along(p r3.Vec) float64 { return r3.Dot(r3.Sub(p, m.Place), m.Axes.Azimuth()) }

// Edges are the directions of the lower and the upper half-peak edge in the vertical plane of the
// axis; ok is false where the distribution has no such edge in that plane.
func (m *Mounted) Edges() (lower, upper r3.Vec, ok bool) {
	left, up := m.Axes.Upright()
	least, greatest, ok := beam.Edges(m.Lamp.Beam(), 0.5, left, up)
	if !ok {
		return r3.Vec{}, r3.Vec{}, false
	}
	return m.Axes.Direction(least, left, up), m.Axes.Direction(greatest, left, up), true
}

// NearFar are the horizontal distances (m) from the lamp at which the lower and the upper half-peak
// edge, in the vertical plane of the axis, meet the ground; NaN for one that does not. An edge may
// meet it behind the lamp, tilted past straight down: that is a distance like any other.
func (s *Site) NearFar(m *Mounted) (near, far float64) {
	near, far = math.NaN(), math.NaN()
	lower, upper, ok := m.Edges()
	if !ok {
		return near, far
	}
	if p, ok := s.Ground.Hit(m.Place, lower); ok {
		near = m.Range(p)
	}
	if p, ok := s.Ground.Hit(m.Place, upper); ok {
		far = m.Range(p)
	}
	return near, far
}

// Tolerance is the least and the greatest axis range (m) with the tilt as set, and off by up to ±
// off (rad): near is NaN where the axis then never meets the ground, far where it may miss it.
func (s *Site) Tolerance(l Lamp, off float64) (near, far float64) {
	aimed := func(off float64) Mounted {
		l.Aim.Tilt += off
		m := s.mountNew(Lamp{At: l.At, Aim: l.Aim})
		l.Aim.Tilt -= off
		return m
	}
	set := aimed(0)
	near, far = math.Inf(1), 0
	least, most := math.Inf(1), math.Inf(-1) // along the azimuth
	for _, off := range [...]float64{-off, 0, off} {
		m := aimed(off)
		p, ok := s.AxisHit(&m)
		if !ok {
			far = math.NaN()
			continue
		}
		near, far = min(near, m.Range(p)), max(far, m.Range(p))
		least, most = min(least, set.Along(p)), max(most, set.Along(p))
	}
	switch {
	case math.IsInf(near, 1):
		return math.NaN(), math.NaN()
	case least < 0 && most > 0: // past straight down
		near = 0
	}
	return near, far
}

// Footprint is the line on the ground at which the intensity is half of the peak, as one or more
// runs of points. A run is closed (its last point is its first) only where the beam meets the
// ground all round; otherwise it is open at both ends, where the beam's edge goes to the horizon,
// and is cut at a horizontal distance of limit (m).
func (s *Site) Footprint(m *Mounted, limit float64) [][]r3.Vec {
	const turns = 720
	d := m.Lamp.Beam()
	// turns are counted from the top of the beam, which is the part that may be in the sky
	left, up := m.Axes.Upright()
	top := math.Atan2(up, left)
	point := func(turn float64) (r3.Vec, bool) {
		up, left := math.Sincos(top + turn*2*math.Pi/turns)
		angle, ok := beam.Edge(d, 0.5, left, up)
		if !ok || angle < 0 {
			return r3.Vec{}, false
		}
		p, ok := s.Ground.Hit(m.Place, m.Axes.Direction(angle, left, up))
		return p, ok && m.Range(p) <= limit
	}
	// cut is the last point of a run between a turn that it has and one that it has not
	cut := func(in, out float64) r3.Vec {
		last, _ := point(edge(in, out, func(turn float64) bool {
			_, ok := point(turn)
			return ok
		}))
		return last
	}
	var runs [][]r3.Vec
	var run []r3.Vec
	whole, atTop, last := true, false, false
	for i := 0; i <= turns; i++ {
		p, ok := point(float64(i))
		switch {
		case ok && i == 0:
			atTop = true
		case ok && !last:
			run = append(run, cut(float64(i), float64(i-1)))
		case !ok && last:
			runs, run = append(runs, append(run, cut(float64(i-1), float64(i)))), nil
		}
		if ok {
			run = append(run, p)
		}
		whole, last = whole && ok, ok
	}
	switch {
	case whole:
		run[turns] = run[0]
		return append(runs, run)
	case atTop: // the run that ends at the top goes on with the first
		runs[0] = append(run, runs[0][1:]...)
	}
	return runs
}

// SkyShare is the share of the lamp's flux that goes above the horizontal, to 1e-4.
func (m *Mounted) SkyShare() float64 {
	ahead, left, up := m.Axes.components(r3.Vec{Z: 1})
	d := m.Lamp.Beam()
	if d.Flux() == 0 {
		return 0
	}
	return beam.FluxInto(d, ahead, left, up) / d.Flux()
}

// WallMark is where the beam axis of a parked lamp meets a wall that stands square to the vehicle
// at x = wall on level ground; ok is false where it does not: the lamp is not aimed at it, or its
// axis meets the ground before.
func (l *Lamp) WallMark(wall float64) (mark r3.Vec, ok bool) {
	d := l.Aim.Axes().Ahead
	run := wall - l.At.X
	if d.X < 1e-9 || run <= 0 {
		return r3.Vec{}, false
	}
	mark = r3.Add(l.At, r3.Scale(run/d.X, d))
	mark.X = wall
	return mark, mark.Z >= 0
}

// Shade is how far ahead of the bumper (m), at most 60 m, a body box keeps the light of the lamp's
// middle off the ground on the centreline, and which box ends it; ok is false where the ground at
// the bumper is not in the shade.
func (s *Site) Shade(m *Mounted) (to float64, by string, ok bool) {
	if m.Axes.Ahead.X <= 0 || len(s.Body) == 0 {
		return 0, "", false
	}
	blocker := func(x float64) string {
		p, at := s.Attitude.Parked(s.At(x, 0, 0)), m.Lamp.At
		for i := range s.Body {
			if s.Body[i].crosses(p, r3.Sub(at, p)) {
				return s.Body[i].Name
			}
		}
		return ""
	}
	const step, end = 0.1, 60.0
	if blocker(0) == "" {
		return 0, "", false
	}
	in, out := 0.0, step
	for blocker(out) != "" {
		if in, out = out, out+step; out > end {
			break
		}
	}
	in = edge(in, out, func(x float64) bool { return blocker(x) != "" })
	return in, blocker(in), true
}
