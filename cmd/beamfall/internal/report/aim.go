package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry/aim"
	"beamfall/render/units"
)

// The outcome of aiming: tables of brackets, targets and limits, what keeps the targets from being
// met, and what the outcome rests on.

// Tilts is the table of brackets before and after, with how much farther or less far the first
// thing is seen when one is set wrong.
func Tilts(a *figures.Aim, u units.System) *table.Table {
	t := &table.Table{
		Title: fmt.Sprintf("%s, scene %s: to set", a.Rig, a.Scene),
		Columns: []table.Column{
			{Name: "#", Right: true, Lead: true}, {Name: "lamp", Least: 12, Lead: true},
			{Name: "tilt now", Right: true}, {Name: "set to", Right: true},
			{Name: "meter", Right: true}, {Name: "turn", Right: true}, {Name: "if lower", Right: true},
			{Name: "if higher", Right: true},
		},
	}
	turned := false
	for _, l := range a.Lamps {
		row := []string{fmt.Sprint(l.Key), l.Name, units.Degrees(float64(l.TiltBefore)), "stays",
			units.Degrees(float64(l.Reading)), units.Degrees(float64(l.TurnAfter)), "", ""}
		if l.Moved {
			row[3] = units.Degrees(float64(l.TiltAfter))
		}
		if off := a.Off(l.Name); l.Free && off != nil {
			row[6], row[7] = costs(a, u, off, false), costs(a, u, off, true)
		}
		turned = turned || l.TurnAfter != 0 || l.TurnBefore != l.TurnAfter
		t.Rows = append(t.Rows, row)
	}
	if !turned {
		t.Columns = slices.Delete(t.Columns, 5, 6)
		for i := range t.Rows {
			t.Rows[i] = slices.Delete(t.Rows[i], 5, 6)
		}
	}
	return t
}

// TiltsKey explains the table of brackets.
func TiltsKey(a *figures.Aim) string {
	what := "what the fulfilment gains or loses"
	if len(a.Sight) > 0 {
		what = "how much farther or less far " + thing(a.Sight[0].Thing) + " is seen"
	}
	return fmt.Sprintf("if lower, if higher: %s with that bracket alone %s too low or too high. limit!: a limit is "+
		"then broken.",
		what, units.Degrees(a.Asked.Tolerance))
}

// costs is what a bracket that is set wrong does to the first thing, or to the fulfilment where
// nothing is looked at.
func costs(a *figures.Aim, u units.System, off *figures.AimOff, higher bool) string {
	fulfilment, broken := off.Down, off.BrokenDown
	if higher {
		fulfilment, broken = off.Up, off.BrokenUp
	}
	text := "0"
	switch change := fulfilment - float64(a.After); {
	case len(off.Sight) > 0:
		to := off.Sight[0].Low
		if higher {
			to = off.Sight[0].High
		}
		text = farther(u, a.Sight[0].After, to)
	case math.Abs(change) >= 5e-4:
		text = fmt.Sprintf("%+.1f %%", 100*change)
	}
	if broken != "" {
		text += ", limit!"
	}
	return text
}

// farther is how much farther a thing is seen than before.
func farther(u units.System, before, after figures.Number) string {
	switch {
	case !before.Exists() && !after.Exists():
		return "not seen"
	case !after.Exists():
		return "lost"
	case !before.Exists():
		return "seen"
	}
	return units.Changed(float64(before), float64(after), u.Short).String()
}

// AimSights is the table of how far things are seen before and after.
func AimSights(a *figures.Aim, u units.System) *table.Table {
	t := &table.Table{Columns: []table.Column{{Name: "seen along the track", Least: 10}, {Name: "before", Right: true},
		{Name: "after", Right: true}}}
	reach := func(n figures.Number) string { return seenOr(u, n) }
	for _, s := range a.Sight {
		t.Rows = append(t.Rows, []string{thing(s.Thing), reach(s.Before), reach(s.After)})
		if s.Pitch != 0 {
			nose := "  nose " + noseAngle(s.Pitch)
			t.Rows = append(t.Rows, []string{nose + " up", reach(s.NoseUpBefore), reach(s.NoseUpAfter)},
				[]string{nose + " down", reach(s.NoseDownBefore), reach(s.NoseDownAfter)})
		}
	}
	return t
}

// Targets is the table of targets.
func Targets(a *figures.Aim) *table.Table {
	t := &table.Table{Columns: []table.Column{{Name: "what is asked for", Least: 10}, {Name: "before", Right: true},
		{Name: "after", Right: true}}}
	for _, r := range a.Targets {
		t.Rows = append(t.Rows, []string{r.Name, units.Percent(r.Before), units.Percent(r.After)})
	}
	t.Rows = append(t.Rows, []string{"all, by weight", units.Percent(float64(a.Before)),
		units.Percent(float64(a.After))})
	return t
}

