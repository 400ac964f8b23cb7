package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/rigfile"
)

// Rigs that are right by the letter and strange by the look: every value at the end of its range,
// at nothing, or as it should be, at random. Whatever they say, each command ends with one right
// JSON value or with a sentence, and no command says what another denies.

// strange writes a rig by chance.
type strange struct {
	*rand.Rand
	usual float64 // share of the values that are as they should be
	small bool    // no more than a lamp or two in clear air, so that many rigs can be asked about
	b     strings.Builder
}

// strangeRig is the rig of a number. Every eighth is strange throughout, the others here and there;
// every thirtieth is as large as it comes, the others are small.
func strangeRig(number uint64) string {
	s := &strange{Rand: rand.New(rand.NewPCG(number, 0)), usual: 0.85, small: smallRig(number)}
	if number%8 == 7 {
		s.usual = 0
	}
	return s.rig()
}

// smallRig tells which rigs are small.
func smallRig(number uint64) bool { return number%30 > 0 }

// of is a value as it should be, or any of the others.
func (s *strange) of(usual string, values ...string) string {
	if n := s.IntN(1 + len(values)); n > 0 && s.Float64() >= s.usual {
		return values[n-1]
	}
	return usual
}

func (s *strange) maybe() bool { return s.IntN(2) == 0 }

// from is a number between two.
func (s *strange) from(low, high float64) string {
	return fmt.Sprintf("%.2f", low+(high-low)*s.Float64())
}

func (s *strange) metres(low, high float64) string { return fmt.Sprintf("%q", s.from(low, high)+" m") }

// key writes a key with one of the values, of which the first is as it should be.
func (s *strange) key(name, usual string, values ...string) {
	if v := s.of(usual, values...); v != "" {
		fmt.Fprintf(&s.b, "%s = %s\n", name, v)
	}
}

func (s *strange) table(name string) { fmt.Fprintf(&s.b, "\n[%s]\n", name) }

// place is one within a box, or out of it.
func (s *strange) place(from, to [3]float64) string {
	return fmt.Sprintf("{ ahead = %s, left = %s, up = %s }",
		s.of(s.metres(from[0], to[0]), `"0 m"`, `"-200 m"`, `"200 m"`, `"-0.05 m"`),
		s.of(s.metres(from[1], to[1]), `"0 m"`, `"0.6 m"`, `"200 m"`, `"-200 m"`),
		s.of(s.metres(from[2], to[2]), `"0.05 m"`, `"0.8 m"`, `"2.1 m"`, `"30 m"`))
}

func (s *strange) beam() {
	if s.Float64() < s.usual || s.maybe() {
		s.key("spread", s.from(6, 60), `9`, `36`, `[60, 20]`, `100`)
		return
	}
	if s.maybe() {
		s.key("spread", `10`, `"0.51 deg"`, `"0.6 deg"`, `36`, `120`, `"174.9 deg"`, `["0.6 deg", "174.9 deg"]`,
			`[60, 20]`)
		s.key("profile", `"gaussian"`, `"uniform"`, `"cosine"`)
		return
	}
	i := s.IntN(4) // with a field next to the spread, or far from it
	fmt.Fprintf(&s.b, "spread = %s\nfield = %s\n",
		[]string{"0.51", "10", "174.9", "[0.51, 60]"}[i],
		[]string{s.of("0.511", "179.9"), "10.001", "179.9", "[179.9, 60.1]"}[i])
}

func (s *strange) lamp(i int) {
	s.table("[lamp]")
	s.key("name", fmt.Sprintf("%q", fmt.Sprintf("lamp %d", i)),
		fmt.Sprintf("%q", strings.Repeat("ö", 60)+fmt.Sprint(i)), fmt.Sprintf("%q", fmt.Sprintf("<&%d|%%s>", i)))
	s.key("circuit", s.of(`"a"`, `"b"`), "")
	s.key("at", s.place([3]float64{-4, -0.9, 0.4}, [3]float64{0, 0.9, 2.2}))
	s.key("pair", "false", "true")
	s.key("tilt", s.from(-1, 8), "0", "90", "-90", "89.999", "1e-9", "-3")
	s.key("turn", "0", "180", "90", "-360", "45")
	s.key("roll", "0", "180", "-90", "33")
	s.key("width", s.of("0", `"0.5 m"`), `"1 m"`, `"10 m"`, `"1 mm"`, "")
	switch s.IntN(6) {
	case 0:
		s.key("peak", `"45000 cd"`, `"1000000000 cd"`, `"1e-9 cd"`, `"1 cd"`)
	case 1:
		s.key("one_lux_at", `"300 m"`, `"30 km"`, `"0.04 mm"`, `"1 mm"`)
	default:
		s.key("lumens", s.from(500, 15000), "10000000", "0.001", "1", "9000")
		s.key("output", "0.7", "1", "0.01", "")
	}
	if s.IntN(5) == 0 {
		s.key("tilt_range", "[0, 12]", "[-90, 90]", "[3, 3]", "[0, 0.001]")
		s.key("tilt_step", "0.5", "0.01", "90", "5", "")
	}
	if s.IntN(8) == 0 {
		s.key("turn_range", "[-5, 5]", "[-360, 360]", "[0, 0]")
		s.key("turn_step", "1", "30", "")
	}
	if s.IntN(4) > 0 {
		s.beam()
		return
	}
	shares := s.of("0.6 0.4", "1", "0.001 0.999", "0.125 0.125 0.125 0.125 0.125 0.125 0.125 0.125")
	for share := range strings.FieldsSeq(shares) {
		s.table("[lamp.optic]")
		s.key("share", share)
		s.key("span", `"whole"`, `"middle"`, `"ends"`)
		s.beam()
	}
}

