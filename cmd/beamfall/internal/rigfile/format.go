package rigfile

// The format of the rig file. Ranges are in the first unit of their kind: metres, degrees, percent, lumens.

import "beamfall/cmd/beamfall/internal/quantity"

const (
	mostLamps  = 200
	mostBoxes  = 64
	mostPoints = 1000
	mostOptics = 8
	mostOthers = 100     // scenes, targets, limits
	mostBytes  = 1 << 20 // of a rig file
	longestTxt = 200     // bytes of a name
)

var (
	places  = within(-200, 200) // m, from the bumper or the centreline
	heights = within(0.05, 30)  // m, above the ground
)

// pointKeys describe a place; need lists what has no default of 0.
func pointKeys(need ...string) *sheet {
	s := &sheet{
		doc: "A place: ahead of the foremost point of the bumper, to the left of the centreline, above the ground.",
		keys: []key{
			{name: "ahead", holds: aMeasure, kind: quantity.Length, limits: places,
				preset: `"0 m"`, example: `"-1.9 m"`,
				doc:  "ahead of the foremost point of the front bumper; what is behind it is negative",
				also: []string{"x", "forward", "front", "behind", "back"}},
			{name: "left", holds: aMeasure, kind: quantity.Length, limits: places,
				preset: `"0 m"`, example: `"0.4 m"`,
				doc:  "to the left of the centreline; what is to the right is negative",
				also: []string{"y", "right", "side", "aside"}},
			{name: "up", holds: aMeasure, kind: quantity.Length, limits: heights, example: `"2.05 m"`,
				doc: "above level ground", also: []string{"z", "height", "above"}},
		},
	}
	for _, name := range need {
		k := s.find(name)
		k.need, k.preset = true, ""
	}
	return s
}

func nameKey(example, doc string) key {
	return key{name: "name", holds: aText, example: example, doc: doc, also: []string{"title", "label", "id"}}
}

// beamKeys describe one optic; a lamp with a single optic has them among its own.
func beamKeys() []key {
	return []key{
		{name: "spread", shape: oneOrTwo, holds: aMeasure, kind: quantity.Angle, limits: aboveBelow(0.5, 175),
			example: `"10 deg"`,
			doc:     "full angle between the directions of half the peak (beam angle); two values are across and up-down",
			also:    []string{"beam", "beam_angle", "angle", "beamwidth", "half"}},
		{name: "field", shape: oneOrTwo, holds: aMeasure, kind: quantity.Angle, limits: aboveBelow(0.5, 180),
			example: `"20 deg"`,
			doc:     "the same at one tenth of the peak (field angle); wider than spread, with the gaussian profile only",
			also:    []string{"field_angle", "tenth"}},
		{name: "profile", holds: aWord, words: []string{string(Gaussian), string(Cosine), string(Uniform)},
			preset: `"gaussian"`, example: `"gaussian"`,
			doc:  "how the intensity falls off from the beam axis",
			also: []string{"shape", "distribution", "pattern"}},
	}
}

var opticSheet = &sheet{
	doc: "One of several optics in one housing.",
	keys: append([]key{
		{name: "share", holds: aMeasure, kind: quantity.Share, limits: aboveUpTo(0, 1), preset: "1", example: "0.6",
			doc:  "part of the lamp's flux; the shares of a lamp add up to 1",
			also: []string{"part", "fraction", "ratio", "weight"}},
		{name: "span", holds: aWord, words: []string{string(Whole), string(Middle), string(Ends)},
			preset: `"whole"`, example: `"middle"`,
			doc:  "which part of the lamp's width it takes: middle is the central share of it, ends what that leaves",
			also: []string{"place", "section"}},
	}, needed(beamKeys(), "spread")...),
}

func needed(keys []key, names ...string) []key {
	for i := range keys {
		for _, name := range names {
			keys[i].need = keys[i].need || keys[i].name == name
		}
	}
	return keys
}

