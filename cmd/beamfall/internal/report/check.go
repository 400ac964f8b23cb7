package report

import (
	"fmt"
	"math"
	"slices"

	"beamfall/beam"
	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// Check is what was understood of a rig, and what is doubtful in it.
type Check struct {
	Rig      string            `json:"rig"`
	Units    string            `json:"units"`
	Vehicle  []string          `json:"vehicle"`
	Goals    []string          `json:"goals"`
	Lamps    []Card            `json:"lamps"`
	Scenes   []CheckScene      `json:"scenes"`
	Doubts   []string          `json:"doubts"`
	Notes    []string          `json:"notes"`
	Mistakes []rigfile.Mistake `json:"mistakes,omitempty"`
}

// CheckScene is a scene by its lamps.
type CheckScene struct {
	Name  string   `json:"name"`
	Lamps []string `json:"lamps"`
}

// Card is one lamp as computed from its distribution, not as typed. Angles are full angles at half and at a tenth of the
// peak, across and up-down; null where the distribution has none.
type Card struct {
	Key         int      `json:"key"`
	Name        string   `json:"name"`
	Circuit     string   `json:"circuit"`
	Flux        float64  `json:"flux_lm"`
	Peak        float64  `json:"peak_cd"`
	OneLux      float64  `json:"one_lux_m"`
	BeamAcross  *float64 `json:"beam_across_deg"`
	BeamUpDown  *float64 `json:"beam_up_down_deg"`
	FieldAcross *float64 `json:"field_across_deg"`
	FieldUpDown *float64 `json:"field_up_down_deg"`
	Source      string   `json:"source"`
}

// CheckOf looks at a rig.
func CheckOf(r *assembly.Rig) *Check {
	u := r.System()
	c := &Check{
		Rig: r.File.Name, Units: u.String(), Vehicle: vehicleWords(r.File, u), Goals: goalWords(r.File, u), Lamps: []Card{}, Scenes: []CheckScene{},
		Doubts: append([]string{}, r.Doubts...), Notes: append([]string{}, r.Notes()...),
	}
	for _, i := range r.Shown {
		c.Lamps = append(c.Lamps, card(r, i))
	}
	for _, s := range r.Scenes {
		scene := CheckScene{s.Name, []string{}}
		for _, n := range s.Lamps {
			scene.Lamps = append(scene.Lamps, r.Lamps[n].Name)
		}
		c.Scenes = append(c.Scenes, scene)
	}
	c.Doubts = append(c.Doubts, doubts(r)...)
	return c
}

func card(r *assembly.Rig, i int) Card {
	l := &r.Lamps[i]
	d, entry := l.Beam(), &r.File.Lamps[l.Entry]
	c := Card{Key: i + 1, Name: l.Name, Circuit: l.Circuit, Flux: d.Flux(), Peak: d.Peak(), OneLux: math.Sqrt(d.Peak())}
	angle := func(share, left, up float64) *float64 {
		return number(beam.FullAngle(d, share, left, up) * 180 / math.Pi)
	}
	c.BeamAcross, c.BeamUpDown = angle(0.5, 1, 0), angle(0.5, 0, 1)
	c.FieldAcross, c.FieldUpDown = angle(0.1, 1, 0), angle(0.1, 0, 1)
	switch {
	case entry.Photometry != "":
		c.Source = entry.Photometry
	case len(entry.Optics) > 1:
		c.Source = fmt.Sprintf("%d optics", len(entry.Optics))
	default:
		c.Source = string(entry.Optics[0].Profile)
	}
	return c
}

// Cards is the table of the lamps.
func (c *Check) Cards(u units.System) *table.Table {
	t := &table.Table{
		Title: fmt.Sprintf("%s: the lamps as computed", c.Rig),
		Columns: []table.Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "circuit", Least: 7}, {Name: "delivered", Right: true}, {Name: "peak", Right: true},
			{Name: "1 lx at", Right: true}, {Name: "beam angle"}, {Name: "field angle"}, {Name: "from", Least: 10},
		},
	}
	angles := func(across, upDown *float64) string {
		if across == nil || upDown == nil {
			return "–"
		}
		if math.Abs(*across-*upDown) < 0.05 {
			return fmt.Sprintf("%.1f°", *across)
		}
		return fmt.Sprintf("%.1f° × %.1f°", *across, *upDown)
	}
	for _, l := range c.Lamps {
		t.Rows = append(t.Rows, []string{
			fmt.Sprint(l.Key), l.Name, l.Circuit, fmt.Sprintf("%.0f lm", l.Flux), fmt.Sprintf("%.0f cd", l.Peak), u.Short(l.OneLux),
			angles(l.BeamAcross, l.BeamUpDown), angles(l.FieldAcross, l.FieldUpDown), l.Source,
		})
	}
	return t
}

