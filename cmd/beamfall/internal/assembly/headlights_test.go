package assembly

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"beamfall/beam"
	"beamfall/beam/headlight"
	"beamfall/cmd/beamfall/internal/rigfile"
)

const degree = math.Pi / 180

// The file's headlights: a pair behind all other lamps, lit where a scene names their circuit.
func TestHeadlights(t *testing.T) {
	r := assembled(t, lamp+"lumens = 1000\nspread = 10\ncircuit = \"roof\"\n"+`
[headlights]
at = { ahead = "-0.4 m", left = "0.65 m", up = "0.8 m" }
rule = "FMVSS 108"
strength = 1.5
dip = "1.3 %"
traffic = "left"
[[scene]]
name = "road"
circuits = ["headlights"]
[[scene]]
name = "trail"
circuits = ["roof", "headlights"]
[[scene]]
name = "camp"
circuits = ["roof"]
`)
	if len(r.Lamps) != 3 || r.Lamps[1].Name != "headlight (left)" || r.Lamps[2].Name != "headlight (right)" {
		t.Fatalf("lamps: %+v", r.Lamps)
	}
	left, right := r.Lamps[1], r.Lamps[2]
	if left.At.X != -0.4 || left.At.Y != 0.65 || left.At.Z != 0.8 || right.At.Y != -0.65 {
		t.Errorf("they are at %v and %v", left.At, right.At)
	}
	// 1.3 % is 0.7448°, 1 % is 0.5729° (algebra); both hang alike.
	for _, l := range []Lamp{left, right} {
		if math.Abs(l.Aim.Tilt/degree-0.1719) > 1e-4 || l.Aim.Turn != 0 || l.Aim.Roll != 0 || l.Width != 0 {
			t.Errorf("%s is aimed %+v", l.Name, l.Aim)
		}
		want := headlight.Low(headlight.FMVSS108, headlight.KeepLeft).Times(1.5)
		if got := l.Beam(); got.Peak() != want.Peak() ||
			got.Candela(0.99, 0.1, -0.02) != want.Candela(0.99, 0.1, -0.02) {
			t.Errorf("%s has another beam", l.Name)
		}
	}
	var lit [][]int
	for _, s := range r.Scenes {
		lit = append(lit, s.Lamps)
	}
	if !slices.EqualFunc(lit, [][]int{{1, 2}, {0, 1, 2}, {0}}, slices.Equal) {
		t.Errorf("lit: %v", lit)
	}
	// They are in no table of settings.
	if !slices.Equal(r.Shown, []int{0}) || r.IsHeadlight(0) || !r.IsHeadlight(1) {
		t.Errorf("shown: %v", r.Shown)
	}
	if note := strings.Join(r.Notes(), "\n"); !strings.Contains(note,
		"1.5 times the minimum of FMVSS 108; lamps in use give more or less") {
		t.Errorf("notes: %s", note)
	}
	if err := r.Choose([]string{"road"}); err != nil || len(r.Shown) > 0 {
		t.Errorf("%v, shown: %v", err, r.Shown)
	}
	if err := r.Only("headlight"); err != nil || len(r.Scenes[0].Lamps) != 2 ||
		r.EntryOf(2).Circuit != rigfile.HeadlightCircuit {
		t.Errorf("%v", err)
	}
}

func TestHeadlightsAsTheyComeAndHighBeams(t *testing.T) {
	r := assembled(t, lamp+"lumens = 1000\nspread = 10\n[headlights]\n")
	if r.Lamps[1].Aim.Tilt != 0 || r.Lamps[1].Beam().Flux() != headlight.Low(headlight.UNR149,
		headlight.KeepRight).Flux() {
		t.Errorf("as they come: %+v", r.Lamps[1])
	}
	if !slices.Equal(r.Scenes[0].Lamps, []int{0, 1, 2}) {
		t.Errorf("a rig without scenes lights %v", r.Scenes[0].Lamps)
	}
	r = assembled(t, lamp+"lumens = 1000\nspread = 10\n[headlights]\nbeam = \"high\"\ndip = \"2 %\"\n")
	if l := r.Lamps[1]; l.Aim.Tilt != 0 || !beam.Falls(l.Beam()) ||
		l.Beam().Flux() != headlight.High(headlight.UNR149).Flux() {
		t.Errorf("high beam: %+v", l)
	}
	if r = assembled(t, lamp+"lumens = 1000\nspread = 10\n"); len(r.Lamps) != 1 || r.HeadlightNote() != "" {
		t.Error("headlights that nobody asked for")
	}
}

// Headlights are built into the body: in a box, they shine from its front, at the place that they
// have there.
func TestHeadlightsInTheBody(t *testing.T) {
	r := assembled(t, lamp+"lumens = 1000\nspread = 10\n[headlights]\n[[vehicle.body]]\nahead = [\"-1.5 m\", "+
		"\"-0.2 m\"]\n"+
		"left = [\"-0.8 m\", \"0.8 m\"]\nup = [\"0.5 m\", \"1.1 m\"]\n")
	for _, l := range r.Lamps[1:] {
		if l.At.X != -0.2 || math.Abs(l.At.Y) != 0.7 || l.At.Z != 0.75 {
			t.Errorf("%s is at %v", l.Name, l.At)
		}
	}
	if lux := r.Lit(Scene{Lamps: []int{1, 2}}).FacingLux(25, 0, 0.4); lux < 5 {
		t.Errorf("%g lx before the vehicle", lux)
	}
}

// The circuits of a scene in the order in which it is built up.
func TestCircuits(t *testing.T) {
	text := lamp + "lumens = 1000\nspread = 10\ncircuit = \"roof\"\n" +
		"[[lamp]]\nat = { up = \"1 m\" }\nlumens = 9\nspread = 9\ncircuit = \"bumper\"\n[headlights]\n"
	pod, err := rigfile.ParseAdded("name=pod,pair=true,left=0.5m,up=1m,spread=9,lumens=9", 0)
	if err != nil {
		t.Fatal(err)
	}
	for scene, want := range map[string]string{
		"": "headlights [2 3]; roof [0]; bumper [1]",
		"[[scene]]\ncircuits = [\"bumper\", \"roof\"]\n":       "bumper [1]; roof [0]",
		"[[scene]]\ncircuits = [\"bumper\", \"headlights\"]\n": "headlights [2 3]; bumper [1]",
		"added": "headlights [4 5]; roof [0]; bumper [1]; pod [2 3]",
	} {
		file, err := rigfile.Read(strings.NewReader(text+strings.TrimPrefix(scene, "added")), "rig.toml")
		if err != nil {
			t.Fatal(err)
		}
		if scene == "added" {
			if err := file.Add([]rigfile.Lamp{pod}); err != nil {
				t.Fatal(err)
			}
		}
		r, err := Assemble(file, nil)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, c := range r.Circuits(r.Scenes[0]) {
			got = append(got, fmt.Sprint(c.Name, " ", c.Lamps))
		}
		if text := strings.Join(got, "; "); text != want {
			t.Errorf("%q: %s, want %s", scene, text, want)
		}
	}
}
