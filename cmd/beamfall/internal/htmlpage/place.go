package htmlpage

import (
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// What stands where, and where lamps point, as pictures draw it.

// rounded is a number with no more digits than a drawing needs.
func rounded(v float64) float64 { return math.Round(v*1e4)/1e4 + 0 }

// places fills in what stands where.
func (b *builder) places() {
	site, h := b.rig.Site, &b.header
	h.Vehicle, h.Tops, h.Ahead = vehicle{[][]point{}, [][]point{}}, []string{}, []float64{}
	h.Grid = gridOver(roomFor(b.all, max(5, b.rig.File.Vehicle.Length.Value)), len(b.variants))
	for i := range site.Body {
		box := &site.Body[i]
		driven := func(x, y, z float64) r3.Vec { return site.Attitude.Driven(r3.Vec{X: x, Y: y, Z: z}) }
		var above, aside []point
		for _, c := range [4][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
			x := box.Min.X + c[0]*(box.Max.X-box.Min.X)
			p := driven(x, box.Min.Y+c[1]*(box.Max.Y-box.Min.Y), box.Max.Z)
			q := driven(x, 0, box.Min.Z+c[1]*(box.Max.Z-box.Min.Z))
			above = append(above, point{rounded(p.X), rounded(p.Y)})
			aside = append(aside, point{rounded(q.X), rounded(q.Z)})
		}
		h.Vehicle.FromAbove = append(h.Vehicle.FromAbove, above)
		h.Vehicle.FromAside = append(h.Vehicle.FromAside, aside)
	}
	first, last := h.Grid.X[0], h.Grid.X[len(h.Grid.X)-1]
	at := []float64{first}
	for _, k := range site.Ground.Profile {
		if k.Ahead > first && k.Ahead < last {
			at = append(at, k.Ahead)
		}
	}
	at = append(at, last)
	on := func(x float64) point { return point{rounded(x), rounded(site.Ground.Height(x, 0))} }
	for i := 1; i < len(at); i++ {
		h.Ground = append(h.Ground, [2]point{on(at[i-1]), on(at[i])})
	}
	h.Track, h.Width = trackLine(&site.Track, last), site.Track.Width
	for i, box := range b.rig.File.Body {
		if eye := b.rig.File.Vehicle.Eye.Value; box.Up.High < eye.Up && box.Ahead.High > eye.Ahead {
			b.tops, h.Tops = append(b.tops, i), append(h.Tops, box.Name)
		}
	}
}

// trackLine is the centreline of the track in straight pieces.
func trackLine(t *geometry.Track, end float64) [][2]point {
	at := func(s float64) point {
		x, y := t.Place(s, 0)
		return point{rounded(x), rounded(y)}
	}
	pieces, last := 1, end
	if !t.Straight() {
		pieces, last = 60, min(end, t.End())
	}
	out := make([][2]point, pieces)
	for i := range out {
		out[i] = [2]point{at(last * float64(i) / float64(pieces)), at(last * float64(i+1) / float64(pieces))}
	}
	return out
}

// controls fills in what there is to set and where it points.
func (b *builder) controls() {
	h := &b.header
	for i, t := range b.tilts {
		first := slices.IndexFunc(b.rig.Lamps, func(l assembly.Lamp) bool { return l.Entry == b.entries[i] })
		name := b.rig.EntryOf(first).Name
		c := control{Name: name, Present: t.present, Set: !b.rig.IsHeadlight(first)}
		if l := b.rig.EntryOf(first); l.Flag != "" {
			c.Option, c.Flag = "--lamp", rigfile.FlagWithout(l.Flag, "tilt")
			if l.EveryScene {
				c.Option = "--add"
			}
		}
		for _, tilt := range t.at {
			c.Tilts = append(c.Tilts, assembly.Degrees(tilt))
		}
		for n, index := range b.lamps {
			if l := &b.rig.Lamps[index]; b.controlOf(index) == i {
				p := b.all.Lamps[n].Place
				c.Circuit = slices.Index(h.Circuits, circuitOf(b.rig, index))
				place := r3.Vec{X: rounded(p.X), Y: rounded(p.Y), Z: rounded(p.Z)}
				c.Lamps = append(c.Lamps, lamp{Key: index + 1, Name: l.Name, Place: place})
			}
		}
		h.Controls = append(h.Controls, c)
	}
	for _, v := range b.variants {
		for n := range v.lamps {
			l := &h.Controls[v.control].Lamps[n]
			l.Aims = append(l.Aims, b.aim(&v.lamps[n]))
		}
	}
}

func (b *builder) aim(m *geometry.Mounted) aim {
	section := func(d r3.Vec) point { return point{rounded(d.X), rounded(d.Z)} }
	a := aim{Axis: section(m.Axes.Ahead)}
	if p, ok := b.rig.Site.AxisHit(m); ok {
		a.Hit = &point{rounded(p.X), rounded(p.Y)}
	}
	if lower, upper, ok := m.Edges(); ok {
		lo, up := section(lower), section(upper)
		a.Lower, a.Upper = &lo, &up
	}
	return a
}

// ahead fills in how far ahead pictures show: near, over the ground that is lit, and beyond the
// farthest place where a thing is seen in any scene and air.
func (b *builder) ahead(t sight.Thing) {
	h := &b.header
	farthest := 0.0
	for _, air := range h.Airs {
		along := figures.Look(air.rig, air.rig.Lit(assembly.Scene{Lamps: b.lamps})).Along(t)
		for _, s := range b.rig.Scenes {
			var lit []int
			for n, index := range b.lamps {
				if slices.Contains(s.Lamps, index) {
					lit = append(lit, n)
				}
			}
			if seen := along.Range(lit); seen > farthest { // NaN is not
				farthest = seen
			}
		}
	}
	unit, ahead, step := 1.0, []float64{30, 100}, 50.0
	if h.Units == int(units.Imperial) {
		unit, ahead, step = units.Foot, []float64{100, 300}, 200
	}
	const room = 1.25
	last := h.Grid.X[len(h.Grid.X)-1] / unit
	most := min(math.Floor(last/10)*10, max(2*step, math.Ceil(room*farthest/unit/step)*step))
	for _, d := range append(ahead, most) {
		if d <= last && !slices.Contains(h.Ahead, d*unit) {
			h.Ahead = append(h.Ahead, d*unit)
		}
	}
}
