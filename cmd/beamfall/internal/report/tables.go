package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/table"
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

// fromCentre is a distance from the centreline with its side: "0.550 m L".
func fromCentre(u quantity.System, left float64) string {
	switch text := u.Mark(math.Abs(left)); {
	case text == u.Mark(0):
		return "centre"
	case left > 0:
		return text + " L"
	default:
		return text + " R"
	}
}

// WallWords are the cells of a wall mark: height, aside and drop, or why there is none.
func (l *Lamp) WallWords(u quantity.System) (height, aside, drop string) {
	switch {
	case l.Wall != nil:
		return u.Mark(l.Wall.Height), fromCentre(u, l.Wall.Left), u.Mark(l.Wall.Drop)
	case l.AheadOfWall:
		return "stands past it", "", ""
	case math.Cos(rad(l.Turn))*math.Cos(rad(l.Tilt)) < 1e-9:
		return "aimed away", "", ""
	}
	return "ground first", "", ""
}

// Setting is the table to set brackets by.
func (p *Plan) Setting(u quantity.System, o Options) *table.Table {
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
			strconv.Itoa(l.Key), l.Name, u.Length(l.Up), quantity.Degrees(rad(l.Tilt)), quantity.Degrees(rad(l.Reading)), up, aside, drop,
		})
	}
	return t
}

// span is two ends of a stretch, with one unit if they share it, and in words where there is none.
func span(u quantity.System, near, far float64, none string) string {
	switch {
	case math.IsNaN(near) && math.IsNaN(far):
		return none
	case math.IsNaN(far):
		return short(u, near) + " – " + none
	case math.IsNaN(near):
		return none + " – " + short(u, far)
	}
	return pair(short(u, near), short(u, far), " – ")
}

// pair joins two quantities, the unit said once.
func pair(a, b, between string) string {
	if i, j := strings.LastIndex(a, " "), strings.LastIndex(b, " "); i > 0 && j > 0 && a[i:] == b[j:] {
		a = a[:i]
	}
	return a + between + b
}

// short is a distance as one number with its unit, no inches.
func short(u quantity.System, m float64) string {
	if feet := m / quantity.Foot; u == quantity.Imperial && math.Abs(feet) < 19.95 {
		return fmt.Sprintf("%.1f ft", feet)
	}
	return u.Distance(m)
}

// stake is a distance that was chosen, without decimals that it does not have.
func stake(u quantity.System, m float64) string {
	unit := " m"
	if u == quantity.Imperial {
		m, unit = m/quantity.Foot, " ft"
		if m >= 19.95 {
			m = math.Round(m)
		}
	}
	return strconv.FormatFloat(math.Round(m*100)/100+0, 'f', -1, 64) + unit
}

// Gives is the table of what the lamps do when set so.
func (p *Plan) Gives(u quantity.System, o Options) *table.Table {
	t := &table.Table{
		Title: "What that gives (as driven; horizontal distances from the lamp)",
		Columns: []table.Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "circuit", Least: 7}, {Name: "axis hits", Right: true},
			{Name: "half-peak zone"}, {Name: "if " + "±" + quantity.Degrees(o.Tolerance) + " off"},
			{Name: "reach " + thresholds(o.Thresholds)}, {Name: "to sky", Right: true},
		},
	}
	for _, l := range p.Lamps {
		axis := "never"
		if l.AxisHit != nil {
			axis = short(u, l.AxisHit.Range)
		}
		t.Rows = append(t.Rows, []string{
			strconv.Itoa(l.Key), l.Name, l.Circuit, axis, span(u, or(l.Near), or(l.Far), "sky"),
			span(u, or(l.Tolerance.Near), or(l.Tolerance.Far), "never"), reachWords(u, l.Reach),
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

func reachWords(u quantity.System, reach []Reach) string {
	if len(reach) == 1 {
		return short(u, or(reach[0].Range))
	}
	return pair(short(u, or(reach[0].Range)), short(u, or(reach[1].Range)), " / ")
}
