package draw

import (
	"fmt"
	"image/color"
)

// A theme is every colour of a picture: night for a dark place and eyes used to it, paper for a
// printer. Text has a contrast of at least 4.5:1 (WCAG 2.2, 1.4.3) on every ground it is drawn on:
// Ink, Muted, Accent, Sight and Caution on Background and Plate; over other colours text gets a
// plate or a halo of those.

// Theme is the colours of a picture, all opaque.
type Theme struct {
	Name string

	Background color.RGBA // of the whole picture
	Plate      color.RGBA // behind text, and legends
	PlateEdge  color.RGBA
	Ink        color.RGBA // text, and what the picture is of
	Muted      color.RGBA // second-rank text and axes
	Grid       color.RGBA // lines that hardly show
	Accent     color.RGBA // what the picture is about: an aim, a threshold
	Sight      color.RGBA // how far something is seen, and nothing else
	Caution    color.RGBA // warnings, limits

	Vehicle     color.RGBA // fill of outlines
	VehicleEdge color.RGBA
	Ground      color.RGBA // soil, below the ground line of a section
	Sky         color.RGBA // above the horizon

	Scale Scale
}

func Hex(v uint32) color.RGBA { return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255} }

// Night is dark and warm, without large bright areas.
func Night() Theme {
	return Theme{
		Name:       "night",
		Background: Hex(0x0d0f12), Plate: Hex(0x16191d), PlateEdge: Hex(0x3d4148),
		Ink: Hex(0xe2ddd0), Muted: Hex(0xa09c92), Grid: Hex(0x3a3e44), Accent: Hex(0x7fc4d6), Caution: Hex(0xf0a860),
		Sight:   Hex(0xb7b9ff),
		Vehicle: Hex(0x2b3036), VehicleEdge: Hex(0xb9b5aa), Ground: Hex(0x1d1a17), Sky: Hex(0x0b0d14),
		Scale: nightScale(),
	}
}

// Paper is black on white. Pictures of light have the white where it is brightest.
func Paper() Theme {
	return Theme{
		Name:       "paper",
		Background: Hex(0xffffff), Plate: Hex(0xffffff), PlateEdge: Hex(0x8c8c8c),
		Ink: Hex(0x111111), Muted: Hex(0x595959), Grid: Hex(0xcccccc), Accent: Hex(0x1f5d78), Caution: Hex(0x8a3d00),
		Sight:   Hex(0x3a33a0),
		Vehicle: Hex(0xe6e6e6), VehicleEdge: Hex(0x333333), Ground: Hex(0xe9e6e1), Sky: Hex(0xffffff),
		Scale: paperScale(),
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
