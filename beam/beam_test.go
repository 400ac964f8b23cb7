package beam_test

import (
	"math"
	"testing"

	"beamfall/beam"
)

const deg = math.Pi / 180

// shapes covers every profile, narrow to wide, round and oval.
func shapes() map[string]beam.Shape {
	oval := func(a, u float64) beam.Angles { return beam.Angles{Across: a * deg, UpDown: u * deg} }
	round := func(a float64) beam.Angles { return beam.Round(a * deg) }
	return map[string]beam.Shape{
		"gaussian 0.6":              beam.Gaussian(round(0.6)),
		"gaussian 10":               beam.Gaussian(round(10)),
		"gaussian 60":               beam.Gaussian(round(60)),
		"gaussian 174":              beam.Gaussian(round(174)),
		"gaussian 60 x 8":           beam.Gaussian(oval(60, 8)),
		"gaussian 5 x 150":          beam.Gaussian(oval(5, 150)),
		"field 10/14":               beam.GaussianField(round(10), round(14)),
		"field 10/80":               beam.GaussianField(round(10), round(80)),
		"field 40 x 10 / 80 x 20":   beam.GaussianField(oval(40, 10), oval(80, 20)),
		"field 40 x 10 / 60 x 40":   beam.GaussianField(oval(40, 10), oval(60, 40)),
		"cosine 4":                  beam.Cosine(round(4)),
		"cosine 60":                 beam.Cosine(round(60)),
		"cosine 120":                beam.Cosine(round(120)),
		"cosine 170":                beam.Cosine(round(170)),
		"cosine 100 x 20":           beam.Cosine(oval(100, 20)),
		"uniform 8":                 beam.Uniform(round(8)),
		"uniform 65.54":             beam.Uniform(round(65.54)),
		"uniform 120 x 30":          beam.Uniform(oval(120, 30)),
		"uniform 174":               beam.Uniform(round(174)),
		"field oval on round 20/30": beam.GaussianField(round(20), oval(50, 30)),
	}
}

// direction is at θ from the axis, at φ around it from the lamp's left toward its top.
func direction(theta, phi float64) (ahead, left, up float64) {
	s, c := math.Sincos(theta)
	return c, s * math.Cos(phi), s * math.Sin(phi)
}

// sphereFlux adds intensity over the closed unit sphere, by rings of equal solid angle weight; independent of the
// quadrature that normalises.
func sphereFlux(d beam.Distribution) float64 {
	const rings, turns = 6000, 240
	sum := 0.0
	end := math.Pi / 2
	for i := range rings {
		// finer toward the axis: θ = end·u²
		u := (float64(i) + 0.5) / rings
		theta, weight := end*u*u, end*2*u/rings
		for j := range turns {
			a, l, up := direction(theta, (float64(j)+0.5)*2*math.Pi/turns)
			sum += d.Candela(a, l, up) * math.Sin(theta) * weight * 2 * math.Pi / turns
		}
	}
	return sum
}

func TestFluxOverTheSphereIsTheRatedFlux(t *testing.T) {
	for name, s := range shapes() {
		d := s.WithFlux(1000)
		if got := sphereFlux(d); math.Abs(got-1000) > 1 {
			t.Errorf("%s: %.3f lm over the sphere, rated 1000 lm", name, got)
		}
		if d.Flux() != 1000 {
			t.Errorf("%s: Flux() = %v", name, d.Flux())
		}
	}
}

func TestPeakOfKnownBeams(t *testing.T) {
	tests := []struct {
		source string
		shape  beam.Shape
		flux   float64
		peak   float64
	}{
		// IES Lighting Handbook: a Lambertian source has I0 = Φ/π; the cosine profile with 120° is one, n = 1.
		{"Lambertian", beam.Cosine(beam.Round(120 * deg)), 1000, 1000 / math.Pi},
		// Solid angle of a cone 2π(1 - cos(α/2)); 1 sr at α = 65.54° (BIPM SI brochure; geometry).
		{"one steradian", beam.Uniform(beam.Round(2 * math.Acos(1-1/(2*math.Pi)))), 1000, 1000},
		{"cone 40°", beam.Uniform(beam.Round(40 * deg)), 500, 500 / (2 * math.Pi * (1 - math.Cos(20*deg)))},
		// cosine of power n: ∫ 2π cos^n θ sin θ dθ = 2π/(n+1); n = ln 0.5 / ln cos 10° for 20°.
		{"cosine 20°", beam.Cosine(beam.Round(20 * deg)), 700,
			700 * (math.Log(0.5)/math.Log(math.Cos(10*deg)) + 1) / (2 * math.Pi)},
		// A narrow gaussian is a plane one: flux = I0 π θh²/ln 2 (algebra; sin θ ≈ θ, 1e-5 at 1°).
		{"gaussian 1°", beam.Gaussian(beam.Round(1 * deg)), 100, 100 * math.Ln2 / (math.Pi * 0.25 * deg * deg)},
		// and oval: π θH θV / ln 2
		{"gaussian 2° x 1°", beam.Gaussian(beam.Angles{Across: 2 * deg, UpDown: 1 * deg}), 100,
			100 * math.Ln2 / (math.Pi * 0.5 * deg * deg)},
		// exponent p: ∫ 2^-(t^p) t dt = Γ(2/p)/(p (ln 2)^(2/p))
		{"field 1°/1.3°", beam.GaussianField(beam.Round(1*deg), beam.Round(1.3*deg)), 100, func() float64 {
			p := math.Log(math.Log2(10)) / math.Log(1.3)
			return 100 / (2 * math.Pi * 0.25 * deg * deg * math.Gamma(2/p) / (p * math.Pow(math.Ln2, 2/p)))
		}()},
	}
	for _, tt := range tests {
		if got := tt.shape.WithFlux(tt.flux).Peak(); math.Abs(got/tt.peak-1) > 1e-4 {
			t.Errorf("%s: peak %.4f cd, want %.4f", tt.source, got, tt.peak)
		}
	}
}

