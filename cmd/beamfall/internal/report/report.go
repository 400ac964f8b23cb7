// Package report puts figures into words: tables for people, cells for a spreadsheet, sentences,
// and what is doubtful in a rig. It works nothing out that figures has not; what it writes is in
// the units that were asked for.
package report

import (
	"fmt"
	"math"
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

// gained is the change by a gain to a figure, in words.
func gained(gain, to float64, show func(float64) string) string {
	if math.IsNaN(to) {
		to = 0
	}
	return units.Changed(to-gain, to, show).String()
}
