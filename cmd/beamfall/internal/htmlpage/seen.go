package htmlpage

import (
	"context"
	"slices"

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

// alongTrack is a thing in its places along the track, and what every lamp of every variant does to
// it there.
type alongTrack struct {
	places []float64 // m
	parts  []sight.Parts
}

// atOnce is how many lamps are looked at in one view, which keeps the ground around the eye as each
// of them lights it.
const atOnce = 60

// alongs works out the things that are looked for through an air.
func (b *builder) alongs(ctx context.Context, a *air) ([]alongTrack, error) {
	things, err := figures.Things(a.rig, b.options.Figures.Things)
	if err != nil {
		return nil, err
	}
	var lamps []geometry.Mounted
	for _, v := range b.variants {
		lamps = append(lamps, v.lamps...)
	}
	out := make([]alongTrack, len(things))
	views := (len(lamps) + atOnce - 1) / atOnce
	for n := range views {
		view := figures.Look(a.rig, a.rig.Site.With(lamps[n*atOnce:min((n+1)*atOnce, len(lamps))]...))
		if view.TooDense() {
			a.NoRange = "the air is too dense for a range to be named"
		}
		for i, t := range things {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			along := view.Along(t)
			if n == 0 {
				out[i] = alongTrack{along.Places(), slices.Clone(along.Parts())}
			} else {
				for k, p := range along.Parts() {
					out[i].parts[k].Lamps = append(out[i].parts[k].Lamps, p.Lamps...)
				}
			}
			b.did(a.from + (a.to-a.from)*float64(n*len(things)+i+1)/float64(views*len(things)))
		}
	}
	return out, nil
}

// things fills in what is looked for, and by whom.
func (b *builder) things(alongs []alongTrack) {
	h, r := &b.header, b.rig
	h.Observer = observer{sight.AgeFactor(r.Driver.Age), r.Driver.Glance, r.Driver.Level}
	h.Sight = sightSteps
	dark := figures.Look(r, r.Site.With()) // what hides a thing does so without light too
	for _, along := range alongs {
		t := along.parts[0].Thing
		look := thing{Name: t.Name, Height: t.Height, Hidden: []int{}, Turns: map[int]float64{}}
		if t.Lies {
			look.Height = 0
		}
		for k, p := range along.parts {
			look.Arcmin = append(look.Arcmin, rounded(p.Arcmin))
			if p.Hidden {
				look.Hidden = append(look.Hidden, k)
			}
			if k > 0 && p.Hidden != along.parts[k-1].Hidden {
				look.Turns[k-1] = turn(dark, t, along.places[k-1], along.places[k], p.Hidden)
			}
		}
		h.Things = append(h.Things, look)
	}
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
func (b *builder) seen(alongs []alongTrack) {
	for _, a := range alongs {
		parts := a.parts
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
