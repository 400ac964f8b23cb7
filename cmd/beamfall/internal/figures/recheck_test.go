package figures

import (
	"math"
	"slices"
	"testing"

	"beamfall/cmd/beamfall/internal/assembly"
)

// knocked is a rig of a roof bar, a pair of spots and a reversing lamp, with a limit that a spot
// found level passes.
const knocked = `
[vehicle]
eye = { ahead = "-2 m", left = "0.4 m", up = "1.6 m" }
[[lamp]]
name = "roof bar"
at = { ahead = "-1.9 m", up = "2 m" }
tilt = 3
lumens = 12000
output = 0.7
spread = 12
[[lamp]]
name = "spot"
pair = true
at = { left = "0.5 m", up = "0.8 m" }
tilt = 1
lumens = 2000
output = 0.7
spread = 6
[[lamp]]
name = "reversing lamp"
at = { ahead = "-4.8 m", up = "1 m" }
tilt = 10
turn = 180
lumens = 1000
output = 0.7
spread = 60
[[scene]]
name = "track"
circuits = ["roof bar", "spot"]
[[scene]]
name = "yard"
circuits = ["reversing lamp"]
[[limit]]
name = "oncoming eye"
at = { ahead = "40 m", left = "0.5 m", up = "2.5 m" }
lux = 140
`

func recheck(t *testing.T, r *assembly.Rig, found map[string]float64) *Recheck {
	t.Helper()
	tilts := map[int]float64{}
	for name, tilt := range found {
		n := slices.IndexFunc(r.Lamps, func(l assembly.Lamp) bool { return l.Name == name })
		tilts[n] = tilt * math.Pi / 180
	}
	o := asked
	o.Things = []string{"person", "rut"}
	c, err := RecheckOf(t.Context(), r, tilts, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Lamps are off by what was found less what was set, to the tolerance and no further; what was not
// read is not known.
func TestRecheckTellsWhatIsOff(t *testing.T) {
	c := recheck(t, assembled(t, knocked), map[string]float64{"roof bar": 3.5, "spot (left)": 1.6, "reversing lamp": 9})
	type want struct{ off, within string }
	for i, w := range []want{{"0.5", "true"}, {"0.6", "false"}, {"none", "none"}, {"-1", "false"}} {
		l := c.Lamps[i]
		got := want{"none", "none"}
		if l.Within != nil {
			got = want{trimmed(l.Off.Degrees()), map[bool]string{true: "true", false: "false"}[*l.Within]}
		}
		if got != w {
			t.Errorf("%s: %+v, want %+v", l.Name, got, w)
		}
	}
	if math.IsNaN(float64(c.Lamps[2].Set)) || !math.IsNaN(float64(c.Lamps[2].Tilt)) {
		t.Errorf("a lamp that was not read is set to %v and found at %v", c.Lamps[2].Set, c.Lamps[2].Tilt)
	}
}

func trimmed(v float64) string {
	return map[float64]string{0.5: "0.5", 0.6: "0.6", -1: "-1"}[math.Round(v*1e6)/1e6]
}

// What setting one lamp again does is what a rig does that has that lamp as set and the others as
// found.
func TestRecheckMendsOneLampAtATime(t *testing.T) {
	c := recheck(t, assembled(t, knocked), map[string]float64{"roof bar": 7, "spot (left)": 4, "spot (right)": 2})
	if len(c.Again) != 3 {
		t.Fatalf("%d lamps are to be set again, want 3", len(c.Again))
	}
	for _, a := range c.Again[:2] {
		mended := map[string]float64{"roof bar": 7, "spot (left)": 4, "spot (right)": 2}
		delete(mended, a.Name)
		other := recheck(t, assembled(t, knocked), mended)
		for k, s := range a.Sight {
			if got, want := float64(s.Again), float64(other.Before[0].Sight[k].Range); math.Abs(got-want) > 1e-6*want {
				t.Errorf("with %s set again %s is seen to %g m, want %g m", a.Name, s.Thing, got, want)
			}
			if got, want := s.Found, c.Before[0].Sight[k].Range; got != want {
				t.Errorf("as found %s is seen to %g m in one place and %g m in another", s.Thing, got, want)
			}
		}
	}
	if !slices.IsSortedFunc(c.Again, func(a, b Again) int { return int(b.gain() - a.gain()) }) ||
		c.Again[0].gain() <= 0 {
		t.Errorf("the first to set is %s, for %g m", c.Again[0].Name, c.Again[0].gain())
	}
}

// A lamp that passes a limit comes first, however little it costs sight.
func TestRecheckPutsLimitsFirst(t *testing.T) {
	c := recheck(t, assembled(t, knocked), map[string]float64{"roof bar": 4.2, "spot (left)": -2, "spot (right)": 0.9})
	if len(c.Limits) != 1 || !c.Limits[0].Passed() || c.Limits[0].Set > 140 || c.Limits[0].Scene != "track" {
		t.Fatalf("limits are %+v, want one that is passed as found", c.Limits)
	}
	first := c.Again[0]
	if first.Name != "spot (left)" || !slices.Equal(first.Keeps, []string{"oncoming eye"}) {
		t.Errorf("the first to set is %s, which keeps %q", first.Name, first.Keeps)
	}
	if c.Again[1].gain() <= first.gain() {
		t.Errorf("the roof bar is worth %g m of sight, no more than the spot's %g m", c.Again[1].gain(), first.gain())
	}
}

// With all lamps as set, nothing differs.
func TestRecheckOfLampsAsSet(t *testing.T) {
	c := recheck(t, assembled(t, knocked), map[string]float64{"roof bar": 3, "spot (left)": 1, "spot (right)": 1})
	if len(c.Again) != 0 || c.Before[0].Sight[0].Range != c.After[0].Sight[0].Range {
		t.Errorf("to set again: %+v", c.Again)
	}
}
