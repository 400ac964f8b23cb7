package rigfile

// The description of the format as a JSON Schema, for editors that complete and check while one
// types. What a schema cannot say (that faces are in order, that shares add up, ranges of texts
// with units) is left to Read.

import (
	"encoding/json"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
)

// object is a JSON object; its keys come out in the order of the alphabet.
type object = map[string]any

// Schema is the JSON Schema (draft 2020-12) of the rig file. What Read accepts, the schema accepts.
func Schema() ([]byte, error) {
	rig := rigSection(new(Rig))
	text, err := json.MarshalIndent(object{
		"$schema": "https://json-schema.org/draft/2020-12/schema",
		"title":   "beamfall rig file",
		"if":      required("base"),
		"then":    rig.schema(false),
		"else":    rig.schema(true),
	}, "", "  ")
	return append(text, '\n'), err
}

// schema of a table. One that is not whole says only what differs from a base: nothing is missing.
func (s *section) schema(whole bool) object {
	properties, required := object{}, []string{}
	for i := range s.keys {
		k := &s.keys[i]
		properties[k.name] = k.schema(whole)
		if k.need && whole {
			required = append(required, k.name)
		}
	}
	o := object{"type": "object", "description": s.doc, "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		o["required"] = required
	}
	var all []object
	for _, r := range s.rules {
		all = append(all, r.schema(whole)...)
	}
	if len(all) > 0 {
		o["allOf"] = all
	}
	return o
}

func required(names ...string) object { return object{"required": names} }

func (r rule) schema(whole bool) []object {
	if r.key != "" && !whole {
		return nil
	}
	if r.key != "" {
		return []object{{"dependentRequired": object{r.key: []string{r.needs}}}}
	}
	var all []object
	names := append(append([]string{}, r.one...), r.apart...)
	for i, a := range names {
		for _, b := range names[i+1:] {
			all = append(all, object{"not": required(a, b)})
		}
	}
	if r.one != nil && whole {
		var any []object
		for _, name := range r.one {
			any = append(any, required(name))
		}
		if r.unless != "" {
			any = append(any, required(r.unless))
		}
		all = append(all, object{"anyOf": any})
	}
	return all
}

func (k *key) schema(whole bool) object {
	o := k.values(whole)
	o["description"] = k.doc
	if k.preset != "" {
		o["default"] = asJSON(k.preset)
	}
	if !isHeader.MatchString(k.example) {
		o["examples"] = []any{asJSON(k.example)}
	}
	return o
}

// values describes what a key may hold.
func (k *key) values(whole bool) object {
	switch to := k.into.(type) {
	case *section:
		return object{"allOf": []object{to.schema(whole)}}
	case many:
		return object{"type": "array", "items": to.blank().schema(whole), "minItems": 1, "maxItems": k.most}
	case choice:
		return object{"enum": to.words}
	case *bool:
		return object{"type": "boolean"}
	case *float64, *Opt[float64]:
		return k.quantity(k.limits)
	case *Angles, *Opt[Angles]:
		return object{"anyOf": []object{k.quantity(k.limits), k.two()}}
	case *Interval, *Opt[Interval]:
		return k.two()
	case *[]string:
		return object{"type": "array", "items": object{"type": "string", "minLength": 1}, "maxItems": k.most}
	case *[]GroundPoint:
		both := []object{k.quantity(k.limits), k.quantity(k.heights)}
		point := object{"type": "array", "prefixItems": both, "minItems": 2, "maxItems": 2}
		return object{"type": "array", "items": point, "minItems": 2, "maxItems": k.most}
	}
	return object{"type": "string", "minLength": 1}
}

// two describes a list of two values.
func (k *key) two() object {
	return object{"type": "array", "items": k.quantity(k.limits), "minItems": 2, "maxItems": 2}
}

// quantity describes a single quantity.
func (k *key) quantity(l limits) object {
	text := object{"type": "string", "pattern": pattern(k.kind)}
	switch {
	case k.kind.Bare():
		number := object{"type": "number"}
		if !l.none() {
			low, high := "minimum", "maximum"
			if l.openLow {
				low = "exclusiveMinimum"
			}
			if l.openHigh {
				high = "exclusiveMaximum"
			}
			number[low], number[high] = l.low, l.high
		}
		return object{"anyOf": []object{text, number}}
	case k.zero:
		return object{"anyOf": []object{text, {"const": 0}}}
	}
	return text
}

// pattern is a regular expression (ECMA-262) that all texts of a kind match.
func pattern(kind quantity.Kind) string {
	var units []string
	for _, name := range kind.Units() {
		var b strings.Builder
		for _, r := range name {
			switch lower, upper := string(r), strings.ToUpper(string(r)); {
			case r == '\'':
				b.WriteString(`['′’]`)
			case r == '"':
				b.WriteString(`["″”]`)
			case r == '°':
				b.WriteString(`[°º]`)
			case strings.ContainsRune(`^.`, r):
				b.WriteString(`\` + lower)
			case lower != upper:
				b.WriteString("[" + lower + upper + "]")
			default:
				b.WriteString(lower)
			}
		}
		units = append(units, b.String())
	}
	return `^\s*[-+−]?\s*[0-9.].*?(` + strings.Join(units, "|") + `)\s*$`
}

// asJSON is a TOML value of the description as a JSON value.
func asJSON(text string) any {
	return literal(text).json()
}

func (n *node) json() any {
	switch n.form {
	case numberForm:
		return json.Number(n.text)
	case truthForm:
		return n.text == "true"
	case listForm:
		items := make([]any, len(n.items))
		for i, item := range n.items {
			items[i] = item.json()
		}
		return items
	case tableForm:
		o := object{}
		for _, e := range n.entries {
			o[e.key] = e.node.json()
		}
		return o
	}
	return n.text
}
