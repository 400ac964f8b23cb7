package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Wherever work is interrupted, the files of before are all there, or all the new ones; nothing is
// half one and half the other, and nothing else lies about.
func TestInterrupted(t *testing.T) {
	calls := [][]string{
		{"plan", "small.toml", "--width", "400", "--thing", "rut"},
		{"aim", "small.toml", "--width", "400", "--write", "beamfall-out/aimed.toml"},
	}
	if *sweep {
		calls = append(calls, []string{"compare", "small.toml", "small.toml", "--width", "400", "--thing", "rut"},
			[]string{"sheet", "--png"}, []string{"recheck", "small.toml", "--found", "bar=7", "--width", "400",
				"--thing", "rut"})
	}
	for _, call := range calls {
		t.Chdir(t.TempDir())
		if err := os.WriteFile("small.toml", []byte(small), 0o644); err != nil {
			t.Fatal(err)
		}
		start := time.Now()
		if err := runUnder(t.Context(), call); err != nil {
			t.Fatal(err)
		}
		took := time.Since(start)
		whole := contents(t)
		parts := 2
		if *sweep {
			parts = 10
		}
		for part := range parts { // when that is in the work is chance
			for name := range whole {
				if err := os.WriteFile(name, []byte("old"), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			ctx, stop := context.WithTimeout(t.Context(), took*time.Duration(part)/time.Duration(parts))
			err := runUnder(ctx, call)
			stop()
			if err != nil && !errors.Is(err, context.DeadlineExceeded) {
				t.Errorf("%v ended after %d/%d: %v", call, part, parts, err)
			}
			is := contents(t)
			for name, text := range is {
				if !bytes.Equal(text, []byte("old")) && !bytes.Equal(text, whole[name]) {
					t.Errorf("%v ended after %d/%d: %s is neither old nor new", call, part, parts, name)
				}
				if err != nil && !bytes.Equal(text, []byte("old")) {
					t.Errorf("%v ended after %d/%d with %v, but %s is new", call, part, parts, err, name)
				}
			}
			if len(is) != len(whole) {
				t.Errorf("%v ended after %d/%d: %d files, not %d", call, part, parts, len(is), len(whole))
			}
		}
	}
}

func runUnder(ctx context.Context, args []string) error {
	root := newRoot()
	root.SetOut(new(strings.Builder))
	root.SetArgs(args)
	return root.ExecuteContext(ctx)
}

// contents are the files of the directory for pictures, hidden ones too.
func contents(t *testing.T) map[string][]byte {
	t.Helper()
	entries, err := os.ReadDir("beamfall-out")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, e := range entries {
		name := filepath.Join("beamfall-out", e.Name())
		if out[name], err = os.ReadFile(name); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// A call that is interrupted while it works writes nothing, whichever it is: the context has ended
// by then.
func TestNothingIsWrittenOnceInterrupted(t *testing.T) {
	for _, call := range [][]string{{"export", "--only", "bumper flood", "--ies", "flood.ies"}, {"sheet"},
		{"plan", "--width", "400"}} {
		t.Chdir(t.TempDir())
		ctx, stop := context.WithCancel(t.Context())
		stop()
		if err := runUnder(ctx, call); !errors.Is(err, context.Canceled) {
			t.Errorf("%v: %v, want that it was interrupted", call, err)
		}
		if entries, err := os.ReadDir("."); err != nil || len(entries) > 0 {
			t.Errorf("%v left %v, %v", call, entries, err)
		}
	}
}
