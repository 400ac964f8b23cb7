package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Track is the centreline of the way that the vehicle follows, seen from above: straight ahead
// along the x axis as far as From, from there on an arc through at most 180°. Distances along it
// are s, in metres from the bumper. The zero value is straight on.
type Track struct {
	Radius float64 // of the bend, m; 0: there is none
	Left   bool    // which way it bends
	From   float64 // s at which the bend begins, m, not below 0
	Width  float64 // m
}

// Straight tells whether there is no bend.
func (t *Track) Straight() bool { return t.Radius == 0 }

// End is the s of the end of the bend, after 180°; +Inf where there is none.
func (t *Track) End() float64 {
	if t.Straight() {
		return math.Inf(1)
	}
	return t.From + math.Pi*t.Radius
}

// side is +1 for a bend to the left, -1 for one to the right.
func (t *Track) side() float64 {
	if t.Left {
		return 1
	}
	return -1
}

// turned is the angle (rad) through which the track has turned at s.
func (t *Track) turned(s float64) float64 {
	if t.Straight() {
		return 0
	}
	return max(0, min(math.Pi, (s-t.From)/t.Radius))
}

// Place is the point at s along the track, and left of it across (m). Behind the bumper, and past
// its end, the track is taken to go straight on.
func (t *Track) Place(s, left float64) (x, y float64) {
	turn := t.turned(s)
	if turn == 0 {
		return s, left
	}
	sin, cos := math.Sincos(turn)
	half := math.Sin(turn / 2)
	x, y = t.From+t.Radius*sin, t.side()*t.Radius*2*half*half
	on := max(0, s-t.End())
	return x + on*cos - t.side()*left*sin, y + t.side()*on*sin + left*cos
}

// Heading is the horizontal unit vector along which the track goes at s.
func (t *Track) Heading(s float64) r3.Vec {
	sin, cos := math.Sincos(t.turned(s))
	return r3.Vec{X: cos, Y: t.side() * sin}
}

// Nearest is the s, not past the end of the bend, of the point of the track that is nearest to (x,
// y).
func (t *Track) Nearest(x, y float64) float64 {
	if t.Straight() {
		return x
	}
	// from the centre of the bend, mirrored so that it bends to the left
	ahead, in := x-t.From, t.side()*y-t.Radius
	turn := math.Atan2(ahead, -in)
	off := math.Abs(math.Hypot(ahead, in) - t.Radius)
	if turn < 0 { // beyond an end of the arc
		turn, off = 0, math.Hypot(ahead, in+t.Radius)
		if far := math.Hypot(ahead, in-t.Radius); far < off {
			turn, off = math.Pi, far
		}
	}
	if ahead < 0 && math.Abs(y) <= off {
		return x
	}
	return t.From + t.Radius*turn
}

// Crossings are the s at which the track crosses the line across at x.
func (t *Track) Crossings(x float64) []float64 {
	if t.Straight() || x <= t.From {
		return []float64{x}
	}
	sin := (x - t.From) / t.Radius
	if sin >= 1 {
		return nil
	}
	turn := math.Asin(sin)
	return []float64{t.From + t.Radius*turn, t.From + t.Radius*(math.Pi-turn)}
}
