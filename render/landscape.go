package render

import (
	"context"
	"math"
	"sort"

	"beamfall/geometry"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// The ground as it is seen from an eye. All lines of sight with one slope, measured from the ground's own slope to the
// side, meet the ground at one distance; so the light is worked out in rows across the ground, one for each row of
// pixels, however hilly it is.

type landscape struct {
	view  *perspective
	cross float64 // slope of the ground to the left
	first float64 // slope of the lines of sight of row 0; each further row is one pixel lower
	rows  []groundRow
	wide  float64 // the light of a row is from wide to the left to wide to the right, as slopes
}

// groundRow is ground at one distance.
type groundRow struct {
	ahead float64   // m from the eye; +Inf: sky
	apart bool      // the next row is not the ground next to it: there is a crest between
	lux   []float64 // evenly from left to right; nil: not worked out
}

// lightStep is the distance (units) of the samples of light along a row.
const lightStep = 2

func newLandscape(ctx context.Context, scene *geometry.Scene, v *perspective, unit float64) (*landscape, error) {
	site := scene.Site
	top, bottom := math.Floor(v.Box.Y0), math.Ceil(v.Box.Y1)
	l := &landscape{view: v, cross: site.Ground.CrossFall, wide: v.left(v.Box.X0 - 1)}
	more := math.Ceil(math.Abs(l.cross) * l.wide * v.Focal)
	l.first = v.up(top - more + 0.5)
	l.rows = make([]groundRow, int(bottom-top+2*more)+1)
	hit := func(slope float64) float64 {
		if p, ok := site.Ground.Hit(v.Eye, r3.Vec{X: 1, Z: slope}); ok {
			return p.X - v.Eye.X
		}
		return math.Inf(1)
	}
	samples := max(2, int(math.Ceil(v.Box.W()/max(1, lightStep*unit))))
	draw.Rows(len(l.rows), func(k int) {
		if ctx.Err() != nil {
			return
		}
		slope := l.first - float64(k)/v.Focal
		r := &l.rows[k]
		r.ahead = hit(slope)
		next, middle := hit(slope-1/v.Focal), hit(slope-0.5/v.Focal)
		// Across a crest one of the halves is a leap and the other nothing.
		a, b := r.ahead-middle, middle-next
		r.apart = math.IsInf(r.ahead, 1) || min(a, b) < 0.02*max(a, b)
		if math.IsInf(r.ahead, 1) || r.ahead <= 0 {
			return
		}
		x := v.Eye.X + r.ahead
		y := v.Eye.Y + l.wide*r.ahead
		step := -2 * l.wide * r.ahead / float64(samples-1)
		r.lux = make([]float64, samples)
		scene.AddRow(r.lux, geometry.Row{
			Start: site.At(x, y, 0), Step: r3.Vec{Y: step, Z: l.cross * step}, Normal: site.Ground.Normal(x),
		})
	})
	return l, ctx.Err()
}

// row is the place among the rows of the line of sight through slopes left and up: the share t of the way from row k to the
// next. ok is false outside of them all.
func (l *landscape) row(left, up float64) (k int, t float64, ok bool) {
	at := (l.first - (up - l.cross*left)) * l.view.Focal
	near := math.Round(at)
	if math.Abs(at-near) < 1e-6 {
		at = near
	}
	if at < 0 || at > float64(len(l.rows)-1) {
		return 0, 0, false
	}
	k = min(int(at), len(l.rows)-2)
	return k, at - float64(k), true
}

// seen is the ground in the direction of slopes left and up: its distance ahead of the eye and its light (lx); the distance
// of the sky is +Inf.
func (l *landscape) seen(left, up float64) (ahead, lux float64) {
	k, t, ok := l.row(left, up)
	if !ok {
		return math.Inf(1), 0
	}
	a, b := &l.rows[k], &l.rows[k+1]
	if a.apart && t > 0 {
		if t < 0.5 {
			b = a
		} else {
			a = b
		}
	}
	ahead = a.ahead
	if t > 0 && a != b { // even steps of slope are even steps of 1/distance on a plane
		ahead = 1 / ((1-t)/a.ahead + t/b.ahead)
	}
	lux = a.at(left, l.wide)
	if t > 0 && a != b {
		lux += t * (b.at(left, l.wide) - lux)
	}
	return ahead, lux
}

func (r *groundRow) at(left, wide float64) float64 {
	if r.lux == nil {
		return 0
	}
	u := (wide - left) / (2 * wide) * float64(len(r.lux)-1)
	i := min(max(int(u), 0), len(r.lux)-2)
	u -= float64(i)
	return r.lux[i] + u*(r.lux[i+1]-r.lux[i])
}

// skyline is the greatest slope of a line of sight, measured as in rows, that the ground nearer than a distance stops.
func skyline(site *geometry.Site, eye r3.Vec, ahead float64) float64 {
	knots := site.Ground.Profile
	level := eye.Z - site.Ground.CrossFall*eye.Y
	highest := math.Inf(-1)
	for i := sort.Search(len(knots), func(i int) bool { return knots[i].Ahead > eye.X+nearest }); i < len(knots); i++ {
		d := knots[i].Ahead - eye.X
		if d >= ahead {
			break
		}
		highest = max(highest, (knots[i].Height-level)/d)
	}
	return highest
}

// brightest is the most light (lx) on the ground in view.
func (l *landscape) brightest() float64 {
	most := 0.0
	for i := range l.rows {
		for _, lux := range l.rows[i].lux {
			most = max(most, lux)
		}
	}
	return most
}
