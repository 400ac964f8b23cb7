package rigfile

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"beamfall/geometry/sight"

	"github.com/google/go-cmp/cmp"
)

func TestParseLamp(t *testing.T) {
	// With what a --lamp leaves out by default.
	lamp := func(change func(*Lamp)) Lamp {
		l := Lamp{
			Name: "lamp 3", Circuit: "lamp 3", At: Point{0, 0, 2.05}, Lumens: given(16000.0), Output: byDefault(1.0),
			Optics:   []Optic{{Share: 1, Spread: Angles{deg(10), deg(10)}, Profile: Gaussian, Span: Whole}},
			TiltStep: byDefault(deg(0.5)), TurnStep: byDefault(deg(1)),
		}
		change(&l)
		return l
	}
	tests := []struct {
		text string
		want Lamp
	}{
		{"name=roof,up=2.05m,ahead=-1.9m,spread=10,tilt=5,lumens=16000", lamp(func(l *Lamp) { // as in the interface
			l.Name, l.Circuit, l.At.Ahead, l.Tilt = "roof", "roof", -1.9, given(deg(5))
		})},
		{"up=2.05m,spread=10,lumens=16000", lamp(func(*Lamp) {})},
		{"height=2.05m,spread=10,lumens=16000", lamp(func(*Lamp) {})},
		{" up = 2.05 m , spread = 10 deg , lumens = 16000 lm ", lamp(func(*Lamp) {})},
		{`up=6'3",spread=10,lumens=16000`, lamp(func(l *Lamp) { l.At.Up = 1.905 })},
		{`spread=10,lumens=16000,up=6'3"`, lamp(func(l *Lamp) { l.At.Up = 1.905 })},
		{`up="6'3"",spread=10,lumens=16000`, lamp(func(l *Lamp) { l.At.Up = 1.905 })},
		{"up=6 ft 3 in,left=-2 ft,spread=10,lumens=16000", lamp(func(l *Lamp) { l.At.Up, l.At.Left = 1.905, -0.6096 })},
		{"up=2.05m,spread=[36,14],lumens=16000", lamp(func(l *Lamp) { l.Optics[0].Spread = Angles{deg(36), deg(14)} })},
		{`up=2.05m,spread=["36 deg", 14°],lumens=16000`, lamp(func(l *Lamp) {
			l.Optics[0].Spread = Angles{deg(36),
				deg(14)}
		})},
		{`name="front, low",up=2.05m,spread=10,lumens=16000`, lamp(func(l *Lamp) {
			l.Name, l.Circuit = "front, low",
				"front, low"
		})},
		{`name="12\" bar",up=2.05m,spread=10,lumens=16000`, lamp(func(l *Lamp) {
			l.Name, l.Circuit = `12" bar`,
				`12" bar`
		})},
		{`name=12" bar,circuit=x=y,up=2.05m,spread=10,lumens=16000`, lamp(func(l *Lamp) {
			l.Name, l.Circuit = `12" bar`,
				"x=y"
		})},
		{"up=2.05m,spread=10,peak=45000cd,pair=true,width=0,roll=90", lamp(func(l *Lamp) {
			l.Lumens, l.Peak, l.Pair, l.Width, l.Roll = Opt[float64]{}, given(45000.0), true, given(0.0), given(deg(90))
		})},
		{"up=2.05m,spread=10,field=20,output=70%,one_lux_at=300m,turn=-30", lamp(func(l *Lamp) {
			l.Lumens, l.OneLuxAt, l.Output, l.Turn = Opt[float64]{}, given(300.0), given(0.7), given(deg(-30))
			l.Optics[0].Field = given(Angles{deg(20), deg(20)})
		})},
		{"up=2.05m,spread=10,profile=cosine,lumens=16000,tilt_range=[0,12],tilt_step=1,turn_range=[0 deg,1 " +
			"deg],turn_step=2", lamp(func(l *Lamp) {
			l.Optics[0].Profile = Cosine
			l.TiltRange, l.TiltStep = given(Interval{0, deg(12)}), given(deg(1))
			l.TurnRange, l.TurnStep = given(Interval{0, deg(1)}), given(deg(2))
		})},
		{"up=2.05m,photometry=dir/a b.ies", lamp(func(l *Lamp) {
			l.Lumens, l.Optics, l.Photometry = Opt[float64]{}, nil, "dir/a b.ies"
		})},
	}
	for _, test := range tests {
		got, err := ParseLamp(test.text, 2)
		test.want.Flag = test.text
		if diff := cmp.Diff(test.want, got, near, noPlaces); err != nil || diff != "" {
			t.Errorf("%s: %v (-want +got)\n%s", test.text, err, diff)
		}
	}
}