var lampSheet = &sheet{
	doc: "One lamp, or a pair. A lamp needs a place (`at`), a strength (`lumens`, `peak` or `one_lux_at`) " +
		"and a beam (`spread`, `photometry` or `[[lamp.optic]]`).",
	keys: append(append([]key{
		nameKey(`"roof bar"`, "shown in tables and pictures; without it lamp 1, lamp 2 …"),
		{name: "circuit", holds: aText, example: `"roof"`,
			doc:  "the switch it is on; scenes name circuits. Without it the lamp's name",
			also: []string{"switch", "group"}},
		{name: "at", shape: table, inside: pointKeys("up"), need: true,
			example: `{ ahead = "-1.9 m", left = "0 m", up = "2.05 m" }`,
			doc:     "where the middle of the lens is, on the parked vehicle",
			also:    []string{"position", "pos", "place", "where", "location", "mount"}},
		{name: "pair", holds: aTruth, preset: "false", example: "true",
			doc:  "a twin at -left, with -turn and -roll",
			also: []string{"twin", "mirror", "both"}},
		{name: "tilt", holds: aMeasure, kind: quantity.Angle, limits: within(-90, 90),
			preset: `"0 deg"`, example: `"5 deg"`,
			doc:  "beam axis below horizontal; above it is negative",
			also: []string{"pitch", "down", "elevation", "aim"}},
		{name: "turn", holds: aMeasure, kind: quantity.Angle, limits: within(-360, 360),
			preset: `"0 deg"`, example: `"30 deg"`,
			doc:  "beam axis to the left of straight ahead; 180 is rearward",
			also: []string{"yaw", "pan", "azimuth", "heading"}},
		{name: "roll", holds: aMeasure, kind: quantity.Angle, limits: within(-180, 180),
			preset: `"0 deg"`, example: `"90 deg"`,
			doc:  "about the beam axis; right side down, seen from behind the lamp, is positive",
			also: []string{"rotation", "rotate"}},
		{name: "width", holds: aMeasure, kind: quantity.Length, limits: within(0, 10), zero: true,
			preset: `"0 m"`, example: `"1.0 m"`,
			doc: "luminous width, across the beam; 0 is a point", also: []string{"length", "size"}},
		{name: "lumens", holds: aMeasure, kind: quantity.Flux, limits: aboveUpTo(0, 1e7), example: "16000",
			doc:  "rated flux of the lamp; beside photometry it scales a relative file",
			also: []string{"lumen", "lm", "flux", "brightness", "output_lumens"}},
		{name: "peak", holds: aMeasure, kind: quantity.Intensity, limits: aboveUpTo(0, 1e9), example: `"45000 cd"`,
			doc: "peak intensity, instead of lumens", also: []string{"candela", "cd", "intensity"}},
		{name: "one_lux_at", holds: aMeasure, kind: quantity.Length, limits: aboveUpTo(0, 30000),
			example: `"300 m"`,
			doc:     "distance at which the lamp gives 1 lx, instead of lumens",
			also:    []string{"range", "distance", "lux_at", "1_lux_at", "throw"}},
		{name: "output", holds: aMeasure, kind: quantity.Share, limits: aboveUpTo(0, 1),
			preset: "1", example: "0.7",
			doc:  "part of the rated flux that leaves the lens",
			also: []string{"efficiency", "factor", "loss", "optical_efficiency"}},
	}, beamKeys()...),
		key{name: "photometry", holds: aText, bytes: 1000, example: `"file.ies"`,
			doc:  "an ANSI/IES LM-63 file, relative to the rig file, instead of spread",
			also: []string{"ies", "file", "lm63"}},
		key{name: "optic", shape: tables, inside: opticSheet, most: mostOptics, example: "[[lamp.optic]]",
			doc: "several optics in one housing, instead of spread", also: []string{"optics", "lens", "reflector"}},
		key{name: "tilt_range", shape: level, holds: aMeasure, kind: quantity.Angle, limits: within(-90, 90),
			example: `["0 deg", "12 deg"]`,
			doc:     "the tilts that aim may choose from; without it the tilt stays as it is", also: []string{"tilts"}},
		key{name: "tilt_step", holds: aMeasure, kind: quantity.Angle, limits: within(0.01, 90),
			preset: `"0.5 deg"`, example: `"0.5 deg"`,
			doc: "how finely the tilt can be set"},
		key{name: "turn_range", shape: level, holds: aMeasure, kind: quantity.Angle, limits: within(-360, 360),
			example: `["0 deg", "30 deg"]`,
			doc:     "the turns that aim may choose from; without it the turn stays as it is", also: []string{"turns"}},
		key{name: "turn_step", holds: aMeasure, kind: quantity.Angle, limits: within(0.01, 90),
			preset: `"1 deg"`, example: `"1 deg"`,
			doc: "how finely the turn can be set"},
	),
	rules: []rule{
		{one: []string{"lumens", "peak", "one_lux_at"}, unless: "photometry"},
		{apart: []string{"photometry", "peak"}},
		{apart: []string{"photometry", "one_lux_at"}},
		{one: []string{"spread", "photometry", "optic"}},
		{key: "field", needs: "spread"},
		{key: "profile", needs: "spread"},
	},
}

