package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// The plan of a rig: what the driver will see, the table to set brackets by, what each lamp does
// when set so, the scenes side by side, and what stands out.

// WallMark is the cells of a wall mark: height, aside and drop, or why there is none.
func WallMark(u units.System, s *figures.Setting) (height, aside, drop string) {
	switch {
	case s.Wall != nil:
		return u.Mark(s.Wall.Height), u.FromCentre(s.Wall.Left, "L", "R"), u.Mark(s.Wall.Drop)
	case s.PastWall:
		return "stands past it", "", ""
	case awayFromWall(s):
		return "aimed away", "", ""
	}
	return "ground first", "", ""
}

func awayFromWall(s *figures.Setting) bool {
	return math.Cos(float64(s.Turn))*math.Cos(float64(s.Tilt)) < 1e-9
}

// turned is an angle with its side: "35.0° L", "rear", or nothing for straight ahead.
func turned(a figures.Angle, plus, minus string) string {
	v := math.Remainder(float64(a), 2*math.Pi)
	switch text := units.Degrees(math.Abs(v)); {
	case text == units.Degrees(0):
		return ""
	case text == units.Degrees(math.Pi):
		return "rear"
	case v > 0:
		return text + " " + plus
	default:
		return text + " " + minus
	}
}

// Turn and Roll are cells of the table to set: "35.0° L" of the centreline, "10.0° R" for the right
// side down.
func Turn(s *figures.Setting) string { return turned(s.Turn, "L", "R") }

// Roll is how a lamp is turned about its beam.
func Roll(s *figures.Setting) string {
	v := math.Remainder(float64(s.Roll), 2*math.Pi)
	switch text := units.Degrees(math.Abs(v)); {
	case text == units.Degrees(0):
		return ""
	case v > 0:
		return text + " R down"
	default:
		return text + " L down"
	}
}

// Setting is the table to set brackets by. Columns that would say nothing are left out: the
// meter's, where it reads the tilt, turn and roll where no lamp has any.
func Setting(u units.System, p *figures.Plan) *table.Table {
	has := func(cell func(*figures.Setting) string) bool {
		return slices.ContainsFunc(p.Lamps, func(l figures.Lamp) bool { return cell(&l.Setting) != "" })
	}
	turn, roll, meter := has(Turn), has(Roll), p.Asked.GroundReading != 0
	t := &table.Table{
		Title: fmt.Sprintf("To set, parked on level ground; wall %s ahead of the bumper", u.Length(p.Asked.Wall)),
		Columns: append(lampColumns(), table.Column{Name: "height", Right: true},
			table.Column{Name: "tilt", Right: true}),
	}
	add := func(c table.Column, yes bool) {
		if yes {
			t.Columns = append(t.Columns, c)
		}
	}
	add(table.Column{Name: "meter", Right: true}, meter)
	add(table.Column{Name: "turn", Right: true}, turn)
	add(table.Column{Name: "roll", Right: true}, roll)
	t.Columns = append(t.Columns, table.Column{Name: "wall mark up", Right: true},
		table.Column{Name: "from centre", Right: true})
	for i := range p.Lamps {
		l := &p.Lamps[i].Setting
		row := []string{strconv.Itoa(l.Key), l.Name, tight(u.Mark(l.Up)), units.Degrees(float64(l.Tilt))}
		if meter {
			row = append(row, units.Degrees(float64(l.Reading)))
		}
		if turn {
			row = append(row, Turn(l))
		}
		if roll {
			row = append(row, Roll(l))
		}
		up, aside := "–", ""
		if l.Wall != nil {
			up, aside, _ = WallMark(u, l)
			up, aside = tight(up), tight(aside)
		}
		t.Rows = append(t.Rows, append(row, up, aside))
	}
	return t
}

// tight is a length in feet and inches as it fits in a table: 6'10 3/4" for 6 ft 10 3/4 in.
func tight(length string) string {
	return strings.NewReplacer(" ft ", "'", " ft", "'", " in", `"`).Replace(length)
}

