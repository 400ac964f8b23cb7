package geometry_test

import (
	"math"
	"testing"
)

// Scene.Lux against brute force on rigs nobody would build.

func TestLuxAgainstBruteForce(t *testing.T) {
	t.Parallel()
	const rigs, places, emitters = 300, 8, 600
	worst, worstSoft, counted, soft := 0.0, 0.0, 0, 0
	for seed := range uint64(rigs) {
		d := newDraw(seed)
		r := d.rig()
		s := r.scene()
		for range places {
			p, normal := d.place(r)
			want := r.lux(p, normal, emitters)
			got := s.Lux(p, normal)
			// Light of less than 1e-6 of what the lamps would send straight at the point counts as none.
			allowed := 1e-6 * want.axial
			if want.soft {
				allowed += 0.01*want.lux + 2*want.coarse
			} else {
				allowed += 0.005 * want.lux
			}
			if math.Abs(got-want.lux) > allowed {
				t.Errorf("rig %d at %.3f: %.6g lx, brute force has %.6g (axial %.3g, soft %v)\n%+v", seed, p, got, want.lux, want.axial, want.soft, *r)
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
	t.Logf("%d lit places of %d, %d of them partly lit by a bar: worst %.2g, partly lit %.2g", counted, rigs*places, soft, worst, worstSoft)
	if counted < rigs*places/4 || soft < 40 {
		t.Errorf("%d of %d places are lit, %d partly: too few to mean anything", counted, rigs*places, soft)
	}
}
