package rigfile

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// Each file beside what is said of it, to the letter. A file that is about something else ends with
// a lamp that is right; the lines are counted from the first one written here.
var mistakeTests = []struct{ name, file, want string }{
	// Quantities.
	{"bare length", "[vehicle]\nwidth = 1.9" + oneLamp,
		`rig.toml:2:9: vehicle: width: 1.9 has no unit; write e.g. width = "1.9 m"`},
	{"bare length in quotes", "[vehicle]\nwidth = \"1.9\"" + oneLamp,
		`rig.toml:2:9: vehicle: width: "1.9" has no unit; write e.g. width = "1.9 m"`},
	{"decimal comma", "[vehicle]\nwidth = \"1,9 m\"" + oneLamp,
		`rig.toml:2:9: vehicle: width: "1,9 m" has a comma; write "1.9 m"`},
	{"wrong unit", "[vehicle]\nwidth = \"5 deg\"" + oneLamp,
		`rig.toml:2:9: vehicle: width: "5 deg" is an angle, not a length; write e.g. width = "1.9 m"`},
	{"not a quantity", "[vehicle]\nwidth = true" + oneLamp,
		`rig.toml:2:9: vehicle: width: true is not a length; write e.g. width = "1.9 m"`},
	{"date", "[vehicle]\nwidth = 2024-01-01" + oneLamp,
		`rig.toml:2:9: vehicle: width: a date is not a length; write e.g. width = "1.9 m"`},
	{"NaN", "[ground]\nreflectance = nan" + oneLamp,
		`rig.toml:2:15: ground: reflectance: NaN is not a number; write e.g. reflectance = 0.2`},
	{"infinite", "[ground]\nreflectance = -inf" + oneLamp,
		`rig.toml:2:15: ground: reflectance: -Inf is not a number; write e.g. reflectance = 0.2`},
	{"hexadecimal", "[ground]\nreflectance = 0x1" + oneLamp,
		`rig.toml:2:15: ground: reflectance: 0x1 is not a decimal number; write e.g. reflectance = 0.2`},
	{"more than a float holds", "[ground]\nreflectance = 1e999" + oneLamp,
		`rig.toml:2:15: this is not TOML: unable to parse float: strconv.ParseFloat: parsing "1e999": value out of range; see beamfall new for what a rig file looks like`},
	{"grade without unit", "[ground]\ngrade = 4" + oneLamp,
		`rig.toml:2:9: ground: grade: 4 has no unit; write e.g. grade = "4 %"`},
	{"feet and inches in their own quotes", "[vehicle]\nwidth = \"6'3\"\"" + oneLamp,
		`rig.toml:2:14: a " within a text ends it; write e.g. "6 ft 3 in"`},

	// Ranges of the interface.
	{"spread too wide", lampWith(`spread = "190 deg"`),
		`rig.toml:5:10: lamp "roof bar": spread: 190° is not below 175°; write e.g. spread = "10 deg"`},
	{"spread at its bound", lampWith(`spread = 175`),
		`rig.toml:5:10: lamp "roof bar": spread: 175° is not below 175°; write e.g. spread = "10 deg"`},
	{"spread too narrow", lampWith(`spread = [0.5, 10]`),
		`rig.toml:5:11: lamp "roof bar": spread: 0.5° is not above 0.5°; write e.g. spread = "10 deg"`},
	{"field too wide", lampWith("spread = 10\nfield = 180"),
		`rig.toml:6:9: lamp "roof bar": field: 180° is not below 180°; write e.g. field = "20 deg"`},
	{"tilt", lampWith("spread = 10\ntilt = -90.5"),
		`rig.toml:6:8: lamp "roof bar": tilt: -90.5° is less than -90°; write e.g. tilt = "5 deg"`},
	{"turn", lampWith("spread = 10\nturn = 361"),
		`rig.toml:6:8: lamp "roof bar": turn: 361° is more than 360°; write e.g. turn = "30 deg"`},
	{"roll", lampWith("spread = 10\nroll = 181"),
		`rig.toml:6:8: lamp "roof bar": roll: 181° is more than 180°; write e.g. roll = "90 deg"`},
	{"width", lampWith("spread = 10\nwidth = \"10.1 m\""),
		`rig.toml:6:9: lamp "roof bar": width: 10.1 m is more than 10 m; write e.g. width = "1.0 m"`},
	{"width in feet", lampWith("spread = 10\nwidth = \"33 ft\""),
		`rig.toml:6:9: lamp "roof bar": width: 33 ft is more than 10 m; write e.g. width = "1.0 m"`},
	{"output of nothing", lampWith("spread = 10\noutput = 0"),
		`rig.toml:6:10: lamp "roof bar": output: 0 is not above 0; write e.g. output = 0.7`},
	{"output of more than all", lampWith("spread = 10\noutput = 1.01"),
		`rig.toml:6:10: lamp "roof bar": output: 1.01 is more than 1; write e.g. output = 0.7`},
	{"lumens", "[[lamp]]\nat.up = \"2 m\"\nspread = 10\nlumens = 1e308",
		`rig.toml:4:10: lamp 1: lumens: 1e+308 lm is more than 10000000 lm; write e.g. lumens = 16000`},
	{"lumens of twelve digits", "[[lamp]]\nat.up = \"2 m\"\nspread = 10\nlumens = 999999999999",
		`rig.toml:4:10: lamp 1: lumens: 999999999999 lm is more than 10000000 lm; write e.g. lumens = 16000`},
	{"too low", "[[lamp]]\nat.up = \"4 cm\"\nspread = 10\nlumens = 9",
		`rig.toml:2:9: lamp 1: at.up: 4 cm is less than 0.05 m; write e.g. up = "2.05 m"`},
	{"too high", "[[lamp]]\nat.up = \"30.1 m\"\nspread = 10\nlumens = 9",
		`rig.toml:2:9: lamp 1: at.up: 30.1 m is more than 30 m; write e.g. up = "2.05 m"`},
	{"too high, with a tab", "[[lamp]]\nat.up = \"30.1\tm\"\nspread = 10\nlumens = 9",
		`rig.toml:2:9: lamp 1: at.up: 30.1\tm is more than 30 m; write e.g. up = "2.05 m"`},
	{"too far", "[[lamp]]\nat = { ahead = \"-201 m\", left = \"201 m\", up = \"1 m\" }\nspread = 10\nlumens = 9",
		`rig.toml:2:16: lamp 1: at.ahead: -201 m is less than -200 m; write e.g. ahead = "-1.9 m"` + "\n" +
			`rig.toml:2:33: lamp 1: at.left: 201 m is more than 200 m; write e.g. left = "0.4 m"`},
	{"grade", "[ground]\ngrade = \"101 %\"\ncross_fall = \"-51 %\"" + oneLamp,
		`rig.toml:2:9: ground: grade: 101 % is more than 100 %; write e.g. grade = "4 %"` + "\n" +
			`rig.toml:3:14: ground: cross_fall: -51 % is less than -50 %; write e.g. cross_fall = "2 %"`},
	{"stopping", "[stopping]\nreaction = \"11 s\"\nbraking = \"0.4 m/s2\"" + oneLamp,
		`rig.toml:2:12: stopping: reaction: 11 s is more than 10 s; write e.g. reaction = "2.5 s"` + "\n" +
			`rig.toml:3:11: stopping: braking: 0.4 m/s2 is less than 0.5 m/s2; write e.g. braking = "3.4 m/s2"`},
	{"air", "[air]\nvisibility = \"5 m\"" + oneLamp,
		`rig.toml:2:14: air: visibility: 5 m is less than 10 m; write e.g. visibility = "2 km"`},
	{"size of twelve digits", "[vehicle]\nlength = \"999999999999 m\"" + oneLamp,
		`rig.toml:2:10: vehicle: length: 999999999999 m is more than 30 m; write e.g. length = "5.2 m"`},

	// Keys.
	{"unknown key", lampWith("spred = 10\ntilt = 5"),
		`rig.toml:5:1: lamp "roof bar": key "spred" is not known; did you mean "spread"?`},
	{"other people's word", lampWith("spread = 10\npitch = 5"),
		`rig.toml:6:1: lamp "roof bar": key "pitch" is not known; did you mean "tilt"?`},
	{"nothing like it", "[air]\nzeppelin = 1" + oneLamp,
		`rig.toml:2:1: air: key "zeppelin" is not known; known here: visibility, particles, sky`},
	{"unknown table", "[vehcile]\nlength = \"5 m\"" + oneLamp,
		`rig.toml:1:2: key "vehcile" is not known; did you mean "vehicle"?`},
	{"unknown list", "[[lamps]]\nup = 3",
		`rig.toml:1:3: key "lamps" is not known; did you mean "lamp"?`},
	{"in the wrong table", "[vehicle]\nunits = \"metric\"" + oneLamp,
		`rig.toml:2:1: vehicle: key "units" is not known; it belongs at the top of the file, above the first [table]`},
	{"of another table", "[vehicle]\nreflectance = 0.2" + oneLamp,
		`rig.toml:2:1: vehicle: key "reflectance" is not known; it belongs in [[thing]] or [ground]`},
	{"of a table within", "[[lamp]]\nup = \"1 m\"\nat.up = \"1 m\"\nlumens = 1\nspread = 10",
		`rig.toml:2:1: lamp 1: key "up" is not known; write at.up = "2.05 m"`},
	{"in a table within", "[vehicle]\neye = { ahead = \"-2 m\", hight = \"1.6 m\" }" + oneLamp,
		`rig.toml:2:25: vehicle: key "eye.hight" is not known; did you mean "eye.up"?`},
	{"given twice", "[vehicle]\nwidth = \"1 m\"\nwidth = \"2 m\"" + oneLamp,
		`rig.toml:3:1: width: is given a second time, first in line 2; keep one of the two`},
	{"table given twice", "[air]\n[ground]\n[air]\nvisibility = \"2 km\"" + oneLamp,
		`rig.toml:3:2: air: is given a second time, first in line 1; put all its keys in one place`},
	{"missing", "[[lamp]]\nname = \"x\"",
		`rig.toml:1:3: lamp "x": at is missing; write e.g. at = { ahead = "-1.9 m", left = "0 m", up = "2.05 m" }` +
			"\n" +
			`rig.toml:1:3: lamp "x": none of lumens, peak, one_lux_at is given; write e.g. lumens = 16000` + "\n" +
			`rig.toml:1:3: lamp "x": none of spread, photometry, optic is given; write e.g. spread = "10 deg"`},
	{"empty file", "",
		`rig.toml:1:1: lamp is missing; write [[lamp]] and its keys below it`},
	{"no lamps", "lamp = []",
		`rig.toml:1:8: lamp: an empty list; leave it out, or write [[lamp]]`},
	{"single brackets", "[lamp]\nat.up = \"2 m\"\nspread = 10\nlumens = 9",
		`rig.toml:1:2: lamp: is written as a single table; there may be several: write [[lamp]]`},
	{"double brackets", "[[air]]\nvisibility = \"2 km\"" + oneLamp,
		`rig.toml:1:3: air: is written as one of several tables; there is one: write [air]`},
	{"single and double brackets", oneLamp[1:] + "[lamp]\n",
		`rig.toml:5:2: lamp: has single brackets in one place and double ones in another, see line 1; write [[lamp]] in both`},
	{"no table", "ground = 5" + oneLamp,
		`rig.toml:1:10: ground: 5 is not a table; write e.g. [ground]`},
	{"no list", "lamp = 5",
		`rig.toml:1:8: lamp: 5 is not a list of tables; write [[lamp]]`},

	// Words, texts, lists.
	{"word", "units = \"imperail\"" + oneLamp,
		`rig.toml:1:9: units: "imperail" is not known; did you mean "imperial"?`},
	{"no word at all", "units = \"cubits\"" + oneLamp,
		`rig.toml:1:9: units: "cubits" is not known; write one of metric, imperial`},
	{"truth", lampWith("spread = 10\npair = \"yes\""),
		`rig.toml:6:8: lamp "roof bar": pair: "yes" is neither true nor false; write e.g. pair = true`},
	{"number for a name", "name = 5" + oneLamp,
		`rig.toml:1:8: name: 5 is not a text in quotes; write e.g. name = "forest rig"`},
	{"empty name", "name = \" \"" + oneLamp,
		`rig.toml:1:8: name: an empty text; write e.g. name = "forest rig"`},
	{"long name", "name = \"" + strings.Repeat("ä", 101) + "\"" + oneLamp,
		`rig.toml:1:8: name: a text of 202 bytes, more than 200; shorten it`},
	{"control character", `name = "a\u001bb"` + oneLamp,
		`rig.toml:1:8: name: a control character in "a\x1bb"; leave it out`},
	{"list of three", lampWith("spread = [10, 20, 30]"),
		`rig.toml:5:10: lamp "roof bar": spread: a list of 3, not of two; write e.g. spread = "10 deg"`},
	{"no list of two", lampWith("spread = 10\ntilt_range = 5"),
		`rig.toml:6:14: lamp "roof bar": tilt_range: 5 is not a list of two; write e.g. tilt_range = ["0 deg", "12 deg"]`},
	{"range reversed", lampWith("spread = 10\ntilt_range = [12, 0]"),
		`rig.toml:6:14: lamp "roof bar": tilt_range: 12 comes before 0; write tilt_range = [0, 12]`},
	{"faces reversed", "[[vehicle.body]]\nname = \"hood\"\nahead = [\"-0.2 m\", \"-1.5 m\"]\nleft = [\"-1 m\", \"1 " +
		"m\"]\nup = [\"1 m\", \"1 m\"]" + oneLamp,
		`rig.toml:3:9: body "hood": ahead: -0.2 m comes before -1.5 m; write ahead = ["-1.5 m", "-0.2 m"]` + "\n" +
			`rig.toml:5:6: body "hood": up: from 1 m to 1 m is nothing; write e.g. up = ["0.5 m", "1.15 m"]`},

	// What holds between keys.
	{"two strengths", lampWith("spread = 10\npeak = \"4000 cd\""),
		`rig.toml:6:1: lamp "roof bar": peak: is given beside lumens; keep one of them`},
	{"two beams", lampWith("spread = 10\nphotometry = \"x.ies\""),
		`rig.toml:6:1: lamp "roof bar": photometry: is given beside spread; keep one of them`},
	{"photometry and peak", "[[lamp]]\nat.up = \"2 m\"\nphotometry = \"x.ies\"\npeak = \"9 cd\"",
		`rig.toml:4:1: lamp 1: peak: is given beside photometry; keep one of them`},
	{"field alone", lampWith("photometry = \"x.ies\"\nfield = 20"),
		`rig.toml:6:1: lamp "roof bar": field: is given without spread; give both or neither`},
	{"field too narrow", lampWith("spread = [10, 30]\nfield = 20"),
		`rig.toml:6:1: lamp "roof bar": field: 20° is not wider than the spread of 10° by 30°; field is the full angle at one tenth of the peak, spread the one at half`},
	{"field with another profile", lampWith("spread = 10\nfield = 20\nprofile = \"cosine\""),
		`rig.toml:6:1: lamp "roof bar": field: is given with the profile cosine, which has its own; leave field out, or profile = "gaussian"`},
	{"shares", lampWith("[[lamp.optic]]\nspread = 10\nshare = 0.5\n[[lamp.optic]]\nspread = 10\nshare = 0.4"),
		`rig.toml:5:8: lamp "roof bar": the shares of the optics add up to 0.9, not 1; they are parts of the lamp's flux`},
	{"no share", lampWith("[[lamp.optic]]\nspread = 10\n[[lamp.optic]]\nspread = 10\nshare = 0.4"),
		`rig.toml:5:8: lamp "roof bar": optic 1: share is missing; write e.g. share = 0.6`},
	{"optic without spread", lampWith("[[lamp.optic]]\nphotometry = \"x.ies\""),
		`rig.toml:5:8: lamp "roof bar": optic 1: spread is missing; write e.g. spread = "10 deg"` + "\n" +
			`rig.toml:6:1: lamp "roof bar": optic 1: key "photometry" is not known; it belongs in [[lamp]]`},
	{"grade and profile", "[ground]\ngrade = \"1 %\"\nprofile = [[\"0 m\", \"0 m\"], [\"9 m\", \"0 m\"]]" + oneLamp,
		`rig.toml:3:1: ground: profile: is given beside grade; keep one of them`},
	{"profile out of order", "[ground]\nprofile = [[\"0 m\", \"0 m\"], [\"9 m\", \"0 m\"],\n[\"9 m\", \"1 m\"]]" +
		oneLamp,
		`rig.toml:3:2: ground: profile: point 3: 9 m is not beyond the point before it; put the points in the order of their distances`},
	{"no point", "[ground]\nprofile = [[\"0 m\", \"0 m\"], [\"9 m\"]]" + oneLamp,
		`rig.toml:2:29: ground: profile: point 2 is not a distance and a height; write e.g. profile = [["0 m", "0 m"], ["30 m", "0 m"], ["60 m", "-3 m"]]`},
	{"one point", "[ground]\nprofile = [[\"0 m\", \"0 m\"]]" + oneLamp,
		`rig.toml:2:11: ground: profile: fewer than two points; write e.g. profile = [["0 m", "0 m"], ["30 m", "0 m"], ["60 m", "-3 m"]]`},
	{"nose up", "[vehicle]\nnose_up_driven = \"1 deg\"\nwheelbase = \"3 m\"" + oneLamp,
		`rig.toml:2:1: vehicle: nose_up_driven: is given without front_overhang; write e.g. front_overhang = "0.9 m" as well`},
	{"height of the ground", "[[target]]\nahead = [\"1 m\", \"2 m\"]\nhalf_width = \"1 m\"\nlux = 1\nup = \"1 m\"" +
		oneLamp,
		`rig.toml:5:1: target 1: up: is given for the ground, which has no height; leave it out, or write surface = "facing"`},
	{"no light wanted", "[[limit]]\nat = { ahead = \"50 m\", up = \"1 m\" }\nlux = 0" + oneLamp,
		`rig.toml:3:7: limit 1: lux: 0 lx is not above 0 lx; write e.g. lux = 5`},

	{"nose up in two ways", "[vehicle]\nwheelbase = \"3 m\"\nfront_overhang = \"1 m\"\nnose_up_driven = 1\ndriven " +
		"= { rear = \"-38 mm\" }" + oneLamp,
		`rig.toml:5:1: vehicle: driven: is given beside nose_up_driven; keep one of them`},
	{"driven without axles", "[vehicle]\ndriven = { rear = \"-38 mm\" }" + oneLamp,
		`rig.toml:2:1: vehicle: driven: is given without wheelbase; write e.g. wheelbase = "3.1 m" as well` + "\n" +
			`rig.toml:2:1: vehicle: driven: is given without front_overhang; write e.g. front_overhang = "0.9 m" as well`},
	{"driven as heights", "[vehicle]\nwheelbase = \"3 m\"\nfront_overhang = \"1 m\"\ndriven = { front = \"0 m\", " +
		"rear = \"1.1 m\" }" + oneLamp,
		`rig.toml:4:34: vehicle: driven.rear: 1.1 m is more than 1 m; write e.g. rear = "-38 mm"`},
	{"driven steeply", "[vehicle]\nwheelbase = \"2 m\"\nfront_overhang = \"1 m\"\ndriven = { front = \"-0.9 m\", " +
		"rear = \"0.9 m\" }" + oneLamp,
		`rig.toml:4:1: vehicle: driven: turns the vehicle by more than 20°; give how far the body comes up over each axle, not its height`},
	{"pitch without axles", "[vehicle]\npitch = 1\nwheelbase = \"3 m\"" + oneLamp,
		`rig.toml:2:1: vehicle: pitch: is given without front_overhang; write e.g. front_overhang = "0.9 m" as well`},
	{"worst pitch of none", "[aim]\nworst_pitch = true" + oneLamp,
		`rig.toml:2:1: aim: worst_pitch: is given without pitch of the vehicle; write e.g. pitch = "1 deg" in [vehicle] as well`},
	{"particles without visibility", "[air]\nparticles = \"fog\"" + oneLamp,
		`rig.toml:2:1: air: particles: is given without visibility; give both or neither`},
	{"particles of nothing", "[air]\nvisibility = \"90 m\"\nparticles = \"rain\"" + oneLamp,
		`rig.toml:3:13: air: particles: "rain" is not known; write one of dust, fog, snow`},
	{"driver", "[driver]\nage = 19\nglance = 0.2\nvisibility_level = 0" + oneLamp,
		`rig.toml:2:7: driver: age: 19 is less than 20; write e.g. age = 40` + "\n" +
			`rig.toml:3:10: driver: glance: 0.2 has no unit; write e.g. glance = "0.2 s"` + "\n" +
			`rig.toml:4:20: driver: visibility_level: 0 is less than 1; write e.g. visibility_level = 10`},
	{"thing without sizes", "[[thing]]\nname = \"log\"" + oneLamp,
		`rig.toml:1:3: thing "log": width is missing; write e.g. width = "0.5 m"` + "\n" +
			`rig.toml:1:3: thing "log": height is missing; write e.g. height = "1.7 m"` + "\n" +
			`rig.toml:1:3: thing "log": reflectance is missing; write e.g. reflectance = 0.05`},
	{"two things of one name", strings.Repeat("[[thing]]\nname = \"log\"\nwidth = \"2 m\"\nheight = \"0.4 m\"\n"+
		"reflectance = 0.1\n", 2) + oneLamp,
		`rig.toml:6:3: thing "log": a thing above has this name as well; give each thing a name of its own`},
	{"bends", "[track]\nbend = \"60 m\"" + oneLamp,
		`rig.toml:2:8: track: bend: "60 m" does not end in left or right; write e.g. bend = "60 m left"`},
	{"bend without unit", "[track]\nbend = \"60 left\"" + oneLamp,
		`rig.toml:2:8: track: bend: "60" has no unit; write e.g. bend = "60 m left"`},
	{"bend as a number", "[track]\nbend = 60" + oneLamp,
		`rig.toml:2:8: track: bend: 60 is not a text in quotes; write e.g. bend = "60 m left"`},
	{"bend too narrow", "[track]\nbend = \"4 m right\"\nfrom = \"-1 m\"" + oneLamp,
		`rig.toml:2:8: track: bend: 4 m is less than 5 m; write e.g. bend = "60 m left"` + "\n" +
			`rig.toml:3:8: track: from: -1 m is less than 0 m; write e.g. from = "20 m"`},
	{"headlights", "[headlights]\nat = { ahead = \"-0.3 m\", left = \"-0.7 m\", up = \"0.75 m\" }\nrule = \"UN " +
		"R112\"\nbeam = \"main\"\nstrength = 0\ndip = 1" + oneLamp,
		`rig.toml:2:33: headlights: at.left: -0.7 m is less than 0 m; write e.g. left = "0.7 m"` + "\n" +
			`rig.toml:3:8: headlights: rule: "UN R112" is not known; did you mean "UN R149"?` + "\n" +
			`rig.toml:4:8: headlights: beam: "main" is not known; write one of low, high` + "\n" +
			`rig.toml:5:12: headlights: strength: 0 is not above 0; write e.g. strength = 1.5` + "\n" +
			`rig.toml:6:7: headlights: dip: 1 has no unit; write e.g. dip = "1 %"`},
	{"headlights switched on that are not there", "[[scene]]\ncircuits = [\"headlights\"]" + oneLamp,
		`rig.toml:2:13: scene 1: circuits: no lamp is on a circuit "headlights"; the vehicle's own are lamps when the file has [headlights]`},
	{"target of nothing", "[[target]]\nahead = [\"1 m\", \"2 m\"]\nhalf_width = \"1 m\"" + oneLamp,
		`rig.toml:1:3: target 1: none of lux, see is given; write e.g. lux = 10`},
	{"target of lux and sight", "[[target]]\nahead = [\"1 m\", \"2 m\"]\nhalf_width = \"1 m\"\nlux = 1\nsee = " +
		"\"person\"" + oneLamp,
		`rig.toml:5:1: target 1: see: is given beside lux; keep one of them`},
	{"target of sight on a surface", "[[target]]\nahead = [\"1 m\", \"2 m\"]\nhalf_width = \"1 m\"\nsurface = " +
		"\"facing\"\nsee = \"person\"" + oneLamp,
		`rig.toml:5:1: target 1: see: is given beside surface; keep one of them`},
	{"unknown thing", "[[target]]\nahead = [\"1 m\", \"2 m\"]\nhalf_width = \"1 m\"\nsee = \"persn\"" + oneLamp,
		`rig.toml:4:7: target 1: see: no thing is named "persn"; did you mean "person"?`},
	{"thing behind the bumper", "[[target]]\nahead = [\"-2 m\", \"5 m\"]\nhalf_width = \"1 m\"\nsee = " +
		"\"person\"" + oneLamp,
		"rig.toml:2:1: target 1: ahead: begins behind the bumper, and things are looked for ahead of it; " +
			"begin at 0 m or farther on"},
	{"limit of an unknown scene", "[[limit]]\nat = { ahead = \"50 m\", up = \"1 m\" }\nlux = 1\nscene = \"town\"\n" +
		"[[scene]]\nname = \"trail\"" + oneLamp,
		`rig.toml:4:9: limit 1: scene: no scene is named "town"; there are "trail"`},

	// Names.
	{"two lamps of one name", strings.Repeat("[[lamp]]\nname = \"a\"\nat.up = \"2 m\"\nlumens = 9\nspread = 10\n", 2),
		`rig.toml:7:1: lamp "a": the lamp in line 1 has this name as well; give each lamp a name of its own`},
	{"a twin's name", "[[lamp]]\nname = \"a\"\npair = true\nat.up = \"2 m\"\nlumens = 9\nspread = 10\n[[lamp]]\n" +
		"name = \"a (left)\"\nat.up = \"2 m\"\nlumens = 9\nspread = 10",
		`rig.toml:8:1: lamp "a (left)": "a (left)" is also what a lamp of the pair is called; give each lamp a name of its own`},
	{"a headlight's name", "[[lamp]]\nname = \"headlight (left)\"\nat.up = \"2 m\"\nlumens = 9\nspread = 10\n" +
		"[headlights]",
		`rig.toml:2:1: lamp "headlight (left)": "headlight (left)" is what the vehicle's own headlights are called; give each lamp a name of its own`},
	{"unknown circuit", "[[scene]]\nname = \"trail\"\ncircuits = [\"lamp 1\", \"lmap 1\"]\n[[scene]]\ncircuits = " +
		"[\"horn\"]" + oneLamp,
		`rig.toml:3:23: scene "trail": circuits: no lamp is on a circuit "lmap 1"; did you mean "lamp 1"?` + "\n" +
			`rig.toml:5:13: scene 2: circuits: no lamp is on a circuit "horn"; there are "lamp 1"`},
	{"two scenes of one name", "[[scene]]\nname = \"a\"\n[[scene]]\nname = \"a\"" + oneLamp,
		`rig.toml:3:3: scene "a": the scene in line 1 has this name as well; give each scene a name of its own`},

	// What is not TOML: the first thing, and all quantities and words without quotes.
	{"no quotes", "[vehicle]\nlength = 5.2 m\nwidth = 1.9m\neye = { ahead = -2.1 m, up = \"1 m\" }" + oneLamp,
		`rig.toml:2:10: 5.2 m stands without quotes; write length = "5.2 m"` + "\n" +
			`rig.toml:3:9: 1.9m stands without quotes; write width = "1.9m"` + "\n" +
			`rig.toml:4:17: -2.1 m stands without quotes; write ahead = "-2.1 m"`},
	{"no quotes in a list", "[[vehicle.body]]\nahead = [-1.5 m, \"-0.2 m\"]\nleft = [\"-1 m\", \"1 m\"]\nup = [\"1 " +
		"m\", \"2 m\"]" + oneLamp,
		`rig.toml:2:10: -1.5 m stands without quotes; write "-1.5 m"`},
	{"a word without quotes", "units = metric" + oneLamp,
		`rig.toml:1:9: metric stands without quotes; write units = "metric"`},
	{"feet and inches without quotes", "[vehicle]\nwidth = 6'3\"" + oneLamp,
		`rig.toml:2:10: feet and inches stand without quotes; write e.g. "6 ft 3 in"`},
	{"comma without quotes", lampWith("spread = 10\ntilt = 4,5"),
		`rig.toml:6:9: a comma in a number, or a list without brackets; use a point for decimals, e.g. 4.5, and brackets for lists, e.g. [36, 14]`},
	{"no value", "[vehicle]\nwidth =\nlength = 5" + oneLamp,
		`rig.toml:2:8: there is no value; write key = value`},
	{"colon", "name: \"x\"\nunits = \"imperail\"" + oneLamp,
		`rig.toml:1:5: a : after the key; write key = value`},
	{"yes", lampWith("spread = 10\npair = yes"),
		`rig.toml:6:8: yes is neither true nor false; write true or false, in small letters`},
	{"curly quotes", "name = \u201cx\u201d" + oneLamp,
		`rig.toml:1:8: curly quotes; write plain ones: "`},
	{"open text", "name = \"x\nunits = \"imperail\"" + oneLamp,
		`rig.toml:1:10: a text is not closed on its line; put a " at its end`},
	{"open list", "[[vehicle.body]]\nahead = [\"-1 m\", \"1 m\"\nleft = [\"-1 m\", 1]\nup = [\"1 m\", \"2 m\"]" +
		oneLamp,
		`rig.toml:2:1: a list is not closed; put a ] at its end`},
	{"open braces", "[vehicle]\neye = { ahead = \"-1 m\", up = \"1 m\"\nwidth = 1" + oneLamp,
		`rig.toml:2:1: a table in braces is not closed; put a } at its end`},
	{"open at the end of the file", oneLamp[1:] + "turn = [",
		`rig.toml:5:8: a list is not closed; put a ] at its end`},
	{"open long text", "name = \"\"\"x" + oneLamp,
		`rig.toml:1:8: a text in """ is not closed; write texts on one line, in "`},
	{"open header", "[air\nvisibility = 5" + oneLamp,
		`rig.toml:1:5: ] is missing; write e.g. [vehicle], or [[lamp]] for one of several`},
	{"Windows path", "[[lamp]]\nat.up = \"2 m\"\nphotometry = \"C:\\lamps\\x.ies\"",
		`rig.toml:3:17: a \ in a text starts a code such as \n; write \\ or / for it`},
	{"leading zero", lampWith("spread = 10\ntilt = 05"),
		`rig.toml:6:8: a number starts with 0; leave out the leading zeros`},
	{"two on a line", lampWith("spread = 10 tilt = 5"),
		`rig.toml:5:13: something stands behind the value; put it on a line of its own, or a # before it`},
	{"comment of another language", "// my rig" + oneLamp,
		`rig.toml:1:1: this is not a comment; a # starts a comment`},
	{"control character in a comment", "# \x01\nunits = \"imperail\"" + oneLamp,
		`rig.toml:1:3: a control character; leave it out`},
	{"not a rig at all", "<html>\n<body>\n</html>\n",
		`rig.toml:1:1: there is no = after the key; write key = value; a # starts a comment`},

	// What is no text.
	{"NUL", "name = \"a\x00\"" + oneLamp,
		`rig.toml:1:10: a NUL byte: this is not a text file; save it as plain text in UTF-8`},
	{"not UTF-8", "# \xe4\n" + oneLamp,
		`rig.toml:1:3: a character that is not UTF-8; save it as plain text in UTF-8`},
	{"UTF-16", "\xff\xfen\x00",
		`rig.toml:1:1: the file is in UTF-16; save it as plain text in UTF-8`},
	{"columns are characters", "[vehicle]\neye = { \"äöü\" = 1, ahead = 5, up = \"1 m\" }" + oneLamp,
		`rig.toml:2:9: vehicle: key "eye.äöü" is not known; known here: ahead, left, up` + "\n" +
			`rig.toml:2:28: vehicle: eye.ahead: 5 has no unit; write e.g. ahead = "-1.9 m"`},
}

