package rigfile

import (
	"fmt"
	"strings"
	"testing"
)

// The ranges, each with values that are just inside and just outside. The first group is the
// interface's, the second this program's own.
func TestRanges(t *testing.T) {
	lamp := "[[lamp]]\nat.up = \"2 m\"\nlumens = 9000\nspread = 10\n%s"
	lampAlone := "[[lamp]]\nlumens = 9000\nspread = 10\n%s"
	beam := "[[lamp]]\nat.up = \"2 m\"\nlumens = 9000\n%s"
	strength := "[[lamp]]\nat.up = \"2 m\"\nspread = 10\n%s"
	in := func(table string) string { return "[" + table + "]\n%s" + oneLamp }
	box := "[[vehicle.body]]\n%s" + oneLamp
	faces := "ahead = [\"-2 m\", \"-1 m\"]\nleft = [\"-1 m\", \"1 m\"]\n"
	target := "[[target]]\nahead = [\"3 m\", \"15 m\"]\n%s" + oneLamp
	limit := "[[limit]]\n%s" + oneLamp
	nose := "[vehicle]\nwheelbase = \"3 m\"\nfront_overhang = \"1 m\"\nnose_up_driven = %s" + oneLamp
	tests := []struct {
		file, key string // the key with %s for the value
		in, out   string // values, separated by |
	}{
		{lampAlone, `at.up = "%s"`, "0.05 m|30 m", "0.049 m|30.01 m|-1 m|0 m"},
		{lampAlone, `at = { ahead = "%s", up = "1 m" }`, "-200 m|200 m", "-200.1 m|200.1 m|1 km"},
		{lampAlone, `at = { left = "%s", up = "1 m" }`, "-200 m|200 m", "-200.1 m|200.1 m"},
		{beam, "spread = %s", "0.51|174.9|[0.51, 174.9]", "0.5|175|[10, 175]|[0.5, 10]|0|-10"},
		{beam, "spread = 10\nfield = %s", "10.1|179.9|[11, 12]", "10|180|[10, 20]|[20, 10]|9"},
		{lamp, "tilt = %s", "-90|90", "-90.1|90.1"},
		{strength, "lumens = %s", "0.001|10_000_000|1e7", "0|-1|10_000_001|1e308"},
		{lamp, "output = %s", `0.001|1|1.0|"100 %"`, `0|-0.1|1.001|"101 %"`},
		{lamp, `width = "%s"`, "0 m|10 m", "-0.1 m|10.1 m"},

		{lamp, "turn = %s", "-360|360", "-360.1|360.1"},
		{lamp, "roll = %s", "-180|180", "-180.1|180.1"},
		{lamp, "tilt_range = %s", "[-90, 90]|[1, 1]", "[-90.1, 0]|[0, 90.1]|[1, 0]"},
		{lamp, "turn_range = %s", "[-360, 360]|[1, 1]", "[-361, 0]|[0, 361]|[1, 0]"},
		{lamp, "tilt_step = %s", "0.01|90", "0|0.009|91"},
		{lamp, "turn_step = %s", "0.01|90", "0|0.009|91"},
		{strength, `peak = "%s"`, "0.1 cd|1e9 cd", "0 cd|-1 cd|1.1e9 cd"},
		{strength, `one_lux_at = "%s"`, "1 m|30 km", "0 m|30.1 km"},
		{beam, "[[lamp.optic]]\nspread = 10\nshare = 0.6\n[[lamp.optic]]\nspread = 10\nshare = %s",
			"0.4|0.4009|0.3991", "0.4011|0.3989|0|-0.4|1.1"},
		{in("vehicle"), `length = "%s"`, "0.5 m|30 m", "0.49 m|30.1 m"},
		{in("vehicle"), `width = "%s"`, "0.3 m|5 m", "0.29 m|5.1 m"},
		{in("vehicle"), `wheelbase = "%s"`, "0.3 m|20 m", "0.29 m|20.1 m"},
		{in("vehicle"), `front_overhang = "%s"`, "0 m|10 m", "-0.1 m|10.1 m"},
		{in("vehicle"), `eye = { ahead = "-1 m", up = "%s" }`, "0.05 m|30 m", "0.04 m|30.1 m"},
		{nose, "%s", "-20|20|0", "-20.1|20.1"},
		{box, `ahead = ["%s", "199 m"]` + "\nleft = [\"-1 m\", \"1 m\"]\nup = [\"1 m\", \"2 m\"]", "-200 m",
			"-200.1 m|199 m|200 m"},
		{box, faces + `up = ["0 m", "%s"]`, "0.01 m|30 m", "0 m|30.1 m|-1 m"},
		{in("ground"), `grade = "%s"`, "-100 %|100 %|44.9 deg", "-101 %|101 %|46 deg|-90 deg"},
		{in("ground"), `cross_fall = "%s"`, "-50 %|50 %|26 deg", "-51 %|51 %|27 deg"},
		{in("ground"), "reflectance = %s", "0.001|1", "0|1.1"},
		{in("ground"), `profile = [["0 m", "0 m"], ["%s", "0 m"]]`, "0.01 m|10 km", "0 m|-1 m|10.1 km"},
		{in("ground"), `profile = [["0 m", "0 m"], ["9 m", "%s"]]`, "-1 km|1 km", "-1.1 km|1.1 km"},
		{in("stopping"), `reaction = "%s"`, "0 s|10 s", "-0.1 s|10.1 s"},
		{in("stopping"), `braking = "%s"`, "0.5 m/s2|12 m/s2", "0.49 m/s2|12.1 m/s2"},
		{in("air"), `visibility = "%s"`, "10 m|1000 km", "9 m|1001 km|0 m"},
		{target, "half_width = \"3 m\"\nlux = %s", "0.001|1e6", "0|-1|1.1e6"},
		{target, "lux = 1\nhalf_width = \"%s\"", "0 m|50 m", "-1 m|51 m"},
		{target, "lux = 1\nhalf_width = \"3 m\"\nweight = %s", "0.001|1000", "0|-1|1001"},
		{target, "lux = 1\nhalf_width = \"3 m\"\nsurface = \"facing\"\nup = \"%s\"", "0.05 m|30 m", "0.04 m|30.1 m"},
		{"[[target]]\nlux = 1\nhalf_width = \"3 m\"\n%s" + oneLamp, `ahead = ["%s", "100 m"]`, "-200 m|99 m",
			"-201 m|100 m|101 m"},
		{limit, "at = { ahead = \"50 m\", up = \"1 m\" }\nlux = %s", "0.001|1e6", "0|-1|1.1e6"},
		{"[vehicle]\nwheelbase = \"3 m\"\nfront_overhang = \"1 m\"\n%s" + oneLamp, `pitch = %s`, "0|20", "-0.1|20.1"},
		{"[vehicle]\nwheelbase = \"9 m\"\nfront_overhang = \"1 m\"\n%s" + oneLamp, `driven = { front = "%s" }`,
			"-1 m|1 m", "-1.01 m|1.01 m"},
		{in("driver"), "age = %s", "20|75|47.5", "19.9|75.1"},
		{in("driver"), `glance = "%s"`, "50 ms|5 s", "40 ms|5.1 s|0 s"},
		{in("driver"), "visibility_level = %s", "1|100", "0.9|101|0"},
		{in("air"), "sky = %s", "0|10000", "-0.1|10001"},
		{in("ground"), `slope = "%s"`, "-100 %|100 %", "-101 %|101 %"},
		{in("track"), `bend = "%s"`, "5 m left|100 km right|straight", "4.9 m left|101 km right|-9 m left|left|5 m up"},
		{in("track"), `from = "%s"`, "0 m|1 km", "-0.1 m|1001 m"},
		{in("track"), `width = "%s"`, "0.5 m|50 m", "0.4 m|51 m"},
		{in("headlights"), "strength = %s", "0.01|20", "0|20.1|-1"},
		{in("headlights"), `dip = "%s"`, "0 %|10 %", "-0.1 %|10.1 %"},
		{in("headlights"), `at = { ahead = "-0.3 m", left = "%s", up = "0.7 m" }`, "0 m|3 m", "-0.1 m|3.1 m"},
		{"[[thing]]\nname = \"a\"\nheight = \"1 m\"\nreflectance = 1\n%s" + oneLamp, `width = "%s"`, "1 cm|50 m",
			"9 mm|51 m"},
		{"[[thing]]\nname = \"a\"\nwidth = \"1 m\"\nreflectance = 1\n%s" + oneLamp, `height = "%s"`, "1 cm|50 m",
			"9 mm|51 m"},
		{"[[thing]]\nname = \"a\"\nwidth = \"1 m\"\nheight = \"1 m\"\n%s" + oneLamp, "reflectance = %s", "0|1",
			"-0.1|1.1"},
		{limit, "lux = 1\nat = { ahead = \"50 m\", up = \"%s\" }", "0.05 m|30 m", "0.04 m|30.1 m"},
	}
	for _, test := range tests {
		for _, group := range []struct {
			values string
			good   bool
		}{{test.in, true}, {test.out, false}} {
			for value := range strings.SplitSeq(group.values, "|") {
				text := fmt.Sprintf(test.file, strings.Replace(test.key, "%s", value, 1))
				_, err := Read(strings.NewReader(text), "rig.toml")
				if (err == nil) != group.good {
					t.Errorf("%s: %v\n%s", strings.Replace(test.key, "%s", value, 1), err, text)
				}
				if err != nil && strings.Contains(err.Error(), "\n") {
					t.Errorf("%s: more than one mistake: %v", value, err)
				}
			}
		}
	}
}

