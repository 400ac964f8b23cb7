package geometry

import (
	"beamfall/beam"

	"gonum.org/v1/gonum/spatial/r3"
)

// Lamp is a lamp as mounted and set, with the vehicle parked on level ground.
type Lamp struct {
	Name    string
	Circuit string
	At      r3.Vec // centre of the luminous width, m
	Aim     Aim
	Width   float64 // luminous width along the lamp's left, m; 0 is a point
	Optics  []Optic
}

// Optic is one kind of lens in a lamp's housing.
type Optic struct {
	Beam beam.Distribution // of all of this optic together
	Span []Span            // where across the width it sits; empty is all of it
}

// Span is a stretch of a lamp's width, from -1 (right end) to 1 (left end).
type Span struct{ From, To float64 }

// Middle is the central share of a width.
func Middle(share float64) []Span { return []Span{{-share, share}} }

// Ends is what a central share leaves of a width, half on either side.
func Ends(middle float64) []Span { return []Span{{-1, -middle}, {middle, 1}} }

// Beam is the lamp's distribution from so far that it is a point.
func (l *Lamp) Beam() beam.Distribution {
	if len(l.Optics) == 1 {
		return l.Optics[0].Beam
	}
	m := make(beam.Mix, len(l.Optics))
	for i, o := range l.Optics {
		m[i] = o.Beam
	}
	return m
}

// Mounted is a lamp in the place and direction that it has as driven.
type Mounted struct {
	Lamp
	Place   r3.Vec
	Axes    Axes
	bars    []bar
	tempers []temper // of each optic
}

// A bar is a straight stretch of evenly spread emitters that share one distribution; of no length, it is a point.
type bar struct {
	beam   beam.Distribution
	share  float64 // of the distribution's intensity
	cutoff float64 // of the distribution
	temper         // of a bar; a point needs none
	axes   Axes
	at     r3.Vec // centre
	half   r3.Vec // from the centre to the left end
	length float64

	parkedAt, parkedHalf r3.Vec // at and half among the body boxes, which are as parked
}

// Reaim is the lamp aimed another way, without working out again what does not change.
func (s *Site) Reaim(m *Mounted, aim Aim) Mounted {
	l := m.Lamp
	l.Aim = aim
	return mount(l, s.Attitude, func(optic int) temper { return m.tempers[optic] })
}

func mountNew(l Lamp, att Attitude) Mounted {
	return mount(l, att, func(optic int) temper {
		d := l.Optics[optic].Beam
		switch {
		case d.Peak() == 0:
			return temper{} // darkness is the same everywhere
		case l.Width == 0 && !beam.Falls(d):
			return temper{rough: true} // all that counts for a point
		}
		t := temperOf(d)
		t.pointed = t.pointed && l.Width > 0 // a lamp that is a point has no parts on either side of one
		return t
	})
}

// mount places a lamp as driven.
func mount(l Lamp, att Attitude, temperOf func(optic int) temper) Mounted {
	parked := l.Aim.Axes()
	m := Mounted{Lamp: l, Place: att.Driven(l.At), Axes: att.DrivenAxes(parked)}
	for i, o := range l.Optics {
		spans, total := o.Span, 0.0
		if len(spans) == 0 || l.Width == 0 {
			spans = []Span{{-1, 1}}
		}
		for _, s := range spans {
			total += s.To - s.From
		}
		t := temperOf(i)
		m.tempers = append(m.tempers, t)
		for _, s := range spans {
			if s.To <= s.From {
				continue
			}
			b := bar{
				beam: o.Beam, share: (s.To - s.From) / total, cutoff: o.Beam.Cutoff(), temper: t,
				axes: m.Axes, at: m.Place, parkedAt: l.At,
			}
			if l.Width > 0 {
				middle, half := (s.From+s.To)/4*l.Width, (s.To-s.From)/4*l.Width
				b.length = 2 * half
				b.at, b.half = r3.Add(m.Place, r3.Scale(middle, m.Axes.Left)), r3.Scale(half, m.Axes.Left)
				b.parkedAt, b.parkedHalf = r3.Add(l.At, r3.Scale(middle, parked.Left)), r3.Scale(half, parked.Left)
			}
			m.bars = append(m.bars, b)
		}
	}
	return m
}