func TestBeamAngleAndFieldAngle(t *testing.T) {
	// IES definitions (ANSI C78.379): full angle at 50 % and at 10 % of the peak.
	tests := []struct {
		name               string
		shape              beam.Shape
		across, upDown     float64 // beam angle, degrees
		acrossTenth, tenth float64 // field angle, degrees
	}{
		// gaussian: √(log2 10) = 1.8226 between the two (algebra)
		{"gaussian 10", beam.Gaussian(beam.Round(10 * deg)), 10, 10, 18.226, 18.226},
		{"gaussian 40 x 12", beam.Gaussian(beam.Angles{Across: 40 * deg, UpDown: 12 * deg}), 40, 12, 72.905, 21.871},
		{"field", beam.GaussianField(beam.Round(10*deg), beam.Round(30*deg)), 10, 10, 30, 30},
		{"oval field", beam.GaussianField(beam.Angles{Across: 40 * deg, UpDown: 10 * deg},
			beam.Angles{Across: 50 * deg, UpDown: 40 * deg}), 40, 10, 50, 40},
		{"uniform", beam.Uniform(beam.Round(50 * deg)), 50, 50, 50, 50},
		// Lambertian: cos θ = 0.1 at 84.26°
		{"Lambertian", beam.Cosine(beam.Round(120 * deg)), 120, 120, 2 * 84.2608, 2 * 84.2608},
	}
	for _, tt := range tests {
		d := tt.shape.WithPeak(45000)
		for _, c := range []struct{ got, want float64 }{
			{beam.FullAngle(d, 0.5, 1, 0), tt.across}, {beam.FullAngle(d, 0.5, 0, 1), tt.upDown},
			{beam.FullAngle(d, 0.1, 1, 0), tt.acrossTenth}, {beam.FullAngle(d, 0.1, 0, 1), tt.tenth},
		} {
			if math.Abs(c.got/deg-c.want) > 0.002 {
				t.Errorf("%s: full angle %.4f°, want %.4f°", tt.name, c.got/deg, c.want)
			}
		}
	}
}

func TestRowsAgreeWithTheFormula(t *testing.T) {
	for name, s := range shapes() {
		d := s.WithFlux(5000)
		var dst, ahead, left, up []float64
		for theta := 0.0; theta < 100*deg; theta += 0.037 * deg {
			a, l, u := direction(theta, 41*theta)
			ahead, left, up = append(ahead, a), append(left, l), append(up, u)
		}
		dst = make([]float64, len(ahead))
		d.Candelas(dst, ahead, left, up)
		for i, got := range dst {
			want := d.Candela(ahead[i], left[i], up[i])
			theta := math.Acos(ahead[i]) / deg
			switch {
			case ahead[i] < d.Cutoff():
				if want > 1e-12*d.Peak() {
					t.Errorf("%s: %v cd at %.2f°, beyond the cutoff", name, want, theta)
				}
			case want > 1e-12*d.Peak() && ahead[i] > 0.01 && math.Abs(got/want-1) > 0.002:
				t.Fatalf("%s: row has %v cd at %.3f°, formula %v", name, got, theta, want)
			case ahead[i] <= 0 && got != 0:
				t.Errorf("%s: light at %.2f°", name, theta)
			}
		}
	}
}

func TestFluxInto(t *testing.T) {
	for name, s := range shapes() {
		d := s.WithFlux(100)
		// Half of a beam lies on either side of any plane through its axis.
		for _, phi := range []float64{0, 30 * deg, 90 * deg, 200 * deg} {
			if got := beam.FluxInto(d, 0, math.Cos(phi), math.Sin(phi)); math.Abs(got-50) > 0.02 {
				t.Errorf("%s: %.4f lm of 100 on one side of the axis", name, got)
			}
		}
		// All of it lies ahead, none behind.
		if got := beam.FluxInto(d, 1, 0, 0); math.Abs(got-100) > 0.01 {
			t.Errorf("%s: %.4f lm of 100 ahead", name, got)
		}
		if got := beam.FluxInto(d, -1, 0, 0); got > 1e-9 {
			t.Errorf("%s: %.4g lm behind", name, got)
		}
		// The two sides of a slanted plane make up the whole.
		a, b := beam.FluxInto(d, -0.1, 0.3, 0.8), beam.FluxInto(d, 0.1, -0.3, -0.8)
		if math.Abs(a+b-100) > 0.02 {
			t.Errorf("%s: %.4f + %.4f lm on the two sides of a plane", name, a, b)
		}
	}
	// A Lambertian source tilted by t sends (1 - sin t)/2 of its flux above the horizon (view factor of a tilted
	// surface to the sky, (1 + cos β)/2 with β = 90° + t; any radiation handbook).
	for _, tilt := range []float64{-40, 0, 10, 35, 80} {
		d := beam.Cosine(beam.Round(120 * deg)).WithFlux(1)
		got := beam.FluxInto(d, -math.Sin(tilt*deg), 0, math.Cos(tilt*deg))
		if want := (1 - math.Sin(tilt*deg)) / 2; math.Abs(got-want) > 1e-4 {
			t.Errorf("Lambertian tilted %v°: sky share %.5f, want %.5f", tilt, got, want)
		}
	}
}
