package report

import (
	"math"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/render/units"
)

// What keeps a rig from its targets is told: the end of a range, a limit, the lamps. So is what the outcome rests on.
func TestReasons(t *testing.T) {
	lamp := func(tilts string) string {
		return "[[lamp]]\nname = \"bar\"\nat = { up = \"2 m\" }\nlumens = 9000\noutput = 0.7\nspread = 10\ntilt_range = " + tilts + "\n"
	}
	const (
		near  = "[[target]]\nname = \"near\"\nahead = [\"6 m\", \"8 m\"]\nhalf_width = \"0.5 m\"\nlux = 300\n"
		easy  = "[[target]]\nname = \"near\"\nahead = [\"10 m\", \"11 m\"]\nhalf_width = \"0 m\"\nlux = 1\n"
		limit = "[[limit]]\nname = \"eye\"\nat = { ahead = \"7 m\", up = \"0.3 m\" }\nlux = 200\n"
	)
	for _, tt := range []struct {
		what, rig string
		says      []string
	}{
		{"a target that is met", lamp("[0, 15]") + easy, []string{"every target is met"}},
		{"a range that ends too early", lamp("[0, 5]") + near, []string{"near stays at ", "bar is at the end of its range, 5.0°; a tilt_range that lets it aim lower gives more"}},
		{"a range that begins too late", lamp("[25, 35]") + near, []string{"near stays at ", "bar is at the end of its range, 25.0°; a tilt_range that lets it aim higher gives more"}},
		{"a limit", lamp("[0, 20]") + near + limit, []string{"the limit eye holds the rig back: without it the fulfilment would be "}},
		{"too little light", strings.Replace(lamp("[0, 20]"), "9000", "90", 1) + near, []string{"more light or a beam of another width is needed"}},
	} {
		r := assembled(t, tt.rig)
		a, err := figures.AimOf(t.Context(), r, r.Scenes[0], 0, asked, nil)
		if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		}
		said := strings.Join(Reasons(a), "\n")
		for _, want := range tt.says {
			if !strings.Contains(said, want) {
				t.Errorf("%s: %q does not say %q", tt.what, said, want)
			}
		}
		if ends := strings.Contains(said, "end of its range"); ends != strings.Contains(strings.Join(tt.says, "\n"), "end of its range") {
			t.Errorf("%s: %q", tt.what, said)
		}
		if off := a.If[0]; math.Abs(float64(a.After)-a.Targets[0].After) > 1e-9 || off.Tilt.Degrees() != 0.5 || off.Name != "bar" {
			t.Errorf("%s: fulfilment %v, of the only target %v, bracket %+v", tt.what, a.After, a.Targets[0].After, off)
		}
	}
}

// What no one gave is noted: what a speed asks for, with its stopping distance (63.1 m or 207 ft at 50 km/h, AASHTO's 2.5 s and
// 3.4 m/s²), how a bracket was taken to be free, what leaves the lens.
func TestAimNotes(t *testing.T) {
	const rig = "[[lamp]]\nname = \"bar\"\nat = { up = \"2 m\" }\nlumens = 9000\nspread = 10\n"
	r := assembled(t, rig)
	if note := speedNote(units.Metric, 50/3.6, 63.09); !strings.Contains(note, "for 50 km/h: ") || !strings.Contains(note, "the stopping distance, 63.1 m;") {
		t.Errorf("at 50 km/h: %s", note)
	}
	if note := speedNote(units.Metric, 15/3.6, 13); strings.Contains(note, "stopping") {
		t.Errorf("at 15 km/h: %s", note)
	}
	r.File.Units.Value = units.Imperial
	task, err := figures.TaskOf(r, r.Scenes[0], 50/3.6)
	if err != nil {
		t.Fatal(err)
	}
	notes := strings.Join(AimNotes(r, task), "\n")
	for _, want := range []string{
		"for 31 mph: ", "the stopping distance, 207 ft;", "defaults of this program, no source", "output is not given for bar", "11.2 ft/s²", "no lamp has a tilt_range",
	} {
		if !strings.Contains(notes, want) {
			t.Errorf("the notes do not say %q:\n%s", want, notes)
		}
	}
}
