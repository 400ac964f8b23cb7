package render

import (
	"image/color"
	"math"
	"testing"
)

func TestContrast(t *testing.T) {
	white, black := color.RGBA{255, 255, 255, 255}, color.RGBA{0, 0, 0, 255}
	for _, c := range []struct {
		a, b color.RGBA
		want float64
	}{
		{white, black, 21}, // WCAG 2.2: the largest ratio
		{white, white, 1},
		{color.RGBA{0x76, 0x76, 0x76, 255}, white, 4.54}, // the lightest grey that passes on white, common knowledge of the trade
		{color.RGBA{255, 0, 0, 255}, white, 4.00},        // (1.05)/(0.2126+0.05), WCAG's own luminance weights
		{color.RGBA{0, 0, 255, 255}, white, 8.59},        // 1.05/(0.0722+0.05)
	} {
		if got := Contrast(c.a, c.b); math.Abs(got-c.want) > 0.005 {
			t.Errorf("contrast of %v and %v: %.3f, want %.2f", c.a, c.b, got, c.want)
		}
	}
}

// CIELAB of the sRGB primaries under D65, as tabulated in colour handbooks (from memory).
func TestLab(t *testing.T) {
	for _, c := range []struct {
		rgb     color.RGBA
		l, a, b float64
	}{
		{color.RGBA{255, 255, 255, 255}, 100, 0, 0},
		{color.RGBA{0, 0, 0, 255}, 0, 0, 0},
		{color.RGBA{255, 0, 0, 255}, 53.24, 80.09, 67.20},
		{color.RGBA{0, 255, 0, 255}, 87.73, -86.18, 83.18},
		{color.RGBA{0, 0, 255, 255}, 32.30, 79.19, -107.86},
		{color.RGBA{119, 119, 119, 255}, 50.03, 0, 0},
	} {
		got := labOf(c.rgb)
		if got.apart(lab{c.l, c.a, c.b}) > 0.15 {
			t.Errorf("Lab of %v: %.2f, want %.2f %.2f %.2f", c.rgb, got, c.l, c.a, c.b)
		}
		if back := got.rgb(); back != c.rgb {
			t.Errorf("%v comes back from Lab as %v", c.rgb, back)
		}
	}
}
