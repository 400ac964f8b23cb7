package lines

import "testing"

func TestWrap(t *testing.T) {
	tests := []struct {
		what, text string
		columns    int
		want       string
	}{
		{"short text is one line", "one two", 20, "one two"},
		{"blanks are one", "one  two\nthree", 20, "one two three"},
		{"a line is broken at a blank", "one two three", 8, "one two\nthree"},
		{"a number keeps its unit", "it gets 95 % of it", 10, "it gets\n95 % of it"},
		{"a number keeps a unit with a comma", "out to 124.5 m, or so", 12, "out to\n124.5 m, or\nso"},
		{"feet keep their inches", "it is 6 ft 3 in up", 10, "it is\n6 ft 3 in\nup"},
		{"inches keep their fraction", "it is 2 ft 11 1/2 in up", 14, "it is\n2 ft 11 1/2 in\nup"},
		{"a unit after a bracket", "and (about 0.5 cd) more", 14, "and (about\n0.5 cd) more"},
		{"a word is no unit", "take 12 of the", 8, "take 12\nof the"},
		{"a joint is a blank that holds", "set a" + Joint + "b now", 6, "set\na b\nnow"},
		{"nothing is nothing", "", 10, ""},
	}
	for _, tt := range tests {
		if got := Wrap(tt.text, tt.columns); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.what, got, tt.want)
		}
	}
}

func TestWidth(t *testing.T) {
	for text, want := range map[string]int{"": 0, "abc": 3, "a\nlonger\nb": 6, "lux,lux…": 8} {
		if got := Width(text); got != want {
			t.Errorf("Width(%q) = %d, want %d", text, got, want)
		}
	}
}
