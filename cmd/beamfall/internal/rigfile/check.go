package rigfile

// What must hold between the values of a rig and is more than a rule between keys.

import (
	"fmt"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/geometry/sight"
	"beamfall/render/units"
)

// check checks a rig as a whole.
func (r *reader) check(top *section, rig *Rig) {
	lamps := top.key("lamp")
	r.checkNames(top, rig)
	if !lamps.bad {
		r.checkScenes(top, rig)
	}
	r.checkThings(top, rig)
	if limits := top.key("limit"); top.key("scene").node == nil || top.key("scene").ok() {
		for i, l := range rig.Limits {
			if !slices.ContainsFunc(rig.Scenes, func(s Scene) bool { return l.Scene == "" || s.Name == l.Scene }) {
				scene := limits.tables[i].key("scene")
				problem := "no scene is named " + quantity.Quote(l.Scene)
				r.fault(scene.node.place, limits.tables[i].path("scene"), problem,
					oneOf(l.Scene, sceneNames(rig.Scenes)))
			}
		}
	}
	if aim := top.key("aim").section(); rig.Aim.WorstPitch && rig.Vehicle.Pitch.Value == 0 {
		r.fault(aim.key("worst_pitch").at, aim.path("worst_pitch"), "is given without pitch of the vehicle",
			`write e.g. pitch = "1 deg" in [vehicle] as well`)
	}
}

func sceneNames(scenes []Scene) (names []string) {
	for _, s := range scenes {
		names = append(names, s.Name)
	}
	return names
}

// checkThings checks the names of things, and that targets name things that there are.
func (r *reader) checkThings(top *section, rig *Rig) {
	things, targets := top.key("thing"), top.key("target")
	var names []string
	for i, t := range rig.Things {
		if slices.Contains(names, t.Name) && t.Name != "" {
			r.fault(things.tables[i].node.place, things.tables[i].owner, "a thing above has this name as well",
				"give each thing a name of its own")
		}
		names = append(names, t.Name)
	}
	for _, t := range sight.Things() {
		if !slices.Contains(names, t.Name) {
			names = append(names, t.Name)
		}
	}
	if things.bad {
		return
	}
	for i, t := range rig.Targets {
		if see := targets.tables[i].key("see"); see.ok() && !slices.Contains(names, t.See) {
			problem := "no thing is named " + quantity.Quote(t.See)
			r.fault(see.node.place, targets.tables[i].path("see"), problem, oneOf(t.See, names))
		}
	}
}

// checkField checks the field angle of an optic against its spread.
func (r *reader) checkField(s *section) {
	field, spread, profile := s.key("field"), s.key("spread"), s.key("profile")
	if !field.ok() {
		return
	}
	if profile.ok() && profile.node.text != string(Gaussian) {
		problem := fmt.Sprintf("is given with the profile %s, which has its own", profile.node.text)
		r.fault(field.at, s.path("field"), problem, "leave field out, or "+r.write("profile", `"gaussian"`))
	}
	wide, narrow := field.into.(*Opt[Angles]).Value, *spread.into.(*Angles)
	if spread.ok() && (wide.Across <= narrow.Across || wide.UpDown <= narrow.UpDown) {
		r.fault(field.at, s.path("field"), wide.degrees()+" is not wider than the spread of "+narrow.degrees(),
			"field is the full angle at one tenth of the peak, spread the one at half")
	}
}

// degrees shows one angle, or two where they differ: "36° by 14°".
func (a Angles) degrees() string {
	degrees := func(rad float64) string { return units.DegreesNumber(rad) + "°" }
	if a.Across == a.UpDown {
		return degrees(a.Across)
	}
	return degrees(a.Across) + " by " + degrees(a.UpDown)
}

