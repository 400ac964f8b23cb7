package htmlpage

import (
	"context"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/geometry"
	"beamfall/geometry/sight"
)

// What is seen by a page's light. Luminances and veil add up tilt by tilt as light does; whether a
// thing is seen by a sum of them is for the script to say.

// observer is who looks.
type observer struct {
	AgeFactor float64 `json:"ageFactor"`
	Glance    float64 `json:"glance"` // s
	Level     float64 `json:"level"`
}

// thing is what is looked for, and what of it does not depend on lamps.
type thing struct {
	Name   string    `json:"name"`
	Height float64   `json:"height"` // 0 of what lies
	Arcmin []float64 `json:"arcmin"` // by station
	Hidden []int     `json:"hidden"` // the stations where ground or body stand before it

	// By station, where between it and the next the thing comes to be hidden or seen: what share of
	// the way.
	Turns map[int]float64 `json:"turns"`
}

// alongs are the things that are looked for through an air, each worked out along the track with
// every variant of every lamp.
func (b *builder) alongs(ctx context.Context, a *air) ([]*sight.Along, error) {
	var lamps []geometry.Mounted
	for _, v := range b.variants {
		lamps = append(lamps, v.lamps...)
	}
	o := a.rig.Driver
	b.header.Observer, b.header.Sight = observer{sight.AgeFactor(o.Age), o.Glance, o.Level}, sightSteps
	view := figures.Look(a.rig, a.rig.Site.With(lamps...))
	dark := figures.Look(a.rig, a.rig.Site.With()) // what hides a thing does so without light too
	if view.TooDense() {
		a.NoRange = "the air is too dense for a range to be named"
	}
	things, err := figures.Things(a.rig, b.options.Figures.Things)
	if err != nil {
		return nil, err
	}
	var out []*sight.Along
	b.header.Things = nil
	for i, t := range things {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		along := view.Along(t)
		out = append(out, along)
		look := thing{Name: t.Name, Height: t.Height, Hidden: []int{}, Turns: map[int]float64{}}
		if t.Lies {
			look.Height = 0
		}
		for k, p := range along.Parts() {
			look.Arcmin = append(look.Arcmin, rounded(p.Arcmin))
			if p.Hidden {
				look.Hidden = append(look.Hidden, k)
			}
			if k > 0 && p.Hidden != along.Parts()[k-1].Hidden {
				look.Turns[k-1] = turn(dark, t, along.Places()[k-1], along.Places()[k], p.Hidden)
			}
		}
		b.header.Things = append(b.header.Things, look)
		b.did((a.from + (a.to-a.from)*float64(i+1)/float64(len(things))))
	}
	return out, nil
}

// turn is at what share of the way between two distances along the track a thing comes to be
// hidden, or to be no longer hidden.
func turn(view *sight.View, t sight.Thing, from, to float64, hidden bool) float64 {
	low, high := 0.0, 1.0
	for range 12 {
		if mid := (low + high) / 2; view.Parts(t, view.OnTrack(from+mid*(to-from), 0)).Hidden == hidden {
			high = mid
		} else {
			low = mid
		}
	}
	return rounded((low + high) / 2)
}

// seen writes the tables of sight: for each thing the sky's part of its background and of the veil,
// by station; then for each control, with a row for each tilt, the luminance of the thing, that of
// its background, and the veil of ground, body and air, cd/m².
func (b *builder) seen(along []*sight.Along) {
	for _, a := range along {
		parts := a.Parts()
		for _, of := range []func(*sight.Light) float64{
			func(l *sight.Light) float64 { return l.Background },
			func(l *sight.Light) float64 { return l.Veil.Sky },
		} {
			row := make([]float64, len(parts))
			for k := range parts {
				row[k] = of(&parts[k].Dark)
			}
			b.tables.table(row, len(parts), sightSteps)
		}
		lamp := 0
		for from := 0; from < len(b.variants); {
			n, rows := len(b.variants[from].lamps), len(b.tilts[b.variants[from].control].at)
			for _, of := range []func(*sight.Light) float64{
				func(l *sight.Light) float64 { return l.Thing },
				func(l *sight.Light) float64 { return l.Background },
				func(l *sight.Light) float64 { return l.Veil.Ground },
				func(l *sight.Light) float64 { return l.Veil.Body },
				func(l *sight.Light) float64 { return l.Veil.Air },
			} {
				values := make([]float64, rows*len(parts))
				for i := range values {
					part := &parts[i%len(parts)]
					for l := range n {
						values[i] += of(&part.Lamps[lamp+i/len(parts)*n+l])
					}
				}
				b.tables.table(values, len(parts), sightSteps)
			}
			lamp += n * rows
			from += rows
		}
	}
}
