package beam_test

import (
	"math"
	"strings"
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
		"field 10/10.001":           beam.GaussianField(round(10), round(10.001)),
		"field 10/10.1":             beam.GaussianField(round(10), round(10.1)),
		"field 10/11":               beam.GaussianField(round(10), round(11)),
		"field 10/13":               beam.GaussianField(round(10), round(13)),
		"field 10/16":               beam.GaussianField(round(10), round(16)),
		"field 6/170":               beam.GaussianField(round(6), round(170)),
		"field 40 x 10 / 44 x 11":   beam.GaussianField(oval(40, 10), oval(44, 11)),
		"field 30 x 5 / 150 x 25":   beam.GaussianField(oval(30, 5), oval(150, 25)),
		"field 40 x 10 / 80 x 20":   beam.GaussianField(oval(40, 10), oval(80, 20)),
		"field 40 x 10 / 60 x 40":   beam.GaussianField(oval(40, 10), oval(60, 40)),
		"cosine 4":                  beam.Cosine(round(4)),
		"cosine 30":                 beam.Cosine(round(30)),
		"cosine 42":                 beam.Cosine(round(42)),
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

// looksRound tells whether intensities are alike in several planes through the axis.
func looksRound(d beam.Distribution) bool {
	for _, theta := range []float64{0.3 * deg, 3 * deg, 30 * deg} {
		one := d.Candela(direction(theta, 0))
		for _, turn := range []float64{0.7, 1.5, 2.9, 4} {
			if math.Abs(d.Candela(direction(theta, turn))-one) > 1e-9*d.Peak() {
				return false
			}
		}
	}
	return true
}

// sphereFlux adds intensity over the closed unit sphere, by rings that are finer toward the axis;
// independent of the quadrature that normalises.
func sphereFlux(d beam.Distribution) float64 {
	rings, turns := 700, 200
	if looksRound(d) {
		rings, turns = 20000, 4
	}
	sum := 0.0
	end := math.Pi / 2
	for i := range rings {
		u := (float64(i) + 0.5) / float64(rings) // θ = end·u²
		theta, weight := end*u*u, end*2*u/float64(rings)
		for j := range turns {
			a, l, up := direction(theta, (float64(j)+0.5)*2*math.Pi/float64(turns))
			sum += d.Candela(a, l, up) * math.Sin(theta) * weight * 2 * math.Pi / float64(turns)
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
		// a beam that ends at 90° alone ends there exactly
		if d.Cutoff() != 0 && d.Cutoff() < 1e-9 {
			t.Errorf("%s: cutoff %v", name, d.Cutoff())
		}
	}
}

func TestPeakOfKnownBeams(t *testing.T) {
	tests := []struct {
		source string
		shape  beam.Shape
		flux   float64
		peak   float64
		share  float64 // what the source leaves out
	}{
		// IES Lighting Handbook: a Lambertian source has I0 = Φ/π; the cosine profile with 120° is
		// one, n = 1.
		{"Lambertian", beam.Cosine(beam.Round(120 * deg)), 1000, 1000 / math.Pi, 1e-6},
		// Solid angle of a cone 2π(1 - cos(α/2)); 1 sr at α = 65.54° (BIPM SI brochure; geometry).
		{"one steradian", beam.Uniform(beam.Round(2 * math.Acos(1-1/(2*math.Pi)))), 1000, 1000, 1e-6},
		{"cone 40°", beam.Uniform(beam.Round(40 * deg)), 500, 500 / (2 * math.Pi * (1 - math.Cos(20*deg))), 1e-6},
		// cosine of power n: ∫ 2π cos^n θ sin θ dθ = 2π/(n+1); n = ln 0.5 / ln cos 10° for 20°.
		{"cosine 20°", beam.Cosine(beam.Round(20 * deg)), 700,
			700 * (math.Log(0.5)/math.Log(math.Cos(10*deg)) + 1) / (2 * math.Pi), 1e-6},
		{"cosine 174.9°", beam.Cosine(beam.Round(174.9 * deg)), 700,
			700 * (math.Log(0.5)/math.Log(math.Cos(87.45*deg)) + 1) / (2 * math.Pi), 1e-6},
		// A narrow gaussian is a plane one: flux = I0 π θh²/ln 2 (algebra; sin θ ≈ θ, 1e-5 at 1°).
		{"gaussian 1°", beam.Gaussian(beam.Round(1 * deg)), 100, 100 * math.Ln2 / (math.Pi * 0.25 * deg * deg), 1e-4},
		// and oval: π θH θV / ln 2
		{"gaussian 2° x 1°", beam.Gaussian(beam.Angles{Across: 2 * deg, UpDown: 1 * deg}), 100,
			100 * math.Ln2 / (math.Pi * 0.5 * deg * deg), 1e-4},
		// exponent p: ∫ 2^-(t^p) t dt = Γ(2/p)/(p (ln 2)^(2/p))
		{"field 1°/1.01°", beam.GaussianField(beam.Round(1*deg), beam.Round(1.01*deg)), 100, func() float64 {
			p := math.Log(math.Log2(10)) / math.Log(1.01)
			return 100 / (2 * math.Pi * 0.25 * deg * deg * math.Gamma(2/p) / (p * math.Pow(math.Ln2, 2/p)))
		}(), 1e-4},
		{"field 1°/1.3°", beam.GaussianField(beam.Round(1*deg), beam.Round(1.3*deg)), 100, func() float64 {
			p := math.Log(math.Log2(10)) / math.Log(1.3)
			return 100 / (2 * math.Pi * 0.25 * deg * deg * math.Gamma(2/p) / (p * math.Pow(math.Ln2, 2/p)))
		}(), 1e-4},
	}
	for _, tt := range tests {
		if got := tt.shape.WithFlux(tt.flux).Peak(); math.Abs(got/tt.peak-1) > tt.share {
			t.Errorf("%s: peak %.6f cd, want %.6f", tt.source, got, tt.peak)
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
	all := shapes()
	all["needle 0.51/179.9"] = beam.GaussianField(beam.Round(0.51*deg), beam.Round(179.9*deg))
	for name, s := range all {
		d := s.WithFlux(5000)
		// the axis, by a vector of length 1 but for rounding too
		ahead, left, up := []float64{1, math.Nextafter(1, 2)}, []float64{0, 0}, []float64{0, 0}
		var dst []float64
		for theta := 0.0; theta < 100*deg; theta += 0.037 * deg {
			a, l, u := direction(theta, 41*theta)
			ahead, left, up = append(ahead, a), append(left, l), append(up, u)
		}
		for _, a := range []float64{1e-2, 1e-4, 1e-6, 1e-7, 1e-9} { // all but in the plane of the lens
			ahead, left, up = append(ahead, a), append(left, math.Sqrt(1-a*a)*0.6), append(up, math.Sqrt(1-a*a)*0.8)
		}
		// In the plane itself 1 - cos θ rounds to 1 and cos 90° to 6e-17: dark, but for a gaussian
		// as wide as that.
		for _, a := range []float64{1e-16, math.Cos(90 * deg)} {
			for _, phi := range []float64{0, 30 * deg, 90 * deg} {
				ahead, left, up = append(ahead, a), append(left, math.Cos(phi)), append(up, math.Sin(phi))
			}
		}
		if strings.HasPrefix(name, "field 10/10.0") { // all of its fall is within 0.01°
			for theta := 4.99 * deg; theta < 5.01*deg; theta += 0.0001 * deg {
				a, l, u := direction(theta, 41*theta)
				ahead, left, up = append(ahead, a), append(left, l), append(up, u)
			}
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
			case want > 1e-12*d.Peak() && math.Abs(got/want-1) > 0.002:
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
			if got := beam.FluxInto(d, 0, math.Cos(phi), math.Sin(phi)); math.Abs(got-50) > 0.01 {
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
		if math.Abs(a+b-100) > 0.01 {
			t.Errorf("%s: %.4f + %.4f lm on the two sides of a plane", name, a, b)
		}
	}
	// A Lambertian source tilted by t sends (1 - sin t)/2 of its flux above the horizon (view
	// factor of a tilted surface to the sky, (1 + cos β)/2 with β = 90° + t; any radiation
	// handbook).
	for _, tilt := range []float64{-40, 0, 10, 35, 80} {
		d := beam.Cosine(beam.Round(120 * deg)).WithFlux(1)
		got := beam.FluxInto(d, -math.Sin(tilt*deg), 0, math.Cos(tilt*deg))
		if want := (1 - math.Sin(tilt*deg)) / 2; math.Abs(got-want) > 1e-4 {
			t.Errorf("Lambertian tilted %v°: sky share %.5f, want %.5f", tilt, got, want)
		}
	}
}

func TestMixIsTheSumOfItsParts(t *testing.T) {
	spot := beam.Gaussian(beam.Round(8 * deg)).WithFlux(600)
	flood := beam.Uniform(beam.Angles{Across: 60 * deg, UpDown: 20 * deg}).WithFlux(400)
	mix := beam.Mix{spot, flood}
	var ahead, left, up []float64
	for theta := 0.0; theta < 95*deg; theta += 0.3 * deg {
		a, l, u := direction(theta, 17*theta)
		if got, want := mix.Candela(a, l, u), spot.Candela(a, l, u)+flood.Candela(a, l, u); got != want {
			t.Errorf("%v cd at %.2f°, want %v", got, theta/deg, want)
		}
		ahead, left, up = append(ahead, a), append(left, l), append(up, u)
	}
	row := make([]float64, len(ahead))
	row[0] = 7 // is overwritten
	mix.Candelas(row, ahead, left, up)
	for i, got := range row {
		if want := mix.Candela(ahead[i], left[i], up[i]); math.Abs(got-want) > 0.002*want+1e-12*mix.Peak() {
			t.Errorf("row has %v cd at point %d, want %v", got, i, want)
		}
	}
	if got := mix.Flux(); got != 1000 {
		t.Errorf("flux %v lm", got)
	}
	if got := sphereFlux(mix); math.Abs(got-1000) > 2 {
		t.Errorf("%v lm over the sphere", got)
	}
	if got, want := mix.Peak(), spot.Peak()+flood.Peak(); math.Abs(got-want) > 1e-9 {
		t.Errorf("peak %v cd, want %v", got, want)
	}
	if (beam.Mix{spot}).Peak() != spot.Peak() || (beam.Mix{}).Flux() != 0 {
		t.Error("a mix of one is that one, of none is dark")
	}
	if got := mix.Cutoff(); got != math.Min(spot.Cutoff(), flood.Cutoff()) {
		t.Errorf("cutoff %v", got)
	}
	// Upward goes half of a level beam, of each part and of the mix.
	if got := beam.FluxInto(mix, 0, 0, 1); math.Abs(got-500) > 0.1 {
		t.Errorf("%v lm upward", got)
	}
	// Half-peak edge where the sum is half: within the flood's 10° the spot has to fall to (peak/2
	// - flood)/spot.
	share := (mix.Peak()/2 - flood.Peak()) / spot.Peak()
	want := 2 * 4 * deg * math.Sqrt(-math.Log2(share))
	if got := beam.FullAngle(mix, 0.5, 0, 1); math.Abs(got-want) > 1e-9 {
		t.Errorf("beam angle %.4f°, want %.4f°", got/deg, want/deg)
	}
}

// measured stands for a distribution of which nothing is known but its intensities: a gaussian of
// 10° aimed 6° off the axis, upward, on a faint light all round.
type measured struct{ beam.Distribution }

func (m measured) Candela(ahead, left, up float64) float64 {
	s, c := math.Sincos(6 * deg)
	return m.Distribution.Candela(c*ahead+s*up, left, c*up-s*ahead) + 1e-3*m.Peak()
}
func (m measured) Flux() float64   { return m.Distribution.Flux() + 4*math.Pi*1e-3*m.Peak() }
func (m measured) Cutoff() float64 { return -1 }

func TestEdgesOfABeamOffItsAxis(t *testing.T) {
	d := measured{beam.Gaussian(beam.Round(10 * deg)).WithPeak(10000)}
	// The light all round shifts the half-peak line: 2^-(θ/5°)² + 0.001 = 0.5.
	half := 5 * math.Sqrt(-math.Log2(0.499))
	least, greatest, ok := beam.Edges(d, 0.5, 0, 1)
	if !ok || math.Abs(least/deg-(6-half)) > 1e-6 || math.Abs(greatest/deg-(6+half)) > 1e-6 {
		t.Errorf("edges %.5f° to %.5f°, want %.5f° to %.5f°", least/deg, greatest/deg, 6-half, 6+half)
	}
	if got := beam.FullAngle(d, 0.5, 0, 1) / deg; math.Abs(got-2*half) > 1e-6 {
		t.Errorf("beam angle %v°", got)
	}
	// Across, the plane through the axis passes 6° below the middle of the beam, where it has
	// fallen below half.
	if _, _, ok := beam.Edges(d, 0.5, 1, 0); ok || !math.IsNaN(beam.FullAngle(d, 0.5, 1, 0)) {
		t.Error("a half-peak edge in a plane that has none")
	}
	// At a tenth it has some: cos of the angle off the middle is cos 6° cos t.
	tenth := 5 * math.Sqrt(-math.Log2(0.099))
	want := 2 * math.Acos(math.Cos(tenth*deg)/math.Cos(6*deg))
	if got := beam.FullAngle(d, 0.1, 1, 0); math.Abs(got-want) > 1e-7 {
		t.Errorf("field angle across %.5f°, want %.5f°", got/deg, want/deg)
	}
	// All directions have a thousandth: the ends are straight behind.
	if least, greatest, ok := beam.Edges(d, 0.001, 1, 0); !ok || least != -math.Pi || greatest != math.Pi {
		t.Errorf("edges of what is everywhere: %v to %v", least, greatest)
	}
	// A mix with it is searched in the same way.
	mix := beam.Mix{d, beam.Gaussian(beam.Round(1 * deg)).WithPeak(1)}
	if _, greatest, ok := beam.Edges(mix, 0.5, 0, 1); !ok || greatest < 10*deg {
		t.Errorf("edge of a mix at %v°", greatest/deg)
	}
}

// outside is a distribution from another package that knows more of itself than its intensities.
type outside struct{ measured }

func (outside) Falls() bool                              { return true }
func (outside) FluxInto(ahead, left, up float64) float64 { return 100*ahead + 10*left + up }

var (
	_ beam.Falling   = outside{}
	_ beam.Divisible = outside{}
)

func TestCapabilitiesOfADistributionFromOutside(t *testing.T) {
	plain := measured{beam.Gaussian(beam.Round(10 * deg)).WithFlux(1000)}
	if beam.Falls(plain) {
		t.Error("nothing is known of a measured beam")
	}
	able := outside{plain}
	if !beam.Falls(able) {
		t.Error("a beam that says so falls")
	}
	if got := beam.FluxInto(able, 3, 2, 1); got != 321 {
		t.Errorf("%v lm, the beam itself says 321", got)
	}
	// A mix asks its parts.
	if beam.Falls(beam.Mix{able, plain}) || !beam.Falls(beam.Mix{able, able}) {
		t.Error("a mix falls where all of its parts do")
	}
	if got := beam.FluxInto(beam.Mix{able, able}, 3, 2, 1); got != 642 {
		t.Errorf("%v lm, the two parts say 321 each", got)
	}
}

func TestFluxIntoOfAMeasuredBeam(t *testing.T) {
	d := measured{beam.Gaussian(beam.Round(10 * deg)).WithFlux(1000)}
	all, around := d.Flux(), 4*math.Pi*1e-3*d.Peak()
	for _, tt := range []struct {
		name            string
		ahead, left, up float64
		want            float64
	}{
		{"left half", 0, 1, 0, all / 2},
		{"above its middle", -math.Sin(6 * deg), 0, math.Cos(6 * deg), all / 2},
		{"ahead", math.Cos(6 * deg), 0, math.Sin(6 * deg), 1000 + around/2},
		{"behind", -1, 0, 0, around / 2},
	} {
		if got := beam.FluxInto(d, tt.ahead, tt.left, tt.up); math.Abs(got-tt.want) > 1e-4*all {
			t.Errorf("%s: %.3f lm, want %.3f", tt.name, got, tt.want)
		}
	}
	up, down := beam.FluxInto(d, 0, 0, 1), beam.FluxInto(d, 0, 0, -1)
	if math.Abs(up+down-all) > 1e-4*all || up < 0.8*all {
		t.Errorf("%v lm up and %v down of %v", up, down, all)
	}
}

func TestValidate(t *testing.T) {
	round := func(a float64) beam.Angles { return beam.Round(a * deg) }
	for _, tt := range []struct {
		name  string
		shape beam.Shape
		wrong string // what the error is about; empty: none
	}{
		{"gaussian", beam.Gaussian(round(10)), ""},
		{"as wide as can be", beam.Cosine(round(179.9)), ""},
		{"no width", beam.Gaussian(round(0)), "spread"},
		{"negative", beam.Uniform(round(-5)), "spread"},
		{"half of everything", beam.Cosine(round(180)), "spread: 180°"},
		{"not a number", beam.Gaussian(beam.Angles{Across: math.NaN(), UpDown: 1}), "spread"},
		{"one plane only", beam.Gaussian(beam.Angles{Across: 10 * deg}), "spread: 0°"},
		{"field", beam.GaussianField(round(10), round(20)), ""},
		{"field as wide as the spread", beam.GaussianField(round(10), round(10)), "field"},
		{"field narrower in one plane",
			beam.GaussianField(round(10), beam.Angles{Across: 20 * deg, UpDown: 8 * deg}), "field: 20° × 8°"},
		{"field too wide", beam.GaussianField(round(10), round(180)), "field"},
		{"spread wrong before field", beam.GaussianField(round(0), round(20)), "spread"},
	} {
		err := tt.shape.Validate()
		if (err == nil) != (tt.wrong == "") || err != nil && !strings.Contains(err.Error(), tt.wrong) {
			t.Errorf("%s: %v, want an error about %q", tt.name, err, tt.wrong)
		}
	}
}

func TestPeakAndFluxAreInverse(t *testing.T) {
	for name, s := range shapes() {
		d := s.WithFlux(1234)
		if got := s.WithPeak(d.Peak()).Flux(); math.Abs(got-1234) > 1e-9 {
			t.Errorf("%s: %v lm from the peak of 1234 lm", name, got)
		}
		if got := d.Candela(1, 0, 0); math.Abs(got-d.Peak()) > 1e-12*d.Peak() {
			t.Errorf("%s: %v cd on the axis, peak %v", name, got, d.Peak())
		}
	}
}

func TestOvalFollowsTheHalfPeakEllipse(t *testing.T) {
	// θh(φ) = (cos²φ/θH² + sin²φ/θV²)^(-1/2): half of the peak there for every profile, one tenth
	// at θ10(φ) with a field.
	spread, field := beam.Angles{Across: 40 * deg, UpDown: 12 * deg}, beam.Angles{Across: 70 * deg, UpDown: 40 * deg}
	edge := func(a beam.Angles, phi float64) float64 {
		return 1 / math.Hypot(math.Cos(phi)/(a.Across/2), math.Sin(phi)/(a.UpDown/2))
	}
	withField, even := beam.GaussianField(spread, field).WithPeak(1), beam.Uniform(spread).WithPeak(1)
	smooth := map[string]beam.Distribution{
		"gaussian": beam.Gaussian(spread).WithPeak(1), "cosine": beam.Cosine(spread).WithPeak(1), "field": withField,
	}
	for phi := 0.0; phi < 2*math.Pi; phi += 0.1 {
		for name, d := range smooth {
			if got := d.Candela(direction(edge(spread, phi), phi)); math.Abs(got-0.5) > 1e-12 {
				t.Errorf("%s at φ = %.1f: %v of the peak, want 0.5", name, phi, got)
			}
		}
		if got := withField.Candela(direction(edge(field, phi), phi)); math.Abs(got-0.1) > 1e-12 {
			t.Errorf("field at φ = %.1f: %v of the peak, want 0.1", phi, got)
		}
		inside, outside := edge(spread, phi)*(1-1e-9), edge(spread, phi)*(1+1e-9)
		if even.Candela(direction(inside, phi)) != 1 || even.Candela(direction(outside, phi)) != 0 {
			t.Errorf("uniform does not end at φ = %.1f", phi)
		}
	}
}
