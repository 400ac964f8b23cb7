package geometry_test

import (
	"flag"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The sources and the words that the handbook checks are written in.

var sweep = flag.Bool("sweep", false, "draw many more rigs, for minutes")

// drawn is how many rigs are drawn: few stand for the many of a sweep.
func drawn(few, many int) int {
	if *sweep {
		return many
	}
	return few
}

const deg = math.Pi / 180

var (
	up   = r3.Vec{Z: 1}
	down = geometry.Aim{Tilt: 90 * deg}

	facing = r3.Vec{X: -1} // the normal of what faces the vehicle from ahead of it, on a straight track
)

// isotropic is a point of light as textbooks have it: the same intensity (cd) in every direction,
// 4π times that in flux.
type isotropic float64

func (i isotropic) Candela(_, _, _ float64) float64 { return float64(i) }
func (i isotropic) Peak() float64                   { return float64(i) }
func (i isotropic) Flux() float64                   { return 4 * math.Pi * float64(i) }
func (i isotropic) Cutoff() float64                 { return -1 }
func (i isotropic) Candelas(dst, _, _, _ []float64) {
	for k := range dst {
		dst[k] = float64(i)
	}
}

// lambertian is a flat diffuse source with the given intensity along its axis: the cosine profile
// with 120°, n = 1.
func lambertian(peak float64) beam.Distribution {
	return beam.Cosine(beam.Round(120 * deg)).WithPeak(peak)
}

// lamp is one of a single optic.
func lamp(at r3.Vec, aim geometry.Aim, width float64, d beam.Distribution) geometry.Lamp {
	return geometry.Lamp{At: at, Aim: aim, Width: width, Optics: []geometry.Optic{{Beam: d}}}
}

// tilted is an aim straight ahead, degrees below horizontal.
func tilted(degrees float64) geometry.Aim { return geometry.Aim{Tilt: degrees * deg} }

// onLevel is a scene on level ground with nothing in the way.
func onLevel(lamps ...geometry.Lamp) *geometry.Scene { return new(geometry.Site).Scene(lamps...) }

// near demands a value to within a share of the one wanted.
func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if math.Abs(got-want) <= share*math.Abs(want) || math.IsNaN(want) && math.IsNaN(got) {
		return
	}
	t.Errorf("%s: %.7g, want %.7g (off by %.2g)", what, got, want, got/want-1)
}

// closeTo demands a value to within an amount.
func closeTo(t *testing.T, what string, got, want, amount float64) {
	t.Helper()
	if !(math.Abs(got-want) <= amount) {
		t.Errorf("%s: %.7g, want %.7g", what, got, want)
	}
}
