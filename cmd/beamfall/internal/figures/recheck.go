package figures

import (
	"cmp"
	"context"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
)

// Lamps found with the meter after a knock, against what they were set to: off by how much, what
// that costs, and which to set again first.

// Recheck is what was found. Before is the scenes as found, After as set; they are in the same
// order. Pictures and Notes are for the caller to fill.
type Recheck struct {
	Rig    string         `json:"rig"`
	Lamps  []RecheckLamp  `json:"lamps"`
	Again  []Again        `json:"set_again"`
	Limits []RecheckLimit `json:"limits"`
	Before []Scene        `json:"before"`
	After  []Scene        `json:"after"`

	Document string   `json:"document"`
	Pictures []string `json:"pictures"`
	Notes    []string `json:"notes"`

	Asked Options       `json:"-"`
	Found *assembly.Rig `json:"-"` // the rig as found
}

// RecheckLamp is the tilt that a lamp was set to and that it was found at; null, what was not read.
type RecheckLamp struct {
	Setting `json:"-"`
	Key     int    `json:"key"`
	Name    string `json:"name"`
	Set     Angle  `json:"set_deg"`
	Tilt    Angle  `json:"found_deg"`
	Off     Angle  `json:"off_deg"`
	Within  *bool  `json:"within_tolerance"`
}

// Again is a lamp that is off by more than the tolerance, and what setting it again does while all
// others are as found: in the scene Scene, the first of its kind that lights it. Of several, the
// first is to be set first.
type Again struct {
	Name  string      `json:"name"`
	Off   Angle       `json:"off_deg"`
	Scene string      `json:"scene"`
	Sight []SightGain `json:"sight"`
	Keeps []string    `json:"limits_kept"` // limits that are passed as found, and are kept with this lamp set again

	relief float64 // of passed limits, as shares of what is allowed
}

// SightGain is how far a thing is seen as found, and with one lamp set again.
type SightGain struct {
	Thing string `json:"thing"`
	Found Number `json:"found_m"`
	Again Number `json:"set_again_m"`
}

// RecheckLimit is the light at a limit in a scene that it holds for.
type RecheckLimit struct {
	Name    string  `json:"name"`
	Scene   string  `json:"scene"`
	Allowed float64 `json:"lux_allowed"`
	Found   float64 `json:"lux_found"`
	Set     float64 `json:"lux_set"`
}

// Passed reports whether the limit is broken as found.
func (l *RecheckLimit) Passed() bool { return l.Found > l.Allowed*(1+1e-9) }

// RecheckOf works out what tilts that were found cost: found has them (rad) by the indexes of
// lamps; the other lamps are taken to be as set.
func RecheckOf(ctx context.Context, r *assembly.Rig, found map[int]float64, o Options) (*Recheck, error) {
	as := *r
	as.Lamps = slices.Clone(r.Lamps)
	for n, tilt := range found {
		as.Lamps[n].Aim.Tilt = tilt
	}
	out := &Recheck{
		Rig: r.File.Name, Lamps: []RecheckLamp{}, Again: []Again{}, Limits: []RecheckLimit{}, Pictures: []string{},
		Notes: []string{},
		Asked: o, Found: &as,
	}
	for _, n := range r.Shown {
		out.Lamps = append(out.Lamps, recheckLamp(r, n, found, o))
	}
	for _, side := range []struct {
		rig    *assembly.Rig
		scenes *[]Scene
	}{{&as, &out.Before}, {r, &out.After}} {
		seen, err := sightsOf(ctx, side.rig, &o)
		if err != nil {
			return nil, err
		}
		for _, s := range r.Scenes {
			scene, err := sceneOf(ctx, side.rig, s, seen, o)
			if err != nil {
				return nil, err
			}
			*side.scenes = append(*side.scenes, scene)
		}
	}
	out.limits(r)
	return out, out.again(ctx, r)
}

func recheckLamp(r *assembly.Rig, n int, found map[int]float64, o Options) RecheckLamp {
	l := RecheckLamp{Setting: SettingOf(r, n, o), Key: n + 1, Name: r.Lamps[n].Name, Set: Angle(r.Lamps[n].Aim.Tilt),
		Tilt: Angle(None()), Off: Angle(None())}
	if tilt, read := found[n]; read {
		l.Tilt, l.Off = Angle(tilt), Angle(tilt)-l.Set
		within := math.Abs(float64(l.Off)) <= o.Tolerance+1e-9
		l.Within = &within
	}
	return l
}

