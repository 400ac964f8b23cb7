package main

import (
	"bytes"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// The same call writes the same bytes, on any number of cores.
func TestSameBytes(t *testing.T) {
	calls := [][]string{
		{"plan", "small.toml", "--width", "400", "--json", "--theme", "paper", "--units", "imperial"},
		{"aim", "small.toml", "--width", "400", "--json", "--write", "aimed.toml"},
		{"lux", "--grid", "5m", "--json"}, {"check", "small.toml", "--json"},
		{"export", "--only", "bumper flood", "--ies", "flood.ies"}, {"new", "my.toml"}, {"schema"}, {"man", "man"},
		{"page", "--json", "--lamp", "up=1m,spread=12,lumens=3000,tilt=1,tilt_range=[0,2],output=1"},
	}
	cores := []int{1, 3}
	if *sweep {
		cores = []int{1, 2, 2, 5}
		calls = append(calls, []string{"plan", "--width", "1600"}, []string{"plan", "--format", "csv"}, []string{"aim"},
			[]string{"aim", "--speed", "60km/h"},
			[]string{"compare", "small.toml", "small.toml", "--width", "400"},
			[]string{"compare", "--json"}, []string{"sheet", "--paper", "letter"}, []string{"lux", "--at", "20m,0m"},
			[]string{"check"})
	}
	var first map[string][]byte
	for _, cores := range cores {
		before := runtime.GOMAXPROCS(cores)
		made := everything(t, calls)
		runtime.GOMAXPROCS(before)
		if first == nil {
			first = made
			if len(first) < 20 {
				t.Fatalf("only %d files", len(first))
			}
			continue
		}
		for name := range made {
			if !bytes.Equal(made[name], first[name]) {
				t.Errorf("%s differs on %d cores", name, cores)
			}
		}
		if len(made) != len(first) {
			t.Errorf("%d files and %d files", len(made), len(first))
		}
	}
}

// everything is the files that calls make, each call in a directory of its own, and what they
// print.
func everything(t *testing.T, calls [][]string) map[string][]byte {
	t.Helper()
	made := map[string][]byte{}
	for _, call := range calls {
		name := strings.Join(call, " ")
		dir := t.TempDir()
		t.Chdir(dir)
		if err := os.WriteFile("small.toml", []byte(small), 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := ask(t, call...)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		made[name] = []byte(out)
		if err := filepath.WalkDir(".", func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			text, err := os.ReadFile(path)
			made[name+": "+path] = text
			return err
		}); err != nil {
			t.Fatal(err)
		}
	}
	return made
}
