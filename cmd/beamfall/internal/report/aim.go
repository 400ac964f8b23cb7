package report

import (
	"fmt"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry"
	"beamfall/render/units"
)

// The outcome of aiming: tables of brackets, targets and limits, what keeps the targets from being met, and what the
// outcome rests on.

// Tilts is the table of brackets before and after, with what a setting error does.
func Tilts(a *figures.Aim) *table.Table {
	t := &table.Table{
		Title: fmt.Sprintf("%s, scene %s: tilts", a.Rig, a.Scene),
		Columns: []table.Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "tilt now", Right: true}, {Name: "set to", Right: true},
			{Name: "meter", Right: true}, {Name: "turn", Right: true}, {Name: "if lower", Right: true}, {Name: "if higher", Right: true},
		},
	}
	for _, l := range a.Lamps {
		row := []string{fmt.Sprint(l.Key), l.Name, units.Degrees(float64(l.TiltBefore)), "stays", units.Degrees(float64(l.Reading)), "", "", ""}
		if l.Free {
			row[3], row[5] = units.Degrees(float64(l.TiltAfter)), units.Degrees(float64(l.TurnAfter))
			if off := a.Off(l.Name); off != nil {
				row[6], row[7] = change(off.Down-float64(a.After), off.PassDown), change(off.Up-float64(a.After), off.PassUp)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// change is how fulfilment changes, in percentage points, and whether a limit is passed.
func change(v float64, passed string) string {
	text := "0"
	if math.Abs(v) >= 5e-4 {
		text = fmt.Sprintf("%+.1f %%", 100*v)
	}
	if passed != "" {
		text += ", limit!"
	}
	return text
}

// Targets is the table of targets.
func Targets(a *figures.Aim) *table.Table {
	t := &table.Table{Columns: []table.Column{{Name: "target", Least: 10}, {Name: "before", Right: true}, {Name: "after", Right: true}}}
	for _, r := range a.Targets {
		t.Rows = append(t.Rows, []string{r.Name, units.Percent(r.Before), units.Percent(r.After)})
	}
	t.Rows = append(t.Rows, []string{"all, by weight", units.Percent(float64(a.Before)), units.Percent(float64(a.After))})
	return t
}

// Limits is the table of limits.
func Limits(a *figures.Aim) *table.Table {
	t := &table.Table{Columns: []table.Column{
		{Name: "limit", Least: 10}, {Name: "allowed", Right: true}, {Name: "before", Right: true}, {Name: "after", Right: true},
	}}
	for _, l := range a.Limits {
		t.Rows = append(t.Rows, []string{l.Name, units.Light(l.Allowed), units.Light(l.Before), units.Light(l.After)})
	}
	return t
}

// full is the fulfilment that counts as met.
const full = 0.995

// Reasons say what keeps the targets from being met: limits, the lamps themselves, and the ends of ranges.
func Reasons(a *figures.Aim) []string {
	var out notes
	const gain = 0.01
	after, within := float64(a.After), ""
	for i, l := range a.Result.Limits {
		if l.Without > after+gain {
			out.say("the limit %s holds the rig back: without it the fulfilment would be %s instead of %s", a.Limits[i].Name, units.Percent(l.Without), units.Percent(after))
			within = "with that limit "
		}
	}
	for _, t := range a.Targets {
		switch {
		case t.After >= full:
		case t.Alone < t.After+gain:
			out.say("%s stays at %s: %sthe lamps are at their best for it; more light or a beam of another width is needed", t.Name, units.Percent(t.After), within)
		default:
			out.say("%s stays at %s: it could have %s if nothing else counted, at the cost of the other targets; give it more weight to shift that", t.Name, units.Percent(t.After), units.Percent(t.Alone))
		}
	}
	if len(out) == 0 {
		out.say("every target is met")
	}
	if bound := float64(a.Bound); !a.Result.Proved && bound > after+0.005 {
		out.say("the search was cut short: no setting has more than %s", units.Percent(bound))
	}
	if slices.ContainsFunc(a.Targets, func(t figures.AimTarget) bool { return t.After < full }) {
		out = append(out, ends(a)...)
	}
	return out
}

// ends says which brackets are kept from better by their range.
func ends(a *figures.Aim) (out notes) {
	const gain = 5e-4
	for i, b := range a.Task.Brackets {
		tilt, low, high := a.Result.Aims[b.Lamps[0]].Tilt, b.Tilts[0], b.Tilts[len(b.Tilts)-1]
		off, way := a.If[i], ""
		switch {
		case tilt == high && off.PassDown == "" && off.Down > float64(a.After)+gain:
			way = "lower"
		case tilt == low && off.PassUp == "" && off.Up > float64(a.After)+gain:
			way = "higher"
		default:
			continue
		}
		out.say("%s is at the end of its range, %s; a tilt_range that lets it aim %s gives more", off.Name, units.Degrees(tilt), way)
	}
	return out
}

// AimNotes say what the outcome rests on that the rig does not give.
func AimNotes(r *assembly.Rig, t *figures.Task) []string {
	var out notes
	if t.Speed > 0 {
		out.say("%s", speedNote(r.System(), t.Speed, r.Braking.Distance(t.Speed)))
	}
	if raw := r.Raw(); len(raw) > 0 {
		out.say("%s", assembly.OutputNote(raw))
	}
	if stopping := r.StoppingNote(); t.Speed > 0 && stopping != "" {
		out.say("%s", stopping)
	}
	if t.Freed {
		out.say("no lamp has a tilt_range: every lamp that looks ahead was given 0° to %g° in steps of %g°", figures.FreeTo, figures.FreeStep)
	}
	return out
}

// speedNote says what a speed was taken to ask for, with its stopping distance (m).
func speedNote(u units.System, speed, stop float64) string {
	note := fmt.Sprintf("for %s: %d lx on the ground from %s to %s", u.Speed(speed), figures.SpeedNearLux, u.Short(figures.SpeedNearFrom), u.Short(figures.SpeedFarFrom))
	if stop > figures.SpeedFarFrom {
		note += fmt.Sprintf(", and with twice the weight %d lx on obstacles (%s up) from there to the stopping distance, %s",
			figures.SpeedFarLux, u.Length(geometry.ObjectHeight), u.Short(stop))
	}
	return note + fmt.Sprintf("; %s to either side (defaults of this program, no source)", u.Short(figures.SpeedHalfWidth))
}

// Tilted says what tilting lamps for one place came to, a sentence for each.
func Tilted(u units.System, a *figures.Aim, g figures.Goal) []string {
	what := "makes its upper half-peak edge level"
	switch {
	case g.Hit > 0:
		what = fmt.Sprintf("puts its axis on the ground %s from the lamp", u.Short(g.Hit))
	case g.Near > 0:
		what = fmt.Sprintf("puts its lower half-peak edge on the ground %s from the lamp", u.Short(g.Near))
	}
	var out notes
	for _, l := range a.Lamps {
		out.say("%s: a tilt of %s (meter %s) %s", l.Name, units.DegreesTo(float64(l.TiltAfter), 2), units.DegreesTo(float64(l.Reading), 2), what)
	}
	return out
}
