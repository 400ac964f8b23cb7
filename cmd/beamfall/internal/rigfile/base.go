package rigfile

// A rig on a base: a file that only says what differs from another. The two are merged as nodes,
// before their values are read, so that every value keeps its place in the file that has it.

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
)

// Origin says where a value of a rig on a base comes from.
type Origin struct {
	Table   string   // `lamp "roof bar"`; empty at the top of the file
	Key     string   // "tilt", "at.up"
	At      Position // in the file that has it
	Instead Position // of the value of the base that it stands for; the zero Position when there is none
}

// Differs says in words what the file of a rig on a base gives itself, and what comes from the
// base: a line for each table, in the order of the description. It is empty for a rig without a
// base.
func (rig *Rig) Differs() (lines []string) {
	if rig.Base == "" {
		return nil
	}
	var tables []string
	keys := make(map[string][]string)
	rest := 0
	for _, o := range rig.Origins {
		if o.At.File != rig.Source {
			rest++
			continue
		}
		byName := o.Table != "" && o.Key == "name" && o.Instead.Line > 0
		if byName || o.Table == "" && (o.Key == "base" || o.Key == "remove") {
			continue
		}
		where := fmt.Sprintf("%s (line %d)", o.Key, o.At.Line)
		if o.Instead.Line > 0 {
			where = fmt.Sprintf("%s (line %d, instead of line %d of the base)", o.Key, o.At.Line, o.Instead.Line)
		}
		if keys[o.Table] == nil {
			tables = append(tables, o.Table)
		}
		keys[o.Table] = append(keys[o.Table], where)
	}
	for _, table := range tables {
		lines = append(lines, cmp.Or(table, "top of the file")+": "+strings.Join(keys[table], ", "))
	}
	return append(lines, fmt.Sprintf("all else, %d values: %s", rest, rig.Base))
}

// onBase reads the base that a rig names, and merges the two. The rig may as well have none.
func (r *reader) onBase(rig *Rig, own *node, open Open) (*node, error) {
	named := own.find("base")
	if named == nil || named.form != textForm {
		return own, nil
	}
	if problem, _ := refuseBase(named.text); problem != "" {
		return own, nil // reported when its key is read
	}
	path, err := Resolve(rig.Source, named.text)
	var src *source
	if err == nil {
		src, err = loadFile(path, open)
	}
	switch {
	case errors.As(err, new(Mistakes)):
		return nil, err
	case err != nil:
		r.fault(named.place, "base", err.Error(), "name a file as seen from this one")
		return nil, r.mistakes
	}
	rig.Base = path
	base, err := parse(src)
	if err != nil {
		return nil, err
	}
	for _, key := range []string{"base", "remove"} {
		if n := base.find(key); n != nil {
			r.fault(n.place, key, "is given in a file that is a base itself",
				"only the file that names the base has it")
		}
	}
	r.remove(rig, own, base)
	r.merged = true
	return merge(own, base, rigSection(new(Rig))), nil
}

// named are the lists of tables that have names. The boxes are in [vehicle], the rest at the top.
var named = []string{"lamp", "scene", "thing", "target", "limit", "body"}

// remove takes from the base what a rig says it has not got.
func (r *reader) remove(rig *Rig, own, base *node) {
	list := own.find("remove")
	if list == nil || list.form != listForm {
		return // not given, or reported when it is read
	}
	for _, item := range list.items {
		if item.form != textForm {
			continue
		}
		found := false
		var names []string
		for _, key := range named {
			parent := base
			if key == "body" {
				parent = base.find("vehicle")
			}
			gone, left := drop(parent, key, item.text)
			if key == "lamp" {
				for _, lamp := range gone {
					r.removed = append(r.removed, lamp.circuit())
				}
			}
			found, names = found || len(gone) > 0, append(names, left...)
		}
		if !found {
			problem := "nothing in " + rig.Base + " is named " + quantity.Quote(item.text)
			r.fault(item.place, "remove", problem, oneOf(item.text, names))
		}
	}
}

// drop takes those tables out of a list that have a name, and the list with its last one. It
// returns them, and the names of the others.
func drop(parent *node, key, name string) (gone []*node, others []string) {
	if parent == nil {
		return nil, nil
	}
	tables := parent.find(key)
	if tables == nil || tables.form != listForm {
		return nil, nil
	}
	tables.items = slices.DeleteFunc(tables.items, func(t *node) bool {
		switch {
		case t.name() == "":
			return false
		case t.name() == name:
			gone = append(gone, t)
			return true
		}
		others = append(others, t.name())
		return false
	})
	if len(tables.items) == 0 {
		parent.entries = slices.DeleteFunc(parent.entries, func(e entry) bool { return e.key == key })
	}
	return gone, others
}

// circuit of a lamp.
func (n *node) circuit() string {
	if circuit := n.find("circuit"); circuit != nil {
		return circuit.text
	}
	return n.name()
}

// merge lays a table over that of a base: its keys stand instead of the same keys there and of
// those that they exclude.
func merge(own, base *node, s *section) *node {
	out := &node{place: own.place, form: tableForm, header: own.header, own: own}
	for _, e := range base.entries {
		i := slices.IndexFunc(own.entries, func(o entry) bool { return o.key == e.key })
		if i >= 0 {
			o := own.entries[i]
			out.entries = append(out.entries, entry{o.key, o.place, mergeValue(o.node, e, s.key(e.key)), e.place})
		} else if e.key != "base" && e.key != "remove" && !s.displaced(e.key, own) {
			out.entries = append(out.entries, e)
		}
	}
	for _, o := range own.entries {
		if base.find(o.key) == nil {
			out.entries = append(out.entries, o)
		}
	}
	return out
}

// mergeValue is what a value makes of that of a base: a table is laid over its table, lists of
// tables are merged by name, all else stands instead.
func mergeValue(own *node, base entry, k *key) *node {
	if k == nil || own.form != base.node.form {
		return own
	}
	switch inner := k.into.(type) {
	case *section:
		if own.form == tableForm {
			return merge(own, base.node, inner)
		}
	case many:
		if own.form == listForm && inner.blank().key("name") != nil {
			return mergeNamed(own, base.node, inner.blank())
		}
	}
	return own
}

// mergeNamed merges lists of tables by their names: those of the base in its order, then new ones.
func mergeNamed(own, base *node, s *section) *node {
	out := &node{place: own.place, form: listForm, header: own.header, own: own}
	rest := slices.Clone(own.items)
	for _, b := range base.items {
		same := func(o *node) bool { return o.form == tableForm && o.name() != "" && o.name() == b.name() }
		if i := slices.IndexFunc(rest, same); i >= 0 {
			b = merge(rest[i], b, s)
			rest = slices.Delete(rest, i, i+1)
		}
		out.items = append(out.items, b)
	}
	out.items = append(out.items, rest...)
	return out
}

// displaced reports whether a key of a base has to go because the table laid over it gives another
// that excludes it, or takes away one that it needs.
func (s *section) displaced(name string, own *node) bool {
	for _, rule := range s.rules {
		if rule.key == name && s.displaced(rule.needs, own) {
			return true
		}
		excluding := append(slices.Clone(rule.one), rule.apart...)
		given := func(other string) bool { return own.find(other) != nil }
		if slices.Contains(excluding, name) && slices.ContainsFunc(excluding, given) {
			return true
		}
	}
	return false
}
