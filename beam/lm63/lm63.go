// Package lm63 reads and writes photometric data files in the ANSI/IES LM-63 format, of the
// editions 1986, 1991, 1995, 2002 and 2019.
//
//	f, err := lm63.Read(r)      // what the file says, and what is doubtful about it
//	d := f.Distribution(1)      // the lamp that it describes, a beam.Distribution
//	err = lm63.Write(w, d, lm63.Header{Lamp: "roof bar"})
//
// A file is a table of candela values over two angles. What the two angles mean depends on the
// photometric type; this package follows the trade's conventions:
//
//   - Type C: the vertical angle is counted from the beam axis, the horizontal angle around it. Seen along the beam, C0
//     lies to the right and C90 up.
//   - Type B: polar axis level, through the lamp from left to right. The horizontal angle is the elevation towards the
//     right end of that axis, the vertical angle the turn about it, + up.
//   - Type A: polar axis upright. The vertical angle is the elevation, + up, the horizontal angle the azimuth, + right.
//
// In types A and B the beam axis is at H = V = 0.
package lm63

import (
	"fmt"
	"math"
)

// Type is the photometric type of a file, numbered as in the format.
type Type int

// The photometric types.
const (
	TypeC Type = 1
	TypeB Type = 2
	TypeA Type = 3
)

// String is the letter of the type.
func (t Type) String() string {
	switch t {
	case TypeC:
		return "C"
	case TypeB:
		return "B"
	case TypeA:
		return "A"
	}
	return fmt.Sprintf("Type(%d)", int(t))
}

// File is what an LM-63 file says, with lengths in metres and angles in radians.
type File struct {
	// Edition is the year of the format's edition: 1986, 1991, 1995, 2002 or 2019.
	Edition int

	// Keywords are the header's keyword lines in their order, [MORE] lines joined to the keyword
	// they continue with a line feed. Labels are header lines without a keyword; the 1986 edition
	// has only those.
	Keywords []Keyword
	Labels   []string

	// Tilt holds the factors of TILT=INCLUDE, nil for TILT=NONE. They are recorded, not applied:
	// they tell how the lamp inside takes to burning tilted, and are 1 in the position the file was
	// measured in.
	Tilt *Tilt

	// Lamps is the number of lamps, LumensPerLamp the rated flux of each (lm), -1 in a file of
	// absolute photometry.
	Lamps         int
	LumensPerLamp float64

	// Multiplier, BallastFactor and ThirdFactor have been multiplied into Candela. The third number
	// is the ballast-lamp factor up to 1991, reserved in 1995 and 2002, and a code for how the file
	// came about in 2019: then Generation is that code as written, and ThirdFactor is 1.
	Multiplier    float64
	BallastFactor float64
	ThirdFactor   float64
	Generation    string

	// Watts is the input power (W).
	Watts float64

	// Width, Length and Height are the luminous opening (m). Negative and zero values stand for
	// round shapes and are kept as written.
	Width, Length, Height float64

	// Type says what the angles mean. Vertical and Horizontal are as tabulated (rad), ascending.
	Type                 Type
	Vertical, Horizontal []float64

	// Candela is the intensity (cd) with all factors applied: Candela[h*len(Vertical)+v] at
	// Horizontal[h], Vertical[v].
	Candela []float64

	// Doubts are sentences about what is unusual in the file and how it was taken.
	Doubts []string

	symmetry symmetry
	table    *Table
}

// Keyword is one [NAME] text line of the header, Name without its brackets.
type Keyword struct {
	Name, Text string
}

// Tilt is the table behind TILT=INCLUDE. Geometry is 1 to 3, the lamp's position in the luminaire;
// Angles are in radians.
type Tilt struct {
	Geometry int
	Angles   []float64
	Factors  []float64
}

// Keyword is the text of the first keyword with that name, "" if there is none.
func (f *File) Keyword(name string) string {
	for _, k := range f.Keywords {
		if k.Name == name {
			return k.Text
		}
	}
	return ""
}

// RatedLumens is the rated flux of all lamps of the file together (lm). In a file of absolute
// photometry there is no such rating: lm is 0 and absolute true, and the flux is that of
// [File.Distribution].
func (f *File) RatedLumens() (lm float64, absolute bool) {
	if f.LumensPerLamp == -1 {
		return 0, true
	}
	return f.LumensPerLamp * float64(f.Lamps), false
}

// Distribution is the file's intensity distribution, every intensity multiplied with scale. It
// panics if scale is not a positive finite number, or if the file did not come from [Read].
func (f *File) Distribution(scale float64) *Table {
	if !(scale > 0) || math.IsInf(scale, 1) {
		panic(fmt.Sprintf("lm63: scale %v is not positive and finite", scale))
	}
	t := *f.table
	t.scale *= scale
	t.peak *= scale
	t.flux *= scale
	return &t
}

func (f *File) doubt(format string, args ...any) {
	f.Doubts = append(f.Doubts, fmt.Sprintf(format, args...))
}
