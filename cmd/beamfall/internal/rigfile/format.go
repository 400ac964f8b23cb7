package rigfile

// The format of the rig file, key by key. Ranges are in the first unit of their kind: metres,
// degrees, percent, lumens.

import (
	"fmt"
	"math"
	"slices"

	"beamfall/beam/headlight"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/units"
)

const (
	mostLamps   = 200
	mostBoxes   = 64
	mostPoints  = 1000
	mostOptics  = 8
	mostRemoved = mostLamps + mostBoxes + 4*mostOthers
	mostOthers  = 100     // scenes, things, targets, limits
	mostBytes   = 1 << 20 // of a rig file
	longestText = 200     // bytes of a name
	steepest    = 20      // degrees that a load turns a vehicle by
)

var (
	places  = within(-200, 200)  // m, from the bumper or the centreline
	ahead   = within(-200, 1000) // m, of what is looked at on the track
	heights = within(0.05, 30)   // m, above the ground
)

// rigSection is the top of the file.
func rigSection(rig *Rig) *section {
	return &section{
		doc: "A rig file describes one vehicle and its lamps.",
		keys: []key{
			nameKey(&rig.Name, `"forest rig"`, "shown on the pictures; without it the name of the file"),
			{name: "base", into: new(string), bytes: 1000, refuse: refuseBase, example: `"fleet.toml"`,
				doc: "another rig file, relative to this one, of which this one only says what differs: tables are " +
					"merged key " +
					"by key; lamps, scenes, body boxes, things, targets and limits by name",
				also: []string{"extends", "include", "inherits", "parent"}},
			{name: "remove", into: new([]string), most: mostRemoved, example: `["rear work lamp"]`,
				doc:  "lamps, scenes, body boxes, things, targets and limits of the base that this rig has not got",
				also: []string{"without", "delete", "omit"}},
			{name: "units", into: choose(&rig.Units, units.System.String, units.Metric, units.Imperial),
				preset: `"metric"`, example: `"imperial"`,
				doc:  "how results are shown: in m and km/h, or in ft, in and mph; lux stays lux",
				also: []string{"system"}},
			{name: "record", into: recordSection(&rig.Record), example: "[record]",
				doc:  "what the sheet says of the job",
				also: []string{"job", "sheet"}},
			{name: "vehicle", into: vehicleSection(rig), example: "[vehicle]",
				doc:  "the vehicle",
				also: []string{"car", "truck"}},
			{name: "driver", into: driverSection(&rig.Driver), example: "[driver]",
				doc:  "whose eyes they are",
				also: []string{"observer", "eyes"}},
			{name: "lamp", into: several(&rig.Lamps, lampSection), most: mostLamps, example: "[[lamp]]",
				doc:  "the lamps",
				also: []string{"light", "lights"}},
			{name: "headlights", into: headlightsSection(&rig.Headlights.Value), given: &rig.Headlights.Given,
				example: "[headlights]",
				doc:     "the vehicle's own, to compare with",
				also:    []string{"headlight", "headlamps", "headlamp"}},
			{name: "scene", into: several(&rig.Scenes, sceneSection), most: mostOthers, example: "[[scene]]",
				doc: "what is switched on together"},
			{name: "thing", into: several(&rig.Things, thingSection), most: mostOthers, example: "[[thing]]",
				doc:  "things to be seen, besides the built-in ones",
				also: []string{"things", "object", "obstacle"}},
			{name: "ground", into: groundSection(&rig.Ground), example: "[ground]",
				doc:  "the ground ahead",
				also: []string{"terrain", "road"}},
			{name: "track", into: trackSection(&rig.Track), example: "[track]",
				doc:  "the way that the vehicle follows",
				also: []string{"bend", "path", "trail"}},
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
			{name: "aim", into: aimSection(&rig.Aim), example: "[aim]",
				doc: "how the command aim goes about it"},
		},
		rules: []rule{
			{one: []string{"lamp"}, unless: "headlights"},
			{key: "remove", needs: "base"},
		},
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

func recordSection(rec *Record) *section {
	return &section{
		doc: "What the sheet says of the job, besides the setting itself. The lines that are not given stay empty.",
		keys: []key{
			{name: "registration", into: &rec.Registration, example: `"ABC 123"`,
				doc:  "the vehicle's plate or fleet number",
				also: []string{"plate", "reg", "number", "fleet_number"}},
			{name: "vehicle", into: &rec.Vehicle, example: `"crew cab, 2 in lift"`,
				doc:  "the vehicle in words",
				also: []string{"model", "description"}},
			{name: "installer", into: &rec.Installer, example: `"J. Doe"`,
				doc:  "who set the lamps",
				also: []string{"fitter", "technician", "by"}},
			{name: "meter", into: &rec.Meter, example: `"digital level no. 4"`,
				doc:  "the tilt meter that they were set with",
				also: []string{"tilt_meter", "gauge", "level"}},
		},
	}
}

func driverSection(d *Driver) *section {
	return &section{
		doc: "Whose eyes they are. Where the eye is stands in `[vehicle]`.",
		keys: []key{
			{name: "age", into: &d.Age, kind: quantity.Number, limits: within(20, 75), preset: "40", example: "40",
				doc:  "in years; older eyes need more contrast and are veiled more",
				also: []string{"years"}},
			{name: "glance", into: &d.Glance, kind: quantity.Time, limits: within(0.05, 5),
				preset: `"0.2 s"`, example: `"0.2 s"`,
				doc:  "how long the eye rests on a place",
				also: []string{"glance_time", "look", "time"}},
			{name: "visibility_level", into: &d.VisibilityLevel, kind: quantity.Number, limits: within(1, 100),
				preset: "10", example: "10",
				doc:  "how many times the threshold of contrast counts as seen",
				also: []string{"level", "vl"}},
		},
	}
}

func headlightsSection(h *Headlights) *section {
	at := pointSection(&h.At.Value, "ahead", "left", "up")
	left := at.key("left")
	left.limits, left.example = within(0, 3), `"0.7 m"`
	left.doc = "of the left headlight, to the left of the centreline; the right one is its mirror image"
	return &section{
		doc: "The vehicle's own headlights, as a baseline: a beam that just meets the rule. Most headlights " +
			"give more. " +
			"They are the lamps `headlight (left)` and `headlight (right)` on the circuit `headlights`, lit in scenes that " +
			"name it and in a rig without scenes; they are never aimed.",
		pos: &h.Pos,
		keys: []key{
			{name: "at", into: at, given: &h.At.Given,
				preset:  `{ ahead = "-0.3 m", left = "0.7 m", up = "0.75 m" }`,
				example: `{ ahead = "-0.3 m", left = "0.7 m", up = "0.75 m" }`,
				doc:     "where the left one is; the right one is its mirror image",
				also:    []string{"position", "pos", "place", "where", "location"}},
			{name: "beam", into: chooseWord(&h.Beam, Low, High), preset: `"low"`, example: `"low"`,
				doc:  "which of their beams is on",
				also: []string{"beams"}},
			{name: "rule", into: choose(&h.Rule, headlight.Rule.String, headlight.UNR149, headlight.FMVSS108),
				preset: `"UN R149"`, example: `"FMVSS 108"`,
				doc:  "the rule whose minima they just meet",
				also: []string{"standard", "regulation"}},
			{name: "strength", into: &h.Strength, kind: quantity.Number, limits: aboveUpTo(0, 20), preset: "1",
				example: "1.5",
				doc:     "times those minima; headlights in use give more than 1",
				also:    []string{"factor", "output"}},
			{name: "dip", into: &h.Dip, kind: quantity.Grade, limits: within(0, 10), preset: `"1 %"`, example: `"1 %"`,
				doc:  "how far the cut-off of the low beam falls",
				also: []string{"tilt", "aim", "inclination"}},
			{name: "traffic", into: chooseWord(&h.Traffic, RightSide, LeftSide), preset: `"right"`, example: `"right"`,
				doc:  "which side of the road traffic keeps to",
				also: []string{"side", "drive"}},
		},
	}
}

func thingSection(t *sight.Thing) *section {
	return &section{
		doc: "A thing to be seen: a diffuse rectangle that stands on the ground and faces the vehicle, or " +
			"lies on it. " +
			"There are `person`, `animal`, `rock`, `plate` and `rut` without it; one of the same name replaces them.",
		keys: []key{
			{name: "name", into: &t.Name, need: true, example: `"fallen tree"`,
				doc:  "to ask for it by",
				also: []string{"title", "label", "id"}},
			{name: "width", into: &t.Width, kind: quantity.Length, limits: within(0.01, 50), need: true,
				example: `"0.5 m"`,
				doc:     "across the track"},
			{name: "height", into: &t.Height, kind: quantity.Length, limits: within(0.01, 50), need: true,
				example: `"1.7 m"`,
				doc:     "how tall it is; of a thing that lies, how long it is along the track",
				also:    []string{"length", "up", "size"}},
			{name: "reflectance", into: &t.Reflectance, kind: quantity.Share, limits: within(0, 1), need: true,
				example: "0.05",
				doc:     "part of the light that it gives back, in all directions alike",
				also:    []string{"albedo", "rho", "reflectivity"}},
			{name: "lies", into: &t.Lies, preset: "false", example: "true",
				doc:  "it lies on the ground",
				also: []string{"flat", "lying"}},
		},
	}
}

func trackSection(t *geometry.Track) *section {
	return &section{
		doc: "The way that the vehicle follows, on the ground: straight on, or through one bend of at most half a " +
			"turn. Distances " +
			"ahead of targets, sight and reach are along it; limits are from the vehicle or `along` it.",
		keys: []key{
			{name: "bend", into: t, preset: `"straight"`, example: `"60 m left"`,
				doc:  "radius of its centreline, 5 m to 100 km, and the side it turns to; or straight",
				also: []string{"radius", "curve", "turn"}},
			{name: "from", into: &t.From, kind: quantity.Length, limits: within(0, 1000), preset: `"0 m"`,
				example: `"20 m"`,
				doc:     "where the bend begins, ahead of the bumper",
				also:    []string{"start", "begin", "ahead"}},
			{name: "width", into: &t.Width, kind: quantity.Length, limits: within(0.5, 50), preset: `"4 m"`,
				example: `"4 m"`,
				doc:     "of the track"},
		},
	}
}

func aimSection(a *Aim) *section {
	return &section{
		doc: "How the command `aim` goes about it.",
		keys: []key{
			{name: "worst_pitch", into: &a.WorstPitch, preset: "false", example: "true",
				doc:  "judge a setting by the worst of nose up, level and down, as `pitch` of the vehicle says",
				also: []string{"pitch", "worst"}},
		},
	}
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
				doc: "from front to rear axle; needed with nose_up_driven, driven and pitch"},
			{name: "front_overhang", into: &v.FrontOverhang, kind: quantity.Length, limits: within(0, 10),
				example: `"0.9 m"`,
				doc: "from the foremost point of the bumper to the front axle; needed with nose_up_driven, " +
					"driven and pitch",
				also: []string{"overhang"}},
			{name: "eye", into: pointSection(&v.Eye.Value, "ahead", "up"), given: &v.Eye.Given,
				preset:  `{ ahead = "-2 m", left = "0.4 m", up = "1.5 m" }`,
				example: `{ ahead = "-2.1 m", left = "0.4 m", up = "1.65 m" }`,
				doc:     "the driver's eye",
				also:    []string{"driver", "eyes", "view"}},
			{name: "nose_up_driven", into: &v.NoseUpDriven, kind: quantity.Angle, limits: within(-steepest, steepest),
				preset: `"0 deg"`, example: `"0.8 deg"`,
				doc:  "change of attitude from parked (lamps set) to driven (load in the back); nose down is negative",
				also: []string{"nose_up", "attitude", "rake"}},
			{name: "driven", into: drivenSection(&v.Driven.Value), given: &v.Driven.Given,
				example: `{ front = "4 mm", rear = "-38 mm" }`,
				doc:     "the same as measured, instead of nose_up_driven: how far the body comes up over each axle",
				also:    []string{"sag", "squat", "load", "ride_height"}},
			{name: "pitch", into: &v.Pitch, kind: quantity.Angle, limits: within(0, 20), preset: `"0 deg"`,
				example: `"1 deg"`,
				doc:     "how far the nose moves up and down on the ground driven",
				also:    []string{"nod", "bounce"}},
			{name: "body", into: several(&rig.Body, boxSection), most: mostBoxes, example: "[[vehicle.body]]",
				doc:  "boxes that stop light",
				also: []string{"box", "boxes", "bodies"}},
		},
		rules: []rule{{apart: []string{"nose_up_driven", "driven"}}},
	}
	s.check = func(r *reader, s *section) {
		for _, turns := range []struct {
			key string
			far bool
		}{{"nose_up_driven", v.NoseUpDriven.Value != 0}, {"driven", v.Driven.Given}, {"pitch", v.Pitch.Value != 0}} {
			if turns.far {
				r.needs(s, turns.key, "wheelbase", "front_overhang")
			}
		}
		driven, wheelbase := s.key("driven"), s.key("wheelbase")
		steep := math.Abs(v.Driven.Value.Front-v.Driven.Value.Rear) / v.Wheelbase.Value
		if driven.ok() && wheelbase.ok() && steep > math.Sin(steepest*math.Pi/180) {
			r.fault(driven.at, s.path("driven"), fmt.Sprintf("turns the vehicle by more than %d°", steepest),
				"give how far the body comes up over each axle, not its height")
		}
	}
	return s
}

