package render

import (
	"context"
	"fmt"
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// The side picture is the upright section along the track, twice: near, true to scale, with the
// vehicle; and as far as light and sight reach, heights drawn larger. Its air is painted with the
// light that falls on what stands there. Below, on the distances of the far section, are that light
// as curves and how plainly the first thing is seen. A dark gap and the end of sight run through
// all of them.

// SideOptions is what can be chosen of a side picture.
type SideOptions struct {
	Width         int     // px; 0 = UnitWidth
	Ahead, Behind float64 // m from the bumper to the ends of what is shown; 0 = as far as the light asks for
}

// sideLayout tells where things are on a side picture.
type sideLayout struct {
	Near, Far chart.Frame // m along the track from the bumper, m up
	Light     chart.Frame // m along the track, lx
	Level     chart.Frame // m along the track, visibility level; without a box where the driver sees nothing
	Gaps      []geometry.Stretch
	Things    []seenThing
	Labels    []draw.Rect // the boxes of all texts on and around the frames, px
}

// Heights of the frames, and the room left of them, above each for what it shows and below for
// figures, units.
const (
	leastNear, mostNear = 290, 560
	farHeight           = 250
	lightHeight         = 260
	levelHeight         = 160
	sideLeft            = 132
	sideHead            = 50
	sideFoot            = 46
)

// Side draws the side picture of a subject.
func Side(ctx context.Context, s Subject, theme draw.Theme, o SideOptions) (*draw.Canvas, error) {
	c, _, err := drawSide(ctx, s, theme, o)
	return c, err
}

func drawSide(ctx context.Context, s Subject, theme draw.Theme, o SideOptions) (*draw.Canvas, sideLayout, error) {
	if err := ctx.Err(); err != nil {
		return nil, sideLayout{}, err
	}
	s.Thresholds = slices.DeleteFunc(slices.Clone(s.Thresholds), func(t float64) bool { return !(t > 0) })
	seen := s.sightAlong()
	a := s.along(seen.things)
	near := chart.Axis{From: -a.behind, To: s.nearAhead(), Unit: s.Units.Axis()}
	far := chart.Axis{From: -a.farBehind, To: a.ahead, Unit: s.Units.Axis()}
	if o.Ahead != 0 {
		far.To = o.Ahead
		near.To = min(near.To, o.Ahead)
	}
	if o.Behind != 0 {
		near.From = -o.Behind
		far.From = max(far.From, -o.Behind)
	}
	for _, axis := range []chart.Axis{near, far} {
		if length := axis.To - axis.From; !(length >= 1 && length <= 1e5) {
			return nil, sideLayout{}, fmt.Errorf(
				"side picture from %g m to %g m: must be 1 m to 100 km, the lesser end first", axis.From, axis.To)
		}
	}

	const width = draw.UnitWidth - 2*chart.Margin - sideLeft // of the frames, units
	v := sideLayout{Gaps: a.gaps, Things: seen.things}
	nearHeight := 0.0
	v.Near, nearHeight = s.nearFrame(near, width)
	up, exaggeration := s.farHeights(far, width)
	v.Far = chart.Frame{Across: far, Up: up}
	v.Light = chart.Frame{Across: far, Up: s.lightAxis(far)}
	bottom := &v.Light
	heights := []float64{nearHeight, farHeight, lightHeight}
	frames := []*chart.Frame{&v.Near, &v.Far, &v.Light}
	if seen.first != nil {
		v.Level = chart.Frame{Across: far, Up: seen.levelAxis()}
		bottom, heights, frames = &v.Level, append(heights, levelHeight), append(frames, &v.Level)
	}
	if bottom.Across.Title = "ahead of the bumper"; !s.Scene.Site.Track.Straight() {
		bottom.Across.Title = "along the track from the bumper"
	}

	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, sideLayout{}, err
	}
	r := page.Ruler
	page.Add(chart.Title(s.Rig, s.details("section along the track, from the right")), 0)
	for i, f := range frames {
		room := page.Add(chart.Space(r.U(sideHead+heights[i]+sideFoot)), 0)
		f.Box = draw.R(room.X0+r.U(sideLeft), room.Y0+r.U(sideHead), room.X1, room.Y1-r.U(sideFoot))
	}
	_, foot := bottom.AxisRoom(r)
	page.Add(chart.Space(foot-r.U(sideFoot)), chart.PageGap)
	page.Add(chart.LevelStrip(LightRamp(theme).Of("facing light")), chart.PageGap)
	if key := s.settingKey(); len(key) > 0 {
		page.Add(chart.Key(key, moreLamps), chart.PageGap)
	}
	c, texts, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, sideLayout{}, err
	}
	v.Labels = texts

	v.drawNear(c, s)
	if err := ctx.Err(); err != nil {
		return nil, sideLayout{}, err
	}
	v.drawFar(c, s, seen, exaggeration)
	if err := ctx.Err(); err != nil {
		return nil, sideLayout{}, err
	}
	v.drawLight(c, s, a, seen)
	if seen.first != nil {
		v.drawLevel(c, s, seen)
	}
	return c, v, nil
}

