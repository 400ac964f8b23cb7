package report

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry"
	"beamfall/geometry/aim"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// Aim is the outcome of aiming a rig.
type Aim struct {
	Rig     string      `json:"rig"`
	Scene   string      `json:"scene"`
	Before  *float64    `json:"fulfilment_before"`
	After   *float64    `json:"fulfilment_after"`
	Bound   *float64    `json:"fulfilment_bound"`
	Lamps   []AimLamp   `json:"lamps"`
	Targets []AimTarget `json:"targets"`
	Limits  []AimLimit  `json:"limits"`
	If      []AimOff    `json:"if_off"`
	Reasons []string    `json:"limited_by"`
	Notes   []string    `json:"notes"`

	Pictures []string `json:"pictures"`

	Wanted  []aim.Target      `json:"-"`
	Allowed []aim.Limit       `json:"-"`
	Aims    map[int]Angles    `json:"-"` // by lamp of the rig
	Entries map[int]Angles    `json:"-"` // by entry of the file, only those that changed
	Lit     []*geometry.Scene `json:"-"` // before and after
}

// Angles are a lamp's tilt and turn, rad.
type Angles struct{ Tilt, Turn float64 }

// AimLamp is one lamp before and after.
type AimLamp struct {
	Key        int     `json:"key"`
	Name       string  `json:"name"`
	Free       bool    `json:"free"`
	TiltBefore float64 `json:"tilt_before_deg"`
	TiltAfter  float64 `json:"tilt_after_deg"`
	TurnBefore float64 `json:"turn_before_deg"`
	TurnAfter  float64 `json:"turn_after_deg"`
	Reading    float64 `json:"reading_deg"`
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
	Tilt float64 `json:"tilt_deg"`
	Down float64 `json:"fulfilment_if_lower"`
	Up   float64 `json:"fulfilment_if_higher"`

	PassDown string `json:"limit_passed_if_lower,omitempty"`
	PassUp   string `json:"limit_passed_if_higher,omitempty"`
}

// What --speed wants, and how a bracket can be set when the rig does not say: common practice, no source.
const (
	speedFarLux, speedFarFrom, speedHalfWidth = 3, 15, 2  // lx facing, m, m
	speedNearLux, speedNearFrom               = 10, 3     // lx on the ground, m
	freeTo, freeStep                          = 15.0, 0.5 // degrees
)

// speedTargets is the light wanted to drive at a speed (m/s).
func speedTargets(r *assembly.Rig, speed float64) ([]aim.Target, string) {
	stop := r.Braking.Distance(speed)
	u := r.System()
	t := []aim.Target{{Name: "near track", From: speedNearFrom, To: speedFarFrom, HalfWidth: speedHalfWidth, Lux: speedNearLux, Weight: 1}}
	note := fmt.Sprintf("for %s: %d lx on the ground from %s to %s", u.Speed(speed), speedNearLux, u.Short(speedNearFrom), u.Short(speedFarFrom))
	if stop > speedFarFrom {
		t = append(t, aim.Target{
			Name: "stopping distance", From: speedFarFrom, To: stop, HalfWidth: speedHalfWidth,
			Facing: true, Up: geometry.ObjectHeight, Lux: speedFarLux, Weight: 2,
		})
		note += fmt.Sprintf(", and with twice the weight %d lx on obstacles (%s up) from there to the stopping distance, %s",
			speedFarLux, u.Length(geometry.ObjectHeight), u.Short(stop))
	}
	return t, note + fmt.Sprintf("; %s to either side (defaults of this program, no source)", u.Short(speedHalfWidth))
}

// task is what the lamps of a scene are to do, with the brackets by their entries in the file.
type task struct {
	aim.Problem
	names   []string
	entries []int
	notes   []string
}

// taskOf is the task of a scene: for the targets of the rig, or for a speed (m/s) if one is given.
func taskOf(r *assembly.Rig, s assembly.Scene, speed float64) (*task, error) {
	t := &task{Problem: aim.Problem{Site: r.Site}}
	for _, n := range s.Lamps {
		t.Lamps = append(t.Lamps, r.Lamps[n].Lamp)
	}
	if speed > 0 {
		var note string
		t.Targets, note = speedTargets(r, speed)
		t.notes = append(t.notes, note)
	} else {
		for _, w := range r.File.Targets {
			t.Targets = append(t.Targets, aim.Target{
				Name: w.Name, From: w.Ahead.Low, To: w.Ahead.High, HalfWidth: w.HalfWidth,
				Facing: w.Surface == rigfile.Facing, Up: w.Up.Value, Lux: w.Lux, Weight: w.Weight.Value,
			})
		}
	}
	if len(t.Targets) == 0 {
		return nil, errors.New("the rig has no [[target]] to aim at; add one, or write e.g. --speed 50km/h")
	}
	for _, l := range r.File.Limits {
		t.Limits = append(t.Limits, aim.Limit{Name: l.Name, At: r3.Vec{X: l.At.Ahead, Y: l.At.Left, Z: l.At.Up}, Lux: l.Lux})
	}
	if raw := r.Raw(); len(raw) > 0 {
		t.notes = append(t.notes, assembly.OutputNote(raw))
	}
	if stopping := r.StoppingNote(); speed > 0 && stopping != "" {
		t.notes = append(t.notes, stopping)
	}
	t.brackets(r, s)
	if len(t.Brackets) == 0 {
		return nil, errors.New(`no lamp of this scene can be aimed; give lamps a tilt_range, e.g. tilt_range = ["0 deg", "12 deg"]`)
	}
	return t, nil
}

