package render

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r2"

	"gonum.org/v1/gonum/spatial/r3"
)

// The tape marks of a wall: a cross where each mark is and the half-peak outline of its lamp, and
// in the margin on its side the number of the lamp and the two measures that a tape needs, joined
// by lines that keep clear of each other and of other crosses.

// crossArm is the length of an arm of a cross, units; crosses close together have shorter ones,
// down to the least.
const crossArm, leastArm = 15, 6

// wallMargins are the marks that are written in the margins to the left and to the right, and how:
// in full, or in short lines if there are many.
type wallMargins struct {
	marks [2][]wallMark
	pitch float64    // px, of one
	width [2]float64 // px, of the texts
	short bool
}

// measures are the height and the distance from the centreline of a mark, in words.
func (s Subject) measures(m wallMark) (up, aside string) {
	return s.mark(m.at.Y) + " up", s.Units.FromCentre(m.at.X, "left", "right")
}

// wallLeader is the line from the mark of a lamp to the edge of the wall, px.
type wallLeader struct {
	lamp int
	line []draw.Point
}

// leaderRoom is the width between the wall with its figures and the texts of a margin, units.
const leaderRoom = 40

// wallMarginsOf puts every mark in the margin on its side, those in the middle where there are
// fewer. If there are very many, all are on the right, where there are no figures.
func wallMarginsOf(c *draw.Canvas, s Subject, marks []wallMark) wallMargins {
	const middle = 0.01 // m
	keyW, keyH := chart.PlateSize(c)
	_, small := c.Measure("", draw.Small)
	m := wallMargins{pitch: keyH + c.U(10)}
	var between []wallMark
	for _, k := range marks {
		switch {
		case k.at.X > middle:
			m.marks[0] = append(m.marks[0], k)
		case k.at.X < -middle:
			m.marks[1] = append(m.marks[1], k)
		default:
			between = append(between, k)
		}
	}
	for _, k := range between {
		side := 1
		if len(m.marks[0]) < len(m.marks[1]) {
			side = 0
		}
		m.marks[side] = append(m.marks[side], k)
	}
	if m.height(c) > c.U(mostWall) {
		m = wallMargins{marks: [2][]wallMark{nil, marks}, pitch: small + c.U(2), short: true}
	}
	for side := range m.marks {
		for _, k := range m.marks[side] {
			up, aside := s.measures(k)
			if m.short {
				w, _ := c.Measure(fmt.Sprintf("%d: %s, %s", s.key(k.lamp), up, aside), draw.Small)
				m.width[side] = max(m.width[side], w)
				continue
			}
			for _, text := range []string{up, aside} {
				w, _ := c.Measure(text, draw.Label)
				m.width[side] = max(m.width[side], keyW+c.U(8)+w)
			}
		}
	}
	return m
}

// height is that (px) of a wall beside which all marks have room; to the left they must miss the
// figures of the wall's axis.
func (m *wallMargins) height(c *draw.Canvas) float64 {
	const missing = 1.5
	return max(missing*float64(len(m.marks[0])), float64(len(m.marks[1])))*m.pitch + c.U(groundStrip)
}

// room is the width (px) of the margin on a side.
func (m *wallMargins) room(c *draw.Canvas, side int) float64 {
	if len(m.marks[side]) == 0 {
		return c.U(20) * float64(side)
	}
	return m.width[side] + c.U(leaderRoom)
}