// drivenSection describes how the body comes up over the axles.
func drivenSection(d *Driven) *section {
	return &section{
		doc: "How far the body comes up over each axle from parked (lamps set) to driven.",
		keys: []key{
			{name: "front", into: &d.Front, kind: quantity.Length, limits: within(-1, 1), preset: `"0 m"`,
				example: `"4 mm"`,
				doc:     "over the front axle; down is negative"},
			{name: "rear", into: &d.Rear, kind: quantity.Length, limits: within(-1, 1), preset: `"0 m"`,
				example: `"-38 mm"`,
				doc:     "over the rear axle; down is negative",
				also:    []string{"back"}},
		},
	}
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
			{name: "photometry", into: &l.Photometry, bytes: 1000, refuse: refusePhotometry, example: `"file.ies"`,
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
			{name: "span", into: chooseWord(&o.Span, Whole, Middle, Ends), preset: `"whole"`, example: `"middle"`,
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
		{name: "profile", into: chooseWord(&o.Profile, Gaussian, Cosine, Uniform),
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
				also: []string{"incline", "gradient"}},
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
			{name: "slope", into: &g.Slope, kind: quantity.Grade, limits: within(-100, 100), zero: true,
				preset: `"0 %"`, example: `"-8 %"`,
				doc:  "of the hill itself, vehicle and all, rising ahead; it counts for stopping, not for the light",
				also: []string{"hill"}},
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
			{name: "visibility", into: &a.Visibility, kind: quantity.Length, limits: visibilities, example: `"2 km"`,
				doc:  "meteorological optical range; without it the air is clear",
				also: []string{"range", "sight"}},
			{name: "particles", into: choose(&a.Particles, particleName, sight.Dust, sight.Fog, sight.Snow),
				example: `"dust"`,
				doc:     "what hangs in it and throws light back; without it the air only takes light away",
				also:    []string{"fog", "dust", "snow", "smoke", "haze"}},
			{name: "sky", into: &a.Sky, kind: quantity.Luminance, limits: within(0, 10000), preset: "0.001",
				example: "0.001",
				doc:     "luminance of the sky",
				also:    []string{"moon", "sky_luminance"}},
		},
		rules: []rule{{key: "particles", needs: "visibility"}},
	}
}

