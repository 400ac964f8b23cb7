package figures

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"
	"beamfall/geometry/sight"

	"gonum.org/v1/gonum/spatial/r3"
)

// What a driver sees of things on the track. It is worked out once for all lamps and kept lamp by
// lamp: any scene, and any scene without a lamp, is a sum.

// Sight is how far a thing is seen.
type Sight struct {
	Thing string `json:"thing"`
	Seen
}

// Seen is how far along the track, from the bumper, something is seen.
type Seen struct {
	Range    Number    `json:"range_m"`
	Lost     []Gap     `json:"lost"`
	Stop     Speed     `json:"stop_kmh"` // from which the vehicle stops within the range
	NoseUp   Number    `json:"nose_up_range_m"`
	NoseDown Number    `json:"nose_down_range_m"`
	Without  []Without `json:"without"`

	Pitch float64 `json:"-"` // rad by which the nose is up and down then; 0: the rig gives none
	Dense bool    `json:"-"` // the air is too dense for a range to be named
}

// Without is how far the thing is seen when a lamp, or both of a pair, are off.
type Without struct {
	Lamp  string `json:"lamp"`
	Range Number `json:"range_m"`
}

// SightOff is how far a thing is seen with a lamp set too low and too high.
type SightOff struct {
	Thing string `json:"thing"`
	Low   Number `json:"low_m"`
	High  Number `json:"high_m"`
}

// Glow is the light that the air throws back to the driver from straight ahead, and what each lamp
// adds to it.
type Glow struct {
	Ahead float64     `json:"ahead_cd_m2"`
	Lamps []GlowShare `json:"lamps"`
}

// GlowShare is the share of a lamp of the glow.
type GlowShare struct {
	Name  string  `json:"name"`
	Share float64 `json:"share"`
}

// Observer is whose eyes they are.
type Observer struct {
	Age    float64 `json:"age"`
	Glance float64 `json:"glance_s"`
	Level  float64 `json:"visibility_level"`
}

