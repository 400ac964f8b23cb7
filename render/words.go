package render

import (
	"math"
	"strings"

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

// slopes says how the ground lies, in the words of the rig file, or nothing if it is level.
func (s Subject) slopes() string {
	g := &s.Scene.Site.Ground
	var parts []string
	add := func(name string, slope float64) {
		if percent := multiple(math.Round(1000*slope), 0.1); percent != 0 {
			parts = append(parts, name+figure(percent)+" %")
		}
	}
	if len(g.Profile) > 0 {
		parts = append(parts, "ground profile")
	} else {
		add("grade ", g.Grade)
	}
	add("cross fall ", g.CrossFall)
	return strings.Join(parts, ", ")
}

// air says how far one sees in it, or nothing if it is clear.
func (s Subject) air() string {
	if s.Scene.Site.Visibility == 0 {
		return ""
	}
	return "visibility " + s.distance(s.Scene.Site.Visibility)
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
