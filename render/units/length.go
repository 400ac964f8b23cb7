package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Lengths: metres, or feet and inches as people say them.

// Length is a size or a place on the vehicle, m metres: "1.90 m", or "6 ft 3 in" to the nearest
// inch.
func (s System) Length(m float64) string {
	switch {
	case !exists(m):
		return nothing
	case s == Imperial:
		return feetInches(m, 1)
	}
	return Fixed(m, 2) + " m"
}

// Mark is a mark to be made with a tape, m metres: "0.965 m", or "3 ft 2 1/4 in" to the nearest
// quarter of an inch.
func (s System) Mark(m float64) string {
	switch {
	case !exists(m):
		return nothing
	case s == Imperial:
		return feetInches(m, 4)
	}
	return Fixed(m, 3) + " m"
}

// FromCentre is how far a mark is from the centreline, left metres to the left of it, with its side
// in the words given: "0.550 m L", "1 ft R", "centre".
func (s System) FromCentre(left float64, onLeft, onRight string) string {
	switch text := s.Mark(math.Abs(left)); {
	case text == s.Mark(0):
		return "centre"
	case left > 0:
		return text + " " + onLeft
	default:
		return text + " " + onRight
	}
}

// Away is a length in one of two directions, of which the second is negative: "2.10 m behind".
func (s System) Away(m float64, one, other string) string {
	if m < 0 {
		one = other
	}
	return s.Length(math.Abs(m)) + " " + one
}

// Distance is a distance on the ground, m metres: "24.3 m", "312 m", "12.4 km", or "80 ft", "2.5
// mi". Near the vehicle feet come with inches.
func (s System) Distance(m float64) string {
	near := math.Abs(m)
	switch {
	case !exists(m):
		return nothing
	case s == Imperial && near < 20*Foot:
		return feetInches(m, 1)
	case s == Imperial && near < 5*Mile:
		return Fixed(m/Foot, 0) + " ft"
	case s == Imperial:
		return Fixed(m/Mile, 1) + " mi"
	case near < 99.95: // so that no two forms of 100 m exist
		return Fixed(m, 1) + " m"
	case near < 9999.5:
		return Fixed(m, 0) + " m"
	}
	return Fixed(m/1000, 1) + " km"
}

// Short is a distance on the ground as one number with its unit, without inches: "5.2 m", "17.1
// ft".
func (s System) Short(m float64) string {
	if feet := m / Foot; s == Imperial && math.Abs(feet) < 19.95 {
		return Fixed(feet, 1) + " ft"
	}
	return s.Distance(m)
}

// Chosen is a distance that someone chose, without decimals that it does not have: "5 m", "0.25 m",
// "164 ft".
func (s System) Chosen(m float64) string {
	unit := s.Axis()
	v := m / unit.Size
	if s == Imperial && v >= 19.95 {
		v = math.Round(v)
	}
	return Number(math.Round(v*100)/100) + " " + unit.Name
}

// Bend is a bend of a track, its radius in metres: "bend of 60 m to the left".
func (s System) Bend(radius float64, left bool) string {
	side := "right"
	if left {
		side = "left"
	}
	return "bend of " + s.Chosen(radius) + " to the " + side
}

// Span is the stretch between two distances, the unit said once if they share it, with a word for
// an end that does not exist: "12.0 – 24.0 m", "12.0 m – sky".
func (s System) Span(near, far float64, none string) string {
	switch {
	case math.IsNaN(near) && math.IsNaN(far):
		return none
	case math.IsNaN(far):
		return s.Short(near) + " – " + none
	case math.IsNaN(near):
		return none + " – " + s.Short(far)
	}
	return Pair(s.Short(near), s.Short(far), " – ")
}

// Pair joins two quantities, the unit said once if they share it: Pair("3 m", "5 m", " / ") is "3 /
// 5 m".
func Pair(a, b, between string) string {
	if i, j := strings.LastIndex(a, " "), strings.LastIndex(b, " "); i > 0 && j > 0 && a[i:] == b[j:] {
		a = a[:i]
	}
	return a + between + b
}

// Area is an area, a m²: "1240 m²" or "13347 ft²"; a small one with a decimal.
func (s System) Area(a float64) string {
	if !exists(a) {
		return nothing
	}
	name := " m²"
	if s == Imperial {
		a, name = a/(Foot*Foot), " ft²"
	}
	if math.Abs(a) < 9.95 {
		return Fixed(a, 1) + name
	}
	return Fixed(a, 0) + name
}

// Speed is a speed, v m/s: "62 km/h" or "39 mph".
func (s System) Speed(v float64) string {
	switch {
	case !exists(v):
		return nothing
	case s == Imperial:
		return Fixed(v*3600/Mile, 0) + " mph"
	}
	return Fixed(v*3.6, 0) + " km/h"
}

// Acceleration is an acceleration, a m/s²: "3.4 m/s²" or "11.2 ft/s²".
func (s System) Acceleration(a float64) string {
	switch {
	case !exists(a):
		return nothing
	case s == Imperial:
		return Fixed(a/Foot, 1) + " ft/s²"
	}
	return Trimmed(a, 2) + " m/s²"
}

// feetInches is a length in feet and inches, rounded to 1/parts in; parts is a power of two.
func feetInches(m float64, parts int) string {
	total := math.Round(math.Abs(m) / Inch * float64(parts)) // parts of an inch
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
	if rest == 0 && feet > 0 {
		return sign + words[0]
	}
	whole, over, below := rest/parts, rest%parts, parts
	if whole > 0 || over == 0 {
		words = append(words, strconv.Itoa(whole))
	}
	if over > 0 {
		for over%2 == 0 {
			over, below = over/2, below/2
		}
		words = append(words, fmt.Sprintf("%d/%d", over, below))
	}
	return sign + strings.Join(words, " ") + " in"
}
