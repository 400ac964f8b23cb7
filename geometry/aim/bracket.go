package aim

import (
	"math"

	"beamfall/geometry"
)

// Bracket is what is set as one: a lamp, or the lamps of a pair, whose turns mirror each other.
type Bracket struct {
	Lamps    []int     // indexes of Problem.Lamps
	Mirror   []bool    // for each, whether its turn is the negative of the setting's
	Settings []Setting // that it can be set to; at least one
}

// Setting is one way to set a bracket, rad.
type Setting struct{ Tilt, Turn float64 }

// Steps are the settings of all tilts and turns (rad), through the tilts first.
func Steps(tilts, turns []float64) []Setting {
	out := make([]Setting, 0, len(tilts)*len(turns))
	for _, turn := range turns {
		for _, tilt := range tilts {
			out = append(out, Setting{tilt, turn})
		}
	}
	return out
}

// Now is how the bracket is set, given the lamps of the problem.
func (b *Bracket) Now(lamps []geometry.Lamp) Setting {
	a := lamps[b.Lamps[0]].Aim
	if b.Mirror[0] {
		a.Turn = -a.Turn
	}
	return Setting{a.Tilt, a.Turn}
}

// Aims are the aims of the bracket's lamps for a setting, in the order of Lamps. Lamps are those of
// the problem.
func (b *Bracket) Aims(s Setting, lamps []geometry.Lamp) []geometry.Aim {
	out := make([]geometry.Aim, len(b.Lamps))
	for i, n := range b.Lamps {
		out[i] = geometry.Aim{Tilt: s.Tilt, Turn: s.Turn, Roll: lamps[n].Aim.Roll}
		if b.Mirror[i] {
			out[i].Turn = -s.Turn
		}
	}
	return out
}

// onStep is how far (rad) a setting may be from a step and still be that step.
const onStep = 1e-9

// moved is by how much (rad) the bracket is turned from one setting to the other, tilt and turn
// added.
func (s Setting) moved(o Setting) float64 { return math.Abs(s.Tilt-o.Tilt) + math.Abs(s.Turn-o.Turn) }
