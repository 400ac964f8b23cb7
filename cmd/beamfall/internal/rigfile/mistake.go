package rigfile

// A mistake says where it is, what is wrong there and what would be right. All mistakes of a file
// are reported at once, so that one reading mends it.

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Position is a place in a rig file: line and column count from 1, columns in characters. The zero
// Position is nowhere in a file.
type Position struct {
	File         string // as it was called
	Line, Column int
}

// from words a position for a message about another: "line 7", with the file when it is another.
func (p Position) from(other Position) string {
	if p.File != other.File {
		return fmt.Sprintf("%s, line %d,", p.File, p.Line)
	}
	return fmt.Sprintf("line %d", p.Line)
}

// Mistake is one thing that is wrong in a rig file or a --lamp.
type Mistake struct {
	File    string `json:"file"` // as it was called, or the --lamp
	Line    int    `json:"line"` // 0 when not in a file
	Column  int    `json:"column"`
	Key     string `json:"key"`     // what it is about: `lamp "roof bar": spread`
	Problem string `json:"problem"` // what is wrong: "190° is not below 175°"
	Remedy  string `json:"remedy"`  // what would be right: `write e.g. spread = "10 deg"`
}

func (m Mistake) Error() string {
	var b strings.Builder
	if m.File != "" {
		b.WriteString(m.File + ":")
	}
	if m.Line > 0 {
		fmt.Fprintf(&b, "%d:%d:", m.Line, m.Column)
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if m.Key != "" {
		b.WriteString(m.Key + ": ")
	}
	b.WriteString(m.Problem)
	if m.Remedy != "" {
		b.WriteString("; " + m.Remedy)
	}
	return b.String()
}

// Mistakes are all the mistakes of a file, in the order of their places.
type Mistakes []Mistake

// mostShown is how many mistakes are printed; who has more mends these first.
const mostShown = 50

// mostKept is how many mistakes are kept at all.
const mostKept = 1000

// Error is one mistake a line, the first 50 of them.
func (m Mistakes) Error() string {
	var b strings.Builder
	for i, mistake := range m {
		if i == mostShown {
			fmt.Fprintf(&b, "\n… and %d more", len(m)-mostShown)
			break
		}
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(mistake.Error())
	}
	return b.String()
}

// mistakeAt is the only mistake of a text.
func mistakeAt(at place, problem, remedy string) Mistakes {
	p := at.position()
	return Mistakes{{File: p.File, Line: p.Line, Column: p.Column, Problem: problem, Remedy: remedy}}
}

// sorted puts the mistakes in the order of their places, those of the file of a name before those
// of others, and drops what was said twice.
func (m Mistakes) sorted(file string) Mistakes {
	other := func(m Mistake) int {
		if m.File == file {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(m, func(a, b Mistake) int {
		return cmp.Or(cmp.Compare(other(a), other(b)), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return slices.Compact(m)
}
