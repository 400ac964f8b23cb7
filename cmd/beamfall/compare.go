package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render"

	"github.com/spf13/cobra"
)

func newCompare() *cobra.Command {
	var c call
	cmd := &cobra.Command{
		Use:   "compare [RIG…]",
		Short: "Rigs, scenes or lamps side by side on one scale",
		Long: `compare sets two to four of a kind side by side: rigs (the first scene of each, or that of --scene), the scenes of
one rig, or lamps given by --lamp. It prints a table and draws compare.png, all on one scale.`,
		Example: `  beamfall compare --lamp "up=1m,spread=10,lumens=3000" --lamp "up=1m,spread=36,lumens=3000"
  beamfall compare before.toml after.toml
  beamfall compare my-truck.toml --scene trail --scene search`,
		RunE: func(cmd *cobra.Command, args []string) error {
			sides, err := c.sides(args)
			if err != nil {
				return err
			}
			if err := c.ready(); err != nil {
				return err
			}
			out := report.Compare{Notes: []string{}}
			var raw []string
			var columns []render.Column
			u := sides[0].rig.System()
			for _, s := range sides {
				f, err := report.ColumnOf(cmd.Context(), s.rig, s.scene, s.title, c.report)
				if err != nil {
					return err
				}
				out.Columns = append(out.Columns, f)
				columns = append(columns, render.Column{Subject: c.subject(s.rig, s.scene), Title: s.title, Figures: f.Figures(u)})
				for _, name := range s.rig.Raw() {
					if !slices.Contains(raw, name) {
						raw = append(raw, name)
					}
				}
			}
			if len(raw) > 0 {
				out.Notes = append(out.Notes, assembly.OutputNote(raw))
			}
			if out.Pictures, err = c.save(cmd.Context(), []picture{{"compare.png", func(ctx context.Context) (*render.Canvas, error) {
				p, _, err := render.Compare(ctx, columns, c.look, render.CompareOptions{Width: c.width, Ahead: c.ahead, Behind: c.behind, Side: c.side})
				return p, err
			}}}); err != nil {
				return err
			}
			if c.json {
				return printJSON(cmd.OutOrStdout(), out)
			}
			page := &page{w: cmd.OutOrStdout(), format: table.Format(c.format)}
			if page.format == table.CSV {
				return failed(out.Sheet(u).Write(page.w, page.format))
			}
			page.table(out.Table(u))
			page.list("Notes", out.Notes)
			page.text(caution)
			return failed(page.err)
		},
	}
	c.flags(cmd.Flags())
	without(cmd.Flags(), "wall", "ground-reading", "tolerance", "sight-lux", "traffic")
	c.pictureFlags(cmd.Flags())
	return cmd
}

// side is one of the scenes that are compared.
type side struct {
	rig   *assembly.Rig
	scene assembly.Scene
	title string
}

// sides are what a call of compare names, two to four.
func (c *call) sides(args []string) ([]side, error) {
	if err := c.settle(); err != nil {
		return nil, err
	}
	var out []side
	add := func(r *assembly.Rig, title string) {
		for _, s := range r.Scenes {
			name := title
			if len(r.Scenes) > 1 {
				name = s.Name
			}
			out = append(out, side{r, s, name})
		}
	}
	lamps := c.lamps
	c.lamps = nil
	for _, name := range args {
		r, err := c.rig([]string{name})
		if err != nil {
			return nil, err
		}
		if len(args)+len(lamps) > 1 && len(c.scenes) == 0 {
			if err := r.Choose([]string{r.Scenes[0].Name}); err != nil {
				return nil, err
			}
		}
		add(r, r.File.Name)
	}
	only := c.only
	c.only, c.scenes = "", nil // they are about rig files
	var wrong []error
	for i, text := range lamps {
		l, err := rigfile.ParseLamp(text, i)
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		r, err := c.assemble(rigfile.FromLamps([]rigfile.Lamp{l}), openFile("."))
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		add(r, l.Name)
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	if len(args)+len(lamps) == 0 {
		c.only = only
		r, err := c.rig(nil)
		if err != nil {
			return nil, err
		}
		add(r, r.File.Name)
	}
	if len(out) < 2 || len(out) > 4 {
		return nil, fmt.Errorf("compare takes two to four, and this is %d; name rig files, scenes of one rig (--scene NAME --scene NAME) or lamps (--lamp … --lamp …)", len(out))
	}
	distinct(out, args)
	return out, nil
}

// distinct makes titles differ: rigs of one name are told apart by their files.
func distinct(sides []side, files []string) {
	count := map[string]int{}
	for _, s := range sides {
		count[s.title]++
	}
	for i := range sides {
		if count[sides[i].title] > 1 {
			if i < len(files) {
				sides[i].title += " (" + filepath.Base(files[i]) + ")"
			} else {
				sides[i].title += fmt.Sprintf(" %d", i+1)
			}
		}
	}
}
