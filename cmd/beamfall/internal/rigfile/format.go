package rigfile

// The format of the rig file, key by key. Ranges are in the first unit of their kind: metres,
// degrees, percent, lumens.

import (
	"slices"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/render/units"
)

const (
	mostLamps   = 200
	mostBoxes   = 64
	mostPoints  = 1000
	mostOptics  = 8
	mostOthers  = 100     // scenes, targets, limits
	mostBytes   = 1 << 20 // of a rig file
	longestText = 200     // bytes of a name
)

var (
	places  = within(-200, 200) // m, from the bumper or the centreline
	heights = within(0.05, 30)  // m, above the ground
)

// rigSection is the top of the file.
func rigSection(rig *Rig) *section {
	return &section{
		doc: "A rig file describes one vehicle and its lamps.",
		keys: []key{
			nameKey(&rig.Name, `"forest rig"`, "shown on the pictures; without it the name of the file"),
			{name: "units", into: unitSystem(rig), given: &rig.Units.Given, preset: `"metric"`, example: `"imperial"`,
				doc:  "how results are shown: in m and km/h, or in ft, in and mph; lux stays lux",
				also: []string{"system"}},
			{name: "vehicle", into: vehicleSection(rig), example: "[vehicle]",
				doc:  "the vehicle",
				also: []string{"car", "truck"}},
			{name: "lamp", into: several(&rig.Lamps, lampSection), need: true, most: mostLamps, example: "[[lamp]]",
				doc:  "the lamps",
				also: []string{"light", "lights"}},
			{name: "scene", into: several(&rig.Scenes, sceneSection), most: mostOthers, example: "[[scene]]",
				doc: "what is switched on together"},
			{name: "ground", into: groundSection(&rig.Ground), example: "[ground]",
				doc:  "the ground ahead",
				also: []string{"terrain", "road"}},
			{name: "stopping", into: stoppingSection(&rig.Stopping), example: "[stopping]",
				doc:  "how the vehicle stops",
				also: []string{"stop", "brakes"}},
			{name: "air", into: airSection(&rig.Air), example: "[air]",
				doc:  "what the light goes through",
				also: []string{"weather", "fog"}},
			{name: "target", into: several(&rig.Targets, targetSection), most: mostOthers, example: "[[target]]",
				doc: "what the light should do"},
			{name: "limit", into: several(&rig.Limits, limitSection), most: mostOthers, example: "[[limit]]",
				doc: "what it must not do"},
		},
	}
}

func unitSystem(rig *Rig) choice {
	return choice{
		words: []string{units.Metric.String(), units.Imperial.String()},
		set:   func(word string) { rig.Units.Value, _ = quantity.ParseSystem(word) },
	}
}

func nameKey(to *string, example, doc string) key {
	return key{name: "name", into: to, example: example, doc: doc, also: []string{"title", "label", "id"}}
}

// pointSection describes a place; need lists what has no default of 0.
func pointSection(p *Point, need ...string) *section {
	s := &section{
		doc: "A place: ahead of the foremost point of the bumper, to the left of the centreline, above the ground.",
		keys: []key{
			{name: "ahead", into: &p.Ahead, kind: quantity.Length, limits: places, preset: `"0 m"`, example: `"-1.9 m"`,
				doc:  "ahead of the foremost point of the front bumper; what is behind it is negative",
				also: []string{"x", "forward", "front", "behind", "back"}},
			{name: "left", into: &p.Left, kind: quantity.Length, limits: places, preset: `"0 m"`, example: `"0.4 m"`,
				doc:  "to the left of the centreline; what is to the right is negative",
				also: []string{"y", "right", "side", "aside"}},
			{name: "up", into: &p.Up, kind: quantity.Length, limits: heights, example: `"2.05 m"`,
				doc:  "above level ground",
				also: []string{"z", "height", "above"}},
		},
	}
	for _, name := range need {
		k := s.key(name)
		k.need, k.preset = true, ""
	}
	return s
}