func vehicleWords(f *rigfile.Rig, u units.System) []string {
	out := []string{}
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	v := f.Vehicle
	if v.Length.Given || v.Width.Given {
		say("vehicle %s long, %s wide", u.Length(given(v.Length)), u.Length(given(v.Width)))
	}
	if v.Eye.Given {
		eye := v.Eye.Value
		say("driver's eye %s, %s, %s up", u.Away(eye.Ahead, "ahead of the bumper", "behind the bumper"), u.Away(eye.Left, "to the left", "to the right"), u.Length(eye.Up))
	}
	if v.NoseUpDriven.Value != 0 {
		say("driven %s about the rear axle, %s behind the bumper", nose(v.NoseUpDriven.Value), u.Length(v.FrontOverhang.Value+v.Wheelbase.Value))
	}
	for _, b := range f.Body {
		say("%s: %s to %s behind the bumper, %s to %s up, %s wide", b.Name, u.Length(-b.Ahead.High), u.Length(-b.Ahead.Low),
			u.Length(b.Up.Low), u.Length(b.Up.High), u.Length(b.Left.High-b.Left.Low))
	}
	g := f.Ground
	switch {
	case len(g.Profile) > 0:
		say("ground profile of %d points, %s to %s ahead", len(g.Profile), u.Short(g.Profile[0].Ahead), u.Short(g.Profile[len(g.Profile)-1].Ahead))
	case g.Grade.Value != 0:
		say("ground rises %.1f %% ahead", 100*g.Grade.Value)
	}
	if g.CrossFall.Value != 0 {
		say("ground rises %.1f %% to the left", 100*g.CrossFall.Value)
	}
	if f.Air.Visibility.Given {
		say("visibility %s", u.Short(f.Air.Visibility.Value))
	}
	return out
}

// nose is how a vehicle is driven: "0.8° nose up".
func nose(up float64) string {
	if up < 0 {
		return units.Degrees(-up) + " nose down"
	}
	return units.Degrees(up) + " nose up"
}

// goalWords are what the light should do and must not do.
func goalWords(f *rigfile.Rig, u units.System) []string {
	out := []string{}
	for _, t := range f.Targets {
		on := "the ground"
		if t.Surface == rigfile.Facing {
			on = "things " + u.Length(t.Up.Value) + " up"
		}
		out = append(out, fmt.Sprintf("%s: %g lx on %s, %s to %s ahead, %s to either side, weight %g", t.Name, t.Lux, on,
			u.Chosen(t.Ahead.Low), u.Chosen(t.Ahead.High), u.Chosen(t.HalfWidth), t.Weight.Value))
	}
	for _, l := range f.Limits {
		out = append(out, fmt.Sprintf("%s: no more than %g lx %s, %s, %s up", l.Name, l.Lux, u.Away(l.At.Ahead, "ahead of the bumper", "behind the bumper"),
			u.Away(l.At.Left, "to the left", "to the right"), u.Length(l.At.Up)))
	}
	return out
}

func given(o rigfile.Opt[float64]) float64 {
	if !o.Given {
		return math.NaN()
	}
	return o.Value
}

// doubts are what is possible but likely not meant.
func doubts(r *assembly.Rig) []string {
	var out []string
	u := r.System()
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	inScene := map[string]bool{} // circuits
	for _, s := range r.File.Scenes {
		if len(s.Circuits) == 0 {
			say("scene %s has no lamp", s.Name)
		}
		for _, c := range s.Circuits {
			inScene[c] = true
		}
	}
	lit := r.Lit(assembly.Scene{Lamps: all(len(r.Lamps))})
	for i := range r.Lamps {
		l, entry := &r.Lamps[i], &r.File.Lamps[r.Lamps[i].Entry]
		if !inScene[l.Circuit] && !l.Twin {
			say("%s is in no scene: no scene names its circuit %s", entry.Name, quantity.Quote(l.Circuit))
		}
		if l.Twin {
			continue // what follows holds for both of a pair
		}
		lampDoubts(r, l, entry, &lit.Lamps[i], say)
	}
	for i := range r.Lamps {
		for j := range i {
			a, b := &r.Lamps[j], &r.Lamps[i]
			if r3.Norm(r3.Sub(a.At, b.At)) < 0.03 {
				if a.Entry == b.Entry {
					say("%s: both lamps of the pair are in one place; give at a left", r.File.Lamps[a.Entry].Name)
				} else {
					say("%s and %s are in one place", a.Name, b.Name)
				}
			}
		}
	}
	if g := r.Site.Ground; len(g.Profile) > 0 && (math.Abs(g.Height(0, 0)) > 0.02 || math.Abs(g.Height(-given0(r.File.Vehicle.FrontOverhang, 0.9)-given0(r.File.Vehicle.Wheelbase, 3), 0)) > 0.02) {
		say("the ground profile is not at height 0 where the vehicle stands; the vehicle stands at height 0 all the same")
	}
	if a := r.File.Vehicle.NoseUpDriven.Value; math.Abs(a) > rad(4) {
		say("the vehicle is driven %s: more than springs give (common practice, no source: up to 2°)", nose(a))
	}
	if len(r.File.Targets) > 0 && !slices.ContainsFunc(r.File.Lamps, func(l rigfile.Lamp) bool { return free(&l) }) {
		say("there are targets, but no lamp has a tilt_range: aim will take 0° to %g° for every lamp that looks ahead", freeTo)
	}
	if v := r.File.Vehicle; v.Width.Given {
		for i := range r.Lamps {
			if l := &r.Lamps[i]; math.Abs(l.At.Y) > v.Width.Value/2+0.25 {
				say("%s is %s from the centreline, outside of a vehicle %s wide", l.Name, u.Length(math.Abs(l.At.Y)), u.Length(v.Width.Value))
			}
		}
	}
	return out
}

