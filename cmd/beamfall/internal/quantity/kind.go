// Package quantity reads physical quantities as people write them: 1.9 m, 6 ft 3 in, 5°, 4 %, 60
// km/h.
//
// What is read becomes a float64 in SI units, angles in radians, grades as slopes. A text that
// could be taken in two ways (a length without a unit, a comma in a number) is refused rather than
// guessed at.
package quantity

import (
	"math"
	"strconv"
)

// Kind is a kind of quantity. The zero Kind is a plain number.
type Kind int

const (
	Number       Kind = iota // a plain number, no unit
	Share                    // a part of a whole: a plain number (0.7) or a percentage (70 %)
	Length                   // m
	Angle                    // rad; a bare number is degrees
	Speed                    // m/s
	Acceleration             // m/s²
	Time                     // s
	Flux                     // lm; a bare number is lumens
	Intensity                // cd
	Illuminance              // lx; a bare number is lux
	Luminance                // cd/m²; a bare number is cd/m²
	Grade                    // rise over run; a percentage, or an angle: a bare number could be either and is refused
)

// unit is one way to write a unit: the SI value is number × num / den. A fraction rather than a
// factor, so that 75 in is 1.905 m to the last bit.
type unit struct {
	name     string // lower case
	num, den float64
}

// form is what is known of a kind.
type form struct {
	noun    string // with its article, for messages
	bare    bool   // a number alone is read, in units[0]
	example string
	units   []unit
}

var degrees = []unit{
	{"deg", math.Pi, 180}, {"°", math.Pi, 180}, {"degree", math.Pi, 180}, {"degrees", math.Pi, 180}, {"rad", 1, 1},
}

// Within each kind the first unit is the one in which numbers are shown and bare numbers are read.
var forms = map[Kind]form{
	Number: {noun: "a plain number", bare: true, example: "1", units: []unit{{"", 1, 1}}},
	Share:  {noun: "a share", bare: true, example: "0.7", units: []unit{{"", 1, 1}, {"%", 1, 100}}},
	Length: {noun: "a length", example: "1.9 m", units: []unit{
		{"m", 1, 1}, {"cm", 1, 100}, {"mm", 1, 1000}, {"km", 1000, 1},
		{"in", 254, 10000}, {"ft", 3048, 10000}, {"yd", 9144, 10000}, {"mi", 1609344, 1000},
		{`"`, 254, 10000}, {"''", 254, 10000}, {"'", 3048, 10000},
		{"inch", 254, 10000}, {"inches", 254, 10000}, {"foot", 3048, 10000}, {"feet", 3048, 10000},
		{"metre", 1, 1}, {"metres", 1, 1}, {"meter", 1, 1}, {"meters", 1, 1},
		{"mile", 1609344, 1000}, {"miles", 1609344, 1000},
	}},
	Angle: {noun: "an angle", bare: true, example: "5 deg", units: degrees},
	Speed: {noun: "a speed", example: "60 km/h", units: []unit{
		{"m/s", 1, 1}, {"km/h", 1000, 3600}, {"kmh", 1000, 3600}, {"kph", 1000, 3600}, {"mph", 1609344, 3600000},
		{"mi/h", 1609344, 3600000}, {"ft/s", 3048, 10000},
	}},
	Acceleration: {noun: "an acceleration", example: "3.4 m/s2", units: []unit{
		{"m/s2", 1, 1}, {"m/s²", 1, 1}, {"m/s^2", 1, 1},
		{"ft/s2", 3048, 10000}, {"ft/s²", 3048, 10000}, {"ft/s^2", 3048, 10000}, {"g", 980665, 100000},
	}},
	Time: {noun: "a time", example: "2.5 s", units: []unit{
		{"s", 1, 1}, {"sec", 1, 1}, {"second", 1, 1}, {"seconds", 1, 1}, {"ms", 1, 1000},
	}},
	Flux: {noun: "a flux", bare: true, example: "9000 lm", units: []unit{
		{"lm", 1, 1}, {"klm", 1000, 1}, {"lumen", 1, 1}, {"lumens", 1, 1},
	}},
	Intensity: {noun: "an intensity", example: "45000 cd", units: []unit{
		{"cd", 1, 1}, {"kcd", 1000, 1}, {"candela", 1, 1},
	}},
	// A foot-candle is a lumen per square foot.
	Illuminance: {noun: "an illuminance", bare: true, example: "5 lx", units: []unit{
		{"lx", 1, 1}, {"lux", 1, 1}, {"fc", 1e8, 3048 * 3048},
	}},
	Luminance: {noun: "a luminance", bare: true, example: "0.001 cd/m2", units: []unit{
		{"cd/m2", 1, 1}, {"cd/m²", 1, 1}, {"cd/m^2", 1, 1},
	}},
	Grade: {noun: "a grade", example: "4 %", units: append([]unit{{"%", 1, 100}}, degrees...)},
}

// String is the kind with its article: "a length".
func (k Kind) String() string { return forms[k].noun }

// Example is a text of this kind that is right.
func (k Kind) Example() string { return forms[k].example }

// Bare reports whether a number without a unit is read.
func (k Kind) Bare() bool { return forms[k].bare }

// Units lists the unit names that are read, in lower case; capitals are read as well. The empty
// name stands for no unit.
func (k Kind) Units() []string {
	names := make([]string, 0, len(forms[k].units)+1)
	for _, u := range forms[k].units {
		names = append(names, u.name)
	}
	if k.Bare() && names[0] != "" {
		names = append(names, "")
	}
	return names
}

// SI is the value of so many of the kind's first unit: degrees for an angle, percent for a grade,
// lumens for a flux.
func (k Kind) SI(number float64) float64 {
	u := forms[k].units[0]
	return number * u.num / u.den
}

// Show writes so many of the kind's first unit, for messages: "190°", "200 m", "4 %".
func (k Kind) Show(number float64) string {
	text := strconv.FormatFloat(number, 'f', -1, 64)
	if len(text) > 15 {
		text = strconv.FormatFloat(number, 'g', 6, 64)
	}
	switch name := forms[k].units[0].name; name {
	case "":
		return text
	case "deg":
		return text + "°"
	default:
		return text + " " + name
	}
}

// find is the unit of this name, in any capitals.
func (k Kind) find(name string) (unit, bool) {
	if name == "" && k.Bare() {
		return forms[k].units[0], true
	}
	for _, u := range forms[k].units {
		if u.name == name {
			return u, true
		}
	}
	return unit{}, false
}
