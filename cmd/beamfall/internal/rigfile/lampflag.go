package rigfile

// The shorthand of one lamp on the command line: key=value, key=value. The keys are those of the file, with the place's
// ahead, left and up among the lamp's own.

import (
	"strings"
	"unicode/utf8"

	"beamfall/cmd/beamfall/internal/quantity"
)

// lampFlagSheet describes the shorthand, made from the lamp's and the place's description.
var lampFlagSheet = func() *sheet {
	s := lampSheet.without("at", "optic")
	place := pointKeys()
	height := *place.find("up")
	height.name, height.doc, height.also = "height", "the same as up", nil
	s.keys = append(s.keys, append(place.keys, height)...)
	s.rules = append(s.rules, rule{one: []string{"up", "height"}})
	return s
}()

// longestLamp is how many bytes a --lamp may have.
const longestLamp = 4096

// ParseLamp reads a --lamp such as name=roof,up=2.05m,ahead=-1.9m,spread=10,tilt=5,lumens=16000. Values that hold commas
// stand in double quotes, lists in brackets. The index counts from 0 and names a lamp without a name: the first is lamp 1.
// The error is a Mistakes with all that is wrong.
func ParseLamp(text string, index int) (Lamp, error) {
	b := &binder{source: &source{name: "--lamp " + quantity.Quote(text), oneLine: true}}
	if len(text) > longestLamp || !utf8.ValidString(text) || strings.ContainsFunc(text, upsetting) {
		b.fault(0, "", "is too long or holds characters that are not text", "write e.g. "+lampExample)
		return Lamp{}, b.mistakes
	}
	if strings.TrimSpace(text) == "" {
		b.fault(0, "", "is empty", "write e.g. "+lampExample)
		return Lamp{}, b.mistakes
	}
	b.text = []byte(text)
	lamp := b.lamp(b.table(b.lampTree(), lampFlagSheet, where{}), index)
	lamp.Pos, lamp.NamedAt = Position{}, Position{}
	for i := range lamp.Optics {
		lamp.Optics[i].Pos = Position{}
	}
	if len(b.mistakes) > 0 {
		return Lamp{}, b.mistakes.sorted()
	}
	return lamp, nil
}

const lampExample = `"name=roof,up=2.05m,ahead=-1.9m,spread=10,tilt=5,lumens=16000"`

// lampTree makes the tree of the shorthand.
func (b *binder) lampTree() *node {
	root := &node{form: tableForm, origin: fromValue}
	for _, item := range split(string(b.text), 0) {
		name, rest, found := strings.Cut(item.text, "=")
		name = strings.TrimSpace(name)
		switch {
		case strings.TrimSpace(item.text) == "":
			b.fault(item.at, "", "nothing stands between two commas", "write key=value")
			b.torn = true
			continue
		case !found:
			remedy := "write key=value"
			if k := lampFlagSheet.find(name); k != nil {
				remedy = "write e.g. " + b.example(k)
				root.add(name, item.at, &node{form: brokenForm})
			} else if strings.ContainsAny(name, "0123456789") {
				remedy = "use a point for decimals, and brackets for lists, e.g. spread=[36,14]"
			}
			b.fault(item.at, "", quantity.Quote(name)+" has no =", remedy)
			continue
		case root.find(name) != nil:
			b.fault(item.at, plainName(name), "is given a second time", "keep one of the two")
			continue
		}
		at := item.at + len(item.text) - len(rest)
		root.add(name, item.at, b.lampValue(rest, at, plainName(name)))
	}
	return root
}

// lampValue makes the node of a value: a text, in quotes or not, or a list in brackets.
func (b *binder) lampValue(text string, at int, key string) *node {
	trimmed := strings.TrimSpace(text)
	at += strings.Index(text, trimmed)
	if !strings.HasPrefix(trimmed, "[") {
		return b.lampText(trimmed, at, key)
	}
	n := &node{form: listForm, at: at}
	inner, closed := strings.CutSuffix(trimmed[1:], "]")
	if !closed {
		b.fault(at, key, "a list is not closed", "put a ] at its end")
		n.form, b.torn = brokenForm, true
		return n
	}
	if strings.TrimSpace(inner) == "" {
		return n
	}
	for _, item := range split(inner, at+1) {
		n.push(b.lampText(strings.TrimSpace(item.text), item.at, key))
	}
	return n
}

func (b *binder) lampText(text string, at int, key string) *node {
	n := &node{form: textForm, at: at, text: text}
	inner, quoted := strings.CutPrefix(text, `"`)
	if !quoted {
		return n
	}
	inner, closed := strings.CutSuffix(inner, `"`)
	if !closed {
		b.fault(at, key, "a text is not closed", `put a " at its end`)
		n.form, b.torn = brokenForm, true
		return n
	}
	n.text = strings.NewReplacer(`\"`, `"`, `\\`, `\`).Replace(inner)
	return n
}

// piece is part of a --lamp.
type piece struct {
	text string
	at   int
}

// split cuts a text at its commas, other than those in brackets and in double quotes. Only a quote at the beginning of a
// value or of a list's entry opens a text: up=6'3" is no text in quotes.
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

// FromLamps is a rig of lamps alone, everything else by default. Lamps of one name are told apart by a number behind it.
func FromLamps(lamps []Lamp) *Rig {
	b := &binder{source: &source{}, torn: true}
	rig := bindRig(b.source, &node{form: tableForm}, true, "lamps")
	taken := make(map[string]bool)
	for _, lamp := range lamps {
		name := lamp.Name
		for i := 2; takes(taken, lamp); i++ {
			lamp.Name = ordinal(name, i-1)
		}
		if lamp.Circuit == name {
			lamp.Circuit = lamp.Name
		}
		for _, shown := range shownNames(lamp) {
			taken[shown] = true
		}
		rig.Lamps = append(rig.Lamps, lamp)
	}
	rig.Scenes = []Scene{everything(circuits(rig.Lamps))}
	return rig
}

// takes reports whether a name that the lamp would have is taken already.
func takes(taken map[string]bool, lamp Lamp) bool {
	for _, name := range shownNames(lamp) {
		if taken[name] {
			return true
		}
	}
	return false
}
