package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

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
one rig, lamps of one rig (--only, repeated), or lamps given by --lamp. It prints a table and draws compare.png, all on
one scale.`,
		Example: `  beamfall compare before.toml after.toml
  beamfall compare my-truck.toml --lamp "name=spot,up=1m,spread=10,lumens=3000"
  beamfall compare my-truck.toml --scene trail --scene search`,
		RunE: func(cmd *cobra.Command, args []string) error {
			one := f // of --only, each is a panel of its own
			one.only = nil
			q, err := one.request(nil)
			if err != nil {
				return err
			}
			panels, err := q.panels(args, f.lamps, f.only)
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
	f.addSight(cmd.Flags())
	return cmd
}

// panel is one of the scenes that are compared.
type panel struct {
	rig   *rig
	scene assembly.Scene
	only  string // the lamp that alone is lit in it; empty: all that are
	title string
}

// panels are what a call of compare names, two to four: files, then --lamps, or else the demo; of each file its first scene
// or those of --scene, or if it is alone all that it has; of each scene the lamps of --only, one by one.
func (q *request) panels(files, lamps, only []string) (out []panel, err error) {
	asked := sources(files, nil)
	if len(files) == 0 && len(lamps) > 0 {
		asked = nil
	}
	if len(only) == 0 {
		only = []string{""}
	}
	var wrong []error
	for _, s := range asked {
		for _, name := range only {
			what := q.selection
			what.only = name
			r, err := s.read(what)
			if err != nil {
				wrong = append(wrong, err)
				break
			}
			if len(q.scenes) == 0 && (len(asked)+len(lamps) > 1 || len(only) > 1) {
				r.Scenes = r.Scenes[:1]
			}
			for _, scene := range r.Scenes {
				out = append(out, panel{rig: r, scene: scene, only: name})
			}
		}
	}
	for i, text := range lamps {
		r, err := source{lamps: []string{text}, first: i}.read(selection{ // --scene and --only are about rig files
			units: q.units, age: q.age, level: q.level, bend: q.bend, reads: q.selection.reads,
		})
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		out = append(out, panel{rig: r, scene: r.Scenes[0]})
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	if len(out) < 2 || len(out) > 4 {
		return nil, fmt.Errorf("compare takes two to four, and this is %d; name rig files, scenes of one rig (--scene NAME --scene NAME), "+
			"lamps of it (--only NAME --only NAME) or lamps without a file (--lamp … --lamp …)", len(out))
	}
	entitle(out)
	return out, nil
}

// entitle gives each panel a title that says what it shows and that no other has: what they all share is left out.
func entitle(panels []panel) {
	differ := func(of func(*panel) string) bool {
		return slices.ContainsFunc(panels, func(p panel) bool { return of(&p) != of(&panels[0]) })
	}
	file := func(p *panel) string { return p.rig.file + strings.Join(p.rig.lamps, "\n") }
	rigs, scenes := differ(file), differ(func(p *panel) string { return p.scene.Name })
	for i := range panels {
		p := &panels[i]
		var parts []string
		if rigs {
			parts = append(parts, rigTitle(panels, p))
		}
		if len(p.rig.lamps) == 0 && (scenes || !rigs && p.only == "") {
			parts = append(parts, p.scene.Name)
		}
		if p.only != "" {
			parts = append(parts, p.only+" alone")
		}
		p.title = strings.Join(parts, ", ")
	}
	count := map[string]int{}
	for _, p := range panels {
		count[p.title]++
	}
	for i := range panels {
		if count[panels[i].title] > 1 {
			panels[i].title += fmt.Sprintf(" (%d)", i+1)
		}
	}
}

// rigTitle is what tells the rig of a panel from the others: its name, and where another has the same, its file as well, by
// as much of the path as differs.
func rigTitle(panels []panel, p *panel) string {
	if len(p.rig.lamps) > 0 {
		return p.rig.File.Lamps[0].Name
	}
	title, base := p.rig.File.Name, filepath.Base(p.rig.file)
	for i := range panels {
		if o := panels[i].rig; o.file != p.rig.file && o.File.Name == title && len(o.lamps) == 0 {
			if filepath.Base(o.file) == base {
				return title + " (" + p.rig.file + ")"
			}
			title = p.rig.File.Name + " (" + base + ")"
		}
	}
	return title
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
		columns = append(columns, render.Column{Subject: q.subject(p.rig, p.scene), Title: p.title, Figures: report.Column(u, &q.figures, &f)})
		for _, name := range p.rig.Raw() {
			if !slices.Contains(raw, name) {
				raw = append(raw, name)
			}
		}
	}
	out.Notes = append(out.Notes, q.selection.notes(panels[0].rig)...)
	if len(raw) > 0 {
		out.Notes = append(out.Notes, assembly.OutputNote(raw))
	}
	var err error
	out.Pictures, err = q.save(ctx, []picture{{"compare.png", func(ctx context.Context) (*draw.Canvas, error) {
		return render.Compare(ctx, columns, q.look, render.CompareOptions{Width: q.width, Ahead: q.ahead, Behind: q.behind, Side: q.side})
	}}})
	if err != nil {
		return answer{}, err
	}
	return answer{
		json: out,
		csv:  func() *table.Table { return report.CompareCSV(u, out) },
		page: func(page *page) {
			page.table(report.Columns(u, &q.figures, out))
			page.list("Notes", out.Notes)
			page.text(caution)
		},
	}, nil
}
