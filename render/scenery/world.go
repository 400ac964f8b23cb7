package scenery

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"

	"beamfall/geometry/sight"
	"beamfall/render/draw"

	"gonum.org/v1/gonum/spatial/r3"
)

// World is a scene as its driver sees it. It does not change, and may be looked at through several
// windows at once.
type World struct {
	View  *sight.View
	Eye   r3.Vec
	Stand []Standing // the things, the nearest first

	half     float64 // m, of the width of the track
	uprights []upright
	lying    []lying
}

// Standing is a thing in its place.
type Standing struct {
	Thing sight.Thing
	Along float64 // m along the track
	Left  float64 // m to the left of its centreline
	Foot  r3.Vec  // the middle of it on the ground
}

// lying is a thing that lies on the ground.
type lying struct {
	Standing
	share float64 // its reflectance over that of the ground
}

// TrackWidth is the width (m) of a track that does not say it.
const TrackWidth = 4

// New is the world before an eye, as driven, that looks by the light of a view's lamps, with things
// in their places; Foot follows.
func New(ctx context.Context, v *sight.View, eye r3.Vec, things []Standing) (*World, error) {
	site := v.Scene.Site
	w := &World{View: v, Eye: eye, half: TrackWidth / 2.}
	if site.Track.Width > 0 {
		w.half = site.Track.Width / 2
	}
	for _, s := range things {
		x, y := site.Track.Place(s.Along, s.Left)
		s.Foot = site.At(x, y, 0)
		w.Stand = append(w.Stand, s)
		if s.Thing.Lies {
			w.lying = append(w.lying, lying{s, s.Thing.Reflectance / v.Around.Ground})
			continue
		}
		f := figure{kinds[s.Thing.Name], s.Thing.Width, s.Thing.Height}
		u := newUpright(site, s.Along, s.Left, s.Thing.Reflectance, sized{f, f.width, f.height})
		u.bare = true
		w.uprights = append(w.uprights, u)
	}
	slices.SortStableFunc(w.Stand, func(a, b Standing) int { return cmp.Compare(a.Along, b.Along) })
	for _, p := range plants(site, w.half) {
		if !w.stopped(&p) {
			w.uprights = append(w.uprights, p)
		}
	}
	// the farthest first
	slices.SortStableFunc(w.uprights, func(a, b upright) int { return cmp.Compare(b.foot.X, a.foot.X) })
	draw.Rows(len(w.uprights), func(k int) {
		if ctx.Err() == nil {
			w.uprights[k].light(v, eye)
		}
	})
	return w, ctx.Err()
}

// stopped tells whether a plant has no place: too near the eye, or before the track as that is
// seen.
func (w *World) stopped(p *upright) bool {
	const least, room = 3, 0.8 // m
	ahead := p.foot.X - w.Eye.X
	if ahead < least {
		return true
	}
	track := &w.View.Scene.Site.Track
	if track.Straight() {
		return false
	}
	left, half := (p.foot.Y-w.Eye.Y)/ahead, (p.width/2+room)/ahead
	for s := 1.0; s < min(track.End(), grown); s += 0.5 {
		x, y := track.Place(s, 0)
		if d := x - w.Eye.X; d > ahead && math.Abs((y-w.Eye.Y)/d-left) < half+w.half/d {
			return true
		}
		if math.Hypot(x-p.foot.X, y-p.foot.Y) < w.half+p.width/2 {
			return true
		}
	}
	return false
}

// Through is what is seen through a window from the world's eye. It stops early, with the context's
// error, when the context ends.
func (w *World) Through(ctx context.Context, window Window) (*Luminances, error) {
	window.Eye = w.Eye
	l := &Luminances{Window: window}
	l.Columns, l.Rows = window.size()
	l.Values = make([]float32, l.Columns*l.Rows)
	v, site := w.View, w.View.Scene.Site
	g, err := newGround(ctx, v.Scene, &l.Window)
	if err != nil {
		return nil, err
	}
	b, err := newBody(ctx, v, &l.Window)
	if err != nil {
		return nil, err
	}
	veil, err := w.veil(ctx, &l.Window)
	if err != nil {
		return nil, err
	}
	air, err := w.air(ctx, &l.Window)
	if err != nil {
		return nil, err
	}
	var shown []placed
	for i := range w.uprights {
		if p, ok := w.uprights[i].in(&l.Window, site); ok {
			shown = append(shown, p)
		}
	}
	slices.Reverse(shown) // the nearest first: what it hides need not be looked at
	scape := landscape{w, &l.Window, g, newGrain()}
	strips := sync.Pool{New: func() any { return newStrip(l) }}
	draw.Rows(l.Rows, func(k int) {
		if ctx.Err() != nil {
			return
		}
		s := strips.Get().(*strip)
		defer strips.Put(s)
		s.begin(l, k)
		b.paint(s, scape.behind(s.y), v.Around.Body/math.Pi)
		for k := range shown {
			shown[k].paint(s)
		}
		clear(s.layer)
		if air != nil {
			air.along(s.layer, s.y)
		}
		scape.paint(s, s.layer)
		veil.along(s.layer, s.y)
		for i, veil := range s.layer {
			s.luminance[i] += veil
		}
	})
	return l, ctx.Err()
}

