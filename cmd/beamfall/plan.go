package main

import (
	"io"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"

	"github.com/spf13/cobra"
)

func newPlan() *cobra.Command {
	var c call
	cmd := &cobra.Command{
		Use:   "plan [RIG]",
		Short: "The aiming table and the pictures of a rig",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			r, err := c.rig(args)
			if err != nil {
				return err
			}
			p, err := report.PlanOf(cmd.Context(), r, r.Scenes, c.scene == "" && c.only == "", c.report)
			if err != nil {
				return err
			}
			if c.json {
				return printJSON(cmd.OutOrStdout(), p)
			}
			return failed(c.printPlan(cmd.OutOrStdout(), r, p))
		},
	}
	c.flags(cmd.Flags())
	return cmd
}

// printPlan prints the tables, and in words what the scenes come to. CSV is the figures alone.
func (c *call) printPlan(w io.Writer, r *assembly.Rig, p *report.Plan) error {
	u, f := r.System(), table.Format(c.format)
	if f == table.CSV {
		return p.Sheet(u, c.report).Write(w, f)
	}
	page := &page{w: w, format: f}
	page.heading(p.Rig)
	page.table(p.Setting(u, c.report))
	page.table(p.Gives(u, c.report))
	for i := range p.Scenes {
		page.list("Scene "+p.Scenes[i].Name, p.Scenes[i].Words(u))
	}
	page.list("Notes", p.Notes)
	page.text(caution)
	return page.err
}
