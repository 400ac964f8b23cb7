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

// Rigs that are right by the letter and strange by the look: every value at the end of its range, at nothing, or as it
// should be, at random. Whatever they say, each command ends with one right JSON value or with a sentence.

// strange writes a rig by chance.
type strange struct {
	*rand.Rand
	b strings.Builder
}

func (s *strange) of(values ...string) string { return values[s.IntN(len(values))] }
func (s *strange) maybe() bool                { return s.IntN(2) == 0 }

// key writes a key with one of the values.
func (s *strange) key(name string, values ...string) {
	if v := s.of(values...); v != "" {
		fmt.Fprintf(&s.b, "%s = %s\n", name, v)
	}
}

func (s *strange) table(name string) { fmt.Fprintf(&s.b, "\n[%s]\n", name) }

func (s *strange) place() string {
	return fmt.Sprintf("{ ahead = %s, left = %s, up = %s }",
		s.of(`"0 m"`, `"-2 m"`, `"-200 m"`, `"200 m"`, `"-0.05 m"`), s.of(`"0 m"`, `"0.6 m"`, `"-0.7 m"`, `"200 m"`, `"-200 m"`),
		s.of(`"0.05 m"`, `"0.8 m"`, `"2.1 m"`, `"30 m"`))
}

func (s *strange) beam() {
	switch s.IntN(4) {
	case 0:
		s.key("spread", `"0.51 deg"`, `"0.6 deg"`, `10`, `36`, `120`, `"174.9 deg"`, `["0.6 deg", "174.9 deg"]`, `[60, 20]`)
		s.key("profile", `"uniform"`, `"cosine"`, `"gaussian"`)
	case 1: // with a field next to the spread, or far from it
		i := s.IntN(4)
		fmt.Fprintf(&s.b, "spread = %s\nfield = %s\n",
			[]string{"0.51", "10", "174.9", "[0.51, 60]"}[i], []string{s.of("0.511", "179.9"), "10.001", "179.9", "[179.9, 60.1]"}[i])
	default:
		s.key("spread", `9`, `36`, `[60, 20]`, `100`)
	}
}

