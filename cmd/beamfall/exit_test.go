package main

import (
	"errors"
	"fmt"
	"os"
	"testing"
)

// 0: done. 1: it could not be done, though rightly asked. 2: the input or the call is wrong.
func TestExitCodes(t *testing.T) {
	t.Chdir(t.TempDir())
	for name, text := range map[string]string{
		"taken":         "a file",
		"wrong.toml":    "[[lamp]]\nspread = 400\n",
		"doubtful.toml": "[[lamp]]\nname = \"spot\"\nat = { up = \"1 m\" }\nlumens = 9000000\nspread = 10\ntilt = 20\n",
		// 1 lx at the other's eye is more than a lamp straight at it can keep, however it is tilted
		// within its range.
		"dazzling.toml": `
[[lamp]]
name = "flood"
at = { up = "1 m" }
lumens = 90000
spread = 60
tilt_range = [0, 2]
[[target]]
ahead = ["3 m", "15 m"]
half_width = "3 m"
lux = 10
[[limit]]
at = { ahead = "20 m", up = "1.1 m" }
lux = 1
`,
	} {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	tests := []struct {
		want int
		args []string
	}{
		{0, []string{"check"}},
		{0, []string{"check", "doubtful.toml"}},
		{0, []string{"lux", "--at", "20m,0m"}},
		{0, []string{"--help"}},
		{0, []string{"--version"}},
		{1, []string{"plan", "--out", "taken"}},
		{1, []string{"new", "taken"}},
		{1, []string{"export", "--only", "bumper flood", "--ies", "nowhere/flood.ies"}},
		{1, []string{"aim", "dazzling.toml", "--width", "400"}},
		{2, []string{"plan", "wrong.toml"}},
		{2, []string{"check", "wrong.toml"}},
		{2, []string{"plan", "nowhere.toml"}},
		{2, []string{"plan", "--theme", "neon"}},
		{2, []string{"lux"}},
		{2, []string{"lamp"}},
		{2, []string{"--nothing"}},
	}
	for _, tt := range tests {
		if got := run(tt.args); got != tt.want {
			t.Errorf("%v ends with %d, want %d", tt.args, got, tt.want)
		}
	}
}

// Of several errors the worst counts; one that is wrapped counts as what it is.
func TestStatus(t *testing.T) {
	wrong, full := errors.New("no such key"), failed(errors.New("disk full"))
	for _, tt := range []struct {
		err  error
		want int
	}{
		{wrong, exitWrong}, {full, exitFailed}, {fmt.Errorf("top.png: %w", full), exitFailed},
		{fmt.Errorf("rig.toml: %w", wrong), exitWrong},
		{errors.Join(full, full), exitFailed}, {errors.Join(full, wrong), exitWrong},
		{errors.Join(wrong, fmt.Errorf("x: %w", full)), exitWrong},
	} {
		if got := status(tt.err); got != tt.want {
			t.Errorf("%q ends with %d, want %d", tt.err, got, tt.want)
		}
	}
}