// Limits is the table of limits.
func Limits(a *figures.Aim) *table.Table {
	t := &table.Table{Columns: []table.Column{
		{Name: "limit", Least: 10}, {Name: "allowed", Right: true}, {Name: "before", Right: true},
		{Name: "after", Right: true},
	}}
	for _, l := range a.Limits {
		t.Rows = append(t.Rows, []string{l.Name, units.Light(l.Allowed), units.Light(l.Before), units.Light(l.After)})
	}
	return t
}

// full is the fulfilment that counts as met.
const full = 0.995

// Why says what each bracket is moved for, and what its move costs: how far things would be seen if
// it alone stayed.
func Why(a *figures.Aim, u units.System) []string {
	var out notes
	for _, m := range a.Moves {
		var gains []string
		for i, s := range a.Sight {
			from, to := m.Stays[i], m.Range[i]
			switch by := units.Changed(float64(from), float64(to), u.Short); {
			case by.Sign == 0:
			case !from.Exists():
				gains = append(gains, thing(s.Thing)+" is seen")
			case !to.Exists():
				gains = append(gains, thing(s.Thing)+" is lost")
			case by.Sign > 0:
				gains = append(gains, thing(s.Thing)+" is seen "+by.Size+" farther")
			default:
				gains = append(gains, thing(s.Thing)+" is seen "+by.Size+" less far")
			}
		}
		how := fmt.Sprintf("%s, tilt %s → %s", m.Name, units.Degrees(m.From.Tilt), units.Degrees(m.To.Tilt))
		if m.From.Turn != m.To.Turn {
			how += fmt.Sprintf(", turn %s → %s", units.Degrees(m.From.Turn), units.Degrees(m.To.Turn))
		}
		if len(gains) == 0 {
			gains = []string{"more of what is asked for is met"}
		}
		out.say("%s: %s", how, strings.Join(gains, ", "))
	}
	for _, l := range a.Limits {
		if l.Before > l.Allowed && a.Unmet == nil {
			out.say("as the lamps are set now, %s gets %s facing, and the limit allows %s", l.Name,
				units.Light(l.Before), units.Light(l.Allowed))
		}
	}
	switch {
	case a.Unmet != nil:
	case len(a.Moves) == 0:
		out.say("no bracket has to move: no setting on their steps does more than %g %% better", 100*aim.Slack)
	case a.Search == figures.BestFound:
		out.say("the best that was found; there are more settings than can all be looked at")
	}
	return out
}

// Reasons say what keeps the targets from being met: limits, the lamps themselves, and the ends of
// ranges.
func Reasons(a *figures.Aim) []string {
	var out notes
	if a.Unmet != nil {
		return help(a)
	}
	const gain = 0.01
	after, within := float64(a.After), ""
	for i, l := range a.Result.Limits {
		if l.Without > after+gain {
			out.say("the limit %s holds the rig back: without it %s of what is asked for would be met instead of %s",
				a.Limits[i].Name, units.Percent(l.Without), units.Percent(after))
			within = "with that limit "
		}
	}
	for _, t := range a.Targets {
		switch {
		case t.After >= full:
		case t.Alone < t.After+gain:
			out.say("%s stays at %s: %sthe lamps are at their best for it; more light or a beam of another width "+
				"is needed", t.Name, units.Percent(t.After), within)
		default:
			out.say("%s stays at %s: it could have %s if nothing else counted, at the cost of the rest; give it "+
				"more weight to shift that", t.Name, units.Percent(t.After), units.Percent(t.Alone))
		}
	}
	if len(out) == 0 {
		out.say("all that is asked for is met")
	}
	if slices.ContainsFunc(a.Targets, func(t figures.AimTarget) bool { return t.After < full }) {
		out = append(out, ends(a)...)
	}
	return out
}

// help says of a limit that no setting keeps what it gets at the least, from which lamps, and what
// would keep it.
func help(a *figures.Aim) (out notes) {
	l := a.Limits[a.Unmet.Limit]
	var shares []string
	for _, lamp := range l.Lamps {
		shares = append(shares, lamp.Name+" "+units.Light(lamp.Lux))
	}
	out.say("no setting keeps the limit %s: it allows %s facing and gets %s at the least, with the tilts above: %s",
		l.Name, units.Light(l.Allowed), units.Light(*l.Least), strings.Join(shares, ", "))
	var off []string
	for _, lamp := range l.Lamps {
		if *l.Least-lamp.Lux <= l.Allowed {
			off = append(off, lamp.Name)
		}
	}
	if len(off) > 0 {
		out.say("it would be kept with %s off in this scene", strings.Join(off, " or "))
	} else {
		out.say("no lamp that is left off alone keeps it; leave off several, let the lamps tilt further down, or " +
			"allow more light there")
	}
	return out
}

