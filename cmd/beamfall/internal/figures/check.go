package figures

import (
	"fmt"
	"math"
	"slices"

	"beamfall/beam"
	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/rigfile"
)

// Check is what was understood of a rig. What it says in words, Mounted, Vehicle, Goals, Doubts and
// Notes, is for the caller to fill.
type Check struct {
	Rig     string       `json:"rig"`
	Units   string       `json:"units"`
	Origins []string     `json:"origins,omitempty"` // of the values of a rig on a base
	Mounted []string     `json:"mounted"`
	Vehicle []string     `json:"vehicle"`
	Goals   []string     `json:"goals"`
	Lamps   []Card       `json:"lamps"`
	Scenes  []CheckScene `json:"scenes"`
	Doubts  []string     `json:"doubts"`
	Notes   []string     `json:"notes"`
}

// Mistaken is what there is to say of a rig that could not be read.
type Mistaken struct {
	Mistakes rigfile.Mistakes `json:"mistakes"`
}

// CheckScene is a scene by its lamps.
type CheckScene struct {
	Name  string   `json:"name"`
	Lamps []string `json:"lamps"`
}

// Card is one lamp as computed from its distribution, not as typed. Angles are full angles at half
// and at a tenth of the peak, across and up-down; null where the distribution has none.
type Card struct {
	Key         int     `json:"key"`
	Name        string  `json:"name"`
	Circuit     string  `json:"circuit"`
	Flux        float64 `json:"flux_lm"`
	Peak        float64 `json:"peak_cd"`
	OneLux      float64 `json:"one_lux_m"`
	BeamAcross  Angle   `json:"beam_across_deg"`
	BeamUpDown  Angle   `json:"beam_up_down_deg"`
	FieldAcross Angle   `json:"field_across_deg"`
	FieldUpDown Angle   `json:"field_up_down_deg"`
	Source      string  `json:"source"`
}

// CheckOf looks at a rig.
func CheckOf(r *assembly.Rig) *Check {
	c := &Check{
		Rig: r.File.Name, Units: r.System().String(), Lamps: []Card{}, Scenes: []CheckScene{},
		Mounted: []string{}, Vehicle: []string{}, Goals: []string{}, Doubts: []string{}, Notes: []string{},
	}
	for _, i := range append(slices.Clone(r.Shown), r.Headlights()...) {
		c.Lamps = append(c.Lamps, card(r, i))
	}
	for _, s := range r.Scenes {
		c.Scenes = append(c.Scenes, CheckScene{s.Name, lampNames(r, s)})
	}
	return c
}

func card(r *assembly.Rig, i int) Card {
	l := &r.Lamps[i]
	d := l.Beam()
	angle := func(share, left, up float64) Angle { return Angle(beam.FullAngle(d, share, left, up)) }
	return Card{
		Key: i + 1, Name: l.Name, Circuit: l.Circuit, Flux: d.Flux(), Peak: d.Peak(),
		OneLux:     math.Sqrt(d.Peak()), // E = I/d²
		BeamAcross: angle(0.5, 1, 0), BeamUpDown: angle(0.5, 0, 1), FieldAcross: angle(0.1, 1, 0),
		FieldUpDown: angle(0.1, 0, 1),
		Source:      Source(r, i),
	}
}

// Source is what the distribution of a lamp, by its index, is computed from.
func Source(r *assembly.Rig, lamp int) string {
	l := r.EntryOf(lamp)
	switch {
	case r.IsHeadlight(lamp):
		return r.File.Headlights.Value.Rule.String()
	case l.Photometry != "":
		return l.Photometry
	case len(l.Optics) > 1:
		return fmt.Sprintf("%d optics", len(l.Optics))
	}
	return string(l.Optics[0].Profile)
}
