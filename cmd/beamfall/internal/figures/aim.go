package figures

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"
	"beamfall/geometry/aim"
)

// Aim is the outcome of aiming the lamps of a scene. Reasons, Notes and Pictures are for the caller to fill.
type Aim struct {
	Rig     string      `json:"rig"`
	Scene   string      `json:"scene"`
	Before  Number      `json:"fulfilment_before"`
	After   Number      `json:"fulfilment_after"`
	Bound   Number      `json:"fulfilment_bound"`
	Lamps   []AimLamp   `json:"lamps"`
	Targets []AimTarget `json:"targets"`
	Limits  []AimLimit  `json:"limits"`
	If      []AimOff    `json:"if_off"`
	Reasons []string    `json:"limited_by"`
	Notes   []string    `json:"notes"`

	Pictures []string `json:"pictures"`

	Asked  Options         `json:"-"`
	Task   *Task           `json:"-"` // nil where lamps were tilted for one place
	Result *aim.Result     `json:"-"` // of the task
	Lit    *geometry.Scene `json:"-"` // as aimed
	Moved  []Moved         `json:"-"`
}

// AimLamp is one lamp before and after.
type AimLamp struct {
	Key        int    `json:"key"`
	Name       string `json:"name"`
	Free       bool   `json:"free"`
	TiltBefore Angle  `json:"tilt_before_deg"`
	TiltAfter  Angle  `json:"tilt_after_deg"`
	TurnBefore Angle  `json:"turn_before_deg"`
	TurnAfter  Angle  `json:"turn_after_deg"`
	Reading    Angle  `json:"reading_deg"`
}

// AimTarget is a target's fulfilment; Alone is what it could have if nothing else counted.
type AimTarget struct {
	Name   string  `json:"name"`
	Before float64 `json:"before"`
	After  float64 `json:"after"`
	Alone  float64 `json:"alone"`
}

// AimLimit is a limit and the light there.
type AimLimit struct {
	Name    string  `json:"name"`
	Allowed float64 `json:"lux_allowed"`
	Before  float64 `json:"lux_before"`
	After   float64 `json:"lux_after"`
}

// AimOff is the fulfilment that is left with one bracket set wrong.
type AimOff struct {
	Name string  `json:"name"`
	Tilt Angle   `json:"tilt_deg"`
	Down float64 `json:"fulfilment_if_lower"`
	Up   float64 `json:"fulfilment_if_higher"`

	PassDown string `json:"limit_passed_if_lower,omitempty"`
	PassUp   string `json:"limit_passed_if_higher,omitempty"`
}

// Moved is an entry of the rig file whose angles are new, rad.
type Moved struct {
	Entry      int
	Tilt, Turn float64
}

// Goal is one place that a lamp is to be tilted for.
type Goal struct {
	Hit, Near float64 // m from the lamp; 0: not asked for
	LevelEdge bool
}

// AimOf aims a scene of a rig for its targets, or for a speed (m/s) if one is given.
func AimOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, speed float64, o Options, progress func(float64)) (*Aim, error) {
	t, err := TaskOf(r, s, speed)
	if err != nil {
		return nil, err
	}
	res, err := t.Solve(ctx, o.Tolerance, progress)
	if err != nil {
		return nil, err
	}
	out := newAim(r, s, o)
	out.Task, out.Result = t, res
	out.Before, out.After, out.Bound = Number(res.Before), Number(res.After), Number(res.Bound)
	free := map[int]bool{}
	for i, b := range t.Brackets {
		for j, n := range b.Lamps {
			free[n] = true
			if to := res.Aims[n]; to != t.Lamps[n].Aim {
				out.move(t.Entries[i], to, b.Mirror[j])
			}
		}
		off := AimOff{Name: t.Names[i], Tilt: Angle(o.Tolerance), Down: res.Brackets[i].Down, Up: res.Brackets[i].Up}
		if n := res.Brackets[i].PassDown; n >= 0 {
			off.PassDown = t.Limits[n].Name
		}
		if n := res.Brackets[i].PassUp; n >= 0 {
			off.PassUp = t.Limits[n].Name
		}
		out.If = append(out.If, off)
	}
	for i, n := range s.Lamps {
		if !r.IsHeadlight(n) {
			out.add(r, n, res.Aims[i], free[i])
		}
	}
	for i, t := range res.Targets {
		out.Targets = append(out.Targets, AimTarget{out.Task.Targets[i].Name, t.Before, t.After, math.Max(t.Alone, t.After)})
	}
	for i, l := range res.Limits {
		out.Limits = append(out.Limits, AimLimit{t.Limits[i].Name, t.Limits[i].Lux, l.Before, l.After})
	}
	out.Lit = lit(r, s, res.Aims)
	return out, nil
}

