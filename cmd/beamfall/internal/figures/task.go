package figures

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
	"beamfall/geometry/aim"
	"beamfall/geometry/sight"

	"gonum.org/v1/gonum/spatial/r3"
)

// What the lamps of a scene are to do, and how their brackets can be set.

// What is wanted of the lamps where a rig or a speed does not say more: this program's own choice.
// A rut is to be seen near by and a person far off; for a speed, a person as far as the vehicle
// needs to stop.
const (
	RutFrom, RutTo, RutHalfWidth          = 5, 40, 3   // m
	PersonFrom, PersonTo, PersonHalfWidth = 30, 250, 2 // m
	SpeedFrom, SpeedHalfWidth             = 10, 2      // m

	FreeTo, FreeStep = 15.0, 0.5 // degrees: how a bracket can be set when the rig does not say
)

// Task is a problem of aiming with its brackets by their entries in the rig file. Its lamps are all
// those of the rig.
type Task struct {
	aim.Problem
	Names   []string // of the brackets
	Entries []int    // of the rig file, one for each bracket
	Speed   float64  // m/s, that the targets are for; 0: none
	Usual   bool     // neither rig nor speed asks for anything: the usual targets were taken
	Cut     []string // names of targets that are judged to the end of the bend only
	Freed   bool     // the rig gives no lamp its freedom: all that look ahead were given some
}

// TaskOf is the task of a scene: for a speed (m/s) if one is given, else for the targets of the
// rig, or the usual ones.
func TaskOf(r *assembly.Rig, s assembly.Scene, speed float64) (*Task, error) {
	t := &Task{Problem: aim.Problem{
		Sites: []*geometry.Site{r.Site}, Lit: s.Lamps,
		Look: func(lit *geometry.Scene) *sight.View { return Look(r, lit) },
	}, Speed: speed}
	if pitch := r.File.Vehicle.Pitch.Value; r.File.Aim.WorstPitch && pitch > 0 {
		t.Sites = append(t.Sites, r.Pitched(pitch), r.Pitched(-pitch))
	}
	for i := range r.Lamps {
		t.Lamps = append(t.Lamps, r.Lamps[i].Lamp)
	}
	var err error
	if t.Targets, t.Usual, err = targets(r, speed); err != nil {
		return nil, err
	}
	if err := t.cut(&r.Site.Track); err != nil {
		return nil, err
	}
	if t.Limits, err = limits(r); err != nil {
		return nil, err
	}
	t.brackets(r, s)
	if len(t.Brackets) == 0 {
		return nil, errors.New(`no lamp of this scene can be aimed; give lamps a tilt_range, e.g. tilt_range = ["0 deg", "12 deg"]`)
	}
	const mostWork = 130_000_000 // about a gigabyte
	if work := t.Work(); work > mostWork {
		return nil, fmt.Errorf("aiming would take %d million values, more than %d million; use smaller targets",
			work/1_000_000, mostWork/1_000_000)
	}
	return t, nil
}

// targets are those for a speed, those of the rig, or the usual ones.
func targets(r *assembly.Rig, speed float64) (out []aim.Target, usual bool, err error) {
	see := func(name, what string, from, to, halfWidth, weight float64) {
		var seen sight.Thing
		if seen, err = thing(r, what); err == nil {
			out = append(out, aim.Target{Name: name, See: &seen, From: from, To: to, HalfWidth: halfWidth,
				Weight: weight})
		}
	}
	switch {
	case speed > 0:
		stop := r.Braking.Distance(speed)
		if stop > sight.Farthest {
			return nil, false, tooFar(r, speed, stop)
		}
		see("person within the stopping distance", "person", math.Min(SpeedFrom, stop), stop, SpeedHalfWidth, 1)
	case len(r.File.Targets) == 0:
		usual = true
		see("rut near by", "rut", RutFrom, RutTo, RutHalfWidth, 1)
		see("person far off", "person", PersonFrom, PersonTo, PersonHalfWidth, 2)
	}
	if len(out) == 0 {
		for _, t := range r.File.Targets {
			if t.See != "" {
				if see(t.Name, t.See, t.Ahead.Low, t.Ahead.High, t.HalfWidth, t.Weight.Value); err != nil {
					return nil, false, fmt.Errorf("target %s: see: %w", quantity.Quote(t.Name), err)
				}
				continue
			}
			out = append(out, aim.Target{
				Name: t.Name, From: t.Ahead.Low, To: t.Ahead.High, HalfWidth: t.HalfWidth,
				Facing: t.Surface == rigfile.Facing, Up: t.Up.Value, Lux: t.Lux, Weight: t.Weight.Value,
			})
		}
	}
	if EyeInGround(r) && slices.ContainsFunc(out, func(t aim.Target) bool { return t.See != nil }) {
		return nil, false, ErrEyeInGround
	}
	return out, usual, nil
}

