package rigfile

// The description of the format as a page to read.

import (
	"fmt"
	"strings"

	"beamfall/geometry"
)

// Reference is the key reference of the rig file, in Markdown.
func Reference() string {
	var b strings.Builder
	b.WriteString("# Keys of the rig file\n")
	rigSection(new(Rig)).reference(&b, "Top of the file")
	return b.String()
}

func (s *section) reference(b *strings.Builder, title string) {
	fmt.Fprintf(b, "\n## %s\n\n%s\n\n", title, s.doc)
	b.WriteString("| key | value | example | default | meaning |\n| --- | --- | --- | --- | --- |\n")
	var below []*key // tables with a page of their own
	for i := range s.keys {
		k := &s.keys[i]
		switch inner := k.section(); {
		case inner == nil:
			b.WriteString(k.row(""))
		case isHeader.MatchString(k.example):
			fmt.Fprintf(b, "| `%s` | see below | | %s | %s |\n", k.example, k.byDefault(), k.doc)
			below = append(below, k)
		default:
			fmt.Fprintf(b, "| `%s` | table | `%s` | %s | %s |\n", k.name, k.example, k.byDefault(), k.doc)
			for _, key := range inner.keys {
				b.WriteString(key.row(k.name + "."))
			}
		}
	}
	for _, r := range s.rules {
		fmt.Fprintf(b, "\n- %s", r.words())
	}
	if len(s.rules) > 0 {
		b.WriteByte('\n')
	}
	for _, k := range below {
		k.section().reference(b, "`"+k.example+"`")
	}
}

// row of a key.
func (k *key) row(prefix string) string {
	return fmt.Sprintf("| `%s%s` | %s | `%s` | %s | %s |\n", prefix, k.name, k.words(), k.example, k.byDefault(), k.doc)
}

// byDefault says what holds when the key is not given.
func (k *key) byDefault() string {
	switch {
	case k.need:
		return "must be given"
	case k.preset != "":
		return "`" + k.preset + "`"
	}
	return ""
}

// words say what a key holds.
func (k *key) words() string {
	one := strings.TrimPrefix(strings.TrimPrefix(k.kind.String(), "an "), "a ")
	span := k.limits.words(k.kind)
	if span != "" {
		span = ", " + span
	}
	switch to := k.into.(type) {
	case choice:
		return "`" + strings.Join(to.words, "`, `") + "`"
	case *bool:
		return "`true`, `false`"
	case *float64, *Opt[float64]:
		return one + span
	case *Angles, *Opt[Angles]:
		return one + ", or [across, up-down]" + span
	case *Interval, *Opt[Interval]:
		return "[" + one + ", " + one + "]" + span
	case *geometry.Track:
		return "radius and side, or `straight`"
	case *[]string:
		return fmt.Sprintf("list of texts, at most %d", k.most)
	case *[]GroundPoint:
		return fmt.Sprintf("list of [distance, height], at most %d%s, %s", k.most, span, k.heights.words(k.kind))
	}
	return "text"
}

// words put a rule into words.
func (r rule) words() string {
	quoted := func(names []string) string { return "`" + strings.Join(names, "`, `") + "`" }
	switch {
	case len(r.one) == 1:
		return fmt.Sprintf("One of %s and `%s` at least.", quoted(r.one), r.unless)
	case r.one != nil && r.unless != "":
		return fmt.Sprintf("One of %s, or none with `%s`.", quoted(r.one), r.unless)
	case r.one != nil:
		return fmt.Sprintf("One of %s.", quoted(r.one))
	case r.apart != nil:
		return fmt.Sprintf("Not together: %s.", quoted(r.apart))
	}
	return fmt.Sprintf("`%s` only with `%s`.", r.key, r.needs)
}
