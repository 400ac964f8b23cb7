package report

import (
	"math"
	"strings"
	"testing"

	"beamfall/render/units"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// The tilt for one place, on level ground (right triangles): the axis at d is atan(h/d), the near edge that less half of the
// spread, a level upper edge half of the spread. Of a pair both are set, and told by the one that the file gives.
func TestTiltFor(t *testing.T) {
	const rig = "[[lamp]]\nname = \"fog\"\nat = { left = \"-0.5 m\", up = \"0.8 m\" }\npair = true\nturn = 12\nlumens = 1000\noutput = 0.7\nspread = 20\n"
	for _, tt := range []struct {
		goal Goal
		tilt float64 // degrees
	}{
		{Goal{Hit: 20}, math.Atan(0.8/20) * 180 / math.Pi},
		{Goal{Near: 3}, math.Atan(0.8/3)*180/math.Pi - 10},
		{Goal{LevelEdge: true}, 10},
	} {
		r := assembled(t, rig)
		a, err := TiltFor(r, r.Scenes[0], tt.goal, Options{GroundReading: rad(0.4)})
		if err != nil {
			t.Errorf("%+v: %v", tt.goal, err)
			continue
		}
		want := []AimLamp{
			{Key: 1, Name: "fog (left)", Free: true, TiltAfter: tt.tilt, TurnBefore: -12, TurnAfter: -12, Reading: tt.tilt + 0.4},
			{Key: 2, Name: "fog (right)", Free: true, TiltAfter: tt.tilt, TurnBefore: 12, TurnAfter: 12, Reading: tt.tilt + 0.4},
		}
		if diff := cmp.Diff(want, a.Lamps, cmpopts.EquateApprox(0, 1e-3)); diff != "" {
			t.Errorf("%+v (- want, + got):\n%s", tt.goal, diff)
		}
		if diff := cmp.Diff(map[int]Angles{0: {rad(tt.tilt), rad(12)}}, a.Entries, cmpopts.EquateApprox(0, 1e-5)); diff != "" {
			t.Errorf("%+v, in the file (- want, + got):\n%s", tt.goal, diff)
		}
	}

	// The twin alone is told by the other's turn all the same.
	r := assembled(t, rig)
	if err := r.Only("fog (left)"); err != nil {
		t.Fatal(err)
	}
	a, err := TiltFor(r, r.Scenes[0], Goal{LevelEdge: true}, asked)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(map[int]Angles{0: {rad(10), rad(12)}}, a.Entries, cmpopts.EquateApprox(0, 1e-5)); diff != "" {
		t.Errorf("the twin alone, in the file (- want, + got):\n%s", diff)
	}
}

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
		a, err := AimOf(t.Context(), r, r.Scenes[0], 0, asked, nil)
		if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		}
		said := strings.Join(a.Reasons, "\n")
		for _, want := range tt.says {
			if !strings.Contains(said, want) {
				t.Errorf("%s: %q does not say %q", tt.what, said, want)
			}
		}
		if ends := strings.Contains(said, "end of its range"); ends != strings.Contains(strings.Join(tt.says, "\n"), "end of its range") {
			t.Errorf("%s: %q", tt.what, said)
		}
		if off := a.If[0]; math.Abs(*a.After-a.Targets[0].After) > 1e-9 || off.Tilt != 0.5 || off.Name != "bar" {
			t.Errorf("%s: fulfilment %v, of the only target %v, bracket %+v", tt.what, *a.After, a.Targets[0].After, off)
		}
	}
}

// At 50 km/h a vehicle stops within v·t + v²/(2a) = 13.889·2.5 + 13.889²/6.8 = 63.1 m (AASHTO's 2.5 s and 3.4 m/s²); at
// 15 km/h, 13 m, within the near track already. What no one gave is noted.
func TestSpeedTargets(t *testing.T) {
	const rig = "[[lamp]]\nname = \"bar\"\nat = { up = \"2 m\" }\nlumens = 9000\nspread = 10\n"
	r := assembled(t, rig)
	targets, note := speedTargets(r, 50/3.6)
	if len(targets) != 2 || math.Abs(targets[1].To-63.09) > 0.01 || targets[1].From != targets[0].To || !targets[1].Facing || targets[0].Facing {
		t.Errorf("at 50 km/h: %+v", targets)
	}
	if !strings.Contains(note, "for 50 km/h: ") || !strings.Contains(note, "the stopping distance, 63.1 m;") {
		t.Errorf("at 50 km/h: %s", note)
	}
	if targets, note := speedTargets(r, 15/3.6); len(targets) != 1 || strings.Contains(note, "stopping") {
		t.Errorf("at 15 km/h: %+v, %s", targets, note)
	}
	r.File.Units.Value = units.Imperial
	if _, note := speedTargets(r, 50/3.6); !strings.Contains(note, "for 31 mph: ") || !strings.Contains(note, "the stopping distance, 207 ft;") {
		t.Errorf("50 km/h in mph: %s", note)
	}
	a, err := AimOf(t.Context(), r, r.Scenes[0], 50/3.6, asked, nil)
	if err != nil {
		t.Fatal(err)
	}
	notes := strings.Join(a.Notes, "\n")
	for _, want := range []string{"defaults of this program, no source", "output is not given for bar", "11.2 ft/s²", "no lamp has a tilt_range"} {
		if !strings.Contains(notes, want) {
			t.Errorf("the notes do not say %q:\n%s", want, notes)
		}
	}
}
