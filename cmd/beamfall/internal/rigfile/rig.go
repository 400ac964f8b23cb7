// Package rigfile reads the description of a vehicle and its lamps: the rig file (TOML) and the
// --lamp shorthand.
//
// The format is described once, as a table of keys (format.go). Reading, the JSON Schema for
// editors and the printed reference all follow that table. Values are in SI units, angles in
// radians, grades as slopes; axes and signs are those of the rig file: ahead, left and up of the
// ground below the foremost point of the bumper.
package rigfile

import (
	"beamfall/beam/headlight"
	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/units"
)

// Opt is a value that need not be given. When it is not, Value is the default of the format, or
// zero where the format has none.
type Opt[T any] struct {
	Value T
	Given bool
}

// Point is a place on or about the vehicle, m.
type Point struct{ Ahead, Left, Up float64 }

// Interval is a stretch from Low to High, m or rad.
type Interval struct{ Low, High float64 }

// Rig is a vehicle, its lamps and what they are to be judged by.
type Rig struct {
	Source     string   // the file, as it was called; empty for lamps without one
	Name       string   // as given, else the name of the file without its ending
	Base       string   // path of the file that it is based on; empty when there is none
	Origins    []Origin // of its values, when it is based on another
	Units      Opt[units.System]
	Record     Record
	Vehicle    Vehicle
	Body       []Box
	Driver     Driver
	Lamps      []Lamp // none only where the vehicle's own headlights are all there is
	Headlights Opt[Headlights]
	Scenes     []Scene // at least one
	Things     []sight.Thing
	Ground     Ground
	Track      geometry.Track
	Stopping   Stopping
	Air        Air
	Targets    []Target
	Limits     []Limit
	Aim        Aim

	text *source // of the file; nil for lamps without one
	root *node   // of the file alone
}

// Vehicle is what is known of the vehicle besides its boxes.
type Vehicle struct {
	Length, Width            Opt[float64] // m
	Wheelbase, FrontOverhang Opt[float64] // m; without default
	Eye                      Opt[Point]   // the driver's
	NoseUpDriven             Opt[float64] // rad, + = nose up
	Driven                   Opt[Driven]  // instead of NoseUpDriven
	Pitch                    Opt[float64] // rad by which the nose moves up and down on the ground driven
	Pos                      Position
}

// Driven is how far the body comes up over the axles from parked to driven, m.
type Driven struct{ Front, Rear float64 }

// Record is what an installer's sheet says of the job.
type Record struct {
	Registration, Vehicle, Installer, Meter Opt[string]
}

// Driver is whose eyes they are.
type Driver struct {
	Age             Opt[float64] // years
	Glance          Opt[float64] // s
	VisibilityLevel Opt[float64] // times the threshold that counts as seen
}

// Headlights are the vehicle's own.
type Headlights struct {
	At       Opt[Point] // the left one
	Beam     HeadlightBeam
	Rule     headlight.Rule
	Strength Opt[float64] // times the minima of the rule
	Dip      Opt[float64] // slope by which the cut-off of the low beam falls
	Traffic  Opt[Side]    // which side it keeps to
	Pos      Position
}

// HeadlightCircuit is the circuit that the headlights are on.
const HeadlightCircuit = "headlights"

// HeadlightBeam names one of a headlight's beams.
type HeadlightBeam string

const (
	Low  HeadlightBeam = "low"
	High HeadlightBeam = "high"
)

// Side names a side of the road or of the vehicle.
type Side string

const (
	RightSide Side = "right"
	LeftSide  Side = "left"
)

// Box is a part of the body that stops light: rear to front, right to left, bottom to top, m.
type Box struct {
	Name            string
	Ahead, Left, Up Interval
	Pos             Position
}

