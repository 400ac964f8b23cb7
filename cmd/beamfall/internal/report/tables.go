package report

import (
	"fmt"
	"math"
	"strconv"

	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// The figures as tables for people. At most 100 columns wide, whatever the names.

func rad(deg float64) float64 { return deg * math.Pi / 180 }

// or is *v, NaN for null.
func or(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}

// WallWords are the cells of a wall mark: height, aside and drop, or why there is none.
func (l *Lamp) WallWords(u units.System) (height, aside, drop string) {
	switch {
	case l.Wall != nil:
		return u.Mark(l.Wall.Height), u.FromCentre(l.Wall.Left, "L", "R"), u.Mark(l.Wall.Drop)
	case l.AheadOfWall:
		return "stands past it", "", ""
	case math.Cos(rad(l.Turn))*math.Cos(rad(l.Tilt)) < 1e-9:
		return "aimed away", "", ""
	}
	return "ground first", "", ""
}

// Setting is the table to set brackets by.
func (p *Plan) Setting(u units.System, o Options) *table.Table {
	t := &table.Table{
		Title: fmt.Sprintf("To set (parked on level ground; wall %s ahead of the bumper)", u.Length(o.Wall)),
		Columns: []table.Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "height", Right: true}, {Name: "tilt", Right: true},
			{Name: "meter", Right: true}, {Name: "wall mark up", Right: true}, {Name: "from centre", Right: true}, {Name: "below lamp", Right: true},
		},
	}
	for _, l := range p.Lamps {
		up, aside, drop := l.WallWords(u)
		t.Rows = append(t.Rows, []string{
			strconv.Itoa(l.Key), l.Name, u.Length(l.Up), units.Degrees(rad(l.Tilt)), units.Degrees(rad(l.Reading)), up, aside, drop,
		})
	}
	return t
}

// Gives is the table of what the lamps do when set so.
func (p *Plan) Gives(u units.System, o Options) *table.Table {
	t := &table.Table{
		Title: "What that gives (as driven; horizontal distances from the lamp)",
		Columns: []table.Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "circuit", Least: 7}, {Name: "axis hits", Right: true},
			{Name: "half-peak zone"}, {Name: "if " + "±" + units.Degrees(o.Tolerance) + " off"},
			{Name: "reach " + thresholds(o.Thresholds)}, {Name: "to sky", Right: true},
		},
	}
	for _, l := range p.Lamps {
		axis := "never"
		if l.AxisHit != nil {
			axis = u.Short(l.AxisHit.Range)
		}
		t.Rows = append(t.Rows, []string{
			strconv.Itoa(l.Key), l.Name, l.Circuit, axis, u.Span(or(l.Near), or(l.Far), "sky"),
			u.Span(or(l.Tolerance.Near), or(l.Tolerance.Far), "never"), reachWords(u, l.Reach),
			fmt.Sprintf("%.0f %%", 100*l.SkyShare),
		})
	}
	return t
}

func thresholds(lux []float64) string {
	text := ""
	for i, v := range lux[:min(2, len(lux))] {
		if i > 0 {
			text += " / "
		}
		text += fmt.Sprintf("%g", v)
	}
	return text + " lx"
}

func reachWords(u units.System, reach []Reach) string {
	if len(reach) == 1 {
		return u.Short(or(reach[0].Range))
	}
	return units.Pair(u.Short(or(reach[0].Range)), u.Short(or(reach[1].Range)), " / ")
}
