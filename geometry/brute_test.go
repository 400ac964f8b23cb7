package geometry_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Scene.Lux and Scene.SumOf against brute force on rigs nobody would build.

func TestLuxAgainstBruteForce(t *testing.T) {
	t.Parallel()
	const places, emitters = 8, 600
	rigs := drawn(40, 300)
	worst, worstSoft, counted, soft := 0.0, 0.0, 0, 0
	for seed := range uint64(rigs) {
		d := newDraw(seed)
		r := d.rig()
		s := r.scene()
		for range places {
			p, normal := d.place(r)
			want := r.lux(p, normal, emitters)
			got := s.Lux(p, normal)
			// Light of less than 1e-6 of what the lamps would send straight at the point counts as
			// none.
			allowed := 1e-6 * want.axial
			if want.soft {
				allowed += 0.01*want.lux + 2*want.coarse
			} else {
				allowed += 0.005 * want.lux
			}
			if math.Abs(got-want.lux) > allowed {
				t.Errorf("rig %d at %.3f: %.6g lx, brute force has %.6g (axial %.3g, soft %v)\n%+v", seed, p, got,
					want.lux, want.axial, want.soft, *r)
			}
			if want.lux > 1e-4*want.axial {
				counted++
				if off := math.Abs(got-want.lux) / want.lux; want.soft {
					soft++
					worstSoft = math.Max(worstSoft, (math.Abs(got-want.lux)-want.coarse)/want.lux)
				} else {
					worst = math.Max(worst, off)
				}
			}
		}
	}
	t.Logf("%d lit places of %d, %d of them partly lit by a bar: worst %.2g, partly lit %.2g", counted, rigs*places,
		soft, worst, worstSoft)
	if counted < rigs*places/4 || soft < rigs/8 {
		t.Errorf("%d of %d places are lit, %d partly: too few to mean anything", counted, rigs*places, soft)
	}
}

// Light that is weighed by where it comes from, as scattering and glare weigh it, against brute
// force on the same rigs.
func TestSumOfAgainstBruteForce(t *testing.T) {
	t.Parallel()
	const places, emitters = 4, 1500
	rigs := drawn(8, 60)
	counted := 0
	for seed := range uint64(rigs) {
		d := newDraw(seed + 5000)
		r := d.rig()
		s := r.scene()
		for range places {
			p, sight := d.place(r)
			glare := func(toward r3.Vec) float64 { // as CIE 146:2002 has it for a young eye
				degrees := math.Max(0.1, math.Acos(r3.Cos(toward, sight))/deg)
				return 10/(degrees*degrees*degrees) + 5/(degrees*degrees)
			}
			fog := func(toward r3.Vec) float64 { // Henyey and Greenstein, g = 0.85
				return (1 - 0.85*0.85) / (4 * math.Pi * math.Pow(1+0.85*0.85-2*0.85*r3.Cos(toward, sight), 1.5))
			}
			cosine := func(toward r3.Vec) float64 { return math.Max(0, r3.Cos(toward, sight)) }
			for name, weight := range map[string]func(r3.Vec) float64{"cosine": cosine, "glare": glare, "fog": fog} {
				want, got := r.weighed(p, weight, emitters), 0.0
				for i := range s.Lamps {
					got += s.SumOf(i, p, weight)
				}
				// Above 1e-6 of what comes straight at the point; what part of a bar is hidden
				// brute force knows to one emitter.
				if off := math.Abs(got - want.lux); off > 0.005*want.lux+2*want.coarse+1e-6*want.axial*weight(sight) {
					t.Errorf("rig %d at %.3f, %s: %.6g, brute force has %.6g ± %.2g\n%+v", seed, p, name, got,
						want.lux, want.coarse, *r)
				}
				if want.lux > 1e-4*want.axial {
					counted++
				}
			}
			lux := 0.0
			for i := range s.Lamps {
				lux += s.SumOf(i, p, cosine)
			}
			if plane := s.Lux(p, sight); math.Abs(lux-plane) > 3e-3*plane+1e-9 {
				t.Errorf("rig %d at %.3f: weighed by the cosine %.6g, Lux %.6g", seed, p, lux, plane)
			}
		}
	}
	if counted < rigs*places/2 {
		t.Errorf("%d sums are of light that counts: too few to mean anything", counted)
	}
}
