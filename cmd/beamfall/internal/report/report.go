// Package report works out the figures that the commands print, in the form in which they are printed as JSON: lengths
// in metres, angles in degrees, lux, candela, lumens. A value that does not exist is null.
package report

import (
	"context"
	"math"
	"runtime"
	"sync/atomic"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"

	"golang.org/x/sync/errgroup"
)

// Options are what figures are asked for beyond the rig.
type Options struct {
	Wall          float64   // m ahead of the bumper
	GroundReading float64   // rad, what the meter reads lying on the ground
	Tolerance     float64   // rad
	Thresholds    []float64 // lx, of reach and lit area
	SightLux      float64   // lx, that stop is told for
	Traffic       float64   // +1: oncoming traffic is on the left; -1: on the right
}

// Plan is the whole of a rig's figures.
type Plan struct {
	Rig      string   `json:"rig"`
	Units    string   `json:"units"`
	Scenes   []Scene  `json:"scenes"`
	Lamps    []Lamp   `json:"lamps"`
	Pictures []string `json:"pictures"`
	Notes    []string `json:"notes"`
}

// Lamp is one lamp's figures.
type Lamp struct {
	Key        int         `json:"key"`
	Name       string      `json:"name"`
	Circuit    string      `json:"circuit"`
	Ahead      float64     `json:"ahead_m"`
	Left       float64     `json:"left_m"`
	Up         float64     `json:"up_m"`
	Tilt       float64     `json:"tilt_deg"`
	Turn       float64     `json:"turn_deg"`
	Roll       float64     `json:"roll_deg"`
	Flux       float64     `json:"flux_lm"`
	Peak       float64     `json:"peak_cd"`
	AxisHit    *Hit        `json:"axis_hit"`
	Near       *float64    `json:"near_m"`
	Far        *float64    `json:"far_m"`
	FarParked  *float64    `json:"far_parked_m"`
	Reading    float64     `json:"reading_deg"`
	Wall       *WallMark   `json:"wall"`
	Tolerance  Tolerance   `json:"tolerance"`
	PeakGround *PeakGround `json:"peak_ground"`
	Reach      []Reach     `json:"reach"`
	SkyShare   float64     `json:"sky_share"`
	Shade      *Shade      `json:"shade"`

	AheadOfWall bool        `json:"-"` // the lamp stands past the wall
	glare       []BodyLight // what it alone puts on boxes that the driver sees lit
}

// Hit is where a beam axis meets the ground; the range is horizontal, from the lamp.
type Hit struct {
	Ahead float64 `json:"ahead_m"`
	Left  float64 `json:"left_m"`
	Range float64 `json:"range_m"`
}

// WallMark is where to mark the wall for a parked lamp's beam axis. Distance is that of the wall from the bumper,
// FromLamp from the lamp.
type WallMark struct {
	Distance float64 `json:"distance_m"`
	Height   float64 `json:"height_m"`
	Left     float64 `json:"left_m"`
	Drop     float64 `json:"drop_m"`
	FromLamp float64 `json:"from_lamp_m"`
}

// Tolerance is the axis range with the tilt off by + and by - so much.
type Tolerance struct {
	Tilt float64  `json:"tilt_deg"`
	Near *float64 `json:"near_m"`
	Far  *float64 `json:"far_m"`
}

// PeakGround is the brightest ground of a lamp.
type PeakGround struct {
	Lux   float64 `json:"lux"`
	Ahead float64 `json:"ahead_m"`
	Left  float64 `json:"left_m"`
}

// Reach is the farthest distance at a threshold.
type Reach struct {
	Lux   float64  `json:"lux"`
	Range *float64 `json:"range_m"`
}

// Shade is the ground straight ahead of the bumper that a body box keeps a lamp from lighting.
type Shade struct {
	To float64 `json:"to_m"`
	By string  `json:"by"`
}

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

// LitArea is the ground with at least lux on it.
type LitArea struct {
	Lux  float64 `json:"lux"`
	Area float64 `json:"area_m2"`
}

