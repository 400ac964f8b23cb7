package aim

import "math"

// How good can any setting be? The fulfilment Σ c·min(1, E) is concave in the light E, and E is a sum over brackets, so
// for any prices y between 0 and 1 at the points and λ ≥ 0 at the limits
//
//	fulfilment ≤ Σ c·(1-y) + Σ c·y·fixed + Σ λ·(1-fixed limit) + Σ over brackets of max over choices of score
//	score = Σ c·y·gives - Σ λ·gives limit
//
// (Lagrangian duality: c·min(1, E) ≤ c·(1-y) + c·y·E). The prices that make this least are sought by subgradient steps
// of Polyak's length. Every set of prices met on the way is a valid bound, and bounds parts of the search as well: with
// some brackets set, their scores take the place of the greatest ones.

// prices are one bound.
type prices struct {
	constant float64
	score    [][]float64 // of each bracket and choice
	best     []float64   // greatest score of each bracket
}

// value is the bound over all settings.
func (p *prices) value() float64 {
	sum := p.constant
	for _, b := range p.best {
		sum += b
	}
	return sum
}

// price makes the bound for prices y and λ.
func (t *tables) price(y, lambda []float64) *prices {
	p := &prices{}
	cy := make([]float64, t.points)
	for _, sp := range t.spans {
		for i := sp.from; i < sp.to; i++ {
			cy[i] = sp.weight * y[i]
			p.constant += sp.weight*(1-y[i]) + cy[i]*t.fixed[i]
		}
	}
	for i, l := range lambda {
		p.constant += l * (1 - t.fixedLimits[i])
	}
	for v := range t.gives {
		scores, best := make([]float64, t.count(v)), math.Inf(-1)
		for k := range scores {
			sum := 0.0
			for i, a := range t.at(v, k) {
				sum += cy[i] * float64(a)
			}
			for i, a := range t.limitsAt(v, k) {
				sum -= lambda[i] * a
			}
			scores[k] = sum
			best = max(best, sum)
		}
		p.score, p.best = append(p.score, scores), append(p.best, best)
	}
	return p
}

// bounds seeks prices with a low bound, starting from the light of a good setting, and returns the best found, best
// first. The work grows with the tables; the number of steps is cut to keep it in hand.
func (t *tables) bounds(good *state, reached float64) []*prices {
	size := 1
	for v := range t.gives {
		size += len(t.gives[v])
	}
	steps := min(400, max(60, 2_000_000_000/size))
	y, lambda := make([]float64, t.points), make([]float64, t.limits)
	for i, l := range good.light {
		if l < 1 {
			y[i] = 1
		}
	}
	const keep = 12
	var best []*prices
	scale, since := 1.0, 0
	for range steps {
		p := t.price(y, lambda)
		value := p.value()
		if len(best) == 0 || value < best[0].value()-1e-6 {
			best = append([]*prices{p}, best[:min(len(best), keep-1)]...)
			since = 0
		} else if since++; since > 12 {
			scale, since = scale/2, 0
		}
		if value <= reached+same || scale < 1e-3 || t.ctx.Err() != nil {
			break
		}
		// the light where every bracket has its best score
		setting := make([]int, len(p.score))
		for v, scores := range p.score {
			for k, s := range scores {
				if s > scores[setting[v]] {
					setting[v] = k
				}
			}
		}
		s := t.state(setting)
		norm := 0.0
		for _, sp := range t.spans {
			for i := sp.from; i < sp.to; i++ {
				g := sp.weight * (s.light[i] - 1)
				if (g > 0 && y[i] > 0) || (g < 0 && y[i] < 1) {
					norm += g * g
				}
			}
		}
		for i, l := range s.limits {
			if g := 1 - l; g < 0 || lambda[i] > 0 {
				norm += g * g
			}
		}
		if norm == 0 {
			break
		}
		step := scale * (value - reached) / norm
		for _, sp := range t.spans {
			for i := sp.from; i < sp.to; i++ {
				y[i] = max(0, min(1, y[i]-step*sp.weight*(s.light[i]-1)))
			}
		}
		for i, l := range s.limits {
			lambda[i] = max(0, lambda[i]-step*(1-l))
		}
	}
	return best
}
