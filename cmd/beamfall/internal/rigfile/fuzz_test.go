package rigfile

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/pelletier/go-toml/v2"
)

// checkMistakes checks that mistakes can be shown and stand where the file has something.
func checkMistakes(t *testing.T, text string, err error) {
	t.Helper()
	var mistakes Mistakes
	if !errors.As(err, &mistakes) || len(mistakes) == 0 {
		t.Fatalf("%q: %v is no Mistakes", text, err)
	}
	lines := strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n")
	for i, m := range mistakes {
		if m.Problem == "" || m.Remedy == "" {
			t.Errorf("%q: unhelpful mistake %+v", text, m)
		}
		if !utf8.ValidString(m.Error()) || strings.ContainsFunc(m.Error(),
			func(r rune) bool { return unicode.IsControl(r) }) {
			t.Errorf("%q: the message %q upsets a terminal", text, m.Error())
		}
		if strings.Contains(m.Problem, "TOML: toml:") {
			t.Errorf("%q: the message %q speaks of the inside", text, m.Error())
		}
		if m.Line == 0 {
			continue
		}
		if m.Line > len(lines) || m.Column < 1 || m.Column > len(lines[m.Line-1])+1 {
			t.Errorf("%q: no place %d:%d", text, m.Line, m.Column)
		}
		if i > 0 && (m.Line < mistakes[i-1].Line || m.Line == mistakes[i-1].Line && m.Column < mistakes[i-1].Column) {
			t.Errorf("%q: mistakes out of order: %v", text, err)
		}
	}
}

// checkRig checks what is promised of every rig.
func checkRig(t *testing.T, text string, rig *Rig) {
	t.Helper()
	if len(rig.Lamps) == 0 && !rig.Headlights.Given || len(rig.Scenes) == 0 {
		t.Fatalf("%q: a rig of %d lamps and %d scenes", text, len(rig.Lamps), len(rig.Scenes))
	}
	names := make(map[string]bool)
	for _, lamp := range rig.Lamps {
		checkLamp(t, text, lamp)
		if names[lamp.Name] {
			t.Errorf("%q: two lamps are called %q", text, lamp.Name)
		}
		names[lamp.Name] = true
	}
	for i, p := range rig.Ground.Profile {
		if i > 0 && p.Ahead <= rig.Ground.Profile[i-1].Ahead {
			t.Errorf("%q: profile out of order", text)
		}
	}
	for _, box := range rig.Body {
		for _, side := range []Interval{box.Ahead, box.Left, box.Up} {
			if !(side.Low < side.High) {
				t.Errorf("%q: box %+v", text, box)
			}
		}
	}
}

func checkLamp(t *testing.T, text string, lamp Lamp) {
	t.Helper()
	strengths := 0
	for _, s := range []Opt[float64]{lamp.Lumens, lamp.Peak, lamp.OneLuxAt} {
		if s.Given {
			strengths++
			if !(s.Value > 0) {
				t.Errorf("%q: no light: %+v", text, lamp)
			}
		}
	}
	if strengths > 1 || strengths == 0 && lamp.Photometry == "" {
		t.Errorf("%q: %d strengths: %+v", text, strengths, lamp)
	}
	if (lamp.Photometry == "") == (len(lamp.Optics) == 0) {
		t.Errorf("%q: no beam, or two: %+v", text, lamp)
	}
	sum := 0.0
	for _, o := range lamp.Optics {
		sum += o.Share
		for _, spread := range []float64{o.Spread.Across, o.Spread.UpDown} {
			if !(spread > deg(0.5) && spread < deg(175)) {
				t.Errorf("%q: spread %v", text, spread)
			}
		}
		if o.Field.Given && !(o.Field.Value.Across > o.Spread.Across && o.Field.Value.UpDown > o.Spread.UpDown &&
			o.Profile == Gaussian) {
			t.Errorf("%q: field %+v", text, o)
		}
	}
	if len(lamp.Optics) > 0 && math.Abs(sum-1) > 0.001001 {
		t.Errorf("%q: shares add up to %v", text, sum)
	}
	if !(lamp.At.Up >= 0.05 && lamp.At.Up <= 30) || !(math.Abs(lamp.At.Ahead) <= 200) ||
		!(math.Abs(lamp.At.Left) <= 200) ||
		!(math.Abs(lamp.Tilt.Value) <= math.Pi/2) || !(lamp.Output.Value > 0 && lamp.Output.Value <= 1) {
		t.Errorf("%q: out of range: %+v", text, lamp)
	}
}

// checkTree checks that a tree has the keys that go-toml finds.
func checkTree(t *testing.T, src *source) {
	t.Helper()
	root, err := parse(src)
	var file map[string]any
	wrong := toml.Unmarshal(src.text, &file)
	switch {
	case err == nil && wrong != nil:
		t.Errorf("%q is not TOML: %v", src.text, wrong)
	case err == nil:
		for _, e := range root.entries {
			if _, in := file[e.key]; !in || len(file) != len(root.entries) {
				t.Errorf("%q: the tree has %q, the file %v", src.text, e.key, file)
			}
		}
	case wrong == nil && !strings.Contains(err.Error(), seeNew): // too much of something
		t.Errorf("%q is TOML, but %v", src.text, err)
	}
}

