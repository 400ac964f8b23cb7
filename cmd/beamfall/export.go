package main

import (
	"bytes"
	"context"
	"errors"

	"beamfall/beam/lm63"
	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/savefile"

	"github.com/spf13/cobra"
)

func newExport() *cobra.Command {
	var f flags
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
			q, err := f.request(args)
			if err != nil {
				return err
			}
			return q.answer(cmd, func(q *request, ctx context.Context, r *rig) (answer, error) {
				return q.export(ctx, r, to)
			})
		},
	}
	f.add(cmd.Flags())
	without(cmd.Flags(), "bend", "add", "scene", "units", "format", "out", "theme", "width", "wall", "ground-reading",
		"tolerance", "thresholds", "sight-lux", "traffic")
	cmd.Flags().StringVar(&to, "ies", "", "the file to write")
	return cmd
}

// export writes the beam of the one lamp that is asked for.
func (q *request) export(ctx context.Context, r *rig, to string) (answer, error) {
	l, err := oneLamp(r, q.only)
	if err != nil {
		return answer{}, err
	}
	var b bytes.Buffer
	if err := lm63.Write(&b, l.Beam(), lm63.Header{Lamp: l.Name, Width: l.Width,
		Notes: []string{"rig: " + r.File.Name}}); err != nil {
		return answer{}, failed(err)
	}
	if _, err := q.written(ctx, []savefile.File{{Name: to, Data: b.Bytes()}}); err != nil {
		return answer{}, err
	}
	return answer{json: map[string]string{"rig": r.File.Name, "lamp": l.Name, "file": to}}, nil
}

// oneLamp is the only lamp that a call is about. The two of a pair have one beam, so a pair counts
// as one.
func oneLamp(r *rig, only string) (*assembly.Lamp, error) {
	found, entry := -1, -1
	for i := range r.Lamps {
		l := &r.Lamps[i]
		switch {
		case only != "" && l.Name != only && r.EntryOf(i).Name != only:
			continue
		case only == "" && r.IsHeadlight(i):
			continue
		}
		if found >= 0 && l.Entry != entry {
			return nil, errors.New(`export is for one lamp; name it, e.g. --only "` + r.Lamps[0].Name + `"`)
		}
		found, entry = i, l.Entry
	}
	return &r.Lamps[found], nil
}
