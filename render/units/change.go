package units

import (
	"math"
	"strconv"
	"strings"
)

// What a figure gains or loses, in words.

// A Change is what a figure gains or loses, by the digits that are shown of it before and after, so
// that the sum is right on paper.
type Change struct {
	Sign int    // +1, −1; 0 where both figures read the same
	Size string // with its unit
}

// String is "+ 77 m" from 62.4 m to 139 m, "− 4.2 m", or "same".
func (c Change) String() string {
	switch c.Sign {
	case +1:
		return "+ " + c.Size
	case -1:
		return "− " + c.Size
	}
	return "same"
}

// Changed is the change between two figures. One that does not exist counts as 0.
func Changed(from, to float64, show func(float64) string) Change {
	if math.IsNaN(from) {
		from = 0
	}
	if math.IsNaN(to) {
		to = 0
	}
	before, after := number(show(from)), number(show(to))
	digits := min(before.decimals, after.decimals)
	by := round(after.value, digits) - round(before.value, digits)
	size := Fixed(math.Abs(by), digits) + after.unit
	if before.unit != after.unit { // as m and km
		by = to - from
		size = show(math.Abs(by))
	}
	switch by = round(by, digits); {
	case by > 0:
		return Change{+1, size}
	case by < 0:
		return Change{-1, size}
	}
	return Change{}
}

func round(v float64, digits int) float64 {
	p := math.Pow10(digits)
	return math.Round(v*p) / p
}

// shownNumber is a quantity as it is shown.
type shownNumber struct {
	value    float64
	decimals int
	unit     string
}

// number takes a quantity in words apart; what is no number, as "under 0.01 lx", is 0.
func number(text string) shownNumber {
	at := strings.LastIndex(text, " ")
	if at < 0 {
		return shownNumber{}
	}
	digits, unit := text[:at], text[at:]
	n := shownNumber{unit: unit}
	var err error
	if n.value, err = strconv.ParseFloat(digits, 64); err != nil {
		n.value = 0
	}
	if point := strings.LastIndex(digits, "."); point >= 0 {
		n.decimals = len(digits) - point - 1
	}
	return n
}
