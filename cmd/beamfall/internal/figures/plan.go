package figures

import (
	"context"
	"sync/atomic"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
)

// Plan is the whole of a rig's figures. Pictures and Notes are for the caller to fill.
type Plan struct {
	Rig      string   `json:"rig"`
	Units    string   `json:"units"`
	Bend     *Bend    `json:"bend"` // of the track; nil: straight
	Scenes   []Scene  `json:"scenes"`
	Lamps    []Lamp   `json:"lamps"`
	Pictures []string `json:"pictures"`
	Notes    []string `json:"notes"`

	Asked      Options `json:"-"`
	Headlights []Lamp  `json:"-"` // the vehicle's own that are lit: where they are, their flux, peak and reach
}

// PlanOf works out the figures of the scenes of a rig and of the lamps shown. Progress is given the
// share done, from any goroutine; it may be nil.
func PlanOf(ctx context.Context, r *assembly.Rig, o Options, progress func(float64)) (*Plan, error) {
	return PlanBy(ctx, r, o, ViewsOf(r, o, nil), progress)
}

// PlanBy does so by views that others look at as well, which are those of ViewsOf.
func PlanBy(ctx context.Context, r *assembly.Rig, o Options, views *Views, progress func(float64)) (*Plan, error) {
	p := &Plan{
		Rig: r.File.Name, Units: r.System().String(), Bend: bendOf(&r.Site.Track), Scenes: make([]Scene, len(r.Scenes)),
		Lamps:    make([]Lamp, len(r.Shown)),
		Pictures: []string{}, Notes: []string{}, Asked: o,
	}
	all := r.Lit(assembly.Scene{Lamps: r.Shown})
	work := len(r.Shown) // in lamps: a scene is about as much work as two times its lamps
	for _, s := range r.Scenes {
		work += 2 * len(s.Lamps)
	}
	var done atomic.Int64
	did := func(lamps int) {
		if n := done.Add(int64(lamps)); progress != nil {
			progress(float64(n) / float64(max(1, work)))
		}
	}
	seen, err := sightsBy(ctx, r, &o, views)
	if err != nil {
		return nil, err
	}
	if err := Each(ctx, len(r.Scenes)+len(r.Shown), func(i int) (err error) {
		if k := i - len(r.Scenes); k >= 0 {
			p.Lamps[k] = lampOf(r, all, k, r.Shown[k], seen, o)
			did(1)
			return nil
		}
		p.Scenes[i], err = sceneOf(ctx, r, r.Scenes[i], seen, o)
		did(2 * len(r.Scenes[i].Lamps))
		return err
	}); err != nil {
		return nil, err
	}
	p.Headlights = headlightsOf(r, o)
	return p, p.glare(ctx, r.File, all)
}

// Things are the names of the things that are seen or not, none where the driver sees nothing.
func (p *Plan) Things() (names []string) {
	if len(p.Scenes) > 0 {
		for _, s := range p.Scenes[0].Sight {
			names = append(names, s.Thing)
		}
	}
	return names
}

// glareLux is the light on top of a box from which on it counts as glare to the driver, lx: common
// practice, no source.
const glareLux = 20

// glare works out which lamps put light on the boxes that the driver sees lit in some scene.
func (p *Plan) glare(ctx context.Context, file *rigfile.Rig, lamps *geometry.Scene) error {
	var boxes []int
	for i := range file.Body {
		for _, s := range p.Scenes {
			if s.BodyLight[i].Seen && s.BodyLight[i].Max >= glareLux {
				boxes = append(boxes, i)
				break
			}
		}
	}
	return Each(ctx, len(p.Lamps), func(i int) error {
		one := lamps.Only(i)
		for _, b := range boxes {
			if l := one.BodyLight(b); l.Max >= glareLux {
				p.Lamps[i].Glare = append(p.Lamps[i].Glare, BodyLight{l.Name, l.Mean, l.Max, true})
			}
		}
		return nil
	})
}
