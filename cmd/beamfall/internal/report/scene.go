package report

import (
	"fmt"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry/sight"
	"beamfall/render/units"
)

// Scenes side by side, and what the driver sees in them.

// inWords are the built-in things as one says them.
var inWords = map[string]string{
	"person": "a person in dark clothes", "animal": "an animal the size of a deer", "rock": "a rock",
	"plate": "a plate of 18 cm", "rut": "a rut",
}

// thing is a thing as one says it.
func thing(name string) string {
	if words, ok := inWords[name]; ok {
		return words
	}
	return "the " + name
}

// told are the things that are spoken of: those that were asked for, or the first and the rut and
// the rig's own.
func told(o *figures.Options, seen []figures.Sight) []figures.Sight {
	if len(o.Things) > 0 || len(seen) == 0 {
		return seen
	}
	var out []figures.Sight
	for i, s := range seen {
		builtIn := slices.ContainsFunc(sight.Things(), func(t sight.Thing) bool { return t.Name == s.Thing })
		if i == 0 || s.Thing == "rut" || !builtIn {
			out = append(out, s)
		}
	}
	return out
}

// firstThing is the first of the things that are spoken of, in the first scene that lights any of
// the lamps that are set, or else in the first; nil where the driver sees nothing.
func firstThing(p *figures.Plan) (*figures.Scene, *figures.Sight) {
	if len(p.Scenes) == 0 {
		return nil, nil
	}
	set := func(name string) bool {
		return slices.ContainsFunc(p.Lamps, func(l figures.Lamp) bool { return l.Name == name })
	}
	i := slices.IndexFunc(p.Scenes, func(s figures.Scene) bool { return slices.ContainsFunc(s.Lamps, set) })
	s := &p.Scenes[max(0, i)]
	if len(s.Sight) == 0 {
		return s, nil
	}
	return s, &s.Sight[0]
}

// Seen is how far things are seen in a scene, and from what speed the vehicle stops short of them,
// in a sentence; nothing where the driver sees nothing at all.
func Seen(u units.System, scene string, o *figures.Options, seen []figures.Sight) string {
	var ranges, speeds, never []string
	for _, s := range told(o, seen) {
		if s.Dense {
			return ""
		}
		if !s.Range.Exists() {
			never = append(never, thing(s.Thing))
			continue
		}
		verb := " is seen out to "
		if len(ranges) > 0 {
			verb = " out to "
		}
		seen := thing(s.Thing) + verb + u.Short(float64(s.Range))
		if nose := withNose(u, &s.Seen); nose != "" && len(ranges) == 0 {
			seen += " (" + nose + ")"
		}
		ranges = append(ranges, seen)
		what := strings.TrimSuffix(thing(s.Thing), " in dark clothes")
		if len(speeds) == 0 {
			speeds = append(speeds, "the vehicle stops within sight of "+what+" from up to "+u.Speed(float64(s.Stop)))
		} else {
			speeds = append(speeds, "of "+what+" from up to "+u.Speed(float64(s.Stop)))
		}
	}
	var parts []string
	if len(ranges) > 0 {
		parts = append(parts, strings.Join(ranges, ", ")+"; "+strings.Join(speeds,
			", ")+" (where sight ends, not a safe speed)")
	}
	if len(never) > 0 {
		parts = append(parts, assembly.List(never)+" along the track: not seen")
	}
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("Scene %s: %s.", scene, strings.Join(parts, "; "))
}

// Scenes is the table of the scenes: a column for each, a row for each figure.
func Scenes(u units.System, p *figures.Plan) *table.Table {
	t := &table.Table{Columns: []table.Column{{Name: "Scenes, as driven", Least: 24, Lead: true}}}
	for i := range p.Scenes {
		t.Columns = append(t.Columns, table.Column{Name: p.Scenes[i].Name, Right: true, Least: 12})
		for k, f := range sceneFigures(u, p, &p.Scenes[i]) {
			if i == 0 {
				t.Rows = append(t.Rows, []string{f[0]})
			}
			t.Rows[k] = append(t.Rows[k], f[1])
		}
	}
	t.Rows = slices.DeleteFunc(t.Rows, func(row []string) bool {
		return !slices.ContainsFunc(row[1:], func(cell string) bool { return cell != "" })
	})
	return t
}

// sceneFigures are the figures of a scene with their labels, the same ones for every scene of a
// plan; a figure that would say nothing is empty.
func sceneFigures(u units.System, p *figures.Plan, s *figures.Scene) [][2]string {
	var out [][2]string
	say := func(label, figure string) { out = append(out, [2]string{label, figure}) }
	for _, seen := range told(&p.Asked, s.Sight) {
		say(seen.Thing+" seen to, stops from", seenTo(u, &seen))
		say("  lost between", stretches(u, seen.Lost))
		say("  nose "+noseAngle(seen.Pitch)+" up / down", upDown(u, &seen.Seen))
	}
	var lux, reach, area []string
	for i, r := range s.Reach[:min(2, len(s.Reach))] {
		lux, reach, area = append(lux, units.Number(r.Lux)), append(reach, u.Short(float64(r.Range))),
			append(area, u.Area(s.LitArea[i].Area))
	}
	say(strings.Join(lux, " / ")+" lx facing, ahead, to", paired(reach))
	for _, r := range s.Pitched[:min(1, len(s.Pitched))] {
		say("  "+units.Number(r.Lux)+" lx, nose up / down",
			paired([]string{u.Short(float64(r.NoseUp)), u.Short(float64(r.NoseDown))}))
	}
	say(strings.Join(lux, " / ")+" lx on the ground", paired(area))
	say(fmt.Sprintf("under %d lx facing between", figures.GapLux), gaps(u, s.Reach, s.DarkGaps))
	for _, o := range s.Oncoming {
		if o.Ahead == oncomingAt {
			light := ""
			if o.Lux.Exists() {
				light = units.Light(float64(o.Lux))
			}
			say("oncoming eye at "+u.Chosen(o.Ahead), light)
		}
	}
	for _, b := range s.BodyLight {
		lit := ""
		if b.Seen && b.Max >= 1 {
			lit = units.Light(b.Mean)
		}
		say("on the "+b.Name+", in sight", lit)
	}
	glow := ""
	if s.Glow != nil {
		glow = luminance(s.Glow.Ahead) + " cd/m²"
	}
	say("glow of the air, ahead", glow)
	hidden := ""
	if s.HoodHides > 0.05 {
		hidden = u.Short(s.HoodHides)
	}
	say("ground hidden by body, to", hidden)
	return out
}

