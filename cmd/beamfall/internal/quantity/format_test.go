package quantity

import (
	"math"
	"testing"
)

// Inches and feet by hand: 1.905 m = 75 in, 7.62 m = 25 ft, 0.97155 m = 38 1/4 in.
func TestFormat(t *testing.T) {
	m, i := Metric, Imperial
	tests := []struct{ got, want string }{
		{m.Length(1.905), "1.91 m"}, {i.Length(1.905), "6 ft 3 in"},
		{m.Length(-1.9), "-1.90 m"}, {i.Length(-1.905), "-6 ft 3 in"},
		{m.Length(0), "0.00 m"}, {i.Length(0), "0 in"},
		{m.Length(-0.001), "0.00 m"}, {i.Length(-0.001), "0 in"}, // no negative nothing
		{i.Length(7.62), "25 ft"},
		{i.Length(0.3), "1 ft"},  // 11.8 in: no 12 in
		{i.Length(1.82), "6 ft"}, // 71.65 in
		{i.Length(0.05), "2 in"}, // 1.97 in
		{m.Mark(0.965), "0.965 m"},
		{i.Mark(0.97155), "3 ft 2 1/4 in"},
		{i.Mark(0.0127), "1/2 in"},
		{i.Mark(0.3048 + 0.00635), "1 ft 1/4 in"},
		{i.Mark(0.3048 + 0.01905), "1 ft 3/4 in"},
		{i.Mark(0.3047), "1 ft"},
		{i.Mark(-0.0635), "-2 1/2 in"},
		{m.Distance(24.34), "24.3 m"}, {i.Distance(24.34), "80 ft"},
		{m.Distance(99.96), "100 m"}, {m.Distance(312.4), "312 m"}, {m.Distance(12400), "12.4 km"},
		{i.Distance(1.905), "6 ft 3 in"}, {i.Distance(2 * Mile), "10560 ft"}, {i.Distance(10 * Mile), "10.0 mi"},
		{m.Speed(17), "61 km/h"}, {i.Speed(17.8816), "40 mph"},
		{m.Acceleration(3.4), "3.4 m/s²"}, {m.Acceleration(4.257), "4.26 m/s²"}, {m.Acceleration(10), "10 m/s²"}, {i.Acceleration(3.4), "11.2 ft/s²"},
		{m.Area(1240.2), "1240 m²"}, {i.Area(1), "11 ft²"}, {m.Area(3.14), "3.1 m²"},
		{m.Length(math.NaN()), "–"}, {i.Mark(math.Inf(1)), "–"}, {m.Distance(math.Inf(-1)), "–"},
		{Degrees(5 * math.Pi / 180), "5.0°"}, {Degrees(-0.01 * math.Pi / 180), "0.0°"},
		{DegreesNumber(4.5 * math.Pi / 180), "4.5"}, {DegreesNumber(10 * math.Pi / 180), "10"},
		{DegreesNumber(0), "0"}, {DegreesNumber(-1e-12), "0"}, {DegreesNumber(1e-4 * math.Pi / 180), "0.0001"},
	}
	for n, test := range tests {
		if test.got != test.want {
			t.Errorf("%d: %q, want %q", n, test.got, test.want)
		}
	}
}

// What is printed in feet and inches can be typed in again, and is off by no more than half the step.
func TestFeetAndInchesReadBack(t *testing.T) {
	for m := -3.0; m < 12; m += 0.0137 {
		for _, form := range []struct {
			text string
			step float64
		}{{Imperial.Length(m), Inch}, {Imperial.Mark(m), Inch / 4}} {
			got, err := ParseLength(form.text)
			if err != nil || math.Abs(got-m) > form.step/2+1e-12 {
				t.Errorf("%v m was written %q and read %v, %v", m, form.text, got, err)
			}
		}
	}
}

func TestParseSystem(t *testing.T) {
	for _, system := range []System{Metric, Imperial} {
		if got, err := ParseSystem(system.String()); err != nil || got != system {
			t.Errorf("%v was read as %v, %v", system, got, err)
		}
	}
	if _, err := ParseSystem("imperail"); err == nil ||
		err.Error() != `"imperail" is not a system of units; write "metric" or "imperial"` {
		t.Errorf("imperail: %v", err)
	}
}
