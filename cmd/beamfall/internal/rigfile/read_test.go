package rigfile

import (
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"beamfall/beam/headlight"
	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/units"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func deg(degrees float64) float64 { return degrees * math.Pi / 180 }

func given[T any](v T) Opt[T]     { return Opt[T]{v, true} }
func byDefault[T any](v T) Opt[T] { return Opt[T]{v, false} }

// near compares numbers to eleven figures.
var near = cmpopts.EquateApprox(1e-11, 1e-300)

// noPlaces compares rigs without where in a file they stand.
var noPlaces = cmp.Options{
	cmpopts.IgnoreTypes(Position{}), cmpopts.IgnoreUnexported(Rig{}, Lamp{}),
}

func mustRead(t *testing.T, text string) *Rig {
	t.Helper()
	rig, err := Read(strings.NewReader(text), "rig.toml")
	if err != nil {
		t.Fatal(err)
	}
	return rig
}

// A rig with every key, as the interface has it, in three lamps because some keys exclude each
// other.
const everyKey = `
name  = "forest rig"
units = "imperial"

[record]
registration = "ABC 123"
vehicle = "crew cab"
installer = "J. Doe"
meter = "digital level no. 4"

[driver]
age = 58
glance = "300 ms"
visibility_level = 7

[vehicle]
length = "5.2 m"
width  = "1.9 m"
wheelbase = "3.1 m"
front_overhang = "0.9 m"
eye = { ahead = "-2.1 m", left = "0.4 m", up = "1.65 m" }
nose_up_driven = "0.8 deg"
pitch = "1 deg"

[[vehicle.body]]
name = "hood"
ahead = ["-1.5 m", "-0.2 m"]
left  = ["-0.8 m", "0.8 m"]
up    = ["0.5 m", "1.15 m"]

[[lamp]]
name    = "roof bar"
circuit = "roof"
at      = { ahead = "-1.9 m", left = "0 m", up = "2.05 m" }
pair    = false
tilt    = "5 deg"
turn    = "-1 deg"
roll    = 2
width   = "1.0 m"
lumens  = 16000
output  = 0.7
tilt_range = ["0 deg", "12 deg"]
tilt_step  = "0.25 deg"
turn_range = ["0 deg", "0 deg"]
turn_step  = "2 deg"
[[lamp.optic]]
share = 0.6
spread = "10 deg"
field = "22 deg"
span = "middle"
[[lamp.optic]]
share = 0.4
spread = ["36 deg", 14]
profile = "cosine"
span = "ends"

[[lamp]]
name = "side"
at.left = "0.9 m"
at.up = "6'3\""
pair = true
peak = "45000 cd"
spread = 10
field = "20°"

[[lamp]]
at = { up = "1 m" }
photometry = "file.ies"

[headlights]
at   = { ahead = "-0.25 m", left = "0.65 m", up = "0.8 m" }
beam = "high"
rule = "FMVSS 108"
strength = 1.5
dip  = "1.3 %"
traffic = "left"

[[scene]]
name = "trail"
circuits = ["roof", "lamp 3", "headlights"]
[[scene]]
circuits = []
[[scene]]
name = "all of it"

[ground]
cross_fall = "-1 %"
profile = [["0 m","0 m"], ["30 m","0 m"], ["60 m","-3 m"]]
reflectance = "15 %"
slope = "-8 %"

[track]
bend = "60 m left"
from = "20 m"
width = "3.5 m"

[[thing]]
name = "calf"
width = "1 m"
height = "0.8 m"
reflectance = 0.3
[[thing]]
name = "rut"
width = "2 m"
height = "40 cm"
reflectance = "2 %"
lies = true

[stopping]
reaction = "2 s"
braking = "4 m/s2"

[air]
visibility = "2 km"
particles = "dust"
sky = "0.01 cd/m2"

[[target]]
name = "near track"
ahead = ["3 m", "15 m"]
half_width = "3 m"
surface = "facing"
up = "0.5 m"
lux = 10
weight = 2
[[target]]
ahead = ["3 m", "15 m"]
half_width = "3 m"
lux = "1 lx"
[[target]]
ahead = ["30 m", "180 m"]
half_width = "2 m"
see = "calf"

[[limit]]
name = "oncoming eye"
at = { ahead = "50 m", left = "3.5 m", up = "1.1 m" }
lux = 5
scene = "trail"
[[limit]]
at = { along = "80 m", up = "1.5 m" }
lux = 10

[aim]
worst_pitch = true
`

func TestReadEveryKey(t *testing.T) {
	want := &Rig{
		Source: "rig.toml",
		Name:   "forest rig",
		Units:  given(units.Imperial),
		Record: Record{given("ABC 123"), given("crew cab"), given("J. Doe"), given("digital level no. 4")},
		Driver: Driver{Age: given(58.0), Glance: given(0.3), VisibilityLevel: given(7.0)},
		Vehicle: Vehicle{
			Length: given(5.2), Width: given(1.9), Wheelbase: given(3.1), FrontOverhang: given(0.9),
			Eye: given(Point{-2.1, 0.4, 1.65}), NoseUpDriven: given(deg(0.8)), Pitch: given(deg(1)),
		},
		Body: []Box{{Name: "hood", Ahead: Interval{-1.5, -0.2}, Left: Interval{-0.8, 0.8}, Up: Interval{0.5, 1.15}}},
		Lamps: []Lamp{{
			Name: "roof bar", Circuit: "roof", At: Point{-1.9, 0, 2.05},
			Tilt: given(deg(5)), Turn: given(deg(-1)), Roll: given(deg(2)), Width: given(1.0),
			Lumens: given(16000.0), Output: given(0.7),
			Optics: []Optic{
				{Share: 0.6, Spread: Angles{deg(10), deg(10)}, Field: given(Angles{deg(22), deg(22)}),
					Profile: Gaussian, Span: Middle},
				{Share: 0.4, Spread: Angles{deg(36), deg(14)}, Profile: Cosine, Span: Ends},
			},
			TiltRange: given(Interval{0, deg(12)}), TiltStep: given(deg(0.25)),
			TurnRange: given(Interval{0, 0}), TurnStep: given(deg(2)),
		}, {
			Name: "side", Circuit: "side", At: Point{0, 0.9, 1.905}, Pair: true, Peak: given(45000.0),
			Output: byDefault(1.0),
			Optics: []Optic{{
				Share: 1, Spread: Angles{deg(10), deg(10)}, Field: given(Angles{deg(20), deg(20)}), Profile: Gaussian,
				Span: Whole,
			}},
			TiltStep: byDefault(deg(0.5)), TurnStep: byDefault(deg(1)),
		}, {
			Name: "lamp 3", Circuit: "lamp 3", At: Point{0, 0, 1}, Photometry: "file.ies", Output: byDefault(1.0),
			TiltStep: byDefault(deg(0.5)), TurnStep: byDefault(deg(1)),
		}},
		Headlights: given(Headlights{
			At: given(Point{-0.25, 0.65, 0.8}), Beam: High, Rule: headlight.FMVSS108, Strength: given(1.5),
			Dip: given(0.013), Traffic: given(LeftSide),
		}),
		Scenes: []Scene{
			{Name: "trail", Circuits: []string{"roof", "lamp 3", "headlights"}, Given: true},
			{Name: "scene 2", Circuits: []string{}, Given: true},
			{Name: "all of it", Circuits: []string{"roof", "side", "lamp 3", "headlights"}, Given: true},
		},
		Ground: Ground{
			Grade: byDefault(0.0), CrossFall: given(-0.01), Profile: []GroundPoint{{0, 0}, {30, 0}, {60, -3}},
			Reflectance: given(0.15),
			Slope:       given(-0.08),
		},
		Track: geometry.Track{Radius: 60, Left: true, From: 20, Width: 3.5},
		Things: []sight.Thing{
			{Name: "calf", Width: 1, Height: 0.8, Reflectance: 0.3},
			{Name: "rut", Width: 2, Height: 0.4, Reflectance: 0.02, Lies: true},
		},
		Stopping: Stopping{Reaction: given(2.0), Braking: given(4.0)},
		Air:      Air{Visibility: given(2000.0), Particles: sight.Dust, Sky: given(0.01)},
		Targets: []Target{
			{Name: "near track", Ahead: Interval{3, 15}, HalfWidth: 3, Surface: Facing, Up: given(0.5), Lux: 10,
				Weight: given(2.0)},
			{Name: "target 2", Ahead: Interval{3, 15}, HalfWidth: 3, Surface: OnGround, Up: byDefault(0.6), Lux: 1,
				Weight: byDefault(1.0)},
			{Name: "target 3", Ahead: Interval{30, 180}, HalfWidth: 2, Surface: OnGround, Up: byDefault(0.6),
				See: "calf", Weight: byDefault(1.0)},
		},
		Limits: []Limit{{Name: "oncoming eye", At: Point{50, 3.5, 1.1}, Lux: 5, Scene: "trail"},
			{Name: "limit 2", At: Point{0, 0, 1.5}, Along: given(80.0), Lux: 10}},
		Aim: Aim{WorstPitch: true},
	}
	got := mustRead(t, everyKey)
	if diff := cmp.Diff(want, got, near, noPlaces); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if got, want := got.Lamps[1].Pos, (Position{"rig.toml", 57, 3}); got != want {
		t.Errorf("the second lamp is at %v, want %v", got, want)
	}
}

// allKeys are the keys of a section and of those within it.
func allKeys(s *section) (keys []*key) {
	for i := range s.keys {
		keys = append(keys, &s.keys[i])
		if inner := s.keys[i].section(); inner != nil {
			keys = append(keys, allKeys(inner)...)
		}
	}
	return keys
}

// everyKey holds every key of the format, or the test above would miss some.
func TestEveryKeyIsComplete(t *testing.T) {
	for _, k := range allKeys(rigSection(new(Rig))) {
		// driven, grade and the two other strengths are read in TestAlternatives, base and remove
		// in TestOnABase
		if !slices.Contains([]string{"grade", "one_lux_at", "rear", "base", "remove"}, k.name) &&
			!strings.Contains(everyKey, k.name) {
			t.Errorf("%s is not in the rig with every key", k.name)
		}
	}
}

func TestAlternatives(t *testing.T) {
	rig := mustRead(t, `
[vehicle]
wheelbase = "3 m"
front_overhang = "0.9 m"
driven = { front = "4 mm", rear = "-38 mm" }
[ground]
grade = "4 %"
[track]
bend = "200 ft right"
[[lamp]]
at.up = "1 m"
one_lux_at = "300 m"
spread = 10
[[lamp]]
at.up = "1 m"
photometry = "file.ies"
lumens = 3000
`)
	if got := rig.Ground.Grade; got != given(0.04) {
		t.Errorf("grade %v, want 0.04", got)
	}
	if got := rig.Vehicle.Driven; got != given(Driven{0.004, -0.038}) {
		t.Errorf("driven %v, want 4 mm and -38 mm", got)
	}
	if got, want := rig.Track, (geometry.Track{Radius: 60.96, Width: 4}); got != want {
		t.Errorf("track %v, want %v", got, want)
	}
	if got := rig.Lamps[0].OneLuxAt; got != given(300.0) {
		t.Errorf("one_lux_at %v, want 300", got)
	}
	if got := rig.Lamps[1]; got.Lumens != given(3000.0) || got.Photometry != "file.ies" || len(got.Optics) != 0 {
		t.Errorf("a lamp with photometry and lumens: %+v", got)
	}
}

// A vehicle may have its headlights alone.
func TestHeadlightsAlone(t *testing.T) {
	rig := mustRead(t, "[headlights]")
	if len(rig.Lamps) != 0 || len(rig.Scenes) != 1 ||
		!slices.Equal(rig.Scenes[0].Circuits, []string{HeadlightCircuit}) {
		t.Errorf("%+v", rig)
	}
}

const oneLamp = `
[[lamp]]
at.up = "2 m"
lumens = 9000
spread = 10
`

func TestDefaults(t *testing.T) {
	rig := mustRead(t, oneLamp)
	lamp := Lamp{
		Name: "lamp 1", Circuit: "lamp 1", At: Point{0, 0, 2}, Lumens: given(9000.0), Output: byDefault(1.0),
		Optics:   []Optic{{Share: 1, Spread: Angles{deg(10), deg(10)}, Profile: Gaussian, Span: Whole}},
		TiltStep: byDefault(deg(0.5)), TurnStep: byDefault(deg(1)),
	}
	want := &Rig{
		Source:  "rig.toml",
		Name:    "rig", // after the file
		Vehicle: Vehicle{Length: byDefault(4.8), Width: byDefault(1.9), Eye: byDefault(Point{-2, 0.4, 1.5})},
		Driver:  Driver{Age: byDefault(40.0), Glance: byDefault(0.2), VisibilityLevel: byDefault(10.0)},
		Headlights: byDefault(Headlights{
			At: byDefault(Point{-0.3, 0.7, 0.75}), Beam: Low, Rule: headlight.UNR149, Strength: byDefault(1.0),
			Dip:     byDefault(0.01),
			Traffic: byDefault(RightSide),
		}),
		Track:    geometry.Track{Width: 4},
		Air:      Air{Sky: byDefault(0.001)},
		Lamps:    []Lamp{lamp},
		Scenes:   []Scene{{Name: "all lamps", Circuits: []string{"lamp 1"}}},
		Ground:   Ground{Reflectance: byDefault(0.2)},
		Stopping: Stopping{Reaction: byDefault(2.5), Braking: byDefault(3.4)}, // AASHTO
	}
	if diff := cmp.Diff(want, rig, near, noPlaces); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

// What editors and systems do to files does not change what they mean.
func TestReadAnyEditorsFile(t *testing.T) {
	want := mustRead(t, everyKey)
	for name, text := range map[string]string{
		"CRLF":              strings.ReplaceAll(everyKey, "\n", "\r\n"),
		"byte order mark":   "\ufeff" + everyKey,
		"no newline at end": strings.TrimSpace(everyKey),
		"tabs":              strings.ReplaceAll(everyKey, " = ", "\t=\t"),
		"minus signs":       strings.ReplaceAll(everyKey, `"-`, "\"\u2212"),
		"literal strings":   strings.ReplaceAll(everyKey, `"5 deg"`, `'5 deg'`),
		"inline lamps": strings.ReplaceAll(everyKey, "[[lamp]]\nat = { up = \"1 m\" }\nphotometry = \"file.ies\"",
			"[[lamp]]\nphotometry = \"file.ies\"\n[lamp.at]\nup = \"1 m\""),
	} {
		if diff := cmp.Diff(want, mustRead(t, text), noPlaces); diff != "" {
			t.Errorf("%s: (-want +got)\n%s", name, diff)
		}
	}
}

func TestReadLampsInBraces(t *testing.T) {
	want := mustRead(t, oneLamp)
	got := mustRead(t, `lamp = [ { at = { up = "2 m" }, lumens = 9_000, spread = 1e1 } ]`)
	if diff := cmp.Diff(want, got, noPlaces); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func TestReadFails(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, err := Read(iotest.ErrReader(broken), "rig.toml")
	if !errors.Is(err, broken) || !strings.Contains(err.Error(), "rig.toml") {
		t.Errorf("a reader that fails gave %v", err)
	}
	if errors.As(err, new(Mistakes)) {
		t.Error("a reader that fails is no mistake in the file")
	}
}

func TestDemoAndStarter(t *testing.T) {
	demo, err := os.ReadFile("../../demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	if rig := mustRead(t, string(demo)); len(rig.Lamps) < 5 || len(rig.Scenes) < 3 || len(rig.Targets) == 0 ||
		len(rig.Limits) == 0 {
		t.Errorf("the demo shows too little: %d lamps, %d scenes, %d targets, %d limits",
			len(rig.Lamps), len(rig.Scenes), len(rig.Targets), len(rig.Limits))
	}

	// The starter reads as it is, names every key, and reads with its settings switched on, other
	// than alternatives.
	mustRead(t, string(Starter()))
	var on strings.Builder
	for line := range strings.Lines(string(Starter())) {
		setting, off := strings.CutPrefix(line, "#")
		if !off || strings.HasPrefix(setting, " ") || strings.TrimSpace(setting) == "" ||
			strings.Contains(line, "# or ") && !strings.Contains(line, "surface") {
			setting = line
		}
		on.WriteString(setting)
	}
	rig := mustRead(t, on.String())
	if len(rig.Things) != 1 || !rig.Headlights.Given || rig.Track.Straight() || rig.Air.Particles != sight.Dust ||
		!rig.Aim.WorstPitch {
		t.Error("the starter's things, headlights, track, air or aim do not switch on")
	}
	if len(rig.Lamps) != 3 || len(rig.Targets) != 3 || len(rig.Limits) != 1 || !rig.Air.Visibility.Given ||
		!rig.Vehicle.NoseUpDriven.Given {
		t.Error("the starter's settings do not switch on")
	}
	for _, k := range allKeys(rigSection(new(Rig))) {
		if !strings.Contains(string(Starter()), k.name) {
			t.Errorf("the starter does not speak of %s", k.name)
		}
	}
}
