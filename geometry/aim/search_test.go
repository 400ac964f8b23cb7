package aim

import (
	"math"
	"math/rand/v2"
	"testing"

	"beamfall/geometry/sight"
)

// The search that proves, on tables made up at random: against the enumeration of all settings,
// from starts that are worse.

// madeUp is tables of so many brackets with so many choices, for points of both kinds and one
// limit.
func madeUp(r *rand.Rand, brackets, choices int) *tables {
	const points = 12
	t := &tables{sites: 1, points: points, adapt: true, limits: 1, fixed: newSums(points, true),
		fixedAt: []float64{0.1}}
	var gains []*gain
	for range points / 2 {
		gains = append(gains, newGain(sight.Usual, 5+50*r.Float64()))
	}
	t.spans = []span{
		{from: 0, to: points / 2, weight: 0.4 / (points / 2)},
		{from: points / 2, to: points, weight: 0.6 / (points / 2), gains: gains},
	}
	for v := range brackets {
		t.present = append(t.present, r.IntN(choices))
		t.choices, t.gives, t.givesAt = append(t.choices, nil), append(t.gives, nil), append(t.givesAt, nil)
		for k := range choices {
			s := newSums(points, true)
			for i := range points {
				s.light[i] = float32(math.Exp(3*r.NormFloat64()) / 20)
				if i >= points/2 {
					s.light[i] *= float32(0.2 * r.NormFloat64())
				}
				s.adapt[i] = float32(math.Exp(2*r.NormFloat64()) / 20)
			}
			t.choices[v] = append(t.choices[v], Setting{Tilt: float64(k)})
			t.gives[v] = append(t.gives[v], s)
			t.givesAt[v] = append(t.givesAt[v], []float64{0.9 * r.Float64() / float64(brackets) * 1.5})
		}
	}
	return t
}

// all goes through all settings.
func (t *tables) all(do func(setting []int, value float64, keeps bool)) {
	setting := make([]int, len(t.choices))
	for {
		value, keeps := t.worth(setting)
		do(setting, value, keeps)
		v := 0
		for ; v < len(setting); v++ {
			if setting[v]++; setting[v] < len(t.choices[v]) {
				break
			}
			setting[v] = 0
		}
		if v == len(setting) {
			return
		}
	}
}

func TestExhaustFindsTheBestFromAWorseStart(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	improved := 0
	for i := range 60 {
		tab := madeUp(r, 2+r.IntN(3), 3+r.IntN(4))
		best, start, least := math.Inf(-1), []int(nil), math.Inf(1)
		tab.all(func(s []int, value float64, keeps bool) {
			if keeps && value > best {
				best = value
			}
			if keeps && value < least {
				least, start = value, append([]int(nil), s...)
			}
		})
		if start == nil {
			continue
		}
		got, proved := tab.exhaust(t.Context(), start, least)
		value, keeps := tab.worth(got)
		if !proved || !keeps || value < best-1e-6 {
			t.Errorf("tables %d: %.6f (proved %v, keeps the limit %v), enumeration finds %.6f", i, value, proved, keeps,
				best)
		}
		if value > least+1e-3 {
			improved++
		}
	}
	if improved < 30 {
		t.Errorf("only %d starts were worse", improved)
	}
}

func TestBoundIsNeverBelowWhatItBounds(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for i := range 30 {
		tab := madeUp(r, 3, 4)
		b, shares := tab.newThrough(t.Context(), tab.present), make([]float64, len(tab.most()))
		v := b.order[0]
		best := make([]float64, len(tab.choices[v]))
		tab.all(func(s []int, value float64, _ bool) { best[s[v]] = max(best[s[v]], value) })
		for k := range best {
			if bound := tab.bound(b.at[0], tab.gives[v][k], &b.rest[1], tab.most(), shares, 0); bound < best[k] {
				t.Errorf("tables %d, choice %d: bound %.6f, a setting has %.6f", i, k, bound, best[k])
			}
		}
	}
}

func TestLeastWorkAmongTheGood(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 5))
	for i := range 60 {
		tab := madeUp(r, 2+r.IntN(3), 3+r.IntN(3))
		best, good := math.Inf(-1), []int(nil)
		tab.all(func(s []int, value float64, keeps bool) {
			if keeps && value > best {
				best, good = value, append([]int(nil), s...)
			}
		})
		if good == nil {
			continue
		}
		least := work{moved: 99}
		tab.all(func(s []int, value float64, keeps bool) {
			if w := tab.workOf(s); keeps && value >= best-tab.slack() && w.less(least) {
				least = w
			}
		})
		got := tab.leastWork(t.Context(), good, best)
		value, keeps := tab.worth(got)
		if w := tab.workOf(got); least.less(w) || !keeps || value < best-tab.slack()-1e-9 {
			t.Errorf("tables %d: %+v worth %.6f of %.6f, enumeration finds %+v", i, w, value, best, least)
		}
	}
}

// The tabulated threshold is the formula to a thousandth, and its greatest value from a luminance
// on is never below it.
func TestGainIsTheFormula(t *testing.T) {
	for _, arcmin := range []float64{1.5, 7.45, 20, 60} {
		g := newGain(sight.Usual, arcmin)
		for lg := -3.9; lg < 3; lg += 0.013 {
			l := math.Pow(10, lg)
			for _, c := range []float64{1e-3, -1e-3} {
				want := math.Abs(c) / (sight.Usual.Threshold(l, arcmin, c < 0) * sight.Usual.Level)
				got := float64(g.share(float32(c), float32(l)))
				// The formula steps at 0.00418, 0.6 and, for what is dark, at 0.004 and 0.1 cd/m².
				if math.Abs(got/want-1) > 0.0015 && want < 1 && !nearStep(l) {
					t.Errorf("%v′, %.4g cd/m²: %.6g, want %.6g", arcmin, l, got, want)
				}
				if most := float64(g.most(min(float32(c), 0), max(float32(c), 0), float32(l/1.001))); most < min(1,
					want)*(1-1e-6) && !nearStep(l) {
					t.Errorf("%v′, %.4g cd/m²: at most %.6g, is %.6g", arcmin, l, most, want)
				}
			}
		}
	}
}

func nearStep(l float64) bool {
	for _, step := range []float64{0.004, 0.00418, 0.1, 0.6} {
		if math.Abs(math.Log2(l/step)) < 0.2 {
			return true
		}
	}
	return false
}
