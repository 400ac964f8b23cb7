package lm63_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"beamfall/beam/lm63"
)

// Every refusal says where and why, and what would be right.
func TestErrors(t *testing.T) {
	const ok = "1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n100 0\n"
	file := func(body string) string { return "IESNA:LM-63-2002\nTILT=NONE\n" + body }
	if _, err := lm63.Read(strings.NewReader(file(ok))); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		text string
		want string
	}{
		{"empty", "", "line 1: the file ends without a TILT line; LM-63 files have TILT=NONE"},
		{"another format", "LampCo\n1\n0\n24\n", "line 4: the file ends without a TILT line"},
		{"endless header", strings.Repeat("label\n", 6000), "line 5001: no TILT line so far"},
		{
			"tilt file",
			"IESNA91\n[TEST] x\nTILT=lamp.tlt\n" + ok,
			"line 3: TILT=lamp.tlt: tilt factors in another file are not read; TILT=NONE or TILT=INCLUDE would " +
				"be right",
		},
		{"tilt nothing", "IESNA91\nTILT=\n" + ok, "line 2: TILT=: tilt factors in another file"},
		{
			"tilt geometry",
			"IESNA91\nTILT=INCLUDE\n4\n1\n0\n1\n" + ok,
			"line 3: lamp to luminaire geometry: 4 is not a whole number from 1 to 3",
		},
		{
			"tilt count",
			"IESNA91\nTILT=INCLUDE\n1\n1e9\n0\n1\n" + ok,
			"line 4: number of tilt angles: 1e9 is not a whole number from 1 to 1000",
		},
		{"tilt angles", "IESNA91\nTILT=INCLUDE\n1\n2\n45 0\n1 1\n" + ok, "line 5: tilt angle 2 of 2: 0° after 45°"},
		{"tilt factor", "IESNA91\nTILT=INCLUDE\n1\n2\n0 45\n1 -1\n" + ok, "line 6: tilt factor 2: -1 is below 0"},
		{
			"tilt factor missing",
			"IESNA91\nTILT=INCLUDE\n1\n2\n0 45\n1",
			"line 6: the file ends where the tilt factor should be",
		},

		{"nothing after tilt", file(""), "line 2: the file ends where the number of lamps should be"},
		{
			"no lamps",
			file("0 -1 1 2 1 1 2 0 0 0\n1 1 1\n"),
			"line 3: number of lamps: 0 is not a whole number from 1 to 10000",
		},
		{"half a lamp", file("1.5 -1 1 2 1 1 2 0 0 0\n1 1 1\n"), "line 3: number of lamps: 1.5 is not a whole number"},
		{
			"word",
			file("one -1 1 2 1 1 2 0 0 0\n1 1 1\n"),
			`line 3: number of lamps: "one" is not a number; digits with a decimal point would be right, as in 12.5`,
		},
		{"two points", file("1 1.2.3 1 2 1 1 2 0 0 0\n1 1 1\n"), `line 3: lumens per lamp: "1.2.3" is not a number`},
		{
			"no lumens",
			file("1 0 1 2 1 1 2 0 0 0\n1 1 1\n"),
			"line 3: lumens per lamp: 0 is neither a flux above 0 nor -1 (absolute photometry)",
		},
		{"lumens -2", file("1 -2 1 2 1 1 2 0 0 0\n1 1 1\n"), "line 3: lumens per lamp: -2 is neither"},
		{"lumens NaN", file("1 NaN 1 2 1 1 2 0 0 0\n1 1 1\n"), `line 3: lumens per lamp: "NaN" is not a number`},
		{"lumens Inf", file("1 +Inf 1 2 1 1 2 0 0 0\n1 1 1\n"), `line 3: lumens per lamp: "+Inf" is not a number`},
		{
			"lumens 1e308",
			file("1 1e308 1 2 1 1 2 0 0 0\n1 1 1\n"),
			`line 3: lumens per lamp: "1e308" is out of range; at most 1e+10 would be right`,
		},
		{"lumens 1e999", file("1 1e999 1 2 1 1 2 0 0 0\n1 1 1\n"), `line 3: lumens per lamp: "1e999" is out of range`},
		{"hexadecimal", file("1 0x10 1 2 1 1 2 0 0 0\n1 1 1\n"), `line 3: lumens per lamp: "0x10" is not a number`},
		{
			"long word",
			file("1 " + strings.Repeat("9", 5000) + " 1 2 1 1 2 0 0 0\n1 1 1\n"),
			`line 3: lumens per lamp: "999999999999999999999999…" is not a number`,
		},
		{"multiplier 0", file("1 -1 0 2 1 1 2 0 0 0\n1 1 1\n"), "line 3: candela multiplier: 0 is not above 0"},
		{
			"one vertical angle",
			file("1 -1 1 1 1 1 2 0 0 0\n1 1 1\n0\n0\n9\n"),
			"line 3: number of vertical angles: 1 is not a whole number from 2 to 20000",
		},
		{
			"no horizontal angle",
			file("1 -1 1 2 0 1 2 0 0 0\n1 1 1\n"),
			"line 3: number of horizontal angles: 0 is not a whole number from 1 to 20000",
		},
		{
			"a billion angles",
			file("1 -1 1 1e9 1 1 2 0 0 0\n1 1 1\n"),
			"line 3: number of vertical angles: 1e9 is not a whole number from 2 to 20000",
		},
		{
			"more than the file can hold",
			file("1 -1 1 20000 20000 1 2 0 0 0\n1 1 1\n0 1 2\n"),
			"line 4: 20000 vertical and 20000 horizontal angles ask for 400040000 numbers, the rest of the file " +
				"holds at most 3",
		},
		{
			"type 4",
			file("1 -1 1 2 1 4 2 0 0 0\n1 1 1\n"),
			"line 3: photometric type (1 = C, 2 = B, 3 = A): 4 is not a whole number from 1 to 3",
		},
		{
			"units",
			file("1 -1 1 2 1 1 3 0 0 0\n1 1 1\n"),
			"line 3: units (1 = feet, 2 = metres): 3 is not a whole number from 1 to 2",
		},
		{"width", file("1 -1 1 2 1 1 2 wide 0 0\n1 1 1\n"), `line 3: luminous width: "wide" is not a number`},
		{"ballast factor", file("1 -1 1 2 1 1 2 0 0 0\n-1 1 1\n"), "line 4: ballast factor: -1 is not above 0"},
		{
			"third number",
			file("1 -1 1 2 1 1 2 0 0 0\n1 0 1\n"),
			"line 4: ballast-lamp factor (file generation type in 2019): 0 is not above 0",
		},
		{"watts", file("1 -1 1 2 1 1 2 0 0 0\n1 1 watts\n"), `line 4: input watts: "watts" is not a number`},

		{
			"angles fall",
			file("1 -1 1 3 1 1 2 0 0 0\n1 1 1\n0 90\n45\n0\n1 1 1\n"),
			"line 6: vertical angle 3 of 3: 45° after 90°; angles that ascend by at least 0.0001° would be right",
		},
		{
			"angles repeat",
			file("1 -1 1 3 1 1 2 0 0 0\n1 1 1\n0 45 45\n0\n1 1 1\n"),
			"line 5: vertical angle 3 of 3: 45° after 45°",
		},
		{
			"angle missing",
			file("1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 ninety\n0\n1 1\n"),
			`line 5: vertical angle 2 of 2: "ninety" is not a number`,
		},
		{
			"type C below",
			file("1 -1 1 2 1 1 2 0 0 0\n1 1 1\n-10 90\n0\n1 1\n"),
			"line 5: vertical angle 1 of 2: -10° is not from 0° to 180°",
		},
		{
			"type A above",
			file("1 -1 1 2 1 3 2 0 0 0\n1 1 1\n0 100\n0\n1 1\n"),
			"line 5: vertical angle 2 of 2: 100° is not from -90° to 90°",
		},
		{
			"type B aside",
			file("1 -1 1 2 2 2 2 0 0 0\n1 1 1\n0 90\n0 100\n1 1 1 1\n"),
			"line 6: horizontal angle 2 of 2: 100° is not from -90° to 90°",
		},
		{"type C half a quadrant", file("1 -1 1 2 2 1 2 0 0 0\n1 1 1\n0 90\n0 45\n1 1 1 1\n"),
			"line 6: horizontal angles from 0° to 45°: " +
				"0° alone, 0° to 90°, 0° to 180°, 90° to 270° or 0° to 360° would be right in type C"},
		{
			"type C with a gap",
			file("1 -1 1 2 5 1 2 0 0 0\n1 1 1\n0 90\n0 60 120 180 240\n1 1 1 1 1 1 1 1 1 1\n"),
			"line 6: horizontal angles from 0° to 240°",
		},
		{
			"type C more than a turn",
			file("1 -1 1 2 3 1 2 0 0 0\n1 1 1\n0 90\n-90 0 300\n1 1 1 1 1 1\n"),
			"line 6: horizontal angles from -90° to 300°",
		},
		{
			"type C quarter between the axes",
			file("1 -1 1 2 2 1 2 0 0 0\n1 1 1\n0 90\n30 120\n1 1 1 1\n"),
			"line 6: horizontal angles from 30° to 120°",
		},
		{
			"type B left only",
			file("1 -1 1 2 2 2 2 0 0 0\n1 1 1\n-9 9\n-30 0\n1 1 1 1\n"),
			"line 6: horizontal angles from -30° to 0°: " +
				"type A and B files begin at 0° (left equals right), or below it and end above",
		},
		{
			"type B right of the axis",
			file("1 -1 1 2 2 2 2 0 0 0\n1 1 1\n-9 9\n10 30\n1 1 1 1\n"),
			"line 6: horizontal angles from 10° to 30°",
		},
		{
			"type A one lopsided cut",
			file("1 -1 1 2 1 3 2 0 0 0\n1 1 1\n-9 5\n0\n1 1\n"),
			"line 6: with one horizontal angle, type A and B files need vertical angles from 0°, or as far down as up",
		},

		{
			"value missing",
			file("1 -1 1 2 2 1 2 0 0 0\n1 1 1\n0 90\n0 90\n1 1\n1\n"),
			"line 8: the file ends where the candela value should be (value 4 of 4, at horizontal 90°, vertical 90°)",
		},
		{
			"value negative",
			file("1 -1 1 2 2 1 2 0 0 0\n1 1 1\n0 90\n0 90\n1 1\n-1 1\n"),
			"line 8: candela value: -1 is below 0 (value 3 of 4, at horizontal 90°, vertical 0°)",
		},
		{"value NaN", file("1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\nnan 1\n"),
			`line 7: candela value: "nan" is not a number`},
		{
			"value 1e308",
			file("1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n1 1e308\n"),
			`line 7: candela value: "1e308" is out of range`,
		},
		{
			"value with factors",
			file("1 -1 1e6 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n1 1e6\n"),
			"line 7: candela value: 1e6 with the factors is 1e+12 cd; at most 1e+10 cd would be right",
		},
		{
			"decimal comma",
			file("1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n100,5 0,5\n"),
			`line 7: "0" follows the last of 2 candela values; the numbers of angles (2 vertical, 1 horizontal) are wrong`,
		},
		{"dark", file("1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n0 0\n"), "all candela values are 0"},
		{
			"lone CR counts as a line",
			strings.ReplaceAll(file("1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\nx 0\n"), "\n", "\r"),
			`line 7: candela value: "x"`,
		},
		{
			"CR LF counts as one",
			strings.ReplaceAll(file("1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\nx 0\n"), "\n", "\r\n"),
			`line 7: candela value: "x"`,
		},
		{"no terminal codes in messages", file("\x1b[31m -1 1\n"), `line 3: number of lamps: "�[31m" is not a number`},
	} {
		_, err := lm63.Read(strings.NewReader(c.text))
		if err == nil {
			t.Errorf("%s: read without an error", c.name)
			continue
		}
		if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s:\n got %s\nwant %s", c.name, err, c.want)
		}
	}
}

