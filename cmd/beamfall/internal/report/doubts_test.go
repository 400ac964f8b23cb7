package report

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"beamfall/beam"
	"beamfall/beam/lm63"
	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/render/units"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// measured opens a photometric file of a round beam of 20° whatever its name.
func measured(string) (io.ReadCloser, error) {
	var b bytes.Buffer
	err := lm63.Write(&b, beam.Gaussian(beam.Round(rad(20))).WithFlux(1000), lm63.Header{Lamp: "spot"})
	return io.NopCloser(&b), err
}

// A rig that is right has no doubts; each of the others has one thing in it that is possible but
// likely not meant.
func TestDoubts(t *testing.T) {
	lamp := func(name, keys string) string {
		return "[[lamp]]\nname = \"" + name + "\"\nlumens = 3000\nspread = 10\n" + keys + "\n"
	}
	const (
		place = "at = { ahead = \"-0.1 m\", up = \"1 m\" }\n"
		hood  = "[[vehicle.body]]\nname = \"hood\"\nahead = [\"-1.5 m\", \"-0.2 m\"]\nleft = [\"-0.8 m\", \"0.8 " +
			"m\"]\nup = [\"0.5 m\", \"1.1 m\"]\n"
	)
	spot := lamp("spot", place)
	tests := []struct {
		what, rig string
		want      []string
	}{
		{"none", "[vehicle]\nwidth = \"1.9 m\"\n" + hood + spot +
			"[[scene]]\nname = \"trail\"\ncircuits = [\"spot\"]\n", nil},
		{"a scene without lamps", spot + "[[scene]]\ncircuits = [\"spot\"]\n[[scene]]\nname = \"dark\"\n" +
			"circuits = []\n", []string{"scene dark has no lamp"}},
		{
			"a lamp without a scene", spot + lamp("fog", "at = { up = \"0.7 m\", left = \"0.4 m\" }\npair = true\n"+
				"circuit = \"low\"\n") + "[[scene]]\ncircuits = [\"spot\"]\n",
			[]string{`fog is in no scene: no scene names its circuit "low"`},
		},
		{
			"too many lumens", strings.Replace(spot, "3000", "16000", 1),
			[]string{"spot: 16000 lm is more than a lamp without a width is likely to give (up to about 15000 lm); " +
				"is the width or the flux wrong?"},
		},
		{
			"too many for a bar", strings.Replace(lamp("bar", place+"width = \"1 m\"\n"), "3000", "51000", 1),
			[]string{"bar: 51000 lm is more than a lamp 1.00 m wide is likely to give (up to about 50000 lm); is " +
				"the width or the flux wrong?"},
		},
		{"as many as a bar may have", strings.Replace(lamp("bar", place+"width = \"1 m\"\n"), "3000", "49000", 1), nil},
		{"a lamp in a box", hood + lamp("spot", "at = { ahead = \"-1 m\", up = \"1 m\" }\n"),
			[]string{"spot is inside the hood, which stops its light"}},
		{
			"a box in the beam", hood + strings.Replace(lamp("bar", "at = { ahead = \"-2 m\", up = \"1.3 m\" }\n"+
				"tilt = 15\n"), "10", "30", 1),
			[]string{"the axis of bar runs into the hood"},
		},
		{"low", lamp("spot", "at = { up = \"0.4 m\" }\n"),
			[]string{"spot is 0.40 m up; many rules want at least 0.41 m (e.g. California Vehicle Code §24411)"}},
		{"low, in inches", "units = \"imperial\"\n" + lamp("spot", "at = { up = \"15 in\" }\n"),
			[]string{"spot is 1 ft 3 in up; many rules want at least 1 ft 4 in (e.g. California Vehicle Code §24411)"}},
		// 1 m / tan(12° ± 5°) = 3.27 m and 8.14 m.
		{"a spot at the feet", lamp("spot", place+"tilt = 12\n"),
			[]string{"spot: a beam of 10° tilted 12.0° down lights only 3.3 – 8.1 m ahead of it; narrow beams are " +
				"for distance"}},
		{"no minus", lamp("spot", "at = { ahead = \"1.9 m\", up = \"1 m\" }\n"), []string{
			"spot is 1.90 m ahead of the bumper; places behind it have a minus: ahead = \"-1.90 m\"",
		}},
		{"no minus before the eye", "[vehicle]\neye = { ahead = \"2.1 m\", left = \"0.4 m\", up = \"1.6 m\" }\n" + spot,
			[]string{
				"the driver's eye is 2.10 m ahead of the bumper; places behind it have a minus: ahead = \"-2.10 m\"",
			}},
		{"a mast", lamp("spot", "at = { ahead = \"-1 m\", up = \"18 m\" }\n"),
			[]string{"spot is 18.00 m up, higher than vehicles are; is its height right?"}},
		{"wider than the vehicle", "[vehicle]\nwidth = \"1.9 m\"\n" + lamp("bar", place+"width = \"2 m\"\n"),
			[]string{"bar is 2.00 m wide, wider than the vehicle is (1.90 m)"}},
		{"wider than any vehicle", lamp("bar", place+"width = \"3 m\"\n"),
			[]string{"bar is 3.00 m wide, wider than the widest vehicles are (2.60 m)"}},
		{"a width that is none", lamp("bar", place+"width = \"1 cm\"\n"),
			[]string{"bar: a luminous width of 0.010 m is that of a point; leave width out, or was 1.00 m meant?"}},
		{"an eye in the hood", "[vehicle]\neye = { ahead = \"-1.2 m\", left = \"0.4 m\", up = \"1 m\" }\n" + hood +
			strings.NewReplacer("hood", "cab", "-1.5", "-3.5", "-0.2", "-1.5", "1.1", "1.9").Replace(hood) + spot,
			[]string{"the driver's eye is inside the hood, which is then taken to be no obstacle to it"}},
		{"an eye in the only box", "[vehicle]\neye = { ahead = \"-1.2 m\", left = \"0.4 m\", up = \"1 m\" }\n" + hood +
			spot,
			[]string{"the driver's eye is inside the hood, which is then taken to be no obstacle to it"}},
		{"an eye in the cab", "[vehicle]\neye = { ahead = \"-2.2 m\", left = \"0.4 m\", up = \"1.6 m\" }\n" + hood +
			strings.NewReplacer("hood", "cab", "-1.5", "-3.5", "-0.2", "-1.5", "1.1", "1.9").Replace(hood) + spot, nil},
		{"a rear lamp that is not turned", "[vehicle]\nlength = \"5 m\"\n" +
			strings.NewReplacer("hood", "box", "-1.5", "-4.9", "-0.2", "-3", "1.1", "2.2").Replace(hood) +
			lamp("work", "at = { ahead = \"-5 m\", up = \"1 m\" }\n"),
			[]string{"work is at the tail and shines ahead, toward the box; turn = 180 shines to the rear",
				"the axis of work runs into the box"}},
		{"one without a box before it", "[vehicle]\nlength = \"5 m\"\n" +
			lamp("work", "at = { ahead = \"-5 m\", up = \"1 m\" }\n"),
			[]string{"work is at the tail and shines ahead; turn = 180 shines to the rear"}},
		{"one that is called so", lamp("rear work lamp", "at = { ahead = \"-4 m\", up = \"1 m\" }\n"),
			[]string{"rear work lamp shines ahead; turn = 180 shines to the rear"}},
		{"one that is turned", lamp("rear work lamp", "at = { ahead = \"-4 m\", up = \"1 m\" }\nturn = 180\n"), nil},
		{"a spread that no lens has", strings.Replace(spot, "spread = 10", "spread = 0.6", 1), []string{
			"spot: a spread of 0.60° is narrower than lenses for vehicles make (common practice, no source: a few " +
				"degrees)",
		}},
		{"a point between thousands", strings.Replace(spot, "lumens = 3000", "lumens = 14.000", 1), []string{
			"spot: 14 lm is next to nothing; was 14000 lm meant? Thousands have no point between them",
		}},
		{"photometry elsewhere", "[[lamp]]\nname = \"spot\"\n" + place + "photometry = \"../spot.ies\"\n",
			[]string{"spot: ../spot.ies is outside the folder of the rig; it does not go with the rig"}},
		{"a name that pictures cannot show", "name = \"車 truck\"\n" + spot,
			[]string{"pictures have no letters for 車 in names: they are drawn as question marks"}},
		{"a name with accents", "name = \"Förderfahrzeug Łódź\"\n" + spot, nil},
		{"upwards", lamp("spot", place+"tilt = -2\n"), []string{"spot is aimed 2.0° above level"}},
		{"upwards to the rear", lamp("spot", place+"tilt = -2\nturn = 180\n"), nil},
		{"output beside a peak", strings.Replace(lamp("spot", place+"output = 0.7\n"), "lumens = 3000",
			"peak = \"9000 cd\"", 1), []string{
			"spot: output has no effect beside peak or one_lux_at, which are what leaves the lens",
		}},
		{"output beside a photometric file", "[[lamp]]\nname = \"spot\"\n" + place +
			"photometry = \"spot.ies\"\noutput = 0.7\n", []string{
			"spot: output has no effect on a photometric file without lumens",
		}},
		{"a tilt out of its range", lamp("spot", place+"tilt = 3\ntilt_range = [0, 2]\n"),
			[]string{"spot: tilt 3.0° is not within its tilt_range"}},
		{"a pair in one place", lamp("fog", place+"pair = true\n"),
			[]string{"fog: both lamps of the pair are in one place; give at a left"}},
		{"two lamps in one place", spot + lamp("flood", place), []string{"spot and flood are in one place"}},
		{"a profile off the wheels", spot + "[ground]\nprofile = [[\"0 m\", \"0.5 m\"], [\"10 m\", \"0.5 m\"]]\n",
			[]string{
				"the ground profile is not at height 0 where the vehicle stands; the vehicle stands at height 0 " +
					"all the same",
			}},
		{"a profile on them", spot + "[ground]\nprofile = [[\"0 m\", \"0 m\"], [\"10 m\", \"0.5 m\"]]\n", nil},
		{
			"a steep nose", "[vehicle]\nwheelbase = \"3 m\"\nfront_overhang = \"1 m\"\nnose_up_driven = 5\n" +
				lamp("spot", place+"tilt = 5\n"),
			[]string{"the vehicle is driven 5.0° nose up: more than springs give (common practice, no source: " +
				"up to 2°)"},
		},
		{
			"a nose that moves far", "[vehicle]\nwheelbase = \"3 m\"\nfront_overhang = \"1 m\"\npitch = 7\n" + spot,
			[]string{"the nose moves 7.0° up and down: more than springs give (common practice, no source: up to 3°)"},
		},
		{
			// Half a turn of 20 m is 62.8 m long.
			"a limit past the end of a bend", spot + "[track]\nbend = \"20 m left\"\n[[limit]]\nname = \"far\"\nat " +
				"= { along = \"70 m\", up = \"1 m\" }\nlux = 5\n" +
				"[[limit]]\nat = { along = \"60 m\", up = \"1 m\" }\nlux = 5\n",
			[]string{"the limit far is 70 m along the track: past the end of the bend, which is followed through " +
				"half a turn, to 62.8 m"},
		},
		{
			"targets for lamps that stay", spot + "[[target]]\nahead = [\"3 m\", \"15 m\"]\nhalf_width = \"2 m\"\n" +
				"lux = 10\n",
			[]string{"there are targets, but no lamp has a tilt_range: aim will take 0° to 15° for every lamp that " +
				"looks ahead"},
		},
		{"a lamp beside the vehicle", "[vehicle]\nwidth = \"1.9 m\"\n" +
			lamp("spot", "at = { up = \"1 m\", left = \"1.3 m\" }\n"), []string{
			"spot is 1.30 m from the centreline, outside of a vehicle 1.90 m wide",
		}},
		// The nose goes 3 m · tan 10° = 0.5 m down, and the lamp with it.
		{"a lamp in the ground", "[vehicle]\nwheelbase = \"3 m\"\nfront_overhang = \"0 m\"\nnose_up_driven = -10\n" +
			lamp("spot", "at = { up = \"0.45 m\" }\n"), []string{
			"spot is below the ground as driven, and lights nothing",
			"the vehicle is driven 10.0° nose down: more than springs give (common practice, no source: up to 2°)",
		}},
		{"one end in the ground", lamp("bar", "at = { up = \"0.5 m\" }\nwidth = \"1.2 m\"\nroll = 90\n"), []string{
			"one end of bar is in the ground as driven; is its roll or its height wrong?",
		}},
	}
	for _, tt := range tests {
		file, err := rigfile.Read(strings.NewReader(tt.rig), "rig.toml")
		if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		}
		r, err := assembly.Assemble(file, measured)
		if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		}
		if diff := cmp.Diff(tt.want, Doubts(r), cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", tt.what, diff)
		}
	}
}

