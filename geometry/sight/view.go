// Package sight is about what a driver sees by the light of the lamps.
//
// Two calls do most of it:
//
//	view := sight.Look(scene, eye, sight.Usual, sight.AtNight(0.2))
//	person := view.Along(sight.Things()[0]).Sight(lit)
//
// The first puts a driver's eye into a scene; the second asks how far along the track a thing is
// seen by some of its lamps.
//
// Light adds up, so whatever is worked out is kept lamp by lamp: a [Parts] is what every lamp does
// to one thing in one place, and sums over any of the lamps cost next to nothing. What is seen
// follows from a sum, since the threshold of an eye is not linear in light. Scenes that share lamps
// are best one view of all of them; and lamps that are tried at several tilts are as many lamps of
// one scene, of which one at a time is lit.
//
// The luminances of things and backgrounds are those of the scene's light, exactly. The veil is
// within [VeilError] of the converged integral, the glow of the air within 0.5 %, and a range is
// within 0.2 % of what these give. A lamp takes a third of a megabyte.
//
// What is meant by seen: a thing whose middle is in sight, and that differs from its background by
// as many thresholds as the [Observer] asks for. Expectation, movement, colour, fatigue and a wet
// windscreen are left out.
//
// Lengths are in metres, angles in radians but where arc minutes are said, luminances in cd/m²,
// illuminances in lx. All places are as driven.
package sight

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Around is what a scene of lamps does not say of the world that they shine on.
type Around struct {
	Ground float64 // reflectance of the ground
	Body   float64 // reflectance of the top faces of the body boxes
	Sky    float64 // luminance of the sky, cd/m²

	// In the air, of which the site's Visibility says how much there is of them. The zero value is
	// none: no glow.
	Particles Particles
}

const (
	BodyReflectance = 0.1   // of a painted hood that is no mirror: this project's choice
	NightSky        = 0.001 // cd/m², of a night without a moon: this project's choice
)

// Validate reports surroundings that there are none of.
func (a Around) Validate() error {
	switch {
	case !(a.Ground >= 0 && a.Ground <= 1):
		return fmt.Errorf("reflectance of the ground: %g is not from 0 to 1", a.Ground)
	case !(a.Body >= 0 && a.Body <= 1):
		return fmt.Errorf("reflectance of the body: %g is not from 0 to 1", a.Body)
	case !(a.Sky >= 0) || math.IsInf(a.Sky, 0):
		return fmt.Errorf("sky: %g cd/m² is not 0 or more", a.Sky)
	}
	return nil
}

// AtNight is the usual surroundings over ground of a reflectance.
func AtNight(ground float64) Around {
	return Around{Ground: ground, Body: BodyReflectance, Sky: NightSky}
}

// View is what a driver has before the eyes. It may be asked from several goroutines at once.
type View struct {
	Scene    *geometry.Scene
	Observer Observer
	Around   Around

	origins    []origin // what it is put together from, lamp by lamp; none: it is by itself
	every      []int    // index of a lamp of the scene
	eye        eye
	extinction float64 // of the air, 1/m
	scattering float64 // coefficient of the air, 1/m
	clearSky   float64 // luminance of the sky through the air
	phase      func(cos float64) float64
	dome       dome
	sums       veilSums
	far, all   *kernel // of the ground far off the line of sight, and of all
	fore       foreground
	tops       []lazyTop // by box of the eye
	mapped     mapped
	alongs     sync.Map // a func() *Along by Thing

	horizons []r3.Vec    // normals of the planes to which the ground falls away
	knots    []knot      // of the ground, that change what is seen
	corners  []r3.Vec    // of the boxes, from the eye
	rims     [][2]r3.Vec // edges of the boxes, from the eye
}

type lazyTop struct {
	once sync.Once
	topLight
}

// knot is a line across the track on which the ground bends, from the eye.
type knot struct{ at, along r3.Vec }

// Look is the view from a driver's eye, as driven and above the ground, at what the lamps of a
// scene light. Body boxes that contain the eye are not there for it, but still shade the light.
// Little is worked out before it is asked for.
func Look(scene *geometry.Scene, eye r3.Vec, o Observer, a Around) *View {
	v := &View{Scene: scene, Observer: o, Around: a, eye: newEye(scene.Site, eye), clearSky: a.Sky}
	if scene.Site.Visibility > 0 {
		v.extinction = math.Log(20) / scene.Site.Visibility
		v.scattering = a.Particles.Albedo * v.extinction
		v.clearSky = 0 // through air without an end
	}
	if v.scattering > 0 {
		v.phase = a.Particles.phase()
		v.dome.init(v)
	}
	v.fore.view, v.fore.x, v.fore.y = v, eye.X, eye.Y
	v.sums, v.far, v.all = newVeilSums(o.Age), newKernel(o.Age, farFrom, farFull), newKernel(o.Age, veilFrom, veilFrom)
	v.every = make([]int, len(scene.Lamps))
	for i := range v.every {
		v.every[i] = i
	}
	v.tops = make([]lazyTop, len(v.eye.boxes))
	v.outline()
	return v
}

// origin is a lamp of a view that is by itself.
type origin struct {
	view *View
	lamp int
}

// origin is that of lamp i.
func (v *View) origin(i int) origin {
	if v.origins != nil {
		return v.origins[i]
	}
	return origin{v, i}
}

// Only is the view by just the lamps with these indexes. Along the track it is a part of the view, for
// which everything is worked out once, whoever asks first.
func (v *View) Only(lamps ...int) *View {
	o := Look(v.Scene.Only(lamps...), v.eye.at, v.Observer, v.Around)
	for _, i := range lamps {
		o.origins = append(o.origins, v.origin(i))
	}
	return o
}

