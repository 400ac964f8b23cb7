package render

import (
	"math"

	"beamfall/render/draw"
	"beamfall/render/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// White posts along both edges of the track tell distances, and show what light there is on upright things.

// The track and its posts, m. They are this project's own choice: a vehicle's width and some room.
const (
	trackHalf   = 1.5
	trackLine   = 0.1 // width of the lines along its edges
	postHigh    = 1.0
	postWide    = 0.1
	postFar     = 500
	postSamples = 24 // of the light, from the foot to the top
)

// Reflectances of what is not the ground: white paint on posts and lines, dark paint on the body.
const (
	postReflectance = 0.8
	lineReflectance = 0.5
	bodyReflectance = 0.1
)

// postEvery is the distance (m) of posts: a round number in the units of the picture.
func (s Subject) postEvery() float64 {
	if s.Units == units.Imperial {
		return 50 * units.Foot
	}
	return 20
}

// post is a post as it is seen.
type post struct {
	ahead      float64 // m from the bumper
	right      bool    // on the right edge of the track
	x0, x1     float64 // px
	foot, top  float64 // px, of all of it
	shownFoot  float64 // px, of the part that no crest hides; above top: none
	luminances [postSamples]float64
}

// posts are those ahead of the eye, the farthest first.
func (s Subject) posts(v *perspective) []post {
	site := s.Scene.Site
	every := s.postEvery()
	n := int(postFar / every)
	posts := make([]post, 2*n)
	draw.Rows(len(posts), func(k int) {
		p := &posts[k]
		p.ahead = every * float64(n-k/2)
		left := trackHalf
		if p.right = k%2 == 1; p.right {
			left = -left
		}
		d := p.ahead - v.Eye.X
		if d < 1 {
			p.shownFoot = math.Inf(-1)
			return
		}
		foot := site.At(p.ahead, left, 0)
		px, _ := v.Pixel(foot)
		half := postWide / 2 * v.Focal / d
		p.x0, p.x1, p.foot, p.top = px.X-half, px.X+half, px.Y, px.Y-postHigh*v.Focal/d
		hidden := skyline(site, v.Eye, d) + site.Ground.CrossFall*v.left(px.X)
		p.shownFoot = min(p.foot, v.Centre.Y-hidden*v.Focal)
		for i := range p.luminances {
			h := (float64(i) + 0.5) / postSamples * postHigh
			at := r3.Add(foot, r3.Vec{Z: h})
			p.luminances[i] = s.Scene.Lux(at, site.Facing(p.ahead, left)) * postReflectance / math.Pi
		}
	})
	return posts
}

// luminance is that at a row of pixels (cd/m²).
func (p *post) luminance(y float64) float64 {
	u := (p.foot-y)/(p.foot-p.top)*postSamples - 0.5
	u = max(0, min(postSamples-1, u))
	i := min(int(u), postSamples-2)
	return p.luminances[i] + (u-float64(i))*(p.luminances[i+1]-p.luminances[i])
}

// over is the length that the stretches a0–a1 and b0–b1 have in common.
func over(a0, a1, b0, b1 float64) float64 { return max(0, min(a1, b1)-max(a0, b0)) }

// brightest is the greatest luminance (cd/m²) of the posts.
func brightest(posts []post) float64 {
	most := 0.0
	for i := range posts {
		for _, l := range posts[i].luminances {
			most = max(most, l)
		}
	}
	return most
}
