package sight

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"
)

// The air glows all around, and where it is looked through decides how much. The glow up to the
// ground, or to no end, is worked out once for directions on the faces of a cube about the eye,
// rows of them as they are asked for; in between it follows by cubics. What the body hides of it is
// minded where it is looked up.

const (
	domeSteps   = 40  // across the face ahead
	domeCoarser = 14  // across the other faces
	domeStretch = 0.6 // how much finer the middle of a face is than even steps would be: 1/√(1 + stretch)
)

// dome is the six faces: ahead, behind, left, right, up, down.
type dome struct {
	view  *View
	faces [6]domeFace
}

// domeFace is directions major + u·row + v·column, u and v between -1 and 1 and a little beyond.
type domeFace struct {
	major, row, column r3.Vec
	steps              int
	rows               []domeRow
}

// domeRow is the glow (cd/m²) in the directions of a row, by column and by lamp.
type domeRow struct {
	once sync.Once
	glow []float64
}

func (d *dome) init(v *View) {
	d.view = v
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	back := func(v r3.Vec) r3.Vec { return r3.Scale(-1, v) }
	d.faces = [6]domeFace{
		{major: x, row: z, column: y, steps: domeSteps}, {major: back(x), row: z, column: y, steps: domeCoarser},
		{major: y, row: x, column: z, steps: domeCoarser}, {major: back(y), row: x, column: z, steps: domeCoarser},
		{major: z, row: x, column: y, steps: domeCoarser}, {major: back(z), row: x, column: y, steps: domeCoarser},
	}
	for i := range d.faces {
		d.faces[i].rows = make([]domeRow, d.faces[i].steps+1+2*pad)
	}
}

// place is where among the rows or columns of a face a coordinate u lies, and at is the inverse of
// it.
func (f *domeFace) place(u float64) float64 {
	q := u * math.Sqrt((1+domeStretch)/(1+domeStretch*u*u))
	return (q+1)*float64(f.steps)/2 + pad
}

func (f *domeFace) at(place float64) float64 {
	q := (place-pad)*2/float64(f.steps) - 1
	return q / math.Sqrt(1+domeStretch-domeStretch*q*q)
}

// direction is the unit vector through a point of the face.
func (f *domeFace) direction(u, v float64) r3.Vec {
	return unit(r3.Add(f.major, r3.Add(r3.Scale(u, f.row), r3.Scale(v, f.column))))
}

// face is the one that a direction goes through, and where.
func (d *dome) face(dir r3.Vec) (face int, u, v float64) {
	x, y, z := math.Abs(dir.X), math.Abs(dir.Y), math.Abs(dir.Z)
	switch {
	case x >= y && x >= z:
		face, u, v = 0, dir.Z/x, dir.Y/x
		if dir.X < 0 {
			face = 1
		}
	case y >= z:
		face, u, v = 2, dir.X/y, dir.Z/y
		if dir.Y < 0 {
			face = 3
		}
	default:
		face, u, v = 4, dir.X/z, dir.Y/z
		if dir.Z < 0 {
			face = 5
		}
	}
	return face, u, v
}

// add adds weight times the glow in a direction, lamp by lamp, to dst.
func (d *dome) add(dst []float64, dir r3.Vec, weight float64) {
	face, u, v := d.face(dir)
	f := &d.faces[face]
	i, on := cell(f.place(u), len(f.rows))
	j, along := cell(f.place(v), len(f.rows))
	columns, lamps := cubic(along), len(dst)
	for k, share := range cubic(on) {
		at := d.row(face, i+k)[j*lamps:]
		share *= weight
		c0, c1, c2, c3 := share*columns[0], share*columns[1], share*columns[2], share*columns[3]
		p, q, m, n := at[:lamps], at[lamps:][:lamps], at[2*lamps:][:lamps], at[3*lamps:][:lamps]
		for l := range dst {
			dst[l] += c0*p[l] + c1*q[l] + c2*m[l] + c3*n[l]
		}
	}
}

func (d *dome) row(face, i int) []float64 {
	f := &d.faces[face]
	r := &f.rows[i]
	r.once.Do(func() {
		u, lamps := f.at(float64(i)), len(d.view.Scene.Lamps)
		r.glow = make([]float64, len(f.rows)*lamps)
		if origins := d.view.origins; len(origins) > 0 {
			for l, o := range origins {
				glow, all := o.view.dome.row(face, i), len(o.view.Scene.Lamps)
				for j := range f.rows {
					r.glow[j*lamps+l] = glow[j*all+o.lamp]
				}
			}
			return
		}
		for j := range f.rows {
			dir := f.direction(u, f.at(float64(j)))
			d.view.addGlow(r.glow[j*lamps:(j+1)*lamps], dir, d.view.eye.reach(dir), 1)
		}
	})
	return r.glow
}

// prepare works out, on all cores, the rows that the veils over some lines of sight need.
func (d *dome) prepare(lines []r3.Vec) {
	type row struct{ face, i int }
	var rows []row
	for face := range d.faces {
		f := &d.faces[face]
		needed := make([]bool, len(f.rows))
		for i := range f.rows {
			u := f.at(float64(i))
			for _, line := range lines {
				// the greatest of line · (major + u·row + v·column) over |v| ≤ 1
				if r3.Dot(line, f.major)+u*r3.Dot(line, f.row)+math.Abs(r3.Dot(line, f.column)) > 0 {
					for k := max(0, i-2); k <= min(i+2, len(f.rows)-1); k++ {
						needed[k] = true
					}
					break
				}
			}
		}
		for i, n := range needed {
			if n {
				rows = append(rows, row{face, i})
			}
		}
	}
	inParallel(len(rows), func(i int, _ *worker) { d.row(rows[i].face, rows[i].i) })
}
