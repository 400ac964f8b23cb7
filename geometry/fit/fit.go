// Package fit finds what lamps really do from readings of a light meter: by what factor each gives
// more or less light than it is rated for, and by how much its tilt is off.
//
//	p := fit.New(site, lamps, groups, stakes)
//	result, err := p.Fit(lux, 0.05)
//
// Light meters err by a share of what they read, and factors multiply: so it is least squares on
// logarithms. How sure each figure is follows from how the readings depend on it; where they cannot
// tell, that is said, and no figure is given out as one.
package fit

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"beamfall/geometry"

	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat/distuv"
)

// Stake is where light is read: a place and the way the meter faces, both as driven, and which
// lamps are lit.
type Stake struct {
	At, Normal r3.Vec
	Lit        []int // indexes of lamps
}

// Problem is lamps, in groups of one factor and one tilt error each, and stakes. It is immutable.
type Problem struct {
	groups int
	curves [][]curve // by stake and group
}

// What is believed of a lamp before anything is read, as standard deviations: this project's own
// choice, and so wide that a few readings outweigh it. It keeps what they say nothing about from
// running away.
const (
	factorBelief = 1.0               // of the logarithm of the factor
	tiltBelief   = 3 * math.Pi / 180 // rad
)

// Tilts are tried up to so far off, in such steps; between them light is interpolated.
const farthest, step = 8 * math.Pi / 180, 0.1 * math.Pi / 180

// Readings can tell a factor when they tell it to within ×1.5 or ÷1.5, and a tilt when to within
// 1.5°: own choice. What is known worse is no ground to change a rig file on.
var (
	coarseFactor = math.Log(1.5)
	coarseTilt   = 1.5 * math.Pi / 180
)

// confidence is how often all figures of a fit together are within what is said of them.
const confidence = 0.95

// curve is the light (lx) of a group at a stake by how far its tilt is off; nil where it gives
// none.
type curve struct{ log *interp.AkimaSpline }

// dark is the light below which there is none, lx.
const dark = 1e-9

// at is the light and its derivative by the tilt.
func (c curve) at(off float64) (lux, slope float64) {
	if c.log == nil {
		return 0, 0
	}
	off = min(max(off, -farthest), farthest)
	lux = math.Exp(c.log.Predict(off))
	return lux, lux * c.log.PredictDerivative(off)
}

// New works out what each group of lamps gives at each stake, whatever its tilt. Groups are of
// indexes of lamps; no lamp belongs to two. A lamp in none is as rated and as set.
func New(site *geometry.Site, lamps []geometry.Lamp, groups [][]int, stakes []Stake) *Problem {
	mounted := site.Scene(lamps...)
	p := &Problem{groups: len(groups), curves: make([][]curve, len(stakes))}
	for k := range stakes {
		p.curves[k] = make([]curve, len(groups)+1)
	}
	var offs []float64
	for i := -int(math.Round(farthest / step)); float64(i) <= math.Round(farthest/step); i++ {
		offs = append(offs, float64(i)*step)
	}
	light := func(k int, of []int, off float64) (sum float64) {
		for _, n := range of {
			if slices.Contains(stakes[k].Lit, n) {
				m := mounted.Lamps[n]
				aim := m.Lamp.Aim
				aim.Tilt += off
				sum += site.With(site.Reaim(&m, aim)).Lux(stakes[k].At, stakes[k].Normal)
			}
		}
		return sum
	}
	var rest []int // lamps in no group
	for n := range lamps {
		if !slices.ContainsFunc(groups, func(g []int) bool { return slices.Contains(g, n) }) {
			rest = append(rest, n)
		}
	}
	logs := make([]float64, len(offs))
	for k := range stakes {
		for g, of := range groups {
			most := 0.0
			for i, off := range offs {
				lux := light(k, of, off)
				most = max(most, lux)
				logs[i] = math.Log(max(lux, dark))
			}
			if most > dark {
				p.curves[k][g].log = spline(offs, logs)
			}
		}
		if lux := light(k, rest, 0); lux > dark {
			p.curves[k][len(groups)].log = spline([]float64{-farthest, 0, farthest},
				[]float64{math.Log(lux), math.Log(lux), math.Log(lux)})
		}
	}
	return p
}

func spline(x, y []float64) *interp.AkimaSpline {
	s := new(interp.AkimaSpline)
	if err := s.Fit(x, y); err != nil { // it cannot be: the places rise
		panic(err)
	}
	return s
}

