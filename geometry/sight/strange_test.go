package sight

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Views that nobody would build.

type draw struct{ *rand.Rand }

func (d draw) between(a, b float64) float64 { return a + (b-a)*d.Float64() }

func (d draw) view() *View {
	site := &geometry.Site{Attitude: geometry.NoseUp(d.between(-2, 2)*deg, -4)}
	switch d.IntN(3) {
	case 0:
		site.Ground.Grade, site.Ground.CrossFall = d.between(-.1, .1), d.between(-.1, .1)
	case 1:
		x, z := d.between(2, 20), 0.0
		site.Ground.Profile = []geometry.Knot{{Ahead: -20}, {Ahead: 1}}
		for range 1 + d.IntN(5) {
			site.Ground.Profile = append(site.Ground.Profile, geometry.Knot{Ahead: x, Height: z})
			z += d.between(-.1, .12) * 20
			x += d.between(5, 40)
		}
		site.Ground.CrossFall = d.between(-.05, .05)
	}
	if d.IntN(3) == 0 {
		site.Visibility = d.between(40, 2000)
	}
	if d.IntN(4) == 0 {
		site.Track = geometry.Track{Radius: d.between(15, 200), Left: d.IntN(2) == 0, From: d.between(0, 30)}
	}
	for range d.IntN(5) {
		at := r3.Vec{X: d.between(-3, 1), Y: d.between(-1, .5), Z: d.between(.2, 1)}
		size := r3.Vec{X: d.between(.1, 2), Y: d.between(.1, 1.8), Z: d.between(.05, .8)}
		site.Body = append(site.Body, geometry.Box{Min: at, Max: r3.Add(at, size)})
	}
	var lamps []geometry.Lamp
	for range 1 + d.IntN(5) {
		spread := beam.Angles{Across: d.between(5, 120) * deg, UpDown: d.between(5, 60) * deg}
		shape := []func(beam.Angles) beam.Shape{beam.Gaussian, beam.Cosine, beam.Uniform}[d.IntN(3)](spread)
		lamps = append(lamps, geometry.Lamp{
			At: r3.Vec{X: d.between(-4, 0), Y: d.between(-1, 1), Z: d.between(.3, 3)},
			Aim: geometry.Aim{Tilt: d.between(-5, 20) * deg, Turn: d.between(-60, 60) * deg,
				Roll: d.between(-20, 20) * deg},
			Width:  []float64{0, 0, d.between(.1, 1.5)}[d.IntN(3)],
			Optics: []geometry.Optic{{Beam: shape.WithFlux(d.between(500, 20000))}},
		})
	}
	eye := site.Attitude.Driven(r3.Vec{X: d.between(-3, -1), Y: d.between(-.6, .6), Z: d.between(1.2, 2.5)})
	return Look(site.Scene(lamps...), eye, Observer{Age: d.between(20, 75), Glance: 0.2, Level: 7},
		AtNight(d.between(.05, .5)))
}

// The veil against a plain sum. Hard edges of light, of which these rigs are full, are the worst
// for both: of fifteen rigs one may be off by more than the veil of others is.
func TestVeilOfStrangeRigs(t *testing.T) {
	rigs, n := uint64(4), 220
	if *sweep {
		rigs, n = 150, 400
	}
	worst, past := 0.0, 0
	for seed := range rigs {
		d := draw{rand.New(rand.NewPCG(seed, 5))}
		v := d.view()
		place := v.OnTrack(d.between(6, 150), d.between(-2, 2))
		line := v.toward(v.Scene.Site.At(place.X, place.Y, .5))
		sum := func(d dazzle) (all float64) {
			for l := range d.ground {
				all += d.ground[l] + d.body[l]
			}
			return all
		}
		all, rough := sum(v.summed(line, n, n)), sum(v.summed(line, n/2+7, n/2+7))
		if all < 1e-4 { // of lamps that all but miss what is seen
			continue
		}
		off, known := sum(v.dazzle(line, usualFineness))-all, math.Abs(rough-all) // how well the sum itself is known
		worst = math.Max(worst, (math.Abs(off)-known)/all)
		switch far := math.Abs(off) - known; {
		case far > 0.06*all:
			t.Errorf("rig %d: veil of %.4g, a sum has %.4g (%+.2f %%)\n%+v", seed, all+off, all, 100*off/all,
				*v.Scene.Site)
		case far > VeilError*all:
			past++
		}
	}
	if past > max(1, int(rigs)/15) {
		t.Errorf("%d of %d rigs are off by more than %g", past, rigs, VeilError)
	}
	t.Logf("worst off by %.2g", worst)
}

// Whatever is asked, the answers are numbers that mean something.
func TestStrangeRigs(t *testing.T) {
	rigs := uint64(2)
	if *sweep {
		rigs = 100
	}
	for seed := range rigs {
		d := draw{rand.New(rand.NewPCG(seed, 6))}
		v := d.view()
		if d.IntN(2) == 0 && v.Scene.Site.Visibility > 0 {
			around := v.Around
			around.Particles = []Particles{Dust, Fog, Snow}[d.IntN(3)]
			v = Look(v.Scene, v.eye.at, v.Observer, around)
		}
		var all []int
		for i := range v.Scene.Lamps {
			all = append(all, i)
		}
		what := fmt.Sprintf("rig %d", seed)
		for _, thing := range Things() {
			for _, s := range []float64{0.5, 4, 30, 400} {
				p := v.Parts(thing, v.OnTrack(s, d.between(-5, 5)))
				sane(t, what, &p, all)
			}
		}
		a := v.Along(Things()[d.IntN(5)])
		for i := range a.parts {
			sane(t, what, &a.parts[i], all)
		}
		s := a.Sight(all)
		if !(s.Range > 0 && s.Range <= Farthest) && !math.IsNaN(s.Range) {
			t.Errorf("%s: range %g", what, s.Range)
		}
		from := float64(Nearest)
		for _, l := range s.Lost {
			if l.From < from || l.To-l.From < shortest || l.To > s.Range {
				t.Errorf("%s: lost %+v of %g m", what, s.Lost, s.Range)
			}
			from = l.To
		}
		if b := v.BodyHides(); !(b >= 0) {
			t.Errorf("%s: body hides %g m", what, b)
		}
	}
}

func sane(t *testing.T, what string, p *Parts, lit []int) {
	t.Helper()
	s := p.See(lit)
	for _, x := range []float64{s.Lux, s.Thing, s.Background, s.Veil.Ground, s.Veil.Body, s.Veil.Air, s.Veil.Sky,
		p.Arcmin} {
		if !(x >= 0 && x < 1e9) {
			t.Errorf("%s: %s at %+v: %+v", what, p.Thing.Name, p.Place, s)
			return
		}
	}
	if !(s.Threshold > 0) || !(s.Level >= 0) {
		t.Errorf("%s: %s at %+v: threshold %g, level %g", what, p.Thing.Name, p.Place, s.Threshold, s.Level)
	}
}