// SettingKey explains the table to set: what its columns are, and why lamps have no mark.
func SettingKey(p *figures.Plan) string {
	switch {
	case len(p.Lamps) == 0 && len(p.Headlights) > 0:
		return "Nothing to set: headlights are aimed as the vehicle's handbook says."
	case len(p.Lamps) == 0:
		return "Nothing to set: no lamp is lit."
	}
	key := "wall mark: the middle of the beam; L, R: left, right of the centreline"
	if p.Asked.GroundReading != 0 {
		key = "meter: what the tilt meter reads; " + key
	}
	var away, ground, past []string
	for i := range p.Lamps {
		switch l := &p.Lamps[i].Setting; {
		case l.Wall != nil:
		case l.PastWall:
			past = append(past, l.Name)
		case awayFromWall(l):
			away = append(away, l.Name)
		default:
			ground = append(ground, l.Name)
		}
	}
	for _, no := range []struct {
		why   string
		names []string
	}{{"aimed away from it", away}, {"on the ground before it", ground}, {"mounted past it", past}} {
		if len(no.names) > 0 {
			key += fmt.Sprintf("; %s: %s", no.why, together(no.names))
		}
	}
	return key + "."
}

// lampColumns say which lamp a row is about.
func lampColumns() []table.Column {
	return []table.Column{{Name: "#", Right: true, Lead: true}, {Name: "lamp", Least: 12, Lead: true}}
}

// Gives is the table of what the lamps do when set so. The two of a pair that do the same share a
// row.
func Gives(u units.System, p *figures.Plan) *table.Table { return lampsGive(u, p, alike) }

// GivesEach is Gives with a row for each lamp.
func GivesEach(u units.System, p *figures.Plan) *table.Table {
	return lampsGive(u, p, func(units.System, *figures.Lamp, *figures.Lamp) bool { return false })
}

func lampsGive(u units.System, p *figures.Plan, shareRow func(u units.System, a, b *figures.Lamp) bool) *table.Table {
	off, lux := units.Degrees(p.Asked.Tolerance), units.Number(p.Asked.Thresholds[0])+" lx"
	t := &table.Table{
		Title: "What that gives, as driven, from the lamp; lux facing",
		Columns: append(lampColumns(), table.Column{Name: "axis hits", Right: true},
			table.Column{Name: "if " + off + " off", Right: true},
			table.Column{Name: lux + " to", Right: true}),
	}
	scene, first := firstThing(p)
	if first != nil {
		t.Title += "; " + first.Thing + " in scene " + scene.Name
		t.Columns = append(t.Columns, table.Column{Name: first.Thing + " without it", Right: true},
			table.Column{Name: first.Thing + " if " + off + " low / high", Right: true})
	}
	for i := 0; i < len(p.Lamps); i++ {
		lamps := p.Lamps[i : i+1]
		if i+1 < len(p.Lamps) && shareRow(u, &p.Lamps[i], &p.Lamps[i+1]) {
			lamps = p.Lamps[i : i+2]
			i++
		}
		l, name := &lamps[0], lamps[0].Name
		keys, names := []string{strconv.Itoa(l.Key)}, []string{l.Name}
		if len(lamps) == 2 {
			keys, names = append(keys, strconv.Itoa(lamps[1].Key)), append(names, lamps[1].Name)
			name, _ = figures.Pair(name)
		}
		row := append([]string{strings.Join(keys, ", "), together(names)}, gives(u, l)...)
		if first != nil {
			row = append(row, without(u, first, name), lowHigh(u, first, lamps))
		}
		t.Rows = append(t.Rows, row)
	}
	return withHeadlights(u, p, first, t)
}

// withHeadlights adds the vehicle's own headlights to the table of what lamps that are set do: how
// far they reach, and what is seen without them.
func withHeadlights(u units.System, p *figures.Plan, first *figures.Sight, t *table.Table) *table.Table {
	if len(p.Headlights) == 0 || len(p.Lamps) == 0 {
		return t
	}
	var keys, names []string
	for i := range p.Headlights {
		keys, names = append(keys, strconv.Itoa(p.Headlights[i].Key)), append(names, p.Headlights[i].Name)
	}
	row := []string{strings.Join(keys, ", "), together(names), "", "", u.Short(float64(p.Headlights[0].Reach[0].Range))}
	if first != nil {
		pair, _ := figures.Pair(names[0])
		row = append(row, without(u, first, pair), "")
	}
	t.Rows = append(t.Rows, row)
	return t
}