// checkShares checks that the shares of a lamp's optics are given and add up to 1.
func (r *reader) checkShares(lamp *section, optics []Optic) {
	const tolerance = 0.001
	sum := 0.0
	tables := lamp.key("optic").tables
	for i, t := range tables {
		if t.key("share").node == nil && len(optics) > 1 {
			r.fault(t.node.place, t.owner, "share is missing", "write e.g. "+r.example(t.key("share")))
			return
		}
		sum += optics[i].Share
	}
	if math.Abs(sum-1) > tolerance {
		what := "the shares of the optics add"
		if len(optics) == 1 {
			what = "the share of the only optic adds"
		}
		problem := fmt.Sprintf("%s up to %.4g, not 1", what, sum)
		r.fault(tables[0].node.place, lamp.owner, problem, "they are parts of the lamp's flux")
	}
}

// checkNames checks that no two lamps, twins included, have one name.
func (r *reader) checkNames(top *section, rig *Rig) {
	const remedy = "give each lamp a name of its own"
	tables := top.key("lamp").tables
	first := make(map[string]int)
	for i, lamp := range rig.Lamps {
		table := tables[i]
		at := table.node.place
		if name := table.key("name"); name.node != nil {
			at = name.at
		}
		for _, shown := range lamp.shownNames() {
			before, twice := first[shown]
			first[shown] = i
			own := rig.Headlights.Given && slices.Contains(headlightNames, shown)
			if !own && (!twice || before == i) {
				continue
			}
			problem := quantity.Quote(shown) + " is also what a lamp of the pair is called"
			switch {
			case own:
				problem = quantity.Quote(shown) + " is what the vehicle's own headlights are called"
			case shown == lamp.Name && shown == rig.Lamps[before].Name:
				problem = fmt.Sprintf("the lamp in %s has this name as well", rig.Lamps[before].Pos.from(lamp.Pos))
			}
			r.fault(at, table.owner, problem, remedy)
			break
		}
	}
}

var headlightNames = Lamp{Name: "headlight", Pair: true}.shownNames()

// shownNames are the names a lamp has in results, and its own.
func (l Lamp) shownNames() []string {
	if l.Pair {
		return []string{l.Name, l.Name + " (left)", l.Name + " (right)"}
	}
	return []string{l.Name}
}

// checkScenes checks the names of the scenes and the circuits that they name.
func (r *reader) checkScenes(top *section, rig *Rig) {
	all := rig.circuits()
	gone := func(circuit string) bool {
		return slices.Contains(r.removed, circuit) && !slices.Contains(all, circuit)
	}
	for i, s := range top.key("scene").tables {
		scene := rig.Scenes[i]
		if named := s.key("circuits"); named.ok() {
			for j, name := range scene.Circuits {
				if !slices.Contains(all, name) && !gone(name) {
					problem, remedy := "no lamp is on a circuit "+quantity.Quote(name), oneOf(name, all)
					if name == HeadlightCircuit {
						remedy = "the vehicle's own are lamps when the file has [headlights]"
					}
					r.fault(named.node.items[j].place, s.path("circuits"), problem, remedy)
				}
			}
		}
		rig.Scenes[i].Circuits = slices.DeleteFunc(scene.Circuits, gone)
		before := slices.IndexFunc(rig.Scenes[:i], func(other Scene) bool { return other.Name == scene.Name })
		if before >= 0 {
			problem := fmt.Sprintf("the scene in %s has this name as well", rig.Scenes[before].Pos.from(scene.Pos))
			r.fault(s.node.place, s.owner, problem, "give each scene a name of its own")
		}
	}
}

// oneOf is the remedy for a name that is none of some: the nearest of them, or the first few.
func oneOf(name string, names []string) string {
	if guess := Nearest(name, names); guess != "" {
		return fmt.Sprintf("did you mean %s?", quantity.Quote(guess))
	}
	const few = 8
	var quoted []string
	for _, name := range names[:min(few, len(names))] {
		quoted = append(quoted, quantity.Quote(name))
	}
	if len(names) > few {
		quoted = append(quoted, "…")
	}
	return "there are " + commas(quoted)
}
