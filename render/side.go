package render

import (
	"context"
	"fmt"
	"slices"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// The side picture is two answers on one distance axis: above, where the beams go, as a section on
// the centreline; below, how much light comes of it. A dark gap runs through both.

// SideOptions is what can be chosen of a side picture.
type SideOptions struct {
	Width         int     // px; 0 = UnitWidth
	Ahead, Behind float64 // m from the bumper to the ends of the distance axis; 0 = as far as the light asks for
}

// sideLayout tells where things are on a side picture.
type sideLayout struct {
	Section chart.Frame        // m ahead of the bumper, m up
	Light   chart.Frame        // m ahead of the bumper, lx
	Gaps    []geometry.Stretch // the dark stretches that are shaded, m ahead of the bumper
	Labels  []draw.Rect        // the boxes of all texts on and around the frames, px
}

// The two frames, units.
const (
	sectionHeight = 430
	lightHeight   = 400
	sideRows      = 118 // between them: the figures of the one, and what the curves of the other are
	sideLeft      = 132 // figures and titles
)

// Side draws the side picture of a subject. Lamps that are turned are drawn as they are seen from
// the side.
func Side(ctx context.Context, s Subject, theme draw.Theme, o SideOptions) (*draw.Canvas, error) {
	c, _, err := drawSide(ctx, s, theme, o)
	return c, err
}

func drawSide(ctx context.Context, s Subject, theme draw.Theme, o SideOptions) (*draw.Canvas, sideLayout, error) {
	if err := ctx.Err(); err != nil {
		return nil, sideLayout{}, err
	}
	s.Thresholds = slices.DeleteFunc(slices.Clone(s.Thresholds), func(t float64) bool { return !(t > 0) })
	a := s.along()
	across := chart.Axis{From: -a.behind, To: a.ahead, Unit: s.Units.Axis()}
	if o.Ahead != 0 {
		across.To = o.Ahead
	}
	if o.Behind != 0 {
		across.From = -o.Behind
	}
	if length := across.To - across.From; !(length >= 1 && length <= 1e5) {
		return nil, sideLayout{}, fmt.Errorf(
			"side picture from %g m to %g m: must be 1 m to 100 km, the lesser end first", across.From, across.To)
	}

	up, exaggeration := s.heights((draw.UnitWidth-2*chart.Margin-sideLeft)/(across.To-across.From), across)
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, sideLayout{}, err
	}
	r := page.Ruler
	v := sideLayout{Gaps: a.gaps}
	v.Section = chart.Frame{Across: across, Up: up}
	across.Title = "ahead of the bumper"
	v.Light = chart.Frame{Across: across, Up: s.lightAxis(across)}
	page.Add(chart.Title(s.Rig, s.details("section on the centreline · heights ×"+units.Figure(exaggeration))),
		chart.PageGap)
	_, bottom := v.Light.AxisRoom(r)
	room := page.Add(chart.Space(r.U(sectionHeight+sideRows+lightHeight)+bottom), chart.PageGap)
	if key := s.settingKey(); len(key) > 0 {
		page.Add(chart.Key(key, moreLamps), chart.PageGap)
	}
	c, texts, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, sideLayout{}, err
	}
	v.Labels = texts
	v.Section.Box = draw.R(room.X0+c.U(sideLeft), room.Y0, room.X1, room.Y0+c.U(sectionHeight))
	v.Light.Box = draw.R(v.Section.Box.X0, room.Y1-bottom-c.U(lightHeight), room.X1, room.Y1-bottom)

	drawSection(c, &v, s, a)
	if err := ctx.Err(); err != nil {
		return nil, sideLayout{}, err
	}
	drawCurves(c, &v, s, a)
	return c, v, nil
}

// sideRange is what a scene does along the centreline.
type sideRange struct {
	ahead, behind float64 // m that are shown
	gaps          []geometry.Stretch
	reach         []float64 // m, for each of the subject's thresholds; NaN: none
}

// darkBelow is the facing light (lx) below which a stretch of the centreline is a dark gap.
const darkBelow = 1

// The distance axis is at most this many vehicle lengths long, unless a length is asked for, so
// that the vehicle is more than a stroke: for the sake of a reach, and for the sake of an axis hit,
// which says more on this picture.
const reachLengths, hitLengths = 20, 40

// along works out reaches and gaps, and how much of the centreline is shown.
func (s Subject) along() sideRange {
	var a sideRange
	lowest := float64(darkBelow)
	for _, t := range s.Thresholds {
		lowest = min(lowest, t)
	}
	line := s.Scene.Centreline(lowest)
	a.gaps = line.Gaps(darkBelow)
	farthest := 0.0
	for _, t := range s.Thresholds {
		a.reach = append(a.reach, line.Reach(t))
		if r := line.Reach(t); r > farthest {
			farthest = r
		}
	}
	length := s.Vehicle.Length
	if length == 0 {
		length = 5
	}
	least := geometry.Extent{Behind: -length}.With(s.onGround()) // what must be seen
	far := hitLengths * length
	ahead, behind := min(1.08*farthest, reachLengths*length), 0.0
	for i := range s.Scene.Lamps {
		m := &s.Scene.Lamps[i]
		if hit, ok := s.Scene.Site.AxisHit(m); ok {
			if hit.X < far {
				ahead = max(ahead, 1.05*hit.X)
			}
			behind = max(behind, -hit.X)
		}
		if first, last := s.Scene.Site.NearFar(m); m.Axes.Azimuth().X < 0 {
			for _, d := range []float64{first, last} {
				if d > 0 { // not NaN
					behind = max(behind, -(m.Place.X + d*m.Axes.Azimuth().X))
				}
			}
		}
	}
	for _, g := range a.gaps {
		if g.To < far {
			ahead = max(ahead, 1.15*g.To)
		}
	}
	if ahead > 0 {
		ahead = max(ahead, 4*length)
	}
	a.ahead = max(least.Ahead+1, ahead, length)
	a.behind = max(-least.Behind+0.4*length, min(1.05*behind, max(a.ahead/3, 4*length)))
	return a
}