// rig is a strange rig.
func (s *strange) rig() string {
	s.key("name", `"strange"`, fmt.Sprintf("%q", strings.Repeat("W", 200)), `"車 — \"<&>|%d"`, "")
	s.key("units", s.of(`"metric"`, `"imperial"`), `"imperial"`)
	s.table("vehicle")
	s.key("length", `"5 m"`, `"0.5 m"`, `"30 m"`, "")
	s.key("width", `"1.9 m"`, `"0.3 m"`, `"5 m"`, "")
	s.key("wheelbase", `"3 m"`, `"0.3 m"`, `"20 m"`)
	s.key("front_overhang", `"0.9 m"`, `"0 m"`, `"10 m"`)
	if s.maybe() {
		s.key("driven", `{ front = "4 mm", rear = "-38 mm" }`, `{ front = "-0.1 m", rear = "-0.1 m" }`, "{ }")
	} else {
		s.key("nose_up_driven", "0.6", "20", "-20", "0", "")
	}
	if s.maybe() {
		s.key("eye", s.place([3]float64{-2.5, -0.5, 1.2}, [3]float64{-1.5, 0.5, 2}))
	}
	s.key("pitch", "", "1", "20")
	for range s.IntN(4) {
		s.table("[vehicle.body]")
		s.key("ahead", `["-1.5 m", "-0.2 m"]`, `["-200 m", "200 m"]`, `["-3 m", "-2.999 m"]`, `["1 m", "2 m"]`)
		s.key("left", `["-0.8 m", "0.8 m"]`, `["-200 m", "200 m"]`, `["0 m", "1e-9 m"]`)
		s.key("up", `["0.5 m", "1.1 m"]`, `["0 m", "30 m"]`, `["29.9 m", "30 m"]`, `["0 m", "1e-9 m"]`)
	}
	lamps := 1 + s.IntN(4)
	if s.small {
		lamps = 1 + lamps/4
	}
	for i := range lamps {
		s.lamp(i)
	}
	s.table("ground")
	switch s.IntN(4) {
	case 0:
		s.key("grade", `"4 %"`, `"100 %"`, `"-100 %"`, "0", "")
	case 1:
		s.key("profile", `[["0 m", "0 m"], ["30 m", "0 m"], ["60 m", "-3 m"]]`,
			`[["-200 m", "1000 m"], ["10000 m", "-1000 m"]]`,
			`[["0 m", "0 m"], ["0.000001 m", "1000 m"]]`,
			`[["-200 m", "0 m"], ["5 m", "0 m"], ["5.001 m", "-1000 m"], ["6 m", "1000 m"]]`)
	}
	s.key("cross_fall", "0", `"50 %"`, `"-50 %"`, `"3 %"`)
	s.key("reflectance", "0.2", "1", "1e-300", "")
	if s.maybe() {
		s.table("stopping")
		s.key("reaction", "", `"0 s"`, `"10 s"`)
		s.key("braking", "", `"0.5 m/s2"`, `"12 m/s2"`)
	}
	if s.maybe() {
		s.table("air")
		s.key("visibility", s.metres(60, 2000), `"10 m"`, `"1000 km"`, `"50 m"`, `"180 m"`)
		if s.IntN(3) == 0 && !s.small {
			s.key("particles", `"dust"`, `"fog"`, `"snow"`)
		}
		s.key("sky", "", "0", "0.1", "10000")
	}
	if s.maybe() {
		s.table("driver")
		s.key("age", s.from(20, 75), "20", "75", "")
		s.key("glance", "", `"0.05 s"`, `"5 s"`)
		s.key("visibility_level", "7", "1", "100")
	}
	if s.maybe() {
		s.table("[thing]")
		s.key("name", `"gate"`, `"animal"`)
		s.key("width", `"3 m"`, `"0.01 m"`, `"50 m"`)
		s.key("height", `"1 m"`, `"0.01 m"`, `"50 m"`)
		s.key("reflectance", "0.3", "0", "1")
		s.key("lies", "false", "true")
	}
	if s.IntN(3) == 0 {
		s.table("track")
		s.key("bend", `"60 m right"`, `"5 m left"`, `"100 km left"`)
		s.key("from", `"20 m"`, `"1000 m"`, "")
		s.key("width", "", `"0.5 m"`, `"50 m"`)
	}
	if s.IntN(3) == 0 {
		s.table("headlights")
		s.key("beam", s.of(`"low"`, `"high"`), `"high"`)
		s.key("rule", `"UN R149"`, `"FMVSS 108"`)
		s.key("strength", "1.5", "0.01", "20", "")
		s.key("dip", "", `"0 %"`, `"10 %"`)
		s.key("traffic", `"right"`, `"left"`, "")
	}
	scenes := s.IntN(3)
	if s.small {
		scenes /= 2
	}
	for i := range scenes {
		s.table("[scene]")
		s.key("name", fmt.Sprintf(`"scene %d"`, i))
		s.key("circuits", "", `[]`)
	}
	targets := s.IntN(3)
	if s.small { // without one, things are to be seen
		targets = max(1, targets)
	}
	for range targets {
		s.table("[target]")
		see := s.maybe() && (!s.small || s.IntN(8) == 0)
		all := `["-200 m", "200 m"]`
		if see { // ahead of the bumper
			all = `["0 m", "200 m"]`
		}
		s.key("ahead", `["3 m", "15 m"]`, all, `["199.9 m", "200 m"]`)
		s.key("half_width", `"3 m"`, `"0 m"`, `"50 m"`)
		s.key("weight", "", "1e-300", "1000")
		if see {
			s.key("see", `"person"`, `"rut"`, `"plate"`)
			continue
		}
		s.key("lux", "10", "1e-300", "1000000")
		s.key("surface", `"ground"`, `"facing"`, "")
	}
	for range s.IntN(2) {
		s.table("[limit]")
		s.key("at", s.place([3]float64{-10, -6, 0.5}, [3]float64{60, 6, 2}))
		s.key("lux", "5", "1e-300", "1000000")
	}
	return s.b.String()
}

