package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/savefile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render"
	"beamfall/render/draw"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

func newRecheck() *cobra.Command {
	var f flags
	var on paper
	var readings found
	cmd := &cobra.Command{
		Use:   `recheck [RIG] --found "NAME=READING"…`,
		Short: "Tilts found after a knock against those set",
		Long: `recheck takes what the tilt meter reads on the lamps, after a knock or at the yearly inspection, and holds
it against what the rig says they were set to: which are off by more than the tolerance, what that costs in how far things are
seen, in glare and in limits that are passed, and which bracket to set again first: the one that mends most while the
others are as found. It draws recheck.png, the light as found and as set side by side, and writes recheck.pdf, a sheet
with what was found and room for what is set.

A lamp that was not read is taken to be as set. With --ground-reading, readings are those of a meter that reads that
on the ground.`,
		Example: `  beamfall recheck my-truck.toml --found "roof bar=7.5" --found spot=0.2
  beamfall recheck my-truck.toml --found-file found.csv --tolerance 0.3`,
		Args: oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			if err := on.check(); err != nil {
				return err
			}
			return q.answer(cmd, func(q *request, ctx context.Context, r *rig) (answer, error) {
				return q.recheck(ctx, r, &readings, on)
			})
		},
	}
	f.add(cmd.Flags())
	f.addPictures(cmd.Flags())
	f.addSight(cmd.Flags())
	cmd.Flags().StringArrayVar(&readings.typed, "found", nil,
		`what the meter reads on a lamp, as "roof bar=7.5"; repeatable`)
	cmd.Flags().StringVar(&readings.file, "found-file", "",
		"the same for many lamps: a CSV file with the columns name and reading")
	cmd.Flags().StringVar(&on.name, "paper", "a4", "a4 or letter")
	without(cmd.Flags(), "only")
	return cmd
}

// found is what the meter reads on lamps, as typed and in a file.
type found struct {
	typed []string
	file  string
}

// reading is what the meter reads on a lamp, and where that is said.
type reading struct {
	lamp  string
	tilt  float64 // rad
	where string
}

// read reads all readings, their file by means of open.
func (f *found) read(open rigfile.Open) (all []reading, err error) {
	var wrong []error
	add := func(where, lamp, text string) {
		tilt, err := quantity.Angle.Parse(text)
		if err == nil && math.Abs(tilt) > math.Pi/2 {
			err = fmt.Errorf("%s is not from -90° to 90°", quantity.Quote(text))
		}
		if err != nil {
			wrong = append(wrong, fmt.Errorf("%s: %w", where, err))
			return
		}
		all = append(all, reading{lamp, tilt, where})
	}
	for _, text := range f.typed {
		where := "--found " + quantity.Quote(text)
		i := strings.LastIndex(text, "=")
		if i < 0 {
			wrong = append(wrong, fmt.Errorf(`%s: there is no =; write e.g. --found "roof bar=7.5"`, where))
			continue
		}
		add(where, strings.TrimSpace(text[:i]), text[i+1:])
	}
	if f.file != "" {
		rows, err := csvFile(open, f.file, []string{"name", "reading"}, nil)
		if err != nil {
			return nil, err
		}
		for _, row := range rows {
			if text := row.cells["reading"]; text != "" { // else it was not read
				add(row.where, row.cells["name"], text)
			}
		}
	}
	switch {
	case len(wrong) > 0 || len(all) > 0:
		return all, errors.Join(wrong...)
	case f.file != "":
		return nil, fmt.Errorf("%s: there is no reading in it", quantity.Quote(f.file))
	}
	return nil, errors.New(`recheck needs what was found: write e.g. --found "roof bar=7.5" or --found-file found.csv`)
}

// tiltsOf are the tilts that were found (rad), by the lamps of a rig. The name of a pair stands for
// both its lamps.
func tiltsOf(r *rig, all []reading, groundReading float64) (map[int]float64, error) {
	out, said := map[int]float64{}, map[int]string{}
	var wrong []error
	for _, of := range all {
		lamps, err := lampsNamed(r, of.lamp)
		if err != nil {
			wrong = append(wrong, fmt.Errorf("%s: %w", of.where, err))
		}
		for _, n := range lamps {
			if before, twice := said[n]; twice {
				wrong = append(wrong, fmt.Errorf("%s: %s has a reading already, by %s; keep one", of.where,
					quantity.Quote(r.Lamps[n].Name), before))
				continue
			}
			said[n], out[n] = of.where, of.tilt-groundReading
		}
	}
	return out, errors.Join(wrong...)
}

// lampsNamed are the lamps of a rig that a name is of: a lamp, or both of a pair. The error names
// what there is.
func lampsNamed(r *rig, name string) (lamps []int, err error) {
	var names []string
	for i, l := range r.Lamps {
		if r.IsHeadlight(i) {
			if l.Name == name {
				return nil, fmt.Errorf("%s is the vehicle's own, and not set by a bracket", quantity.Quote(name))
			}
			continue
		}
		if names = append(names, l.Name); l.Name == name || r.EntryOf(i).Name == name {
			lamps = append(lamps, i)
		}
	}
	if len(lamps) == 0 {
		return nil, assembly.Unknown("lamp", name, names)
	}
	return lamps, nil
}

// csvRow is a row of a table that was read, by the heads of its columns.
type csvRow struct {
	where string // file and line
	cells map[string]string
}