func (s *strange) lamp(i int) {
	s.table("[lamp]")
	s.key("name", fmt.Sprintf("%q", fmt.Sprintf("lamp %d", i)), fmt.Sprintf("%q", strings.Repeat("ö", 60)+fmt.Sprint(i)), fmt.Sprintf("%q", fmt.Sprintf("<&%d|%%s>", i)))
	s.key("circuit", `"a"`, `"b"`, "")
	s.key("at", s.place())
	s.key("pair", "true", "false")
	s.key("tilt", "0", "5", "90", "-90", "89.999", "1e-9", "-3")
	s.key("turn", "0", "0", "180", "90", "-360", "45")
	s.key("roll", "0", "0", "180", "-90", "33")
	s.key("width", "0", `"1 m"`, `"10 m"`, `"1 mm"`, "")
	switch s.IntN(6) {
	case 0:
		s.key("peak", `"1000000000 cd"`, `"1e-9 cd"`, `"1 cd"`, `"45000 cd"`)
	case 1:
		s.key("one_lux_at", `"30 km"`, `"0.04 mm"`, `"300 m"`, `"1 mm"`)
	default:
		s.key("lumens", "10000000", "0.001", "1", "9000", "9000", "9000")
		s.key("output", "1", "0.7", "0.01", "")
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
	shares := [][]string{{"1"}, {"0.6", "0.4"}, {"0.001", "0.999"}, {"0.125", "0.125", "0.125", "0.125", "0.125", "0.125", "0.125", "0.125"}}[s.IntN(4)]
	for _, share := range shares {
		s.table("[lamp.optic]")
		s.key("share", share)
		s.key("span", `"whole"`, `"middle"`, `"ends"`)
		s.beam()
	}
}

// rig is a strange rig.
func (s *strange) rig() string {
	s.key("name", `"strange"`, fmt.Sprintf("%q", strings.Repeat("W", 200)), `"車 — \"<&>|%d"`, "")
	s.key("units", `"metric"`, `"imperial"`)
	s.table("vehicle")
	s.key("length", `"0.5 m"`, `"30 m"`, `"5 m"`, "")
	s.key("width", `"0.3 m"`, `"5 m"`, `"1.9 m"`, "")
	s.key("wheelbase", `"0.3 m"`, `"20 m"`, `"3 m"`)
	s.key("front_overhang", `"0 m"`, `"10 m"`, `"0.9 m"`)
	s.key("nose_up_driven", "20", "-20", "0", "0.6", "")
	if s.maybe() {
		s.key("eye", s.place())
	}
	for range s.IntN(4) {
		s.table("[vehicle.body]")
		s.key("ahead", `["-1.5 m", "-0.2 m"]`, `["-200 m", "200 m"]`, `["-3 m", "-2.999 m"]`, `["1 m", "2 m"]`)
		s.key("left", `["-0.8 m", "0.8 m"]`, `["-200 m", "200 m"]`, `["0 m", "1e-9 m"]`)
		s.key("up", `["0.5 m", "1.1 m"]`, `["0 m", "30 m"]`, `["29.9 m", "30 m"]`, `["0 m", "1e-9 m"]`)
	}
	for i := range 1 + s.IntN(4) {
		s.lamp(i)
	}
	s.table("ground")
	if s.maybe() {
		s.key("grade", `"100 %"`, `"-100 %"`, `"4 %"`, "0", "")
	} else {
		s.key("profile", `[["0 m", "0 m"], ["30 m", "0 m"], ["60 m", "-3 m"]]`, `[["-200 m", "1000 m"], ["10000 m", "-1000 m"]]`,
			`[["0 m", "0 m"], ["0.000001 m", "1000 m"]]`, `[["-200 m", "0 m"], ["5 m", "0 m"], ["5.001 m", "-1000 m"], ["6 m", "1000 m"]]`)
	}
	s.key("cross_fall", `"50 %"`, `"-50 %"`, "0", "0", "")
	s.key("reflectance", "1", "1e-300", "0.2", "")
	if s.maybe() {
		s.table("stopping")
		s.key("reaction", `"0 s"`, `"10 s"`, "")
		s.key("braking", `"0.5 m/s2"`, `"12 m/s2"`, "")
	}
	if s.maybe() {
		s.table("air")
		s.key("visibility", `"10 m"`, `"1000 km"`, `"50 m"`)
	}
	for i := range s.IntN(3) {
		s.table("[scene]")
		s.key("name", fmt.Sprintf(`"scene %d"`, i))
		s.key("circuits", `[]`, "")
	}
	for range s.IntN(3) {
		s.table("[target]")
		s.key("ahead", `["3 m", "15 m"]`, `["-200 m", "200 m"]`, `["199.9 m", "200 m"]`)
		s.key("half_width", `"0 m"`, `"3 m"`, `"50 m"`)
		s.key("lux", "1e-300", "10", "1000000")
		s.key("weight", "1e-300", "1000", "")
		s.key("surface", `"ground"`, `"facing"`, "")
	}
	for range s.IntN(2) {
		s.table("[limit]")
		s.key("at", s.place())
		s.key("lux", "1e-300", "5", "1000000")
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
var inner = []string{"%!", "NaN", "Inf", "strconv", "json:", "panic", "runtime", "interface", "float64", ".go:", "0x", "<nil>", ".tmp"}

func speaksOfTheInside(text string) bool {
	for _, w := range inner {
		if strings.Contains(text, w) {
			return true
		}
	}
	return false
}

// The keys of INTERFACE.md, with a value of the kind that each has: number, text, truth, list of its only item. What may be
// null is in a list of two.
func documented(t *testing.T, command string) any {
	t.Helper()
	null := func(v any) any { return [2]any{v, nil} }
	type o = map[string]any
	const n, s, b = 0.0, "", false
	reach := []any{o{"lux": n, "range_m": null(n)}}
	bodyLight := []any{o{"name": s, "mean_lux": n, "max_lux": n}}
	switch command {
	case "lux":
		return o{"rig": s, "scene": s, "points": []any{o{"ahead_m": n, "left_m": n, "up_m": n, "ground_lux": n, "facing_lux": n,
			"lamps": []any{o{"name": s, "ground_lux": n, "facing_lux": n}}}}}
	case "plan":
		return o{"rig": s, "units": s, "pictures": []any{s}, "notes": []any{s},
			"lamps": []any{o{"name": s, "circuit": s, "ahead_m": n, "left_m": n, "up_m": n, "tilt_deg": n, "turn_deg": n, "flux_lm": n, "peak_cd": n,
				"axis_hit": null(o{"ahead_m": n, "left_m": n, "range_m": n}), "near_m": null(n), "far_m": null(n), "reading_deg": n,
				"wall": null(o{"distance_m": n, "height_m": n, "left_m": n, "drop_m": n}),
				"tolerance": o{"tilt_deg": n, "near_m": null(n), "far_m": null(n),
					"sight": []any{o{"thing": s, "low_m": null(n), "high_m": null(n)}}},
				"peak_ground": null(o{"lux": n, "ahead_m": n, "left_m": n}), "reach": reach, "sky_share": n}},
			"scenes": []any{o{"name": s, "lamps": []any{s}, "reach": reach, "lit_area": []any{o{"lux": n, "area_m2": n}},
				"dark_gaps": []any{o{"from_m": n, "to_m": n}}, "stop": o{"sight_lux": n, "range_m": null(n), "speed_kmh": null(n)},
				"oncoming": []any{o{"ahead_m": n, "eye_lux": null(n), "veil_cd_m2": null(n)}}, "body_light": bodyLight,
				"sight": []any{o{"thing": s, "range_m": null(n), "lost": []any{o{"from_m": n, "to_m": n}}, "stop_kmh": null(n), "nose_up_range_m": null(n),
					"nose_down_range_m": null(n), "without": []any{o{"lamp": s, "range_m": null(n)}}}},
				"hood_hides_m": n, "glow": null(o{"ahead_cd_m2": n, "lamps": []any{o{"name": s, "share": n}}})}},
		}
	case "sight":
		return o{"rig": s, "scene": s, "observer": o{"age": n, "glance_s": n, "visibility_level": n},
			"things": []any{o{"name": s, "range_m": null(n), "lost": []any{o{"from_m": n, "to_m": n}}, "stop_kmh": null(n)}},
			"points": []any{o{"thing": s, "ahead_m": n, "left_m": n, "lux": n, "thing_cd_m2": n, "background_cd_m2": n, "veil_cd_m2": n,
				"veil": o{"ground": n, "body": n, "air": n, "sky": n}, "size_arcmin": n, "threshold_cd_m2": n, "visibility_level": n, "seen": b}}}
	case "aim":
		return o{"rig": s, "scene": s, "fulfilment_before": null(n), "fulfilment_after": null(n),
			"lamps":   []any{o{"name": s, "tilt_before_deg": n, "tilt_after_deg": n, "turn_before_deg": n, "turn_after_deg": n}},
			"targets": []any{o{"name": s, "before": n, "after": n}}, "limits": []any{o{"name": s, "lux_allowed": n, "lux_after": n}}}
	case "compare":
		return o{"columns": []any{o{"title": s, "rig": s, "scene": s, "flux_lm": n, "peak_cd": n, "reach": reach}}, "pictures": []any{s}, "notes": []any{s}}
	case "check":
		return o{"rig": s, "units": s, "lamps": []any{o{"name": s, "circuit": s, "flux_lm": n, "peak_cd": n}}, "doubts": []any{s}, "notes": []any{s}}
	case "sheet":
		return o{"rig": s, "document": s, "first_page": n, "pages": n, "pictures": []any{s}}
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

// checkStrange asks all commands about a rig.
func checkStrange(t *testing.T, text string) {
	t.Helper()
	t.Chdir(t.TempDir())
	if err := os.WriteFile("rig.toml", []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := ask(t, "check", "rig.toml"); errors.As(err, new(rigfile.Mistakes)) {
		if !strings.Contains(err.Error(), "next to no light") || speaksOfTheInside(err.Error()) { // all else is right by the letter
			t.Error(err)
		}
		return
	}
	for _, call := range [][]string{
		{"check", "rig.toml"}, {"lux", "rig.toml", "--at", "20m,0", "--at", "100km,-100km,1000m", "--at=-2m,0,0"}, {"lux", "rig.toml", "--grid", "0.1m"},
		{"sight", "rig.toml", "--at", "60m,-2m", "--thing", "person", "--thing", "rut"},
		{"plan", "rig.toml", "--width", "400", "--theme", "paper"}, {"aim", "rig.toml", "--width", "400"}, {"aim", "rig.toml", "--speed", "90km/h", "--width", "400"},
		{"compare", "rig.toml", "rig.toml", "--width", "400"}, {"sheet", "rig.toml", "--png"},
	} {
		out, err := ask(t, append(call, "--json")...)
		if err != nil {
			// not every rig can be aimed, nor is every eye above the ground
			if call[0] != "aim" && !(call[0] == "sight" && strings.Contains(err.Error(), "eye is not above the ground")) {
				t.Errorf("%v: %v", call, err)
			}
			if out != "" && call[0] != "check" || speaksOfTheInside(err.Error()) {
				t.Errorf("%v: %v; printed %s", call, err, out)
			}
			continue
		}
		v, err := oneValue(out)
		if err != nil {
			t.Errorf("%v: %v in %s", call, err, out)
			continue
		}
		if err := fits(call[0], v, documented(t, call[0])); err != nil {
			t.Errorf("%v: %v", call, err)
		}
		for _, format := range []string{"text", "markdown", "csv"} {
			if call[0] == "plan" && format != "text" || call[0] == "compare" || call[0] == "sheet" || call[0] == "aim" {
				continue
			}
			if out, err := ask(t, append(call, "--format", format)...); err != nil || speaksOfTheInside(out) {
				t.Errorf("%v --format %s: %v: %s", call, format, err, out)
			}
		}
	}
	for _, picture := range []string{"top", "side", "wall", "compare", "sheet"} { // and a view, where there is an eye above ground
		if _, err := os.Stat(filepath.Join("beamfall-out", picture+".png")); err != nil {
			t.Error(err)
		}
	}
}

// strangeRigs is how many rigs are asked about; on a desk, e.g. go test -run TestStrangeRigs ./cmd/beamfall -rigs 500 -timeout 1h.
var strangeRigs = flag.Int("rigs", 1, "strange rigs that all commands are asked about; 20 in a sweep")

func TestStrangeRigs(t *testing.T) {
	rigs := *strangeRigs
	if *sweep {
		rigs = max(rigs, 20)
	}
	for seed := range uint64(rigs) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			s := &strange{Rand: rand.New(rand.NewPCG(seed, 0))}
			text := s.rig()
			checkStrange(t, text)
			if t.Failed() {
				t.Log(text)
			}
		})
	}
}
