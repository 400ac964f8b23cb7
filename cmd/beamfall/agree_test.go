package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry/sight"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// What two commands say of the same thing is the same. An owner reads the plan, holds a meter where
// lux says, aims, prints a comparison and checks again after a knock: one thing, one figure.

// said is what the answers of commands have in common.
type said struct {
	Lamps []struct {
		Name   string
		Flux   float64  `json:"flux_lm"`
		Peak   float64  `json:"peak_cd"`
		Tilt   float64  `json:"tilt_deg"`
		Before float64  `json:"tilt_before_deg"`
		Off    *float64 `json:"off_deg"`
		Bright *struct {
			Lux   float64
			Ahead float64 `json:"ahead_m"`
			Left  float64 `json:"left_m"`
		} `json:"peak_ground"`
	}
	Scenes, Before, After, Columns []saidScene
	Things                         []saidThing
	Points                         []struct {
		Ground float64 `json:"ground_lux"`
		Facing float64 `json:"facing_lux"`
		Lamps  []struct {
			Name   string
			Ground float64 `json:"ground_lux"`
			Facing float64 `json:"facing_lux"`
		}
		Lux   float64
		Level float64 `json:"visibility_level"`
		Seen  bool
	}
	Sight []struct {
		Thing  string
		Before *float64 `json:"before_m"`
		After  *float64 `json:"after_m"`
	}
	Limits []struct {
		Name   string
		Before float64 `json:"lux_before"`
		Set    float64 `json:"lux_set"`
	}
}

type saidScene struct {
	Reach []struct {
		Lux   float64
		Range *float64 `json:"range_m"`
	}
	Area  any           `json:"lit_area"`
	Gaps  []saidStretch `json:"dark_gaps"`
	Sight []saidThing

	Oncoming, Glow any

	Stop  any // not in a column of compare
	Body  any `json:"body_light"`
	Hides any `json:"hood_hides_m"`
}

type saidStretch struct {
	From float64 `json:"from_m"`
	To   float64 `json:"to_m"`
}

type saidThing struct {
	Name, Thing string   // of sight, and of all else
	Range       *float64 `json:"range_m"`
	Lost        []saidStretch
	Stop        *float64 `json:"stop_kmh"`
}

// hear asks a command and reads its answer, if it has one.
func hear(t *testing.T, call ...string) (s *said, ok bool) {
	t.Helper()
	v, ok := answered(t, call...)
	if !ok {
		return nil, false
	}
	text, err := json.Marshal(v)
	if err == nil {
		err = json.Unmarshal(text, &s)
	}
	if err != nil {
		t.Fatalf("%v: %v", call, err)
	}
	return s, true
}

// agreement is the answers of all commands about rig.toml, in the working directory, against those
// of plan.
type agreement struct {
	*testing.T
	rig    *rigfile.Rig
	things []string // flags for what is looked for
	plan   *said
}

func (a *agreement) same(what string, one, other any) {
	a.Helper()
	if d := cmp.Diff(one, other, cmpopts.EquateApprox(1e-6, 1e-9)); d != "" {
		a.Errorf("%s (- one, + other):\n%s", what, d)
	}
}

