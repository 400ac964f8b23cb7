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
			{Name: "ahead", Right: true}, {Name: "left", Right: true}, {Name: "up", Right: true},
			{Name: "lamp", Least: 12},
			{Name: "ground lx", Right: true}, {Name: "facing lx", Right: true},
		},
	}
	const along, aside = "along track", "left of it"
	t.Columns = append([]table.Column{{Name: along, Right: true}, {Name: aside, Right: true}}, t.Columns...)
	for _, p := range l.Points {
		on, left := "", ""
		if p.Track != nil {
			on, left = u.Length(p.Track.Along), u.Length(p.Track.Left)
		}
		t.Rows = append(t.Rows, []string{on, left, u.Length(p.Ahead), u.Length(p.Left), u.Length(p.Up), "all",
			units.Metered(p.Ground), units.Metered(p.Facing)})
		for _, lamp := range p.Lamps {
			if ground, facing := units.Metered(lamp.Ground), units.Metered(lamp.Facing); ground != "0" ||
				facing != "0" {
				t.Rows = append(t.Rows, []string{"", "", "", "", "", "  " + lamp.Name, ground, facing})
			}
		}
	}
	t.DropEmpty(along, aside)
	return t
}

// LuxKey explains the two ways of reading a meter.
func LuxKey(l *figures.Lux) string {
	square := "square to the road, "
	if l.Bend != nil {
		square = ""
	}
	beside := ""
	if l.Bend == nil && slices.ContainsFunc(l.Points,
		func(p figures.Point) bool { return p.Ahead < 0 && p.Left != 0 }) {
		beside = "; beside the vehicle, across the road"
	}
	return "ground lx: the meter lies flat along the ground, looking up.\nfacing lx: the meter stands upright, " +
		square + "looking " + luxFaces(l) + beside + "."
}

// luxFaces is where the meter looks for facing light.
func luxFaces(l *figures.Lux) string {
	if l.Bend != nil {
		return "back along the track where that is nearest"
	}
	return "at the vehicle"
}

// LuxGrids are points each step apart, rows of ahead with so many points across, as two tables:
// ground lux on the ground, of the first half of the points, and facing lux at a height, of the
// other half.
func LuxGrids(u units.System, l *figures.Lux, across int) []*table.Table {
	half := len(l.Points) / 2
	head := []table.Column{{Name: "ahead", Right: true, Lead: true}}
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
	ground := &table.Table{Title: "ground lux: the meter flat on the ground, looking up", Columns: head}
	facing := &table.Table{
		Title: fmt.Sprintf("facing lux: the meter upright, %s above the ground, looking %s",
			u.Length(l.Points[half].Up), luxFaces(l)),
		Columns: head,
	}
	for row := range slices.Chunk(l.Points[:half], across) {
		cells := []string{u.Chosen(row[0].Ahead)}
		for _, p := range row {
			cells = append(cells, units.Metered(p.Ground))
		}
		ground.Rows = append(ground.Rows, cells)
	}
	for row := range slices.Chunk(l.Points[half:], across) {
		cells := []string{u.Chosen(row[0].Ahead)}
		for _, p := range row {
			cells = append(cells, units.Metered(p.Facing))
		}
		facing.Rows = append(facing.Rows, cells)
	}
	return []*table.Table{ground, facing}
}
