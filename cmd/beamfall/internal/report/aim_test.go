package report

import (
	"errors"
	"math"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/geometry/aim"
	"beamfall/render/units"
)

// What keeps a rig from its targets is told: the end of a range, a limit, the lamps. So is what the
// outcome rests on.
func TestReasons(t *testing.T) {
	lamp := func(tilts string) string {
		return "[[lamp]]\nname = \"bar\"\nat = { up = \"2 m\" }\nlumens = 9000\noutput = 0.7\nspread = 10\n" +
			"tilt_range = " + tilts + "\n"
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
		{"a target that is met", lamp("[0, 15]") + easy, []string{"all that is asked for is met"}},
		{"a range that ends too early", lamp("[0, 5]") + near,
			[]string{"near stays at ", "bar is at the end of its range, 5.0°; a tilt_range that lets it aim lower " +
				"gives more"}},
		{"a range that begins too late", lamp("[25, 35]") + near,
			[]string{"near stays at ", "bar is at the end of its range, 25.0°; a tilt_range that lets it aim " +
				"higher gives more"}},
		{"a limit", lamp("[0, 20]") + near + limit, []string{"the limit eye holds the rig back: without it "}},
		{"too little light", strings.Replace(lamp("[0, 20]"), "9000", "90", 1) + near,
			[]string{"more light or a beam of another width is needed"}},
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
		if ends := strings.Contains(said, "end of its range"); ends != strings.Contains(strings.Join(tt.says, "\n"),
			"end of its range") {
			t.Errorf("%s: %q", tt.what, said)
		}
		if off := a.If[0]; math.Abs(float64(a.After)-a.Targets[0].After) > 1e-9 || off.Tilt.Degrees() != 0.5 ||
			off.Name != "bar" {
			t.Errorf("%s: fulfilment %v, of the only target %v, bracket %+v", tt.what, a.After, a.Targets[0].After, off)
		}
	}
}

