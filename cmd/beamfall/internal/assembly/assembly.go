// Package assembly puts a rig together: what the file says becomes lamps that shine, on a vehicle,
// on the ground.
package assembly

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"

	"beamfall/beam"
	"beamfall/beam/lm63"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rig is a rig put together. Lamps are single lamps: a pair has become two. A lamp's key number is
// its index plus 1.
type Rig struct {
	File    *rigfile.Rig
	Site    *geometry.Site
	Lamps   []Lamp
	Scenes  []Scene
	Shown   []int // indexes of the lamps to look at: all that are set, until Choose or Only leave fewer
	Braking geometry.Braking
	Driver  sight.Observer
	Things  []sight.Thing // the built-in ones, replaced where the file has one of the same name, then those of the file
	Doubts  []string      // about photometric files

	chosen     bool         // the scenes are those that were asked for
	headlights rigfile.Lamp // what [headlights] comes to
	beams      map[rated]beam.Distribution
}

// rated is what a modelled distribution follows from.
type rated struct {
	shape beam.Shape
	flux  float64 // lm
}

// Lamp is one lamp of a rig.
type Lamp struct {
	geometry.Lamp
	Entry int // index of the lamp, or of the pair it is of, in the file; of headlights, one past its last
	Twin  bool
}

// Scene is what is lit together: indexes of lamps.
type Scene struct {
	Name  string
	Lamps []int
}

// Assemble puts a rig together. The error is a rigfile.Mistakes with every lamp that cannot be.
func Assemble(file *rigfile.Rig, open rigfile.Open) (*Rig, error) {
	r := &Rig{
		File: file, Site: site(file), Things: things(file.Things),
		Braking: geometry.Braking{
			Reaction: file.Stopping.Reaction.Value, Deceleration: file.Stopping.Braking.Value,
			Slope: file.Ground.Slope.Value,
		},
		Driver: sight.Observer{
			Age: file.Driver.Age.Value, Glance: file.Driver.Glance.Value, Level: file.Driver.VisibilityLevel.Value,
		},
		beams: map[rated]beam.Distribution{},
	}
	var mistakes rigfile.Mistakes
	for i := range file.Lamps {
		if err := r.mount(i, open); err != nil {
			mistakes = append(mistakes, mistake(file, &file.Lamps[i], err))
		}
	}
	if len(mistakes) > 0 {
		return nil, mistakes
	}
	if file.Headlights.Given {
		r.mountHeadlights()
	}
	for i := range r.Lamps {
		r.Shown = append(r.Shown, i)
	}
	r.Shown = r.Settable(r.Shown)
	for _, s := range file.Scenes {
		r.Scenes = append(r.Scenes, r.scene(s))
	}
	return r, nil
}

// scene is one of those of the file, with the lamps that it lights.
func (r *Rig) scene(s rigfile.Scene) Scene {
	out := Scene{Name: s.Name}
	for i, l := range r.Lamps {
		if slices.Contains(s.Circuits, l.Circuit) || r.EntryOf(i).EveryScene {
			out.Lamps = append(out.Lamps, i)
		}
	}
	return out
}

// Circuits are the circuits of a scene, each with the lamps of the scene that are on it, in the
// order in which one adds them to one another: first the vehicle's own headlights, then as the
// scene of the file names them, at last those of added lamps.
func (r *Rig) Circuits(s Scene) (out []Scene) {
	names := []string{rigfile.HeadlightCircuit}
	for _, named := range r.File.Scenes {
		if named.Name == s.Name {
			names = append(names, named.Circuits...)
		}
	}
	for _, n := range s.Lamps {
		names = append(names, r.Lamps[n].Circuit)
	}
	for i, name := range names {
		if slices.Contains(names[:i], name) {
			continue
		}
		c := Scene{Name: name}
		for _, n := range s.Lamps {
			if r.Lamps[n].Circuit == name {
				c.Lamps = append(c.Lamps, n)
			}
		}
		if len(c.Lamps) > 0 {
			out = append(out, c)
		}
	}
	return out
}

// SceneNamed is the scene of the file with a name, whatever was chosen; false where there is none.
func (r *Rig) SceneNamed(name string) (Scene, bool) {
	i := slices.IndexFunc(r.File.Scenes, func(s rigfile.Scene) bool { return s.Name == name })
	if i < 0 {
		return Scene{}, false
	}
	return r.scene(r.File.Scenes[i]), true
}

