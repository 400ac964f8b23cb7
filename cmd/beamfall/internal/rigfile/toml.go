package rigfile

// From TOML to the tree of nodes. The parser is go-toml's; which keys may stand twice and which tables may be extended is
// decided here, so that every such mistake is told with its place, and in a time that grows no faster than the file. A line
// that is no TOML is told and skipped, so that one forgotten quote does not hide what is wrong further down.

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"beamfall/cmd/beamfall/internal/quantity"

	"github.com/pelletier/go-toml/v2/unstable"
)

const (
	deepest   = 16     // levels of tables and lists
	mostKeys  = 1000   // in one table
	mostNodes = 50_000 // in a file; ten times what the largest rig needs
	mostLost  = 50     // lines that are no TOML before the rest is left unread
)

// readAll reads a rig file and refuses what is no text. The mistakes are in src; the error is one of reading.
func readAll(r io.Reader, name string) (src *source, ok bool, err error) {
	src = &source{name: name}
	data, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err != nil {
		var path *fs.PathError
		if errors.As(err, &path) {
			err = path.Err // it names the file as well
		}
		return src, false, fmt.Errorf("cannot read %s: %w", quantity.Quote(name), err)
	}
	src.text = bytes.TrimPrefix(data, []byte("\ufeff")) // a byte order mark, as some editors write it
	return src, src.isText(len(data)), nil
}

