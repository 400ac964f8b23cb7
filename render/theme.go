package render

import (
	"fmt"
	"image/color"
)

// A theme is every colour of a picture: night for a dark place and eyes used to it, paper for a printer. Text has a
// contrast of at least 4.5:1 (WCAG 2.2, 1.4.3) on every ground it is drawn on: Ink, Muted, Accent and Caution on
// Background and Plate; over bands text gets a plate or a halo of those, or the colour that Ramp.On says.

// Theme is the colours of a picture, all opaque.
type Theme struct {
	Name string

	Background color.RGBA // of the whole picture
	Plate      color.RGBA // behind text, and legends
	PlateEdge  color.RGBA
	Ink        color.RGBA // text, lamp lines
	Muted      color.RGBA // second-rank text and axes
	Grid       color.RGBA // lines that are only felt
	Accent     color.RGBA // what the picture is about: an aim, a threshold
	Caution    color.RGBA // warnings, limits

	Vehicle     color.RGBA // fill of outlines
	VehicleEdge color.RGBA
	Ground      color.RGBA // soil, below the ground line of a section
	Sky         color.RGBA // above the horizon

	Ramp Ramp
}

func hex(v uint32) color.RGBA { return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255} }

// Night is dark and warm, without large bright areas.
func Night() Theme {
	return Theme{
		Name:       "night",
		Background: hex(0x0d0f12), Plate: hex(0x16191d), PlateEdge: hex(0x3d4148),
		Ink: hex(0xe2ddd0), Muted: hex(0xa09c92), Grid: hex(0x3a3e44), Accent: hex(0x7fc4d6), Caution: hex(0xf0a860),
		Vehicle: hex(0x2b3036), VehicleEdge: hex(0xb9b5aa), Ground: hex(0x1d1a17), Sky: hex(0x0b0d14),
		Ramp: nightRamp(),
	}
}

// Paper is black on white, and leaves the white where there is no light to show.
func Paper() Theme {
	return Theme{
		Name:       "paper",
		Background: hex(0xffffff), Plate: hex(0xffffff), PlateEdge: hex(0x8c8c8c),
		Ink: hex(0x111111), Muted: hex(0x595959), Grid: hex(0xcccccc), Accent: hex(0x1f5d78), Caution: hex(0x8a3d00),
		Vehicle: hex(0xe6e6e6), VehicleEdge: hex(0x333333), Ground: hex(0xe9e6e1), Sky: hex(0xffffff),
		Ramp: paperRamp(),
	}
}

// ThemeNamed is the theme called night or paper.
func ThemeNamed(name string) (Theme, error) {
	switch name {
	case "night":
		return Night(), nil
	case "paper":
		return Paper(), nil
	}
	return Theme{}, fmt.Errorf("theme %q: there are night and paper", name)
}