// gives is where the axis of a lamp meets the ground, as set and set wrong, and where its light
// ends.
func gives(u units.System, l *figures.Lamp) []string {
	axis := "never"
	if l.AxisHit != nil {
		axis = u.Short(l.AxisHit.Range)
	}
	return []string{axis, u.Span(float64(l.Tolerance.Near), float64(l.Tolerance.Far), "never"),
		u.Short(float64(l.Reach[0].Range))}
}

// alike reports whether two lamps are a pair of which both do the same.
func alike(u units.System, a, b *figures.Lamp) bool {
	left, is := figures.Pair(a.Name)
	right, _ := figures.Pair(b.Name)
	return is && left == right && slices.Equal(gives(u, a), gives(u, b))
}

// without is how far a thing is seen without a lamp or a pair; nothing where the scene does not
// light it.
func without(u units.System, seen *figures.Sight, lamp string) string {
	v, lit := seen.Worth(lamp)
	if !lit {
		return ""
	}
	return u.Short(float64(v))
}

// lowHigh is how far a thing is seen with the bracket of a lamp, or of whichever of two costs more,
// set too low and too high; nothing where the scene does not light it.
func lowHigh(u units.System, seen *figures.Sight, lamps []figures.Lamp) string {
	low, high := math.Inf(1), math.Inf(1)
	for i := range lamps {
		_, lit := seen.Worth(lamps[i].Name)
		off := lamps[i].Tolerance.Sight
		k := slices.IndexFunc(off, func(s figures.SightOff) bool { return s.Thing == seen.Thing })
		if !lit || k < 0 {
			return ""
		}
		low, high = min(low, float64(off[k].Low)), min(high, float64(off[k].High))
	}
	return units.Pair(u.Short(low), u.Short(high), " / ")
}

// Advice is what stands out of a plan and can be acted on: light on the hood, and the ground that a
// lamp should light and the hood keeps dark. What holds for both lamps of a pair is said once.
func Advice(u units.System, p *figures.Plan) []string {
	return perLamp(p, func(l *figures.Lamp) (out notes) {
		hidden := 0.5
		for i := range p.Scenes {
			hidden = max(hidden, p.Scenes[i].HoodHides)
		}
		if l.Shade != nil && l.Shade.To > hidden && math.Cos(float64(l.Turn)) > 0.5 {
			out.say("the %s shades the ground straight ahead from @, up to %s from the bumper", l.Shade.By,
				u.Distance(l.Shade.To))
		}
		for _, b := range l.Glare {
			out.say("@ puts up to %s on the %s (%s on average), which the driver sees", units.Light(b.Max), b.Name,
				units.Light(b.Mean))
		}
		return out
	})
}

// Glows says of each scene in air that throws light back how much that is and from which lamp most,
// and what to switch off to see farther, if anything.
func Glows(u units.System, p *figures.Plan) []string {
	out := notes{}
	for i := range p.Scenes {
		s := &p.Scenes[i]
		if s.Glow == nil || !(s.Glow.Ahead > 0) {
			continue
		}
		brackets := map[string]float64{} // what is on one bracket or one pair of them
		most := ""
		for _, l := range s.Glow.Lamps {
			name, _ := figures.Pair(l.Name)
			if brackets[name] += l.Share; most == "" || brackets[name] > brackets[most] {
				most = name
			}
		}
		text := fmt.Sprintf("scene %s: the air in front glows with %s cd/m²", s.Name, luminance(s.Glow.Ahead))
		if len(brackets) > 1 {
			text += fmt.Sprintf(", %s of it from %s", units.Percent(brackets[most]), most)
		}
		if len(s.Sight) > 0 && s.Sight[0].Range.Exists() {
			text += "; " + withoutGlow(u, &s.Sight[0], len(brackets) > 1)
		}
		out = append(out, text)
	}
	return out
}

