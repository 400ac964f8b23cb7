package sight

import (
	"context"
	"math"
	"testing"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestMap(t *testing.T) {
	grid := geometry.Grid{X0: 6, Y0: -24, Step: 12, NX: 19, NY: 5}
	for name, v := range map[string]*View{"demo": demoView(), "crest": crestView(), "dust": dusty()} {
		grid, lit := grid, []int{0, 1, 2}
		if name == "dust" {
			grid = geometry.Grid{X0: 6, Y0: -6, Step: 4, NX: 10, NY: 4}
		}
		m, err := v.Map(context.Background(), person(), grid, lit)
		if err != nil {
			t.Fatal(err)
		}
		seen, worst := 0, 0.0
		for i := 0; i < grid.NX; i += 3 {
			for j := range grid.NY {
				p := v.Parts(person(), Place{X: grid.X(i), Y: grid.Y(j)})
				want := p.See(lit)
				if p.Hidden {
					if m.At(i, j) != 0 {
						t.Errorf("%s: hidden at (%g, %g), level %g", name, grid.X(i), grid.Y(j), m.At(i, j))
					}
					continue
				}
				if want.Seen {
					seen++
				}
				// where it matters
				if want.Level > 3 && want.Level < 30 {
					worst = math.Max(worst, math.Abs(m.At(i, j)/want.Level-1))
					near(t, name+": level", m.At(i, j), want.Level, 0.03)
				}
			}
		}
		t.Logf("%s: seen at %d points, worst level off by %.2g", name, seen, worst)
		if seen < 3 {
			t.Errorf("%s: seen at %d points: too few to mean anything", name, seen)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := demoView().Map(ctx, person(), grid, trail); err != context.Canceled {
		t.Errorf("stopped, it says %v", err)
	}
}

// A hood that ends 0.15 m behind the bumper and 1.15 m up hides from an eye 1.65 m up and 2.2 m
// behind, by similar triangles, the ground up to 2.2 - 0.15 = 2.05 m times 1.65/0.5 from the eye.
func TestBodyHides(t *testing.T) {
	site := demoSite()
	site.Attitude = geometry.Attitude{}
	v := Look(site.Scene(demoLamps()...), demoEye, Usual, AtNight(0.15))
	near(t, "hood", v.BodyHides(), 2.05*1.65/0.5-2.2, 1e-4)
	if !(demoView().BodyHides() > v.BodyHides()) { // with the nose up
		t.Error("a hood that comes up hides no more")
	}
	if d := Look(new(geometry.Site).Scene(demoLamps()...), demoEye, Usual, AtNight(0.15)).BodyHides(); d != 0 {
		t.Errorf("no body hides %g m", d)
	}
	if d := Look(site.Scene(demoLamps()...), r3.Vec{X: -2.2, Z: 1}, Usual, AtNight(0.15)).BodyHides(); d != 0 {
		// the eye is inside the cab and below the hood's top: it looks through the cab and onto the
		// hood's rear face
		if !math.IsInf(d, 1) {
			t.Errorf("an eye below the hood sees the ground from %g m", d)
		}
	}
	p := v.Parts(rut(), Place{X: 3})
	if !p.Hidden || p.See(trail).Seen {
		t.Error("a rut below the hood's edge is seen")
	}
}

func BenchmarkMap(b *testing.B) {
	v := demoView()
	grid := geometry.Grid{X0: 0, Y0: -30, Step: 1.5, NX: 180, NY: 41}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := v.Map(context.Background(), person(), grid, trail); err != nil {
			b.Fatal(err)
		}
	}
}
