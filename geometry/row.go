package geometry

import "gonum.org/v1/gonum/spatial/r3"

// The light field at speed. Light that changes slowly is worked out at a few points and
// interpolated, along rows and across them: see tile.add. What is not so simple (edges of shadows,
// hard edges seen by a bar, points close to a bar) is asked of Scene.Lux point by point, and so is
// exact.

// Row is n points Start + i·Step, each with a plane that faces along the unit vector Normal. On a
// ground profile, rows along y on the ground or at one height over it are the fast ones, and
// upright ones.
type Row struct {
	Start, Step, Normal r3.Vec
}

// AddRow adds the illuminance (lx) at the points of a row to dst, one for each. It agrees with Lux
// to 0.3 %, or a millionth of what the lamps would give if their axes pointed at the point, where
// that is more; with bars of measured beams, to 1 % or a hundred-thousandth. Within a millimetre of
// a lens, or 2e-6 rad of its plane or axis, it may be off by more.
func (s *Scene) AddRow(dst []float64, row Row) {
	s.addRow(dst, row, new(tile))
}

// AddRows is AddRow for several rows at once, with one piece of memory for all: rows[i] is added to
// dst[i]. Rows of as many points in even steps from one to the next are interpolated between too.
func (s *Scene) AddRows(dst [][]float64, rows []Row) {
	t := new(tile)
	var sums []float64
	for i := 0; i < len(rows); {
		n, points := s.even(dst[i:], rows[i:]), len(dst[i])
		if n == 1 {
			s.addRow(dst[i], rows[i], t)
			i++
			continue
		}
		sums = append(sums[:0], make([]float64, n*points)...)
		s.addLattice(sums, points, lattice{
			start: rows[i].Start, down: r3.Sub(rows[i+1].Start, rows[i].Start), step: rows[i].Step,
			normal: rows[i].Normal,
		}, n, points, t)
		for k, row := range dst[i : i+n] {
			for j, lux := range sums[k*points:][:points] {
				row[j] += lux
			}
		}
		i += n
	}
}

// even is how many rows from the first on are a lattice over ground of one piece; 1 where two are
// not, or few are.
func (s *Scene) even(dst [][]float64, rows []Row) int {
	const few, rounding = 4, 1e-9 // rows; m
	if len(s.site().Ground.Profile) > 0 || len(rows) < few {
		return 1
	}
	first, down, n := rows[0], r3.Sub(rows[1].Start, rows[0].Start), 1
	for ; n < len(rows); n++ {
		r := &rows[n]
		off := r3.Sub(r.Start, r3.Add(first.Start, r3.Scale(float64(n), down)))
		if len(dst[n]) != len(dst[0]) || r.Step != first.Step || r.Normal != first.Normal ||
			r3.Norm2(off) > rounding*rounding {
			break
		}
	}
	if n < few {
		return 1
	}
	return n
}

func (s *Scene) addRow(dst []float64, row Row, t *tile) {
	l := lattice{start: row.Start, step: row.Step, normal: row.Normal}
	onProfile := len(s.site().Ground.Profile) > 0
	even := row.Step.X == 0 && row.Step.Z == s.site().Ground.CrossFall*row.Step.Y
	t.upright = onProfile && !even && row.Step.X == 0 && row.Step.Y == 0
	if onProfile && !even && !t.upright {
		for i := range dst {
			dst[i] += s.Lux(l.at(0, i), row.Normal)
		}
		return
	}
	s.addLattice(dst, len(dst), l, 1, len(dst), t)
}

// addPlane adds light to ni rows of nj points each, all in dst, anywhere.
func (s *Scene) addPlane(dst []float64, l lattice, ni, nj int) {
	t := new(tile)
	if len(s.site().Ground.Profile) == 0 {
		s.addLattice(dst, nj, l, ni, nj, t)
		return
	}
	for i := range ni {
		s.addRow(dst[i*nj:][:nj], Row{l.at(i, 0), l.step, l.normal}, t)
	}
}

// lattice is points start + i·down + j·step, j counting along rows and i the rows, each with a
// plane.
type lattice struct {
	start, down, step r3.Vec
	normal            r3.Vec // of all planes,
	bend              bool   // or of none: each faces the vehicle along a bend of the track
}

func (l *lattice) at(i, j int) r3.Vec {
	return r3.Add(l.start, r3.Add(r3.Scale(float64(i), l.down), r3.Scale(float64(j), l.step)))
}

// addLattice adds light to ni rows of nj points each, row i in dst from i·rowLength on. On a ground
// profile all of the points are over one straight piece of it, and the rows along y at one height
// over the ground.
func (s *Scene) addLattice(dst []float64, rowLength int, l lattice, ni, nj int, t *tile) {
	rows := tileRows
	if ni == 1 {
		rows = 1
	}
	points := tilePoints / rows
	for i := 0; i < ni; i += rows {
		for j := 0; j < nj; j += points {
			part := l
			part.start = l.at(i, j)
			t.open(s.site(), part, min(rows, ni-i), min(points, nj-j), dst[i*rowLength+j:], rowLength)
			for k := range s.Lamps {
				bars := s.bars(k)
				for b := range bars {
					t.addBar(&bars[b])
				}
			}
			t.close()
		}
	}
}
