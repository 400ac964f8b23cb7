package rigfile

// How the format is described: tables of keys, each with what it holds, its range, its default and a sentence. The
// description itself is in format.go; reading (bind.go), the schema (schema.go) and the reference (reference.go) follow it.

import (
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
)

// holds is what a value of a key is made of.
type holds int

const (
	aText    holds = iota
	aWord          // one of a few
	aTruth         // true or false
	aMeasure       // a quantity
)

// shape is how many values a key takes, and how they are put.
type shape int

const (
	single   shape = iota
	oneOrTwo       // x or [across, up-down]
	rising         // [low, high], low below high
	level          // [low, high], low not above high
	list           // [a, b, …]
	points         // [[distance, height], …], distances rising
	table          // [key] or key = { … }
	tables         // [[key]], one after the other
)

// key is one line of the description.
type key struct {
	name    string
	doc     string // what it means: a sentence without its full stop
	shape   shape
	holds   holds
	kind    quantity.Kind // of a measure
	limits  limits        // of a measure, in the first unit of its kind
	heights limits        // of the second number of points
	zero    bool          // a bare 0 is read although the kind needs a unit
	words   []string      // of a word
	need    bool          // must be given
	preset  string        // the default, as it would be written in the file
	example string        // as it would be written in the file
	most    int           // of the entries of a list
	bytes   int           // that a text may have, where that is not longestTxt
	inside  *sheet        // of a table
	also    []string      // what people call it elsewhere; only to guess what was meant
}

// sheet is the description of one table.
type sheet struct {
	doc   string
	keys  []key
	rules []rule
}

func (s *sheet) find(name string) *key {
	for i := range s.keys {
		if s.keys[i].name == name {
			return &s.keys[i]
		}
	}
	return nil
}

func (s *sheet) names() []string {
	names := make([]string, len(s.keys))
	for i, k := range s.keys {
		names[i] = k.name
	}
	return names
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

// say puts the range into words: "above 0.5° and below 175°".
func (l limits) say(kind quantity.Kind) string {
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

// list of names for a sentence: "lumens, peak, one_lux_at".
func commas(names []string) string { return strings.Join(names, ", ") }

// without is the description less some keys, in rules as well.
func (s *sheet) without(names ...string) *sheet {
	gone := func(name string) bool { return slices.Contains(names, name) }
	rest := &sheet{doc: s.doc}
	for _, k := range s.keys {
		if !gone(k.name) {
			rest.keys = append(rest.keys, k)
		}
	}
	for _, r := range s.rules {
		if gone(r.key) || gone(r.needs) {
			continue
		}
		r.one = slices.DeleteFunc(slices.Clone(r.one), gone)
		r.apart = slices.DeleteFunc(slices.Clone(r.apart), gone)
		if r.key == "" && len(r.one) == 0 && len(r.apart) < 2 {
			continue
		}
		rest.rules = append(rest.rules, r)
	}
	return rest
}
