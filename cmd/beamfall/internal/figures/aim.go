package figures

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"
	"beamfall/geometry/aim"
	"beamfall/geometry/sight"
)

// Aim is the outcome of aiming the lamps of a scene. Why, Reasons, Warnings, Notes and Pictures are
// for the caller to fill.
type Aim struct {
	Rig      string      `json:"rig"`
	Scene    string      `json:"scene"`
	Before   Number      `json:"fulfilment_before"`
	After    Number      `json:"fulfilment_after"`
	Search   string      `json:"search"` // Proved or BestFound; empty where none was made
	Lamps    []AimLamp   `json:"lamps"`
	Targets  []AimTarget `json:"targets"`
	Limits   []AimLimit  `json:"limits"`
	Sight    []AimSight  `json:"sight"`
	If       []AimOff    `json:"if_off"`
	Why      []string    `json:"why"`
	Reasons  []string    `json:"limited_by"`
	Warnings []string    `json:"warnings"`
	Notes    []string    `json:"notes"`

	Pictures []string `json:"pictures"`

	Asked  Options         `json:"-"`
	Task   *Task           `json:"-"` // nil where lamps were tilted for one place
	Result *aim.Result     `json:"-"` // of the task
	Unmet  *aim.Unmet      `json:"-"` // no setting keeps every limit; the result breaks them least
	Lit    *geometry.Scene `json:"-"` // as aimed
	Moved  []Moved         `json:"-"`
	Moves  []Move          `json:"-"`
}

// How the setting of a result was found.
const (
	Proved    = "proved"     // no setting on the steps does better
	BestFound = "best found" // of more settings than can all be looked at
)

