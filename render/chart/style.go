package chart

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamfall/render/draw"
)

// Things that a chart has many of are told apart by what a grey copy keeps: a key number, the shape
// of its plate, and the dashes of its lines. Colour is left to levels.

// Marker is the shape of a key plate.
type Marker int

// The shapes. At a size of a few pixels they differ by their number of corners and by which of
// these is on top.
const (
	Circle Marker = iota
	Square
	Triangle
	Diamond
	Hexagon
	Shield   // a triangle on its tip
	Pentagon // a house
	markers
)

// dashes are lengths on and off in units. They differ by the number of strokes before they repeat,
// and by their lengths.
var dashes = [...][]float64{
	nil,
	{16, 8},
	{3, 7},
	{18, 7, 3, 7},
	{32, 10},
	{18, 7, 3, 7, 3, 7},
}

// Style is how one of them is drawn.
type Style struct {
	Number int // the key number, from 1
	Dash   []float64
	Marker Marker
}

// StyleOf is the style of the one with key number n, from 1. Up to 42 no two have the same dashes
// and marker.
func StyleOf(n int) Style {
	i := max(0, n-1)
	return Style{n, dashes[i%len(dashes)], Marker(i % int(markers))}
}

// Pen is the pen for its lines in a theme, cased so that it shows on every band.
func (s Style) Pen(theme draw.Theme, width float64) draw.Pen {
	return draw.Pen{Colour: theme.Ink, Width: width, Dash: s.Dash}.Cased(theme, 1.5)
}

// corners of a marker of radius 1 about the origin, y down; none for a circle. The radii are chosen
// so that all have much the same area, and room for a number in the middle.
func (m Marker) corners() []draw.Point {
	polygon := func(n int, radius, turn float64) []draw.Point {
		ps := make([]draw.Point, n)
		for i := range ps {
			sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
			ps[i] = draw.Pt(radius*sin, -radius*cos)
		}
		return ps
	}
	shift := func(ps []draw.Point, dy float64) []draw.Point {
		for i := range ps {
			ps[i].Y += dy
		}
		return ps
	}
	switch m {
	case Square:
		return polygon(4, 1.27, math.Pi/4)
	case Triangle:
		return shift(polygon(3, 1.5, 0), 0.18)
	case Diamond:
		return polygon(4, 1.35, 0)
	case Hexagon:
		return polygon(6, 1.12, math.Pi/6)
	case Shield:
		return shift(polygon(3, 1.5, math.Pi), -0.18)
	case Pentagon:
		return shift(polygon(5, 1.2, 0), 0.04)
	}
	return nil
}

// keyRadius is the radius of a round key plate, and keySide the side of a square with room for all
// shapes, units.
const (
	keyRadius = 21
	keySide   = 2.9 * keyRadius
)

// PlateSize is the width and height in pixels that a key plate takes up, whatever its shape.
func PlateSize(c *draw.Canvas) (w, h float64) { return c.U(keySide), c.U(keySide) }

// DrawPlate draws the key plate, the marker with the number on it, with its middle at p.
func (s Style) DrawPlate(c *draw.Canvas, p draw.Point) {
	edge := draw.Pen{Colour: c.Theme.Ink, Width: 2.5}
	s.drawMarker(c, p, keyRadius, edge)
	number := strconv.Itoa(s.Number)
	size, dy := 1.0, 0.0
	switch {
	case len(number) > 2:
		size = 0.7
	case len(number) > 1 && (s.Marker == Triangle || s.Marker == Shield):
		size = 0.85
	}
	switch s.Marker {
	case Triangle:
		dy = 0.3
	case Shield:
		dy = -0.3
	}
	c.Write(draw.Pt(p.X, p.Y+c.U(dy*keyRadius)), number,
		draw.Lettering{Role: draw.Key, Size: size, AnchorX: 0.5, AnchorY: 0.5})
}

// drawMarker draws the empty marker, of the given radius in units, with its middle at p.
func (s Style) drawMarker(c *draw.Canvas, p draw.Point, radius float64, edge draw.Pen) {
	corners := s.Marker.corners()
	if corners == nil {
		c.Disc(p, radius, c.Theme.Plate, edge)
		return
	}
	for i, q := range corners {
		corners[i] = draw.Pt(p.X+c.U(radius*q.X), p.Y+c.U(radius*q.Y))
	}
	c.Fill(c.Theme.Plate, corners)
	c.Outline(corners, edge)
}

// Numbers are key numbers in words, runs of them from–to: "1, 3–5".
func Numbers(numbers []int) string {
	var parts []string
	for i := 0; i < len(numbers); {
		j := i
		for j+1 < len(numbers) && numbers[j+1] == numbers[j]+1 {
			j++
		}
		switch {
		case j > i+1:
			parts = append(parts, fmt.Sprintf("%d–%d", numbers[i], numbers[j]))
		case j > i:
			parts = append(parts, strconv.Itoa(numbers[i]), strconv.Itoa(numbers[j]))
		default:
			parts = append(parts, strconv.Itoa(numbers[i]))
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}
