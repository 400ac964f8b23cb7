package assembly

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"beamfall/beam"
	"beamfall/beam/lm63"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/units"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r3"
)

// assembled is a rig put together from the text of a file.
func assembled(t *testing.T, text string) *Rig {
	t.Helper()
	file, err := rigfile.Read(strings.NewReader(text), "rig.toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := Assemble(file, func(string) (io.ReadCloser, error) { return nil, errors.New("there are no other files") })
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const lamp = "[[lamp]]\nname = \"bar\"\nat = { up = \"2 m\" }\n"

// "middle": the central share of the width; "ends": what that leaves, half on either side. A
// stretch of the width is from -1 (right end) to 1 (left end), so a central share of 0.6 is from
// -0.6 to 0.6.
func TestSpansOfOptics(t *testing.T) {
	optic := func(share, span string) string {
		return "[[lamp.optic]]\nspread = 10\nshare = " + share + "\nspan = \"" + span + "\"\n"
	}
	tests := []struct {
		what   string
		optics []string
		want   [][]geometry.Span
	}{
		{"one is whole", []string{optic("1", "whole")}, [][]geometry.Span{nil}},
		{"the ends are what the middle leaves", []string{optic("0.6", "middle"), optic("0.4", "ends")},
			[][]geometry.Span{{{From: -0.6, To: 0.6}}, {{From: -1, To: -0.6}, {From: 0.6, To: 1}}}},
		{"in any order", []string{optic("0.4", "ends"), optic("0.6", "middle")},
			[][]geometry.Span{{{From: -1, To: -0.6}, {From: 0.6, To: 1}}, {{From: -0.6, To: 0.6}}}},
		{"ends without a middle take their own share", []string{optic("0.7", "whole"), optic("0.3", "ends")},
			[][]geometry.Span{nil, {{From: -1, To: -0.7}, {From: 0.7, To: 1}}}},
		{"ends alone are all of it", []string{optic("1", "ends")},
			[][]geometry.Span{{{From: -1, To: 0}, {From: 0, To: 1}}}},
	}
	for _, tt := range tests {
		r := assembled(t, lamp+"width = \"1 m\"\nlumens = 1000\n"+strings.Join(tt.optics, ""))
		var got [][]geometry.Span
		for _, o := range r.Lamps[0].Optics {
			got = append(got, o.Span)
		}
		if diff := cmp.Diff(tt.want, got, cmpopts.EquateApprox(0, 1e-12), cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", tt.what, diff)
		}
	}
}

// Flux = lumens · output · share; with peak, or one_lux_at (E = I/d²), the whole lamp has that
// peak.
func TestStrength(t *testing.T) {
	two := "[[lamp.optic]]\nshare = 0.25\nspread = 10\n[[lamp.optic]]\nshare = 0.75\nspread = 30\n"
	tests := []struct {
		keys       string
		flux, peak float64 // NaN: follows from the other
	}{
		{"lumens = 1000\nspread = 10\n", 1000, math.NaN()},
		{"lumens = 1000\noutput = 0.7\nspread = 10\n", 700, math.NaN()},
		{"lumens = 1000\noutput = 0.7\n" + two, 700, math.NaN()},
		{"peak = \"45000 cd\"\nspread = 10\n", math.NaN(), 45000},
		{"peak = \"45000 cd\"\n" + two, math.NaN(), 45000},
		{"one_lux_at = \"300 m\"\n" + two, math.NaN(), 90000},
	}
	for _, tt := range tests {
		d := assembled(t, lamp+tt.keys).Lamps[0].Beam()
		if off := math.Abs(d.Flux()/tt.flux - 1); off > 1e-6 {
			t.Errorf("%s: %v lm, want %v", tt.keys, d.Flux(), tt.flux)
		}
		if off := math.Abs(d.Peak()/tt.peak - 1); off > 1e-6 {
			t.Errorf("%s: %v cd, want %v", tt.keys, d.Peak(), tt.peak)
		}
	}
	d := assembled(t, lamp+"lumens = 1000\n"+two).Lamps[0].Optics
	if share := d[0].Beam.Flux() / 1000; math.Abs(share-0.25) > 1e-6 {
		t.Errorf("the first optic has %v of the flux, want 0.25", share)
	}
}

// A twin is at -left with -turn and -roll; the left one comes first, whichever is given.
func TestTwins(t *testing.T) {
	type one struct {
		Name             string
		Left             float64
		Tilt, Turn, Roll float64 // degrees
		Twin             bool
	}
	tests := []struct {
		left string
		want []one
	}{
		{"0.6 m", []one{{"fog (left)", 0.6, 3, 10, 4, false}, {"fog (right)", -0.6, 3, -10, -4, true}}},
		{"-0.6 m", []one{{"fog (left)", 0.6, 3, -10, -4, true}, {"fog (right)", -0.6, 3, 10, 4, false}}},
	}
	for _, tt := range tests {
		r := assembled(t, "[[lamp]]\nname = \"fog\"\nat = { ahead = \"-1 m\", left = \""+tt.left+
			"\", up = \"0.8 m\" }\npair = true\ntilt = 3\nturn = 10\nroll = 4\nlumens = 1000\nspread = 20\n")
		var got []one
		for _, l := range r.Lamps {
			got = append(got, one{l.Name, l.At.Y, Degrees(l.Aim.Tilt), Degrees(l.Aim.Turn), Degrees(l.Aim.Roll),
				l.Twin})
			if l.Entry != 0 || l.At.X != -1 || l.At.Z != 0.8 {
				t.Errorf("%s: entry %d at %v", l.Name, l.Entry, l.At)
			}
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("left = %s (- want, + got):\n%s", tt.left, diff)
		}
	}
}

// Driven, a vehicle is turned about the ground contact of the rear axle, at x = -(front_overhang +
// wheelbase).
func TestDrivenAboutTheRearAxle(t *testing.T) {
	r := assembled(t, "[vehicle]\nwheelbase = \"3 m\"\nfront_overhang = \"1 m\"\n"+
		"nose_up_driven = 2\n"+lamp+"lumens = 1000\nspread = 10\n")
	axle := r3.Vec{X: -4}
	if got := r.Site.Attitude.Driven(axle); r3.Norm(r3.Sub(got, axle)) > 1e-12 {
		t.Errorf("the rear axle moves to %v", got)
	}
	if got, want := r.Site.Attitude.Driven(r3.Vec{}).Z, 4*math.Sin(2*math.Pi/180); math.Abs(got-want) > 1e-12 {
		t.Errorf("the bumper comes up by %v m, want %v", got, want)
	}
}

// As measured over the axles: an axle comes up by what the file says.
func TestDrivenAsMeasured(t *testing.T) {
	r := assembled(t, "[vehicle]\nwheelbase = \"3 m\"\nfront_overhang = \"1 m\"\ndriven = { front = \"4 mm\", rear "+
		"= \"-38 mm\" }\n"+
		lamp+"lumens = 1000\nspread = 10\n")
	for x, want := range map[float64]float64{-1: 0.004, -4: -0.038} {
		if got := r.Site.Attitude.Driven(r3.Vec{X: x}).Z; math.Abs(got-want) > 1e-9 {
			t.Errorf("at %v m the body comes up by %v m, want %v", x, got, want)
		}
	}
	up := r.Pitched(math.Pi/180).Attitude.NoseUp() - r.Site.Attitude.NoseUp()
	if math.Abs(up-math.Pi/180) > 1e-12 {
		t.Errorf("pitched by 1° the nose is up by %v°", Degrees(up))
	}
}

// What a driver looks for and with what eyes, which way the track goes, and the hill that the
// vehicle stops on.
func TestDriverThingsAndTrack(t *testing.T) {
	r := assembled(t, lamp+`lumens = 1000
spread = 10
[driver]
age = 60
[[thing]]
name = "log"
width = "2 m"
height = "0.4 m"
reflectance = 0.1
[[thing]]
name = "rock"
width = "1 m"
height = "0.5 m"
reflectance = 0.2
[track]
bend = "60 m right"
from = "20 m"
[ground]
slope = "-5 %"
`)
	if want := (sight.Observer{Age: 60, Glance: 0.2, Level: 10}); r.Driver != want {
		t.Errorf("driver %+v, want %+v", r.Driver, want)
	}
	var names []string
	for _, thing := range r.Things {
		names = append(names, fmt.Sprintf("%s %g", thing.Name, thing.Width))
	}
	if got, want := strings.Join(names, ", "),
		"person 0.5, animal 1.2, rock 1, plate 0.18, rut 1.5, log 2"; got != want {
		t.Errorf("things %s, want %s", got, want)
	}
	if want := (geometry.Track{Radius: 60, From: 20, Width: 4}); r.Site.Track != want {
		t.Errorf("track %+v, want %+v", r.Site.Track, want)
	}
	if want := (geometry.Braking{Reaction: 2.5, Deceleration: 3.4, Slope: -0.05}); r.Braking != want {
		t.Errorf("braking %+v, want %+v", r.Braking, want)
	}
}

// Lamps that were added are lit in every scene, whatever their circuit.
func TestAddedLamps(t *testing.T) {
	file, err := rigfile.Read(strings.NewReader(three), "rig.toml")
	if err != nil {
		t.Fatal(err)
	}
	pod, err := rigfile.ParseLamp("name=pod,circuit=roof,up=1m,spread=9,lumens=9", 0)
	if err != nil {
		t.Fatal(err)
	}
	file.Add([]rigfile.Lamp{pod})
	r, err := Assemble(file, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range r.Scenes {
		if last := s.Lamps[len(s.Lamps)-1]; r.Lamps[last].Name != "pod" {
			t.Errorf("scene %s lights %v", s.Name, s.Lamps)
		}
	}
}

// A rig is mailed, and names a file of whoever reads it. It is read, with a doubt, and no error
// shows what is in it. One in a device is not opened.
func TestPhotometryElsewhere(t *testing.T) {
	const secret = "hunter2 is the word\n"
	assemble := func(name, holds string) (*Rig, error) {
		file, err := rigfile.Read(strings.NewReader(lamp+"photometry = \""+name+"\"\n"), "rigs/rig.toml")
		if err != nil {
			return nil, err
		}
		return Assemble(file, func(string) (io.ReadCloser, error) {
			return io.NopCloser(strings.NewReader(holds)), nil
		})
	}
	for _, name := range []string{"../secret", "/home/a/secret"} {
		_, err := assemble(name, secret)
		if err == nil || strings.Contains(err.Error(), "hunter2") || !strings.Contains(err.Error(), "line ") {
			t.Errorf("%s: %v", name, err)
		}
	}
	var good strings.Builder
	if err := lm63.Write(&good, beam.Gaussian(beam.Round(0.2)).WithFlux(100),
		lm63.Header{Lamp: "invented"}); err != nil {
		t.Fatal(err)
	}
	for name, doubts := range map[string]int{"../a.ies": 1, "a.ies": 0} {
		r, err := assemble(name, good.String())
		if err != nil || len(r.Doubts) != doubts {
			t.Errorf("%s: %v, %+v; want %d doubts", name, err, r, doubts)
		}
	}
	if _, err := assemble("../../../../../../../../../../../../dev/zero", ""); err == nil ||
		!strings.Contains(err.Error(), "is a device") {
		t.Errorf("a device by way of the folders: %v", err)
	}
}

const three = `
[[lamp]]
name = "bar"
circuit = "roof"
at = { up = "2 m" }
lumens = 9000
spread = 10
[[lamp]]
name = "spot"
circuit = "front"
at = { left = "0.5 m", up = "0.8 m" }
pair = true
lumens = 3000
output = 0.7
spread = 10
[[lamp]]
name = "work"
circuit = "rear"
at = { ahead = "-4 m", up = "1.5 m" }
turn = 180
lumens = 2000
spread = 60
[[lamp]]
name = "spare"
circuit = "bench"
at = { up = "1 m" }
peak = "9000 cd"
spread = 60
[[scene]]
name = "trail"
circuits = ["front", "roof"]
[[scene]]
name = "camp"
circuits = ["rear"]
[[scene]]
name = "all"
circuits = ["roof", "front", "rear"]
`

// What is left to look at when scenes and a lamp are asked for.
func TestChooseAndOnly(t *testing.T) {
	tests := []struct {
		scenes []string
		only   string
		want   []Scene
		shown  []int
		err    string
	}{
		{nil, "", []Scene{{"trail", []int{0, 1, 2}}, {"camp", []int{3}}, {"all", []int{0, 1, 2, 3}}},
			[]int{0, 1, 2, 3, 4}, ""},
		{[]string{"camp"}, "", []Scene{{"camp", []int{3}}}, []int{3}, ""},
		{[]string{"camp", "trail"}, "", []Scene{{"camp", []int{3}}, {"trail", []int{0, 1, 2}}}, []int{0, 1, 2, 3}, ""},
		{nil, "spot", []Scene{{"trail", []int{1, 2}}, {"all", []int{1, 2}}}, []int{1, 2}, ""},
		{nil, "spot (right)", []Scene{{"trail", []int{2}}, {"all", []int{2}}}, []int{2}, ""},
		{nil, "spare", []Scene{{"spare", []int{4}}}, []int{4}, ""},
		{[]string{"all"}, "work", []Scene{{"all", []int{3}}}, []int{3}, ""},
		{[]string{"trail"}, "work", nil, nil, `"work" is not lit in the scene "trail"; it is lit in "camp" and "all"`},
		{[]string{"all", "camp"}, "bar", nil, nil,
			`"bar" is not lit in the scene "camp"; it is lit in "trail" and "all"`},
		{[]string{"trail"}, "spare", nil, nil, `"spare" is not lit in the scene "trail"; no scene lights it`},
		{[]string{"trial"}, "", nil, nil, `no scene is named "trial"; did you mean "trail"?`},
		{nil, "baar", nil, nil, `no lamp is named "baar"; did you mean "bar"?`},
	}
	for _, tt := range tests {
		r := assembled(t, three)
		var err error
		if tt.scenes != nil {
			err = r.Choose(tt.scenes)
		}
		if err == nil && tt.only != "" {
			err = r.Only(tt.only)
		}
		switch {
		case err != nil:
			if err.Error() != tt.err {
				t.Errorf("%v, %q: %v, want %s", tt.scenes, tt.only, err, tt.err)
			}
		case tt.err != "":
			t.Errorf("%v, %q: no error, want %s", tt.scenes, tt.only, tt.err)
		default:
			if diff := cmp.Diff(tt.want, r.Scenes); diff != "" {
				t.Errorf("%v, %q: scenes (- want, + got):\n%s", tt.scenes, tt.only, diff)
			}
			if !slices.Equal(r.Shown, tt.shown) {
				t.Errorf("%v, %q: lamps %v are shown, want %v", tt.scenes, tt.only, r.Shown, tt.shown)
			}
		}
	}
}

// A lamp's output is told of only if it is shown, rated in lumens, and not said.
func TestRaw(t *testing.T) {
	for only, want := range map[string][]string{"": {"bar", "work"}, "bar": {"bar"}, "spot": nil, "spare": nil} {
		r := assembled(t, three)
		if only != "" {
			if err := r.Only(only); err != nil {
				t.Fatal(err)
			}
		}
		if got := r.Raw(); !slices.Equal(got, want) {
			t.Errorf("only %q: %v, want %v", only, got, want)
		}
	}
}

// 2.5 s and 3.4 m/s² are AASHTO's, which the Green Book also gives as 11.2 ft/s². What the file
// gives is not theirs.
func TestStoppingNote(t *testing.T) {
	const grip = "; loose or wet ground brakes less."
	tests := []struct {
		stopping string
		units    units.System
		want     string
	}{
		{"", units.Metric, "stopping: 2.5 s reaction and 3.4 m/s² braking (AASHTO design values)" + grip},
		{"", units.Imperial, "stopping: 2.5 s reaction and 11.2 ft/s² braking (AASHTO design values)" + grip},
		{"reaction = \"1.5 s\"\n", units.Metric, "stopping: 1.5 s reaction and 3.4 m/s² braking" + grip},
		{"braking = \"4.25 m/s2\"\n", units.Metric, "stopping: 2.5 s reaction and 4.25 m/s² braking" + grip},
		{"reaction = \"1.5 s\"\nbraking = \"4 m/s2\"\n", units.Metric, ""},
		{"[ground]\nslope = \"-9 %\"\n", units.Metric,
			"stopping: 2.5 s reaction and 3.4 m/s² braking (AASHTO design values); loose or wet ground " +
				"brakes less; on a hill of -9 % (slope, + upward)."},
		{"reaction = \"1.5 s\"\nbraking = \"4 m/s2\"\n[ground]\nslope = \"6 %\"\n", units.Metric,
			"stopping: on a hill of +6 % (slope, + upward)"},
		// gravity takes 3.9 m/s²
		{"reaction = \"1.5 s\"\nbraking = \"3 m/s2\"\n[ground]\nslope = \"-40 %\"\n", units.Metric,
			"stopping: on a hill of -40 % (slope, + upward) brakes that give 3 m/s² on the level do not stop " +
				"the vehicle"},
	}
	for _, tt := range tests {
		r := assembled(t, lamp+"lumens = 1\nspread = 10\n[stopping]\n"+tt.stopping)
		r.File.Units.Value = tt.units
		if got := r.StoppingNote(); got != tt.want {
			t.Errorf("%q: %q, want %q", tt.stopping, got, tt.want)
		}
	}
}

func TestList(t *testing.T) {
	for _, tt := range []struct {
		names []string
		want  string
	}{
		{nil, ""}, {[]string{"a"}, "a"}, {[]string{"a", "b"}, "a and b"},
		{[]string{"a", "b", "c", "d"}, "a, b, c and d"},
		{[]string{"a", "b", "c", "d", "e"}, "a, b, c, d and 1 more"},
		{[]string{"a", "b", "c", "d", "e", "f"}, "a, b, c, d and 2 more"},
	} {
		if got := List(tt.names); got != tt.want {
			t.Errorf("%v: %q, want %q", tt.names, got, tt.want)
		}
		if note := OutputNote(tt.names); !strings.HasPrefix(note, "output is not given for "+tt.want+": ") ||
			!strings.Contains(note, "0.6 to 0.8") {
			t.Errorf("%v: %q", tt.names, note)
		}
	}
}

func TestUnknown(t *testing.T) {
	for _, tt := range []struct {
		known []string
		want  string
	}{
		{nil, `no lamp is named "bra": there is none`},
		{[]string{"flood", "bras"}, `no lamp is named "bra"; did you mean "bras"?`},
		{[]string{"flood", "work"}, `no lamp is named "bra"; there is "flood", "work"`},
		{strings.Fields("lamp1 lamp2 lamp3 lamp4 lamp5 lamp6 lamp7 lamp8 lamp9"),
			`no lamp is named "bra"; there is "lamp1", "lamp2", "lamp3", "lamp4", "lamp5", "lamp6", "lamp7", "lamp8" and 1 more`},
	} {
		if got := Unknown("lamp", "bra", tt.known).Error(); got != tt.want {
			t.Errorf("%v: %s, want %s", tt.known, got, tt.want)
		}
	}
}
