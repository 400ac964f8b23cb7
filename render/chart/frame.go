package chart

import (
	"math"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// A frame is the one place where metres become pixels, and pixels metres again.

// Axis is the range of one direction of a frame, in SI. From is at the left or the bottom, To at
// the right or the top; From may be the greater one, as for metres to the left on a picture seen
// from above with ahead upward.
type Axis struct {
	From, To float64
	Log      bool       // logarithmic; both ends above 0
	Unit     units.Unit // in which ticks are round
	Title    string     // what is counted; the unit is added

	// Outward names the directions at From and To of an axis that counts from its middle to both
	// sides, as in "2 m left", never "minus 2 m": its figures have no sign.
	Outward [2]string
	Shared  bool // the frame beside has the figures and the title of the axis
}

func (a Axis) outward() bool { return a.Outward != [2]string{} }

// share is how far along the axis v is: 0 at From, 1 at To. On a logarithmic axis zero and less,
// and all that is farther out, are a hundred lengths below From.
func (a Axis) share(v float64) float64 {
	if !a.Log {
		return (v - a.From) / (a.To - a.From)
	}
	if v <= 0 {
		return -100
	}
	return max(-100, math.Log(v/a.From)/math.Log(a.To/a.From))
}

func (a Axis) At(share float64) float64 {
	if a.Log {
		return a.From * math.Pow(a.To/a.From, share)
	}
	return a.From + share*(a.To-a.From)
}

// low and high are the ends in order.
func (a Axis) Low() float64  { return min(a.From, a.To) }
func (a Axis) High() float64 { return max(a.From, a.To) }

// Frame is a rectangle of a picture with an axis along its bottom and one up its left side.
type Frame struct {
	Box        draw.Rect // px
	Across, Up Axis
}

// ToScale is a frame of the given ranges that is as large as box allows, in its middle. One metre
// up is exaggeration times as many pixels as one metre across; 1 is true to scale. Both axes are
// linear.
func ToScale(box draw.Rect, across, up Axis, exaggeration float64) Frame {
	w, h := math.Abs(across.To-across.From), math.Abs(up.To-up.From)*exaggeration
	k := min(box.W()/w, box.H()/h)
	return Frame{draw.Around(box.Centre(), k*w, k*h), across, up}
}

// Filling is like ToScale, but fills all of box: the range that would leave room is widened about
// its middle.
func Filling(box draw.Rect, across, up Axis, exaggeration float64) Frame {
	k := ToScale(box, across, up, exaggeration).PerMetre()
	return Frame{box, across.widened(box.W() / k), up.widened(box.H() / (k * exaggeration))}
}

func (a Axis) widened(length float64) Axis {
	mid, half := (a.From+a.To)/2, math.Copysign(length/2, a.To-a.From)
	a.From, a.To = mid-half, mid+half
	return a
}

// PerMetre is the number of pixels of one metre across.
func (f Frame) PerMetre() float64 { return f.Box.W() / math.Abs(f.Across.To-f.Across.From) }

// Exaggeration is the pixels of a metre up divided by those of a metre across.
func (f Frame) Exaggeration() float64 {
	return f.Box.H() / math.Abs(f.Up.To-f.Up.From) / f.PerMetre()
}

// X is the pixel column of a value of the axis across.
func (f Frame) X(v float64) float64 { return f.Box.X0 + f.Across.share(v)*f.Box.W() }

// Y is the pixel row of a value of the axis up.
func (f Frame) Y(v float64) float64 { return f.Box.Y1 - f.Up.share(v)*f.Box.H() }

// At is the pixel of a pair of values.
func (f Frame) At(across, up float64) draw.Point { return draw.Pt(f.X(across), f.Y(up)) }

// AcrossAt is the value across at a pixel column, the inverse of X.
func (f Frame) AcrossAt(x float64) float64 { return f.Across.At((x - f.Box.X0) / f.Box.W()) }

// UpAt is the value up at a pixel row, the inverse of Y.
func (f Frame) UpAt(y float64) float64 { return f.Up.At((f.Box.Y1 - y) / f.Box.H()) }

// Map is a line in the frame's values as pixels.
func (f Frame) Map(line []draw.Point) []draw.Point {
	px := make([]draw.Point, len(line))
	for i, p := range line {
		px[i] = f.At(p.X, p.Y)
	}
	return px
}

// Arc is the circle about centre from angle a to b (radians from the axis across toward the axis
// up) with a radius in metres, as pixels: a true circle of the world, whatever the exaggeration.
func (f Frame) Arc(centre draw.Point, radius, a, b float64) []draw.Point {
	n := max(2, int(math.Ceil(math.Abs(b-a)*math.Sqrt(radius*f.PerMetre())))) // chords within 1/8 px of the arc
	arc := make([]draw.Point, n+1)
	for i := range arc {
		sin, cos := math.Sincos(a + (b-a)*float64(i)/float64(n))
		arc[i] = f.At(centre.X+radius*cos, centre.Y+radius*sin)
	}
	return arc
}
