package figures

import (
	"context"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry/sight"
	"beamfall/render/units"
)

// Scenes side by side: what each gives, and what it gains over the one before it or over the first.

// Compare is scenes side by side. Pictures and Notes are for the caller to fill.
type Compare struct {
	Columns  []Column `json:"columns"`
	Pictures []string `json:"pictures"`
	Notes    []string `json:"notes"`
}

// Column is one of the scenes that are compared.
type Column struct {
	Title       string       `json:"title"`
	Rig         string       `json:"rig"`
	Scene       string       `json:"scene"`
	Lamps       int          `json:"lamps"`
	Flux        float64      `json:"flux_lm"`
	Peak        float64      `json:"peak_cd"`         // of the strongest lamp
	BeamAcross  Angle        `json:"beam_across_deg"` // of the only lamp or pair, at half the peak; else null
	BeamUpDown  Angle        `json:"beam_up_down_deg"`
	Brightest   *PeakGround  `json:"peak_ground"`
	Reach       []Reach      `json:"reach"`
	Widths      []LitWidth   `json:"lit_width"`
	LitArea     []LitArea    `json:"lit_area"`
	GroundShare float64      `json:"ground_share"`
	DarkGaps    []Gap        `json:"dark_gaps"`
	Sight       []Sight      `json:"sight"`
	SightWidths []SightWidth `json:"sight_width"`
	Oncoming    []Oncoming   `json:"oncoming"`
	Glow        *Glow        `json:"glow"`
	Gain        *Gain        `json:"gain"` // nil for what the others are held against

	Headlights string `json:"-"` // what they are, where they are all that is lit
}

// LitWidth is how wide the ground is lit at a distance ahead of the bumper.
type LitWidth struct {
	Ahead float64 `json:"ahead_m"`
	Lux   float64 `json:"lux"`
	Width float64 `json:"width_m"`
}

// SightWidth is on how much of the line across the track at a distance along it a thing is seen.
type SightWidth struct {
	Thing string  `json:"thing"`
	Ahead float64 `json:"ahead_m"`
	Width Number  `json:"width_m"`
}

// Gain is by how much the figures of a column are above those of another. A thing that is nowhere
// seen counts as seen to 0 m there; what exists in neither is null.
type Gain struct {
	Over        string       `json:"over"` // title of the other
	Sight       []Farther    `json:"sight"`
	SightWidths []SightWidth `json:"sight_width"`
	Reach       []Reach      `json:"reach"`
	Oncoming    []EyeGain    `json:"oncoming"`
	Glow        Number       `json:"glow_cd_m2"`
}

// Farther is how much farther a thing is seen, and how much faster the vehicle may be to stop short
// of it.
type Farther struct {
	Thing string `json:"thing"`
	Range Number `json:"range_m"`
	Stop  Speed  `json:"stop_kmh"`
}

// EyeGain is how much more light an oncoming eye gets.
type EyeGain struct {
	Ahead float64 `json:"ahead_m"`
	Lux   Number  `json:"eye_lux"`
}

// Panel is what a column is of: a scene of a rig.
type Panel struct {
	Rig   *assembly.Rig
	Scene assembly.Scene
	Title string
}

// widthsAt are the distances ahead (m) of the lit widths, round ones in either system of units; the
// last is that of the width of sight.
var widthsAt = map[units.System][]float64{
	units.Metric: {10, 25, 50}, units.Imperial: {30 * units.Foot, 75 * units.Foot, 150 * units.Foot},
}

// CompareOf works out the figures of panels side by side. Where each is one step more than the one
// before, gains are over that; else they are over the first. Progress is given the share done; it
// may be nil.
func CompareOf(ctx context.Context, panels []Panel, steps bool, o Options, progress func(float64)) (*Compare, error) {
	out := &Compare{Columns: make([]Column, len(panels)), Pictures: []string{}, Notes: []string{}}
	seen := map[*assembly.Rig]*sights{}
	for i, p := range panels {
		if seen[p.Rig] == nil {
			s, err := sightsOf(ctx, p.Rig, &o)
			if err != nil {
				return nil, err
			}
			seen[p.Rig] = s
		}
		var err error
		if out.Columns[i], err = columnOf(ctx, p, seen[p.Rig], o); err != nil {
			return nil, err
		}
		if over := i - 1; i > 0 {
			if !steps {
				over = 0
			}
			out.Columns[i].Gain = GainOver(&out.Columns[over], &out.Columns[i])
		}
		if progress != nil {
			progress(float64(i+1) / float64(len(panels)))
		}
	}
	return out, nil
}

