package rigfile

// What a description of the format is made of: sections, one for each table, with their keys. A
// section is made for the value that it fills, as flags are defined for variables. The description
// itself is in format.go; reading (bind.go), the schema (schema.go) and the reference
// (reference.go) all follow it.

import (
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
)

// section describes one table: the top of the file, [vehicle], a [[lamp]].
type section struct {
	doc   string
	keys  []key
	rules []rule
	hints map[string]string           // what to do instead, by keys that belong elsewhere
	pos   *Position                   // where to note the place of the table; nil for nowhere
	check func(r *reader, s *section) // what must hold besides; called when the section has been filled

	// What reading adds:
	node   *node  // the table
	owner  string // whose table it is, for messages: `lamp "roof bar"`
	prefix string // of its keys: "at."
}

// key describes one key. The type of into says what it holds:
//
//	*string, *Opt[string]      a text
//	choice                     one of a few words
//	*bool                      true or false
//	*float64, *Opt[float64]    a quantity
//	*Angles, *Opt[Angles]      an angle, or [across, up-down]
//	*Interval, *Opt[Interval]  [low, high]
//	*[]GroundPoint             [[distance, height], …]
//	*geometry.Track            the radius of a bend and its side
//	*[]string                  [text, text, …]
//	*section                   a table that there is one of
//	many                       several tables
type key struct {
	name    string
	doc     string // what it means: a sentence without its full stop
	into    any
	kind    quantity.Kind // of a quantity
	limits  limits        // of a quantity, in the first unit of its kind
	heights limits        // of the second number of a point of the ground
	wide    bool          // an interval has to be wider than nothing
	zero    bool          // a bare 0 is read although the kind needs a unit
	need    bool          // must be given
	preset  string        // the default, as it would be written in the file
	example string        // as it would be written in the file
	most    int           // entries of a list
	bytes   int           // that a text may have, where that is not longestText
	refuse  func(text string) (problem, remedy string)
	given   *bool    // where to note that a table is given
	also    []string // what people call it elsewhere; only to guess what was meant

	// What reading adds:
	at     place      // of the key; nowhere when it is not given
	node   *node      // the value; nil when it is not given
	bad    bool       // given, with a mistake that has been reported
	tables []*section // of several tables: those read
}

// ok reports whether the key is given and could be read.
func (k *key) ok() bool { return k.node != nil && !k.bad }

// section is the description of a table that the key holds; nil when it holds none.
func (k *key) section() *section {
	switch into := k.into.(type) {
	case *section:
		return into
	case many:
		return into.blank()
	}
	return nil
}

// many is where tables go that there may be several of.
type many struct {
	next  func() *section // adds a value to the list, and describes it
	blank func() *section // describes a value that belongs nowhere
}

func several[T any](to *[]T, describe func(*T) *section) many {
	return many{
		next: func() *section {
			*to = append(*to, *new(T))
			return describe(&(*to)[len(*to)-1])
		},
		blank: func() *section { return describe(new(T)) },
	}
}

// choice is where one of a few words goes.
type choice struct {
	words []string
	set   func(word string, given bool)
}

// choose puts one of some values, by what they are called, into a T or an Opt[T].
func choose[T any](to any, word func(T) string, values ...T) choice {
	var c choice
	for _, v := range values {
		c.words = append(c.words, word(v))
	}
	c.set = func(word string, given bool) { store(to, values[slices.Index(c.words, word)], given) }
	return c
}

// chooseWord puts one of some words into a T or an Opt[T].
func chooseWord[T ~string](to any, words ...T) choice {
	return choose(to, func(word T) string { return string(word) }, words...)
}

// store puts a value where a key says.
func store[T any](into any, v T, given bool) {
	if to, ok := into.(*Opt[T]); ok {
		*to = Opt[T]{v, given}
		return
	}
	*into.(*T) = v
}

func (s *section) key(name string) *key {
	for i := range s.keys {
		if s.keys[i].name == name {
			return &s.keys[i]
		}
	}
	return nil
}

func (s *section) names() []string {
	names := make([]string, len(s.keys))
	for i, k := range s.keys {
		names[i] = k.name
	}
	return names
}

// path names a key of the section in a message: `lamp "roof bar": at.up`.
func (s *section) path(name string) string {
	if s.owner == "" {
		return s.prefix + name
	}
	return s.owner + ": " + s.prefix + name
}

// rule is what holds between the keys of one table. Exactly one of its forms is used.
type rule struct {
	one    []string // exactly one of these is given …
	unless string   // … or none, when this one is
	apart  []string // at most one of these is given
	key    string   // this one …
	needs  string   // … is only given together with this one
}

// limits is a range of numbers. The zero limits are none.
type limits struct {
	low, high         float64
	openLow, openHigh bool // the bound itself is outside
}

func within(low, high float64) limits    { return limits{low: low, high: high} }
func aboveUpTo(low, high float64) limits { return limits{low: low, high: high, openLow: true} }
func aboveBelow(low, high float64) limits {
	return limits{low: low, high: high, openLow: true, openHigh: true}
}

func (l limits) none() bool { return l == limits{} }

// breach says which bound the SI value v of a kind breaks: "is not below 175°"; empty when none.
func (l limits) breach(v float64, kind quantity.Kind) string {
	low, high := kind.SI(l.low), kind.SI(l.high)
	switch {
	case l.none():
		return ""
	case l.openLow && v <= low:
		return "is not above " + kind.Show(l.low)
	case v < low:
		return "is less than " + kind.Show(l.low)
	case l.openHigh && v >= high:
		return "is not below " + kind.Show(l.high)
	case v > high:
		return "is more than " + kind.Show(l.high)
	}
	return ""
}

// words puts the range into words: "above 0.5° and below 175°".
func (l limits) words(kind quantity.Kind) string {
	if l.none() {
		return ""
	}
	low, high := kind.Show(l.low), kind.Show(l.high)
	switch {
	case l.openLow && l.openHigh:
		return "above " + low + " and below " + high
	case l.openLow:
		return "above " + low + " up to " + high
	case l.low == -l.high:
		return "±" + high
	}
	return low + " to " + high
}

// commas lists names for a sentence: "lumens, peak, one_lux_at".
func commas(names []string) string { return strings.Join(names, ", ") }

// without is the section less some keys, in rules as well.
func (s *section) without(names ...string) *section {
	gone := func(name string) bool { return slices.Contains(names, name) }
	rest := *s
	rest.keys = slices.DeleteFunc(slices.Clone(s.keys), func(k key) bool { return gone(k.name) })
	rest.rules = nil
	for _, r := range s.rules {
		r.one = slices.DeleteFunc(slices.Clone(r.one), gone)
		r.apart = slices.DeleteFunc(slices.Clone(r.apart), gone)
		rest.rules = append(rest.rules, r)
	}
	return &rest
}