// seenTo is how far a thing is seen, and the speed from which the vehicle stops short of it.
func seenTo(u units.System, s *figures.Sight) string {
	if !s.Range.Exists() {
		return unseen(&s.Seen)
	}
	return u.Short(float64(s.Range)) + ", " + u.Speed(float64(s.Stop))
}

// paired are one or two quantities, the unit said once.
func paired(texts []string) string {
	if len(texts) == 1 || texts[0] == texts[1] {
		return texts[0]
	}
	return units.Pair(texts[0], texts[1], " / ")
}

// oncomingAt is the distance ahead (m) of the oncoming eye that is spoken of.
const oncomingAt = 50

// stretches are the first of some stretches, and how many more there are.
func stretches(u units.System, gaps []figures.Gap) string {
	switch len(gaps) {
	case 0:
		return ""
	case 1:
		return u.Span(gaps[0].From, gaps[0].To, "")
	}
	return fmt.Sprintf("%s, %d more", u.Span(gaps[0].From, gaps[0].To, ""), len(gaps)-1)
}

// gaps are the dark stretches of the centreline.
func gaps(u units.System, reach []figures.Reach, dark []figures.Gap) string {
	switch {
	case !reach[0].Range.Exists():
		return "dark"
	case len(dark) == 0:
		return "none"
	}
	return stretches(u, dark)
}

// SceneInDetail is a scene's figures in lines, all of them.
func SceneInDetail(u units.System, s *figures.Scene) []string {
	out := notes{}
	out.say("lamps: %s", strings.Join(s.Lamps, ", "))
	for _, seen := range s.Sight {
		if !seen.Range.Exists() {
			out.say("%s along the track: %s", thing(seen.Thing), unseen(&seen.Seen))
			continue
		}
		out.say("%s: seen out to %s; the vehicle stops short of it from up to %s", thing(seen.Thing),
			u.Short(float64(seen.Range)), u.Speed(float64(seen.Stop)))
		if nose := withNose(u, &seen.Seen); nose != "" {
			out.say("%s: %s", thing(seen.Thing), nose)
		}
		for _, l := range seen.Lost {
			out.say("%s: not seen from %s to %s", thing(seen.Thing), u.Short(l.From), u.Short(l.To))
		}
	}
	if s.Stop.Range.Exists() {
		out.say("the vehicle stops within the reach of %s facing from up to %s", units.Light(s.Stop.SightLux),
			u.Speed(float64(s.Stop.Speed)))
	}
	for i, r := range s.Reach {
		if r.Range.Exists() {
			out.say("%s lx facing, %s above the ground, along the track: out to %s", units.Number(r.Lux),
				u.Length(figures.FacingHeight), u.Short(float64(r.Range)))
		}
		if len(s.Pitched) > 0 {
			out.say("%s lx facing: with the nose up to %s, down to %s", units.Number(r.Lux),
				u.Short(float64(s.Pitched[i].NoseUp)), u.Short(float64(s.Pitched[i].NoseDown)))
		}
		out.say("%s lx or more on %s of ground", units.Number(r.Lux), u.Area(s.LitArea[i].Area))
	}
	for _, g := range s.DarkGaps {
		out.say("dark on the track from %s to %s (under %d lx facing, %s above the ground)", u.Short(g.From),
			u.Short(g.To), figures.GapLux, u.Length(figures.FacingHeight))
	}
	for _, o := range s.Oncoming {
		eye := fmt.Sprintf("an oncoming driver's eye at %s gets", u.Chosen(o.Ahead))
		switch {
		case !o.Lux.Exists(): // past the end of a bend
		case o.Lux == 0:
			out.say("%s no light", eye)
		case !o.Veil.Exists():
			out.say("%s %s; how much that dazzles is not known", eye, units.Light(float64(o.Lux)))
		default:
			out.say("%s %s, which lays a veil of %s cd/m² over what it looks at", eye, units.Light(float64(o.Lux)),
				units.TwoDigits(float64(o.Veil)))
		}
	}
	if s.Glow != nil {
		for _, l := range s.Glow.Lamps {
			out.say("%s of the glow of the air straight ahead is the light of %s", units.Percent(l.Share), l.Name)
		}
	}
	for _, b := range s.BodyLight {
		if b.Max >= 1 {
			out.say("%s on top of the %s, %s at the brightest", units.Light(b.Mean), b.Name, units.Light(b.Max))
		}
	}
	return out
}
