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

// meant is the key of a table that an unknown name was meant to be, if it can be guessed, and the
// remedy for the message.
func (s *section) meant(name string, isFlag bool) (k *key, remedy string) {
	var others []string
	owner := make(map[string]*key) // by what people call it elsewhere
	for i := range s.keys {
		for _, other := range s.keys[i].also {
			others = append(others, other)
			owner[other] = &s.keys[i]
		}
	}
	k = owner[strings.ToLower(name)]
	if home := s.elsewhere(name, isFlag); k == nil && home != "" {
		return nil, home
	}
	if guess := Nearest(name, s.names()); k == nil && guess != "" {
		k = s.key(guess)
	}
	if k == nil {
		k = owner[Nearest(name, others)]
	}
	if k != nil {
		return k, fmt.Sprintf("did you mean %q?", s.prefix+k.name)
	}
	return nil, "known here: " + commas(s.names())
}

// elsewhere says where a key belongs that is known, but not in this table.
func (s *section) elsewhere(name string, isFlag bool) string {
	if hint := s.hints[name]; hint != "" || isFlag {
		return hint
	}
	for _, k := range s.keys {
		if inner := k.section(); inner != nil && inner.key(name) != nil {
			if isHeader.MatchString(k.example) {
				return fmt.Sprintf("it belongs in %s", k.example)
			}
			return fmt.Sprintf("write %s%s.%s = %s", s.prefix, k.name, name, inner.key(name).example)
		}
	}
	whole := rigSection(new(Rig))
	if whole.key(name) != nil {
		return "it belongs at the top of the file, above the first [table]"
	}
	var homes []string
	for _, k := range whole.keys {
		if inner := k.section(); inner != nil && inner.key(name) != nil {
			homes = append(homes, k.example)
		}
	}
	if len(homes) == 0 {
		return ""
	}
	return "it belongs in " + strings.Join(homes, " or ")
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
