package figures

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/assembly"
)

// tower is a truck with a bar on its roof and lamps on its bumper, under the eye of a driver behind
// a hood.
const tower = `
[vehicle]
eye = { ahead = "-2 m", left = "0 m", up = "1.65 m" }
[[vehicle.body]]
name = "hood"
ahead = ["-1.5 m", "-0.2 m"]
left = ["-0.8 m", "0.8 m"]
up = ["0.5 m", "1.15 m"]
[[lamp]]
name = "bar"
at = { ahead = "-1.6 m", up = "2 m" }
tilt = 4
lumens = 9000
spread = 12
[[lamp]]
name = "spot"
at = { ahead = "-0.1 m", left = "0.5 m", up = "0.8 m" }
pair = true
lumens = 3000
spread = 10
[[lamp]]
name = "work"
at = { ahead = "-4 m", up = "1.5 m" }
turn = 180
lumens = 2000
spread = 60
[[scene]]
name = "trail"
circuits = ["bar", "spot"]
[[scene]]
name = "camp"
circuits = ["work"]
`

// A plan and the command that is about sight say the same; a lamp that is off is named with what is
// left, a pair as one too; the ground over the hood is first seen where a line from the eye past
// its edge meets it (similar triangles).
func TestSights(t *testing.T) {
	r := assembled(t, tower)
	o := asked
	o.Things = []string{"person", "rut"}
	p, err := PlanOf(t.Context(), r, o, nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err := SightOf(t.Context(), r, r.Scenes[0], []Place{{Ahead: 50}}, o)
	if err != nil {
		t.Fatal(err)
	}
	trail, camp := p.Scenes[0], p.Scenes[1]
	for k, seen := range trail.Sight {
		if seen.Thing != o.Things[k] || s.Things[k].Name != o.Things[k] || s.Things[k].Range != seen.Range ||
			s.Things[k].Stop != seen.Stop {
			t.Errorf("plan has %+v, sight %+v", seen, s.Things[k])
		}
		if stop := r.Braking.Distance(float64(seen.Stop)); math.Abs(stop-float64(seen.Range)) > 1e-6 {
			t.Errorf("%s: it takes %v m to stop, and %v m are seen", seen.Thing, stop, seen.Range)
		}
	}
	person := trail.Sight[0]
	var named []string
	for _, w := range person.Without {
		named = append(named, w.Lamp)
		if !(w.Range < person.Range) {
			t.Errorf("without %s a person is seen to %v m, with it to %v m", w.Lamp, w.Range, person.Range)
		}
	}
	if want := []string{"bar", "spot (left)", "spot (right)", "spot"}; !slices.Equal(named, want) {
		t.Errorf("left out are %v, want %v", named, want)
	}
	if both, one := person.Without[3].Range, person.Without[1].Range; !(both < one) {
		t.Errorf("without both spots %v m, without one %v m", both, one)
	}
	// What nothing lights is not seen; a lamp that no scene with the person lights has no part in
	// it.
	if camp.Sight[0].Range.Exists() || camp.Sight[0].Stop == camp.Sight[0].Stop {
		t.Errorf("by a lamp to the rear a person is seen ahead: %+v", camp.Sight[0])
	}
	// A bar on the roof that is set too low takes light from afar, and too high brings it.
	bar := p.Lamps[0].Tolerance.Sight[0]
	if bar.Thing != "person" || !(bar.Low < person.Range && person.Range < bar.High) {
		t.Errorf("%v m too low, %v m as set, %v m too high", bar.Low, person.Range, bar.High)
	}
	if want := -0.2 + 1.15*(2-0.2)/(1.65-1.15); math.Abs(trail.HoodHides-want) > 1e-3 {
		t.Errorf("the hood hides the ground to %v m, want %v m", trail.HoodHides, want)
	}
}

// What keeps things from being seen farther: too little light, the lit ground close by, the lit
// hood, a crest.
func TestLimits(t *testing.T) {
	for _, tt := range []struct {
		what, rig string
		want      Limit
	}{
		{"a weak lamp that lights nothing near by", "[[lamp]]\nname = \"spot\"\nat = { ahead = \"-0.1 m\", up = " +
			"\"1 m\" }\nlumens = 300\nspread = 6\ntilt = -2\n", ByLight},
		{"a flood at one's feet", "[[lamp]]\nname = \"flood\"\nat = { ahead = \"-0.1 m\", up = \"1 m\" }\nlumens = " +
			"20000\nspread = 100\ntilt = 15\n", ByGround},
		{
			"a lamp over the hood", "[[vehicle.body]]\nname = \"hood\"\nahead = [\"-1.9 m\", \"-0.2 m\"]\nleft = " +
				"[\"-0.8 m\", \"0.8 m\"]\nup = [\"0.5 m\", \"1.2 m\"]\n" +
				"[[lamp]]\nname = \"bar\"\nat = { ahead = \"-1.6 m\", up = \"1.4 m\" }\nlumens = 20000\nspread = 60\n",
			ByBody,
		},
		{
			"a crest", "[ground]\nprofile = [[\"0 m\", \"0 m\"], [\"40 m\", \"0 m\"], [\"1000 m\", \"-300 m\"]]\n" +
				"[[lamp]]\nname = \"spot\"\nat = { ahead = \"-0.1 m\", up = \"1 m\" }\nlumens = 9000\nspread = 10\n",
			Hidden,
		},
	} {
		r := assembled(t, tt.rig)
		s, err := SightOf(t.Context(), r, assembly.Scene{Lamps: []int{0}}, nil, Options{Things: []string{"person"}})
		if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		}
		if got := s.Things[0]; got.LimitedBy != tt.want {
			t.Errorf("%s: seen to %v m, limited by %s, want %s", tt.what, got.Range, got.LimitedBy, tt.want)
		}
	}
}

