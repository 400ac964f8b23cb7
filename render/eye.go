package render

import (
	"math"

	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// A perspective from the driver's eye, level and straight ahead, on an upright plane: what is upright stays upright, and
// the height of the eye is one line across the picture.

// perspective tells where things are on a driver's view.
type perspective struct {
	Box     draw.Rect   // of the view on the picture, px
	Eye     r3.Vec      // as driven, m
	Centre  draw.Point  // of the direction straight ahead, px
	Focal   float64     // px, the distance of the picture's plane
	MidGrey float64     // cd/m² shown as 18 % of full light
	White   float64     // cd/m² shown as full light
	Labels  []draw.Rect // the boxes of all texts on and around the view, px
}

// nearest is the least depth (m) that is projected.
const nearest = 1e-3

// Pixel is where a place (m, as driven) is seen, behind other things or not, and beyond the edge of the view or not; ok is
// false for what is not ahead of the eye.
func (v *perspective) Pixel(p r3.Vec) (px draw.Point, ok bool) {
	d := r3.Sub(p, v.Eye)
	if d.X < nearest {
		return draw.Point{}, false
	}
	return draw.Pt(v.Centre.X-v.Focal*d.Y/d.X, v.Centre.Y-v.Focal*d.Z/d.X), true
}

// left and up are the slopes of the line of sight through a column and a row of pixels: m to a metre ahead.
func (v *perspective) left(x float64) float64 { return (v.Centre.X - x) / v.Focal }
func (v *perspective) up(y float64) float64   { return (v.Centre.Y - y) / v.Focal }

// newView is a view in a box. far is the slope up at which the ground is seen in the distance, which has its place in the
// upper half.
func newView(box draw.Rect, eye r3.Vec, far float64) perspective {
	const angle, high = 50 * math.Pi / 180, 0.36
	v := perspective{Box: box, Eye: eye, Focal: box.W() / 2 / math.Tan(angle/2)}
	v.Centre = draw.Pt(box.Centre().X, math.Round(box.Y0+high*box.H()+far*v.Focal))
	return v
}