// A rig with one lamp that can be aimed, and a limit to keep.
func TestCommandsAgree(t *testing.T) {
	t.Chdir(t.TempDir())
	text := small + "[[limit]]\nat = { ahead = \"30 m\", left = \"3 m\", up = \"1.1 m\" }\nlux = 50\n"
	if err := os.WriteFile("rig.toml", []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	agree(t, "--thing", "person", "--thing", "rut")
}

// agree asks all commands about rig.toml, and looks for things, or for all that there are.
func agree(t *testing.T, things ...string) {
	t.Helper()
	plan, ok := hear(t, append([]string{"plan", "rig.toml", "--width", "400"}, things...)...)
	if !ok {
		t.Fatal("no plan")
	}
	rig, err := rigfile.OpenFile("rig.toml", (&reads{}).open)
	if err != nil {
		t.Fatal(err)
	}
	a := &agreement{t, rig, things, plan}
	if check, ok := hear(t, "check", "rig.toml"); ok {
		for i, l := range plan.Lamps {
			a.same("flux in plan and check", l.Flux, check.Lamps[i].Flux)
			a.same("peak in plan and check", l.Peak, check.Lamps[i].Peak)
		}
	}
	a.compare()
	a.lux()
	if len(plan.Scenes[0].Sight) > 0 {
		a.sight()
	}
	a.aim()
	a.recheck()
	a.export()
}

// compare: a column has the figures of its scene.
func (a *agreement) compare() {
	call := append([]string{"compare", "rig.toml", "--width", "400"}, a.things...)
	if len(a.plan.Scenes) == 1 { // which is compared with itself
		call = append(call, "rig.toml")
	}
	columns, ok := hear(a.T, call...)
	if !ok || len(columns.Columns) < 2 {
		a.Fatal("nothing to compare")
	}
	for i, c := range columns.Columns {
		s := &a.plan.Scenes[i%len(a.plan.Scenes)]
		a.same("plan and compare", saidScene{Reach: s.Reach, Area: s.Area, Gaps: s.Gaps, Sight: s.Sight,
			Oncoming: s.Oncoming, Glow: s.Glow}, c)
	}
}

// lux: a lamp's brightest ground is no brighter than plan says; light ahead is at a threshold out
// to its reach and never beyond; dark stretches are dark.
func (a *agreement) lux() {
	type probe struct {
		what        string
		lamp        string // whose ground light it is; empty: facing light of all
		least, most float64
	}
	const large = 1e300
	var probes []probe
	call := []string{"lux", "rig.toml"}
	at := func(ahead, left, up float64, p probe) {
		call, probes = append(call, fmt.Sprintf("--at=%.9gm,%.9gm,%.9gm", ahead, left, up)), append(probes, p)
	}
	s := &a.plan.Scenes[0]
	for _, l := range a.plan.Lamps {
		if b := l.Bright; b != nil {
			// just past it there may be a shadow
			at(b.Ahead, b.Left, 0, probe{"brightest ground of " + l.Name, l.Name, 0, b.Lux * (1 + 1e-4)})
		}
	}
	if a.rig.Track.Straight() {
		for _, r := range s.Reach {
			if r.Range == nil || *r.Range > 4e4 {
				continue
			}
			what := fmt.Sprintf("reach of %g lx, %.9g m", r.Lux, *r.Range)
			at(*r.Range*(1-1e-6), 0, 0.6, probe{what, "", r.Lux * (1 - 1e-3), large})
			for _, beyond := range []float64{1.001, 1.03, 1.5} {
				at(*r.Range*beyond, 0, 0.6, probe{what, "", 0, r.Lux})
			}
		}
		for _, g := range s.Gaps {
			at((g.From+g.To)/2, 0, 0.6, probe{fmt.Sprintf("dark from %g m to %g m", g.From, g.To), "", 0, 1})
		}
	}
	lux, ok := hear(a.T, call...)
	if !ok {
		if len(probes) > 0 {
			a.Errorf("%v is refused", call)
		}
		return
	}
	for i, p := range lux.Points {
		want, got := probes[i], p.Facing
		if want.lamp != "" {
			got = -1 // not lit in this scene
		}
		for _, l := range p.Lamps {
			if l.Name == want.lamp {
				got = l.Ground
			}
		}
		if got >= 0 && (got < want.least || got > want.most) {
			a.Errorf("%s: lux --at says %g lx, not %g to %g", want.what, got, want.least, want.most)
		}
	}
}

// sight: a thing is seen as far as plan says, just short of that and not just beyond; the light on
// it is that of lux.
func (a *agreement) sight() {
	s := &a.plan.Scenes[0]
	call := append([]string{"sight", "rig.toml", "--width", "400"}, a.things...)
	// m; things are looked at here and there along the track, and what is seen may change back at a crest
	step := func(r float64) float64 { return 0.02 + max(0.5, 0.02*r) }
	end := min(sight.Farthest, a.rig.Track.End()) - 1e-6 // so that it is not past it when rounded
	short := func(r float64) []float64 { return []float64{r - step(r), 0.995 * r, r - 0.02, r} }
	beyond := func(r float64) []float64 { return []float64{min(r+step(r), end), min(r+2*step(r), end)} }
	asked := func(r float64) []float64 { return append(short(r), beyond(r)...) }
	for _, thing := range s.Sight {
		if r := thing.Range; r != nil {
			for _, at := range asked(*r) {
				call = append(call, fmt.Sprintf("--at=%.12gm", at))
			}
		}
	}
	const by = 60 // m
	seen, ok := hear(a.T, append(call, fmt.Sprintf("--at=%.9gm", min(by, end)))...)
	if !ok {
		a.Fatalf("%v is refused", call)
	}
	n := len(s.Sight)
	for i, thing := range s.Sight {
		one := seen.Things[i]
		one.Thing, one.Name = one.Name, ""
		a.same("plan and sight", thing, one)
	}
	// The veil along the track is worked out close enough for eye and lamps on a vehicle. Far off, check
	// doubts them, and light and view change within metres.
	far := func(ahead float64) bool { return math.Abs(ahead) > 50 }
	astray := far(a.rig.Vehicle.Eye.Value.Ahead) ||
		slices.ContainsFunc(a.rig.Lamps, func(l rigfile.Lamp) bool { return far(l.At.Ahead) })
	const accuracy = 0.005 // of what is interpolated along the track
	k := 0
	for i, thing := range s.Sight {
		if thing.Range == nil {
			continue
		}
		r := *thing.Range
		var before, after []bool
		for range short(r) {
			p := &seen.Points[k*n+i]
			before, k = append(before, p.Seen || math.Abs(p.Level/a.rig.Driver.VisibilityLevel.Value-1) < accuracy), k+1
		}
		for range beyond(r) {
			after, k = append(after, seen.Points[k*n+i].Seen), k+1
		}
		// over a bend of the ground it may be seen for a metre or two, a rut just there
		if !slices.Contains(before, true) && !astray {
			a.Errorf("%s is seen out to %g m, and not just short of that", thing.Thing, r)
		}
		again := after[0] && (after[1] || len(a.rig.Ground.Profile) == 0)
		if again && r+step(r) < end && !astray {
			a.Errorf("%s is seen out to %g m, and %g m beyond", thing.Thing, r, step(r))
		}
	}
	if s.Sight[0].Thing != "person" || !a.rig.Track.Straight() {
		return
	}
	lux, ok := hear(a.T, "lux", "rig.toml", "--at=60m,0m,0.2833333333m", "--at=60m,0m,0.85m",
		"--at=60m,0m,1.4166666667m")
	if !ok {
		a.Fatal("lux is refused")
	}
	mean := 0.0
	for _, p := range lux.Points {
		mean += p.Facing / 3
	}
	a.same("light on a person in lux and sight", mean, seen.Points[k*n].Lux)
}

// aim: it starts from what plan says, and what it writes is what it promises.
func (a *agreement) aim() {
	aim, ok := hear(a.T, "aim", "rig.toml", "--width", "400", "--write", "aimed.toml")
	if !ok {
		return // not every rig can be aimed
	}
	for _, l := range aim.Lamps {
		for _, p := range a.plan.Lamps {
			if p.Name == l.Name {
				a.same("tilt in plan and aim", p.Tilt, l.Before)
			}
		}
	}
	call := []string{"sight", "aimed.toml", "--width", "400"}
	for _, s := range aim.Sight {
		for _, p := range a.plan.Scenes[0].Sight {
			if p.Thing == s.Thing {
				a.same("sight of "+s.Thing+" in plan and before aim", p.Range, s.Before)
			}
		}
		call = append(call, "--thing", s.Thing)
	}
	if _, err := os.Stat("aimed.toml"); err == nil && len(aim.Sight) > 0 { // there is none where a limit is broken
		after, ok := hear(a.T, call...)
		if !ok {
			a.Fatal("the rig that aim wrote is refused")
		}
		for i, s := range aim.Sight {
			a.same("sight of "+s.Thing+" after aim and of the rig written", s.After, after.Things[i].Range)
		}
	}
	for i, l := range aim.Limits {
		limit := a.rig.Limits[i]
		if limit.Scene != "" {
			continue
		}
		if lux, ok := hear(a.T, "lux", "rig.toml",
			fmt.Sprintf("--at=%.12gm,%.12gm,%.12gm", limit.At.Ahead, limit.At.Left, limit.At.Up)); ok {
			a.same("light at a limit in lux and aim", lux.Points[0].Facing, l.Before)
		}
	}
}

// recheck: found as set, nothing is off and all scenes are as in plan.
func (a *agreement) recheck() {
	call := append([]string{"recheck", "rig.toml", "--width", "400"}, a.things...)
	for _, l := range a.plan.Lamps {
		if !strings.HasPrefix(l.Name, "headlight (") {
			call = append(call, "--found", fmt.Sprintf("%s=%v", l.Name, l.Tilt))
		}
	}
	found, ok := hear(a.T, call...)
	if !ok {
		a.Errorf("%v is refused", call)
		return
	}
	for _, l := range found.Lamps {
		if l.Off != nil && *l.Off != 0 {
			a.Errorf("%s is found as set and %g° off", l.Name, *l.Off)
		}
	}
	a.same("plan and recheck, as found", a.plan.Scenes, found.Before)
	a.same("plan and recheck, as set", a.plan.Scenes, found.After)
}

// export: what is written of a lamp reads back as it.
func (a *agreement) export() {
	l := a.plan.Lamps[0]
	if l.Peak < 1e-3 || l.Peak > 1e10 { // cd; files have a least peak, and a greatest
		return
	}
	name := l.Name
	if a.rig.Lamps[0].Pair {
		name = a.rig.Lamps[0].Name
	}
	if _, err := ask(a.T, "export", "rig.toml", "--only", name, "--ies", "out.ies"); err != nil {
		a.Errorf("export: %v", err)
		return
	}
	back, ok := hear(a.T, "check", "--lamp", "photometry=out.ies,up=1m")
	if !ok {
		a.Error("what export wrote is refused")
		return
	}
	got := back.Lamps[0]
	if d := got.Flux/l.Flux - 1; math.Abs(d) > 0.005 {
		a.Errorf("%s has %g lm, and %g lm as exported", l.Name, l.Flux, got.Flux)
	}
	if d := got.Peak/l.Peak - 1; math.Abs(d) > 0.01 {
		a.Errorf("%s has %g cd, and %g cd as exported", l.Name, l.Peak, got.Peak)
	}
}