// Lamp is one lamp, or a pair of twins.
type Lamp struct {
	Name, Circuit    string
	At               Point
	Pair             bool         // a twin at -Left, with -Turn and -Roll
	EveryScene       bool         // lit in every scene, whatever its circuit
	Flag             string       // text of the shorthand; empty for a lamp of a file
	Tilt, Turn, Roll Opt[float64] // rad
	Width            Opt[float64] // m; 0 = a point

	// Exactly one of these is given; with Photometry none or Lumens.
	Lumens   Opt[float64] // lm
	Peak     Opt[float64] // cd
	OneLuxAt Opt[float64] // m

	Output     Opt[float64] // part of the rated flux that leaves the lens
	Optics     []Optic      // at least one, shares adding up to 1; none with Photometry
	Photometry string       // an LM-63 file, relative to the rig file
	NamedAt    Position     // where Photometry is given

	TiltRange, TurnRange Opt[Interval] // rad; what aim may choose from. Not given: the lamp stays as it is
	TiltStep, TurnStep   Opt[float64]  // rad
	Pos                  Position

	node *node // in the file
}

// Optic is one optic of a lamp.
type Optic struct {
	Share   float64 // of the lamp's flux
	Spread  Angles
	Field   Opt[Angles]
	Profile Profile
	Span    Span
	Pos     Position
}

// Angles are full angles across the beam and up-down, rad.
type Angles struct{ Across, UpDown float64 }

// Profile names how intensity falls off from the beam axis.
type Profile string

const (
	Gaussian Profile = "gaussian"
	Cosine   Profile = "cosine"
	Uniform  Profile = "uniform"
)

// Span names the part of the lamp's width that an optic takes.
type Span string

const (
	Whole  Span = "whole"
	Middle Span = "middle"
	Ends   Span = "ends"
)

// Scene is what is switched on together.
type Scene struct {
	Name     string
	Circuits []string // of the lamps in this scene; every circuit of the rig where the file names none
	Given    bool     // false for the one scene, with all lamps, of a rig that has none
	Pos      Position
}

// Ground is the ground ahead.
type Ground struct {
	Grade, CrossFall Opt[float64] // slopes: + rises ahead, + rises to the left
	Profile          []GroundPoint
	Reflectance      Opt[float64]
	Slope            Opt[float64] // of the hill itself, vehicle and all; for stopping
	Pos              Position
}

// GroundPoint is a point of the ground's profile, m.
type GroundPoint struct{ Ahead, Height float64 }

// Stopping is how the vehicle comes to a stop.
type Stopping struct {
	Reaction Opt[float64] // s
	Braking  Opt[float64] // m/s²
	Pos      Position
}

// Air is what light goes through.
type Air struct {
	Visibility Opt[float64]    // meteorological optical range, m; not given = clear
	Particles  sight.Particles // the zero value: none that throw light back
	Sky        Opt[float64]    // luminance of the sky, cd/m²
	Pos        Position
}

// Surface names a plane on which light is wanted.
type Surface string

const (
	OnGround Surface = "ground" // the ground's own surface
	Facing   Surface = "facing" // a vertical plane that faces the vehicle
)

// Target is what is wanted on the rectangle Ahead by ±HalfWidth: at least Lux, or that a thing is
// seen.
type Target struct {
	Name      string
	Ahead     Interval // m
	HalfWidth float64  // m
	Surface   Surface
	Up        Opt[float64] // m above the ground, for Facing
	Lux       float64      // 0 when See is given
	See       string       // the name of a thing; empty when Lux is given
	Weight    Opt[float64]
	Pos       Position
}

// Limit is light that is not to be exceeded at a point.
type Limit struct {
	Name  string
	At    Point        // from the vehicle, where it is not along the track
	Along Opt[float64] // instead of how far ahead: how far along the track, m; left is then of its centreline
	Lux   float64
	Scene string // that it holds for; empty: the one that is aimed
	Pos   Position
}

// Place is where the limit is from the vehicle.
func (l *Limit) Place(track *geometry.Track) Point {
	at := l.At
	if l.Along.Given {
		at.Ahead, at.Left = track.Place(l.Along.Value, l.At.Left)
	}
	return at
}

// Aim is how the command aim goes about it.
type Aim struct {
	WorstPitch bool // judge a setting by the worst of nose up, level and down
}
