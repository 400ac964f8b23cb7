package rigfile

import (
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// openIn opens texts by name, as files.
func openIn(files map[string]string) Open {
	return func(path string) (io.ReadCloser, error) {
		text, ok := files[path]
		if !ok {
			return nil, errors.New("there is no such file")
		}
		return io.NopCloser(strings.NewReader(text)), nil
	}
}

// An invented fleet: a roof bar, bumper spots and a rear lamp.
const fleet = `name = "fleet"

[vehicle]
length = "5 m"
width = "2 m"
eye = { ahead = "-2 m", left = "0.4 m", up = "1.6 m" }

[[vehicle.body]]
name = "hood"
ahead = ["-1.5 m", "-0.2 m"]
left = ["-0.8 m", "0.8 m"]
up = ["0.5 m", "1.1 m"]

[[lamp]]
name = "roof bar"
circuit = "roof"
at = { ahead = "-1.9 m", up = "2 m" }
tilt = "5 deg"
lumens = 16000
spread = 10
field = 20

[[lamp]]
name = "spot"
circuit = "bumper"
at = { up = "0.8 m", left = "0.5 m" }
pair = true
lumens = 3000
spread = 12

[[lamp]]
name = "rear work lamp"
circuit = "rear"
at = { ahead = "-5 m", up = "1.5 m" }
turn = 180
lumens = 1500
spread = 60

[[scene]]
name = "trail"
circuits = ["roof", "bumper"]
[[scene]]
name = "work"
circuits = ["roof", "rear"]

[[target]]
name = "far"
ahead = ["30 m", "90 m"]
half_width = "2 m"
surface = "facing"
lux = 3
`

const truck = `base = "../fleet.toml"
remove = ["rear work lamp"]
name = "truck 7"

[record]
registration = "ABC 7"

[vehicle]
eye.up = "1.7 m"

[[lamp]] # 5 cm higher
name = "roof bar"
at.up = "2.05 m"
peak = "90000 cd" # measured

[[lamp]]
name = "side pod"
circuit = "bumper"
at = { ahead = "-1 m", left = "0.9 m", up = "1 m" }
turn = 35
lumens = 2000
spread = 60

[[target]]
name = "far"
see = "person"
`

func TestOnABase(t *testing.T) {
	rig, err := OpenFile("trucks/7.toml", openIn(map[string]string{"trucks/7.toml": truck, "fleet.toml": fleet}))
	if err != nil {
		t.Fatal(err)
	}
	// The same as one file.
	want := mustRead(t, `name = "truck 7"
[record]
registration = "ABC 7"
[vehicle]
length = "5 m"
width = "2 m"
eye = { ahead = "-2 m", left = "0.4 m", up = "1.7 m" }
[[vehicle.body]]
name = "hood"
ahead = ["-1.5 m", "-0.2 m"]
left = ["-0.8 m", "0.8 m"]
up = ["0.5 m", "1.1 m"]
[[lamp]]
name = "roof bar"
circuit = "roof"
at = { ahead = "-1.9 m", up = "2.05 m" }
tilt = "5 deg"
peak = "90000 cd"
spread = 10
field = 20
[[lamp]]
name = "spot"
circuit = "bumper"
at = { up = "0.8 m", left = "0.5 m" }
pair = true
lumens = 3000
spread = 12
[[lamp]]
name = "side pod"
circuit = "bumper"
at = { ahead = "-1 m", left = "0.9 m", up = "1 m" }
turn = 35
lumens = 2000
spread = 60
[[scene]]
name = "trail"
circuits = ["roof", "bumper"]
[[scene]]
name = "work"
circuits = ["roof"]
[[target]]
name = "far"
ahead = ["30 m", "90 m"]
half_width = "2 m"
see = "person"
`)
	want.Source, want.Base, want.Origins = "trucks/7.toml", "fleet.toml", rig.Origins
	if diff := cmp.Diff(want, rig, noPlaces); diff != "" {
		t.Errorf("(-one file +on a base)\n%s", diff)
	}

	origins := make(map[string]Origin)
	for _, o := range rig.Origins {
		origins[o.Table+": "+o.Key] = o
	}
	for _, o := range []Origin{
		{"", "name", Position{"trucks/7.toml", 3, 1}, Position{"fleet.toml", 1, 1}},
		{"vehicle", "length", Position{"fleet.toml", 4, 1}, Position{}},
		{"vehicle", "eye.up", Position{"trucks/7.toml", 9, 5}, Position{"fleet.toml", 6, 41}},
		{`lamp "roof bar"`, "tilt", Position{"fleet.toml", 18, 1}, Position{}},
		{`lamp "roof bar"`, "peak", Position{"trucks/7.toml", 14, 1}, Position{}},
		{`lamp "side pod"`, "turn", Position{"trucks/7.toml", 20, 1}, Position{}},
	} {
		if got := origins[o.Table+": "+o.Key]; got != o {
			t.Errorf("comes from %+v, want %+v", got, o)
		}
	}
	if _, there := origins[`lamp "roof bar": lumens`]; there {
		t.Error("the flux of the base is there beside the peak")
	}
	wantLines := []string{
		`top of the file: name (line 3, instead of line 1 of the base)`,
		`vehicle: eye.up (line 9, instead of line 6 of the base)`,
		`lamp "roof bar": at.up (line 13, instead of line 17 of the base), peak (line 14)`,
	}
	if diff := cmp.Diff(wantLines, rig.Differs()[:3]); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

// A whole that the base has under the name stands on its own where it was removed first.
func TestRemovedAndGivenAnew(t *testing.T) {
	files := map[string]string{"fleet.toml": fleet, "rig.toml": `base = "fleet.toml"
remove = ["spot", "work", "hood", "far"]
[[lamp]]
name = "spot"
at.up = "1 m"
lumens = 9
spread = 9
[[scene]]
name = "trail"
circuits = []
`}
	rig, err := OpenFile("rig.toml", openIn(files))
	if err != nil {
		t.Fatal(err)
	}
	spot := rig.Lamps[2]
	if len(rig.Lamps) != 3 || spot.Name != "spot" || spot.Pair || spot.Circuit != "spot" {
		t.Errorf("lamps %+v", rig.Lamps)
	}
	if len(rig.Scenes) != 1 || len(rig.Scenes[0].Circuits) != 0 || rig.Body != nil || rig.Targets != nil {
		t.Errorf("scenes %+v, body %+v, targets %+v", rig.Scenes, rig.Body, rig.Targets)
	}
}

// Each rig on the fleet, beside what is said of it.
func TestOnABaseMistakes(t *testing.T) {
	tests := []struct{ name, rig, base, want string }{
		{"in the base", "base = \"fleet.toml\"", strings.Replace(fleet, `"5 deg"`, `"5 m"`, 1),
			`fleet.toml:18:8: lamp "roof bar": tilt: "5 m" is a length, not an angle; write e.g. tilt = "5 deg"`},
		{"in the base, where it does not count", "base = \"fleet.toml\"\n[[lamp]]\nname = \"roof bar\"\ntilt = 4",
			strings.Replace(fleet, `"5 deg"`, `"5 m"`, 1), ""},
		{"in both", "base = \"fleet.toml\"\n[vehicle]\nwidth = 2", strings.Replace(fleet, `"5 deg"`, `"5 m"`, 1),
			`rig.toml:3:9: vehicle: width: 2 has no unit; write e.g. width = "1.9 m"` + "\n" +
				`fleet.toml:18:8: lamp "roof bar": tilt: "5 m" is a length, not an angle; write e.g. tilt = "5 deg"`},
		{"base is not TOML", "base = \"fleet.toml\"\nwidth = 2", "name = \"fleet",
			`fleet.toml:1:13: a text is not closed on its line; put a " at its end`},
		{"no base there", "base = \"feet.toml\"", fleet,
			`rig.toml:1:8: base: there is no such file; name a file as seen from this one`},
		{"base of a base", "base = \"fleet.toml\"", "base = \"other.toml\"\n" + fleet,
			`fleet.toml:1:8: base: is given in a file that is a base itself; only the file that names the base has it`},
		{"base of itself", "base = \"rig.toml\"" + oneLamp, "",
			`rig.toml:1:8: base: is given in a file that is a base itself; only the file that names the base has it`},
		{"remove without base", "remove = [\"spot\"]" + oneLamp, "",
			`rig.toml:1:1: remove: is given without base; give both or neither`},
		{"remove what is not there", "base = \"fleet.toml\"\nremove = [\"spots\"]", fleet,
			`rig.toml:2:11: remove: nothing in fleet.toml is named "spots"; did you mean "spot"?`},
		{"a new lamp misses what it needs", "base = \"fleet.toml\"\n[[lamp]]\nname = \"roof bra\"\ntilt = 4", fleet,
			`rig.toml:2:3: lamp "roof bra": at is missing; write e.g. at = { ahead = "-1.9 m", left = "0 m", up = "2.05 m" }` + "\n" +
				`rig.toml:2:3: lamp "roof bra": none of lumens, peak, one_lux_at is given; write e.g. lumens = 16000` +
				"\n" +
				`rig.toml:2:3: lamp "roof bra": none of spread, photometry, optic is given; write e.g. spread = "10 deg"`},
		// the second is the one too many
		{"a lamp twice", "base = \"fleet.toml\"\n" + strings.Repeat("[[lamp]]\nname = \"spot\"\n", 2), fleet,
			`rig.toml:4:3: lamp "spot": at is missing; write e.g. at = { ahead = "-1.9 m", left = "0 m", up = "2.05 m" }` + "\n" +
				`rig.toml:4:3: lamp "spot": none of lumens, peak, one_lux_at is given; write e.g. lumens = 16000` +
				"\n" +
				`rig.toml:4:3: lamp "spot": none of spread, photometry, optic is given; write e.g. spread = "10 deg"` +
				"\n" +
				`rig.toml:5:1: lamp "spot": the lamp in line 2 has this name as well; give each lamp a name of its own`},
		{"a circuit of the rig alone", "base = \"fleet.toml\"\n[[lamp]]\nname = \"roof bar\"\ncircuit = \"top\"", fleet,
			`fleet.toml:41:13: scene "trail": circuits: no lamp is on a circuit "roof"; there are "top", "bumper", "rear"` + "\n" +
				`fleet.toml:44:13: scene "work": circuits: no lamp is on a circuit "roof"; there are "top", "bumper", "rear"`},
		{"an address", "base = \"https://fleet.toml\"" + oneLamp, fleet,
			`rig.toml:1:8: base: "https://fleet.toml" is an address, not a file; write e.g. base = "fleet.toml"`},
		{"no rig", "base = \"../secrets\"" + oneLamp, fleet,
			`rig.toml:1:8: base: "../secrets" does not end in .toml; write e.g. base = "fleet.toml"`},
	}
	for _, test := range tests {
		_, err := OpenFile("rig.toml", openIn(map[string]string{"rig.toml": test.rig, "fleet.toml": test.base}))
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != test.want {
			t.Errorf("%s:\n got %s\nwant %s", test.name, got, test.want)
		}
	}
}

// A rewritten rig says only what differs from its base, and reads to what was asked for.
func TestRewriteOnABase(t *testing.T) {
	tests := []struct{ name, rig, want string }{
		{"its own lamp", "base = \"fleet.toml\"\n[[lamp]] # ours\nname = \"roof bar\"\ntilt = 3 # flat\n[[lamp]]\n" +
			"name = \"spot\"",
			"base = \"fleet.toml\"\n[[lamp]] # ours\nname = \"roof bar\"\ntilt = 4.5 # flat\n[[lamp]]\nname = " +
				"\"spot\"\ntilt = \"1 deg\""},
		{"a lamp of the base", "base = \"fleet.toml\" # all of it\n",
			"base = \"fleet.toml\" # all of it\n\n[[lamp]]\nname = \"roof bar\"\ntilt = \"4.5 deg\"\n\n[[lamp]]\n" +
				"name = \"spot\"\ntilt = \"1 deg\"\n"},
		{"without a newline, CRLF", "# ours\r\nbase = \"fleet.toml\"\r\n[air]\r\nvisibility = \"2 km\"",
			"# ours\r\nbase = \"fleet.toml\"\r\n[air]\r\nvisibility = \"2 km\"\r\n\r\n[[lamp]]\r\nname = \"roof " +
				"bar\"\r\ntilt = \"4.5 deg\"\r\n" +
				"\r\n[[lamp]]\r\nname = \"spot\"\r\ntilt = \"1 deg\"\r\n"},
		{"lamps in a list", "base = \"fleet.toml\"\nlamp = [{ name = \"spot\" }]\n",
			"base = \"fleet.toml\"\nlamp = [{ name = \"spot\", tilt = \"1 deg\" }, { name = \"roof bar\", tilt = " +
				"\"4.5 deg\" }]\n"},
		{"lamps in a list with a comma at its end", "base = \"fleet.toml\"\nlamp = [{ name = \"spot\" },]\n",
			"base = \"fleet.toml\"\nlamp = [{ name = \"spot\", tilt = \"1 deg\" },{ name = \"roof bar\", tilt = " +
				"\"4.5 deg\" }]\n"},
	}
	for _, test := range tests {
		files := map[string]string{"rig.toml": test.rig, "fleet.toml": fleet}
		rig, err := OpenFile("rig.toml", openIn(files))
		if err != nil {
			t.Fatalf("%s: %v", test.name, err)
		}
		changes := []Change{{Lamp: "roof bar", Tilt: angle(4.5)}, {Lamp: "spot", Tilt: angle(1)},
			{Lamp: "rear work lamp", Turn: angle(180)}}
		got, err := rig.Rewrite(changes)
		if err != nil || string(got) != test.want {
			t.Errorf("%s: %v\n got %q\nwant %q", test.name, err, got, test.want)
			continue
		}
		files["rig.toml"] = string(got)
		again, err := OpenFile("rig.toml", openIn(files))
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		for i, tilt := range []float64{4.5, 1, 0} {
			if l := again.Lamps[i]; l.Tilt.Value != deg(tilt) || l.Lumens != rig.Lamps[i].Lumens {
				t.Errorf("%s: %s is %+v", test.name, l.Name, l)
			}
		}
	}
}

func TestRewriteOnABaseRefuses(t *testing.T) {
	files := map[string]string{"rig.toml": "base = \"fleet.toml\"", "fleet.toml": oneLamp}
	rig, err := OpenFile("rig.toml", openIn(files))
	if err != nil {
		t.Fatal(err)
	}
	_, err = rig.Rewrite([]Change{{Lamp: "lamp 1", Tilt: angle(1)}})
	const want = `lamp "lamp 1": has no name in fleet.toml, by which this file could say what differs; give it one there`
	if err == nil || err.Error() != want {
		t.Errorf("\n got %v\nwant %s", err, want)
	}
}

// What a mailed rig must not make anybody open. Nothing is opened.
func TestFilesThatAreRefused(t *testing.T) {
	for _, name := range []string{
		`\\host\share\a.ies`, "//host/share/a.ies", `\\.\PhysicalDrive0`, `\\?\C:\a.ies`, "http://host/a.ies",
		"file:///a.ies",
		"/dev/zero", "/proc/self/environ", "/sys/a.ies", "/tmp/../dev/zero", "NUL", "com1.ies", "sub/aux.toml",
	} {
		_, err := Resolve("rigs/rig.toml", name)
		_, read := Read(strings.NewReader("[[lamp]]\nat.up = \"1 m\"\nphotometry = '"+name+"'"), "rig.toml")
		_, flag := ParseLamp("up=1m,photometry="+name, 0)
		if err == nil || read == nil || flag == nil || !errors.As(read, new(Mistakes)) {
			t.Errorf("%s: resolved %v, read %v, as a lamp %v", name, err, read, flag)
		}
	}
	for _, tt := range []struct {
		name, path string
		inside     bool
	}{
		{"a.ies", "rigs/a.ies", true}, {"sub/a.ies", "rigs/sub/a.ies", true}, {"sub/../a.ies", "rigs/a.ies", true},
		{"../a.ies", "a.ies", false}, {"/lamps/a.ies", "/lamps/a.ies", false}, {"../rigs/a.ies", "rigs/a.ies", true},
		{"auxiliary.ies", "rigs/auxiliary.ies", true}, {"development/a.ies", "rigs/development/a.ies", true},
	} {
		path, err := Resolve("rigs/rig.toml", tt.name)
		if err != nil || path != tt.path || Inside("rigs/rig.toml", path) != tt.inside {
			t.Errorf("%s: %s, %v; want %s, inside %v", tt.name, path, err, tt.path, tt.inside)
		}
	}
}
