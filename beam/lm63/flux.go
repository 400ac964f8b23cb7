package lm63

import "math"

// integrate is the flux of the table (lm): a bilinear function of the two angles integrates over
// the sphere to a sum of products of each side's weights.
func (t *Table) integrate() float64 {
	belts := belts(t.polar.nodes, t.kind == TypeC)
	n := len(belts)
	copies := 1.0
	for _, fold := range []bool{t.foldPole, t.foldX, t.foldY} {
		if fold {
			copies *= 2
		}
	}
	turns := []float64{2 * math.Pi}
	if !t.round {
		turns = trapezia(t.azimuth.nodes)
	}
	var flux float64
	for a, turn := range turns {
		var plane float64
		for p, belt := range belts {
			plane += belt * t.value[a*n+p]
		}
		flux += turn * plane
	}
	return flux * copies
}

// edge is the smallest component ahead of any cell of the table that is not dark.
func (t *Table) edge() float64 {
	const darkness = 1e-12 // of the peak
	n := len(t.polar.nodes)
	planes := len(t.value) / n
	lit := func(p int, planes ...int) bool {
		for _, a := range planes {
			if max(t.value[a*n+p], t.value[a*n+p+1]) > darkness*t.peak {
				return true
			}
		}
		return false
	}
	ahead := 1.0
	if t.kind == TypeC {
		for a := range planes {
			for p := range n - 1 {
				if lit(p, a) {
					ahead = min(ahead, math.Cos(t.polar.nodes[p+1]))
				}
			}
		}
		return ahead
	}
	for a := range planes - 1 {
		// The cosine of azimuth falls from H = V = 0 either way, so the end farther from it has the
		// least.
		least := math.Cos(max(math.Abs(t.azimuth.nodes[a]), math.Abs(t.azimuth.nodes[a+1])))
		for p := range n - 1 {
			if lit(p, a, a+1) {
				low, high := t.polar.nodes[p], t.polar.nodes[p+1]
				narrow, wide := math.Cos(low), math.Cos(high)
				if least < 0 { // behind the lamp: the belt that is widest reaches farthest back
					belt := max(narrow, wide)
					if low < 0 && high > 0 {
						belt = 1
					}
					ahead = min(ahead, least*belt)
				} else {
					ahead = min(ahead, least*min(narrow, wide))
				}
			}
		}
	}
	return ahead
}

// weigh records what is odd about the light that the table adds up to.
func (f *File) weigh() {
	t := f.table
	if rated, absolute := f.RatedLumens(); !absolute {
		const few = 0.05
		switch share := t.flux / rated; {
		case share > 1+few:
			f.doubt("the table adds up to %.4g lm, more than the %.4g lm that its lamps are rated at", t.flux, rated)
		case share < 1-few:
			f.doubt("the table adds up to %.4g lm, %.0f %% of the %.4g lm that its lamps are rated at: "+
				"taken as what leaves the lens", t.flux, 100*share, rated)
		}
	}
	n := len(f.Vertical)
	brightest := 0
	for i, v := range f.Candela {
		if v > f.Candela[brightest] {
			brightest = i
		}
	}
	h, v := f.Horizontal[brightest/n], f.Vertical[brightest%n]
	ahead := math.Cos(v)
	if f.Type != TypeC {
		ahead *= math.Cos(h)
	}
	if off := math.Acos(ahead) / degree; off > 45 && t.Candela(1, 0, 0) < t.peak/2 {
		f.doubt("the brightest direction (H %.6g°, V %.6g°) is %.3g° off the beam axis: "+
			"is the file that of a lamp that shines ahead?", h/degree, v/degree, off)
	}
	f.weighEdges()
}

// weighEdges records tables that stop where there is still light.
func (f *File) weighEdges() {
	n, planes := len(f.Vertical), len(f.Horizontal)
	peak := f.table.peak
	// A table may well stop at a right angle off the beam, behind the lamp, or where its mirror
	// image begins.
	edge := func(side string, angle float64, first bool, brightest float64) {
		off := math.Abs(angle)
		natural := about(off, math.Pi/2) || about(off, math.Pi) || first && about(off, 0)
		if !natural && brightest > 0.01*peak {
			f.doubt("the table stops at %s angle %.6g° with still %.3g cd: taken as dark beyond", side, angle/degree,
				brightest)
		}
	}
	row := func(v int) (most float64) {
		for h := range planes {
			most = max(most, f.Candela[h*n+v])
		}
		return most
	}
	plane := func(h int) (most float64) {
		for v := range n {
			most = max(most, f.Candela[h*n+v])
		}
		return most
	}
	for _, v := range []int{0, n - 1} {
		edge("vertical", f.Vertical[v], v == 0, row(v))
	}
	if f.Type != TypeC && planes > 1 {
		for _, h := range []int{0, planes - 1} {
			edge("horizontal", f.Horizontal[h], h == 0, plane(h))
		}
	}
}