var lampMistakes = []struct{ text, want string }{
	{"hieght=2m,spread=10,lumens=9",
		`key "hieght" is not known; did you mean "height"?`},
	{"up=2.05,spread=10,lumens=9",
		`up: "2.05" has no unit; write e.g. up=2.05 m`},
	{"up=2,05m,spread=10,lumens=9",
		`"05m" has no =; use a point for decimals, and brackets for lists, e.g. spread=[36,14]`},
	{"up=2m,spread=190,lumens=9",
		`spread: 190° is not below 175°; write e.g. spread=10 deg`},
	{"up=2m,spread=36,14,lumens=9",
		`"14" has no =; use a point for decimals, and brackets for lists, e.g. spread=[36,14]`},
	{"up=2m,spread=[36,14,lumens=9",
		`spread: a list is not closed; put a ] at its end`}, // what it swallowed is not missing
	{"up=2m,spread=[],lumens=9",
		`spread: a list of 0, not of two; write e.g. spread=10 deg`},
	{`up=2m,spread=10,lumens=9,name="x`,
		`name: a text is not closed; put a " at its end`},
	{"up=2m,spread=10,lumens=9,lumens=8",
		`lumens: is given a second time; keep one of the two`},
	{"up=2m,height=2m,spread=10,lumens=9",
		`height: is given beside up; keep one of them`},
	{"spread=10",
		`none of lumens, peak, one_lux_at is given; write e.g. lumens=16000` + "\n" +
			`none of up, height is given; write e.g. up=2.05 m`},
	{"up=2m,,spread=10,lumens=9",
		`nothing stands between two commas; write key=value`},
	{"up=2m,spread=10,lumens=9,pair",
		`"pair" has no =; write e.g. pair=true`},
	{"up=2m,spread=10,lumens=9,pair=yes",
		`pair: "yes" is neither true nor false; write e.g. pair=true`},
	{"up=2m,spread=10,lumens=9,name=",
		`name: an empty text; write e.g. name=roof bar`},
	{"up=2m,spread=10,lumens=9,tilt_range=[12,0]",
		`tilt_range: 12 comes before 0; write tilt_range=[0,12]`},
	{"up=2m,spread=10,lumens=9,field=20,profile=uniform",
		`field: is given with the profile uniform, which has its own; leave field out, or profile=gaussian`},
	{"at=2m,optic=3,spread=10,lumens=9,up=1m",
		`key "at" is not known; write ahead=-1.9 m,left=0 m,up=2.05 m` + "\n" +
			`key "optic" is not known; a lamp of several optics needs a rig file`},
	{"", `is empty; write e.g. "name=roof,up=2.05m,ahead=-1.9m,spread=10,tilt=5,lumens=16000"`},
	{"name=a\x1b[1m", `is too long or holds characters that are not text; write e.g. "name=roof,up=2.05m,ahead=-1.9m,spread=10,tilt=5,lumens=16000"`},
	{strings.Repeat("x", 5000), `is too long or holds characters that are not text; write e.g. "name=roof,up=2.05m,ahead=-1.9m,spread=10,tilt=5,lumens=16000"`},
}