// Gap is a dark stretch of the centreline.
type Gap struct {
	From float64 `json:"from_m"`
	To   float64 `json:"to_m"`
}

// Stop is the speed from which the vehicle stops within sight.
type Stop struct {
	SightLux float64  `json:"sight_lux"`
	Range    *float64 `json:"range_m"`
	Speed    *float64 `json:"speed_kmh"`
}

// Oncoming is the light at an oncoming driver's eye.
type Oncoming struct {
	Ahead float64  `json:"ahead_m"`
	Lux   float64  `json:"eye_lux"`
	Veil  *float64 `json:"veil_cd_m2"`
}

// BodyLight is the light on top of a body box.
type BodyLight struct {
	Name string  `json:"name"`
	Mean float64 `json:"mean_lux"`
	Max  float64 `json:"max_lux"`
}

// tidy is a length without the dust of computing, such as 5e-16 m to the left.
func tidy(m float64) float64 { return math.Round(m*1e9)/1e9 + 0 }

// number is v, or null where there is none.
func number(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// each calls f for 0 to n-1, on all cores.
func each(ctx context.Context, n int, f func(i int) error) error {
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		g.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			return f(i)
		})
	}
	return g.Wait()
}

// PlanOf works out the figures of the scenes of a rig and of the lamps shown. Progress is told the share done, from any
// goroutine; it may be nil.
func PlanOf(ctx context.Context, r *assembly.Rig, o Options, progress func(float64)) (*Plan, error) {
	p := &Plan{
		Rig: r.File.Name, Units: r.System().String(), Scenes: make([]Scene, len(r.Scenes)), Lamps: make([]Lamp, len(r.Shown)),
		Pictures: []string{}, Notes: []string{},
	}
	everything := r.Lit(assembly.Scene{Lamps: r.Shown})
	work := len(r.Shown) // in lamps: a scene is about as much work as its lamps
	for _, s := range r.Scenes {
		work += 2 * len(s.Lamps)
	}
	var done atomic.Int64
	did := func(lamps int) {
		if n := done.Add(int64(lamps)); progress != nil {
			progress(float64(n) / float64(max(1, work)))
		}
	}
	if err := each(ctx, len(r.Shown), func(i int) error {
		p.Lamps[i] = lamp(r, everything, i, r.Shown[i], o)
		did(1)
		return nil
	}); err != nil {
		return nil, err
	}
	for i, s := range r.Scenes {
		var err error
		if p.Scenes[i], err = scene(ctx, r, s, o); err != nil {
			return nil, err
		}
		did(2 * len(s.Lamps))
	}
	if err := p.glare(ctx, r, everything); err != nil {
		return nil, err
	}
	p.Notes = append(p.Notes, p.advice(r)...)
	p.Notes = append(p.Notes, r.Notes()...)
	for _, d := range append(append([]string{}, r.Doubts...), doubts(r)...) {
		p.Notes = append(p.Notes, "doubtful: "+d)
	}
	return p, nil
}

// glareLux is the light on a box from which on the driver is told of it, lx: common practice, no source.
const glareLux = 20

// glare works out which lamps put light on the boxes that the driver sees lit in some scene.
func (p *Plan) glare(ctx context.Context, r *assembly.Rig, lamps *geometry.Scene) error {
	var boxes []int
	for i := range r.File.Body {
		for _, s := range p.Scenes {
			if seen(r.File, i) && s.BodyLight[i].Max >= glareLux {
				boxes = append(boxes, i)
				break
			}
		}
	}
	return each(ctx, len(p.Lamps), func(i int) error {
		one := lamps.Only(i)
		for _, b := range boxes {
			if l := one.BodyLight(b); l.Max >= glareLux {
				p.Lamps[i].glare = append(p.Lamps[i].glare, BodyLight{l.Name, l.Mean, l.Max})
			}
		}
		return nil
	})
}