var boxSheet = &sheet{
	doc: "A box that stops light: hood, cab, load.",
	keys: []key{
		nameKey(`"hood"`, "shown in pictures; without it body 1, body 2 …"),
		{name: "ahead", shape: rising, holds: aMeasure, kind: quantity.Length, limits: places, need: true,
			example: `["-1.5 m", "-0.2 m"]`,
			doc:     "rear and front face"},
		{name: "left", shape: rising, holds: aMeasure, kind: quantity.Length, limits: places, need: true,
			example: `["-0.8 m", "0.8 m"]`,
			doc:     "right and left face"},
		{name: "up", shape: rising, holds: aMeasure, kind: quantity.Length, limits: within(0, 30), need: true,
			example: `["0.5 m", "1.15 m"]`,
			doc:     "bottom and top face"},
	},
}

var vehicleSheet = &sheet{
	doc: "The vehicle. Its boxes stop light; the rest is for the pictures and for the attitude as driven.",
	keys: []key{
		{name: "length", holds: aMeasure, kind: quantity.Length, limits: within(0.5, 30),
			preset: `"4.8 m"`, example: `"5.2 m"`,
			doc: "from bumper to bumper"},
		{name: "width", holds: aMeasure, kind: quantity.Length, limits: within(0.3, 5),
			preset: `"1.9 m"`, example: `"1.9 m"`,
			doc: "of the body, without mirrors"},
		{name: "wheelbase", holds: aMeasure, kind: quantity.Length, limits: within(0.3, 20), example: `"3.1 m"`,
			doc: "from front to rear axle; needed with nose_up_driven"},
		{name: "front_overhang", holds: aMeasure, kind: quantity.Length, limits: within(0, 10), example: `"0.9 m"`,
			doc:  "from the foremost point of the bumper to the front axle; needed with nose_up_driven",
			also: []string{"overhang"}},
		{name: "eye", shape: table, inside: pointKeys("ahead", "up"),
			preset:  `{ ahead = "-2 m", left = "0.4 m", up = "1.5 m" }`,
			example: `{ ahead = "-2.1 m", left = "0.4 m", up = "1.65 m" }`,
			doc:     "the driver's eye",
			also:    []string{"driver", "eyes", "view"}},
		{name: "nose_up_driven", holds: aMeasure, kind: quantity.Angle, limits: within(-20, 20),
			preset: `"0 deg"`, example: `"0.8 deg"`,
			doc:  "change of attitude from parked (lamps set) to driven (load in the back); nose down is negative",
			also: []string{"nose_up", "pitch", "attitude", "rake"}},
		{name: "body", shape: tables, inside: boxSheet, most: mostBoxes, example: "[[vehicle.body]]",
			doc:  "boxes that stop light",
			also: []string{"box", "boxes", "bodies"}},
	},
}

var sceneSheet = &sheet{
	doc: "What is switched on together. A file without scenes has one, with all lamps.",
	keys: []key{
		nameKey(`"trail"`, "to ask for it by; without it scene 1, scene 2 …"),
		{name: "circuits", shape: list, holds: aText, most: mostLamps, example: `["roof", "bumper"]`,
			doc:  "the circuits that are on; without it all, with [] none",
			also: []string{"lamps", "circuit", "on", "lights"}},
	},
}

var groundSheet = &sheet{
	doc: "The ground ahead; level when nothing is given.",
	keys: []key{
		{name: "grade", holds: aMeasure, kind: quantity.Grade, limits: within(-100, 100), zero: true,
			preset: `"0 %"`, example: `"4 %"`,
			doc:  "rises ahead; falls when negative",
			also: []string{"slope", "incline", "gradient"}},
		{name: "cross_fall", holds: aMeasure, kind: quantity.Grade, limits: within(-50, 50), zero: true,
			preset: `"0 %"`, example: `"2 %"`,
			doc:  "rises to the left; falls when negative",
			also: []string{"crossfall", "camber", "bank", "cross_slope"}},
		{name: "profile", shape: points, holds: aMeasure, kind: quantity.Length,
			limits: within(-200, 10000), heights: within(-1000, 1000),
			most:    mostPoints,
			example: `[["0 m", "0 m"], ["30 m", "0 m"], ["60 m", "-3 m"]]`,
			doc:     "distance ahead and height of two or more points, distances rising; instead of grade",
			also:    []string{"terrain", "elevation", "heights"}},
		{name: "reflectance", holds: aMeasure, kind: quantity.Share, limits: aboveUpTo(0, 1),
			preset: "0.2", example: "0.2",
			doc:  "part of the light that the ground gives back, in all directions alike",
			also: []string{"albedo", "rho", "reflectivity"}},
	},
	rules: []rule{{apart: []string{"grade", "profile"}}},
}

// The defaults are the AASHTO Green Book's, as in TxDOT Roadway Design Manual 4.11.1.
var stoppingSheet = &sheet{
	doc: "How the vehicle comes to a stop.",
	keys: []key{
		{name: "reaction", holds: aMeasure, kind: quantity.Time, limits: within(0, 10),
			preset: `"2.5 s"`, example: `"2.5 s"`,
			doc:  "from seeing to braking",
			also: []string{"reaction_time", "time"}},
		{name: "braking", holds: aMeasure, kind: quantity.Acceleration, limits: within(0.5, 12),
			preset: `"3.4 m/s2"`, example: `"3.4 m/s2"`,
			doc:  "deceleration",
			also: []string{"deceleration", "brake"}},
	},
}

