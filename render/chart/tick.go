package chart

import (
	"math"

	"beamfall/render/draw"
	"beamfall/render/units"
)

// Ticks stand at 1, 2 or 5 times a power of ten of the unit shown, as close as their figures leave
// room for.

// Tick is a mark on an axis.
type Tick struct {
	At   float64 // SI
	Text string  // the figure in the axis' unit; empty for a mark between figures
}

// ticks of an axis of the given length in pixels; room is the pixels that a figure needs along it,
// with the gap.
func (a Axis) ticks(length float64, room func(text string) float64) []Tick {
	if a.Log {
		return a.decades(length, room)
	}
	lo, hi := a.Low()/a.Unit.Size, a.High()/a.Unit.Size
	perUnit := length / (hi - lo)
	for step := RoundStep(8 / perUnit); ; step = RoundStep(1.5 * step) {
		var ticks []Tick
		widest := 0.0
		for k := math.Ceil(lo/step - 1e-9); k*step <= hi+1e-9*step; k++ {
			v := units.Steps(k, step)
			ticks = append(ticks, Tick{v * a.Unit.Size, units.Figure(v)})
			widest = max(widest, room(units.Figure(v)))
		}
		if widest <= step*perUnit*(1+1e-9) || len(ticks) < 2 {
			return ticks
		}
	}
}

// decades are the ticks of a logarithmic axis: figures at 1 and 3, at 1 only where that is too
// close, or at every second, third … decade; bare marks at the others of 2 to 9 where the decade
// has room.
func (a Axis) decades(length float64, room func(text string) float64) []Tick {
	lo, hi := a.Low()/a.Unit.Size, a.High()/a.Unit.Size
	decade := length / math.Log10(hi/lo)
	need := 0.0
	first, last := int(math.Floor(math.Log10(lo))), int(math.Ceil(math.Log10(hi)))
	for e := first; e <= last; e++ {
		need = max(need, room(units.Figure(units.Steps(1, math.Pow10(e)))),
			room(units.Figure(units.Steps(3, math.Pow10(e)))))
	}
	every := max(1, int(math.Ceil(need/decade)))
	var ticks []Tick
	for e := first; e <= last; e++ {
		for m := 1; m <= 9; m++ {
			v := units.Steps(float64(m), math.Pow10(e))
			if v < lo*(1-1e-9) || v > hi*(1+1e-9) {
				continue
			}
			named := m == 1 && e%every == 0 || m == 3 && 0.47*decade >= need
			switch {
			case named:
				ticks = append(ticks, Tick{v * a.Unit.Size, units.Figure(v)})
			case decade > 80 || m == 1:
				ticks = append(ticks, Tick{At: v * a.Unit.Size})
			}
		}
	}
	return ticks
}

// roundStep is the smallest of 1, 2, 5 times a power of ten that is not below v.
func RoundStep(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, s := range []float64{1, 2, 5, 10} {
		if s*p >= v*(1-1e-9) {
			return s * p
		}
	}
	return 10 * p
}

// roundBelow is the largest of 1, 2, 5 times a power of ten that is not above v.
func RoundBelow(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, s := range []float64{10, 5, 2} {
		if s*p <= v*(1+1e-9) {
			return s * p
		}
	}
	return p
}

// tickGap is the least distance between figures, units: more figures would not be read better, and
// their grid would be in the way.
const tickGap = 90

// AcrossTicks are the ticks of the axis across as they are drawn on a canvas.
func (f Frame) AcrossTicks(c *draw.Canvas) []Tick {
	return f.Across.ticks(f.Box.W(), func(text string) float64 {
		w, _ := c.Measure(text, draw.Small)
		return max(w+c.U(30), c.U(tickGap))
	})
}

// UpTicks are the ticks of the axis up as they are drawn on a canvas. Where the frame is true to
// scale they have the steps of the axis across.
func (f Frame) UpTicks(c *draw.Canvas) []Tick {
	_, h := c.Measure("0", draw.Small)
	gap := 1.7 * h
	if !f.Up.Log && !f.Across.Log && f.Up.Unit == f.Across.Unit && math.Abs(f.Exaggeration()-1) < 1e-9 {
		if across := f.AcrossTicks(c); len(across) > 1 {
			gap = max(gap, (across[1].At-across[0].At)*f.PerMetre())
		}
	}
	return f.Up.ticks(f.Box.H(), func(string) float64 { return gap })
}
