package render

import (
	"errors"
	"fmt"

	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// Subject is what a picture is of: one scene of a rig, with what must be said beside it.
type Subject struct {
	Rig  string // name of the rig, the title
	Name string // name of the scene; empty where the rig has only one

	Scene            *geometry.Scene // as driven, the lamps of the scene alone
	Parked           *geometry.Scene // the same lamps parked on level ground, for the wall
	NoseUp, NoseDown *geometry.Scene // the same lamps with the nose farther up and down; nil: it does not move
	Keys             []int           // key number of each lamp of the scene, as in the table

	Vehicle     Vehicle
	Reflectance float64   // of the ground, 0 to 1
	Thresholds  []float64 // lx that reach is told for, rising
	Units       units.System
	EyeAssumed  bool // the eye is not the rig's own, but a usual one

	Driver sight.Observer // the zero value is sight.Usual
	Around sight.Around   // the zero value is a night above ground of the reflectance
	Things []sight.Thing  // what is looked for, the first one above all; none: the first built-in one

	// What the driver has before the eyes by Scene, NoseUp or NoseDown, as far as it has been looked at
	// before; others count for nothing.
	Views []*sight.View
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

// eye is the driver's eye as driven. It must be known, and above the ground.
func (s Subject) eye() (r3.Vec, error) {
	site := s.Scene.Site
	if s.Vehicle.Eye.Up == 0 {
		return r3.Vec{}, errors.New("the place of the eye is not known")
	}
	eye := site.Attitude.Driven(r3.Vec{X: s.Vehicle.Eye.Ahead, Y: s.Vehicle.Eye.Left, Z: s.Vehicle.Eye.Up})
	if eye.Z <= site.Ground.Height(eye.X, eye.Y) {
		return r3.Vec{}, fmt.Errorf("the eye at %.2f m is not above the ground", eye.Z)
	}
	return eye, nil
}

// look is what the driver has before the eyes.
func (s Subject) look(eye r3.Vec) *sight.View {
	driver, around := s.Driver, s.Around
	if driver == (sight.Observer{}) {
		driver = sight.Usual
	}
	if around == (sight.Around{}) {
		around = sight.AtNight(s.Reflectance)
	}
	for _, v := range s.Views {
		if v.Scene == s.Scene && v.Eye() == eye && v.Observer == driver && v.Around == around {
			return v
		}
	}
	return sight.Look(s.Scene, eye, driver, around)
}

// things are those that are looked for.
func (s Subject) things() []sight.Thing {
	if len(s.Things) == 0 {
		return sight.Things()[:1]
	}
	return s.Things
}

// lit are the indexes of all lamps of the scene.
func (s Subject) lit() []int {
	lit := make([]int, len(s.Scene.Lamps))
	for i := range lit {
		lit[i] = i
	}
	return lit
}
