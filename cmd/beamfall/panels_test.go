package main

import (
	"fmt"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/rigfile"
)

// Of more steps than a picture has room for, the first stands alone, and those that add least share
// a panel with a neighbour.
func TestPictured(t *testing.T) {
	for _, tt := range []struct {
		gains []float64 // of the steps after the first
		want  string
	}{
		{[]float64{50}, "[[0] [1]]"},
		{[]float64{50, 10, 30}, "[[0] [1] [2] [3]]"},
		{[]float64{50, 10, 30, 40}, "[[0] [1] [2 3] [4]]"},
		{[]float64{50, 10, 60, 2}, "[[0] [1] [2] [3 4]]"},
		{[]float64{1, 50, 60, 70}, "[[0] [1 2] [3] [4]]"},
		{[]float64{50, -3, 40, 5, 6, 30}, "[[0] [1] [2 3] [4 5 6]]"},
	} {
		columns := make([]figures.Column, 1+len(tt.gains))
		for i, g := range tt.gains {
			columns[i+1].Gain = &figures.Gain{Sight: []figures.Farther{{Thing: "person", Range: figures.Number(g)}}}
		}
		if got := fmt.Sprint(pictured(columns)); got != tt.want {
			t.Errorf("%v: %s, want %s", tt.gains, got, tt.want)
		}
	}
}

// What a build-up begins with is said where it is not the vehicle's own headlights.
func TestStepNotes(t *testing.T) {
	const lamp = "[[lamp]]\nname = \"bar\"\nat = { up = \"2 m\" }\nlumens = 9\nspread = 9\n"
	for text, want := range map[string]string{
		lamp:                    "the rig has no [headlights]",
		lamp + "[headlights]\n": "",
		lamp + "[headlights]\n[[scene]]\nname = \"camp\"\ncircuits = [\"bar\"]\n": "the scene camp does not light " +
			"the headlights",
	} {
		file, err := rigfile.Read(strings.NewReader(text), "rig.toml")
		if err != nil {
			t.Fatal(err)
		}
		r, err := assembly.Assemble(file, nil)
		if err != nil {
			t.Fatal(err)
		}
		scene := r.Scenes[0]
		scene.Lamps = r.Circuits(scene)[0].Lamps
		notes := strings.Join(stepNotes([]panel{{rig: &rig{Rig: r}, scene: scene}}), "\n")
		if (want == "") != (notes == "") || !strings.Contains(notes, want) {
			t.Errorf("%q: %q, want %q", text, notes, want)
		}
	}
}
