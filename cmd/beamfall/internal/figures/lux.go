package figures

import (
	"fmt"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Lux is predicted illuminance at points.
type Lux struct {
	Rig    string  `json:"rig"`
	Scene  string  `json:"scene"`
	Bend   *Bend   `json:"bend"` // of the track; nil: straight
	Points []Point `json:"points"`
}

// Point is a point over the ground: lux on a plane parallel to the ground there, and on a vertical
// plane that faces the vehicle.
type Point struct {
	Place
	Track  *OnTrack    `json:"track,omitempty"` // where it is along the track, if it was asked for so
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

// OnTrack is a place along the track, and left of its centreline, m.
type OnTrack struct {
	Along float64 `json:"along_m"`
	Left  float64 `json:"left_m"`
}

// LampPoint is what one lamp contributes to a point.
type LampPoint struct {
	Name   string  `json:"name"`
	Ground float64 `json:"ground_lux"`
	Facing float64 `json:"facing_lux"`
}

// LuxAt works out the light at places.
func LuxAt(r *assembly.Rig, s assembly.Scene, places []Place) *Lux {
	out, lit := &Lux{Rig: r.File.Name, Scene: s.Name, Bend: bendOf(&r.Site.Track), Points: []Point{}}, r.Lit(s)
	for _, p := range places {
		out.add(r, s, lit, p, lit.Site.Facing(p.Ahead, p.Left))
	}
	return out
}

// LuxAlong is LuxAt of places of which Ahead is along the track and Left of its centreline. Facing
// light there is back along the track.
func LuxAlong(r *assembly.Rig, s assembly.Scene, places []Place) (*Lux, error) {
	out, lit := &Lux{Rig: r.File.Name, Scene: s.Name, Bend: bendOf(&r.Site.Track), Points: []Point{}}, r.Lit(s)
	track := &lit.Site.Track
	for _, p := range places {
		if err := onTrack(track, p.Ahead); err != nil {
			return nil, err
		}
		on := OnTrack{p.Ahead, p.Left}
		p.Ahead, p.Left = track.Place(on.Along, on.Left)
		facing := r3.Scale(-1, track.Heading(on.Along))
		if on.Along < 0 {
			facing = lit.Site.Facing(p.Ahead, p.Left)
		}
		out.add(r, s, lit, p, facing)
		out.Points[len(out.Points)-1].Track = &on
	}
	return out, nil
}

// onTrack is an error for a place past the end of a bend.
func onTrack(t *geometry.Track, along float64) error {
	if along > t.End() {
		return fmt.Errorf("%.1f m along the track is past the end of the bend, which is followed through half a "+
			"turn, to %.1f m", along, t.End())
	}
	return nil
}

// add adds a point and the light there.
func (l *Lux) add(r *assembly.Rig, s assembly.Scene, lit *geometry.Scene, p Place, facing r3.Vec) {
	at, normal := lit.Site.At(p.Ahead, p.Left, p.Up), lit.Site.Ground.Normal(p.Ahead)
	point := Point{Place: p, Lamps: make([]LampPoint, len(s.Lamps))}
	for j, n := range s.Lamps {
		l := LampPoint{r.Lamps[n].Name, lit.LuxOf(j, at, normal), lit.LuxOf(j, at, facing)}
		point.Lamps[j] = l
		point.Ground += l.Ground
		point.Facing += l.Facing
	}
	l.Points = append(l.Points, point)
}
