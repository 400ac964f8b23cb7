package chart

import (
	"math"
	"testing"
)

// Places at least 10 apart between 0 and 100. Those that are pushed share the way: their mean
// stays.
func TestSpread(t *testing.T) {
	for _, test := range []struct{ at, want []float64 }{
		{nil, nil},
		{[]float64{7}, []float64{7}},
		{[]float64{10, 50, 90}, []float64{10, 50, 90}},
		{[]float64{20, 21, 50}, []float64{15.5, 25.5, 50}},
		{[]float64{50, 50, 58}, []float64{42.67, 52.67, 62.67}}, // one pushes the next: the mean of 50, 40, 38 is 42.67
		{[]float64{40, 41, 60, 61}, []float64{35.5, 45.5, 55.5, 65.5}},
		{[]float64{1, 2}, []float64{0, 10}},             // held at the low end
		{[]float64{99, 99, 99}, []float64{80, 90, 100}}, // and at the high one
	} {
		got := Spread(test.at, 10, 0, 100, nil)
		if len(got) != len(test.want) {
			t.Errorf("%v spread to %v, want %v", test.at, got, test.want)
			continue
		}
		for i := range test.want {
			if math.Abs(got[i]-test.want[i]) > 0.01 {
				t.Errorf("%v spread to %v, want %v", test.at, got, test.want)
				break
			}
		}
	}
}

// And where they are free, to a sixth of the distance.
func TestSpreadWhereFree(t *testing.T) {
	anywhere := func(int, float64) bool { return true }
	for _, test := range []struct {
		at   []float64
		free func(i int, place float64) bool
		want []float64
	}{
		{[]float64{10, 50, 90}, anywhere, []float64{10, 50, 90}},
		{[]float64{50, 50}, anywhere, []float64{45, 55}},
		{[]float64{50}, func(_ int, y float64) bool { return y < 35 || y > 60 }, []float64{60}},
		{[]float64{48, 52}, func(_ int, y float64) bool { return y < 42 || y > 65 },
			[]float64{41, 66}}, // one below, one above
		{[]float64{20, 21}, func(i int, y float64) bool { return i == 1 || y > 30 },
			[]float64{30, 40}}, // the first pushes the second
		{[]float64{50, 50}, func(int, float64) bool { return false },
			[]float64{45, 55}}, // only apart, if it cannot be
	} {
		got := Spread(test.at, 10, 0, 100, test.free)
		for i := range test.want {
			if math.Abs(got[i]-test.want[i]) > 10./6+1e-9 {
				t.Errorf("%v moved to %v, want %v", test.at, got, test.want)
				break
			}
			if i > 0 && got[i]-got[i-1] < 10-1e-9 {
				t.Errorf("%v moved to %v, closer than 10", test.at, got)
			}
		}
	}
}
