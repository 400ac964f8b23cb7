package main

import (
	"bytes"
	"context"
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
	var paper string
	cmd := &cobra.Command{
		Use:   "sheet [RIG]",
		Short: "One printable page that documents the setting",
		Long: `sheet draws the page to take along to the night set-up and to file afterwards: the lamps by their keys, meter
readings and wall marks, how to do it, boxes to tick and a place to sign. It is black on white, 200 dots to the
inch; many lamps go on further pages. All lamps are on it unless --scene or --only says which.`,
		Example: `  beamfall sheet my-truck.toml --out papers
  beamfall sheet my-truck.toml --paper letter --ground-reading -0.4`,
		Args: oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			size, err := render.PaperNamed(paper)
			if err != nil {
				return fmt.Errorf("--paper: %w", err)
			}
			return q.answer(cmd, func(_ context.Context, r *rig) (answer, error) { return q.sheet(r, size) })
		},
	}
	f.add(cmd.Flags())
	without(cmd.Flags(), "format", "theme", "width", "tolerance", "thresholds", "sight-lux", "traffic")
	cmd.Flags().StringVar(&paper, "paper", "a4", "a4 or letter")
	return cmd
}

// sheet draws the pages that document how a rig is set.
func (q *request) sheet(r *rig, size render.PaperSize) (answer, error) {
	if err := q.ready(); err != nil {
		return answer{}, err
	}
	subject := q.subject(r, assembly.Scene{Lamps: r.Shown})
	subject.Name = strings.Join(q.scenes, ", ")
	u := r.System()
	text := render.SheetText{Wall: u.Length(q.figures.Wall), Notes: r.Notes()}
	if g := q.figures.GroundReading; g != 0 {
		text.GroundReading = units.Degrees(g)
	}
	for _, n := range r.Shown {
		l := figures.SettingOf(r.Rig, n, q.figures)
		up, aside, _ := report.WallMark(u, &l)
		text.Rows = append(text.Rows, render.SheetRow{
			Key: l.Key, Lamp: l.Name, Height: u.Length(l.Up), Tilt: units.Degrees(float64(l.Tilt)), Reading: units.Degrees(float64(l.Reading)),
			WallHeight: up, WallSide: aside,
		})
	}
	pages, err := render.Sheet(subject, size, text)
	if err != nil {
		return answer{}, err
	}
	names, err := q.saveSheet(pages)
	return answer{
		json: struct {
			Rig      string   `json:"rig"`
			Paper    string   `json:"paper"`
			Pictures []string `json:"pictures"`
		}{r.File.Name, size.Name, names},
	}, err
}

// saveSheet writes sheet.png, and sheet-2.png and so on where there are more pages.
func (d drawing) saveSheet(pages []*draw.Canvas) ([]string, error) {
	var files []savefile.File
	for i, p := range pages {
		var b bytes.Buffer
		if err := p.EncodePrint(&b, render.SheetDPI); err != nil {
			return nil, failed(err)
		}
		name := "sheet.png"
		if i > 0 {
			name = fmt.Sprintf("sheet-%d.png", i+1)
		}
		files = append(files, savefile.File{Name: filepath.Join(d.out, name), Data: b.Bytes()})
	}
	return d.write(files)
}