// Things are those of a rig that were asked for by name: all, where none was.
func Things(r *assembly.Rig, names []string) ([]sight.Thing, error) {
	if len(names) == 0 {
		return r.Things, nil
	}
	var out []sight.Thing
	for _, name := range names {
		t, err := thing(r, name)
		if err != nil {
			return nil, fmt.Errorf("--thing: %w", err)
		}
		if !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out, nil
}

// thing is one of those of a rig by its name.
func thing(r *assembly.Rig, name string) (sight.Thing, error) {
	var all []string
	for _, t := range r.Things {
		if t.Name == name {
			return t, nil
		}
		all = append(all, t.Name)
	}
	return sight.Thing{}, assembly.Unknown("thing", name, all)
}

// eyeOf is the driver's eye as driven on a site.
func eyeOf(r *assembly.Rig, site *geometry.Site) r3.Vec {
	e := r.File.Vehicle.Eye.Value
	return site.Attitude.Driven(r3.Vec{X: e.Ahead, Y: e.Left, Z: e.Up})
}

// ErrEyeInGround says that the driver sees nothing.
var ErrEyeInGround = errors.New("the driver's eye is not above the ground; see the eye of the vehicle and the " +
	"ground profile")

// EyeInGround reports whether the driver sees nothing: as driven, the eye is not above the ground.
func EyeInGround(r *assembly.Rig) bool {
	eye := eyeOf(r, r.Site)
	return eye.Z <= r.Site.Ground.Height(eye.X, eye.Y)
}

// Look is the view of a rig's driver at what lamps light. The eye has to be above the ground.
func Look(r *assembly.Rig, lit *geometry.Scene) *sight.View {
	return sight.Look(lit, eyeOf(r, lit.Site), r.Driver, r.Around())
}

// sights are things on the track by the light of a rig's lamps: first as they are set, then each
// set wrong by one angle, then by another.
type sights struct {
	rig    *assembly.Rig
	things []*sight.Along
	names  []string

	noseUp, noseDown []*sight.Along // as set alone; none where the rig gives no pitch

	*Views
	first sight.Thing               // of the things
	aside map[float64][]sight.Parts // the first one across the track, by how far to either side (m)
}

// Views are what a rig's driver has before the eyes by all of its lamps: first as they are set, then
// each set wrong by one angle, then by another. Each thing is worked out when it is first asked for,
// once for all.
type Views struct {
	Driven           *sight.View // nil: the driver sees nothing, or no scene is looked at
	NoseUp, NoseDown *sight.View // as set alone; nil where the rig gives no pitch
}

// ViewsOf are those for a plan of a rig. What those of another rig, which may be nil, know of the same
// lamps in the same place is kept.
func ViewsOf(r *assembly.Rig, o Options, before *Views) *Views {
	return viewsBy(r, setOff(r, 0, o.Tolerance, -o.Tolerance), before)
}

// setOff is the lamps of a rig set by each of some angles (rad) too low.
func setOff(r *assembly.Rig, off ...float64) []geometry.Lamp {
	var lamps []geometry.Lamp
	for _, off := range off {
		for i := range r.Lamps {
			l := r.Lamps[i].Lamp
			l.Aim.Tilt += off
			lamps = append(lamps, l)
		}
	}
	return lamps
}

// viewsBy are those by lamps of which the first are those of the rig as set; before may be nil.
func viewsBy(r *assembly.Rig, lamps []geometry.Lamp, before *Views) *Views {
	v := &Views{}
	if EyeInGround(r) || len(r.Scenes) == 0 {
		return v
	}
	if before == nil {
		before = v
	}
	look := func(site *geometry.Site, lamps []geometry.Lamp, was *sight.View) *sight.View {
		view := Look(r, site.Scene(lamps...))
		if was != nil && was.Eye() == view.Eye() && was.Observer == view.Observer && was.Around == view.Around &&
			reflect.DeepEqual(was.Scene.Site, site) {
			return was.Again(view.Scene)
		}
		return view
	}
	v.Driven = look(r.Site, lamps, before.Driven)
	if pitch := r.File.Vehicle.Pitch.Value; pitch > 0 {
		lamps := lamps[:len(r.Lamps)]
		v.NoseUp = look(r.Pitched(pitch), lamps, before.NoseUp)
		v.NoseDown = look(r.Pitched(-pitch), lamps, before.NoseDown)
	}
	return v
}

// sightsOf works out the things that were asked for by the lamps as they are set.
func sightsOf(ctx context.Context, r *assembly.Rig, o *Options) (*sights, error) {
	return sightsBy(ctx, r, o, viewsBy(r, setOff(r, 0), nil))
}

// sightsBy works out the things that were asked for.
func sightsBy(ctx context.Context, r *assembly.Rig, o *Options, views *Views) (*sights, error) {
	s := &sights{rig: r, Views: views}
	if views.Driven == nil {
		return s, nil
	}
	things, err := Things(r, o.Things)
	if err != nil {
		return nil, err
	}
	s.first = things[0]
	for _, t := range things {
		s.names = append(s.names, t.Name)
	}
	for _, of := range []struct {
		view *sight.View
		to   *[]*sight.Along
	}{{views.Driven, &s.things}, {views.NoseUp, &s.noseUp}, {views.NoseDown, &s.noseDown}} {
		for _, t := range things {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if of.view != nil {
				*of.to = append(*of.to, of.view.Along(t))
			}
		}
	}
	return s, nil
}

// of are the things as a scene lights them.
func (s *sights) of(scene assembly.Scene) []Sight {
	out := []Sight{}
	for k, thing := range s.things {
		seen := thing.Sight(scene.Lamps)
		one := Sight{s.names[k], Seen{
			Range: Number(seen.Range), Lost: []Gap{}, Stop: Speed(s.rig.Braking.Speed(seen.Range)),
			NoseUp: Number(None()), NoseDown: Number(None()), Without: []Without{},
			Pitch: s.rig.File.Vehicle.Pitch.Value, Dense: s.rig.TooDense(),
		}}
		if s.noseUp != nil {
			one.NoseUp, one.NoseDown = Number(s.noseUp[k].Range(scene.Lamps)), Number(s.noseDown[k].Range(scene.Lamps))
		}
		for _, l := range seen.Lost {
			one.Lost = append(one.Lost, Gap{l.From, l.To})
		}
		for _, b := range s.brackets(scene) {
			rest := slices.DeleteFunc(slices.Clone(scene.Lamps), func(n int) bool {
				return slices.Contains(b.lamps, n)
			})
			one.Without = append(one.Without, Without{b.name, Number(thing.Range(rest))})
		}
		out = append(out, one)
	}
	return out
}

// switched is lamps that are switched off together, to see what is lost.
type switched struct {
	name  string
	lamps []int
}

// brackets are the lamps of a scene one by one, and after those of a pair, both.
func (s *sights) brackets(scene assembly.Scene) (out []switched) {
	for k, n := range scene.Lamps {
		l := &s.rig.Lamps[n]
		out = append(out, switched{l.Name, []int{n}})
		if k > 0 && s.rig.Lamps[scene.Lamps[k-1]].Entry == l.Entry {
			out = append(out, switched{s.rig.EntryOf(n).Name, []int{scene.Lamps[k-1], n}})
		}
	}
	return out
}

// off is what is seen with a lamp of the rig set wrong, in the first of the scenes that light it;
// nothing where none does.
func (s *sights) off(lamp int) []SightOff {
	out := []SightOff{}
	i := slices.IndexFunc(s.rig.Scenes, func(scene assembly.Scene) bool { return slices.Contains(scene.Lamps, lamp) })
	if i < 0 {
		return out
	}
	for k, thing := range s.things {
		with := func(other int) Number {
			lit := slices.Clone(s.rig.Scenes[i].Lamps)
			lit[slices.Index(lit, lamp)] = other
			return Number(thing.Range(lit))
		}
		n := len(s.rig.Lamps)
		out = append(out, SightOff{s.names[k], with(n + lamp), with(2*n + lamp)})
	}
	return out
}

// glowOf is the light that the air throws back from straight ahead; nil where it throws none.
func glowOf(r *assembly.Rig, s assembly.Scene, lit *geometry.Scene) *Glow {
	if r.File.Air.Particles.None() || lit.Site.Visibility == 0 || EyeInGround(r) {
		return nil
	}
	out := &Glow{Lamps: []GlowShare{}}
	each := Look(r, lit).Glow(r3.Vec{X: 1})
	for _, l := range each {
		out.Ahead += l
	}
	for i, n := range s.Lamps {
		share := 0.0
		if out.Ahead > 0 {
			share = each[i] / out.Ahead
		}
		out.Lamps = append(out.Lamps, GlowShare{r.Lamps[n].Name, share})
	}
	return out
}

// Cost is what light costs sight: how far a thing is seen in a scene, and how far if the body gave
// no light back.
type Cost struct {
	Scene    string
	Sight    Sight
	DarkBody float64 // m
}

// CostsOf is what light costs sight of the first thing of a rig, scene by scene; none where the
// driver sees nothing.
func CostsOf(ctx context.Context, r *assembly.Rig) ([]Cost, error) {
	if EyeInGround(r) || len(r.Scenes) == 0 {
		return nil, nil
	}
	first := Options{Things: []string{r.Things[0].Name}}
	s, err := sightsOf(ctx, r, &first)
	if err != nil {
		return nil, err
	}
	all := make([]geometry.Lamp, len(r.Lamps))
	for i := range r.Lamps {
		all[i] = r.Lamps[i].Lamp
	}
	dark := r.Around()
	dark.Body = 0
	without := sight.Look(r.Site.Scene(all...), eyeOf(r, r.Site), r.Driver, dark).Along(r.Things[0])
	var out []Cost
	for _, scene := range r.Scenes {
		out = append(out, Cost{scene.Name, s.of(scene)[0], without.Range(scene.Lamps)})
	}
	return out, nil
}

// hoodHides is how far ahead of the bumper (m), at most as far as things are sought, the body hides
// the ground on the centreline from the driver; 0 where it is in sight from the bumper on.
func hoodHides(r *assembly.Rig) float64 {
	return min(Look(r, r.Site.Scene()).BodyHides(), sight.Farthest)
}

// Bend is that of a track.
type Bend struct {
	Radius float64 `json:"radius_m"`
	Side   string  `json:"side"` // left or right
	From   float64 `json:"from_m"`
}

func bendOf(t *geometry.Track) *Bend {
	switch {
	case t.Straight():
		return nil
	case t.Left:
		return &Bend{t.Radius, "left", t.From}
	}
	return &Bend{t.Radius, "right", t.From}
}

// SightAt is what is seen in a scene, and at points every quantity on the way. Pictures and Notes
// are for the caller to fill.
type SightAt struct {
	Rig      string       `json:"rig"`
	Scene    string       `json:"scene"`
	Observer Observer     `json:"observer"`
	Bend     *Bend        `json:"bend"` // of the track; nil: straight
	Things   []SightThing `json:"things"`
	Bends    []BendSight  `json:"bends"` // where they were asked for
	Points   []SightPoint `json:"points"`
	Pictures []string     `json:"pictures"`
	Notes    []string     `json:"notes"`

	Views *Views `json:"-"`
}

// SightThing is how far a thing is seen, and what keeps it from being seen farther.
type SightThing struct {
	Name string `json:"name"`
	Seen
	LimitedBy Limit `json:"limited_by"`

	Of sight.Thing `json:"-"`
}

// Limit is what keeps a thing from being seen farther.
type Limit string

// The limits. A veil counts where without it the thing would be plainer by more than a seventh.
const (
	ByLight  Limit = "light"  // too little falls on it for its size and its background
	ByGround Limit = "ground" // the veil of the light on the ground near by
	ByBody   Limit = "body"   // the veil of the light on the hood
	ByAir    Limit = "air"    // the veil of the light in the air
	Hidden   Limit = "hidden" // behind a crest or the body
	ByEnd    Limit = "end"    // nothing: the bend ends there, after half a turn, or it is looked for no farther
)

// SightPoint is a thing at a point. Lux is the light on it: facing, or ground where it lies.
type SightPoint struct {
	Thing      string  `json:"thing"`
	Ahead      float64 `json:"ahead_m"`
	Left       float64 `json:"left_m"`
	Lux        float64 `json:"lux"`
	Luminance  float64 `json:"thing_cd_m2"`
	Background float64 `json:"background_cd_m2"`
	VeilSum    float64 `json:"veil_cd_m2"`
	Veil       Veil    `json:"veil"`
	Size       float64 `json:"size_arcmin"`
	Threshold  float64 `json:"threshold_cd_m2"`
	Level      float64 `json:"visibility_level"`
	Seen       bool    `json:"seen"`

	Hidden, Lies bool `json:"-"`
}

// Veil is where the veil over a thing comes from, cd/m².
type Veil struct {
	Ground float64 `json:"ground"`
	Body   float64 `json:"body"`
	Air    float64 `json:"air"`
	Sky    float64 `json:"sky"`
}

// SightOf works out how far things are seen in a scene, and what is seen of each of them at places
// on the ground.
func SightOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, places []Place, o Options) (*SightAt, error) {
	if EyeInGround(r) {
		return nil, ErrEyeInGround
	}
	found, views, err := thingsOf(ctx, r, s, &o)
	if err != nil {
		return nil, err
	}
	who := r.Driver
	out := &SightAt{
		Rig: r.File.Name, Scene: s.Name, Observer: Observer{who.Age, who.Glance, who.Level},
		Bend: bendOf(&r.Site.Track), Things: found, Bends: []BendSight{},
		Points: []SightPoint{}, Pictures: []string{}, Notes: []string{}, Views: views,
	}
	view := views.Driven
	for _, p := range places {
		if err := onTrack(&r.Site.Track, p.Ahead); err != nil {
			return nil, err
		}
		for _, thing := range found {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			t := thing.Of
			parts := view.Parts(t, view.OnTrack(p.Ahead, p.Left))
			seen := parts.See(s.Lamps)
			out.Points = append(out.Points, SightPoint{
				Thing: t.Name, Ahead: p.Ahead, Left: p.Left, Lux: seen.Lux, Luminance: seen.Thing,
				Background: seen.Background,
				VeilSum:    seen.Veil.Sum(), Veil: Veil(seen.Veil), Size: parts.Arcmin, Threshold: seen.Threshold,
				Level: seen.Level,
				Seen:  seen.Seen, Hidden: parts.Hidden, Lies: t.Lies,
			})
		}
	}
	return out, nil
}

