package rigfile

// The shorthand of one lamp on the command line: key=value, key=value. The keys are those of the
// file, with the place's ahead, left and up among the lamp's own.

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"beamfall/cmd/beamfall/internal/quantity"
)

// lampFlagSection describes the shorthand, made from the descriptions of the lamp and of its place.
func lampFlagSection(l *Lamp) *section {
	s := lampSection(l).without("at", "optic")
	s.hints = map[string]string{
		"at":    "write ahead=-1.9 m,left=0 m,up=2.05 m",
		"optic": "a lamp of several optics needs a rig file",
	}
	place := pointSection(&l.At)
	height := *place.key("up")
	height.name, height.doc, height.also = "height", "the same as up", nil
	s.keys = append(s.keys, append(place.keys, height)...)
	s.rules = append(s.rules, rule{one: []string{"up", "height"}})
	return s
}

// longestLamp is how many bytes a --lamp may have.
const longestLamp = 4096

// ParseLamp reads a --lamp such as name=roof,up=2.05m,ahead=-1.9m,spread=10,tilt=5,lumens=16000.
// Values that hold commas stand in double quotes, lists in brackets. The index counts from 0 and
// names a lamp without a name: the first is lamp 1. The error is a Mistakes with all that is wrong.
func ParseLamp(text string, index int) (Lamp, error) { return parseLamp("--lamp", "lamp", text, index) }

// ParseAdded reads an --add, which is as a --lamp. The first one without a name is added 1.
func ParseAdded(text string, index int) (Lamp, error) {
	return parseLamp("--add", "added", text, index)
}

// parseLamp reads the text of a flag; a lamp without a name is called so and numbered.
func parseLamp(flag, called, text string, index int) (Lamp, error) {
	src := &source{name: flag + " " + quantity.Quote(text), text: []byte(text), isFlag: true}
	problem := ""
	switch {
	case len(text) > longestLamp || !utf8.ValidString(text) || strings.ContainsFunc(text, unprintable):
		problem = "is too long or holds characters that are not text"
	case strings.TrimSpace(text) == "":
		problem = "is empty"
	}
	if problem != "" {
		return Lamp{}, mistakeAt(place{src, 0}, problem, "write e.g. "+lampExample)
	}
	r := &reader{isFlag: true}
	table := r.lampTable(src)
	var lamp Lamp
	if len(r.mistakes) == 0 {
		r.fill(lampFlagSection(&lamp), table)
	}
	if len(r.mistakes) > 0 {
		return Lamp{}, r.mistakes.sorted(src.name)
	}
	lamp.Name = cmp.Or(lamp.Name, ordinal(called, index))
	lamp.Circuit = cmp.Or(lamp.Circuit, lamp.Name)
	lamp.Flag, lamp.Pos, lamp.NamedAt = text, Position{}, Position{}
	for i := range lamp.Optics {
		lamp.Optics[i].Pos = Position{}
	}
	return lamp, nil
}

// FlagWithout is a shorthand without one of its keys.
func FlagWithout(text, key string) string {
	var kept []string
	for _, item := range split(text, 0) {
		if name, _, _ := strings.Cut(item.text, "="); strings.TrimSpace(name) != key {
			kept = append(kept, item.text)
		}
	}
	return strings.Join(kept, ",")
}

const lampExample = `"name=roof,up=2.05m,ahead=-1.9m,spread=10,tilt=5,lumens=16000"`

// lampTable makes the table of the shorthand, and reports what cannot be read.
func (r *reader) lampTable(src *source) *node {
	known := lampFlagSection(new(Lamp))
	table := &node{place: place{src, 0}, form: tableForm}
	for _, item := range split(string(src.text), 0) {
		key, rest, found := strings.Cut(item.text, "=")
		key = strings.TrimSpace(key)
		at := place{src, item.at}
		switch {
		case strings.TrimSpace(item.text) == "":
			r.fault(at, "", "nothing stands between two commas", "write key=value")
			continue
		case !found:
			remedy := "write key=value"
			if k := known.key(key); k != nil {
				remedy = "write e.g. " + r.example(k)
			} else if strings.ContainsAny(key, "0123456789") {
				remedy = "use a point for decimals, and brackets for lists, e.g. spread=[36,14]"
			}
			r.fault(at, "", quantity.Quote(key)+" has no =", remedy)
			continue
		case table.find(key) != nil:
			r.fault(at, plainName(key), "is given a second time", "keep one of the two")
			continue
		}
		valueAt := place{src, item.at + len(item.text) - len(rest)}
		table.add(key, at, r.lampValue(rest, valueAt, plainName(key)))
	}
	return table
}

