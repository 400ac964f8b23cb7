package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"

	"github.com/spf13/cobra"
)

func newLux() *cobra.Command {
	var c call
	var at []string
	cmd := &cobra.Command{
		Use:   "lux [RIG] --at AHEAD,LEFT[,UP]",
		Short: "Predicted lux at points, to check with a light meter",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			r, err := c.rig(args)
			if err != nil {
				return err
			}
			var places []report.Place
			for _, text := range at {
				p, err := parsePlace(text)
				if err != nil {
					return fmt.Errorf("--at %s: %w", quantity.Quote(text), err)
				}
				places = append(places, p)
			}
			return printJSON(cmd.OutOrStdout(), report.LuxAt(r, r.Scenes[0], places))
		},
	}
	c.flags(cmd.Flags())
	cmd.Flags().StringArrayVar(&at, "at", nil, "a point: distances ahead and to the left, and height over the ground if it is not on it; repeatable")
	return cmd
}

// parsePlace reads AHEAD,LEFT[,UP]. A 0 needs no unit.
func parsePlace(text string) (p report.Place, err error) {
	parts := strings.Split(text, ",")
	if len(parts) < 2 || len(parts) > 3 {
		return p, fmt.Errorf("%d lengths are not 2 or 3; write e.g. 30m,-2m or 30m,0m,0.6m", len(parts))
	}
	for i, to := range []*float64{&p.Ahead, &p.Left, &p.Up}[:len(parts)] {
		if part := strings.TrimSpace(parts[i]); part != "0" {
			if *to, err = quantity.ParseLength(part); err != nil {
				return p, err
			}
		}
	}
	const far, high = 1e5, 1000
	if p.Ahead < -far || p.Ahead > far || p.Left < -far || p.Left > far {
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
