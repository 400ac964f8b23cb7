package render

import (
	"math"
	"slices"
	"testing"

	"beamfall/render/draw"
)

// area is that inside of a closed line, negative where it runs clockwise (Gauss's formula).
func area(line []draw.Point) (sum float64) {
	for i, a := range line {
		b := line[(i+1)%len(line)]
		sum += (a.X*b.Y - b.X*a.Y) / 2
	}
	return sum
}

func TestOutlineJoinsBoxes(t *testing.T) {
	for _, c := range []struct {
		name    string
		rects   []draw.Rect
		corners []int     // of each line
		areas   []float64 // of each line; of a hole it is negative
	}{
		{"none", nil, nil, nil},
		{"one", []draw.Rect{draw.R(0, 0, 2, 1)}, []int{4}, []float64{2}},
		{"hood and cab, side by side", []draw.Rect{draw.R(-1.5, 0.5, -0.2, 1.1), draw.R(-3.5, 0.5, -1.5, 1.9)},
			[]int{6}, []float64{0.78 + 2.8}},
		{"one in the other", []draw.Rect{draw.R(0, 0, 4, 4), draw.R(1, 1, 2, 2)}, []int{4}, []float64{16}},
		{"apart", []draw.Rect{draw.R(0, 0, 1, 1), draw.R(2, 0, 3, 1)}, []int{4, 4}, []float64{1, 1}},
		{"a frame", []draw.Rect{draw.R(0, 0, 3, 1), draw.R(0, 2, 3, 3), draw.R(0, 0, 1, 3), draw.R(2, 0, 3, 3)},
			[]int{4, 4}, []float64{9, -1}},
		{"corner to corner", []draw.Rect{draw.R(0, 0, 1, 1), draw.R(1, 1, 2, 2)}, []int{4, 4}, []float64{1, 1}},
		{"a cross", []draw.Rect{draw.R(0, 1, 3, 2), draw.R(1, 0, 2, 3)}, []int{12}, []float64{5}},
	} {
		lines := outline(c.rects)
		var corners []int
		for i, line := range lines {
			corners = append(corners, len(line))
			if i < len(c.areas) && math.Abs(area(line)-c.areas[i]) > 1e-12 {
				t.Errorf("%s: line %d is around %g m², want %g", c.name, i, area(line), c.areas[i])
			}
		}
		if !slices.Equal(corners, c.corners) {
			t.Errorf("%s: lines of %v corners, want %v", c.name, corners, c.corners)
		}
	}
}
