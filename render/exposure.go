package render

import (
	"image/color"
	"math"
	"strings"

	"github.com/lucasb-eyer/go-colorful"

	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/units"
)

// An exposure turns luminance into grey as an eye or a camera set for it does: in proportion where it is dark, less and
// less where it is bright. There are two, so that nearly all pictures can be compared with each other.

// exposure is the luminance (cd/m²) that is shown as mid grey, 18 % of full light.
type exposure float64

// usualExposure suits ground of 20 % under 16 lx. Under 1 lx it is then just told from black, and under 300 lx not yet
// white. dimExposure is for an eye that has nothing but little light.
const usualExposure, dimExposure exposure = 1, 0.1

// exposureFor is the exposure for a view whose brightest part has a luminance (cd/m²).
func exposureFor(brightest float64) exposure {
	if brightest < float64(usualExposure) {
		return dimExposure
	}
	return usualExposure
}

// whiteOverGrey is how many times mid grey is shown as white.
const whiteOverGrey = 100

func (e exposure) white() float64 { return whiteOverGrey * float64(e) }

// share is the share of full light that a luminance (cd/m²) is shown with: x (1 + x/w²) / (1 + x), which is x for little
// light and 1 at white (Reinhard et al., Photographic Tone Reproduction for Digital Images, 2002, eq. 4).
func (e exposure) share(luminance float64) float64 {
	const grey = 0.18
	// The x that is shown as grey, but for the term of w, which adds 0.01 % there.
	unit := float64(e) * (1 - grey) / grey
	x, w := luminance/unit, e.white()/unit
	return min(1, x*(1+x/(w*w))/(1+x))
}

// glow is the colour of full light: that of the ink at night.
var glow = draw.Night().Ink

// shades are the colours of shares of full light, by their square roots, in which steps are nearly even to the eye.
type shades [2048]color.RGBA

func newShades() *shades {
	var s shades
	full, _ := colorful.MakeColor(glow)
	r, g, b := full.LinearRgb()
	for i := range s {
		root := float64(i) / float64(len(s)-1)
		d := root * root
		s[i].R, s[i].G, s[i].B = colorful.LinearRgb(r*d, g*d, b*d).RGB255()
		s[i].A = 255
	}
	return &s
}

func (s *shades) of(share float64) color.RGBA {
	return s[int(math.Sqrt(share)*float64(len(s)-1)+0.5)]
}

// exposureStrip is the greys of an exposure: luminance below, and above what gives it on a ground of the given reflectance.
func exposureStrip(e exposure, reflectance float64) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (float64, []draw.Rect) {
		_, h := c.Measure("0", draw.Small)
		box := draw.R(at.X, at.Y, at.X+width, at.Y+2*h+c.U(chart.StripHeight+10))
		bar := draw.R(at.X, at.Y+h+c.U(5), box.X1, at.Y+h+c.U(5+chart.StripHeight))
		below := chart.Frame{Box: bar, Across: chart.Axis{From: float64(e) / 100, To: 2 * e.white(), Log: true, Unit: units.Unit{Name: "cd/m²", Size: 1}}, Up: chart.Axis{To: 1}}
		table := newShades()
		for x := draw.FirstPixel(bar.X0); float64(x) < bar.X1; x++ {
			shade := table.of(e.share(below.AcrossAt(float64(x) + 0.5)))
			c.Fill(shade, draw.R(float64(x), bar.Y0, float64(x+1), bar.Y1).Corners())
		}
		c.Outline(bar.Corners(), draw.Pen{Colour: c.Theme.PlateEdge, Width: 1.5})
		write := func(f chart.Frame, y, tick, anchor float64, what string) {
			unit := f.Across.Unit.Name + what
			w, _ := c.Measure(unit, draw.Small)
			end := box.X1 - w // the unit stands once, at the end
			c.Write(draw.Pt(end, y), unit, draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorY: anchor})
			for _, t := range f.AcrossTicks(c) {
				x := f.X(t.At)
				w, _ := c.Measure(t.Text, draw.Small)
				if t.Text == "" || x-w/2 < box.X0 || x+w/2 > end-c.U(16) {
					continue
				}
				c.Line([]draw.Point{draw.Pt(x, tick), draw.Pt(x, tick+(y-tick)*0.7)}, draw.Pen{Colour: c.Theme.Muted, Width: 1.5})
				c.Write(draw.Pt(x, y), strings.TrimSpace(t.Text), draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorX: 0.5, AnchorY: anchor})
			}
		}
		write(below, bar.Y1+c.U(5), bar.Y1, 0, "")
		if reflectance > 0 {
			above := below
			perLux := reflectance / math.Pi // Lambertian: L = E·ρ/π
			above.Across = chart.Axis{From: below.Across.From / perLux, To: below.Across.To / perLux, Log: true, Unit: units.Lux}
			write(above, bar.Y0-c.U(5), bar.Y0, 1, " on the ground")
		}
		return box.Y1, []draw.Rect{box}
	}
}
