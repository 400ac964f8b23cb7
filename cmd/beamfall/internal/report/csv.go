package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// The figures as plain numbers for a spreadsheet, each under a name as in JSON. Lengths are in m or in ft, which ends the
// name; what does not exist is empty.

// spreadsheet is a table that is written cell by cell.
type spreadsheet struct {
	table.Table
	system units.System
}

func (s *spreadsheet) row() { s.Rows = append(s.Rows, nil) }

// text adds a cell to the last row. The first row names the columns.
func (s *spreadsheet) text(name, cell string) {
	if len(s.Rows) == 1 {
		s.Columns = append(s.Columns, table.Column{Name: name})
	}
	last := &s.Rows[len(s.Rows)-1]
	*last = append(*last, cell)
}

func (s *spreadsheet) number(name string, v float64) { s.text(name, digits(v)) }

func (s *spreadsheet) degrees(name string, a figures.Angle) { s.number(name+"_deg", a.Degrees()) }

func (s *spreadsheet) length(name string, m float64) {
	if s.system == units.Imperial {
		s.number(name+"_ft", math.Round(m/units.Foot*1e9)/1e9+0)
		return
	}
	s.number(name+"_m", m)
}

func (s *spreadsheet) area(name string, m2 float64) {
	if s.system == units.Imperial {
		s.number(name+"_ft2", m2/(units.Foot*units.Foot))
		return
	}
	s.number(name+"_m2", m2)
}

func (s *spreadsheet) reach(reach []figures.Reach) {
	for _, r := range reach {
		s.length(fmt.Sprintf("reach_%glx", r.Lux), float64(r.Range))
	}
}

// digits is a number with all its digits, nothing for NaN.
func digits(v float64) string {
	form := byte('f')
	switch {
	case math.IsNaN(v):
		return ""
	case v != 0 && math.Abs(v) < 1e-6:
		form = 'e'
	}
	return strconv.FormatFloat(v, form, -1, 64)
}

// PlanCSV is every figure of the lamps, one row each.
func PlanCSV(u units.System, p *figures.Plan) *table.Table {
	s := &spreadsheet{system: u}
	for i := range p.Lamps {
		s.lamp(&p.Lamps[i])
	}
	if len(p.Lamps) == 0 { // the names alone
		l := &figures.Lamp{}
		for _, lux := range p.Asked.Thresholds {
			l.Reach = append(l.Reach, figures.Reach{Lux: lux})
		}
		s.lamp(l)
		s.Rows = nil
	}
	return &s.Table
}

func (s *spreadsheet) lamp(l *figures.Lamp) {
	none := math.NaN()
	wall, hit, peak := figures.WallMark{Distance: none, Height: none, Left: none, Drop: none}, figures.Hit{Ahead: none, Left: none, Range: none},
		figures.PeakGround{Ahead: none, Left: none}
	if l.Wall != nil {
		wall = *l.Wall
	}
	if l.AxisHit != nil {
		hit = *l.AxisHit
	}
	if l.PeakGround != nil {
		peak = *l.PeakGround
	}
	s.row()
	s.text("key", strconv.Itoa(l.Key))
	s.text("lamp", l.Name)
	s.text("circuit", l.Circuit)
	s.length("ahead", l.Ahead)
	s.length("left", l.Left)
	s.length("up", l.Up)
	s.degrees("tilt", l.Tilt)
	s.degrees("turn", l.Turn)
	s.degrees("roll", l.Roll)
	s.degrees("reading", l.Reading)
	s.number("flux_lm", l.Flux)
	s.number("peak_cd", l.Peak)
	s.length("wall_distance", wall.Distance)
	s.length("wall_height", wall.Height)
	s.length("wall_left", wall.Left)
	s.length("wall_drop", wall.Drop)
	s.length("axis_ahead", hit.Ahead)
	s.length("axis_left", hit.Left)
	s.length("axis_range", hit.Range)
	s.length("near", float64(l.Near))
	s.length("far", float64(l.Far))
	s.degrees("tolerance", l.Tolerance.Tilt)
	s.length("tolerance_near", float64(l.Tolerance.Near))
	s.length("tolerance_far", float64(l.Tolerance.Far))
	s.number("peak_ground_lux", peak.Lux)
	s.length("peak_ground_ahead", peak.Ahead)
	s.length("peak_ground_left", peak.Left)
	s.number("sky_share", l.SkyShare)
	s.reach(l.Reach)
}