// heading says what a frame shows, on the line above it: signs with what they mean.
type heading struct {
	c     *draw.Canvas
	at    draw.Point // of the next sign: its left end, in the middle of the line
	right float64
	boxes []draw.Rect
}

func over(c *draw.Canvas, f chart.Frame) *heading {
	_, h := c.Measure("", draw.Small)
	return &heading{c: c, at: draw.Pt(f.Box.X0, f.Box.Y0-h/2-c.U(10)), right: f.Box.X1}
}

// text writes what the next sign means, or what has none.
func (h *heading) text(text string) {
	r := h.c.Write(h.at, text, draw.Lettering{Role: draw.Small, AnchorY: 0.5, Max: h.right - h.at.X})
	h.boxes = append(h.boxes, r)
	h.at.X = r.X1 + h.c.U(36)
}

// line draws a sample of a line, and says what it is.
func (h *heading) line(pen draw.Pen, text string) {
	end := draw.Pt(h.at.X+h.c.U(64), h.at.Y)
	h.c.Line([]draw.Point{h.at, end}, pen)
	h.at.X = end.X + h.c.U(10)
	h.text(text)
}

// area draws a sample of an area, and says what it is.
func (h *heading) area(fill func(area []draw.Point), text string) {
	box := draw.R(h.at.X, h.at.Y-h.c.U(12), h.at.X+h.c.U(64), h.at.Y+h.c.U(12))
	fill(box.Corners())
	h.at.X = box.X1 + h.c.U(10)
	h.text(text)
}

// sideRange is what a scene does along the track.
type sideRange struct {
	behind           float64 // m, of the near section
	farBehind, ahead float64 // m, of the far one
	gaps             []geometry.Stretch
	reach            []float64 // m, for each of the subject's thresholds; NaN: none
}

// darkBelow is the facing light (lx) below which a stretch of the track is a dark gap.
const darkBelow = 1

// nearAhead is how far ahead (m) the near section goes.
func (s Subject) nearAhead() float64 {
	if s.Units == units.Imperial {
		return 100 * units.Foot
	}
	return 30
}

// along works out reaches and gaps, and how much of the track is shown.
func (s Subject) along(things []seenThing) sideRange {
	var a sideRange
	lowest := float64(darkBelow)
	for _, t := range s.Thresholds {
		lowest = min(lowest, t)
	}
	line := s.Scene.Centreline(lowest)
	a.gaps = line.Gaps(darkBelow)
	for _, t := range s.Thresholds {
		a.reach = append(a.reach, line.Reach(t))
	}
	length := s.Vehicle.Length
	if length == 0 {
		length = 5
	}
	const room, tail = 1.06, 15 // times; m behind the vehicle that are near
	const least = 60            // m; a far section is more than a near one
	ahead, behind := 0.0, 0.0
	show := func(x float64) {
		if x > ahead {
			ahead = x
		}
	}
	for _, r := range a.reach {
		show(r)
	}
	for _, t := range things {
		show(t.Range)
	}
	for _, g := range a.gaps {
		show(g.To)
	}
	const twice = 2 // a hit farther out than that of all else is no reason to show less of it
	farthest := max(twice*ahead, s.nearAhead())
	for i, axis := range s.axes() {
		m := &s.Scene.Lamps[i]
		if axis.inPlane && axis.onLand && axis.hit.X < farthest {
			show(axis.hit.X)
		}
		if azimuth := m.Axes.Azimuth().X; azimuth < -0.5 {
			if axis.onLand {
				behind = max(behind, -axis.hit.X)
			}
			if _, last := s.Scene.Site.NearFar(m); last > 0 { // not NaN
				behind = max(behind, -(m.Place.X + last*azimuth))
			}
		}
	}
	a.behind = max(1.2*length, min(behind+2, length+tail))
	a.ahead = min(max(room*ahead, least), s.Scene.Site.Track.End())
	if ahead == 0 && behind > 0 { // all that there is is behind
		a.ahead, a.farBehind = least/6, least
	} else if behind > a.behind {
		a.farBehind = min(room*behind, max(a.ahead/3, 4*length))
	}
	return a
}

