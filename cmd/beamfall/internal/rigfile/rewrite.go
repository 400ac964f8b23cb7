package rigfile

// Setting what lamps have in the text of a rig file, and leaving every other byte of it as it is:
// comments, order, blanks and line ends belong to whoever wrote it.

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/render/units"
)

// Change sets values of a lamp; what is nil stays as it is. The lamp is called as in Rig.Lamps;
// angles of a pair are those of the lamp on the side of its place.
type Change struct {
	Lamp       string
	Tilt, Turn *float64 // rad
	Output     *float64 // part of the rated flux that leaves the lens
}

// Precision in which values are written.
const (
	sameAngle  = 1e-6 * math.Pi / 180 // rad
	sameOutput = 1e-4
)

// Rewrite returns the text of the rig's file with values of lamps changed, and every other byte as
// it is. A value that stands in the file is replaced in its place and in its way, as a number or a
// text with a unit; one that does not is put on a line of its own below the lamp's place or name. A
// lamp that only the base has is added at the end of the file, with what differs. Angles are
// written to 1e-6°, outputs to 1e-4. The error says which change is not possible.
func (rig *Rig) Rewrite(changes []Change) ([]byte, error) {
	if rig.text == nil {
		return nil, errors.New("these lamps are in no file")
	}
	e := editor{source: rig.text}
	changed := make(map[string]bool)
	for _, c := range changes {
		i := slices.IndexFunc(rig.Lamps, func(l Lamp) bool { return l.Name == c.Lamp && !l.EveryScene })
		switch {
		case i < 0:
			return nil, fmt.Errorf("lamp %s: is not in the file", quantity.Quote(c.Lamp))
		case changed[c.Lamp]:
			return nil, fmt.Errorf("lamp %s: is to be changed twice", quantity.Quote(c.Lamp))
		}
		changed[c.Lamp] = true
		if err := e.change(&rig.Lamps[i], c); err != nil {
			return nil, fmt.Errorf("lamp %s: %w", quantity.Quote(c.Lamp), err)
		}
	}
	out, err := e.withAdded(rig.root)
	if err != nil {
		return nil, err
	}
	out = slices.Concat(rig.text.mark, out)
	if len(out) > mostBytes {
		return nil, errors.New("the file with its changes is larger than 1 MiB, too large for a rig")
	}
	return out, nil
}

// change sets what differs of one lamp.
func (e *editor) change(l *Lamp, c Change) error {
	section := lampSection(new(Lamp))
	table := l.node
	if table.own != nil {
		table = table.own
	}
	var added []string // settings of a lamp of the base
	for _, v := range []struct {
		key       string
		from      float64
		to        *float64
		precision float64
	}{
		{"tilt", l.Tilt.Value, c.Tilt, sameAngle},
		{"turn", l.Turn.Value, c.Turn, sameAngle},
		{"output", l.Output.Value, c.Output, sameOutput},
	} {
		if v.to == nil || math.Abs(*v.to-v.from) < v.precision/2 {
			continue
		}
		number := strconv.FormatFloat(math.Round(*v.to/sameOutput)*sameOutput, 'f', 4, 64)
		literal := strings.TrimRight(strings.TrimRight(number, "0"), ".")
		k := section.key(v.key)
		if k.kind == quantity.Angle {
			number = units.DegreesNumber(*v.to)
			literal = fmt.Sprintf(`"%s deg"`, number)
		}
		if breach := k.limits.breach(*v.to, k.kind); breach != "" || math.IsNaN(*v.to) {
			return fmt.Errorf("%s: %s %s", v.key, literal, cmp.Or(breach, "is not a number"))
		}
		if table.src == e.source {
			e.set(table, v.key, number, literal)
		} else {
			added = append(added, v.key+" = "+literal)
		}
	}
	switch name := table.name(); {
	case added != nil && name == "":
		return fmt.Errorf("has no name in %s, by which this file could say what differs; give it one there",
			table.src.name)
	case added != nil:
		quoted := `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(name) + `"`
		e.added = append(e.added, append([]string{"name = " + quoted}, added...))
	}
	return nil
}

