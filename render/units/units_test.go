package units

import (
	"math"
	"testing"
)

// Inches and feet by hand: 1.905 m = 75 in, 7.62 m = 25 ft, 0.97155 m = 38 1/4 in.
func TestWords(t *testing.T) {
	const deg = math.Pi / 180
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

		{m.Mark(0.965), "0.965 m"}, {i.Mark(0.965), "3 ft 2 in"}, // 37.99 in
		{m.Mark(7.62), "7.620 m"}, {i.Mark(7.62), "25 ft"},
		{m.Mark(-0.0001), "0.000 m"}, {i.Mark(-0.0001), "0 in"},
		{m.Mark(-0.6), "-0.600 m"}, {i.Mark(-0.6), "-1 ft 11 1/2 in"}, // 23.62 in
		{i.Mark(0.97155), "3 ft 2 1/4 in"},
		{i.Mark(0.0127), "1/2 in"},
		{i.Mark(0.3048 + 0.00635), "1 ft 1/4 in"},
		{i.Mark(0.3239), "1 ft 3/4 in"}, // 12.75 in
		{i.Mark(0.3047), "1 ft"},
		{i.Mark(-0.0635), "-2 1/2 in"},

		{m.FromCentre(0.55, "L", "R"), "0.550 m L"}, {m.FromCentre(-0.55, "L", "R"), "0.550 m R"},
		{m.FromCentre(-1e-5, "L", "R"), "centre"}, {i.FromCentre(-0.3048, "left", "right"), "1 ft right"},
		{m.Away(-2.1, "ahead", "behind"), "2.10 m behind"}, {m.Away(2.1, "ahead", "behind"), "2.10 m ahead"},

		{m.Distance(5.43), "5.4 m"}, {i.Distance(5.43), "17 ft 10 in"}, // 213.8 in
		{m.Distance(24.34), "24.3 m"}, {i.Distance(24.34), "80 ft"},
		{m.Distance(99.96), "100 m"}, {i.Distance(99.96), "328 ft"},
		{m.Distance(312.4), "312 m"}, {i.Distance(312.4), "1025 ft"},
		{m.Distance(12400), "12.4 km"}, {i.Distance(12400), "7.7 mi"}, // 1609.344 m to the mile
		{i.Distance(1.905), "6 ft 3 in"}, {i.Distance(2 * Mile), "10560 ft"}, {i.Distance(10 * Mile), "10.0 mi"},
		{m.Short(5.43), "5.4 m"}, {i.Short(5.43), "17.8 ft"}, {i.Short(24.34), "80 ft"},
		{m.Chosen(5), "5 m"}, {m.Chosen(0.25), "0.25 m"}, {m.Chosen(0), "0 m"},
		{m.Bend(60, true), "bend of 60 m to the left"}, {i.Bend(200*Foot, false), "bend of 200 ft to the right"},
		{i.Chosen(3.048), "10 ft"}, {i.Chosen(50), "164 ft"}, {i.Chosen(1), "3.28 ft"},
		{m.Span(12, 24.04, "sky"), "12.0 – 24.0 m"}, {m.Span(12, math.NaN(), "sky"), "12.0 m – sky"},
		{m.Span(math.NaN(), math.NaN(), "sky"), "sky"}, {i.Span(3.048, 30.48, "sky"), "10.0 – 100 ft"},
		{m.Span(math.NaN(), 12, "never"), "never – 12.0 m"}, {m.Span(9000, 12000, "sky"), "9000 m – 12.0 km"},

		{m.Speed(17), "61 km/h"}, {i.Speed(17.8816), "40 mph"},
		{m.Acceleration(3.4), "3.4 m/s²"}, {m.Acceleration(4.257), "4.26 m/s²"}, {m.Acceleration(10), "10 m/s²"},
		{i.Acceleration(3.4), "11.2 ft/s²"},
		{m.Area(1240.2), "1240 m²"}, {i.Area(1), "11 ft²"}, {m.Area(3.14), "3.1 m²"},
		{m.Length(math.NaN()), "–"}, {i.Mark(math.Inf(1)), "–"}, {m.Distance(math.Inf(-1)), "–"},

		{Degrees(5 * deg), "5.0°"}, {Degrees(-0.01 * deg), "0.0°"}, {DegreesTo(-2.346*deg, 2), "-2.35°"},
		{DegreesNumber(4.5 * deg), "4.5"}, {DegreesNumber(10 * deg), "10"},
		{DegreesNumber(0), "0"}, {DegreesNumber(-1e-12), "0"}, {DegreesNumber(1e-4 * deg), "0.0001"},
		{Setting(5*deg, 40*deg), "5° down, 40° left"}, {Setting(-3.46*deg, -7.5*deg), "3.5° up, 7.5° right"},
		{Setting(0.04*deg, 0), "level"}, {Setting(0, -180*deg), "level, rear"},
		{Setting(0, 350*deg), "level, 10° right"},
		{Slopes(0.3, -0.125), "grade 30 %, cross fall -12.5 %"}, {Slopes(0.04, 0), "grade 4 %"}, {Slopes(0, 1e-5), ""},

		{Number(0.3), "0.3"}, {Number(2000), "2000"}, {Number(math.Copysign(0, -1)), "0"},
		{Trimmed(2.5, 2), "2.5"}, {Trimmed(100, 0), "100"}, {Percent(0.624), "62 %"},
		{Typeset(m.Length(-1.9)), "−1.90 m"},
	}
	for n, test := range tests {
		if test.got != test.want {
			t.Errorf("%d: %q, want %q", n, test.got, test.want)
		}
	}
}

