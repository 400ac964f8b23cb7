package aim_test

import (
	"context"
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"
	"beamfall/geometry/aim"
	"beamfall/geometry/sight"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"
)

var sweep = flag.Bool("sweep", false, "try many more rigs, for minutes")

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

// single is a bracket for one lamp that looks straight ahead.
func single(n int, tilts []float64) aim.Bracket {
	return aim.Bracket{Lamps: []int{n}, Mirror: []bool{false}, Settings: aim.Steps(tilts, []float64{0})}
}

// look is the view of a driver 1.6 m up.
func look(s *geometry.Scene) *sight.View {
	return sight.Look(s, s.Site.Attitude.Driven(r3.Vec{X: -2, Y: 0.4, Z: 1.6}), sight.Usual, sight.AtNight(0.2))
}

func person() *sight.Thing { return &sight.Things()[0] }
func rut() *sight.Thing    { return &sight.Things()[4] }

// exhaust tries every setting, by the light field alone. It returns the greatest fulfilment of
// those that keep the limits, and the fewest brackets moved among those that are within Slack of it
// for sure: tables and light field differ a little.
func exhaust(p *aim.Problem) (best float64, moved int, found bool) {
	aims := make([]geometry.Aim, len(p.Lamps))
	for i := range aims {
		aims[i] = p.Lamps[i].Aim
	}
	type tried struct {
		value float64
		moved int
	}
	var all []tried
	var visit func(v, moved int)
	visit = func(v, moved int) {
		if v == len(p.Brackets) {
			for i := range p.Limits {
				if p.LuxAt(i, aims) > p.Limits[i].Lux*(1+1e-9) {
					return
				}
			}
			f, _ := p.Fulfilment(aims)
			all = append(all, tried{f, moved})
			return
		}
		b := &p.Brackets[v]
		now := b.Now(p.Lamps)
		settings := b.Settings
		for _, s := range settings {
			for i, a := range b.Aims(s, p.Lamps) {
				aims[b.Lamps[i]] = a
			}
			if math.Abs(s.Tilt-now.Tilt)+math.Abs(s.Turn-now.Turn) < 1e-9 {
				visit(v+1, moved)
			} else {
				visit(v+1, moved+1)
			}
		}
	}
	visit(0, 0)
	for _, a := range all {
		best = max(best, a.value)
	}
	sure := 0.98 * aim.Slack
	if slices.ContainsFunc(p.Targets, func(t aim.Target) bool { return t.See != nil }) {
		sure = 0.6 * aim.Slack
	}
	moved = len(p.Brackets)
	for _, a := range all {
		if a.value >= best-sure {
			moved = min(moved, a.moved)
		}
	}
	return best, moved, len(all) > 0
}

