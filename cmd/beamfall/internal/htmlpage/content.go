package htmlpage

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"path/filepath"
	"runtime"
	"slices"
	"sync/atomic"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render/units"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"
)

// What a page holds: a header, which is words and what is few, and tables of numbers, which are
// what every lamp does at every one of its tilts.

// header is what scripts know as rig. Lengths are in metres, angles in degrees, as they are shown.
type header struct {
	Rig     string   `json:"rig"`
	Digest  string   `json:"digest"` // of all else; tells pages apart
	Base    string   `json:"base"`   // name of the rig file; empty if it cannot be a base
	Units   int      `json:"units"`  // 0 metric, 1 imperial
	Caution []string `json:"caution"`
	Notes   []string `json:"notes"`

	Vehicle vehicle    `json:"vehicle"`
	Ground  [][2]point `json:"ground"` // straight pieces of it on the centreline: ahead, up
	Track   [][2]point `json:"track"`  // straight pieces of its centreline from above: ahead, left
	Width   float64    `json:"width"`  // of the track; 0: not known
	Ahead   []float64  `json:"ahead"`  // how far ahead pictures may show

	Controls []control `json:"controls"`
	Circuits []circuit `json:"circuits"`
	Scenes   []scene   `json:"scenes"`
	Airs     []air     `json:"airs"` // the rig's, and clear air if that is another
	Tops     []string  `json:"tops"` // body boxes whose tops the driver sees
	Settings settings  `json:"settings"`

	Grid     grid      `json:"grid"`
	Stations []float64 `json:"stations"` // along the track
	Speed    []float64 `json:"speed"`    // from which the vehicle stops within those, m/s
	Light    steps     `json:"light"`
	Sight    steps     `json:"sight"`
	Observer observer  `json:"observer"`
	Things   []thing   `json:"things"`
	Looks    looks     `json:"looks"`
}

type point = [2]float64

type vehicle struct {
	FromAbove [][]point `json:"fromAbove"` // of each box, its corners: ahead, left
	FromAside [][]point `json:"fromAside"` // ahead, up
}

// control is what one tilt sets: a lamp, or a pair.
type control struct {
	Name    string    `json:"name"`
	Circuit int       `json:"circuit"`
	Set     bool      `json:"set"`    // with a meter, and so in the tables; headlights are not
	Option  string    `json:"option"` // of the command line that the lamp is from; empty for a file
	Flag    string    `json:"flag"`   // what that option says of it, but for the tilt
	Lamps   []lamp    `json:"lamps"`
	Tilts   []float64 `json:"tilts"`
	Present int       `json:"present"` // which of them the rig has

	// By air and tilt: the mean light on each top, lx, and in the eye of who comes the other way
	// the light, lx, and the veil that it makes, cd/m², null where the formula does not hold.
	Tops     [][][]float64   `json:"tops"`
	Oncoming [][][2]*float64 `json:"oncoming"`
}

// lamp is one lamp.
type lamp struct {
	Key   int         `json:"key"`
	Name  string      `json:"name"`
	Place r3.Vec      `json:"place"`
	Aims  []aim       `json:"aims"` // by tilt
	Sets  [2][]string `json:"sets"` // what to set it by, by system of units and tilt
}

// aim is where one tilt of a lamp points: directions in the section as (ahead, up), and where the
// axis meets the ground as (ahead, left). Null is what is not.
type aim struct {
	Hit   *point `json:"hit"`
	Axis  point  `json:"axis"`
	Lower *point `json:"lower"` // half-peak edges
	Upper *point `json:"upper"`
}

// circuit is what is on one switch. A lamp that is lit in every scene, whatever its circuit, has a
// switch of its own, which the rig file knows nothing of.
type circuit struct {
	Name   string `json:"name"`
	InFile bool   `json:"inFile"`
}

type scene struct {
	Name     string `json:"name"`
	Circuits []int  `json:"circuits"`
}

type air struct {
	Name    string `json:"name"`
	NoRange string `json:"noRange"` // why no range is named, if so

	rig      *assembly.Rig // in this air
	from, to float64       // share of all work that is done before it and with it
}

// Options are what a page is asked for beside the rig.
type Options struct {
	Figures figures.Options
	Caution string // in lines
}

// builder works out a page.
type builder struct {
	ctx      context.Context
	rig      *assembly.Rig
	options  Options
	all      *geometry.Scene // the lamps as the rig has them
	lamps    []int           // those shown, and headlights that are lit, by their index in the rig
	entries  []int           // by control, its lamp or pair in the file
	tilts    []tilts         // by control
	variants []variant       // by control and tilt
	progress func(share float64)

	header header
	tables packer
}

// variant is a control at one of its tilts.
type variant struct {
	control, tilt int
	lamps         []geometry.Mounted
}