// CheckCSV is the lamps as computed, one row each.
func CheckCSV(u units.System, c *figures.Check) *table.Table {
	s := &spreadsheet{system: u}
	for _, l := range c.Lamps {
		s.row()
		s.text("key", strconv.Itoa(l.Key))
		s.text("lamp", l.Name)
		s.text("circuit", l.Circuit)
		s.number("flux_lm", l.Flux)
		s.number("peak_cd", l.Peak)
		s.length("one_lux", l.OneLux)
		s.degrees("beam_across", l.BeamAcross)
		s.degrees("beam_up_down", l.BeamUpDown)
		s.degrees("field_across", l.FieldAcross)
		s.degrees("field_up_down", l.FieldUpDown)
		s.text("source", l.Source)
	}
	return &s.Table
}

// LuxCSV is the points with what each lamp adds to them, one row each.
func LuxCSV(u units.System, l *figures.Lux) *table.Table {
	s := &spreadsheet{system: u}
	for _, p := range l.Points {
		for _, by := range append([]figures.LampPoint{{Name: "all", Ground: p.Ground, Facing: p.Facing}}, p.Lamps...) {
			s.row()
			s.length("ahead", p.Ahead)
			s.length("left", p.Left)
			s.length("up", p.Up)
			s.text("lamp", by.Name)
			s.number("ground_lux", by.Ground)
			s.number("facing_lux", by.Facing)
		}
	}
	return &s.Table
}

// AimCSV is the lamps before and after, one row each.
func AimCSV(a *figures.Aim) *table.Table {
	s := &spreadsheet{}
	for _, l := range a.Lamps {
		lower, higher := math.NaN(), math.NaN()
		if off := a.Off(l.Name); off != nil {
			lower, higher = off.Down, off.Up
		}
		s.row()
		s.text("key", strconv.Itoa(l.Key))
		s.text("lamp", l.Name)
		s.text("free", strconv.FormatBool(l.Free))
		s.degrees("tilt_before", l.TiltBefore)
		s.degrees("tilt_after", l.TiltAfter)
		s.degrees("turn_before", l.TurnBefore)
		s.degrees("turn_after", l.TurnAfter)
		s.degrees("reading", l.Reading)
		s.number("fulfilment_if_lower", lower)
		s.number("fulfilment_if_higher", higher)
	}
	return &s.Table
}

// CompareCSV is the comparison as its table is: a column for each scene.
func CompareCSV(u units.System, c *figures.Compare) *table.Table {
	rows := &spreadsheet{system: u}
	for i := range c.Columns {
		rows.column(&c.Columns[i])
	}
	out := &table.Table{Columns: []table.Column{{Name: "figure"}}}
	for j, name := range rows.Columns {
		row := []string{name.Name}
		for i := range c.Columns {
			row = append(row, rows.Rows[i][j])
		}
		out.Rows = append(out.Rows, row)
	}
	for i := range c.Columns {
		out.Columns = append(out.Columns, table.Column{Name: c.Columns[i].Title})
	}
	return out
}

func (s *spreadsheet) column(c *figures.Column) {
	brightest := figures.PeakGround{Ahead: math.NaN()}
	if c.Brightest != nil {
		brightest = *c.Brightest
	}
	dark := 0.0
	if !c.Reach[0].Range.Exists() { // all of it is
		dark = math.NaN()
	}
	for _, g := range c.DarkGaps {
		dark += g.To - g.From
	}
	s.row()
	s.text("lamps", strconv.Itoa(c.Lamps))
	s.number("flux_lm", c.Flux)
	s.number("peak_cd", c.Peak)
	s.reach(c.Reach)
	for _, w := range c.Widths {
		s.length("lit_width_at_"+strings.ReplaceAll(s.system.Chosen(w.Ahead), " ", ""), w.Width)
	}
	for _, a := range c.LitArea {
		s.area(fmt.Sprintf("lit_area_%glx", a.Lux), a.Area)
	}
	s.number("peak_ground_lux", brightest.Lux)
	s.length("peak_ground_ahead", brightest.Ahead)
	s.number("ground_share", c.GroundShare)
	s.length("dark_gaps", dark)
}
