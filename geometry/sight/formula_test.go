package sight

import (
	"fmt"
	"math"
	"testing"
)

// The formulas, against numbers worked out from them elsewhere (a sheet of the project's own, not
// published).

func TestThreshold(t *testing.T) {
	young := Observer{Age: 23, Glance: 0.2, Level: 7}
	flux, lum := ricco(0.1)
	rounded(t, "α 10′, L 0.1: √φ", flux, "0.47577")
	rounded(t, "√ℓ", lum, "0.02661")
	base := 2.6 * (flux/10 + lum) * (flux/10 + lum)
	rounded(t, "2.6 (√φ/α + √ℓ)²", base, "0.01431")
	rounded(t, "a", blondel(0.1, 10), "0.1420")
	rounded(t, "ΔL", young.Threshold(0.1, 10, false), "0.02447")
	rounded(t, "F of a darker thing", young.Threshold(0.1, 10, true)/young.Threshold(0.1, 10, false), "0.528")
	rounded(t, "α 7.45′, L 1: ΔL", young.Threshold(1, 7.45, false), "0.11843")
	rounded(t, "α 10′, L 0.01: ΔL", young.Threshold(0.01, 10, false), "0.01295")

	near(t, "no thing counts as larger than 60′", young.Threshold(0.1, 200, false), young.Threshold(0.1, 60, false), 0)
	near(t, "no eye adapts below 0.0001 cd/m²", young.Threshold(0, 10, false), young.Threshold(1e-4, 10, false), 0)
}

func TestAgeFactor(t *testing.T) {
	for age, want := range map[float64]string{
		20: "1.0000", 23: "1.0000", 30: "1.0460", 50: "1.4349", 60: "1.7682", 70: "2.9739",
	} {
		rounded(t, fmt.Sprintf("at %g years", age), AgeFactor(age), want)
	}
	young, old := Observer{Age: 23, Glance: 0.2}, Observer{Age: 70, Glance: 0.2}
	near(t, "it scales the threshold", old.Threshold(0.1, 10, true)/young.Threshold(0.1, 10, true), AgeFactor(70),
		1e-12)
}

func TestVeilPerLux(t *testing.T) {
	for _, c := range []struct {
		degrees    float64
		at25, at70 string
	}{{1, "15.181", "22.998"}, {4, "0.4908", "0.9939"}, {10, "0.06766", "0.15279"}, {30, "0.00903", "0.02021"}} {
		rounded(t, fmt.Sprintf("%g°, 25 years", c.degrees), VeilPerLux(c.degrees*deg, 25), c.at25)
		rounded(t, fmt.Sprintf("%g°, 70 years", c.degrees), VeilPerLux(c.degrees*deg, 70), c.at70)
	}
	// Stiles-Holladay, 10/θ² from 1° to 30° for a young eye, is the same law in one term: within a
	// factor of 2.
	for degrees := 1.0; degrees <= 30; degrees++ {
		if r := VeilPerLux(degrees*deg, 25) * degrees * degrees / 10; r < 0.5 || r > 2 {
			t.Errorf("%g°: %.3g times Stiles-Holladay", degrees, r)
		}
	}
}

// The threshold contrast of a 4′ disc seen for 0.2 s, CIE 19/2 (from memory): C = 0.05936
// ((1.639/L)^0.4 + 1)^2.5. It is another model, fitted to other eyes: the order of magnitude is all
// that it can hold.
func TestThresholdAgainstAnotherModel(t *testing.T) {
	contrast := func(l float64) float64 { return 0.05936 * math.Pow(math.Pow(1.639/l, 0.4)+1, 2.5) }
	rounded(t, "CIE 19/2 at 1 cd/m²", contrast(1), "0.435")
	rounded(t, "CIE 19/2 at 100 cd/m²", contrast(100), "0.0923")
	young := Observer{Age: 25, Glance: 0.2}
	for _, l := range []float64{0.01, 0.1, 1, 10, 100} {
		ours := young.Threshold(l, 4, false) / l
		t.Logf("%g cd/m²: contrast %.3g, CIE 19/2 %.3g", l, ours, contrast(l))
		if r := ours / contrast(l); r < 1./4 || r > 4 {
			t.Errorf("%g cd/m²: contrast %.3g, %.2g times that of CIE 19/2", l, ours, r)
		}
	}
}

// The small target of ANSI/IES RP-8-00 (from memory) is 18 cm square and seen from 83 m: 7.45′ from
// side to side. The disc of equal area is larger by 2/√π.
func TestSize(t *testing.T) {
	plate := Things()[3]
	side := 2 * math.Atan(plate.Width/2/83) / deg * 60
	near(t, "side", side, 7.45, 1e-3)
	near(t, "disc of equal area", Arcminutes(plate.Width*plate.Height, 83), side*2/math.Sqrt(math.Pi), 1e-5)
}