// mistake is what keeps a lamp from shining, where the file says so.
func mistake(file *rigfile.Rig, l *rigfile.Lamp, err error) rigfile.Mistake {
	m := rigfile.Mistake{
		File: l.Pos.File, Line: l.Pos.Line, Column: l.Pos.Column,
		Key: "lamp " + quantity.Quote(l.Name), Problem: err.Error(),
	}
	if l.Photometry != "" {
		m.File, m.Line, m.Column = l.NamedAt.File, l.NamedAt.Line, l.NamedAt.Column
		m.Key += ": photometry"
	}
	return m
}

func site(file *rigfile.Rig) *geometry.Site {
	s := &geometry.Site{
		Ground:     geometry.Ground{Grade: file.Ground.Grade.Value, CrossFall: file.Ground.CrossFall.Value},
		Track:      file.Track,
		Length:     file.Vehicle.Length.Value,
		Visibility: file.Air.Visibility.Value,
	}
	for _, p := range file.Ground.Profile {
		s.Ground.Profile = append(s.Ground.Profile, geometry.Knot{Ahead: p.Ahead, Height: p.Height})
	}
	for _, b := range file.Body {
		s.Body = append(s.Body, geometry.Box{
			Name: b.Name,
			Min:  r3.Vec{X: b.Ahead.Low, Y: b.Left.Low, Z: b.Up.Low},
			Max:  r3.Vec{X: b.Ahead.High, Y: b.Left.High, Z: b.Up.High},
		})
	}
	switch v := file.Vehicle; {
	case v.Driven.Given:
		d := v.Driven.Value
		s.Attitude = geometry.Raised(d.Front, d.Rear, -v.FrontOverhang.Value, rearAxle(v))
	case v.NoseUpDriven.Value != 0:
		s.Attitude = geometry.NoseUp(v.NoseUpDriven.Value, rearAxle(v))
	}
	return s
}

// rearAxle is where the rear axle is along the vehicle, m.
func rearAxle(v rigfile.Vehicle) float64 { return -(v.FrontOverhang.Value + v.Wheelbase.Value) }

// Pitched is the site with the nose up by an angle (rad) more than driven, down where it is
// negative: by the pitch of the vehicle, say. The file has to say where the axles are.
func (r *Rig) Pitched(noseUp float64) *geometry.Site {
	s := *r.Site
	s.Attitude = s.Attitude.Pitched(noseUp, rearAxle(r.File.Vehicle))
	return &s
}

// On is the rig on another track.
func (r *Rig) On(track geometry.Track) *Rig {
	on, site, file := *r, *r.Site, *r.File
	site.Track, file.Track = track, track
	on.Site, on.File = &site, &file
	return &on
}

// Keep gives lamps that have the same optics as one of another rig the very same: to find out that
// they are takes a while, and what is known of them need not be worked out again.
func (r *Rig) Keep(before *Rig) {
	for i := range r.Lamps {
		for k := range before.Lamps {
			if was := before.Lamps[k].Optics; reflect.DeepEqual(r.Lamps[i].Optics, was) {
				r.Lamps[i].Optics = was
				break
			}
		}
	}
}

// Around is what is around the lamps: how bright the sky is, what the ground throws back, and what
// hangs in the air.
func (r *Rig) Around() sight.Around {
	around := sight.AtNight(r.File.Ground.Reflectance.Value)
	around.Sky, around.Particles = r.File.Air.Sky.Value, r.File.Air.Particles
	return around
}

func things(own []sight.Thing) []sight.Thing {
	all := sight.Things()
	for _, t := range own {
		same := slices.IndexFunc(all, func(other sight.Thing) bool { return other.Name == t.Name })
		if same >= 0 {
			all[same] = t
		} else {
			all = append(all, t)
		}
	}
	return all
}

// mount adds lamp i of the file, and its twin.
func (r *Rig) mount(i int, open rigfile.Open) error {
	l := &r.File.Lamps[i]
	optics, err := r.optics(l, open)
	if err != nil {
		return err
	}
	one := geometry.Lamp{
		Name: l.Name, Circuit: l.Circuit, Width: l.Width.Value, Optics: optics,
		At:  r3.Vec{X: l.At.Ahead, Y: l.At.Left, Z: l.At.Up},
		Aim: geometry.Aim{Tilt: l.Tilt.Value, Turn: l.Turn.Value, Roll: l.Roll.Value},
	}
	if l.Pair {
		r.pair(one, i)
	} else {
		r.Lamps = append(r.Lamps, Lamp{Lamp: one, Entry: i})
	}
	return nil
}

