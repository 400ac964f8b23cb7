package scenery

import (
	"context"
	"math"

	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The air takes light away and, with particles in it, glows; and the eye lays a veil over all it
// sees. Both change little from one line of sight to the next, so they are worked out for a few,
// and follow in between.

// extinction of the air, 1/m.
func extinction(site *geometry.Site) float64 {
	if site.Visibility == 0 {
		return 0
	}
	return math.Log(20) / site.Visibility
}

// transmission is the share of light that the air lets through.
func transmission(site *geometry.Site, distance float64) float64 {
	if site.Visibility == 0 {
		return 1
	}
	return math.Exp(-extinction(site) * distance)
}

// scatters tells whether the air throws light back.
func scatters(v *sight.View) bool { return v.Scene.Site.Visibility > 0 && !v.Around.Particles.None() }

// glow is the luminance (cd/m²) of the air in a direction up to a distance.
func glow(v *sight.View, eye, direction r3.Vec, distance float64) float64 {
	sum := 0.0
	for i := range v.Scene.Lamps {
		sum += v.Scene.Airlight(i, eye, direction, distance, v.Around.Particles.Phase)
	}
	return sum * v.Around.Particles.Albedo * extinction(v.Scene.Site)
}

// sheet is a luminance that changes little over a window: logarithms of it on lines across and
// down.
type sheet struct {
	window     *Window
	xs, ys     []float64 // px of the lines
	logarithms []float64 // row by row
	across     []curve   // for every so many columns of the window
}

const least = 1e-9 // cd/m²

// newSheet works out a luminance along the lines of sight through columns xs and rows ys.
func newSheet(ctx context.Context, w *Window, xs, ys []float64, at func(direction r3.Vec) float64) (*sheet, error) {
	s := &sheet{window: w, xs: xs, ys: ys, logarithms: make([]float64, len(xs)*len(ys))}
	for x := w.Box.X0 + 0.5; x < w.Box.X1+every; x += every {
		s.across = append(s.across, newCurve(xs, x))
	}
	draw.Rows(len(s.logarithms), func(k int) {
		if ctx.Err() == nil {
			s.logarithms[k] = math.Log(max(least, at(w.direction(xs[k%len(xs)], ys[k/len(xs)]))))
		}
	})
	return s, ctx.Err()
}

// lines are places from one to another, at least three, and apart by at most a step.
func lines(from, to, step float64) []float64 {
	n := max(2, int(math.Ceil((to-from)/step)))
	out := make([]float64, n+1)
	for i := range out {
		out[i] = from + (to-from)*float64(i)/float64(n)
	}
	return out
}

// every is how many pixels apart a sheet is looked at; between them it is straight.
const every = 8

// along puts the sheet along a row of pixels into dst.
func (s *sheet) along(dst []float32, y float64) {
	down := newCurve(s.ys, y)
	row := make([]float64, len(s.xs))
	for i := range row {
		for k, w := range down.weight[:down.n] {
			row[i] += w * s.logarithms[(down.first+k)*len(s.xs)+i]
		}
	}
	value := func(c *curve) float32 {
		sum := 0.0
		for k, w := range c.weight[:c.n] {
			sum += w * row[c.first+k]
		}
		return float32(math.Exp(sum))
	}
	last := value(&s.across[0])
	for i := 0; i < len(dst); i += every {
		next := value(&s.across[i/every+1])
		for k := i; k < min(i+every, len(dst)); k++ {
			dst[k] = last + (next-last)*float32(k-i)/every
		}
		last = next
	}
}

// curve is the weights of up to four points for a place between the middle ones: Lagrange's
// polynomial.
type curve struct {
	first  int
	weight [4]float64
	n      int
}

func newCurve(at []float64, x float64) curve {
	x = max(at[0], min(at[len(at)-1], x))
	k := 0
	for k < len(at)-2 && at[k+1] <= x {
		k++
	}
	c := curve{n: min(4, len(at))}
	c.first = max(0, min(k-1, len(at)-c.n))
	for i := range c.n {
		w := 1.0
		for j := range c.n {
			if j != i {
				w *= (x - at[c.first+j]) / (at[c.first+i] - at[c.first+j])
			}
		}
		c.weight[i] = w
	}
	return c
}
