package rigfile

// Setting tilts and turns in the text of a rig file, and leaving every other byte of it as it is: comments, order, blanks
// and line ends belong to whoever wrote it.

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/render/units"
)

// AngleChange sets angles of a lamp, rad. A nil angle stays as it is. The lamp is called as in Rig.Lamps; of a pair, the
// angles of the lamp on the side of its place.
type AngleChange struct {
	Lamp       string
	Tilt, Turn *float64
}

// sameAngle is how near two angles are the same, rad: the precision in which they are written.
const sameAngle = 1e-6 * math.Pi / 180

// Rewrite returns the text of a rig file with angles of lamps changed. An angle that stands in the file is replaced in its
// place and in its way, as a number or a text with a unit; one that does not is put on a line of its own below the lamp's
// place or name. Angles are written to 1e-6°. The error is a Mistakes when the file has any, or tells which change is not
// possible.
func Rewrite(src []byte, changes []AngleChange) ([]byte, error) {
	s, ok, err := readAll(bytes.NewReader(src), "")
	if err != nil || !ok {
		return nil, cmp.Or[error](err, s.mistakes)
	}
	root, torn := readTOML(s)
	rig := bindRig(s, root, torn, "")
	if len(s.mistakes) > 0 {
		return nil, s.mistakes.sorted()
	}
	e := editor{source: s}
	changed := make(map[string]bool)
	for _, change := range changes {
		i := slices.IndexFunc(rig.Lamps, func(l Lamp) bool { return l.Name == change.Lamp })
		if i < 0 {
			return nil, fmt.Errorf("lamp %s: is not in the file", quantity.Quote(change.Lamp))
		}
		if changed[change.Lamp] {
			return nil, fmt.Errorf("lamp %s: is to be changed twice", quantity.Quote(change.Lamp))
		}
		changed[change.Lamp] = true
		table := root.find("lamp").items[i]
		for _, angle := range []struct {
			key  string
			from float64
			to   *float64
		}{{"tilt", rig.Lamps[i].Tilt.Value, change.Tilt}, {"turn", rig.Lamps[i].Turn.Value, change.Turn}} {
			if angle.to == nil || math.Abs(*angle.to-angle.from) < sameAngle/2 {
				continue
			}
			k := lampSheet.find(angle.key)
			if breach := k.limits.breach(*angle.to, k.kind); breach != "" || math.IsNaN(*angle.to) {
				return nil, fmt.Errorf("lamp %s: %s: %s %s", quantity.Quote(change.Lamp), angle.key,
					units.DegreesNumber(*angle.to)+"°", cmp.Or(breach, "is not a number"))
			}
			e.set(table, angle.key, *angle.to)
		}
	}
	out := e.apply()
	if mark := len(src) - len(s.text); mark > 0 {
		out = slices.Concat(src[:mark], out) // the byte order mark
	}
	if len(out) > mostBytes {
		return nil, fmt.Errorf("the file with its changes is larger than 1 MiB, too large for a rig")
	}
	return out, nil
}

// editor gathers changes of a text.
type editor struct {
	*source
	edits []edit
}

// edit replaces the bytes from start to end.
type edit struct {
	start, end int
	text       string
}

// set gives an angle of a lamp.
func (e *editor) set(lamp *node, key string, rad float64) {
	if old := lamp.find(key); old != nil {
		e.edits = append(e.edits, edit{old.at, old.end, restyled(string(e.text[old.at:old.end]), old, rad)})
		return
	}
	setting := fmt.Sprintf(`"%s deg"`, units.DegreesNumber(rad))
	anchor := e.anchor(lamp, key)
	if lamp.origin == fromValue {
		e.edits = append(e.edits, edit{anchor.end, anchor.end, ", " + key + " = " + setting})
		return
	}
	newline := e.newline()
	end := e.lineEnd(anchor.end)
	indent := string(e.text[e.lineStart(anchor.start):anchor.start])
	text := indent + key + e.padding(anchor, key) + "= " + setting
	if end == len(e.text) {
		e.edits = append(e.edits, edit{end, end, newline + text})
		return
	}
	e.edits = append(e.edits, edit{end + 1, end + 1, text + newline})
}

// anchor is the expression below which a new key of a lamp goes: the tilt for a turn, else the place, the name, or the last
// there is; when the lamp has none above its sub-tables, its header.
func (e *editor) anchor(lamp *node, key string) line {
	keys := []string{"at", "name"}
	if key == "turn" {
		keys = []string{"tilt", "at", "name"}
	}
	for _, key := range keys {
		for _, l := range slices.Backward(lamp.lines) { // the last of at.ahead, at.left, at.up
			if l.key == key {
				return l
			}
		}
	}
	if n := len(lamp.lines); n > 0 {
		return lamp.lines[n-1]
	}
	header := e.lineStart(lamp.at)
	header += len(e.text[header:lamp.at]) - len(bytes.TrimLeft(e.text[header:lamp.at], " \t"))
	return line{start: header, end: lamp.end}
}

// padding are the blanks between a new key and its =, so that it stands below the = of the anchor where that is padded.
func (e *editor) padding(anchor line, key string) string {
	before, _, found := bytes.Cut(e.text[anchor.start:anchor.end], []byte("="))
	if width := len(before) - len(key); found && width > 0 {
		return strings.Repeat(" ", width)
	}
	return " "
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

// restyled is an angle written like the value it replaces.
func restyled(literal string, old *node, rad float64) string {
	number := units.DegreesNumber(rad)
	if old.form == numberForm {
		return number
	}
	if m := inDegreesText.FindStringSubmatch(literal); m != nil {
		return m[1] + number + m[2] + m[1]
	}
	return fmt.Sprintf(`"%s deg"`, number)
}