// AimWarnings are what one should know of the setting before driving it, from what it does: sight
// that it costs, a bright foreground, and what check would doubt of it that it does not doubt now.
func AimWarnings(r *assembly.Rig, a *figures.Aim, u units.System) []string {
	out := notes{}
	for _, s := range a.Sight {
		switch less := float64(s.Before - s.After); {
		case s.Before.Exists() && !s.After.Exists():
			out.say("%s, seen out to %s before, is not seen any more", thing(s.Thing), u.Short(float64(s.Before)))
		case less > 1 && less > 0.02*float64(s.Before):
			out.say("%s is seen %s less far than before: %s instead of %s", thing(s.Thing), u.Short(less),
				u.Short(float64(s.After)), u.Short(float64(s.Before)))
		}
	}
	// Common practice, no source: a few hundred lux on the ground before the bumper dazzle.
	const foreground = 300
	if b := a.Lit.Brightest(); b.Lux > foreground {
		where := u.Short(math.Abs(b.At.X)) + " ahead of the bumper"
		if b.At.X < 0 {
			where = u.Short(-b.At.X) + " behind the bumper"
		}
		out.say("the ground gets up to %s, %s: a bright foreground costs sight at a distance", units.Light(b.Lux),
			where)
	}
	before := Doubts(r)
	for _, doubt := range Doubts(r.Aimed(a.Result.Aims)) {
		if !slices.Contains(before, doubt) {
			out = append(out, doubt)
		}
	}
	return out
}

// ends says which brackets are kept from better by their range.
func ends(a *figures.Aim) (out notes) {
	const gain = 5e-4
	for i, b := range a.Task.Brackets {
		tilt, low, high := a.Result.Aims[b.Lamps[0]].Tilt, b.Settings[0].Tilt, b.Settings[len(b.Settings)-1].Tilt
		off, way := a.If[i], ""
		switch {
		case tilt == high && off.BrokenDown == "" && off.Down > float64(a.After)+gain:
			way = "lower"
		case tilt == low && off.BrokenUp == "" && off.Up > float64(a.After)+gain:
			way = "higher"
		default:
			continue
		}
		out.say("%s is at the end of its range, %s; a tilt_range that lets it aim %s gives more", off.Name,
			units.Degrees(tilt), way)
	}
	return out
}

// AimNotes say what the outcome rests on that the rig does not give.
func AimNotes(r *assembly.Rig, a *figures.Aim) []string {
	var out notes
	t, u := a.Task, r.System()
	if t.Speed > 0 {
		stop := r.Braking.Distance(t.Speed)
		out.say("for %s: a person in dark clothes is to be seen from %s to the stopping distance, %s, %s to either "+
			"side (this program's choice)",
			u.Speed(t.Speed), u.Short(math.Min(figures.SpeedFrom, stop)), u.Short(stop),
			u.Short(figures.SpeedHalfWidth))
	}
	if t.Usual {
		out.say("the rig has no [[target]]: a rut is to be seen from %s to %s, %s to either side, and with twice "+
			"the weight a person in dark clothes from %s to %s, "+
			"%s to either side (this program's choice)", u.Short(figures.RutFrom), u.Short(figures.RutTo),
			u.Short(figures.RutHalfWidth),
			u.Short(figures.PersonFrom), u.Short(figures.PersonTo), u.Short(figures.PersonHalfWidth))
	}
	if slices.ContainsFunc(t.Targets, func(t aim.Target) bool { return t.See != nil }) {
		out.say("of a thing that is to be seen, what is met is how plain it is, as a share of what counts as seen "+
			"(%s times the threshold), on average over its places", units.Number(r.Driver.Level))
	}
	if len(t.Cut) > 0 {
		out.say("the bend is followed through half a turn, to %s along the track: what lies past that does not "+
			"count for %s", u.Short(r.Site.Track.End()), assembly.List(t.Cut))
	}
	if len(t.Sites) > 1 {
		out.say("judged by the worst of nose up, level and down by %s", units.Degrees(r.File.Vehicle.Pitch.Value))
	}
	if a.Result.OffSteps {
		out.say("a bracket is set off its steps now; how it is set was looked at all the same")
	}
	if raw := r.Raw(); len(raw) > 0 {
		out.say("%s", assembly.OutputNote(raw))
	}
	if stopping := r.StoppingNote(); t.Speed > 0 && stopping != "" {
		out.say("%s", stopping)
	}
	if t.Freed {
		out.say("no lamp has a tilt_range: every lamp that looks ahead was given 0° to %g° in steps of %g°",
			figures.FreeTo, figures.FreeStep)
	}
	return out
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
		out.say("%s: a tilt of %s (meter %s) %s", l.Name, units.DegreesTo(float64(l.TiltAfter), 2),
			units.DegreesTo(float64(l.Reading), 2), what)
	}
	return out
}