// In dust the roof bar of the demo lights the air before the eye: a person is seen farther without
// it, and that is doubted. Independently computed for a pickup: 23 m with its bar, 29 m without.
func TestCosts(t *testing.T) {
	r := assembled(t, tower+"[air]\nvisibility = \"180 m\"\nparticles = \"dust\"\n")
	costs, err := CostsOf(t.Context(), r)
	if err != nil || len(costs) != 2 {
		t.Fatalf("%d scenes, %v", len(costs), err)
	}
	without, _ := costs[0].Sight.Worth("bar")
	if !(without > 1.03*costs[0].Sight.Range) {
		t.Errorf("with the bar %v m, without it %v m", costs[0].Sight.Range, without)
	}
	p, err := PlanOf(t.Context(), r, Options{Thresholds: []float64{1}, SightLux: 3, Traffic: 1,
		Things: []string{"person"}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	glow := p.Scenes[0].Glow
	sum := 0.0
	for _, l := range glow.Lamps {
		sum += l.Share
	}
	if !(glow.Ahead > 0) || math.Abs(sum-1) > 1e-9 || !(glow.Lamps[0].Share > 0.5) {
		t.Errorf("glow %+v", glow)
	}
	if clear := assembled(t, tower); glowOf(clear, clear.Scenes[0], clear.Lit(clear.Scenes[0])) != nil {
		t.Error("clear air glows")
	}
}

// With the nose up by its pitch a truck sees what one sees that is driven so much nose up: in the
// plan, before and after an aim.
func TestSightWithTheNoseUp(t *testing.T) {
	const vehicle, axles = "[vehicle]\n", "wheelbase = \"3 m\"\nfront_overhang = \"0.9 m\"\n"
	with := func(more string) *assembly.Rig {
		rig := strings.Replace(tower, "tilt = 4\n", "tilt = 4\ntilt_range = [4, 5]\ntilt_step = 1\n", 1)
		return assembled(t, strings.Replace(rig, vehicle, vehicle+axles+more, 1)+"[aim]\nworst_pitch = "+
			strconv.FormatBool(strings.Contains(more, "pitch"))+
			"\n[[target]]\nahead = [\"20 m\", \"30 m\"]\nhalf_width = \"1 m\"\nlux = 20\n")
	}
	r := with("pitch = 1\n")
	o := asked
	o.Things = []string{"person"}
	p, err := PlanOf(t.Context(), r, o, nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := AimOf(t.Context(), r, r.Scenes[0], 0, o, nil)
	if err != nil {
		t.Fatal(err)
	}
	seen := &p.Scenes[0].Sight[0]
	for _, tt := range []struct {
		nose             string
		got, aimedBefore Number
		reach            Number
	}{
		{"nose_up_driven = 1\n", seen.NoseUp, a.Sight[0].NoseUpBefore, p.Scenes[0].Pitched[0].NoseUp},
		{"nose_up_driven = -1\n", seen.NoseDown, a.Sight[0].NoseDownBefore, p.Scenes[0].Pitched[0].NoseDown},
	} {
		driven := with(tt.nose)
		s, err := SightOf(t.Context(), driven, driven.Scenes[0], nil, o)
		if err != nil {
			t.Fatal(err)
		}
		lux := o.Thresholds[0]
		want, reach := s.Things[0].Range, Number(driven.Lit(driven.Scenes[0]).Centreline(lux).Reach(lux))
		for what, got := range map[string]Number{"in the plan": tt.got, "before an aim": tt.aimedBefore} {
			if math.Abs(float64(got-want)) > 2e-3*float64(want) {
				t.Errorf("%q, %s: %v m, want %v m", tt.nose, what, got, want)
			}
		}
		if math.Abs(float64(tt.reach-reach)) > 1e-6*float64(reach) {
			t.Errorf("%q: reach %v m, want %v m", tt.nose, tt.reach, reach)
		}
	}
	aimed := with("pitch = 1\n")
	for i := range aimed.Lamps {
		aimed.Lamps[i].Aim = a.Result.Aims[i]
	}
	s, err := SightOf(t.Context(), aimed, aimed.Scenes[0], nil, o)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := a.Sight[0].NoseDownAfter, s.Things[0].NoseDown; math.Abs(float64(got-want)) > 2e-3*float64(want) {
		t.Errorf("after an aim, the nose down: %v m, want %v m", got, want)
	}
}

// In air with particles of less than 30 m visibility no range is named, and not the light is said
// to be what keeps things from being seen; from there on one is.
func TestAirTooDense(t *testing.T) {
	for visibility, dense := range map[string]bool{"29 m": true, "31 m": false} {
		r := assembled(t, tower+"[air]\nparticles = \"fog\"\nvisibility = \""+visibility+"\"\n")
		s, err := SightOf(t.Context(), r, r.Scenes[0], nil, Options{Things: []string{"animal"}})
		if err != nil {
			t.Fatal(err)
		}
		got := s.Things[0]
		if got.Dense != dense || got.Range.Exists() == dense || dense && got.LimitedBy != ByAir {
			t.Errorf("%s: %+v", visibility, got)
		}
		if said := strings.Contains(strings.Join(r.Notes(), "\n"),
			"visibility "+visibility+": below 30 m no range of sight is named"); said != dense {
			t.Errorf("%s: notes %q", visibility, r.Notes())
		}
	}
}
