package render

import (
	"context"
	"errors"
	"fmt"
	"image/color"
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// The driver's view: ground, track and posts as bright as they are by the light of the lamps alone, with the body in the
// foreground. Without light it is black.

// ViewOptions is what can be chosen of a driver's view.
type ViewOptions struct {
	Width   int     // px; 0 = UnitWidth
	MidGrey float64 // cd/m² that is shown as mid grey; 0 = 1, or 0.1 where nothing in view is as bright as 1
}

// viewHeight is the height of the view, units.
const viewHeight = 870

// View draws what the driver of a subject sees. The eye must be given, and above the ground.
func View(ctx context.Context, s Subject, theme Theme, o ViewOptions) (*Canvas, error) {
	c, _, err := drawView(ctx, s, theme, o)
	return c, err
}

func drawView(ctx context.Context, s Subject, theme Theme, o ViewOptions) (*Canvas, perspective, error) {
	if o.MidGrey != 0 && !(o.MidGrey > 0 && o.MidGrey < math.Inf(1)) {
		return nil, perspective{}, fmt.Errorf("driver's view: mid grey of %g cd/m²: must be above 0", o.MidGrey)
	}
	site := s.Scene.Site
	if s.Vehicle.Eye.Up == 0 {
		return nil, perspective{}, errors.New("driver's view: the place of the eye is not known")
	}
	eye := site.Attitude.Driven(r3.Vec{X: s.Vehicle.Eye.Ahead, Y: s.Vehicle.Eye.Left, Z: s.Vehicle.Eye.Up})
	if eye.Z <= site.Ground.Height(eye.X, eye.Y) {
		return nil, perspective{}, fmt.Errorf("driver's view: the eye at %.2f m is not above the ground", eye.Z)
	}

	what := "driver's view, eye " + s.length(s.Vehicle.Eye.Up) + " up"
	if s.EyeAssumed {
		what += " (assumed)"
	}
	page, err := NewPage(o.Width, theme)
	if err != nil {
		return nil, perspective{}, err
	}
	r := page.Ruler
	page.Add(TitleBlock(s.Rig, s.details(what)), PageGap)
	_, line := r.Measure("", Small)
	room := page.Add(Space(r.U(viewHeight+14)+line+exposureStrip(1, s.Reflectance).Height(r, page.Width())), PageGap)
	c, texts, err := page.Draw(CautionLine(offRoad))
	if err != nil {
		return nil, perspective{}, err
	}
	box := Rect{math.Round(room.X0), math.Round(room.Y0), math.Round(room.X1), math.Round(room.Y0 + c.U(viewHeight))}
	v := newView(box, eye, farSlope(site, eye))
	v.Labels = texts

	land, err := newLandscape(ctx, s.Scene, &v, c.U(1))
	if err != nil {
		return nil, perspective{}, err
	}
	posts := s.posts(&v)
	e := exposure(o.MidGrey)
	if e == 0 {
		e = exposureFor(max(land.brightest()*s.Reflectance/math.Pi, brightest(posts)))
	}
	v.MidGrey, v.White = float64(e), e.white()
	body := newBodyView(s.Scene, &v, c.U(1))
	if err := ctx.Err(); err != nil {
		return nil, perspective{}, err
	}
	if dark := !c.paintView(&v, s, land, posts, body, e); dark {
		in := c.Inside(box)
		in.Theme = Night()
		v.Labels = append(v.Labels, in.Write(Point{X: box.Centre().X, Y: box.Y0 + 0.7*box.H()}, "no light on anything in view",
			Lettering{Colour: in.Theme.Muted, AnchorX: 0.5, AnchorY: 0.5, Max: box.W() - c.U(20)}))
	}
	if len(s.Scene.Lamps) > 0 { // for a dark hood before its own shadow is not seen; without a light all is black
		c.Inside(box).Lines(body.edges(), Pen{Colour: Night().PlateEdge, Width: 1.5})
	}
	c.labelView(&v, s, posts)

	y := box.Y1 + c.U(8)
	text := fmt.Sprintf("exposure: mid grey %s, white %s cd/m² · reflectance: ground %s, posts %s, body %s",
		figure(float64(e)), figure(units.Steps(e.white(), 1)), figure(s.Reflectance), figure(postReflectance), figure(bodyReflectance))
	words := c.Write(Point{X: room.X0, Y: y}, text, Lettering{Role: Small, Max: room.W()})
	v.Labels = append(v.Labels, words)
	v.Labels = append(v.Labels, exposureStrip(e, s.Reflectance).Draw(c, Rect{room.X0, words.Y1 + c.U(4), room.X1, room.Y1})...)
	return c, v, nil
}

// farSlope is the slope at which the ground is seen in the distance.
func farSlope(site *geometry.Site, eye r3.Vec) float64 {
	const far = 150 // m
	return (site.Ground.Height(far, 0) - eye.Z) / (far - eye.X)
}

// paintView paints the view row by row, and tells whether any of it is not black.
func (c *Canvas) paintView(v *perspective, s Subject, land *landscape, posts []post, body *bodyView, e exposure) bool {
	table := newShades()
	x0, x1, y0 := int(v.Box.X0), int(v.Box.X1), int(v.Box.Y0)
	perLux, onLine := s.Reflectance/math.Pi, lineReflectance/math.Pi
	lit := make([]bool, int(v.Box.Y1)-y0)
	c.Pixels(v.Box, func(row int, out []uint8) {
		y := float64(row) + 0.5
		up := v.up(y)
		light := make([]float64, x1-x0)    // cd/m²
		distance := make([]float64, x1-x0) // m ahead of the eye
		for i := range light {
			left := v.left(float64(x0+i) + 0.5)
			ahead, lux := land.seen(left, up)
			distance[i] = ahead
			if lux == 0 {
				continue
			}
			// The edges of the track, as much of them as the pixel has.
			y, wide := v.Eye.Y+left*ahead, ahead/v.Focal
			line := (over(y-wide/2, y+wide/2, trackHalf-trackLine/2, trackHalf+trackLine/2) +
				over(y-wide/2, y+wide/2, -trackHalf-trackLine/2, -trackHalf+trackLine/2)) / wide
			light[i] = lux * (perLux + line*(onLine-perLux))
		}
		for k := range posts {
			p := &posts[k]
			high := over(y-0.5, y+0.5, p.top, p.shownFoot)
			if high == 0 {
				continue
			}
			luminance := p.luminance(y)
			for x := max(x0, int(math.Floor(p.x0))); x < min(x1, int(math.Ceil(p.x1))); x++ {
				share := high * over(float64(x), float64(x+1), p.x0, p.x1)
				light[x-x0] += share * (luminance - light[x-x0])
			}
		}
		rgb := make([]color.RGBA, len(light))
		for i, l := range light {
			rgb[i] = table.of(e.share(l))
		}
		body.paint(len(rgb), x0, y, distance, func(i int, share, luminance float64) {
			rgb[i] = table.of(e.share(light[i] + share*(luminance-light[i])))
		})
		for i, v := range rgb {
			px := out[4*i : 4*i+4 : 4*i+4]
			px[0], px[1], px[2], px[3] = v.R, v.G, v.B, 255
			lit[row-y0] = lit[row-y0] || v.G > 0
		}
	})
	return slices.Contains(lit, true)
}

// labelView writes the distances of posts beside those on the right, and marks the height of the eye.
func (c *Canvas) labelView(v *perspective, s Subject, posts []post) {
	c.Outline([]Point{{X: v.Box.X0, Y: v.Box.Y0}, {X: v.Box.X1, Y: v.Box.Y0}, {X: v.Box.X1, Y: v.Box.Y1}, {X: v.Box.X0, Y: v.Box.Y1}},
		Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
	in := c.Inside(v.Box)
	in.Theme = Night() // the view is dark on paper, too
	var tags []Tag
	var taken []Rect
	if y := v.Centre.Y; y > v.Box.Y0+c.U(20) && y < v.Box.Y1-c.U(20) {
		mark, left, right := c.U(60), v.Box.X0, v.Box.X1
		in.Lines([][]Point{{{X: left, Y: y}, {X: left + mark, Y: y}}, {{X: right - mark, Y: y}, {X: right, Y: y}}}, Pen{Colour: in.Theme.Muted, Width: 1.5})
		taken = append(taken, Rect{left, y, left + mark, y}.Inset(-c.U(1)), Rect{right - mark, y, right, y}.Inset(-c.U(1)), in.Write(Point{X: left + c.U(8), Y: y - c.U(2)}, "eye level",
			Lettering{Role: Small, Colour: in.Theme.Muted, Backing: Halo, AnchorY: 1}))
	}
	v.Labels = append(v.Labels, taken...)
	every := s.postEvery()
	row := Rect{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)} // of posts, and the track between
	for _, p := range posts {
		if p.shownFoot <= p.top {
			continue
		}
		n := int(math.Round(p.ahead / every))
		top := p.top
		if n == 1 {
			taken = append(taken, Rect{p.x0, p.top, p.x1, p.shownFoot})
			top = p.shownFoot
		}
		row = Rect{min(row.X0, p.x0), min(row.Y0, top), max(row.X1, p.x1), max(row.Y1, p.shownFoot)}
		if named := n == 1 || n == 2 || n == 5 || n == 10; named && p.right && v.Box.Has(Point{X: p.x1, Y: p.top}) {
			text := figure(units.Steps(math.Round(p.ahead/s.Units.Axis().Size), 1)) + " " + s.Units.Axis().Name
			tags = append(tags, Tag{At: Point{X: p.x1, Y: p.top}, Text: text, Priority: -n})
		}
	}
	if row.X0 > row.X1 {
		return // no posts are seen
	}
	taken = append(taken, row)
	bounds := v.Box.Inset(c.U(8))
	bounds.X0 = max(bounds.X0, min(row.Centre().X-c.U(20), bounds.X1-c.U(200))) // on their posts' side
	// The nearest post is beside its text. The texts of those behind it are above all posts, the farther the higher, where
	// they have room there: on the ground they would be nearer than their posts.
	write := func(tags []Tag) {
		boxes, _ := in.Tags(Layout{Bounds: bounds, Taken: taken, Gap: c.U(5)}, tags, c.U(300))
		taken, v.Labels = append(taken, boxes...), append(v.Labels, boxes...)
	}
	behind := slices.IndexFunc(tags, func(t Tag) bool { return t.Priority == -1 })
	if behind < 0 {
		behind = len(tags)
	}
	write(tags[behind:])
	if row.Y0-bounds.Y0 > c.U(200) {
		taken = append(taken, Rect{bounds.X0, row.Y0, bounds.X1, bounds.Y1})
	}
	write(tags[:behind])
}
