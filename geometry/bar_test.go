package geometry_test

import (
	"fmt"
	"math"
	"os"
	"testing"

	"beamfall/beam"
	"beamfall/beam/lm63"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bars: evenly spread emitters, each with the lamp's distribution, summed to within 1 % from 1 m
// out whatever is done for speed.

// emittersOf is the converged sum: the bar as n points of light.
func emittersOf(l geometry.Lamp, n int) *geometry.Scene {
	var lamps []geometry.Lamp
	left := l.Aim.Axes().Left
	for i := range n {
		e := (float64(i)+0.5)/float64(n) - 0.5
		lamps = append(lamps, geometry.Lamp{
			At: r3.Add(l.At, r3.Scale(e*l.Width, left)), Aim: l.Aim,
			Optics: []geometry.Optic{{Beam: scaled{l.Optics[0].Beam, 1 / float64(n)}}},
		})
	}
	return onLevel(lamps...)
}

// scaled is a share of a distribution.
type scaled struct {
	beam.Distribution
	share float64
}

func (s scaled) Candela(ahead, left, up float64) float64 {
	return s.share * s.Distribution.Candela(ahead, left, up)
}

func TestBarAgainstItsEmitters(t *testing.T) {
	t.Parallel()
	// 1.3 m wide, at 1, 2, 5 and 20 m: on its axis, before its end, past its end, and half a beam
	// angle off.
	beams := map[string]beam.Shape{}
	for _, a := range []float64{4, 10, 36, 60, 120, 150} {
		r := beam.Round(a * deg)
		beams[fmt.Sprintf("gaussian %v°", a)] = beam.Gaussian(r)
		beams[fmt.Sprintf("cosine %v°", a)] = beam.Cosine(r)
		// field angles from hardly wider than the beam to as wide as can be: edges like steps,
		// peaks like needles
		fields := []float64{1.01, 1.05, 1.3, 2, 2.4, 3, 5, 17}
		if !*sweep {
			fields = []float64{1.05, 1.3, 3}
		}
		for _, f := range fields {
			if f*a < 180 {
				beams[fmt.Sprintf("gaussian %v° with a field of %v°", a, f*a)] = beam.GaussianField(r,
					beam.Round(f*a*deg))
			}
		}
	}
	beams["oval, pointed up and down only"] = beam.GaussianField(beam.Angles{Across: 60 * deg, UpDown: 20 * deg},
		beam.Angles{Across: 90 * deg, UpDown: 50 * deg})
	beams["oval"] = beam.Gaussian(beam.Angles{Across: 8 * deg, UpDown: 40 * deg})
	const width = 1.3
	worst, worstRow := 0.0, 0.0
	for name, shape := range beams {
		l := lamp(r3.Vec{Z: 1}, geometry.Aim{}, width, shape.WithPeak(1e4))
		bar, sum := onLevel(l), emittersOf(l, 1000)
		for _, d := range []float64{1, 2, 5, 20} {
			for _, y := range []float64{
				0, 0.31, 0.6, 0.75,
				0.5*width + d*math.Tan(math.Min(80*deg, beam.FullAngle(l.Beam(), 0.5, 1, 0)/4)),
			} {
				for _, z := range []float64{1, 1 - 0.04*d} {
					p := r3.Vec{X: d, Y: y, Z: z}
					got, want := bar.Lux(p, facing), sum.Lux(p, facing)
					row := []float64{0}
					bar.AddRow(row, geometry.Row{Start: p, Step: r3.Vec{Y: 1}, Normal: facing})
					if want < 1e-4*1e4/(d*d) {
						continue
					}
					near(t, fmt.Sprintf("%s at %.3f", name, p), got, want, 0.005)
					near(t, fmt.Sprintf("%s in a row at %.3f", name, p), row[0], want, 0.008)
					worst, worstRow = math.Max(worst, math.Abs(got/want-1)), math.Max(worstRow, math.Abs(row[0]/want-1))
				}
			}
		}
	}
	t.Logf("worst %.2g, in rows %.2g", worst, worstRow)
}

func TestBarOfAMeasuredBeam(t *testing.T) {
	// Tables are straight pieces with a bend at each angle; the bar keeps to 1 % of the sum from 1
	// m out.
	for _, name := range []string{
		"driving-a-2002", "round-1986", "quadrant-1991", "factor-2019", "hand-b-2002", "wrapped-2002",
	} {
		text, err := os.Open("../testdata/lm63/" + name + ".ies")
		if err != nil {
			t.Fatal(err)
		}
		file, err := lm63.Read(text)
		text.Close()
		if err != nil {
			t.Fatal(err)
		}
		l := lamp(r3.Vec{Z: 1}, geometry.Aim{}, 1.3, file.Distribution(1))
		bar, sum, lit := onLevel(l), emittersOf(l, 4000), 0
		for _, d := range []float64{1, 2, 5, 20} {
			for _, y := range []float64{0, 0.3, 0.65, 1.5, -0.4} {
				for _, z := range []float64{1, 1 - 0.03*d, 1 + 0.05*d, 1 - 0.2*d} {
					p := r3.Vec{X: d, Y: y, Z: z}
					want := sum.Lux(p, facing)
					if want < 1e-3*l.Beam().Peak()/(d*d) {
						continue
					}
					lit++
					row := []float64{0}
					bar.AddRow(row, geometry.Row{Start: p, Step: r3.Vec{Y: 1}, Normal: facing})
					near(t, fmt.Sprintf("%s at %.2f", name, p), bar.Lux(p, facing), want, 0.01)
					near(t, fmt.Sprintf("%s in a row at %.2f", name, p), row[0], want, 0.01)
				}
			}
		}
		if lit < 20 {
			t.Errorf("%s: %d places lit", name, lit)
		}
	}
}

func TestHardEdgedBar(t *testing.T) {
	// Straight before a bar of even cones of half-angle β, a point at d is lit by the emitters
	// within d·tan β, each at its own distance: E = I/w ∫ d²... with the incidence, I/w · ∫ d
	// ds/(d²+s²)^(3/2) = I/w · 2a/(d √(d²+a²)).
	for _, tt := range []struct{ across, upDown, width, d float64 }{
		{4, 4, 1.3, 1}, {10, 10, 1.3, 2}, {40, 40, 1.3, 1}, {40, 40, 1.3, 5}, {90, 90, 2, 1}, {20, 80, 1.3, 1},
		{2, 120, 10, 1}, {0.6, 150, 10, 1}, {0.6, 150, 10, 20}, {150, 4, 0.5, 1},
	} {
		const peak = 5000
		l := lamp(r3.Vec{Z: 1}, geometry.Aim{}, tt.width,
			beam.Uniform(beam.Angles{Across: tt.across * deg, UpDown: tt.upDown * deg}).WithPeak(peak))
		a := math.Min(tt.width/2, tt.d*math.Tan(tt.across/2*deg))
		want := peak / tt.width * 2 * a / (tt.d * math.Hypot(tt.d, a))
		p := r3.Vec{X: tt.d, Z: 1}
		near(t, fmt.Sprintf("cones of %v° × %v° from %v m at %v m", tt.across, tt.upDown, tt.width, tt.d),
			onLevel(l).Lux(p, facing), want, 1e-3)
		row := []float64{0}
		onLevel(l).AddRow(row, geometry.Row{Start: p, Step: r3.Vec{Y: 1}, Normal: facing})
		near(t, "the same in a row", row[0], want, 1e-3)
		// a field hardly wider than the beam is all but such a cone
		spread := beam.Angles{Across: tt.across * deg, UpDown: tt.upDown * deg}
		field := beam.Angles{Across: tt.across * 1.0001 * deg, UpDown: tt.upDown * 1.0001 * deg}
		all := lamp(r3.Vec{Z: 1}, geometry.Aim{}, tt.width, beam.GaussianField(spread, field).WithPeak(peak))
		near(t, "the same with a field", onLevel(all).Lux(p, facing), want, 2e-3)
		// past the end of the bar by more than the cone's half width there is none
		if got := onLevel(l).Lux(r3.Vec{X: tt.d, Y: tt.width/2 + tt.d*math.Tan(tt.across/2*deg) + 1e-6, Z: 1},
			facing); got != 0 {
			t.Errorf("%v lx past the end", got)
		}
	}
}

func TestMixedBar(t *testing.T) {
	// A 1.2 m bar: spots of 8° in the middle half with 6000 lm, floods of 40° at both ends with
	// 4000 lm.
	spot, flood := beam.Gaussian(beam.Round(8*deg)).WithFlux(6000), beam.Gaussian(beam.Round(40*deg)).WithFlux(4000)
	at := r3.Vec{X: -0.2, Z: 0.8}
	bar := geometry.Lamp{At: at, Width: 1.2, Optics: []geometry.Optic{
		{Beam: spot, Span: geometry.Middle(0.5)}, {Beam: flood, Span: geometry.Ends(0.5)},
	}}
	// By hand: three bars, of 0.6 m in the middle and of 0.3 m with half of the floods around ±0.45
	// m.
	parts := onLevel(lamp(at, geometry.Aim{}, 0.6, spot),
		lamp(r3.Add(at, r3.Vec{Y: 0.45}), geometry.Aim{}, 0.3, beam.Gaussian(beam.Round(40*deg)).WithFlux(2000)),
		lamp(r3.Add(at, r3.Vec{Y: -0.45}), geometry.Aim{}, 0.3, beam.Gaussian(beam.Round(40*deg)).WithFlux(2000)))
	for _, p := range []r3.Vec{
		{X: 1}, {X: 2, Y: 0.5, Z: 0.8}, {X: 10, Y: -3, Z: 0.6}, {X: 60, Y: 1, Z: 1}, {X: 1, Y: 0.45, Z: 0.8},
	} {
		near(t, fmt.Sprintf("three bars at %v", p), onLevel(bar).Lux(p, facing), parts.Lux(p, facing), 2e-3)
	}
	// From afar the parts add: peak, half-peak edge and flux.
	d := bar.Beam()
	near(t, "peak", d.Peak(), spot.Peak()+flood.Peak(), 1e-12)
	near(t, "flux", d.Flux(), 10000, 1e-12)
	lo, hi := 0.0, 20*deg
	for range 60 { // spot·2^-(θ/4°)² + flood·2^-(θ/20°)² = half of the peak
		mid := (lo + hi) / 2
		if spot.Peak()*math.Exp2(-sq(mid/(4*deg)))+flood.Peak()*math.Exp2(-sq(mid/(20*deg))) > d.Peak()/2 {
			lo = mid
		} else {
			hi = mid
		}
	}
	near(t, "beam angle", beam.FullAngle(d, 0.5, 1, 0), 2*lo, 1e-9)
	if !(lo > 4*deg && lo < 5*deg) {
		t.Errorf("half-peak edge at %.2f°, not a little past the spot's 4°", lo/deg)
	}
	bar.Aim = tilted(6)
	n, f := new(geometry.Site).NearFar(mounted(new(geometry.Site), bar))
	near(t, "near edge", n, 0.8/math.Tan(6*deg+lo), 1e-9)
	near(t, "far edge", f, 0.8/math.Tan(6*deg-lo), 1e-9)
	near(
		t,
		"40 m off",
		onLevel(bar).Lux(r3.Vec{X: -0.2 + 400*math.Cos(6*deg), Z: 0.8 - 400*math.Sin(6*deg)},
			r3.Scale(-1, bar.Aim.Axes().Ahead)),
		d.Peak()/(400*400),
		1e-3,
	)
}

func TestSpansOfAPointAreThePoint(t *testing.T) {
	spot, flood := beam.Gaussian(beam.Round(8*deg)).WithFlux(600), beam.Uniform(beam.Round(40*deg)).WithFlux(400)
	l := geometry.Lamp{
		At:     r3.Vec{Z: 1},
		Aim:    tilted(5),
		Optics: []geometry.Optic{{spot, geometry.Middle(0.5)}, {flood, geometry.Ends(0.5)}},
	}
	for _, p := range []r3.Vec{{X: 5}, {X: 20, Y: 1}} {
		want := onLevel(lamp(l.At, l.Aim, 0, spot), lamp(l.At, l.Aim, 0, flood)).Lux(p, up)
		near(t, "mixed point", onLevel(l).Lux(p, up), want, 1e-12)
	}
	// A span of no length has no light of its own: all of it comes from the other one.
	l.Width, l.Optics = 1, []geometry.Optic{
		{Beam: spot, Span: []geometry.Span{{From: 0.2, To: 0.2}, {From: -0.5, To: 0.5}}},
	}
	near(t, "empty span", onLevel(l).Lux(r3.Vec{X: 3}, up),
		onLevel(lamp(l.At, l.Aim, 0.5, spot)).Lux(r3.Vec{X: 3}, up), 1e-12)
}

func TestRollTurnsABarWithItsBeam(t *testing.T) {
	// A bar rolled 90°, right side down, stands upright with its left end up: its light is that of
	// a level one turned so.
	d := beam.Gaussian(beam.Angles{Across: 50 * deg, UpDown: 10 * deg}).WithFlux(1000)
	level := onLevel(lamp(r3.Vec{Z: 10}, geometry.Aim{}, 1, d))
	upright := onLevel(lamp(r3.Vec{Z: 10}, geometry.Aim{Roll: 90 * deg}, 1, d))
	for _, v := range []r3.Vec{{X: 5, Y: 1, Z: 0.2}, {X: 3, Y: -0.4, Z: 0.1}, {X: 9, Y: 2, Z: -1}} {
		// left becomes up, up becomes right
		turned := r3.Vec{X: v.X, Y: -v.Z, Z: 10 + v.Y}
		v.Z += 10
		near(t, "upright bar", upright.Lux(turned, facing), level.Lux(v, facing), 1e-9)
	}
}

func TestCloserThanTheLens(t *testing.T) {
	// Inverse square has no meaning within a millimetre of a lens; light stays finite there.
	for _, width := range []float64{0, 0.5} {
		s := onLevel(lamp(r3.Vec{Z: 1}, geometry.Aim{}, width, isotropic(100)))
		row := make([]float64, 3)
		s.AddRow(row, geometry.Row{Start: r3.Vec{Z: 1}, Step: r3.Vec{X: 1e-5}, Normal: facing})
		for i, v := range append(row, s.Lux(r3.Vec{Z: 1}, facing), s.Lux(r3.Vec{X: 1e-5, Z: 1}, facing)) {
			if math.IsNaN(v) || v > 100/1e-6 {
				t.Errorf("%d: %v lx at the lens", i, v)
			}
		}
	}
}

func sq(x float64) float64 { return x * x }