// randomProblem has up to three brackets, one of them a pair, and up to a few hundred settings in
// all. The lamps are set on their steps. With see, things are to be seen.
func randomProblem(r *rand.Rand, see bool) *aim.Problem {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	p := &aim.Problem{Sites: []*geometry.Site{{}}, Look: look}
	n, most := 1+r.IntN(3), []int{0, 200, 14, 6}
	if see {
		most = []int{0, 12, 6, 4}
	}
	for v := range n {
		choices := 2 + r.IntN(most[n]-1)
		tilts := steps(0, 0.5*float64(choices-1)+0.25, math.Max(0.5, math.Floor(20/float64(choices))/2))
		turns := []float64{0}
		if v == 1 {
			turns, tilts = []float64{0, 6 * deg}, tilts[:min(len(tilts), 6)]
		}
		l := lamp(between(-3, 0), between(0, 0.8), between(0.5, 2.2), 0, between(6, 50), between(1000, 12000))
		l.Aim.Tilt = tilts[r.IntN(len(tilts))]
		b := aim.Bracket{Lamps: []int{len(p.Lamps)}, Mirror: []bool{false}, Settings: aim.Steps(tilts, turns)}
		p.Lamps = append(p.Lamps, l)
		if v == 1 { // a pair that turns too
			twin := l
			twin.At.Y = -l.At.Y
			p.Lamps = append(p.Lamps, twin)
			b.Lamps, b.Mirror = append(b.Lamps, len(p.Lamps)-1), append(b.Mirror, true)
		}
		p.Brackets = append(p.Brackets, b)
	}
	for i := range 1 + r.IntN(3) {
		from := between(2, 30)
		t := aim.Target{
			Name: string(rune('a' + i)), From: from, To: from + between(2, 12), HalfWidth: between(0, 2),
			Facing: r.IntN(2) == 0, Up: 0.6,
			Lux: math.Exp(between(0, 6)), Weight: between(0.2, 3),
		}
		if see && i < 2 {
			t.See, t.From, t.HalfWidth = person(), between(40, 150), between(0, 1)
			t.To = t.From + between(2, 8)
			if r.IntN(2) == 0 {
				t.See, t.From, t.To = rut(), 8, between(10, 14)
			}
		}
		p.Targets = append(p.Targets, t)
	}
	if r.IntN(2) == 0 {
		p.Limits = append(p.Limits, aim.Limit{
			Name: "eye", At: r3.Vec{X: between(20, 60), Y: between(-4, 4), Z: between(1, 2)},
			Lux: math.Exp(between(-1, 5)),
		})
	}
	return p
}

// holds checks an answer against the enumeration of all settings.
func holds(t *testing.T, rig int, p *aim.Problem) (met bool) {
	t.Helper()
	best, moved, found := exhaust(p)
	got, err := p.Solve(t.Context(), 0.5*deg, nil)
	if !found {
		u := (*aim.Unmet)(nil)
		if !errors.As(err, &u) || u.Lux <= p.Limits[u.Limit].Lux || got == nil {
			t.Errorf("rig %d: no setting keeps the limits, but Solve says %v", rig, err)
		}
		return false
	}
	if err != nil {
		t.Errorf("rig %d: %v", rig, err)
		return true
	}
	value, _ := p.Fulfilment(got.Aims)
	for i := range p.Limits {
		if p.LuxAt(i, got.Aims) > p.Limits[i].Lux*(1+1e-8) {
			t.Errorf("rig %d: breaks a limit", rig)
		}
	}
	if value < best-aim.Slack {
		t.Errorf("rig %d: fulfilment %.5f, enumeration finds %.5f", rig, value, best)
	}
	if math.Abs(value-got.After) > 1e-9 {
		t.Errorf("rig %d: says %.6f, is %.6f", rig, got.After, value)
	}
	if !got.Proved {
		t.Errorf("rig %d: %d brackets, and not proved", rig, len(p.Brackets))
	}
	n := 0
	for _, m := range got.Moved {
		if m {
			n++
		}
	}
	if n > moved {
		t.Errorf("rig %d: moves %d brackets, and %d do", rig, n, moved)
	}
	return true
}

func TestBestOfAllSettings(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	rigs := 12
	if *sweep {
		rigs = 400
	}
	unmet := 0
	for i := range rigs {
		if !holds(t, i, randomProblem(r, false)) {
			unmet++
		}
	}
	if unmet == 0 {
		t.Error("no rig with limits that cannot be kept was tried")
	}
}

func TestBestToSeeBy(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	rigs := 3
	if *sweep {
		rigs = 60
	}
	for i := range rigs {
		holds(t, i, randomProblem(r, true))
	}
}

// More weight on a target never lowers that target, but by the slack.
func TestWeightIsMonotone(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	tried := 0
	for range 15 {
		p := randomProblem(r, false)
		if len(p.Targets) < 2 {
			continue
		}
		last := -1.0
		for _, w := range []float64{0.1, 0.5, 1, 2, 5, 20} {
			p.Targets[0].Weight = w
			got, err := p.Solve(t.Context(), 0.5*deg, nil)
			if err != nil {
				break
			}
			tried++
			share := w / totalWeight(p)
			if f := got.Targets[0].After; f < last-2*aim.Slack/share {
				t.Errorf("weight %v lowers its target from %.5f to %.5f", w, last, f)
			} else {
				last = f
			}
		}
	}
	if tried < 30 {
		t.Errorf("only %d solved", tried)
	}
}

