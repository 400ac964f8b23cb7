package main

import (
	"bytes"
	"fmt"
	"os"

	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/savefile"

	"github.com/spf13/cobra"
)

// What helps to write a rig file: one to start from, and the schema for editors.

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
			name = printable(name)
			fmt.Fprintf(os.Stderr, "wrote %s; edit it, then: beamfall check %s, beamfall plan %s\n", name, name, name)
			return nil
		},
	}
}

func newSchema() *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "The JSON Schema of the rig file, for editors",
		Long: "schema prints the JSON Schema of the rig file, by which many editors check and complete what " +
			"is typed. " +
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
