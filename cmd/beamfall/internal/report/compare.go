package report

import (
	"fmt"
	"math"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// Column is the figures of one of the scenes that are compared, with their labels: the same ones for each.
func Column(u units.System, o *figures.Options, c *figures.Column) [][2]string {
	var out [][2]string
	say := func(label, figure string) { out = append(out, [2]string{label, figure}) }
	for _, s := range told(o, c.Sight) {
		say(s.Thing+" seen to, stops from", seenTo(u, &s))
	}
	say("delivered", units.Lumens(c.Flux))
	say("peak", units.Candela(c.Peak))
	for _, r := range c.Reach {
		say(units.Number(r.Lux)+" lx facing, ahead, to", u.Short(float64(r.Range)))
	}
	for _, w := range c.Widths {
		say(fmt.Sprintf("%s lx on the ground, width at %s", units.Number(w.Lux), u.Chosen(w.Ahead)), u.Short(w.Width))
	}
	for _, a := range c.LitArea {
		say(units.Number(a.Lux)+" lx on the ground", u.Area(a.Area))
	}
	say("brightest ground", brightest(u, c.Brightest))
	say("light to the ground", units.Percent(c.GroundShare))
	say(fmt.Sprintf("under %d lx facing between", figures.GapLux), gaps(u, c.Reach, c.DarkGaps))
	return out
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

// Columns is the table of a comparison, a column for each scene.
func Columns(u units.System, o *figures.Options, c *figures.Compare) *table.Table {
	t := &table.Table{Columns: []table.Column{{Name: "", Lead: true}}}
	for i := range c.Columns {
		t.Columns = append(t.Columns, table.Column{Name: c.Columns[i].Title, Right: true, Least: 12})
		for j, f := range Column(u, o, &c.Columns[i]) {
			if i == 0 {
				t.Rows = append(t.Rows, []string{f[0]})
			}
			t.Rows[j] = append(t.Rows[j], f[1])
		}
	}
	return t
}
