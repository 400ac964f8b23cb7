package sight

import (
	"math"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The tops of the body boxes shine into the driver's eye. Each is cut once into cells, fine along the vehicle, where roofs
// and hoods throw edges of shadow across it; and cells are gathered four by four, so that a line of sight far off looks at
// few of them: a tree as for bodies that attract each other from afar.

const (
	cellsAlong  = 256
	cellsAcross = 64
	topLevels   = 7 // halvings, down to 4 × 1 cells
)

// topLight is the top of one box as the eye sees it.
type topLight struct {
	lamps  int
	levels [topLevels][]topCell // the first is the finest; cell (i, j) of n across is i·n + j
	lux    [topLevels][]float64 // of each cell, by lamp: lux times the solid angle of what is seen of it, times transmission
	glow   [topLevels][]float64 // of each cell, by lamp: glow of the air before it, times that solid angle; nil if there is none
}

// glowLevel is that of the cells by which the glow before a top is worked out.
const glowLevel = 3

// topCell is a part of a top.
type topCell struct {
	toward r3.Vec  // the direction to the middle of what is seen of it
	solid  float64 // solid angle of that, sr; 0 if nothing is seen
	size   float64 // greatest angle from the middle to a corner, rad, or a little more
}

// newTop lights the top of box i of the eye.
func (v *View) newTop(i int) topLight {
	s, b := v.Scene, &v.eye.boxes[i]
	lamps := len(s.Lamps)
	t := topLight{lamps: lamps}
	for k := range t.levels {
		n := cellsAlong * cellsAcross >> (2 * k)
		t.levels[k], t.lux[k] = make([]topCell, n), make([]float64, n*lamps)
		if v.scattering > 0 {
			t.glow[k] = make([]float64, n*lamps)
		}
	}
	size := r3.Vec{X: (b.Max.X - b.Min.X) / cellsAlong, Y: (b.Max.Y - b.Min.Y) / cellsAcross}
	middle := func(i, j int) r3.Vec {
		return r3.Vec{X: b.Min.X + (float64(i)+0.5)*size.X, Y: b.Min.Y + (float64(j)+0.5)*size.Y, Z: b.Max.Z}
	}
	up := topNormal(s.Site)
	const batch = 16
	inParallel(cellsAlong/batch, func(first int, w *worker) {
		rows := make([]geometry.Row, batch)
		for k := range rows {
			start, next := s.Site.Attitude.Driven(middle(first*batch+k, 0)), s.Site.Attitude.Driven(middle(first*batch+k, 1))
			rows[k] = geometry.Row{Start: start, Step: r3.Sub(next, start), Normal: up}
		}
		lux := w.rows(batch, cellsAcross)
		cells := t.levels[0][first*batch*cellsAcross:]
		for k := range batch {
			for j := range cellsAcross {
				cells[k*cellsAcross+j] = v.eye.cell(i, middle(first*batch+k, j), size)
			}
		}
		for l := range lamps {
			for _, row := range lux {
				clear(row)
			}
			w.lamp(s, l).AddRows(lux, rows)
			for k, row := range lux {
				for j, e := range row {
					n := (first*batch+k)*cellsAcross + j
					d := (b.Max.Z - v.eye.parked.Z) / v.eye.amongBoxes(t.levels[0][n].toward).Z
					t.lux[0][n*lamps+l] = e * t.levels[0][n].solid * v.through(d)
				}
			}
		}
	})
	t.gather()
	if v.scattering > 0 {
		t.addGlow(v, b.Max.Z)
	}
	return t
}

// addGlow works out the glow of the air before the top, which is at a height, as parked.
func (t *topLight) addGlow(v *View, height float64) {
	inParallel(len(t.levels[glowLevel]), func(n int, _ *worker) {
		c := &t.levels[glowLevel][n]
		if c.solid == 0 {
			return
		}
		glow := make([]float64, t.lamps)
		v.addGlow(glow, c.toward, (height-v.eye.parked.Z)/v.eye.amongBoxes(c.toward).Z, 1)
		t.spread(glowLevel, n, glow)
	})
	for k := glowLevel + 1; k < topLevels; k++ {
		for n := range t.levels[k] {
			for _, m := range parts(k, n) {
				for l := range t.lamps {
					t.glow[k][n*t.lamps+l] += t.glow[k-1][m*t.lamps+l]
				}
			}
		}
	}
}

// spread gives a cell and all that it was gathered from the same glow.
func (t *topLight) spread(level, n int, glow []float64) {
	for l, g := range glow {
		t.glow[level][n*t.lamps+l] = g * t.levels[level][n].solid
	}
	if level > 0 {
		for _, m := range parts(level, n) {
			t.spread(level-1, m, glow)
		}
	}
}

// parts are the four cells of the level below that a cell is gathered from.
func parts(level, n int) [4]int {
	across := cellsAcross >> level
	i, j := n/across, n%across
	first := 4*i*across + 2*j
	return [4]int{first, first + 1, first + 2*across, first + 2*across + 1}
}

// topNormal is what all tops face, as driven.
func topNormal(s *geometry.Site) r3.Vec {
	return s.Attitude.DrivenAxes(geometry.Axes{Up: r3.Vec{Z: 1}}).Up
}

// cell is the part of box i's top about a point, as parked.
func (e *eye) cell(i int, at, size r3.Vec) topCell {
	d := r3.Sub(at, e.parked)
	distance := r3.Norm(d)
	toward := r3.Sub(e.site.Attitude.Driven(at), e.at)
	c := topCell{toward: r3.Scale(1/distance, toward), size: math.Hypot(size.X, size.Y) / 2 / distance}
	if box, t, onTop := e.meets(c.toward); onTop && box == i && t > distance*(1-1e-9) {
		c.solid = size.X * size.Y * -d.Z / (distance * distance * distance)
	}
	return c
}

// gather fills the coarser levels from the finest.
func (t *topLight) gather() {
	for k := 1; k < topLevels; k++ {
		for n := range t.levels[k] {
			c := &t.levels[k][n]
			var middle r3.Vec
			parts := parts(k, n)
			for _, m := range parts {
				p := &t.levels[k-1][m]
				c.solid += p.solid
				middle = r3.Add(middle, r3.Scale(p.solid, p.toward))
				for l := range t.lamps {
					t.lux[k][n*t.lamps+l] += t.lux[k-1][m*t.lamps+l]
				}
			}
			if c.solid == 0 {
				continue
			}
			c.toward = r3.Unit(middle)
			for _, m := range parts {
				if p := &t.levels[k-1][m]; p.solid > 0 {
					c.size = max(c.size, r3.Norm(r3.Sub(p.toward, c.toward))+p.size)
				}
			}
		}
	}
}

// dazzle adds the veil of the top over a line of sight, that of its light before reflectance. fine is how small a cell has to
// be against its angle off the line of sight.
func (t *topLight) dazzle(d *dazzle, line r3.Vec, age, fine float64) {
	const last = topLevels - 1
	for n := range t.levels[last] {
		t.dazzleCell(d, last, n, line, age, fine)
	}
}

func (t *topLight) dazzleCell(d *dazzle, level, n int, line r3.Vec, age, fine float64) {
	c := &t.levels[level][n]
	if c.solid == 0 {
		return
	}
	cos := r3.Dot(c.toward, line)
	angle := math.Acos(min(1, cos))
	if angle+c.size < veilFrom || angle-c.size > veilTo {
		return
	}
	if level > 0 && (c.size > fine*angle || angle-c.size < veilFrom || angle+c.size > veilTo) {
		for _, m := range parts(level, n) {
			t.dazzleCell(d, level-1, m, line, age, fine)
		}
		return
	}
	if angle < veilFrom || angle > veilTo {
		return
	}
	weight := cos * VeilPerLux(angle, age)
	for l, e := range t.lux[level][n*t.lamps : (n+1)*t.lamps] {
		d.body[l] += weight * e
	}
	if t.glow[level] != nil {
		for l, g := range t.glow[level][n*t.lamps : (n+1)*t.lamps] {
			d.air[l] += weight * g
		}
	}
}