// nearFrame is the frame of the near section over an axis, true to scale in a width in units, and
// its height in units. Where there is much to show upward it is longer than the axis asks for.
func (s Subject) nearFrame(across chart.Axis, width float64) (f chart.Frame, height float64) {
	const soil, air, least = 84, 0.8, 3.4 // units; m above the highest part, and at least
	lo, hi := s.heights(across)
	hi = max(hi+air, least)
	perMetre := min(width/(across.To-across.From), (mostNear-soil)/(hi-lo))
	across.To = across.From + width/perMetre
	height = max(leastNear, soil+(hi-lo)*perMetre)
	from := lo - soil/perMetre
	up := chart.Axis{From: from, To: from + height/perMetre, Unit: s.Units.Axis(), Title: "height"}
	return chart.Frame{Across: across, Up: up}, height
}

// heights are the lowest ground over an axis and the highest of what stands on it, m.
func (s Subject) heights(across chart.Axis) (lo, hi float64) {
	for _, p := range s.groundLine(across) {
		lo, hi = min(lo, p.Y), max(hi, p.Y)
	}
	for i := range s.Scene.Lamps {
		hi = max(hi, s.Scene.Lamps[i].Place.Z)
	}
	for _, outline := range (profile{attitude: s.Scene.Site.Attitude}).boxes(s.Scene.Site.Body) {
		for _, q := range outline {
			hi = max(hi, q.Y)
		}
	}
	return lo, hi
}

// exaggerations of heights that a picture may have, the greatest that fits.
var exaggerations = []float64{0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50}

// farHeights is the axis up of the far section over an axis, in a width in units, and how many
// times as large as lengths heights are drawn.
func (s Subject) farHeights(across chart.Axis, width float64) (up chart.Axis, exaggeration float64) {
	const soil, air, most = 66, 1.2, 3.5 // units; m above the ground at least, and of a lamp that is still shown
	lo, hi := 0.0, 0.0
	for _, p := range s.groundLine(across) {
		lo, hi = min(lo, p.Y), max(hi, p.Y)
	}
	for _, t := range s.things() {
		hi = max(hi, t.Height)
	}
	for i := range s.Scene.Lamps {
		hi = max(hi, min(most, s.Scene.Lamps[i].Place.Z))
	}
	hi += air
	perMetre := width / (across.To - across.From)
	exaggeration = exaggerations[0]
	for _, e := range exaggerations {
		if (hi-lo)*perMetre*e <= farHeight-soil {
			exaggeration = e
		}
	}
	perMetre *= exaggeration
	from := lo - soil/perMetre
	return chart.Axis{From: from, To: from + farHeight/perMetre, Unit: s.Units.Axis(),
		Title: "height, ×" + units.Figure(exaggeration)}, exaggeration
}

// groundLine is the ground along the track over an axis, m ahead and m up.
func (s Subject) groundLine(across chart.Axis) []draw.Point {
	const steps = 400
	site := s.Scene.Site
	var at []float64
	for k := range steps + 1 {
		at = append(at, across.At(float64(k)/steps))
	}
	for _, k := range site.Ground.Profile {
		for _, x := range site.Track.Crossings(k.Ahead) {
			if x > across.From && x < across.To {
				at = append(at, x)
			}
		}
	}
	slices.Sort(at)
	line := make([]draw.Point, len(at))
	for i, x := range at {
		line[i] = draw.Pt(x, site.Ground.Height(site.Track.Place(x, 0)))
	}
	return line
}

// leavesPlane is how far along the track (m) it stays in the upright plane ahead of the vehicle.
func (s Subject) leavesPlane() float64 {
	const aside = 0.5 // m
	t := &s.Scene.Site.Track
	if t.Straight() {
		return math.Inf(1)
	}
	return t.From + t.Radius*math.Acos(max(0, 1-aside/t.Radius))
}