// work out the page, light last: its tables are read in the order in which they are made here. For
// each air there are those of light, then those of sight.
func (b *builder) work() error {
	b.lamps = slices.Clone(b.rig.Shown)
	for _, s := range b.rig.Scenes {
		b.lamps = append(b.lamps, slices.DeleteFunc(slices.Clone(s.Lamps), func(n int) bool { return !b.rig.IsHeadlight(n) })...)
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
					v.lamps = append(v.lamps, b.rig.Site.Reaim(m, geometry.Aim{Tilt: tilt, Turn: m.Aim.Turn, Roll: m.Aim.Roll}))
				}
			}
			b.variants = append(b.variants, v)
		}
	}
	if figures.EyeInGround(b.rig) {
		return errors.New("the driver's eye is not above the ground; see the eye of the vehicle and the ground profile")
	}
	b.words()
	b.places()
	b.controls()
	if err := b.settings(); err != nil {
		return err
	}
	farthest := 0.0
	for i := range b.header.Airs {
		air := &b.header.Airs[i]
		along, err := b.alongs(air)
		if err != nil {
			return err
		}
		if i == 0 {
			b.stations(along)
		}
		for _, s := range b.rig.Scenes {
			if r := along[0].Sight(b.lit(s)).Range; r > farthest { // not NaN
				farthest = r
			}
		}
		if err := b.light(air.rig.Site); err != nil {
			return err
		}
		b.seen(along)
	}
	b.ahead(farthest)
	return nil
}

// controlOf is what a lamp of the rig, by its index, is set by.
func (b *builder) controlOf(index int) int { return slices.Index(b.entries, b.rig.Lamps[index].Entry) }

// words fills in what is not a matter of places or light.
func (b *builder) words() {
	r, h := b.rig, &b.header
	h.Rig, h.Units, h.Notes, h.Looks = r.File.Name, int(r.System()), b.notes(), bothLooks()
	h.Caution = []string{b.options.Caution}
	if r.File.Source != "" && r.File.Base == "" { // a base has no base
		h.Base = filepath.Base(r.File.Source)
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
	notes := append(b.rig.Notes(),
		"What is seen follows from a model of the eye (W. Adrian 1989) for a driver who looks for the thing; sizes and reflectances "+
			"of the things are this program's choice. It is no measurement, and a stopping distance is not a safe speed.",
		"Flat diffuse ground, clean lenses, the ratings as given. The page reads no sensor: it shows what the tilts that are set or "+
			"tried do.")
	return notes
}

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
			p, q := driven(x, box.Min.Y+c[1]*(box.Max.Y-box.Min.Y), box.Max.Z), driven(x, 0, box.Min.Z+c[1]*(box.Max.Z-box.Min.Z))
			above, aside = append(above, point{rounded(p.X), rounded(p.Y)}), append(aside, point{rounded(q.X), rounded(q.Z)})
		}
		h.Vehicle.FromAbove, h.Vehicle.FromAside = append(h.Vehicle.FromAbove, above), append(h.Vehicle.FromAside, aside)
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
	for i := range site.Body {
		if box, eye := b.rig.File.Body[i], b.rig.File.Vehicle.Eye.Value; box.Up.High < eye.Up && box.Ahead.High > eye.Ahead {
			h.Tops = append(h.Tops, box.Name)
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
				c.Lamps = append(c.Lamps, lamp{Key: index + 1, Name: l.Name, Place: r3.Vec{X: rounded(p.X), Y: rounded(p.Y), Z: rounded(p.Z)}})
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

// stations fills in the distances along the track, which are those at which sight is worked out.
func (b *builder) stations(along []*sight.Along) {
	h := &b.header
	for _, s := range along[0].Places() {
		h.Stations = append(h.Stations, rounded(s))
		h.Speed = append(h.Speed, rounded(b.rig.Braking.Speed(s)))
	}
}

// ahead fills in how far ahead pictures show: near, over the ground that is lit, and beyond the
// farthest place (m) where the first thing is seen in any scene and air.
func (b *builder) ahead(farthest float64) {
	h := &b.header
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

// lit are the lamps of a scene among those of all variants, each as the rig has it.
func (b *builder) lit(s assembly.Scene) []int {
	var lit []int
	first := 0
	for _, v := range b.variants {
		on := slices.ContainsFunc(s.Lamps, func(n int) bool { return b.rig.Lamps[n].Entry == b.entries[v.control] })
		if on && v.tilt == b.tilts[v.control].present {
			for k := range v.lamps {
				lit = append(lit, first+k)
			}
		}
		first += len(v.lamps)
	}
	return lit
}

// did tells of progress.
func (b *builder) did(share float64) {
	if b.progress != nil {
		b.progress(share)
	}
}

// each calls f for 0 to n-1, on all cores, until the context ends.
func (b *builder) each(n int, f func(i int) error) error {
	var next atomic.Int64
	group, ctx := errgroup.WithContext(b.ctx)
	for range min(runtime.GOMAXPROCS(0), n) {
		group.Go(func() error {
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return nil
				}
				if err := ctx.Err(); err != nil {
					return err
				}
				if err := f(i); err != nil {
					return err
				}
			}
		})
	}
	return group.Wait()
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
