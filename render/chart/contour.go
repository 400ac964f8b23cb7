package chart

import (
	"cmp"
	"math"
	"slices"

	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r2"
)

// Contours are lines of one value across a grid, found cell by cell (marching squares) and joined
// from edge to edge. Every crossing of a grid edge is computed once, so lines join exactly.

// Contour is a line of one value, with the higher values on its left when X runs right and Y up. A
// closed line ends where it began; an open one ends at the grid's border or at missing data.
type Contour struct {
	Points []draw.Point
	Closed bool // the first point is not repeated
}

// Contours are the lines on which the field, linear along the grid's edges, has the given level. A
// sample at the level counts as above it. In a cell with two high corners and two low ones across,
// the lines run as those of the bilinear field do. The order is that of the grid: open lines first.
func (g *Grid) Contours(level float64) []Contour {
	return newBanded(g, []float64{level}, func(v float64) float64 { return v }).contours()[0]
}

// contours are the lines of each level.
func (b *banded) contours() [][]Contour {
	all := make([][]Contour, len(b.levels))
	for i, cells := range b.cells() {
		t := tracer{banded: b, band: uint8(i), level: b.scale(b.levels[i]), next: make(map[int]int, len(cells)),
			ends: make(map[int]bool, len(cells))}
		all[i] = t.contours(cells)
	}
	return all
}

// cells are, for each level, the cells that its lines run through, by their first corners.
func (b *banded) cells() [][]int {
	cells := make([][]int, len(b.levels))
	for j := range b.NY - 1 {
		below, above := b.bands[j*b.NX:(j+1)*b.NX], b.bands[(j+1)*b.NX:(j+2)*b.NX]
		above = above[:len(below)]
		for i := 1; i < len(below); i++ {
			p, q, r, s := below[i-1], below[i], above[i], above[i-1]
			if p == q && p == r && p == s {
				continue
			}
			if most := max(p, q, r, s); most != noBand {
				for level := min(p, q, r, s); level < most; level++ {
					cells[level] = append(cells[level], j*b.NX+i-1)
				}
			}
		}
	}
	return cells
}

// tracer joins the parts of the lines of a level from cell to cell. Edge 2k of the grid runs from
// sample k along X, edge 2k+1 along Y.
type tracer struct {
	*banded
	band  uint8        // the highest below the level
	level float64      // scaled
	next  map[int]int  // edge where the line goes that comes in by an edge
	ends  map[int]bool // edges where a line from elsewhere goes
	from  []int        // edges that have a next
}

// contours are the lines through the cells of a level.
func (t *tracer) contours(cells []int) (lines []Contour) {
	for _, k := range cells {
		t.cell(k)
	}
	slices.Sort(t.from)
	for _, closed := range []bool{false, true} {
		for _, edge := range t.from {
			if _, unused := t.next[edge]; unused && (closed || !t.ends[edge]) {
				if line := t.follow(edge, closed); len(line.Points) > 1 {
					lines = append(lines, line)
				}
			}
		}
	}
	return lines
}

// Sides of a cell round its corners a, b, c, d: ab is from a to b and so on.
const ab, bc, cd, da = 0, 1, 2, 3

// parts are the lines from side to side of a cell, by which of its corners are high (bit 0 is a),
// and where two opposite ones are, by whether its middle is high too. A line begins where high
// turns to low.
var parts = [...][][2]int{
	0b0001: {{ab, da}}, 0b0010: {{bc, ab}}, 0b0100: {{cd, bc}}, 0b1000: {{da, cd}},
	0b0011: {{bc, da}}, 0b0110: {{cd, ab}}, 0b1100: {{da, bc}}, 0b1001: {{ab, cd}},
	0b0111: {{cd, da}}, 0b1110: {{da, ab}}, 0b1101: {{ab, bc}}, 0b1011: {{bc, cd}},
	0b0101: {{ab, da}, {cd, bc}}, 0b1010: {{bc, ab}, {da, cd}},
	middleHigh | 0b0101: {{ab, bc}, {cd, da}}, middleHigh | 0b1010: {{da, ab}, {bc, cd}},
}

const middleHigh = 0b10000

// cell notes the parts of lines in the cell whose first corner is sample k.
func (t *tracer) cell(k int) {
	high, corners := 0, [4]int{k, k + 1, k + t.NX + 1, k + t.NX}
	for bit, corner := range corners {
		if t.bands[corner] > t.band {
			high |= 1 << bit
		}
	}
	if high == 0b0101 || high == 0b1010 {
		a, b, c, d := t.at(corners[0]), t.at(corners[1]), t.at(corners[2]), t.at(corners[3])
		if saddle := (a*c - b*d) / (a + c - b - d); saddle >= t.level { // that of the bilinear field
			high |= middleHigh
		}
	}
	sides := [4]int{ab: 2 * k, bc: 2*(k+1) + 1, cd: 2 * (k + t.NX), da: 2*k + 1}
	for _, p := range parts[high] {
		from, to := sides[p[0]], sides[p[1]]
		t.next[from], t.ends[to] = to, true
		t.from = append(t.from, from)
	}
}

