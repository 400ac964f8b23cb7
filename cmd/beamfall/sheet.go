package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/savefile"
	"beamfall/render"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

func newSheet() *cobra.Command {
	var c call
	var paper string
	cmd := &cobra.Command{
		Use:   "sheet [RIG]",
		Short: "One printable page that documents the setting",
		Long: `sheet draws the page to take along to the night set-up and to file afterwards: the lamps by their keys, meter
readings and wall marks, how to do it, boxes to tick and a place to sign. It is black on white, 200 dots to the
inch; many lamps go on further pages. All lamps are on it unless --scene or --only says which.`,
		Example: `  beamfall sheet my-truck.toml --out papers
  beamfall sheet my-truck.toml --paper letter --units imperial --ground-reading -0.4`,
		Args: oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			r, err := c.rig(args)
			if err != nil {
				return err
			}
			size, err := render.PaperNamed(paper)
			if err != nil {
				return fmt.Errorf("--paper: %w", err)
			}
			if err := c.ready(); err != nil {
				return err
			}
			subject := c.subject(r, assembly.Scene{Lamps: r.Shown})
			subject.Name = strings.Join(c.scenes, ", ")
			u := r.System()
			text := render.SheetText{Wall: u.Length(c.report.Wall), Notes: r.Notes()}
			if g := c.report.GroundReading; g != 0 {
				text.GroundReading = units.Degrees(g)
			}
			for _, n := range r.Shown {
				l := report.SettingOf(r, n, c.report)
				up, aside, _ := l.WallWords(u)
				text.Rows = append(text.Rows, render.SheetRow{
					Key: l.Key, Lamp: l.Name, Height: u.Length(l.Up), Tilt: fmt.Sprintf("%.1f°", l.Tilt), Reading: fmt.Sprintf("%.1f°", l.Reading),
					WallHeight: up, WallSide: aside,
				})
			}
			pages, err := render.Sheet(subject, size, text)
			if err != nil {
				return err
			}
			names, err := c.saveSheet(pages)
			if err != nil {
				return err
			}
			if c.json {
				return printJSON(cmd.OutOrStdout(), struct {
					Rig      string   `json:"rig"`
					Paper    string   `json:"paper"`
					Pictures []string `json:"pictures"`
				}{r.File.Name, paper, names})
			}
			return nil
		},
	}
	c.flags(cmd.Flags())
	without(cmd.Flags(), "format", "theme", "width", "tolerance", "thresholds", "sight-lux", "traffic")
	cmd.Flags().StringVar(&paper, "paper", "a4", "a4 or letter")
	return cmd
}

// saveSheet writes sheet.png, and sheet-2.png and so on where there are more pages.
func (c *call) saveSheet(pages []render.SheetPage) ([]string, error) {
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
		files = append(files, savefile.File{Name: filepath.Join(c.out, name), Data: b.Bytes()})
	}
	return c.write(files)
}