// brackets are one for each lamp or pair of the scene that may be set. When the rig gives none its freedom, all lamps that
// look ahead have some.
func (t *task) brackets(r *assembly.Rig, s assembly.Scene) {
	given := slices.ContainsFunc(s.Lamps, func(n int) bool { return free(&r.File.Lamps[r.Lamps[n].Entry]) })
	for e := range r.File.Lamps {
		l := &r.File.Lamps[e]
		b := aim.Bracket{}
		for i, n := range s.Lamps {
			if r.Lamps[n].Entry == e {
				b.Lamps, b.Mirror = append(b.Lamps, i), append(b.Mirror, r.Lamps[n].Twin)
			}
		}
		switch {
		case len(b.Lamps) == 0:
			continue
		case l.TiltRange.Given:
			b.Tilts = settings(l.TiltRange.Value, l.TiltStep.Value)
		case l.TurnRange.Given:
			b.Tilts = []float64{l.Tilt.Value}
		case !given && math.Cos(l.Turn.Value) > 0.5:
			b.Tilts = settings(rigfile.Interval{High: rad(freeTo)}, rad(freeStep))
		default:
			continue
		}
		if l.TurnRange.Given {
			b.Turns = settings(l.TurnRange.Value, l.TurnStep.Value)
		}
		t.Brackets, t.names, t.entries = append(t.Brackets, b), append(t.names, l.Name), append(t.entries, e)
	}
	if !given {
		t.notes = append(t.notes, fmt.Sprintf("no lamp has a tilt_range: every lamp that looks ahead was given 0° to %g° in steps of %g°", freeTo, freeStep))
	}
}

// free tells whether the file says how a lamp may be set.
func free(l *rigfile.Lamp) bool { return l.TiltRange.Given || l.TurnRange.Given }

// settings are the steps of a range from its low end.
func settings(in rigfile.Interval, step float64) []float64 {
	var out []float64
	for i := 0; ; i++ {
		v := in.Low + float64(i)*step
		if v > in.High+1e-9 {
			return out
		}
		out = append(out, v)
	}
}

// mostWork is the most choices times points that are tabulated: at 4 bytes each, half a gigabyte.
const mostWork = 130_000_000

// AimOf aims a scene of a rig for its targets, or for a speed (m/s) if one is given.
func AimOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, speed float64, o Options, progress func(float64)) (*Aim, error) {
	p, err := taskOf(r, s, speed)
	if err != nil {
		return nil, err
	}
	if work := p.Work(); work > mostWork {
		return nil, fmt.Errorf("aiming would take %d million values, more than %d million; use larger steps, narrower ranges or smaller targets",
			work/1e6, mostWork/1_000_000)
	}
	res, err := p.Solve(ctx, o.Tolerance, progress)
	if err != nil {
		return nil, err
	}
	out := frame(r, s)
	out.Before, out.After, out.Bound = &res.Before, &res.After, &res.Bound
	out.Wanted, out.Allowed, out.Notes = p.Targets, p.Limits, append(out.Notes, p.notes...)
	moves := map[int]bool{}
	for i, b := range p.Brackets {
		for j, n := range b.Lamps {
			moves[n] = true
			if to := res.Aims[n]; to != p.Lamps[n].Aim {
				out.Entries[p.entries[i]] = entryAngles(to, b.Mirror[j])
			}
		}
		off := AimOff{Name: p.names[i], Tilt: assembly.Degrees(o.Tolerance), Down: res.Brackets[i].Down, Up: res.Brackets[i].Up}
		if n := res.Brackets[i].PassDown; n >= 0 {
			off.PassDown = p.Limits[n].Name
		}
		if n := res.Brackets[i].PassUp; n >= 0 {
			off.PassUp = p.Limits[n].Name
		}
		out.If = append(out.If, off)
	}
	for i, n := range s.Lamps {
		out.set(r, n, res.Aims[i], moves[i], o)
	}
	for i, t := range res.Targets {
		out.Targets = append(out.Targets, AimTarget{p.Targets[i].Name, t.Before, t.After, math.Max(t.Alone, t.After)})
	}
	for i, l := range res.Limits {
		out.Limits = append(out.Limits, AimLimit{p.Limits[i].Name, p.Limits[i].Lux, l.Before, l.After})
	}
	out.reasons(res)
	if !out.met() {
		out.ends(p.Brackets, res)
	}
	out.Lit = []*geometry.Scene{r.Lit(s), out.after(r, s)}
	return out, nil
}