// AimLamp is one lamp before and after.
type AimLamp struct {
	Key        int    `json:"key"`
	Name       string `json:"name"`
	Free       bool   `json:"free"`
	Moved      bool   `json:"moved"`
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

// AimLimit is a limit and the light there. Of a limit that no setting keeps, Least is what the
// setting that breaks the limits least gives, and Lamps what each lamp gives then.
type AimLimit struct {
	Name    string    `json:"name"`
	Allowed float64   `json:"lux_allowed"`
	Before  float64   `json:"lux_before"`
	After   float64   `json:"lux_after"`
	Least   *float64  `json:"least_lux,omitempty"`
	Lamps   []LampLux `json:"lamps,omitempty"`
}

// LampLux is the light of one lamp, lx.
type LampLux struct {
	Name string  `json:"name"`
	Lux  float64 `json:"lux"`
}

// AimSight is how far a thing is seen before and after.
type AimSight struct {
	Thing  string `json:"thing"`
	Before Number `json:"before_m"`
	After  Number `json:"after_m"`

	// the same with the nose up and down by the pitch of the vehicle, none where the rig gives none
	Pitch          float64 `json:"-"` // rad
	NoseUpBefore   Number  `json:"nose_up_before_m"`
	NoseUpAfter    Number  `json:"nose_up_after_m"`
	NoseDownBefore Number  `json:"nose_down_before_m"`
	NoseDownAfter  Number  `json:"nose_down_after_m"`
}

// AimOff is what is left with one bracket set wrong: fulfilment, and how far things are seen.
type AimOff struct {
	Name  string     `json:"name"`
	Tilt  Angle      `json:"tilt_deg"`
	Down  float64    `json:"fulfilment_if_lower"`
	Up    float64    `json:"fulfilment_if_higher"`
	Sight []SightOff `json:"sight"`

	BrokenDown string `json:"limit_broken_if_lower,omitempty"`
	BrokenUp   string `json:"limit_broken_if_higher,omitempty"`
}

// Move is a bracket that is to be moved, and how far things would be seen if it alone stayed as it
// is.
type Move struct {
	Name         string
	From, To     aim.Setting
	Range, Stays []Number // m, of each thing of Aim.Sight
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

// AimOf aims a scene of a rig for a speed (m/s) if one is given, else for its targets, or for the
// usual ones. Where no setting keeps every limit, the error is an *[aim.Unmet], and there is an
// outcome all the same.
func AimOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, speed float64, o Options,
	progress func(float64)) (*Aim, error) {
	t, err := TaskOf(r, s, speed)
	if err != nil {
		return nil, err
	}
	out := newAim(r, s, o)
	var failed error
	out.Task = t
	if out.Result, failed = t.Solve(ctx, o.Tolerance, progress); out.Result == nil {
		return nil, failed
	}
	errors.As(failed, &out.Unmet)
	res := out.Result
	out.Before, out.After, out.Search = Number(res.Before), Number(res.After), BestFound
	if res.Proved {
		out.Search = Proved
	}
	moved := map[int]bool{}
	for i, b := range t.Brackets {
		for j, n := range b.Lamps {
			moved[n] = res.Moved[i]
			if res.Moved[i] {
				out.move(t.Entries[i], res.Aims[n], b.Mirror[j])
			}
		}
		off := AimOff{Name: t.Names[i], Tilt: Angle(o.Tolerance), Down: res.Off[i].Down, Up: res.Off[i].Up,
			Sight: []SightOff{}}
		if n := res.Off[i].BrokenDown; n >= 0 {
			off.BrokenDown = t.Limits[n].Name
		}
		if n := res.Off[i].BrokenUp; n >= 0 {
			off.BrokenUp = t.Limits[n].Name
		}
		out.If = append(out.If, off)
	}
	for _, n := range s.Lamps {
		if !r.IsHeadlight(n) {
			_, free := moved[n]
			out.add(r, n, res.Aims[n], free)
			out.Lamps[len(out.Lamps)-1].Moved = moved[n]
		}
	}
	for i, met := range res.Targets {
		out.Targets = append(out.Targets, AimTarget{t.Targets[i].Name, met.Before, met.After, met.Alone})
	}
	for i, l := range res.Limits {
		out.Limits = append(out.Limits, AimLimit{Name: t.Limits[i].Name, Allowed: t.Limits[i].Lux, Before: l.Before,
			After: l.After})
	}
	if out.Unmet != nil {
		l := &out.Limits[out.Unmet.Limit]
		l.Least = &out.Unmet.Lux
		for n, lux := range out.Unmet.Lamps {
			if lux > 0 {
				l.Lamps = append(l.Lamps, LampLux{r.Lamps[n].Name, lux})
			}
		}
	}
	after := r.Aimed(res.Aims)
	out.Lit = after.Lit(s)
	if err := out.seen(ctx, r, s); err != nil {
		return nil, err
	}
	return out, failed
}

// seen works out how far things are seen before and after, with each bracket left as it is, and
// with each set wrong: those things that are asked for, and otherwise the first one and those of
// the targets.
func (a *Aim) seen(ctx context.Context, r *assembly.Rig, s assembly.Scene) error {
	if EyeInGround(r) {
		return nil
	}
	things := []sight.Thing{r.Things[0]}
	if len(a.Asked.Things) > 0 {
		var err error
		if things, err = Things(r, a.Asked.Things); err != nil {
			return err
		}
	}
	for _, t := range a.Task.Targets {
		if t.See != nil && len(a.Asked.Things) == 0 && !slices.Contains(things, *t.See) {
			things = append(things, *t.See)
		}
	}
	// all lamps as they are, as aimed, too low and too high, one behind the other
	n, now := len(r.Lamps), a.Task.Lamps
	var lamps []geometry.Lamp
	for _, off := range []float64{math.NaN(), 0, a.Asked.Tolerance, -a.Asked.Tolerance} {
		for i, l := range now {
			if !math.IsNaN(off) {
				l.Aim = a.Result.Aims[i]
				l.Aim.Tilt += off
			}
			lamps = append(lamps, l)
		}
	}
	view := Look(r, r.Site.Scene(lamps...))
	pitch := r.File.Vehicle.Pitch.Value
	nosed := func(t sight.Thing, by float64) (before, after Number) {
		if pitch == 0 {
			return Number(None()), Number(None())
		}
		along := Look(r, r.Pitched(by).Scene(lamps[:2*n]...)).Along(t)
		aimed := make([]int, len(s.Lamps))
		for k, i := range s.Lamps {
			aimed[k] = n + i
		}
		return Number(along.Range(s.Lamps)), Number(along.Range(aimed))
	}
	lit := func(bracket *aim.Bracket, variant int) (out []int) { // of the lamps as aimed, but for those of a bracket
		for _, i := range s.Lamps {
			at := n + i
			if bracket != nil && slices.Contains(bracket.Lamps, i) {
				at = variant*n + i
			}
			out = append(out, at)
		}
		return out
	}
	for i := range a.Task.Brackets {
		if a.Result.Moved[i] {
			b := &a.Task.Brackets[i]
			a.Moves = append(a.Moves, Move{Name: a.Task.Names[i], From: b.Now(now), To: b.Now(lamps[n : 2*n])})
		}
	}
	for _, t := range things {
		if err := ctx.Err(); err != nil {
			return err
		}
		along := view.Along(t)
		seen := func(lit []int) Number { return Number(along.Range(lit)) }
		after := seen(lit(nil, 0))
		one := AimSight{Thing: t.Name, Before: seen(s.Lamps), After: after, Pitch: pitch}
		one.NoseUpBefore, one.NoseUpAfter = nosed(t, pitch)
		one.NoseDownBefore, one.NoseDownAfter = nosed(t, -pitch)
		a.Sight = append(a.Sight, one)
		move := 0
		for i := range a.Task.Brackets {
			b := &a.Task.Brackets[i]
			a.If[i].Sight = append(a.If[i].Sight, SightOff{t.Name, seen(lit(b, 2)), seen(lit(b, 3))})
			if a.Result.Moved[i] {
				m := &a.Moves[move]
				m.Range, m.Stays = append(m.Range, after), append(m.Stays, seen(lit(b, 0)))
				move++
			}
		}
	}
	return nil
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
		Rig: r.File.Name, Scene: s.Name, Before: none, After: none, Lamps: []AimLamp{}, Targets: []AimTarget{},
		Limits: []AimLimit{},
		Sight:  []AimSight{}, If: []AimOff{}, Why: []string{}, Reasons: []string{}, Warnings: []string{},
		Notes:    []string{},
		Pictures: []string{}, Asked: o,
	}
}

func (a *Aim) add(r *assembly.Rig, lamp int, to geometry.Aim, free bool) {
	l := &r.Lamps[lamp]
	a.Lamps = append(a.Lamps, AimLamp{
		Key: lamp + 1, Name: l.Name, Free: free, TiltBefore: Angle(l.Aim.Tilt), TiltAfter: Angle(to.Tilt),
		TurnBefore: Angle(l.Aim.Turn), TurnAfter: Angle(to.Turn), Reading: Angle(to.Tilt + a.Asked.GroundReading),
	})
}

// move notes the angles of a lamp as the file has them: those of a pair are of the lamp that is no
// twin.
func (a *Aim) move(entry int, to geometry.Aim, twin bool) {
	m := Moved{entry, to.Tilt, to.Turn}
	if twin {
		m.Turn = 0 - m.Turn
	}
	if n := len(a.Moved); n == 0 || a.Moved[n-1].Entry != entry {
		a.Moved = append(a.Moved, m)
	}
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
