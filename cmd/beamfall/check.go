package main

import (
	"errors"
	"strings"

	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"

	"github.com/spf13/cobra"
)

func newCheck() *cobra.Command {
	var c call
	cmd := &cobra.Command{
		Use:   "check [RIG]",
		Short: "Reads a rig, tells what it understood and what it doubts",
		Long: `check tells what a rig file was understood to say: every lamp's delivered flux, peak, beam and field angle as
computed, and whatever looks doubtful. Doubts are no mistakes: it exits with 0. With mistakes it lists them all,
each with its line, and exits with 2.`,
		Example: `  beamfall check my-truck.toml`,
		Args:    oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			r, err := c.rig(args)
			if err != nil {
				if m := (rigfile.Mistakes)(nil); c.json && errors.As(err, &m) {
					if err := printJSON(cmd.OutOrStdout(), map[string]any{"mistakes": m}); err != nil {
						return err
					}
				}
				return err
			}
			k := report.CheckOf(r)
			if c.json {
				return printJSON(cmd.OutOrStdout(), k)
			}
			page := &page{w: cmd.OutOrStdout(), format: table.Format(c.format)}
			if page.format == table.CSV {
				return failed(k.Sheet(r.System()).Write(page.w, page.format))
			}
			page.table(k.Cards(r.System()))
			page.list("Vehicle and ground", k.Vehicle)
			var scenes []string
			for _, s := range k.Scenes {
				lamps := "no lamp"
				if len(s.Lamps) > 0 {
					lamps = strings.Join(s.Lamps, ", ")
				}
				scenes = append(scenes, s.Name+": "+lamps)
			}
			page.list("Scenes", scenes)
			page.list("Targets and limits of aim", k.Goals)
			page.list("Notes", k.Notes)
			if len(k.Doubts) == 0 {
				page.text("No doubts.")
			}
			page.list("Doubts", k.Doubts)
			return failed(page.err)
		},
	}
	c.flags(cmd.Flags())
	without(cmd.Flags(), "out", "theme", "width", "wall", "ground-reading", "tolerance", "thresholds", "sight-lux", "traffic")
	return cmd
}
