package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render"
	"beamfall/render/draw"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

func newCompare() *cobra.Command {
	var f flags
	var c comparison
	cmd := &cobra.Command{
		Use:   "compare [RIG…]",
		Short: "Rigs, scenes or lamps side by side on one scale",
		Long: `compare sets two to four of a kind side by side: rigs (the first scene of each, or that of --scene), the scenes of
one rig, lamps of one rig (--only, repeated), lamps given by --lamp, alone on the vehicle of the first rig, or one
scene in different air (--air, repeated). It prints a table and draws compare.png, all on one scale: where a person is
seen, how far that is, and the driver's views with one exposure. Gains are over the first.

With --build-up it adds the circuits of one scene one after the other, the vehicle's own headlights first, then in the
order in which the scene names them, lamps of --add last, and says what each adds to those before it. Headlights that
[headlights] gives just meet the rule; most lamps give more. Of more than four circuits the table has all; the picture
has four panels, in which those that add least share one with their neighbour.`,
		Example: `  beamfall compare before.toml after.toml
  beamfall compare my-truck.toml --scene trail --build-up
  beamfall compare my-truck.toml --build-up --add "up=1m,spread=20,lumens=5000"
  beamfall compare my-truck.toml --lamp "name=spot,up=1m,spread=10,lumens=3000"
  beamfall compare my-truck.toml --scene trail --scene search
  beamfall compare my-truck.toml --scene trail --air clear --air "dust 150 m"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			one := f // of --only, each is a panel of its own
			one.only = nil
			q, err := one.request(nil)
			if err != nil {
				return err
			}
			c := c
			c.files, c.lamps, c.only = args, f.lamps, f.only
			a, err := q.compare(cmd.Context(), &c)
			if err != nil {
				return err
			}
			return q.print(cmd.OutOrStdout(), []answer{a})
		},
	}
	f.add(cmd.Flags())
	without(cmd.Flags(), "wall", "ground-reading", "tolerance", "sight-lux")
	f.addPictures(cmd.Flags())
	f.addSight(cmd.Flags())
	cmd.Flags().BoolVar(&c.buildUp, "build-up", false,
		"add the circuits of one scene one after the other, headlights first")
	cmd.Flags().StringArrayVar(&c.airs, "air", nil,
		`air instead of the rig's: clear, "2 km" (visibility), "dust 150 m", "fog 80 m", "snow 200 m"; repeatable`)
	cmd.Flags().StringVar(&c.title, "title", "", "heading of the picture")
	return cmd
}

// compare is the figures of what a call names side by side, and their picture.
func (q *request) compare(ctx context.Context, c *comparison) (answer, error) {
	of := q.panels
	if c.buildUp {
		of = q.steps
	}
	panels, err := of(c)
	if err != nil {
		return answer{}, err
	}
	if err := q.ready(); err != nil {
		return answer{}, err
	}
	asked := make([]figures.Panel, len(panels))
	for i, p := range panels {
		asked[i] = figures.Panel{Rig: p.rig.Rig, Scene: p.scene, Title: p.title}
	}
	done := q.progress("computing")
	out, err := figures.CompareOf(ctx, asked, c.buildUp, q.figures, done.at)
	done.end()
	if err != nil {
		return answer{}, err
	}
	drawn, note := q.comparePicture(c, panels, out)
	out.Notes = append(out.Notes, q.compareNotes(c, panels)...)
	if note != "" {
		out.Notes = append(out.Notes, note)
	}
	if out.Pictures, err = q.save(ctx, []picture{drawn}); err != nil {
		return answer{}, err
	}
	u := panels[0].rig.System()
	return answer{
		json: out,
		csv:  func() *table.Table { return report.CompareCSV(u, out) },
		page: func(page *page) { printCompare(page, u, &q.figures, out, c.buildUp) },
	}, nil
}

// comparePicture is compare.png, and what is to be said of what it shows, if anything.
func (q *request) comparePicture(c *comparison, panels []panel, out *figures.Compare) (picture, string) {
	u := panels[0].rig.System()
	groups := pictured(out.Columns)
	shown := make([]figures.Column, len(groups))
	var joined []string
	for k, group := range groups {
		last := group[len(group)-1]
		shown[k] = out.Columns[last]
		if len(group) == 1 {
			continue
		}
		var names []string
		for _, i := range group {
			names = append(names, strings.TrimPrefix(out.Columns[i].Title, "+ "))
		}
		shown[k].Title, shown[k].Gain = joinedTitle(names), figures.GainOver(&shown[k-1], &out.Columns[last])
		joined = append(joined, assembly.List(names))
	}
	rows := report.Pictured(u, &q.figures, shown, c.buildUp)
	columns := make([]render.Column, len(groups))
	for k, group := range groups {
		p := panels[group[len(group)-1]]
		what, value, gain := report.Headline(u, &shown[k])
		columns[k] = render.Column{
			Subject: q.subject(p.rig, p.scene), Title: shown[k].Title, About: report.About(&shown[k]),
			What: what, Value: value, Gain: gain, Figures: rows[k],
		}
	}
	note := ""
	if len(joined) > 0 {
		note = fmt.Sprintf("the picture has %d panels of the %d steps; shown together, as they add least: %s",
			len(groups), len(out.Columns), strings.Join(joined, "; "))
	}
	title := c.title
	if title == "" && len(c.files) == 0 && len(c.lamps) > 0 && !c.buildUp {
		title = shown[0].Title + " against " + shown[1].Title
		for _, k := range shown[2:] {
			title += " and " + k.Title
		}
	}
	o := render.CompareOptions{
		Width: q.width, Ahead: q.ahead, Behind: q.behind, Side: q.side, Title: title, Steps: c.buildUp,
	}
	for _, p := range panels {
		if text := p.rig.HeadlightNote(); text != "" && !slices.Contains(o.Notes, text) {
			o.Notes = append(o.Notes, text)
		}
	}
	return picture{"compare.png", func(ctx context.Context) (*draw.Canvas, error) {
		return render.Compare(ctx, columns, q.look, o)
	}}, note
}

// joinedTitle is the title of a panel that shows several steps at once.
func joinedTitle(names []string) string {
	const readable = 60 // letters
	title := "+ " + strings.Join(names, " + ")
	if utf8.RuneCountInString(title) <= readable {
		return title
	}
	return fmt.Sprintf("+ %s + %d more", names[0], len(names)-1)
}

// compareNotes say what the figures of all panels rest on, each once.
func (q *request) compareNotes(c *comparison, panels []panel) (notes []string) {
	var raw []string
	say := func(texts ...string) {
		for _, text := range texts {
			if text != "" && !slices.Contains(notes, text) {
				notes = append(notes, text)
			}
		}
	}
	if c.buildUp {
		say(stepNotes(panels)...)
	}
	var alone []string
	for _, p := range panels {
		if len(p.rig.lamps) > 0 && p.rig.file != "" {
			alone = append(alone, p.rig.File.Lamps[0].Name)
		}
		for _, name := range p.rig.Raw() {
			if !slices.Contains(raw, name) {
				raw = append(raw, name)
			}
		}
	}
	if len(alone) > 0 {
		say(fmt.Sprintf("%s: alone on the vehicle and the ground of %s", assembly.List(alone), panels[0].rig.File.Name))
	}
	if len(raw) > 0 {
		say(assembly.OutputNote(raw))
	}
	for _, p := range panels {
		say(p.rig.HeadlightNote(), p.rig.StoppingNote())
		say(seeingNotes(p.rig)...)
		what := q.selection
		what.only = ""
		say(what.notes(p.rig)...)
	}
	return notes
}

func printCompare(page *page, u units.System, o *figures.Options, out *figures.Compare, steps bool) {
	page.table(report.Columns(u, o, out, steps))
	page.text(report.GainKey(out, steps) + "\n")
	if t := report.Worth(u, out, steps); t != nil {
		page.table(t)
	}
	page.list("Notes", out.Notes)
	page.text(caution)
}
