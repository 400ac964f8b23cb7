package htmlpage

import (
	"beamfall/cmd/beamfall/internal/assembly"

	"gonum.org/v1/gonum/spatial/r3"
)

// What a page holds: a header, which is words and what is few, and tables of numbers, which are
// what every lamp does at every one of its tilts.

// header is what scripts know as rig. Lengths are in metres, angles in degrees, as they are shown.
type header struct {
	Rig     string   `json:"rig"`
	Digest  string   `json:"digest"` // of all else; tells pages apart
	Base    string   `json:"base"`   // name of the rig file; empty if it cannot be a base
	Units   int      `json:"units"`  // 0 metric, 1 imperial
	Caution []string `json:"caution"`
	Notes   []string `json:"notes"`

	Vehicle vehicle    `json:"vehicle"`
	Ground  [][2]point `json:"ground"` // straight pieces of it on the centreline: ahead, up
	Track   [][2]point `json:"track"`  // straight pieces of its centreline from above: ahead, left
	Width   float64    `json:"width"`  // of the track; 0: not known
	Ahead   []float64  `json:"ahead"`  // how far ahead pictures may show

	Controls []control `json:"controls"`
	Circuits []circuit `json:"circuits"`
	Scenes   []scene   `json:"scenes"`
	Airs     []air     `json:"airs"` // the rig's, and clear air if that is another
	Tops     []string  `json:"tops"` // body boxes whose tops the driver sees
	Settings settings  `json:"settings"`

	Grid     grid      `json:"grid"`
	Stations []float64 `json:"stations"` // along the track
	Speed    []float64 `json:"speed"`    // from which the vehicle stops within those, m/s
	Light    steps     `json:"light"`
	Sight    steps     `json:"sight"`
	Observer observer  `json:"observer"`
	Things   []thing   `json:"things"`
	Looks    looks     `json:"looks"`
}

type point = [2]float64

// vehicle is its body boxes, as driven.
type vehicle struct {
	FromAbove [][]point `json:"fromAbove"` // of each box, its corners: ahead, left
	FromAside [][]point `json:"fromAside"` // ahead, up
}

// control is what one tilt sets: a lamp, or a pair.
type control struct {
	Name    string    `json:"name"`
	Circuit int       `json:"circuit"`
	Set     bool      `json:"set"`    // with a meter, and so in the tables; headlights are not
	Option  string    `json:"option"` // of the command line that the lamp is from; empty for a file
	Flag    string    `json:"flag"`   // what that option says of it, but for the tilt
	Lamps   []lamp    `json:"lamps"`
	Tilts   []float64 `json:"tilts"`
	Present int       `json:"present"` // which of them the rig has

	// By air and tilt: the mean light on each top, lx, and in the eye of who comes the other way
	// the light, lx, and the veil that it makes, cd/m², null where the formula does not hold.
	Tops     [][][]float64   `json:"tops"`
	Oncoming [][][2]*float64 `json:"oncoming"`
}

// lamp is one lamp.
type lamp struct {
	Key   int         `json:"key"`
	Name  string      `json:"name"`
	Place r3.Vec      `json:"place"`
	Aims  []aim       `json:"aims"` // by tilt
	Sets  [2][]string `json:"sets"` // what to set it by, by system of units and tilt
}

// aim is where one tilt of a lamp points: directions in the section as (ahead, up), and where the
// axis meets the ground as (ahead, left). Null is what is not.
type aim struct {
	Hit   *point `json:"hit"`
	Axis  point  `json:"axis"`
	Lower *point `json:"lower"` // half-peak edges
	Upper *point `json:"upper"`
}

// circuit is what is on one switch. A lamp that is lit in every scene, whatever its circuit, has a
// switch of its own, which the rig file knows nothing of.
type circuit struct {
	Name   string `json:"name"`
	InFile bool   `json:"inFile"`
}

// scene is what is switched on together: circuits by their numbers.
type scene struct {
	Name     string `json:"name"`
	Circuits []int  `json:"circuits"`
}

// air is what the light goes through.
type air struct {
	Name    string `json:"name"`
	NoRange string `json:"noRange"` // why no range is named, if so

	rig      *assembly.Rig // in this air
	from, to float64       // share of all work that is done before it and with it
}
