package figures

import (
	"context"
	"math"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
)

// Scene is the figures of lamps lit together.
type Scene struct {
	Name      string      `json:"name"`
	Lamps     []string    `json:"lamps"`
	Reach     []Reach     `json:"reach"`
	Pitched   []Pitched   `json:"reach_pitched"` // by threshold; none where the rig gives no pitch
	LitArea   []LitArea   `json:"lit_area"`
	DarkGaps  []Gap       `json:"dark_gaps"`
	Stop      Stop        `json:"stop"`
	Oncoming  []Oncoming  `json:"oncoming"`
	BodyLight []BodyLight `json:"body_light"`
	Sight     []Sight     `json:"sight"`
	HoodHides float64     `json:"hood_hides_m"`
	Glow      *Glow       `json:"glow"`
}

// Pitched is reach with the nose moved up and down by the pitch of the vehicle.
type Pitched struct {
	Lux      float64 `json:"lux"`
	NoseUp   Number  `json:"nose_up_range_m"`
	NoseDown Number  `json:"nose_down_range_m"`
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
	Lux   Number  `json:"eye_lux"` // none past the end of a bend
	Veil  Number  `json:"veil_cd_m2"`
}

// BodyLight is the light on top of a body box.
type BodyLight struct {
	Name string  `json:"name"`
	Mean float64 `json:"mean_lux"`
	Max  float64 `json:"max_lux"`

	Seen bool `json:"-"` // by the driver
}

// EyeAside is how far to the left of the centreline an oncoming driver's eye is, m, by the traffic
// that was asked for, or else that of the rig's headlights: to the left where traffic keeps to the
// right.
func EyeAside(r *assembly.Rig, o *Options) float64 {
	const aside = 3.5
	switch {
	case o.Traffic != 0:
		return o.Traffic * aside
	case r.File.Headlights.Value.Traffic.Value == rigfile.LeftSide:
		return -aside
	}
	return aside
}

// eyeDistances are how far ahead an oncoming driver's eye is looked at, m.
var eyeDistances = []float64{25, 50, 100, 200}

func sceneOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, seen *sights, o Options) (Scene, error) {
	lit := r.Lit(s)
	out := Scene{Name: s.Name, Lamps: lampNames(r, s), Sight: seen.of(s), HoodHides: hoodHides(r),
		Glow: glowOf(r, s, lit)}
	line := lit.Centreline(min(lowest(o.Thresholds), o.SightLux, GapLux))
	out.Reach, out.DarkGaps = reaches(line, o.Thresholds), gaps(line)
	out.Pitched = pitched(r, s, o.Thresholds)
	sight := line.Reach(o.SightLux)
	out.Stop = Stop{o.SightLux, Number(sight), Speed(r.Braking.Speed(sight))}
	var err error
	if out.LitArea, err = litAreas(ctx, lit, o.Thresholds); err != nil {
		return out, err
	}
	out.Oncoming = oncoming(r, lit, o)
	out.BodyLight, err = bodyLights(ctx, lit, r.File)
	return out, err
}

// pitched is reach in a scene with the nose up and down.
func pitched(r *assembly.Rig, s assembly.Scene, thresholds []float64) []Pitched {
	out := []Pitched{}
	pitch := r.File.Vehicle.Pitch.Value
	if pitch == 0 {
		return out
	}
	least := lowest(thresholds)
	up, down := r.LitPitched(s, pitch).Centreline(least), r.LitPitched(s, -pitch).Centreline(least)
	for _, lux := range thresholds {
		out = append(out, Pitched{lux, Number(up.Reach(lux)), Number(down.Reach(lux))})
	}
	return out
}

// oncoming is the light of a scene at oncoming eyes.
func oncoming(r *assembly.Rig, lit *geometry.Scene, o Options) (out []Oncoming) {
	for _, x := range eyeDistances {
		g := lit.Oncoming(x, EyeAside(r, &o), r.Driver.Age)
		out = append(out, Oncoming{x, Number(g.Lux), Number(g.Veil)})
	}
	return out
}

// litAreas are the areas of ground lit to thresholds, which rise: none is larger than that before
// it.
func litAreas(ctx context.Context, lit *geometry.Scene, thresholds []float64) (out []LitArea, err error) {
	areas, err := lit.LitAreas(ctx, thresholds...)
	if err != nil {
		return nil, err
	}
	for i, lux := range thresholds {
		out = append(out, LitArea{lux, areas[i]})
	}
	// patches too small for the grid of a low level may be seen by that of a high one
	for i := len(out) - 1; i > 0; i-- {
		out[i-1].Area = math.Max(out[i-1].Area, out[i].Area)
	}
	return out, nil
}

func lampNames(r *assembly.Rig, s assembly.Scene) []string {
	names := []string{}
	for _, n := range s.Lamps {
		names = append(names, r.Lamps[n].Name)
	}
	return names
}

func bodyLights(ctx context.Context, s *geometry.Scene, file *rigfile.Rig) ([]BodyLight, error) {
	out := make([]BodyLight, len(s.Site.Body))
	err := Each(ctx, len(out), func(i int) error {
		b := s.BodyLight(i)
		out[i] = BodyLight{b.Name, b.Mean, b.Max, topSeen(file, i)}
		return nil
	})
	return out, err
}

// topSeen reports whether the driver can see the top of a box: it is below the eye and not all
// behind it.
func topSeen(file *rigfile.Rig, box int) bool {
	b, eye := file.Body[box], file.Vehicle.Eye.Value
	return b.Up.High < eye.Up && b.Ahead.High > eye.Ahead
}
