package geometry_test

import (
	"fmt"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// A round beam is a cone about its axis, the ground a plane: the half-peak line is a conic section
// (Apollonius; any analytic geometry text). With the axis t below the plane, half-angle β and the
// apex h over it, its eccentricity is cos t / cos β: an ellipse for t > β, a parabola for t = β, a
// hyperbola for t < β.

// roundShapes is every profile with one beam angle.
func roundShapes(angle float64) map[string]beam.Shape {
	r := beam.Round(angle)
	return map[string]beam.Shape{
		"gaussian": beam.Gaussian(r), "cosine": beam.Cosine(r), "uniform": beam.Uniform(r),
		"field": beam.GaussianField(r, beam.Round(math.Min(1.6*angle, (angle+math.Pi)/2))),
	}
}

// mounted is a lamp of a site as it hangs there.
func mounted(site *geometry.Site, l geometry.Lamp) *geometry.Mounted { return &site.Scene(l).Lamps[0] }

func TestEllipse(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ tilt, half, height, turn float64 }{
		{30, 10, 2, 0}, {20, 15, 2.05, 130}, {8, 5, 0.75, 0}, {5, 4.9, 1, -20}, {45, 30, 1.5, 180}, {70, 30, 2, 0},
		{89, 40, 3, 75}, {3, 2, 0.6, 0}, {60, 29, 30, -90},
	} {
		sin := func(d float64) float64 { return math.Sin(d * deg) }
		cot := func(d float64) float64 { return 1 / math.Tan(d*deg) }
		nearEdge, farEdge := tt.height*cot(tt.tilt+tt.half), tt.height*cot(tt.tilt-tt.half)
		centre, major := (nearEdge+farEdge)/2, (farEdge-nearEdge)/2
		eccentricity := math.Cos(tt.tilt*deg) / math.Cos(tt.half*deg)
		minor := major * math.Sqrt(1-eccentricity*eccentricity)
		// the same semi-axis from the cone itself: h sin β / √(sin(t+β) sin(t-β))
		near(t, "minor semi-axis, two ways", minor,
			tt.height*sin(tt.half)/math.Sqrt(sin(tt.tilt+tt.half)*sin(tt.tilt-tt.half)), 1e-9)
		for name, shape := range roundShapes(2 * tt.half * deg) {
			site := new(geometry.Site)
			at, aim := r3.Vec{
				X: -1,
				Y: 0.5,
				Z: tt.height,
			}, geometry.Aim{
				Tilt: tt.tilt * deg,
				Turn: tt.turn * deg,
				Roll: 25 * deg,
			}
			m := mounted(site, lamp(at, aim, 0, shape.WithFlux(1000)))
			where := fmt.Sprintf("%s, %v° down, half-angle %v°, turned %v°", name, tt.tilt, tt.half, tt.turn)

			gotNear, gotFar := site.NearFar(m)
			near(t, where+": near edge", gotNear, math.Abs(nearEdge), 1e-6)
			near(t, where+": far edge", gotFar, farEdge, 1e-6)

			runs := site.Footprint(m, 1e6)
			if len(runs) != 1 || runs[0][0] != runs[0][len(runs[0])-1] {
				t.Fatalf("%s: the ellipse is not one closed line", where)
			}
			s, c := math.Sincos(tt.turn * deg)
			widest, least, most := 0.0, math.Inf(1), math.Inf(-1)
			for _, p := range runs[0] {
				d := r3.Sub(p, at)
				x, y := c*d.X+s*d.Y, c*d.Y-s*d.X // along and across the lamp's azimuth
				closeTo(t, where+": (x/a)² + (y/b)²", math.Pow((x-centre)/major, 2)+y*y/(minor*minor), 1, 1e-5)
				widest, least, most = math.Max(widest, math.Abs(y)), math.Min(least, x), math.Max(most, x)
			}
			// the line is of 720 points, so its extremes lie up to a part in 10⁴ within
			near(t, where+": minor semi-axis", widest, minor, 2e-4)
			near(t, where+": centre", (least+most)/2, centre, 1e-4)
			near(t, where+": major semi-axis", (most-least)/2, major, 1e-4)
			closeTo(t, where+": eccentricity", math.Sqrt(1-widest*widest/((most-least)*(most-least)/4)), eccentricity,
				3e-4)
		}
	}
}

func TestCircleStraightBelow(t *testing.T) {
	for name, shape := range roundShapes(40 * deg) {
		site := new(geometry.Site)
		at := r3.Vec{X: 3, Y: -2, Z: 2.5}
		m := mounted(site, lamp(at, down, 0, shape.WithFlux(1000)))
		radius := 2.5 * math.Tan(20*deg)
		runs := site.Footprint(m, 100)
		if len(runs) != 1 {
			t.Fatalf("%s: %d lines", name, len(runs))
		}
		for _, p := range runs[0] {
			near(t, name+": radius", m.Range(p), radius, 1e-6)
		}
		// one edge on either side: behind the lamp and ahead of it
		n, f := site.NearFar(m)
		near(t, name+": near", n, radius, 1e-6)
		near(t, name+": far", f, radius, 1e-6)
	}
}

