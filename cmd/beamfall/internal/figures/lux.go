package figures

import "beamfall/cmd/beamfall/internal/assembly"

// Lux is predicted illuminance at points.
type Lux struct {
	Rig    string  `json:"rig"`
	Scene  string  `json:"scene"`
	Points []Point `json:"points"`
}

// Point is a point over the ground: lux on a plane parallel to the ground there, and on a vertical plane that faces the
// vehicle.
type Point struct {
	Place
	Ground float64     `json:"ground_lux"`
	Facing float64     `json:"facing_lux"`
	Lamps  []LampPoint `json:"lamps"`
}

// Place is a place over the ground, m.
type Place struct {
	Ahead float64 `json:"ahead_m"`
	Left  float64 `json:"left_m"`
	Up    float64 `json:"up_m"`
}

// LampPoint is what one lamp contributes to a point.
type LampPoint struct {
	Name   string  `json:"name"`
	Ground float64 `json:"ground_lux"`
	Facing float64 `json:"facing_lux"`
}

// LuxAt works out the light at places.
func LuxAt(r *assembly.Rig, s assembly.Scene, places []Place) *Lux {
	out := &Lux{Rig: r.File.Name, Scene: s.Name, Points: make([]Point, len(places))}
	lit := r.Lit(s)
	for i, p := range places {
		at, normal := lit.Site.At(p.Ahead, p.Left, p.Up), lit.Site.Ground.Normal(p.Ahead)
		facing := lit.Site.Facing(p.Ahead, p.Left)
		point := Point{Place: p, Lamps: make([]LampPoint, len(s.Lamps))}
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
