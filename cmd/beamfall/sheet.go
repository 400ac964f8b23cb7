package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/savefile"
	"beamfall/render"
	"beamfall/render/draw"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

func newSheet() *cobra.Command {
	var f flags
	var p paper
	cmd := &cobra.Command{
		Use:   "sheet [RIG…]",
		Short: "Printable pages that document the setting",
		Long: `sheet writes sheet.pdf, the pages to take along to the night set-up and to file afterwards: the lamps by their keys,
meter readings and wall marks, how to do it, what was found and what was set, boxes to tick and a place to sign. It
is black on white; many lamps go on further pages. All rigs of a call are in one file, with an outline. What [record]
in a rig gives is printed, all else is left as lines to fill in. All lamps are on it unless --scene or --only says
which.

At the foot of each page stands a mark of 100 mm, which measures 100 mm where the page was printed true to size, and
the rig file with the first digits of its SHA-256 (as sha256sum prints it), so that paper and file can be matched.`,
		Example: `  beamfall sheet my-truck.toml --out papers
  beamfall sheet my-truck.toml --paper letter --ground-reading -0.4
  beamfall sheet fleet/*.toml --out papers`,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			if err := p.check(); err != nil {
				return err
			}
			if err := q.ready(); err != nil {
				return err
			}
			outcomes, err := each(cmd.Context(), q, (*request).sheet)
			if err != nil {
				return err
			}
			answers, err := q.saveSheets(cmd.Context(), p, outcomes)
			if err == nil && len(answers) > 0 {
				err = q.print(cmd.OutOrStdout(), answers)
			}
			return errors.Join(wrongOf(outcomes), err)
		},
	}
	f.add(cmd.Flags())
	p.add(cmd)
	without(cmd.Flags(), "bend", "format", "theme", "width", "thresholds", "sight-lux", "traffic")
	return cmd
}

// paper is what pages are put on.
type paper struct {
	name     string
	pictures bool // as well
	size     render.PaperSize
}

func (p *paper) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&p.name, "paper", "a4", "a4 or letter")
	cmd.Flags().BoolVar(&p.pictures, "png", false, "write the pages as pictures as well")
}

func (p *paper) check() (err error) {
	if p.size, err = render.PaperNamed(strings.ToLower(p.name)); err != nil {
		return fmt.Errorf("--paper: %w", err)
	}
	return nil
}

// sheet is the sheet of a rig.
func (q *request) sheet(_ context.Context, r *rig) (render.Sheet, error) {
	if len(r.Shown) == 0 && len(r.Headlights()) > 0 {
		return render.Sheet{}, errors.New("there is no lamp to set, only headlights, which are aimed as the " +
			"vehicle's handbook says; " +
			"add a [[lamp]], or name another scene with --scene")
	}
	return q.sheetOf(r), nil
}

// sheetOf is what the pages say of how a rig is set.
func (q *request) sheetOf(r *rig) render.Sheet {
	u, rec := r.System(), r.File.Record
	s := render.Sheet{
		Subject: q.subject(r, assembly.Scene{Lamps: r.Shown}),
		Record: render.SheetRecord{
			Registration: rec.Registration.Value, Vehicle: rec.Vehicle.Value, Installer: rec.Installer.Value,
			Meter: rec.Meter.Value,
		},
		Wall: u.Length(q.figures.Wall), Tolerance: "±" + units.Degrees(q.figures.Tolerance),
		Files: r.files(),
	}
	s.Subject.Name = strings.Join(q.scenes, ", ")
	if g := q.figures.GroundReading; g != 0 {
		s.GroundReading = units.Degrees(g)
		s.Notes = append(s.Notes, groundReadingNote)
	}
	for _, n := range r.Shown {
		l := figures.SettingOf(r.Rig, n, q.figures)
		up, aside, _ := report.WallMark(u, &l)
		s.Rows = append(s.Rows, render.SheetRow{
			Key: l.Key, Lamp: l.Name, Height: u.Length(l.Up), Tilt: units.Degrees(float64(l.Tilt)),
			Turn: report.Turn(&l), Roll: report.Roll(&l), Reading: units.Degrees(float64(l.Reading)),
			WallHeight: up, WallSide: aside,
		})
	}
	return s
}

// files says what files a rig was read from, with their digests.
func (r *rig) files() string {
	var texts []string
	for i, f := range r.read {
		what := []string{"rig file", "base"}[min(i, 1)]
		texts = append(texts, fmt.Sprintf("%s %s %s", what, shortened(filepath.Base(f.name)), f.sum))
	}
	if len(texts) == 0 {
		texts = append(texts, "lamps without a rig file")
	}
	if n := len(r.File.Added()); n > 0 {
		texts = append(texts, fmt.Sprintf("%d more by --add", n))
	}
	return strings.Join(texts, ", ")
}

// shortened is a name with its ends kept.
func shortened(name string) string {
	const most = 32
	if letters := []rune(name); len(letters) > most {
		return string(letters[:most/2]) + "…" + string(letters[len(letters)-most/2:])
	}
	return name
}

// sheetJSON is where the pages of a rig are.
type sheetJSON struct {
	Rig       string   `json:"rig"`
	Paper     string   `json:"paper"`
	Document  string   `json:"document"`
	FirstPage int      `json:"first_page"`
	Pages     int      `json:"pages"`
	Pictures  []string `json:"pictures"`
}

// saveSheets writes the sheets of all rigs that did not fail as sheet.pdf and, where they are asked
// for, as pictures: sheet.png, and sheet-2.png and so on for further pages, of several rigs each in
// its directory. All are written or none.
func (q *request) saveSheets(ctx context.Context, p paper, outcomes []outcome[render.Sheet]) ([]answer, error) {
	var sheets []render.Sheet
	var places []drawing
	for i, o := range outcomes {
		if o.err == nil {
			sheets, places = append(sheets, o.value), append(places, q.alone(i).drawing)
		}
	}
	if len(sheets) == 0 {
		return nil, nil
	}
	d, pages, err := render.SheetDocument(sheets, p.size)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := d.Encode(&b); err != nil {
		return nil, failed(err)
	}
	files := []savefile.File{{Name: filepath.Join(q.out, "sheet.pdf"), Data: b.Bytes(), Replace: true}}
	out := make([]sheetJSON, len(sheets))
	first := 1
	for i := range out {
		out[i] = sheetJSON{sheets[i].Subject.Rig, p.size.Name, files[0].Name, first, pages[i], []string{}}
		first += pages[i]
	}
	if p.pictures {
		err := render.SheetPictures(sheets, p.size, func(sheet, page int, c *draw.Canvas) error {
			var b bytes.Buffer
			if err := c.EncodePrint(&b, render.SheetDPI); err != nil {
				return failed(err)
			}
			name := "sheet.png"
			if page > 0 {
				name = fmt.Sprintf("sheet-%d.png", page+1)
			}
			name = filepath.Join(places[sheet].out, name)
			files, out[sheet].Pictures = append(files, savefile.File{Name: name, Data: b.Bytes(), Replace: true}),
				append(out[sheet].Pictures, name)
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	if _, err := q.write(ctx, files); err != nil {
		return nil, err
	}
	var answers []answer
	for _, o := range out {
		answers = append(answers, answer{json: o})
	}
	return answers, nil
}