// What no one gave is noted: what a speed asks for, with its stopping distance (63.1 m or 207 ft at
// 50 km/h, AASHTO's 2.5 s and 3.4 m/s²), the usual targets, how a bracket was taken to be free,
// what leaves the lens.
func TestAimNotes(t *testing.T) {
	r := assembled(t, "[[lamp]]\nname = \"bar\"\nat = { up = \"2 m\" }\nlumens = 9000\nspread = 10\n")
	aimed := func(speed float64) *figures.Aim {
		a, err := figures.AimOf(t.Context(), r, r.Scenes[0], speed, asked, nil)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	fast, usual := aimed(50/3.6), aimed(0)
	for _, tt := range []struct {
		units units.System
		aim   *figures.Aim
		says  []string
	}{
		{units.Metric, fast, []string{"for 50 km/h: a person in dark clothes is to be seen from 10.0 m to the " +
			"stopping distance, 63.1 m,"}},
		{units.Imperial, fast, []string{"for 31 mph: ", "the stopping distance, 207 ft,",
			"output is not given for bar", "11.2 ft/s²", "no lamp has a tilt_range"}},
		{units.Metric, usual, []string{"the rig has no [[target]]: a rut is to be seen from 5.0 m to 40.0 m",
			"10 times the threshold"}},
	} {
		r.File.Units.Value = tt.units
		notes := strings.Join(AimNotes(r, tt.aim), "\n")
		for _, want := range tt.says {
			if !strings.Contains(notes, want) {
				t.Errorf("the notes do not say %q:\n%s", want, notes)
			}
		}
	}
}

// pickup is an ordinary one: a bar on the roof, spots on the bumper.
const pickup = `
[vehicle]
length = "5.3 m"
eye = { ahead = "-2.3 m", left = "0.4 m", up = "1.6 m" }
[[vehicle.body]]
name = "hood"
ahead = ["-1.6 m", "-0.1 m"]
left = ["-0.85 m", "0.85 m"]
up = ["0.5 m", "1.15 m"]
[[lamp]]
name = "bar"
at = { ahead = "-1.9 m", up = "1.95 m" }
tilt = 4
tilt_range = ["0 deg", "10 deg"]
tilt_step = "2 deg"
width = "1 m"
lumens = 12000
output = 0.7
spread = [40, 12]
[[lamp]]
name = "spots"
pair = true
at = { left = "0.5 m", up = "0.8 m" }
tilt = 2
tilt_range = ["0 deg", "10 deg"]
tilt_step = "2 deg"
lumens = 4000
output = 0.7
spread = 8
`

// The likely rigs: what is asked for gets better, nothing is seen less far without being said, and
// a limit that nothing keeps still gets the setting that breaks it least, with the lamps that do.
func TestSettingsOneWouldDrive(t *testing.T) {
	r := assembled(t, pickup)
	a, err := figures.AimOf(t.Context(), r, r.Scenes[0], 0, asked, nil)
	if err != nil {
		t.Fatal(err)
	}
	if a.After < a.Before || a.Sight[0].After < a.Sight[0].Before {
		t.Errorf("fulfilment %.3f → %.3f, a person at %.0f → %.0f m", a.Before, a.After, a.Sight[0].Before,
			a.Sight[0].After)
	}
	if said := AimWarnings(r, a, units.Metric); len(said) > 0 {
		t.Errorf("warns of its own answer: %q", said)
	}
	if why := strings.Join(Why(a, units.Metric), "\n"); !strings.Contains(why, "spots, tilt 2.0° → ") ||
		!strings.Contains(why, "farther") {
		t.Errorf("says no reason: %s", why)
	}

	// an oncoming eye at 50 m is to get 5 lx: with such lamps no tilt does that
	r = assembled(t, pickup+"[[target]]\nahead = [\"30 m\", \"60 m\"]\nhalf_width = \"2 m\"\nlux = 20\n"+
		"[[limit]]\nname = \"oncoming eye\"\nat = { ahead = \"50 m\", left = \"3.5 m\", up = "+
		"\"1.1 m\" }\nlux = 0.5\n")
	a, err = figures.AimOf(t.Context(), r, r.Scenes[0], 0, asked, nil)
	if u := (*aim.Unmet)(nil); !errors.As(err, &u) || a == nil || a.Limits[0].Least == nil ||
		*a.Limits[0].Least <= 0.5 {
		t.Fatalf("%v, %+v", err, a)
	}
	sum := 0.0
	for _, l := range a.Limits[0].Lamps {
		sum += l.Lux
	}
	if math.Abs(sum/(*a.Limits[0].Least)-1) > 1e-6 {
		t.Errorf("the lamps give %.4f lx, in all %.4f lx", sum, *a.Limits[0].Least)
	}
	if said := strings.Join(Reasons(a), "\n"); !strings.Contains(said,
		"no setting keeps the limit oncoming eye: it allows 0.5 lx facing and gets ") {
		t.Errorf("says %q", said)
	}

	// spots that light the sky, and a speed: they come down, for a person within the stopping
	// distance
	r = assembled(t, strings.NewReplacer("tilt = 2\n", "tilt = -6\n").Replace(pickup))
	a, err = figures.AimOf(t.Context(), r, r.Scenes[0], 100/3.6, asked, nil)
	if err != nil {
		t.Fatal(err)
	}
	if a.After < a.Before || a.Sight[0].After < a.Sight[0].Before || !a.Result.OffSteps {
		t.Errorf("fulfilment %.3f → %.3f, a person at %.0f → %.0f m, off the steps %v", a.Before, a.After,
			a.Sight[0].Before, a.Sight[0].After, a.Result.OffSteps)
	}
}

// A light target that only asks for a bright foreground gets it, and what it costs is said.
func TestWarnsOfABrightForeground(t *testing.T) {
	r := assembled(t, pickup+"[[target]]\nahead = [\"3 m\", \"8 m\"]\nhalf_width = \"2 m\"\nlux = 600\n")
	a, err := figures.AimOf(t.Context(), r, r.Scenes[0], 0, asked, nil)
	if err != nil {
		t.Fatal(err)
	}
	said := strings.Join(AimWarnings(r, a, units.Metric), "\n")
	for _, want := range []string{"is seen", "less far than before", "a bright foreground costs sight at a distance",
		"narrow beams are for distance"} {
		if !strings.Contains(said, want) {
			t.Errorf("does not warn of %q:\n%s", want, said)
		}
	}
}
