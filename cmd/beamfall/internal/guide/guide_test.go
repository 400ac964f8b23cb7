package guide

import (
	"flag"
	"io"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/rigfile"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "renew what a page holds of the reference")

// The page on the rig file holds the reference as the reader of the file has it, to the letter.
func TestRigFileHoldsTheReference(t *testing.T) {
	const page, begin, end = "rig-file.md", "<!-- reference: begin -->\n", "<!-- reference: end -->\n"
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(text), begin)
	held, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("%s has no place for the reference: %sand %s", page, begin, end)
	}
	want := "\n" + strings.TrimRight(rigfile.Reference(), "\n") + "\n\n"
	if *update {
		if err := os.WriteFile(page, []byte(before+begin+want+end+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(want, held); diff != "" {
		t.Errorf("%s is not as the program reads the file; renew it with go generate (- program, + page):\n%s", page,
			diff)
	}
}

var code = regexp.MustCompile("`([^`]+)`")

// keys are the JSON keys of a type and of all that it holds.
func keys(t reflect.Type, into map[string]bool) {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Map:
		keys(t.Elem(), into)
	case reflect.Struct:
		for i := range t.NumField() {
			f := t.Field(i)
			if f.Anonymous {
				keys(f.Type, into)
				continue
			}
			if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); name != "-" && f.IsExported() {
				if name == "" {
					name = f.Name
				}
				into[name] = true
				keys(f.Type, into)
			}
		}
	}
}

// The page on JSON names every key that a command prints, and none that it does not.
func TestJSONPageHasTheKeysOfTheReports(t *testing.T) {
	page := topic(t, "json").Markdown
	for section, value := range map[string]any{
		"plan": figures.Plan{}, "sight": figures.SightAt{}, "lux": figures.Lux{}, "aim": figures.Aim{}, "compare": figures.Compare{}, "check": struct {
			figures.Check
			figures.Mistaken
		}{},
	} {
		_, text, ok := strings.Cut(page, "\n## "+section+"\n")
		if !ok {
			t.Errorf("no section on %s", section)
			continue
		}
		text, _, _ = strings.Cut(text, "\n## ")
		printed, named, inFirst := map[string]bool{}, map[string]bool{}, map[string]bool{}
		keys(reflect.TypeOf(value), printed)
		for line := range strings.Lines(text) {
			cells := strings.Split(line, "|")
			for _, m := range code.FindAllStringSubmatch(line, -1) {
				named[m[1]] = true
			}
			if len(cells) > 2 {
				for _, m := range code.FindAllStringSubmatch(cells[1], -1) {
					inFirst[m[1]] = true
				}
			}
		}
		if section == "compare" || section == "sight" { // what is as in a scene of plan is named there
			keys(reflect.TypeOf(figures.Scene{}), named)
		}
		for _, k := range slices.Sorted(maps.Keys(printed)) {
			if !named[k] {
				t.Errorf("%s: the page does not name %q", section, k)
			}
		}
		for _, k := range slices.Sorted(maps.Keys(inFirst)) {
			if !printed[k] {
				t.Errorf("%s: the page names %q, which is not printed", section, k)
			}
		}
	}
}

func topic(t *testing.T, name string) Topic {
	t.Helper()
	for _, topic := range Topics() {
		if topic.Name == name {
			return topic
		}
	}
	t.Fatalf("no page %s", name)
	return Topic{}
}

var fence = regexp.MustCompile("(?s)```(\\w*)\n(.*?)```")

// What the pages show of rig files is read without a mistake, given a lamp where there is none.
func TestRigFilesOnPagesAreRight(t *testing.T) {
	const lamp = "\n[[lamp]]\nat = { up = \"1 m\" }\nlumens = 1\nspread = 10\n"
	seen := 0
	for _, topic := range Topics() {
		for _, m := range fence.FindAllStringSubmatch(topic.Markdown, -1) {
			if m[1] != "toml" {
				continue
			}
			seen++
			text := m[2]
			if !strings.Contains(text, "[[lamp]]") {
				text += lamp
			}
			open := func(path string) (io.ReadCloser, error) {
				if path == topic.Name {
					return io.NopCloser(strings.NewReader(text)), nil
				}
				return os.Open("../../demo.toml") // has what the pages say of the fleet
			}
			if _, err := rigfile.OpenFile(topic.Name, open); err != nil {
				t.Errorf("%s\n%v", m[2], err)
			}
		}
	}
	if seen == 0 {
		t.Error("no page shows a rig file")
	}
}
