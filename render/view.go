package render

import (
	"context"
	"errors"
	"fmt"
	"image/color"
	"math"
	"slices"

	"beamfall/geometry"
	"beamfall/render/chart"
	"beamfall/render/draw"
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
func View(ctx context.Context, s Subject, theme draw.Theme, o ViewOptions) (*draw.Canvas, error) {
	c, _, err := drawView(ctx, s, theme, o)
	return c, err
}

func drawView(ctx context.Context, s Subject, theme draw.Theme, o ViewOptions) (*draw.Canvas, perspective, error) {
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
	page, err := chart.NewPage(o.Width, theme)
	if err != nil {
		return nil, perspective{}, err
	}
	r := page.Ruler
	page.Add(chart.Title(s.Rig, s.details(what)), chart.PageGap)
	_, line := r.Measure("", draw.Small)
	room := page.Add(chart.Space(r.U(viewHeight+14)+line+exposureStrip(1, s.Reflectance).Height(r, page.Width())), chart.PageGap)
	c, texts, err := page.Draw(chart.Caution(offRoad))
	if err != nil {
		return nil, perspective{}, err
	}
	box := draw.R(math.Round(room.X0), math.Round(room.Y0), math.Round(room.X1), math.Round(room.Y0+c.U(viewHeight)))
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
	if dark := !paintView(c, &v, s, land, posts, body, e); dark {
		in := c.Inside(box)
		in.Theme = draw.Night()
		v.Labels = append(v.Labels, in.Write(draw.Pt(box.Centre().X, box.Y0+0.7*box.H()), "no light on anything in view",
			draw.Lettering{Colour: in.Theme.Muted, AnchorX: 0.5, AnchorY: 0.5, Max: box.W() - c.U(20)}))
	}
	if len(s.Scene.Lamps) > 0 { // for a dark hood before its own shadow is not seen; without a light all is black
		c.Inside(box).Lines(body.edges(), draw.Pen{Colour: draw.Night().PlateEdge, Width: 1.5})
	}
	labelView(c, &v, s, posts)

	y := box.Y1 + c.U(8)
	text := fmt.Sprintf("exposure: mid grey %s, white %s cd/m² · reflectance: ground %s, posts %s, body %s",
		units.Figure(float64(e)), units.Figure(units.Steps(e.white(), 1)), units.Figure(s.Reflectance), units.Figure(postReflectance), units.Figure(bodyReflectance))
	words := c.Write(draw.Pt(room.X0, y), text, draw.Lettering{Role: draw.Small, Max: room.W()})
	v.Labels = append(v.Labels, words)
	v.Labels = append(v.Labels, exposureStrip(e, s.Reflectance).Draw(c, draw.R(room.X0, words.Y1+c.U(4), room.X1, room.Y1))...)
	return c, v, nil
}

// farSlope is the slope at which the ground is seen in the distance.
func farSlope(site *geometry.Site, eye r3.Vec) float64 {
	const far = 150 // m
	return (site.Ground.Height(far, 0) - eye.Z) / (far - eye.X)
}

// paintView paints the view row by row, and tells whether any of it is not black.
func paintView(c *draw.Canvas, v *perspective, s Subject, land *landscape, posts []post, body *bodyView, e exposure) bool {
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
func labelView(c *draw.Canvas, v *perspective, s Subject, posts []post) {
	c.Outline(v.Box.Corners(),
		draw.Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
	in := c.Inside(v.Box)
	in.Theme = draw.Night() // the view is dark on paper, too
	var tags []chart.Tag
	var taken []draw.Rect
	if y := v.Centre.Y; y > v.Box.Y0+c.U(20) && y < v.Box.Y1-c.U(20) {
		mark, left, right := c.U(60), v.Box.X0, v.Box.X1
		in.Lines([][]draw.Point{{draw.Pt(left, y), draw.Pt(left+mark, y)}, {draw.Pt(right-mark, y), draw.Pt(right, y)}}, draw.Pen{Colour: in.Theme.Muted, Width: 1.5})
		taken = append(taken, draw.R(left, y, left+mark, y).Inset(-c.U(1)), draw.R(right-mark, y, right, y).Inset(-c.U(1)), in.Write(draw.Pt(left+c.U(8), y-c.U(2)), "eye level",
			draw.Lettering{Role: draw.Small, Colour: in.Theme.Muted, Backing: draw.Halo, AnchorY: 1}))
	}
	v.Labels = append(v.Labels, taken...)
	every := s.postEvery()
	row := draw.R(math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)) // of posts, and the track between
	for _, p := range posts {
		if p.shownFoot <= p.top {
			continue
		}
		n := int(math.Round(p.ahead / every))
		top := p.top
		if n == 1 {
			taken = append(taken, draw.R(p.x0, p.top, p.x1, p.shownFoot))
			top = p.shownFoot
		}
		row = draw.R(min(row.X0, p.x0), min(row.Y0, top), max(row.X1, p.x1), max(row.Y1, p.shownFoot))
		if named := n == 1 || n == 2 || n == 5 || n == 10; named && p.right && v.Box.Has(draw.Pt(p.x1, p.top)) {
			text := units.Figure(units.Steps(math.Round(p.ahead/s.Units.Axis().Size), 1)) + " " + s.Units.Axis().Name
			tags = append(tags, chart.Tag{At: draw.Pt(p.x1, p.top), Text: text, Priority: -n})
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
	write := func(tags []chart.Tag) {
		boxes, _ := chart.Layout{Bounds: bounds, Taken: taken, Gap: c.U(5)}.DrawTags(in, tags, c.U(300))
		taken, v.Labels = append(taken, boxes...), append(v.Labels, boxes...)
	}
	behind := slices.IndexFunc(tags, func(t chart.Tag) bool { return t.Priority == -1 })
	if behind < 0 {
		behind = len(tags)
	}
	write(tags[behind:])
	if row.Y0-bounds.Y0 > c.U(200) {
		taken = append(taken, draw.R(bounds.X0, row.Y0, bounds.X1, bounds.Y1))
	}
	write(tags[:behind])
}