// Light that costs more sight than it gives is named with what it costs, once.
func TestCostDoubts(t *testing.T) {
	seen := func(to figures.Number, without ...figures.Without) figures.Sight {
		return figures.Sight{Thing: "person", Seen: figures.Seen{Range: to, Without: without}}
	}
	got := CostDoubts(units.Metric, []figures.Cost{
		{Scene: "trail", Sight: seen(100, figures.Without{Lamp: "bar", Range: 112},
			figures.Without{Lamp: "spot", Range: 60}, figures.Without{Lamp: "fog", Range: 102},
			figures.Without{Lamp: "pod (left)", Range: 105}, figures.Without{Lamp: "pod (right)", Range: 105},
			figures.Without{Lamp: "pod", Range: 110}), DarkBody: 115},
		{Scene: "all", Sight: seen(90, figures.Without{Lamp: "bar", Range: 112}), DarkBody: 120},
		{Scene: "camp", Sight: seen(none, figures.Without{Lamp: "fog", Range: none}), DarkBody: figures.None()},
	})
	want := []string{
		"bar costs more sight than it gives: in scene trail a person is seen out to 100 m, and without it to 112 m",
		"pod costs more sight than it gives: in scene trail a person is seen out to 100 m, and without it to 110 m",
		"light on the hood costs 15.0 m of sight: in scene trail a person is seen out to 100 m, and would be to " +
			"115 m if the hood were dark",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(- want, + got):\n%s", diff)
	}
}