// thingsOf is how far the things that were asked for are seen in a scene, and in what views.
func thingsOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, o *Options) ([]SightThing, *Views, error) {
	things, err := Things(r, o.Things)
	if err != nil {
		return nil, nil, err
	}
	all, err := sightsOf(ctx, r, o)
	if err != nil {
		return nil, nil, err
	}
	out := []SightThing{}
	for k, seen := range all.of(s) {
		out = append(out, SightThing{seen.Thing, seen.Seen, all.limit(k, s, float64(seen.Range)), things[k]})
	}
	return out, all.Views, nil
}

// limit is what keeps thing k from being seen beyond a range (m, NaN for nowhere).
func (s *sights) limit(k int, scene assembly.Scene, reach float64) Limit {
	const beyond = 1.01
	at := sight.Nearest * beyond
	if !math.IsNaN(reach) {
		at = reach * beyond
	}
	if s.rig.TooDense() {
		return ByAir
	}
	end := min(sight.Farthest, s.rig.Site.Track.End())
	if reach >= end {
		return ByEnd
	}
	p := s.things[k].At(min(at, end))
	if p.Hidden {
		return Hidden
	}
	light := p.Sum(scene.Lamps)
	by, plain := ByLight, p.By(light).Level*8/7
	ground, body, air := light, light, light // without the veil of each
	ground.Veil.Ground, body.Veil.Body, air.Veil.Air = 0, 0, 0
	for _, of := range []struct {
		what    Limit
		without sight.Light
	}{{ByGround, ground}, {ByBody, body}, {ByAir, air}} {
		if level := p.By(of.without).Level; level > plain {
			by, plain = of.what, level
		}
	}
	return by
}

// Worth is how far a thing is seen without a lamp or pair; false where the scene does not light it.
func (s *Seen) Worth(lamp string) (Number, bool) {
	i := slices.IndexFunc(s.Without, func(w Without) bool { return w.Lamp == lamp })
	if i < 0 {
		return Number(None()), false
	}
	return s.Without[i].Range, true
}

// Pair is the name of the pair that a lamp is one of, and whether it is.
func Pair(lamp string) (string, bool) {
	for _, side := range []string{" (left)", " (right)"} {
		if base, is := strings.CutSuffix(lamp, side); is {
			return base, true
		}
	}
	return lamp, false
}
