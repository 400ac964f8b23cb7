package main

import (
	"flag"
	"fmt"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/spf13/pflag"
)

// sweep makes tests that look at some cases look at all that there are, which takes minutes.
var sweep = flag.Bool("sweep", false, "look at many more cases, for minutes")

// The command line is tested by scripts, one for each thing that a user does:
// testdata/script/*.txtar. In them beamfall is this program, run as a process of its own.

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"beamfall": main})
}

func TestScript(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script", RequireUniqueNames: true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("ODD", "odd\x1b[31m.ies")
			return nil
		},
		Condition: func(word string) (bool, error) {
			if word == "sweep" {
				return *sweep, nil
			}
			return false, fmt.Errorf("there is no condition %q", word)
		},
	})
}

// small is a rig that little is to be worked out of.
const small = `
name = "small"
[[lamp]]
name = "bar"
at = { ahead = "-1.5 m", up = "2 m" }
width = "0.5 m"
tilt = 4
tilt_range = [0, 8]
tilt_step = 2
lumens = 6000
spread = [40, 20]
[[target]]
ahead = ["5 m", "15 m"]
half_width = "1 m"
lux = 20
`

// requested is what a call of plan with these words asks for.
func requested(t testing.TB, args ...string) *request {
	t.Helper()
	var f flags
	set := pflag.NewFlagSet("plan", pflag.ContinueOnError)
	f.add(set)
	err := set.Parse(args)
	if err != nil {
		t.Fatal(err)
	}
	q, err := f.request(set.Args())
	if err != nil {
		t.Fatal(err)
	}
	return q
}
