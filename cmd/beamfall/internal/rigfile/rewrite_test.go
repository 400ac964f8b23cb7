package rigfile

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func angle(degrees float64) *float64 { v := deg(degrees); return &v }

// Each file before and after its first lamp was set to tilt 4.5° and, where so named, turn -2°.
func TestRewrite(t *testing.T) {
	const rest = "lumens = 9\nspread = 10\n"
	tests := []struct {
		name, before, after string
		turn                bool
	}{
		{"text with unit", "[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = \"5 deg\"  # by hand\n" + rest,
			"[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = \"4.5 deg\"  # by hand\n" + rest, false},
		{"text without blank", "[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = '-5°'\n" + rest,
			"[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = '4.5°'\n" + rest, false},
		{"text without unit", "[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = \"5\"\n" + rest,
			"[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = \"4.5\"\n" + rest, false},
		{"in radians", "[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = \"0.1 rad\"\n" + rest,
			"[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = \"4.5 deg\"\n" + rest, false},
		{"number", "[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt    =    5 # deg\n" + rest,
			"[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt    =    4.5 # deg\n" + rest, false},
		{"already so", "[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = \"4.50 deg\"\n" + rest,
			"[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt = \"4.50 deg\"\n" + rest, false},
		{"not given", "[[lamp]]\nname = \"a\"\nat = { up = \"1 m\" } # there\n" + rest,
			"[[lamp]]\nname = \"a\"\nat = { up = \"1 m\" } # there\ntilt = \"4.5 deg\"\n" + rest, false},
		{"not given, in columns", "[[lamp]]\n  name    = \"a\"\n  at      = { up = \"1 m\" }\n" + rest,
			"[[lamp]]\n  name    = \"a\"\n  at      = { up = \"1 m\" }\n  tilt    = \"4.5 deg\"\n" + rest, false},
		{"not given, dots", "[[lamp]]\nat.up = \"1 m\"\nat.left = \"1 m\"\nname = \"a\"\n" + rest,
			"[[lamp]]\nat.up = \"1 m\"\nat.left = \"1 m\"\ntilt    = \"4.5 deg\"\nname = \"a\"\n" + rest, false},
		{"not given, place in a table of its own", "[[lamp]]\nname = \"a\"\nlumens = 9\nspread = 10\n[lamp.at]\nup " +
			"= \"1 m\"\n",
			"[[lamp]]\nname = \"a\"\ntilt = \"4.5 deg\"\nlumens = 9\nspread = 10\n[lamp.at]\nup = \"1 m\"\n", false},
		{"both", "[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\n" + rest,
			"[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\ntilt  = \"4.5 deg\"\nturn  = \"-2 deg\"\n" + rest, true},
		{"turn below tilt", "[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\nlumens = 9\ntilt = 5\nspread = 10\n",
			"[[lamp]]\nname = \"a\"\nat.up = \"1 m\"\nlumens = 9\ntilt = 4.5\nturn = \"-2 deg\"\nspread = 10\n", true},
		{"CRLF", "[[lamp]]\r\nname = \"a\"\r\nat.up = \"1 m\"\r\nlumens = 9\r\nspread = 10\r\n",
			"[[lamp]]\r\nname = \"a\"\r\nat.up = \"1 m\"\r\ntilt  = \"4.5 deg\"\r\nturn  = \"-2 deg\"\r\nlumens = " +
				"9\r\nspread = 10\r\n", true},
		{"no newline at the end", "[[lamp]]\nlumens = 9\nspread = 10\nat.up = \"1 m\"",
			"[[lamp]]\nlumens = 9\nspread = 10\nat.up = \"1 m\"\ntilt  = \"4.5 deg\"\nturn  = \"-2 deg\"", true},
		{"byte order mark", "\ufeff[[lamp]]\nlumens = 9\nspread = 10\nat.up = \"1 m\"\ntilt = 5\n",
			"\ufeff[[lamp]]\nlumens = 9\nspread = 10\nat.up = \"1 m\"\ntilt = 4.5\n", false},
		{"in braces", "lamp = [ { name = \"a\", at = { up = \"1 m\" }, lumens = 9, spread = 10 } ] # one\n",
			"lamp = [ { name = \"a\", at = { up = \"1 m\" }, tilt = \"4.5 deg\", turn = \"-2 deg\", lumens = 9, " +
				"spread = 10 } ] # one\n", true},
		{"in braces, given", "lamp = [ { lumens = 9, tilt = 5, at.up = \"1 m\", spread = 10 } ]\n",
			"lamp = [ { lumens = 9, tilt = 4.5, turn = \"-2 deg\", at.up = \"1 m\", spread = 10 } ]\n", true},
		{"quoted keys", "[[\"lamp\"]]\n\"tilt\" = 5\n'at'.\"up\" = \"1 m\"\n" + rest,
			"[[\"lamp\"]]\n\"tilt\" = 4.5\n'at'.\"up\" = \"1 m\"\n" + rest, false},
		{"tilt of optics and of others", "[[lamp]]\nat.up = \"1 m\"\ntilt = 5\n" + rest +
			"[[lamp]]\nat.up = \"1 m\"\ntilt = 5\n" + rest,
			"[[lamp]]\nat.up = \"1 m\"\ntilt = 4.5\n" + rest + "[[lamp]]\nat.up = \"1 m\"\ntilt = 5\n" + rest, false},
		{"value over several lines", "[[lamp]]\nlumens = 9\nspread = 10\nat = { # here\n  up = \"1 m\",\n} # there\n",
			"[[lamp]]\nlumens = 9\nspread = 10\nat = { # here\n  up = \"1 m\",\n} # there\ntilt = \"4.5 deg\"\n",
			false},
	}
	for _, test := range tests {
		before := mustRead(t, test.before)
		change := Change{Lamp: before.Lamps[0].Name, Tilt: angle(4.5)}
		if test.turn {
			change.Turn = angle(-2)
		}
		got, err := before.Rewrite([]Change{change})
		if err != nil || string(got) != test.after {
			t.Errorf("%s: %v\n got %q\nwant %q", test.name, err, got, test.after)
		}
	}
}

