package sight

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"
)

// Veil is the luminance (cd/m²) that light scattered within the eye lays over what it looks at, by
// where the light comes from.
type Veil struct {
	Ground, Body, Air, Sky float64
}

// Plus is the two veils together.
func (v Veil) Plus(o Veil) Veil {
	return Veil{v.Ground + o.Ground, v.Body + o.Body, v.Air + o.Air, v.Sky + o.Sky}
}

// Sum is the veil of all of it.
func (v Veil) Sum() float64 { return v.Ground + v.Body + v.Air + v.Sky }

// The veil is an integral over all directions about the line of sight. What lies far off it is
// summed by trees. Close to it, where the veil begins with an edge, it is a fan of half-planes
// through the line of sight: along each, what the eye sees changes at known angles, at the horizon,
// the knots of the ground, the edges of the boxes, and between them a Gauss-Legendre rule in the
// logarithm of the angle takes few points, since the veil of light falls by a power of the angle.
// From 6° to 12° the one passes into the other.

const (
	veilFrom = math.Pi / 180 // rad off the line of sight
	farFrom  = 6 * veilFrom
	farFull  = 12 * veilFrom
	veilTo   = math.Pi / 2
)

// fineness is how finely the veil is integrated.
type fineness struct {
	planes float64 // half-planes in the fan, all around
	nodes  float64 // of the rules, per factor e of the angle
	wide   float64 // and per radian
	cells  float64 // greatest size of a cell of a tree, as a share of its angle off the line of sight
}

// VeilError is the greatest error of the veil, as a share: half of it on the track, all of it far
// aside, where narrow beams fall between the half-planes. Of its parts, that of the body may have
// twice as much, and that of the sky, which is next to nothing, too. All are held against sums over
// very many directions. Where light with hard edges is narrower than the cells of ground which the
// eye looks at, of rigs made up by chance in one of twenty, it is up to 6 %.
const VeilError = 0.01

// usualFineness keeps the veil within VeilError.
var usualFineness = fineness{planes: 32, nodes: 4, wide: 8, cells: 0.12}

// gauss are Gauss-Legendre rules on 0 to 1 by their number of nodes.
var gauss = func() (rules [33]struct{ at, weight []float64 }) {
	for n := 2; n < len(rules); n++ {
		r := &rules[n]
		r.at, r.weight = make([]float64, n), make([]float64, n)
		quad.Legendre{}.FixedLocations(r.at, r.weight, 0, 1)
		rest := 1.0
		for _, w := range r.weight[1 : n-1] {
			rest -= w
		}
		r.weight[0], r.weight[n-1] = rest/2, rest/2 // gonum 0.17 gives the ends no weight for n = 26
	}
	return rules
}()

// fan is the half-planes through a line of sight.
type fan struct {
	line, down, right r3.Vec
}

func newFan(line r3.Vec) fan {
	down := r3.Sub(r3.Scale(line.Z, line), r3.Vec{Z: 1})
	if norm(down) < 1e-9 { // straight up or down
		down = r3.Vec{X: 1}
	}
	down = unit(down)
	return fan{line, down, r3.Cross(line, down)}
}

// aside is the direction square to the line of sight in a half-plane at an angle from straight
// down.
func (f *fan) aside(angle float64) r3.Vec {
	s, c := math.Sincos(angle)
	return r3.Add(r3.Scale(c, f.down), r3.Scale(s, f.right))
}

// dazzle is the veil of one line of sight before it is known which lamps are lit.
type dazzle struct {
	ground, body, air []float64 // cd/m² by lamp
	sky               float64
}

func newDazzle(lamps int) dazzle {
	all := make([]float64, 3*lamps)
	return dazzle{ground: all[:lamps:lamps], body: all[lamps : 2*lamps : 2*lamps], air: all[2*lamps:]}
}

// addTimes adds w times another one of the same lamps.
func (d *dazzle) addTimes(w float64, o *dazzle) {
	for l := range o.ground {
		d.ground[l] += w * o.ground[l]
		d.body[l] += w * o.body[l]
		d.air[l] += w * o.air[l]
	}
	d.sky += w * o.sky
}

// prepare works out, on all cores, what veils over some lines of sight need.
func (v *View) prepare(lines []r3.Vec) {
	if v.scattering > 0 {
		v.dome.prepare(lines)
	}
}

