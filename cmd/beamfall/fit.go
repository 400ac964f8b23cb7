package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/savefile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

func newFit() *cobra.Command {
	var f flags
	var from, to string
	off := 0.05
	cmd := &cobra.Command{
		Use:   "fit [RIG] --readings FILE",
		Short: "What readings of a light meter tell of the lamps",
		Long: `fit takes what a light meter read at stakes and finds, for each lamp or pair, the factor on its output
and the error of its tilt that explain the readings best: least squares on logarithms, for meters err by a share of
what they read. It says how sure each figure is (all of them together hold in 95 of 100 cases) and what the readings cannot tell.

The readings are a CSV file with the columns ahead, left, up, lamp, ground and facing, in any order, a line for each
stake. Distances are as in the rig file (20 m, 66 ft); in columns named ahead_m or ahead_ft and so on they are plain
numbers. up is the height over the ground, 0 without. ground and facing are lux on the ground's own plane and on an
upright one that faces the vehicle, less what was read with all lamps off; an empty cell, or less than 0.01 lx,
was not read. lamp is the lamp or pair that was lit alone; without, or all, those of the scene were lit. What lux prints with --format csv is such a
table: print it, write the readings over the lux, and leave the cells of what was not read empty.`,
		Example: `  beamfall lux my-truck.toml --grid 10m --format csv > readings.csv
  beamfall fit my-truck.toml --readings readings.csv
  beamfall fit my-truck.toml --readings readings.csv --write new.toml`,
		Args: oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			switch {
			case from == "":
				return errors.New("fit needs readings: write e.g. --readings readings.csv")
			case to != "" && len(q.sources[0].lamps) > 0:
				return errors.New("--write rewrites a rig file, and --lamp has none; leave --write out or give a " +
					"rig file")
			}
			if err := q.oneScene(); err != nil {
				return err
			}
			if to != "" {
				if err := savefile.Ready(to, ""); err != nil {
					return failed(err)
				}
			}
			return q.answer(cmd, func(q *request, ctx context.Context, r *rig) (answer, error) {
				return q.fit(ctx, r, from, off, to)
			})
		},
	}
	f.add(cmd.Flags())
	without(cmd.Flags(), "only", "out", "theme", "width", "wall", "ground-reading", "tolerance", "thresholds",
		"sight-lux", "traffic")
	cmd.Flags().StringVar(&from, "readings", "", "CSV file of readings")
	cmd.Flags().Var(&measure{&off, quantity.Share, 0.001, 1}, "reading-error",
		"standard deviation of a reading, as a share of it")
	cmd.Flags().StringVar(&to, "write", "", "save the rig with the outputs and tilts found to this file, comments kept")
	return cmd
}

// readingColumns are those that a table of readings may have.
var readingColumns = []string{
	"rig", "scene", "ahead", "ahead_m", "ahead_ft", "left", "left_m", "left_ft", "up", "up_m", "up_ft", "lamp",
	"ground", "ground_lux", "facing", "facing_lux", "remark",
}

// leastReading is the light below which a meter tells nothing, lx: own choice.
const leastReading = 0.01

// readings are those of a table's rows.
func (r *rig) readings(rows []csvRow, file string) (out []figures.FitReading, err error) {
	if len(rows) == 0 {
		return nil, fmt.Errorf("%s: there are no readings in it", quantity.Quote(file))
	}
	has := func(names ...string) bool {
		return slices.ContainsFunc(names, func(name string) bool { _, is := rows[0].cells[name]; return is })
	}
	switch {
	case !has("ahead", "ahead_m", "ahead_ft"):
		return nil, fmt.Errorf("%s:1: there is no column ahead, ahead_m or ahead_ft", file)
	case !has("left", "left_m", "left_ft"):
		return nil, fmt.Errorf("%s:1: there is no column left, left_m or left_ft", file)
	case !has("ground", "ground_lux", "facing", "facing_lux"):
		return nil, fmt.Errorf("%s:1: there is no column ground, ground_lux, facing or facing_lux", file)
	}
	var wrong []error
	for _, row := range rows {
		found, err := r.readingsOf(row)
		if err != nil {
			wrong = append(wrong, err)
		}
		out = append(out, found...)
	}
	if len(wrong) == 0 && len(out) == 0 {
		return nil, fmt.Errorf("%s: all cells of ground and facing are empty, or below %g lx, which a meter "+
			"cannot tell", quantity.Quote(file), leastReading)
	}
	return out, errors.Join(wrong...)
}

