package lm63

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"beamfall/beam"
)

// A table is only as good as its angles. This file picks them for a modelled beam: close where the
// intensity bends, wide where it is straight or dark, so that the straight lines between them stay
// on the curve.

const (
	// greatest deviation of the line from the curve along one angle, of the intensity there …
	bend       = 0.003
	floor      = 0.005         // … or of this share of the peak, where the intensity is lower
	lookEvery  = 0.25          // degrees between trial directions: half of the narrowest beam there is
	surveyStep = 2 * lookEvery // degrees between the directions in which a beam is looked for
	mostSteps  = 400           // across the beam, which bounds the steps at a hard edge
	lastStep   = 0.01          // degrees, to a right angle: there a wide beam ends from full light to none
)

// A scale is a list of angles, with the sines and cosines that the directions of a line take.
type scale struct{ degrees, sin, cos []float64 }

func newScale(degrees []float64) scale {
	s := scale{degrees, make([]float64, len(degrees)), make([]float64, len(degrees))}
	for i, a := range degrees {
		s.sin[i], s.cos[i] = sincos(a)
	}
	return s
}

// sincos is of an angle in degrees. The cosine of a right angle is 0, not 6e-17, so that the plane
// of the lens is not ahead of it: no modelled beam has light there.
func sincos(degrees float64) (sin, cos float64) {
	sin, cos = math.Sincos(degrees * degree)
	if math.Abs(degrees) == 90 {
		cos = 0
	}
	return sin, cos
}

// A model asks a distribution in type B angles, in degrees.
type model struct {
	beam.Distribution
	ahead, left, up []float64
}

// plane writes the intensities at one horizontal angle, over the vertical ones, to dst.
func (m *model) plane(dst []float64, h float64, vertical scale) {
	sin, cos := sincos(h)
	m.room(len(dst))
	for i := range dst {
		m.ahead[i], m.left[i], m.up[i] = cos*vertical.cos[i], -sin, cos*vertical.sin[i]
	}
	m.Candelas(dst, m.ahead, m.left, m.up)
}

// belt writes the intensities at one vertical angle, over the horizontal ones, to dst.
func (m *model) belt(dst []float64, v float64, horizontal scale) {
	sin, cos := sincos(v)
	m.room(len(dst))
	for i := range dst {
		m.ahead[i], m.left[i], m.up[i] = horizontal.cos[i]*cos, -horizontal.sin[i], horizontal.cos[i]*sin
	}
	m.Candelas(dst, m.ahead, m.left, m.up)
}

func (m *model) room(n int) {
	for _, component := range []*[]float64{&m.ahead, &m.left, &m.up} {
		*component = slices.Grow((*component)[:0], n)[:n]
	}
}

// angles picks the horizontal and vertical angles (degrees, -90 to 90).
func (m *model) angles() (horizontal, vertical []float64, err error) {
	survey := newScale(surveyAngles())
	litH, litV, err := m.extents(survey)
	if err != nil {
		return nil, nil, err
	}
	// Beside a narrow spot a wide flood is dim, and yet may be most of the flux. What is as bright
	// as the mean over the half-space ahead is followed as closely as the spot: what all lines are
	// off by is then a small share of the flux.
	dim := min(floor*m.Peak(), m.Flux()/(2*math.Pi))
	across := refiner{line: m.plane, dim: dim, lit: litH}
	upright := refiner{line: m.belt, dim: dim, lit: litV}
	// Each list is judged along the lines of the other, so both get a second look.
	horizontal = across.angles(survey)
	for range 2 {
		vertical = upright.angles(withMiddles(horizontal))
		horizontal = across.angles(withMiddles(vertical))
	}
	return horizontal, vertical, nil
}

// surveyAngles are close around the beam axis and everywhere close enough not to miss a beam.
func surveyAngles() []float64 {
	angles := []float64{0}
	for a := 0.02; a < 1; a *= 1.2 {
		angles = append(angles, a, -a)
	}
	for a := 1.0; a <= 90; a += surveyStep {
		angles = append(angles, a, -a)
	}
	slices.Sort(angles)
	return angles
}

// extent is the angles (degrees) between which a beam has more than a hundredth of its peak.
type extent struct{ low, high float64 }

func (e *extent) take(angle float64) { e.low, e.high = min(e.low, angle), max(e.high, angle) }

// least is the shortest step at an angle: a share of the beam's width in the beam, shorter toward the
// axis, where a wide beam may have a narrow peak, and growing with the distance from the beam.
func (e extent) least(angle float64) float64 {
	const narrowest = 0.2 // degrees, where the survey saw the axis only
	// the beam may reach as far as the survey's next look
	outside := max(e.low-surveyStep-angle, angle-e.high-surveyStep, 0)
	return max(min((e.high-e.low)/mostSteps, math.Abs(angle)/20), narrowest/mostSteps, outside/20)
}

