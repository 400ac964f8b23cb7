package main

import (
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// The command line is tested by scripts, one for each thing that a user does: testdata/script/*.txtar. In them beamfall
// is this program, run as a process of its own.

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"beamfall": main})
}

func TestScript(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata/script", RequireUniqueNames: true})
}