// csvFile reads a CSV file whose first row has the heads of its columns, among them all of some and
// else no others than those that may be.
func csvFile(open rigfile.Open, name string, need, may []string) (rows []csvRow, err error) {
	in, err := open(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	const most = 1 << 20
	data, err := io.ReadAll(io.LimitReader(in, most+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("cannot read %s: %w", quantity.Quote(name), err)
	case len(data) > most:
		return nil, fmt.Errorf("%s is larger than 1 MiB, too large for readings", quantity.Quote(name))
	}
	table := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
	table.Comment, table.TrimLeadingSpace = '#', true
	heads, err := table.Read()
	example := "its first line is to be " + strings.Join(need, ",")
	if err != nil {
		return nil, fmt.Errorf("%s: there is no table in it; %s", quantity.Quote(name), example)
	}
	has := map[string]bool{}
	for i, head := range heads {
		heads[i] = strings.ToLower(strings.TrimSpace(head))
		has[heads[i]] = true
		if !slices.Contains(slices.Concat(need, may), heads[i]) {
			return nil, fmt.Errorf("%s:1: %w", name, assembly.Unknown("column", heads[i], slices.Concat(need, may)))
		}
	}
	for _, head := range need {
		if !has[head] {
			return nil, fmt.Errorf("%s:1: there is no column %s; %s", name, head, example)
		}
	}
	for {
		cells, err := table.Read()
		var bad *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			return rows, nil
		case errors.As(err, &bad) && errors.Is(bad.Err, csv.ErrFieldCount):
			return nil, fmt.Errorf("%s:%d: the line has not as many cells as the first, %d", name, bad.Line, len(heads))
		case errors.As(err, &bad):
			return nil, fmt.Errorf("%s:%d: %w", name, bad.Line, bad.Err)
		case err != nil:
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := table.FieldPos(0)
		row := csvRow{fmt.Sprintf("%s:%d", name, line), map[string]string{}}
		for i, cell := range cells {
			row.cells[heads[i]] = strings.TrimSpace(cell)
		}
		rows = append(rows, row)
	}
}

// recheck is what was found on a rig, in figures, as a picture and as a sheet.
func (q *request) recheck(ctx context.Context, r *rig, f *found, on paper) (answer, error) {
	if err := q.ready(); err != nil {
		return answer{}, err
	}
	readings, err := f.read(q.selection.reads.open)
	if err != nil {
		return answer{}, err
	}
	tilts, err := tiltsOf(r, readings, q.figures.GroundReading)
	if err != nil {
		return answer{}, err
	}
	c, err := figures.RecheckOf(ctx, r.Rig, tilts, q.figures)
	if err != nil {
		return answer{}, err
	}
	u := r.System()
	verdict := report.Verdict(u, c)
	sheet, err := q.recheckSheet(r, c, on, verdict)
	if err != nil {
		return answer{}, err
	}
	if c.Pictures, err = q.save(ctx, []picture{q.recheckPicture(r, c)}, sheet); err != nil {
		return answer{}, err
	}
	c.Document = sheet.Name
	c.Notes = append(append(append(c.Notes, verdict...), r.Notes()...), q.notes(r)...)
	if q.figures.GroundReading != 0 {
		c.Notes = append(c.Notes, groundReadingNote)
	}
	return answer{
		json: c,
		csv:  func() *table.Table { return report.RecheckCSV(c) },
		page: func(page *page) {
			page.heading(c.Rig)
			page.table(report.Found(c))
			page.list("What to do", verdict)
			for _, t := range report.Costs(u, c) {
				page.table(t)
			}
			page.list("Notes", c.Notes[len(verdict):])
			page.text(caution)
		},
	}, nil
}

// recheckPicture is the first scene in which something differs, as found and as set, side by side.
func (q *request) recheckPicture(r *rig, c *figures.Recheck) picture {
	u, scene := r.System(), 0
	for i := len(r.Scenes) - 1; i >= 0; i-- {
		if len(report.Difference(u, c, i)) > 0 {
			scene = i
		}
	}
	s := r.Scenes[scene]
	column := func(of *rig, title string, side int) render.Column {
		out := render.Column{Subject: q.subject(of, s), Title: title}
		for _, row := range report.Difference(u, c, scene) {
			out.Figures = append(out.Figures, [2]string{row[0], row[side]})
		}
		return out
	}
	as := &rig{c.Found, r.source, r.read}
	columns := []render.Column{column(as, "as found", 1), column(r, "as set", 2)}
	o := render.CompareOptions{Title: r.File.Name + ", scene " + s.Name + ": as found and as set", Width: q.width,
		Ahead: q.ahead, Behind: q.behind, Side: q.side}
	return picture{"recheck.png", func(ctx context.Context) (*draw.Canvas, error) {
		return render.Compare(ctx, columns, q.look, o)
	}}
}

// mostVerdict is how much of the verdict a sheet has in words.
const mostVerdict = 4

// recheckSheet is the sheet of a rig with what was found.
func (q *request) recheckSheet(r *rig, c *figures.Recheck, on paper, verdict []string) (savefile.File, error) {
	s := q.sheetOf(r)
	s.Recheck, s.Verdict = true, verdict
	if more := len(verdict) - mostVerdict; more > 0 {
		s.Verdict = append(slices.Clone(verdict[:mostVerdict]), fmt.Sprintf("and %d more, as the table has them", more))
	}
	for i := range s.Rows {
		if l := &c.Lamps[i]; l.Within != nil {
			s.Rows[i].Found = units.Degrees(float64(l.Tilt) + q.figures.GroundReading)
			s.Rows[i].Off, s.Rows[i].Again = report.Off(l.Off), !*l.Within
		}
	}
	d, _, err := render.SheetDocument([]render.Sheet{s}, on.size)
	if err != nil {
		return savefile.File{}, err
	}
	var b bytes.Buffer
	if err := d.Encode(&b); err != nil {
		return savefile.File{}, failed(err)
	}
	return savefile.File{Name: filepath.Join(q.out, "recheck.pdf"), Data: b.Bytes(), Replace: true}, nil
}