// strip is a row of pixels that is painted from what is near to what is far.
type strip struct {
	x0        int       // px, the first column
	y         float64   // px, the middle of the row
	luminance []float32 // cd/m²
	free      []float32 // of each pixel, the share that nothing is painted on yet
	layer     []float32 // room for what lies over all of it, cd/m²
}

func newStrip(l *Luminances) *strip {
	return &strip{x0: int(math.Round(l.Box.X0)), free: make([]float32, l.Columns), layer: make([]float32, l.Columns)}
}

// begin makes a strip that of a row, with nothing on it.
func (s *strip) begin(l *Luminances, row int) {
	s.y, s.luminance = math.Round(l.Box.Y0)+float64(row)+0.5, l.Values[row*l.Columns:(row+1)*l.Columns]
	for i := range s.free {
		s.free[i] = 1
	}
}

// add paints a share of what is free of a pixel.
func (s *strip) add(i int, share, luminance float64) {
	part := s.free[i] * float32(share)
	s.luminance[i] += part * float32(luminance)
	s.free[i] -= part
	if s.free[i] < 1./512 {
		s.free[i] = 0
	}
}

// landscape is the ground and the sky in a window.
type landscape struct {
	*World
	window *Window
	ground *ground
	grain  grain
}

// behind is how far ahead of the eye (m) the ground is in the columns of a row of the picture (px).
func (l *landscape) behind(y float64) func(x float64) float64 {
	at := func(x float64) float64 {
		d, _ := l.ground.ahead(l.ground.row(l.window.Left(x), l.window.Up(y)))
		return d
	}
	if l.ground.cross != 0 {
		return at
	}
	d := at(0)
	return func(float64) float64 { return d }
}

// paint adds them to what is free of a strip, and before them the glow of the air.
func (l *landscape) paint(s *strip, air []float32) {
	around, site := &l.View.Around, l.View.Scene.Site
	up, perLux, clear := l.window.Up(s.y), around.Ground/math.Pi, site.Visibility == 0
	sky := 0.0 // through air without an end
	if clear {
		sky = around.Sky
	}
	row := l.ground.row(0, up)
	ahead, deep := l.ground.ahead(row)
	pixel := min(ahead, sighted) / l.window.Focal
	grit := newGrit(l.grain, max(deep, 1e-3), pixel)
	// here and in the next pixel; in a row at one distance every second one has the mean of those
	// beside it
	tone, next := 1.0, 0.0
	place := func(i int) (along, left float64) {
		slope := l.window.Left(float64(s.x0+i) + 0.5)
		return l.onTrack(l.Eye.X+ahead, l.Eye.Y+slope*ahead)
	}
	was := -2
	for i, free := range s.free {
		if free == 0 {
			continue
		}
		x := float64(s.x0+i) + 0.5
		slope := l.window.Left(x)
		if l.ground.cross != 0 {
			row = l.ground.row(slope, up)
			ahead, deep = l.ground.ahead(row)
		}
		seen := float64(air[i])
		if math.IsInf(ahead, 1) {
			s.add(i, 1, seen+sky)
			continue
		}
		lux := l.ground.light(row, x)
		if lux == 0 {
			s.add(i, 1, seen)
			continue
		}
		along, left := place(i)
		switch {
		case was != i-1 || l.ground.cross != 0:
			tone = grit.tone(along, left, l.half)
			next = tone
		case i%2 == 1:
			a, b := place(i + 1)
			next = grit.tone(a, b, l.half)
			tone = (tone + next) / 2
		default:
			tone = next
		}
		was = i
		share := tone
		for k := range l.lying {
			share = l.lying[k].over(share, along, left, deep, pixel)
		}
		if !clear {
			share *= transmission(site, ahead*math.Sqrt(1+slope*slope+up*up))
		}
		s.add(i, 1, seen+lux*perLux*share)
	}
}

