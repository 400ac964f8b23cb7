package render

import (
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// Light levels as pictures show them.

// LightRamp is the ramp of light levels (lx) in the colours of a theme. Less light than that of
// stars counts as none.
//
// Common handbook values: a full moon high in a clear sky gives 0.1 to 0.3 lx; minor streets are
// lit to 2 to 15 lx (the P classes of EN 13201-2); living rooms to about 100; offices to 500 lx (EN
// 12464-1, writing and reading).
func LightRamp(theme draw.Theme) chart.Ramp {
	r := chart.NewRamp(theme.Scale, units.Lux, 0.3, 1, 3, 10, 30, 100, 300, 1000, 3000)
	r.Least = 1e-3
	r.Likeness = []chart.Likeness{{Value: 0.25, What: "full moon"}, {Value: 10, What: "street lighting"},
		{Value: 100, What: "living room"}, {Value: 500, What: "office"}}
	return r
}

// offRoad is the caution of pictures of light. Many places require such lamps to be covered and off
// on public roads (California Vehicle Code §24411 is one).
const offRoad = "Off-road use only: covered and off on public roads. Never look into a lit lamp. Local law comes first."

// moreLamps says for how many lamps a key has no room.
const moreLamps = "and %d more lamps, as in the table"

// signsGap is the gap (units) between the text that explains the signs of lamps and the key below
// it.
const signsGap = 4
