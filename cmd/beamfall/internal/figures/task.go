package figures

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
	"beamfall/geometry/aim"

	"gonum.org/v1/gonum/spatial/r3"
)

// What the lamps of a scene are to do, and how their brackets can be set.

// What a speed asks for, and how a bracket can be set when the rig does not say: common practice, no source.
const (
	SpeedFarLux, SpeedFarFrom, SpeedHalfWidth = 3, 15, 2  // lx facing, m, m
	SpeedNearLux, SpeedNearFrom               = 10, 3     // lx on the ground, m
	FreeTo, FreeStep                          = 15.0, 0.5 // degrees
)

// Task is a problem of aiming with its brackets by their entries in the rig file.
type Task struct {
	aim.Problem
	Names   []string // of the brackets
	Entries []int    // of the rig file, one for each bracket
	Speed   float64  // m/s, that the targets are for; 0: they are those of the rig
	Freed   bool     // the rig gives no lamp its freedom: all that look ahead were given some
}

// TaskOf is the task of a scene: for the targets of the rig, or for a speed (m/s) if one is given.
func TaskOf(r *assembly.Rig, s assembly.Scene, speed float64) (*Task, error) {
	t := &Task{Problem: aim.Problem{Site: r.Site, Targets: targets(r.File)}, Speed: speed}
	if speed > 0 {
		t.Targets = speedTargets(r.Braking.Distance(speed))
	}
	if len(t.Targets) == 0 {
		return nil, errors.New("the rig has no [[target]] to aim at; add one, or write e.g. --speed 50km/h")
	}
	for _, n := range s.Lamps {
		t.Lamps = append(t.Lamps, r.Lamps[n].Lamp)
	}
	for _, l := range r.File.Limits {
		t.Limits = append(t.Limits, aim.Limit{Name: l.Name, At: r3.Vec{X: l.At.Ahead, Y: l.At.Left, Z: l.At.Up}, Lux: l.Lux})
	}
	t.brackets(r, s)
	if len(t.Brackets) == 0 {
		return nil, errors.New(`no lamp of this scene can be aimed; give lamps a tilt_range, e.g. tilt_range = ["0 deg", "12 deg"]`)
	}
	// At 4 bytes each, half a gigabyte.
	const mostWork = 130_000_000
	if work := t.Work(); work > mostWork {
		return nil, fmt.Errorf("aiming would take %d million values, more than %d million; use larger steps, narrower ranges or smaller targets",
			work/1e6, mostWork/1_000_000)
	}
	return t, nil
}

func targets(file *rigfile.Rig) (out []aim.Target) {
	for _, t := range file.Targets {
		out = append(out, aim.Target{
			Name: t.Name, From: t.Ahead.Low, To: t.Ahead.High, HalfWidth: t.HalfWidth,
			Facing: t.Surface == rigfile.Facing, Up: t.Up.Value, Lux: t.Lux, Weight: t.Weight.Value,
		})
	}
	return out
}

// speedTargets is the light wanted to drive at a speed from which the vehicle stops within a distance (m).
func speedTargets(stop float64) []aim.Target {
	near := aim.Target{Name: "near track", From: SpeedNearFrom, To: SpeedFarFrom, HalfWidth: SpeedHalfWidth, Lux: SpeedNearLux, Weight: 1}
	if stop <= SpeedFarFrom {
		return []aim.Target{near}
	}
	return []aim.Target{near, {
		Name: "stopping distance", From: SpeedFarFrom, To: stop, HalfWidth: SpeedHalfWidth,
		Facing: true, Up: geometry.ObjectHeight, Lux: SpeedFarLux, Weight: 2,
	}}
}

// brackets are one for each lamp or pair of the scene that may be set. When the rig gives none its freedom, all lamps that
// look ahead have some.
func (t *Task) brackets(r *assembly.Rig, s assembly.Scene) {
	t.Freed = !slices.ContainsFunc(s.Lamps, func(n int) bool { return Free(r.EntryOf(n)) })
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
			b.Tilts = steps(l.TiltRange.Value, l.TiltStep.Value)
		case l.TurnRange.Given:
			b.Tilts = []float64{l.Tilt.Value}
		case t.Freed && math.Cos(l.Turn.Value) > 0.5:
			b.Tilts = steps(rigfile.Interval{High: FreeTo * math.Pi / 180}, FreeStep*math.Pi/180)
		default:
			continue
		}
		if l.TurnRange.Given {
			b.Turns = steps(l.TurnRange.Value, l.TurnStep.Value)
		}
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
