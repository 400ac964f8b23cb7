package render

import (
	"math"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/units"
)

// How lamps, vehicle and ground are set, in words as pictures have them.

func (s Subject) length(m float64) string   { return units.Typeset(s.Units.Length(m)) }
func (s Subject) mark(m float64) string     { return units.Typeset(s.Units.Mark(m)) }
func (s Subject) distance(m float64) string { return units.Typeset(s.Units.Distance(m)) }

// style is that of lamp i of the scene.
func (s Subject) style(i int) chart.Style { return chart.StyleOf(s.key(i)) }

// attitude says how the vehicle stands, or nothing if it is driven as parked.
func (s Subject) attitude() string {
	ahead := s.Scene.Site.Attitude.DrivenAxes(geometry.Aim{}.Axes()).Ahead
	switch noseUp := math.Atan2(ahead.Z, ahead.X); {
	case units.Degrees(noseUp) == units.Degrees(0):
		return ""
	case noseUp > 0:
		return "driven nose up " + units.Degrees(noseUp)
	default:
		return "driven nose down " + units.Degrees(-noseUp)
	}
}

// slopes says how the ground lies, in the words of the rig file, or nothing if it is level.
func (s Subject) slopes() string {
	g := &s.Scene.Site.Ground
	if len(g.Profile) == 0 {
		return units.Typeset(units.Slopes(g.Grade, g.CrossFall))
	}
	if fall := units.Slopes(0, g.CrossFall); fall != "" {
		return "ground profile, " + units.Typeset(fall)
	}
	return "ground profile"
}

// air says what hangs in the air and how far one sees in it, or nothing if it is clear.
func (s Subject) air() string {
	if s.Scene.Site.Visibility == 0 {
		return ""
	}
	words := "visibility " + s.distance(s.Scene.Site.Visibility)
	if p := s.Around.Particles; !p.None() {
		words = p.Name + ", " + words
	}
	return words
}

// bend says which way the track goes, or nothing if it is straight.
func (s Subject) bend() string {
	t := &s.Scene.Site.Track
	if t.Straight() {
		return ""
	}
	return units.Typeset(s.Units.Bend(t.Radius, t.Left))
}

// settingKey is the entries of a key with how each lamp is set, and whether its axis lies in the
// section and meets the ground.
func (s Subject) settingKey() []chart.KeyEntry {
	var key []chart.KeyEntry
	for i, a := range s.axes() {
		m := &s.Scene.Lamps[i]
		note, style := units.Setting(m.Lamp.Aim.Tilt, m.Lamp.Aim.Turn), s.style(i)
		style.Dash = s.style(a.line).Dash
		switch {
		case a.inPlane && a.bentOff && !a.onBody:
			note += ", leaves the bend"
		case a.inPlane && !a.onLand:
			note += ", " + noHit
		}
		key = append(key, chart.KeyEntry{Style: style, Name: m.Lamp.Name, Note: note})
	}
	return key
}

// key is the key number of lamp i of a subject.
func (s Subject) key(i int) int {
	if i < len(s.Keys) {
		return s.Keys[i]
	}
	return i + 1
}

// details is the line below a title: the scene, what is seen of it, how the vehicle stands, on
// what, and in what air.
func (s Subject) details(what string) string {
	text := what
	if s.Name != "" {
		text = "scene " + s.Name + " · " + text
	}
	for _, condition := range []string{s.attitude(), s.slopes(), s.bend(), s.air()} {
		if condition != "" {
			text += " · " + condition
		}
	}
	return text
}