// entryAngles are the angles of a lamp as the file has them: a pair is told by the lamp that is no twin.
func entryAngles(a geometry.Aim, twin bool) Angles {
	if twin {
		return Angles{a.Tilt, 0 - a.Turn}
	}
	return Angles{a.Tilt, a.Turn}
}

func frame(r *assembly.Rig, s assembly.Scene) *Aim {
	return &Aim{
		Rig: r.File.Name, Scene: s.Name, Lamps: []AimLamp{}, Targets: []AimTarget{}, Limits: []AimLimit{},
		If: []AimOff{}, Reasons: []string{}, Notes: []string{}, Pictures: []string{}, Aims: map[int]Angles{}, Entries: map[int]Angles{},
	}
}

func (a *Aim) set(r *assembly.Rig, lamp int, to geometry.Aim, free bool, o Options) {
	l := &r.Lamps[lamp]
	a.Lamps = append(a.Lamps, AimLamp{
		Key: lamp + 1, Name: l.Name, Free: free,
		TiltBefore: assembly.Degrees(l.Aim.Tilt), TiltAfter: assembly.Degrees(to.Tilt),
		TurnBefore: assembly.Degrees(l.Aim.Turn), TurnAfter: assembly.Degrees(to.Turn),
		Reading: assembly.Degrees(to.Tilt + o.GroundReading),
	})
	a.Aims[lamp] = Angles{to.Tilt, to.Turn}
}

// after is the scene lit as aimed.
func (a *Aim) after(r *assembly.Rig, s assembly.Scene) *geometry.Scene {
	var lamps []geometry.Lamp
	for _, n := range s.Lamps {
		l := r.Lamps[n].Lamp
		l.Aim.Tilt, l.Aim.Turn = a.Aims[n].Tilt, a.Aims[n].Turn
		lamps = append(lamps, l)
	}
	return r.Site.Scene(lamps...)
}

// full is the fulfilment that counts as met.
const full = 0.995

func (a *Aim) met() bool {
	return !slices.ContainsFunc(a.Targets, func(t AimTarget) bool { return t.After < full })
}

// reasons says what keeps the targets from being met.
func (a *Aim) reasons(res *aim.Result) {
	say := func(format string, args ...any) { a.Reasons = append(a.Reasons, fmt.Sprintf(format, args...)) }
	const gain = 0.01
	within := ""
	for i, l := range res.Limits {
		if l.Without > *a.After+gain {
			say("the limit %s holds the rig back: without it the fulfilment would be %s instead of %s", a.Limits[i].Name, units.Percent(l.Without), units.Percent(*a.After))
			within = "with that limit "
		}
	}
	for _, t := range a.Targets {
		switch {
		case t.After >= full:
		case t.Alone < t.After+gain:
			say("%s stays at %s: %sthe lamps are at their best for it; more light or a beam of another width is needed", t.Name, units.Percent(t.After), within)
		default:
			say("%s stays at %s: it could have %s if nothing else counted, at the cost of the other targets; give it more weight to shift that", t.Name, units.Percent(t.After), units.Percent(t.Alone))
		}
	}
	if len(a.Reasons) == 0 {
		say("every target is met")
	}
	if !res.Proved && res.Bound > res.After+0.005 {
		say("the search was cut short: no setting has more than %s", units.Percent(res.Bound))
	}
}

// ends says which brackets are kept from better by their range.
func (a *Aim) ends(brackets []aim.Bracket, res *aim.Result) {
	const gain = 5e-4
	for i, b := range brackets {
		tilt, low, high := res.Aims[b.Lamps[0]].Tilt, b.Tilts[0], b.Tilts[len(b.Tilts)-1]
		off, way := res.Brackets[i], ""
		switch {
		case tilt == high && off.PassDown < 0 && off.Down > res.After+gain:
			way = "lower"
		case tilt == low && off.PassUp < 0 && off.Up > res.After+gain:
			way = "higher"
		default:
			continue
		}
		a.Reasons = append(a.Reasons, fmt.Sprintf("%s is at the end of its range, %s; a tilt_range that lets it aim %s gives more",
			a.If[i].Name, units.Degrees(tilt), way))
	}
}

