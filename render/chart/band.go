package chart

import (
	"image/color"
	"math"
	"slices"

	"beamfall/render/draw"
)

// Bands are levels as filled areas: every pixel of a frame gets the colour of the band that its
// value is in.

// banded is a grid with the number of the band that each sample is in, of those between rising
// levels. Where all corners of a cell are in one band, so is the cell; the values themselves, which
// take long to scale, are asked for only where they are not.
type banded struct {
	*Grid
	levels []float64
	bands  []uint8
	scale  func(v float64) float64 // rising; between samples the scaled value is linear
}

// noBand is that of a sample without data.
const noBand = math.MaxUint8

func newBanded(g *Grid, levels []float64, scale func(v float64) float64) *banded {
	b := &banded{Grid: g, levels: levels, bands: make([]uint8, len(g.Values)), scale: scale}
	draw.Rows(g.NY, func(j int) {
		band := 0 // mostly that of the sample before
		bands := b.bands[j*g.NX : (j+1)*g.NX]
		for i, v := range g.Values[j*g.NX : (j+1)*g.NX] {
			if v != v {
				bands[i] = noBand
				continue
			}
			for band < len(levels) && v >= levels[band] {
				band++
			}
			for band > 0 && v < levels[band-1] {
				band--
			}
			bands[i] = uint8(band)
		}
	})
	return b
}

// banded is a grid in the bands of a ramp, with lines and edges that run straight between samples on
// the ramp's steps.
func (r Ramp) banded(g *Grid) *banded {
	if g.banded == nil || !slices.Equal(g.banded.levels, r.Levels) {
		g.banded = newBanded(g, r.Levels, func(v float64) float64 { return math.Log(max(v, r.Least)) })
	}
	return g.banded
}

// at is the scaled value of a sample.
func (b *banded) at(k int) float64 { return b.scale(b.Values[k]) }

// between is the band at shares s and t of the way across and up the cell whose first corner is
// sample k.
func (b *banded) between(k int, s, t float64) uint8 {
	below, above := b.at(k), b.at(k+b.NX)
	below += s * (b.at(k+1) - below)
	above += s * (b.at(k+b.NX+1) - above)
	v := below + t*(above-below)
	if v != v {
		return noBand
	}
	band := 0
	for band < len(b.levels) && v >= b.scale(b.levels[band]) {
		band++
	}
	return uint8(band)
}

// DrawBands paints a field over the frame in the bands of a ramp. Between samples the logarithm of
// the field is linear. A pixel has the band of its middle; where there is no data the picture stays
// as it is.
func (f Frame) DrawBands(c *draw.Canvas, g *Grid, ramp Ramp) {
	b := ramp.banded(g)
	f.drawRows(c, g, func(j int, t float64, columns []place, out []uint8) {
		below, above := b.bands[j*g.NX:(j+1)*g.NX], b.bands[(j+1)*g.NX:(j+2)*g.NX]
		for x, p := range columns {
			if p.i < 0 {
				continue
			}
			band := below[p.i]
			if band != below[p.i+1] || band != above[p.i] || band != above[p.i+1] {
				band = b.between(j*g.NX+p.i, p.t, t)
			}
			if band != noBand {
				put(out[4*x:], ramp.Bands[band])
			}
		}
	})
}

// put gives a pixel a colour.
func put(px []uint8, c color.RGBA) { *(*[4]uint8)(px) = [4]uint8{c.R, c.G, c.B, 255} }

// DrawField paints a field over the frame, linear between its samples, in the colour of each value.
// Colour is called from several goroutines at a time, but not for NaN: there the picture stays as
// it is.
func (f Frame) DrawField(c *draw.Canvas, g *Grid, colour func(v float64) color.RGBA) {
	f.drawRows(c, g, func(j int, t float64, columns []place, out []uint8) {
		below, above := g.Values[j*g.NX:(j+1)*g.NX], g.Values[(j+1)*g.NX:(j+2)*g.NX]
		for x, p := range columns {
			if p.i < 0 {
				continue
			}
			a := below[p.i] + p.t*(below[p.i+1]-below[p.i])
			b := above[p.i] + p.t*(above[p.i+1]-above[p.i])
			if v := a + t*(b-a); v == v {
				put(out[4*x:], colour(v))
			}
		}
	})
}

// place is where a row or a column of pixels is among the samples of a grid.
type place struct {
	i int     // the sample before it; −1: outside
	t float64 // how far beyond that, as a share of the way to the next
}

// drawRows calls paint with the rows of pixels of a frame that a grid has samples for: row j and a
// share t of the way to the next, and the places of its columns.
func (f Frame) drawRows(c *draw.Canvas, g *Grid, paint func(j int, t float64, columns []place, out []uint8)) {
	area := f.Box.Within(c.Bounds)
	x0, x1 := draw.FirstPixel(area.X0), draw.FirstPixel(area.X1)
	y0, y1 := draw.FirstPixel(area.Y0), draw.FirstPixel(area.Y1)
	if x0 >= x1 || y0 >= y1 {
		return
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
		if at.i >= 0 {
			paint(at.i, at.t, columns, out)
		}
	})
}
