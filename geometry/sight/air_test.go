package sight

import (
	"math"
	"slices"
	"sync"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"
)

// Air with particles: the phase functions, the glow, what it does to sight.

// overSphere is the integral of a function of the angle of scattering over all directions, by its
// cosine.
func overSphere(f func(cos float64) float64) float64 {
	sum := 0.0
	for i := range 64 { // the forward peak of fog is narrow
		lo, hi := 1-2*math.Pow(0.75, float64(i)), 1-2*math.Pow(0.75, float64(i+1))
		sum += quad.Fixed(f, lo, hi, 16, quad.Legendre{}, 0)
	}
	return 2 * math.Pi * (sum + f(1)*2*math.Pow(0.75, 64))
}

func TestPhase(t *testing.T) {
	for _, c := range []struct {
		Particles
		asymmetry, lidarRatio float64
	}{{Fog, 0.85, 18}, {Dust, 0.7, 50}, {Snow, 0.8, 25}} {
		near(t, c.Name+": all directions", overSphere(c.Phase), 1, 1e-6)
		g := overSphere(func(cos float64) float64 { return cos * c.Phase(cos) })
		near(t, c.Name+": mean cosine", g, c.asymmetry, 0.01)
		// A lidar sees the light that is thrown straight back: per metre, ω σ p(180°) of the light
		// for σ of extinction.
		near(t, c.Name+": lidar ratio, sr", 1/(c.Albedo*c.Phase(-1)), c.lidarRatio, 0.02)
	}
	for _, g := range []float64{-0.6, 0, 0.7, 0.85, 0.95} {
		lobe := henyeyGreenstein(1, g)
		near(t, "Henyey-Greenstein", overSphere(lobe.at), 1, 1e-6)
		if g != 0 {
			mean := overSphere(func(cos float64) float64 { return cos * lobe.at(cos) })
			near(t, "its mean cosine", mean, g, 1e-6)
		}
	}
}

// isotropic is a point of light of the same intensity (cd) all around.
type isotropic float64

func (i isotropic) Candela(_, _, _ float64) float64 { return float64(i) }
func (i isotropic) Peak() float64                   { return float64(i) }
func (i isotropic) Flux() float64                   { return 4 * math.Pi * float64(i) }
func (i isotropic) Cutoff() float64                 { return -1 }
func (i isotropic) Candelas(dst, _, _, _ []float64) {
	for k := range dst {
		dst[k] = float64(i)
	}
}

// inAir is a view straight ahead from a point far over the ground, at one isotropic lamp in air of
// an extinction (1/m).
func inAir(lamp, eye r3.Vec, extinction float64, p Particles) *View {
	site := &geometry.Site{Visibility: math.Log(20) / extinction}
	high := r3.Vec{Z: 1e5}
	scene := site.Scene(geometry.Lamp{At: r3.Add(lamp, high), Optics: []geometry.Optic{{Beam: isotropic(1)}}})
	return Look(scene, r3.Add(eye, high), Usual, Around{Particles: p})
}

// One isotropic lamp of 1 cd straight beside the eye, looking square to the line between them, one
// term, ω = 1: a table computed independently, and for thin air (σ I/h) ∫ p dΘ from 90° to 180°.
func TestGlowBesideALamp(t *testing.T) {
	glow := func(sigma, h, g float64) float64 {
		return inAir(r3.Vec{Y: h}, r3.Vec{}, sigma, Particles{Ahead: g, Albedo: 1}).Glow(r3.Vec{X: 1})[0]
	}
	for _, c := range []struct{ sigma, h, g, want float64 }{
		{0.0599, 1, 0, 0.0058073}, {0.0599, 1, 0.85, 3.9088e-4}, {0.0599, 0.5, 0, 0.0129133},
		{0.03, 1, 0.85, 2.1322e-4},
	} {
		near(t, "glow", glow(c.sigma, c.h, c.g), c.want, 1e-4)
	}
	for g, want := range map[float64]float64{0: 0.125, 0.7: 0.018646, 0.85: 0.0079775} {
		near(t, "in thin air", glow(1e-7, 2, g)/(1e-7/2), want, 1e-3)
	}
}

