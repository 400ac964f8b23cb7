package scenery

import (
	"math"

	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// A window is a perspective on an upright plane square to the vehicle: what is upright stays
// upright, and the height of the eye is one line across. It need not be about the direction
// straight ahead.

// Window is where on a picture an eye sees what.
type Window struct {
	Box    draw.Rect  // px, whole ones
	Eye    r3.Vec     // as driven, m
	Centre draw.Point // of the direction straight ahead, px; it may lie outside of the box
	Focal  float64    // px, the distance of the picture's plane
}

// Nearest is the least depth (m) that is projected.
const Nearest = 1e-3

// Pixel is where a place (m, as driven) is seen, behind other things or not, and beyond the edge of
// the window or not; ok is false for what is not ahead of the eye.
func (w *Window) Pixel(p r3.Vec) (px draw.Point, ok bool) {
	d := r3.Sub(p, w.Eye)
	if d.X < Nearest {
		return draw.Point{}, false
	}
	return draw.Pt(w.Centre.X-w.Focal*d.Y/d.X, w.Centre.Y-w.Focal*d.Z/d.X), true
}

// Left and Up are the slopes of the line of sight through a column and a row of pixels: m to a
// metre ahead.
func (w *Window) Left(x float64) float64 { return (w.Centre.X - x) / w.Focal }

// Up is the slope of the line of sight through a row of pixels.
func (w *Window) Up(y float64) float64 { return (w.Centre.Y - y) / w.Focal }

// direction is the unit vector of the line of sight through a point of the picture.
func (w *Window) direction(x, y float64) r3.Vec {
	return r3.Unit(r3.Vec{X: 1, Y: w.Left(x), Z: w.Up(y)})
}

// size is the box in pixels.
func (w *Window) size() (columns, rows int) {
	return int(math.Round(w.Box.W())), int(math.Round(w.Box.H()))
}

// Luminances is what is seen through a window, cd/m² of each pixel.
type Luminances struct {
	Window
	Columns, Rows int
	Values        []float32 // row by row, from the top left
}

// Row is the luminances of a row of pixels of the picture.
func (l *Luminances) Row(y int) []float32 {
	k := y - int(math.Round(l.Box.Y0))
	return l.Values[k*l.Columns : (k+1)*l.Columns]
}

// At is the luminance (cd/m²) of the pixel that a point of the picture lies in.
func (l *Luminances) At(p draw.Point) float64 {
	return float64(l.Row(int(math.Floor(p.Y)))[int(math.Floor(p.X))-int(math.Round(l.Box.X0))])
}

// Greatest is the greatest luminance, cd/m².
func (l *Luminances) Greatest() float64 {
	most := float32(0)
	for _, v := range l.Values {
		if v > most {
			most = v
		}
	}
	return float64(most)
}
