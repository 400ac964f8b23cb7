// Package report puts figures into words: tables for people, cells for a spreadsheet, sentences,
// and what is doubtful in a rig. It works nothing out that figures has not; what it writes is in
// the units that were asked for.
package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/render/units"
)

// notes collects sentences.
type notes []string

func (n *notes) say(format string, args ...any) { *n = append(*n, fmt.Sprintf(format, args...)) }

// together is names as one subject, a pair by the name of both.
func together(names []string) string {
	var out []string
	for i := 0; i < len(names); i++ {
		base, left := strings.CutSuffix(names[i], " (left)")
		if left && i+1 < len(names) && names[i+1] == base+" (right)" {
			out = append(out, base+" (both)")
			i++
			continue
		}
		out = append(out, names[i])
	}
	return assembly.List(out)
}

// luminance is a number of cd/m² to three digits.
func luminance(v float64) string {
	if math.Abs(v) < 5e-7 || math.Abs(v) >= 99.95 {
		return units.Fixed(v, 0)
	}
	decimals := int(math.Max(0, 2-math.Floor(math.Log10(math.Abs(v)))))
	return units.Fixed(v, min(decimals, 6))
}

// A change is what a figure gains or loses, by the digits that are shown of it before and after, so
// that the sum is right on paper.
type change struct {
	sign int    // +1, −1; 0 where both figures read the same
	size string // with its unit
}

// String is "+ 77 m" from 62.4 m to 139 m, "− 4.2 m", or "same".
func (c change) String() string {
	switch c.sign {
	case +1:
		return "+ " + c.size
	case -1:
		return "− " + c.size
	}
	return "same"
}

// changed is the change between two figures. One that does not exist counts as 0.
func changed(from, to float64, show func(float64) string) change {
	if math.IsNaN(from) {
		from = 0
	}
	if math.IsNaN(to) {
		to = 0
	}
	before, after := number(show(from)), number(show(to))
	digits := min(before.decimals, after.decimals)
	by := round(after.value, digits) - round(before.value, digits)
	size := units.Fixed(math.Abs(by), digits) + after.unit
	if before.unit != after.unit { // as m and km
		by = to - from
		size = show(math.Abs(by))
	}
	switch by = round(by, digits); {
	case by > 0:
		return change{+1, size}
	case by < 0:
		return change{-1, size}
	}
	return change{}
}

// gained is the change by a gain to a figure.
func gained(gain, to float64, show func(float64) string) change {
	if math.IsNaN(to) {
		to = 0
	}
	return changed(to-gain, to, show)
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