func TestParabolaAndHyperbolaAreOpen(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ tilt, half float64 }{
		{2, 2}, {5, 5}, {7.5, 7.5}, {10, 10}, {18, 18}, {30, 30}, {60, 60}, // parabola
		{0, 5}, {4, 5}, {5, 18}, {2, 1.9999 + 1e-4 + 1e-4}, {20, 60}, {-3, 10}, {0, 80}, // hyperbola
	} {
		const height, limit = 2.0, 300.0
		for name, shape := range roundShapes(2 * tt.half * deg) {
			site := new(geometry.Site)
			at := r3.Vec{X: 1, Z: height}
			m := mounted(site, lamp(at, tilted(tt.tilt), 0, shape.WithFlux(1000)))
			where := fmt.Sprintf("%s, %v° down, half-angle %v°", name, tt.tilt, tt.half)
			gotNear, gotFar := site.NearFar(m)
			near(t, where+": near edge", gotNear, math.Abs(height/math.Tan((tt.tilt+tt.half)*deg)), 1e-6)
			if !math.IsNaN(gotFar) {
				t.Errorf("%s: far edge at %v m; it never meets the ground", where, gotFar)
			}
			runs := site.Footprint(m, limit)
			if len(runs) != 1 {
				t.Errorf("%s: %d lines, want one", where, len(runs))
				continue
			}
			run := runs[0]
			for _, p := range run {
				// on the cone: angle from the axis is β
				closeTo(t, where+": angle from the axis", math.Acos(r3.Cos(r3.Sub(p, at), m.Axes.Ahead))/deg, tt.half,
					1e-4)
			}
			first, last := run[0], run[len(run)-1]
			if first.Y*last.Y > 0 {
				t.Errorf("%s: both ends on one side of the axis", where)
			}
			for _, end := range []r3.Vec{first, last} {
				near(t, where+": cut at the limit", m.Range(end), limit, 1e-6)
			}
		}
	}
}

func TestOvalBeamOnAWall(t *testing.T) {
	// A beam of 40° × 10° aimed straight down at 2 m: half-peak edge 2·tan θh(φ) from the foot,
	// θh(φ) of the interface.
	spread := beam.Angles{Across: 40 * deg, UpDown: 10 * deg}
	for name, shape := range map[string]beam.Shape{
		"gaussian": beam.Gaussian(spread), "cosine": beam.Cosine(spread), "uniform": beam.Uniform(spread),
		"field": beam.GaussianField(spread, beam.Angles{Across: 70 * deg, UpDown: 40 * deg}),
	} {
		for _, roll := range []float64{0, 30, 90} {
			site := new(geometry.Site)
			m := mounted(site,
				lamp(r3.Vec{Z: 2}, geometry.Aim{Tilt: 90 * deg, Roll: roll * deg}, 0, shape.WithFlux(100)))
			for _, p := range site.Footprint(m, 100)[0] {
				// Looking down with the lamp's top ahead, its left is the vehicle's left; roll
				// turns the top to the right.
				phi := math.Atan2(p.X, p.Y) - roll*deg
				want := 1 / math.Sqrt(math.Pow(math.Cos(phi)/(20*deg), 2)+math.Pow(math.Sin(phi)/(5*deg), 2))
				near(t, fmt.Sprintf("%s rolled %v°: half-peak angle", name, roll), math.Atan(m.Range(p)/2), want, 1e-6)
			}
		}
	}
}

func TestBeamInTheSkyHasNoFootprint(t *testing.T) {
	site := new(geometry.Site)
	m := mounted(site, lamp(r3.Vec{Z: 2}, tilted(-20), 0, beam.Gaussian(beam.Round(20*deg)).WithFlux(100)))
	if runs := site.Footprint(m, 1000); len(runs) != 0 {
		t.Errorf("%d lines", len(runs))
	}
	if n, f := site.NearFar(m); !math.IsNaN(n) || !math.IsNaN(f) {
		t.Errorf("near %v, far %v", n, f)
	}
	if hit, ok := site.AxisHit(m); ok {
		t.Errorf("axis hits at %v", hit)
	}
}

func TestEdgePastStraightDownMeetsTheGroundBehind(t *testing.T) {
	// 80° down with a half-angle of 30°: lower edge 110° below ahead, which is 70° below astern, 2
	// m · cot 70° behind the lamp. A distance it is all the same.
	for _, turn := range []float64{0, 90, 180} {
		site := new(geometry.Site)
		m := mounted(site, lamp(r3.Vec{Y: 1, Z: 2}, geometry.Aim{Tilt: 80 * deg, Turn: turn * deg}, 0,
			beam.Gaussian(beam.Round(60*deg)).WithFlux(100)))
		n, f := site.NearFar(m)
		near(t, "near", n, 2/math.Tan(70*deg), 1e-6)
		near(t, "far", f, 2/math.Tan(50*deg), 1e-6)
	}
}

func TestFootprintOpenAtItsSideIsOneLine(t *testing.T) {
	// Aimed to the left, 41° down with a half-angle of 40°, on ground that falls 40 % ahead: the
	// top of the beam meets the ground far to the left, but what leans ahead of it does not.
	site := &geometry.Site{Ground: geometry.Ground{Grade: -0.4}}
	m := mounted(
		site,
		lamp(r3.Vec{Z: 2}, geometry.Aim{Tilt: 41 * deg, Turn: 90 * deg}, 0,
			beam.Gaussian(beam.Round(80*deg)).WithFlux(1)),
	)
	if _, far := site.NearFar(m); math.IsNaN(far) {
		t.Fatal("the top of the beam does not meet the ground")
	}
	const limit = 500.0
	runs := site.Footprint(m, limit)
	if len(runs) != 1 {
		t.Fatalf("%d lines, want one", len(runs))
	}
	for i, p := range runs[0] {
		closeTo(t, "angle from the axis", math.Acos(r3.Cos(r3.Sub(p, m.Place), m.Axes.Ahead))/deg, 40, 1e-4)
		if ends := i == 0 || i == len(runs[0])-1; ends != (math.Abs(m.Range(p)-limit) < 1e-3) {
			t.Errorf("point %d of %d is at %.3f m; only the ends are cut, at %v m", i, len(runs[0]), m.Range(p), limit)
		}
	}
}
