package geometry_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The light that air throws into a line of sight, by single scattering.

// henyeyGreenstein is the phase function of that name (Henyey and Greenstein 1941), per steradian.
func henyeyGreenstein(g float64) func(cos float64) float64 {
	return func(cos float64) float64 { return (1 - g*g) / (4 * math.Pi * math.Pow(1+g*g-2*g*cos, 1.5)) }
}

// One isotropic lamp of 1 cd straight beside the eye, looking square to the line between them. In
// thin air the glow is (σ I/h) ∫ p dΘ from 90° to 180°, which for g = 0 is 1/(4π) · π/2 = 1/8; in
// thick air a table that was computed independently.
func TestAirlightBesideALamp(t *testing.T) {
	glow := func(h, sigma, g float64) float64 {
		site := &geometry.Site{}
		if sigma > 0 {
			site.Visibility = math.Log(20) / sigma
		}
		s := site.Scene(lamp(r3.Vec{Y: h, Z: 2}, tilted(0), 0, isotropic(1)))
		return s.Airlight(0, r3.Vec{Z: 2}, r3.Vec{X: 1}, math.Inf(1), henyeyGreenstein(g))
	}
	for _, h := range []float64{0.1, 1, 7} {
		near(t, "thin air, g 0", glow(h, 0, 0)*h, 0.125, 1e-4)
		near(t, "thin air, g 0.7", glow(h, 0, 0.7)*h, 0.018646, 1e-4)
		near(t, "thin air, g 0.85", glow(h, 0, 0.85)*h, 0.0079775, 1e-4)
	}
	for _, c := range []struct{ sigma, h, g, want float64 }{
		{0.0599, 1, 0, 0.0058073}, {0.0599, 1, 0.85, 3.9088e-4}, {0.0599, 0.5, 0, 0.0129133},
		{0.03, 1, 0.85, 2.1322e-4},
	} {
		near(t, "thick air", c.sigma*glow(c.h, c.sigma, c.g), c.want, 5e-5)
	}
}

// Light that goes the other way than the line of sight, or that a hard-edged beam does not send
// there, gives none; a line along the axis of a narrow beam has all of it.
func TestAirlightOfBeams(t *testing.T) {
	even := func(float64) float64 { return 1 }
	eye, ahead := r3.Vec{Z: 2}, r3.Vec{X: 1}
	narrow := beam.Gaussian(beam.Round(20 * deg)).WithPeak(1)
	behind := onLevel(lamp(r3.Vec{X: -1, Y: 1, Z: 2}, geometry.Aim{Turn: 180 * deg}, 0, narrow))
	if l := behind.Airlight(0, eye, ahead, math.Inf(1), even); l != 0 {
		t.Errorf("a lamp that shines away gives %g", l)
	}
	// A uniform beam of 2γ, beside the eye and parallel: the line lies in it from β = 90° - γ on, ∫
	// dβ = γ.
	for _, spread := range []float64{4, 10, 60} {
		s := onLevel(lamp(r3.Vec{Y: 0.5, Z: 2}, tilted(0), 0, beam.Uniform(beam.Round(spread*deg)).WithPeak(1)))
		near(t, "uniform beam beside the eye", s.Airlight(0, eye, ahead, math.Inf(1), even), spread/2*deg/0.5, 3e-5)
		// up to D it has only the angles up to atan(D/h)
		d := 1.2 * 0.5 / math.Tan(spread/2*deg)
		want := (math.Atan(d/0.5) - (math.Pi/2 - spread/2*deg)) / 0.5
		near(t, "up to a distance", s.Airlight(0, eye, ahead, d, even), want, 1e-5)
	}
	// A bar is the mean of its emitters: parallel beams along y from the eye's side, each γ/h.
	bar := onLevel(lamp(r3.Vec{Y: 1, Z: 2}, tilted(0), 1, beam.Uniform(beam.Round(10*deg)).WithPeak(1)))
	near(t, "bar beside the eye", bar.Airlight(0, eye, ahead, math.Inf(1), even), 5*deg*math.Log(1.5/0.5), 1e-3)
	// A box beside the line throws its shadow over a stretch of it: a wall from x = 1 to 2,
	// half-way to the lamp, hides the line from x = 2 to 4.
	walled := &geometry.Site{Body: []geometry.Box{box("wall", 1, 2, 0.5, 0.5+1e-6, 0, 5)}}
	s := walled.Scene(lamp(r3.Vec{Y: 1, Z: 2}, tilted(0), 0, isotropic(1)))
	near(t, "shadow in the air", s.Airlight(0, eye, ahead, math.Inf(1), even), math.Pi/2-(math.Atan(4)-math.Atan(2)),
		1e-4)
	// A crest 10 m ahead, 1 m over both: the lamp and the line, 1 m up, see each other up to it,
	// and no farther.
	site := &geometry.Site{Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: 5}, {Ahead: 10, Height: 2},
		{Ahead: 15}}}}
	s = site.Scene(lamp(r3.Vec{Y: 1, Z: 1}, tilted(0), 0, isotropic(1)))
	near(t, "crest", s.Airlight(0, r3.Vec{Z: 1}, ahead, 30, even), math.Atan(10), 1e-6)
}