// At most so many: one more is refused.
func TestCounts(t *testing.T) {
	lamps := func(n int) string {
		var b strings.Builder
		for range n {
			b.WriteString(oneLamp)
		}
		return b.String()
	}
	many := func(piece string) func(int) string {
		return func(n int) string { return strings.Repeat(piece, n) + oneLamp }
	}
	tests := []struct {
		name string
		most int
		file func(n int) string
	}{
		{"lamps", 200, lamps}, // the interface's
		{"boxes", 64, many("[[vehicle.body]]\nahead = [\"-2 m\", \"-1 m\"]\nleft = [\"-1 m\", \"1 m\"]\nup = [\"1 " +
			"m\", \"2 m\"]\n")},
		{"profile points", 1000, func(n int) string {
			var b strings.Builder
			for i := range n {
				fmt.Fprintf(&b, "[\"%d m\", \"0 m\"],\n", i)
			}
			return "[ground]\nprofile = [" + b.String() + "]" + oneLamp
		}},
		{"scenes", 100, many("[[scene]]\n")}, // this program's own
		{"targets", 100, many("[[target]]\nahead = [\"3 m\", \"15 m\"]\nhalf_width = \"3 m\"\nlux = 1\n")},
		{"limits", 100, many("[[limit]]\nat = { ahead = \"50 m\", up = \"1 m\" }\nlux = 5\n")},
		{"optics", 8, func(n int) string {
			optic := fmt.Sprintf("[[lamp.optic]]\nspread = 10\nshare = %.6f\n", 1/float64(n))
			return "[[lamp]]\nat.up = \"2 m\"\nlumens = 9000\n" + strings.Repeat(optic, n)
		}},
	}
	for _, test := range tests {
		if _, err := Read(strings.NewReader(test.file(test.most)), "rig.toml"); err != nil {
			t.Errorf("%d %s: %v", test.most, test.name, err)
		}
		_, err := Read(strings.NewReader(test.file(test.most+1)), "rig.toml")
		if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("more than %d", test.most)) {
			t.Errorf("%d %s: %v", test.most+1, test.name, err)
		}
	}
}