func vehicleSection(rig *Rig) *section {
	v := &rig.Vehicle
	s := &section{
		doc: "The vehicle. Its boxes stop light; the rest is for the pictures and for the attitude as driven.",
		keys: []key{
			{name: "length", into: &v.Length, kind: quantity.Length, limits: within(0.5, 30),
				preset: `"4.8 m"`, example: `"5.2 m"`,
				doc: "from bumper to bumper"},
			{name: "width", into: &v.Width, kind: quantity.Length, limits: within(0.3, 5),
				preset: `"1.9 m"`, example: `"1.9 m"`,
				doc: "of the body, without mirrors"},
			{name: "wheelbase", into: &v.Wheelbase, kind: quantity.Length, limits: within(0.3, 20), example: `"3.1 m"`,
				doc: "from front to rear axle; needed with nose_up_driven"},
			{name: "front_overhang", into: &v.FrontOverhang, kind: quantity.Length, limits: within(0, 10),
				example: `"0.9 m"`,
				doc:     "from the foremost point of the bumper to the front axle; needed with nose_up_driven",
				also:    []string{"overhang"}},
			{name: "eye", into: pointSection(&v.Eye.Value, "ahead", "up"), given: &v.Eye.Given,
				preset:  `{ ahead = "-2 m", left = "0.4 m", up = "1.5 m" }`,
				example: `{ ahead = "-2.1 m", left = "0.4 m", up = "1.65 m" }`,
				doc:     "the driver's eye",
				also:    []string{"driver", "eyes", "view"}},
			{name: "nose_up_driven", into: &v.NoseUpDriven, kind: quantity.Angle, limits: within(-20, 20),
				preset: `"0 deg"`, example: `"0.8 deg"`,
				doc:  "change of attitude from parked (lamps set) to driven (load in the back); nose down is negative",
				also: []string{"nose_up", "pitch", "attitude", "rake"}},
			{name: "body", into: several(&rig.Body, boxSection), most: mostBoxes, example: "[[vehicle.body]]",
				doc:  "boxes that stop light",
				also: []string{"box", "boxes", "bodies"}},
		},
	}
	s.check = func(r *reader, s *section) {
		if v.NoseUpDriven.Value != 0 {
			r.needs(s, "nose_up_driven", "wheelbase", "front_overhang")
		}
	}
	return s
}

func boxSection(b *Box) *section {
	return &section{
		doc: "A box that stops light: hood, cab, load.",
		pos: &b.Pos,
		keys: []key{
			nameKey(&b.Name, `"hood"`, "shown in pictures; without it body 1, body 2 …"),
			{name: "ahead", into: &b.Ahead, kind: quantity.Length, limits: places, wide: true, need: true,
				example: `["-1.5 m", "-0.2 m"]`,
				doc:     "rear and front face"},
			{name: "left", into: &b.Left, kind: quantity.Length, limits: places, wide: true, need: true,
				example: `["-0.8 m", "0.8 m"]`,
				doc:     "right and left face"},
			{name: "up", into: &b.Up, kind: quantity.Length, limits: within(0, 30), wide: true, need: true,
				example: `["0.5 m", "1.15 m"]`,
				doc:     "bottom and top face"},
		},
	}
}