// What is scattered out of the light is what extinction takes: Φ (1 - T) of an isotropic lamp, up
// to any distance. The light scattered at a place is the glow of a short line of sight, per metre,
// in all directions.
func TestEnergyOfScatteredLight(t *testing.T) {
	const sigma, far, short = 0.04, 60.0, 1e-4
	for _, p := range []Particles{Fog, Dust, Snow} {
		scattered := func(r float64) float64 { // per m³ at a distance from the lamp
			v := inAir(r3.Vec{}, r3.Vec{Y: r}, sigma, p)
			return overSphere(func(cos float64) float64 {
				// light that comes along y is turned by acos(cos)
				dir := r3.Vec{X: math.Sqrt(max(0, 1-cos*cos)), Y: -cos}
				return v.scattering * v.Scene.Airlight(0, v.eye.at, dir, short, p.Phase) / short
			})
		}
		shell := func(r float64) float64 { return 4 * math.Pi * r * r * scattered(r) }
		total := quad.Fixed(shell, 0.01, far, 12, quad.Legendre{}, 0)
		taken := 4 * math.Pi * (math.Exp(-sigma*0.01) - math.Exp(-sigma*far))
		near(t, p.Name, total, p.Albedo*taken, 1e-3)
	}
}

func demoIn(visibility float64, p Particles) *View {
	site := demoSite()
	site.Visibility = visibility
	around := AtNight(0.15)
	around.Particles = p
	return Look(site.Scene(demoLamps()...), site.Attitude.Driven(demoEye), Usual, around)
}

// dusty is the demo in dust, shared.
var dusty = sync.OnceValue(func() *View { return demoIn(150, Dust) })

// The luminances of a thing in dust, line by line.
func TestLuminancesInDust(t *testing.T) {
	v := dusty()
	all := []int{0, 1, 2, 3, 4, 5, 6}
	glow := func(to r3.Vec, distance float64) float64 {
		sum := 0.0
		for i := range all {
			sum += 0.95 * math.Log(20) / 150 * v.Scene.Airlight(i, v.eye.at, v.toward(to), distance, Dust.Phase)
		}
		return sum
	}
	seen := func(to r3.Vec) float64 { return math.Pow(0.05, r3.Norm(r3.Sub(to, v.eye.at))/150) / math.Pi }
	p := v.Parts(person(), Place{X: 25})
	sum := p.Sum(all)
	centre, foot := r3.Vec{X: 25, Z: 0.85}, r3.Vec{X: 25}
	near(t, "person", sum.Thing, seen(centre)*0.05*sum.Lux+glow(centre, p.Distance), 1e-9)
	background := seen(foot)*0.15*v.Scene.GroundLux(25, 0) + glow(foot, r3.Norm(r3.Sub(foot, v.eye.at)))
	behind := glow(r3.Vec{X: 25, Z: 1.7}, math.Inf(1)) // the sky: none of it comes through
	near(t, "background", sum.Background, (background+behind)/2, 1e-6)

	// Without particles the same air only dims.
	clear := demoIn(150, Particles{})
	p = clear.Parts(person(), Place{X: 25})
	near(t, "person, no glow", p.Sum(all).Thing, seen(centre)*0.05*p.Sum(all).Lux, 1e-9)
	if p.Sum(all).Veil.Air != 0 || slices.Max(clear.Glow(r3.Vec{X: 1})) != 0 {
		t.Error("air without particles glows")
	}
}

// The veil of the glowing air against a plain sum over directions, each by a line of sight of its
// own.
func TestVeilOfAirConverges(t *testing.T) {
	n, particles, places := 48, []Particles{Dust}, []r3.Vec{{X: 20, Z: 0.85}, {X: 20, Y: 12}}
	if *sweep {
		n, particles, places = 240, append(particles, Fog, Snow), append(places, r3.Vec{X: 6, Z: 0.15}, r3.Vec{X: 60})
	}
	for _, p := range particles {
		v := demoIn(120, p)
		for _, at := range places {
			line := v.toward(at)
			want := make([][]float64, n)
			f := newFan(line)
			lo, hi := math.Log(veilFrom), math.Log(veilTo)
			inParallel(n, func(i int, _ *worker) {
				want[i] = make([]float64, len(v.Scene.Lamps))
				angle := math.Exp(lo + (hi-lo)*(float64(i)+.5)/float64(n))
				sin, cos := math.Sincos(angle)
				weight, _ := kernelAt(v.Observer.Age, angle)
				ring := weight * angle * sin * (hi - lo) / float64(n) * 2 * math.Pi / float64(n)
				for j := range n {
					p := plane{line: line, aside: f.aside((float64(j) + .5) * 2 * math.Pi / float64(n))}
					d := p.at(sin, cos)
					if seen := v.eye.looks(d); seen.surface != face {
						v.addGlow(want[i], d, seen.distance, ring)
					}
				}
			})
			v.prepare([]r3.Vec{line})
			got := v.dazzle(line, usualFineness)
			sum, all := 0.0, 0.0
			for l := range got.air {
				sum += got.air[l]
				for i := range want {
					all += want[i][l]
				}
			}
			t.Logf("%s, %v: %.4g, %+.2f %%", p.Name, at, all, 100*(sum/all-1))
			near(t, p.Name, sum, all, VeilError)
		}
	}
}

