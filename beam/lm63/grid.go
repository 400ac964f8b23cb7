package lm63

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"beamfall/beam"
)

// A table is only as good as its angles. This file picks them for a modelled beam: close where the intensity bends,
// wide where it is straight or dark, so that the straight lines between them stay on the curve.

const (
	bend      = 0.003 // greatest deviation of the line from the curve along one angle, of the intensity there …
	floor     = 0.005 // … or of this share of the peak, where the intensity is lower
	lookEvery = 0.25  // degrees between trial directions: half of the narrowest beam there is
	mostSteps = 400   // across the beam, which bounds the steps at a hard edge
)

// A model asks a distribution in type B angles, in degrees.
type model struct {
	beam.Distribution
	ahead, left, up []float64
}

// plane writes the intensities at one horizontal angle, over the vertical ones, to dst.
func (m *model) plane(dst []float64, h float64, vertical []float64) {
	m.line(dst, func(i int) (float64, float64) { return h, vertical[i] })
}

// belt writes the intensities at one vertical angle, over the horizontal ones, to dst.
func (m *model) belt(dst []float64, v float64, horizontal []float64) {
	m.line(dst, func(i int) (float64, float64) { return horizontal[i], v })
}

func (m *model) line(dst []float64, at func(int) (h, v float64)) {
	n := len(dst)
	m.ahead, m.left, m.up = slices.Grow(m.ahead[:0], n)[:n], slices.Grow(m.left[:0], n)[:n], slices.Grow(m.up[:0], n)[:n]
	for i := range dst {
		h, v := at(i)
		sinH, cosH := math.Sincos(h * degree)
		sinV, cosV := math.Sincos(v * degree)
		m.ahead[i], m.left[i], m.up[i] = cosH*cosV, -sinH, cosH*sinV
	}
	m.Candelas(dst, m.ahead, m.left, m.up)
}

// angles picks the horizontal and vertical angles (degrees, -90 to 90).
func (m *model) angles() (horizontal, vertical []float64, err error) {
	survey := surveyAngles()
	litH, litV, err := m.extents(survey)
	if err != nil {
		return nil, nil, err
	}
	across := refiner{line: m.plane, peak: m.Peak(), lit: litH}
	upright := refiner{line: m.belt, peak: m.Peak(), lit: litV}
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
	for a := 1.0; a <= 90; a += 2 * lookEvery {
		angles = append(angles, a, -a)
	}
	slices.Sort(angles)
	return angles
}

// extent is the angles (degrees) between which a beam has more than a hundredth of its peak.
type extent struct{ low, high float64 }

func (e *extent) take(angle float64) { e.low, e.high = min(e.low, angle), max(e.high, angle) }

// least is the shortest step at an angle: a share of the beam's width in the beam, growing with the distance from it.
func (e extent) least(angle float64) float64 {
	const narrowest = 0.2 // degrees, where the survey saw the axis only
	outside := max(e.low-angle, angle-e.high, 0)
	return max((e.high-e.low)/mostSteps, narrowest/mostSteps, outside/20)
}

// extents are how wide and how high the beam is. A beam that also shines backwards has no place in a type B file.
func (m *model) extents(survey []float64) (h, v extent, err error) {
	h, v = extent{math.Inf(1), math.Inf(-1)}, extent{math.Inf(1), math.Inf(-1)}
	lit := 0.01 * m.Peak()
	row := make([]float64, len(survey))
	behind := make([]float64, len(survey))
	for _, across := range survey {
		m.plane(row, across, survey)
		for i := range m.ahead {
			m.ahead[i] = min(-m.ahead[i], -1e-9)
		}
		m.Candelas(behind, m.ahead, m.left, m.up)
		for i, up := range survey {
			if !(row[i] >= 0 && row[i] <= maxCandela) {
				return h, v, fmt.Errorf("%g cd at H %.3g°, V %.3g°: 0 to %g cd would be right", row[i], across, up, maxCandela)
			}
			if behind[i] > lit {
				return h, v, errors.New("the beam shines backwards too; a type B file holds what goes ahead")
			}
			if row[i] > lit {
				h.take(across)
				v.take(up)
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
	line func(dst []float64, at float64, across []float64)
	peak float64
	lit  extent
}

func (r refiner) angles(across []float64) []float64 {
	ends := make([][]float64, 3)
	for i, a := range []float64{-90, 0, 90} {
		ends[i] = make([]float64, len(across))
		r.line(ends[i], a, across)
	}
	angles := r.between([]float64{-90}, -90, 0, ends[0], ends[1], across)
	angles = append(angles, 0)
	angles = r.between(angles, 0, 90, ends[1], ends[2], across)
	return append(angles, 90)
}

// between appends the angles needed inside (a, b), given the intensities at both ends.
func (r refiner) between(angles []float64, a, b float64, atA, atB, across []float64) []float64 {
	middle := r.middle(a, b)
	if min(middle-a, b-middle) < r.lit.least(middle) || r.straight(a, b, atA, atB, across) {
		return angles
	}
	atMiddle := make([]float64, len(across))
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

func (r refiner) straight(a, b float64, atA, atB, across []float64) bool {
	n := max(4, int(math.Ceil((b-a)/lookEvery)))
	curve := make([]float64, len(across))
	for k := 1; k < n; k++ {
		fraction := float64(k) / float64(n)
		r.line(curve, a+fraction*(b-a), across)
		for i, truth := range curve {
			line := atA[i] + fraction*(atB[i]-atA[i])
			if math.Abs(line-truth) > bend*max(truth, floor*r.peak) {
				return false
			}
		}
	}
	return true
}

// withMiddles adds the middle of every step.
func withMiddles(angles []float64) []float64 {
	all := make([]float64, 0, 2*len(angles))
	for i, a := range angles {
		if i > 0 {
			all = append(all, (angles[i-1]+a)/2)
		}
		all = append(all, a)
	}
	return all
}
