package report

import (
	"math"
	"slices"
	"strings"

	"beamfall/beam"
	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
	"beamfall/render/draw"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// What is possible but likely not meant. Each doubt is a function of its own; it says nothing where
// there is none.

// Doubts are all that is doubtful in a rig, in sentences: what its photometric files gave rise to,
// then its scenes and lamps, then the vehicle, the ground and what aim is asked for.
func Doubts(r *assembly.Rig) []string {
	out := append(notes{}, r.Doubts...)
	lit := map[string]bool{} // circuits
	for _, s := range r.File.Scenes {
		if len(s.Circuits) == 0 {
			out.say("scene %s has no lamp", s.Name)
		}
		for _, c := range s.Circuits {
			lit[c] = true
		}
	}
	all := make([]int, len(r.Lamps))
	for i := range all {
		all[i] = i
	}
	scene := r.Lit(assembly.Scene{Lamps: all})
	for i := range r.Lamps {
		l := &r.Lamps[i]
		if l.Twin {
			continue // what is said of the other holds for both of a pair
		}
		d := doubtful{&out, r.System(), r, l, r.EntryOf(i), &scene.Lamps[i]}
		if !lit[l.Circuit] && !d.entry.EveryScene {
			out.say("%s is in no scene: no scene names its circuit %s", d.entry.Name, quantity.Quote(l.Circuit))
		}
		if r.IsHeadlight(i) {
			continue // it is neither bought nor set
		}
		for _, ask := range lampDoubts {
			ask(&d)
		}
	}
	onePlace(&out, r)
	for _, ask := range rigDoubts {
		ask(&out, r)
	}
	return out
}

// CostDoubts are about light that costs more sight than it gives: a lamp without which one sees
// farther, a hood that is lit.
func CostDoubts(u units.System, costs []figures.Cost) []string {
	const worth = 1.03 // a difference that one would move a lamp for
	out := notes{}
	said := map[string]bool{}
	say := func(lamp, format string, args ...any) { // once, of the first scene
		if !said[lamp] {
			said[lamp] = true
			out.say(format, args...)
		}
	}
	for _, c := range costs {
		to := float64(c.Sight.Range)
		for _, w := range c.Sight.Without {
			pair, of := figures.Pair(w.Lamp)
			both, _ := c.Sight.Worth(pair)
			if of && float64(both) > worth*to {
				continue // it is said of the pair
			}
			if farther := float64(w.Range); farther > worth*to {
				say(w.Lamp, "%s costs more sight than it gives: in scene %s a %s is seen out to %s, and without "+
					"it to %s",
					w.Lamp, c.Scene, c.Sight.Thing, u.Short(to), u.Short(farther))
			}
		}
		if c.DarkBody > worth*to {
			say("", "light on the hood costs %s of sight: in scene %s a %s is seen out to %s, and would be to %s "+
				"if the hood were dark",
				u.Short(c.DarkBody-to), c.Scene, c.Sight.Thing, u.Short(to), u.Short(c.DarkBody))
		}
	}
	return out
}

// doubtful is a lamp that is looked at.
type doubtful struct {
	*notes
	units.System
	rig   *assembly.Rig
	lamp  *assembly.Lamp
	entry *rigfile.Lamp
	m     *geometry.Mounted // as driven
}

// lampDoubts are asked of every lamp.
var lampDoubts = []func(*doubtful){
	(*doubtful).strength, (*doubtful).weakness, (*doubtful).place, (*doubtful).size, (*doubtful).rear,
	(*doubtful).boxes, (*doubtful).ground,
	(*doubtful).height, (*doubtful).wasted, (*doubtful).narrow, (*doubtful).idleKeys, (*doubtful).offRange,
}

func (d *doubtful) strength() {
	// Common practice, no source: single lamps are sold with up to about 15 000 lm, bars with up to
	// about 30 000 lm a metre. What is a little more than that is let pass.
	most := 15000 + 35000*d.entry.Width.Value
	if !d.entry.Lumens.Given || d.entry.Lumens.Value <= most {
		return
	}
	kind := "without a width"
	if d.entry.Width.Value > 0 {
		kind = d.Length(d.entry.Width.Value) + " wide"
	}
	d.say("%s: %.0f lm is more than a lamp %s is likely to give (up to about %.0f lm); is the width or the flux wrong?",
		d.entry.Name, d.entry.Lumens.Value, kind, most)
}

// weakness is likely a point between thousands: 14.000 is fourteen.
func (d *doubtful) weakness() {
	const least = 100 // lm; what gives less is an indicator, not a lamp to drive by: common practice, no source
	if l := d.entry.Lumens; l.Given && l.Value < least {
		d.say("%s: %s lm is next to nothing; was %s lm meant? Thousands have no point between them", d.entry.Name,
			units.Number(l.Value), units.Number(1000*l.Value))
	}
}

func (d *doubtful) place() {
	if x := d.lamp.At.X; x > 0.05 {
		d.say("%s is %s ahead of the bumper; places behind it have a minus: ahead = \"-%s\"", d.entry.Name, d.Length(x),
			d.Length(x))
	}
	// m; vehicles are no higher than 4 m in most of Europe, 13 ft 6 in to 14 ft in the USA: from
	// memory
	const most = 4.2
	if z := d.lamp.At.Z; z > most {
		d.say("%s is %s up, higher than vehicles are; is its height right?", d.entry.Name, d.Length(z))
	}
}

func (d *doubtful) size() {
	const narrow, usual = 0.05, 2.6 // m; the widest vehicle that rules allow, from memory
	most, what := usual, "the widest vehicles are"
	if w := d.rig.File.Vehicle.Width; w.Given {
		most, what = w.Value, "the vehicle is"
	}
	switch w := d.entry.Width.Value; {
	case w > most:
		d.say("%s is %s wide, wider than %s (%s)", d.entry.Name, d.Length(w), what, d.Length(most))
	case w > 0 && w < narrow:
		d.say("%s: a luminous width of %s is that of a point; leave width out, or was %s meant?", d.entry.Name,
			d.Mark(w), d.Length(100*w))
	}
}

// rear is a lamp at the tail, or one that is called rear, that shines ahead.
func (d *doubtful) rear() {
	length := d.rig.File.Vehicle.Length
	tail := length.Given && d.lamp.At.X < 0.3-length.Value
	called := strings.Contains(strings.ToLower(d.entry.Name+" "+d.entry.Circuit), "rear")
	if !tail && !called || math.Cos(d.lamp.Aim.Turn) <= 0.5 {
		return
	}
	where, toward := "", ""
	if tail {
		where = " is at the tail and"
	}
	for _, b := range d.rig.Site.Body {
		if b.Max.Z > d.lamp.At.Z && b.Min.X > d.lamp.At.X-0.05 {
			toward = ", toward the " + b.Name
			break
		}
	}
	d.say("%s%s shines ahead%s; turn = 180 shines to the rear", d.entry.Name, where, toward)
}

func (d *doubtful) narrow() {
	for _, o := range d.entry.Optics {
		if least := min(o.Spread.Across, o.Spread.UpDown); least < rad(1) {
			d.say("%s: a spread of %s is narrower than lenses for vehicles make (common practice, no source: a few "+
				"degrees)", d.entry.Name, units.DegreesTo(least, 2))
			return
		}
	}
}

func (d *doubtful) boxes() {
	site := d.rig.Site
	end := r3.Add(d.m.Place, r3.Scale(30, d.m.Axes.Ahead))
	if hit, ok := site.AxisHit(d.m); ok && d.m.Range(hit) < 30 {
		end = hit
	}
	for _, b := range site.Body {
		if b.Inside(d.lamp.At) {
			d.say("%s is inside the %s, which stops its light", d.entry.Name, b.Name)
		} else if b.Stops(d.lamp.At, site.Attitude.Parked(end)) { // before it meets the ground, or within 30 m
			d.say("the axis of %s runs into the %s", d.entry.Name, b.Name)
		}
	}
}

func (d *doubtful) ground() {
	half := r3.Scale(d.m.Lamp.Width/2, d.m.Axes.Left)
	switch over := func(p r3.Vec) float64 { return p.Z - d.rig.Site.Ground.Height(p.X, p.Y) }; {
	case over(d.m.Place) <= 0:
		d.say("%s is below the ground as driven, and lights nothing", d.entry.Name)
	case over(r3.Add(d.m.Place, half)) <= 0 || over(r3.Sub(d.m.Place, half)) <= 0:
		d.say("one end of %s is in the ground as driven; is its roll or its height wrong?", d.entry.Name)
	}
}

func (d *doubtful) height() {
	const least = 16 * units.Inch // California Vehicle Code §24411: at least 16 in; other places have their own rules
	if d.lamp.At.Z < least {
		d.say("%s is %s up; many rules want at least %s (e.g. California Vehicle Code §24411)", d.entry.Name,
			d.Length(d.lamp.At.Z), d.Length(least))
	}
}

// wasted is light that goes where few want it: at one's feet, or up.
func (d *doubtful) wasted() {
	if math.Cos(d.lamp.Aim.Turn) <= 0.7 {
		return
	}
	full := beam.FullAngle(d.m.Lamp.Beam(), 0.5, 0, 1)
	if near, far := d.rig.Site.NearFar(d.m); full < rad(20) && far < 12 {
		d.say("%s: a beam of %s° tilted %s down lights only %s ahead of it; narrow beams are for distance",
			d.entry.Name, units.Fixed(full*180/math.Pi, 0), units.Degrees(d.lamp.Aim.Tilt), d.Span(near, far, "sky"))
	}
	if d.lamp.Aim.Tilt < 0 {
		d.say("%s is aimed %s above level", d.entry.Name, units.Degrees(-d.lamp.Aim.Tilt))
	}
}

func (d *doubtful) idleKeys() {
	if d.entry.Output.Given && (d.entry.Peak.Given || d.entry.OneLuxAt.Given) {
		d.say("%s: output has no effect beside peak or one_lux_at, which are what leaves the lens", d.entry.Name)
	}
	if d.entry.Output.Given && d.entry.Photometry != "" && !d.entry.Lumens.Given {
		d.say("%s: output has no effect on a photometric file without lumens", d.entry.Name)
	}
}

func (d *doubtful) offRange() {
	if t := d.entry.TiltRange; t.Given && (d.entry.Tilt.Value < t.Value.Low-1e-9 ||
		d.entry.Tilt.Value > t.Value.High+1e-9) {
		d.say("%s: tilt %s is not within its tilt_range", d.entry.Name, units.Degrees(d.entry.Tilt.Value))
	}
}

// onePlace is about lamps that sit in each other.
func onePlace(out *notes, r *assembly.Rig) {
	for i := range r.Lamps {
		for j := range i {
			a, b := &r.Lamps[j], &r.Lamps[i]
			switch {
			case r3.Norm(r3.Sub(a.At, b.At)) >= 0.03:
			case a.Entry == b.Entry:
				out.say("%s: both lamps of the pair are in one place; give at a left", r.EntryOf(i).Name)
			default:
				out.say("%s and %s are in one place", a.Name, b.Name)
			}
		}
	}
}

// rigDoubts are about the rig as a whole.
var rigDoubts = []func(*notes, *assembly.Rig){eyeDoubt, profileDoubt, noseDoubt, freedomDoubt, widthDoubt, lettersDoubt,
	pitchDoubt, pastBendDoubt}

func eyeDoubt(out *notes, r *assembly.Rig) {
	eye, u := r.File.Vehicle.Eye, r.System()
	if !eye.Given {
		return
	}
	if x := eye.Value.Ahead; x > 0 {
		out.say("the driver's eye is %s ahead of the bumper; places behind it have a minus: ahead = \"-%s\"",
			u.Length(x), u.Length(x))
	}
	at := r3.Vec{X: eye.Value.Ahead, Y: eye.Value.Left, Z: eye.Value.Up}
	for _, b := range r.Site.Body {
		const headroom = 0.25 // m; a box that leaves less above the eye is no cab
		if b.Inside(at) && b.Max.Z < at.Z+headroom {
			out.say("the driver's eye is inside the %s, which is then taken to be no obstacle to it", b.Name)
		}
	}
}

// lettersDoubt is about names that pictures cannot show.
func lettersDoubt(out *notes, r *assembly.Rig) {
	names := []string{r.File.Name}
	for i := range r.File.Lamps {
		names = append(names, r.File.Lamps[i].Name)
	}
	for _, s := range r.File.Scenes {
		names = append(names, s.Name)
	}
	if lacking := draw.Lacking(strings.Join(names, "")); lacking != "" {
		out.say("pictures have no letters for %s in names: they are drawn as question marks", lacking)
	}
}

func profileDoubt(out *notes, r *assembly.Rig) {
	const axle, wheelbase = 0.9, 3 // m, where the rig gives none
	g, v := r.Site.Ground, r.File.Vehicle
	rear := -(or(v.FrontOverhang, axle) + or(v.Wheelbase, wheelbase))
	if len(g.Profile) > 0 && (math.Abs(g.Height(0, 0)) > 0.02 || math.Abs(g.Height(rear, 0)) > 0.02) {
		out.say("the ground profile is not at height 0 where the vehicle stands; the vehicle stands at height 0 " +
			"all the same")
	}
}

func or(o rigfile.Opt[float64], otherwise float64) float64 {
	if o.Given {
		return o.Value
	}
	return otherwise
}

func noseDoubt(out *notes, r *assembly.Rig) {
	if a := r.File.Vehicle.NoseUpDriven.Value; math.Abs(a) > rad(4) {
		out.say("the vehicle is driven %s: more than springs give (common practice, no source: up to 2°)", nose(a))
	}
}

func pitchDoubt(out *notes, r *assembly.Rig) {
	if a := r.File.Vehicle.Pitch.Value; a > rad(6) {
		out.say("the nose moves %s up and down: more than springs give (common practice, no source: up to 3°)",
			units.Degrees(a))
	}
}

// pastBendDoubt is on limits past the half turn through which a bend is followed.
func pastBendDoubt(out *notes, r *assembly.Rig) {
	u, end := r.System(), r.Site.Track.End()
	for _, l := range r.File.Limits {
		if l.Along.Given && l.Along.Value > end {
			out.say("the limit %s is %s along the track: past the end of the bend, which is followed through half "+
				"a turn, to %s",
				l.Name, u.Chosen(l.Along.Value), u.Short(end))
		}
	}
}

func freedomDoubt(out *notes, r *assembly.Rig) {
	if len(r.File.Targets) > 0 && !slices.ContainsFunc(r.File.Lamps,
		func(l rigfile.Lamp) bool { return figures.Free(&l) }) {
		out.say("there are targets, but no lamp has a tilt_range: aim will take 0° to %g° for every lamp that "+
			"looks ahead", figures.FreeTo)
	}
}

func widthDoubt(out *notes, r *assembly.Rig) {
	u, v := r.System(), r.File.Vehicle
	for i := range r.Lamps {
		if l := &r.Lamps[i]; v.Width.Given && math.Abs(l.At.Y) > v.Width.Value/2+0.25 {
			out.say("%s is %s from the centreline, outside of a vehicle %s wide", l.Name, u.Length(math.Abs(l.At.Y)),
				u.Length(v.Width.Value))
		}
	}
}

func rad(deg float64) float64 { return deg * math.Pi / 180 }