// pair adds a lamp and its mirror image, which are one entry of the file.
func (r *Rig) pair(one geometry.Lamp, entry int) {
	name, twin := one.Name, one
	twin.At.Y = -one.At.Y
	twin.Aim.Turn, twin.Aim.Roll = -one.Aim.Turn, -one.Aim.Roll
	if one.At.Y >= 0 {
		one.Name, twin.Name = name+" (left)", name+" (right)"
		r.Lamps = append(r.Lamps, Lamp{one, entry, false}, Lamp{twin, entry, true})
	} else {
		one.Name, twin.Name = name+" (right)", name+" (left)"
		r.Lamps = append(r.Lamps, Lamp{twin, entry, true}, Lamp{one, entry, false})
	}
}

// Settable leaves of some lamps those that are set: the vehicle's headlights are not.
func (r *Rig) Settable(lamps []int) []int {
	return slices.DeleteFunc(slices.Clone(lamps), r.IsHeadlight)
}

// optics are the lenses of a lamp, scaled to what it is rated for.
func (r *Rig) optics(l *rigfile.Lamp, open rigfile.Open) ([]geometry.Optic, error) {
	if l.Photometry != "" {
		d, err := r.photometry(l, open)
		if err != nil {
			return nil, err
		}
		return []geometry.Optic{{Beam: d}}, nil
	}
	var middles float64
	shapes := make([]beam.Shape, len(l.Optics))
	unit := make(beam.Mix, len(l.Optics)) // with a flux of 1 lm in all
	for i, o := range l.Optics {
		shapes[i] = shape(o)
		if err := shapes[i].Validate(); err != nil {
			return nil, err
		}
		unit[i] = shapes[i].WithFlux(o.Share)
		if o.Span == rigfile.Middle {
			middles += o.Share
		}
	}
	flux := l.Lumens.Value * l.Output.Value
	switch {
	case l.Peak.Given:
		flux = l.Peak.Value / unit.Peak()
	case l.OneLuxAt.Given: // E = I/d² = 1 lx
		flux = l.OneLuxAt.Value * l.OneLuxAt.Value / unit.Peak()
	}
	optics := make([]geometry.Optic, len(l.Optics))
	for i, o := range l.Optics {
		// A weaker optic is a slip of the pen, and so near to nothing that numbers lose their
		// digits.
		const dark = 1e-9 // cd, as for photometric files
		if peak := unit[i].Peak() * flux; !(peak >= dark) {
			return nil, fmt.Errorf("a peak of %.3g cd is next to no light; at least %g cd would be right", peak, dark)
		}
		optics[i].Beam = r.beam(shapes[i], flux*o.Share)
		switch o.Span {
		case rigfile.Middle:
			optics[i].Span = geometry.Middle(o.Share)
		case rigfile.Ends: // what the middle leaves; without a middle, its own share
			middle := middles
			if middle == 0 {
				middle = 1 - o.Share
			}
			if middle < 1-1e-9 {
				optics[i].Span = geometry.Ends(middle)
			}
		}
	}
	return optics, nil
}

// beam is a shape with a flux (lm): one distribution for all optics that have it.
func (r *Rig) beam(s beam.Shape, flux float64) beam.Distribution {
	key := rated{s, flux}
	if r.beams[key] == nil {
		r.beams[key] = s.WithFlux(flux)
	}
	return r.beams[key]
}

func shape(o rigfile.Optic) beam.Shape {
	spread := beam.Angles(o.Spread)
	switch {
	case o.Profile == rigfile.Cosine:
		return beam.Cosine(spread)
	case o.Profile == rigfile.Uniform:
		return beam.Uniform(spread)
	case o.Field.Given:
		return beam.GaussianField(spread, beam.Angles(o.Field.Value))
	}
	return beam.Gaussian(spread)
}

