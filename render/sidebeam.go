package render

import (
	"math"

	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// A beam as seen from the side: its axis, and what the body and the ground let through between its
// half-peak edges.

// beamAside is a lamp's beam as seen from the side, m ahead and m up.
type beamAside struct {
	from   draw.Point
	fan    []draw.Point // the ends of rays from the lower to the upper half-peak edge; empty: no such edges
	end    draw.Point   // of the axis, at the body, the ground, or far away
	hit    draw.Point   // of the axis on the ground
	onBody bool         // the axis ends at the body
	onLand bool         // there is a hit
}

// fanRays is the number of rays by which a beam is drawn up to the body or the ground.
const fanRays = 200

// away is how far (m) a ray that meets nothing is followed.
const away = 1e4

func (s Subject) aside(i int) beamAside {
	site, m := s.Scene.Site, &s.Scene.Lamps[i]
	seen := func(p r3.Vec) draw.Point { return draw.Pt(p.X, p.Z) }
	inside := false
	for j := range site.Body {
		inside = inside || site.Body[j].Inside(m.Lamp.At)
	}
	follow := func(d r3.Vec) (end r3.Vec, met encounter) {
		met = cast(site, m.Place, d)
		return r3.Add(m.Place, r3.Scale(min(met.along, away), d)), met
	}
	b := beamAside{from: seen(m.Place)}
	end, met := follow(m.Axes.Ahead)
	if inside {
		end, met.box = m.Place, 0
	}
	b.end, b.onBody = seen(end), met.box >= 0
	if hit, ok := site.AxisHit(m); ok {
		b.hit, b.onLand = seen(hit), true
	}
	lower, upper, ok := m.Edges()
	if !ok || inside {
		return b
	}
	angle := math.Acos(max(-1, min(1, r3.Dot(lower, upper))))
	if !(angle > 0) {
		return b
	}
	across := r3.Sub(upper, r3.Scale(r3.Dot(lower, upper), lower))
	if r3.Norm(across) == 0 {
		return b
	}
	across = r3.Unit(across)
	for k := range fanRays + 1 {
		sin, cos := math.Sincos(angle * float64(k) / fanRays)
		end, _ := follow(r3.Add(r3.Scale(cos, lower), r3.Scale(sin, across)))
		b.fan = append(b.fan, seen(end))
	}
	return b
}
