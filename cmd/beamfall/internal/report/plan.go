package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry"
	"beamfall/render/units"
)

// The plan of a rig: the table to set brackets by, what the lamps do when set so, scenes in words, and what stands out.

// WallMark is the cells of a wall mark: height, aside and drop, or why there is none.
func WallMark(u units.System, s *figures.Setting) (height, aside, drop string) {
	switch {
	case s.Wall != nil:
		return u.Mark(s.Wall.Height), u.FromCentre(s.Wall.Left, "L", "R"), u.Mark(s.Wall.Drop)
	case s.PastWall:
		return "stands past it", "", ""
	case math.Cos(float64(s.Turn))*math.Cos(float64(s.Tilt)) < 1e-9:
		return "aimed away", "", ""
	}
	return "ground first", "", ""
}

// Setting is the table to set brackets by.
func Setting(u units.System, p *figures.Plan) *table.Table {
	t := &table.Table{
		Title: fmt.Sprintf("To set (parked on level ground; wall %s ahead of the bumper)", u.Length(p.Asked.Wall)),
		Columns: []table.Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "height", Right: true}, {Name: "tilt", Right: true},
			{Name: "meter", Right: true}, {Name: "wall mark up", Right: true}, {Name: "from centre", Right: true}, {Name: "below lamp", Right: true},
		},
	}
	for i := range p.Lamps {
		l := &p.Lamps[i].Setting
		up, aside, drop := WallMark(u, l)
		t.Rows = append(t.Rows, []string{
			strconv.Itoa(l.Key), l.Name, u.Length(l.Up), units.Degrees(float64(l.Tilt)), units.Degrees(float64(l.Reading)), up, aside, drop,
		})
	}
	return t
}

// Gives is the table of what the lamps do when set so.
func Gives(u units.System, p *figures.Plan) *table.Table {
	t := &table.Table{
		Title: "What that gives (as driven; horizontal distances from the lamp)",
		Columns: []table.Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "circuit", Least: 7}, {Name: "axis hits", Right: true},
			{Name: "half-peak zone"}, {Name: "if ±" + units.Degrees(p.Asked.Tolerance) + " off"},
			{Name: "reach " + thresholds(p.Asked.Thresholds)}, {Name: "to sky", Right: true},
		},
	}
	for i := range p.Lamps {
		l := &p.Lamps[i]
		axis := "never"
		if l.AxisHit != nil {
			axis = u.Short(l.AxisHit.Range)
		}
		t.Rows = append(t.Rows, []string{
			strconv.Itoa(l.Key), l.Name, l.Circuit, axis, u.Span(float64(l.Near), float64(l.Far), "sky"),
			u.Span(float64(l.Tolerance.Near), float64(l.Tolerance.Far), "never"), reach(u, l.Reach), units.Percent(l.SkyShare),
		})
	}
	return t
}

func thresholds(lux []float64) string {
	text := ""
	for i, v := range lux[:min(2, len(lux))] {
		if i > 0 {
			text += " / "
		}
		text += fmt.Sprintf("%g", v)
	}
	return text + " lx"
}

func reach(u units.System, reach []figures.Reach) string {
	first := u.Short(float64(reach[0].Range))
	if len(reach) == 1 {
		return first
	}
	return units.Pair(first, u.Short(float64(reach[1].Range)), " / ")
}

// Scene is a scene's figures in a few plain lines.
func Scene(u units.System, s *figures.Scene) []string {
	var out notes
	for _, r := range s.Reach {
		if !r.Range.Exists() {
			out.say("no obstacle straight ahead gets %g lx (%s up, on its face)", r.Lux, u.Length(geometry.ObjectHeight))
		} else {
			out.say("an obstacle straight ahead (%s up, on its face) gets %g lx out to %s", u.Length(geometry.ObjectHeight), r.Lux, u.Short(float64(r.Range)))
		}
	}
	if s.Stop.Range.Exists() {
		out.say("the vehicle stops within the %g lx reach from up to %s; that is where sight ends, not a safe speed",
			s.Stop.SightLux, u.Speed(float64(s.Stop.Speed)))
	}
	for _, a := range s.LitArea {
		if a.Area == 0 {
			out.say("no ground gets %g lx", a.Lux)
			continue
		}
		out.say("%s of ground gets %g lx or more", u.Area(a.Area), a.Lux)
	}
	if len(s.DarkGaps) == 0 && s.Reach[0].Range.Exists() {
		out.say("no dark stretch on the centreline before the end of reach")
	}
	for _, g := range s.DarkGaps {
		out.say("dark on the centreline from %s to %s (under %g lx on an obstacle)", u.Short(g.From), u.Short(g.To), float64(figures.GapLux))
	}
	for _, o := range s.Oncoming {
		if o.Ahead != 50 {
			continue
		}
		eye := fmt.Sprintf("an oncoming driver's eye at %s gets", u.Chosen(o.Ahead))
		switch {
		case o.Lux == 0:
			out.say("%s no light", eye)
		case !o.Veil.Exists():
			out.say("%s %s; how much that dazzles is not known", eye, units.Light(o.Lux))
		default:
			out.say("%s %s, a veil of %s cd/m²", eye, units.Light(o.Lux), units.TwoDigits(float64(o.Veil)))
		}
	}
	for _, b := range s.BodyLight {
		if b.Max >= 1 {
			out.say("%s on top of the %s, %s at the brightest", units.Light(b.Mean), b.Name, units.Light(b.Max))
		}
	}
	return out
}

// Advice is what stands out in a plan and can be acted on. What holds for both lamps of a pair is said once.
func Advice(u units.System, p *figures.Plan) []string {
	var texts []string
	about := map[string][]string{} // text with the lamp left out: names of the lamps
	for i := range p.Lamps {
		for _, text := range lampAdvice(u, &p.Lamps[i]) {
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

// lampAdvice is what stands out of one lamp, which is an @ in it.
func lampAdvice(u units.System, l *figures.Lamp) (out notes) {
	if l.AxisHit == nil {
		out.say("the axis never meets the ground: @")
	}
	if l.SkyShare >= 0.3 {
		out.say("%s of the light goes to the sky: @", units.Percent(l.SkyShare))
	}
	if l.Shade != nil && l.Shade.To > 0.5 && math.Cos(float64(l.Turn)) > 0.5 {
		out.say("the %s shades the ground straight ahead from @, up to %s from the bumper", l.Shade.By, u.Distance(l.Shade.To))
	}
	for _, b := range l.Glare {
		out.say("@ puts up to %s on the %s (%s on average), which the driver sees", units.Light(b.Max), b.Name, units.Light(b.Mean))
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
}
