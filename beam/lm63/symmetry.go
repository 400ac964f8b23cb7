package lm63

import (
	"errors"
	"fmt"
	"math"
)

// What a file leaves out by symmetry is said by its horizontal angles alone: their first and last
// value. (ANSI/IES LM-63-2002, 5.13 and 5.14; from memory.)

// symmetry is how directions outside the tabulated horizontal angles are taken into them.
type symmetry int

const (
	none      symmetry = iota
	round              // one plane stands for all
	quadrants          // type C, a quarter turn: mirrored about the planes through its first and its last angle
	bilateral          // type C, half a turn; types A and B, from H = 0: mirrored about that plane
	openSeam           // type C, a full turn whose last angle, equal to the first, is not repeated
)

// near is what angles may be off that mean the same; less than what neighbours have between them.
const near = leastStep * degree / 2

func about(a, b float64) bool { return math.Abs(a-b) < near }

func (f *File) findSymmetry() (symmetry, error) {
	if f.Type == TypeC {
		return f.findSymmetryC()
	}
	first, last := f.Horizontal[0], f.Horizontal[len(f.Horizontal)-1]
	low, high := f.Vertical[0], f.Vertical[len(f.Vertical)-1]
	switch {
	case len(f.Horizontal) == 1 && (about(low, 0) || about(low, -high)):
		f.doubt("a type %v file with one horizontal angle: taken as round about the beam axis", f.Type)
		return round, nil
	case len(f.Horizontal) == 1:
		return none, errors.New("with one horizontal angle, type A and B files " +
			"need vertical angles from 0°, or as far down as up")
	case about(low, 0):
		f.doubt("type %v vertical angles begin at 0°: taken as the same below and above the beam axis", f.Type)
	}
	switch {
	case about(first, 0):
		return bilateral, nil
	case first < 0 && last > near:
		return none, nil
	}
	return none, fmt.Errorf("horizontal angles from %.6g° to %.6g°: "+
		"type A and B files begin at 0° (left equals right), or below it and end above", first/degree, last/degree)
}

func (f *File) findSymmetryC() (symmetry, error) {
	first, last := f.Horizontal[0], f.Horizontal[len(f.Horizontal)-1]
	n := len(f.Horizontal)
	if n == 1 {
		if !about(first, 0) {
			f.doubt("the one horizontal angle is %.6g°, not 0°: taken as round about the beam axis", first/degree)
		}
		return round, nil
	}
	span := last - first
	usual := about(first, 0) || about(first, math.Pi/2) && about(span, math.Pi)
	if !usual {
		f.doubt("horizontal angles from %.6g° to %.6g° are unusual in type C", first/degree, last/degree)
	}
	quarters := first / (math.Pi / 2)
	switch {
	case about(span, math.Pi/2) && about(first, math.Round(quarters)*math.Pi/2):
		return quadrants, nil
	case about(span, math.Pi):
		return bilateral, nil
	case about(span, 2*math.Pi):
		return none, nil
	case span > math.Pi && span < 2*math.Pi:
		var widest float64
		for i := range n - 1 {
			widest = max(widest, f.Horizontal[i+1]-f.Horizontal[i])
		}
		if gap := 2*math.Pi - span; gap <= 1.5*widest {
			f.doubt("360° is not repeated after %.6g°: taken as equal to %.6g°", last/degree, first/degree)
			return openSeam, nil
		}
	}
	return none, fmt.Errorf("horizontal angles from %.6g° to %.6g°: "+
		"0° alone, 0° to 90°, 0° to 180°, 90° to 270° or 0° to 360° would be right in type C", first/degree,
		last/degree)
}
