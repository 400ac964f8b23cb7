package rigfile

// The road of a rig file: its text becomes nodes (toml.go), the nodes become values by the
// description of the format (bind.go, format.go), and the values a rig, once what must hold between
// its tables has been checked.

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/render/units"
)

// Read reads a rig file. The filename is for messages, and for the name of a rig that has none. The
// error is a Mistakes with all that is wrong in the file, or that of a reader that failed.
func Read(from io.Reader, filename string) (*Rig, error) {
	src, err := load(from, filename)
	if err != nil {
		return nil, err
	}
	root, err := parse(src)
	if err != nil {
		return nil, err
	}
	rig := &Rig{Source: filename, Name: nameOf(filename), text: src}
	r := &reader{}
	top := rigSection(rig)
	r.fill(top, root)
	rig.fillNames()
	for i, table := range top.key("lamp").tables {
		rig.Lamps[i].node = table.node
	}
	if len(r.mistakes) == 0 || top.key("lamp").ok() {
		r.checkNames(top.key("lamp").tables, rig.Lamps)
		r.checkScenes(top, rig)
	}
	if len(r.mistakes) > 0 {
		return nil, r.mistakes.sorted()
	}
	return rig, nil
}

// nameOf is a rig by the name of its file.
func nameOf(filename string) string {
	name := strings.TrimSuffix(filepath.Base(filename), filepath.Ext(filename))
	name = strings.Map(printable, strings.ToValidUTF8(name, ""))
	return cmp.Or(strings.TrimSpace(name), "rig")
}

// fillNames gives names to what has none, and the scenes their circuits.
func (rig *Rig) fillNames() {
	for i := range rig.Body {
		fillName(&rig.Body[i].Name, "body", i)
	}
	for i := range rig.Lamps {
		l := &rig.Lamps[i]
		fillName(&l.Name, "lamp", i)
		l.Circuit = cmp.Or(l.Circuit, l.Name)
	}
	for i := range rig.Targets {
		fillName(&rig.Targets[i].Name, "target", i)
	}
	for i := range rig.Limits {
		fillName(&rig.Limits[i].Name, "limit", i)
	}
	all := circuits(rig.Lamps)
	for i := range rig.Scenes {
		s := &rig.Scenes[i]
		fillName(&s.Name, "scene", i)
		if s.Given = true; s.Circuits == nil {
			s.Circuits = all
		}
	}
	if len(rig.Scenes) == 0 {
		rig.Scenes = []Scene{{Name: "all lamps", Circuits: all}}
	}
}

func fillName(name *string, what string, i int) { *name = cmp.Or(*name, ordinal(what, i)) }

// circuits of the lamps, each once, in the order of the lamps.
func circuits(lamps []Lamp) []string {
	var all []string
	for _, l := range lamps {
		if !slices.Contains(all, l.Circuit) {
			all = append(all, l.Circuit)
		}
	}
	return all
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
func (r *reader) checkNames(tables []*section, lamps []Lamp) {
	const remedy = "give each lamp a name of its own"
	first := make(map[string]int)
	for i, lamp := range lamps {
		at := tables[i].node.place
		if name := tables[i].key("name"); name.node != nil {
			at = name.at
		}
		for _, shown := range lamp.shownNames() {
			before, twice := first[shown]
			first[shown] = i
			if !twice || before == i {
				continue
			}
			problem := quantity.Quote(shown) + " is also what a lamp of the pair is called"
			if shown == lamp.Name && shown == lamps[before].Name {
				problem = fmt.Sprintf("the lamp in line %d has this name as well", lamps[before].Pos.Line)
			}
			r.fault(at, tables[i].owner, problem, remedy)
			break
		}
	}
}

// shownNames are the names a lamp has in results, and its own.
func (l Lamp) shownNames() []string {
	if l.Pair {
		return []string{l.Name, l.Name + " (left)", l.Name + " (right)"}
	}
	return []string{l.Name}
}

// checkScenes checks the names of the scenes and the circuits that they name.
func (r *reader) checkScenes(top *section, rig *Rig) {
	all := circuits(rig.Lamps)
	for i, s := range top.key("scene").tables {
		scene := rig.Scenes[i]
		if named := s.key("circuits"); named.ok() {
			for j, name := range scene.Circuits {
				if !slices.Contains(all, name) {
					problem := "no lamp is on a circuit " + quantity.Quote(name)
					r.fault(named.node.items[j].place, s.path("circuits"), problem, oneOf(name, all))
				}
			}
		}
		before := slices.IndexFunc(rig.Scenes[:i], func(other Scene) bool { return other.Name == scene.Name })
		if before >= 0 {
			problem := fmt.Sprintf("the scene in line %d has this name as well", rig.Scenes[before].Pos.Line)
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
