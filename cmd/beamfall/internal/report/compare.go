package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// Scenes side by side: a column for each, a row for each figure, and below the figures that matter
// most what is gained.

// compared puts the figures of columns into rows.
type compared struct {
	units.System
	columns []figures.Column
	steps   bool       // each is one step more than the one before it
	rows    [][]string // label, then a cell for each column
}

// gainName is what a gain is called: where nothing was added, it may as well be a loss.
func gainName(steps bool) string {
	if steps {
		return "gain"
	}
	return "difference"
}

// say adds a row.
func (c *compared) say(label string, cell func(*figures.Column) string) {
	row := []string{label}
	for i := range c.columns {
		row = append(row, cell(&c.columns[i]))
	}
	c.rows = append(c.rows, row)
}

// gains adds a row of gains, unless it would be empty.
func (c *compared) gains(cell func(*figures.Column, *figures.Gain) string) { c.gainsIn("", cell) }

func (c *compared) gainsIn(what string, cell func(*figures.Column, *figures.Gain) string) {
	row := []string{"  " + gainName(c.steps) + what}
	said := false
	for i := range c.columns {
		text := ""
		if g := c.columns[i].Gain; g != nil {
			text = cell(&c.columns[i], g)
		}
		row, said = append(row, text), said || text != ""
	}
	if said {
		c.rows = append(c.rows, row)
	}
}

// things are those that are spoken of in any of the columns, in order.
func (c *compared) things(o *figures.Options) (names []string) {
	for i := range c.columns {
		for _, s := range told(o, c.columns[i].Sight) {
			if !slices.Contains(names, s.Thing) {
				names = append(names, s.Thing)
			}
		}
	}
	return names
}

// seen is how far a thing is seen in a column; nil where that is not looked for.
func seen(c *figures.Column, thing string) *figures.Sight {
	for i := range c.Sight {
		if c.Sight[i].Thing == thing {
			return &c.Sight[i]
		}
	}
	return nil
}

// sightGain is the gain in sight of a thing; nil where there is none to tell.
func sightGain(g *figures.Gain, thing string) *figures.Farther {
	for i := range g.Sight {
		if g.Sight[i].Thing == thing && g.Sight[i].Range.Exists() {
			return &g.Sight[i]
		}
	}
	return nil
}

func (c *compared) lengthGained(gain, to float64) string { return gained(gain, to, c.Short) }

// Columns is the table of a comparison, a column for each scene.
func Columns(u units.System, o *figures.Options, c *figures.Compare, steps bool) *table.Table {
	t := &table.Table{Columns: []table.Column{{Name: "", Lead: true, Least: 22}}}
	for i := range c.Columns {
		t.Columns = append(t.Columns, table.Column{Name: c.Columns[i].Title, Right: true, Least: 12})
	}
	t.Rows = rowsOf(u, o, c.Columns, steps)
	return t
}

func rowsOf(u units.System, o *figures.Options, columns []figures.Column, steps bool) [][]string {
	c := &compared{System: u, columns: columns, steps: steps}
	c.sight(o)
	c.lamps()
	for j, r := range columns[0].Reach {
		c.say(units.Number(r.Lux)+" lx facing, ahead, to", func(k *figures.Column) string {
			return u.Short(float64(k.Reach[j].Range))
		})
		if j == 0 {
			c.gains(func(k *figures.Column, g *figures.Gain) string { return c.reachGained(k, g) })
		}
	}
	for j, w := range columns[0].Widths {
		c.say(fmt.Sprintf("%s lx on the ground, width at %s", units.Number(w.Lux), u.Chosen(w.Ahead)),
			func(k *figures.Column) string { return u.Short(k.Widths[j].Width) })
	}
	for j, a := range columns[0].LitArea {
		c.say(units.Number(a.Lux)+" lx on the ground", func(k *figures.Column) string {
			return u.Area(k.LitArea[j].Area)
		})
	}
	c.say("brightest ground", func(k *figures.Column) string { return brightest(u, k.Brightest) })
	c.say("light to the ground", func(k *figures.Column) string { return units.Percent(k.GroundShare) })
	c.say(fmt.Sprintf("under %d lx facing between", figures.GapLux), func(k *figures.Column) string {
		return gaps(u, k.Reach, k.DarkGaps)
	})
	c.others()
	return c.rows
}

// lamps adds what the lamps give.
func (c *compared) lamps() {
	c.say("delivered", func(k *figures.Column) string { return units.Lumens(k.Flux) })
	if slices.ContainsFunc(c.columns, func(k figures.Column) bool { return beamOf(&k) != "" }) {
		c.say("beam, half the peak", beamOf)
	}
	c.say("peak", func(k *figures.Column) string { return units.Candela(k.Peak) })
}