// SettingOf is what a lamp is set by, and its place: the rest is left out.
func SettingOf(r *assembly.Rig, index int, o Options) Lamp {
	l := &r.Lamps[index]
	out := Lamp{
		Key: index + 1, Name: l.Name, Circuit: l.Circuit,
		Ahead: l.At.X, Left: l.At.Y, Up: l.At.Z,
		Tilt: assembly.Degrees(l.Aim.Tilt), Turn: assembly.Degrees(l.Aim.Turn), Roll: assembly.Degrees(l.Aim.Roll),
		Reading:     assembly.Degrees(l.Aim.Tilt + o.GroundReading),
		AheadOfWall: l.At.X >= o.Wall,
	}
	if p, ok := l.WallMark(o.Wall); ok {
		out.Wall = &WallMark{o.Wall, tidy(p.Z), tidy(p.Y), tidy(l.At.Z - p.Z), tidy(o.Wall - l.At.X)}
	}
	return out
}

func lamp(r *assembly.Rig, sc *geometry.Scene, i, index int, o Options) Lamp {
	l, m, site := &r.Lamps[index], &sc.Lamps[i], sc.Site
	d := m.Beam()
	out := SettingOf(r, index, o)
	out.Flux, out.Peak, out.SkyShare = d.Flux(), d.Peak(), m.SkyShare()
	if p, ok := site.AxisHit(m); ok {
		out.AxisHit = &Hit{tidy(p.X), tidy(p.Y), m.Range(p)}
	}
	near, far := site.NearFar(m)
	out.Near, out.Far = number(near), number(far)
	flat := (&geometry.Site{Ground: site.Ground}).Scene(l.Lamp)
	_, far = flat.Site.NearFar(&flat.Lamps[0])
	out.FarParked = number(far)
	near, far = site.Tolerance(l.Lamp, o.Tolerance)
	out.Tolerance = Tolerance{assembly.Degrees(o.Tolerance), number(near), number(far)}
	one := sc.Only(i)
	if b := one.Brightest(); b.Lux > 0 {
		out.PeakGround = &PeakGround{b.Lux, tidy(b.At.X), tidy(b.At.Y)}
	}
	out.Reach = reaches(sc.Azimuth(i, lowest(o.Thresholds)), o.Thresholds)
	if to, by, ok := site.Shade(m); ok {
		out.Shade = &Shade{to, by}
	}
	return out
}

func lowest(thresholds []float64) float64 {
	least := math.Inf(1)
	for _, v := range thresholds {
		least = math.Min(least, v)
	}
	return least
}

func reaches(p *geometry.Profile, thresholds []float64) []Reach {
	out := make([]Reach, len(thresholds))
	for i, lux := range thresholds {
		out[i] = Reach{lux, number(p.Reach(lux))}
	}
	return out
}

// gapLux is the facing illuminance below which a stretch counts as dark.
const gapLux = 1

// eyeAside is how far to the side of the centreline an oncoming driver's eye is, m.
const eyeAside = 3.5

// eyeAge is the age of that driver in years: this project's own choice.
const eyeAge = 40

// eyeDistances are how far ahead an oncoming driver's eye is looked at, m.
var eyeDistances = []float64{25, 50, 100, 200}

func scene(ctx context.Context, r *assembly.Rig, s assembly.Scene, o Options) (Scene, error) {
	lit := r.Lit(s)
	out := Scene{Name: s.Name, Lamps: []string{}, DarkGaps: []Gap{}, BodyLight: []BodyLight{}}
	for _, i := range s.Lamps {
		out.Lamps = append(out.Lamps, r.Lamps[i].Name)
	}
	line := lit.Centreline(math.Min(math.Min(lowest(o.Thresholds), o.SightLux), gapLux))
	out.Reach = reaches(line, o.Thresholds)
	for _, g := range line.Gaps(gapLux) {
		out.DarkGaps = append(out.DarkGaps, Gap{g.From, g.To})
	}
	sight := line.Reach(o.SightLux)
	out.Stop = Stop{o.SightLux, number(sight), number(r.Braking.Speed(sight) * 3.6)}
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
		out.Oncoming = append(out.Oncoming, Oncoming{x, g.Lux, number(g.Veil)})
	}
	var err error
	out.BodyLight, err = bodyLights(ctx, lit)
	return out, err
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
