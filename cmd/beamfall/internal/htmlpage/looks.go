package htmlpage

import (
	"fmt"
	"image/color"
	"strings"

	"beamfall/render"
	"beamfall/render/draw"
)

// The looks of a page are those of the pictures: paper where a browser asks for light colours and
// on paper, night where it asks for dark ones.

// looks are the levels of light (lx) and the colours of both themes.
type looks struct {
	Levels []float64 `json:"levels"`
	Paper  bands     `json:"paper"`
	Night  bands     `json:"night"`
}

// bands are the colours between levels, one more than those, and of the lines at them, as #rrggbb.
type bands struct {
	Bands []string `json:"bands"`
	Lines []string `json:"lines"`
}

func bothLooks() looks {
	return looks{render.LightRamp(draw.Paper()).Levels, bandsOf(draw.Paper()), bandsOf(draw.Night())}
}

func bandsOf(t draw.Theme) (b bands) {
	r := render.LightRamp(t)
	for _, c := range r.Bands {
		b.Bands = append(b.Bands, css(c))
	}
	for _, c := range r.Lines {
		b.Lines = append(b.Lines, css(c))
	}
	return b
}

func css(c color.RGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// properties are a theme's colours for the style sheet.
func properties(t draw.Theme) string {
	var b strings.Builder
	for _, c := range []struct {
		name   string
		colour color.RGBA
	}{
		{"background", t.Background}, {"plate", t.Plate}, {"edge", t.PlateEdge}, {"ink", t.Ink},
		{"muted", t.Muted}, {"grid", t.Grid}, {"accent", t.Accent}, {"caution", t.Caution},
		{"vehicle", t.Vehicle}, {"vehicle-edge", t.VehicleEdge}, {"ground", t.Ground}, {"sky", t.Sky},
	} {
		fmt.Fprintf(&b, "  --%s: %s;\n", c.name, css(c.colour))
	}
	return b.String()
}