// Setting is the table of brackets before and after, with what a setting error does.
func (a *Aim) Setting(u units.System) *table.Table {
	t := &table.Table{
		Title: fmt.Sprintf("%s, scene %s: tilts", a.Rig, a.Scene),
		Columns: []table.Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "tilt now", Right: true}, {Name: "set to", Right: true},
			{Name: "meter", Right: true}, {Name: "turn", Right: true}, {Name: "if lower", Right: true}, {Name: "if higher", Right: true},
		},
	}
	for _, l := range a.Lamps {
		row := []string{fmt.Sprint(l.Key), l.Name, units.Degrees(rad(l.TiltBefore)), "stays", units.Degrees(rad(l.Reading)), "", "", ""}
		if l.Free {
			row[3] = units.Degrees(rad(l.TiltAfter))
			row[5] = units.Degrees(rad(l.TurnAfter))
			if off := a.off(l.Name); off != nil {
				row[6], row[7] = change(off.Down-*a.After, off.PassDown), change(off.Up-*a.After, off.PassUp)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// off is what setting the bracket of a lamp wrong does; nil for a lamp that has none to be set.
func (a *Aim) off(lamp string) *AimOff {
	for i, off := range a.If {
		if lamp == off.Name || lamp == off.Name+" (left)" || lamp == off.Name+" (right)" {
			return &a.If[i]
		}
	}
	return nil
}

// change is how fulfilment changes, in percentage points, and whether a limit is passed.
func change(v float64, passed string) string {
	text := "0"
	if math.Abs(v) >= 5e-4 {
		text = fmt.Sprintf("%+.1f %%", 100*v)
	}
	if passed != "" {
		text += ", limit!"
	}
	return text
}

// Fulfilments is the table of targets.
func (a *Aim) Fulfilments() *table.Table {
	t := &table.Table{Columns: []table.Column{{Name: "target", Least: 10}, {Name: "before", Right: true}, {Name: "after", Right: true}}}
	for _, r := range a.Targets {
		t.Rows = append(t.Rows, []string{r.Name, units.Percent(r.Before), units.Percent(r.After)})
	}
	t.Rows = append(t.Rows, []string{"all, by weight", units.Percent(*a.Before), units.Percent(*a.After)})
	return t
}

// Kept is the table of limits.
func (a *Aim) Kept() *table.Table {
	t := &table.Table{Columns: []table.Column{
		{Name: "limit", Least: 10}, {Name: "allowed", Right: true}, {Name: "before", Right: true}, {Name: "after", Right: true},
	}}
	for _, l := range a.Limits {
		t.Rows = append(t.Rows, []string{l.Name, units.Light(l.Allowed), units.Light(l.Before), units.Light(l.After)})
	}
	return t
}

// Goal is one place that a lamp is to be tilted for.
type Goal struct {
	Hit, Near float64 // m from the lamp; 0: not asked for
	LevelEdge bool
}

// TiltFor tilts the lamps of a scene, one lamp or one pair, for a goal.
func TiltFor(r *assembly.Rig, s assembly.Scene, g Goal, o Options) (*Aim, error) {
	out := frame(r, s)
	u := r.System()
	if len(s.Lamps) == 0 {
		return nil, errors.New("the scene has no such lamp")
	}
	for _, n := range s.Lamps {
		l := &r.Lamps[n]
		if l.Entry != r.Lamps[s.Lamps[0]].Entry {
			return nil, errors.New("--hit, --near and --level-edge are for one lamp; name it with --only")
		}
		to := l.Aim
		var err error
		var what string
		switch {
		case g.Hit > 0:
			to.Tilt, err = aim.Hit(r.Site, l.Lamp, g.Hit)
			what = fmt.Sprintf("puts its axis on the ground %s from the lamp", u.Short(g.Hit))
		case g.Near > 0:
			to.Tilt, err = aim.Near(r.Site, l.Lamp, g.Near)
			what = fmt.Sprintf("puts its lower half-peak edge on the ground %s from the lamp", u.Short(g.Near))
		default:
			to.Tilt, err = aim.LevelEdge(r.Site, l.Lamp)
			what = "makes its upper half-peak edge level"
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", l.Name, err)
		}
		out.set(r, n, to, true, o)
		out.Entries[l.Entry] = entryAngles(to, l.Twin)
		out.Reasons = append(out.Reasons, fmt.Sprintf("%s: a tilt of %s (meter %s) %s", l.Name,
			units.DegreesTo(to.Tilt, 2), units.DegreesTo(to.Tilt+o.GroundReading, 2), what))
	}
	out.Lit = []*geometry.Scene{r.Lit(s), out.after(r, s)}
	return out, nil
}
