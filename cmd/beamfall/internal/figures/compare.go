package figures

import (
	"context"
	"math"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/render/units"
)

// Compare is scenes side by side. Pictures and Notes are for the caller to fill.
type Compare struct {
	Columns  []Column `json:"columns"`
	Pictures []string `json:"pictures"`
	Notes    []string `json:"notes"`
}

// Column is one of the scenes that are compared.
type Column struct {
	Title       string      `json:"title"`
	Rig         string      `json:"rig"`
	Scene       string      `json:"scene"`
	Lamps       int         `json:"lamps"`
	Flux        float64     `json:"flux_lm"`
	Peak        float64     `json:"peak_cd"` // of the strongest lamp
	Brightest   *PeakGround `json:"peak_ground"`
	Reach       []Reach     `json:"reach"`
	Widths      []LitWidth  `json:"lit_width"`
	LitArea     []LitArea   `json:"lit_area"`
	GroundShare float64     `json:"ground_share"`
	DarkGaps    []Gap       `json:"dark_gaps"`
	Sight       []Sight     `json:"sight"`
}

// LitWidth is how wide the ground is lit at a distance ahead of the bumper.
type LitWidth struct {
	Ahead float64 `json:"ahead_m"`
	Lux   float64 `json:"lux"`
	Width float64 `json:"width_m"`
}

// widthsAt are the distances ahead (m) of the lit widths, round ones in either system of units.
var widthsAt = map[units.System][]float64{
	units.Metric: {10, 25, 50}, units.Imperial: {30 * units.Foot, 75 * units.Foot, 150 * units.Foot},
}

// ColumnOf works out the figures of a scene for a comparison.
func ColumnOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, title string, o Options) (Column, error) {
	lit := r.Lit(s)
	c := Column{Title: title, Rig: r.File.Name, Scene: s.Name, Lamps: len(s.Lamps)}
	sky := 0.0
	for i := range lit.Lamps {
		m := &lit.Lamps[i]
		flux := m.Lamp.Beam().Flux()
		c.Flux += flux
		sky += flux * m.SkyShare()
		c.Peak = math.Max(c.Peak, m.Lamp.Beam().Peak())
	}
	if c.Flux > 0 {
		c.GroundShare = 1 - sky/c.Flux
	}
	if b := lit.Brightest(); b.Lux > 0 {
		c.Brightest = &PeakGround{b.Lux, b.At.X, b.At.Y}
	}
	least := lowest(o.Thresholds)
	line := lit.Centreline(min(least, GapLux))
	c.Reach, c.DarkGaps = reaches(line, o.Thresholds), gaps(line)
	for _, x := range widthsAt[r.System()] {
		c.Widths = append(c.Widths, LitWidth{x, least, lit.LitWidth(x, least)})
	}
	for _, lux := range o.Thresholds {
		a, err := lit.LitArea(ctx, lux)
		if err != nil {
			return c, err
		}
		c.LitArea = append(c.LitArea, LitArea{lux, a})
	}
	seen, err := sightsOf(ctx, r, &o, 0)
	if err != nil {
		return c, err
	}
	c.Sight = seen.of(s)
	return c, nil
}