// ask runs a command within the test.
func ask(t *testing.T, args ...string) (stdout string, err error) {
	t.Helper()
	var out bytes.Buffer
	root := newRoot()
	root.SetOut(&out)
	root.SetErr(io.Discard)
	root.SetArgs(args)
	err = root.ExecuteContext(t.Context())
	return out.String(), err
}

// inner are words of the inside of a program that must not come out of it.
var inner = []string{"%!", "NaN", "Inf", "strconv", "json:", "panic", "runtime", "interface", "float64", ".go:", "0x",
	"<nil>", ".tmp"}

func speaksOfTheInside(text string) bool {
	for _, w := range inner {
		if strings.Contains(text, w) {
			return true
		}
	}
	return false
}

// The keys of INTERFACE.md, with a value of the kind that each has: number, text, truth, list of
// its only item. What may be null is in a list of two.
func documented(t *testing.T, command string) any {
	t.Helper()
	null := func(v any) any { return [2]any{v, nil} }
	type o = map[string]any
	const n, s, b = 0.0, "", false
	reach := []any{o{"lux": n, "range_m": null(n)}}
	bodyLight := []any{o{"name": s, "mean_lux": n, "max_lux": n}}
	switch command {
	case "lux":
		return o{"rig": s, "scene": s, "points": []any{o{"ahead_m": n, "left_m": n, "up_m": n, "ground_lux": n,
			"facing_lux": n,
			"lamps":      []any{o{"name": s, "ground_lux": n, "facing_lux": n}}}}}
	case "plan":
		return o{"rig": s, "units": s, "pictures": []any{s}, "notes": []any{s},
			"lamps": []any{o{"name": s, "circuit": s, "ahead_m": n, "left_m": n, "up_m": n, "tilt_deg": n,
				"turn_deg": n, "flux_lm": n, "peak_cd": n,
				"axis_hit": null(o{"ahead_m": n, "left_m": n, "range_m": n}), "near_m": null(n), "far_m": null(n),
				"reading_deg": n,
				"wall":        null(o{"distance_m": n, "height_m": n, "left_m": n, "drop_m": n}),
				"tolerance": o{"tilt_deg": n, "near_m": null(n), "far_m": null(n),
					"sight": []any{o{"thing": s, "low_m": null(n), "high_m": null(n)}}},
				"peak_ground": null(o{"lux": n, "ahead_m": n, "left_m": n}), "reach": reach, "sky_share": n}},
			"scenes": []any{o{"name": s, "lamps": []any{s}, "reach": reach,
				"lit_area":  []any{o{"lux": n, "area_m2": n}},
				"dark_gaps": []any{o{"from_m": n, "to_m": n}},
				"stop":      o{"sight_lux": n, "range_m": null(n), "speed_kmh": null(n)},
				"oncoming":  []any{o{"ahead_m": n, "eye_lux": null(n), "veil_cd_m2": null(n)}}, "body_light": bodyLight,
				"sight": []any{o{"thing": s, "range_m": null(n), "lost": []any{o{"from_m": n, "to_m": n}},
					"stop_kmh": null(n), "nose_up_range_m": null(n),
					"nose_down_range_m": null(n), "without": []any{o{"lamp": s, "range_m": null(n)}}}},
				"hood_hides_m": n, "glow": null(o{"ahead_cd_m2": n, "lamps": []any{o{"name": s, "share": n}}})}},
		}
	case "sight":
		return o{"rig": s, "scene": s, "observer": o{"age": n, "glance_s": n, "visibility_level": n},
			"things": []any{o{"name": s, "range_m": null(n), "lost": []any{o{"from_m": n, "to_m": n}},
				"stop_kmh": null(n)}},
			"points": []any{o{"thing": s, "ahead_m": n, "left_m": n, "lux": n, "thing_cd_m2": n, "background_cd_m2": n,
				"veil_cd_m2": n,
				"veil":       o{"ground": n, "body": n, "air": n, "sky": n}, "size_arcmin": n, "threshold_cd_m2": n,
				"visibility_level": n, "seen": b}}}
	case "aim":
		return o{"rig": s, "scene": s, "fulfilment_before": null(n), "fulfilment_after": null(n),
			"lamps": []any{o{"name": s, "tilt_before_deg": n, "tilt_after_deg": n, "turn_before_deg": n,
				"turn_after_deg": n}},
			"targets": []any{o{"name": s, "before": n, "after": n}},
			"limits":  []any{o{"name": s, "lux_allowed": n, "lux_after": n}}}
	case "compare":
		return o{"columns": []any{o{"title": s, "rig": s, "scene": s, "flux_lm": n, "peak_cd": n, "reach": reach}},
			"pictures": []any{s}, "notes": []any{s}}
	case "recheck":
		plan := documented(t, "plan").(o)["scenes"]
		return o{"rig": s, "lamps": []any{o{"name": s, "set_deg": n, "found_deg": null(n), "off_deg": null(n),
			"within_tolerance": null(b)}}, "before": plan, "after": plan}
	case "check":
		return o{"rig": s, "units": s, "lamps": []any{o{"name": s, "circuit": s, "flux_lm": n, "peak_cd": n}},
			"doubts": []any{s}, "notes": []any{s}}
	case "sheet":
		return o{"rig": s, "document": s, "first_page": n, "pages": n, "pictures": []any{s}}
	case "page":
		return o{"rig": s, "page": s, "bytes": n}
	}
	t.Fatalf("%s is not documented", command)
	return b
}

