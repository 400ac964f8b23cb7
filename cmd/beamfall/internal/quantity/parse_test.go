package quantity

import (
	"math"
	"strconv"
	"strings"
	"testing"
)

// Each text beside its value in SI, worked out by hand from the exact constants of NIST SP 811,
// appendix B (inch 25.4 mm, foot 0.3048 m, yard 0.9144 m, mile 1609.344 m), and compared to the
// last bit but for angles.
func TestParse(t *testing.T) {
	tests := []struct {
		kind Kind
		text string
		want float64
	}{
		{Length, "1.9 m", 1.9},
		{Length, "1.9m", 1.9},
		{Length, "190 cm", 1.9},
		{Length, "1900 mm", 1.9},
		{Length, "75 in", 1.905},
		{Length, "6.25 ft", 1.905},
		{Length, "6 ft 3 in", 1.905},
		{Length, `6'3"`, 1.905},
		{Length, `6' 3"`, 1.905},
		{Length, `6'-3"`, 1.905}, // as on drawings
		{Length, `6'`, 1.8288},
		{Length, `75"`, 1.905},
		{Length, "6 feet 3 inches", 1.905},
		{Length, "6ft3in", 1.905},
		{Length, "6\u20323\u2033", 1.905}, // typographic primes
		{Length, "3 ft 2 1/4 in", 0.97155},
		{Length, `3'2 1/4"`, 0.97155},
		{Length, "1/4 in", 0.00635},
		{Length, "2 1/2 in", 0.0635},
		{Length, "2 km", 2000},
		{Length, "1 mi", 1609.344},
		{Length, "10 yd", 9.144},
		{Length, "-1.9 m", -1.9},
		{Length, "\u22121.9 m", -1.9}, // minus sign of a word processor
		{Length, `-6'3"`, -1.905},
		{Length, "-6 ft 3 in", -1.905},
		{Length, "+0.5 m", 0.5},
		{Length, ".5 m", 0.5},
		{Length, "0 m", 0},
		{Length, "1.9 M", 1.9},
		{Length, "25.4 mm", 0.0254},
		{Length, "25 ft", 7.62}, // the aiming screen: vehicle makers' service procedures
		{Length, "1e3 mm", 1},
		{Length, "1.9\u00a0m", 1.9}, // no-break space

		{Angle, "5 deg", 5 * math.Pi / 180},
		{Angle, "5°", 5 * math.Pi / 180},
		{Angle, "5", 5 * math.Pi / 180},
		{Angle, "-0.5 degrees", -0.5 * math.Pi / 180},
		{Angle, "180deg", math.Pi},

		{Speed, "60 km/h", 60 / 3.6},
		{Speed, "15 m/s", 15},
		{Speed, "40 mph", 17.8816}, // 40 × 1609.344 m / 3600 s
		{Speed, "40mph", 17.8816},

		{Acceleration, "3.4 m/s2", 3.4},
		{Acceleration, "3.4 m/s²", 3.4},
		{Acceleration, "3.4m/s^2", 3.4},
		{Acceleration, "11.2 ft/s2", 3.41376}, // AASHTO's 3.4 m/s² and 11.2 ft/s²
		{Acceleration, "1 g", 9.80665},

		{Time, "2.5 s", 2.5},
		{Time, "250 ms", 0.25},
		{Flux, "9000 lm", 9000},
		{Flux, "9000", 9000},
		{Intensity, "45000 cd", 45000},
		{Intensity, "45 kcd", 45000},
		{Illuminance, "5", 5},
		{Illuminance, "5 lx", 5},
		{Luminance, "0.001", 0.001},
		{Luminance, "0.001 cd/m2", 0.001},
		{Luminance, "2 cd/m²", 2},
		{Grade, "4 %", 0.04},
		{Grade, "-4%", -0.04},
		{Grade, "45 deg", 1},
		// 1 % is 10 cm at 10 m is 0.573°: UN Regulation No. 48 usage
		{Grade, "0.57293869768349°", 0.01},
		{Share, "0.7", 0.7},
		{Share, "70 %", 0.7},
		{Number, "2", 2},
	}
	for _, test := range tests {
		got, err := test.kind.Parse(test.text)
		tolerance := 0.0
		switch test.kind {
		case Angle, Grade, Speed, Share:
			tolerance = 1e-11 * math.Abs(test.want)
		}
		if err != nil || math.Abs(got-test.want) > tolerance {
			t.Errorf("%v %q = %v, %v; want %v", test.kind, test.text, got, err, test.want)
		}
	}
}

