package render

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"beamfall/beam"
	"beamfall/geometry"
	"beamfall/geometry/aim"
	"beamfall/geometry/sight"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rigs that pictures have trouble with: few lamps and many, long names, lamps that light no ground,
// or only to the side.

const deg = math.Pi / 180

// rigLamp is a lamp in few words: metres, degrees, lumens.
func rigLamp(name string, ahead, left, up, width, tilt, turn, spread, lumens float64) geometry.Lamp {
	return geometry.Lamp{
		Name: name, At: r3.Vec{X: ahead, Y: left, Z: up}, Width: width,
		Aim:    geometry.Aim{Tilt: tilt * deg, Turn: turn * deg},
		Optics: []geometry.Optic{{Beam: beam.Gaussian(beam.Round(spread * deg)).WithFlux(lumens)}},
	}
}

// truck is a body with a hood, a cabin and a bed.
func truck() []geometry.Box {
	return []geometry.Box{
		{Name: "hood", Min: r3.Vec{X: -1.5, Y: -0.8, Z: 0.5}, Max: r3.Vec{X: -0.2, Y: 0.8, Z: 1.15}},
		{Name: "cabin", Min: r3.Vec{X: -3.6, Y: -0.9, Z: 0.5}, Max: r3.Vec{X: -1.5, Y: 0.9, Z: 1.95}},
		{Name: "bed", Min: r3.Vec{X: -5.2, Y: -0.9, Z: 0.5}, Max: r3.Vec{X: -3.6, Y: 0.9, Z: 1.1}},
	}
}

func subject(rig, scene string, site geometry.Site, lamps ...geometry.Lamp) Subject {
	driven := site
	parked := geometry.Site{Body: site.Body, Visibility: site.Visibility}
	return Subject{
		Rig: rig, Name: scene, Scene: driven.Scene(lamps...), Parked: parked.Scene(lamps...),
		Vehicle:     Vehicle{Length: 5.2, Width: 1.9, Wheelbase: 3.1, FrontOverhang: 0.9, Eye: Eye{-2.1, 0.4, 1.65}},
		Things:      []sight.Thing{sight.Things()[0], sight.Things()[4]}, // a person and a rut: all of them take long
		Reflectance: 0.2, Thresholds: []float64{1, 3},
	}
}

// trail is a plausible rig of eight lamps, by whose light all things are looked for. Like awkward,
// it is made once, and left as it is.
var trail = sync.OnceValue(func() Subject { return newTrail().Looking() })

// newTrail is trail to be changed.
func newTrail() Subject {
	site := geometry.Site{Body: truck(), Attitude: geometry.NoseUp(0.8*deg, -4)}
	s := subject("Trail truck", "trail", site,
		rigLamp("roof bar", -1.9, 0, 2.05, 1, 5, 0, 12, 14000),
		rigLamp("roof floods (left)", -1.9, 0.6, 2.05, 0.2, 8, 6, 36, 3500),
		rigLamp("roof floods (right)", -1.9, -0.6, 2.05, 0.2, 8, -6, 36, 3500),
		rigLamp("bumper spot (left)", 0, 0.45, 0.75, 0.15, 0.8, 0, 10, 3600),
		rigLamp("bumper spot (right)", 0, -0.45, 0.75, 0.15, 0.8, 0, 10, 3600),
		rigLamp("side light (left)", -2.4, 0.7, 2, 0.1, 20, 75, 60, 1400),
		rigLamp("side light (right)", -2.4, -0.7, 2, 0.1, 20, -75, 60, 1400),
		rigLamp("work light", -3.6, 0, 2, 0.2, 15, 180, 50, 3000),
	)
	s.Things = nil
	return s
}

// seeing is a subject with a driver's eye, if it has none.
func seeing(s Subject) Subject {
	if s.Vehicle.Eye.Up == 0 {
		s.Vehicle.Eye, s.EyeAssumed = Eye{-2.1, 0.4, 1.65}, true
	}
	return s
}

// spots are the three lamps of the last of the awkward rigs, for what does not depend on the rig.
func spots() Subject { return awkward()[7] }

