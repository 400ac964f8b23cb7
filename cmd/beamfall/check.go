package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"

	"beamfall/beam/lm63"
	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/savefile"
	"beamfall/cmd/beamfall/internal/table"

	"github.com/spf13/cobra"
)

func newCheck() *cobra.Command {
	var c call
	cmd := &cobra.Command{
		Use:   "check [RIG]",
		Short: "Reads a rig, tells what it understood and what it doubts",
		Long: `check tells what a rig file was understood to say: every lamp's delivered flux, peak, beam and field angle as
computed, and whatever looks doubtful. Doubts are no mistakes: it exits with 0. With mistakes it lists them all,
each with its line, and exits with 2.`,
		Example: `  beamfall check my-truck.toml`,
		Args:    oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			r, err := c.rig(args)
			if err != nil {
				if m := (rigfile.Mistakes)(nil); c.json && errors.As(err, &m) {
					if err := printJSON(cmd.OutOrStdout(), map[string]any{"mistakes": m}); err != nil {
						return err
					}
				}
				return err
			}
			k := report.CheckOf(r)
			if c.json {
				return printJSON(cmd.OutOrStdout(), k)
			}
			page := &page{w: cmd.OutOrStdout(), format: table.Format(c.format)}
			if page.format == table.CSV {
				return failed(k.Sheet(r.System()).Write(page.w, page.format))
			}
			page.table(k.Cards(r.System()))
			page.list("Vehicle and ground", k.Vehicle)
			var scenes []string
			for _, s := range k.Scenes {
				lamps := "no lamp"
				if len(s.Lamps) > 0 {
					lamps = strings.Join(s.Lamps, ", ")
				}
				scenes = append(scenes, s.Name+": "+lamps)
			}
			page.list("Scenes", scenes)
			page.list("Targets and limits of aim", k.Goals)
			page.list("Notes", k.Notes)
			if len(k.Doubts) == 0 {
				page.text("No doubts.")
			}
			page.list("Doubts", k.Doubts)
			return failed(page.err)
		},
	}
	c.flags(cmd.Flags())
	without(cmd.Flags(), "out", "theme", "width", "wall", "ground-reading", "tolerance", "thresholds", "sight-lux", "traffic")
	return cmd
}

func newNew() *cobra.Command {
	return &cobra.Command{
		Use:   "new [FILE]",
		Short: "Writes a commented starter rig",
		Long: "new writes a rig file to fill in, rig.toml if no name is given; its comments teach the format. " +
			"A file that is there already is left alone.",
		Example: "  beamfall new my-truck.toml",
		Args:    atMost(1, "one file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			name := "rig.toml"
			if len(args) > 0 {
				name = args[0]
			}
			if err := savefile.Create(name, rigfile.Starter()); err != nil {
				return failed(err)
			}
			fmt.Fprintf(os.Stderr, "wrote %s; edit it, then: beamfall check %s, beamfall plan %s\n", name, name, name)
			return nil
		},
	}
}

func newSchema() *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "The JSON Schema of the rig file, for editors",
		Long: "schema prints the JSON Schema of the rig file, by which many editors check and complete what is typed. " +
			"Save it (beamfall schema > rig.schema.json) and name it in the editor's settings.",
		Args: atMost(0, "nothing more"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			s, err := rigfile.Schema()
			if err != nil {
				return failed(err)
			}
			_, err = cmd.OutOrStdout().Write(append(bytes.TrimRight(s, "\n"), '\n'))
			return failed(err)
		},
	}
}

func newExport() *cobra.Command {
	var c call
	var to string
	cmd := &cobra.Command{
		Use:   "export [RIG] --only NAME --ies FILE",
		Short: "Writes a lamp's beam as a photometric file (ANSI/IES LM-63)",
		Long: `export writes the intensity distribution of one lamp as an LM-63 file (type B, absolute), for other software. The
file says that it was computed from ratings, not measured. Where the lamp sits and how it is tilted is not in it.`,
		Example: `  beamfall export my-truck.toml --only "roof bar" --ies roof-bar.ies`,
		Args:    oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			if to == "" {
				return errors.New("export needs a file to write; write e.g. --ies roof-bar.ies")
			}
			r, err := c.rig(args)
			if err != nil {
				return err
			}
			l, err := oneLamp(r, c.only)
			if err != nil {
				return err
			}
			var b bytes.Buffer
			if err := lm63.Write(&b, l.Beam(), lm63.Header{
				Lamp: l.Name, Width: l.Width, Notes: []string{"rig: " + r.File.Name},
			}); err != nil {
				return failed(err)
			}
			if err := savefile.Write(to, b.Bytes()); err != nil {
				return failed(err)
			}
			fmt.Fprintf(os.Stderr, "wrote %s\n", to)
			if c.json {
				return printJSON(cmd.OutOrStdout(), map[string]string{"rig": r.File.Name, "lamp": l.Name, "file": to})
			}
			return nil
		},
	}
	c.flags(cmd.Flags())
	without(cmd.Flags(), "scene", "units", "format", "out", "theme", "width", "wall", "ground-reading", "tolerance", "thresholds", "sight-lux", "traffic")
	cmd.Flags().StringVar(&to, "ies", "", "the file to write")
	return cmd
}

// oneLamp is the only lamp that a call is about. The two of a pair have one beam, so a pair counts as one.
func oneLamp(r *assembly.Rig, only string) (*assembly.Lamp, error) {
	found, entry := -1, -1
	for i := range r.Lamps {
		l := &r.Lamps[i]
		if only != "" && l.Name != only && r.File.Lamps[l.Entry].Name != only {
			continue
		}
		if found >= 0 && l.Entry != entry {
			return nil, errors.New(`export is for one lamp; name it, e.g. --only "` + r.Lamps[0].Name + `"`)
		}
		found, entry = i, l.Entry
	}
	return &r.Lamps[found], nil
}