// crossing is where the level is on an edge.
func (t *tracer) crossing(edge int) draw.Point {
	k, other := edge/2, edge/2+1
	if edge%2 != 0 {
		other = k + t.NX
	}
	i, j := float64(k%t.NX), float64(k/t.NX)
	share, a := 0.0, t.at(k)
	if d := t.at(other) - a; d != 0 { // else they are as good as at the level
		share = (t.level - a) / d
	}
	if edge%2 == 0 {
		i += share
	} else {
		j += share
	}
	return draw.Pt(t.X0+i*t.DX, t.Y0+j*t.DY)
}

// follow is the line that begins at an edge. Its parts are used up.
func (t *tracer) follow(edge int, closed bool) Contour {
	line := Contour{Closed: closed}
	for more := true; more; {
		if p := t.crossing(edge); len(line.Points) == 0 || line.Points[len(line.Points)-1] != p {
			line.Points = append(line.Points, p)
		}
		to, goes := t.next[edge]
		delete(t.next, edge)
		edge, more = to, goes
	}
	if n := len(line.Points); closed && n > 1 && line.Points[0] == line.Points[n-1] {
		line.Points = line.Points[:n-1]
	}
	return line
}

// Line is the contour as a line of points, the first one repeated if it is closed.
func (c Contour) Line() []draw.Point {
	if !c.Closed {
		return c.Points
	}
	return append(c.Points[:len(c.Points):len(c.Points)], c.Points[0])
}

// Spot is a place on a line where a text can stand along it.
type Spot struct {
	At    draw.Point
	Angle float64 // radians, counterclockwise as seen, from −π/2 to π/2 so that text is upright
	Bend  float64 // how far the line bends away from straight there, as a share of the text's length
}

// Spots are the places along a line (px) where a text of a length (px) fits, the straightest first:
// within the given area, not over any of avoid, and where the line bends away from straight by no
// more than a quarter of the length. Of two equally straight places the one nearer the middle of
// the line is first.
func Spots(line []draw.Point, length, height float64, within draw.Rect, avoid []draw.Rect) []Spot {
	r := newRuled(line)
	if r.total < 1.2*length || length <= 0 {
		return nil
	}
	var spots []Spot
	for s := 0.1 * length; s+1.1*length <= r.total; s += length / 4 {
		spot, ok := r.spot(s, length)
		if !ok {
			continue
		}
		box := turned(spot.At, length, height, spot.Angle)
		if !within.Contains(box) || box.OverlapsAny(avoid) {
			continue
		}
		spot.Bend += 0.02 * math.Abs(s+length/2-r.total/2) / r.total
		spots = append(spots, spot)
	}
	slices.SortStableFunc(spots, func(a, b Spot) int { return cmp.Compare(a.Bend, b.Bend) })
	return spots
}

// ruled is a line with the distance along it to each of its points.
type ruled struct {
	line  []draw.Point
	along []float64
	total float64
	last  int // the segment of the last answer
}

func newRuled(line []draw.Point) *ruled {
	r := &ruled{line: line, along: make([]float64, len(line))}
	for i := 1; i < len(line); i++ {
		r.along[i] = r.along[i-1] + r2.Norm(r2.Sub(line[i], line[i-1]))
		r.total = r.along[i]
	}
	return r
}

// at is the point at a distance along the line.
func (r *ruled) at(s float64) draw.Point {
	for r.last > 0 && r.along[r.last] > s {
		r.last--
	}
	for r.last < len(r.line)-2 && r.along[r.last+1] < s {
		r.last++
	}
	i := r.last
	d := r.along[i+1] - r.along[i]
	if d == 0 {
		return r.line[i]
	}
	return r2.Add(r.line[i], r2.Scale((s-r.along[i])/d, r2.Sub(r.line[i+1], r.line[i])))
}

// spot is the place of a text that begins at a distance s along the line; ok is false where the
// line is too crooked.
func (r *ruled) spot(s, length float64) (spot Spot, ok bool) {
	a, b := r.at(s), r.at(s+length)
	d := r2.Sub(b, a)
	chord := r2.Norm(d)
	if chord < 0.8*length {
		return Spot{}, false
	}
	const parts = 8
	bend := 0.0
	for k := range parts + 1 {
		p := r.at(s + length*float64(k)/parts)
		bend = max(bend, math.Abs(r2.Cross(d, r2.Sub(p, a)))/chord)
		spot.At = r2.Add(spot.At, r2.Scale(1./(parts+1), p))
	}
	spot.Bend, spot.Angle = bend/length, math.Atan2(-d.Y, d.X)
	if spot.Angle > math.Pi/2 {
		spot.Angle -= math.Pi
	} else if spot.Angle <= -math.Pi/2 {
		spot.Angle += math.Pi
	}
	return spot, bend <= length/4
}

// turned is the upright box around a box of width w and height h that is turned about its middle.
func turned(mid draw.Point, w, h, angle float64) draw.Rect {
	sin, cos := math.Sincos(angle)
	sin, cos = math.Abs(sin), math.Abs(cos)
	return draw.Around(mid, w*cos+h*sin, w*sin+h*cos)
}
