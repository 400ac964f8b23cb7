package aim_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"beamfall/geometry"
	"beamfall/geometry/aim"

	"gonum.org/v1/gonum/spatial/r3"
)

// Problems at the ends of what can be asked: they have an answer of plain numbers, or end when they are told to.

func twoSpots(wanted, allowed float64) *aim.Problem {
	p := &aim.Problem{
		Site:     &geometry.Site{},
		Lamps:    []geometry.Lamp{lamp(0, 0.5, 1, 0, 10, 5000), lamp(0, -0.5, 1, 3, 30, 5000)},
		Brackets: []aim.Bracket{single(0, steps(0, 10, 1)), single(1, steps(0, 10, 1))},
		Targets:  []aim.Target{{Name: "near", From: 3, To: 12, HalfWidth: 2, Lux: wanted, Weight: 1}},
	}
	if allowed > 0 {
		p.Limits = []aim.Limit{{Name: "eye", At: r3.Vec{X: 30, Y: 3, Z: 1.1}, Lux: allowed}}
	}
	return p
}

// Where next to nothing is wanted, any light does: the fulfilment is that of min(1, E / wanted), 1 in every place that is lit
// at all, and no share of light to wanted is too large to be added up.
func TestNextToNothingWanted(t *testing.T) {
	for _, wanted := range []float64{1e-300, 1e-30, 1e-6} {
		res, err := twoSpots(wanted, 0).Solve(t.Context(), 0.5*deg, nil)
		if err != nil {
			t.Fatal(err)
		}
		for name, v := range map[string]float64{
			"before": res.Before, "after": res.After, "bound": res.Bound, "alone": res.Targets[0].Alone,
			"if lower": res.Brackets[0].Down, "if higher": res.Brackets[1].Up,
		} {
			if !(math.Abs(v-1) < 1e-6) {
				t.Errorf("%g lx wanted: %s is %v, want 1", wanted, name, v)
			}
		}
	}
}

// Where next to nothing is allowed, the closest miss is told by the light that there is then.
func TestNextToNothingAllowed(t *testing.T) {
	for _, allowed := range []float64{1e-300, 1e-12, 0.001} {
		p := twoSpots(10, allowed)
		_, err := p.Solve(t.Context(), 0.5*deg, nil)
		var unmet *aim.Unmet
		if !errors.As(err, &unmet) {
			t.Fatalf("%g lx allowed: %v, want that no setting keeps it", allowed, err)
		}
		lamps := append([]geometry.Lamp(nil), p.Lamps...)
		for i := range lamps {
			lamps[i].Aim = unmet.Setting[i]
		}
		if is := p.Limits[0].LuxAt(p.Site.Scene(lamps...)); !(math.Abs(unmet.Least/is-1) < 1e-9) {
			t.Errorf("%g lx allowed: told to get %g lx, gets %g lx", allowed, unmet.Least, is)
		}
	}
}

// endsAfter is a context that ends when it has been asked so many times.
type endsAfter struct {
	context.Context
	asked, most int
}

func (c *endsAfter) Err() error {
	if c.asked++; c.asked > c.most {
		return context.Canceled
	}
	return nil
}

// Whenever the context ends, the search does, with the context's error and nothing else.
func TestSearchEnds(t *testing.T) {
	p := sixLamps()
	all := &endsAfter{Context: t.Context(), most: math.MaxInt}
	if _, err := p.Solve(all, 0.5*deg, nil); err != nil {
		t.Fatal(err)
	}
	if all.asked < 100 {
		t.Errorf("the context was asked %d times, too seldom to end a long search", all.asked)
	}
	for _, most := range []int{0, all.asked / 4, all.asked / 2, all.asked - 1} {
		c := &endsAfter{Context: t.Context(), most: most}
		if res, err := p.Solve(c, 0.5*deg, nil); !errors.Is(err, context.Canceled) {
			t.Errorf("ended after %d of %d: %v, %v", most, all.asked, res, err)
		}
		if c.asked > most+100 {
			t.Errorf("ended after %d, and went on for %d more", most, c.asked-most)
		}
	}
}

// Choices count by themselves: a million ways to set a lamp for a single point are a million lists and scores.
func TestWorkCountsChoices(t *testing.T) {
	p := twoSpots(10, 5)
	p.Targets[0].To, p.Targets[0].HalfWidth = p.Targets[0].From, 0
	few := p.Work()
	p.Brackets[0].Turns = make([]float64, 1_000_000)
	if more := p.Work(); more < few*1_000_000/4 || more < 11_000_000*20 {
		t.Errorf("work of %d, and of %d with a million turns", few, more)
	}
}
