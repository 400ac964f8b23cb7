package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/guide"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry"

	"github.com/spf13/cobra"
)

var fence = regexp.MustCompile("(?s)```(\\w*)\n(.*?)```")

// What the guide shows of the demo is what the program prints of it.
func TestGuideShowsTheDemo(t *testing.T) {
	t.Chdir(t.TempDir())
	q := requested(t)
	r, err := q.sources[0].read(q.selection)
	if err != nil {
		t.Fatal(err)
	}
	p, err := figures.PlanOf(t.Context(), r.Rig, q.figures, nil)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	tables := []*table.Table{report.Setting(r.System(), p), report.Gives(r.System(), p)}
	for _, file := range []string{demo, demo + pods(t)} {
		if err := os.WriteFile("rig.toml", []byte(file), 0o644); err != nil {
			t.Fatal(err)
		}
		q := requested(t, "rig.toml")
		r, err := q.sources[0].read(q.selection)
		if err != nil {
			t.Fatal(err)
		}
		all := figures.Bends(r.Rig) // of which it shows that of 30 m to the left, and straight on
		shown := []geometry.Track{all[2], all[len(all)-1]}
		bends, err := figures.BendsOf(t.Context(), r.Rig, r.Scenes[0], shown, q.figures, nil)
		if err != nil {
			t.Fatal(err)
		}
		tables = append(tables, report.Bends(r.System(), &figures.SightAt{Bends: bends}))
	}
	for _, tab := range tables {
		if err := tab.Write(&out, table.Text, usualWidth); err != nil {
			t.Fatal(err)
		}
	}
	squeeze := func(line string) string { return strings.Join(strings.Fields(line), " ") }
	printed := map[string]bool{}
	for line := range strings.Lines(out.String()) {
		printed[squeeze(line)] = true
	}
	shown := 0
	for _, m := range fence.FindAllStringSubmatch(guide.Topics()[0].Markdown, -1) {
		if m[1] != "text" {
			continue
		}
		for line := range strings.Lines(m[2]) {
			shown++
			if !printed[squeeze(line)] {
				t.Errorf("the guide shows a line that is not printed of the demo:\n%s", line)
			}
		}
	}
	if shown == 0 {
		t.Error("the guide shows nothing of the demo")
	}
}

// pods are the lamps that the guide adds to the demo for bends.
func pods(t *testing.T) string {
	for _, m := range fence.FindAllStringSubmatch(guide.Topics()[0].Markdown, -1) {
		if m[1] == "toml" && strings.Contains(m[2], `"pod"`) {
			return m[2]
		}
	}
	t.Fatal("the guide adds no pods")
	return ""
}

// Every call that is shown as an example, in help or on a page, is one that the program takes.
func TestExamplesAreRight(t *testing.T) {
	var examples []string
	var visit func(cmd *cobra.Command)
	visit = func(cmd *cobra.Command) {
		examples = append(examples, strings.Split(cmd.Example, "\n")...)
		for _, c := range cmd.Commands() {
			visit(c)
		}
	}
	visit(newRoot())
	for _, topic := range guide.Topics() {
		for _, m := range fence.FindAllStringSubmatch(topic.Markdown, -1) {
			if m[1] == "sh" {
				text := regexp.MustCompile(`\\\n +`).ReplaceAllString(m[2], "") // a line that goes on in the next
				examples = append(examples, strings.Split(text, "\n")...)
			}
		}
	}
	seen := 0
	for _, line := range examples {
		args := shellWords(line)
		if len(args) == 0 {
			continue
		}
		seen++
		if args[0] != "beamfall" {
			t.Errorf("%s: is no call of beamfall", line)
			continue
		}
		root := newRoot()
		cmd, rest, err := root.Find(args[1:])
		if err == nil {
			err = cmd.ParseFlags(rest)
		}
		if err == nil && !cmd.Runnable() {
			continue // a page of the guide
		}
		if err == nil {
			err = cmd.ValidateArgs(cmd.Flags().Args())
		}
		if err != nil {
			t.Errorf("%s: %v", line, err)
		}
	}
	if seen < 20 {
		t.Errorf("only %d examples were found", seen)
	}
}

// shellWords cuts a line as a shell does: at blanks that are not in quotes, up to a comment. In
// help a comment is set off by two blanks or more.
func shellWords(line string) []string {
	var words []string
	var word strings.Builder
	quoted, in := false, false
	end := func() {
		if in {
			words = append(words, word.String())
		}
		word.Reset()
		in = false
	}
	line = strings.TrimSpace(line)
	for i, r := range line {
		switch {
		case r == '"':
			quoted, in = !quoted, true
		case r == '#' && !quoted && !in, r == ' ' && !quoted && strings.HasPrefix(line[i:], "   "):
			end()
			return words
		case r == ' ' && !quoted:
			end()
		default:
			word.WriteRune(r)
			in = true
		}
	}
	end()
	return words
}
