package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// The figures as plain numbers for a spreadsheet, each under a name as in JSON. Lengths are in m or
// in ft, which ends the name; what does not exist is empty.

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

func (s *spreadsheet) speed(name string, v figures.Speed) {
	if s.system == units.Imperial {
		s.number(name+"_mph", float64(v)*3600/units.Mile)
		return
	}
	s.number(name+"_kmh", float64(v)*3.6)
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

// PlanCSV is every figure of a plan: for each scene a row of what all its lamps do, then one of
// each lamp; at the end the lamps that no scene lights.
func PlanCSV(u units.System, p *figures.Plan) *table.Table {
	s := &spreadsheet{system: u}
	lit := map[string]bool{}
	for i := range p.Scenes {
		scene := &p.Scenes[i]
		s.planRow(p, scene, nil)
		for k := range p.Lamps {
			if slices.Contains(scene.Lamps, p.Lamps[k].Name) {
				lit[p.Lamps[k].Name] = true
				s.planRow(p, scene, &p.Lamps[k])
			}
		}
	}
	for k := range p.Lamps {
		if !lit[p.Lamps[k].Name] {
			s.planRow(p, nil, &p.Lamps[k])
		}
	}
	return &s.Table
}

// planRow is a scene, a lamp, or a lamp in a scene.
func (s *spreadsheet) planRow(p *figures.Plan, scene *figures.Scene, l *figures.Lamp) {
	name := ""
	if scene != nil {
		name = scene.Name
	}
	s.row()
	s.text("rig", p.Rig)
	s.text("scene", name)
	if l != nil {
		s.lamp(l)
		s.reach(l.Reach)
	} else {
		s.lamp(noLamp)
		s.reach(scene.Reach)
	}
	s.scene(p, scene, l == nil)
	for k := range p.Things() {
		s.sight(p, k, scene, l)
	}
}

// noLamp is the cells of a lamp in a row that is about none.
var noLamp = func() *figures.Lamp {
	none := figures.None()
	return &figures.Lamp{
		Setting: figures.Setting{
			Name: "all", Ahead: none, Left: none, Up: none, Tilt: figures.Angle(none), Turn: figures.Angle(none),
			Roll: figures.Angle(none), Reading: figures.Angle(none),
		},
		Flux: none, Peak: none, Near: figures.Number(none), Far: figures.Number(none), SkyShare: none,
		Tolerance:  figures.Tolerance{Tilt: figures.Angle(none), Near: figures.Number(none), Far: figures.Number(none)},
		PeakGround: &figures.PeakGround{Lux: none, Ahead: none, Left: none},
	}
}()

func (s *spreadsheet) lamp(l *figures.Lamp) {
	none := math.NaN()
	wall, hit, peak := figures.WallMark{Distance: none, Height: none, Left: none, Drop: none},
		figures.Hit{Ahead: none, Left: none, Range: none},
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
	key := ""
	if l.Key > 0 {
		key = strconv.Itoa(l.Key)
	}
	s.text("key", key)
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
}

// scene is the cells of a scene, empty in a row that is about a lamp.
func (s *spreadsheet) scene(p *figures.Plan, scene *figures.Scene, whole bool) {
	for i, lux := range p.Asked.Thresholds {
		area := math.NaN()
		if whole {
			area = scene.LitArea[i].Area
		}
		s.area(fmt.Sprintf("lit_area_%glx", lux), area)
	}
	stop, hidden := figures.Speed(figures.None()), math.NaN()
	if whole {
		stop, hidden = scene.Stop.Speed, scene.HoodHides
	}
	s.speed(fmt.Sprintf("stop_%glx", p.Asked.SightLux), stop)
	s.length("hood_hides", hidden)
}

// sight is the cells about thing k: how far the scene shows it and the speed that stops short of
// it, or how far it is seen without the lamp, and with it set too low and too high.
func (s *spreadsheet) sight(p *figures.Plan, k int, scene *figures.Scene, l *figures.Lamp) {
	none := figures.Number(figures.None())
	to, stop, without, low, high := none, figures.Speed(none), none, none, none
	name := p.Things()[k]
	switch {
	case scene != nil && l == nil:
		to, stop = scene.Sight[k].Range, scene.Sight[k].Stop
	case scene != nil:
		without, _ = scene.Sight[k].Worth(l.Name)
	}
	if l != nil && k < len(l.Tolerance.Sight) {
		low, high = l.Tolerance.Sight[k].Low, l.Tolerance.Sight[k].High
	}
	s.length(name+"_seen_to", float64(to))
	s.speed(name+"_stop", stop)
	if p.Scenes[0].Sight[k].Pitch != 0 {
		up, down := none, none
		if scene != nil && l == nil {
			up, down = scene.Sight[k].NoseUp, scene.Sight[k].NoseDown
		}
		s.length(name+"_nose_up", float64(up))
		s.length(name+"_nose_down", float64(down))
	}
	s.length(name+"_without", float64(without))
	s.length(name+"_low", float64(low))
	s.length(name+"_high", float64(high))
}

// CheckCSV is the lamps as computed, one row each.
func CheckCSV(u units.System, c *figures.Check) *table.Table {
	s := &spreadsheet{system: u}
	for _, l := range c.Lamps {
		var scenes []string
		for _, scene := range c.Scenes {
			if slices.Contains(scene.Lamps, l.Name) {
				scenes = append(scenes, scene.Name)
			}
		}
		s.row()
		s.text("rig", c.Rig)
		s.text("scene", strings.Join(scenes, "; "))
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
			s.text("rig", l.Rig)
			s.text("scene", l.Scene)
			if p.Track != nil {
				s.length("along", p.Track.Along)
				s.length("left_of_track", p.Track.Left)
			}
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
	var things, brackets []string
	across := ""
	for i := range c.Columns {
		for _, w := range c.Columns[i].SightWidths {
			across = strings.ReplaceAll(u.Chosen(w.Ahead), " ", "")
		}
		for k := range c.Columns[i].Sight {
			s := &c.Columns[i].Sight[k]
			if !slices.Contains(things, s.Thing) {
				things = append(things, s.Thing)
			}
			if k == 0 {
				for _, b := range bracketsOf(s) {
					if !slices.Contains(brackets, b) {
						brackets = append(brackets, b)
					}
				}
			}
		}
	}
	for i := range c.Columns {
		rows.column(&c.Columns[i])
		rows.compared(&c.Columns[i], things, brackets, across)
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
	s.degrees("beam_across", c.BeamAcross)
	s.degrees("beam_up_down", c.BeamUpDown)
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

// compared adds what a column has of things, of others and of the air, what it gains, on how much
// of the line across the track at a distance the first thing is seen, and how far without each of
// some lamps.
func (s *spreadsheet) compared(c *figures.Column, things, brackets []string, across string) {
	g := c.Gain
	if g == nil {
		g = &figures.Gain{Glow: figures.Number(math.NaN())}
	}
	for _, name := range things {
		far, stop := figures.Number(math.NaN()), figures.Speed(math.NaN())
		gainFar, gainStop := far, stop
		if t := seen(c, name); t != nil {
			far, stop = t.Range, t.Stop
		}
		if t := sightGain(g, name); t != nil {
			gainFar, gainStop = t.Range, t.Stop
		}
		s.length("seen_to_"+name, float64(far))
		s.length("gain_seen_to_"+name, float64(gainFar))
		s.speed("stop_"+name, stop)
		s.speed("gain_stop_"+name, gainStop)
	}
	width, gainWidth := math.NaN(), math.NaN()
	for _, w := range c.SightWidths {
		width = float64(w.Width)
	}
	for _, w := range g.SightWidths {
		gainWidth = float64(w.Width)
	}
	if across != "" {
		s.length("sight_width_at_"+across, width)
		s.length("gain_sight_width_at_"+across, gainWidth)
	}
	for i, e := range c.Oncoming {
		name := "oncoming_lux_at_" + strings.ReplaceAll(s.system.Chosen(e.Ahead), " ", "")
		gain := math.NaN()
		if i < len(g.Oncoming) {
			gain = float64(g.Oncoming[i].Lux)
		}
		s.number(name, float64(e.Lux))
		s.number("gain_"+name, gain)
	}
	glow := math.NaN()
	if c.Glow != nil {
		glow = c.Glow.Ahead
	}
	s.number("glow_cd_m2", glow)
	s.number("gain_glow_cd_m2", float64(g.Glow))
	for _, name := range brackets {
		without := math.NaN()
		if len(c.Sight) > 0 {
			if v, lit := c.Sight[0].Worth(name); lit {
				without = float64(v)
			}
		}
		s.length("without_"+name, without)
	}
}
