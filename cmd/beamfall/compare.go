package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render"
	"beamfall/render/draw"

	"github.com/spf13/cobra"
)

func newCompare() *cobra.Command {
	var f flags
	cmd := &cobra.Command{
		Use:   "compare [RIG…]",
		Short: "Rigs, scenes or lamps side by side on one scale",
		Long: `compare sets two to four of a kind side by side: rigs (the first scene of each, or that of --scene), the scenes of
one rig, or lamps given by --lamp. It prints a table and draws compare.png, all on one scale.`,
		Example: `  beamfall compare before.toml after.toml
  beamfall compare my-truck.toml --lamp "name=spot,up=1m,spread=10,lumens=3000"
  beamfall compare my-truck.toml --scene trail --scene search`,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(nil)
			if err != nil {
				return err
			}
			panels, err := q.panels(args, f.lamps)
			if err != nil {
				return err
			}
			a, err := q.compare(cmd.Context(), panels)
			if err != nil {
				return err
			}
			return q.print(cmd.OutOrStdout(), []answer{a})
		},
	}
	f.add(cmd.Flags())
	without(cmd.Flags(), "wall", "ground-reading", "tolerance", "sight-lux", "traffic")
	f.addPictures(cmd.Flags())
	return cmd
}

// panel is one of the scenes that are compared.
type panel struct {
	rig   *rig
	scene assembly.Scene
	title string
}

// panels are what a call of compare names, two to four.
func (q *request) panels(files, lamps []string) (out []panel, err error) {
	add := func(r *rig, title string) {
		for _, s := range r.Scenes {
			name := title
			if len(r.Scenes) > 1 {
				name = s.Name
			}
			out = append(out, panel{r, s, name})
		}
	}
	for _, name := range files {
		r, err := source{file: name}.read(q.selection)
		if err != nil {
			return nil, err
		}
		if len(files)+len(lamps) > 1 && len(q.scenes) == 0 {
			r.Scenes = r.Scenes[:1]
		}
		add(r, r.File.Name)
	}
	var wrong []error
	for i, text := range lamps {
		r, err := source{lamps: []string{text}, first: i}.read(selection{units: q.units}) // --scene and --only are about rig files
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		add(r, r.File.Lamps[0].Name)
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	if len(files)+len(lamps) == 0 {
		r, err := source{}.read(q.selection)
		if err != nil {
			return nil, err
		}
		add(r, r.File.Name)
	}
	if len(out) < 2 || len(out) > 4 {
		return nil, fmt.Errorf("compare takes two to four, and this is %d; name rig files, scenes of one rig (--scene NAME --scene NAME) or lamps (--lamp … --lamp …)", len(out))
	}
	distinct(out, files)
	return out, nil
}

// distinct makes titles differ: rigs of one name are told apart by their files.
func distinct(panels []panel, files []string) {
	count := map[string]int{}
	for _, p := range panels {
		count[p.title]++
	}
	for i := range panels {
		if count[panels[i].title] > 1 {
			if i < len(files) {
				panels[i].title += " (" + filepath.Base(files[i]) + ")"
			} else {
				panels[i].title += fmt.Sprintf(" %d", i+1)
			}
		}
	}
}

// compare is the figures of panels side by side, and their picture.
func (q *request) compare(ctx context.Context, panels []panel) (answer, error) {
	if err := q.ready(); err != nil {
		return answer{}, err
	}
	out := &figures.Compare{Notes: []string{}}
	var raw []string
	var columns []render.Column
	u := panels[0].rig.System()
	for _, p := range panels {
		f, err := figures.ColumnOf(ctx, p.rig.Rig, p.scene, p.title, q.figures)
		if err != nil {
			return answer{}, err
		}
		out.Columns = append(out.Columns, f)
		columns = append(columns, render.Column{Subject: q.subject(p.rig, p.scene), Title: p.title, Figures: report.Column(u, &f)})
		for _, name := range p.rig.Raw() {
			if !slices.Contains(raw, name) {
				raw = append(raw, name)
			}
		}
	}
	if len(raw) > 0 {
		out.Notes = append(out.Notes, assembly.OutputNote(raw))
	}
	var err error
	out.Pictures, err = q.save(ctx, []picture{{"compare.png", func(ctx context.Context) (*draw.Canvas, error) {
		return render.Compare(ctx, columns, q.look, render.CompareOptions{Width: q.width, Ahead: q.ahead, Behind: q.behind, Side: q.side})
	}}})
	return answer{
		json: out,
		csv:  func() *table.Table { return report.CompareCSV(u, out) },
		page: func(page *page) {
			page.table(report.Columns(u, out))
			page.list("Notes", out.Notes)
			page.text(caution)
		},
	}, err
}