// Whoever typed a rig reads back where each lamp sits and how it is aimed, and what else was
// understood.
func TestUnderstood(t *testing.T) {
	file, err := rigfile.Read(strings.NewReader(`
[vehicle]
length = "5 m"
wheelbase = "3 m"
front_overhang = "0.9 m"
driven = { front = "4 mm", rear = "-38 mm" }
eye = { ahead = "-2 m", left = "0.4 m", up = "1.6 m" }
[driver]
age = 60
[[lamp]]
name = "bar"
at = { ahead = "-1.5 m", up = "1.982 m" }
tilt = 4
lumens = 9000
spread = 10
[[lamp]]
name = "pod"
circuit = "side"
pair = true
at = { left = "0.7 m", up = "1 m" }
turn = 35
roll = 10
lumens = 3000
spread = 30
[ground]
cross_fall = "-3 %"
[air]
visibility = "180 m"
particles = "dust"
[[thing]]
name = "gate"
width = "3 m"
height = "1 m"
reflectance = 0.3
`), "rig.toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := assembly.Assemble(file, measured)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		units  units.System
		lamps  []string
		driven string
	}{
		{units.Metric, []string{
			"bar: circuit bar; 1.50 m behind the bumper, centre, 1.982 m up; 4° down; gaussian",
			"pod, and its twin on the other side: circuit side; at the bumper, 0.700 m left of the centre, 1.000 m " +
				"up; level, 35° left, rolled 10.0° R down; gaussian",
		}, "driven with the body 0.004 m higher over the front axle and 0.038 m lower over the rear one"},
		// Heights as the table to set has them: 1.982 m is 78.03 in.
		{units.Imperial, []string{
			"bar: circuit bar; 4 ft 11 in behind the bumper, centre, 6 ft 6 in up; 4° down; gaussian",
			"pod, and its twin on the other side: circuit side; at the bumper, 2 ft 3 1/2 in left of the centre, 3 " +
				"ft 3 1/4 in up; level, 35° left, rolled 10.0° R down; gaussian",
		}, "driven with the body 1/4 in higher over the front axle and 1 1/2 in lower over the rear one"},
	} {
		if diff := cmp.Diff(tt.lamps, Mounted(tt.units, r)); diff != "" {
			t.Errorf("lamps (- want, + got):\n%s", diff)
		}
		said := strings.Join(Vehicle(tt.units, file), "\n")
		if !strings.Contains(said, tt.driven) {
			t.Errorf("it does not say %q:\n%s", tt.driven, said)
		}
	}
	want := []string{
		"vehicle 5.00 m long", "driver's eye 2.00 m behind the bumper, 0.40 m to the left, 1.60 m up",
		"driven with the body 0.004 m higher over the front axle and 0.038 m lower over the rear one",
		"driver of 60 years, who looks for 0.2 s; seen is 10 times the threshold", "ground falls 3.0 % to the left",
		"visibility 180 m in dust",
		"gate: a thing to see that stands, 3 m × 1 m, gives back 0.3 of the light",
	}
	if diff := cmp.Diff(want, Vehicle(units.Metric, file)); diff != "" {
		t.Errorf("vehicle (- want, + got):\n%s", diff)
	}
}
