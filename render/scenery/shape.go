package scenery

import "math"

// The outlines of what stands upright, as signed distances: how far (m) a point is outside of it,
// negative within. Distances are those across the line of sight: u to the right from the middle, v
// up from the foot.

type shape interface {
	// outside is the signed distance (m) of a point, as pixels of a size (m) can show it.
	outside(u, v, pixel float64) float64
	// tone is the factor on the reflectance there.
	tone(u, v, pixel float64) float64
	// uneven is how far (m) the outline is from one whose distance grows evenly.
	uneven() float64
}

func disc(u, v, radius float64) float64 { return math.Sqrt(u*u+v*v) - radius }

// bar is a stroke of a radius from (u0, v0) to (u1, v1).
func bar(u, v, u0, v0, u1, v1, radius float64) float64 {
	du, dv := u1-u0, v1-v0
	t := max(0, min(1, ((u-u0)*du+(v-v0)*dv)/(du*du+dv*dv)))
	return disc(u-u0-t*du, v-v0-t*dv, radius)
}

func slab(u, v, halfWidth, from, to float64) float64 {
	return max(math.Abs(u)-halfWidth, from-v, v-to)
}

// figure is a thing that is looked for, drawn within its width and height. It has one tone: what it
// is made of is known.
type figure struct {
	kind          kind
	width, height float64
}

type kind int

const (
	plain kind = iota // the rectangle itself
	person
	animal
	rock
)

// kinds are the things that have a figure of their own.
var kinds = map[string]kind{"person": person, "animal": animal, "rock": rock}

func (f figure) tone(_, _, _ float64) float64 { return 1 }

func (f figure) uneven() float64 { return 0 }

func (f figure) outside(u, v, _ float64) float64 {
	w, h := f.width/2, f.height
	switch f.kind {
	case person:
		u = math.Abs(u)
		d := min(disc(u, v-0.925*h, 0.075*h), slab(u, v, 0.24*w, 0.8*h, 0.9*h)) // head and neck
		d = min(d, bar(u, v, 0.25*w, 0.80*h, 0.20*w, 0.52*h, 0.33*w))           // half of the trunk
		d = min(d, bar(u, v, 0.62*w, 0.79*h, 0.84*w, 0.48*h, 0.16*w))           // an arm
		return min(d, bar(u, v, 0.34*w, 0.50*h, 0.42*w, 0.03*h+0.22*w, 0.24*w), slab(u-0.42*w, v, 0.26*w, 0, 0.05*h))
	case animal:
		d := bar(u, v, -0.52*w, 0.67*h, 0.34*w, 0.66*h, 0.13*h)
		d = min(d, bar(u, v, 0.34*w, 0.70*h, 0.64*w, 0.90*h, 0.06*h),
			bar(u, v, 0.66*w, 0.91*h, 0.90*w, 0.85*h, 0.045*h))
		d = min(d, bar(u, v, 0.62*w, 0.93*h, 0.54*w, 0.985*h, 0.018*h),
			bar(u, v, -0.70*w, 0.70*h, -0.78*w, 0.60*h, 0.025*h))
		for _, leg := range [4]float64{-0.66, -0.50, 0.26, 0.42} {
			d = min(d, bar(u, v, leg*w, 0.60*h, (leg-0.03)*w, 0.02*h, 0.022*f.width))
		}
		return max(d, -v)
	case rock:
		u, v := u/w, v/h
		r := math.Hypot(u, v) + 0.06*math.Sin(7*u+1)
		return max((r-0.97)*min(w, h), -v*h)
	}
	return slab(u, v, w, 0, h)
}

// bush is leaves in a few lumps that reach the ground.
type bush struct {
	grain grain
	lumps []lump
	seed  float64
	leaf  float64 // m
}

type lump struct {
	u, v, radius float64
	inverse      float64 // of the diameter
}

func (b *bush) outside(u, v, pixel float64) float64 {
	d := math.Inf(1)
	for i := range b.lumps {
		l := &b.lumps[i]
		du, dv := u-l.u, v-l.v
		d = min(d, (du*du+dv*dv-l.radius*l.radius)*l.inverse) // near its edge, the distance
	}
	if d < 3*b.leaf && d > -3*b.leaf {
		d -= 2.2 * b.leaf * b.leaves(u, v, pixel)
	}
	if v < 0.15 {
		d = max(d, 0.03+0.05*b.grain.at(u/0.07, b.seed)-v)
	}
	return d
}

// leaves is a pattern of leaves, -1 to 1, of which pixels of a size (m) show what they can.
func (b *bush) leaves(u, v, pixel float64) float64 {
	p := pixel / b.leaf
	if p > 4.8 {
		return 0
	}
	x, y := u/b.leaf, v/b.leaf
	n := 0.4 * resolved(2.4, p) * b.grain.at(0.32*x+0.25*y+b.seed, 0.32*y-0.25*x)
	if r := resolved(1, p); r > 0 {
		n += 0.45 * r * b.grain.at(0.93*x-0.4*y+b.seed, 0.93*y+0.4*x)
	}
	if r := resolved(0.4, p); r > 0 {
		n += 0.4 * r * b.grain.at(2*x+1.4*y, 2*y-1.4*x+b.seed)
	}
	return n
}

func (b *bush) uneven() float64 { return 3 * b.leaf }

func (b *bush) tone(u, v, pixel float64) float64 {
	return max(0.06, 1+1.2*b.leaves(u, v, pixel))
}

// tree is a trunk below a crown.
type tree struct {
	bush         // the crown
	trunk, crown float64
	conifer      bool
	height, wide float64
}

func (t *tree) outside(u, v, pixel float64) float64 {
	trunk := math.Inf(1)
	if math.Abs(u) < 0.5 && v < 0.9*t.height {
		lean := 0.08 * (t.grain.at(v*0.5+t.seed, 3) - t.grain.at(t.seed, 3))
		trunk = max(math.Abs(u-lean)-t.trunk*(1.1-0.7*v/t.height+0.4*max(0, 0.3-v)), -v)
	}
	if !t.conifer {
		return min(trunk, t.bush.outside(u, v, pixel))
	}
	// branches in tiers, each hanging over the one below
	s := (v - t.crown) / (t.height - t.crown)
	if s < -0.06 || s > 1 {
		return trunk
	}
	out := math.Abs(u)
	if out > 1.2*t.wide*(1.05-s)+0.2 {
		return min(trunk, out)
	}
	tier := 11*(s+0.25*s*s) + 0.35*out/t.wide + 1 // closer together toward the top, and hanging down
	on := tier - float64(int(tier))
	reach := t.wide * (1 - s) * (1.25 - 0.25*(1-s)) * (1.1 - 0.5*on)
	d := out - reach
	if d < 2*t.leaf && d > -2*t.leaf {
		d -= 1.3 * t.leaf * t.leaves(u, v, pixel)
	}
	if s < 0.04 {
		d = max(d, t.crown-v+0.12*t.grain.at(u/0.2, t.seed))
	}
	return min(trunk, 0.8*d)
}

func (t *tree) tone(u, v, pixel float64) float64 {
	if v < t.crown && math.Abs(u) < 2*t.trunk {
		return max(0.2, 1+0.4*resolved(0.06, pixel)*t.grain.at(u/0.03, v/0.25))
	}
	return t.bush.tone(u, v, pixel)
}
