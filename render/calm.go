package render

import "math"

// Along the edge of a shadow the lines of all levels run together. A level written there would name the shadow, so levels
// are written where the light changes little by little.

// steep is the ratio of light between neighbouring samples from which on it is the edge of something.
const steep = 1.25

// calm is the parts of isolux lines that a level can be written on.
func (c *Canvas) calm(f Frame, lux *Grid, lines []IsoluxLine) []IsoluxLine {
	var parts []IsoluxLine
	for _, line := range lines {
		n := len(line.Points)
		if b := bounds(line.Points); line.Points[0] == line.Points[n-1] && min(b.W(), b.H()) < c.U(60) {
			continue
		}
		from := 0
		for i := 0; i <= n; i++ {
			if i < n && !lux.steepAt(f.AcrossAt(line.Points[i].X), f.UpAt(line.Points[i].Y)) {
				continue
			}
			if i-from > 1 {
				parts = append(parts, IsoluxLine{line.Level, line.Points[from:i]})
			}
			from = i + 1
		}
	}
	return parts
}

// steepAt tells whether the light changes fast in the cell of a place.
func (g *Grid) steepAt(x, y float64) bool {
	i, j := int(math.Floor((x-g.X0)/g.DX)), int(math.Floor((y-g.Y0)/g.DY))
	i, j = max(0, min(i, g.NX-2)), max(0, min(j, g.NY-2))
	k := j*g.NX + i
	a, b, c, d := g.Values[k], g.Values[k+1], g.Values[k+g.NX], g.Values[k+g.NX+1]
	return max(a, b, c, d) > steep*min(a, b, c, d)
}