// Result is what explains readings best.
type Result struct {
	Groups []Estimate
	Fitted []float64 // lx, by stake
	Misfit float64   // root mean square of the logarithms of readings by fitted: 0.05 is 5 %
	Freed  float64   // readings beyond those that it takes to tell the figures; below 1 the misfit says nothing
}

// Estimate is what is found of a group. All figures of a result together are within what is said of
// them in 95 of 100 cases, if readings err by no more than was assumed or by as much as they do
// here.
type Estimate struct {
	Factor     float64 // on the output
	FactorOff  float64 // of its logarithm: the factor is between Factor/exp and Factor·exp of it
	FactorTold bool    // the readings tell it
	Tilt       float64 // rad by which the lamp is lower than set
	TiltOff    float64 // rad
	TiltTold   bool
	Seen       int  // readings that have light of it at some tilt; one cannot tell light from tilt
	Twofold    bool // another setting, farther off than is said here, explains the readings as well
}

// Low and High are between what the factor is.
func (e *Estimate) Low() float64 { return e.Factor * math.Exp(-e.FactorOff) }

// High is the upper end of what the factor may be.
func (e *Estimate) High() float64 { return e.Factor * math.Exp(e.FactorOff) }

// scale makes the unknowns alike in size: tilts are in degrees.
const scale = math.Pi / 180

// residuals are the logarithms of what the unknowns give by what was read, with their derivatives
// where jacobian is not nil.
func (p *Problem) residuals(x, logs, out []float64, jacobian *mat.Dense) {
	for k, curves := range p.curves {
		sum, _ := curves[p.groups].at(0)
		var lux, slope = make([]float64, p.groups), make([]float64, p.groups)
		for g := range p.groups {
			l, s := curves[g].at(x[2*g+1] * scale)
			f := math.Exp(x[2*g])
			lux[g], slope[g] = f*l, f*s
			sum += lux[g]
		}
		sum = max(sum, dark)
		out[k] = math.Log(sum) - logs[k]
		if jacobian != nil {
			for g := range p.groups {
				jacobian.Set(k, 2*g, lux[g]/sum)
				jacobian.Set(k, 2*g+1, slope[g]*scale/sum)
			}
		}
	}
}

// Fit finds the factors and tilt errors that explain readings (lx, one for each stake, above 0)
// best. Noise is the standard deviation of readings that is assumed at least, as a share of them.
func (p *Problem) Fit(lux []float64, noise float64) (*Result, error) {
	if len(lux) != len(p.curves) {
		return nil, fmt.Errorf("%d readings at %d stakes", len(lux), len(p.curves))
	}
	if len(lux) == 0 || p.groups == 0 {
		return nil, errors.New("there is nothing to fit")
	}
	logs := make([]float64, len(lux))
	for k, v := range lux {
		if !(v > 0) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("reading %d is %g lx: only light above 0 has a logarithm", k+1, v)
		}
		logs[k] = math.Log(v)
	}
	f := &fitting{p, logs, noise, make([]float64, len(lux)), mat.NewDense(len(lux), 2*p.groups, nil)}
	best, others, err := f.search()
	if err != nil {
		return nil, err
	}
	return f.result(best, others), nil
}

// fitting is one search.
type fitting struct {
	*Problem
	logs  []float64
	noise float64

	out      []float64
	jacobian *mat.Dense
}

// belief is the standard deviation of unknown i before anything is read.
func belief(i int) float64 {
	if i%2 == 0 {
		return factorBelief
	}
	return tiltBelief / scale
}

// cost is half the sum of squares, of residuals by the noise and of unknowns by what is believed of
// them.
func (f *fitting) cost(x []float64) float64 {
	f.residuals(x, f.logs, f.out, nil)
	sum := 0.0
	for _, r := range f.out {
		sum += r * r / (f.noise * f.noise)
	}
	for i, v := range x {
		sum += v * v / (belief(i) * belief(i))
	}
	return sum / 2
}

func (f *fitting) gradient(into, x []float64) {
	f.residuals(x, f.logs, f.out, f.jacobian)
	for i, v := range x {
		into[i] = v / (belief(i) * belief(i))
		for k, r := range f.out {
			into[i] += f.jacobian.At(k, i) * r / (f.noise * f.noise)
		}
	}
}

// minimum is unknowns where the cost is least around, and the cost.
type minimum struct {
	x    []float64
	cost float64
}

