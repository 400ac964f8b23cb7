package render

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"github.com/lucasb-eyer/go-colorful"

	"beamfall/render/chart"
	"beamfall/render/draw"
	"beamfall/render/scenery"
	"beamfall/render/units"
)

// An exposure turns luminance into grey as an eye or a camera set for it does: in proportion where
// it is dark, less and less where it is bright. There are few of them, so that nearly all pictures
// can be compared with each other.

// exposure is the luminance (cd/m²) that is shown as mid grey, 18 % of full light.
type exposure float64

// Under the usual exposure ground of 20 % under 1 lx is just told from black, and under 300 lx not
// yet white; what is brighter than an eye at night is set for glares. The least is for an eye that
// has next to nothing: the sky of a night without a moon is then just told from black.
const usualExposure, leastExposure exposure = 1, 0.03

// adaptation is the luminance (cd/m²) that an eye before a view is adapted to, about: its mean.
func adaptation(l *scenery.Luminances) float64 {
	rows := make([]float64, l.Rows)
	draw.Rows(l.Rows, func(k int) {
		for _, v := range l.Values[k*l.Columns : (k+1)*l.Columns] {
			rows[k] += float64(v)
		}
	})
	sum := 0.0
	for _, v := range rows {
		sum += v
	}
	return max(1e-6, sum/float64(len(l.Values)))
}

// exposureOf is one exposure for several views, so that they can be compared: of 0.03, 0.1, 0.3 and
// 1 cd/m² the nearest to what an eye before them is adapted to on average.
func exposureOf(seen ...*scenery.Luminances) exposure {
	if len(seen) == 0 {
		return usualExposure
	}
	sum := 0.0
	for _, l := range seen {
		sum += math.Log10(adaptation(l))
	}
	n := math.Round(2 * sum / float64(len(seen)))
	e := math.Pow10(int(math.Floor(n / 2)))
	if math.Mod(n, 2) != 0 {
		e *= 3
	}
	return max(leastExposure, min(usualExposure, exposure(units.Steps(e, 1))))
}

// whiteOverGrey is how many times mid grey is shown as white.
const whiteOverGrey = 100

func (e exposure) white() float64 { return whiteOverGrey * float64(e) }

// String says what is shown how.
func (e exposure) String() string {
	return fmt.Sprintf("Exposure: %s cd/m² is shown as mid grey, %s as white, what is darker than mid grey in "+
		"proportion",
		units.Figure(float64(e)), units.Figure(units.Steps(e.white(), 1)))
}

// tones is an exposure made ready for many luminances.
type tones struct {
	perUnit  float64 // 1/(cd/m²)
	perWhite float64 // one over the square of what is shown as white, in units
}

func (e exposure) tones() tones {
	const grey = 0.18
	// The unit whose part x is shown as grey, but for the term of w, which adds 0.01 % there.
	unit := float64(e) * (1 - grey) / grey
	w := e.white() / unit
	return tones{1 / unit, 1 / (w * w)}
}

// share is the share of full light that a luminance (cd/m²) is shown with: x (1 + x/w²) / (1 + x),
// which is x for little light and 1 at white (Reinhard et al., Photographic Tone Reproduction for
// Digital Images, 2002, eq. 4).
func (t tones) share(luminance float64) float64 {
	x := luminance * t.perUnit
	return min(1, x*(1+x*t.perWhite)/(1+x))
}

// shades are the colours of shares of full light, by their square roots, in which steps are nearly
// even to the eye.
type shades [2048]color.RGBA

// newShades are the colours of a theme. At night full light is the ink. On paper it is the white of
// the paper, and no light a light grey, which is as much ink as a view is worth: what is dark is
// darker than what is bright, as on any photograph.
func newShades(theme draw.Theme) *shades {
	var s shades
	light, _ := colorful.MakeColor(theme.Ink)
	paper, _ := colorful.MakeColor(theme.Background)
	printed, _, _ := paper.Lab()
	r, g, b := light.LinearRgb()
	for i := range s {
		root := float64(i) / float64(len(s)-1)
		d := root * root
		if printed > 0.5 {
			l, _, _ := colorful.LinearRgb(d, d, d).Lab()
			s[i].R, s[i].G, s[i].B = colorful.Lab(paperDark+(1-paperDark)*math.Pow(max(0, l), paperGamma), 0,
				0).Clamped().RGB255()
		} else {
			s[i].R, s[i].G, s[i].B = colorful.LinearRgb(r*d, g*d, b*d).RGB255()
		}
		s[i].A = 255
	}
	return &s
}

// On paper no light has the CIELAB lightness paperDark, and in between lightness rises by a power
// that keeps what is dim apart.
const paperDark, paperGamma = 0.55, 0.8

func (s *shades) of(share float64) color.RGBA {
	return s[int(math.Sqrt(share)*float64(len(s)-1)+0.5)]
}

// paint gives a pixel a share of full light.
func (s *shades) paint(px []uint8, share float64) {
	c := s.of(share)
	px[0], px[1], px[2], px[3] = c.R, c.G, c.B, 255
}

// expose paints luminances where they are on a picture.
func expose(c *draw.Canvas, l *scenery.Luminances, e exposure) {
	table, tones := newShades(c.Theme), e.tones()
	c.Pixels(l.Box, func(y int, out []uint8) {
		for i, v := range l.Row(y) {
			table.paint(out[4*i:], tones.share(float64(v)))
		}
	})
}

// exposureStrip is the greys of an exposure: luminance below, and above what gives it on a ground
// of the given reflectance.
func exposureStrip(e exposure, reflectance float64) chart.Flow {
	return func(c *draw.Canvas, at draw.Point, width float64) (float64, []draw.Rect) {
		_, h := c.Measure("0", draw.Small)
		box := draw.R(at.X, at.Y, at.X+width, at.Y+2*h+c.U(chart.StripHeight+10))
		bar := draw.R(at.X, at.Y+h+c.U(5), box.X1, at.Y+h+c.U(5+chart.StripHeight))
		below := chart.Frame{Box: bar, Across: chart.Axis{From: float64(e) / 100, To: 2 * e.white(), Log: true,
			Unit: units.Unit{Name: "cd/m²", Size: 1}}, Up: chart.Axis{To: 1}}
		table, tones := newShades(c.Theme), e.tones()
		c.Pixels(bar, func(_ int, row []uint8) {
			for i := range len(row) / 4 {
				table.paint(row[4*i:], tones.share(below.AcrossAt(math.Round(bar.X0)+float64(i)+0.5)))
			}
		})
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
				c.Line([]draw.Point{draw.Pt(x, tick), draw.Pt(x, tick+(y-tick)*0.7)},
					draw.Pen{Colour: c.Theme.Muted, Width: 1.5})
				c.Write(draw.Pt(x, y), strings.TrimSpace(t.Text),
					draw.Lettering{Role: draw.Small, Colour: c.Theme.Muted, AnchorX: 0.5, AnchorY: anchor})
			}
		}
		write(below, bar.Y1+c.U(5), bar.Y1, 0, "")
		if reflectance > 0 {
			above := below
			perLux := reflectance / math.Pi // Lambertian: L = E·ρ/π
			above.Across = chart.Axis{From: below.Across.From / perLux, To: below.Across.To / perLux, Log: true,
				Unit: units.Lux}
			write(above, bar.Y0-c.U(5), bar.Y0, 1, " on the ground")
		}
		return box.Y1, []draw.Rect{box}
	}
}