func lampSection(l *Lamp) *section {
	one := Optic{Share: 1, Span: Whole} // of a lamp without [[lamp.optic]]
	s := &section{
		doc: "One lamp, or a pair. A lamp needs a place (`at`), a strength (`lumens`, `peak` or `one_lux_at`) " +
			"and a beam (`spread`, `photometry` or `[[lamp.optic]]`).",
		pos: &l.Pos,
		keys: slices.Concat([]key{
			nameKey(&l.Name, `"roof bar"`, "shown in tables and pictures; without it lamp 1, lamp 2 …"),
			{name: "circuit", into: &l.Circuit, example: `"roof"`,
				doc:  "the switch it is on; scenes name circuits. Without it the lamp's name",
				also: []string{"switch", "group"}},
			{name: "at", into: pointSection(&l.At, "up"), need: true,
				example: `{ ahead = "-1.9 m", left = "0 m", up = "2.05 m" }`,
				doc:     "where the middle of the lens is, on the parked vehicle",
				also:    []string{"position", "pos", "place", "where", "location", "mount"}},
			{name: "pair", into: &l.Pair, preset: "false", example: "true",
				doc:  "a twin at -left, with -turn and -roll",
				also: []string{"twin", "mirror", "both"}},
			{name: "tilt", into: &l.Tilt, kind: quantity.Angle, limits: within(-90, 90),
				preset: `"0 deg"`, example: `"5 deg"`,
				doc:  "beam axis below horizontal; above it is negative",
				also: []string{"pitch", "down", "elevation", "aim"}},
			{name: "turn", into: &l.Turn, kind: quantity.Angle, limits: within(-360, 360),
				preset: `"0 deg"`, example: `"30 deg"`,
				doc:  "beam axis to the left of straight ahead; 180 is rearward",
				also: []string{"yaw", "pan", "azimuth", "heading"}},
			{name: "roll", into: &l.Roll, kind: quantity.Angle, limits: within(-180, 180),
				preset: `"0 deg"`, example: `"90 deg"`,
				doc:  "about the beam axis; right side down, seen from behind the lamp, is positive",
				also: []string{"rotation", "rotate"}},
			{name: "width", into: &l.Width, kind: quantity.Length, limits: within(0, 10), zero: true,
				preset: `"0 m"`, example: `"1.0 m"`,
				doc:  "luminous width, across the beam; 0 is a point",
				also: []string{"length", "size"}},
			{name: "lumens", into: &l.Lumens, kind: quantity.Flux, limits: aboveUpTo(0, 1e7), example: "16000",
				doc:  "rated flux of the lamp; beside photometry it scales a relative file",
				also: []string{"lumen", "lm", "flux", "brightness", "output_lumens"}},
			{name: "peak", into: &l.Peak, kind: quantity.Intensity, limits: aboveUpTo(0, 1e9), example: `"45000 cd"`,
				doc:  "peak intensity, instead of lumens",
				also: []string{"candela", "cd", "intensity"}},
			{name: "one_lux_at", into: &l.OneLuxAt, kind: quantity.Length, limits: aboveUpTo(0, 30000),
				example: `"300 m"`,
				doc:     "distance at which the lamp gives 1 lx, instead of lumens",
				also:    []string{"range", "distance", "lux_at", "1_lux_at", "throw"}},
			{name: "output", into: &l.Output, kind: quantity.Share, limits: aboveUpTo(0, 1),
				preset: "1", example: "0.7",
				doc:  "part of the rated flux that leaves the lens",
				also: []string{"efficiency", "factor", "loss", "optical_efficiency"}},
		}, beamKeys(&one), []key{
			{name: "photometry", into: &l.Photometry, bytes: 1000, example: `"file.ies"`,
				doc:  "an ANSI/IES LM-63 file, relative to the rig file, instead of spread",
				also: []string{"ies", "file", "lm63"}},
			{name: "optic", into: several(&l.Optics, opticSection), most: mostOptics, example: "[[lamp.optic]]",
				doc:  "several optics in one housing, instead of spread",
				also: []string{"optics", "lens", "reflector"}},
			{name: "tilt_range", into: &l.TiltRange, kind: quantity.Angle, limits: within(-90, 90),
				example: `["0 deg", "12 deg"]`,
				doc:     "the tilts that aim may choose from; without it the tilt stays as it is",
				also:    []string{"tilts"}},
			{name: "tilt_step", into: &l.TiltStep, kind: quantity.Angle, limits: within(0.01, 90),
				preset: `"0.5 deg"`, example: `"0.5 deg"`,
				doc: "how finely the tilt can be set"},
			{name: "turn_range", into: &l.TurnRange, kind: quantity.Angle, limits: within(-360, 360),
				example: `["0 deg", "30 deg"]`,
				doc:     "the turns that aim may choose from; without it the turn stays as it is",
				also:    []string{"turns"}},
			{name: "turn_step", into: &l.TurnStep, kind: quantity.Angle, limits: within(0.01, 90),
				preset: `"1 deg"`, example: `"1 deg"`,
				doc: "how finely the turn can be set"},
		}),
		rules: []rule{
			{one: []string{"lumens", "peak", "one_lux_at"}, unless: "photometry"},
			{apart: []string{"photometry", "peak"}},
			{apart: []string{"photometry", "one_lux_at"}},
			{one: []string{"spread", "photometry", "optic"}},
			{key: "field", needs: "spread"},
			{key: "profile", needs: "spread"},
		},
	}
	s.check = func(r *reader, s *section) {
		if photometry := s.key("photometry"); photometry.ok() {
			l.NamedAt = photometry.at.position()
		}
		if optic := s.key("optic"); optic != nil && optic.ok() {
			r.checkShares(s, l.Optics)
			return
		}
		if s.key("spread").ok() {
			r.checkField(s)
			one.Pos = l.Pos
			l.Optics = []Optic{one}
		}
	}
	return s
}

