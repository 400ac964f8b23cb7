package aim

import (
	"math"

	"beamfall/geometry"
	"beamfall/geometry/sight"

	"gonum.org/v1/gonum/spatial/r3"
)

// Target is what is wanted on a stretch of the track: light, or that a thing is seen there.
type Target struct {
	Name      string
	From, To  float64 // m along the track from the bumper
	HalfWidth float64 // m to either side of the centreline
	Weight    float64 // of its fulfilment beside that of the others, above 0

	See *sight.Thing // what is to be seen; nil: light is wanted

	Lux    float64 // wanted, lx, above 0
	Facing bool    // on vertical planes that face the vehicle, Up over the ground; else on the ground's surface
	Up     float64 // m
}

// Limit is light that must not be exceeded on the vertical plane that faces the vehicle, at a point
// over the ground.
type Limit struct {
	Name string
	At   r3.Vec  // ahead, to the left, over the ground (m)
	Lux  float64 // allowed, lx, above 0
	Lit  []int   // indexes of the lamps of the problem that it counts; nil: those that are lit for the targets
}

// lux is the illuminance (lx) at the limit from some of the lamps of a scene.
func (l *Limit) lux(s *geometry.Scene, lamps []int) float64 {
	at, facing := s.Site.At(l.At.X, l.At.Y, l.At.Z), s.Site.Facing(l.At.X, l.At.Y)
	sum := 0.0
	for _, i := range lamps {
		sum += s.LuxOf(i, at, facing)
	}
	return sum
}

// spacing is the greatest distance (m) between the sample points of a target.
const spacing = 1

// evenly is evenly spaced numbers from a to b, at most spacing apart, both ends among them.
func evenly(a, b float64) []float64 {
	n := int(math.Ceil((b-a)/spacing - 1e-9))
	if n <= 0 {
		return []float64{(a + b) / 2}
	}
	out := make([]float64, n+1)
	for i := range out {
		out[i] = a + (b-a)*float64(i)/float64(n)
	}
	return out
}

// points is the number of sample points of a target.
func (t *Target) points() int {
	return len(evenly(t.From, t.To)) * len(evenly(-t.HalfWidth, t.HalfWidth))
}

// places are the sample points of a target for a thing to be seen at, a row across the track for
// each distance along it.
func (t *Target) places(view *sight.View) [][]sight.Place {
	var rows [][]sight.Place
	for _, s := range evenly(t.From, t.To) {
		var row []sight.Place
		for _, left := range evenly(-t.HalfWidth, t.HalfWidth) {
			row = append(row, view.OnTrack(s, left))
		}
		rows = append(rows, row)
	}
	return rows
}

// row is some of the sample points of a target for light, n of them.
type row struct {
	geometry.Row
	n int
}

// rows are the sample points of a target for light, across the track at each distance along it.
func (t *Target) rows(site *geometry.Site) (rows []row) {
	aside := evenly(-t.HalfWidth, t.HalfWidth)
	for _, s := range evenly(t.From, t.To) {
		places := make([]r3.Vec, len(aside))
		normals := make([]r3.Vec, len(aside))
		for i, left := range aside {
			x, y := site.Track.Place(s, left)
			if t.Facing {
				places[i], normals[i] = site.At(x, y, t.Up), site.Facing(x, y)
				if s >= 0 {
					normals[i] = r3.Scale(-1, site.Track.Heading(s))
				}
			} else {
				places[i], normals[i] = site.At(x, y, 0), site.Ground.Normal(x)
			}
		}
		for i := 0; i < len(places); {
			n := 1
			for i+n < len(places) && normals[i+n] == normals[i] {
				n++
			}
			r := row{geometry.Row{Start: places[i], Step: r3.Vec{Y: 1}, Normal: normals[i]}, n}
			if n > 1 {
				r.Step = r3.Scale(1/float64(n-1), r3.Sub(places[i+n-1], places[i]))
			}
			rows = append(rows, r)
			i += n
		}
	}
	return rows
}

// fulfilments of a target by some lamps of a scene each, from 0 to 1, are the mean over its sample
// points, at most 1 m apart with ends and edges among them, of min(1, E / wanted), or of min(1,
// visibility level / that which counts as seen): 0 for a thing that is hidden.
func (t *Target) fulfilments(s *geometry.Scene, view *sight.View, lit [][]int) []float64 {
	sums := make([]float64, len(lit))
	if t.See != nil {
		for _, p := range view.Over(*t.See, t.places(view)) {
			for w, lamps := range lit {
				if !p.Hidden {
					sums[w] += min(1, p.See(lamps).Level/view.Observer.Level)
				}
			}
		}
	} else {
		t.addLit(sums, s, lit)
	}
	for w := range sums {
		sums[w] /= float64(t.points())
	}
	return sums
}

// addLit adds min(1, E / wanted) at each sample point to sums.
func (t *Target) addLit(sums []float64, s *geometry.Scene, lit [][]int) {
	lux := make([]float64, len(s.Lamps))
	for _, r := range t.rows(s.Site) {
		for i := range r.n {
			for l := range lux {
				lux[l] = s.LuxOf(l, r3.Add(r.Start, r3.Scale(float64(i), r.Step)), r.Normal)
			}
			for w, lamps := range lit {
				sum := 0.0
				for _, l := range lamps {
					sum += lux[l]
				}
				sums[w] += min(1, sum/t.Lux)
			}
		}
	}
}