// What is unusual but clear is read, with a sentence about it.
func TestDoubts(t *testing.T) {
	const numbers = "1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n100 0\n"
	for _, c := range []struct {
		name string
		text string
		want []string
	}{
		{"none", "IESNA:LM-63-2002\nTILT=NONE\n" + numbers, nil},
		{"lower case and blanks", "iesna:lm-63-2002\n  tilt = none\n" + numbers, nil},
		{"byte order mark and Ctrl-Z", "\uFEFFIES:LM-63-2019\nTILT=NONE\n" + numbers + "\x1a\x00\x00", nil},
		{
			"text at the end",
			"IESNA91\nTILT=NONE\n" + numbers + "END\n",
			[]string{"line 8: the text after the last candela value is left out"},
		},
		{
			"edition",
			"IES:LM-63-2031\nTILT=NONE\n" + numbers,
			[]string{"line 1: edition 2031 of LM-63 is not known; read by the rules of 2019"},
		},
		{"continues nothing", "IESNA91\n[MORE] text\nTILT=NONE\n" + numbers,
			[]string{"line 2: [MORE] continues nothing"}},
		{"third factor up to 1991", "IESNA91\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 .9 1\n0 90\n0\n100 0\n", nil},
		{"third factor where it is reserved",
			"IESNA:LM-63-1995\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 .9 1\n0 90\n0\n100 0\n",
			[]string{"line 4: the number after the ballast factor is reserved in this edition and .9 here; " +
				"multiplied with"}},
		{
			"too much light",
			"IESNA91\nTILT=NONE\n1 100 1 2 1 1 2 0 0 0\n1 1 1\n0 180\n0\n100 100\n",
			[]string{"the table adds up to 1257 lm, more than the 100 lm that its lamps are rated at"},
		},
		{
			"one cut at 90°",
			"IESNA91\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n90\n100 0\n",
			[]string{"the one horizontal angle is 90°, not 0°"},
		},
		{
			"unusual half",
			"IESNA91\nTILT=NONE\n1 -1 1 2 2 1 2 0 0 0\n1 1 1\n0 90\n-90 90\n100 0 100 0\n",
			[]string{"horizontal angles from -90° to 90° are unusual in type C"},
		},
		{
			"vertical stops",
			"IESNA91\nTILT=NONE\n1 -1 1 2 3 2 2 0 0 0\n1 1 1\n-90 0\n-90 0 90\n0 0 0 100 0 0\n",
			[]string{"the table stops at vertical angle 0° with still 100 cd"},
		},
		{
			"shines down",
			"IESNA91\nTILT=NONE\n1 -1 1 3 1 1 2 0 0 0\n1 1 1\n0 70 90\n0\n10 100 0\n",
			[]string{"the brightest direction (H 0°, V 70°) is 70° off the beam axis"},
		},
	} {
		f := read(t, c.text)
		if len(f.Doubts) != len(c.want) {
			t.Errorf("%s: got %q, want %q", c.name, f.Doubts, c.want)
			continue
		}
		for i, want := range c.want {
			if !strings.Contains(f.Doubts[i], want) {
				t.Errorf("%s: got %q, want %q", c.name, f.Doubts[i], want)
			}
		}
	}
}

