package report

import (
	"fmt"
	"math"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
	"beamfall/render/units"
)

// The figures in words: what a scene comes to, and what a user can act on.

// Words are a scene's figures in a few plain lines.
func (s *Scene) Words(u units.System) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	for _, r := range s.Reach {
		if r.Range == nil {
			say("no obstacle straight ahead gets %g lx (%s up, on its face)", r.Lux, u.Length(geometry.ObjectHeight))
		} else {
			say("an obstacle straight ahead (%s up, on its face) gets %g lx out to %s", u.Length(geometry.ObjectHeight), r.Lux, u.Short(*r.Range))
		}
	}
	if s.Stop.Speed != nil {
		say("the vehicle stops within the %g lx reach from up to %s; that is where sight ends, not a safe speed", s.Stop.SightLux, u.Speed(*s.Stop.Speed/3.6))
	}
	for _, a := range s.LitArea {
		if a.Area == 0 {
			say("no ground gets %g lx", a.Lux)
			continue
		}
		say("%s of ground gets %g lx or more", u.Area(a.Area), a.Lux)
	}
	if len(s.DarkGaps) == 0 && s.Reach[0].Range != nil {
		say("no dark stretch on the centreline before the end of reach")
	}
	for _, g := range s.DarkGaps {
		say("dark on the centreline from %s to %s (under %g lx on an obstacle)", u.Short(g.From), u.Short(g.To), float64(gapLux))
	}
	for _, o := range s.Oncoming {
		if o.Ahead != 50 {
			continue
		}
		eye := fmt.Sprintf("an oncoming driver's eye at %s gets", u.Chosen(o.Ahead))
		switch {
		case o.Lux == 0:
			say("%s no light", eye)
		case o.Veil == nil:
			say("%s %s; no veil can be told", eye, units.Light(o.Lux))
		default:
			say("%s %s, a veil of %s cd/m²", eye, units.Light(o.Lux), units.TwoDigits(*o.Veil))
		}
	}
	for _, b := range s.BodyLight {
		if b.Max >= 1 {
			say("%s on top of the %s, %s at the brightest", units.Light(b.Mean), b.Name, units.Light(b.Max))
		}
	}
	return out
}

// advice is what stands out in a plan and can be acted on. What holds for both lamps of a pair is said once.
func (p *Plan) advice(r *assembly.Rig) []string {
	u := r.System()
	var texts []string
	about := map[string][]string{} // text with the lamp left out: names of the lamps
	var lamp string
	say := func(format string, args ...any) {
		text := fmt.Sprintf(format, args...)
		if about[text] == nil {
			texts = append(texts, text)
		}
		about[text] = append(about[text], lamp)
	}
	for i := range p.Lamps {
		l := &p.Lamps[i]
		lamp = l.Name
		if l.AxisHit == nil {
			say("the axis never meets the ground: @")
		}
		if l.SkyShare >= 0.3 {
			say("%.0f %% of the light goes to the sky: @", 100*l.SkyShare)
		}
		if l.Shade != nil && l.Shade.To > 0.5 && math.Cos(rad(l.Turn)) > 0.5 {
			say("the %s shades the ground straight ahead from @, up to %s from the bumper", l.Shade.By, u.Distance(l.Shade.To))
		}
		for _, b := range l.glare {
			say("@ puts up to %s on the %s (%s on average), which the driver sees", units.Light(b.Max), b.Name, units.Light(b.Mean))
		}
		far, parked := or(l.Far), or(l.FarParked)
		switch {
		case math.IsNaN(far) && !math.IsNaN(parked):
			say("as driven the far edge of @ goes to the sky; as parked it is at %s", u.Short(parked))
		case !math.IsNaN(far) && math.IsNaN(parked):
			say("as driven the far edge of @ is at %s; as parked it goes to the sky", u.Short(far))
		case !math.IsNaN(far) && math.Abs(far/parked-1) > 0.02:
			say("as driven the far edge of @ is at %s; as parked it is at %s", u.Short(far), u.Short(parked))
		}
	}
	var out []string
	for _, t := range texts {
		out = append(out, strings.Replace(t, "@", together(about[t]), 1))
	}
	return out
}

// seen tells whether the driver can see the top of a box: it is below the eye and not all behind it.
func seen(file *rigfile.Rig, box int) bool {
	b, eye := file.Body[box], file.Vehicle.Eye.Value
	return b.Up.High < eye.Up && b.Ahead.High > eye.Ahead
}

// together is names as one subject, a pair by the name of both.
func together(names []string) string {
	var out []string
	for i := 0; i < len(names); i++ {
		base, left := strings.CutSuffix(names[i], " (left)")
		if left && i+1 < len(names) && names[i+1] == base+" (right)" {
			out = append(out, base+" (both)")
			i++
			continue
		}
		out = append(out, names[i])
	}
	return assembly.List(out)
}