func totalWeight(p *aim.Problem) (sum float64) {
	for _, t := range p.Targets {
		sum += t.Weight
	}
	return sum
}

func TestBestSettingIsLeftAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	rigs := 10
	if *sweep {
		rigs = 30
	}
	for i := range rigs {
		p := randomProblem(r, i%6 == 0)
		first, err := p.Solve(t.Context(), 0.5*deg, nil)
		if err != nil {
			continue
		}
		for j := range p.Lamps {
			p.Lamps[j].Aim = first.Aims[j]
		}
		second, err := p.Solve(t.Context(), 0.5*deg, nil)
		if err != nil {
			t.Fatalf("rig %d: %v", i, err)
		}
		if d := cmp.Diff(first.Aims, second.Aims); d != "" {
			t.Errorf("rig %d: a rig at its best was changed:\n%s", i, d)
		}
	}
}

// A setting that is off the steps is looked at all the same, and kept where nothing on the steps is
// better.
func TestOffTheSteps(t *testing.T) {
	p := twoSpots(10, 0)
	p.Lamps[0].Aim.Tilt, p.Lamps[1].Aim.Tilt = 4.3*deg, 4.7*deg
	for i := range p.Brackets {
		p.Brackets[i].Settings = aim.Steps(steps(40, 50, 5), []float64{0})
	}
	got, err := p.Solve(t.Context(), 0.5*deg, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !got.OffSteps || got.After < got.Before || got.Moved[0] || got.Moved[1] {
		t.Errorf("off the steps %v, %.4f before, %.4f after, moved %v", got.OffSteps, got.Before, got.After, got.Moved)
	}
}

// sixLamps have 31 tilts each and three targets with about 500 sample points.
func sixLamps() *aim.Problem {
	p := &aim.Problem{Sites: []*geometry.Site{{}}, Look: look}
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

// twelveLamps have 31 tilts and 21 turns each; a rut is to be seen near by and a person far.
func twelveLamps() *aim.Problem {
	p := sixLamps()
	n := len(p.Lamps)
	for i := range n {
		l := p.Lamps[i]
		l.At.X -= 0.3
		l.At.Y *= 1.3
		p.Lamps = append(p.Lamps, l)
		p.Brackets = append(p.Brackets, single(n+i, nil))
	}
	for i := range p.Brackets {
		p.Brackets[i].Settings = aim.Steps(steps(0, 15, 0.5), steps(-10, 10, 1))
	}
	p.Targets = []aim.Target{
		{Name: "rut", See: rut(), From: 5, To: 40, HalfWidth: 3, Weight: 1},
		{Name: "person", See: person(), From: 30, To: 250, HalfWidth: 2, Weight: 2},
	}
	return p
}

func TestSameOnEveryRun(t *testing.T) {
	p := sixLamps()
	p.Brackets = p.Brackets[:4]
	first, err := p.Solve(t.Context(), 0.5*deg, nil)
	if err != nil {
		t.Fatal(err)
	}
	again, err := p.Solve(t.Context(), 0.5*deg, nil)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(first, again); d != "" {
		t.Fatalf("differs from run to run:\n%s", d)
	}
}

func TestNothingToAim(t *testing.T) {
	p := sixLamps()
	p.Brackets = nil
	if _, err := p.Solve(t.Context(), 0, nil); !errors.Is(err, aim.ErrNothing) {
		t.Errorf("no bracket: %v", err)
	}
	p = sixLamps()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := p.Solve(ctx, 0, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func twoSpots(wanted, allowed float64) *aim.Problem {
	p := &aim.Problem{
		Sites:    []*geometry.Site{{}},
		Lamps:    []geometry.Lamp{lamp(0, 0.5, 1, 0, 10, 5000), lamp(0, -0.5, 1, 3, 30, 5000)},
		Brackets: []aim.Bracket{single(0, steps(0, 10, 1)), single(1, steps(0, 10, 1))},
		Targets:  []aim.Target{{Name: "near", From: 3, To: 12, HalfWidth: 2, Lux: wanted, Weight: 1}},
	}
	if allowed > 0 {
		p.Limits = []aim.Limit{{Name: "eye", At: r3.Vec{X: 30, Y: 3, Z: 1.1}, Lux: allowed}}
	}
	return p
}

// Where next to nothing is wanted, any light does: the fulfilment is that of min(1, E / wanted), 1
// in every place that is lit at all, and no share of light to wanted is too large to be added up.
// No bracket moves for nothing.
func TestNextToNothingWanted(t *testing.T) {
	for _, wanted := range []float64{1e-300, 1e-30, 1e-6} {
		got, err := twoSpots(wanted, 0).Solve(t.Context(), 0.5*deg, nil)
		if err != nil {
			t.Fatal(err)
		}
		for name, v := range map[string]float64{
			"before": got.Before, "after": got.After, "if lower": got.Off[0].Down, "if higher": got.Off[1].Up,
		} {
			if !(math.Abs(v-1) < 1e-6) {
				t.Errorf("%g lx wanted: %s is %v, want 1", wanted, name, v)
			}
		}
		if got.Moved[0] || got.Moved[1] {
			t.Errorf("%g lx wanted: moved %v", wanted, got.Moved)
		}
	}
}

// Where next to nothing is allowed, the setting that breaks the limit least is reported, and what
// each lamp gives there.
func TestNextToNothingAllowed(t *testing.T) {
	for _, allowed := range []float64{1e-300, 1e-12, 0.001} {
		p := twoSpots(10, allowed)
		got, err := p.Solve(t.Context(), 0.5*deg, nil)
		var unmet *aim.Unmet
		if !errors.As(err, &unmet) {
			t.Fatalf("%g lx allowed: %v, want that no setting keeps it", allowed, err)
		}
		is := p.LuxAt(0, got.Aims)
		if !(math.Abs(unmet.Lux/is-1) < 1e-9) || math.Abs((unmet.Lamps[0]+unmet.Lamps[1])/is-1) > 1e-9 {
			t.Errorf("%g lx allowed: %g lx and %v of the lamps, gets %g lx", allowed, unmet.Lux, unmet.Lamps, is)
		}
	}
}

// A limit for another scene counts the lamps of that scene.
func TestLimitOfAnotherScene(t *testing.T) {
	p := twoSpots(30, 10)
	p.Limits[0].Lit = []int{0}
	got, err := p.Solve(t.Context(), 0.5*deg, nil)
	if err != nil {
		t.Fatal(err)
	}
	one := p.Sites[0].Scene(p.Lamps[0])
	one = one.Site.With(one.Site.Reaim(&one.Lamps[0], got.Aims[0]))
	if lux := one.FacingLux(30, 3, 1.1); math.Abs(lux-got.Limits[0].After) > 1e-9 || lux > 10 {
		t.Errorf("the lamp of that scene gives %v lx, reported %v", lux, got.Limits[0].After)
	}
}

// With the nose going up and down, the setting is judged by the attitude in which it does least.
func TestWorstOfThreeAttitudes(t *testing.T) {
	p := twoSpots(30, 0)
	p.Targets[0].From, p.Targets[0].To, p.Targets[0].HalfWidth, p.Targets[0].Facing, p.Targets[0].Up = 40, 60, 1, true,
		0.6
	level, err := p.Solve(t.Context(), 0.5*deg, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, nose := range []float64{-3, 3} {
		p.Sites = append(p.Sites, &geometry.Site{Attitude: geometry.NoseUp(nose*deg, -4)})
	}
	got, err := p.Solve(t.Context(), 0.5*deg, nil)
	if err != nil {
		t.Fatal(err)
	}
	worst := 1.0
	for _, s := range p.Sites {
		q := *p
		q.Sites = []*geometry.Site{s}
		f, _ := q.Fulfilment(got.Aims)
		worst = min(worst, f)
	}
	if math.Abs(worst-got.After) > 1e-9 {
		t.Errorf("fulfilment %.5f, the least of the attitudes is %.5f", got.After, worst)
	}
	if f, _ := p.Fulfilment(level.Aims); f > got.After+aim.Slack {
		t.Errorf("fulfilment %.5f, and %.5f as set for the level nose", got.After, f)
	}
}

// Targets on a bend are along it: fulfilment against places put there by hand. From 5 m on the
// track turns by 1 rad in 30 m. What is best to the right is the mirror image of what is best to
// the left.
func TestTargetsAlongABend(t *testing.T) {
	var turns [2]float64
	for side, left := range []bool{true, false} {
		sign := 1.0
		if !left {
			sign = -1
		}
		pod := lamp(-1, 0, 1.9, 4, 25, 3000)
		p := &aim.Problem{
			Sites: []*geometry.Site{{Track: geometry.Track{Radius: 30, Left: left, From: 5}}},
			Look: func(s *geometry.Scene) *sight.View {
				return sight.Look(s, r3.Vec{X: -2, Z: 1.6}, sight.Usual, sight.AtNight(0.2))
			},
			Lamps: []geometry.Lamp{pod}, Lit: []int{0},
			Brackets: []aim.Bracket{{Lamps: []int{0}, Mirror: []bool{false},
				Settings: aim.Steps(steps(0, 6, 3), steps(-60, 60, 20))}},
			Targets: []aim.Target{
				{Name: "facing", From: 10, To: 35, HalfWidth: 2, Facing: true, Up: 0.6, Lux: 20, Weight: 1},
				{Name: "ground", From: 10, To: 35, HalfWidth: 2, Lux: 5, Weight: 1},
				{Name: "person", From: 10, To: 35, HalfWidth: 2, See: person(), Weight: 1},
			},
		}
		got, err := p.Solve(t.Context(), 0.5*deg, nil)
		if err != nil {
			t.Fatal(err)
		}
		turns[side] = got.Aims[0].Turn
		pod.Aim = got.Aims[0]
		lit := p.Sites[0].Scene(pod)
		view := p.Look(lit)
		var sum [3]float64
		n := 0.0
		for s := 10.0; s <= 35; s++ {
			for off := -2.0; off <= 2; off++ {
				sin, cos := math.Sincos((s - 5) / 30)
				x, y := 5+30*sin-sign*off*sin, sign*30*(1-cos)+off*cos
				back := r3.Vec{X: -cos, Y: -sign * sin}
				sum[0] += min(1, lit.Lux(r3.Vec{X: x, Y: y, Z: 0.6}, back)/20)
				sum[1] += min(1, lit.GroundLux(x, y)/5)
				parts := view.Parts(*person(), sight.Place{X: x, Y: y, Facing: back})
				sum[2] += min(1, parts.See([]int{0}).Level/sight.Usual.Level)
				n++
			}
		}
		_, targets := p.Fulfilment(got.Aims)
		for i, name := range []string{"facing", "ground", "person"} {
			if want, tolerance := sum[i]/n, []float64{1e-9, 1e-9, 2e-3}[i]; math.Abs(targets[i]-want) > tolerance ||
				want < 0.2 {
				t.Errorf("left %v, %s: fulfilment %.5f, by hand %.5f", left, name, targets[i], want)
			}
		}
	}
	if turns[0] < 5*deg || math.Abs(turns[0]+turns[1]) > 1e-12 {
		t.Errorf("best turned by %.0f° for the bend to the left, %.0f° to the right", turns[0]/deg, turns[1]/deg)
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
	p := twelveLamps()
	for b.Loop() {
		r, err := p.Solve(context.Background(), 0.5*deg, nil)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(r.After, "fulfilment")
	}
}
