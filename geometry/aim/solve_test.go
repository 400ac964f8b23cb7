package aim_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"
	"beamfall/geometry/aim"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"
)

const deg = math.Pi / 180

func lamp(x, y, z, tilt, spread, lumens float64) geometry.Lamp {
	return geometry.Lamp{
		At: r3.Vec{X: x, Y: y, Z: z}, Aim: geometry.Aim{Tilt: tilt * deg},
		Optics: []geometry.Optic{{Beam: beam.Gaussian(beam.Round(spread * deg)).WithFlux(lumens)}},
	}
}

func steps(from, to, step float64) (out []float64) {
	for i := 0; from+float64(i)*step <= to+1e-9; i++ {
		out = append(out, (from+float64(i)*step)*deg)
	}
	return out
}

// single is a bracket for one lamp.
func single(n int, tilts []float64) aim.Bracket {
	return aim.Bracket{Lamps: []int{n}, Mirror: []bool{false}, Tilts: tilts}
}

// evaluate is the fulfilment of a setting and whether it keeps the limits, by the light field alone.
func evaluate(p *aim.Problem, aims []geometry.Aim) (total float64, each []float64, keeps bool) {
	lamps := append([]geometry.Lamp(nil), p.Lamps...)
	for i := range lamps {
		lamps[i].Aim = aims[i]
	}
	s := p.Site.Scene(lamps...)
	for i := range p.Targets {
		each = append(each, p.Targets[i].Fulfilment(s))
	}
	keeps = true
	for i := range p.Limits {
		keeps = keeps && p.Limits[i].LuxAt(s) <= p.Limits[i].Lux*(1+1e-9)
	}
	return aim.Total(p.Targets, each), each, keeps
}

// exhaust tries every setting.
func exhaust(p *aim.Problem) (best float64, found bool) {
	aims := make([]geometry.Aim, len(p.Lamps))
	for i := range aims {
		aims[i] = p.Lamps[i].Aim
	}
	var visit func(v int)
	visit = func(v int) {
		if v == len(p.Brackets) {
			if f, _, keeps := evaluate(p, aims); keeps && (!found || f > best) {
				best, found = f, true
			}
			return
		}
		b := &p.Brackets[v]
		for k := range len(b.Tilts) * max(1, len(b.Turns)) {
			for i, a := range b.Aims(k, p.Lamps) {
				aims[b.Lamps[i]] = a
			}
			visit(v + 1)
		}
	}
	visit(0)
	return best, found
}

// randomProblem has up to three brackets, one of them a pair, and up to a few hundred settings in all.
func randomProblem(r *rand.Rand) *aim.Problem {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	p := &aim.Problem{Site: &geometry.Site{}}
	most := []int{0, 200, 14, 6}[0:4]
	n := 1 + r.IntN(3)
	for v := range n {
		l := lamp(between(-3, 0), between(0, 0.8), between(0.5, 2.2), between(0, 10), between(6, 50), between(1000, 12000))
		choices := 2 + r.IntN(most[n]-1)
		tilts := steps(0, 0.5*float64(choices-1)+0.25, math.Max(0.5, math.Floor(20/float64(choices))/2))
		b := single(len(p.Lamps), tilts)
		p.Lamps = append(p.Lamps, l)
		if v == 1 { // a pair that turns too
			twin := l
			twin.At.Y = -l.At.Y
			p.Lamps = append(p.Lamps, twin)
			b.Lamps, b.Mirror, b.Turns = append(b.Lamps, len(p.Lamps)-1), append(b.Mirror, true), []float64{0, 6 * deg}
			b.Tilts = b.Tilts[:min(len(b.Tilts), 6)]
		}
		p.Brackets = append(p.Brackets, b)
	}
	for i := range 1 + r.IntN(3) {
		from := between(2, 30)
		p.Targets = append(p.Targets, aim.Target{
			Name: string(rune('a' + i)), From: from, To: from + between(2, 12), HalfWidth: between(0, 2), Facing: r.IntN(2) == 0, Up: 0.6,
			Lux: math.Exp(between(0, 6)), Weight: between(0.2, 3),
		})
	}
	if r.IntN(2) == 0 {
		p.Limits = append(p.Limits, aim.Limit{
			Name: "eye", At: r3.Vec{X: between(20, 60), Y: between(-4, 4), Z: between(1, 2)}, Lux: math.Exp(between(-1, 5)),
		})
	}
	return p
}

