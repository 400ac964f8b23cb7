package scenery

import (
	"context"
	"math"
	"sort"

	"beamfall/geometry"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The ground as it is seen from an eye. All lines of sight with one slope, measured from the
// ground's own slope to the side, meet the ground at one distance; so its light is worked out in
// rows across the ground, however hilly it is.

// ground is what a window shows of the ground.
type ground struct {
	window  *Window
	cross   float64   // slope of the ground to the left
	first   float64   // slope of the lines of sight of row 0; each further row is one pixel lower
	inverse []float64 // 1/m: by row of pixels, one over the distance ahead of the eye; 0 is the sky
	lux     *field
	perU    float64 // px between the samples of light
	perV    float64
}

// The distance (px) of samples of light on the ground: along a row and from row to row.
const groundAcross, groundDown = 4, 3

// sighted is as far as ground is drawn, m ahead of the eye: beyond, it is narrower than a pixel.
const sighted = 5000

func newGround(ctx context.Context, scene *geometry.Scene, w *Window) (*ground, error) {
	site := scene.Site
	columns, rows := w.size()
	g := &ground{window: w, cross: site.Ground.CrossFall, perU: groundAcross, perV: groundDown}
	widest := max(math.Abs(w.Left(w.Box.X0)), math.Abs(w.Left(w.Box.X1)))
	more := math.Ceil(math.Abs(g.cross)*widest*w.Focal) + 1
	g.first = w.Up(w.Box.Y0 - more)
	rows += int(2 * more)
	hit := func(slope float64) float64 {
		if p, ok := site.Ground.Hit(w.Eye, r3.Vec{X: 1, Z: slope}); ok && p.X-w.Eye.X < sighted {
			return p.X - w.Eye.X
		}
		return math.Inf(1)
	}
	g.inverse = make([]float64, rows+1)
	draw.Rows(len(g.inverse), func(k int) { g.inverse[k] = 1 / hit(g.first-float64(k)/w.Focal) })
	x0 := w.Left(w.Box.X0)
	var err error
	g.lux, err = newField(ctx, columns/groundAcross+2, rows/groundDown+2, func(dst []float64, u, du, v float64) {
		ahead := hit(g.first - v*groundDown/w.Focal)
		if math.IsInf(ahead, 1) || ahead <= 0 {
			return
		}
		x, y := w.Eye.X+ahead, w.Eye.Y+(x0-u*groundAcross/w.Focal)*ahead
		step := -du * groundAcross / w.Focal * ahead
		scene.AddRow(dst, geometry.Row{
			Start: site.At(x, y, 0), Step: r3.Vec{Y: step, Z: g.cross * step}, Normal: site.Ground.Normal(x),
		})
	})
	return g, err
}

// row is the place among the rows, in pixels, of the line of sight through slopes left and up.
func (g *ground) row(left, up float64) float64 {
	return (g.first - (up - g.cross*left)) * g.window.Focal
}

// ahead is how far ahead of the eye the ground is that is seen at a row, +Inf for the sky, and how
// far from there the next row of pixels is on the ground (m).
func (g *ground) ahead(row float64) (distance, next float64) {
	row = max(0, min(float64(len(g.inverse)-1), row))
	k := min(int(row), len(g.inverse)-2)
	a, b := g.inverse[k], g.inverse[k+1]
	inverse := a + (row-float64(k))*(b-a) // even steps of slope are even steps of 1/distance on a plane
	if inverse <= 0 {
		return math.Inf(1), 0
	}
	return 1 / inverse, math.Abs(b-a) / (inverse * inverse)
}

// light is the light (lx) on the ground that is seen at a row and a column (px).
func (g *ground) light(row, x float64) float64 {
	return g.lux.at((x-g.window.Box.X0)/g.perU, row/g.perV)
}

// skyline is the greatest slope of a line of sight, measured as in rows, that the ground nearer
// than a distance stops.
func skyline(site *geometry.Site, eye r3.Vec, ahead float64) float64 {
	knots := site.Ground.Profile
	level := eye.Z - site.Ground.CrossFall*eye.Y
	highest := math.Inf(-1)
	for i := sort.Search(len(knots), func(i int) bool { return knots[i].Ahead > eye.X+Nearest }); i < len(knots); i++ {
		d := knots[i].Ahead - eye.X
		if d >= ahead {
			break
		}
		highest = max(highest, (knots[i].Height-level)/d)
	}
	return highest
}

// What the ground is like, by where it is: two ruts, worn and paler, a crown between them, a verge
// with growth on it, and grain all over. All of it is a factor on the reflectance of the ground
// that changes it by a share, and over the track its mean is 1.

const (
	rutApart   = 1.6  // m from the middle of one rut to that of the other
	rutWide    = 0.24 // m, half of it
	rutPaler   = 0.28
	crownDark  = 0.18
	vergeDark  = 0.22
	vergeGrass = 0.30 // more grain there
)

// grains are the periods (m) and shares of the grain of gravel.
var grains = [...]struct{ period, share float64 }{{0.018, 0.34}, {0.05, 0.34}, {0.16, 0.22}, {0.6, 0.14}, {2.3, 0.12}}

// grit is how much of each grain of the ground pixels of a size show.
type grit struct {
	grain  grain
	layers [len(grains)]layer // those that show at all, and
	shown  int                // how many they are
	edge   float64            // of the uneven edges of ruts and track
	growth float64

	along  float64 // of the last place, m
	wander float64 // of the ruts there, m
}

// layer is one of the grains.
type layer struct {
	share, per float64 // per is one over its period, 1/m
	seed       float64
}

// little is what is too little to be seen.
const little = 0.01

// newGrit is for pixels of a size on the ground (m, along and across).
func newGrit(g grain, deep, wide float64) grit {
	c := grit{grain: g, edge: 0.07 * resolved(0.5, wide),
		growth: vergeGrass * resolved(0.1, wide) * min(1, math.Sqrt(0.3/deep)), along: math.NaN()}
	for i, n := range grains {
		share := n.share * resolved(n.period, wide)
		if deep > n.period { // a pixel has so many of them, one behind the other, and shows their mean
			share *= math.Sqrt(n.period / deep)
		}
		if share > little {
			c.layers[c.shown] = layer{share, 1 / n.period, 37.3 * float64(i)}
			c.shown++
		}
	}
	return c
}

// tone is the factor on the ground's reflectance at a distance along a track of half a width and
// left of its middle (m).
func (c *grit) tone(along, left, half float64) float64 {
	g, rough := c.grain, 0.0
	a, l := 0.8*along+0.6*left, 0.8*left-0.6*along // not square to the track
	for i := range c.layers[:c.shown] {
		n := &c.layers[i]
		rough += n.share * g.at(a*n.per+n.seed, l*n.per)
	}
	edge := 0.0
	if c.edge > little/10 {
		edge = c.edge * g.at(along*2, left*2+11)
	}
	if along != c.along { // in most rows of pixels it is one
		c.along, c.wander = along, 0.12*g.at(along/6, 0.5)
	}
	side := math.Abs(left + c.wander)
	rut := 1 - rise(rutWide-0.1, rutWide+0.1, math.Abs(side-rutApart/2)+edge)
	crown := 1 - rise(rutApart/2-rutWide-0.2, rutApart/2-rutWide+0.05, side)
	verge := rise(half-0.35, half+0.45, side+5*edge)
	if growth := (verge + 0.5*crown) * c.growth; growth > little {
		rough += growth * g.at(along*(1/0.3)+5, left*(1/0.07))
	}
	return max(0.1, (1+rutPaler*rut-crownDark*crown-vergeDark*verge)*(1+rough*(1-0.5*rut)))
}
