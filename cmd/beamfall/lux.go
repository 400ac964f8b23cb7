package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"

	"github.com/spf13/cobra"
)

func newLux() *cobra.Command {
	var c call
	var at []string
	var grid float64
	var height float64
	cmd := &cobra.Command{
		Use:   "lux [RIG] --at AHEAD,LEFT[,UP]",
		Short: "Predicted lux at points, to check with a light meter",
		Long: `lux tells what a light meter should read at stakes on the track: in sum, and from which lamp. Without UP a
point lies on the ground. Ground lux is on a plane along the ground (the meter flat, looking up), facing lux on
an upright plane square to the road (the meter upright, looking at the vehicle). Take a reading with all lamps
off first and subtract it.`,
		Example: `  beamfall lux my-truck.toml --at 20m,0m --at 20m,0m,0.6m --at=-3m,2m
  beamfall lux my-truck.toml --grid 5m
  beamfall lux my-truck.toml --grid 10m --height 0.6m --format csv`,
		Args: oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			r, scene, err := c.oneScene(args)
			if err != nil {
				return err
			}
			var places []report.Place
			var wrong []error
			for _, text := range at {
				p, err := parsePlace(text)
				if err != nil {
					wrong = append(wrong, fmt.Errorf("--at %s: %w", quantity.Quote(text), err))
				}
				places = append(places, p)
			}
			switch {
			case len(wrong) > 0:
				return errors.Join(wrong...)
			case len(at) > 0 && grid > 0:
				return errors.New("--at and --grid were both given; give one or the other")
			case len(at) == 0 && grid == 0:
				return errors.New("lux needs points: write e.g. --at 20m,0m or --grid 5m")
			}
			aside := 0
			if grid > 0 {
				places, aside = gridPlaces(grid, height)
			}
			l := report.LuxAt(r, scene, places)
			if c.json {
				return printJSON(cmd.OutOrStdout(), l)
			}
			u, f := r.System(), table.Format(c.format)
			if f == table.CSV {
				return failed(l.Sheet(u).Write(cmd.OutOrStdout(), f))
			}
			page := &page{w: cmd.OutOrStdout(), format: f}
			if grid > 0 {
				where := "on the ground"
				if height > 0 {
					where = u.Length(height) + " over the ground"
				}
				page.heading(fmt.Sprintf("%s, scene %s: predicted lux %s", l.Rig, l.Scene, where))
				for _, t := range l.Grids(u, aside) {
					page.table(t)
				}
			} else {
				page.table(l.ByLamp(u))
				page.text("ground lx: the meter lies flat along the ground, looking up.\n" +
					"facing lx: the meter stands upright, square to the road, looking at the vehicle.")
			}
			page.text("Read once with all lamps off and subtract that; keep people and yourself out of the beams.")
			return failed(page.err)
		},
	}
	c.flags(cmd.Flags())
	without(cmd.Flags(), "out", "theme", "width", "wall", "ground-reading", "tolerance", "thresholds", "sight-lux", "traffic")
	cmd.Flags().StringArrayVar(&at, "at", nil, "a point: distances ahead and to the left, and height over the ground if it is not on it; repeatable")
	cmd.Flags().Var(&measure{&grid, quantity.Length, 0.1, 100}, "grid", "points this far apart instead, ahead to twelve steps and three to either side")
	cmd.Flags().Var(&measure{&height, quantity.Length, 0, 30}, "height", "height of the points of --grid over the ground")
	return cmd
}

// gridPlaces are points a step apart: 12 steps ahead, 3 to either side, from the left.
func gridPlaces(step, height float64) (places []report.Place, aside int) {
	const ahead, side = 12, 3
	round := func(v float64) float64 { return math.Round(v*1e9) / 1e9 }
	for i := 0; i <= ahead; i++ {
		for j := side; j >= -side; j-- {
			places = append(places, report.Place{Ahead: round(float64(i) * step), Left: round(float64(j) * step), Up: height})
		}
	}
	return places, 2*side + 1
}

// parsePlace reads AHEAD,LEFT[,UP]. A 0 needs no unit.
func parsePlace(text string) (p report.Place, err error) {
	parts := strings.Split(text, ",")
	if len(parts) < 2 || len(parts) > 3 {
		return p, errors.New("a point is two or three lengths; write e.g. 30m,-2m or 30m,0m,0.6m")
	}
	for i, to := range []*float64{&p.Ahead, &p.Left, &p.Up}[:len(parts)] {
		if part := strings.TrimSpace(parts[i]); part != "0" {
			if *to, err = quantity.ParseLength(part); err != nil {
				return p, err
			}
		}
	}
	const far, high = 1e5, 1000
	if math.Abs(p.Ahead) > far || math.Abs(p.Left) > far {
		return p, fmt.Errorf("the point is farther than 100 km away")
	}
	if p.Up < 0 || p.Up > high {
		return p, fmt.Errorf("the height over the ground is not from 0 m to 1000 m")
	}
	return p, nil
}

func printJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return failed(e.Encode(v))
}