// lampValue makes the node of a value: a text, in quotes or not, or a list in brackets.
func (r *reader) lampValue(text string, at place, key string) *node {
	trimmed := strings.TrimSpace(text)
	at.at += strings.Index(text, trimmed)
	if !strings.HasPrefix(trimmed, "[") {
		return r.lampText(trimmed, at, key)
	}
	list := &node{place: at, form: listForm}
	inner, closed := strings.CutSuffix(trimmed[1:], "]")
	if !closed {
		r.fault(at, key, "a list is not closed", "put a ] at its end")
	}
	if strings.TrimSpace(inner) == "" {
		return list
	}
	for _, item := range split(inner, at.at+1) {
		list.items = append(list.items, r.lampText(strings.TrimSpace(item.text), place{at.src, item.at}, key))
	}
	return list
}

func (r *reader) lampText(text string, at place, key string) *node {
	n := &node{place: at, form: textForm, text: text}
	if inner, quoted := strings.CutPrefix(text, `"`); quoted {
		inner, closed := strings.CutSuffix(inner, `"`)
		if !closed {
			r.fault(at, key, "a text is not closed", `put a " at its end`)
		}
		n.text = strings.NewReplacer(`\"`, `"`, `\\`, `\`).Replace(inner)
	}
	return n
}

// piece is part of a --lamp.
type piece struct {
	text string
	at   int
}

// split cuts a text at its commas, other than those in brackets and in double quotes. Only a quote
// at the beginning of a value or of a list's entry opens a text: up=6'3" is no text in quotes.
func split(text string, at int) []piece {
	var pieces []piece
	start, bracket, quote := 0, false, false
	opens := true // a value can begin here
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case quote && c == '\\':
			i++
		case quote:
			quote = c != '"'
		case c == '"' && opens:
			quote = true
		case c == '[' && opens:
			bracket = true
		case c == ']':
			bracket = false
		case c == ',' && !bracket:
			pieces = append(pieces, piece{text[start:i], at + start})
			start = i + 1
		}
		if c := text[min(i, len(text)-1)]; c != ' ' {
			opens = !quote && (c == '=' || c == '[' || c == ',')
		}
	}
	return append(pieces, piece{text[start:], at + start})
}

// FromLamps is a rig of lamps alone, everything else by default. Lamps of one name differ
// by a number behind it.
func FromLamps(lamps []Lamp) *Rig {
	rig := &Rig{Name: "lamps"}
	new(reader).byDefault(&section{}, &key{into: rigSection(rig)})
	rig.append(lamps)
	rig.fillNames()
	return rig
}

// Add adds lamps that are lit in every scene. Those of a name that the rig has differ by a number
// behind it. The error is of more lamps than a rig may have; the rig then stays as it is.
func (rig *Rig) Add(lamps []Lamp) error {
	before := len(rig.Lamps)
	if n := before + len(lamps); n > mostLamps {
		return fmt.Errorf("%d lamps with those of the rig are more than %d", n, mostLamps)
	}
	rig.append(lamps)
	for i := range rig.Lamps[before:] {
		rig.Lamps[before+i].EveryScene = true
	}
	return nil
}

// Replace puts lamps in the place of those of the rig and of its headlights, all lit in one scene.
// What is wanted of the lamps that were there goes with them.
func (rig *Rig) Replace(lamps []Lamp) {
	rig.Lamps, rig.Headlights, rig.Scenes, rig.Targets, rig.Limits = nil, Opt[Headlights]{}, nil, nil, nil
	rig.append(lamps)
	rig.fillNames()
	rig.Scenes[0].Given = false
}

// Added are the names of the lamps that Add has added.
func (rig *Rig) Added() (names []string) {
	for _, lamp := range rig.Lamps {
		if lamp.EveryScene {
			names = append(names, lamp.Name)
		}
	}
	return names
}

// append adds lamps, with names that are not taken.
func (rig *Rig) append(lamps []Lamp) {
	taken := make(map[string]bool)
	if rig.Headlights.Given {
		for _, shown := range headlightNames {
			taken[shown] = true
		}
	}
	for _, lamp := range rig.Lamps {
		for _, shown := range lamp.shownNames() {
			taken[shown] = true
		}
	}
	for _, lamp := range lamps {
		name := lamp.Name
		takes := func(name string) bool { return taken[name] }
		for i := 1; slices.ContainsFunc(lamp.shownNames(), takes); i++ {
			lamp.Name = ordinal(name, i)
		}
		if lamp.Circuit == name {
			lamp.Circuit = lamp.Name
		}
		for _, shown := range lamp.shownNames() {
			taken[shown] = true
		}
		rig.Lamps = append(rig.Lamps, lamp)
	}
}
