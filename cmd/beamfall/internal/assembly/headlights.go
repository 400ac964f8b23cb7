package assembly

import (
	"fmt"
	"slices"

	"beamfall/beam/headlight"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The vehicle's own headlights are lamps as others are, behind all others so that those keep their
// key numbers. They are not set: no table of settings has them, and aim leaves them alone.

// Headlight is what the pair of headlights is called.
const Headlight = "headlight"

var sides = map[rigfile.Side]headlight.Traffic{
	rigfile.RightSide: headlight.KeepRight,
	rigfile.LeftSide:  headlight.KeepLeft,
}

// mountHeadlights adds the pair of headlights that the file asks for.
func (r *Rig) mountHeadlights() {
	h := r.File.Headlights.Value
	r.headlights = rigfile.Lamp{Name: Headlight, Circuit: rigfile.HeadlightCircuit, At: h.At.Value, Pair: true,
		Pos: h.Pos}
	var light *headlight.Beam
	var aim geometry.Aim
	switch h.Beam {
	case rigfile.High:
		light = headlight.High(h.Rule)
	default:
		light = headlight.Low(h.Rule, sides[h.Traffic.Value])
		aim.Tilt = headlight.Tilt(h.Dip.Value)
	}
	r.pair(geometry.Lamp{
		Name: Headlight, Circuit: rigfile.HeadlightCircuit,
		At:     r3.Vec{X: h.At.Value.Ahead, Y: h.At.Value.Left, Z: h.At.Value.Up},
		Aim:    aim,
		Optics: []geometry.Optic{{Beam: light.Times(h.Strength.Value)}},
	}, len(r.File.Lamps))
	r.bringOut(r.Lamps[len(r.Lamps)-2:])
}

// bringOut puts headlights that are in boxes of the body, as they are in a vehicle, onto the front
// of those, through which they shine.
func (r *Rig) bringOut(lamps []Lamp) {
	for i := range lamps {
		at := &lamps[i].At
		for range r.Site.Body { // out of one box and into the next
			for b := range r.Site.Body {
				if box := &r.Site.Body[b]; box.Inside(*at) {
					at.X = box.Max.X
				}
			}
		}
	}
}

// IsHeadlight tells whether a lamp, by its index, is one of the vehicle's own headlights.
func (r *Rig) IsHeadlight(lamp int) bool { return r.Lamps[lamp].Entry == len(r.File.Lamps) }

// Headlights are the indexes of the vehicle's own headlights, where a scene lights them.
func (r *Rig) Headlights() (lamps []int) {
	for n := range r.Lamps {
		lit := func(s Scene) bool { return slices.Contains(s.Lamps, n) }
		if r.IsHeadlight(n) && slices.ContainsFunc(r.Scenes, lit) {
			lamps = append(lamps, n)
		}
	}
	return lamps
}

// EntryOf is what the file says of a lamp, by its index: its own table, or what [headlights] comes
// to.
func (r *Rig) EntryOf(lamp int) *rigfile.Lamp {
	if r.IsHeadlight(lamp) {
		return &r.headlights
	}
	return &r.File.Lamps[r.Lamps[lamp].Entry]
}

// HeadlightNote says what the headlights of the scenes are; nothing where none are lit.
func (r *Rig) HeadlightNote() string {
	if len(r.Headlights()) == 0 {
		return ""
	}
	h, most := &r.File.Headlights.Value, "most lamps give more"
	if h.Strength.Value > 1 {
		most = "lamps in use give more or less, and elsewhere"
	}
	return fmt.Sprintf("headlights: %s beams of this project's own shape%s; %s.", h.Beam, meeting(h), most)
}

// HeadlightsAre says in a few words what the headlights of the rig are: "low beams that just meet
// UN R149".
func (r *Rig) HeadlightsAre() string {
	h := &r.File.Headlights.Value
	return string(h.Beam) + " beams" + meeting(h)
}

func meeting(h *rigfile.Headlights) string {
	if s := h.Strength.Value; s != 1 {
		return fmt.Sprintf(", %g times the minimum of %s", s, h.Rule)
	}
	return fmt.Sprintf(" that just meet %s", h.Rule)
}
