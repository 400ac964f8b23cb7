package rigfile

// Guessing what was meant by a name that is not known.

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"

	"beamfall/cmd/beamfall/internal/quantity"
)

// Nearest is the name most like the given one, or empty when none is like it.
func Nearest(name string, names []string) string {
	const longest = 64
	if name == "" || len(name) > longest {
		return ""
	}
	name = strings.ToLower(name)
	characters := utf8.RuneCountInString(name)
	best, least := "", 0
	for _, other := range names {
		if other == "" || len(other) > longest {
			continue
		}
		lower := strings.ToLower(other)
		distance := levenshtein.ComputeDistance(name, lower)
		if distance > 1+characters/4 || distance >= characters {
			continue
		}
		cost := 2 * distance
		if name[0] != lower[0] { // of two equally near, people get the first letter right
			cost++
		}
		if best == "" || cost < least {
			best, least = other, cost
		}
	}
	return best
}

// meant is the key of a table that an unknown name was meant to be, and the remedy for the message.
func (s *sheet) meant(name string, dotted string) (k *key, remedy string) {
	var others []string
	owner := make(map[string]*key)
	for i := range s.keys {
		for _, other := range s.keys[i].also {
			others = append(others, other)
			owner[other] = &s.keys[i]
		}
	}
	k = owner[strings.ToLower(name)]
	if home := elsewhere(s, name, dotted); k == nil && home != "" {
		return nil, home
	}
	for _, names := range [][]string{s.names(), others} {
		if guess := Nearest(name, names); k == nil && guess != "" {
			if k = s.find(guess); k == nil {
				k = owner[guess]
			}
		}
	}
	if k != nil {
		return k, fmt.Sprintf("did you mean %q?", dotted+k.name)
	}
	return nil, "known here: " + commas(s.names())
}

// elsewhere says where a key belongs that is known, but not in this table.
func elsewhere(s *sheet, name, dotted string) string {
	if s == lampFlagSheet {
		switch name {
		case "at":
			return "write ahead=-1.9 m,left=0 m,up=2.05 m"
		case "optic":
			return "a lamp of several optics needs a rig file"
		}
		return ""
	}
	for _, k := range s.keys {
		if k.inside == nil {
			continue
		}
		if inner := k.inside.find(name); inner != nil {
			if k.shape == tables {
				return fmt.Sprintf("it belongs in %s", k.example)
			}
			return fmt.Sprintf("write %s%s.%s = %s", dotted, k.name, name, inner.example)
		}
	}
	if rigSheet.find(name) != nil {
		return "it belongs at the top of the file, above the first [table]"
	}
	for _, k := range rigSheet.keys {
		if k.inside != nil && k.inside != s && k.inside.find(name) != nil {
			return fmt.Sprintf("it belongs in %s", k.example)
		}
	}
	return ""
}

var bare = regexp.MustCompile(`^[A-Za-z0-9_-]{1,40}$`)

// plainName is a name as a key: in quotes only where it needs them.
func plainName(name string) string {
	if bare.MatchString(name) {
		return name
	}
	return quantity.Quote(name)
}

// ordinal names the i-th (from 0) of several that have no names of their own: "lamp 3".
func ordinal(what string, i int) string { return what + " " + strconv.Itoa(i+1) }
