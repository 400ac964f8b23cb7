package draw

import (
	"image"
	"image/color"
	"math"
)

// A surface is what a canvas draws on: the pixels of a picture, or the page of a document.
// Everything that a canvas shows goes through these few calls, so a new kind of file needs no more
// than a new surface.

// Surface shows what is drawn on it in the order in which it is drawn. All coordinates and lengths
// are in pixels of the whole picture. Package pdf has another.
type Surface interface {
	// Fill fills the inside of a path; with even-odd, where two of its parts overlap is outside.
	Fill(path Path, colour color.RGBA, evenOdd bool)
	// Stroke draws a line along a path.
	Stroke(path Path, s Stroke)
	// Words writes a line of text.
	Words(w Words)
	// Pixels calls paint with every row of an area, several rows at a time. A row has 4 bytes a
	// pixel: red, green, blue and 255, as they are so far. What paint leaves alone stays as it is.
	Pixels(area image.Rectangle, paint func(y int, row []uint8))
	// Within is the same surface, drawing no further than an area.
	Within(area image.Rectangle) Surface
}

// Stroke is how a line is drawn along a path. Corners are round.
type Stroke struct {
	Colour color.RGBA
	Width  float64
	Dash   []float64 // lengths on and off in turn, with square ends; none: unbroken, with round ends
}

// Path is lines and curves, in one or more parts that each begin with a move.
type Path []Segment

// Segment is one step of a path. Its kind says which points it has, and it ends at the last of
// them.
type Segment struct {
	Kind    SegmentKind
	A, B, C Point
}

// SegmentKind is what a segment is.
type SegmentKind uint8

// The kinds of segments.
const (
	MoveTo    SegmentKind = iota // to A
	LineTo                       // to A
	QuadTo                       // a parabola with the control point A to B
	CubeTo                       // a Bézier curve with the control points A and B to C
	ClosePath                    // a line to where the part began
)

// polyline is a path through points, closed or not, added to another.
func (p Path) polyline(line []Point, closed bool) Path {
	for i, q := range line {
		kind := LineTo
		if i == 0 {
			kind = MoveTo
		}
		p = append(p, Segment{Kind: kind, A: q})
	}
	if closed {
		p = append(p, Segment{Kind: ClosePath})
	}
	return p
}

// bounds is an upright rectangle that holds a path.
func (p Path) bounds() Rect {
	r := BoundsOf(nil)
	for _, s := range p {
		points := [3]Point{s.A, s.B, s.C}
		r = r.Union(BoundsOf(points[:[...]int{LineTo: 1, MoveTo: 1, QuadTo: 2, CubeTo: 3, ClosePath: 0}[s.Kind]]))
	}
	return r
}

// arc is the arc of a circle from angle a to b (radians, clockwise from the right), joined by a
// line to a path that is begun, as parabolas that leave it by less than 1e-5 of the radius for a
// full circle.
func (p Path) arc(centre Point, radius, a, b float64) Path {
	const n = 16
	at := func(angle float64) Point {
		return Pt(centre.X+radius*math.Cos(angle), centre.Y+radius*math.Sin(angle))
	}
	for i := range n {
		a1, a2 := a+(b-a)*(float64(i)/n), a+(b-a)*(float64(i+1)/n)
		from, mid, to := at(a1), at((a1+a2)/2), at(a2)
		if i == 0 {
			kind := LineTo
			if len(p) == 0 {
				kind = MoveTo
			}
			p = append(p, Segment{Kind: kind, A: from})
		}
		control := Pt(2*mid.X-from.X/2-to.X/2, 2*mid.Y-from.Y/2-to.Y/2)
		p = append(p, Segment{Kind: QuadTo, A: control, B: to})
	}
	return p
}

// rounded is an upright rectangle with corners of a radius.
func rounded(r Rect, radius float64) Path {
	x0, x1, y0, y1 := r.X0+radius, r.X1-radius, r.Y0+radius, r.Y1-radius
	p := Path{{Kind: MoveTo, A: Pt(x0, r.Y0)}, {Kind: LineTo, A: Pt(x1, r.Y0)}}
	p = p.arc(Pt(x1, y0), radius, 3*math.Pi/2, 2*math.Pi)
	p = append(p, Segment{Kind: LineTo, A: Pt(r.X1, y1)})
	p = p.arc(Pt(x1, y1), radius, 0, math.Pi/2)
	p = append(p, Segment{Kind: LineTo, A: Pt(x0, r.Y1)})
	p = p.arc(Pt(x0, y1), radius, math.Pi/2, math.Pi)
	p = append(p, Segment{Kind: LineTo, A: Pt(r.X0, y0)})
	p = p.arc(Pt(x0, y0), radius, math.Pi, 3*math.Pi/2)
	return append(p, Segment{Kind: ClosePath})
}

// Words is a line of text of one font.
type Words struct {
	Text   string // in letters that the font has; "-" is drawn as Hyphen
	Font   Font
	Size   float64 // of the letters
	Colour color.RGBA

	// The text begins at the left end of its line box, which is a distance to the right of and
	// below At as the text is read; all is turned about At by an angle (radians, counterclockwise
	// as seen).
	At          Point
	Right, Down float64
	Angle       float64

	Halo       float64 // how far a line around each letter reaches, which also covers blanks; 0: none
	HaloColour color.RGBA
}

// Base is where the text begins on the line that its letters stand on.
func (w Words) Base() Point { return w.Place(0, ascent*w.Size) }

// Gap is the part of the line box between two distances along the text (px) that a halo covers
// where there is no letter: a line seen in a gap between words reads as a dash.
func (w Words) Gap(from, to float64) Path {
	top, foot := (ascent-0.8*capHeight)*w.Size, (ascent-0.1*capHeight)*w.Size
	corners := []Point{w.Place(from, top), w.Place(to, top), w.Place(to, foot), w.Place(from, foot)}
	return Path(nil).polyline(corners, true)
}

// Place is where a point of the line box is, a distance right of and below its top left corner as
// the text is read.
func (w Words) Place(right, down float64) Point {
	sin, cos := math.Sincos(w.Angle)
	x, y := w.Right+right, w.Down+down
	return Pt(w.At.X+x*cos+y*sin, w.At.Y-x*sin+y*cos)
}