// No figure of light is written with more digits than it has, or as a power of ten.
func TestLight(t *testing.T) {
	for v, want := range map[float64]string{
		0: "0 lx", 1e-7: "under 0.01 lx", 0.0123: "0.012 lx", 0.5: "0.5 lx", 3: "3 lx", 9.94: "9.9 lx",
		9.96: "10 lx", 1234.5: "1234 lx", 1e6: "1000000 lx",
	} {
		if got := Light(v); got != want {
			t.Errorf("Light(%v) = %q, want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{
		0: "0 cd", 0.0123: "0.0123 cd", 715.4: "715 cd", 1736: "1 740 cd", 10520: "10 500 cd", 1210360: "1 210 000 cd",
		999.6: "1 000 cd",
	} {
		if got := Candela(v); got != want {
			t.Errorf("Candela(%v) = %q, want %q", v, got, want)
		}
	}
	if some, none := Lumens(20020), Candela(math.NaN()); some != "20 020 lm" || none != "–" {
		t.Errorf("%q and %q", some, none)
	}
	for v, want := range map[float64]string{0: "0", 0.004: "0", 0.0051: "0.01", 9.99: "9.99", 9.996: "10.0",
		99.96: "100", 12345: "12345"} {
		if got := Metered(v); got != want {
			t.Errorf("Metered(%v) = %q, want %q", v, got, want)
		}
	}
}

// 3 · 0.1 is 0.30000000000000004 in binary.
func TestSteps(t *testing.T) {
	for _, test := range []struct{ n, size, want float64 }{{3, 0.1, 0.3}, {-7, 0.2, -1.4}, {12, 500, 6000}} {
		if got := Steps(test.n, test.size); got != test.want {
			t.Errorf("%g steps of %g = %v, want %v", test.n, test.size, got, test.want)
		}
	}
}

// The change is the difference of the two figures as they are shown; where one is shown in metres
// and the other in kilometres, of the figures themselves.
func TestChanged(t *testing.T) {
	for _, tt := range []struct {
		from, to float64
		want     string
	}{
		{62.4, 139.2, "+ 77 m"}, {208, 190, "− 18 m"}, {208.1, 208.3, "same"}, {math.NaN(), 24.3, "+ 24.3 m"},
		{24.3, math.NaN(), "− 24.3 m"}, {math.NaN(), math.NaN(), "same"}, {9000, 12000, "+ 3000 m"},
	} {
		if got := Changed(tt.from, tt.to, Metric.Short).String(); got != tt.want {
			t.Errorf("%g m to %g m: %q, want %q", tt.from, tt.to, got, tt.want)
		}
	}
}
