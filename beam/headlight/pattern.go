package headlight

import "math"

// What the beams are like. A pattern is thought of on a screen square to the lamp's axis, on which
// a direction H (to the side that traffic keeps to) and V (up) is the point
//
//	x = tan H,   y = tan V / cos H
//
// so that a flat cut-off is a straight line. Light comes in lobes: heaps around a point of the
// screen that far out fall as the fourth power of the distance, as what lenses and reflectors
// scatter does. A low beam is lobes with their upper part cut off, and weak ones that are not: its
// stray light. A high beam is lobes around the axis.
//
// Where lobes sit and how wide they are is our own choice. How bright they are is the least flux
// that keeps the minima of the rule, and of a low beam some light to the sides and on the
// foreground that no rule asks for: testdata/reference/headlight.py finds it.

// A pattern is the beam of a lamp. Its lengths are degrees on the screen: tan · 180°/π.
type pattern struct {
	below []lobe // cut off at the edge
	edge  edge
	free  []lobe
}

// A lobe is peak / (1 + ((x-x0)/across)² + ((y-y0)/upDown)²)², in cd.
type lobe struct{ peak, x, y, across, upDown float64 }

// An edge is a cut-off. Seen from the side of oncoming traffic it is flat at a level, turns up
// around x = 0 at 15° and levels off again when it has gone on for run to the side. Light fades
// across it as
//
//	(1 - t/√(1+t²)) / 2,   t = (y - height) / blur
//
// which leaves 1/(4t²) far above: the haze that any cut-off has.
type edge struct{ level, run, turn, blur float64 }

// The cut-off of UN R149 lies at 0.57° below the axis: where the logarithm of the intensity changes
// fastest, which is 0.6 of the blur above the level. That of FMVSS 108 is where its minima want it.
var lows = [...]pattern{
	UNR149: {
		below: []lobe{
			{1285, 0, -1.4, 25, 3.5},    // the sides and the foreground
			{6700, -0.7, -0.65, 9, 1.3}, // the road
			{8870, 0.9, -0.5, 2, 0.9},   // far along the near side
		},
		edge: edge{level: -0.73, run: 4, turn: 1, blur: 0.25},
		free: []lobe{{186, 0, 0, 8, 12}}, // signs overhead
	},
	FMVSS108: {
		below: []lobe{
			{2550, 0, -0.7, 25, 3},
			{770, 0, -2.5, 4, 4},
			{20200, 1.8, -1, 2, 1.05},
		},
		edge: edge{level: -0.83, run: 1.2, turn: 0.3, blur: 0.32},
		free: []lobe{{500, 0, 0.75, 11.5, 3}},
	},
}

var highs = [...]pattern{
	UNR149:   {free: []lobe{{36950, 0, 0, 3.7, 2}, {5200, 0, 0, 15, 3}}},
	FMVSS108: {free: []lobe{{36350, 0, 0, 3.3, 2}, {5260, 0, 0, 14.7, 3}}},
}

const degree = math.Pi / 180

// A heap is a lobe ready to be asked in tangents.
type heap struct{ peak, x, y, p, q float64 }

func (l lobe) heap() heap {
	return heap{l.peak, l.x * degree, l.y * degree, 1 / sq(l.across*degree), 1 / sq(l.upDown*degree)}
}

func heaps(lobes []lobe) []heap {
	out := make([]heap, len(lobes))
	for i, l := range lobes {
		out[i] = l.heap()
	}
	return out
}

func sum(heaps []heap, x, y float64) float64 {
	cd := 0.0
	for i := range heaps {
		h := &heaps[i]
		dx, dy := x-h.x, y-h.y
		r := 1 + h.p*dx*dx + h.q*dy*dy
		cd += h.peak / (r * r)
	}
	return cd
}

// inTangents is the edge in the lengths of heaps.
func (e edge) inTangents() edge {
	return edge{e.level * degree, e.run * degree, e.turn * degree, e.blur * degree}
}

// rise is tan 15°: a cut-off may turn up at 15° on the side that traffic keeps to (UN R149).
var rise = math.Tan(15 * degree)

// height is that of the cut-off at x.
func (e *edge) height(x float64) float64 {
	// half of √(x²+turn²) + x is a ramp that is round at its foot; less another one farther on, it
	// levels off
	far := x - e.run
	return e.level + rise/2*(math.Sqrt(x*x+e.turn*e.turn)-math.Sqrt(far*far+e.turn*e.turn)+e.run)
}

// passes is the share of the light that the cut-off lets through.
func (e *edge) passes(x, y float64) float64 {
	t := (y - e.height(x)) / e.blur
	r := math.Sqrt(1 + t*t)
	tail := 1 / (2 * r * (r + math.Abs(t))) // what is beyond |t|, without cancelling digits
	if t > 0 {
		return tail
	}
	return 1 - tail
}

func sq(x float64) float64 { return x * x }
