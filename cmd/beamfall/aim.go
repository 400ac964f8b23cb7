package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/savefile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry/aim"
	"beamfall/render"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

// order is what aim is called for beyond the rig.
type order struct {
	speed float64 // m/s; 0: the targets of the rig
	goal  report.Goal
	write string // file
}

func newAim() *cobra.Command {
	var c call
	var o order
	cmd := &cobra.Command{
		Use:   "aim [RIG]",
		Short: "Finds the tilts for what the light should do",
		Long: `aim finds the setting of the brackets that fulfils the [[target]]s of a rig best and keeps every [[limit]], on
the steps that the brackets can be set to (tilt_range, tilt_step). With --speed it needs no targets: it lights the
track out to the stopping distance. It tells before and after, what limits the result, and which bracket must be
set with care, and draws both as aim.png. The rig file is not changed unless --write names it.

With --hit, --near or --level-edge it answers for one lamp: the tilt for one place.`,
		Example: `  beamfall aim my-truck.toml
  beamfall aim my-truck.toml --speed 50km/h --write my-truck-50.toml
  beamfall aim my-truck.toml --only "roof bar" --hit 30m
  beamfall aim my-truck.toml --only "roof bar" --near 4m
  beamfall aim my-truck.toml --only "bumper spot" --level-edge`,
		Args: oneRig,
		RunE: func(cmd *cobra.Command, args []string) error { return c.aim(cmd.Context(), cmd.OutOrStdout(), args, o) },
	}
	c.flags(cmd.Flags())
	f := cmd.Flags()
	without(f, "wall", "thresholds", "sight-lux", "traffic")
	f.Var(&measure{&o.speed, quantity.Speed, 1, 70}, "speed", "light the track for this speed, instead of the targets of the rig")
	f.Var(&measure{&o.goal.Hit, quantity.Length, 0.1, 10000}, "hit", "for one lamp: where its axis is to meet the ground, from the lamp")
	f.Var(&measure{&o.goal.Near, quantity.Length, 0.1, 10000}, "near", "for one lamp: where its lower half-peak edge is to meet the ground, from the lamp")
	f.BoolVar(&o.goal.LevelEdge, "level-edge", false, "for one lamp: upper half-peak edge level, so that no more than its rim goes to the sky")
	f.StringVar(&o.write, "write", "", "save the rig with the new angles to this file, comments kept")
	return cmd
}

// forOneLamp tells whether the tilt for one place is asked for, and not for all that the light should do.
func (o *order) forOneLamp() bool { return o.goal != report.Goal{} }

func (o *order) wrong(c *call, args []string) error {
	goals := 0
	for _, asked := range []bool{o.goal.Hit > 0, o.goal.Near > 0, o.goal.LevelEdge, o.speed > 0} {
		if asked {
			goals++
		}
	}
	if goals > 1 {
		return errors.New("--speed, --hit, --near and --level-edge exclude each other; give one")
	}
	if o.write != "" && len(args) == 0 && len(c.lamps) > 0 {
		return errors.New("--write rewrites a rig file, and --lamp has none; leave --write out or give a rig file")
	}
	return nil
}

func (c *call) aim(ctx context.Context, stdout io.Writer, args []string, o order) error {
	if err := o.wrong(c, args); err != nil {
		return err
	}
	r, s, err := c.oneScene(args)
	if err != nil {
		return err
	}
	if !o.forOneLamp() {
		if err := c.ready(); err != nil {
			return err
		}
	}
	if o.write != "" {
		made := c.out
		if o.forOneLamp() {
			made = ""
		}
		if err := savefile.Ready(o.write, made); err != nil {
			return failed(err)
		}
	}
	a, err := c.angles(ctx, r, s, o)
	if err != nil {
		return err
	}
	var rigs []savefile.File
	if o.write != "" {
		text, err := aimed(c.text, r, a)
		if err != nil {
			return err
		}
		rigs = append(rigs, savefile.File{Name: o.write, Data: text})
	}
	if o.forOneLamp() {
		_, err = written(rigs)
	} else {
		a.Notes = append(a.Notes, c.onlyNote()...)
		a.Pictures, err = c.save(ctx, []picture{c.aimPicture(r, s, a)}, rigs...)
	}
	if err != nil {
		return err
	}
	if c.json {
		return printJSON(stdout, a)
	}
	return failed(c.printAim(stdout, r.System(), a))
}

