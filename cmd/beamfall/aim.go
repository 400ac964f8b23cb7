package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/savefile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry/aim"
	"beamfall/render"

	"github.com/spf13/cobra"
	"golang.org/x/term"
)

func newAim() *cobra.Command {
	var c call
	var speed float64
	var goal report.Goal
	var write string
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
		RunE: func(cmd *cobra.Command, args []string) error {
			goals := 0
			for _, asked := range []bool{goal.Hit > 0, goal.Near > 0, goal.LevelEdge, speed > 0} {
				if asked {
					goals++
				}
			}
			if goals > 1 {
				return errors.New("--speed, --hit, --near and --level-edge exclude each other; give one")
			}
			if write != "" && len(args) == 0 && len(c.lamps) > 0 {
				return errors.New("--write rewrites a rig file, and --lamp has none; leave --write out or give a rig file")
			}
			r, s, err := c.oneScene(args)
			if err != nil {
				return err
			}
			draws := goals == 0 || speed > 0
			if draws {
				if err := c.ready(); err != nil {
					return err
				}
			}
			if write != "" && filepath.Dir(write) != filepath.Clean(c.out) { // which may be still to be made
				if err := savefile.Ready(write); err != nil {
					return failed(err)
				}
			}
			var a *report.Aim
			if !draws {
				if a, err = report.TiltFor(r, s, goal, c.report); errors.Is(err, aim.ErrNoTilt) {
					return failed(err)
				}
			} else {
				done := progress("aiming")
				a, err = report.AimOf(cmd.Context(), r, s, speed, c.report, done.at)
				done.end()
				if unmet := (*aim.Unmet)(nil); errors.As(err, &unmet) {
					return failed(fmt.Errorf("%w; allow more light there, let the lamps tilt further, or light fewer of them", err))
				}
			}
			if err != nil {
				return err
			}
			if a.After != nil {
				if a.Pictures, err = c.save(cmd.Context(), []picture{c.aimPicture(r, s, a)}); err != nil {
					return err
				}
			}
			if write != "" {
				if err := writeAim(c.text, write, r, a); err != nil {
					return err
				}
			}
			if c.json {
				return printJSON(cmd.OutOrStdout(), a)
			}
			page := &page{w: cmd.OutOrStdout(), format: table.Format(c.format)}
			printAim(page, r.System(), a)
			return failed(page.err)
		},
	}
	c.flags(cmd.Flags())
	f := cmd.Flags()
	without(f, "wall", "thresholds", "sight-lux", "traffic")
	f.Var(&measure{&speed, quantity.Speed, 1, 70}, "speed", "light the track for this speed, instead of the targets of the rig")
	f.Var(&measure{&goal.Hit, quantity.Length, 0.1, 10000}, "hit", "for one lamp: where its axis is to meet the ground, from the lamp")
	f.Var(&measure{&goal.Near, quantity.Length, 0.1, 10000}, "near", "for one lamp: where its lower half-peak edge is to meet the ground, from the lamp")
	f.BoolVar(&goal.LevelEdge, "level-edge", false, "for one lamp: upper half-peak edge level, so that no more than its rim goes to the sky")
	f.StringVar(&write, "write", "", "save the rig with the new angles to this file, comments kept")
	return cmd
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

func printAim(p *page, u quantity.System, a *report.Aim) {
	if p.format == table.CSV {
		p.err = a.Sheet().Write(p.w, p.format)
		return
	}
	if a.After == nil {
		for _, line := range a.Reasons {
			p.text(line)
		}
		return
	}
	p.table(a.Setting(u))
	p.table(a.Fulfilments())
	if len(a.Limits) > 0 {
		p.table(a.Kept())
	}
	p.list("What limits it", a.Reasons)
	p.list("Notes", a.Notes)
	p.text("if lower, if higher: how the fulfilment of all targets changes when that bracket is set " + quantity.Degrees(tolerance(a)) +
		" too low or too high. limit!: a limit is then passed.")
	p.text(caution)
}

func tolerance(a *report.Aim) float64 {
	if len(a.If) == 0 {
		return 0
	}
	return quantity.Angle.SI(a.If[0].Tilt)
}

// writeAim saves the text of a rig with the angles found.
func writeAim(text []byte, to string, r *assembly.Rig, a *report.Aim) error {
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
	out, err := rigfile.Rewrite(text, changes)
	if err != nil {
		return err
	}
	if err := savefile.Write(to, out); err != nil {
		return failed(err)
	}
	fmt.Fprintf(os.Stderr, "wrote %s\n", to)
	return nil
}

// meter shows on a terminal how far long work is.
type meter struct {
	what string
	to   io.Writer // nil: to nobody
	mu   sync.Mutex
	most int
	line string // that is shown
}

func progress(what string) *meter {
	m := &meter{what: what, most: -1}
	if term.IsTerminal(int(os.Stderr.Fd())) {
		m.to = os.Stderr
	}
	return m
}

func (m *meter) at(share float64) {
	if m.to == nil {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if p := int(share * 100); p > m.most {
		m.most, m.line = p, fmt.Sprintf("%s: %d %%", m.what, p)
		fmt.Fprint(m.to, "\r"+m.line)
	}
}

// end takes the meter off the line again, with blanks, which every terminal knows.
func (m *meter) end() {
	if m.line != "" {
		fmt.Fprint(m.to, "\r"+strings.Repeat(" ", len(m.line))+"\r")
	}
}
