package sight

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Place is where on the ground a thing is, m.
type Place struct {
	X, Y   float64
	Facing r3.Vec // the horizontal unit vector that the thing faces along; zero: as geometry.Site.Facing has it there
}

// OnTrack is the place at a distance s along the track, and left of its centreline (m).
func (v *View) OnTrack(s, left float64) Place {
	track := &v.Scene.Site.Track
	x, y := track.Place(s, left)
	return Place{x, y, r3.Scale(-1, track.Heading(s))}
}

// Light is what light does to a thing in its place. It adds up, lamp by lamp.
type Light struct {
	Lux        float64 // on the thing: the mean over its height; on the ground for one that lies
	Thing      float64 // luminance of the thing at the eye, cd/m²
	Background float64 // luminance of what is seen beside it, cd/m²
	Veil       Veil    // cd/m²
}

// Plus is the two lights together.
func (l Light) Plus(m Light) Light {
	l.add(&m)
	return l
}

func (l *Light) add(m *Light) {
	l.Lux += m.Lux
	l.Thing += m.Thing
	l.Background += m.Background
	l.Veil = l.Veil.Plus(m.Veil)
}

// Parts is a thing in its place, and what each lamp does to it.
type Parts struct {
	Thing    Thing
	Place    Place
	Distance float64 // from the eye to the thing's centre, m
	Arcmin   float64 // its size, minutes of arc, at most 60
	Hidden   bool    // ground or body stand before its centre
	Dark     Light   // without any lamp: the sky
	Lamps    []Light // by index of the scene's lamps

	observer Observer
}

// Sum is the light of the lamps with these indexes, and of the sky.
func (p *Parts) Sum(lit []int) Light {
	sum := p.Dark
	for _, i := range lit {
		sum.add(&p.Lamps[i])
	}
	return sum
}

// Seen is how well a thing is seen.
type Seen struct {
	Light
	Threshold float64 // least difference in luminance that is found, cd/m²
	Level     float64 // the difference that there is, in thresholds
	Seen      bool
}

// See is how well the observer sees the thing by the light of the lamps with these indexes.
func (p *Parts) See(lit []int) Seen { return p.By(p.Sum(lit)) }

// By is how well the observer sees the thing by a light, which may be a sum of the parts' that See
// does not know of.
func (p *Parts) By(l Light) Seen {
	s := Seen{Light: l}
	s.Threshold = p.observer.Threshold(l.Background+l.Veil.Sum(), p.Arcmin, l.Thing < l.Background)
	s.Level = math.Abs(l.Thing-l.Background) / s.Threshold
	s.Seen = s.Level >= p.observer.Level && !p.Hidden
	return s
}

// Parts works out a thing in a place.
func (v *View) Parts(t Thing, at Place) Parts {
	p, line := v.plain(t, v.faced(at), v.every)
	v.prepare([]r3.Vec{line})
	p.add(v.haze(&p, line))
	return p
}

// faced is a place with the way that the thing faces.
func (v *View) faced(at Place) Place {
	if at.Facing == (r3.Vec{}) {
		at.Facing = v.Scene.Site.Facing(at.X, at.Y)
	}
	return at
}

// plain is all of Parts by the lamps with these indexes but the veil and the glow of the air, and
// the line of sight to the thing.
func (v *View) plain(t Thing, at Place, lit []int) (Parts, r3.Vec) {
	if t.Lies {
		return v.lying(t, at, lit)
	}
	return v.upright(t, at, lit)
}

func (v *View) parts(t Thing, at Place, centre r3.Vec, area float64) Parts {
	d := norm(r3.Sub(centre, v.eye.at))
	return Parts{
		Thing: t, Place: at, Distance: d, Arcmin: min(largest, Arcminutes(area, d)), Hidden: v.eye.obstructed(centre),
		Lamps: make([]Light, len(v.Scene.Lamps)), observer: v.Observer,
	}
}

// middle is the middle of a thing in a place.
func (v *View) middle(t Thing, at Place) r3.Vec {
	height := t.Height / 2
	if t.Lies {
		height = 0
	}
	return v.Scene.Site.At(at.X, at.Y, height)
}

func (v *View) upright(t Thing, at Place, lit []int) (Parts, r3.Vec) {
	site, centre := v.Scene.Site, v.middle(t, at)
	p := v.parts(t, at, centre, t.Width*t.Height)
	back := v.through(p.Distance) * t.Reflectance / math.Pi
	for _, i := range lit {
		l := &p.Lamps[i]
		for _, share := range [3]float64{1. / 6, 3. / 6, 5. / 6} {
			l.Lux += v.Scene.LuxOf(i, site.At(at.X, at.Y, share*t.Height), at.Facing) / 3
		}
		l.Thing = back * l.Lux
	}
	v.background(&p, lit)
	return p, v.toward(centre)
}

