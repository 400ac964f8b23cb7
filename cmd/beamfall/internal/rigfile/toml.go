package rigfile

// From TOML to nodes. go-toml decides what is TOML, through its stable API; where the values stand,
// only the parser below it tells, whose API may change. Nothing outside this file knows it.

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"unicode/utf8"

	"beamfall/cmd/beamfall/internal/quantity"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

const (
	deepest   = 16     // levels of tables and lists
	mostKeys  = 1000   // in one table
	mostNodes = 40_000 // in a file; the largest rig has some 25 000
)

const seeNew = "see beamfall new for what a rig file looks like"

// loadFile opens a rig file and reads its text.
func loadFile(name string, open Open) (*source, error) {
	f, err := open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return load(f, name)
}

// load reads the text of a rig file. The error is a Mistakes when it is no text, or that of the
// reader.
func load(from io.Reader, name string) (*source, error) {
	data, err := io.ReadAll(io.LimitReader(from, mostBytes+1))
	if err != nil {
		var path *fs.PathError
		if errors.As(err, &path) {
			err = path.Err // it names the file as well
		}
		return nil, fmt.Errorf("cannot read %s: %w", quantity.Quote(name), err)
	}
	src := &source{name: name, text: data}
	const utf8Text = "save it as plain text in UTF-8"
	switch {
	case len(data) > mostBytes:
		return nil, mistakeAt(place{src, 0}, "the file is larger than 1 MiB, too large for a rig", seeNew)
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		return nil, mistakeAt(place{src, 0}, "the file is in UTF-16", utf8Text)
	case bytes.IndexByte(data, 0) >= 0:
		return nil, mistakeAt(place{src, bytes.IndexByte(data, 0)}, "a NUL byte: this is not a text file", utf8Text)
	case !utf8.Valid(data):
		return nil, mistakeAt(place{src, validUpTo(data)}, "a character that is not UTF-8", utf8Text)
	}
	const mark = "\ufeff" // a byte order mark, as some editors write it
	if bytes.HasPrefix(data, []byte(mark)) {
		src.mark, src.text = data[:len(mark)], data[len(mark):]
	}
	return src, nil
}

// validUpTo is the offset of the first byte that is not UTF-8.
func validUpTo(text []byte) int {
	at := 0
	for {
		r, n := utf8.DecodeRune(text[at:])
		if r == utf8.RuneError && n <= 1 {
			return at
		}
		at += n
	}
}

// parse makes the tree of a TOML text. The error is a Mistakes: the text is too much of something,
// or is not TOML.
func parse(src *source) (*node, error) {
	t := treeMaker{src: src, root: &node{place: place{src, 0}, form: tableForm, header: true}}
	t.table = t.root
	t.parser.Reset(src.text)
	for t.tooMuch == nil && t.parser.NextExpression() {
		t.expression(t.parser.Expression())
	}
	switch {
	case t.tooMuch != nil:
		return nil, t.tooMuch
	case len(t.twice) > 0:
		return nil, t.twice
	}
	var file map[string]any
	if err := toml.Unmarshal(src.text, &file); err != nil {
		at := len(src.text)
		if e := (*toml.DecodeError)(nil); errors.As(err, &e) {
			at = src.offset(e.Position())
		}
		return nil, syntaxMistakes(src, at, err)
	}
	return t.root, nil
}

// offset of a line and a column in bytes, both from 1.
func (s *source) offset(line, column int) int {
	at := 0
	for range line - 1 {
		at = min(s.lineEnd(at)+1, len(s.text))
	}
	return min(at+column-1, len(s.text))
}

// treeMaker builds the tree. Of what is wrong it reports only what is given twice, and leaves the
// rest to go-toml.
type treeMaker struct {
	src     *source
	parser  unstable.Parser
	root    *node
	table   *node // to which key = value lines go
	count   int
	twice   Mistakes
	tooMuch Mistakes
}

func (t *treeMaker) expression(e *unstable.Node) {
	switch e.Kind {
	case unstable.KeyValue:
		t.keyValue(t.table, e, 1)
	case unstable.Table, unstable.ArrayTable:
		t.header(e)
	}
}

// header makes the table of a [header] or [[header]] the current one.
func (t *treeMaker) header(e *unstable.Node) {
	t.table = t.root
	depth := 1
	for parts := e.Key(); parts.Next() && t.tooMuch == nil; depth++ {
		at, end := raw(parts.Node())
		t.notTooDeep(at, depth)
		key, last := string(parts.Node().Data), parts.IsLast()
		several := last && e.Kind == unstable.ArrayTable
		if last {
			t.headerTwice(place{t.src, at}, t.table.find(key), key, several)
		}
		child := t.child(t.table, key, at)
		if several {
			child.form, child.header = listForm, true
			child.items = append(child.items, t.node(at, tableForm))
		}
		if child.form == listForm && len(child.items) > 0 {
			child = child.items[len(child.items)-1]
		}
		if last {
			child.header, child.end = true, t.past(end, " \t]")
		}
		t.table = child
	}
}

