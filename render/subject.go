package render

import (
	"beamfall/geometry"
	"beamfall/render/units"
)

// Subject is what a picture is of: one scene of a rig, with what must be said beside it.
type Subject struct {
	Rig  string // name of the rig, the title
	Name string // name of the scene; empty where the rig has only one

	Scene  *geometry.Scene // as driven, the lamps of the scene alone
	Parked *geometry.Scene // the same lamps parked on level ground, for the wall
	Keys   []int           // key number of each lamp of the scene, as in the table

	Vehicle     Vehicle
	Reflectance float64   // of the ground, 0 to 1
	Thresholds  []float64 // lx that reach is told for, rising
	Units       units.System
	EyeAssumed  bool // the eye is not the rig's own, but a usual one
}

// Vehicle is the outline of a vehicle as parked, m. What is 0 is not known, and not drawn.
type Vehicle struct {
	Length, Width            float64
	Wheelbase, FrontOverhang float64
	Eye                      Eye
}

// Eye is the driver's eye as parked, m.
type Eye struct {
	Ahead, Left, Up float64
}
