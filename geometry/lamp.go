package geometry

import (
	"math"
	"reflect"
	"slices"

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

// Same tells whether a lamp gives the same light as another from the same place, whatever they are
// called.
func (l *Lamp) Same(m *Lamp) bool {
	return l.At == m.At && l.Aim == m.Aim && l.Width == m.Width && reflect.DeepEqual(l.Optics, m.Optics)
}

// Optic is one kind of lens in a lamp's housing.
type Optic struct {
	Beam beam.Distribution // of all of this optic together
	Span []Span            // where across the width it sits; empty is all of it
}

// Span is a part of a lamp's width, or of a bar, from -1 (right end) to 1 (left end).
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

// Mounted is a lamp in the place and direction that it has as driven. [Site.Scene] and [Site.Reaim]
// mount lamps; a scene panics when it is asked for the light of one put together by hand.
type Mounted struct {
	Lamp   Lamp // as set on the parked vehicle
	Place  r3.Vec
	Axes   Axes
	bars   []bar
	varies []variation // of each optic
}

// A bar is a straight line of evenly spread emitters that share one distribution; of no length, it
// is a point.
type bar struct {
	beam       beam.Distribution
	share      float64 // of the distribution's intensity
	cutoff     float64 // of the distribution
	*variation         // of the distribution
	faintSin   float64 // the sine that goes with faint
	axes       Axes
	at         r3.Vec // centre
	half       r3.Vec // from the centre to the left end
	length     float64

	knots *knotsOver // nil: the ground has few

	// among the body boxes, which are as parked
	parkedAt, parkedHalf r3.Vec // at and half
	boxes                []Box  // that may be in the way of its light
}

// Reaim is the lamp aimed another way, without working out again what does not change.
func (s *Site) Reaim(m *Mounted, aim Aim) Mounted {
	l := m.Lamp
	l.Aim = aim
	return s.mount(l, m.varies)
}

func (s *Site) mountNew(l Lamp) Mounted {
	varies := make([]variation, len(l.Optics))
	for i, o := range l.Optics {
		varies[i] = variationOf(o.Beam, l.Width == 0)
	}
	return s.mount(l, varies)
}

// sameOptics tells whether lamps have the same optics of the same beams, so that what is known of
// the one's is true of the other's.
func sameOptics(l, m *Lamp) bool {
	return (l.Width == 0) == (m.Width == 0) && slices.EqualFunc(l.Optics, m.Optics, func(a, b Optic) bool {
		return reflect.ValueOf(a.Beam).Comparable() && a.Beam == b.Beam
	})
}

// mount places a lamp as driven.
func (s *Site) mount(l Lamp, varies []variation) Mounted {
	parked, att := l.Aim.Axes(), s.Attitude
	m := Mounted{Lamp: l, Place: att.Driven(l.At), Axes: att.DrivenAxes(parked), varies: varies}
	for i, o := range l.Optics {
		spans, total := o.Span, 0.0
		if len(spans) == 0 || l.Width == 0 {
			spans = []Span{{-1, 1}}
		}
		for _, span := range spans {
			total += span.To - span.From
		}
		v := &varies[i]
		for _, span := range spans {
			if span.To <= span.From {
				continue
			}
			b := bar{
				beam: o.Beam, share: (span.To - span.From) / total, cutoff: o.Beam.Cutoff(),
				variation: v, faintSin: math.Sqrt(max(0, 1-v.faint*v.faint)),
				axes: m.Axes, at: m.Place, parkedAt: l.At,
			}
			if l.Width > 0 {
				middle, half := (span.From+span.To)/4*l.Width, (span.To-span.From)/4*l.Width
				b.length = 2 * half
				b.at, b.half = r3.Add(m.Place, r3.Scale(middle, m.Axes.Left)), r3.Scale(half, m.Axes.Left)
				b.parkedAt, b.parkedHalf = r3.Add(l.At, r3.Scale(middle, parked.Left)), r3.Scale(half, parked.Left)
			}
			b.boxes, b.knots = s.inTheWay(&b), s.Ground.knotsOver(b.at, b.half)
			m.bars = append(m.bars, b)
		}
	}
	return m
}

// inTheWay are the body boxes that may be in the way of a bar's light.
func (s *Site) inTheWay(b *bar) []Box {
	var out []Box
	sin := math.Sqrt(max(0, 1-b.cutoff*b.cutoff))
	for i := range s.Body {
		box := &s.Body[i]
		middle, radius := r3.Scale(0.5, r3.Add(box.Min, box.Max)), norm(r3.Sub(box.Max, box.Min))/2+touch
		if b.mayLightWithin(s.Attitude.Driven(middle), radius, b.cutoff, sin) {
			out = append(out, *box)
		}
	}
	return out
}