func TestRewriteBelowHeader(t *testing.T) {
	const before = "  [[lamp]] # a\n[lamp.at]\nup = \"1 m\"\n[[lamp.optic]]\nspread = 10\n"
	src := &source{text: []byte(before)}
	root, err := parse(src)
	if err != nil {
		t.Fatal(err)
	}
	e := editor{source: src}
	e.set(root.find("lamp").items[0], "tilt", "4.5", `"4.5 deg"`)
	const want = "  [[lamp]] # a\n  tilt = \"4.5 deg\"\n[lamp.at]\nup = \"1 m\"\n[[lamp.optic]]\nspread = 10\n"
	if got := string(e.apply()); got != want {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
}

func TestRewriteRefuses(t *testing.T) {
	lamp := strings.Replace(oneLamp, "at.up", "name = \"a\"\nat.up", 1)
	tests := []struct {
		file    string
		changes []Change
		want    string
	}{
		{lamp, []Change{{Lamp: "b", Tilt: angle(1)}}, `lamp "b": is not in the file`},
		{lamp, []Change{{Lamp: "a", Tilt: angle(91)}}, `lamp "a": tilt: "91 deg" is more than 90°`},
		{lamp, []Change{{Lamp: "a", Turn: angle(math.NaN())}}, `lamp "a": turn: "NaN deg" is not a number`},
		{lamp, []Change{{Lamp: "a", Tilt: angle(1)}, {Lamp: "a", Tilt: angle(2)}}, `lamp "a": is to be changed twice`},
	}
	for _, test := range tests {
		_, err := mustRead(t, test.file).Rewrite(test.changes)
		if err == nil || err.Error() != test.want {
			t.Errorf("\n got %v\nwant %s", err, test.want)
		}
	}
}

// checkRewrite checks that after setting all lamps of a file, it reads to the same rig but for the
// angles, and that with nothing to set it stays as it is.
func checkRewrite(t *testing.T, src []byte, tilt, turn float64) {
	t.Helper()
	before, err := Read(strings.NewReader(string(src)), "rig.toml")
	if err != nil {
		return
	}
	same, err := before.Rewrite(nil)
	if err != nil || string(same) != string(src) {
		t.Fatalf("nothing was to be changed: %v\n%q\n%q", err, src, same)
	}
	var changes []Change
	for i := range before.Lamps {
		change := Change{Lamp: before.Lamps[i].Name}
		set := func(old *Opt[float64], rad float64) *float64 {
			if i%3 == 2 || math.Abs(old.Value-rad) < sameAngle {
				return nil
			}
			*old = given(rad)
			return &rad
		}
		change.Tilt = set(&before.Lamps[i].Tilt, tilt)
		change.Turn = set(&before.Lamps[i].Turn, turn)
		changes = append(changes, change)
	}
	unchanged, _ := Read(strings.NewReader(string(src)), "rig.toml")
	out, err := unchanged.Rewrite(changes)
	if err != nil {
		if strings.Contains(err.Error(), "larger than 1 MiB") {
			return
		}
		t.Fatalf("%q: %v", src, err)
	}
	after, err := Read(strings.NewReader(string(out)), "rig.toml")
	if err != nil {
		t.Fatalf("%q\nbecame\n%q\nwhich is wrong: %v", src, out, err)
	}
	if diff := cmp.Diff(before, after, near, noPlaces, cmp.Comparer(func(a, b Opt[float64]) bool {
		return a.Given == b.Given && math.Abs(a.Value-b.Value) <= sameAngle
	})); diff != "" {
		t.Errorf("%q\nbecame\n%q\n(-before +after)\n%s", src, out, diff)
	}
	again, err := after.Rewrite(changes)
	if err != nil || string(again) != string(out) {
		t.Errorf("%q\nbecame another file the second time: %v\n%q", out, err, again)
	}
}

func TestRewriteKeepsTheRig(t *testing.T) {
	for _, src := range []string{everyKey, string(Starter()), oneLamp, strings.ReplaceAll(everyKey, "\n", "\r\n")} {
		for _, tilt := range []float64{-90, -0.1, 0, 1e-5, 4.5, 12.345678, 90} {
			checkRewrite(t, []byte(src), deg(tilt), deg(-3*tilt))
		}
	}
}

// Every way to write a lamp, with every other.
func TestRewriteKeepsTheRigInAnyStyle(t *testing.T) {
	places := []string{"at = { up = \"1 m\" }", "  at    =  {up=\"1 m\"} # there", "at.left = \"1 m\"\nat.up = \"1 m\"",
		""}
	tilts := []string{"", "tilt = 5", "tilt=-5.25 # t", "  'tilt'  =  \"5 deg\"", "tilt = '''5°'''",
		"tilt = \"\\u0035\""}
	turns := []string{"", "turn = \"0.1 rad\"", "\tturn=+1e1"}
	tables := []string{"", "[[lamp.optic]]\nspread = 9\n", "\n# tilt = 3\n[lamp.at]\nup = \"1 m\"\n"}
	for _, place := range places {
		for _, tilt := range tilts {
			for _, turn := range turns {
				for _, table := range tables {
					if (place == "") != strings.Contains(table, "lamp.at") {
						continue
					}
					var lines []string
					for _, line := range []string{"# tilt = 1", "[[lamp]] # tilt = 2", turn, place, tilt,
						"lumens = 9 # turn = 1"} {
						if line != "" {
							lines = append(lines, line)
						}
					}
					if !strings.Contains(table, "optic") {
						lines = append(lines, "spread = 9")
					}
					lamp := strings.Join(lines, "\n") + "\n" + table
					src := lamp + "\n" + oneLamp + lamp
					mustRead(t, src)
					checkRewrite(t, []byte(src), deg(4.5), deg(-2))
					if turn == "" {
						checkRewrite(t, []byte(strings.ReplaceAll(src, "\n", "\r\n")), deg(0.5), deg(33.125))
					}
				}
			}
		}
	}
}
