package geometry_test

import (
	"math"
	"math/rand/v2"
	"sync"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The light of a rig once more, from the formulas of the interface and by brute force: every lamp
// cut into thousands of even emitters, a straight line from each to the point, and every box and
// every knot of the ground asked whether it is in the way. It shares no code with what it checks;
// turns are gonum's rotations.

// lens is a beam in degrees.
type lens struct {
	profile        string // gaussian, field, cosine, uniform
	across, upDown float64
	fieldA, fieldU float64
}

// shape is the same beam as the program has it.
func (l lens) shape() beam.Shape {
	spread := beam.Angles{Across: l.across * deg, UpDown: l.upDown * deg}
	switch l.profile {
	case "gaussian":
		return beam.Gaussian(spread)
	case "field":
		return beam.GaussianField(spread, beam.Angles{Across: l.fieldA * deg, UpDown: l.fieldU * deg})
	case "cosine":
		return beam.Cosine(spread)
	}
	return beam.Uniform(spread)
}

var beams sync.Map // by lens and flux

// withFlux is the beam with a flux (lm), made once.
func (l lens) withFlux(flux float64) beam.Distribution {
	key := struct {
		lens
		flux float64
	}{l, flux}
	if d, ok := beams.Load(key); ok {
		return d.(beam.Distribution)
	}
	d := l.shape().WithFlux(flux)
	beams.Store(key, d)
	return d
}

// relative is the intensity at θ and φ (rad), 1 on the axis.
func (l lens) relative(theta, phi float64) float64 {
	if theta >= math.Pi/2 {
		return 0
	}
	edge := func(across, upDown float64) float64 {
		return 1 / math.Hypot(math.Cos(phi)/(across/2*deg), math.Sin(phi)/(upDown/2*deg))
	}
	half := edge(l.across, l.upDown)
	switch l.profile {
	case "gaussian":
		return math.Pow(2, -math.Pow(theta/half, 2))
	case "field":
		p := math.Log(math.Log2(10)) / math.Log(edge(l.fieldA, l.fieldU)/half)
		return math.Pow(2, -math.Pow(theta/half, p))
	case "cosine":
		return math.Pow(math.Cos(theta), math.Log(0.5)/math.Log(math.Cos(half)))
	}
	if theta <= half {
		return 1
	}
	return 0
}

var peaks sync.Map // of one lumen, by lens

// peak is the intensity on the axis for one lumen over the front hemisphere: even steps in φ, and
// in θ steps that widen from the axis outward.
func (l lens) peak() float64 {
	if p, ok := peaks.Load(l); ok {
		return p.(float64)
	}
	const thetas, phis = 2500, 45
	sum := 0.0
	for i := range phis {
		phi := (float64(i) + 0.5) * math.Pi / 2 / phis
		if l.profile == "uniform" { // a cone's solid angle, exactly
			half := 1 / math.Hypot(math.Cos(phi)/(l.across/2*deg), math.Sin(phi)/(l.upDown/2*deg))
			sum += (1 - math.Cos(half)) * math.Pi / 2 / phis
			continue
		}
		for j := range thetas {
			u := (float64(j) + 0.5) / thetas
			theta := u * u * math.Pi / 2
			sum += l.relative(theta, phi) * math.Sin(theta) * math.Pi * u / thetas * math.Pi / 2 / phis
		}
	}
	p := 1 / (4 * sum)
	peaks.Store(l, p)
	return p
}

// part is one optic: a share of the flux from a part of the width.
type part struct {
	lens  lens
	share float64
	span  string // whole, middle, ends
	ofAll float64
}

// spans of the width, from -1 to 1.
func (p part) spans() [][2]float64 {
	switch p.span {
	case "middle":
		return [][2]float64{{-p.ofAll, p.ofAll}}
	case "ends":
		return [][2]float64{{-1, p.ofAll - 1}, {1 - p.ofAll, 1}}
	}
	return [][2]float64{{-1, 1}}
}

// luminaire is a lamp in degrees and metres.
type luminaire struct {
	at               r3.Vec
	tilt, turn, roll float64
	width, lumens    float64
	parts            []part
}

// rig is everything that a scene is made of.
type rig struct {
	lamps      []luminaire
	boxes      []r3.Box
	noseUp     float64 // degrees
	rearAxle   float64
	grade      float64
	crossFall  float64
	knots      [][2]float64
	visibility float64
}

// scene is the rig as the program has it.
func (r *rig) scene() *geometry.Scene {
	site := &geometry.Site{
		Ground:     geometry.Ground{Grade: r.grade, CrossFall: r.crossFall},
		Attitude:   geometry.NoseUp(r.noseUp*deg, r.rearAxle),
		Visibility: r.visibility,
	}
	for _, k := range r.knots {
		site.Ground.Profile = append(site.Ground.Profile, geometry.Knot{Ahead: k[0], Height: k[1]})
	}
	for _, b := range r.boxes {
		site.Body = append(site.Body, geometry.Box{Min: b.Min, Max: b.Max})
	}
	var lamps []geometry.Lamp
	for _, l := range r.lamps {
		lamp := geometry.Lamp{
			At:    l.at,
			Width: l.width,
			Aim:   geometry.Aim{Tilt: l.tilt * deg, Turn: l.turn * deg, Roll: l.roll * deg},
		}
		for _, p := range l.parts {
			o := geometry.Optic{Beam: p.lens.withFlux(l.lumens * p.share)}
			switch p.span {
			case "middle":
				o.Span = geometry.Middle(p.ofAll)
			case "ends":
				o.Span = geometry.Ends(1 - p.ofAll)
			}
			lamp.Optics = append(lamp.Optics, o)
		}
		lamps = append(lamps, lamp)
	}
	return site.Scene(lamps...)
}

// height of the ground at (x, y).
func (r *rig) height(x, y float64) float64 {
	k := r.knots
	if len(k) == 0 {
		return r.grade*x + r.crossFall*y
	}
	h := k[len(k)-1][1]
	for i := range k {
		if x >= k[i][0] {
			continue
		}
		if h = k[0][1]; i > 0 {
			h = k[i-1][1] + (k[i][1]-k[i-1][1])*(x-k[i-1][0])/(k[i][0]-k[i-1][0])
		}
		break
	}
	return h + r.crossFall*y
}

// normal of the ground at x.
func (r *rig) normal(x float64) r3.Vec {
	const step = 1e-4
	rise := (r.height(x+step, 0) - r.height(x-step, 0)) / (2 * step)
	return r3.Unit(r3.Vec{X: -rise, Y: -r.crossFall, Z: 1})
}

// drive turns what is parked about the rear axle, noseUp degrees.
func (r *rig) drive(p r3.Vec, degrees float64) r3.Vec {
	axle := r3.Vec{X: r.rearAxle}
	return r3.Add(axle, r3.NewRotation(-degrees*deg, r3.Vec{Y: 1}).Rotate(r3.Sub(p, axle)))
}

// blocked tells whether anything stands between the point and an emitter (both as driven).
func (r *rig) blocked(p, emitter r3.Vec) bool {
	for _, k := range r.knots {
		if s := (k[0] - p.X) / (emitter.X - p.X); s > 1e-9 && s < 1-1e-9 {
			on := r3.Add(p, r3.Scale(s, r3.Sub(emitter, p)))
			if on.Z < k[1]+r.crossFall*on.Y-1e-9 {
				return true
			}
		}
	}
	if len(r.boxes) == 0 {
		return false
	}
	a, b := r.drive(p, -r.noseUp), r.drive(emitter, -r.noseUp)
	for _, box := range r.boxes {
		from, to := 0.0, 1.0
		slab := func(a, b, least, most float64) {
			if a == b {
				if a <= least || a >= most {
					to = -1
				}
				return
			}
			s, t := (least-a)/(b-a), (most-a)/(b-a)
			from, to = math.Max(from, math.Min(s, t)), math.Min(to, math.Max(s, t))
		}
		slab(a.X, b.X, box.Min.X, box.Max.X)
		slab(a.Y, b.Y, box.Min.Y, box.Max.Y)
		slab(a.Z, b.Z, box.Min.Z, box.Max.Z)
		if to-from > 1e-9 {
			return true
		}
	}
	return false
}

// sum is an illuminance with what is needed to judge a difference from it.
type sum struct {
	lux    float64
	axial  float64 // what the same lamps would give from where they are if their axes pointed at the plane squarely
	coarse float64 // what one more or less of the emitters would change it by
	soft   bool    // some emitters of a bar light the point and others do not
}

// lux of the rig at p on a plane toward normal, with n emitters along each bar.
func (r *rig) lux(p, normal r3.Vec, n int) sum {
	return r.weighed(p, func(toward r3.Vec) float64 { return r3.Cos(toward, normal) }, n)
}

// weighed is the light of the rig at p, each direction that it comes from weighed, above 0, with n
// emitters along each bar.
func (r *rig) weighed(p r3.Vec, by func(toward r3.Vec) float64, n int) sum {
	var total sum
	for _, l := range r.lamps {
		// from the vehicle's axes by turn, tilt and roll, then by the nose
		yaw := r3.NewRotation(l.turn*deg, r3.Vec{Z: 1})
		ahead, left := yaw.Rotate(r3.Vec{X: 1}), yaw.Rotate(r3.Vec{Y: 1})
		ahead = r3.NewRotation(l.tilt*deg, left).Rotate(ahead)
		left = r3.NewRotation(l.roll*deg, ahead).Rotate(left)
		nose := r3.NewRotation(-r.noseUp*deg, r3.Vec{Y: 1})
		ahead, left = nose.Rotate(ahead), nose.Rotate(left)
		top := r3.Cross(ahead, left)
		centre := r.drive(l.at, r.noseUp)
		for _, part := range l.parts {
			peak := l.lumens * part.share * part.lens.peak()
			total.axial += peak / r3.Norm2(r3.Sub(centre, p))
			spans, length := part.spans(), 0.0
			for _, s := range spans {
				length += s[1] - s[0]
			}
			count := n
			if l.width == 0 {
				spans, count = [][2]float64{{0, 0}}, 1
			}
			for _, s := range spans {
				weight := 1 / float64(count)
				if l.width > 0 {
					weight *= (s[1] - s[0]) / length
				}
				lit, most := 0, 0.0
				for i := range count {
					e := s[0] + (s[1]-s[0])*(float64(i)+0.5)/float64(count)
					emitter := r3.Add(centre, r3.Scale(e*l.width/2, left))
					ray := r3.Sub(p, emitter)
					counts := by(r3.Scale(-1, ray))
					if counts <= 0 || emitter.Z < r.height(emitter.X, emitter.Y) {
						continue
					}
					theta, phi := math.Acos(math.Min(1, r3.Cos(ray, ahead))), math.Atan2(r3.Dot(ray, top),
						r3.Dot(ray, left))
					e2 := peak * part.lens.relative(theta, phi) * counts / r3.Norm2(ray) * weight
					if r.visibility > 0 {
						e2 *= math.Pow(0.05, r3.Norm(ray)/r.visibility)
					}
					if e2 == 0 || r.blocked(p, emitter) {
						continue
					}
					lit++
					most = math.Max(most, e2)
					total.lux += e2
				}
				if lit > 0 && lit < count {
					total.soft = true
					total.coarse += most
				}
			}
		}
	}
	return total
}

// draw makes up rigs. The same seed makes the same rig on every machine.
type draw struct{ *rand.Rand }

func newDraw(seed uint64) draw { return draw{rand.New(rand.NewPCG(seed, 1))} }

func (d draw) between(a, b float64) float64 { return a + (b-a)*d.Float64() }
func (d draw) chance(p float64) bool        { return d.Float64() < p }

// lenses to draw from: every profile from 4° to 150°, round and oval, one field angle and two.
var lenses = []lens{
	{profile: "gaussian", across: 4, upDown: 4}, {profile: "gaussian", across: 10, upDown: 10},
	{profile: "gaussian", across: 36, upDown: 36}, {profile: "gaussian", across: 150, upDown: 150},
	{profile: "gaussian", across: 60, upDown: 12}, {profile: "gaussian", across: 8, upDown: 40},
	{
		profile: "field",
		across:  4,
		upDown:  4,
		fieldA:  12,
		fieldU:  12,
	}, {profile: "field", across: 10, upDown: 10, fieldA: 15, fieldU: 15},
	{
		profile: "field",
		across:  30,
		upDown:  30,
		fieldA:  110,
		fieldU:  110,
	}, {profile: "field", across: 40, upDown: 10, fieldA: 70, fieldU: 15},
	{
		profile: "field",
		across:  60,
		upDown:  20,
		fieldA:  90,
		fieldU:  50,
	}, {profile: "field", across: 12, upDown: 12, fieldA: 13, fieldU: 13},
	{
		profile: "cosine",
		across:  4,
		upDown:  4,
	}, {profile: "cosine", across: 60, upDown: 60}, {profile: "cosine", across: 120, upDown: 120},
	{profile: "cosine", across: 150, upDown: 150}, {profile: "cosine", across: 100, upDown: 30},
	{
		profile: "uniform",
		across:  4,
		upDown:  4,
	}, {profile: "uniform", across: 40, upDown: 40}, {profile: "uniform", across: 150, upDown: 150},
	{profile: "uniform", across: 80, upDown: 20}, {profile: "uniform", across: 6, upDown: 30},
}

func (d draw) lens() lens { return lenses[d.IntN(len(lenses))] }

// rig draws one with up to three lamps, up to three boxes, any ground, attitude and air.
func (d draw) rig() *rig {
	r := &rig{rearAxle: -4}
	for range 1 + d.IntN(3) {
		l := luminaire{
			at:   r3.Vec{X: d.between(-5, 0), Y: d.between(-1, 1), Z: d.between(0.3, 4)},
			tilt: d.between(-5, 25), lumens: []float64{600, 3000, 15000}[d.IntN(3)],
			parts: []part{{lens: d.lens(), share: 1}},
		}
		switch d.IntN(6) {
		case 0, 1, 2:
			l.turn = d.between(-10, 10)
		case 3:
			l.turn = d.between(170, 190)
		case 4:
			l.turn = d.between(-180, 180)
		case 5:
			l.tilt = d.between(-90, 90)
		}
		if d.chance(0.3) {
			l.roll = d.between(-90, 90)
		}
		if d.chance(0.5) {
			l.width = d.between(0.1, 2)
			if d.chance(0.3) {
				share, middle := 0.3+0.4*float64(d.IntN(2)), d.between(0.2, 0.8)
				l.parts = []part{{d.lens(), share, "middle", middle}, {d.lens(), 1 - share, "ends", 1 - middle}}
			}
		}
		r.lamps = append(r.lamps, l)
	}
	if d.chance(0.5) {
		for range 1 + d.IntN(3) {
			at := r3.Vec{X: d.between(-6, 4), Y: d.between(-2, 2), Z: d.between(0, 2)}
			size := r3.Vec{X: d.between(0.1, 2), Y: d.between(0.1, 2), Z: d.between(0.1, 1)}
			r.boxes = append(r.boxes, r3.Box{Min: at, Max: r3.Add(at, size)})
		}
	}
	if d.chance(0.3) {
		r.noseUp = d.between(-4, 4)
	}
	switch d.IntN(4) {
	case 0:
		r.grade = d.between(-0.1, 0.1)
	case 1:
		x, h := d.between(-60, -10), 0.0
		if d.chance(0.7) { // level under the vehicle
			x = -20
		}
		for range 3 + d.IntN(5) {
			r.knots = append(r.knots, [2]float64{x, h})
			if x += d.between(5, 40); len(r.knots) > 1 || x > 3 {
				h += d.between(-2.5, 2)
			}
		}
	}
	if d.chance(0.3) {
		r.crossFall = d.between(-0.08, 0.08)
	}
	if d.chance(0.3) {
		r.visibility = d.between(60, 3000)
	}
	return r
}

// place draws a point 0.5 to 300 m off and a plane through it: mostly where some lamp points, on
// the ground or facing.
func (d draw) place(r *rig) (p, normal r3.Vec) {
	l := r.lamps[d.IntN(len(r.lamps))]
	far := 0.5 * math.Pow(600, d.Float64())
	toward := l.turn
	if d.chance(0.3) {
		toward = d.between(-180, 180)
	} else {
		toward += d.between(-1, 1) * l.parts[0].lens.across
	}
	x, y := l.at.X+far*math.Cos(toward*deg), l.at.Y+far*math.Sin(toward*deg)
	switch d.IntN(4) {
	case 0, 1:
		return r3.Vec{X: x, Y: y, Z: r.height(x, y)}, r.normal(x)
	case 2:
		return r3.Vec{X: x, Y: y, Z: r.height(x, y) + 0.6}, r3.Vec{X: -1}
	}
	normal = r3.Unit(r3.Vec{X: d.NormFloat64(), Y: d.NormFloat64(), Z: d.NormFloat64()})
	return r3.Vec{X: x, Y: y, Z: r.height(x, y) + d.between(0, 3)}, normal
}
