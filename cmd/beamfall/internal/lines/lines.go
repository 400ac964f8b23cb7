// Package lines breaks running text into lines of a terminal, and none between a number and its
// unit.
package lines

import (
	"regexp"
	"slices"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"
)

// Joint stands for a blank at which Wrap breaks no line; it makes it a blank again. It is
// from Unicode's private use area, which nobody types.
const Joint = "\ue000"

// units are what a number before them stays with, as the program writes and reads them.
var units = []string{
	"%", "lx", "lm", "cd", "cd/m²", "m", "cm", "mm", "km", "ft", "in", "mi", "m²", "ft²", "s", "km/h", "mph", "m/s",
	"m/s²", "m/s2", "ft/s²", "deg",
}

// Wrap is a paragraph in lines of at most so many columns, runs of blanks as one. Only words longer
// than that are torn apart.
func Wrap(paragraph string, columns int) string {
	var b strings.Builder
	before := ""
	for i, word := range strings.Fields(paragraph) {
		switch {
		case i == 0:
		case together(before, word):
			b.WriteString(Joint)
		default:
			b.WriteString(" ")
		}
		b.WriteString(word)
		before = word
	}
	out := strings.Split(text.WrapSoft(b.String(), columns), "\n")
	for i := range out {
		out[i] = strings.TrimRight(strings.ReplaceAll(out[i], Joint, " "), " ")
	}
	return strings.Join(out, "\n")
}

var fraction = regexp.MustCompile(`^[0-9]+/[0-9]+$`)

// together reports whether two words are one quantity: a number and its unit, feet and the inches
// after them, or inches and their fraction.
func together(before, word string) bool {
	ends := func(s string) bool { c := s[len(s)-1]; return '0' <= c && c <= '9' }
	unit := strings.TrimRight(word, ".,;:)")
	return ends(before) && (slices.Contains(units, unit) || fraction.MatchString(word)) || before == "ft" &&
		'0' <= word[0] && word[0] <= '9'
}

// Width is the columns that the widest line of a text takes.
func Width(of string) int {
	most := 0
	for line := range strings.Lines(of) {
		most = max(most, text.StringWidthWithoutEscSequences(strings.TrimRight(line, "\n")))
	}
	return most
}
