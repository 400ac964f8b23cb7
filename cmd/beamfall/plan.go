package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"

	"github.com/spf13/cobra"
	"gonum.org/v1/gonum/spatial/r3"
)

func newPlan() *cobra.Command {
	var c call
	var again bool
	cmd := &cobra.Command{
		Use:   "plan [RIG]",
		Short: "The aiming table and the pictures of a rig",
		Long: `plan works out where every lamp's light lands: the table to set the brackets by, what each lamp and each scene
does when set so, and four pictures to scale in the directory for pictures: top.png (the ground from above),
side.png (the section, and lux by distance), wall.png (the pattern on a wall, with tape marks) and view.png (what
the driver sees). Without a rig it shows the built-in demo.

Pictures show one scene: that of --scene, or the first.`,
		Example: `  beamfall plan
  beamfall plan my-truck.toml --scene trail --theme paper
  beamfall plan my-truck.toml --units imperial --wall 25ft --ground-reading -0.4
  beamfall plan --lamp "name=spot,up=1m,tilt=1,spread=10,lumens=3000"
  beamfall plan my-truck.toml --watch`,
		Args: oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			job := func() error { return c.plan(cmd.Context(), cmd.OutOrStdout(), args) }
			if !again {
				return job()
			}
			if len(args) == 0 {
				return errors.New("--watch needs a rig file to watch; write e.g. beamfall plan my-truck.toml --watch")
			}
			// What a save cannot mend is told at once.
			if err := errors.Join(c.settle(), c.ready()); err != nil {
				return err
			}
			f, err := openPlain(args[0])
			if err != nil {
				return err
			}
			f.Close()
			return watch(cmd.Context(), args[0], job)
		},
	}
	c.flags(cmd.Flags())
	c.pictureFlags(cmd.Flags())
	cmd.Flags().BoolVar(&again, "watch", false, "do it again whenever the rig file is saved, until Ctrl-C")
	return cmd
}

// plan does the main job once.
func (c *call) plan(ctx context.Context, stdout io.Writer, args []string) error {
	r, err := c.rig(args)
	if err != nil {
		return err
	}
	if err := c.ready(); err != nil {
		return err
	}
	done := progress("computing")
	p, err := report.PlanOf(ctx, r, c.report, done.at)
	done.end()
	if err != nil {
		return err
	}
	if p.Pictures, err = c.save(ctx, c.planPictures(r, r.Scenes[0])); err != nil {
		return err
	}
	if eyeInGround(r) {
		p.Notes = append(p.Notes, "view.png is not drawn: the driver's eye is not above the ground there; see the eye of the vehicle and the ground profile")
	} else {
		p.Notes = append(p.Notes, viewDefaults(r)...)
	}
	p.Notes = append(p.Notes, c.onlyNote()...)
	if len(r.Scenes) > 1 {
		p.Notes = append(p.Notes, fmt.Sprintf("the pictures show the scene %s; --scene shows another", r.Scenes[0].Name))
	}
	if c.report.GroundReading != 0 {
		p.Notes = append(p.Notes, "the ground reading is added to every meter reading; for a lamp turned from straight ahead, take it with the meter lying along that lamp's aim")
	}
	if c.json {
		return printJSON(stdout, p)
	}
	return failed(c.printPlan(stdout, r, p))
}

// onlyNote says that with --only the rest of a scene is dark.
func (c *call) onlyNote() []string {
	if c.only == "" {
		return nil
	}
	return []string{"the light is that of " + c.only + " alone, as --only asks for; the other lamps are off"}
}

// eyeInGround tells of a driver who sees nothing: as driven, the eye is not above the ground.
func eyeInGround(r *assembly.Rig) bool {
	e := r.File.Vehicle.Eye.Value
	p := r.Site.Attitude.Driven(r3.Vec{X: e.Ahead, Y: e.Left, Z: e.Up})
	return p.Z <= r.Site.Ground.Height(p.X, p.Y)
}

// viewDefaults says what the driver's view rests on that the rig does not say.
func viewDefaults(r *assembly.Rig) (notes []string) {
	u := r.System()
	if eye := r.File.Vehicle.Eye; !eye.Given {
		notes = append(notes, fmt.Sprintf("the driver's eye is not given: view.png takes %s behind the bumper, %s to the left, %s up",
			u.Length(-eye.Value.Ahead), u.Length(eye.Value.Left), u.Length(eye.Value.Up)))
	}
	if rho := r.File.Ground.Reflectance; !rho.Given {
		notes = append(notes, fmt.Sprintf("reflectance is not given: view.png takes ground that gives back %g of the light", rho.Value))
	}
	return notes
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
	page.text("meter: what a tilt meter laid along the beam reads. wall mark: the middle of the beam on the wall, up from the ground " +
		"and left (L) or right (R) of the centreline.\n")
	page.table(p.Gives(u, c.report))
	page.text("half-peak zone: the ground inside the beam, from its lower to its upper edge. if ±" + units.Degrees(c.report.Tolerance) +
		" off: where the axis hits then. reach: how far from the lamp an upright thing in its line gets so much light.\n")
	for i := range p.Scenes {
		page.list("Scene "+p.Scenes[i].Name, p.Scenes[i].Words(u))
	}
	page.list("Notes", p.Notes)
	page.text(caution)
	return page.err
}
