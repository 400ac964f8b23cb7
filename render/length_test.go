package render

import "testing"

func TestLengthsInWords(t *testing.T) {
	for _, test := range []struct {
		m                float64
		metric, imperial string // as a mark
	}{
		// 25.4 mm to the inch, 0.3048 m to the foot (NIST SP 811)
		{0, "0.000 m", "0 in"},
		{7.62, "7.620 m", "25 ft"},
		{0.965, "0.965 m", "3 ft 2 in"},       // 37.99 in
		{0.9716, "0.972 m", "3 ft 2 1/4 in"},  // 38.25 in
		{0.0127, "0.013 m", "1/2 in"},         // half an inch
		{0.3239, "0.324 m", "1 ft 3/4 in"},    // 12.75 in
		{-0.6, "−0.600 m", "−1 ft 11 1/2 in"}, // 23.62 in
		{0.30479, "0.305 m", "1 ft"},          // rounds up to the foot
		{-0.0001, "0.000 m", "0 in"},          // no negative zero
	} {
		if got := (Subject{}).mark(test.m); got != test.metric {
			t.Errorf("mark at %g m: %q, want %q", test.m, got, test.metric)
		}
		if got := (Subject{Imperial: true}).mark(test.m); got != test.imperial {
			t.Errorf("mark at %g m: %q, want %q", test.m, got, test.imperial)
		}
	}
	for _, test := range []struct {
		m                float64
		metric, imperial string // as a distance
	}{
		{5.43, "5.4 m", "17 ft 10 in"}, // 213.8 in
		{24.31, "24.3 m", "80 ft"},
		{99.96, "100 m", "328 ft"},
		{312.4, "312 m", "1025 ft"},
		{12400, "12.4 km", "7.7 mi"}, // 1609.344 m to the mile
	} {
		if got := (Subject{}).distance(test.m); got != test.metric {
			t.Errorf("%g m: %q, want %q", test.m, got, test.metric)
		}
		if got := (Subject{Imperial: true}).distance(test.m); got != test.imperial {
			t.Errorf("%g m: %q, want %q", test.m, got, test.imperial)
		}
	}
}
