package geometry

import (
	"cmp"
	"math"
	"slices"

	"beamfall/beam"

	"gonum.org/v1/gonum/spatial/r3"
)

// Where the ground is brightest. That is nearer than where the axis hits, since the ground nearer
// by is both closer and less grazed; how much nearer is searched for, never assumed.

// Spot is an illuminance (lx) at a place (m).
type Spot struct {
	Lux float64
	At  r3.Vec
}

// Brightest is the greatest ground illuminance from all lamps of the scene, found by a local
// search: it starts from rays spread over each beam and over the ground below it, and climbs from
// the brightest places that lie apart. A scene that lights no ground has 0 lx.
func (s *Scene) Brightest() Spot {
	const most = 24
	var starts []Spot
	for i := range s.Lamps {
		for _, spot := range s.Only(i).starts(&s.Lamps[i]) {
			starts = append(starts, Spot{s.GroundLux(spot.At.X, spot.At.Y), spot.At})
		}
	}
	byLux(starts)
	starts = starts[:min(most, len(starts))]
	for i := range starts {
		starts[i] = s.climb(starts[i], 8)
	}
	// Along the edge of a beam that ends in a step the way up may be narrow.
	byLux(starts)
	var top Spot
	for _, start := range starts[:min(3, len(starts))] {
		if spot := s.climb(start, 64); spot.Lux > top.Lux {
			top = spot
		}
	}
	return top
}

// starts are the brightest few of the points where rays of a lamp meet the ground, none in the
// neighbourhood of another.
func (s *Scene) starts(m *Mounted) []Spot {
	const most, some = 6, 64
	spots, rays := s.besideShadows(m), s.site().rays(m)
	apart := m.apart(spots, most)
	for len(rays) > 0 {
		// What a bar lights may be brighter than from one emitter, by as much as its ends are
		// nearer.
		const room = 4
		if len(apart) == most && room*rays[0].Lux < apart[most-1].Lux {
			break
		}
		n := min(some, len(rays))
		for _, ray := range rays[:n] {
			if lux := s.GroundLux(ray.At.X, ray.At.Y); lux > 0 {
				spots = append(spots, Spot{lux, ray.At})
			}
		}
		rays, apart = rays[n:], m.apart(spots, most)
	}
	return apart
}

// rays are where rays of a lamp meet the ground, spread over its beam, finer toward the axis, with
// the light that the whole lamp would put there from one emitter if nothing were in the way: the
// brightest first.
func (s *Site) rays(m *Mounted) []Spot {
	left, up := m.Axes.Upright()
	half := beam.FullAngle(m.Lamp.Beam(), 0.5, left, up) / 2
	if !(half > 0) {
		half = math.Pi / 8
	}
	var out []Spot
	d, aside := m.Lamp.Beam(), r3.Add(r3.Scale(up, m.Axes.Left), r3.Scale(-left, m.Axes.Up))
	for _, emitter := range s.emitters(m) {
		for _, v := range fan(half, math.Pi) { // in the upright plane and out of it
			for _, h := range fan(half, math.Pi/2) {
				ray := r3.Add(r3.Scale(math.Cos(h), m.Axes.Direction(v, left, up)), r3.Scale(math.Sin(h), aside))
				candela := d.Candela(m.Axes.components(ray))
				if candela == 0 {
					continue
				}
				if p, ok := s.Ground.Hit(emitter, ray); ok {
					d2 := max(r3.Norm2(r3.Sub(p, emitter)), nearest*nearest)
					out = append(out, Spot{candela * -r3.Dot(ray, s.Ground.Normal(p.X)) / d2, p})
				}
			}
		}
	}
	byLux(out)
	return out
}

// byLux sorts the brightest first.
func byLux(spots []Spot) {
	slices.SortStableFunc(spots, func(a, b Spot) int { return cmp.Compare(b.Lux, a.Lux) })
}

// apart are the brightest of spots that lie apart, as seen from a lamp. It sorts them.
func (m *Mounted) apart(spots []Spot, most int) []Spot {
	byLux(spots)
	var out []Spot
	for _, spot := range spots {
		if len(out) == most {
			break
		}
		if !slices.ContainsFunc(out, func(o Spot) bool {
			return norm(r3.Sub(o.At, spot.At)) < 0.3*max(m.Range(spot.At), m.Place.Z)
		}) {
			out = append(out, spot)
		}
	}
	return out
}

// emitters are the middle of what of a lamp is above the ground, and points near the ends of that,
// if it is a bar.
func (s *Site) emitters(m *Mounted) []r3.Vec {
	half := r3.Scale(m.Lamp.Width/2, m.Axes.Left)
	over := s.Ground.over(m.Place)
	rise := s.Ground.over(r3.Add(m.Place, half)) - over
	lo, hi := keepAbove(over, rise, -1, 1)
	if lo > hi || math.Abs(rise) < 0.05*over { // a level bar lights most under its middle as under its ends
		return []r3.Vec{m.Place}
	}
	var out []r3.Vec
	for _, share := range [...]float64{0.02, 0.5, 0.98} {
		out = append(out, r3.Add(m.Place, r3.Scale(lo+share*(hi-lo), half)))
	}
	return out
}

