package rigfile

// The file as a tree of values that know where they stand. Both the TOML reader (toml.go) and the --lamp reader
// (lampflag.go) make such trees; the binder (bind.go) reads them against the description of the format.

import (
	"bytes"
	"sort"
	"unicode/utf8"
)

// sort of value a node is.
type form int

const (
	textForm   form = iota // a text in quotes, or a value of --lamp
	numberForm             // an integer or a float, as it is written
	truthForm
	dateForm
	listForm
	tableForm
	brokenForm // could not be read; the mistake has been told
)

// origin is how a table came to be, which decides whether it may be extended.
type origin int

const (
	fromValue  origin = iota // a value, or a table in braces: closed
	fromDots                 // by a dotted key
	fromPath                 // on the way to a [table.below.it]
	fromHeader               // by its own [header] or [[header]]
)

// node is a value.
type node struct {
	form   form
	origin origin
	at     int    // offset of its first byte; of a header's key for tables
	end    int    // offset behind its last byte; 0 when not known
	text   string // a text without its quotes; numbers, truths and dates as written

	entries []entry        // of a table, in the order of the file
	index   map[string]int // into entries, once there are many
	lines   []line         // the key = value expressions directly below the header or between the braces

	items []*node // of a list, at most keptItems
	count int     // of a list: how many there are
}

// entry is a key of a table and its value.
type entry struct {
	name string
	at   int // offset of the key
	node *node
}

// line is a key = value expression.
type line struct {
	key        string // its first part
	start, end int
}

// keptItems is how many entries of a list are kept: one more than any list of the format may have.
const keptItems = mostPoints + 1

func (n *node) find(name string) *node {
	if i := n.position(name); i >= 0 {
		return n.entries[i].node
	}
	return nil
}

func (n *node) position(name string) int {
	if n.index != nil {
		if i, ok := n.index[name]; ok {
			return i
		}
		return -1
	}
	for i := range n.entries {
		if n.entries[i].name == name {
			return i
		}
	}
	return -1
}

func (n *node) add(name string, at int, child *node) {
	n.entries = append(n.entries, entry{name, at, child})
	if n.index == nil && len(n.entries) > 16 {
		n.index = make(map[string]int, 64)
		for i, e := range n.entries {
			n.index[e.name] = i
		}
	} else if n.index != nil {
		n.index[name] = len(n.entries) - 1
	}
}

func (n *node) push(item *node) {
	n.count++
	if len(n.items) < keptItems {
		n.items = append(n.items, item)
	}
}

// source is a text with what is needed to say where in it something stands, and the mistakes found in it.
type source struct {
	name     string // for messages
	text     []byte
	oneLine  bool // a --lamp: places are not told
	tooMuch  bool // the reading was stopped, and the one mistake is why
	starts   []int
	mistakes Mistakes
}

// position of an offset, columns in characters.
func (s *source) position(offset int) Position {
	if s.oneLine {
		return Position{Column: 1 + utf8.RuneCount(s.text[:offset])}
	}
	if s.starts == nil {
		s.starts = append(s.starts, 0)
		for i, b := range s.text {
			if b == '\n' {
				s.starts = append(s.starts, i+1)
			}
		}
	}
	i := sort.SearchInts(s.starts, offset+1) - 1
	return Position{Line: i + 1, Column: 1 + utf8.RuneCount(s.text[s.starts[i]:offset])}
}

// fault notes a mistake; beyond mostKept they are let go.
func (s *source) fault(offset int, key, problem, remedy string) {
	if len(s.mistakes) >= mostKept || s.tooMuch {
		return
	}
	pos := s.position(min(offset, len(s.text)))
	s.mistakes = append(s.mistakes, Mistake{
		File: s.name, Line: pos.Line, Column: pos.Column, Key: key, Problem: problem, Remedy: remedy,
	})
}

// lineStart and lineEnd are the offsets of the first byte of a line, and of its newline or the end of the text.
func (s *source) lineStart(offset int) int { return bytes.LastIndexByte(s.text[:offset], '\n') + 1 }

func (s *source) lineEnd(offset int) int {
	if i := bytes.IndexByte(s.text[offset:], '\n'); i >= 0 {
		return offset + i
	}
	return len(s.text)
}
