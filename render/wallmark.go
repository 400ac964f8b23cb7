package render

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"beamfall/render/chart"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r2"
)

// The tape marks of a wall: a cross where each mark is, and in the margin beside it the number of
// the lamp and the two measures that a tape needs, in the order of their heights, joined by lines
// that do not cross.

// crossArm is the length of an arm of a cross, units; crosses close together have shorter ones,
// down to the least.
const crossArm, leastArm = 15, 6

// inMargin is how the marks are written in the margin: in full, or in short lines if there are
// many.
type inMargin struct {
	pitch, width float64 // px, of one
	short        bool
}

// measures are the height and the distance from the centreline of a mark, in words.
func (s Subject) measures(m wallMark) (up, aside string) {
	return s.mark(m.at.Y) + " up", s.Units.FromCentre(m.at.X, "left", "right")
}

// leaderRoom is the width between the wall and the texts of its margin, units.
const leaderRoom = 60

func marginOf(c *draw.Canvas, s Subject, marks []wallMark) inMargin {
	keyW, keyH := chart.PlateSize(c)
	_, small := c.Measure("", draw.Small)
	m := inMargin{pitch: keyH + c.U(14)}
	if float64(len(marks))*m.pitch > c.U(leastWall) {
		m.pitch = keyH + c.U(4)
	}
	if float64(len(marks))*m.pitch > c.U(mostWall) {
		m = inMargin{pitch: small + c.U(2), short: true}
	}
	for _, mark := range marks {
		up, aside := s.measures(mark)
		if m.short {
			w, _ := c.Measure(fmt.Sprintf("%d: %s, %s", s.key(mark.lamp), up, aside), draw.Small)
			m.width = max(m.width, w)
			continue
		}
		for _, text := range []string{up, aside} {
			w, _ := c.Measure(text, draw.Label)
			m.width = max(m.width, keyW+c.U(8)+w)
		}
	}
	return m
}

// wallMarginWidth is the width (px) of the margin that the marks need.
func wallMarginWidth(c *draw.Canvas, s Subject, marks []wallMark) float64 {
	if len(marks) == 0 {
		return c.U(20)
	}
	return marginOf(c, s, marks).width + c.U(leaderRoom)
}

// drawWallMarks draws the crosses on the wall and what is written about them in a margin, and
// returns the boxes of the texts. What has no room in the margin is counted there.
func drawWallMarks(c *draw.Canvas, f chart.Frame, s Subject, marks []wallMark, margin draw.Rect) (texts []draw.Rect) {
	m := marginOf(c, s, marks)
	shown := slices.Clone(marks)
	more := 0
	if most := max(1, int(margin.H()/m.pitch)); len(shown) > most {
		most = max(1, most-1)
		more = len(shown) - most
		shown = shown[:most]
		margin.Y1 -= m.pitch
	}
	at := func(k wallMark) draw.Point { return f.At(k.at.X, k.at.Y) }
	ends := map[int]draw.Point{} // by lamp: where its line to the margin begins
	for _, k := range marks {
		ends[k.lamp] = at(k)
		if l := &s.Parked.Lamps[k.lamp]; !f.Box.Has(at(k)) {
			ends[k.lamp] = arrowOut(c, f.Box, f.Box.Nearest(f.At(l.Lamp.At.Y, l.Lamp.At.Z)), at(k), outPen(c))
		}
	}
	slices.SortStableFunc(shown, func(a, b wallMark) int { return cmp.Compare(at(a).Y, at(b).Y) })
	var from, to []draw.Point
	var ys []float64
	for _, k := range shown {
		from, ys = append(from, ends[k.lamp]), append(ys, at(k).Y)
	}
	ys = chart.Spread(ys, m.pitch, margin.Y0+m.pitch/2, margin.Y1-m.pitch/2, nil)
	x := margin.X0 + c.U(leaderRoom)
	for _, y := range ys {
		to = append(to, draw.Pt(x-c.U(6), y))
	}
	uncross(from, to, func(i, j int) { shown[i], shown[j] = shown[j], shown[i] })
	for i, k := range shown {
		pen := s.style(k.lamp).Pen(c.Theme, 1.6)
		pen.Casing = 1
		c.Line([]draw.Point{from[i], to[i]}, pen)
	}
	var places []draw.Point
	for _, k := range marks {
		places = append(places, at(k))
	}
	drawCrosses(c, f.Box, places)
	for i, k := range shown {
		texts = append(texts, m.write(c, s, k, draw.Pt(x, ys[i])))
	}
	if more > 0 {
		texts = append(texts, c.Write(draw.Pt(x, margin.Y1+m.pitch/2), fmt.Sprintf("and %d more", more),
			draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorY: 0.5, Max: m.width}))
	}
	return texts
}