// extents are how wide and how high the beam is: its angles to the side and over the level plane.
// The vertical angles of type B are no measure of height, since all of them meet beside the lamp. A
// beam that also shines backwards has no place in a type B file.
func (m *model) extents(survey scale) (h, v extent, err error) {
	h, v = extent{math.Inf(1), math.Inf(-1)}, extent{math.Inf(1), math.Inf(-1)}
	lit := 0.01 * m.Peak()
	row := make([]float64, len(survey.degrees))
	behind := make([]float64, len(survey.degrees))
	for _, across := range survey.degrees {
		m.plane(row, across, survey)
		for i := range m.ahead {
			m.ahead[i] = min(-m.ahead[i], -1e-9)
		}
		m.Candelas(behind, m.ahead, m.left, m.up)
		for i, up := range survey.degrees {
			if !(row[i] >= 0 && row[i] <= maxCandela) {
				return h, v, fmt.Errorf("%g cd at H %.3g°, V %.3g°: 0 to %g cd would be right", row[i], across, up,
					maxCandela)
			}
			if behind[i] > lit {
				return h, v, errors.New("the beam shines backwards too; a type B file holds what goes ahead")
			}
			if row[i] > lit {
				h.take(across)
				v.take(math.Asin(m.up[i]) / degree)
			}
		}
	}
	if h.low > h.high {
		return h, v, fmt.Errorf("no direction ahead comes near the peak of %g cd", m.Peak())
	}
	return h, v, nil
}

// A refiner halves the steps along one angle until lines between neighbours stay on the curve.
type refiner struct {
	line func(dst []float64, at float64, across scale)
	dim  float64 // cd; what is dimmer is followed as closely as this
	lit  extent
}

func (r refiner) angles(across scale) []float64 {
	ends := make([][]float64, 3)
	for i, a := range []float64{-90, 0, 90} {
		ends[i] = make([]float64, len(across.degrees))
		r.line(ends[i], a, across)
	}
	angles := r.between([]float64{-90}, -90, 0, ends[0], ends[1], across)
	angles = append(angles, 0)
	angles = r.between(angles, 0, 90, ends[1], ends[2], across)
	return append(angles, 90)
}

// between appends the angles needed inside (a, b), given the intensities at both ends.
func (r refiner) between(angles []float64, a, b float64, atA, atB []float64, across scale) []float64 {
	middle := r.middle(a, b)
	least := r.lit.least(middle)
	if a == -90 || b == 90 {
		least = min(least, lastStep)
	}
	if min(middle-a, b-middle) < least || r.straight(a, b, atA, atB, across) {
		return angles
	}
	atMiddle := make([]float64, len(across.degrees))
	r.line(atMiddle, middle, across)
	angles = r.between(angles, a, middle, atA, atMiddle, across)
	angles = append(angles, middle)
	return r.between(angles, middle, b, atMiddle, atB, across)
}

// middle is halfway from a to b, rounded to the decimals that steps this small need.
func (r refiner) middle(a, b float64) float64 {
	unit := max(math.Pow(10, math.Floor(math.Log10((b-a)/8))), leastStep)
	return math.Round((a+b)/2/unit) * unit
}

func (r refiner) straight(a, b float64, atA, atB []float64, across scale) bool {
	n := max(4, int(math.Ceil((b-a)/lookEvery)))
	curve := make([]float64, len(across.degrees))
	for _, k := range inward(n) {
		fraction := float64(k) / float64(n)
		r.line(curve, a+fraction*(b-a), across)
		for i, truth := range curve {
			line := atA[i] + fraction*(atB[i]-atA[i])
			if math.Abs(line-truth) > bend*max(truth, r.dim) {
				return false
			}
		}
	}
	return true
}

// inward is 1 to n-1 with the middle first: a line that does not stay on the curve is mostly found
// out there.
func inward(n int) []int {
	order := make([]int, 0, n-1)
	for k := n / 2; k >= 1; k-- {
		order = append(order, k)
		if n-k > k {
			order = append(order, n-k)
		}
	}
	return order
}

// withMiddles adds the middle of every step.
func withMiddles(angles []float64) scale {
	all := make([]float64, 0, 2*len(angles))
	for i, a := range angles {
		if i > 0 {
			all = append(all, (angles[i-1]+a)/2)
		}
		all = append(all, a)
	}
	return newScale(all)
}