// Again is the view of the same driver at other lamps in the same place. Lamps that were there before
// keep, along the track, what is known of them; to the last bit that is what Look has. The scene's
// site has to be the same as well.
func (v *View) Again(scene *geometry.Scene) *View {
	o := Look(scene, v.eye.at, v.Observer, v.Around)
	var anew []int
	of := map[*View]bool{}
	for i := range scene.Lamps {
		k := slices.IndexFunc(v.Scene.Lamps, func(m geometry.Mounted) bool { return m.Lamp.Same(&scene.Lamps[i].Lamp) })
		if k < 0 {
			anew = append(anew, i)
			o.origins = append(o.origins, origin{})
			continue
		}
		o.origins = append(o.origins, v.origin(k))
		of[o.origins[i].view] = true
	}
	const most = 4 // views are kept for the sake of some of their lamps
	if len(anew) == len(scene.Lamps) || len(of) > most {
		o.origins = nil
		return o
	}
	few := Look(scene.Only(anew...), v.eye.at, v.Observer, v.Around)
	for k, i := range anew {
		o.origins[i] = origin{few, k}
	}
	return o
}

// Eye is where the driver's eye is.
func (v *View) Eye() r3.Vec { return v.eye.at }

// through is the share of light that the air lets through.
func (v *View) through(distance float64) float64 {
	if v.extinction == 0 {
		return 1
	}
	return math.Exp(-v.extinction * distance)
}

// Glow is the luminance (cd/m²) of the lit air in a unit direction from the eye, up to what is seen
// there, lamp by lamp; all 0 in air without particles.
func (v *View) Glow(direction r3.Vec) []float64 {
	glow := make([]float64, len(v.Scene.Lamps))
	if v.scattering > 0 {
		v.addGlow(glow, direction, v.eye.looks(direction).distance, 1)
	}
	return glow
}

// Veil is the veil over a line of sight along a unit direction from the eye, lamp by lamp, and that
// of the sky, as well as maps and pictures need it: within 1 %.
func (v *View) Veil(direction r3.Vec) (lamps []Veil, sky Veil) {
	d := v.dazzle(direction, mapFineness)
	lamps = make([]Veil, len(v.Scene.Lamps))
	for i := range lamps {
		lamps[i] = Veil{Ground: d.ground[i], Body: d.body[i], Air: d.air[i]}
	}
	return lamps, Veil{Sky: d.sky}
}

// addGlow adds weight times the glow (cd/m²) of the air in a unit direction up to a distance, lamp
// by lamp, to dst.
func (v *View) addGlow(dst []float64, dir r3.Vec, distance, weight float64) {
	for i := range dst {
		dst[i] += weight * v.scattering * v.Scene.Airlight(i, v.eye.at, dir, distance, v.phase)
	}
}

func (v *View) topOf(box int) *topLight {
	t := &v.tops[box]
	t.once.Do(func() { t.topLight = v.newTop(box) })
	return &t.topLight
}

// outline lists what changes what the eye sees.
func (v *View) outline() {
	g := &v.Scene.Site.Ground
	if len(g.Profile) == 0 {
		v.horizons = append(v.horizons, g.Normal(0))
	} else {
		v.horizons = append(v.horizons, unit(r3.Vec{Y: -g.CrossFall, Z: 1})) // level beyond its ends
		for i := range g.Profile {
			if k := g.Profile[i]; v.bends(i) && len(v.knots) < mostKnots {
				v.fore.knots = append(v.fore.knots, k.Ahead)
				at := r3.Sub(r3.Vec{X: k.Ahead, Z: k.Height}, v.eye.at)
				v.knots = append(v.knots, knot{at, r3.Vec{Y: 1, Z: g.CrossFall}})
			}
		}
	}
	for i := range v.eye.boxes {
		b := &v.eye.boxes[i]
		var corners [8]r3.Vec
		for c := range corners {
			p := b.Min
			if c&1 != 0 {
				p.X = b.Max.X
			}
			if c&2 != 0 {
				p.Y = b.Max.Y
			}
			if c&4 != 0 {
				p.Z = b.Max.Z
			}
			corners[c] = r3.Sub(v.Scene.Site.Attitude.Driven(p), v.eye.at)
		}
		v.corners = append(v.corners, corners[:]...)
		for c := range corners {
			for _, bit := range []int{1, 2, 4} {
				if c&bit == 0 {
					v.rims = append(v.rims, [2]r3.Vec{corners[c], corners[c|bit]})
				}
			}
		}
	}
}

// mostKnots is how many bends of the ground are minded, the nearest ones first; those of a long
// measured profile are many and small.
const mostKnots = 64

// bends tells whether knot i of the ground's profile counts: the ground beyond it is out of sight,
// or meets the light at another angle by more than a little.
func (v *View) bends(i int) bool {
	const little = 0.02
	g := &v.Scene.Site.Ground
	slope := func(i int) float64 { // of the piece that ends at knot i
		if i == 0 || i == len(g.Profile) {
			return 0
		}
		return (g.Profile[i].Height - g.Profile[i-1].Height) / (g.Profile[i].Ahead - g.Profile[i-1].Ahead)
	}
	k := g.Profile[i]
	before, after := slope(i), slope(i+1)
	if math.Abs(after-before) > little {
		return true
	}
	sightline := (k.Height + g.CrossFall*v.eye.at.Y - v.eye.at.Z) / (k.Ahead - v.eye.at.X)
	return (before > sightline) != (after > sightline)
}
