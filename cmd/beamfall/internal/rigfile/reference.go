package rigfile

// The description of the format as a page to read.

import (
	"fmt"
	"strings"
)

// Reference is the key reference of the rig file, in Markdown.
func Reference() string {
	var b strings.Builder
	b.WriteString("# Keys of the rig file\n")
	rigSheet.reference(&b, "Top of the file", "")
	return b.String()
}

func (s *sheet) reference(b *strings.Builder, title, path string) {
	fmt.Fprintf(b, "\n## %s\n\n%s\n\n", title, s.doc)
	b.WriteString("| key | value | example | default | meaning |\n| --- | --- | --- | --- | --- |\n")
	for _, k := range s.keys {
		if k.inside == nil {
			b.WriteString(k.reference(""))
		} else if k.example[0] == '{' {
			fmt.Fprintf(b, "| `%s` | table | `%s` | %s | %s |\n", k.name, k.example, k.given(), k.doc)
			for _, inner := range k.inside.keys {
				b.WriteString(inner.reference(k.name + "."))
			}
		} else {
			fmt.Fprintf(b, "| `%s` | see below | | %s | %s |\n", k.example, k.given(), k.doc)
		}
	}
	for _, r := range s.rules {
		fmt.Fprintf(b, "\n- %s", r.say())
	}
	if len(s.rules) > 0 {
		b.WriteByte('\n')
	}
	for _, k := range s.keys {
		if k.inside != nil && k.example[0] == '[' {
			k.inside.reference(b, "`"+k.example+"`", path+k.name+".")
		}
	}
}

// reference is the row of a key.
func (k *key) reference(dotted string) string {
	return fmt.Sprintf("| `%s%s` | %s | `%s` | %s | %s |\n", dotted, k.name, k.sort(), k.example, k.given(), k.doc)
}

// given says what holds when the key is not given.
func (k *key) given() string {
	switch {
	case k.need:
		return "must be given"
	case k.preset != "":
		return "`" + k.preset + "`"
	}
	return ""
}

// sort says in words what a key holds.
func (k *key) sort() string {
	var what string
	switch k.holds {
	case aText:
		what = "text"
	case aWord:
		what = "`" + strings.Join(k.words, "`, `") + "`"
	case aTruth:
		what = "`true`, `false`"
	case aMeasure:
		what = strings.TrimPrefix(strings.TrimPrefix(k.kind.String(), "an "), "a ")
	}
	span := k.limits.say(k.kind)
	switch k.shape {
	case oneOrTwo:
		what += ", or [across, up-down]"
	case rising, level:
		what = "[" + what + ", " + what + "]"
	case list:
		what = fmt.Sprintf("list of texts, at most %d", k.most)
	case points:
		what = fmt.Sprintf("list of [distance, height], at most %d", k.most)
		span = k.limits.say(k.kind) + ", " + k.heights.say(k.kind)
	}
	if span != "" {
		what += ", " + span
	}
	return what
}

// say puts a rule into words.
func (r rule) say() string {
	quoted := func(names []string) string { return "`" + strings.Join(names, "`, `") + "`" }
	switch {
	case r.one != nil && r.unless != "":
		return fmt.Sprintf("One of %s, or none with `%s`.", quoted(r.one), r.unless)
	case r.one != nil:
		return fmt.Sprintf("One of %s.", quoted(r.one))
	case r.apart != nil:
		return fmt.Sprintf("Not together: %s.", quoted(r.apart))
	}
	return fmt.Sprintf("`%s` only with `%s`.", r.key, r.needs)
}