func given0(o rigfile.Opt[float64], otherwise float64) float64 {
	if o.Given {
		return o.Value
	}
	return otherwise
}

func all(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func lampDoubts(r *assembly.Rig, l *assembly.Lamp, entry *rigfile.Lamp, m *geometry.Mounted, say func(string, ...any)) {
	u, name := r.System(), entry.Name
	// Common practice, no source: single lamps are sold with up to about 15 000 lm, bars with up to about 30 000 lm a metre.
	// What is a little more than that is let pass.
	if most := 15000 + 35000*entry.Width.Value; entry.Lumens.Given && entry.Lumens.Value > most {
		kind := "without a width"
		if entry.Width.Value > 0 {
			kind = u.Length(entry.Width.Value) + " wide"
		}
		say("%s: %.0f lm is more than a lamp %s is likely to give (up to about %.0f lm); is the width or the flux wrong?",
			name, entry.Lumens.Value, kind, most)
	}
	for _, b := range r.Site.Body {
		if b.Inside(l.At) {
			say("%s is inside the %s, which stops its light", name, b.Name)
		} else if to, ok := r.Site.AxisHit(m); blockedBy(b, l, m, r.Site, to, ok) {
			say("the axis of %s runs into the %s", name, b.Name)
		}
	}
	half := r3.Scale(m.Width/2, m.Axes.Left)
	switch over := func(p r3.Vec) float64 { return p.Z - r.Site.Ground.Height(p.X, p.Y) }; {
	case over(m.Place) <= 0:
		say("%s is below the ground as driven, and lights nothing", name)
	case over(r3.Add(m.Place, half)) <= 0 || over(r3.Sub(m.Place, half)) <= 0:
		say("one end of %s is in the ground as driven; is its roll or its height wrong?", name)
	}
	// California Vehicle Code §24411: at least 16 in; other places have their own rules.
	if l.At.Z < 16*units.Inch {
		say("%s is %s up; many rules want at least %s (e.g. California Vehicle Code §24411)", name, u.Length(l.At.Z), u.Length(16*units.Inch))
	}
	ahead := math.Cos(l.Aim.Turn) > 0.7
	full := beam.FullAngle(m.Beam(), 0.5, 0, 1)
	if near, far := r.Site.NearFar(m); ahead && full < rad(20) && far < 12 {
		say("%s: a beam of %.0f° tilted %.1f° down lights only %s ahead of it; narrow beams are for distance",
			name, full*180/math.Pi, assembly.Degrees(l.Aim.Tilt), u.Span(near, far, "sky"))
	}
	if ahead && l.Aim.Tilt < 0 {
		say("%s is aimed %.1f° above level", name, -assembly.Degrees(l.Aim.Tilt))
	}
	if entry.Output.Given && (entry.Peak.Given || entry.OneLuxAt.Given) {
		say("%s: output has no effect beside peak or one_lux_at, which are what leaves the lens", name)
	}
	if entry.Output.Given && entry.Photometry != "" && !entry.Lumens.Given {
		say("%s: output has no effect on a photometric file without lumens", name)
	}
	if t := entry.TiltRange; t.Given && (entry.Tilt.Value < t.Value.Low-1e-9 || entry.Tilt.Value > t.Value.High+1e-9) {
		say("%s: tilt %s is not within its tilt_range", name, units.Degrees(entry.Tilt.Value))
	}
}

// blockedBy tells whether the beam axis runs into a box before it meets the ground, or within 30 m.
func blockedBy(b geometry.Box, l *assembly.Lamp, m *geometry.Mounted, site *geometry.Site, hit r3.Vec, ok bool) bool {
	end := r3.Add(m.Place, r3.Scale(30, m.Axes.Ahead))
	if ok && m.Range(hit) < 30 {
		end = hit
	}
	return b.Stops(l.At, site.Attitude.Parked(end))
}
