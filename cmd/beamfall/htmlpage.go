package main

import (
	"context"
	"path/filepath"

	"beamfall/cmd/beamfall/internal/htmlpage"
	"beamfall/cmd/beamfall/internal/savefile"

	"github.com/spf13/cobra"
)

func newPage() *cobra.Command {
	var f flags
	cmd := &cobra.Command{
		Use:   "page [RIG]",
		Short: "One HTML file to try tilts and switches in, without network",
		Long: `page writes page.html: the rig as one file for a browser, to be mailed, opened on a phone beside the vehicle or
filed with the record. It holds what every lamp does at every tilt of its tilt_range, and shows at once what a tilt
that is tried comes to: the light from above and in section, how far each thing is seen, the table to set the brackets
by, and what the rig has beside it. The setting tried is in the address behind #, so that it can be sent.

A lamp without tilt_range can be tried to 6° on either side. A page is no measuring instrument and reads no sensor.`,
		Example: `  beamfall page my-truck.toml --out papers
  beamfall page my-truck.toml --units imperial --wall 25ft`,
		Args: oneRig,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			return q.answer(cmd, (*request).page)
		},
	}
	f.add(cmd.Flags())
	f.addSight(cmd.Flags())
	without(cmd.Flags(), "format", "theme", "width", "sight-lux")
	return cmd
}

// page writes the page of a rig.
func (q *request) page(ctx context.Context, r *rig) (answer, error) {
	if err := q.ready(); err != nil {
		return answer{}, err
	}
	done := q.progress("computing")
	options := htmlpage.Options{Figures: q.figures, Caution: caution}
	if r.source.file != "-" { // which is standard input
		options.File = r.source.file
	}
	data, err := htmlpage.Write(ctx, r.Rig, options, done.at)
	done.end()
	if err != nil {
		return answer{}, err
	}
	names, err := q.write(ctx, []savefile.File{{Name: filepath.Join(q.out, "page.html"), Data: data, Replace: true}})
	if err != nil {
		return answer{}, err
	}
	return answer{json: struct {
		Rig   string `json:"rig"`
		Page  string `json:"page"`
		Bytes int    `json:"bytes"`
	}{r.File.Name, names[0], len(data)}}, nil
}