// drawWallMarks draws the crosses on the wall and what is written about them in margins beyond its
// axis, and returns the boxes of the texts and the crosses, and the lines to them. What has no room
// in a margin is counted there.
func drawWallMarks(c *draw.Canvas, f chart.Frame, s Subject, m wallMargins, rooms [2]draw.Rect) (
	texts, crosses []draw.Rect, leaders []wallLeader) {
	at := func(k wallMark) draw.Point { return f.At(k.at.X, k.at.Y) }
	ends := map[int]draw.Point{} // by lamp: where its line to the margin begins
	var places []draw.Point
	for _, k := range slices.Concat(m.marks[0], m.marks[1]) {
		end := at(k)
		if l := &s.Parked.Lamps[k.lamp]; !f.Box.Has(end) {
			end = arrowOut(c, f.Box, f.Box.Nearest(f.At(l.Lamp.At.Y, l.Lamp.At.Z)), end, outPen(c))
			crosses = append(crosses, draw.Around(end, c.U(2*crossArm), c.U(2*crossArm)))
		} else {
			places = append(places, end)
		}
		ends[k.lamp] = end
	}
	arms := crossArms(c, places)
	for i, p := range places {
		crosses = append(crosses, draw.Around(p, 2*arms[i]+c.U(4), 2*arms[i]+c.U(4)))
	}
	type note struct {
		wallMark
		at draw.Point
	}
	var notes []note
	for side, margin := range rooms {
		shown := slices.Clone(m.marks[side])
		more := 0
		if most := max(1, int(margin.H()/m.pitch)); len(shown) > most {
			most = max(1, most-1)
			more = len(shown) - most
			shown = shown[:most]
			margin.Y1 -= m.pitch
		}
		slices.SortStableFunc(shown, func(a, b wallMark) int { return cmp.Compare(at(a).Y, at(b).Y) })
		var from []draw.Point
		var ys []float64
		for _, k := range shown {
			from, ys = append(from, ends[k.lamp]), append(ys, at(k).Y)
		}
		ys = chart.Spread(ys, m.pitch, margin.Y0+m.pitch/2+c.U(6), margin.Y1-m.pitch/2, besideFigures(c, f, side))
		edge, x := f.Box.X0, margin.X1-c.U(leaderRoom)
		if side == 1 {
			edge, x = f.Box.X1, margin.X0+c.U(leaderRoom)
		}
		clearest(from, ys, edge, crosses, func(i, j int) { shown[i], shown[j] = shown[j], shown[i] })
		out := math.Copysign(c.U(6), edge-x)
		for i, k := range shown {
			pen := s.style(k.lamp).Pen(c.Theme, 1.6)
			pen.Casing = 1
			line := around(from[i], draw.Pt(edge, ys[i]), crosses, c.U(crossArm))
			c.Line(append(line, draw.Pt(x+out, ys[i])), pen)
			leaders = append(leaders, wallLeader{k.lamp, line})
			notes = append(notes, note{k, draw.Pt(x, ys[i])})
		}
		if more > 0 {
			texts = append(texts, c.Write(draw.Pt(x, margin.Y1+m.pitch/2), fmt.Sprintf("and %d more", more),
				draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorX: float64(1 - side), AnchorY: 0.5,
					Max: m.width[side]}))
		}
	}
	drawCrosses(c, f.Box, places, arms)
	for _, n := range notes {
		texts = append(texts, m.write(c, s, n.wallMark, n.at, n.at.X < f.Box.X0))
	}
	return texts, crosses, leaders
}

// beads are squares of a size (px) that cover a line.
func beads(line []draw.Point, size float64) (boxes []draw.Rect) {
	for i := 1; i < len(line); i++ {
		d := r2.Sub(line[i], line[i-1])
		n := max(1, math.Ceil(r2.Norm(d)/size))
		for k := range int(n) + 1 {
			boxes = append(boxes, draw.Around(r2.Add(line[i-1], r2.Scale(float64(k)/n, d)), size, size))
		}
	}
	return boxes
}

// besideFigures tells where a line to a margin misses the figures of the axis on that side; nil:
// anywhere.
func besideFigures(c *draw.Canvas, f chart.Frame, side int) func(i int, y float64) bool {
	if side == 1 {
		return nil
	}
	_, h := c.Measure("0", draw.Small)
	ticks := f.UpTicks(c)
	return func(_ int, y float64) bool {
		for _, t := range ticks {
			if t.Text != "" && math.Abs(f.Y(t.At)-y) < 0.5*h {
				return false
			}
		}
		return true
	}
}

// clearest exchanges the beginnings of lines, each to a height at the edge of the wall, until no
// exchange makes them clearer: they run through fewer crosses, cross each other less, and are
// shorter. Exchanged is called for each.
func clearest(from []draw.Point, ys []float64, edge float64, crosses []draw.Rect, exchanged func(i, j int)) {
	faults := func(i int) (sum float64) { // of line i, each as a length
		to := draw.Pt(edge, ys[i])
		sum = r2.Norm(r2.Sub(to, from[i]))
		const through, crossing = 1e5, 1e4 // px
		for _, box := range crosses {
			if r2.Norm(r2.Sub(box.Centre(), from[i])) > 1 && box.Crosses(from[i], to) {
				sum += through
			}
		}
		for j := range from {
			if j != i && draw.Crossing(from[i], to, from[j], draw.Pt(edge, ys[j])) {
				sum += crossing
			}
		}
		return sum
	}
	all := func() (sum float64) {
		for i := range from {
			sum += faults(i)
		}
		return sum
	}
	const rounds, many = 20, 24 // with many lines the first round is all that there is time for
	best := all()
	for round := 0; round < rounds && (round == 0 || len(from) <= many); round++ {
		before := best
		for i := range from {
			for j := range i {
				from[i], from[j] = from[j], from[i]
				if sum := all(); sum < best-1e-6 {
					best = sum
					exchanged(i, j)
				} else {
					from[i], from[j] = from[j], from[i]
				}
			}
		}
		if best == before {
			return
		}
	}
}