// What people write on the way to a quantity is refused with the form that it should have.
func TestParseNamesTheRightForm(t *testing.T) {
	for _, test := range []struct {
		kind       Kind
		text, want string
	}{
		{Length, "6ft-4in", `"6ft-4in" is not a length; write "6 ft 4 in"`},
		{Length, "6-3", `"6-3" is not a plain decimal number with a unit; write "6 ft 3 in"`},
		{Length, "6'3", `"6'3" is not a length; write "6 ft 3 in"`},
		{Length, "6 ft 3", `"6 ft 3" is not a length; write "6 ft 3 in"`},
		{Length, "6' - 3 1/2\"", `"6' - 3 1/2"" is not a length; write "6 ft 3 1/2""`},
		{Length, "6 ft. 4 in.", `"6 ft. 4 in." is not a length; write "6 ft 4 in"`},
		{Length, "3½ in", `"3½ in": the unit "½ in" is not known here; write "3 1/2 in"`},
		{Length, "\u20131.9 m", `"–1.9 m" is not a number with a unit; write "-1.9 m"`}, // en dash
		{Length, "1,9 m", `"1,9 m" has a comma; write "1.9 m"`},
		{Length, "1m90", `"1m90" is not a length; write "1.90 m"`},
		{Angle, "4,5", `"4,5" has a comma; write "4.5"`},
		{Angle, "\u20132°", `"–2°" is not a number; write "-2°"`},
		{Grade, "1,5 %", `"1,5 %" has a comma; write "1.5 %"`},
		// Not to be guessed: a thousand, or one and a bit.
		{Length, "1,900 mm", `"1,900 mm" has a comma; use a point for decimals and nothing between thousands, e.g. "1.9 m"`},
	} {
		if _, err := test.kind.Parse(test.text); err == nil || err.Error() != test.want {
			t.Errorf("%v %q:\n got %v\nwant %s", test.kind, test.text, err, test.want)
		}
	}
}

// 1 fc = 10.76391 lx: NIST SP 811, appendix B, to seven figures.
func TestFootCandle(t *testing.T) {
	got, err := ParseIlluminance("1 fc")
	if err != nil || math.Abs(got-10.76391) > 5e-6 {
		t.Errorf("1 fc = %v lx, %v; want 10.76391", got, err)
	}
}

func TestParseRefuses(t *testing.T) {
	const (
		length = `write e.g. "1.9 m" or "6 ft 3 in"`
		comma  = "use a point for decimals and nothing between thousands, e.g. "
	)
	tests := []struct {
		kind Kind
		text string
		want string
	}{
		{Length, "", `an empty text is not a length; ` + length},
		{Length, "  ", `an empty text is not a length; ` + length},
		{Length, "1.9", `"1.9" has no unit; ` + length},
		{Length, "0", `"0" has no unit; ` + length},
		{Length, "1,900 mm", `"1,900 mm" has a comma; ` + comma + `"1.9 m"`},
		{Length, "nan m", `"nan m" is not a number with a unit; ` + length},
		{Length, "inf m", `"inf m" is not a number with a unit; ` + length},
		{Length, "-Inf", `"-Inf" is not a number with a unit; ` + length},
		{Length, "0x10 m", `"0x10 m" is not a plain decimal number with a unit; ` + length},
		{Length, "1_000 m", `"1_000 m" is not a plain decimal number with a unit; ` + length},
		{Length, "1.2.3 m", `"1.2.3 m" is not a plain decimal number with a unit; ` + length},
		{Length, "1e999 m", `"1e999 m" is too large; ` + length},
		{Length, "1e308 km", `"1e308 km" is too large; ` + length},
		{Length, "5 deg", `"5 deg" is an angle, not a length; ` + length},
		{Length, "4 %", `"4 %" is a percentage, not a length; ` + length},
		{Length, "60 km/h", `"60 km/h" is a speed, not a length; ` + length},
		{Length, "3 furlongs", `"3 furlongs": the unit "furlongs" is not known here; ` + length},
		{Length, "6 ft 14 in", `"6 ft 14 in" is not a length; ` + length},
		{Length, "6.5 ft 3 in", `"6.5 ft 3 in" is not a length; ` + length},
		{Length, "6 ft -3 in", `"6 ft -3 in" is not a length; write "6 ft 3 in"`},
		{Length, "2 1/3 in", `"2 1/3 in" is not a plain decimal number with a unit; ` + length},
		{Length, "2 5/4 in", `"2 5/4 in" is not a plain decimal number with a unit; ` + length},
		{Length, "3 in 6 ft", `"3 in 6 ft" is not a length; ` + length},
		{Length, "one metre", `"one metre" is not a number with a unit; ` + length},
		{Length, strings.Repeat("1", 101), `"` + strings.Repeat("1", 39) + `…" is too long for a length; ` + length},
		{Length, "1\x00m", `"1\x00m": the unit "\x00m" is not known here; ` + length},
		{Angle, "5 m", `"5 m" is a length, not an angle; write e.g. "5 deg"`},
		{Angle, `6'3"`, `"6'3"" is a length, not an angle; write e.g. "5 deg"`},
		{Angle, "5,500", `"5,500" has a comma; ` + comma + `"5 deg"`},
		{Angle, "NaN", `"NaN" is not a number; write e.g. "5 deg"`},
		{Angle, "level", `"level" is not a number; write e.g. "5 deg"`},
		{Speed, "60", `"60" has no unit; write e.g. "60 km/h"`},
		{Speed, "60 km", `"60 km" is a length, not a speed; write e.g. "60 km/h"`},
		{Acceleration, "3.4 m/s", `"3.4 m/s" is a speed, not an acceleration; write e.g. "3.4 m/s2"`},
		{Acceleration, "3.4", `"3.4" has no unit; write e.g. "3.4 m/s2"`},
		{Time, "2.5", `"2.5" has no unit; write e.g. "2.5 s"`},
		{Flux, "9000 lx", `"9000 lx" is an illuminance, not a flux; write e.g. "9000 lm"`},
		{Flux, "9,000 lm", `"9,000 lm" has a comma; ` + comma + `"9000 lm"`},
		{Intensity, "45000", `"45000" has no unit; write e.g. "45000 cd"`},
		{Intensity, "45000 lm", `"45000 lm" is a flux, not an intensity; write e.g. "45000 cd"`},
		{Grade, "4", `"4" has no unit; write e.g. "4 %"`},
		{Grade, "90 deg", `"90 deg" is not below 90°; write e.g. "4 %"`},
		{Share, "7 m", `"7 m" is a length, not a share; write e.g. "0.7"`},
		{Number, "7 m", `"7 m" is a length, not a plain number; write e.g. "1"`},
		{Number, "7 %", `"7 %" is a percentage, not a plain number; write e.g. "1"`},
		{Number, "7 widgets", `"7 widgets" is not a plain number; write e.g. "1"`},
	}
	for _, test := range tests {
		got, err := test.kind.Parse(test.text)
		if err == nil {
			t.Errorf("%v %q = %v; want it refused", test.kind, test.text, got)
		} else if err.Error() != test.want {
			t.Errorf("%v %q:\n got %s\nwant %s", test.kind, test.text, err, test.want)
		}
	}
}

