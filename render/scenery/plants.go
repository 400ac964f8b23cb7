package scenery

import (
	"math"

	"beamfall/geometry"
)

// What grows beside the track: bushes near it, trees behind them, at places that are always the
// same.

// Foliage is the reflectance of leaves, needles and bark: this project's choice.
const Foliage = 0.07

// grown is how far along the track plants stand, m.
const grown = 600

// plants are those on both sides of a track of a width.
func plants(site *geometry.Site, half float64) []upright {
	var out []upright
	g := newGrain()
	track := &site.Track
	end := min(grown, track.End())
	for side := -1; side <= 1; side += 2 {
		n := uint64(1000 * (side + 2))
		draw := func() float64 { n++; return chance(n) }
		for s := 1.5; s < end; s += max(3.6, 0.045*s) {
			along := s + 2.4*draw()
			place := func(off float64, p sized) {
				out = append(out, newUpright(site, along, float64(side)*(half+off), Foliage, p))
			}
			switch kind := draw(); {
			case kind < 0.66 || along < 12:
				size := 0.45 + 0.9*draw()*draw()
				place(0.4+size+2.4*draw(), newBush(g, size, draw))
			case kind < 0.86:
				place(3+5*draw(), newConifer(g, 4+6*draw(), draw))
			default:
				place(3.2+5*draw(), newBroadleaf(g, 4+4*draw(), draw))
			}
		}
		for s := 10.; s < end; s += max(6, 0.06*s) { // the edge of the wood
			off := half + 9 + 9*draw()
			out = append(out, newUpright(site, s+4*draw(), float64(side)*off, Foliage, newConifer(g, 6+7*draw(), draw)))
		}
	}
	return out
}

func newBush(g grain, size float64, draw func() float64) sized {
	b := &bush{grain: g, seed: 200 * draw(), leaf: 0.05 + 0.03*draw()}
	for range 6 {
		r := size * (0.32 + 0.25*draw())
		b.lumps = append(b.lumps, lump{(draw() - 0.5) * 1.2 * size, r * (0.55 + 0.9*draw()), r, 1 / (2 * r)})
	}
	return b.sized(b)
}

func newConifer(g grain, height float64, draw func() float64) sized {
	t := &tree{bush: bush{grain: g, seed: 200 * draw(), leaf: 0.11}, conifer: true, height: height}
	t.crown, t.wide, t.trunk = 0.4+1.2*draw(), height*(0.17+0.08*draw()), 0.016*height
	return sized{t, 2.3 * t.wide, height}
}

func newBroadleaf(g grain, height float64, draw func() float64) sized {
	t := &tree{bush: bush{grain: g, seed: 200 * draw(), leaf: 0.1}, height: 0.8 * height, trunk: 0.018 * height}
	t.crown = 0.3 * height
	for range 8 {
		r := height * (0.13 + 0.1*draw())
		t.lumps = append(t.lumps, lump{(draw() - 0.5) * 0.5 * height, height * (0.42 + 0.45*draw()), r, 1 / (2 * r)})
	}
	return t.sized(t)
}

// sized is a shape and the rectangle that holds it.
type sized struct {
	shape
	width, height float64
}

// sized is the rectangle around the lumps of a shape.
func (b *bush) sized(s shape) sized {
	w, h := 0.0, 0.0
	for _, l := range b.lumps {
		w, h = max(w, math.Abs(l.u)+l.radius), max(h, l.v+l.radius)
	}
	return sized{s, 2*w + 6*b.leaf, h + 3*b.leaf}
}
