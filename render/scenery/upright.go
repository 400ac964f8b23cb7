package scenery

import (
	"math"

	"beamfall/geometry"
	"beamfall/geometry/sight"

	"gonum.org/v1/gonum/spatial/r3"
)

// What stands upright faces back along the track, and is as bright as the facing light at its place
// makes it, point by point.

// upright is a flat shape that stands on the ground.
type upright struct {
	sized
	foot        r3.Vec // the middle of it, on the ground
	facing      r3.Vec
	reflectance float64
	bare        bool // shown wherever it is: a thing, not a plant

	lux     *grid
	glow    *grid // cd/m², of the air before it; nil: none
	through float64
}

// newUpright is a shape at a distance along the track and left of it (m).
func newUpright(site *geometry.Site, along, left, reflectance float64, s sized) upright {
	x, y := site.Track.Place(along, left)
	return upright{sized: s, foot: site.At(x, y, 0), facing: r3.Scale(-1, site.Track.Heading(along)),
		reflectance: reflectance}
}

// grid is a quantity at nx × ny points of a rectangle from -width/2 to width/2 and from 0 to
// height, at the middles of cells.
type grid struct {
	field
	width, height float64
}

func newGrid(nx, ny int, width, height float64) *grid {
	return &grid{field{nx, ny, make([]float64, nx*ny)}, width, height}
}

func (g *grid) at(u, v float64) float64 {
	return g.field.at((u/g.width+0.5)*float64(g.nx)-0.5, v/g.height*float64(g.ny)-0.5)
}

// right is the horizontal direction that an upright's u is along.
func (u *upright) right() r3.Vec { return r3.Vec{X: -u.facing.Y, Y: u.facing.X} }

// light works out the light on it.
func (u *upright) light(v *sight.View, eye r3.Vec) {
	nx, ny := 3, 12
	if !u.bare {
		nx, ny = max(3, min(6, int(u.width/0.7))), max(4, min(12, int(u.height/0.25)))
	}
	site := v.Scene.Site
	u.lux = newGrid(nx, ny, u.width, u.height)
	right := u.right()
	step := r3.Scale(u.width/float64(nx), right)
	step.Z = site.Ground.CrossFall * step.Y
	rows, lux := make([]geometry.Row, ny), make([][]float64, ny)
	for j := range ny {
		up := (float64(j) + 0.5) / float64(ny) * u.height
		start := r3.Add(u.foot, r3.Scale(-(float64(nx)-1)/2, step))
		start.Z += up
		rows[j], lux[j] = geometry.Row{Start: start, Step: step, Normal: u.facing}, u.lux.values[j*nx:(j+1)*nx]
	}
	v.Scene.AddRows(lux, rows)
	d := r3.Norm(r3.Sub(r3.Add(u.foot, r3.Vec{Z: u.height / 2}), eye))
	u.through = transmission(site, d)
	if scatters(v) {
		u.glow = newGrid(2, 2, u.width, u.height)
		for k := range u.glow.values {
			at := r3.Add(u.foot, r3.Scale((float64(k%2)-0.5)/2*u.width, right))
			at.Z += (0.25 + 0.5*float64(k/2)) * u.height
			d := r3.Sub(at, eye)
			u.glow.values[k] = glow(v, eye, r3.Unit(d), r3.Norm(d))
		}
	}
}

// placed is where a window shows an upright.
type placed struct {
	*upright
	scale     float64 // px to a metre
	middle    float64 // px, the column of its middle
	foot, top float64 // px, of all of it
	shown     float64 // px, the lowest row that no crest hides
	x0, x1    float64
}

func (u *upright) in(w *Window, site *geometry.Site) (p placed, ok bool) {
	ahead := u.foot.X - w.Eye.X
	if ahead < 1 {
		return p, false
	}
	px, _ := w.Pixel(u.foot)
	p = placed{upright: u, scale: w.Focal / ahead, middle: px.X, foot: px.Y}
	p.top = p.foot - u.height*p.scale
	p.x0, p.x1 = p.middle-u.width/2*p.scale, p.middle+u.width/2*p.scale
	hidden := skyline(site, w.Eye, ahead) + site.Ground.CrossFall*w.Left(px.X)
	p.shown = min(p.foot, w.Centre.Y-hidden*w.Focal)
	in := p.x1 > w.Box.X0 && p.x0 < w.Box.X1 && p.shown > p.top && p.shown > w.Box.Y0 && p.top < w.Box.Y1
	return p, in
}

// paint adds it to a strip of pixels, by as much of each as it has and nothing before it hides. Far
// from its outline pixels are taken several at a time: they have one light, and leaves two pixels
// wide.
func (p *placed) paint(s *strip) {
	const most = 6
	high := over(s.y-0.5, s.y+0.5, p.top, p.shown)
	if high == 0 {
		return
	}
	v, pixel, uneven := (p.foot-s.y)/p.scale, 1/p.scale, p.uneven()*p.scale
	perLux := p.through * p.reflectance / math.Pi
	from, to := max(s.x0, int(math.Floor(p.x0))), min(s.x0+len(s.luminance), int(math.Ceil(p.x1)))
	for x := from; x < to; {
		if s.free[x-s.x0] == 0 {
			x++
			continue
		}
		u := (float64(x) + 0.5 - p.middle) * pixel
		d := p.outside(u, v, pixel) * p.scale
		end := min(to, x+max(1, min(most, int(math.Abs(d)-uneven))))
		if d >= 0.5 {
			x = end
			continue
		}
		cover, light, air, tone := high*min(1, 0.5-d), perLux*p.lux.at(u, v), 0.0, 0.0
		if p.glow != nil {
			air = p.glow.at(u, v)
		}
		for k := 0; x < end; k++ {
			if s.free[x-s.x0] > 0 {
				if k%2 == 0 || tone == 0 {
					tone = p.tone(u+float64(k)*pixel, v, pixel)
				}
				s.add(x-s.x0, cover, light*tone+air)
			}
			x++
		}
	}
}

// over is the length that the stretches a0–a1 and b0–b1 have in common.
func over(a0, a1, b0, b1 float64) float64 { return max(0, min(a1, b1)-max(a0, b0)) }
