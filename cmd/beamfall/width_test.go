package main

import (
	"bytes"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/lines"

	"github.com/spf13/cobra"
)

// No line of help and no line of an answer is wider than a page, in either system of units.
func TestNothingIsWiderThanAPage(t *testing.T) {
	narrow := func(what, text string) {
		t.Helper()
		for line := range strings.Lines(text) {
			if wide := lines.Width(line); wide > usualWidth {
				t.Errorf("%s: %d columns: %s", what, wide, line)
			}
		}
	}
	var visit func(cmd *cobra.Command)
	visit = func(cmd *cobra.Command) {
		var out bytes.Buffer
		cmd.SetOut(&out)
		printHelp(cmd, nil)
		narrow("help of "+cmd.CommandPath(), out.String())
		for _, c := range cmd.Commands() {
			visit(c)
		}
	}
	visit(newRoot())

	t.Chdir(t.TempDir())
	for _, units := range []string{"metric", "imperial"} {
		calls := [][]string{
			{"check"}, {"aim", "--only", "roof bar", "--near", "9m"}, {"lux", "--grid", "5m", "--height", "2ft"},
			{"lux", "--at", "20m,0m", "--at=-3m,-2m,0.6m"},
		}
		if units == "imperial" || *sweep { // in longer words
			calls = append(calls, []string{"plan", "--width", "400"},
				[]string{"sight", "--lamp", "up=1m,spread=12,lumens=3000", "--at", "60m", "--width", "400"})
		}
		if *sweep {
			calls = append(calls, []string{"sight", "--at", "60m", "--width", "400"}, []string{"aim", "--width", "400", "--only", "roof bar"},
				[]string{"compare", "--width", "400"})
		}
		for _, call := range calls {
			out, err := ask(t, append(call, "--units", units)...)
			if err != nil || len(out) < 50 {
				t.Errorf("%v: %d characters, %v", call, len(out), err)
			}
			narrow(strings.Join(call, " ")+" in "+units, out)
			if n := strings.Count(out, "\n"); call[0] == "plan" && n > 50 {
				t.Errorf("the plan of the demo in %s has %d lines, more than 50:\n%s", units, n, out)
			}
		}
	}
}

// Help names every flag that a command takes: those that do something with what they are for, the
// rest by name.
func TestHelpNamesEveryFlag(t *testing.T) {
	for _, cmd := range newRoot().Commands() {
		if cmd.Flags().Lookup("lamp") == nil {
			continue
		}
		var out bytes.Buffer
		cmd.SetOut(&out)
		printHelp(cmd, nil)
		for _, flag := range []string{"scene", "units", "json", "format", "only", "out", "theme", "wall",
			"ground-reading", "lamp"} {
			if !strings.Contains(out.String(), "--"+flag) {
				t.Errorf("the help of %s does not name --%s", cmd.Name(), flag)
			}
		}
	}
}