// limits are those of the rig in the scenes that they hold for; one that names none holds for the
// first.
func (c *Recheck) limits(r *assembly.Rig) {
	for _, l := range r.File.Limits {
		for i, s := range r.Scenes {
			if l.Scene == s.Name || l.Scene == "" && i == 0 {
				c.Limits = append(c.Limits, RecheckLimit{l.Name, s.Name, l.Lux, luxAt(c.Found.Lit(s), &l),
					luxAt(r.Lit(s), &l)})
			}
		}
	}
}

// luxAt is the light that a limit is about.
func luxAt(lit *geometry.Scene, l *rigfile.Limit) float64 {
	at := l.Place(&lit.Site.Track)
	return lit.FacingLux(at.Ahead, at.Left, at.Up)
}

// again works out for each lamp that is off what setting it again does, and puts first what mends
// most: passed limits before sight, sight before angles.
func (c *Recheck) again(ctx context.Context, r *assembly.Rig) error {
	n := len(r.Lamps)
	lamps := make([]geometry.Lamp, 2*n) // as set, then as found
	for i := range n {
		lamps[i], lamps[n+i] = r.Lamps[i].Lamp, c.Found.Lamps[i].Lamp
	}
	seen, err := sightsBy(ctx, r, &c.Asked, viewsBy(r, lamps, nil))
	if err != nil {
		return err
	}
	all := r.Site.Scene(lamps...)
	for _, l := range c.Lamps {
		if l.Within == nil || *l.Within {
			continue
		}
		lamp := l.Key - 1
		a := Again{Name: l.Name, Off: l.Off, Sight: []SightGain{}, Keeps: []string{}}
		swapped := func(s assembly.Scene) (found, again []int) {
			for _, k := range s.Lamps {
				found = append(found, n+k)
				if k == lamp {
					again = append(again, k)
				} else {
					again = append(again, n+k)
				}
			}
			return found, again
		}
		lit := func(s assembly.Scene) bool { return slices.Contains(s.Lamps, lamp) }
		if i := slices.IndexFunc(r.Scenes, lit); i >= 0 {
			a.Scene = r.Scenes[i].Name
			found, again := swapped(r.Scenes[i])
			for k, thing := range seen.things {
				if err := ctx.Err(); err != nil {
					return err
				}
				a.Sight = append(a.Sight, SightGain{seen.names[k], Number(thing.Range(found)),
					Number(thing.Range(again))})
			}
		}
		for _, limit := range c.Limits {
			i := slices.IndexFunc(r.Scenes, func(s assembly.Scene) bool { return s.Name == limit.Scene })
			if !limit.Passed() || !lit(r.Scenes[i]) {
				continue
			}
			k := slices.IndexFunc(r.File.Limits, func(l rigfile.Limit) bool { return l.Name == limit.Name })
			_, again := swapped(r.Scenes[i])
			lux := luxAt(all.Only(again...), &r.File.Limits[k])
			a.relief += (limit.Found - max(lux, limit.Allowed)) / limit.Allowed
			if lux <= limit.Allowed {
				a.Keeps = append(a.Keeps, limit.Name)
			}
		}
		c.Again = append(c.Again, a)
	}
	slices.SortStableFunc(c.Again, func(a, b Again) int {
		const felt = 1e-6
		if d := b.relief - a.relief; math.Abs(d) > felt {
			return cmp.Compare(d, 0)
		}
		return cmp.Or(cmp.Compare(b.gain(), a.gain()), cmp.Compare(math.Abs(float64(b.Off)), math.Abs(float64(a.Off))))
	})
	return nil
}

// gain is how much farther the first thing is seen with the lamp set again, m.
func (a *Again) gain() float64 {
	if len(a.Sight) == 0 {
		return 0
	}
	far := func(n Number) float64 {
		if n.Exists() {
			return float64(n)
		}
		return 0
	}
	return far(a.Sight[0].Again) - far(a.Sight[0].Found)
}