func TestParseLampRefuses(t *testing.T) {
	for _, test := range lampMistakes {
		_, err := ParseLamp(test.text, 0)
		if err == nil {
			t.Errorf("%s: was read", test.text)
			continue
		}
		var mistakes Mistakes
		if !errors.As(err, &mistakes) {
			t.Errorf("%s: %T is no Mistakes", test.text, err)
		}
		var got []string
		for _, m := range mistakes {
			if !strings.HasPrefix(m.File, `--lamp "`) {
				t.Errorf("%s: a mistake in %q, not in the --lamp", test.text, m.File)
			}
			m.File, m.Line, m.Column = "", 0, 0
			got = append(got, m.Error())
		}
		if strings.Join(got, "\n") != test.want {
			t.Errorf("%s:\n got %s\nwant %s", test.text, strings.Join(got, "\n     "), test.want)
		}
	}

	_, err := ParseLamp("hieght=2m,spread=10,lumens=9", 0)
	const want = `--lamp "hieght=2m,spread=10,lumens=9": key "hieght" is not known; did you mean "height"?`
	if err == nil || err.Error() != want {
		t.Errorf("\n got %v\nwant %s", err, want)
	}
}

// A lamp on the command line is the same lamp as in a file.
func TestParseLampAgreesWithRead(t *testing.T) {
	flag, err := ParseLamp("name=a,circuit=b,ahead=-1.9m,left=0.2m,up=2.05m,pair=true,tilt=5,turn=2,roll=1,width=1m,"+
		"lumens=16000,output=0.7,spread=[20,10],field=[40,20],tilt_range=[0,12],tilt_step=1,turn_range=[0,1],turn_step=2", 0)
	if err != nil {
		t.Fatal(err)
	}
	file := mustRead(t, `[[lamp]]
name = "a"
circuit = "b"
at = { ahead = "-1.9 m", left = "0.2 m", up = "2.05 m" }
pair = true
tilt = 5
turn = 2
roll = 1
width = "1 m"
lumens = 16000
output = 0.7
spread = [20, 10]
field = [40, 20]
tilt_range = [0, 12]
tilt_step = 1
turn_range = [0, 1]
turn_step = 2
`)
	flag.Flag = ""
	if diff := cmp.Diff(file.Lamps[0], flag, noPlaces); diff != "" {
		t.Errorf("(-file +flag)\n%s", diff)
	}
}

