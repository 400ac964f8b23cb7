package htmlpage

import (
	"context"
	"encoding/json"
	"path/filepath"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
	"beamfall/geometry/sight"
)

// builder works out a page.
type builder struct {
	rig      *assembly.Rig
	options  Options
	all      *geometry.Scene // the lamps as the rig has them
	lamps    []int           // those shown, and headlights that are lit, by their index in the rig
	entries  []int           // by control, its lamp or pair in the file
	tilts    []tilts         // by control
	variants []variant       // by control and tilt
	tops     []int           // body boxes whose tops the driver sees
	progress func(share float64)

	header header
	tables packer
}

// variant is a control at one of its tilts.
type variant struct {
	control, tilt int
	lamps         []geometry.Mounted
}

// work works out the page. Its tables are read in the order in which they are made here: for each
// air those of light, then those of sight.
func (b *builder) work(ctx context.Context) error {
	if figures.EyeInGround(b.rig) {
		return figures.ErrEyeInGround
	}
	b.vary()
	b.words()
	b.places()
	b.controls()
	if err := b.settings(ctx); err != nil {
		return err
	}
	for i := range b.header.Airs {
		air := &b.header.Airs[i]
		alongs, err := b.alongs(ctx, air)
		if err != nil {
			return err
		}
		if i == 0 { // not a matter of the air
			b.stations(alongs[0].places)
			b.things(alongs)
			b.ahead(alongs[0].parts[0].Thing)
		}
		if err := b.light(ctx, air.rig.Site); err != nil {
			return err
		}
		b.seen(alongs)
	}
	return nil
}

// vary mounts the lamps of the page at every one of their tilts.
func (b *builder) vary() {
	b.lamps = slices.Clone(b.rig.Shown)
	for _, s := range b.rig.Scenes {
		for _, n := range s.Lamps {
			if b.rig.IsHeadlight(n) {
				b.lamps = append(b.lamps, n)
			}
		}
	}
	slices.Sort(b.lamps)
	b.lamps = slices.Compact(b.lamps)
	for _, n := range b.lamps {
		if e := b.rig.Lamps[n].Entry; !slices.Contains(b.entries, e) {
			b.entries = append(b.entries, e)
		}
	}
	b.tilts = allTilts(b.rig, b.entries)
	b.all = b.rig.Lit(assembly.Scene{Lamps: b.lamps})
	for i, t := range b.tilts {
		for k, tilt := range t.at {
			v := variant{control: i, tilt: k}
			for n, index := range b.lamps {
				if b.controlOf(index) == i {
					m := &b.all.Lamps[n]
					aim := geometry.Aim{Tilt: tilt, Turn: m.Lamp.Aim.Turn, Roll: m.Lamp.Aim.Roll}
					v.lamps = append(v.lamps, b.rig.Site.Reaim(m, aim))
				}
			}
			b.variants = append(b.variants, v)
		}
	}
}

// controlOf is what a lamp of the rig, by its index, is set by.
func (b *builder) controlOf(index int) int { return slices.Index(b.entries, b.rig.Lamps[index].Entry) }

// words fills in what is not a matter of places or light.
func (b *builder) words() {
	r, h := b.rig, &b.header
	h.Rig, h.Units, h.Notes, h.Looks = r.File.Name, int(r.System()), b.notes(), bothLooks()
	h.Caution = []string{b.options.Caution}
	if b.options.File != "" && r.File.Base == "" { // a base has no base
		h.Base = filepath.Base(b.options.File)
	}
	for _, n := range b.lamps {
		if c := circuitOf(r, n); !slices.Contains(h.Circuits, c) {
			h.Circuits = append(h.Circuits, c)
		}
	}
	for _, s := range r.Scenes {
		out := scene{Name: s.Name, Circuits: []int{}}
		for i, c := range h.Circuits {
			if slices.ContainsFunc(s.Lamps, func(n int) bool { return circuitOf(r, n) == c }) {
				out.Circuits = append(out.Circuits, i)
			}
		}
		h.Scenes = append(h.Scenes, out)
	}
	h.Airs = airs(r)
}

// circuitOf is what a lamp of the rig, by its index, is switched by.
func circuitOf(r *assembly.Rig, index int) circuit {
	if l := r.EntryOf(index); l.EveryScene {
		return circuit{Name: l.Name}
	}
	return circuit{r.Lamps[index].Circuit, true}
}

// airs are the rig's air, and clear air if that is another.
func airs(r *assembly.Rig) []air {
	const before = 0.2
	if r.Site.Visibility == 0 {
		return []air{{Name: "clear", rig: r, from: before, to: 1}}
	}
	own := air{Name: "visibility " + r.System().Chosen(r.Site.Visibility), rig: r, from: before, to: 0.8}
	if p := r.File.Air.Particles; !p.None() {
		own.Name = p.Name + ", " + own.Name
	}
	clear, file, site := *r, *r.File, *r.Site
	file.Air.Visibility, file.Air.Particles, site.Visibility = rigfile.Opt[float64]{}, sight.Particles{}, 0
	clear.File, clear.Site = &file, &site
	return []air{own, {Name: "clear", rig: &clear, from: own.to, to: 1}}
}

// notes say what the page rests on.
func (b *builder) notes() []string {
	notes := b.rig.Notes()
	if slices.ContainsFunc(b.tilts, func(t tilts) bool { return t.thinned }) {
		notes = append(notes, "With so many lamps, steps between the tilts are left out, so that the page can "+
			"still be mailed.")
	}
	return append(notes,
		"What is seen follows from a model of the eye (W. Adrian 1989) for a driver who looks for the thing; sizes "+
			"and reflectances of the things are this program's choice. It is no measurement, and a stopping "+
			"distance is "+
			"not a safe speed.",
		"Flat diffuse ground, clean lenses, the ratings as given. The page reads no sensor: it shows what the tilts "+
			"that are set or tried do.")
}

// stations fills in the distances along the track, which are those at which sight is worked out.
func (b *builder) stations(places []float64) {
	h := &b.header
	for _, s := range places {
		h.Stations = append(h.Stations, rounded(s))
		h.Speed = append(h.Speed, rounded(b.rig.Braking.Speed(s)))
	}
}

// did tells of progress.
func (b *builder) did(share float64) {
	if b.progress != nil {
		b.progress(share)
	}
}

// pack is the page as one text.
func (b *builder) pack() (string, error) {
	head, err := json.Marshal(&b.header)
	if err != nil {
		return "", err
	}
	b.header.Digest = digest(head, b.tables.Bytes())
	if head, err = json.Marshal(&b.header); err != nil {
		return "", err
	}
	return packed(head, b.tables.Bytes())
}
