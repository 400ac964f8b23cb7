package lm63

import (
	"math"
	"slices"

	"beamfall/beam"
)

// A Table is the intensity distribution of a file: bilinear in its two angles, dark outside them.
// It implements beam.Distribution.
//
// All three photometric types are the same table over a sphere with its pole in another place:
// ahead (type C), right (type B) or up (type A). Symmetry is the absolute value of a component,
// taken before the angles are.
type Table struct {
	kind     Type
	cos, sin float64 // type C: turn of the table's first plane from C0
	foldPole bool    // below the equator equals above (types A and B)
	foldX    bool    // behind equals before, as seen from the first plane (type C in quadrants)
	foldY    bool    // one side of the first plane equals the other

	polar   axis // type C: angle from the pole; A, B: elevation from the equator
	azimuth axis // unused where round
	round   bool

	value []float64 // cd before scale; value[a*len(polar.nodes)+p]

	scale  float64
	peak   float64
	flux   float64
	cutoff float64
	dark   float64 // cosine from the beam axis below which nothing need be looked up; -2 where there is no such
}

var _ beam.Distribution = (*Table)(nil)

// Candela is the intensity (cd) in the direction with the given components.
func (t *Table) Candela(ahead, left, up float64) float64 {
	if ahead < t.dark {
		return 0
	}
	var pole, x, y float64
	switch t.kind {
	case TypeA:
		pole, x, y = up, ahead, -left
	case TypeB:
		pole, x, y = -left, ahead, up
	default:
		pole, x, y = ahead, up*t.sin-left*t.cos, up*t.cos+left*t.sin
	}
	if t.foldPole {
		pole = math.Abs(pole)
	}
	if t.foldX {
		x = math.Abs(x)
	}
	if t.foldY {
		y = math.Abs(y)
	}
	rho := math.Sqrt(x*x + y*y)
	if t.kind == TypeC {
		pole, rho = rho, pole
	}
	p, pf, ok := t.polar.place(pole, rho)
	if !ok {
		return 0
	}
	if t.round {
		return t.scale * (t.value[p] + pf*(t.value[p+1]-t.value[p]))
	}
	a, af, ok := t.azimuth.place(y, x)
	if !ok {
		return 0
	}
	n := len(t.polar.nodes)
	one, next := t.value[a*n+p:], t.value[(a+1)*n+p:]
	low := one[0] + pf*(one[1]-one[0])
	high := next[0] + pf*(next[1]-next[0])
	return t.scale * (low + af*(high-low))
}

// Candelas writes the intensities (cd) of len(dst) directions to dst; they are those of Candela.
func (t *Table) Candelas(dst, ahead, left, up []float64) {
	ahead, left, up = ahead[:len(dst)], left[:len(dst)], up[:len(dst)]
	for i := range dst {
		dst[i] = t.Candela(ahead[i], left[i], up[i])
	}
}

// Peak is the greatest intensity (cd).
func (t *Table) Peak() float64 { return t.peak }

// Flux is the flux into all directions (lm): the integral of the interpolated table, in closed
// form.
func (t *Table) Flux() float64 { return t.flux }

// Cutoff is the cosine of the angle from the beam axis beyond which the table is dark; -1 where
// there is no such angle.
func (t *Table) Cutoff() float64 { return t.cutoff }

func (f *File) newTable() *Table {
	t := &Table{kind: f.Type, cos: 1, scale: 1, round: f.symmetry == round}
	switch {
	case f.symmetry == round && f.Type != TypeC:
		f.fillRound(t)
	case f.Type == TypeC:
		f.fillC(t)
	default:
		f.fillAB(t)
	}
	f.mendPoles(t)
	t.peak = slices.Max(t.value)
	t.flux = t.integrate()
	t.cutoff = t.edge() - 2*rim
	t.dark = t.cutoff
	if t.cutoff <= -1+4*rim {
		t.cutoff, t.dark = -1, -2
	}
	return t
}

func (f *File) fillC(t *Table) {
	t.polar = newAxis(f.Vertical, false)
	t.value = slices.Clone(f.Candela)
	if t.round {
		return
	}
	n, first := len(f.Vertical), f.Horizontal[0]
	t.sin, t.cos = sincosExact(first)
	turns := make([]float64, 0, len(f.Horizontal)+1)
	for _, h := range f.Horizontal {
		turns = append(turns, h-first)
	}
	last := len(turns) - 1
	switch f.symmetry {
	case quadrants:
		t.foldX, t.foldY = true, true
		turns[last] = math.Pi / 2
	case bilateral:
		t.foldY = true
		turns[last] = math.Pi
	case openSeam:
		turns = append(turns, 2*math.Pi)
		t.value = append(t.value, t.value[:n]...)
	default:
		turns[last] = 2 * math.Pi
		f.mendSeam(t.value[:n], t.value[last*n:])
	}
	t.azimuth = newAxis(turns, !t.foldY)
}

