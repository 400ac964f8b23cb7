package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render"
	"beamfall/render/draw"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

func newPlan() *cobra.Command {
	var f flags
	var again bool
	cmd := &cobra.Command{
		Use:   "plan [RIG…]",
		Short: "The aiming table and the pictures of a rig",
		Long: `plan works out where every lamp's light lands: the table to set the brackets by, what each lamp and each scene
does when set so, and four pictures to scale in the directory for pictures: top.png (the ground from above),
side.png (the section along the track in the light that falls there; lux and sight by distance), wall.png (the
pattern on a wall, with tape marks) and view.png (what the driver sees). Without a rig it shows the built-in demo.

Pictures show one scene: that of --scene, or the first. Of several rigs each has its pictures in a directory of its own,
named after its file. A rig of - is read from standard input.`,
		Example: `  beamfall plan
  beamfall plan my-truck.toml --scene trail --theme paper
  beamfall plan my-truck.toml --units imperial --wall 25ft --ground-reading -0.4
  beamfall plan --lamp "name=spot,up=1m,tilt=1,spread=10,lumens=3000"
  beamfall plan my-truck.toml --watch
  beamfall plan fleet/*.toml --format csv --out pictures`,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			var known *planned
			if again {
				known = new(planned)
			}
			job := func() error { return q.answer(cmd, known.plan) }
			if !again {
				return job()
			}
			if len(args) != 1 || args[0] == "-" {
				return errors.New("--watch needs one rig file to watch; write e.g. beamfall plan my-truck.toml --watch")
			}
			// What a save cannot mend is reported at once.
			if err := q.ready(); err != nil {
				return err
			}
			file, err := openPlain(args[0])
			if err != nil {
				return err
			}
			file.Close()
			return watch(cmd.Context(), args[0], job)
		},
	}
	f.add(cmd.Flags())
	f.addPictures(cmd.Flags())
	f.addSight(cmd.Flags())
	cmd.Flags().StringVar(&f.mapped, "map", "ground",
		"what top.png is painted with: ground (light on it), facing (light on what stands on it) or sight")
	cmd.Flags().BoolVar(&f.details, "details", false, "print what few need as well")
	cmd.Flags().BoolVar(&again, "watch", false, "do it again whenever the rig file is saved, until Ctrl-C")
	return cmd
}

// planned is what is known of the last rig that was planned, for the next one, which is mostly the
// same with one value changed. Of nil nothing is kept.
type planned struct {
	rig   *assembly.Rig
	views *figures.Views
}

// next has the views of a rig, which becomes the last one.
func (k *planned) next(r *assembly.Rig, o figures.Options) *figures.Views {
	if k == nil {
		return figures.ViewsOf(r, o, nil)
	}
	if k.rig != nil {
		r.Keep(k.rig)
	}
	k.rig, k.views = r, figures.ViewsOf(r, o, k.views)
	return k.views
}

// plan is the main job.
func (k *planned) plan(q *request, ctx context.Context, r *rig) (answer, error) {
	if err := q.ready(); err != nil {
		return answer{}, err
	}
	views := k.next(r.Rig, q.figures)
	pictures := q.begin(ctx, func() []picture { return q.planPictures(r, r.Scenes[0], views) }) // they need no figures
	defer pictures.end()
	done := q.progress("computing")
	p, err := figures.PlanBy(ctx, r.Rig, q.figures, views, done.at)
	done.end()
	if err != nil {
		return answer{}, err
	}
	if p.Pictures, err = pictures.save(ctx); err != nil {
		return answer{}, err
	}
	u := r.System()
	notes := slices.Concat(report.Glows(u, p), report.Advice(u, p), q.planNotes(r))
	remarks := report.Remarks(u, p)
	if len(r.Scenes) > 1 {
		remarks = append(remarks, fmt.Sprintf("the pictures show the scene %s; --scene shows another",
			r.Scenes[0].Name))
	}
	p.Notes = append(append(p.Notes, notes...), remarks...)
	return answer{
		json: p,
		csv:  func() *table.Table { return report.PlanCSV(u, p) },
		page: func(page *page) {
			if q.details {
				notes = p.Notes
			}
			printPlan(page, u, p, notes, q.details)
		},
	}, nil
}

// groundReadingNote is on readings that allow for a ground that is not level.
const groundReadingNote = "the ground reading is added to every meter reading; " +
	"for a lamp turned from straight ahead, take it with the meter lying along that lamp's aim"

// planNotes say what the figures rest on that the rig does not give, and what is doubtful in it.
func (q *request) planNotes(r *rig) (notes []string) {
	notes = append(notes, r.Notes()...)
	if figures.EyeInGround(r.Rig) {
		notes = append(notes, "the driver sees nothing, and view.png is not drawn: the eye is not above the ground "+
			"there; see the eye of the vehicle and the ground profile")
	} else {
		notes = append(notes, seeingNotes(r)...)
	}
	for _, d := range report.Doubts(r.Rig) {
		notes = append(notes, "doubtful: "+d)
	}
	notes = append(notes, q.notes(r)...)
	if q.figures.GroundReading != 0 {
		notes = append(notes, groundReadingNote)
	}
	return notes
}

// planPictures are the four pictures of a scene, without that of a driver who sees nothing.
func (q *request) planPictures(r *rig, s assembly.Scene, views *figures.Views) []picture {
	subject, d := q.looking(r, s, views), q.drawing
	wall, set := q.subject(r, s), r.Settable(s.Lamps)
	if len(set) > 0 { // the wall is for setting lamps, with the headlights off
		wall = q.subject(r, assembly.Scene{Name: s.Name, Lamps: set})
	}
	pictures := []picture{
		{"top.png", func(ctx context.Context) (*draw.Canvas, error) {
			return render.Top(ctx, subject, d.look,
				render.TopOptions{Width: d.width, Ahead: d.ahead, Behind: d.behind, Side: d.side, Map: d.mapped})
		}},
		{"side.png", func(ctx context.Context) (*draw.Canvas, error) {
			return render.Side(ctx, subject, d.look,
				render.SideOptions{Width: d.width, Ahead: d.ahead, Behind: d.behind})
		}},
		{"wall.png", func(ctx context.Context) (*draw.Canvas, error) {
			return render.Wall(ctx, wall, d.look,
				render.WallOptions{Width: d.width, Ahead: q.figures.Wall, NoMarks: len(set) == 0})
		}},
	}
	if !figures.EyeInGround(r.Rig) {
		pictures = append(pictures, picture{"view.png", func(ctx context.Context) (*draw.Canvas, error) {
			return render.View(ctx, subject, d.look, render.ViewOptions{Width: d.width, MidGrey: d.exposure})
		}})
	}
	return pictures
}

// printPlan prints the tables, and in words what the scenes come to.
func printPlan(page *page, u units.System, p *figures.Plan, notes []string, details bool) {
	page.heading(p.Rig)
	if len(p.Scenes) > 0 {
		name := p.Scenes[0].Name
		if along := report.Along(u, p.Bend); along != "" {
			name += ", " + along
		}
		if seen := report.Seen(u, name, &p.Asked, p.Scenes[0].Sight); seen != "" {
			page.text(seen + "\n")
		}
	}
	page.table(report.Setting(u, p))
	page.text(report.SettingKey(p) + "\n")
	page.table(report.Gives(u, p))
	page.table(report.Scenes(u, p))
	if details {
		page.table(report.InDetail(u, p))
		for i := range p.Scenes {
			page.list("Scene "+p.Scenes[i].Name, report.SceneInDetail(u, &p.Scenes[i]))
		}
	}
	page.list("Notes", notes)
	page.text(caution)
}