func (s *source) isText(size int) bool {
	const utf8Text = "save it as plain text in UTF-8"
	switch {
	case size > mostBytes:
		s.fault(0, "", "the file is larger than 1 MiB, too large for a rig", seeNew)
	case bytes.HasPrefix(s.text, []byte("\xff\xfe")), bytes.HasPrefix(s.text, []byte("\xfe\xff")):
		s.fault(0, "", "the file is in UTF-16", utf8Text)
	case bytes.IndexByte(s.text, 0) >= 0:
		s.fault(bytes.IndexByte(s.text, 0), "", "a NUL byte: this is not a text file", utf8Text)
	case !utf8.Valid(s.text):
		bad := 0
		for {
			r, n := utf8.DecodeRune(s.text[bad:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			bad += n
		}
		s.fault(bad, "", "a character that is not UTF-8", utf8Text)
	default:
		return true
	}
	return false
}

// reader builds the tree.
type reader struct {
	*source
	parser  unstable.Parser
	base    int // offset of what the parser was given
	done    int // offset behind the last expression that was read
	root    *node
	current *node  // the table that key = value lines go to
	path    string // of the current table, for messages
	nodes   int
	stop    bool // too much of something
	torn    bool // part of the file is not in the tree
}

// nowhere is where lines go that are read for their syntax only.
var nowhere = &node{form: tableForm}

// readTOML makes the tree of a rig file. torn tells that part of the file is missing from it, so that nothing can be said
// of what is not there.
func readTOML(src *source) (root *node, torn bool) {
	r := &reader{source: src, root: &node{form: tableForm, origin: fromHeader}}
	r.text = slices.Clip(r.text) // offsets are told from capacities
	r.current = r.root
	for lost := 0; lost <= mostLost && r.base < len(r.text); lost++ {
		r.parser.Reset(r.text[r.base:])
		r.done = r.base
		for !r.stop && r.parser.NextExpression() {
			r.expression(r.parser.Expression())
		}
		err := r.parser.Error()
		if r.stop || err == nil {
			break
		}
		r.torn = r.torn || lost == mostLost
		r.base = r.recover(err)
	}
	return r.root, r.torn
}

// add counts values, and stops when there are too many.
func (r *reader) add(values int) {
	if r.nodes += values; r.nodes > mostNodes && !r.stop {
		r.enough(0, "", fmt.Sprintf("the file holds more than %d values, too many for a rig", mostNodes))
	}
}

// enough stops the reading: the file is too much of something, and that is all there is to say of it.
func (r *reader) enough(at int, path, problem string) {
	r.mistakes = nil
	r.fault(at, path, problem, seeNew)
	r.stop, r.tooMuch = true, true
}

const seeNew = "see beamfall new for what a rig file looks like"

// offset of a piece of what the parser was given.
func (r *reader) offset(piece []byte) int { return r.base + int(r.parser.Range(piece).Offset) }

func (r *reader) raw(n *unstable.Node) (start, end int) {
	start = r.base + int(n.Raw.Offset)
	return start, start + int(n.Raw.Length)
}

// part of a key.
type part struct {
	name       string
	start, end int
}

func (r *reader) parts(keys unstable.Iterator) []part {
	var parts []part
	for keys.Next() {
		if len(parts) > deepest {
			break
		}
		start, end := r.raw(keys.Node())
		parts = append(parts, part{string(keys.Node().Data), start, end})
	}
	return parts
}

func dotted(parts []part) string {
	var b bytes.Buffer
	for i, p := range parts {
		if i > 0 {
			b.WriteByte('.')
		}
		b.WriteString(plainName(p.name))
	}
	return b.String()
}

func (r *reader) expression(e *unstable.Node) {
	switch e.Kind {
	case unstable.KeyValue:
		_, r.done = r.raw(e)
		if r.current != nowhere {
			r.keyValue(r.current, r.path, e, 0)
		}
	case unstable.Table, unstable.ArrayTable:
		parts := r.parts(e.Key())
		r.done = r.headerEnd(parts[len(parts)-1].end)
		r.header(parts, e.Kind == unstable.ArrayTable)
	}
}

// header makes the table of a [header] or [[header]] the current one.
func (r *reader) header(parts []part, isList bool) {
	r.path = dotted(parts)
	r.current = nowhere // unless all is well
	if len(parts) > deepest {
		r.enough(parts[0].start, "", tooDeep)
		return
	}
	t := r.root
	last := len(parts) - 1
	for i, p := range parts {
		child := t.find(p.name)
		switch {
		case child == nil && len(t.entries) >= mostKeys:
			r.tooMany(p.start, r.path)
			return
		case child == nil && i == last && isList:
			child = &node{form: listForm, origin: fromHeader, at: p.start}
			t.add(p.name, p.start, child)
		case child == nil:
			child = &node{form: tableForm, origin: fromPath, at: p.start}
			t.add(p.name, p.start, child)
		}
		switch {
		case i == last && isList && child.form == listForm && child.origin == fromHeader:
			r.current = &node{form: tableForm, origin: fromHeader, at: p.start, end: r.headerEnd(p.end)}
			if child.push(r.current); child.count > keptItems {
				r.current = nowhere
				return
			}
			r.add(len(parts))
			return
		case i == last && !isList && child.form == tableForm && child.origin == fromPath:
			child.origin, child.at, child.end = fromHeader, p.start, r.headerEnd(p.end)
			r.current = child
			r.add(len(parts))
			return
		case i == last:
			r.again(p.start, child, r.path, isList)
			// Its keys are read all the same.
			if child.form == tableForm && child.origin != fromValue {
				r.current = child
			}
			return
		case child.form == tableForm && child.origin != fromValue:
			t = child
		case child.form == listForm && child.origin == fromHeader && child.count > keptItems:
			return
		case child.form == listForm && child.origin == fromHeader:
			t = child.items[len(child.items)-1]
		default:
			r.again(p.start, child, dotted(parts[:i+1]), false)
			return
		}
	}
}

// again tells that a header's table exists already.
func (r *reader) again(at int, before *node, path string, isList bool) {
	first := r.position(before.at).Line
	switch {
	case before.form == brokenForm:
		// already told
	case before.form == tableForm && isList:
		r.fault(at, path, fmt.Sprintf("is a single table in line %d and one of several here", first),
			fmt.Sprintf("write [[%s]] in both places", path))
	case before.form == listForm && before.origin == fromHeader:
		r.fault(at, path, fmt.Sprintf("is one of several tables in line %d and a single one here", first),
			fmt.Sprintf("write [[%s]] in both places", path))
	default:
		r.fault(at, path, fmt.Sprintf("is given a second time, first in line %d", first), "put all its keys in one place")
	}
}

func (r *reader) tooMany(at int, path string) {
	r.enough(at, path, fmt.Sprintf("more than %d keys in one table", mostKeys))
}

// headerEnd is the offset behind the closing brackets of a header whose last key ends at offset.
func (r *reader) headerEnd(offset int) int {
	for offset < len(r.text) && bytes.IndexByte([]byte(" \t]"), r.text[offset]) >= 0 {
		offset++
	}
	return offset
}

// keyValue puts a key = value expression into a table.
func (r *reader) keyValue(t *node, path string, e *unstable.Node, depth int) {
	parts := r.parts(e.Key())
	start, end := r.raw(e)
	first, last := parts[0], parts[len(parts)-1]
	r.add(len(parts))
	if len(parts)+depth > deepest {
		r.enough(first.start, "", tooDeep)
		return
	}
	if path != "" {
		path += "."
	}
	path += dotted(parts)
	t.lines = append(t.lines, line{first.name, start, end})
	for _, p := range parts[:len(parts)-1] {
		child := t.find(p.name)
		switch {
		case child == nil && len(t.entries) >= mostKeys:
			r.tooMany(p.start, path)
			return
		case child == nil:
			child = &node{form: tableForm, origin: fromDots, at: p.start}
			t.add(p.name, p.start, child)
		case child.form != tableForm || child.origin != fromDots:
			r.twice(p.start, path, child)
			return
		}
		t = child
	}
	before := t.find(last.name)
	switch {
	case before != nil && before.form == brokenForm:
		*before = *r.value(e.Value(), r.valueStart(last.end), end, path, depth+len(parts))
		return
	case before != nil:
		r.twice(last.start, path, before)
		return
	case len(t.entries) >= mostKeys:
		r.tooMany(last.start, path)
		return
	}
	t.add(last.name, last.start, r.value(e.Value(), r.valueStart(last.end), end, path, depth+len(parts)))
}

func (r *reader) twice(at int, path string, before *node) {
	if before.form != brokenForm {
		first := r.position(before.at).Line
		r.fault(at, path, fmt.Sprintf("is given a second time, first in line %d", first), "keep one of the two")
	}
}

// valueStart is the offset of the value of a key that ends at offset.
func (r *reader) valueStart(offset int) int {
	for offset < len(r.text) && bytes.IndexByte([]byte(" \t="), r.text[offset]) >= 0 {
		offset++
	}
	return offset
}

// value makes the node of a value. Lists and tables come without their place from the parser; at and end are it.
func (r *reader) value(v *unstable.Node, at, end int, path string, depth int) *node {
	r.add(1)
	n := &node{at: at, end: end}
	if depth > deepest {
		r.enough(at, "", tooDeep)
		return n
	}
	if v.Kind != unstable.Array && v.Kind != unstable.InlineTable {
		n.at, n.end = r.raw(v)
		n.text = string(v.Data)
	}
	switch v.Kind {
	case unstable.String:
		n.form = textForm
	case unstable.Integer, unstable.Float:
		n.form = numberForm
	case unstable.Bool:
		n.form = truthForm
	case unstable.LocalDate, unstable.LocalTime, unstable.LocalDateTime, unstable.DateTime:
		n.form = dateForm
	case unstable.Array:
		n.form = listForm
		r.items(n, v, path, depth)
	case unstable.InlineTable:
		n.form = tableForm
		for children := v.Children(); children.Next() && !r.stop; {
			r.keyValue(n, path, children.Node(), depth)
		}
	}
	return n
}

func (r *reader) items(n *node, v *unstable.Node, path string, depth int) {
	for children := v.Children(); children.Next() && !r.stop; {
		if len(n.items) == keptItems {
			n.count++
			continue
		}
		child := children.Node()
		at := n.at
		switch inner := leftmost(child); inner.Kind {
		case unstable.Array:
		default:
			at, _ = r.raw(inner)
		}
		n.push(r.value(child, at, 0, path, depth+1))
	}
}

// leftmost is the first value within a value that knows its place, or an empty list that does not.
func leftmost(v *unstable.Node) *unstable.Node {
	for v.Kind == unstable.Array && v.Child().Valid() {
		v = v.Child()
	}
	return v
}

const tooDeep = "tables or lists too deep within each other"

var (
	startsHeader = regexp.MustCompile(`^[ \t]*\[\[?[ \t]*[A-Za-z_][A-Za-z0-9_.-]*[ \t]*\]\]?[ \t\r]*(?:#.*)?$`)
	startsKey    = regexp.MustCompile(`^[ \t]*([A-Za-z0-9_-]+(?:[ \t]*\.[ \t]*[A-Za-z0-9_-]+)*)[ \t]*=`)
)

// recover tells a syntax error and finds where to go on: the next line that looks like the beginning of something.
func (r *reader) recover(err error) (next int) {
	at, message := len(r.text), ""
	var syntax *unstable.ParserError
	if errors.As(err, &syntax) {
		at, message = r.offset(syntax.Highlight), syntax.Message
	}
	start := r.nextExpression()
	if at < start { // in a comment
		start = r.lineStart(at)
	}
	here := max(start, r.lineStart(min(at, len(r.text)))) // the line where the parser gave up

	if strings.Contains(message, "nested more than") {
		r.enough(start, "", tooDeep)
		return len(r.text)
	}
	told := at
	var problem, remedy string
	switch {
	case at >= len(r.text)-1 && (strings.Contains(message, "incomplete") || strings.Contains(message, "not terminated")):
		next, told = r.lineEnd(start)+1, start // not closed until the end of the file
		problem, remedy = say(message)
	case here > start && r.looksLikeStart(here):
		next, told = here, start // something above is not closed
		problem, remedy = unclosed(r.text[start:at])
	default:
		next = r.lineEnd(here) + 1
		problem, remedy = r.explain(message, start, at)
	}
	r.fault(told, "", problem, remedy)

	first := r.text[start:r.lineEnd(start)]
	if key := startsKey.FindSubmatch(first); key != nil {
		// The key is given, though its value is lost.
		name, _, _ := strings.Cut(string(key[1]), ".")
		if name = strings.TrimSpace(name); r.current != nowhere && r.current.find(name) == nil {
			r.current.add(name, start, &node{form: brokenForm, at: start})
		}
	} else {
		r.torn = true
		if bytes.HasPrefix(bytes.TrimSpace(first), []byte("[")) {
			r.current = nowhere
		}
	}
	for next < len(r.text) && !r.looksLikeStart(next) {
		next = r.lineEnd(next) + 1
	}
	return min(next, len(r.text))
}

// nextExpression is the offset of the line that begins behind what has been read, past blanks and comments.
func (r *reader) nextExpression() int {
	at := r.done
	if at > r.base {
		at = min(r.lineEnd(at)+1, len(r.text))
	}
	for at < len(r.text) {
		this := bytes.TrimSpace(r.text[at:r.lineEnd(at)])
		if len(this) > 0 && this[0] != '#' {
			break
		}
		at = min(r.lineEnd(at)+1, len(r.text))
	}
	return r.lineStart(at)
}

// looksLikeStart reports whether the line that starts at an offset can be the beginning of an expression.
func (r *reader) looksLikeStart(offset int) bool {
	this := r.text[offset:r.lineEnd(offset)]
	return startsHeader.Match(this) || startsKey.Match(this)
}