// tooFar is the error for a speed (m/s) from which stopping takes a distance (m) that is farther
// than things are looked for.
func tooFar(r *assembly.Rig, speed, stop float64) error {
	u := r.System()
	if math.IsInf(stop, 1) {
		return fmt.Errorf("--speed: on a slope of %+.4g %% the brakes do not stop the vehicle; see slope of the "+
			"ground and braking",
			100*r.Braking.Slope)
	}
	return fmt.Errorf("--speed: from %s it takes %s to stop, and things are looked for up to %s; give a lower speed",
		u.Speed(speed), u.Short(stop), u.Short(sight.Farthest))
}

// cut leaves out what of the targets is past the end of a bend. The error is that of the first, if
// nothing is left.
func (t *Task) cut(track *geometry.Track) error {
	var left []aim.Target
	var wrong error
	for _, target := range t.Targets {
		if target.To > track.End() {
			t.Cut = append(t.Cut, target.Name)
			target.To = track.End()
		}
		err := onTrack(track, target.From)
		if err == nil {
			left = append(left, target)
		} else if wrong == nil {
			wrong = fmt.Errorf("target %s: %w", quantity.Quote(target.Name), err)
		}
	}
	if len(left) > 0 {
		wrong = nil
	}
	t.Targets = left
	return wrong
}

// limits are those of the rig, each for the lamps of its scene.
func limits(r *assembly.Rig) (out []aim.Limit, err error) {
	for _, l := range r.File.Limits {
		at := l.Place(&r.Site.Track)
		limit := aim.Limit{Name: l.Name, At: r3.Vec{X: at.Ahead, Y: at.Left, Z: at.Up}, Lux: l.Lux}
		if l.Scene != "" {
			s, ok := r.SceneNamed(l.Scene)
			if !ok {
				return nil, fmt.Errorf("limit %s: there is no scene %s", quantity.Quote(l.Name),
					quantity.Quote(l.Scene))
			}
			limit.Lit = append([]int{}, s.Lamps...)
		}
		out = append(out, limit)
	}
	return out, nil
}

// brackets are one for each lamp or pair of the scene that may be set. When the rig gives none its
// freedom, all lamps that look ahead have some.
func (t *Task) brackets(r *assembly.Rig, s assembly.Scene) {
	t.Freed = !slices.ContainsFunc(s.Lamps, func(n int) bool { return Free(r.EntryOf(n)) })
	for e := range r.File.Lamps {
		l := &r.File.Lamps[e]
		b := aim.Bracket{}
		for _, n := range s.Lamps {
			if r.Lamps[n].Entry == e {
				b.Lamps, b.Mirror = append(b.Lamps, n), append(b.Mirror, r.Lamps[n].Twin)
			}
		}
		tilts, turns := []float64{l.Tilt.Value}, []float64{l.Turn.Value}
		switch {
		case len(b.Lamps) == 0:
			continue
		case l.TiltRange.Given:
			tilts = steps(l.TiltRange.Value, l.TiltStep.Value)
		case l.TurnRange.Given:
		case t.Freed && math.Cos(l.Turn.Value) > 0.5:
			tilts = steps(rigfile.Interval{High: FreeTo * math.Pi / 180}, FreeStep*math.Pi/180)
		default:
			continue
		}
		if l.TurnRange.Given {
			turns = steps(l.TurnRange.Value, l.TurnStep.Value)
		}
		b.Settings = aim.Steps(tilts, turns)
		t.Brackets, t.Names, t.Entries = append(t.Brackets, b), append(t.Names, l.Name), append(t.Entries, e)
	}
}

// Free reports whether the file says how a lamp may be set.
func Free(l *rigfile.Lamp) bool { return l.TiltRange.Given || l.TurnRange.Given }

// steps are those of a range from its low end.
func steps(in rigfile.Interval, step float64) []float64 {
	var out []float64
	for i := 0; ; i++ {
		v := in.Low + float64(i)*step
		if v > in.High+1e-9 {
			return out
		}
		out = append(out, v)
	}
}
