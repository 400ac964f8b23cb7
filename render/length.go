package render

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Lengths in words, as tables have them: metres, or feet and inches as people say them, to no more digits than a tape
// reads.

// unit is the unit of the axes of a subject's pictures.
func (s Subject) unit() Unit {
	if s.Imperial {
		return Foot
	}
	return Metre
}

// length is a size or a place on the vehicle (m): "1.90 m", or "6 ft 3 in" to the nearest inch.
func (s Subject) length(m float64) string {
	if s.Imperial {
		return feetInches(m, 1)
	}
	return decimals(m, 2) + " m"
}

// mark is a mark to be made with a tape (m): "0.965 m", or "3 ft 2 1/4 in" to the nearest quarter of an inch.
func (s Subject) mark(m float64) string {
	if s.Imperial {
		return feetInches(m, 4)
	}
	return decimals(m, 3) + " m"
}

const mile = 1609.344 // m, NIST SP 811

// distance is a distance on the ground (m): "24.3 m", "312 m", "12.4 km", or "80 ft", "2.5 mi". Near the vehicle feet
// come with inches.
func (s Subject) distance(m float64) string {
	near := math.Abs(m)
	switch {
	case s.Imperial && near < 20*Foot.Size:
		return feetInches(m, 1)
	case s.Imperial && near < 5*mile:
		return decimals(m/Foot.Size, 0) + " ft"
	case s.Imperial:
		return decimals(m/mile, 1) + " mi"
	case near < 99.95: // so that no two forms of 100 m exist
		return decimals(m, 1) + " m"
	case near < 9999.5:
		return decimals(m, 0) + " m"
	}
	return decimals(m/1000, 1) + " km"
}

// degrees is an angle (rad) to the tenth of a degree that a tilt meter shows: "5.0°".
func degrees(rad float64) string { return decimals(rad*180/math.Pi, 1) + "°" }

// decimals is v with so many decimals, a true minus sign, and no negative zero.
func decimals(v float64, n int) string {
	text := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return strings.Replace(text, "-", "−", 1)
}

// feetInches is a length (m) in feet and inches, rounded to 1/parts in; parts is a power of two.
func feetInches(m float64, parts int) string {
	total := math.Round(math.Abs(m) / Inch.Size * float64(parts)) // so many parts of an inch
	sign := ""
	if m < 0 && total > 0 {
		sign = "−"
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
