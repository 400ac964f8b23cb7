package units

import (
	"math"
	"strconv"
	"strings"
)

// Numbers without a unit, and what all the words share.

// nothing stands for a value that does not exist.
const nothing = "–"

func exists(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Fixed is v with a fixed number of decimals: Fixed(2.5, 2) is "2.50".
func Fixed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return text
}

// Trimmed is v to a number of decimals, without those at the end that are zero: Trimmed(2.5, 2) is
// "2.5".
func Trimmed(v float64, decimals int) string {
	text := Fixed(v, decimals)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// Number is v with as many digits as it has: "0.3", "2000".
func Number(v float64) string { return strconv.FormatFloat(v+0, 'f', -1, 64) }

// Steps is n steps of a size without the noise of binary fractions: Steps(3, 0.1) is 0.3.
func Steps(n, size float64) float64 {
	v, _ := strconv.ParseFloat(strconv.FormatFloat(n*size, 'g', 12, 64), 64)
	return v
}

// TwoDigits is a number that is not negative to two digits, or to whole ones: "0.25", "9.9",
// "1240".
func TwoDigits(v float64) string {
	switch {
	case v >= 9.95:
		return Fixed(v, 0)
	case v >= 0.01 || v == 0:
		return strconv.FormatFloat(v, 'g', 2, 64)
	}
	return "under 0.01"
}

// grouped is a number that is not negative to some digits, the whole ones of it in groups of three,
// and its unit.
func grouped(v float64, digits int, unit string) string {
	if !exists(v) {
		return nothing
	}
	if v < math.Pow10(digits-1) {
		return strconv.FormatFloat(v, 'g', digits, 64) + " " + unit
	}
	step := math.Pow10(int(math.Floor(math.Log10(v))) + 1 - digits)
	text := strconv.FormatFloat(math.Round(v/step)*step, 'f', 0, 64)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + " " + text[i:]
	}
	return text + " " + unit
}

// Percent is a share of a whole in whole percents: "62 %".
func Percent(share float64) string { return Fixed(100*share, 0) + " %" }

// Figure is v as pictures have it: with as many digits as it has, and a true minus sign.
func Figure(v float64) string { return Typeset(Number(v)) }

// Typeset is a text of this package as it is printed: with a true minus sign for a hyphen.
func Typeset(text string) string { return strings.ReplaceAll(text, "-", "\u2212") }