func (r *Rig) photometry(l *rigfile.Lamp, open rigfile.Open) (beam.Distribution, error) {
	path, err := rigfile.Resolve(l.NamedAt.File, l.Photometry)
	if err != nil {
		return nil, err
	}
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	file, err := lm63.Read(f)
	inside := rigfile.Inside(l.NamedAt.File, path)
	switch {
	case err != nil && !inside:
		return nil, fmt.Errorf("%s: %s", l.Photometry, withoutContent(err))
	case err != nil:
		return nil, fmt.Errorf("%s: %w", l.Photometry, err)
	case !inside:
		r.Doubts = append(r.Doubts, fmt.Sprintf("%s: %s is outside the folder of the rig; it does not go with the rig",
			l.Name, l.Photometry))
	}
	for _, d := range file.Doubts {
		r.Doubts = append(r.Doubts, fmt.Sprintf("%s: %s: %s", l.Name, l.Photometry, d))
	}
	rated, absolute := file.RatedLumens()
	if !l.Lumens.Given {
		return file.Distribution(1), nil
	}
	if absolute {
		return nil, fmt.Errorf("%s is absolute (its intensities are measured as they are), so lumens cannot scale it; "+
			"leave lumens out", l.Photometry)
	}
	if !(rated > 0) {
		return nil, fmt.Errorf("%s is rated for %g lm, which lumens cannot scale; leave lumens out", l.Photometry,
			rated)
	}
	d, flux := file.Distribution(1), l.Lumens.Value*l.Output.Value
	// A file may be rated for next to nothing.
	const brightest = 1e10 // cd, as for candela values in files
	if peak := d.Peak() * (flux / rated); !(peak > 0 && peak <= brightest) {
		return nil, fmt.Errorf("%s is rated for %g lm, and %g lm of it have a peak of %g cd; "+
			"leave lumens out, or mend one of the ratings",
			l.Photometry, rated, flux, peak)
	}
	return file.Distribution(flux / rated), nil
}

var lineOf = regexp.MustCompile(`^line \d+`)

// withoutContent says where an LM-63 file is wrong and nothing that stands in it: a rig that is
// mailed may name any file of whoever reads it.
func withoutContent(err error) string {
	line := cmp.Or(lineOf.FindString(err.Error()), "it")
	return line + " is not as LM-63 files have it (not shown, for the file is outside the folder of the rig)"
}

// Raw are the lamps shown of which the file does not say how much of the rated flux leaves the
// lens.
func (r *Rig) Raw() (names []string) {
	for i := range r.File.Lamps {
		l := &r.File.Lamps[i]
		shown := slices.ContainsFunc(r.Shown, func(n int) bool { return r.Lamps[n].Entry == i })
		if shown && l.Lumens.Given && !l.Output.Given && l.Photometry == "" {
			names = append(names, l.Name)
		}
	}
	return names
}

// Notes say what the figures of the lamps shown rest on that the file does not give.
func (r *Rig) Notes() (notes []string) {
	if raw := r.Raw(); len(raw) > 0 {
		notes = append(notes, OutputNote(raw))
	}
	for _, note := range []string{r.HeadlightNote(), r.StoppingNote(), r.denseNote()} {
		if note != "" {
			notes = append(notes, note)
		}
	}
	return notes
}

// TooDense tells whether the air is too dense for a range of sight to be named.
func (r *Rig) TooDense() bool {
	return !r.File.Air.Particles.None() && r.Site.Visibility > 0 && r.Site.Visibility < sight.LeastVisibility
}

func (r *Rig) denseNote() string {
	if !r.TooDense() {
		return ""
	}
	u := r.System()
	return fmt.Sprintf("visibility %s: below %s no range of sight is named, for light that is scattered more than "+
		"once is not worked out",
		u.Chosen(r.Site.Visibility), u.Chosen(sight.LeastVisibility))
}

// StoppingNote says what stopping distances rest on that the file does not give; nothing when it
// gives all.
func (r *Rig) StoppingNote() string {
	hill := ""
	if slope := r.Braking.Slope; slope != 0 {
		hill = fmt.Sprintf("on a hill of %+.4g %% (slope, + upward)", 100*slope)
		if math.IsInf(r.Braking.Distance(1), 1) {
			hill += fmt.Sprintf(" brakes that give %s on the level do not stop the vehicle",
				r.System().Acceleration(r.Braking.Deceleration))
		}
	}
	source := ""
	switch s := r.File.Stopping; {
	case s.Reaction.Given && s.Braking.Given:
		if hill == "" {
			return ""
		}
		return "stopping: " + hill
	case !s.Reaction.Given && !s.Braking.Given:
		source = " (AASHTO design values)"
	}
	if hill != "" {
		hill = "; " + hill
	}
	return fmt.Sprintf("stopping: %g s reaction and %s braking%s; loose or wet ground brakes less%s.",
		r.Braking.Reaction, r.System().Acceleration(r.Braking.Deceleration), source, hill)
}

// OutputNote is what must be said of lamps whose delivered flux is not known.
func OutputNote(lamps []string) string {
	return fmt.Sprintf("output is not given for %s: all rated lumens are taken to leave the lens. "+
		"Printed ratings are often those of the bare LEDs; then less comes out "+
		"(common practice, no source: 0.6 to 0.8 of it).", List(lamps))
}