func opticSection(o *Optic) *section {
	s := &section{
		doc: "One of several optics in one housing.",
		pos: &o.Pos,
		keys: append([]key{
			{name: "share", into: &o.Share, kind: quantity.Share, limits: aboveUpTo(0, 1), preset: "1", example: "0.6",
				doc:  "part of the lamp's flux; the shares of a lamp add up to 1",
				also: []string{"part", "fraction", "ratio", "weight"}},
			{name: "span", into: choose(&o.Span, Whole, Middle, Ends), preset: `"whole"`, example: `"middle"`,
				doc:  "which part of the lamp's width it takes: middle its central share, ends what that leaves",
				also: []string{"place", "section"}},
		}, beamKeys(o)...),
	}
	s.key("spread").need = true
	s.check = func(r *reader, s *section) { r.checkField(s) }
	return s
}

// beamKeys describe one optic; a lamp with a single optic has them among its own.
func beamKeys(o *Optic) []key {
	return []key{
		{name: "spread", into: &o.Spread, kind: quantity.Angle, limits: aboveBelow(0.5, 175), example: `"10 deg"`,
			doc:  "full angle between the directions of half the peak (beam angle); two values are across and up-down",
			also: []string{"beam", "beam_angle", "angle", "beamwidth", "half"}},
		{name: "field", into: &o.Field, kind: quantity.Angle, limits: aboveBelow(0.5, 180), example: `"20 deg"`,
			doc:  "the same at one tenth of the peak (field angle); wider than spread, with the gaussian profile only",
			also: []string{"field_angle", "tenth"}},
		{name: "profile", into: choose(&o.Profile, Gaussian, Cosine, Uniform),
			preset: `"gaussian"`, example: `"gaussian"`,
			doc:  "how the intensity falls off from the beam axis",
			also: []string{"shape", "distribution", "pattern"}},
	}
}

func sceneSection(sc *Scene) *section {
	return &section{
		doc: "What is switched on together. A file without scenes has one, with all lamps.",
		pos: &sc.Pos,
		keys: []key{
			nameKey(&sc.Name, `"trail"`, "to ask for it by; without it scene 1, scene 2 …"),
			{name: "circuits", into: &sc.Circuits, most: mostLamps, example: `["roof", "bumper"]`,
				doc:  "the circuits that are on; without it all, with [] none",
				also: []string{"lamps", "circuit", "on", "lights"}},
		},
	}
}

func groundSection(g *Ground) *section {
	return &section{
		doc: "The ground ahead; level when nothing is given.",
		pos: &g.Pos,
		keys: []key{
			{name: "grade", into: &g.Grade, kind: quantity.Grade, limits: within(-100, 100), zero: true,
				preset: `"0 %"`, example: `"4 %"`,
				doc:  "rises ahead; falls when negative",
				also: []string{"slope", "incline", "gradient"}},
			{name: "cross_fall", into: &g.CrossFall, kind: quantity.Grade, limits: within(-50, 50), zero: true,
				preset: `"0 %"`, example: `"2 %"`,
				doc:  "rises to the left; falls when negative",
				also: []string{"crossfall", "camber", "bank", "cross_slope"}},
			{name: "profile", into: &g.Profile, kind: quantity.Length, limits: within(-200, 10000),
				heights: within(-1000, 1000),
				most:    mostPoints, example: `[["0 m", "0 m"], ["30 m", "0 m"], ["60 m", "-3 m"]]`,
				doc:  "distance ahead and height of two or more points, distances rising; instead of grade",
				also: []string{"terrain", "elevation", "heights"}},
			{name: "reflectance", into: &g.Reflectance, kind: quantity.Share, limits: aboveUpTo(0, 1),
				preset: "0.2", example: "0.2",
				doc:  "part of the light that the ground gives back, in all directions alike",
				also: []string{"albedo", "rho", "reflectivity"}},
		},
		rules: []rule{{apart: []string{"grade", "profile"}}},
	}
}

