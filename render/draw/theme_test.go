package draw

import (
	"image/color"
	"testing"
)

// luminance is the relative luminance of a colour, 0 for black to 1 for white, and contrast the
// ratio of two: WCAG 2.2.
func luminance(c color.RGBA) float64 {
	r, g, b := rgb(c).LinearRgb()
	return 0.2126*r + 0.7152*g + 0.0722*b
}

func contrast(a, b color.RGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// lightness is that of CIELAB, 0 to 100.
func lightness(c color.RGBA) float64 {
	l, _, _ := rgb(c).Lab()
	return 100 * l
}

// The scale is even and runs one way.
func TestScaleIsMonotone(t *testing.T) {
	for _, theme := range []Theme{Night(), Paper()} {
		last := lightness(theme.Scale.Shade(0))
		way := lightness(theme.Scale.Shade(1)) - last
		for i := 1; i <= 64; i++ { // steps of 1.3, well above the rounding of the components
			l := lightness(theme.Scale.Shade(float64(i) / 64))
			if (l-last)*way <= 0 {
				t.Errorf("%s: lightness turns at %d/64", theme.Name, i)
			}
			last = l
		}
	}
}

// Text is readable on whatever it is written on: WCAG 2.2, success criterion 1.4.3, asks for a
// contrast of 4.5:1.
func TestTextContrast(t *testing.T) {
	for _, theme := range []Theme{Night(), Paper()} {
		for name, text := range map[string]color.RGBA{"ink": theme.Ink, "muted": theme.Muted, "accent": theme.Accent,
			"sight": theme.Sight, "caution": theme.Caution} {
			for on, ground := range map[string]color.RGBA{
				"the background": theme.Background, "a plate": theme.Plate,
				"soil": theme.Ground, "sky": theme.Sky, "the vehicle": theme.Vehicle,
			} {
				if got := contrast(text, ground); got < 4.5 {
					t.Errorf("%s: %s on %s has a contrast of %.2f, want 4.5", theme.Name, name, on, got)
				}
			}
		}
	}
}

// Night is dark: nothing but light itself is brighter than the ink, and the ink is not white.
func TestNightIsDark(t *testing.T) {
	n := Night()
	if got := luminance(n.Background); got > 0.01 {
		t.Errorf("the background has a luminance of %.3f, want at most 0.01", got)
	}
	if got := luminance(n.Ink); got > 0.8 {
		t.Errorf("ink has a luminance of %.2f, want at most 0.8", got)
	}
}

// In both themes more is lighter, so that a picture is read as the night that it shows; and paper
// takes little ink: its background and the most of a quantity are bare, and nothing of it is no
// darker than a mid grey.
func TestMoreIsLighter(t *testing.T) {
	for _, theme := range []Theme{Night(), Paper()} {
		if none, most := lightness(theme.Scale.Shade(0)), lightness(theme.Scale.Shade(1)); most-none < 45 {
			t.Errorf("%s: lightness from %.0f for nothing to %.0f for the most", theme.Name, none, most)
		}
	}
	p, white := Paper(), color.RGBA{255, 255, 255, 255}
	if p.Background != white || p.Scale.Shade(1) != white {
		t.Errorf("background %v, the most %v; want both white", p.Background, p.Scale.Shade(1))
	}
	if none := lightness(p.Scale.Shade(0)); none < 45 {
		t.Errorf("nothing has a lightness of %.0f on paper", none)
	}
}

func TestThemeNamed(t *testing.T) {
	for _, name := range []string{"night", "paper"} {
		if theme, err := ThemeNamed(name); err != nil || theme.Name != name {
			t.Errorf("%s: %q, %v", name, theme.Name, err)
		}
	}
	if _, err := ThemeNamed("dusk"); err == nil || err.Error() != `theme "dusk": there are night and paper` {
		t.Errorf("dusk: %v", err)
	}
}