var airSheet = &sheet{
	doc: "What the light goes through.",
	keys: []key{
		{name: "visibility", holds: aMeasure, kind: quantity.Length, limits: within(10, 1e6), example: `"2 km"`,
			doc:  "meteorological optical range; without it the air is clear",
			also: []string{"range", "fog", "sight"}},
	},
}

var targetSheet = &sheet{
	doc: "What the light should do; what `aim` works towards.",
	keys: []key{
		nameKey(`"near track"`, "shown in results; without it target 1, target 2 …"),
		{name: "ahead", shape: rising, holds: aMeasure, kind: quantity.Length, limits: places, need: true,
			example: `["3 m", "15 m"]`,
			doc:     "from and to",
			also:    []string{"distance", "range"}},
		{name: "half_width", holds: aMeasure, kind: quantity.Length, limits: within(0, 50), need: true,
			example: `"3 m"`,
			doc:     "to either side of the centreline",
			also:    []string{"width", "halfwidth"}},
		{name: "surface", holds: aWord, words: []string{string(OnGround), string(Facing)},
			preset: `"ground"`, example: `"facing"`,
			doc:  "the ground itself, or upright things that face the vehicle",
			also: []string{"plane", "on"}},
		{name: "up", holds: aMeasure, kind: quantity.Length, limits: heights, preset: `"0.6 m"`, example: `"0.6 m"`,
			doc:  "height above the ground, with the surface facing",
			also: []string{"height", "z"}},
		{name: "lux", holds: aMeasure, kind: quantity.Illuminance, limits: aboveUpTo(0, 1e6), need: true,
			example: "10",
			doc:     "wanted illuminance",
			also:    []string{"lx", "illuminance"}},
		{name: "weight", holds: aMeasure, kind: quantity.Number, limits: aboveUpTo(0, 1000),
			preset: "1", example: "2",
			doc:  "how much it counts beside the other targets",
			also: []string{"importance", "priority"}},
	},
}

var limitSheet = &sheet{
	doc: "What the light must not do; `aim` keeps to it.",
	keys: []key{
		nameKey(`"oncoming eye"`, "shown in results; without it limit 1, limit 2 …"),
		{name: "at", shape: table, inside: pointKeys("ahead", "up"), need: true,
			example: `{ ahead = "50 m", left = "3.5 m", up = "1.1 m" }`,
			doc:     "where, on a plane that faces the vehicle", also: []string{"position", "place", "where"}},
		{name: "lux", holds: aMeasure, kind: quantity.Illuminance, limits: aboveUpTo(0, 1e6), need: true,
			example: "5",
			doc:     "allowed illuminance",
			also:    []string{"lx", "illuminance", "max"}},
	},
}

var rigSheet = &sheet{
	doc: "A rig file describes one vehicle and its lamps.",
	keys: []key{
		nameKey(`"forest rig"`, "shown on the pictures; without it the name of the file"),
		{name: "units", holds: aWord, words: []string{"metric", "imperial"},
			preset: `"metric"`, example: `"imperial"`,
			doc:  "how results are shown: in m and km/h, or in ft, in and mph; lux stays lux",
			also: []string{"system"}},
		{name: "vehicle", shape: table, inside: vehicleSheet,
			doc: "the vehicle", example: "[vehicle]",
			also: []string{"car", "truck"}},
		{name: "lamp", shape: tables, inside: lampSheet, need: true, most: mostLamps,
			doc: "the lamps", example: "[[lamp]]",
			also: []string{"light", "lights"}},
		{name: "scene", shape: tables, inside: sceneSheet, most: mostOthers,
			doc: "what is switched on together", example: "[[scene]]"},
		{name: "ground", shape: table, inside: groundSheet,
			doc: "the ground ahead", example: "[ground]",
			also: []string{"terrain", "road"}},
		{name: "stopping", shape: table, inside: stoppingSheet,
			doc: "how the vehicle stops", example: "[stopping]",
			also: []string{"stop", "brakes"}},
		{name: "air", shape: table, inside: airSheet,
			doc: "what the light goes through", example: "[air]",
			also: []string{"weather", "fog"}},
		{name: "target", shape: tables, inside: targetSheet, most: mostOthers,
			doc: "what the light should do", example: "[[target]]"},
		{name: "limit", shape: tables, inside: limitSheet, most: mostOthers,
			doc: "what it must not do", example: "[[limit]]"},
	},
}
