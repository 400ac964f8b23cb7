package figures

import (
	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"
)

// What a lamp is set by, and what it does when set so.

// Setting is what a lamp's bracket is set by.
type Setting struct {
	Key     int       `json:"key"`
	Name    string    `json:"name"`
	Circuit string    `json:"circuit"`
	Ahead   float64   `json:"ahead_m"`
	Left    float64   `json:"left_m"`
	Up      float64   `json:"up_m"`
	Tilt    Angle     `json:"tilt_deg"`
	Turn    Angle     `json:"turn_deg"`
	Roll    Angle     `json:"roll_deg"`
	Reading Angle     `json:"reading_deg"` // of the tilt meter
	Wall    *WallMark `json:"wall"`

	PastWall bool `json:"-"` // the lamp stands past the wall
}

// WallMark is where to mark the wall for a parked lamp's beam axis. Distance is that of the wall
// from the bumper, FromLamp from the lamp.
type WallMark struct {
	Distance float64 `json:"distance_m"`
	Height   float64 `json:"height_m"`
	Left     float64 `json:"left_m"`
	Drop     float64 `json:"drop_m"`
	FromLamp float64 `json:"from_lamp_m"`
}

// SettingOf is how a lamp of the rig, by its index, is set.
func SettingOf(r *assembly.Rig, lamp int, o Options) Setting {
	l := &r.Lamps[lamp]
	s := Setting{
		Key: lamp + 1, Name: l.Name, Circuit: l.Circuit,
		Ahead: l.At.X, Left: l.At.Y, Up: l.At.Z,
		Tilt: Angle(l.Aim.Tilt), Turn: Angle(l.Aim.Turn), Roll: Angle(l.Aim.Roll),
		Reading:  Angle(l.Aim.Tilt + o.GroundReading),
		PastWall: l.At.X >= o.Wall,
	}
	if p, ok := l.WallMark(o.Wall); ok {
		s.Wall = &WallMark{o.Wall, tidy(p.Z), tidy(p.Y), tidy(l.At.Z - p.Z), tidy(o.Wall - l.At.X)}
	}
	return s
}

// Lamp is one lamp's figures.
type Lamp struct {
	Setting
	Flux       float64     `json:"flux_lm"`
	Peak       float64     `json:"peak_cd"`
	AxisHit    *Hit        `json:"axis_hit"`
	Near       Number      `json:"near_m"`
	Far        Number      `json:"far_m"`
	FarParked  Number      `json:"far_parked_m"`
	Tolerance  Tolerance   `json:"tolerance"`
	PeakGround *PeakGround `json:"peak_ground"`
	Reach      []Reach     `json:"reach"`
	SkyShare   float64     `json:"sky_share"`
	Shade      *Shade      `json:"shade"`

	Glare []BodyLight `json:"-"` // what it alone puts on boxes that the driver sees lit
}

// Hit is where a beam axis meets the ground; the range is horizontal, from the lamp.
type Hit struct {
	Ahead float64 `json:"ahead_m"`
	Left  float64 `json:"left_m"`
	Range float64 `json:"range_m"`
}

// Tolerance is the axis range with the tilt off by + and by - so much.
type Tolerance struct {
	Tilt Angle  `json:"tilt_deg"`
	Near Number `json:"near_m"`
	Far  Number `json:"far_m"`

	Sight []SightOff `json:"sight"`
}

// Shade is the ground straight ahead of the bumper that a body box keeps a lamp from lighting.
type Shade struct {
	To float64 `json:"to_m"`
	By string  `json:"by"`
}

// lampOf is lamp i of a scene, which is lamp index of the rig.
func lampOf(r *assembly.Rig, sc *geometry.Scene, i, index int, seen *sights, o Options) Lamp {
	l, m, site := &r.Lamps[index], &sc.Lamps[i], sc.Site
	d := m.Lamp.Beam()
	out := Lamp{Setting: SettingOf(r, index, o), Flux: d.Flux(), Peak: d.Peak(), SkyShare: m.SkyShare()}
	if p, ok := site.AxisHit(m); ok {
		out.AxisHit = &Hit{tidy(p.X), tidy(p.Y), m.Range(p)}
	}
	near, far := site.NearFar(m)
	out.Near, out.Far = Number(near), Number(far)
	parked := (&geometry.Site{Ground: site.Ground}).Scene(l.Lamp)
	_, far = parked.Site.NearFar(&parked.Lamps[0])
	out.FarParked = Number(far)
	near, far = site.Tolerance(l.Lamp, o.Tolerance)
	out.Tolerance = Tolerance{Angle(o.Tolerance), Number(near), Number(far), seen.off(index)}
	if b := sc.Only(i).Brightest(); b.Lux > 0 {
		out.PeakGround = &PeakGround{b.Lux, tidy(b.At.X), tidy(b.At.Y)}
	}
	out.Reach = reaches(sc.Azimuth(i, lowest(o.Thresholds)), o.Thresholds)
	if to, by, ok := site.Shade(m); ok {
		out.Shade = &Shade{to, by}
	}
	return out
}

// headlightsOf are the vehicle's own headlights, of which nothing is set.
func headlightsOf(r *assembly.Rig, o Options) (out []Lamp) {
	all := r.Headlights()
	lit := r.Lit(assembly.Scene{Lamps: all})
	for i, n := range all {
		d := lit.Lamps[i].Lamp.Beam()
		out = append(out, Lamp{
			Setting: SettingOf(r, n, o), Flux: d.Flux(), Peak: d.Peak(),
			Reach: reaches(lit.Azimuth(i, lowest(o.Thresholds)), o.Thresholds),
		})
	}
	return out
}
