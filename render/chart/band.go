package chart

import (
	"image/color"
	"math"

	"beamfall/render/draw"
)

// Bands are levels as filled areas: every pixel of a frame gets the colour of the band that its
// value is in.

// DrawBands paints a field over the frame in the bands of a ramp. Between samples the logarithm of
// the field is linear. A pixel has the band of its middle; where there is no data the picture stays
// as it is.
func (f Frame) DrawBands(c *draw.Canvas, g *Grid, ramp Ramp) {
	levels := make([]float64, len(ramp.Levels))
	for i, l := range ramp.Levels {
		levels[i] = math.Log(l)
	}
	bands := ramp.Bands
	f.DrawField(c, ramp.log(g), func(v float64) color.RGBA {
		i := 0
		for i < len(levels) && v >= levels[i] {
			i++
		}
		return bands[i]
	})
}

// DrawField paints a field over the frame, linear between its samples, in the colour of each value.
// Colour is called from several goroutines at a time, but not for NaN: there the picture stays as
// it is.
func (f Frame) DrawField(c *draw.Canvas, g *Grid, colour func(v float64) color.RGBA) {
	area := f.Box.Within(c.Bounds)
	x0, x1 := draw.FirstPixel(area.X0), draw.FirstPixel(area.X1)
	y0, y1 := draw.FirstPixel(area.Y0), draw.FirstPixel(area.Y1)
	if x0 >= x1 || y0 >= y1 {
		return
	}
	// The place of a column among the samples is the same in every row.
	type place struct {
		i int // −1: outside
		t float64
	}
	find := func(v, from, step float64, n int) place {
		u := (v - from) / step
		if u > -1e-9 && u < 0 {
			u = 0 // a frame's own edge, but for rounding
		}
		if !(u >= 0 && u <= float64(n-1)+1e-9) {
			return place{i: -1}
		}
		i := min(int(u), n-2)
		return place{i, min(1, u-float64(i))}
	}
	columns := make([]place, x1-x0)
	for x := range columns {
		columns[x] = find(f.AcrossAt(float64(x0+x)+0.5), g.X0, g.DX, g.NX)
	}
	c.Pixels(draw.R(float64(x0), float64(y0), float64(x1), float64(y1)), func(y int, out []uint8) {
		at := find(f.UpAt(float64(y)+0.5), g.Y0, g.DY, g.NY)
		if at.i < 0 {
			return
		}
		below, above := g.Values[at.i*g.NX:(at.i+1)*g.NX], g.Values[(at.i+1)*g.NX:(at.i+2)*g.NX]
		for x, p := range columns {
			if p.i < 0 {
				continue
			}
			a := below[p.i] + p.t*(below[p.i+1]-below[p.i])
			b := above[p.i] + p.t*(above[p.i+1]-above[p.i])
			v := a + at.t*(b-a)
			if v != v {
				continue
			}
			rgb := colour(v)
			px := out[4*x : 4*x+4 : 4*x+4]
			px[0], px[1], px[2], px[3] = rgb.R, rgb.G, rgb.B, 255
		}
	})
}