func columnOf(ctx context.Context, p Panel, seen *sights, o Options) (Column, error) {
	r, s := p.Rig, p.Scene
	lit := r.Lit(s)
	c := Column{
		Title: p.Title, Rig: r.File.Name, Scene: s.Name, Lamps: len(s.Lamps),
		Oncoming: oncoming(r, lit, o), Glow: glowOf(r, s, lit),
	}
	c.BeamAcross, c.BeamUpDown = Angle(None()), Angle(None())
	if n := s.Lamps; (len(n) == 1 || len(n) == 2 && r.Lamps[n[0]].Entry == r.Lamps[n[1]].Entry) &&
		!r.IsHeadlight(n[0]) {
		only := card(r, n[0])
		c.BeamAcross, c.BeamUpDown = only.BeamAcross, only.BeamUpDown
	}
	if others := func(n int) bool { return !r.IsHeadlight(n) }; len(s.Lamps) > 0 &&
		!slices.ContainsFunc(s.Lamps, others) {
		c.Headlights = r.HeadlightsAre()
	}
	sky := 0.0
	for i := range lit.Lamps {
		m := &lit.Lamps[i]
		flux := m.Lamp.Beam().Flux()
		c.Flux += flux
		sky += flux * m.SkyShare()
		c.Peak = math.Max(c.Peak, m.Lamp.Beam().Peak())
	}
	if c.Flux > 0 {
		c.GroundShare = 1 - sky/c.Flux
	}
	if b := lit.Brightest(); b.Lux > 0 {
		c.Brightest = &PeakGround{b.Lux, tidy(b.At.X), tidy(b.At.Y)}
	}
	least := lowest(o.Thresholds)
	line := lit.Centreline(min(least, GapLux))
	c.Reach, c.DarkGaps = reaches(line, o.Thresholds), gaps(line)
	for _, x := range widthsAt[r.System()] {
		c.Widths = append(c.Widths, LitWidth{x, least, lit.LitWidth(x, least)})
	}
	var err error
	if c.LitArea, err = litAreas(ctx, lit, o.Thresholds); err != nil {
		return c, err
	}
	c.Sight, c.SightWidths = seen.of(s), seen.widths(s)
	return c, ctx.Err()
}

// GainOver is what one column gains over another.
func GainOver(before, c *Column) *Gain {
	g := &Gain{
		Over: before.Title, Sight: []Farther{}, SightWidths: []SightWidth{}, Reach: []Reach{}, Oncoming: []EyeGain{},
		Glow: Number(None()),
	}
	for _, s := range c.Sight {
		if k := slices.IndexFunc(before.Sight, func(b Sight) bool { return b.Thing == s.Thing }); k >= 0 {
			b := &before.Sight[k]
			g.Sight = append(g.Sight, Farther{s.Thing, GainIn(b.Range, s.Range), GainIn(b.Stop, s.Stop)})
		}
	}
	for i, w := range c.SightWidths {
		if i < len(before.SightWidths) && before.SightWidths[i].Thing == w.Thing &&
			before.SightWidths[i].Ahead == w.Ahead {
			w.Width = GainIn(before.SightWidths[i].Width, w.Width)
			g.SightWidths = append(g.SightWidths, w)
		}
	}
	for i, r := range c.Reach {
		g.Reach = append(g.Reach, Reach{r.Lux, GainIn(before.Reach[i].Range, r.Range)})
	}
	for i, e := range c.Oncoming {
		g.Oncoming = append(g.Oncoming, EyeGain{e.Ahead, GainIn(before.Oncoming[i].Lux, e.Lux)})
	}
	if before.Glow != nil && c.Glow != nil {
		g.Glow = Number(c.Glow.Ahead - before.Glow.Ahead)
	}
	return g
}

// GainIn is the difference of two figures, of which one that does not exist counts as 0; if neither
// does it does not exist.
func GainIn[N ~float64](before, after N) N {
	switch {
	case math.IsNaN(float64(before)):
		return after
	case math.IsNaN(float64(after)):
		return -before
	}
	return after - before
}

// Headline is the gain by which a column is known: in sight of the first thing, or else in reach.
func (g *Gain) Headline() Number {
	if len(g.Sight) > 0 {
		return g.Sight[0].Range
	}
	return g.Reach[0].Range
}

// widths are on how much of the line across the track at the distance of widthsAt the first thing
// is seen.
func (s *sights) widths(scene assembly.Scene) []SightWidth {
	out := []SightWidth{}
	if len(s.things) == 0 {
		return out
	}
	at := widthsAt[s.rig.System()]
	w := SightWidth{s.names[0], at[len(at)-1], Number(None())}
	if !s.Driven.TooDense() && w.Ahead < s.Driven.Scene.Site.Track.End() {
		w.Width = Number(s.width(w.Ahead, scene.Lamps))
	}
	return append(out, w)
}

// width is on how much (m) of the line across the track at a distance along it the first thing is
// seen. It is looked for as far to either side as there is any.
func (s *sights) width(ahead float64, lit []int) float64 {
	const first, farthest, places = 60, 480, 241 // m to either side; how many across
	for half := float64(first); ; half *= 2 {
		across := s.across(ahead, half, places)
		width, step := 0.0, 2*half/(places-1)
		was, edge := math.NaN(), false
		for i := range across {
			is := math.Max(unseen, across[i].See(lit).Level/s.Driven.Observer.Level-1)
			if across[i].Hidden {
				is = unseen
			}
			if i > 0 {
				width += step * shareAbove(was, is)
			}
			edge = edge || is >= 0 && (i == 0 || i == places-1)
			was = is
		}
		if !edge || half >= farthest {
			return width
		}
	}
}

// unseen is how plain a thing is that is not to be seen at all, by its level over the one that
// counts, less 1.
const unseen = -1

// shareAbove is the share of the way from one value to another that is above 0, straight between
// them.
func shareAbove(a, b float64) float64 {
	switch {
	case a >= 0 && b >= 0:
		return 1
	case a < 0 && b < 0:
		return 0
	}
	return math.Max(a, b) / math.Abs(a-b)
}

// across is the first thing at places on the line across the track at a distance along it, so far
// to either side (m). It is kept: all scenes of a rig ask the same.
func (s *sights) across(ahead, half float64, places int) []sight.Parts {
	if s.aside == nil {
		s.aside = map[float64][]sight.Parts{}
	}
	if s.aside[half] == nil {
		row := make([]sight.Place, places)
		for i := range row {
			row[i] = s.Driven.OnTrack(ahead, half*(2*float64(i)/float64(places-1)-1))
		}
		s.aside[half] = s.Driven.Over(s.first, [][]sight.Place{row})
	}
	return s.aside[half]
}
