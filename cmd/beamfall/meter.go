package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"

	"golang.org/x/term"
)

// meter shows on a terminal how far long work is.
type meter struct {
	what string
	to   io.Writer // nil: to nobody
	mu   sync.Mutex
	most int
	line string // that is shown
}

func progress(what string) *meter {
	m := &meter{what: what, most: -1}
	if goesBack(term.IsTerminal(int(os.Stderr.Fd())), os.Getenv("TERM")) {
		m.to = os.Stderr
	}
	return m
}

// goesBack reports whether what messages go to can write over a line: a terminal, unless it calls
// itself dumb.
func goesBack(terminal bool, kind string) bool { return terminal && kind != "dumb" }

func (m *meter) at(share float64) {
	if m.to == nil {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if p := int(share * 100); p > m.most {
		m.most, m.line = p, fmt.Sprintf("%s: %d %%", m.what, p)
		fmt.Fprint(m.to, "\r"+m.line)
	}
}

// end takes the meter off the line again, with blanks, which every terminal knows.
func (m *meter) end() {
	if m.line != "" {
		fmt.Fprint(m.to, "\r"+strings.Repeat(" ", len(m.line))+"\r")
	}
}
