package main

import (
	"context"
	"errors"
	"path/filepath"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/savefile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry/aim"
	"beamfall/render"
	"beamfall/render/draw"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

// order is what aim is called for beyond the rig.
type order struct {
	speed float64 // m/s; 0: the targets of the rig
	goal  figures.Goal
	write string // file
}

func newAim() *cobra.Command {
	var f flags
	var o order
	cmd := &cobra.Command{
		Use:   "aim [RIG]",
		Short: "Finds the tilts for what is to be seen",
		Long: `aim finds the setting of the brackets by which what is asked for is met best and every [[limit]] is
kept, on the steps that the brackets can be set to (tilt_range, tilt_step). It is asked for by the [[target]]s of the rig, or by
--speed: that a person is seen as far as the vehicle needs to stop. Without either, a rut is to be seen near by and
a person far off. Of settings that are as good as the best, it takes the one that moves the fewest brackets.

It prints before and after, what each move is for, what limits the result and what half a degree costs, and draws
both as aim.png. Where no setting keeps a limit, it exits with 1 and shows the one that breaks it least. The rig
file is not changed unless --write names it.

With --hit, --near or --level-edge it answers for one lamp: the tilt for one place.`,
		Example: `  beamfall aim my-truck.toml
  beamfall aim my-truck.toml --speed 50km/h --write my-truck-50.toml
  beamfall aim my-truck.toml --only "roof bar" --hit 30m
  beamfall aim my-truck.toml --only "roof bar" --near 4m
  beamfall aim my-truck.toml --only "bumper spot" --level-edge`,
		Args: oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			if err := errors.Join(o.check(q), q.oneScene()); err != nil {
				return err
			}
			return q.answer(cmd, func(q *request, ctx context.Context, r *rig) (answer, error) {
				return q.aim(ctx, r, o)
			})
		},
	}
	set := cmd.Flags()
	f.add(set)
	without(set, "wall", "thresholds", "sight-lux", "traffic")
	set.Var(&measure{&o.speed, quantity.Speed, 1, 70}, "speed",
		"see a person as far as this speed needs to stop, instead of the targets of the rig")
	set.Var(&measure{&o.goal.Hit, quantity.Length, 0.1, 10000}, "hit",
		"for one lamp: where its axis is to meet the ground, from the lamp")
	set.Var(&measure{&o.goal.Near, quantity.Length, 0.1, 10000}, "near",
		"for one lamp: where its lower half-peak edge is to meet the ground, from the lamp")
	set.BoolVar(&o.goal.LevelEdge, "level-edge", false,
		"for one lamp: upper half-peak edge level, so that no more than its rim goes to the sky")
	set.StringVar(&o.write, "write", "", "save the rig with the new angles to this file, comments kept")
	return cmd
}

// forOneLamp: the tilt for one place is asked for, not all that the light should do.
func (o *order) forOneLamp() bool { return o.goal != figures.Goal{} }

// check says what of an order cannot be met, whatever the rig.
func (o *order) check(q *request) error {
	goals := 0
	for _, asked := range []bool{o.goal.Hit > 0, o.goal.Near > 0, o.goal.LevelEdge, o.speed > 0} {
		if asked {
			goals++
		}
	}
	if goals > 1 {
		return errors.New("--speed, --hit, --near and --level-edge exclude each other; give one")
	}
	if o.write != "" && len(q.sources[0].lamps) > 0 {
		return errors.New("--write rewrites a rig file, and --lamp has none; leave --write out or give a rig file")
	}
	if o.write != "" && len(q.added) > 0 {
		return errors.New("--write saves the rig file, and the lamps of --add are not in it; put them in the file, " +
			"or leave --write out")
	}
	return nil
}

// aim finds angles, and writes them to a rig file and draws them where that is asked for.
func (q *request) aim(ctx context.Context, r *rig, o order) (answer, error) {
	if err := q.writable(o); err != nil {
		return answer{}, err
	}
	s, u := r.Scenes[0], r.System()
	a, unmet := q.angles(ctx, r, s, o)
	if a == nil {
		return answer{}, unmet
	}
	var rigs []savefile.File
	if o.write != "" && unmet == nil {
		text, err := aimed(r, a)
		if err != nil {
			return answer{}, err
		}
		rigs = append(rigs, savefile.File{Name: o.write, Data: text, Rewrites: true})
	}
	var err error
	if o.forOneLamp() {
		_, err = q.written(ctx, rigs)
	} else {
		a.Pictures, err = q.save(ctx, []picture{q.drawAim(r, s, a)}, rigs...)
	}
	if err != nil {
		return answer{}, err
	}
	return answer{
		json: a,
		csv:  func() *table.Table { return report.AimCSV(a) },
		page: func(page *page) { printAim(page, u, a, o) },
	}, unmet
}

