package report

import (
	"fmt"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// Light at points: one by one, lamp by lamp, or as a grid.

// LuxByLamp is the table of points with what each lamp adds, lamps that add nothing left out.
func LuxByLamp(u units.System, l *figures.Lux) *table.Table {
	t := &table.Table{
		Title: fmt.Sprintf("%s, scene %s: predicted lux", l.Rig, l.Scene),
		Columns: []table.Column{
			{Name: "ahead", Right: true}, {Name: "left", Right: true}, {Name: "up", Right: true}, {Name: "lamp", Least: 12},
			{Name: "ground lx", Right: true}, {Name: "facing lx", Right: true},
		},
	}
	for _, p := range l.Points {
		t.Rows = append(t.Rows, []string{u.Length(p.Ahead), u.Length(p.Left), u.Length(p.Up), "all", units.Metered(p.Ground), units.Metered(p.Facing)})
		for _, lamp := range p.Lamps {
			if ground, facing := units.Metered(lamp.Ground), units.Metered(lamp.Facing); ground != "0" || facing != "0" {
				t.Rows = append(t.Rows, []string{"", "", "", "  " + lamp.Name, ground, facing})
			}
		}
	}
	return t
}

// LuxGrids are points each step apart, rows of ahead with so many points across, as two tables: ground lux, and facing lux.
func LuxGrids(u units.System, l *figures.Lux, across int) []*table.Table {
	head := []table.Column{{Name: "ahead", Right: true}}
	for _, p := range l.Points[:across] {
		name := u.Chosen(math.Abs(p.Left))
		switch {
		case p.Left > 0:
			name += " L"
		case p.Left < 0:
			name += " R"
		}
		head = append(head, table.Column{Name: name, Right: true})
	}
	ground := &table.Table{Title: "ground lux: the meter flat, looking up", Columns: head}
	facing := &table.Table{Title: "facing lux: the meter upright, looking at the vehicle", Columns: head}
	for row := range slices.Chunk(l.Points, across) {
		ahead := u.Chosen(row[0].Ahead)
		onGround, upright := []string{ahead}, []string{ahead}
		for _, p := range row {
			onGround, upright = append(onGround, units.Metered(p.Ground)), append(upright, units.Metered(p.Facing))
		}
		ground.Rows, facing.Rows = append(ground.Rows, onGround), append(facing.Rows, upright)
	}
	return []*table.Table{ground, facing}
}