// sincosExact is math.Sincos but for whole quarter turns, where it has no rounding.
func sincosExact(angle float64) (sin, cos float64) {
	quarters := math.Round(angle / (math.Pi / 2))
	if about(angle, quarters*math.Pi/2) {
		cosines := [4]float64{1, 0, -1, 0}
		q := int(quarters) & 3
		return cosines[(q+3)&3], cosines[q]
	}
	return math.Sincos(angle)
}

// mendSeam makes the planes 0° and 360° equal, which they are on a lamp.
func (f *File) mendSeam(first, last []float64) {
	peak := slices.Max(f.Candela)
	var worst float64
	for i := range first {
		worst = max(worst, math.Abs(first[i]-last[i]))
		mean := (first[i] + last[i]) / 2
		first[i], last[i] = mean, mean
	}
	if worst > 0.01*peak {
		f.doubt("the horizontal angles %.6g° and %.6g° differ by up to %.3g cd: their mean is taken",
			f.Horizontal[0]/degree, f.Horizontal[len(f.Horizontal)-1]/degree, worst)
	}
}

func (f *File) fillAB(t *Table) {
	vertical, horizontal := slices.Clone(f.Vertical), slices.Clone(f.Horizontal)
	foldV, foldH := about(vertical[0], 0), f.symmetry == bilateral
	if foldV {
		vertical[0] = 0
	}
	if foldH {
		horizontal[0] = 0
	}
	if f.Type == TypeA {
		t.polar, t.azimuth = newAxis(vertical, false), newAxis(horizontal, false)
		t.foldPole, t.foldY = foldV, foldH
		t.value = slices.Clone(f.Candela)
		return
	}
	t.polar, t.azimuth = newAxis(horizontal, false), newAxis(vertical, false)
	t.foldPole, t.foldY = foldH, foldV
	t.value = make([]float64, len(f.Candela))
	for h := range horizontal {
		for v := range vertical {
			t.value[v*len(horizontal)+h] = f.Candela[h*len(vertical)+v]
		}
	}
}

// fillRound makes the type C table of a type A or B file with one horizontal angle: above the axis
// what is tabulated above it, below what is tabulated below, and all the way round in between.
func (f *File) fillRound(t *Table) {
	t.kind = TypeC
	if about(f.Vertical[0], 0) {
		f.fillC(t)
		return
	}
	file := newAxis(f.Vertical, false)
	angles := []float64{0}
	for _, v := range f.Vertical {
		angles = append(angles, math.Abs(v))
	}
	slices.Sort(angles)
	angles = slices.CompactFunc(angles, about)
	t.round, t.foldY = false, true
	t.sin, t.cos = 1, 0
	t.polar, t.azimuth = newAxis(angles, false), newAxis([]float64{0, math.Pi}, false)
	for _, side := range []float64{1, -1} {
		for _, angle := range angles {
			angle = min(max(side*angle, f.Vertical[0]), f.Vertical[len(f.Vertical)-1])
			i, fraction, _ := file.place(math.Sin(angle), math.Cos(angle))
			t.value = append(t.value, f.Candela[i]+fraction*(f.Candela[i+1]-f.Candela[i]))
		}
	}
}

// mendPoles gives each pole of the table one intensity, the mean over all azimuths there: it is one
// direction.
func (f *File) mendPoles(t *Table) {
	if t.round {
		return
	}
	n := len(t.polar.nodes)
	weights := trapezia(t.azimuth.nodes)
	turn := t.azimuth.nodes[len(weights)-1] - t.azimuth.nodes[0]
	peak := slices.Max(t.value)
	for _, p := range []int{0, n - 1} {
		angle := t.polar.nodes[p]
		pole := about(math.Abs(angle), math.Pi/2)
		if t.kind == TypeC {
			pole = about(angle, 0) || about(angle, math.Pi)
		}
		if !pole {
			continue
		}
		var sum float64
		low, high := t.value[p], t.value[p]
		for a, w := range weights {
			v := t.value[a*n+p]
			sum += w * v
			low, high = min(low, v), max(high, v)
		}
		for a := range weights {
			t.value[a*n+p] = sum / turn
		}
		if high-low > 0.01*peak {
			f.doubt("at %.6g° all planes meet in one direction, but are %.3g to %.3g cd there: their mean is taken",
				angle/degree, low, high)
		}
	}
}
