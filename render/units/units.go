// Package units puts lengths, angles and light into words, for pictures, tables and messages alike:
//
//	units.Metric.Distance(24.31)         // "24.3 m"
//	units.Imperial.Mark(0.97155)         // "3 ft 2 1/4 in"
//	units.Degrees(5 * math.Pi / 180)     // "5.0°"
//	units.Light(0.25)                    // "0.25 lx"
//
// All functions take SI units and radians. No number has more digits than a tape, a tilt meter or a
// light meter reads, and none is a negative zero. What does not exist (NaN, infinity) is a dash. A
// minus is the one of the keyboard, so that what is written can be typed in again; Typeset makes it
// the printed one.
package units

// System is a choice of units for what is shown. The zero value is metric.
type System int

// The systems of units.
const (
	Metric   System = iota // metres
	Imperial               // feet and inches, miles
)

// String is the name of a system as people write it: "metric", "imperial".
func (s System) String() string {
	if s == Imperial {
		return "imperial"
	}
	return "metric"
}

// Exact by definition: NIST SP 811 (2008), appendix B.
const (
	Inch = 0.0254   // m
	Foot = 0.3048   // m
	Mile = 1609.344 // m
)

// Unit is a unit of an axis, on which data are SI and figures are round in the unit shown.
type Unit struct {
	Name string  // as written behind a figure
	Size float64 // SI
}

// Units of axes.
var (
	Metres = Unit{"m", 1}
	Feet   = Unit{"ft", Foot}
	Inches = Unit{"in", Inch}
	Lux    = Unit{"lx", 1}
	Plain  = Unit{"", 1} // figures without a unit
)

// Axis is the unit of length of an axis.
func (s System) Axis() Unit {
	if s == Imperial {
		return Feet
	}
	return Metres
}
