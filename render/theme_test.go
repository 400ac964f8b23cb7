package render

import (
	"image/color"
	"testing"
)

// Text is readable on whatever it is written on: WCAG 2.2, success criterion 1.4.3, asks for a contrast of 4.5:1.
func TestTextContrast(t *testing.T) {
	for _, theme := range []Theme{Night(), Paper()} {
		for name, text := range map[string]color.RGBA{"ink": theme.Ink, "muted": theme.Muted, "accent": theme.Accent, "caution": theme.Caution} {
			for on, ground := range map[string]color.RGBA{
				"the background": theme.Background, "a plate": theme.Plate, "soil": theme.Ground, "sky": theme.Sky, "the vehicle": theme.Vehicle,
			} {
				if got := Contrast(text, ground); got < 4.5 {
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

// Paper takes little ink: the background and the darkest band are bare, and low levels pale.
func TestPaperTakesLittleInk(t *testing.T) {
	p := Paper()
	white := color.RGBA{255, 255, 255, 255}
	if p.Background != white || p.Ramp.Bands[0] != white {
		t.Errorf("background %v, darkest band %v; want both white", p.Background, p.Ramp.Bands[0])
	}
	if l := labOf(p.Ramp.Colour(0.5)).L; l < 85 {
		t.Errorf("half a lux has a lightness of %.0f, want 85", l)
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