func TestEditions(t *testing.T) {
	for line, want := range map[string]int{
		"IESNA:LM-63-1986": 1986, "IESNA86": 1986, "IESNA91": 1991, "IESNA:LM-63-1991": 1991,
		"IESNA:LM-63-1995": 1995, "IESNA:LM-63-95": 1995,
		"IESNA:LM-63-2002": 2002, "IESNA LM-63-2002": 2002, "IES:LM-63-2019": 2019, "IES:LM-63-19": 2019,
		"IESNA:LM-63-1993": 1991, "IESNA:LM-63-1998": 1995, "IESNA:LM-63-2010": 2002, "IES:LM-63-2020": 2019,
		"IESNA:LM-63-1980": 1986,
		"A LAMP":           1986, "IESNA91 AND MORE": 1986,
	} {
		f := read(t, line+"\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n100 0\n")
		if f.Edition != want {
			t.Errorf("%q: edition %d, want %d", line, f.Edition, want)
		}
	}
}

// In the 2019 edition, and there alone, the third number may be a code.
func TestGenerationType(t *testing.T) {
	for _, c := range []struct {
		edition, third string
		factor         float64
		code           string
	}{
		{"IES:LM-63-2019", "1", 1, "1"},
		{"IES:LM-63-2019", "1.00001", 1, "1.00001"},
		{"IES:LM-63-2019", "1.0001", 1, "1.0001"},
		{"IES:LM-63-2019", "1.001", 1, "1.001"},
		{"IES:LM-63-2019", "1.01", 1, "1.01"},
		{"IES:LM-63-2019", "1.1", 1, "1.1"},
		{"IES:LM-63-2019", "1.11001", 1, "1.11001"},
		{"IES:LM-63-2019", "0.9", 0.9, ""},
		{"IES:LM-63-2019", "1.05", 1.05, ""},
		{"IES:LM-63-2019", "1.2", 1.2, ""},
		{"IES:LM-63-2019", "11", 11, ""},
		{"IESNA:LM-63-2002", "1.1", 1.1, ""},
		{"IESNA91", "1.00001", 1.00001, ""},
	} {
		f := read(t, c.edition+"\nTILT=NONE\n1 -1 2 2 1 1 2 0 0 0\n.5 "+c.third+" 1\n0 90\n0\n100 0\n")
		if f.ThirdFactor != c.factor || f.Generation != c.code {
			t.Errorf("%s, %s: factor %g code %q, want %g %q", c.edition, c.third, f.ThirdFactor, f.Generation, c.factor,
				c.code)
		}
		near(t, c.third, f.Distribution(1).Peak(), 100*c.factor, exact)
	}
}