// search looks for the least cost from several starts: a reading is as low on one side of a beam as
// on the other, so there may be more than one minimum.
func (f *fitting) search() (best minimum, others []minimum, err error) {
	n := 2 * f.groups
	starts := [][]float64{make([]float64, n)}
	const most = 12 // groups that are tried one by one
	for _, off := range []float64{-4, -1.5, 1.5, 4} {
		all := make([]float64, n)
		for g := range f.groups {
			all[2*g+1] = off
			if f.groups > 1 && f.groups <= most {
				one := make([]float64, n)
				one[2*g+1] = off
				starts = append(starts, one)
			}
		}
		starts = append(starts, all)
	}
	best.cost = math.Inf(1)
	problem := optimize.Problem{Func: f.cost, Grad: func(into, x []float64) { f.gradient(into, x) }}
	for _, x := range starts {
		r, err := optimize.Minimize(problem, x, &optimize.Settings{GradientThreshold: 1e-6, MajorIterations: 400},
			&optimize.BFGS{})
		if r == nil {
			return best, nil, fmt.Errorf("fit: %w", err)
		}
		// That the search could get no lower, for rounding, is no failure of it.
		m := minimum{slices.Clone(r.X), r.F}
		if others = append(others, m); m.cost < best.cost {
			best = m
		}
	}
	return best, others, nil
}

// result says what is found at a minimum, and how sure it is.
func (f *fitting) result(best minimum, others []minimum) *Result {
	n, unknowns := len(f.logs), 2*f.groups
	f.residuals(best.x, f.logs, f.out, f.jacobian)
	squares := 0.0
	out := &Result{Fitted: make([]float64, n)}
	for k, r := range f.out {
		squares += r * r
		out.Fitted[k] = math.Exp(f.logs[k] + r)
	}
	out.Misfit = math.Sqrt(squares / float64(n))
	// The information that readings and belief have (Gauss and Newton's Hessian), and the
	// covariance, its inverse.
	info := mat.NewSymDense(unknowns, nil)
	var product mat.Dense
	product.Mul(f.jacobian.T(), f.jacobian)
	for i := range unknowns {
		for j := i; j < unknowns; j++ {
			info.SetSym(i, j, product.At(i, j)/(f.noise*f.noise))
		}
		info.SetSym(i, i, info.At(i, i)+1/(belief(i)*belief(i)))
	}
	var chol mat.Cholesky
	var covariance mat.SymDense
	if !chol.Factorize(info) || chol.InverseTo(&covariance) != nil { // it cannot be: belief alone makes it positive
		panic("fit: the information is not positive definite")
	}
	// Unknowns that belief alone holds take nothing from the readings.
	out.Freed = float64(n - unknowns)
	for i := range unknowns {
		out.Freed += covariance.At(i, i) / (belief(i) * belief(i))
	}
	// Bonferroni's inequality: each figure is as sure as makes all of them sure together.
	tail := 1 - (1-confidence)/(2*float64(unknowns))
	wide := distuv.UnitNormal.Quantile(tail)
	if out.Freed >= 1 { // how well they fit tells how much the readings err
		spread := math.Sqrt(squares/out.Freed) / f.noise
		wide = max(wide, spread*distuv.StudentsT{Sigma: 1, Nu: out.Freed}.Quantile(tail))
	}
	off := make([]float64, unknowns)
	for i := range off {
		off[i] = wide * math.Sqrt(covariance.At(i, i))
	}
	for g := range f.groups {
		e := Estimate{
			Factor: math.Exp(best.x[2*g]), FactorOff: off[2*g], Tilt: best.x[2*g+1] * scale,
			TiltOff: off[2*g+1] * scale,
		}
		for _, curves := range f.curves {
			if curves[g].log != nil {
				e.Seen++
			}
		}
		for _, m := range others {
			// As good: within what chance does to the cost of one figure (χ² of one degree, 95 %).
			const chance = 3.84 / 2
			if m.cost < best.cost+chance*max(1, 2*best.cost/float64(max(1, n))) &&
				(math.Abs(m.x[2*g]-best.x[2*g]) > off[2*g] || math.Abs(m.x[2*g+1]-best.x[2*g+1]) > off[2*g+1]) {
				e.Twofold = true
			}
		}
		e.FactorTold = e.Seen > 1 && !e.Twofold && e.FactorOff <= coarseFactor
		e.TiltTold = e.Seen > 1 && !e.Twofold && e.TiltOff <= coarseTilt && math.Abs(e.Tilt) < farthest
		out.Groups = append(out.Groups, e)
	}
	return out
}