// around is the line from a mark to a place at the edge of the wall. If it would run through the
// crosses of others it first goes up or down, by steps (px).
func around(from, to draw.Point, crosses []draw.Rect, step float64) []draw.Point {
	line, least := []draw.Point{from, to}, len(crosses)+1
	for _, by := range []float64{0, 1.5, -1.5, 2.5, -2.5, 4, -4} {
		way := []draw.Point{from, draw.Pt(from.X, from.Y+by*step), to}
		if by == 0 {
			way = way[1:]
		}
		through := 0
		for _, box := range crosses {
			if r2.Norm(r2.Sub(box.Centre(), from)) > 1 && box.Touches(way) {
				through++
			}
		}
		if through < least {
			line, least = way, through
		}
	}
	return line
}

// mostOutlines is how many half-peak lines can be told apart on a wall. If there are more, none is
// drawn.
const mostOutlines = 14

// outlinesOnWall are the lines on a wall on which each lamp with a mark has half of its peak: in
// metres to the left, and up from the ground, from the distance of the wall on.
func outlinesOnWall(s Subject, wall float64) [][][]r3.Vec {
	// Nose down by a right angle, the wall is the ground: what was up is ahead.
	fallen := geometry.Site{Attitude: geometry.NoseUp(-math.Pi/2, wall)}
	var lamps []geometry.Lamp
	for i := range s.Parked.Lamps {
		lamps = append(lamps, s.Parked.Lamps[i].Lamp)
	}
	scene := fallen.Scene(lamps...)
	out := make([][][]r3.Vec, len(lamps))
	draw.Rows(len(lamps), func(i int) {
		if _, ok := lamps[i].WallMark(wall); ok {
			out[i] = fallen.Footprint(&scene.Lamps[i], 10*wall)
		}
	})
	return out
}

// drawOutlines draws them, and returns the style that the lines of each lamp have, and whether
// there are any.
func drawOutlines(
	c *draw.Canvas, f chart.Frame, s Subject, wall float64, runs [][][]r3.Vec,
) (styles []chart.Style, drawn bool) {
	all := make([][][]draw.Point, len(runs))
	above := f.Box
	above.Y1 = f.Y(0)
	for i := range runs {
		for _, run := range runs[i] {
			line := make([]draw.Point, len(run))
			for k, q := range run {
				line[k] = f.At(q.Y, q.X-wall)
			}
			all[i] = append(all[i], above.CutLine(line)...)
		}
	}
	outlines, styles := distinct(c, all, s)
	if drawn = len(outlines) > 0 && len(outlines) <= mostOutlines; drawn {
		drawFootprints(c, f.Box, outlines)
	}
	return styles, drawn
}

// crossArms are the lengths (px) of the arms of crosses: shorter where they are close together.
func crossArms(c *draw.Canvas, places []draw.Point) []float64 {
	arms := make([]float64, len(places))
	for i, p := range places {
		arms[i] = c.U(crossArm)
		for j, q := range places {
			if j != i {
				arms[i] = max(c.U(leastArm), min(arms[i], 0.4*r2.Norm(r2.Sub(q, p))))
			}
		}
	}
	return arms
}

// drawCrosses draws a cross at each of some places in a box.
func drawCrosses(c *draw.Canvas, box draw.Rect, places []draw.Point, arms []float64) {
	in := c.Inside(box)
	for i, p := range places {
		a := arms[i]
		lines := [][]draw.Point{{draw.Pt(p.X-a, p.Y), draw.Pt(p.X+a, p.Y)}, {draw.Pt(p.X, p.Y-a), draw.Pt(p.X, p.Y+a)}}
		in.Lines(lines, draw.Pen{Colour: c.Theme.Ink, Width: 3}.Cased(c.Theme, 2))
	}
}

// write writes about a mark in a margin, from the middle of the end toward the wall on, and returns
// the box of that.
func (m *wallMargins) write(c *draw.Canvas, s Subject, k wallMark, p draw.Point, left bool) draw.Rect {
	up, aside := s.measures(k)
	if m.short {
		text := fmt.Sprintf("%d: %s, %s", s.key(k.lamp), up, aside)
		return c.Write(p, text, draw.Lettering{Role: draw.Small, AnchorY: 0.5})
	}
	keyW, keyH := chart.PlateSize(c)
	toward, anchor, width := 1.0, 0.0, m.width[1]
	if left {
		toward, anchor, width = -1, 1, m.width[0]
	}
	s.style(k.lamp).DrawPlate(c, draw.Pt(p.X+toward*keyW/2, p.Y))
	x := p.X + toward*(keyW+c.U(8))
	c.Write(draw.Pt(x, p.Y), up, draw.Lettering{AnchorX: anchor, AnchorY: 0.95})
	c.Write(draw.Pt(x, p.Y), aside, draw.Lettering{AnchorX: anchor, AnchorY: 0.05})
	return draw.BoundsOf([]draw.Point{draw.Pt(p.X, p.Y-keyH/2), draw.Pt(p.X+toward*width, p.Y+keyH/2)})
}