// Against a picture that POV-Ray rendered on a developer's desk; testdata/reference/airlight.py
// says how.
func TestAirlightAgainstRendering(t *testing.T) {
	file, err := os.Open("../testdata/reference/airlight.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	power := func(n float64) beam.Shape { return beam.Cosine(beam.Round(2 * math.Acos(math.Pow(0.5, 1/n)))) } // cos^n
	site := &geometry.Site{Visibility: 150, Body: []geometry.Box{
		box("hood", -1.5, -0.15, -0.85, 0.85, 0.55, 1.15), box("post", 0.5, 0.7, -0.5, -0.3, 0, 1.8),
	}}
	s := site.Scene(lamp(r3.Vec{X: -1.65, Z: 2.1}, tilted(5), 0, power(30).WithPeak(5000)),
		lamp(r3.Vec{X: -0.05, Y: 0.6, Z: 0.8}, tilted(0), 0, power(90).WithPeak(20000)),
		lamp(r3.Vec{X: -1.6, Y: -0.5, Z: 1.3}, tilted(2), 0, power(20).WithPeak(3000)))
	worst, mean := 0.0, 0.0
	for _, row := range rows[1:] {
		var v [5]float64
		for i, text := range row {
			if v[i], err = strconv.ParseFloat(text, 64); err != nil {
				t.Fatal(err)
			}
		}
		glow := 0.0
		for i := range s.Lamps {
			along := r3.Unit(r3.Vec{X: v[0], Y: v[1], Z: v[2]})
			eye := r3.Vec{X: -2.2, Y: 0.42, Z: 1.65}
			glow += math.Log(20) / 150 * s.Airlight(i, eye, along, v[3], henyeyGreenstein(0.5))
		}
		near(t, fmt.Sprintf("glow toward (%.3f, %.3f, %.3f)", v[0], v[1], v[2]), glow, v[4], 0.005)
		worst, mean = math.Max(worst, math.Abs(glow/v[4]-1)), mean+(glow/v[4]-1)/float64(len(rows)-1)
	}
	t.Logf("%d lines of sight, worst off by %.2g, mean %.2g", len(rows)-1, worst, mean)
	if len(rows) < 100 {
		t.Errorf("%d rows: not the table of airlight.py", len(rows))
	}
}

// Airlight against a plain sum of SumOf over very many points of the line, on rigs nobody would
// build.
func TestAirlightAgainstPoints(t *testing.T) {
	t.Parallel()
	const points = 1200
	rigs := uint64(drawn(4, 12))
	counted, worst := 0, 0.0
	for seed := range rigs {
		d := newDraw(seed + 7000)
		r := d.rig()
		s := r.scene()
		from := r3.Vec{X: d.between(-4, 0), Y: d.between(-1, 1)}
		from.Z = r.height(from.X, from.Y) + d.between(1, 3)
		along := r3.Unit(r3.Vec{X: 1, Y: d.between(-.7, .7), Z: d.between(-.5, .5)})
		end := d.between(2, 60)
		if p, ok := s.Site.Ground.Hit(from, along); ok {
			end = min(end, r3.Norm(r3.Sub(p, from)))
		}
		phase := henyeyGreenstein(d.between(-0.5, 0.9))
		for i := range s.Lamps {
			// even steps of the angle at the lamp's middle
			m := &s.Lamps[i]
			v := r3.Sub(m.Place, from)
			foot := r3.Dot(v, along)
			h := math.Max(0.3, math.Sqrt(math.Max(0, r3.Norm2(v)-foot*foot)))
			lo, hi := math.Atan(-foot/h), math.Atan((end-foot)/h)
			want, axial, most := 0.0, 0.0, 0.0
			for k := range points {
				beta := lo + (hi-lo)*(float64(k)+.5)/float64(points)
				x := foot + h*math.Tan(beta)
				p := r3.Add(from, r3.Scale(x, along))
				part := h / (math.Cos(beta) * math.Cos(beta)) * (hi - lo) / float64(points)
				if r.visibility > 0 {
					part *= math.Pow(0.05, x/r.visibility)
				}
				part *= s.SumOf(i, p, func(toward r3.Vec) float64 { return phase(r3.Dot(toward, along)) })
				want, most = want+part, math.Max(most, part)
				perPoint := h / (math.Cos(beta) * math.Cos(beta)) * (hi - lo) / float64(points)
				axial += perPoint / r3.Norm2(r3.Sub(m.Place, p))
			}
			peak := 0.0
			for _, o := range m.Lamp.Optics {
				peak += o.Beam.Peak()
			}
			got := s.Airlight(i, from, along, end, phase)
			// a shadow's edge or a beam's is known to a few points
			if off := math.Abs(got - want); off > 0.005*want+4*most+1e-6*axial*peak*phase(-1) {
				t.Errorf("rig %d, lamp %d: %.6g, points have %.6g ± %.2g\n%+v", seed, i, got, want, most, *r)
			}
			if want > 1e-4*axial*peak*phase(-1) {
				counted++
				worst = math.Max(worst, math.Abs(got-want)/want)
			}
		}
	}
	t.Logf("%d lines lit, worst %.2g", counted, worst)
	if counted < int(rigs)*2/3 {
		t.Errorf("%d lines are lit: too few to mean anything", counted)
	}
}

func BenchmarkAirlight(b *testing.B) {
	site := geometry.Site{
		Body: []geometry.Box{
			box("hood", -1.5, -0.2, -0.8, 0.8, 0.5, 1.15),
			box("cab", -4, -1.5, -0.8, 0.8, 0.5, 1.9),
		},
		Visibility: 150,
	}
	s := site.Scene(peerRig()...)
	phase := henyeyGreenstein(0.85)
	b.ReportAllocs()
	for b.Loop() {
		for i := range s.Lamps {
			s.Airlight(i, r3.Vec{X: -2, Y: 0.4, Z: 1.6}, r3.Unit(r3.Vec{X: 1, Z: -0.02}), 80, phase)
		}
	}
}