// onTrack is where a place on the ground is along the track and left of its middle (m).
func (w *World) onTrack(x, y float64) (along, left float64) {
	track := &w.View.Scene.Site.Track
	if track.Straight() || x <= track.From {
		return x, y
	}
	along = track.Nearest(x, y)
	px, py := track.Place(along, 0)
	h := track.Heading(along)
	return along, (y-py)*h.X - (x-px)*h.Y
}

// over lays a thing that lies over a factor on the ground's reflectance, in a pixel of a size (m,
// along and across).
func (t *lying) over(factor, along, left, deep, wide float64) float64 {
	if math.Abs(along-t.Along) > t.Thing.Height/2+deep || math.Abs(left-t.Left) > t.Thing.Width {
		return factor
	}
	part := func(at, size, pixel float64) float64 {
		return over(at-pixel/2, at+pixel/2, -size/2, size/2) / pixel
	}
	cover := part(along-t.Along, t.Thing.Height, max(deep, 1e-6)) * part(left-t.Left, t.Thing.Width, wide)
	return factor + cover*(t.share-factor)
}

// The distance of lines of sight along which veil and glow are worked out, in radians.
const veilAcross, veilDown, airAcross, airDown = 0.11, 0.05, 0.035, 0.025

// veil is the veil over a window.
func (w *World) veil(ctx context.Context, window *Window) (*sheet, error) {
	b := window.Box
	return newSheet(ctx, window, lines(b.X0, b.X1, veilAcross*window.Focal), lines(b.Y0, b.Y1, veilDown*window.Focal),
		func(direction r3.Vec) float64 { return w.veilOver(direction) })
}

func (w *World) veilOver(direction r3.Vec) float64 {
	lamps, veil := w.View.Veil(direction)
	sum := veil.Sum()
	for i := range lamps {
		sum += lamps[i].Sum()
	}
	return sum
}

// air is the glow of the air over a window, as far as the ground and to no end; nil where there is
// none.
func (w *World) air(ctx context.Context, window *Window) (*sheet, error) {
	if !scatters(w.View) {
		return nil, nil
	}
	b, ground := window.Box, &w.View.Scene.Site.Ground
	return newSheet(ctx, window, lines(b.X0, b.X1, airAcross*window.Focal), lines(b.Y0, b.Y1, airDown*window.Focal),
		func(direction r3.Vec) float64 {
			distance := math.Inf(1)
			if p, ok := ground.Hit(w.Eye, direction); ok {
				distance = r3.Norm(r3.Sub(p, w.Eye))
			}
			return glow(w.View, w.Eye, direction, distance)
		})
}

// Edges are the edges of the body in a window (px), as far as it does not hide them itself.
func (w *World) Edges(window Window) [][]draw.Point {
	window.Eye = w.Eye
	return boxesIn(w.View.Scene.Site, &window).edges()
}

// Place is where a window shows a thing (px), and whether all of it that is upright, or the place
// where it lies, is neither hidden by a crest or the body nor beyond the edge.
func (w *World) Place(window Window, s Standing) (r draw.Rect, seen bool) {
	window.Eye = w.Eye
	site := w.View.Scene.Site
	px, ok := window.Pixel(s.Foot)
	if !ok {
		return r, false
	}
	scale := window.Focal / (s.Foot.X - w.Eye.X)
	half := s.Thing.Width / 2 * scale
	height := s.Thing.Height * scale
	if s.Thing.Lies {
		far, _ := window.Pixel(r3.Add(s.Foot, r3.Scale(s.Thing.Height/2, site.Track.Heading(s.Along))))
		near, _ := window.Pixel(r3.Sub(s.Foot, r3.Scale(s.Thing.Height/2, site.Track.Heading(s.Along))))
		r = draw.R(px.X-half, far.Y, px.X+half, near.Y)
	} else {
		r = draw.R(px.X-half, px.Y-height, px.X+half, px.Y)
	}
	at := r3.Add(s.Foot, r3.Vec{Z: s.Thing.Height / 2})
	if s.Thing.Lies {
		at = s.Foot
	}
	d := r3.Sub(at, w.Eye)
	if p, ok := site.Ground.Hit(w.Eye, d); ok && r3.Norm(r3.Sub(p, w.Eye)) < r3.Norm(d)*(1-1e-6) {
		return r, false
	}
	mid, _ := window.Pixel(at)
	return r, window.Box.Contains(r) && boxesIn(site, &window).first(mid.X, mid.Y).box < 0
}
