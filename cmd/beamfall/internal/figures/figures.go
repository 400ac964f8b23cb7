// Package figures works out what the commands answer with: the plan of a rig, light at points,
// scenes side by side, the tilts that were found, what a file was understood to say.
//
// Figures are in SI units and radians; their types carry the names and the units of the project's
// JSON, which is the one place where they are converted. Words and tables are made of figures
// elsewhere (package report), never the other way round. A value that does not exist is NaN or a
// nil pointer, and null in JSON.
package figures

import (
	"context"
	"math"
	"runtime"

	"beamfall/geometry"

	"golang.org/x/sync/errgroup"
)

// Options are what figures are asked for beyond the rig.
type Options struct {
	Wall          float64   // m ahead of the bumper
	GroundReading float64   // rad, what the meter reads lying on the ground
	Tolerance     float64   // rad
	Thresholds    []float64 // lx, rising, of reach and lit area
	SightLux      float64   // lx, facing, within whose reach the vehicle is to stop
	Traffic       float64   // +1: oncoming traffic is on the left; -1: on the right; 0: as the rig says
	Things        []string  // names of the things to see; none: all that there are
}

// Reach is the farthest distance at a threshold of facing light.
type Reach struct {
	Lux   float64 `json:"lux"`
	Range Number  `json:"range_m"`
}

// PeakGround is the brightest ground.
type PeakGround struct {
	Lux   float64 `json:"lux"`
	Ahead float64 `json:"ahead_m"`
	Left  float64 `json:"left_m"`
}

// LitArea is the ground with at least lux on it.
type LitArea struct {
	Lux  float64 `json:"lux"`
	Area float64 `json:"area_m2"`
}

// Gap is a dark stretch of the centreline.
type Gap struct {
	From float64 `json:"from_m"`
	To   float64 `json:"to_m"`
}

// FacingHeight is the height over the ground (m) of facing light, where no other is asked for.
const FacingHeight = geometry.ObjectHeight

// GapLux is the facing illuminance below which a stretch counts as dark, lx.
const GapLux = 1

// tidy is a length without the dust of computing, such as 5e-16 m to the left.
func tidy(m float64) float64 { return math.Round(m*1e9)/1e9 + 0 }

func lowest(thresholds []float64) float64 {
	least := math.Inf(1)
	for _, v := range thresholds {
		least = math.Min(least, v)
	}
	return least
}

func reaches(p *geometry.Profile, thresholds []float64) []Reach {
	out := make([]Reach, len(thresholds))
	for i, lux := range thresholds {
		out[i] = Reach{lux, Number(p.Reach(lux))}
	}
	return out
}

func gaps(line *geometry.Profile) []Gap {
	out := []Gap{}
	for _, g := range line.Gaps(GapLux) {
		out = append(out, Gap{g.From, g.To})
	}
	return out
}

// Each calls f for 0 to n-1, on all cores.
func Each(ctx context.Context, n int, f func(i int) error) error {
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		g.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			return f(i)
		})
	}
	return g.Wait()
}
