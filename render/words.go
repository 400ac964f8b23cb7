package render

import (
	"math"

	"beamfall/geometry"
)

// How lamps and vehicle are set, in words.

// style is that of lamp i of the scene.
func (s Subject) style(i int) Style { return StyleOf(s.key(i)) }

// attitude says how the vehicle stands, or nothing if it is driven as parked.
func (s Subject) attitude() string {
	ahead := s.Scene.Site.Attitude.DrivenAxes(geometry.Aim{}.Axes()).Ahead
	switch noseUp := math.Atan2(ahead.Z, ahead.X); {
	case degrees(noseUp) == degrees(0):
		return ""
	case noseUp > 0:
		return "driven nose up " + degrees(noseUp)
	default:
		return "driven nose down " + degrees(-noseUp)
	}
}

// setting is an aim in degrees: "5° down, 40° left".
func setting(a geometry.Aim) string {
	tenth := func(rad float64) float64 { return multiple(math.Round(rad*1800/math.Pi), 0.1) }
	text := "level"
	switch tilt := tenth(a.Tilt); {
	case tilt > 0:
		text = figure(tilt) + "° down"
	case tilt < 0:
		text = figure(-tilt) + "° up"
	}
	switch turn := tenth(math.Remainder(a.Turn, 2*math.Pi)); {
	case math.Abs(turn) == 180:
		text += ", rear"
	case turn > 0:
		text += ", " + figure(turn) + "° left"
	case turn < 0:
		text += ", " + figure(-turn) + "° right"
	}
	return text
}

// settingKey is the entries of a key with how each lamp is set, and whether its axis meets the ground.
func (s Subject) settingKey() []KeyEntry {
	var key []KeyEntry
	for i := range s.Scene.Lamps {
		m := &s.Scene.Lamps[i]
		note := setting(m.Aim)
		if _, ok := s.Scene.Site.AxisHit(m); !ok {
			note += ", " + noHit
		}
		key = append(key, KeyEntry{s.style(i), m.Name, note})
	}
	return key
}