func particleName(p sight.Particles) string { return p.Name }

func targetSection(t *Target) *section {
	s := &section{
		doc: "What the light should do; what `aim` works towards.",
		pos: &t.Pos,
		keys: []key{
			nameKey(&t.Name, `"near track"`, "shown in results; without it target 1, target 2 …"),
			{name: "ahead", into: &t.Ahead, kind: quantity.Length, limits: ahead, wide: true, need: true,
				example: `["3 m", "15 m"]`,
				doc:     "from and to",
				also:    []string{"distance", "range"}},
			{name: "half_width", into: &t.HalfWidth, kind: quantity.Length, limits: within(0, 50), need: true,
				example: `"3 m"`,
				doc:     "to either side of the centreline",
				also:    []string{"width", "halfwidth"}},
			{name: "surface", into: chooseWord(&t.Surface, OnGround, Facing), preset: `"ground"`, example: `"facing"`,
				doc:  "the ground itself, or upright things that face the vehicle",
				also: []string{"plane", "on"}},
			{name: "up", into: &t.Up, kind: quantity.Length, limits: heights, preset: `"0.6 m"`, example: `"0.6 m"`,
				doc:  "height above the ground, with the surface facing",
				also: []string{"height", "z"}},
			{name: "lux", into: &t.Lux, kind: quantity.Illuminance, limits: aboveUpTo(0, 1e6),
				example: "10",
				doc:     "wanted illuminance",
				also:    []string{"lx", "illuminance"}},
			{name: "see", into: &t.See, example: `"person"`,
				doc:  "the thing that is to be seen there, instead of lux and surface",
				also: []string{"thing", "seen", "visible"}},
			{name: "weight", into: &t.Weight, kind: quantity.Number, limits: aboveUpTo(0, 1000),
				preset: "1", example: "2",
				doc:  "how much it counts beside the other targets",
				also: []string{"importance", "priority"}},
		},
		rules: []rule{
			{one: []string{"lux", "see"}},
			{apart: []string{"see", "surface"}},
			{apart: []string{"see", "up"}},
		},
	}
	s.check = func(r *reader, s *section) {
		if up := s.key("up"); up.ok() && t.See == "" && t.Surface == OnGround && !s.key("surface").bad {
			r.fault(up.at, s.path("up"), "is given for the ground, which has no height",
				`leave it out, or write surface = "facing"`)
		}
		if at := s.key("ahead"); at.ok() && t.See != "" && t.Ahead.Low < 0 {
			r.fault(at.at, s.path("ahead"), "begins behind the bumper, and things are looked for ahead of it",
				"begin at 0 m or farther on")
		}
	}
	return s
}