func TestBestOfAllSettings(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	unmet := 0
	for i := range 150 {
		p := randomProblem(r)
		best, found := exhaust(p)
		got, err := p.Solve(context.Background(), 0.5*deg, nil)
		if !found {
			unmet++
			if u := (*aim.Unmet)(nil); !errors.As(err, &u) || u.Least <= u.Limit.Lux {
				t.Errorf("rig %d: no setting keeps the limits, but Solve says %v", i, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("rig %d: %v", i, err)
			continue
		}
		value, _, keeps := evaluate(p, got.Aims)
		if !keeps {
			t.Errorf("rig %d: breaks a limit", i)
		}
		if value < best-1e-4 {
			t.Errorf("rig %d: fulfilment %.5f, exhaustive search finds %.5f", i, value, best)
		}
		if math.Abs(value-got.After) > 1e-9 {
			t.Errorf("rig %d: says %.6f, is %.6f", i, got.After, value)
		}
		if got.Bound < best-1e-4 || !got.Proved {
			t.Errorf("rig %d: bound %.5f (proved %v), but %.5f can be had", i, got.Bound, got.Proved, best)
		}
	}
	if unmet == 0 {
		t.Error("no rig with limits that cannot be kept was tried")
	}
}

// More weight on a target never lowers that target, where the best setting is found.
func TestWeightIsMonotone(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	tried := 0
	for range 60 {
		p := randomProblem(r)
		if len(p.Targets) < 2 {
			continue
		}
		last := -1.0
		for _, w := range []float64{0.1, 0.5, 1, 2, 5, 20} {
			p.Targets[0].Weight = w
			got, err := p.Solve(context.Background(), 0.5*deg, nil)
			if err != nil {
				break
			}
			tried++
			// The tables keep light to 1e-4 or so; two settings closer than that are as good as each other.
			if f := got.Targets[0].After; f < last-5e-4 {
				t.Errorf("weight %v lowers its target from %.5f to %.5f", w, last, f)
			} else {
				last = f
			}
		}
	}
	if tried < 50 {
		t.Errorf("only %d solved", tried)
	}
}

func TestBestSettingIsLeftAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for i := range 40 {
		p := randomProblem(r)
		first, err := p.Solve(context.Background(), 0.5*deg, nil)
		if err != nil {
			continue
		}
		for j := range p.Lamps {
			p.Lamps[j].Aim = first.Aims[j]
		}
		second, err := p.Solve(context.Background(), 0.5*deg, nil)
		if err != nil {
			t.Fatalf("rig %d: %v", i, err)
		}
		if d := cmp.Diff(first.Aims, second.Aims); d != "" {
			t.Errorf("rig %d: a rig at its best was changed:\n%s", i, d)
		}
	}
}

func TestSameOnEveryRun(t *testing.T) {
	p := sixLamps()
	first, err := p.Solve(context.Background(), 0.5*deg, nil)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		again, err := p.Solve(context.Background(), 0.5*deg, nil)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(first, again); d != "" {
			t.Fatalf("differs from run to run:\n%s", d)
		}
	}
}

// sixLamps have 31 tilts each and three targets with about 500 sample points.
func sixLamps() *aim.Problem {
	p := &aim.Problem{Site: &geometry.Site{}}
	for i, l := range []geometry.Lamp{
		lamp(-1.9, 0.5, 2.05, 5, 10, 6000), lamp(-1.9, -0.5, 2.05, 5, 10, 6000), lamp(0, 0.6, 0.8, 0, 12, 3000),
		lamp(0, -0.6, 0.8, 0, 12, 3000), lamp(-0.2, 0, 0.6, 2, 40, 5000), lamp(-2, 0, 2.1, 8, 30, 8000),
	} {
		p.Lamps = append(p.Lamps, l)
		p.Brackets = append(p.Brackets, single(i, steps(0, 15, 0.5)))
	}
	p.Targets = []aim.Target{
		{Name: "near", From: 3, To: 18, HalfWidth: 4, Lux: 60, Weight: 1},
		{Name: "middle", From: 20, To: 45, HalfWidth: 4, Facing: true, Up: 0.6, Lux: 150, Weight: 1},
		{Name: "far", From: 60, To: 90, HalfWidth: 2, Facing: true, Up: 0.6, Lux: 80, Weight: 2},
	}
	p.Limits = []aim.Limit{{Name: "eye", At: r3.Vec{X: 50, Y: 3.5, Z: 1.1}, Lux: 70}}
	return p
}

func TestSixLampsComeNearTheBound(t *testing.T) {
	got, err := sixLamps().Solve(context.Background(), 0.5*deg, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("before %.4f, after %.4f, bound %.4f, proved %v", got.Before, got.After, got.Bound, got.Proved)
	if got.After < got.Bound-0.005 {
		t.Errorf("fulfilment %.4f, but for all that is known %.4f can be had", got.After, got.Bound)
	}
}

func TestNothingToAim(t *testing.T) {
	p := sixLamps()
	p.Brackets = nil
	if _, err := p.Solve(context.Background(), 0, nil); !errors.Is(err, aim.ErrNothing) {
		t.Errorf("no bracket: %v", err)
	}
	p = sixLamps()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := p.Solve(ctx, 0, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func BenchmarkSixLamps(b *testing.B) {
	p := sixLamps()
	for b.Loop() {
		if _, err := p.Solve(context.Background(), 0.5*deg, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTwelveLampsWithTurns(b *testing.B) {
	p := sixLamps()
	n := len(p.Lamps)
	for i := range n {
		l := p.Lamps[i]
		l.At.X -= 0.3
		l.At.Y *= 1.3
		p.Lamps = append(p.Lamps, l)
		p.Brackets = append(p.Brackets, single(n+i, steps(0, 15, 0.5)))
	}
	for i := range p.Brackets {
		p.Brackets[i].Turns = steps(-10, 10, 1)
	}
	for b.Loop() {
		r, err := p.Solve(context.Background(), 0.5*deg, nil)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(r.Bound-r.After, "gap")
	}
}