// withAdded is the text with all edits and the added lamps: each in a table of its own at the end,
// or in the list where the file has its lamps in one.
func (e *editor) withAdded(root *node) ([]byte, error) {
	list := root.find("lamp")
	if len(e.added) == 0 || list == nil || list.header {
		out := e.apply()
		for _, settings := range e.added {
			if !bytes.HasSuffix(out, []byte("\n")) {
				out = append(out, e.newline()...)
			}
			lines := append([]string{"", "[[lamp]]"}, settings...)
			out = append(out, strings.Join(lines, e.newline())+e.newline()...)
		}
		return out, nil
	}
	var tables []string
	for _, settings := range e.added {
		tables = append(tables, "{ "+strings.Join(settings, ", ")+" }")
	}
	edits := e.edits
	for _, before := range []string{", ", ""} { // the list may end in a comma
		text := before + strings.Join(tables, ", ")
		e.edits = append(slices.Clone(edits), edit{list.end - 1, list.end - 1, text})
		if out := e.apply(); isTOML(string(out)) {
			return out, nil
		}
	}
	return nil, errors.New("lamp: the list has no place for another")
}

// editor gathers changes of a text.
type editor struct {
	*source
	edits []edit
	added [][]string // settings of lamps that only the base has
}

// edit replaces the bytes from start to end.
type edit struct {
	start, end int
	text       string
}

// set gives a key of a lamp a value: the number alone where one stands that has no unit, else the
// literal.
func (e *editor) set(lamp *node, key, number, literal string) {
	if old := lamp.find(key); old != nil {
		e.edits = append(e.edits, edit{old.at, old.end, restyled(string(e.text[old.at:old.end]), old, number, literal)})
		return
	}
	start, end := e.anchor(lamp, key)
	if !lamp.header {
		e.edits = append(e.edits, edit{end, end, ", " + key + " = " + literal})
		return
	}
	lineStart, lineEnd := e.lineStart(start), e.lineEnd(end)
	indent := string(e.text[lineStart:start])
	before, _, found := bytes.Cut(e.text[start:end], []byte("=")) // the new = goes below one that is padded
	pad := 1
	if found {
		pad = max(pad, len(before)-len(key))
	}
	text := indent + key + strings.Repeat(" ", pad) + "= " + literal
	if lineEnd == len(e.text) {
		e.edits = append(e.edits, edit{lineEnd, lineEnd, e.newline() + text})
		return
	}
	e.edits = append(e.edits, edit{lineEnd + 1, lineEnd + 1, text + e.newline()})
}

// anchor is the expression below which a new key of a lamp goes: the tilt for a turn, else the
// place, the name, or the last there is; when the lamp has none above its sub-tables, its header.
func (e *editor) anchor(lamp *node, key string) (start, end int) {
	lines := slices.DeleteFunc(slices.Clone(lamp.entries), func(l entry) bool { return l.node.header })
	keys := []string{"at", "name"}
	if key == "turn" {
		keys = []string{"tilt", "at", "name"}
	}
	for _, key := range keys {
		if i := slices.IndexFunc(lines, func(l entry) bool { return l.key == key }); i >= 0 {
			return e.expression(lines[i])
		}
	}
	if len(lines) > 0 {
		return e.expression(lines[len(lines)-1])
	}
	return e.indented(lamp.at), lamp.end
}

// expression is where a key = value stands; of at.ahead, at.left and at.up, the last of them.
func (e *editor) expression(l entry) (start, end int) {
	if dotted := l.node.form == tableForm && e.text[l.node.at] != '{'; dotted {
		last := l.node.entries[len(l.node.entries)-1]
		return e.indented(last.at), l.node.end
	}
	return l.at, l.node.end
}

// indented is where the line of an offset begins, behind its blanks.
func (e *editor) indented(offset int) int {
	start := e.lineStart(offset)
	return start + len(e.text[start:offset]) - len(bytes.TrimLeft(e.text[start:offset], " \t"))
}

// newline is the line end of the file.
func (e *editor) newline() string {
	if i := bytes.IndexByte(e.text, '\n'); i > 0 && e.text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// apply makes all edits.
func (e *editor) apply() []byte {
	slices.SortStableFunc(e.edits, func(a, b edit) int { return cmp.Compare(a.start, b.start) })
	var out []byte
	done := 0
	for _, edit := range e.edits {
		out = append(out, e.text[done:edit.start]...)
		out = append(out, edit.text...)
		done = edit.end
	}
	return append(out, e.text[done:]...)
}

// inDegreesText is a plain text with a number of degrees, in any quotes of one line.
var inDegreesText = regexp.MustCompile(`^(["']) *[+-]?[0-9.]+( *(?:(?i:deg|degrees?)|°)?) *["']$`)

// restyled is a value written like the one it replaces.
func restyled(written string, old *node, number, literal string) string {
	if old.form == numberForm {
		return number
	}
	if m := inDegreesText.FindStringSubmatch(written); m != nil && number != literal {
		return m[1] + number + m[2] + m[1]
	}
	return literal
}