// withoutGlow is which lamp or pair to switch off so that a thing is seen farther, and how far, if
// there is one to choose.
func withoutGlow(u units.System, seen *figures.Sight, choice bool) string {
	const worth = 1.03 // a difference that one would switch a lamp off for
	best := figures.Without{Range: seen.Range * worth}
	for _, w := range seen.Without {
		pair, one := figures.Pair(w.Lamp)
		if _, both := seen.Worth(pair); !(one && both) && w.Range > best.Range { // a pair is on one switch
			best = w
		}
	}
	switch {
	case best.Lamp != "":
		return fmt.Sprintf("without %s %s is seen out to %s instead of %s", best.Lamp, thing(seen.Thing),
			u.Short(float64(best.Range)), u.Short(float64(seen.Range)))
	case choice:
		return fmt.Sprintf("no lamp that is switched off makes %s seen farther", thing(seen.Thing))
	}
	return fmt.Sprintf("%s is seen out to %s", thing(seen.Thing), u.Short(float64(seen.Range)))
}

// Remarks are what few need to know of the lamps: light that goes to the sky, and what driving
// changes.
func Remarks(u units.System, p *figures.Plan) []string {
	return perLamp(p, func(l *figures.Lamp) (out notes) {
		if l.AxisHit == nil {
			out.say("the axis never meets the ground: @")
		}
		if l.SkyShare >= 0.3 {
			out.say("%s of the light goes to the sky: @", units.Percent(l.SkyShare))
		}
		switch far, parked := float64(l.Far), float64(l.FarParked); {
		case math.IsNaN(far) && !math.IsNaN(parked):
			out.say("as driven the far edge of @ goes to the sky; as parked it is at %s", u.Short(parked))
		case !math.IsNaN(far) && math.IsNaN(parked):
			out.say("as driven the far edge of @ is at %s; as parked it goes to the sky", u.Short(far))
		case !math.IsNaN(far) && math.Abs(far/parked-1) > 0.02:
			out.say("as driven the far edge of @ is at %s; as parked it is at %s", u.Short(far), u.Short(parked))
		}
		return out
	})
}

// perLamp is what there is to say of each lamp, an @ standing for it: once, with all lamps that it
// holds for.
func perLamp(p *figures.Plan, say func(*figures.Lamp) notes) []string {
	var texts []string
	about := map[string][]string{} // names of the lamps
	for i := range p.Lamps {
		for _, text := range say(&p.Lamps[i]) {
			if about[text] == nil {
				texts = append(texts, text)
			}
			about[text] = append(about[text], p.Lamps[i].Name)
		}
	}
	for i, t := range texts {
		texts[i] = strings.Replace(t, "@", together(about[t]), 1)
	}
	return texts
}

// InDetail is what few need to know of each lamp.
func InDetail(u units.System, p *figures.Plan) *table.Table {
	t := &table.Table{
		Title: "In detail",
		Columns: append(lampColumns(), table.Column{Name: "circuit", Least: 7},
			table.Column{Name: "delivered", Right: true},
			table.Column{Name: "peak", Right: true}, table.Column{Name: "beam on the ground"},
			table.Column{Name: "as parked, to", Right: true},
			table.Column{Name: "wall mark below lamp", Right: true},
			table.Column{Name: "brightest ground", Right: true}, table.Column{Name: "to sky", Right: true}),
	}
	for _, lux := range p.Asked.Thresholds {
		t.Columns = append(t.Columns, table.Column{Name: units.Number(lux) + " lx facing to", Right: true})
	}
	for i := range p.Lamps {
		l := &p.Lamps[i]
		_, _, drop := WallMark(u, &l.Setting)
		parked := "sky"
		if l.FarParked.Exists() {
			parked = u.Short(float64(l.FarParked))
		}
		ground := "none lit"
		if l.PeakGround != nil {
			ground = units.Light(l.PeakGround.Lux)
		}
		row := []string{
			strconv.Itoa(l.Key), l.Name, l.Circuit, units.Lumens(l.Flux), units.Candela(l.Peak),
			u.Span(float64(l.Near), float64(l.Far), "sky"), parked,
			drop, ground, units.Percent(l.SkyShare),
		}
		for _, r := range l.Reach {
			row = append(row, u.Short(float64(r.Range)))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