// List is names in words, at most four of them.
func List(names []string) string {
	const most = 4
	text := ""
	for i, n := range names {
		switch {
		case i == most:
			return fmt.Sprintf("%s and %d more", text, len(names)-most)
		case i > 0 && i == len(names)-1:
			text += " and "
		case i > 0:
			text += ", "
		}
		text += n
	}
	return text
}

// Aimed is the rig with its lamps aimed another way. What the file says stays as it is.
func (r *Rig) Aimed(aims []geometry.Aim) *Rig {
	out := *r
	out.Lamps = slices.Clone(r.Lamps)
	for i, a := range aims {
		out.Lamps[i].Aim = a
	}
	return &out
}

// Lit is the lamps of a scene, as driven.
func (r *Rig) Lit(s Scene) *geometry.Scene { return r.on(r.Site, s) }

// LitPitched is the lamps of a scene with the nose up by an angle (rad) more than driven, as
// Pitched is the site.
func (r *Rig) LitPitched(s Scene, noseUp float64) *geometry.Scene { return r.on(r.Pitched(noseUp), s) }

// LitParked is the lamps of a scene with the vehicle parked on level ground in clear air, as they
// are set.
func (r *Rig) LitParked(s Scene) *geometry.Scene { return r.on(&geometry.Site{Body: r.Site.Body}, s) }

func (r *Rig) on(site *geometry.Site, s Scene) *geometry.Scene {
	lamps := make([]geometry.Lamp, len(s.Lamps))
	for i, n := range s.Lamps {
		lamps[i] = r.Lamps[n].Lamp
	}
	return site.Scene(lamps...)
}

// Choose leaves in the rig the scenes of these names, and the lamps in them to be shown. The error
// names the scenes that there are.
func (r *Rig) Choose(names []string) error {
	var chosen []Scene
	var lit []int
	for _, name := range names {
		i := slices.IndexFunc(r.Scenes, func(s Scene) bool { return s.Name == name })
		if i < 0 {
			return Unknown("scene", name, sceneNames(r.Scenes))
		}
		chosen = append(chosen, r.Scenes[i])
		lit = append(lit, r.Scenes[i].Lamps...)
	}
	slices.Sort(lit)
	r.Scenes, r.Shown, r.chosen = chosen, r.Settable(slices.Compact(lit)), true
	return nil
}

// Only leaves the lamps of a name: of a lamp, of a pair or of one of its two. Scenes that have none
// of them are dropped; if that is all of them, the lamps get a scene of their own. A scene that was
// chosen must have one: if not, the error names those that do.
func (r *Rig) Only(name string) error {
	var keep []int
	var names, circuits []string
	for i, l := range r.Lamps {
		if l.Name == name || r.EntryOf(i).Name == name {
			keep, circuits = append(keep, i), append(circuits, l.Circuit)
		}
		names = append(names, l.Name)
	}
	if len(keep) == 0 {
		return Unknown("lamp", name, names)
	}
	var scenes []Scene
	for _, s := range r.Scenes {
		lamps := slices.DeleteFunc(slices.Clone(s.Lamps), func(n int) bool { return !slices.Contains(keep, n) })
		switch {
		case len(lamps) > 0:
			scenes = append(scenes, Scene{s.Name, lamps})
		case r.chosen:
			return r.notIn(s.Name, name, circuits)
		}
	}
	if len(scenes) == 0 {
		scenes = []Scene{{Name: name, Lamps: keep}}
	}
	r.Scenes, r.Shown = scenes, r.Settable(keep)
	return nil
}

// notIn is the error for a scene without a lamp that it was asked for.
func (r *Rig) notIn(scene, lamp string, circuits []string) error {
	var has []string
	for _, s := range r.File.Scenes {
		if slices.ContainsFunc(s.Circuits, func(c string) bool { return slices.Contains(circuits, c) }) {
			has = append(has, quantity.Quote(s.Name))
		}
	}
	where := "no scene lights it"
	if len(has) > 0 {
		where = "it is lit in " + List(has)
	}
	return fmt.Errorf("%s is not lit in the scene %s; %s", quantity.Quote(lamp), quantity.Quote(scene), where)
}

func sceneNames(scenes []Scene) (names []string) {
	for _, s := range scenes {
		names = append(names, s.Name)
	}
	return names
}

// System is the unit system that the file asks for.
func (r *Rig) System() units.System { return r.File.Units.Value }

// Degrees of an angle in radians, without the dust of the conversion.
func Degrees(rad float64) float64 { return math.Round(rad*180/math.Pi*1e9)/1e9 + 0 }
