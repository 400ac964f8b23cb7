package units

import (
	"math"
	"strings"
)

// Angles, and how lamps, vehicles and ground are inclined.

// Degrees is an angle, rad radians, to the tenth of a degree that a tilt meter shows: "5.0°".
func Degrees(rad float64) string { return DegreesTo(rad, 1) }

// DegreesTo is an angle, rad radians, with a number of decimals of a degree: "5.25°".
func DegreesTo(rad float64, decimals int) string {
	if !exists(rad) {
		return nothing
	}
	return Fixed(rad*180/math.Pi, decimals) + "°"
}

// DegreesNumber is an angle, rad radians, as a number of degrees for a rig file, right to 1e-6°:
// "4.5".
func DegreesNumber(rad float64) string { return Trimmed(rad*180/math.Pi, 6) }

// Setting is how a lamp is aimed, by its tilt down and its turn to the left in radians: "5° down,
// 40° left", "level", "3.5° up, rear".
func Setting(tilt, turn float64) string {
	tenth := func(rad float64) float64 { return Steps(math.Round(rad*1800/math.Pi), 0.1) }
	text := "level"
	switch t := tenth(tilt); {
	case t > 0:
		text = Number(t) + "° down"
	case t < 0:
		text = Number(-t) + "° up"
	}
	switch t := tenth(math.Remainder(turn, 2*math.Pi)); {
	case math.Abs(t) == 180:
		text += ", rear"
	case t > 0:
		text += ", " + Number(t) + "° left"
	case t < 0:
		text += ", " + Number(-t) + "° right"
	}
	return text
}

// Slopes is how ground lies that rises ahead by a grade and to the left by a cross fall, in the
// words of the rig file, or nothing where it is level: "grade 4 %, cross fall -2.5 %".
func Slopes(grade, crossFall float64) string {
	var parts []string
	add := func(name string, slope float64) {
		if percent := Steps(math.Round(1000*slope), 0.1); percent != 0 {
			parts = append(parts, name+" "+Number(percent)+" %")
		}
	}
	add("grade", grade)
	add("cross fall", crossFall)
	return strings.Join(parts, ", ")
}
