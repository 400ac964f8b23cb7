package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/guide"

	"github.com/spf13/cobra"
)

// Help that travels with the program: pages to read beside the help of each command, and the
// version.

// addHelp gives the root command, once it has all its commands, what helps with all of them.
func addHelp(root *cobra.Command) {
	root.Version = version()
	root.SetVersionTemplate("{{.Name}} {{.Version}}\n")
	for _, t := range guide.Topics() {
		topic := &cobra.Command{Use: t.Name, Short: t.Summary}
		topic.SetHelpFunc(func(cmd *cobra.Command, _ []string) {
			fmt.Fprint(cmd.OutOrStdout(), t.Text(columns()))
		})
		root.AddCommand(topic)
	}
	root.SetHelpCommand(newHelp())
	root.Args = noCommand
	root.AddCommand(newMan())
	complete(root)
	root.InitDefaultCompletionCmd()
	if c, _, err := root.Find([]string{"completion"}); err == nil {
		c.Short = "The script by which a shell completes what is typed"
		c.Long = "completion prints a script by which a shell completes commands, flags, rig files, and names of " +
			"lamps and scenes. " +
			"The help of each shell says where it goes."
		c.Args = cobra.ArbitraryArgs
		c.RunE = func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return assembly.Unknown("shell", args[0], names(cmd))
			}
			return cmd.Help()
		}
	}
}

func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND | TOPIC]",
		Short: "Help for a command, or a page of the guide",
		Example: `  beamfall help guide
  beamfall help aim`,
		RunE: func(cmd *cobra.Command, args []string) error {
			root := cmd.Root()
			about, rest, err := root.Find(args)
			if err == nil && len(rest) == 0 {
				about.InitDefaultHelpFlag()
				return about.Help()
			}
			return assembly.Unknown("command or topic", strings.Join(args, " "), names(root))
		},
		ValidArgsFunction: func(cmd *cobra.Command, args []string, _ string) ([]cobra.Completion,
			cobra.ShellCompDirective) {
			var out []cobra.Completion
			for _, c := range cmd.Root().Commands() {
				if len(args) == 0 && !c.Hidden {
					out = append(out, cobra.CompletionWithDesc(c.Name(), c.Short))
				}
			}
			return out, cobra.ShellCompDirectiveNoFileComp
		},
	}
}

// noCommand answers a call with a word that is no command.
func noCommand(root *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return nil
	case filepath.Ext(args[0]) == ".toml":
		return fmt.Errorf("what to do with %s? write e.g. beamfall plan %s", args[0], args[0])
	}
	return assembly.Unknown("command", args[0], names(root))
}

// names are those of the commands and topics.
func names(root *cobra.Command) []string {
	var out []string
	for _, c := range root.Commands() {
		if !c.Hidden {
			out = append(out, c.Name())
		}
	}
	return out
}