// fits checks a JSON value against what is documented of it. There may be more keys than that.
func fits(path string, got, want any) error {
	if either, ok := want.([2]any); ok {
		if got == nil {
			return nil
		}
		want = either[0]
	}
	switch want := want.(type) {
	case map[string]any:
		m, ok := got.(map[string]any)
		if !ok {
			return fmt.Errorf("%s is %v, no object", path, got)
		}
		for key, w := range want {
			v, ok := m[key]
			if !ok {
				return fmt.Errorf("%s has no %s", path, key)
			}
			if err := fits(path+"."+key, v, w); err != nil {
				return err
			}
		}
		return nil
	case []any:
		items, ok := got.([]any)
		if !ok {
			return fmt.Errorf("%s is %v, no list", path, got)
		}
		for i, v := range items {
			if err := fits(fmt.Sprintf("%s[%d]", path, i), v, want[0]); err != nil {
				return err
			}
		}
		return nil
	}
	if fmt.Sprintf("%T", got) != fmt.Sprintf("%T", want) {
		return fmt.Errorf("%s is %v, not like %v", path, got, want)
	}
	return nil
}

// oneValue reads the one JSON value that a text must be.
func oneValue(text string) (v any, err error) {
	d := json.NewDecoder(strings.NewReader(text))
	if err := d.Decode(&v); err != nil {
		return nil, err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something follows the value")
	}
	return v, nil
}