// uncross swaps the beginnings of lines until no two of them cross. Each swap makes the sum of two
// lengths shorter, so this ends; swapped is called for each.
func uncross(from, to []draw.Point, swapped func(i, j int)) {
	for again, rounds := true, 0; again && rounds < 1000; rounds++ {
		again = false
		for i := range from {
			for j := range i {
				if draw.Crossing(from[i], to[i], from[j], to[j]) {
					from[i], from[j] = from[j], from[i]
					swapped(i, j)
					again = true
				}
			}
		}
	}
}

// drawCrosses draws a cross at each of some places in a box, with shorter arms where they are close
// together.
func drawCrosses(c *draw.Canvas, box draw.Rect, places []draw.Point) {
	in := c.Inside(box)
	for i, p := range places {
		if !box.Has(p) {
			continue
		}
		a := c.U(crossArm)
		for j, q := range places {
			if j != i {
				a = max(c.U(leastArm), min(a, 0.4*r2.Norm(r2.Sub(q, p))))
			}
		}
		arms := [][]draw.Point{{draw.Pt(p.X-a, p.Y), draw.Pt(p.X+a, p.Y)}, {draw.Pt(p.X, p.Y-a), draw.Pt(p.X, p.Y+a)}}
		in.Lines(arms, draw.Pen{Colour: c.Theme.Ink, Width: 3}.Cased(c.Theme, 2))
	}
}

// write writes about a mark in the margin, from the middle of its left end on, and returns the box
// of that.
func (m inMargin) write(c *draw.Canvas, s Subject, k wallMark, p draw.Point) draw.Rect {
	up, aside := s.measures(k)
	if m.short {
		text := fmt.Sprintf("%d: %s, %s", s.key(k.lamp), up, aside)
		return c.Write(p, text, draw.Lettering{Role: draw.Small, AnchorY: 0.5})
	}
	keyW, keyH := chart.PlateSize(c)
	s.style(k.lamp).DrawPlate(c, draw.Pt(p.X+keyW/2, p.Y))
	c.Write(draw.Pt(p.X+keyW+c.U(8), p.Y), up, draw.Lettering{AnchorY: 0.95})
	c.Write(draw.Pt(p.X+keyW+c.U(8), p.Y), aside, draw.Lettering{AnchorY: 0.05})
	return draw.R(p.X, p.Y-keyH/2, p.X+m.width, p.Y+keyH/2)
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
	pen := draw.Pen{Colour: c.Theme.Muted, Width: 1.5, Dash: []float64{10, 6}}.Cased(c.Theme, 0.8)
	in := c.Inside(f.Box)
	for _, g := range s.heightGroups(marks, 0.001) {
		in.Line(f.Map([]draw.Point{draw.Pt(f.Across.From, g.from), draw.Pt(f.Across.To, g.from)}), pen)
	}
}

// writeLampHeights writes which lamps these lines belong to: at the left ends of the lines, within
// room, one below the other and clear of avoid. It returns the boxes of the texts.
func writeLampHeights(c *draw.Canvas, f chart.Frame, s Subject, marks []wallMark, room draw.Rect,
	avoid []draw.Rect) (texts []draw.Rect) {
	_, h := c.Measure("", draw.Label)
	h += c.U(2 * draw.PlatePadY)
	pitch := h + c.U(3)
	apart := c.U(12) / f.PerMetre()
	groups := s.heightGroups(marks, apart)
	for float64(len(groups)) > room.H()/pitch && len(groups) > 1 {
		apart *= 1.3
		groups = s.heightGroups(marks, apart)
	}
	slices.Reverse(groups)
	x, most := room.X0+c.U(26), 0.6*f.Box.W()
	var at []float64
	var words []string
	for _, g := range groups {
		at = append(at, f.Y((g.from+g.to)/2))
		words = append(words, c.Fit(g.words(s), draw.Label, most))
	}
	free := func(i int, y float64) bool {
		w, _ := c.Measure(words[i], draw.Label)
		return !draw.R(x-c.U(draw.PlatePadX), y-h/2, x+w+c.U(draw.PlatePadX), y+h/2).OverlapsAny(avoid)
	}
	for i, y := range chart.Spread(at, pitch, room.Y0+pitch/2, room.Y1-pitch/2, free) {
		if math.Abs(y-at[i]) > 1 {
			c.Line([]draw.Point{draw.Pt(room.X0+c.U(3), at[i]), draw.Pt(x, y)},
				draw.Pen{Colour: c.Theme.Muted, Width: 1.5}.Cased(c.Theme, 0.8))
		}
		texts = append(texts, c.Write(draw.Pt(x, y), words[i], draw.Lettering{AnchorY: 0.5, Backing: draw.Plate}))
	}
	return texts
}

// numbered are key numbers in words: "lamp 4", "lamps 1, 3–5".
func numbered(what string, numbers []int) string {
	if len(numbers) > 1 {
		what += "s"
	}
	return what + " " + chart.Numbers(numbers)
}