// The defaults are the AASHTO Green Book's, as in TxDOT Roadway Design Manual 4.11.1.
func stoppingSection(s *Stopping) *section {
	return &section{
		doc: "How the vehicle comes to a stop.",
		pos: &s.Pos,
		keys: []key{
			{name: "reaction", into: &s.Reaction, kind: quantity.Time, limits: within(0, 10),
				preset: `"2.5 s"`, example: `"2.5 s"`,
				doc:  "from seeing to braking",
				also: []string{"reaction_time", "time"}},
			{name: "braking", into: &s.Braking, kind: quantity.Acceleration, limits: within(0.5, 12),
				preset: `"3.4 m/s2"`, example: `"3.4 m/s2"`,
				doc:  "deceleration",
				also: []string{"deceleration", "brake"}},
		},
	}
}

func airSection(a *Air) *section {
	return &section{
		doc: "What the light goes through.",
		pos: &a.Pos,
		keys: []key{
			{name: "visibility", into: &a.Visibility, kind: quantity.Length, limits: within(10, 1e6), example: `"2 km"`,
				doc:  "meteorological optical range; without it the air is clear",
				also: []string{"range", "fog", "sight"}},
		},
	}
}

func targetSection(t *Target) *section {
	s := &section{
		doc: "What the light should do; what `aim` works towards.",
		pos: &t.Pos,
		keys: []key{
			nameKey(&t.Name, `"near track"`, "shown in results; without it target 1, target 2 …"),
			{name: "ahead", into: &t.Ahead, kind: quantity.Length, limits: places, wide: true, need: true,
				example: `["3 m", "15 m"]`,
				doc:     "from and to",
				also:    []string{"distance", "range"}},
			{name: "half_width", into: &t.HalfWidth, kind: quantity.Length, limits: within(0, 50), need: true,
				example: `"3 m"`,
				doc:     "to either side of the centreline",
				also:    []string{"width", "halfwidth"}},
			{name: "surface", into: choose(&t.Surface, OnGround, Facing), preset: `"ground"`, example: `"facing"`,
				doc:  "the ground itself, or upright things that face the vehicle",
				also: []string{"plane", "on"}},
			{name: "up", into: &t.Up, kind: quantity.Length, limits: heights, preset: `"0.6 m"`, example: `"0.6 m"`,
				doc:  "height above the ground, with the surface facing",
				also: []string{"height", "z"}},
			{name: "lux", into: &t.Lux, kind: quantity.Illuminance, limits: aboveUpTo(0, 1e6), need: true,
				example: "10",
				doc:     "wanted illuminance",
				also:    []string{"lx", "illuminance"}},
			{name: "weight", into: &t.Weight, kind: quantity.Number, limits: aboveUpTo(0, 1000),
				preset: "1", example: "2",
				doc:  "how much it counts beside the other targets",
				also: []string{"importance", "priority"}},
		},
	}
	s.check = func(r *reader, s *section) {
		if up := s.key("up"); up.ok() && t.Surface == OnGround && !s.key("surface").bad {
			r.fault(up.at, s.path("up"), "is given for the ground, which has no height",
				`leave it out, or write surface = "facing"`)
		}
	}
	return s
}

func limitSection(l *Limit) *section {
	return &section{
		doc: "What the light must not do; `aim` keeps to it.",
		pos: &l.Pos,
		keys: []key{
			nameKey(&l.Name, `"oncoming eye"`, "shown in results; without it limit 1, limit 2 …"),
			{name: "at", into: pointSection(&l.At, "ahead", "up"), need: true,
				example: `{ ahead = "50 m", left = "3.5 m", up = "1.1 m" }`,
				doc:     "where, on a plane that faces the vehicle",
				also:    []string{"position", "place", "where"}},
			{name: "lux", into: &l.Lux, kind: quantity.Illuminance, limits: aboveUpTo(0, 1e6), need: true, example: "5",
				doc:  "allowed illuminance",
				also: []string{"lx", "illuminance", "max"}},
		},
	}
}
