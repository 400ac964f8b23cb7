package report

import (
	"fmt"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// Lux is predicted illuminance at points.
type Lux struct {
	Rig    string  `json:"rig"`
	Scene  string  `json:"scene"`
	Points []Point `json:"points"`
}

// Point is a point over the ground: lux on a plane parallel to the ground there, and on a vertical plane that faces the
// vehicle.
type Point struct {
	Ahead  float64     `json:"ahead_m"`
	Left   float64     `json:"left_m"`
	Up     float64     `json:"up_m"`
	Ground float64     `json:"ground_lux"`
	Facing float64     `json:"facing_lux"`
	Lamps  []LampPoint `json:"lamps"`
}

// LampPoint is what one lamp contributes to a point.
type LampPoint struct {
	Name   string  `json:"name"`
	Ground float64 `json:"ground_lux"`
	Facing float64 `json:"facing_lux"`
}

// Place is a place over the ground, m.
type Place struct{ Ahead, Left, Up float64 }

// LuxAt works out the light at places.
func LuxAt(r *assembly.Rig, s assembly.Scene, places []Place) *Lux {
	out := &Lux{Rig: r.File.Name, Scene: s.Name, Points: make([]Point, len(places))}
	lit := r.Lit(s)
	for i, p := range places {
		at, normal := lit.Site.At(p.Ahead, p.Left, p.Up), lit.Site.Ground.Normal(p.Ahead)
		facing := lit.Site.Facing(p.Ahead, p.Left)
		point := Point{Ahead: p.Ahead, Left: p.Left, Up: p.Up, Lamps: make([]LampPoint, len(s.Lamps))}
		for j, n := range s.Lamps {
			l := LampPoint{r.Lamps[n].Name, lit.LuxOf(j, at, normal), lit.LuxOf(j, at, facing)}
			point.Lamps[j] = l
			point.Ground += l.Ground
			point.Facing += l.Facing
		}
		out.Points[i] = point
	}
	return out
}

// ByLamp is the table of points with what each lamp adds, lamps that add nothing left out.
func (l *Lux) ByLamp(u units.System) *table.Table {
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

// Grids are places each step apart, rows of ahead with so many points across, as two tables: ground lux, and facing lux.
func (l *Lux) Grids(u units.System, across int) []*table.Table {
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