// TiltFor tilts the lamps of a scene, one lamp or one pair, for a goal.
func TiltFor(r *assembly.Rig, s assembly.Scene, g Goal, o Options) (*Aim, error) {
	out := newAim(r, s, o)
	if len(s.Lamps) == 0 {
		return nil, errors.New("the scene has no such lamp")
	}
	for _, n := range s.Lamps {
		l := &r.Lamps[n]
		if l.Entry != r.Lamps[s.Lamps[0]].Entry {
			return nil, errors.New("--hit, --near and --level-edge are for one lamp; name it with --only")
		}
		if r.IsHeadlight(n) {
			return nil, errors.New("headlights are not aimed; how far their cut-off falls is dip in [headlights]")
		}
		to := l.Aim
		var err error
		switch {
		case g.Hit > 0:
			to.Tilt, err = aim.Hit(r.Site, l.Lamp, g.Hit)
		case g.Near > 0:
			to.Tilt, err = aim.Near(r.Site, l.Lamp, g.Near)
		default:
			to.Tilt, err = aim.LevelEdge(r.Site, l.Lamp)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", l.Name, err)
		}
		out.add(r, n, to, true)
		out.move(l.Entry, to, l.Twin)
	}
	return out, nil
}

func newAim(r *assembly.Rig, s assembly.Scene, o Options) *Aim {
	none := Number(None())
	return &Aim{
		Rig: r.File.Name, Scene: s.Name, Before: none, After: none, Bound: none, Lamps: []AimLamp{}, Targets: []AimTarget{},
		Limits: []AimLimit{}, If: []AimOff{}, Reasons: []string{}, Notes: []string{}, Pictures: []string{}, Asked: o,
	}
}

func (a *Aim) add(r *assembly.Rig, lamp int, to geometry.Aim, free bool) {
	l := &r.Lamps[lamp]
	a.Lamps = append(a.Lamps, AimLamp{
		Key: lamp + 1, Name: l.Name, Free: free, TiltBefore: Angle(l.Aim.Tilt), TiltAfter: Angle(to.Tilt),
		TurnBefore: Angle(l.Aim.Turn), TurnAfter: Angle(to.Turn), Reading: Angle(to.Tilt + a.Asked.GroundReading),
	})
}

// move notes the angles of a lamp as the file has them: those of a pair are of the lamp that is no twin.
func (a *Aim) move(entry int, to geometry.Aim, twin bool) {
	m := Moved{entry, to.Tilt, to.Turn}
	if twin {
		m.Turn = 0 - m.Turn
	}
	if n := len(a.Moved); n == 0 || a.Moved[n-1].Entry != entry {
		a.Moved = append(a.Moved, m)
	}
}

// lit is a scene with its lamps aimed another way.
func lit(r *assembly.Rig, s assembly.Scene, aims []geometry.Aim) *geometry.Scene {
	lamps := make([]geometry.Lamp, len(s.Lamps))
	for i, n := range s.Lamps {
		lamps[i] = r.Lamps[n].Lamp
		lamps[i].Aim = aims[i]
	}
	return r.Site.Scene(lamps...)
}

// Off is what setting the bracket of a lamp wrong does; nil for a lamp that has none to be set.
func (a *Aim) Off(lamp string) *AimOff {
	for i, off := range a.If {
		if lamp == off.Name || strings.TrimSuffix(strings.TrimSuffix(lamp, " (left)"), " (right)") == off.Name {
			return &a.If[i]
		}
	}
	return nil
}