// awkward are the rigs by name, in order. They are made once, and left as they are by all tests.
var awkward = sync.OnceValue(func() []Subject {
	level := geometry.Site{Body: truck()}
	var rigs []Subject
	rigs = append(rigs, trail())
	rigs = append(rigs, subject("One lamp", "", geometry.Site{}, rigLamp("spot", -0.1, 0, 0.9, 0, 2, 0, 10, 3000)))
	rigs[1].Vehicle = Vehicle{}

	var many []geometry.Lamp
	for i := range 12 {
		many = append(many, rigLamp(fmt.Sprintf("a lamp on the front rail with number %d", i+101), 0,
			0.55-0.1*float64(i), 0.9+0.004*float64(i%3), 0.09, 1.5, 0, 12, 1500))
	}
	rigs = append(rigs, subject("Twelve lamps of nearly one height on a rail, with names of forty characters",
		"everything that there is", level, many...))

	rigs = append(rigs, subject("Aimed at the sky", "", level,
		rigLamp("up a bit", -1.9, 0.3, 2.05, 0.2, -40, 0, 10, 5000),
		rigLamp("straight up", -1.9, -0.3, 2.05, 0.2, -90, 0, 10, 5000),
		rigLamp("level", 0, 0, 0.8, 0.2, 0, 0, 10, 5000),
		rigLamp("up to the side", -2, 0.9, 2, 0.2, -30, 70, 10, 5000),
	))
	dark := subject("No light on the ground", "", level, geometry.Lamp{
		Name: "beacon", At: r3.Vec{X: -1.9, Z: 2.05}, Aim: geometry.Aim{Tilt: -50 * deg},
		Optics: []geometry.Optic{{Beam: beam.Uniform(beam.Round(10 * deg)).WithFlux(3000)}},
	})
	rigs = append(rigs, dark)
	rigs = append(rigs, subject("Rear and side only", "camp", level,
		rigLamp("camp light (left)", -3, 0.9, 1.95, 0.3, 20, 90, 90, 2500),
		rigLamp("camp light (right)", -3, -0.9, 1.95, 0.3, 20, -90, 90, 2500),
		rigLamp("reversing light", -5.2, 0, 1, 0.1, 8, 180, 60, 1500),
	))
	crest := geometry.Site{Body: truck(), Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: 5, Height: 0},
		{Ahead: 30, Height: 2}, {Ahead: 40, Height: 2}, {Ahead: 70, Height: -4}, {Ahead: 120, Height: -4}, {Ahead: 160,
			Height: 2}}}}
	rigs = append(rigs, subject("Roof bar at 4 m before a crest", "crest", crest,
		rigLamp("mast bar", -2.5, 0, 4, 1.2, 4, 0, 14, 24000),
		rigLamp("mast floods (left)", -2.5, 0.5, 4, 0.2, 12, 20, 40, 5000),
		rigLamp("mast floods (right)", -2.5, -0.5, 4, 0.2, 12, -20, 40, 5000),
	))
	rigs = append(rigs, subject("Far spots", "", level,
		rigLamp("long spot (left)", 0, 0.4, 1.2, 0.2, 0.3, 0, 4, 9000),
		rigLamp("long spot (right)", 0, -0.4, 1.2, 0.2, 0.5, 0, 4, 9000),
		rigLamp("roof spot", -1.9, 0, 2.05, 0.2, 1.5, 0, 6, 9000),
	))
	for i := range rigs {
		rigs[i] = rigs[i].Looking()
	}
	return rigs
})

// sweep asks for many more rigs, which takes minutes.
var sweep = flag.Bool("sweep", false, "draw many strange rigs")

// strange are some rigs such as nobody builds, many in a sweep.
func strange(few, many uint64) (rigs []Subject) {
	n := few
	if *sweep {
		n = many
	}
	for seed := range n {
		rigs = append(rigs, randomRig(seed))
	}
	return rigs
}

// part is every second of some rigs, and all of them in a sweep.
func part(rigs []Subject) (out []Subject) {
	for i, s := range rigs {
		if i%2 == 0 || *sweep {
			out = append(out, s)
		}
	}
	return out
}

// kept are pictures of the awkward rigs, each drawn once and asked by many tests.
var kept = map[string]any{}

// once draws a picture of a subject, or has it from before. What is the picture's kind and its
// options.
func once[T any](s Subject, what string, draw func() (T, error)) (T, error) {
	ours := slices.ContainsFunc(awkward(), func(a Subject) bool { return a.Scene == s.Scene })
	key := fmt.Sprintf("%s %+v", what, s)
	if p, ok := kept[key]; ok && ours {
		return p.(T), nil
	}
	p, err := draw()
	if err == nil && ours {
		kept[key] = p
	}
	return p, err
}

// randomRig is a rig such as nobody builds.
func randomRig(seed uint64) Subject {
	r := rand.New(rand.NewPCG(seed, 7))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	var lamps []geometry.Lamp
	for i := range 1 + r.IntN(14) {
		turn := 0.0
		if r.IntN(2) == 0 {
			turn = between(-180, 180)
		}
		tilt := between(-5, 12)
		if r.IntN(6) == 0 {
			tilt = between(-90, 90)
		}
		name := fmt.Sprintf("lamp %d", i+1)
		if r.IntN(3) == 0 {
			name += " of a rather long and winding name (left)"
		}
		lamps = append(lamps, rigLamp(name, between(-5, 0), between(-1, 1), between(0.3, 4), between(0, 1.2), tilt,
			turn,
			between(3, 120), math.Exp(between(4, 12))))
	}
	site := geometry.Site{Attitude: geometry.NoseUp(between(-1, 2)*deg, -4)}
	if r.IntN(2) == 0 {
		site.Body = truck()
	}
	if r.IntN(3) == 0 {
		site.Ground.Grade = between(-0.1, 0.1)
	}
	s := subject(fmt.Sprintf("Rig %d", seed), "all", site, lamps...)
	s.Units = units.System(1 - r.IntN(2))
	for i := range lamps {
		s.Keys = append(s.Keys, i+1)
	}
	return s
}

// aimed is a subject before and after its lamps are turned a little, with targets and limits.
func aimed(s Subject) Aiming {
	var lamps []geometry.Lamp
	for i := range s.Parked.Lamps {
		l := s.Parked.Lamps[i].Lamp
		l.Aim.Tilt += []float64{1.5, 0, -0.7, -2}[i%4] * deg
		if i%3 == 2 {
			l.Aim.Turn += 4 * deg
		}
		lamps = append(lamps, l)
	}
	after := s
	after.Scene, after.Parked = s.Scene.Site.Scene(lamps...), s.Parked.Site.Scene(lamps...)
	return Aiming{
		Before: s, After: after, FulfilmentBefore: 0.62, FulfilmentAfter: 0.913,
		Targets: []AimTarget{
			{aim.Target{Name: "near track", From: 3, To: 15, HalfWidth: 3}, 0.81, 1},
			{aim.Target{Name: "far track", From: 15, To: 60, HalfWidth: 2.5}, 0.44, 0.83},
		},
		Limits: []AimLimit{{aim.Limit{Name: "oncoming eye", At: r3.Vec{X: 50, Y: 3.5}, Lux: 5}, 7.13, 4.6}},
	}
}