// heightGroup is lamps of nearly the same height.
type heightGroup struct {
	lamps    []int // key numbers
	from, to float64
}

// heightGroups are the lamps that leave marks, grouped by height so that the groups are at least a
// distance (m) apart.
func (s Subject) heightGroups(marks []wallMark, apart float64) (groups []heightGroup) {
	height := func(m wallMark) float64 { return s.Parked.Lamps[m.lamp].Lamp.At.Z }
	byHeight := slices.Clone(marks)
	slices.SortStableFunc(byHeight, func(a, b wallMark) int { return cmp.Compare(height(a), height(b)) })
	for _, m := range byHeight {
		z := height(m)
		if n := len(groups); n > 0 && z-groups[n-1].from < apart {
			groups[n-1].lamps, groups[n-1].to = append(groups[n-1].lamps, s.key(m.lamp)), z
			continue
		}
		groups = append(groups, heightGroup{[]int{s.key(m.lamp)}, z, z})
	}
	for _, g := range groups {
		slices.Sort(g.lamps)
	}
	return groups
}

func (g heightGroup) words(s Subject) string {
	text := numbered("lamp", g.lamps) + " at " + s.length(g.from)
	if s.length(g.from) != s.length(g.to) {
		text += " to " + s.length(g.to)
	}
	return text
}

// drawLampHeights draws the lines at the heights of the lamps.
func drawLampHeights(c *draw.Canvas, f chart.Frame, s Subject, marks []wallMark) {
	pen := draw.Pen{Colour: c.Theme.Muted, Width: 1, Dash: []float64{4, 8}}.Cased(c.Theme, 0.6)
	in := c.Inside(f.Box)
	for _, g := range s.heightGroups(marks, 0.001) {
		in.Line(f.Map([]draw.Point{draw.Pt(f.Across.From, g.from), draw.Pt(f.Across.To, g.from)}), pen)
	}
}

// writeLampHeights writes which lamps these lines belong to, each where it is free: on its line, or
// a little above or below, and if possible on no leader. It returns the boxes of the texts.
func writeLampHeights(c *draw.Canvas, f chart.Frame, s Subject, marks []wallMark, taken, leaders []draw.Rect) (
	texts []draw.Rect) {
	_, h := c.Measure("", draw.Small)
	h += c.U(2 * draw.PlatePadY)
	room := draw.R(f.Box.X0, f.Box.Y0, f.Box.X1, f.Y(0)).Inset(c.U(4))
	for _, g := range s.heightGroups(marks, c.U(8)/f.PerMetre()) {
		words := c.Fit(g.words(s), draw.Small, 0.6*f.Box.W())
		w, _ := c.Measure(words, draw.Small)
		w += c.U(2 * draw.PlatePadX)
		line, best, least := f.Y((g.from+g.to)/2), draw.Rect{}, math.Inf(1)
		for _, off := range []float64{0, -0.6, 0.6, -1.2, 1.2, -2, 2, -3, 3, -4.5, 4.5, -6, 6, -8, -10} {
			for x := room.X0 + w/2; x <= room.X1-w/2; x += c.U(10) {
				box := draw.Around(draw.Pt(x, line+off*h), w, h)
				aside := min(x-w/2-room.X0, room.X1-x-w/2) // from the nearer side
				if cost := aside + 100*math.Abs(off)*h; cost < least && room.Contains(box) && !box.OverlapsAny(taken) {
					if box.OverlapsAny(leaders) {
						cost += onLeader
					}
					if cost < least {
						best, least = box, cost
					}
				}
			}
		}
		if math.IsInf(least, 1) {
			continue
		}
		texts = append(texts, c.Write(best.Centre(), words,
			draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorX: 0.5, AnchorY: 0.5, Backing: draw.Plate}))
		taken = append(taken, texts[len(texts)-1])
	}
	return texts
}

// onLeader is what it costs a text to lie on a leader, px, more than any distance.
const onLeader = 1e6

// numbered are key numbers in words: "lamp 4", "lamps 1, 3–5".
func numbered(what string, numbers []int) string {
	if len(numbers) > 1 {
		what += "s"
	}
	return what + " " + chart.Numbers(numbers)
}
