package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry"
	"beamfall/render/units"
)

// What was understood of a rig, to be read back by whoever wrote it.

// Cards is the table of the lamps as computed.
func Cards(u units.System, c *figures.Check) *table.Table {
	t := &table.Table{
		Title: fmt.Sprintf("%s: the lamps as computed", c.Rig),
		Columns: append(lampColumns(), table.Column{Name: "delivered", Right: true},
			table.Column{Name: "peak", Right: true},
			table.Column{Name: "1 lx facing at", Right: true}, table.Column{Name: "beam angle", Least: 8},
			table.Column{Name: "field angle", Least: 8}),
	}
	for _, l := range c.Lamps {
		t.Rows = append(t.Rows, []string{
			fmt.Sprint(l.Key), l.Name, units.Lumens(l.Flux), units.Candela(l.Peak), u.Short(l.OneLux),
			fullAngle(l.BeamAcross, l.BeamUpDown), fullAngle(l.FieldAcross, l.FieldUpDown),
		})
	}
	return t
}

// fullAngle is the angle of a beam: "10°", or "60° × 20°" across and up-down.
func fullAngle(across, upDown figures.Angle) string {
	a, b := across.Degrees(), upDown.Degrees()
	switch {
	case math.IsNaN(a) || math.IsNaN(b):
		return "–"
	case math.Abs(a-b) < 0.05:
		return units.Trimmed(a, 1) + "°"
	}
	return units.Trimmed(a, 1) + "° × " + units.Trimmed(b, 1) + "°"
}

// Mounted says where each lamp sits, how it is aimed, and what its beam is computed from, to be
// read back by whoever typed it: "roof bar: circuit roof; 1.65 m behind the bumper, centre, 2.100 m
// up; 5° down; 2 optics".
func Mounted(u units.System, r *assembly.Rig) []string {
	out := notes{}
	said := -1
	all := append(slices.Clone(r.Shown), r.Headlights()...)
	for _, n := range all {
		l, entry := &r.Lamps[n], r.EntryOf(n)
		if l.Entry == said {
			continue
		}
		said = l.Entry
		for _, k := range all { // of a pair, the one that the file gives
			if r.Lamps[k].Entry == said && !r.Lamps[k].Twin {
				l = &r.Lamps[k]
			}
		}
		name := entry.Name
		if entry.Pair {
			name += ", and its twin on the other side"
		}
		where := u.Away(l.At.X, "ahead of the bumper", "behind the bumper")
		if u.Length(l.At.X) == u.Length(0) {
			where = "at the bumper"
		}
		aim := units.Setting(l.Aim.Tilt, l.Aim.Turn)
		if roll := Roll(&figures.Setting{Roll: figures.Angle(l.Aim.Roll)}); roll != "" {
			aim += ", rolled " + roll
		}
		if r.IsHeadlight(n) {
			aim = "cut-off falling " + units.Percent(r.File.Headlights.Value.Dip.Value)
			if r.File.Headlights.Value.Beam == rigfile.High {
				aim = "level"
			}
		}
		out.say("%s: circuit %s; %s, %s, %s up; %s; %s", name, l.Circuit, where,
			u.FromCentre(l.At.Y, "left of the centre", "right of the centre"),
			u.Mark(l.At.Z), aim, figures.Source(r, n))
	}
	return out
}