// writable is an error, before the work is done, if there is no place for what is to be written.
func (q *request) writable(o order) error {
	made := ""
	var files []savefile.File
	if !o.forOneLamp() {
		if err := q.ready(); err != nil {
			return err
		}
		made, files = q.out, append(files, savefile.File{Name: filepath.Join(q.out, aimPicture), Replace: true})
	}
	if o.write == "" {
		return q.apart(files)
	}
	if err := q.apart(append(files, savefile.File{Name: o.write, Rewrites: true})); err != nil {
		return err
	}
	return failed(savefile.Ready(o.write, made))
}

// angles finds the angles asked for. That there are none is no mistake of the input.
func (q *request) angles(ctx context.Context, r *rig, s assembly.Scene, o order) (*figures.Aim, error) {
	if o.forOneLamp() {
		a, err := figures.TiltFor(r.Rig, s, o.goal, q.figures)
		switch {
		case errors.Is(err, aim.ErrNoTilt):
			return nil, failed(err)
		case err != nil:
			return nil, err
		}
		a.Reasons = append(a.Reasons, report.Tilted(r.System(), a, o.goal)...)
		return a, nil
	}
	done := q.progress("aiming")
	defer done.end()
	a, err := figures.AimOf(ctx, r.Rig, s, o.speed, q.figures, done.at)
	if a == nil {
		return nil, err
	}
	u := r.System()
	a.Why, a.Reasons, a.Warnings = report.Why(a, u), report.Reasons(a), report.AimWarnings(r.Rig, a, u)
	a.Notes = append(report.AimNotes(r.Rig, a), q.notes(r)...)
	return a, failed(err) // nil, or that no setting keeps every limit
}

// aimPicture is the name of the picture of aiming.
const aimPicture = "aim.png"

// drawAim is before and after on one scale.
func (q *request) drawAim(r *rig, s assembly.Scene, a *figures.Aim) picture {
	aiming := render.Aiming{
		Before: q.subject(r, s), After: q.subject(r, s), FulfilmentBefore: float64(a.Before),
		FulfilmentAfter: float64(a.After),
	}
	aiming.After.Scene = a.Lit
	for i, t := range a.Task.Targets {
		aiming.Targets = append(aiming.Targets,
			render.AimTarget{Target: t, Before: a.Targets[i].Before, After: a.Targets[i].After})
	}
	for i, l := range a.Task.Limits {
		aiming.Limits = append(aiming.Limits,
			render.AimLimit{Limit: l, Before: a.Limits[i].Before, After: a.Limits[i].After})
	}
	return picture{aimPicture, func(ctx context.Context) (*draw.Canvas, error) {
		return render.Aim(ctx, aiming, q.look, render.AimOptions{Width: q.width})
	}}
}

func printAim(page *page, u units.System, a *figures.Aim, o order) {
	if o.forOneLamp() {
		for _, line := range a.Reasons {
			page.text(line)
		}
		return
	}
	page.table(report.Tilts(a, u))
	page.text(report.TiltsKey(a) + "\n")
	if len(a.Sight) > 0 {
		page.table(report.AimSights(a, u))
	}
	page.table(report.Targets(a))
	if len(a.Limits) > 0 {
		page.table(report.Limits(a))
	}
	page.list("Why", a.Why)
	page.list("What limits it", a.Reasons)
	page.list("Mind", a.Warnings)
	page.list("Notes", a.Notes)
	page.text(caution)
}

// aimed is the text of a rig with the angles found.
func aimed(r *rig, a *figures.Aim) ([]byte, error) {
	var changes []rigfile.Change
	for _, to := range a.Moved {
		l := &r.File.Lamps[to.Entry]
		c := rigfile.Change{Lamp: l.Name}
		if to.Tilt != l.Tilt.Value {
			c.Tilt = &to.Tilt
		}
		if to.Turn != l.Turn.Value {
			c.Turn = &to.Turn
		}
		changes = append(changes, c)
	}
	return r.File.Rewrite(changes)
}