func TestMistakes(t *testing.T) {
	for _, test := range mistakeTests {
		t.Run(test.name, func(t *testing.T) {
			_, err := Read(strings.NewReader(test.file), "rig.toml")
			switch {
			case err == nil:
				t.Errorf("was read; want\n%s", test.want)
			case err.Error() != test.want:
				t.Errorf("\n got %s\nwant %s", err, test.want)
			case !errors.As(err, new(Mistakes)):
				t.Errorf("%T is no Mistakes", err)
			}
		})
	}
}

// lampWith is a lamp whose last lines, from the fifth on, are given.
func lampWith(lines string) string {
	return "[[lamp]]\nname = \"roof bar\"\nat.up = \"2 m\"\nlumens = 9000\n" + lines + "\n"
}

func TestManyMistakes(t *testing.T) {
	var b strings.Builder
	for i := range 70 {
		fmt.Fprintf(&b, "wrong%d = 1\n", i)
	}
	_, err := Read(strings.NewReader(b.String()+oneLamp), "rig.toml")
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != 51 || lines[50] != "… and 20 more" {
		t.Errorf("%d lines, the last of them %q; want 51 and … and 20 more", len(lines), lines[len(lines)-1])
	}
	if mistakes := err.(Mistakes); len(mistakes) != 70 || mistakes[69].Line != 70 {
		t.Errorf("%d mistakes, want 70", len(mistakes))
	}
}
