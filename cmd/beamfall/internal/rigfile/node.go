package rigfile

// A text as a tree of values that know where they stand. The TOML reader (toml.go) and the --lamp
// reader (lampflag.go) make such trees; bind.go reads them by the description of the format.

import (
	"bytes"
	"slices"
	"sort"
	"unicode/utf8"
)

// source is a text: a rig file, or a --lamp.
type source struct {
	name   string // as it was called
	text   []byte
	mark   []byte // a byte order mark that stood before the text
	isFlag bool   // a --lamp
	starts []int  // of its lines, once asked for
}

// place is where something stands in a text.
type place struct {
	src *source
	at  int // offset
}

func (p place) position() Position {
	s := p.src
	at := min(p.at, len(s.text))
	if s.isFlag {
		return Position{File: s.name, Column: 1 + utf8.RuneCount(s.text[:at])}
	}
	if s.starts == nil {
		s.starts = append(s.starts, 0)
		for i, b := range s.text {
			if b == '\n' {
				s.starts = append(s.starts, i+1)
			}
		}
	}
	i := sort.SearchInts(s.starts, at+1) - 1
	return Position{File: s.name, Line: i + 1, Column: 1 + utf8.RuneCount(s.text[s.starts[i]:at])}
}

// lineStart and lineEnd are the offsets of the first byte of a line, and of its newline or the end
// of the text.
func (s *source) lineStart(offset int) int { return bytes.LastIndexByte(s.text[:offset], '\n') + 1 }

func (s *source) lineEnd(offset int) int {
	if i := bytes.IndexByte(s.text[offset:], '\n'); i >= 0 {
		return offset + i
	}
	return len(s.text)
}

// form is what a node is.
type form int

const (
	textForm   form = iota // a text in quotes, or a value of --lamp
	numberForm             // an integer or a float, as it is written
	truthForm
	dateForm
	listForm
	tableForm
)

// node is a value.
type node struct {
	place
	end     int // offset behind its last byte; 0 where not known
	form    form
	text    string  // a text without its quotes; numbers, truths and dates as written
	items   []*node // of a list
	entries []entry // of a table, in the order of the file
	header  bool    // a table with a [header], or a list of such tables: place and end are those of the header
	own     *node   // of a table laid over that of a base: what it was before
}

// entry is a key of a table and its value.
type entry struct {
	key     string
	place   // of the key
	node    *node
	instead place // of the same key of a base; nowhere when it has none
}

func (n *node) find(key string) *node {
	i := slices.IndexFunc(n.entries, func(e entry) bool { return e.key == key })
	if i < 0 {
		return nil
	}
	return n.entries[i].node
}

// name is what a table is called; empty when it has no name that can be read.
func (n *node) name() string {
	if name := n.find("name"); name != nil && name.form == textForm {
		return name.text
	}
	return ""
}

func (n *node) add(key string, at place, value *node) {
	n.entries = append(n.entries, entry{key: key, place: at, node: value})
}
