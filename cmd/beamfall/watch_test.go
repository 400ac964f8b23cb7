package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"beamfall/cmd/beamfall/internal/rigfile"

	"github.com/fsnotify/fsnotify"
	"github.com/spf13/cobra"
)

// While one types, a save that is wrong is told and survived, and the next that is right draws
// anew.
func TestWatch(t *testing.T) {
	if w, err := fsnotify.NewWatcher(); err != nil {
		t.Skip(err)
	} else {
		w.Close()
	}
	dir := t.TempDir()
	rig, top := filepath.Join(dir, "rig.toml"), filepath.Join(dir, "out", "top.png")
	save := func(text string) { // as editors do: a new file takes the place of the old
		t.Helper()
		if err := os.WriteFile(rig+"~", []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Rename(rig+"~", rig); err != nil {
			t.Fatal(err)
		}
	}
	const tilted = `[[lamp]]
name = "bar"
at = { up = "2 m" }
lumens = 9000
spread = 20
tilt = `
	save(tilted + "5")

	q := requested(t, "--out", filepath.Join(dir, "out"), "--width", "400", rig)
	plan := &cobra.Command{}
	plan.SetOut(io.Discard)
	ctx, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	plan.SetContext(ctx)
	results := make(chan error, 100)
	ended := make(chan error, 1)
	go func() {
		ended <- watch(ctx, rig, func() error {
			err := q.answer(plan, (*request).plan)
			results <- err
			return err
		})
	}()
	// until waits for a result of a kind. One save may be seen as two.
	until := func(what string, is func(err error) bool) {
		t.Helper()
		for {
			select {
			case err := <-results:
				if is(err) {
					return
				}
			case err := <-ended:
				t.Fatalf("the watch ended: %v", err)
			case <-ctx.Done():
				t.Fatalf("no %s after a minute", what)
			}
		}
	}
	wrong := func(err error) bool { return errors.As(err, new(rigfile.Mistakes)) }
	right := func(err error) bool { return err == nil }
	picture := func() []byte {
		t.Helper()
		b, err := os.ReadFile(top)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}

	until("picture", right)
	before := picture()
	for _, half := range []string{"", tilted, tilted + `"5 de`, "[[lamp"} {
		save(half)
		until("mistake", wrong)
		if !bytes.Equal(picture(), before) {
			t.Errorf("%q drew anew", half)
		}
	}
	os.Remove(rig)
	until("missing file", func(err error) bool { return err != nil && !wrong(err) })
	save(tilted + "15")
	until("picture", right)
	if bytes.Equal(picture(), before) {
		t.Error("a save drew nothing new")
	}
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

// What no save can mend ends it at once.
func TestWatchWrongCall(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("rig.toml", nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{}, {"nowhere.toml"}, {"."}, {"rig.toml", "--theme", "neon"}, {"rig.toml", "--width", "1"},
		{"rig.toml", "--out", "rig.toml"},
	} {
		if _, err := ask(t, append([]string{"plan", "--watch"}, args...)...); err == nil {
			t.Errorf("%v was watched", args)
		}
	}
}
