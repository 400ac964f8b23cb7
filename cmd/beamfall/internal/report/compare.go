package report

import (
	"context"
	"fmt"
	"math"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// Compare is scenes side by side.
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
}

// LitWidth is how wide the ground is lit at a distance ahead of the bumper.
type LitWidth struct {
	Ahead float64 `json:"ahead_m"`
	Lux   float64 `json:"lux"`
	Width float64 `json:"width_m"`
}

// widthsAt are the distances ahead (m) at which the lit width is told.
var widthsAt = []float64{10, 25, 50}

// ColumnOf works out the figures of a scene for a comparison.
func ColumnOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, title string, o Options) (Column, error) {
	lit := r.Lit(s)
	c := Column{Title: title, Rig: r.File.Name, Scene: s.Name, Lamps: len(s.Lamps), DarkGaps: []Gap{}}
	sky := 0.0
	for i := range lit.Lamps {
		m := &lit.Lamps[i]
		flux := m.Beam().Flux()
		c.Flux += flux
		sky += flux * m.SkyShare()
		c.Peak = math.Max(c.Peak, m.Beam().Peak())
	}
	if c.Flux > 0 {
		c.GroundShare = 1 - sky/c.Flux
	}
	if b := lit.Brightest(); b.Lux > 0 {
		c.Brightest = &PeakGround{b.Lux, b.At.X, b.At.Y}
	}
	line := lit.Centreline(math.Min(lowest(o.Thresholds), gapLux))
	c.Reach = reaches(line, o.Thresholds)
	for _, g := range line.Gaps(gapLux) {
		c.DarkGaps = append(c.DarkGaps, Gap{g.From, g.To})
	}
	for _, x := range widthsAt {
		c.Widths = append(c.Widths, LitWidth{x, lowest(o.Thresholds), lit.LitWidth(x, lowest(o.Thresholds))})
	}
	for _, lux := range o.Thresholds {
		a, err := lit.LitArea(ctx, lux)
		if err != nil {
			return c, err
		}
		c.LitArea = append(c.LitArea, LitArea{lux, a})
	}
	return c, nil
}

// Figures are a column's figures with their labels.
func (c *Column) Figures(u units.System) [][2]string {
	var out [][2]string
	say := func(label, format string, args ...any) {
		out = append(out, [2]string{label, fmt.Sprintf(format, args...)})
	}
	say("delivered", "%.0f lm", c.Flux)
	say("peak", "%.0f cd", c.Peak)
	for _, r := range c.Reach {
		say(fmt.Sprintf("reach %g lx", r.Lux), "%s", u.Short(or(r.Range)))
	}
	for _, w := range c.Widths {
		say(fmt.Sprintf("width over %g lx at %s", w.Lux, u.Chosen(w.Ahead)), "%s", u.Short(w.Width))
	}
	for _, a := range c.LitArea {
		say(fmt.Sprintf("ground over %g lx", a.Lux), "%s", u.Area(a.Area))
	}
	if c.Brightest != nil {
		behind := ""
		if c.Brightest.Ahead < 0 {
			behind = " behind"
		}
		say("brightest ground", "%s at %s%s", units.Light(c.Brightest.Lux), u.Short(math.Abs(c.Brightest.Ahead)), behind)
	} else {
		say("brightest ground", "none lit")
	}
	say("light to the ground", "%.0f %%", 100*c.GroundShare)
	gaps := "none"
	for i, g := range c.DarkGaps {
		switch i {
		case 0:
			gaps = u.Span(g.From, g.To, "")
		case 1:
			gaps += fmt.Sprintf(", %d more", len(c.DarkGaps)-1)
		}
	}
	if c.Reach[0].Range == nil {
		gaps = "all dark"
	}
	say("dark ahead", "%s", gaps)
	return out
}

// Table is the comparison with a column for each.
func (c *Compare) Table(u units.System) *table.Table {
	t := &table.Table{Columns: []table.Column{{Name: ""}}}
	for i := range c.Columns {
		t.Columns = append(t.Columns, table.Column{Name: table.Cut(c.Columns[i].Title, 18), Right: true})
		for j, f := range c.Columns[i].Figures(u) {
			if i == 0 {
				t.Rows = append(t.Rows, []string{f[0]})
			}
			t.Rows[j] = append(t.Rows[j], f[1])
		}
	}
	return t
}
