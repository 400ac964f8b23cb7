package sight

import (
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// evenly is the veil per cd/m² of an even luminance between two angles off the line of sight, all
// around it, by Simpson's rule in the logarithm of the angle.
func evenly(from, to, age float64) float64 {
	const n = 20000
	f := func(u float64) float64 {
		a := math.Exp(u)
		d := a / deg
		v := 10/math.Pow(d, 3) + (5/(d*d)+0.05/d)*(1+math.Pow(age/62.5, 4)) + 0.00125
		return v * math.Cos(a) * math.Sin(a) * a
	}
	lo, h := math.Log(from), math.Log(to/from)/n
	sum := f(lo) + f(math.Log(to))
	for i := 1; i < n; i++ {
		sum += f(lo+float64(i)*h) * float64(2+2*(i%2))
	}
	return 2 * math.Pi * sum * h / 3
}

// moon is a lamp so high that it lights the ground around the origin evenly, or a disc of it.
func moon(shape beam.Shape, lux float64) geometry.Lamp {
	const high = 1e5
	return geometry.Lamp{
		At: r3.Vec{Z: high}, Aim: geometry.Aim{Tilt: math.Pi / 2},
		Optics: []geometry.Optic{{Beam: shape.WithPeak(lux * high * high)}},
	}
}

// Half of all directions, of even luminance: the ground below a level line of sight, or the sky
// over it.
func TestVeilOfHalfSpace(t *testing.T) {
	site := &geometry.Site{}
	scene := site.Scene(moon(beam.Cosine(beam.Round(120*deg)), 20*math.Pi))
	for _, age := range []float64{25, 70} {
		v := Look(scene, r3.Vec{Z: 1.5}, Observer{Age: age, Glance: 0.2, Level: 10}, Around{Ground: 0.1, Sky: 3})
		d := v.dazzle(r3.Vec{X: 1}, usualFineness)
		near(t, "ground of 2 cd/m²", d.ground[0], 2*evenly(1*deg, 90*deg, age)/2, VeilError)
		near(t, "sky of 3 cd/m²", d.sky, 3*evenly(1*deg, 90*deg, age)/2, VeilError)
	}
}

// A ring of even luminance: the difference of two discs of light on the ground, seen from straight
// above.
func TestVeilOfRing(t *testing.T) {
	const eye, high, lux = 10.0, 1e5, 30.0
	disc := func(angle float64) geometry.Lamp { // as seen from the eye
		return moon(beam.Uniform(beam.Round(2*math.Atan(eye*math.Tan(angle)/high))), lux)
	}
	scene := new(geometry.Site).Scene(disc(30*deg), disc(12*deg), disc(5*deg))
	v := Look(scene, r3.Vec{Z: eye}, Usual, Around{Ground: 0.2})
	d := v.dazzle(r3.Vec{Z: -1}, usualFineness)
	luminance := lux * 0.2 / math.Pi
	near(t, "disc of 5°", d.ground[2], luminance*evenly(1*deg, 5*deg, Usual.Age), 0.01)
	// Edges of light all around the line of sight are the hardest case for a rule along
	// half-planes.
	near(t, "ring from 5° to 12°", d.ground[1]-d.ground[2], luminance*evenly(5*deg, 12*deg, Usual.Age), 0.03)
	near(t, "ring from 12° to 30°", d.ground[0]-d.ground[1], luminance*evenly(12*deg, 30*deg, Usual.Age), 0.03)
	// By hand: between 5° and 12° the sine is the angle and the cosine is 1 to 2 %, so that the
	// ring is nearly 2π (π/180)² ∫ (10/θ² + 5 f/θ + 0.05 f + 0.00125 θ) dθ = 2π (π/180)² (10 (1/5 -
	// 1/12) + 5 f ln(12/5) + 0.35 f + 0.074).
	f := 1 + math.Pow(Usual.Age/62.5, 4)
	byHand := 2 * math.Pi * deg * deg * (10*(1./5-1./12) + 5*f*math.Log(12./5) + 0.35*f + 0.074)
	near(t, "the same by hand", d.ground[1]-d.ground[2], luminance*byHand, 0.03)
}

// summed is the veil as a sum over even steps of direction, each by itself and by exact light.
func (v *View) summed(line r3.Vec, angles, turns int) dazzle {
	lamps := len(v.Scene.Lamps)
	d := newDazzle(lamps)
	f := newFan(line)
	lo, hi := math.Log(veilFrom), math.Log(veilTo)
	for i := range angles {
		angle := math.Exp(lo + (hi-lo)*(float64(i)+.5)/float64(angles))
		sin, cos := math.Sincos(angle)
		ring := cos * VeilPerLux(angle, v.Observer.Age) * angle * sin * (hi - lo) / float64(angles)
		ring *= 2 * math.Pi / float64(turns)
		for j := range turns {
			p := plane{line: line, aside: f.aside((float64(j) + .5) * 2 * math.Pi / float64(turns))}
			seen := v.eye.looks(p.at(sin, cos))
			weight := ring * v.through(seen.distance) / math.Pi
			for l := range lamps {
				switch seen.surface {
				case ground:
					d.ground[l] += weight * v.Around.Ground * v.Scene.LuxOf(l, seen.at,
						v.Scene.Site.Ground.Normal(seen.at.X))
				case top:
					d.body[l] += weight * v.Around.Body * v.Scene.LuxOf(l, seen.at, topNormal(v.Scene.Site))
				}
			}
			if seen.surface == sky {
				d.sky += ring * v.clearSky
			}
		}
	}
	return d
}

// Every integral of the veil against a plain sum over very many directions.
func TestVeilConverges(t *testing.T) {
	angles, turns := 150, 150
	if *sweep {
		angles, turns = 900, 1080
	}
	for name, v := range map[string]*View{"demo": demoView(), "crest": crestView()} {
		for _, p := range []r3.Vec{{X: 6, Z: 0.15}, {X: 20}, {X: 42}, {X: 100, Z: .85}, {X: 208, Z: .85},
			{X: 20, Y: 15}} {
			line := v.toward(v.Scene.Site.At(p.X, p.Y, p.Z))
			want, got := v.summed(line, angles, turns), v.dazzle(line, usualFineness)
			sum := func(d dazzle) (ground, body float64) {
				for l := range d.ground {
					ground, body = ground+d.ground[l], body+d.body[l]
				}
				return ground, body
			}
			g0, b0 := sum(want)
			g1, b1 := sum(got)
			t.Logf("%s %v: ground %.4g %+.2f %%, body %.4g %+.2f %%, sky %.3g %+.2f %%",
				name, p, g0, 100*(g1/g0-1), b0, 100*(b1/b0-1), want.sky, 100*(got.sky/want.sky-1))
			share := VeilError / 2
			if p.Y != 0 {
				share = VeilError
			}
			near(t, name+": all", g1+b1, g0+b0, share)
			if b0 > g0/100 {
				near(t, name+": body", b1, b0, 2*VeilError)
			}
			near(t, name+": sky", got.sky, want.sky, 2*VeilError)
			for l := range want.ground {
				got, want := got.ground[l]+got.body[l], want.ground[l]+want.body[l]
				if math.Abs(got-want) > share*(g0+b0) {
					t.Errorf("%s: %s: %.4g, want %.4g", name, v.Scene.Lamps[l].Lamp.Name, got, want)
				}
			}
		}
	}
}

func BenchmarkVeil(b *testing.B) {
	v := demoView()
	line := v.toward(r3.Vec{X: 100, Z: .85})
	v.dazzle(line, usualFineness)
	b.ReportAllocs()
	for b.Loop() {
		v.dazzle(line, usualFineness)
	}
}

func BenchmarkForeground(b *testing.B) {
	scene, eye := demoView().Scene, demoView().eye.at
	b.ReportAllocs()
	for b.Loop() {
		v := Look(scene, eye, Usual, AtNight(0.15))
		v.dazzle(v.toward(r3.Vec{X: 100, Z: .85}), usualFineness)
	}
}

// The veil over a direction is that over a thing which is looked at in it.
func TestVeilOfDirection(t *testing.T) {
	v := demoView()
	p := v.Parts(person(), Place{X: 60})
	centre := v.Scene.Site.At(60, 0, person().Height/2)
	lamps, sky := v.Veil(v.toward(centre))
	near(t, "sky", sky.Sum(), p.Dark.Veil.Sum(), VeilError)
	all := p.Sum(trail).Veil.Sum()
	for i := range lamps {
		if got, want := lamps[i].Sum(), p.Lamps[i].Veil.Sum(); math.Abs(got-want) > VeilError*all {
			t.Errorf("lamp %d: %g, want %g of %g", i, got, want, all)
		}
	}
}
