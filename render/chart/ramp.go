package chart

import (
	"image/color"
	"sort"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// A ramp turns a quantity into colours: bands between logarithmic steps, each band one even step of
// lightness from the last, so that lightness alone tells them apart.

// Ramp is the levels of a quantity and the colours of one theme between them.
type Ramp struct {
	Unit     units.Unit
	Levels   []float64    // above 0, rising
	Bands    []color.RGBA // one more than levels: Bands[i] is from Levels[i-1] up to below Levels[i]
	Lines    []color.RGBA // of the line at each level
	Least    float64      // what counts as none, above 0
	Likeness []Likeness   // rising
	What     string       // the quantity in words, for a legend; may be empty
}

// Of is the ramp with its quantity in words.
func (r Ramp) Of(what string) Ramp {
	r.What = what
	return r
}

// Likeness is what a value is like, for a legend: 0.25 lx is like a full moon.
type Likeness struct {
	Value float64
	What  string
}

// NewRamp is the levels of a quantity in the colours of a scale.
func NewRamp(scale draw.Scale, unit units.Unit, levels ...float64) Ramp {
	r := Ramp{Unit: unit, Levels: levels, Least: levels[0] / 300}
	for i := range len(levels) + 1 {
		r.Bands = append(r.Bands, scale.Shade(float64(i)/float64(len(levels))))
	}
	for i := range levels {
		r.Lines = append(r.Lines, draw.Between(r.Bands[i], r.Bands[i+1]))
	}
	return r
}

// Band is the number of the band that a value is in; 0 is the lowest. NaN has none: -1.
func (r Ramp) Band(v float64) int {
	if v != v {
		return -1
	}
	return sort.Search(len(r.Levels), func(i int) bool { return v < r.Levels[i] })
}