// Hostile files are refused before they cost anything.
func TestLimits(t *testing.T) {
	_, err := lm63.Read(io.LimitReader(endless{}, 10<<20))
	if err == nil || !strings.Contains(err.Error(), "larger than 8 MiB") {
		t.Errorf("10 MB of blanks: %v", err)
	}
	broken := errors.New("the cable is out")
	if _, err := lm63.Read(iotest.ErrReader(broken)); !errors.Is(err, broken) {
		t.Errorf("a reader's error: %v", err)
	}
	huge := "TILT=NONE\n1 -1 1 20000 200 1 2 0 0 0\n1 1 1\n" + strings.Repeat("0 ", 1<<20)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err = lm63.Read(strings.NewReader(huge))
	if err == nil || !strings.Contains(err.Error(), "ask for 4020200 numbers") {
		t.Errorf("4 million numbers promised, 1 million there: %v", err)
	}
	runtime.ReadMemStats(&after)
	if allocated := after.TotalAlloc - before.TotalAlloc; allocated > 20<<20 {
		t.Errorf("4 million numbers promised, 1 million there: %d MB", allocated>>20)
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

func TestTypeNames(t *testing.T) {
	if got := fmt.Sprint(lm63.TypeA, lm63.TypeB, lm63.TypeC, lm63.Type(7)); got != "A B C Type(7)" {
		t.Error(got)
	}
}

func BenchmarkRead(b *testing.B) {
	var text bytes.Buffer
	d := gaussian(10, 4, 1e5)
	if err := lm63.Write(&text, d, lm63.Header{Issued: time.Unix(0, 0)}); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		if _, err := lm63.Read(bytes.NewReader(text.Bytes())); err != nil {
			b.Fatal(err)
		}
	}
}