// dazzle works out the veil over a line of sight along the unit vector line.
func (v *View) dazzle(line r3.Vec, fine fineness) dazzle {
	d := newDazzle(len(v.Scene.Lamps))
	f := newFan(line)
	var edges []float64
	covered := 0.0 // of the veil of all directions alike, what is not sky
	turns, planes := v.turns(nil, f), 0
	for i := 1; i < len(turns); i++ {
		from, width := turns[i-1], turns[i]-turns[i-1]
		if width < 1e-9 {
			continue
		}
		rule := &gauss[min(len(gauss)-1, 2+int(width/(2*math.Pi)*fine.planes))]
		for k, at := range rule.at {
			planes++
			_, cut := math.Modf(float64(planes) * golden)
			p := plane{line, f.aside(from + at*width), rule.weight[k] * width, 0.3 + 0.4*cut}
			edges = v.edges(edges[:0], line, p.aside)
			covered += v.dazzlePlane(&d, &p, edges, fine)
		}
	}
	if v.clearSky > 0 {
		d.sky = v.clearSky * max(0, 2*math.Pi*v.sums.upTo(veilTo)-covered)
	}
	v.fore.dazzle(d.ground, line, v.far, fine.cells)
	for i := range v.tops {
		if v.eye.parked.Z > v.eye.boxes[i].Max.Z {
			t := v.topOf(i)
			t.light.dazzle(d.body, line, v.all, fine.cells)
			if t.glow != nil {
				t.glow.dazzle(d.air, line, v.all, fine.cells)
			}
		}
	}
	return d
}

// turns appends the angles about a line of sight between which the fan is cut: those of the corners
// of boxes, where what the half-planes meet changes, and even ones in between.
func (v *View) turns(dst []float64, f fan) []float64 {
	const few, even = 32, 8 // boxes with more corners than that are small
	for i := range even + 1 {
		dst = append(dst, 2*math.Pi*float64(i)/even)
	}
	for _, c := range v.corners[:min(few, len(v.corners))] {
		right, down := r3.Dot(c, f.right), r3.Dot(c, f.down)
		near := math.Atan2(math.Hypot(right, down), r3.Dot(c, f.line)) < 2*farFull
		if angle := math.Atan2(right, down); near || v.scattering > 0 {
			dst = append(dst, math.Mod(angle+2*math.Pi, 2*math.Pi))
		}
	}
	slices.Sort(dst)
	return dst
}

// golden is the golden section, of which the multiples leave the most even gaps.
const golden = 0.6180339887498949

// plane is a half-plane of the fan.
type plane struct {
	line, aside r3.Vec  // the line of sight, and the direction square to it
	width       float64 // angle that it stands for, rad
	cut         float64 // where its panels are cut in two, each plane's elsewhere: edges average out
}

// at is the direction at an angle off the line of sight, given by its sine and cosine.
func (p *plane) at(sin, cos float64) r3.Vec {
	return r3.Vec{
		X: cos*p.line.X + sin*p.aside.X, Y: cos*p.line.Y + sin*p.aside.Y, Z: cos*p.line.Z + sin*p.aside.Z,
	}
}

// dazzlePlane adds the veil of what is seen in a half-plane, given the angles where that changes.
// It returns the veil that an even luminance of 1 cd/m² of all but the sky would give.
func (v *View) dazzlePlane(d *dazzle, p *plane, edges []float64, fine fineness) float64 {
	covered, from, was := 0.0, edges[0], sky
	panel := func(to float64) {
		v.dazzlePanel(d, p, was, from, to, fine)
		if was != sky {
			covered += p.width * (v.sums.upTo(to) - v.sums.upTo(from))
		}
		from = to
	}
	for i := 1; i < len(edges); i++ {
		lo, hi := edges[i-1], edges[i]
		if hi-lo < 1e-9 {
			continue
		}
		sin, cos := math.Sincos((lo + hi) / 2)
		if is := v.eye.looks(p.at(sin, cos)).surface; is != was {
			panel(lo)
			was = is
		}
	}
	panel(edges[len(edges)-1])
	return covered
}