// keyValue puts a key = value expression into a table.
func (t *treeMaker) keyValue(table *node, e *unstable.Node, depth int) {
	_, end := raw(e)
	for parts := e.Key(); parts.Next() && t.tooMuch == nil; depth++ {
		key := string(parts.Node().Data)
		at, keyEnd := raw(parts.Node())
		t.notTooDeep(at, depth)
		if parts.IsLast() {
			t.enter(table, key, at, t.value(e.Value(), t.past(keyEnd, " \t="), end, depth))
			return
		}
		table = t.child(table, key, at)
		table.end = end
	}
}

// child is the table of a key within a table.
func (t *treeMaker) child(table *node, key string, at int) *node {
	if child := table.find(key); child != nil {
		return child
	}
	child := t.node(at, tableForm)
	t.enter(table, key, at, child)
	return child
}

func (t *treeMaker) enter(table *node, key string, at int, value *node) {
	if len(table.entries) >= mostKeys {
		t.refuse(at, fmt.Sprintf("more than %d keys in one table", mostKeys))
		return
	}
	if before := table.find(key); before != nil {
		t.again(place{t.src, at}, before, key, "keep one of the two")
		return
	}
	table.add(key, place{t.src, at}, value)
}

// headerTwice reports a header whose table is there, when it is not one more of several.
func (t *treeMaker) headerTwice(at place, before *node, key string, several bool) {
	switch {
	case before == nil || !before.header || several && before.form == listForm:
	case several || before.form == listForm:
		problem := "has single brackets in one place and double ones in another, see line %d"
		t.report(at, key, fmt.Sprintf(problem, before.position().Line), "write [["+key+"]] in both")
	default:
		t.again(at, before, key, "put all its keys in one place")
	}
}

func (t *treeMaker) again(at place, first *node, key, remedy string) {
	t.report(at, key, fmt.Sprintf("is given a second time, first in line %d", first.position().Line), remedy)
}

func (t *treeMaker) report(at place, key, problem, remedy string) {
	if len(t.twice) < mostKept {
		m := mistakeAt(at, problem, remedy)
		m[0].Key = plainName(key)
		t.twice = append(t.twice, m...)
	}
}

// value makes the node of a value. Lists come without their place from the parser; at and end are
// it.
func (t *treeMaker) value(v *unstable.Node, at, end, depth int) *node {
	n := t.node(at, textForm)
	n.end = end
	if t.notTooDeep(at, depth); t.tooMuch != nil {
		return n
	}
	switch v.Kind {
	case unstable.Array:
		n.form = listForm
		for children := v.Children(); children.Next() && t.tooMuch == nil; {
			at := n.at
			if first := firstWithin(children.Node()); first.Kind != unstable.Array {
				at, _ = raw(first)
			}
			n.items = append(n.items, t.value(children.Node(), at, 0, depth+1))
		}
		return n
	case unstable.InlineTable:
		n.form = tableForm
		for children := v.Children(); children.Next() && t.tooMuch == nil; {
			t.keyValue(n, children.Node(), depth+1)
		}
		return n
	case unstable.Integer, unstable.Float:
		n.form = numberForm
	case unstable.Bool:
		n.form = truthForm
	case unstable.LocalDate, unstable.LocalTime, unstable.LocalDateTime, unstable.DateTime:
		n.form = dateForm
	}
	n.at, n.end = raw(v)
	n.text = string(v.Data)
	return n
}

// firstWithin is the first value within a value that knows its place, or an empty list that does
// not.
func firstWithin(v *unstable.Node) *unstable.Node {
	for v.Kind == unstable.Array && v.Child().Valid() {
		v = v.Child()
	}
	return v
}

func (t *treeMaker) node(at int, f form) *node {
	if t.count++; t.count > mostNodes {
		t.refuse(0, fmt.Sprintf("the file holds more than %d values, too many for a rig", mostNodes))
	}
	return &node{place: place{t.src, at}, form: f}
}

// refuse stops the reading: the file is too much of something, and that is all there is to say of
// it.
func (t *treeMaker) refuse(at int, problem string) {
	if t.tooMuch == nil {
		t.tooMuch = mistakeAt(place{t.src, at}, problem, seeNew)
	}
}

func (t *treeMaker) notTooDeep(at, depth int) {
	if depth > deepest {
		t.refuse(at, "tables or lists too deep within each other")
	}
}

// past is the offset behind all of some signs that follow.
func (t *treeMaker) past(offset int, signs string) int {
	for offset < len(t.src.text) && strings.IndexByte(signs, t.src.text[offset]) >= 0 {
		offset++
	}
	return offset
}

func raw(n *unstable.Node) (start, end int) {
	start = int(n.Raw.Offset)
	return start, start + int(n.Raw.Length)
}
