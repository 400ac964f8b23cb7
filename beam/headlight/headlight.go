// Package headlight is the headlights of the vehicle itself: a baseline to hold auxiliary lamps
// against.
//
//	low := headlight.Low(headlight.UNR149, headlight.KeepRight) // one lamp of the pair
//	tilt := headlight.Tilt(0.013)                               // how it is mounted for a dip of 1.3 %
//
// Each beam just meets the minima of its rule, with 4 % to spare at those that decide, and breaks
// no maximum. It is no lamp that anybody makes: most lamps give more, [Beam.Times] as much. Where
// the rule asks for nothing, the beam has what a smooth one has there.
//
// The rules give intensities at angles H (+ right) and V (+ up) of a lamp whose H = V = 0 is the
// lamp's own axis ahead. The low beam's cut-off lies 0.57° below that axis, which is a dip of 1 %:
// then the axis is level.
package headlight

import (
	"fmt"
	"math"
)

// Rule is what a beam just meets.
type Rule int

const (
	// UNR149 is UN Regulation No. 149, 01 series: low beam of class C, high beam of class B.
	UNR149 Rule = iota
	// FMVSS108 is the United States' 49 CFR 571.108, tables XIX (low beam) and XVIII (high beam).
	FMVSS108
)

// String is the rule as it is called.
func (r Rule) String() string {
	switch r {
	case UNR149:
		return "UN R149"
	case FMVSS108:
		return "FMVSS 108"
	}
	return fmt.Sprintf("Rule(%d)", int(r))
}

// Traffic is the side of the road that traffic keeps to. A low beam lights that side farther, and
// spares the eyes on the other.
type Traffic int

const (
	KeepRight Traffic = iota
	KeepLeft
)

// Low is the low beam of one headlight. It panics if there is no such rule or traffic.
func Low(rule Rule, traffic Traffic) *Beam {
	switch traffic {
	case KeepRight:
		return newBeam(lows[rule], 1)
	case KeepLeft:
		return newBeam(lows[rule], -1)
	}
	panic(fmt.Sprintf("headlight: no traffic %d", int(traffic)))
}

// High is the high beam of one headlight, without the low beam. It panics if there is no such rule.
func High(rule Rule) *Beam { return newBeam(highs[rule], 1) }

// LevelDip is the dip (a ratio) at which the axis of the rules' angles is level.
const LevelDip = 0.01

// Tilt is how far a low beam's axis points below level (rad, + down) for its cut-off to fall by
// dip: a ratio, 0.01 for 1 % or 10 cm in 10 m, as UN Regulation No. 48 counts it.
func Tilt(dip float64) float64 { return math.Atan(dip) - math.Atan(LevelDip) }
