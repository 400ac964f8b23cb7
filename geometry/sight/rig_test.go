package sight

import (
	"flag"
	"math"
	"strconv"
	"strings"
	"sync"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

const deg = math.Pi / 180

// The built-in demo rig, written out.

func round(angle float64) beam.Angles { return beam.Round(angle * deg) }

func demoSite() *geometry.Site {
	box := func(name string, x0, x1, y, z0, z1 float64) geometry.Box {
		return geometry.Box{Name: name, Min: r3.Vec{X: x0, Y: -y, Z: z0}, Max: r3.Vec{X: x1, Y: y, Z: z1}}
	}
	return &geometry.Site{
		Attitude: geometry.NoseUp(0.6*deg, -4.1),
		Body: []geometry.Box{
			box("hood", -1.5, -0.15, 0.85, 0.55, 1.15), box("cab", -3.5, -1.5, 0.9, 0.55, 1.95),
			box("stretcher bay", -5.5, -3.5, 0.95, 0.6, 2.2),
		},
	}
}

func demoLamps() []geometry.Lamp {
	one := func(name, circuit string, at r3.Vec, tilt, turn, width float64, d beam.Distribution) geometry.Lamp {
		return geometry.Lamp{
			Name: name, Circuit: circuit, At: at, Aim: geometry.Aim{Tilt: tilt * deg, Turn: turn * deg}, Width: width,
			Optics: []geometry.Optic{{Beam: d}},
		}
	}
	bar := geometry.Lamp{
		Name: "roof bar", Circuit: "roof", At: r3.Vec{X: -1.65, Z: 2.1}, Aim: geometry.Aim{Tilt: 5 * deg}, Width: 1.2,
		Optics: []geometry.Optic{
			{Beam: beam.Gaussian(round(10)).WithFlux(0.6 * 10500), Span: geometry.Middle(0.6)},
			{Beam: beam.Gaussian(round(36)).WithFlux(0.4 * 10500), Span: geometry.Ends(0.6)},
		},
	}
	spot := beam.GaussianField(round(9), round(20)).WithFlux(3800 * 0.7)
	flood := beam.Gaussian(beam.Angles{Across: 60 * deg, UpDown: 20 * deg}).WithFlux(6000 * 0.7)
	side := beam.Gaussian(beam.Angles{Across: 70 * deg, UpDown: 50 * deg}).WithFlux(2800 * 0.7)
	return []geometry.Lamp{
		bar,
		one("bumper spot (left)", "bumper", r3.Vec{X: -0.05, Y: 0.55, Z: 0.8}, 0, 0, 0, spot),
		one("bumper spot (right)", "bumper", r3.Vec{X: -0.05, Y: -0.55, Z: 0.8}, 0, 0, 0, spot),
		one("bumper flood", "bumper", r3.Vec{X: -0.05, Z: 0.65}, 3, 0, 0.3, flood),
		one("side flood (left)", "side", r3.Vec{X: -2.9, Y: 0.97, Z: 1.9}, 18, 90, 0, side),
		one("side flood (right)", "side", r3.Vec{X: -2.9, Y: -0.97, Z: 1.9}, 18, -90, 0, side),
		one("rear work lamp", "rear", r3.Vec{X: -5.55, Z: 2.05}, 25, 180, 0,
			beam.Cosine(round(100)).WithFlux(2500*0.7)),
	}
}

// The lamps of the demo's scenes.
var trail, search, work = []int{0, 1, 2, 3}, []int{0, 1, 2, 3, 4, 5}, []int{4, 5, 6}

// demoEye is where the driver of the demo sits, parked.
var demoEye = r3.Vec{X: -2.2, Y: 0.42, Z: 1.65}

// demoView is shared: a view is worked out only once, and may be asked from everywhere.
var demoView = sync.OnceValue(func() *View { return demoViewAs(Usual) })

func demoViewAs(o Observer) *View {
	site := demoSite()
	return Look(site.Scene(demoLamps()...), site.Attitude.Driven(demoEye), o, AtNight(0.15))
}

func person() Thing { return Things()[0] }
func rut() Thing    { return Things()[4] }

// near reports a value that is off by more than a share of what it should be.
func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: %.6g, want %.6g", what, got, want)
	}
}

// rounded reports a value that is not the printed one, given to so many digits, rounded.
func rounded(t *testing.T, what string, got float64, printed string) {
	t.Helper()
	decimals := 0
	if _, after, ok := strings.Cut(printed, "."); ok {
		decimals = len(after)
	}
	want, err := strconv.ParseFloat(printed, 64)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got-want) > 0.5001*math.Pow(10, -float64(decimals)) {
		t.Errorf("%s: %.8g, want %s", what, got, printed)
	}
}

var sweep = flag.Bool("sweep", false, "look closer, for minutes")

// crestView is a mast bar and two spots before a crest 45 m ahead, and dust that dims without a
// glow.
var crestView = sync.OnceValue(func() *View {
	site := &geometry.Site{
		Attitude:   geometry.NoseUp(1*deg, -4.6),
		Visibility: 600,
		Ground: geometry.Ground{CrossFall: 0.03, Profile: []geometry.Knot{
			{Ahead: 0}, {Ahead: 20}, {Ahead: 45, Height: 1.8}, {Ahead: 60, Height: 1.2},
			{Ahead: 90, Height: -2.5}, {Ahead: 140, Height: -0.5},
		}},
		Body: []geometry.Box{
			{Name: "hood", Min: r3.Vec{X: -1.6, Y: -0.9, Z: 0.6}, Max: r3.Vec{X: -0.2, Y: 0.9, Z: 1.4}},
			{Name: "cab", Min: r3.Vec{X: -6.3, Y: -1.05, Z: 0.6}, Max: r3.Vec{X: -1.6, Y: 1.05, Z: 2.6}},
		},
	}
	bar := geometry.Lamp{
		Name: "mast bar", At: r3.Vec{X: -2, Z: 4}, Aim: geometry.Aim{Tilt: 6 * deg}, Width: 1.3,
		Optics: []geometry.Optic{
			{Beam: beam.Gaussian(round(8)).WithFlux(8400), Span: geometry.Middle(0.5)},
			{Beam: beam.Gaussian(beam.Angles{Across: 60 * deg, UpDown: 24 * deg}).WithFlux(8400),
				Span: geometry.Ends(0.5)},
		},
	}
	spot := geometry.Lamp{
		Name: "spot", At: r3.Vec{Y: 0.7, Z: 0.8}, Aim: geometry.Aim{Tilt: 0.5 * deg},
		Optics: []geometry.Optic{{Beam: beam.Gaussian(round(7)).WithFlux(2800)}},
	}
	twin := spot
	twin.At.Y = -0.7
	return Look(site.Scene(bar, spot, twin), site.Attitude.Driven(r3.Vec{X: -2.3, Y: 0.5, Z: 1.9}), Usual, AtNight(0.3))
})
