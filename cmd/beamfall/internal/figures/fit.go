package figures

import (
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"
	"beamfall/geometry/fit"
)

// What lamps really do, from readings of a light meter.

// Fit is what explains readings best. A lamp here is a lamp or a pair of the rig file: a pair has
// one output and one tilt there. File and Notes are for the caller to fill.
type Fit struct {
	Rig          string       `json:"rig"`
	Lamps        []FitLamp    `json:"lamps"`
	Readings     []FitReading `json:"readings"`
	ReadingError float64      `json:"reading_error"` // standard deviation that was assumed, as a share
	// root mean square of the logarithms of readings by what was predicted
	Before float64  `json:"misfit_before"`
	After  float64  `json:"misfit_after"` // by what is explained
	File   *string  `json:"file"`
	Notes  []string `json:"notes"`
}

// FitLamp is what is found of a lamp; what the readings cannot tell does not exist.
type FitLamp struct {
	Name       string `json:"name"`
	Factor     Number `json:"factor"`
	Low        Number `json:"factor_low"`
	High       Number `json:"factor_high"`
	Output     Number `json:"output_before"` // does not exist where the lamp's light is not given as lumens
	Corrected  Number `json:"output_after"`
	TiltError  Angle  `json:"tilt_error_deg"` // + = lower than set
	TiltWithin Angle  `json:"tilt_error_within_deg"`
	Tilt       Angle  `json:"tilt_before_deg"`
	Truly      Angle  `json:"tilt_after_deg"`

	Entry   int          `json:"-"` // of the rig file
	Found   fit.Estimate `json:"-"`
	Strange bool         `json:"-"` // it would take an output above 1
}

// FitReading is a reading and what explains it.
type FitReading struct {
	Place
	Scene     string  `json:"scene"`
	Lamp      string  `json:"lamp"`    // that was lit alone, or all
	Surface   string  `json:"surface"` // ground or facing
	Lux       float64 `json:"lux"`
	Predicted Number  `json:"predicted_lux"`
	Explained Number  `json:"explained_lux"`

	Lit   []int  `json:"-"` // lamps
	Where string `json:"-"` // it is written
}

// Off is the logarithm of the reading by what explains it.
func (r *FitReading) Off() float64 { return math.Log(r.Lux / float64(r.Explained)) }

// FitOf finds what explains readings best, if they err by a share of what they read.
func FitOf(r *assembly.Rig, readings []FitReading, readingError float64) (*Fit, error) {
	out := &Fit{Rig: r.File.Name, Lamps: []FitLamp{}, Readings: readings, ReadingError: readingError, Notes: []string{}}
	var groups [][]int
	for e := range r.File.Lamps {
		var of []int
		for n := range r.Lamps {
			if r.Lamps[n].Entry == e && !r.IsHeadlight(n) {
				of = append(of, n)
			}
		}
		if lit := func(x FitReading) bool {
			return slices.ContainsFunc(of, func(n int) bool { return slices.Contains(x.Lit, n) })
		}; slices.ContainsFunc(readings, lit) {
			groups = append(groups, of)
			out.Lamps = append(out.Lamps, FitLamp{Name: r.File.Lamps[e].Name, Entry: e})
		}
	}
	lamps := make([]geometry.Lamp, len(r.Lamps))
	for n := range lamps {
		lamps[n] = r.Lamps[n].Lamp
	}
	as := r.Site.Scene(lamps...)
	stakes, lux := make([]fit.Stake, len(readings)), make([]float64, len(readings))
	squares := 0.0
	for k := range readings {
		x := &readings[k]
		normal := r.Site.Facing(x.Ahead, x.Left)
		if x.Surface == "ground" {
			normal = r.Site.Ground.Normal(x.Ahead)
		}
		stakes[k], lux[k] = fit.Stake{At: r.Site.At(x.Ahead, x.Left, x.Up), Normal: normal, Lit: x.Lit}, x.Lux
		x.Predicted = Number(as.Only(x.Lit...).Lux(stakes[k].At, normal))
		off := math.Log(x.Lux / math.Max(float64(x.Predicted), 1e-9))
		squares += off * off
	}
	out.Before = math.Sqrt(squares / float64(max(1, len(readings))))
	found, err := fit.New(r.Site, lamps, groups, stakes).Fit(lux, readingError)
	if err != nil {
		return nil, err
	}
	out.After = found.Misfit
	for k := range readings {
		readings[k].Explained = Number(found.Fitted[k])
	}
	for g := range out.Lamps {
		out.Lamps[g].tell(r, found.Groups[g])
	}
	return out, nil
}

// tell takes over what the readings tell.
func (l *FitLamp) tell(r *assembly.Rig, e fit.Estimate) {
	entry := &r.File.Lamps[l.Entry]
	none := Number(None())
	l.Found, l.Factor, l.Low, l.High, l.Output, l.Corrected = e, none, none, none, none, none
	l.TiltError, l.TiltWithin, l.Truly, l.Tilt = Angle(none), Angle(none), Angle(none), Angle(entry.Tilt.Value)
	if entry.Lumens.Given && entry.Photometry == "" {
		l.Output = Number(entry.Output.Value)
	}
	if e.FactorTold {
		l.Factor, l.Low, l.High = Number(e.Factor), Number(e.Low()), Number(e.High())
		if l.Output.Exists() {
			l.Corrected, l.Strange = l.Output*l.Factor, l.Output*l.Factor > 1
		}
	}
	if e.TiltTold {
		l.TiltError, l.TiltWithin, l.Truly = Angle(e.Tilt), Angle(e.TiltOff), Angle(entry.Tilt.Value+e.Tilt)
	}
}