func (v *View) lying(t Thing, at Place, lit []int) (Parts, r3.Vec) {
	centre, normal := v.middle(t, at), v.Scene.Site.Ground.Normal(at.X)
	line := v.toward(centre)
	p := v.parts(t, at, centre, t.Width*t.Height*math.Abs(r3.Dot(line, normal)))
	back := v.through(p.Distance) * t.Reflectance / math.Pi
	for _, i := range lit {
		l := &p.Lamps[i]
		l.Lux = v.Scene.LuxOf(i, centre, normal)
		l.Thing = back * l.Lux
	}
	v.background(&p, lit)
	return p, line
}

// toward is the direction from the eye to a point.
func (v *View) toward(p r3.Vec) r3.Vec { return unit(r3.Sub(p, v.eye.at)) }

// backdrop are the two points that the background of a thing lies at, or past which it lies: the
// middles of foot and top of one that stands, and a little before and behind one that lies.
func (v *View) backdrop(t Thing, at Place) [2]r3.Vec {
	site := v.Scene.Site
	if !t.Lies {
		return [2]r3.Vec{site.At(at.X, at.Y, 0), site.At(at.X, at.Y, t.Height)}
	}
	const beside = 0.1 // m from its edges
	d := t.Height/2 + beside
	return [2]r3.Vec{
		site.At(at.X+d*at.Facing.X, at.Y+d*at.Facing.Y, 0), site.At(at.X-d*at.Facing.X, at.Y-d*at.Facing.Y, 0),
	}
}

// background adds the mean of what is seen along the two lines of sight beside a thing, but for the
// glow of the air.
func (v *View) background(p *Parts, lit []int) {
	for _, to := range v.backdrop(p.Thing, p.Place) {
		seen := v.eye.looks(v.toward(to))
		var normal r3.Vec
		share := v.through(seen.distance) / math.Pi / 2
		switch seen.surface {
		case sky:
			p.Dark.Background += v.clearSky / 2
			continue
		case ground:
			const hair = 1e-6 // m toward the eye: at a bend of the ground, on the piece that it sees
			normal = v.Scene.Site.Ground.Normal(seen.at.X - math.Copysign(hair, seen.at.X-v.eye.at.X))
			share *= v.Around.Ground
		case top:
			normal = topNormal(v.Scene.Site)
			share *= v.Around.Body
		case face:
			continue
		}
		for _, i := range lit {
			p.Lamps[i].Background += share * v.Scene.LuxOf(i, seen.at, normal)
		}
	}
}

// haze is what lies over a thing and its background: the veil, and the glow of the air before
// either.
type haze struct {
	dazzle
	// Glow before the thing and before its background, cd/m² by lamp; nil in air without particles.
	before, behind []float64
}

func (v *View) newHaze() haze {
	lamps := len(v.Scene.Lamps)
	h := haze{dazzle: newDazzle(lamps)}
	if v.scattering > 0 {
		h.before, h.behind = make([]float64, lamps), make([]float64, lamps)
	}
	return h
}

// haze works it out for a thing seen along a line of sight.
func (v *View) haze(p *Parts, line r3.Vec) haze {
	h := v.newHaze()
	h.dazzle = v.dazzle(line, usualFineness)
	v.glowAbout(&h, p, line)
	return h
}

// glowAbout works out the glow before a thing and its background.
func (v *View) glowAbout(h *haze, p *Parts, line r3.Vec) {
	if v.scattering == 0 {
		return
	}
	v.addGlow(h.before, line, p.Distance, 1)
	for _, to := range v.backdrop(p.Thing, p.Place) {
		line := v.toward(to)
		if seen := v.eye.looks(line); seen.surface != face {
			v.addGlow(h.behind, line, seen.distance, 0.5)
		}
	}
}

// addTimes adds w times another haze of the same lamps.
func (h *haze) addTimes(w float64, o *haze) {
	h.dazzle.addTimes(w, &o.dazzle)
	for l := range o.before {
		h.before[l] += w * o.before[l]
		h.behind[l] += w * o.behind[l]
	}
}

// add puts the haze over the parts. Next to edges of light, the cubics that interpolate haze dip
// below 0; there is none then.
func (p *Parts) add(h haze) {
	p.Dark.Veil.Sky = max(0, h.sky)
	for i := range p.Lamps {
		l := &p.Lamps[i]
		l.Veil = Veil{Ground: max(0, h.ground[i]), Body: max(0, h.body[i]), Air: max(0, h.air[i])}
		if h.before != nil {
			l.Thing += max(0, h.before[i])
			l.Background += max(0, h.behind[i])
		}
	}
}
