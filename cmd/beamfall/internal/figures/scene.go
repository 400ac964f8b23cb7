package figures

import (
	"context"
	"math"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"
)

// Scene is the figures of lamps lit together.
type Scene struct {
	Name      string      `json:"name"`
	Lamps     []string    `json:"lamps"`
	Reach     []Reach     `json:"reach"`
	LitArea   []LitArea   `json:"lit_area"`
	DarkGaps  []Gap       `json:"dark_gaps"`
	Stop      Stop        `json:"stop"`
	Oncoming  []Oncoming  `json:"oncoming"`
	BodyLight []BodyLight `json:"body_light"`
}

// Stop is the speed from which the vehicle stops within the reach of a facing illuminance.
type Stop struct {
	SightLux float64 `json:"sight_lux"`
	Range    Number  `json:"range_m"`
	Speed    Speed   `json:"speed_kmh"`
}

// Oncoming is the light at an oncoming driver's eye.
type Oncoming struct {
	Ahead float64 `json:"ahead_m"`
	Lux   float64 `json:"eye_lux"`
	Veil  Number  `json:"veil_cd_m2"`
}

// BodyLight is the light on top of a body box.
type BodyLight struct {
	Name string  `json:"name"`
	Mean float64 `json:"mean_lux"`
	Max  float64 `json:"max_lux"`
}

// eyeAside is how far to the side of the centreline an oncoming driver's eye is, m.
const eyeAside = 3.5

// eyeAge is the age of that driver in years: this project's own choice.
const eyeAge = 40

// eyeDistances are how far ahead an oncoming driver's eye is looked at, m.
var eyeDistances = []float64{25, 50, 100, 200}

func sceneOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, o Options) (Scene, error) {
	lit := r.Lit(s)
	out := Scene{Name: s.Name, Lamps: lampNames(r, s)}
	line := lit.Centreline(min(lowest(o.Thresholds), o.SightLux, GapLux))
	out.Reach, out.DarkGaps = reaches(line, o.Thresholds), gaps(line)
	sight := line.Reach(o.SightLux)
	out.Stop = Stop{o.SightLux, Number(sight), Speed(r.Braking.Speed(sight))}
	for _, lux := range o.Thresholds {
		a, err := lit.LitArea(ctx, lux)
		if err != nil {
			return out, err
		}
		out.LitArea = append(out.LitArea, LitArea{lux, a})
	}
	for i := len(out.LitArea) - 1; i > 0; i-- { // patches too small for the grid of a low level may be seen by that of a high one
		out.LitArea[i-1].Area = math.Max(out.LitArea[i-1].Area, out.LitArea[i].Area)
	}
	for _, x := range eyeDistances {
		g := lit.Oncoming(x, o.Traffic*eyeAside, eyeAge)
		out.Oncoming = append(out.Oncoming, Oncoming{x, g.Lux, Number(g.Veil)})
	}
	var err error
	out.BodyLight, err = bodyLights(ctx, lit)
	return out, err
}

func lampNames(r *assembly.Rig, s assembly.Scene) []string {
	names := []string{}
	for _, n := range s.Lamps {
		names = append(names, r.Lamps[n].Name)
	}
	return names
}

func bodyLights(ctx context.Context, s *geometry.Scene) ([]BodyLight, error) {
	out := make([]BodyLight, len(s.Site.Body))
	err := each(ctx, len(out), func(i int) error {
		b := s.BodyLight(i)
		out[i] = BodyLight{b.Name, b.Mean, b.Max}
		return nil
	})
	return out, err
}