// Vehicle is what a rig file says of the vehicle, the driver, the ground, the air and things to
// see, in sentences.
func Vehicle(u units.System, f *rigfile.Rig) []string {
	out := notes{}
	v := f.Vehicle
	var size []string
	if v.Length.Given {
		size = append(size, u.Length(v.Length.Value)+" long")
	}
	if v.Width.Given {
		size = append(size, u.Length(v.Width.Value)+" wide")
	}
	if len(size) > 0 {
		out.say("vehicle %s", strings.Join(size, ", "))
	}
	if v.Eye.Given {
		out.say("driver's eye %s", place(u, v.Eye.Value))
	}
	if v.NoseUpDriven.Value != 0 {
		out.say("driven %s about the rear axle, %s behind the bumper", nose(v.NoseUpDriven.Value),
			u.Length(v.FrontOverhang.Value+v.Wheelbase.Value))
	}
	if d := v.Driven.Value; v.Driven.Given {
		out.say("driven with the body %s over the front axle and %s over the rear one",
			risen(u, d.Front), risen(u, d.Rear))
	}
	if v.Pitch.Value != 0 {
		out.say("the nose moves %s up and down from there", units.Degrees(v.Pitch.Value))
	}
	if d := f.Driver; d.Age.Given || d.Glance.Given || d.VisibilityLevel.Given {
		out.say("driver of %g years, who looks for %g s; seen is %g times the threshold", d.Age.Value, d.Glance.Value,
			d.VisibilityLevel.Value)
	}
	for _, b := range f.Body {
		out.say("%s: %s to %s behind the bumper, %s to %s up, %s wide", b.Name, u.Length(-b.Ahead.High),
			u.Length(-b.Ahead.Low),
			u.Length(b.Up.Low), u.Length(b.Up.High), u.Length(b.Left.High-b.Left.Low))
	}
	switch g := f.Ground; {
	case len(g.Profile) > 0:
		out.say("ground profile of %d points, %s to %s ahead", len(g.Profile), u.Short(g.Profile[0].Ahead),
			u.Short(g.Profile[len(g.Profile)-1].Ahead))
	case g.Grade.Value != 0:
		out.say("ground %s ahead", rises(g.Grade.Value))
	}
	if f.Ground.CrossFall.Value != 0 {
		out.say("ground %s to the left", rises(f.Ground.CrossFall.Value))
	}
	if f.Ground.Slope.Value != 0 {
		out.say("on a hill of %+.1f %%, + upward, which counts for stopping alone", 100*f.Ground.Slope.Value)
	}
	if !f.Track.Straight() {
		out.say("the track is %s", Track(u, &f.Track))
	}
	if f.Air.Visibility.Given {
		of := ""
		if !f.Air.Particles.None() {
			of = " in " + f.Air.Particles.Name
		}
		out.say("visibility %s%s", u.Chosen(f.Air.Visibility.Value), of)
	}
	for _, t := range f.Things {
		stands := "stands"
		if t.Lies {
			stands = "lies"
		}
		out.say("%s: a thing to see that %s, %s × %s, gives back %g of the light", t.Name, stands, u.Chosen(t.Width),
			u.Chosen(t.Height), t.Reflectance)
	}
	return out
}

// rises is a slope in words: "rises 4.0 %".
func rises(slope float64) string {
	if slope < 0 {
		return fmt.Sprintf("falls %.1f %%", -100*slope)
	}
	return fmt.Sprintf("rises %.1f %%", 100*slope)
}

// risen is how far a body comes up (m): "0.038 m lower", "no higher".
func risen(u units.System, up float64) string {
	switch far := u.Mark(math.Abs(up)); {
	case far == u.Mark(0):
		return "no higher"
	case up < 0:
		return far + " lower"
	default:
		return far + " higher"
	}
}

// Track is a track in words: "a bend of 60 m to the left from 20 m ahead", or "straight".
func Track(u units.System, t *geometry.Track) string {
	switch {
	case t.Straight():
		return "straight"
	case t.From == 0:
		return "a " + u.Bend(t.Radius, t.Left)
	}
	return "a " + u.Bend(t.Radius, t.Left) + " from " + u.Chosen(t.From) + " ahead"
}

// place is a place in words: "2.10 m behind the bumper, 0.42 m to the left, 1.65 m up".
func place(u units.System, p rigfile.Point) string {
	return fmt.Sprintf("%s, %s, %s up", u.Away(p.Ahead, "ahead of the bumper", "behind the bumper"),
		u.Away(p.Left, "to the left", "to the right"), u.Length(p.Up))
}

// nose is how a vehicle is driven: "0.8° nose up".
func nose(up float64) string {
	if up < 0 {
		return units.Degrees(-up) + " nose down"
	}
	return units.Degrees(up) + " nose up"
}

// Goals are what the light should do and must not do, in sentences.
func Goals(u units.System, f *rigfile.Rig) []string {
	out := notes{}
	for _, t := range f.Targets {
		on := "the ground"
		if t.Surface == rigfile.Facing {
			on = "things " + u.Length(t.Up.Value) + " up"
		}
		what := fmt.Sprintf("%g lx on %s", t.Lux, on)
		if t.See != "" {
			what = thing(t.See) + " to be seen"
		}
		out.say("%s: %s, %s to %s ahead, %s to either side, weight %g", t.Name, what,
			u.Chosen(t.Ahead.Low), u.Chosen(t.Ahead.High), u.Chosen(t.HalfWidth), t.Weight.Value)
	}
	for _, l := range f.Limits {
		in := ""
		if l.Scene != "" {
			in = " in the scene " + l.Scene
		}
		where := place(u, l.At)
		if l.Along.Given {
			where = fmt.Sprintf("%s along the track, %s, %s up", u.Length(l.Along.Value),
				u.Away(l.At.Left, "to its left", "to its right"), u.Length(l.At.Up))
		}
		out.say("%s: no more than %g lx facing %s%s", l.Name, l.Lux, where, in)
	}
	return out
}