// dazzlePanel adds the veil of what is seen from one angle off the line of sight to another, all of
// it one surface: of the ground that which is near the line of sight, of the air all.
func (v *View) dazzlePanel(d *dazzle, p *plane, seen surface, from, to float64, fine fineness) {
	if v.scattering == 0 || seen == top || seen == face {
		to = min(to, farFull)
	}
	if to <= from || seen == top || seen == face || seen == sky && v.scattering == 0 {
		return
	}
	lo, long := math.Log(from), math.Log(to/from)
	if long < 1 {
		v.dazzlePart(d, p, seen, lo, long, fine)
		return
	}
	v.dazzlePart(d, p, seen, lo, p.cut*long, fine)
	v.dazzlePart(d, p, seen, lo+p.cut*long, (1-p.cut)*long, fine)
}

// dazzlePart does so from an angle with the logarithm lo on, over a part that is long in the
// logarithm, by one rule.
func (v *View) dazzlePart(d *dazzle, p *plane, seen surface, lo, long float64, fine fineness) {
	wide := math.Exp(lo) * math.Expm1(long)
	rule := &gauss[min(len(gauss)-1, 2+int(fine.nodes*long+fine.wide*wide))]
	for k, at := range rule.at {
		angle := math.Exp(lo + long*at)
		sin, cos := math.Sincos(angle)
		weight := rule.weight[k] * long * angle * sin * cos * VeilPerLux(angle, v.Observer.Age) * p.width
		dir := p.at(sin, cos)
		if v.scattering > 0 {
			v.dome.add(d.air, dir, weight)
		}
		if seen != ground || angle >= farFull {
			continue
		}
		if q, ok := v.eye.out.Hit(dir); ok {
			far, _ := ease(angle, farFrom, farFull)
			weight *= (1 - far) * v.Around.Ground / math.Pi
			if v.extinction > 0 {
				weight *= v.through(norm(r3.Sub(q, v.eye.at)))
			}
			v.fore.add(d.ground, q.X, q.Y, weight)
		}
	}
}

// veilSums is ∫ cos θ · v(θ) · sin θ dθ from veilFrom on, by even steps of the logarithm of the
// angle.
type veilSums [65]float64

func newVeilSums(age float64) (s veilSums) {
	step := math.Log(veilTo/veilFrom) / float64(len(s)-1)
	for i := 1; i < len(s); i++ {
		lo := math.Log(veilFrom) + float64(i-1)*step
		rule := &gauss[6]
		s[i] = s[i-1]
		for k, at := range rule.at {
			angle := math.Exp(lo + step*at)
			sin, cos := math.Sincos(angle)
			s[i] += rule.weight[k] * step * angle * sin * cos * VeilPerLux(angle, age)
		}
	}
	return s
}

// upTo is the integral up to an angle.
func (s *veilSums) upTo(angle float64) float64 {
	at := max(0, math.Log(angle/veilFrom)/math.Log(veilTo/veilFrom)*float64(len(s)-1))
	i, on := cell(at, len(s))
	sum := 0.0
	for k, w := range cubic(on) {
		sum += w * s[i+k]
	}
	return sum
}

// edges appends the angles off the line of sight, from veilFrom to veilTo, at which what is seen in
// a half-plane may change.
func (v *View) edges(dst []float64, line, aside r3.Vec) []float64 {
	dst = append(dst, veilFrom, veilTo)
	keep := func(p r3.Vec) { // of a point from the eye, in the half-plane
		if angle := math.Atan2(r3.Dot(p, aside), r3.Dot(p, line)); angle > veilFrom && angle < veilTo {
			dst = append(dst, angle)
		}
	}
	for _, n := range v.horizons {
		// the direction in the half-plane that is square to the normal
		p := r3.Sub(r3.Scale(r3.Dot(n, aside), line), r3.Scale(r3.Dot(n, line), aside))
		keep(p)
		keep(r3.Scale(-1, p))
	}
	square := r3.Cross(line, aside)
	for _, k := range v.knots {
		// knot + y·along, in the plane
		if rate := r3.Dot(square, k.along); rate != 0 {
			keep(r3.Add(k.at, r3.Scale(-r3.Dot(square, k.at)/rate, k.along)))
		}
	}
	for _, e := range v.rims {
		a, b := r3.Dot(square, e[0]), r3.Dot(square, e[1])
		if (a < 0) != (b < 0) {
			keep(r3.Add(r3.Scale(b/(b-a), e[0]), r3.Scale(-a/(b-a), e[1])))
		}
	}
	slices.Sort(dst)
	return dst
}
