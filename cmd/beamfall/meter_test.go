package main

import (
	"strings"
	"testing"
)

// The meter writes over itself, never backwards, and leaves an empty line. It is plain text: no
// colour, no escapes.
func TestMeter(t *testing.T) {
	var b strings.Builder
	m := &meter{what: "aiming", to: &b, most: -1}
	for _, share := range []float64{0, 0.004, 0.25, 0.1, 1} {
		m.at(share)
	}
	m.end()
	if want := "\raiming: 0 %\raiming: 25 %\raiming: 100 %\r             \r"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}

	b.Reset()
	m = &meter{what: "aiming", to: &b, most: -1}
	m.end()
	if b.String() != "" {
		t.Errorf("a meter that showed nothing took off %q", b.String())
	}

	nobody := &meter{what: "aiming", most: -1}
	nobody.at(0.5)
	nobody.end()
}

// A dumb terminal cannot go back on a line (terminfo, dumb), nor can a file or a pipe.
func TestGoesBack(t *testing.T) {
	for _, tt := range []struct {
		terminal bool
		kind     string
		want     bool
	}{{true, "xterm-256color", true}, {true, "", true}, {true, "dumb", false}, {false, "xterm", false}} {
		if got := goesBack(tt.terminal, tt.kind); got != tt.want {
			t.Errorf("terminal %v, TERM=%q: %v", tt.terminal, tt.kind, got)
		}
	}
}