// readingsOf are those of a row: one on the ground's plane, one facing the vehicle, or both.
func (r *rig) readingsOf(row csvRow) (out []figures.FitReading, err error) {
	at := func(err error) error { return fmt.Errorf("%s: %w", row.where, err) }
	one := figures.FitReading{Scene: r.Scenes[0].Name, Lamp: "all", Where: row.where}
	if name := row.cells["scene"]; name != "" {
		one.Scene = name
	}
	i := slices.IndexFunc(r.Scenes, func(s assembly.Scene) bool { return s.Name == one.Scene })
	if i < 0 {
		var names []string
		for _, s := range r.Scenes {
			names = append(names, s.Name)
		}
		return nil, at(assembly.Unknown("scene", one.Scene, names))
	}
	one.Lit = r.Scenes[i].Lamps
	if name := row.cells["lamp"]; name != "" && name != "all" {
		one.Lamp = name
		if one.Lit, err = lampsNamed(r, name); err != nil {
			return nil, at(err)
		}
	}
	for _, d := range []struct {
		name string
		into *float64
	}{{"ahead", &one.Ahead}, {"left", &one.Left}, {"up", &one.Up}} {
		if *d.into, err = row.length(d.name); err != nil {
			return nil, at(fmt.Errorf("%s: %w", d.name, err))
		}
	}
	const far, high = 1e5, 1000
	switch {
	case math.Abs(one.Ahead) > far || math.Abs(one.Left) > far:
		return nil, at(errors.New("the stake is farther than 100 km away"))
	case one.Up < 0 || one.Up > high:
		return nil, at(errors.New("up: the height over the ground is not from 0 m to 1000 m"))
	}
	for _, surface := range []string{"ground", "facing"} {
		text := row.cells[surface] + row.cells[surface+"_lux"]
		if text == "" {
			continue
		}
		lux, err := quantity.ParseIlluminance(text)
		switch {
		case err != nil:
			return nil, at(fmt.Errorf("%s: %w", surface, err))
		case lux < 0:
			return nil, at(fmt.Errorf("%s: %s is below 0; a reading is that with the lamps on less that with all "+
				"of them off", surface, quantity.Quote(text)))
		case lux > 1e7:
			return nil, at(fmt.Errorf("%s: %s is more than 10000000 lx", surface, quantity.Quote(text)))
		case lux < leastReading:
			continue
		}
		one.Surface, one.Lux = surface, lux
		out = append(out, one)
	}
	return out, nil
}

// length is a cell of a length, which may stand in a column for its unit.
func (row csvRow) length(name string) (float64, error) {
	for unit, size := range map[string]float64{"_m": 1, "_ft": units.Foot} {
		if text, is := row.cells[name+unit]; is && text != "" {
			v, err := quantity.Number.Parse(text)
			return v * size, err
		}
	}
	text := row.cells[name]
	switch {
	case text == "" && name == "up", text == "0":
		return 0, nil
	case text == "":
		return 0, errors.New("the cell is empty")
	}
	return quantity.ParseLength(text)
}

// fit is what readings tell of a rig, and writes it to a rig file where that is asked for.
func (q *request) fit(ctx context.Context, r *rig, file string, readingError float64, to string) (answer, error) {
	rows, err := csvFile(q.selection.reads.open, file, nil, readingColumns)
	if err != nil {
		return answer{}, err
	}
	readings, err := r.readings(rows, file)
	if err != nil {
		return answer{}, err
	}
	f, err := figures.FitOf(r.Rig, readings, readingError)
	if err != nil {
		return answer{}, err
	}
	f.Notes = append(f.Notes, report.FitNotes(f)...)
	if note := r.HeadlightNote(); note != "" {
		f.Notes = append(f.Notes, note)
	}
	if !r.Site.Track.Straight() {
		f.Notes = append(f.Notes, "the track is "+report.Track(r.System(), &r.File.Track)+
			": a meter for facing light is taken to look back along it, where it is nearest; distances are from "+
			"the vehicle")
	}
	f.Notes = append(f.Notes, q.litNotes(r)...)
	if to != "" {
		text, err := measured(r, f)
		if err != nil {
			return answer{}, err
		}
		names, err := q.written(ctx, []savefile.File{{Name: to, Data: text, Rewrites: true}})
		if err != nil {
			return answer{}, err
		}
		f.File = &names[0]
	}
	u := r.System()
	return answer{
		json: f,
		csv:  func() *table.Table { return report.FitCSV(f) },
		page: func(page *page) {
			page.heading(f.Rig)
			page.table(report.Fitted(f))
			page.text(report.FittedKey + "\n")
			page.table(report.Explained(u, f))
			page.list("Notes", f.Notes)
		},
	}, nil
}

// measured is the text of a rig file with the outputs and tilts that the readings tell.
func measured(r *rig, f *figures.Fit) ([]byte, error) {
	var changes []rigfile.Change
	for i := range f.Lamps {
		l := &f.Lamps[i]
		c := rigfile.Change{Lamp: l.Name}
		if l.Corrected.Exists() && !l.Strange {
			c.Output = (*float64)(&l.Corrected)
		}
		if !math.IsNaN(float64(l.Truly)) {
			c.Tilt = (*float64)(&l.Truly)
		}
		if c.Output != nil || c.Tilt != nil {
			changes = append(changes, c)
		}
	}
	if len(changes) == 0 {
		return nil, failed(errors.New("the readings tell nothing that could be written; without --write it is said " +
			"what would"))
	}
	return r.File.Rewrite(changes)
}
