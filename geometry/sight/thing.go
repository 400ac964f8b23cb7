package sight

import (
	"fmt"
	"math"
)

// Thing is what is looked for: a diffuse rectangle that stands on the ground and faces back along
// the track, or one that lies on the ground.
type Thing struct {
	Name        string
	Width       float64 // across the track, m
	Height      float64 // m; of one that lies, how long it is along the track
	Reflectance float64
	Lies        bool
}

// Things are the built-in ones, the first being the one to take where none is named. Their sizes
// and reflectances are this project's own choice, and are to be shown as such, but for the plate:
// the small target of ANSI/IES RP-8-00 (from memory).
func Things() []Thing {
	return []Thing{
		{Name: "person", Width: 0.5, Height: 1.7, Reflectance: 0.05},          // in dark clothing
		{Name: "animal", Width: 1.2, Height: 1.0, Reflectance: 0.15},          // deer-sized
		{Name: "rock", Width: 0.4, Height: 0.3, Reflectance: 0.15},            // or a fallen branch
		{Name: "plate", Width: 0.18, Height: 0.18, Reflectance: 0.5},          // the small target
		{Name: "rut", Width: 1.5, Height: 0.3, Reflectance: 0.02, Lies: true}, // grazing light misses its floor
	}
}

// Validate reports a thing that there is none of.
func (t Thing) Validate() error {
	for _, side := range []struct {
		name string
		m    float64
	}{{"width", t.Width}, {"height", t.Height}} {
		if !(side.m > 0) || math.IsInf(side.m, 0) {
			return fmt.Errorf("%s: %g m is not above 0 m", side.name, side.m)
		}
	}
	if !(t.Reflectance >= 0 && t.Reflectance <= 1) {
		return fmt.Errorf("reflectance: %g is not from 0 to 1", t.Reflectance)
	}
	return nil
}
