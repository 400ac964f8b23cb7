package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

func newLux() *cobra.Command {
	var f flags
	var p points
	cmd := &cobra.Command{
		Use:   "lux [RIG…] --at AHEAD,LEFT[,UP]",
		Short: "Predicted lux at points, to check with a light meter",
		Long: `lux predicts what a light meter reads at stakes on the track: in sum, and from which lamp. Without UP a
point lies on the ground. Ground lux is on a plane along the ground (the meter flat, looking up), facing lux on
an upright plane that faces the vehicle (the meter upright, looking at it). A grid has ground lux on the ground, and
facing lux 0.6 m above it or at --height. Take a reading with all lamps off first and subtract it.

Points are from the vehicle, as a tape along its centreline measures them. Where the track bends, --along takes them to
be along it and left of its centreline, and says where that is from the vehicle; facing lux is then back along the track.`,
		Example: `  beamfall lux my-truck.toml --at 20m,0m --at 20m,0m,0.6m --at=-3m,2m
  beamfall lux my-truck.toml --grid 5m
  beamfall lux my-truck.toml --grid 10m --height 1.5m --format csv
  beamfall lux my-truck.toml --bend "40 m left" --along --at 30m,0m,0.6m`,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			if err := q.oneScene(); err != nil {
				return err
			}
			places, err := p.places()
			if err != nil {
				return err
			}
			return q.answer(cmd, func(_ *request, _ context.Context, r *rig) (answer, error) {
				u, l := r.System(), figures.LuxAt(r.Rig, r.Scenes[0], places)
				if p.along {
					var err error
					if l, err = figures.LuxAlong(r.Rig, r.Scenes[0], places); err != nil {
						return answer{}, err
					}
				}
				return answer{
					json: l,
					csv:  func() *table.Table { return report.LuxCSV(u, l) },
					page: func(page *page) { printLux(page, u, l, &p) },
				}, nil
			})
		},
	}
	f.add(cmd.Flags())
	without(cmd.Flags(), "out", "theme", "width", "wall", "ground-reading", "tolerance", "thresholds", "sight-lux",
		"traffic")
	cmd.Flags().StringArrayVar(&p.at, "at", nil,
		"a point: distances ahead and to the left, and height over the ground if it is not on it; repeatable")
	cmd.Flags().Var(&measure{&p.grid, quantity.Length, 0.1, 100}, "grid",
		"points this far apart instead, ahead to twelve steps and three to either side")
	cmd.Flags().Var(&measure{&p.height, quantity.Length, 0, 30}, "height",
		"height of facing light of --grid over the ground (default 0.6 m)")
	cmd.Flags().BoolVar(&p.along, "along", false,
		"points of --at are along the track and left of its centreline, bend and all")
	return cmd
}

// points are where light is asked for: one by one, or a grid of them.
type points struct {
	at           []string
	grid, height float64 // m
	along        bool    // the track, where the points are
}

// facingAt is the height over the ground (m) of the facing light of a grid.
func (p *points) facingAt() float64 { return cmp.Or(p.height, figures.FacingHeight) }

func (p *points) places() ([]figures.Place, error) {
	switch {
	case len(p.at) > 0 && p.grid > 0:
		return nil, errors.New("--at and --grid were both given; give one or the other")
	case p.along && p.grid > 0:
		return nil, errors.New("--along is for --at; a grid is square to the vehicle")
	case p.height > 0 && p.grid == 0:
		return nil, errors.New("--height is for --grid; a point has its own, as in --at 20m,0m,0.6m")
	case p.grid > 0:
		return gridPlaces(p.grid, p.facingAt()), nil
	case len(p.at) == 0:
		return nil, errors.New("lux needs points: write e.g. --at 20m,0m or --grid 5m")
	}
	var places []figures.Place
	var wrong []error
	for _, text := range p.at {
		place, err := parsePlace(text)
		if err != nil {
			wrong = append(wrong, fmt.Errorf("--at %s: %w", quantity.Quote(text), err))
		}
		places = append(places, place)
	}
	return places, errors.Join(wrong...)
}

func printLux(page *page, u units.System, l *figures.Lux, p *points) {
	if p.grid > 0 {
		page.heading(fmt.Sprintf("%s, scene %s: predicted lux", l.Rig, l.Scene))
		for _, t := range report.LuxGrids(u, l, gridAcross) {
			page.table(t)
		}
	} else {
		page.table(report.LuxByLamp(u, l))
		page.text(report.LuxKey(l))
	}
	page.text("Read once with all lamps off and subtract that; keep people and yourself out of the beams.")
}

// A grid is so many steps ahead and to either side, which makes so many points across.
const (
	gridAhead, gridAside = 12, 3
	gridAcross           = 2*gridAside + 1
)

// gridPlaces are the points of a grid, from the left: all of them on the ground, and then all at a
// height (m) over it.
func gridPlaces(step, height float64) (places []figures.Place) {
	round := func(v float64) float64 { return math.Round(v*1e9) / 1e9 }
	for _, up := range []float64{0, height} {
		for i := 0; i <= gridAhead; i++ {
			for j := gridAside; j >= -gridAside; j-- {
				places = append(places, figures.Place{Ahead: round(float64(i) * step), Left: round(float64(j) * step),
					Up: up})
			}
		}
	}
	return places
}

// parsePlace reads AHEAD,LEFT[,UP]. A 0 needs no unit.
func parsePlace(text string) (p figures.Place, err error) {
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
		return p, errors.New("the point is farther than 100 km away")
	}
	if p.Up < 0 || p.Up > high {
		return p, errors.New("the height over the ground is not from 0 m to 1000 m")
	}
	return p, nil
}
