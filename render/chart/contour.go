package chart

import (
	"cmp"
	"math"
	"slices"

	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r2"
)

// Contours are lines of one value across a grid, found cell by cell (marching squares) and joined from edge to edge.
// Every crossing of a grid edge is computed once, so lines join exactly.

// Contour is a line of one value, with the higher values on its left when X runs right and Y up. A closed line ends
// where it began; an open one ends at the grid's border or at missing data.
type Contour struct {
	Points []draw.Point
	Closed bool // the first point is not repeated
}

// Contours are the lines on which the field, linear along the grid's edges, has the given level. A sample at the level
// counts as above it. In a cell with two high corners and two low ones across, the lines run as those of the bilinear
// field do. The order is that of the grid: open lines first.
func (g *Grid) Contours(level float64) []Contour {
	next := make([]int32, 2*g.NX*g.NY) // edge where the line goes that comes in by an edge, +1
	ends := make([]bool, len(next))    // edges where a line from elsewhere goes
	join := func(from, to int) {
		next[from] = int32(to) + 1
		ends[to] = true
	}
	for j := range g.NY - 1 {
		for i := range g.NX - 1 {
			k := j*g.NX + i
			a, b, c, d := g.Values[k], g.Values[k+1], g.Values[k+g.NX+1], g.Values[k+g.NX]
			if a != a || b != b || c != c || d != d {
				continue
			}
			// Edge 2k runs from sample k along X, edge 2k+1 along Y. Round the cell a, b, c, d a line begins where
			// high turns to low.
			ab, bc, cd, da := 2*k, 2*(k+1)+1, 2*(k+g.NX), 2*k+1
			high := 0
			for bit, v := range [4]float64{a, b, c, d} {
				if v >= level {
					high |= 1 << bit
				}
			}
			saddle := func() bool { return (a*c-b*d)/(a+c-b-d) >= level } // the bilinear field's; is it high?
			switch high {
			case 0b0001:
				join(ab, da)
			case 0b0010:
				join(bc, ab)
			case 0b0100:
				join(cd, bc)
			case 0b1000:
				join(da, cd)
			case 0b0011:
				join(bc, da)
			case 0b0110:
				join(cd, ab)
			case 0b1100:
				join(da, bc)
			case 0b1001:
				join(ab, cd)
			case 0b0111:
				join(cd, da)
			case 0b1110:
				join(da, ab)
			case 0b1101:
				join(ab, bc)
			case 0b1011:
				join(bc, cd)
			case 0b0101:
				if saddle() {
					join(ab, bc)
					join(cd, da)
				} else {
					join(ab, da)
					join(cd, bc)
				}
			case 0b1010:
				if saddle() {
					join(da, ab)
					join(bc, cd)
				} else {
					join(bc, ab)
					join(da, cd)
				}
			}
		}
	}

	at := func(edge int) draw.Point {
		k := edge / 2
		i, j := float64(k%g.NX), float64(k/g.NX)
		other := k + 1
		if edge%2 == 1 {
			other = k + g.NX
		}
		t := (level - g.Values[k]) / (g.Values[other] - g.Values[k])
		if edge%2 == 0 {
			i += t
		} else {
			j += t
		}
		return draw.Pt(g.X0+i*g.DX, g.Y0+j*g.DY)
	}
	var lines []Contour
	follow := func(edge int, closed bool) {
		line := Contour{Closed: closed}
		for {
			if p := at(edge); len(line.Points) == 0 || line.Points[len(line.Points)-1] != p {
				line.Points = append(line.Points, p)
			}
			to := next[edge]
			next[edge] = 0
			if to == 0 {
				break
			}
			edge = int(to) - 1
		}
		if n := len(line.Points); closed && n > 1 && line.Points[0] == line.Points[n-1] {
			line.Points = line.Points[:n-1]
		}
		if len(line.Points) > 1 {
			lines = append(lines, line)
		}
	}
	for edge := range next {
		if next[edge] != 0 && !ends[edge] {
			follow(edge, false)
		}
	}
	for edge := range next {
		if next[edge] != 0 {
			follow(edge, true)
		}
	}
	return lines
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
	Bend  float64 // how far the line leaves the straight there, as a share of the length asked for
}

// Spots are the places along a line (px) where a text of a length (px) fits, the straightest first: within the given
// area, not over any of avoid, and where the line stays within a quarter of the length of the straight. Of two equally
// straight the one nearer the middle of the line is first.
func Spots(line []draw.Point, length, height float64, within draw.Rect, avoid []draw.Rect) []Spot {
	along := make([]float64, len(line))
	for i := 1; i < len(line); i++ {
		along[i] = along[i-1] + r2.Norm(r2.Sub(line[i], line[i-1]))
	}
	if len(line) < 2 || along[len(along)-1] < 1.2*length || length <= 0 {
		return nil
	}
	total := along[len(along)-1]
	i := 0
	at := func(s float64) draw.Point {
		for i > 0 && along[i] > s {
			i--
		}
		for i < len(line)-2 && along[i+1] < s {
			i++
		}
		d := along[i+1] - along[i]
		if d == 0 {
			return line[i]
		}
		return r2.Add(line[i], r2.Scale((s-along[i])/d, r2.Sub(line[i+1], line[i])))
	}
	const parts = 8
	var spots []Spot
	for s := 0.1 * length; s+1.1*length <= total; s += length / 4 {
		a, b := at(s), at(s+length)
		d := r2.Sub(b, a)
		chord := r2.Norm(d)
		if chord < 0.8*length {
			continue
		}
		bend, mid := 0.0, draw.Point{}
		for k := range parts + 1 {
			p := at(s + length*float64(k)/parts)
			bend = max(bend, math.Abs(r2.Cross(d, r2.Sub(p, a)))/chord)
			mid = r2.Add(mid, r2.Scale(1./(parts+1), p))
		}
		if bend > length/4 {
			continue
		}
		angle := math.Atan2(-d.Y, d.X)
		if angle > math.Pi/2 {
			angle -= math.Pi
		} else if angle <= -math.Pi/2 {
			angle += math.Pi
		}
		box := turned(mid, length, height, angle)
		if !within.Contains(box) || box.OverlapsAny(avoid) {
			continue
		}
		spots = append(spots, Spot{mid, angle, bend/length + 0.02*math.Abs(s+length/2-total/2)/total})
	}
	slices.SortStableFunc(spots, func(a, b Spot) int { return cmp.Compare(a.Bend, b.Bend) })
	return spots
}

// turned is the upright box around a box of width w and height h that is turned about its middle.
func turned(mid draw.Point, w, h, angle float64) draw.Rect {
	sin, cos := math.Sincos(angle)
	sin, cos = math.Abs(sin), math.Abs(cos)
	return draw.Around(mid, w*cos+h*sin, w*sin+h*cos)
}