// A shorthand without a key is one to add that key to again.
func TestFlagWithout(t *testing.T) {
	for text, want := range map[string]string{
		"up=1m,tilt=5,spread=9":              "up=1m,spread=9",
		"tilt = 5 deg, up=1m":                " up=1m",
		`name="tilt=5, a",spread=[9,8],up=1`: `name="tilt=5, a",spread=[9,8],up=1`,
		"up=6'3\",tilt=-1":                   "up=6'3\"",
		"tilt=1":                             "",
	} {
		if got := FlagWithout(text, "tilt"); got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}

// Lamps that a customer asks about beside those of the rig.
func TestAdd(t *testing.T) {
	rig := mustRead(t, strings.Replace(oneLamp, "lumens", "name = \"pod\"\nlumens",
		1)+"[[scene]]\nname = \"dark\"\ncircuits = []\n")
	pod, err := ParseLamp("name=pod,up=1m,spread=9,lumens=9", 0)
	if err != nil {
		t.Fatal(err)
	}
	rig.Add([]Lamp{pod})
	if added := rig.Lamps[1]; added.Name != "pod 2" || !added.EveryScene || rig.Lamps[0].EveryScene {
		t.Errorf("lamps %+v", rig.Lamps)
	}
	if _, err := rig.Rewrite([]Change{{Lamp: "pod 2", Tilt: angle(1)}}); err == nil {
		t.Error("an added lamp was written to the file")
	}
}

// A rig has room for so many lamps; the names of its own headlights are taken.
func TestAddKeepsTheRules(t *testing.T) {
	rig := mustRead(t, oneLamp+"[headlights]\n")
	pod, err := ParseAdded("up=1m,spread=9,lumens=9", 1)
	if err != nil || pod.Name != "added 2" {
		t.Fatalf("%v, %+v", err, pod)
	}
	if err := rig.Add(slices.Repeat([]Lamp{pod}, mostLamps)); err == nil || len(rig.Lamps) != 1 {
		t.Errorf("%v, %d lamps", err, len(rig.Lamps))
	}
	pod.Name = "headlight"
	if err := rig.Add([]Lamp{pod}); err != nil || !slices.Equal(rig.Added(), []string{"headlight 2"}) {
		t.Errorf("%v, %q", err, rig.Added())
	}
}

// Other lamps on the same vehicle, alone.
func TestReplace(t *testing.T) {
	rig := mustRead(t, oneLamp+"[vehicle]\nlength = \"5 m\"\n[headlights]\n[[scene]]\nname = \"road\"\ncircuits = "+
		"[\"headlights\"]\n"+
		"[[limit]]\nscene = \"road\"\nat = { ahead = \"50 m\", left = \"3 m\", up = \"1 m\" }\nlux = 1\n")
	pod, err := ParseLamp("name=pod,up=1m,spread=9,lumens=9", 0)
	if err != nil {
		t.Fatal(err)
	}
	rig.Replace([]Lamp{pod})
	want := []Scene{{Name: "all lamps", Circuits: []string{"pod"}}}
	if diff := cmp.Diff(want, rig.Scenes, noPlaces); diff != "" || len(rig.Lamps) != 1 || rig.Headlights.Given ||
		len(rig.Limits) > 0 {
		t.Errorf("%+v\n%s", rig, diff)
	}
	if rig.Vehicle.Length.Value != 5 {
		t.Error("another vehicle")
	}
}

func TestParseAir(t *testing.T) {
	for text, want := range map[string]Air{
		"clear":       {},
		"2 km":        {Visibility: Opt[float64]{2000, true}},
		"dust 150 m":  {Visibility: Opt[float64]{150, true}, Particles: sight.Dust},
		" fog, 80m ":  {Visibility: Opt[float64]{80, true}, Particles: sight.Fog},
		"snow 500 ft": {Visibility: Opt[float64]{152.4, true}, Particles: sight.Snow},
	} {
		air := Air{Visibility: Opt[float64]{1, true}, Particles: sight.Snow}
		if err := ParseAir(text, &air); err != nil || math.Abs(air.Visibility.Value-want.Visibility.Value) > 1e-9 ||
			air.Visibility.Given != want.Visibility.Given || air.Particles != want.Particles {
			t.Errorf("%q: %v, %+v", text, err, air)
		}
	}
	for text, want := range map[string]string{
		"":            `an empty text is not a length`,
		"dust":        `an empty text is not a length`,
		"dust 150":    `"150" has no unit`,
		"sand 150 m":  `"sand 150 m"`,
		"fog 5 m":     `a visibility of 5 m is less than 10 m`,
		"fog 5000 km": `a visibility of 5000 km is more than 1000000 m`,
	} {
		if err := ParseAir(text, new(Air)); err == nil || !strings.Contains(err.Error(), want) ||
			!strings.Contains(err.Error(), `write "clear", "2 km" or e.g. "dust 150 m"`) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

func TestFromLamps(t *testing.T) {
	var lamps []Lamp
	for i, text := range []string{"name=a,up=1m,spread=9,lumens=9", "name=a,up=2m,spread=9,lumens=9",
		"up=3m,spread=9,lumens=9,circuit=a"} {
		lamp, err := ParseLamp(text, i)
		if err != nil {
			t.Fatal(err)
		}
		lamps = append(lamps, lamp)
	}
	rig := FromLamps(lamps)
	var names []string
	for _, lamp := range rig.Lamps {
		names = append(names, lamp.Name)
	}
	if diff := cmp.Diff([]string{"a", "a 2", "lamp 3"}, names); diff != "" {
		t.Errorf("names (-want +got)\n%s", diff)
	}
	want := mustRead(t, oneLamp)
	want.Source, want.Name, want.Lamps, want.Scenes = "", "lamps", rig.Lamps,
		[]Scene{{Name: "all lamps", Circuits: []string{"a", "a 2"}}}
	if diff := cmp.Diff(want, rig, noPlaces); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if lamps[1].Name != "a" {
		t.Error("the caller's lamps were changed")
	}
}