// beamOf is the beam of the only lamp of a column: "10°", or "60 × 20°" across and up-down; nothing
// where there are others.
func beamOf(k *figures.Column) string {
	if !figures.Number(k.BeamAcross).Exists() || !figures.Number(k.BeamUpDown).Exists() {
		return ""
	}
	across, upDown := units.DegreesTo(float64(k.BeamAcross), 0), units.DegreesTo(float64(k.BeamUpDown), 0)
	if across == upDown {
		return across
	}
	return strings.TrimSuffix(across, "°") + " × " + upDown
}

// About is what a column is of, in a few words: "3 000 lm in a beam of 10°", "5 lamps, 9 764 lm".
func About(k *figures.Column) string {
	if k.Headlights != "" {
		return k.Headlights
	}
	if beam := beamOf(k); beam != "" {
		return units.Lumens(k.Flux) + " in a beam of " + beam
	}
	if k.Lamps == 1 {
		return "1 lamp, " + units.Lumens(k.Flux)
	}
	return fmt.Sprintf("%d lamps, %s", k.Lamps, units.Lumens(k.Flux))
}

// sight adds what the driver sees.
func (c *compared) sight(o *figures.Options) {
	for i, name := range c.things(o) {
		c.say(name+" seen to, stops from", func(k *figures.Column) string {
			if s := seen(k, name); s != nil {
				return seenTo(c.System, s)
			}
			return ""
		})
		c.gains(func(k *figures.Column, g *figures.Gain) string {
			s := sightGain(g, name)
			if s == nil {
				return ""
			}
			return c.lengthGained(float64(s.Range), float64(seen(k, name).Range))
		})
		if i == 0 {
			c.gainsIn(" in speed", func(k *figures.Column, g *figures.Gain) string {
				if s := sightGain(g, name); s != nil && s.Stop.Exists() {
					return gained(float64(s.Stop), float64(seen(k, name).Stop), c.Speed)
				}
				return ""
			})
		}
		pitched := func(k *figures.Column) string {
			if s := seen(k, name); s != nil {
				return upDown(c.System, &s.Seen)
			}
			return ""
		}
		if slices.ContainsFunc(c.columns, func(k figures.Column) bool { return pitched(&k) != "" }) {
			c.say("  nose up / down", pitched)
		}
		if i == 0 {
			c.widths()
		}
	}
}

// widths adds on how much of the line across the track the first thing is seen.
func (c *compared) widths() {
	k := slices.IndexFunc(c.columns, func(k figures.Column) bool { return len(k.SightWidths) > 0 })
	if k < 0 {
		return
	}
	w := c.columns[k].SightWidths[0]
	c.say(fmt.Sprintf("%s seen at %s, width", w.Thing, c.Chosen(w.Ahead)), func(k *figures.Column) string {
		if len(k.SightWidths) == 0 || k.SightWidths[0].Thing != w.Thing {
			return ""
		}
		return c.width(&k.SightWidths[0])
	})
	c.gains(func(k *figures.Column, g *figures.Gain) string {
		if len(g.SightWidths) == 0 || !g.SightWidths[0].Width.Exists() {
			return ""
		}
		return c.lengthGained(float64(g.SightWidths[0].Width), float64(k.SightWidths[0].Width))
	})
}

// width is on how much of a line a thing is seen.
func (c *compared) width(w *figures.SightWidth) string {
	if w.Width == 0 {
		return "not seen"
	}
	return c.Short(float64(w.Width))
}

// reachGained is the gain in reach at the lowest threshold.
func (c *compared) reachGained(k *figures.Column, g *figures.Gain) string {
	if !g.Reach[0].Range.Exists() {
		return ""
	}
	return c.lengthGained(float64(g.Reach[0].Range), float64(k.Reach[0].Range))
}

// others adds what the light does to others and to the air.
func (c *compared) others() {
	at := slices.IndexFunc(c.columns[0].Oncoming, func(e figures.Oncoming) bool { return e.Ahead == oncomingAt })
	if at >= 0 {
		c.say("in an oncoming eye at "+c.Chosen(oncomingAt), func(k *figures.Column) string {
			if !k.Oncoming[at].Lux.Exists() { // past the end of a bend
				return ""
			}
			return units.Light(float64(k.Oncoming[at].Lux))
		})
		c.gains(func(k *figures.Column, g *figures.Gain) string {
			if !g.Oncoming[at].Lux.Exists() {
				return ""
			}
			return gained(float64(g.Oncoming[at].Lux), float64(k.Oncoming[at].Lux), units.Light)
		})
	}
	if slices.ContainsFunc(c.columns, func(k figures.Column) bool { return k.Glow != nil }) {
		c.say("glow of the air, ahead", glowOf)
		c.gains(func(k *figures.Column, g *figures.Gain) string {
			if !g.Glow.Exists() {
				return ""
			}
			return gained(float64(g.Glow), k.Glow.Ahead, func(l float64) string { return luminance(l) + " cd/m²" })
		})
	}
}