// answered asks a command for JSON and reads it: one value, with all keys that are documented.
// There is none where it refuses, which is said without a word of the inside.
func answered(t *testing.T, call ...string) (v any, ok bool) {
	t.Helper()
	out, err := ask(t, append(call, "--json")...)
	if err != nil && speaksOfTheInside(err.Error()) {
		t.Errorf("%v: %v", call, err)
	}
	if err != nil && (out == "" || call[0] != "aim") { // which has an answer where no setting keeps every limit
		if out != "" {
			t.Errorf("%v: %v; printed %s", call, err, out)
		}
		return nil, false
	}
	v, err = oneValue(out)
	if err != nil {
		t.Errorf("%v: %v in %s", call, err, out)
		return nil, false
	}
	if err := fits(call[0], v, documented(t, call[0])); err != nil {
		t.Errorf("%v: %v", call, err)
	}
	return v, true
}

// checkStrange asks all commands about a rig, in every format where all are asked for, and of
// things, or of all that there are.
func checkStrange(t *testing.T, text string, formats bool, things ...string) {
	t.Helper()
	t.Chdir(t.TempDir())
	if err := os.WriteFile("rig.toml", []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	lux := []string{"lux", "rig.toml", "--at", "20m,0", "--at", "100km,-100km,1000m", "--at=-2m,0,0"}
	if _, err := ask(t, lux...); errors.As(err, new(rigfile.Mistakes)) {
		// all else is right by the letter
		if !strings.Contains(err.Error(), "next to no light") || speaksOfTheInside(err.Error()) {
			t.Error(err)
		}
		return
	}
	agree(t, things...)
	for _, call := range [][]string{lux, {"lux", "rig.toml", "--grid", "0.1m"}, {"sheet", "rig.toml", "--png"}} {
		if _, ok := answered(t, call...); !ok {
			t.Errorf("%v has no answer", call)
		}
	}
	if formats {
		answered(t, "aim", "rig.toml", "--speed", "90km/h", "--width", "400") // not every rig can be aimed
		answered(t, "page", "rig.toml")                                       // nor is every eye above the ground
		for _, call := range [][]string{lux, {"check", "rig.toml"}, {"lux", "rig.toml", "--grid", "0.1m"},
			{"plan", "rig.toml", "--width", "400", "--details", "--theme", "paper"},
			{"sight", "rig.toml", "--at", "60m,-2m"}, {"compare", "rig.toml", "rig.toml", "--width", "400"},
			{"aim", "rig.toml", "--width", "400"}} {
			for _, format := range []string{"text", "markdown", "csv"} {
				out, err := ask(t, append(call, "--format", format)...)
				if speaksOfTheInside(out) || err != nil && speaksOfTheInside(err.Error()) {
					t.Errorf("%v --format %s: %v: %s", call, format, err, out)
				}
			}
		}
	}
	// and a view, where there is an eye above ground
	for _, picture := range []string{"top", "side", "wall", "compare", "sheet"} {
		if _, err := os.Stat(filepath.Join("beamfall-out", picture+".png")); err != nil {
			t.Error(err)
		}
	}
}

// strangeRigs is how many rigs are asked about, from which on; on a desk, e.g.
// go test -run TestStrangeRigs ./cmd/beamfall -rigs 500 -timeout 1h.
var (
	strangeRigs = flag.Int("rigs", 0, "strange rigs that all commands are asked about; 4 in a sweep")
	firstRig    = flag.Uint64("first-rig", 0, "number of the first of them")
)

func TestStrangeRigs(t *testing.T) {
	rigs := *strangeRigs
	if *sweep {
		rigs = max(rigs, 4)
	}
	for n := range uint64(rigs) {
		seed := *firstRig + n
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			text := strangeRig(seed)
			start := worked(t)
			t.Cleanup(func() { t.Logf("%.1f processor seconds", worked(t)-start) })
			t.Cleanup(func() {
				if t.Failed() {
					t.Log(text)
				}
			})
			var things []string
			if smallRig(seed) {
				things = []string{"--thing", "person", "--thing", []string{"animal", "rock", "plate", "rut"}[seed%4]}
			}
			checkStrange(t, text, seed%20 == 1, things...)
		})
	}
}
