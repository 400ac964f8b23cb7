package sight

import (
	"math"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The tops of the body boxes shine into the driver's eye. Each is cut into cells, fine along the
// vehicle, where roofs and hoods throw edges of shadow across it.

const (
	cellsAlong  = 256
	cellsAcross = 64
)

// topLight is the top of one box as the eye sees it.
type topLight struct {
	light *tree // luminance of the top
	glow  *tree // of the air before it; nil if there is none
}

// newTop lights the top of box i of the eye.
func (v *View) newTop(i int) topLight {
	s, b := v.Scene, &v.eye.boxes[i]
	lamps := len(s.Lamps)
	t := newTree(cellsAlong, cellsAcross, lamps)
	size := r3.Vec{X: (b.Max.X - b.Min.X) / cellsAlong, Y: (b.Max.Y - b.Min.Y) / cellsAcross}
	middle := func(i, j int) r3.Vec {
		return r3.Vec{X: b.Min.X + (float64(i)+0.5)*size.X, Y: b.Min.Y + (float64(j)+0.5)*size.Y, Z: b.Max.Z}
	}
	up := topNormal(s.Site)
	rows := make([]geometry.Row, cellsAlong)
	for k := range rows {
		start, next := s.Site.Attitude.Driven(middle(k, 0)), s.Site.Attitude.Driven(middle(k, 1))
		rows[k] = geometry.Row{Start: start, Step: r3.Sub(next, start), Normal: up}
	}
	inParallel(cellsAlong, func(k int, _ *worker) {
		for j := range cellsAcross {
			t.levels[0].cells[k*cellsAcross+j] = v.eye.topCell(i, middle(k, j), size)
		}
	})
	const batch = 64
	inParallel(cellsAlong/batch*lamps, func(piece int, w *worker) {
		first, l := piece/lamps*batch, piece%lamps
		lux := w.rows(batch, cellsAcross)
		for _, row := range lux {
			clear(row)
		}
		s.Only(l).AddRows(lux, rows[first:first+batch])
		for k, row := range lux {
			for j, e := range row {
				n := (first+k)*cellsAcross + j
				far := v.toTop(b, t.levels[0].cells[n].toward)
				t.set(n, l, e*v.Around.Body/math.Pi*v.through(far))
			}
		}
	})
	t.gather()
	if v.scattering == 0 {
		return topLight{light: t}
	}
	return topLight{t, v.glowBeforeTop(b, t)}
}

// glowBeforeTop is a tree of the glow of the air before a top, on cells of the tree of its light.
func (v *View) glowBeforeTop(b *geometry.Box, light *tree) *tree {
	const level = 3
	from := &light.levels[level]
	t := newTree(from.nx, from.ny, light.lamps)
	copy(t.levels[0].cells, from.cells)
	inParallel(len(from.cells), func(n int, _ *worker) {
		c := &from.cells[n]
		if c.solid == 0 {
			return
		}
		glow := make([]float64, t.lamps)
		v.addGlow(glow, c.toward, v.toTop(b, c.toward), 1)
		for l, g := range glow {
			t.set(n, l, g)
		}
	})
	t.gather()
	return t
}

// toTop is how far (m) the plane of a top is in a direction that leads down to it.
func (v *View) toTop(b *geometry.Box, dir r3.Vec) float64 {
	return (b.Max.Z - v.eye.parked.Z) / v.eye.amongBoxes(dir).Z
}

// topNormal is what all tops face, as driven.
func topNormal(s *geometry.Site) r3.Vec {
	return s.Attitude.DrivenAxes(geometry.Axes{Up: r3.Vec{Z: 1}}).Up
}

// topCell is the part of box i's top about a point, as parked.
func (e *eye) topCell(i int, at, size r3.Vec) treeCell {
	d := r3.Sub(at, e.parked)
	distance := norm(d)
	toward := r3.Sub(e.site.Attitude.Driven(at), e.at)
	c := treeCell{toward: r3.Scale(1/distance, toward), size: math.Hypot(size.X, size.Y) / 2 / distance}
	if box, t, onTop := e.meets(c.toward); onTop && box == i && t > distance*(1-1e-9) {
		c.solid = size.X * size.Y * -d.Z / (distance * distance * distance)
	}
	return c
}
