package quantity

// Writing: lengths in metres, or in feet and inches as people say them. No number is shown to more digits than a tape or
// a tilt meter reads.

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// System is a choice of units for what is shown. The zero value is metric.
type System int

const (
	Metric System = iota
	Imperial
)

func (s System) String() string {
	if s == Imperial {
		return "imperial"
	}
	return "metric"
}

// ParseSystem reads "metric" or "imperial".
func ParseSystem(text string) (System, error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "metric":
		return Metric, nil
	case "imperial":
		return Imperial, nil
	}
	return Metric, &Error{
		Problem: fmt.Sprintf("%s is not a system of units", Quote(text)),
		Remedy:  `write "metric" or "imperial"`,
	}
}

// nothing stands for a value that does not exist (NaN or infinite).
const nothing = "–"

func exists(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// fixed is v with so many decimals and without a negative zero.
func fixed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return text
}

// Length is a size or a place on the vehicle, m metres: "1.90 m", or "6 ft 3 in" to the nearest inch.
func (s System) Length(m float64) string {
	switch {
	case !exists(m):
		return nothing
	case s == Imperial:
		return feetInches(m, 1)
	}
	return fixed(m, 2) + " m"
}

// Mark is a mark to be made with a tape, m metres: "0.965 m", or "3 ft 2 1/4 in" to the nearest quarter of an inch.
func (s System) Mark(m float64) string {
	switch {
	case !exists(m):
		return nothing
	case s == Imperial:
		return feetInches(m, 4)
	}
	return fixed(m, 3) + " m"
}

// Distance is a distance on the ground, m metres: "24.3 m", "312 m", "12.4 km", or "80 ft", "2.5 mi". Near the vehicle
// feet come with inches.
func (s System) Distance(m float64) string {
	near := math.Abs(m)
	switch {
	case !exists(m):
		return nothing
	case s == Imperial && near < 20*Foot:
		return feetInches(m, 1)
	case s == Imperial && near < 5*Mile:
		return fixed(m/Foot, 0) + " ft"
	case s == Imperial:
		return fixed(m/Mile, 1) + " mi"
	case near < 99.95: // so that no two forms of 100 m exist
		return fixed(m, 1) + " m"
	case near < 9999.5:
		return fixed(m, 0) + " m"
	}
	return fixed(m/1000, 1) + " km"
}

// Speed is a speed, v m/s: "62 km/h" or "39 mph".
func (s System) Speed(v float64) string {
	switch {
	case !exists(v):
		return nothing
	case s == Imperial:
		return fixed(v*3600/Mile, 0) + " mph"
	}
	return fixed(v*3.6, 0) + " km/h"
}

// Acceleration is an acceleration, a m/s²: "3.4 m/s²" or "11.2 ft/s²".
func (s System) Acceleration(a float64) string {
	switch {
	case !exists(a):
		return nothing
	case s == Imperial:
		return fixed(a/Foot, 1) + " ft/s²"
	}
	return strings.TrimRight(strings.TrimRight(fixed(a, 2), "0"), ".") + " m/s²"
}

// Area is an area, a m²: "1240 m²" or "13347 ft²"; small ones with a decimal.
func (s System) Area(a float64) string {
	if !exists(a) {
		return nothing
	}
	name := " m²"
	if s == Imperial {
		a, name = a/(Foot*Foot), " ft²"
	}
	if math.Abs(a) < 9.95 {
		return fixed(a, 1) + name
	}
	return fixed(a, 0) + name
}

// Degrees is an angle, rad radians, to the tenth of a degree that a tilt meter shows: "5.0°".
func Degrees(rad float64) string {
	if !exists(rad) {
		return nothing
	}
	return fixed(rad*180/math.Pi, 1) + "°"
}

// DegreesNumber is an angle, rad radians, as a number of degrees for a rig file: "4.5". It is right to 1e-6°.
func DegreesNumber(rad float64) string {
	text := fixed(rad*180/math.Pi, 6)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}

// feetInches is a length in feet and inches, rounded to 1/parts in (parts a power of two).
func feetInches(m float64, parts int) string {
	total := math.Round(math.Abs(m) / Inch * float64(parts)) // so many parts of an inch
	sign := ""
	if m < 0 && total > 0 {
		sign = "-"
	}
	perFoot := float64(12 * parts)
	feet := math.Floor(total / perFoot)
	rest := int(total - feet*perFoot)
	var words []string
	if feet > 0 {
		words = append(words, strconv.FormatFloat(feet, 'f', 0, 64)+" ft")
	}
	if whole, over := rest/parts, rest%parts; rest > 0 || feet == 0 {
		var inches []string
		if whole > 0 || over == 0 {
			inches = append(inches, strconv.Itoa(whole))
		}
		if over > 0 {
			below := parts
			for over%2 == 0 {
				over, below = over/2, below/2
			}
			inches = append(inches, fmt.Sprintf("%d/%d", over, below))
		}
		words = append(words, strings.Join(inches, " ")+" in")
	}
	return sign + strings.Join(words, " ")
}