// angles finds the angles asked for. That there are none is no mistake of the input.
func (c *call) angles(ctx context.Context, r *assembly.Rig, s assembly.Scene, o order) (*report.Aim, error) {
	if o.forOneLamp() {
		a, err := report.TiltFor(r, s, o.goal, c.report)
		if errors.Is(err, aim.ErrNoTilt) {
			err = failed(err)
		}
		return a, err
	}
	done := progress("aiming")
	defer done.end()
	a, err := report.AimOf(ctx, r, s, o.speed, c.report, done.at)
	if unmet := (*aim.Unmet)(nil); errors.As(err, &unmet) {
		err = failed(fmt.Errorf("%w; allow more light there, let the lamps tilt further, or light fewer of them", err))
	}
	return a, err
}

// aimPicture is before and after on one scale.
func (c *call) aimPicture(r *assembly.Rig, s assembly.Scene, a *report.Aim) picture {
	aiming := render.Aiming{
		Before: c.subject(r, s), After: c.subject(r, s), FulfilmentBefore: *a.Before, FulfilmentAfter: *a.After,
	}
	aiming.After.Scene = a.Lit[1]
	for i, t := range a.Wanted {
		aiming.Targets = append(aiming.Targets, render.AimTarget{
			Name: t.Name, From: t.From, To: t.To, HalfWidth: t.HalfWidth, Before: a.Targets[i].Before, After: a.Targets[i].After,
		})
	}
	for i, l := range a.Allowed {
		aiming.Limits = append(aiming.Limits, render.AimLimit{
			Name: l.Name, Ahead: l.At.X, Left: l.At.Y, Allowed: l.Lux, Before: a.Limits[i].Before, After: a.Limits[i].After,
		})
	}
	return picture{"aim.png", func(ctx context.Context) (*render.Canvas, error) {
		p, _, err := render.AimPicture(ctx, aiming, c.look, render.AimOptions{Width: c.width})
		return p, err
	}}
}

func (c *call) printAim(w io.Writer, u units.System, a *report.Aim) error {
	p := &page{w: w, format: table.Format(c.format)}
	switch {
	case p.format == table.CSV:
		return a.Sheet().Write(w, p.format)
	case a.After == nil: // for one lamp
		for _, line := range a.Reasons {
			p.text(line)
		}
		return p.err
	}
	p.table(a.Setting(u))
	p.text("if lower, if higher: how the fulfilment of all targets changes when that bracket is set " + units.Degrees(c.report.Tolerance) +
		" too low or too high. limit!: a limit is then passed.\n")
	p.table(a.Fulfilments())
	if len(a.Limits) > 0 {
		p.table(a.Kept())
	}
	p.list("What limits it", a.Reasons)
	p.list("Notes", a.Notes)
	p.text(caution)
	return p.err
}

// aimed is the text of a rig with the angles found.
func aimed(text []byte, r *assembly.Rig, a *report.Aim) ([]byte, error) {
	var changes []rigfile.AngleChange
	for e := range r.File.Lamps {
		to, ok := a.Entries[e]
		if !ok {
			continue
		}
		l := &r.File.Lamps[e]
		c := rigfile.AngleChange{Lamp: l.Name}
		if to.Tilt != l.Tilt.Value {
			c.Tilt = &to.Tilt
		}
		if to.Turn != l.Turn.Value {
			c.Turn = &to.Turn
		}
		changes = append(changes, c)
	}
	return rigfile.Rewrite(text, changes)
}
