package report

import (
	"fmt"
	"math"
	"strconv"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// Lamps found with the meter against what they were set to, and what that costs.

// Found is the table of what was found.
func Found(c *figures.Recheck) *table.Table {
	t := &table.Table{
		Title: "As found against as set, good within ±" + units.Degrees(c.Asked.Tolerance),
		Columns: append(lampColumns(), table.Column{Name: "set", Right: true}, table.Column{Name: "found", Right: true},
			table.Column{Name: "off", Right: true}, table.Column{Name: ""}),
	}
	for i := range c.Lamps {
		l := &c.Lamps[i]
		row := []string{strconv.Itoa(l.Key), l.Name, units.Degrees(float64(l.Set)), "", "", "not read, taken as set"}
		if l.Within != nil {
			row[3], row[4], row[5] = units.Degrees(float64(l.Tilt)), Off(l.Off), "good"
			if !*l.Within {
				row[5] = "set again"
				if len(c.Again) > 1 && c.Again[0].Name == l.Name {
					row[5] = "set again, this first"
				}
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// Off is by how much a tilt is off, with its sign: + is too low.
func Off(a figures.Angle) string {
	if text := units.Degrees(float64(a)); a <= 0 || text == units.Degrees(0) {
		return text
	}
	return "+" + units.Degrees(float64(a))
}

// astray is by how much a tilt is off, in words.
func astray(a figures.Angle) string {
	if a < 0 {
		return units.Degrees(-float64(a)) + " too high"
	}
	return units.Degrees(float64(a)) + " too low"
}

// Costs are the tables of what differs as found and as set, one for each scene where something
// does.
func Costs(u units.System, c *figures.Recheck) (tables []*table.Table) {
	for i := range c.Before {
		t := &table.Table{Columns: []table.Column{
			{Name: "Scene " + c.Before[i].Name + ", as driven", Least: 24, Lead: true},
			{Name: "as found", Right: true, Least: 12}, {Name: "as set", Right: true, Least: 12},
		}}
		for _, f := range Difference(u, c, i) {
			t.Rows = append(t.Rows, f[:])
		}
		if len(t.Rows) > 0 {
			tables = append(tables, t)
		}
	}
	return tables
}

// Difference is the figures of scene i that differ as found and as set, each with its label.
func Difference(u units.System, c *figures.Recheck, i int) (rows [][3]string) {
	p := &figures.Plan{Asked: c.Asked}
	found, set := sceneFigures(u, p, &c.Before[i]), sceneFigures(u, p, &c.After[i])
	add := func(label, found, set string) {
		if found != set {
			rows = append(rows, [3]string{label, found, set})
		}
	}
	for k := range found {
		add(found[k][0], found[k][1], set[k][1])
	}
	for _, l := range c.Limits {
		if l.Scene == c.Before[i].Name {
			add(fmt.Sprintf("%s, %s allowed", l.Name, units.Light(l.Allowed)), units.Light(l.Found), units.Light(l.Set))
		}
	}
	return rows
}

// Verdict is what there is to do, in sentences: the first of them says what to do first.
func Verdict(u units.System, c *figures.Recheck) (out []string) {
	said := notes{}
	read, off := 0, len(c.Again)
	for _, l := range c.Lamps {
		if l.Within != nil {
			read++
		}
	}
	switch {
	case off == 0 && read == len(c.Lamps):
		said.say("all lamps are as set, within ±%s", units.Degrees(c.Asked.Tolerance))
	case off == 0:
		said.say("the %s read %s as set, within ±%s; %d not read", plural(read, "lamp"), are(read),
			units.Degrees(c.Asked.Tolerance), len(c.Lamps)-read)
	}
	for i := range c.Again {
		a := &c.Again[i]
		what := "set again"
		if i == 0 && off > 1 {
			what = "set first"
		}
		said.say("%s: %s, %s%s", what, a.Name, astray(a.Off), worth(u, a))
	}
	for i := range c.Limits {
		l := &c.Limits[i]
		switch {
		case l.Set > l.Allowed:
			said.say("as set, the limit %s is passed in the scene %s: %s, and %s are allowed; beamfall aim finds "+
				"tilts that keep it",
				l.Name, l.Scene, units.Light(l.Set), units.Light(l.Allowed))
		case l.Passed():
			said.say("as found, the limit %s is passed in the scene %s: %s, and %s are allowed", l.Name, l.Scene,
				units.Light(l.Found), units.Light(l.Allowed))
		}
	}
	return said
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func are(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// worth is what setting a lamp again does, all others as found.
func worth(u units.System, a *figures.Again) string {
	text := ""
	if len(a.Keeps) > 0 {
		text = "; then the limit " + assembly.List(a.Keeps) + " is kept"
	}
	if a.Scene == "" {
		return text + "; no scene lights it"
	}
	if len(a.Sight) == 0 {
		return text
	}
	first := a.Sight[0]
	from, to := u.Short(float64(first.Found)), u.Short(float64(first.Again))
	switch {
	case from == to:
		return text + fmt.Sprintf("; in the scene %s it does not change how far %s is seen", a.Scene,
			thing(first.Thing))
	case !first.Found.Exists():
		return text + fmt.Sprintf("; in the scene %s %s, not seen as found, is then seen out to %s", a.Scene,
			thing(first.Thing), to)
	case !first.Again.Exists():
		return text + fmt.Sprintf("; in the scene %s %s, seen out to %s as found, is then not seen", a.Scene,
			thing(first.Thing), from)
	}
	return text + fmt.Sprintf("; in the scene %s %s is then seen out to %s instead of %s", a.Scene, thing(first.Thing),
		to, from)
}

// RecheckCSV is the lamps with what was found, one row each.
func RecheckCSV(c *figures.Recheck) *table.Table {
	s := &spreadsheet{}
	for _, l := range c.Lamps {
		s.row()
		s.text("rig", c.Rig)
		s.text("scene", "")
		s.text("key", strconv.Itoa(l.Key))
		s.text("lamp", l.Name)
		s.degrees("set", l.Set)
		s.degrees("found", l.Tilt)
		s.degrees("off", l.Off)
		within, turn := "", math.NaN()
		if l.Within != nil {
			within = strconv.FormatBool(*l.Within)
		}
		for i, a := range c.Again {
			if a.Name == l.Name {
				turn = float64(i + 1)
			}
		}
		s.text("within_tolerance", within)
		s.number("set_again", turn)
	}
	return &s.Table
}
