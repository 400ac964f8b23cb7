package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/lines"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// How the help of a command is set out: no wider than a page, what values are by names that say
// what to write, and the flags that a command has no use for in one line at the end.

// without hides flags that every command takes and this one has no use for.
func without(f *pflag.FlagSet, names ...string) {
	for _, name := range names {
		f.Lookup(name).Hidden = true
	}
}

// valueNames say what the values of flags are where their type does not.
var valueNames = map[string]string{
	"lamp": "KEY=VALUE,…", "add": "KEY=VALUE,…", "thing": "NAME", "scene": "NAME", "only": "NAME",
	"at": "AHEAD,LEFT[,UP]", "air": "AIR", "title": "TEXT", "bend": "RADIUS SIDE", "out": "DIR", "write": "FILE",
	"ies": "FILE", "width": "PIXELS",
	"units": "WORD", "format": "WORD", "theme": "WORD", "traffic": "WORD", "paper": "WORD",
	"found": "NAME=READING", "found-file": "FILE", "readings": "FILE",
}

func printHelp(cmd *cobra.Command, _ []string) {
	about := cmd.Long
	if about == "" {
		about = cmd.Short + "."
	}
	for paragraph := range strings.SplitSeq(about, "\n\n") {
		if !strings.HasPrefix(paragraph, "\t") { // else it is what to type
			paragraph = lines.Wrap(paragraph, columns())
		}
		fmt.Fprintf(cmd.OutOrStdout(), "%s\n\n", paragraph)
	}
	printUsage(cmd.OutOrStdout(), cmd)
}

func printUsage(w io.Writer, cmd *cobra.Command) {
	cmd.InitDefaultHelpFlag()
	fmt.Fprintf(w, "Usage:\n  %s\n", cmd.UseLine())
	if cmd.HasAvailableSubCommands() {
		fmt.Fprintf(w, "  %s COMMAND\n", cmd.CommandPath())
	}
	if cmd.Example != "" {
		fmt.Fprintf(w, "\nExamples:\n%s\n", cmd.Example)
	}
	var commands, topics [][2]string
	for _, c := range cmd.Commands() {
		switch {
		case c.IsAdditionalHelpTopicCommand():
			topics = append(topics, [2]string{c.CommandPath(), c.Short})
		case c.IsAvailableCommand() || c.Name() == "help":
			commands = append(commands, [2]string{c.Name(), c.Short})
		}
	}
	section(w, "Commands:", commands)
	flags, idle := flagRows(cmd.Flags())
	section(w, "Flags:", flags)
	if len(idle) > 0 {
		also := "Also taken, with no effect here: " + strings.Join(idle, ", ") + "."
		fmt.Fprintf(w, "\n%s\n", lines.Wrap(also, columns()))
	}
	section(w, "Pages of the guide:", topics)
	if len(commands) > 0 {
		fmt.Fprintf(w, "\n%s COMMAND --help says more about a command.\n", cmd.CommandPath())
	}
}

// section is a list in two columns under a title, nothing for no rows.
func section(w io.Writer, title string, rows [][2]string) {
	if len(rows) == 0 {
		return
	}
	left := 0
	for _, r := range rows {
		left = max(left, lines.Width(r[0]))
	}
	const indent, gap = 2, 3
	below := "\n" + strings.Repeat(" ", indent+left+gap)
	fmt.Fprintf(w, "\n%s\n", title)
	for _, r := range rows {
		about := lines.Wrap(r[1], max(20, columns()-indent-left-gap))
		fmt.Fprintf(w, "  %s%s%s\n", r[0], strings.Repeat(" ", left-lines.Width(r[0])+gap),
			strings.ReplaceAll(about, "\n", below))
	}
}

// flagRows are the flags of a command with what they are for, and the names of those that it has no
// use for.
func flagRows(f *pflag.FlagSet) (rows [][2]string, idle []string) {
	f.VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			idle = append(idle, "--"+f.Name)
			return
		}
		about, flag := f.Usage, "    --"+f.Name
		if f.Shorthand != "" {
			flag = "-" + f.Shorthand + ", --" + f.Name
		}
		if f.Value.Type() != "bool" {
			flag += " " + cmp.Or(valueNames[f.Name], strings.ToUpper(f.Value.Type()))
		}
		if !slices.Contains([]string{"", "false", "[]"}, f.DefValue) {
			about += " (default " + f.DefValue + ")"
		}
		rows = append(rows, [2]string{flag, about})
	})
	return rows, idle
}