func limitSection(l *Limit) *section {
	at := pointSection(&l.At, "up")
	at.key("ahead").preset = ""
	at.keys = append(at.keys, key{
		name: "along", into: &l.Along, kind: quantity.Length, limits: within(0, 1000), example: `"50 m"`,
		doc:  "instead of ahead: how far along the track, bend and all; left is then from its centreline",
		also: []string{"distance", "track"},
	})
	at.rules = append(at.rules, rule{one: []string{"ahead", "along"}})
	return &section{
		doc: "What the light must not do; `aim` keeps to it.",
		pos: &l.Pos,
		keys: []key{
			nameKey(&l.Name, `"oncoming eye"`, "shown in results; without it limit 1, limit 2 …"),
			{name: "at", into: at, need: true,
				example: `{ ahead = "50 m", left = "3.5 m", up = "1.1 m" }`,
				doc:     "where, on a plane that faces the vehicle",
				also:    []string{"position", "place", "where"}},
			{name: "lux", into: &l.Lux, kind: quantity.Illuminance, limits: aboveUpTo(0, 1e6), need: true, example: "5",
				doc:  "allowed illuminance",
				also: []string{"lx", "illuminance", "max"}},
			{name: "scene", into: &l.Scene, example: `"convoy"`,
				doc:  "the scene that it holds for; without it the one that is aimed",
				also: []string{"in", "when"}},
		},
	}
}