func TestBareNumbers(t *testing.T) {
	if v, err := Angle.Of(180); err != nil || v != math.Pi {
		t.Errorf("180 as an angle = %v, %v; want π", v, err)
	}
	if _, err := Length.Of(1.9); err == nil || err.Error() != `1.9 has no unit; write e.g. "1.9 m" or "6 ft 3 in"` {
		t.Errorf("1.9 as a length: %v", err)
	}
	if _, err := Angle.Of(math.NaN()); err == nil {
		t.Error("NaN was read as an angle")
	}
}

// The example of every kind is right.
func TestExamples(t *testing.T) {
	for kind := range forms {
		if _, err := kind.Parse(kind.Example()); err != nil {
			t.Errorf("%v: %v", kind, err)
		}
	}
}

// fuzz checks of one kind: what is read is finite, and reads the same when written plainly in the
// first unit.
func fuzz(f *testing.F, kind Kind, seeds ...string) {
	for _, seed := range append(seeds, kind.Example(), "", "-0", "1,5", "0x1p3", "1_0", "nan", "inf", "1e999", "1e-999",
		"\x00", "5 °") {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, err := kind.Parse(text)
		if err != nil {
			e := AsError(err)
			if e.Problem == "" || e.Remedy == "" || strings.ContainsAny(e.Error(), "\n\x00\x1b") {
				t.Errorf("%q: unhelpful message %q", text, err)
			}
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%q was read as %v", text, v)
		}
		u := forms[kind].units[0]
		again, err := kind.Parse(strconv.FormatFloat(v/u.num*u.den, 'g', -1, 64) + u.name)
		if err != nil || math.Abs(again-v) > 1e-12*math.Abs(v)+1e-300 {
			t.Errorf("%q was read as %v, and that, written plainly, as %v, %v", text, v, again, err)
		}
	})
}

func FuzzParseLength(f *testing.F) {
	fuzz(f, Length, "6 ft 3 in", `-6'3"`, `6'-3"`, "3 ft 2 1/4 in", "1/64 in", "75in", "2 km")
}
func FuzzParseAngle(f *testing.F)        { fuzz(f, Angle, "5", "-5deg", "1 rad") }
func FuzzParseSpeed(f *testing.F)        { fuzz(f, Speed, "40 mph", "15m/s") }
func FuzzParseAcceleration(f *testing.F) { fuzz(f, Acceleration, "11.2 ft/s²", "1 g", "3.4 m/s^2") }
func FuzzParseTime(f *testing.F)         { fuzz(f, Time, "2.5 sec") }
func FuzzParseFlux(f *testing.F)         { fuzz(f, Flux, "9000", "9 klm") }
func FuzzParseIntensity(f *testing.F)    { fuzz(f, Intensity, "45 kcd") }
func FuzzParseIlluminance(f *testing.F)  { fuzz(f, Illuminance, "5", "1 fc") }
func FuzzParseGrade(f *testing.F)        { fuzz(f, Grade, "-4%", "2.3°", "89.9999 deg") }
func FuzzParseShare(f *testing.F)        { fuzz(f, Share, "70 %") }
func FuzzParseNumber(f *testing.F)       { fuzz(f, Number, "2.5e3") }