// In dust the roof bar costs sight: the air that it lights is straight before the eye (common
// practice: roof lamps off).
func TestRoofBarInDust(t *testing.T) {
	v := dusty()
	person := v.Along(person())
	all, off := person.Sight(trail).Range, person.Sight([]int{1, 2, 3}).Range
	if off < all+2 {
		t.Errorf("with the roof bar %.4g m, without %.4g m", all, off)
	}
	glow := v.Glow(r3.Vec{X: 1})
	sum := 0.0
	for _, i := range trail {
		sum += glow[i]
	}
	if share := glow[0] / sum; share < 0.6 {
		t.Errorf("the roof bar has %.2g of the glow", share)
	}
	if s := demoIn(LeastVisibility-1, Dust).Along(rut()).Sight(trail); !math.IsNaN(s.Range) {
		t.Errorf("a range is named in air too dense: %+v", s)
	}
}

// The rule of the trade, roof lamps off in dust and low ones on (common practice, no source),
// against the physics, for one bar of equal beam and flux on the roof and on the bumper. For what
// stands up it is right: from the roof the light fills the air right before the eyes, from the
// bumper it passes under the line of sight. A roof bar that stands higher over the eyes costs less.
// For what lies on the ground it is wrong: only light from above gets onto it.
func TestRoofBarAgainstBumperBarInDust(t *testing.T) {
	bar := func(at r3.Vec, tilt float64) geometry.Lamp {
		return geometry.Lamp{At: at, Aim: geometry.Aim{Tilt: tilt * deg}, Width: 1, Optics: []geometry.Optic{
			{Beam: beam.Gaussian(round(10)).WithFlux(6300), Span: geometry.Middle(0.6)},
			{Beam: beam.Gaussian(round(36)).WithFlux(4200), Span: geometry.Ends(0.6)},
		}}
	}
	site := demoSite()
	site.Attitude, site.Visibility = geometry.Attitude{}, 180
	around := AtNight(0.15)
	around.Particles = Dust
	roof, bumper, higher := []int{0}, []int{1}, []int{2}
	v := Look(site.Scene(
		bar(r3.Vec{X: -1.65, Z: 2.1}, 5), bar(r3.Vec{X: -0.05, Z: 0.75}, 0), bar(r3.Vec{X: -1.65, Z: 2.6}, 5),
	), demoEye, Usual, around)
	glow, person, rut := v.Glow(r3.Vec{X: 1}), v.Along(person()), v.Along(rut())
	t.Logf("glow ahead: roof %.3g, bumper %.3g, roof 0.5 m higher %.3g cd/m²", glow[0], glow[1], glow[2])
	var persons, ruts [3]float64
	for i, lit := range [][]int{roof, bumper, higher} {
		persons[i], ruts[i] = person.Sight(lit).Range, rut.Sight(lit).Range
	}
	t.Logf("person %.3g m, rut %.3g m", persons, ruts)
	switch {
	case glow[0] < 2*glow[1] || glow[2] > 0.8*glow[0]:
		t.Error("the glow ahead is not least from the bumper and less from higher up")
	case persons[1] < persons[0]+4 || persons[2] < persons[0]+2:
		t.Error("a person is not seen farther by the bumper bar, nor by one that is higher up")
	case ruts[0] < ruts[1]+2:
		t.Error("a rut is not seen farther by the roof bar")
	}
}

func BenchmarkDemoInDust(b *testing.B) {
	around := AtNight(0.15)
	around.Particles = Dust
	site := demoSite()
	site.Visibility = 150
	scene, eye := site.Scene(demoLamps()...), site.Attitude.Driven(demoEye)
	b.ReportAllocs()
	for b.Loop() {
		v := Look(scene, eye, Usual, around)
		for _, thing := range Things() {
			a := v.Along(thing)
			for _, lit := range [][]int{trail, search, work} {
				a.Sight(lit)
				for i := range lit {
					a.Sight(slices.Delete(slices.Clone(lit), i, i+1))
				}
			}
		}
	}
}
