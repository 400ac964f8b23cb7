package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
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
	known := new(planned)
	results := make(chan error, 100)
	ended := make(chan error, 1)
	go func() {
		ended <- watch(ctx, rig, func() error {
			err := q.answer(plan, known.plan)
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

// After a save, figures and pictures are to the last byte what a call of its own makes of the file:
// what is kept of the rig before is only what the save did not change.
func TestSaveAfterSave(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "rig.toml")
	const twoScenes = `name = "small"
[vehicle]
length = "5 m"
width = "1.9 m"
eye = { ahead = "-2.1 m", left = "0.4 m", up = "1.6 m" }
[[vehicle.body]]
ahead = ["-1.4 m", "-0.1 m"]
left = ["-0.85 m", "0.85 m"]
up = ["0.5 m", "1.1 m"]
[[lamp]]
name = "spot"
circuit = "front"
at = { ahead = "-0.1 m", left = "0.5 m", up = "0.8 m" }
pair = true
tilt = 1
lumens = 3000
spread = 10
[[lamp]]
name = "side"
circuit = "side"
at = { ahead = "-2.5 m", left = "0.9 m", up = "1.8 m" }
tilt = 15
turn = 90
lumens = 2000
spread = 60
[[scene]]
name = "trail"
circuits = ["front"]
[[scene]]
name = "search"
circuits = ["front", "side"]
`
	change := func(from, to string) string {
		t.Helper()
		out := strings.Replace(twoScenes, from, to, 1)
		if out == twoScenes {
			t.Fatalf("there is no %q", from)
		}
		return out
	}
	planOf := func(known *planned, out string) map[string]string {
		t.Helper()
		q := requested(t, "--out", out, "--width", "400", "--json", file)
		q.figures.Things = []string{"rut"}
		var text bytes.Buffer
		cmd := &cobra.Command{}
		cmd.SetOut(&text)
		cmd.SetContext(t.Context())
		if err := q.answer(cmd, known.plan); err != nil {
			t.Fatal(err)
		}
		made := map[string]string{"figures": strings.ReplaceAll(text.String(), out, "")}
		for _, name := range []string{"top.png", "side.png", "wall.png", "view.png"} {
			b, err := os.ReadFile(filepath.Join(out, name))
			if err != nil {
				t.Fatal(err)
			}
			made[name] = string(b)
		}
		return made
	}
	saves := []string{
		twoScenes, change("tilt = 1\n", "tilt = 1.5\n"), change(`name = "spot"`, `name = "driving lamp"`),
		change(`eye = { ahead = "-2.1 m"`, `eye = { ahead = "-2 m"`),
	}
	if testing.Short() {
		saves = saves[:2]
	}
	known := new(planned)
	for _, text := range saves {
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		got, want := planOf(known, filepath.Join(dir, "kept")), planOf(nil, filepath.Join(dir, "fresh"))
		for what := range want {
			if got[what] != want[what] {
				t.Errorf("%s after a save differ from those of a call of its own; the rig:\n%s", what, text)
			}
		}
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