// besideShadows are points next to the shadows of the body boxes on the ground: of a beam that all
// but misses the ground behind a box, the brightest may be a strip there that the fan of rays steps
// over.
func (s *Scene) besideShadows(m *Mounted) []Spot {
	const most, aside = 16, 0.02 // boxes; m
	var spots []Spot
	var boxes []Box
	for i := range m.bars {
		boxes = append(boxes, m.bars[i].boxes...)
	}
	for i := range boxes[:min(most, len(boxes))] {
		b := &boxes[i]
		for _, e := range b.edges(5) {
			p, ok := s.site().Ground.Hit(m.Place, r3.Sub(s.site().Attitude.Driven(e), m.Place))
			if !ok {
				continue
			}
			for _, d := range [...][2]float64{{aside, 0}, {-aside, 0}, {0, aside}, {0, -aside}} {
				if lux := s.GroundLux(p.X+d[0], p.Y+d[1]); lux > 0 {
					spots = append(spots, Spot{lux, s.site().At(p.X+d[0], p.Y+d[1], 0)})
				}
			}
		}
	}
	return spots
}

// fan is angles on both sides of 0, spaced by a quarter of half at first and then ever wider, up to
// end.
func fan(half, end float64) []float64 {
	angles := []float64{0}
	step := half / 4
	for a := step; a < end; a += step {
		angles = append(angles, a, -a)
		if a > 2*half {
			step *= 1.3
		}
	}
	return angles
}

// climb walks uphill on the ground in a number of directions, with steps that halve, until they are
// below a millimetre: where no step leads up any more, and after many of one length, since along a
// cliff each leads up by next to nothing.
func (s *Scene) climb(from Spot, directions int) Spot {
	step := 0.5
	for i := range s.Lamps {
		step = max(step, s.Lamps[i].Range(from.At)/20)
	}
	const many = 40
	for taken := 1; step > 5e-4; taken++ {
		best := from
		for i := range directions {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(directions))
			x, y := from.At.X+step*cos, from.At.Y+step*sin
			if lux := s.GroundLux(x, y); lux > best.Lux {
				best = Spot{lux, s.site().At(x, y, 0)}
			}
		}
		if best == from || taken == many {
			step, taken = step/2, 0
		}
		from = best
	}
	return from
}

// BodyLight is the illuminance (lx) on the top face of a body box.
type BodyLight struct {
	Name      string
	Mean, Max float64
}

// BodyLights are the light on the top faces of the body boxes.
func (s *Scene) BodyLights() []BodyLight {
	out := make([]BodyLight, len(s.site().Body))
	for i := range out {
		out[i] = s.BodyLight(i)
	}
	return out
}

// BodyLight is the light on the top face of body box i: the mean over 96 × 96 cells of the face (48
// × 48 with more than 16 boxes), and the greatest found by climbing from the brightest of them.
func (s *Scene) BodyLight(i int) BodyLight {
	n := 96
	if len(s.site().Body) > 16 {
		n = 48
	}
	b, att := &s.site().Body[i], s.site().Attitude
	at := func(u, v float64) r3.Vec {
		return att.Driven(r3.Vec{X: b.Min.X + u*(b.Max.X-b.Min.X), Y: b.Min.Y + v*(b.Max.Y-b.Min.Y), Z: b.Max.Z})
	}
	normal := att.DrivenAxes(Axes{Up: r3.Vec{Z: 1}}).Up
	lux, cell := make([]float64, n*n), 1/float64(n)
	first := at(cell/2, cell/2)
	down, step := r3.Sub(at(1.5*cell, cell/2), first), r3.Sub(at(cell/2, 1.5*cell), first)
	s.addPlane(lux, lattice{start: first, down: down, step: step, normal: normal}, n, n)
	sum, top, topU, topV := 0.0, 0.0, 0.5, 0.5
	for k, v := range lux {
		sum += v
		if v > top {
			top, topU, topV = v, (float64(k/n)+0.5)*cell, (float64(k%n)+0.5)*cell
		}
	}
	for step := cell; step > 1e-4; {
		was := top
		for _, d := range [...][2]float64{{step, 0}, {-step, 0}, {0, step}, {0, -step}} {
			u, v := topU+d[0], topV+d[1]
			if u < 0 || u > 1 || v < 0 || v > 1 {
				continue
			}
			if e := s.Lux(at(u, v), normal); e > top {
				top, topU, topV = e, u, v
			}
		}
		if top == was {
			step /= 2
		}
	}
	return BodyLight{b.Name, sum * cell * cell, top}
}