func glowOf(k *figures.Column) string {
	if k.Glow == nil {
		return "none"
	}
	return luminance(k.Glow.Ahead) + " cd/m²"
}

func brightest(u units.System, b *figures.PeakGround) string {
	switch {
	case b == nil:
		return "none lit"
	case b.Ahead < 0:
		return fmt.Sprintf("%s at %s behind", units.Light(b.Lux), u.Short(-b.Ahead))
	}
	return fmt.Sprintf("%s at %s", units.Light(b.Lux), u.Short(math.Abs(b.Ahead)))
}

// GainKey says what gains are over.
func GainKey(c *figures.Compare, steps bool) string {
	if steps {
		return gainName(steps) + ": over the column to the left."
	}
	return gainName(steps) + ": from " + c.Columns[0].Title + "."
}

// Worth is the table of how far the first thing is seen without each lamp, or both of a pair; nil
// where no column has more than one that could be left out. Of steps it is about the last, in which
// all are lit, and says what each lamp is worth.
func Worth(u units.System, c *figures.Compare, steps bool) *table.Table {
	columns := c.Columns
	if steps {
		columns = columns[len(columns)-1:]
	}
	thing := ""
	var names []string
	for i := range columns {
		if len(columns[i].Sight) == 0 {
			continue
		}
		s := &columns[i].Sight[0]
		if thing == "" {
			thing = s.Thing
		}
		for _, b := range bracketsOf(s) {
			if !slices.Contains(names, b) {
				names = append(names, b)
			}
		}
	}
	if len(names) == 0 {
		return nil
	}
	t := &table.Table{
		Title:   "What each lamp is worth: " + thing + " seen to, without it",
		Columns: []table.Column{{Name: "without", Least: 12, Lead: true}},
	}
	for i := range columns {
		t.Columns = append(t.Columns, table.Column{Name: columns[i].Title, Right: true, Least: 12})
	}
	if steps {
		t.Title = "What each lamp is worth when all are lit: " + thing + " seen to, without it"
		t.Columns = []table.Column{t.Columns[0], {Name: "seen to", Right: true}, {Name: "worth", Right: true}}
	}
	for _, name := range names {
		row := []string{name}
		for i := range columns {
			s := seen(&columns[i], thing)
			cell, worth := "", ""
			if s != nil && len(bracketsOf(s)) > 0 {
				if without, lit := s.Worth(name); lit {
					cell = seenOr(u, without)
					if more := figures.GainIn(without, s.Range); more.Exists() {
						worth = gained(float64(more), float64(s.Range), u.Short)
					}
				}
			}
			if row = append(row, cell); steps {
				row = append(row, worth)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// bracketsOf are the lamps that can be left out of a scene, those of a pair as one; none where that
// would leave nothing.
func bracketsOf(s *figures.Sight) (names []string) {
	for _, w := range s.Without {
		base, one := figures.Pair(w.Lamp)
		if one {
			if _, both := s.Worth(base); both {
				continue
			}
		}
		names = append(names, w.Lamp)
	}
	if len(names) == 1 {
		return nil
	}
	return names
}

// Pictured is the figures of columns under their pictures: label and value of each, the same labels
// for all, the gain beside what has one.
func Pictured(u units.System, o *figures.Options, columns []figures.Column, steps bool) [][][2]string {
	c := &compared{System: u, columns: columns, steps: steps}
	c.sight(o)
	c.say(units.Number(columns[0].Reach[0].Lux)+" lx facing, to", func(k *figures.Column) string {
		return u.Short(float64(k.Reach[0].Range))
	})
	c.say(units.Number(columns[0].LitArea[0].Lux)+" lx on the ground", func(k *figures.Column) string {
		return u.Area(k.LitArea[0].Area)
	})
	c.others()
	c.lamps()
	out := make([][][2]string, len(columns))
	for _, row := range c.rows {
		for i := range columns {
			out[i] = append(out[i], [2]string{row[0], row[i+1]})
		}
	}
	return out
}

// Headline is the figure by which a column is known, what it is, and what is gained in it.
func Headline(u units.System, k *figures.Column) (what, value, gain string) {
	c := &compared{System: u}
	if len(k.Sight) > 0 {
		s := &k.Sight[0]
		what, value = s.Thing+" seen to", seenOr(u, s.Range)
		if k.Gain != nil {
			if g := sightGain(k.Gain, s.Thing); g != nil {
				gain = c.lengthGained(float64(g.Range), float64(s.Range))
			}
		}
		return what, value, gain
	}
	what, value = units.Number(k.Reach[0].Lux)+" lx facing to", u.Short(float64(k.Reach[0].Range))
	if k.Gain != nil {
		gain = c.reachGained(k, k.Gain)
	}
	return what, value, gain
}
