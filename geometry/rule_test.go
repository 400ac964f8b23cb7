package geometry

import (
	"math"
	"testing"
)

// An n-point Gauss-Legendre rule is exact for powers up to 2n - 1: the mean of e^k over -1 to 1 is
// 1/(k+1) for even k and 0 for odd (any text on numerical quadrature).
func TestRulesAreExactForPowers(t *testing.T) {
	for n := 1; n <= mostEmitters; n++ {
		for k := range 2 * n {
			want := 0.0
			if k%2 == 0 {
				want = 1 / float64(k+1)
			}
			got := 0.0
			for i, e := range rules[n].e {
				got += rules[n].weight[i] * math.Pow(e, float64(k))
			}
			if math.Abs(got-want) > 1e-12 {
				t.Errorf("rule of %d: mean of e^%d is %.14f, want %.14f", n, k, got, want)
				break
			}
		}
	}
}
