package main

import (
	"context"
	"errors"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

func newCheck() *cobra.Command {
	var f flags
	cmd := &cobra.Command{
		Use:   "check [RIG…]",
		Short: "Reads a rig; prints what it understood and what it doubts",
		Long: `check prints what a rig file was understood to say: every lamp's delivered flux, peak, beam and field angle as
computed, and whatever looks doubtful. Doubts are no mistakes: it exits with 0. With mistakes it lists them all,
each with its line, and exits with 2.`,
		Example: `  beamfall check my-truck.toml
  beamfall check fleet/*.toml`,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			outcomes, err := each(cmd.Context(), q, (*request).check)
			if err != nil {
				return err
			}
			var answers []answer
			for _, o := range outcomes {
				if m := (rigfile.Mistakes)(nil); q.json && errors.As(o.err, &m) {
					answers = append(answers, answer{json: figures.Mistaken{Mistakes: m}})
				} else if o.err == nil {
					answers = append(answers, o.value)
				}
			}
			if len(answers) > 0 {
				err = q.print(cmd.OutOrStdout(), answers)
			}
			return errors.Join(wrongOf(outcomes), err)
		},
	}
	f.add(cmd.Flags())
	without(cmd.Flags(), "bend", "out", "theme", "width", "wall", "ground-reading", "tolerance", "thresholds",
		"sight-lux", "traffic")
	return cmd
}

// check is what was understood of a rig and what is doubtful in it.
func (q *request) check(ctx context.Context, r *rig) (answer, error) {
	costs, err := figures.CostsOf(ctx, r.Rig)
	if err != nil {
		return answer{}, err
	}
	u, c := r.System(), figures.CheckOf(r.Rig)
	c.Origins = r.File.Differs()
	c.Mounted, c.Vehicle, c.Goals = report.Mounted(u, r.Rig), report.Vehicle(u, r.File), report.Goals(u, r.File)
	c.Doubts = append(append(c.Doubts, report.Doubts(r.Rig)...), report.CostDoubts(u, costs)...)
	c.Notes = append(append(c.Notes, r.Notes()...), q.notes(r)...)
	return answer{
		json: c,
		csv:  func() *table.Table { return report.CheckCSV(u, c) },
		page: func(page *page) { printCheck(page, u, c) },
	}, nil
}

func printCheck(page *page, u units.System, c *figures.Check) {
	page.table(report.Cards(u, c))
	page.list("Where it is written", c.Origins)
	page.list("As mounted and aimed", c.Mounted)
	page.list("Vehicle and ground", c.Vehicle)
	var scenes []string
	for _, s := range c.Scenes {
		lamps := "no lamp"
		if len(s.Lamps) > 0 {
			lamps = strings.Join(s.Lamps, ", ")
		}
		scenes = append(scenes, s.Name+": "+lamps)
	}
	page.list("Scenes", scenes)
	page.list("Targets and limits of aim", c.Goals)
	page.list("Notes", c.Notes)
	if len(c.Doubts) == 0 {
		page.text("No doubts.")
	}
	page.list("Doubts", c.Doubts)
}