// FuzzRead also holds the tree against what go-toml makes of the text.
func FuzzRead(f *testing.F) {
	demo, err := os.ReadFile("../../demo.toml")
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range []string{
		everyKey, oneLamp, string(demo), string(Starter()),
		"a.b = 1\n[a]\nc = 2", "[a]\nb = 1\n[a.c]\n[a.c.d]\n[a]", "[[a]]\n[a.b]\n[[a]]\n[a.b]",
		"a = [{b = 1, b.c = 2}]", "[a.b]\n[a]\nb.c = 1",
		"a = {b.c = 1, b.d = 2}\na.b.e = 3", "[[a.b]]\n[a]\nb = 1", "a = \"\"\"\n\n\"\"\"\nb = '''x'''",
		"lamp = [{},]\n[[lamp]]",
	} {
		f.Add([]byte(seed))
	}
	for _, test := range mistakeTests {
		f.Add([]byte(test.file))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if src, err := load(strings.NewReader(string(text)), "rig.toml"); err == nil {
			checkTree(t, src)
		}
		rig, err := Read(strings.NewReader(string(text)), "rig.toml")
		if err != nil {
			checkMistakes(t, string(text), err)
			return
		}
		checkRig(t, string(text), rig)
	})
}

func FuzzParseLamp(f *testing.F) {
	for _, seed := range []string{
		"name=roof,up=2.05m,ahead=-1.9m,spread=10,tilt=5,lumens=16000", `up=6'3",spread=[36,14],lumens=16000`,
		`name="front, low",height="6'3"",spread=["36 deg", 14],peak=4000cd,pair=true`, "up=2m,photometry=a.ies",
		`a="\",b=[`, "[,],\"", "=",
	} {
		f.Add(seed)
	}
	for _, test := range lampMistakes {
		f.Add(test.text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		lamp, err := ParseLamp(text, 0)
		if err != nil {
			checkMistakes(t, text, err)
			return
		}
		checkLamp(t, text, lamp)
		if again, err := ParseLamp(text, 0); err != nil || !cmp.Equal(lamp, again, noPlaces) {
			t.Errorf("%q: is read in two ways", text)
		}
		if rig := FromLamps([]Lamp{lamp, lamp}); rig.Lamps[0].Name == rig.Lamps[1].Name {
			t.Errorf("%q: two lamps of one name", text)
		}
	})
}

func FuzzRewrite(f *testing.F) {
	demo, err := os.ReadFile("../../demo.toml")
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range []string{
		everyKey, oneLamp, string(demo), strings.ReplaceAll(oneLamp, "\n", "\r\n"), strings.TrimSpace(oneLamp),
		"lamp = [ { name = \"a\", at = { up = \"1 m\" }, lumens = 9, spread = 10 }, { lumens = 9, tilt = 5, at.up " +
			"= \"1 m\", spread = 10 } ]",
		"[[lamp]]\nat.up = \"1 m\"\ntilt = \"\"\"5\"\"\"\nturn = '5 degrees'\nspread = 9\npeak = \"9 cd\"",
	} {
		f.Add([]byte(seed), 4.5, -2.0)
	}
	f.Fuzz(func(t *testing.T, src []byte, tilt, turn float64) {
		if !(math.Abs(tilt) <= 90) || !(math.Abs(turn) <= 360) {
			return
		}
		checkRewrite(t, src, deg(tilt), deg(turn))
	})
}

// A rig on any base is read or refused with places that are there, and rewritten to what was asked
// for.
func FuzzOnABase(f *testing.F) {
	for _, own := range []string{truck, "base = \"../fleet.toml\"",
		"base = \"../fleet.toml\"\nlamp = [{ name = \"spot\", tilt = 3 },]\nremove = [\"hood\", \"far\"]"} {
		for _, base := range []string{fleet, everyKey, oneLamp, "vehicle = 3\n[lamp]\nname = 4",
			"base = \"x.toml\"\nlamp = [3, {}]"} {
			f.Add([]byte(own), []byte(base), 4.5)
		}
	}
	f.Fuzz(func(t *testing.T, own, base []byte, tilt float64) {
		files := map[string]string{"trucks/7.toml": string(own), "fleet.toml": string(base)}
		rig, err := OpenFile("trucks/7.toml", openIn(files))
		if err != nil {
			for name, text := range files {
				var here Mistakes
				for _, m := range err.(Mistakes) {
					if m.File == name {
						here = append(here, m)
					}
				}
				if here != nil {
					checkMistakes(t, text, here)
				}
			}
			return
		}
		checkRig(t, string(own), rig)
		if rig.Base == "" || len(rig.Lamps) == 0 || !(math.Abs(tilt) <= 90) {
			return
		}
		rad := deg(tilt)
		out, err := rig.Rewrite([]Change{{Lamp: rig.Lamps[0].Name, Tilt: &rad}})
		if err != nil {
			return // the base has no name for it
		}
		files["trucks/7.toml"] = string(out)
		again, err := OpenFile("trucks/7.toml", openIn(files))
		if err != nil || math.Abs(again.Lamps[0].Tilt.Value-rad) > sameAngle {
			t.Errorf("%q on %q became %q: %v", own, base, out, err)
		}
	})
}
