package rigfile

// From records to a Rig, with what must hold between keys of different tables.

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

// Read reads a rig file. The filename is for messages, and for the name of a rig that has none. The error is a Mistakes
// with all that is wrong in the file, or that of a reader that failed.
func Read(r io.Reader, filename string) (*Rig, error) {
	src, ok, err := readAll(r, filename)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, src.mistakes
	}
	root, torn := readTOML(src)
	rig := bindRig(src, root, torn, nameOf(filename))
	rig.Source = filename
	if len(src.mistakes) > 0 {
		return nil, src.mistakes.sorted()
	}
	return rig, nil
}

// nameOf is a rig by the name of its file.
func nameOf(filename string) string {
	name := strings.TrimSuffix(filepath.Base(filename), filepath.Ext(filename))
	name = strings.Map(func(r rune) rune {
		if upsetting(r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(name, ""))
	return cmp.Or(strings.TrimSpace(name), "rig")
}

func bindRig(src *source, root *node, torn bool, name string) *Rig {
	b := &binder{source: src, torn: torn}
	r := b.table(root, rigSheet, where{})
	rig := &Rig{
		Name:     r.textOr("name", name),
		Units:    Opt[units.System]{Given: r.values["units"].given},
		Vehicle:  b.vehicle(r.inner("vehicle")),
		Ground:   b.ground(r.inner("ground")),
		Stopping: b.stopping(r.inner("stopping")),
		Air:      b.air(r.inner("air")),
	}
	if r.text("units") == units.Imperial.String() {
		rig.Units.Value = units.Imperial
	}
	for i, body := range r.inner("vehicle").all("body") {
		rig.Body = append(rig.Body, Box{
			Name:  body.textOr("name", ordinal("body", i)),
			Ahead: body.interval("ahead").Value, Left: body.interval("left").Value, Up: body.interval("up").Value,
			Pos: b.position(body.at),
		})
	}
	for i, lamp := range r.all("lamp") {
		rig.Lamps = append(rig.Lamps, b.lamp(lamp, i))
	}
	b.names(rig.Lamps, r.all("lamp"))
	rig.Scenes = b.scenes(r, rig.Lamps)
	for i, target := range r.all("target") {
		rig.Targets = append(rig.Targets, b.target(target, i))
	}
	for i, limit := range r.all("limit") {
		rig.Limits = append(rig.Limits, Limit{
			Name: limit.textOr("name", ordinal("limit", i)),
			At:   limit.point("at").Value, Lux: limit.number("lux").Value, Pos: b.position(limit.at),
		})
	}
	return rig
}

func (b *binder) vehicle(r *record) Vehicle {
	v := Vehicle{
		Length: r.number("length"), Width: r.number("width"),
		Wheelbase: r.number("wheelbase"), FrontOverhang: r.number("front_overhang"),
		Eye: r.point("eye"), NoseUpDriven: r.number("nose_up_driven"),
		Pos: b.pos(r),
	}
	if v.NoseUpDriven.Value != 0 && !b.torn {
		for _, name := range []string{"wheelbase", "front_overhang"} {
			if !r.values[name].given {
				b.fault(r.values["nose_up_driven"].at, "vehicle: nose_up_driven", "is given without "+name,
					"write e.g. "+b.example(vehicleSheet.find(name))+" as well")
			}
		}
	}
	return v
}

func (b *binder) ground(r *record) Ground {
	g := Ground{
		Grade: r.number("grade"), CrossFall: r.number("cross_fall"), Reflectance: r.number("reflectance"), Pos: b.pos(r),
	}
	for pair := range slices.Chunk(r.values["profile"].numbers, 2) {
		g.Profile = append(g.Profile, GroundPoint{Ahead: pair[0], Height: pair[1]})
	}
	return g
}

func (b *binder) stopping(r *record) Stopping {
	return Stopping{Reaction: r.number("reaction"), Braking: r.number("braking"), Pos: b.pos(r)}
}

func (b *binder) air(r *record) Air {
	return Air{Visibility: r.number("visibility"), Pos: b.pos(r)}
}

// lamp makes the i-th lamp.
func (b *binder) lamp(r *record, i int) Lamp {
	l := Lamp{
		Name: r.textOr("name", ordinal("lamp", i)),
		At:   r.point("at").Value, Pair: r.values["pair"].truth,
		Tilt: r.number("tilt"), Turn: r.number("turn"), Roll: r.number("roll"), Width: r.number("width"),
		Lumens: r.number("lumens"), Peak: r.number("peak"), OneLuxAt: r.number("one_lux_at"), Output: r.number("output"),
		Photometry: r.text("photometry"),
		TiltRange:  r.interval("tilt_range"), TiltStep: r.number("tilt_step"),
		TurnRange: r.interval("turn_range"), TurnStep: r.number("turn_step"),
		Pos: b.position(r.at),
	}
	if l.Photometry != "" {
		l.NamedAt = b.position(r.values["photometry"].at)
	}
	l.Circuit = r.textOr("circuit", l.Name)
	switch optics := r.all("optic"); {
	case len(optics) > 0:
		b.shares(r, optics)
		for _, optic := range optics {
			l.Optics = append(l.Optics, b.optic(optic))
		}
	case r.values["spread"].given:
		l.Optics = []Optic{b.optic(r)}
	}
	return l
}

// optic makes an optic from its own table, or from the lamp's.
func (b *binder) optic(r *record) Optic {
	o := Optic{
		Share: 1, Span: Whole, Profile: Profile(r.text("profile")),
		Spread: r.angles("spread").Value, Field: r.angles("field"), Pos: b.position(r.at),
	}
	if share, ok := r.values["share"]; ok && !share.wrong {
		o.Share = share.numbers[0]
		o.Span = Span(r.text("span"))
	}
	field, spread := r.values["field"], r.values["spread"]
	if !field.given || field.wrong {
		return o
	}
	key := where{owner: r.owner}.key("field")
	if profile := r.values["profile"]; !profile.wrong && profile.text != string(Gaussian) {
		b.fault(field.at, key, fmt.Sprintf("is given with the profile %s, which has its own", profile.text),
			"leave field out, or "+b.write("profile", `"gaussian"`))
	}
	if !spread.wrong && spread.given && (field.numbers[0] <= spread.numbers[0] || field.numbers[1] <= spread.numbers[1]) {
		b.fault(field.at, key, inDegrees(field.numbers)+" is not wider than the spread of "+inDegrees(spread.numbers),
			"field is the full angle at one tenth of the peak, spread the one at half")
	}
	return o
}

// inDegrees shows one angle, or two where they differ: "36° by 14°".
func inDegrees(angles []float64) string {
	degrees := func(rad float64) string { return units.DegreesNumber(rad) + "°" }
	if angles[0] == angles[1] {
		return degrees(angles[0])
	}
	return degrees(angles[0]) + " by " + degrees(angles[1])
}

// shares checks that the shares of a lamp's optics are given and add up to 1.
func (b *binder) shares(r *record, optics []*record) {
	const tolerance = 0.001
	sum := 0.0
	for _, optic := range optics {
		share := optic.values["share"]
		switch {
		case share.wrong:
			return
		case !share.given && len(optics) > 1:
			if !b.torn {
				b.fault(optic.at, optic.owner, "share is missing", "write e.g. "+b.example(opticSheet.find("share")))
			}
			return
		}
		sum += share.numbers[0]
	}
	if math.Abs(sum-1) > tolerance && !b.torn {
		what := "the shares of the optics add"
		if len(optics) == 1 {
			what = "the share of the only optic adds"
		}
		b.fault(optics[0].at, r.owner, fmt.Sprintf("%s up to %.4g, not 1", what, sum), "they are parts of the lamp's flux")
	}
}

// names checks that no two lamps, twins included, have one name.
func (b *binder) names(lamps []Lamp, records []*record) {
	const remedy = "give each lamp a name of its own"
	seen := make(map[string]int)
	for i, lamp := range lamps {
		name := records[i].values["name"]
		at := records[i].at
		if name.given {
			at = name.at
		}
		for _, shown := range shownNames(lamp) {
			before, twice := seen[shown]
			seen[shown] = i
			if !twice || before == i {
				continue
			}
			line := b.position(records[before].at).Line
			switch {
			case shown == lamp.Name && shown == lamps[before].Name:
				b.fault(at, records[i].owner, fmt.Sprintf("the lamp in line %d has this name as well", line), remedy)
			default:
				b.fault(at, records[i].owner, quantity.Quote(shown)+" is also what a lamp of the pair is called", remedy)
			}
			break
		}
	}
}

// shownNames are the names a lamp has in results, and its own.
func shownNames(l Lamp) []string {
	if l.Pair {
		return []string{l.Name, l.Name + " (left)", l.Name + " (right)"}
	}
	return []string{l.Name}
}

// scenes makes the scenes, and checks the circuits they name.
func (b *binder) scenes(r *record, lamps []Lamp) []Scene {
	all := circuits(lamps)
	if !r.values["scene"].given {
		return []Scene{everything(all)}
	}
	known := !b.torn && !r.values["lamp"].wrong && r.values["lamp"].given
	for _, lamp := range r.all("lamp") {
		known = known && !lamp.values["circuit"].wrong && !lamp.values["name"].wrong
	}
	var scenes []Scene
	for i, scene := range r.all("scene") {
		s := Scene{Name: scene.textOr("name", ordinal("scene", i)), Circuits: all, Given: true, Pos: b.position(scene.at)}
		if list := scene.values["circuits"]; list.given {
			s.Circuits = append([]string{}, list.texts...)
			for j, name := range list.texts {
				if known && !slices.Contains(all, name) {
					remedy := "there are " + commas(firstFew(all))
					if guess := Nearest(name, all); guess != "" {
						remedy = fmt.Sprintf("did you mean %s?", quantity.Quote(guess))
					}
					b.fault(list.places[j], scene.owner+": circuits",
						"no lamp is on a circuit "+quantity.Quote(name), remedy)
				}
			}
		}
		if before := slices.IndexFunc(scenes, func(other Scene) bool { return other.Name == s.Name }); before >= 0 {
			b.fault(scene.at, scene.owner, fmt.Sprintf("the scene in line %d has this name as well", scenes[before].Pos.Line),
				"give each scene a name of its own")
		}
		scenes = append(scenes, s)
	}
	return scenes
}

// everything is the scene of a rig that has none.
func everything(circuits []string) Scene { return Scene{Name: "all lamps", Circuits: circuits} }

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

// firstFew of some names, in quotes.
func firstFew(names []string) []string {
	const few = 8
	var quoted []string
	for i, name := range names {
		if i == few {
			return append(quoted, "…")
		}
		quoted = append(quoted, quantity.Quote(name))
	}
	return quoted
}

func (b *binder) target(r *record, i int) Target {
	t := Target{
		Name:  r.textOr("name", ordinal("target", i)),
		Ahead: r.interval("ahead").Value, HalfWidth: r.number("half_width").Value,
		Surface: Surface(r.text("surface")), Up: r.number("up"),
		Lux: r.number("lux").Value, Weight: r.number("weight"), Pos: b.position(r.at),
	}
	if t.Up.Given && t.Surface == OnGround && !r.values["surface"].wrong {
		b.fault(r.values["up"].at, r.owner+": up", "is given for the ground, which has no height",
			`leave it out, or write surface = "facing"`)
	}
	return t
}

// pos is where a table is; nowhere when it is not given.
func (b *binder) pos(r *record) Position {
	if r.at < 0 {
		return Position{}
	}
	return b.position(r.at)
}

// The values of a record, by key.

func (r *record) text(name string) string { return r.values[name].text }

func (r *record) textOr(name, other string) string {
	if v := r.values[name]; v.given && !v.wrong {
		return v.text
	}
	return other
}

func (r *record) number(name string) Opt[float64] {
	v := r.values[name]
	if len(v.numbers) == 0 {
		return Opt[float64]{}
	}
	return Opt[float64]{v.numbers[0], v.given}
}

func (r *record) interval(name string) Opt[Interval] {
	v := r.values[name]
	if len(v.numbers) < 2 {
		return Opt[Interval]{}
	}
	return Opt[Interval]{Interval{v.numbers[0], v.numbers[1]}, v.given}
}

func (r *record) angles(name string) Opt[Angles] {
	v := r.interval(name)
	return Opt[Angles]{Angles{v.Value.Low, v.Value.High}, v.Given}
}

// point is a place in a table of its own, or in the record itself as --lamp has it.
func (r *record) point(name string) Opt[Point] {
	v, inTable := r.values[name]
	if !inTable {
		up := r.number("up")
		if !up.Given {
			up = r.number("height")
		}
		return Opt[Point]{Point{r.number("ahead").Value, r.number("left").Value, up.Value}, true}
	}
	if len(v.records) == 0 {
		return Opt[Point]{}
	}
	p := v.records[0]
	return Opt[Point]{Point{p.number("ahead").Value, p.number("left").Value, p.number("up").Value}, v.given}
}

// inner is a table that there is one of; when it is not given, one with all its defaults.
func (r *record) inner(name string) *record {
	if v := r.values[name]; len(v.records) > 0 {
		return v.records[0]
	}
	s := r.sheet.find(name).inside
	empty := &record{sheet: s, at: -1, values: make(map[string]*value, len(s.keys))}
	for i := range s.keys {
		empty.values[s.keys[i].name] = preset(&s.keys[i])
	}
	return empty
}

// all are the tables of a key that may have several; none where the description leaves the key out.
func (r *record) all(name string) []*record {
	if v, ok := r.values[name]; ok {
		return v.records
	}
	return nil
}
