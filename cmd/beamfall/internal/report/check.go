package report

import (
	"fmt"
	"math"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// What was understood of a rig, to be read back by whoever wrote it.

// Cards is the table of the lamps as computed.
func Cards(u units.System, c *figures.Check) *table.Table {
	t := &table.Table{
		Title: fmt.Sprintf("%s: the lamps as computed", c.Rig),
		Columns: []table.Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "circuit", Least: 7}, {Name: "delivered", Right: true}, {Name: "peak", Right: true},
			{Name: "1 lx at", Right: true}, {Name: "beam angle"}, {Name: "field angle"}, {Name: "from", Least: 10},
		},
	}
	for _, l := range c.Lamps {
		t.Rows = append(t.Rows, []string{
			fmt.Sprint(l.Key), l.Name, l.Circuit, fmt.Sprintf("%.0f lm", l.Flux), fmt.Sprintf("%.0f cd", l.Peak), u.Short(l.OneLux),
			fullAngle(l.BeamAcross, l.BeamUpDown), fullAngle(l.FieldAcross, l.FieldUpDown), l.Source,
		})
	}
	return t
}

// fullAngle is the angle of a beam: "10.0°", or "60.0° × 20.0°" across and up-down.
func fullAngle(across, upDown figures.Angle) string {
	a, b := float64(across), float64(upDown)
	switch {
	case math.IsNaN(a) || math.IsNaN(b):
		return "–"
	case math.Abs(a-b) < 0.05*math.Pi/180:
		return units.Degrees(a)
	}
	return units.Degrees(a) + " × " + units.Degrees(b)
}

// Vehicle is what a rig file says of the vehicle, the ground and the air, in sentences.
func Vehicle(u units.System, f *rigfile.Rig) []string {
	out := notes{}
	v := f.Vehicle
	if v.Length.Given || v.Width.Given {
		out.say("vehicle %s long, %s wide", u.Length(given(v.Length)), u.Length(given(v.Width)))
	}
	if v.Eye.Given {
		out.say("driver's eye %s", place(u, v.Eye.Value))
	}
	if v.NoseUpDriven.Value != 0 {
		out.say("driven %s about the rear axle, %s behind the bumper", nose(v.NoseUpDriven.Value), u.Length(v.FrontOverhang.Value+v.Wheelbase.Value))
	}
	for _, b := range f.Body {
		out.say("%s: %s to %s behind the bumper, %s to %s up, %s wide", b.Name, u.Length(-b.Ahead.High), u.Length(-b.Ahead.Low),
			u.Length(b.Up.Low), u.Length(b.Up.High), u.Length(b.Left.High-b.Left.Low))
	}
	switch g := f.Ground; {
	case len(g.Profile) > 0:
		out.say("ground profile of %d points, %s to %s ahead", len(g.Profile), u.Short(g.Profile[0].Ahead), u.Short(g.Profile[len(g.Profile)-1].Ahead))
	case g.Grade.Value != 0:
		out.say("ground rises %.1f %% ahead", 100*g.Grade.Value)
	}
	if f.Ground.CrossFall.Value != 0 {
		out.say("ground rises %.1f %% to the left", 100*f.Ground.CrossFall.Value)
	}
	if f.Air.Visibility.Given {
		out.say("visibility %s", u.Short(f.Air.Visibility.Value))
	}
	return out
}

// place is a place in words: "2.10 m behind the bumper, 0.42 m to the left, 1.65 m up".
func place(u units.System, p rigfile.Point) string {
	return fmt.Sprintf("%s, %s, %s up", u.Away(p.Ahead, "ahead of the bumper", "behind the bumper"), u.Away(p.Left, "to the left", "to the right"), u.Length(p.Up))
}

// nose is how a vehicle is driven: "0.8° nose up".
func nose(up float64) string {
	if up < 0 {
		return units.Degrees(-up) + " nose down"
	}
	return units.Degrees(up) + " nose up"
}

func given(o rigfile.Opt[float64]) float64 {
	if !o.Given {
		return math.NaN()
	}
	return o.Value
}

// Goals are what the light should do and must not do, in sentences.
func Goals(u units.System, f *rigfile.Rig) []string {
	out := notes{}
	for _, t := range f.Targets {
		on := "the ground"
		if t.Surface == rigfile.Facing {
			on = "things " + u.Length(t.Up.Value) + " up"
		}
		out.say("%s: %g lx on %s, %s to %s ahead, %s to either side, weight %g", t.Name, t.Lux, on,
			u.Chosen(t.Ahead.Low), u.Chosen(t.Ahead.High), u.Chosen(t.HalfWidth), t.Weight.Value)
	}
	for _, l := range f.Limits {
		out.say("%s: no more than %g lx %s", l.Name, l.Lux, place(u, l.At))
	}
	return out
}
