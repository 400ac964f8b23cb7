package main

import (
	"fmt"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/rigfile"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// What the shell offers when one presses Tab. A command that takes rigs is known by its flag
// --lamp; names of lamps and scenes are read from the rig that stands on the line already.

type completion = func(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective)

// flagCompletions are by name of the flag. What is not among them is typed by hand and has nothing
// to offer.
var flagCompletions = map[string]completion{
	"units":      words("metric\tmetres and km/h", "imperial\tfeet, inches and mph"),
	"theme":      words("night\tlight on black", "paper\tfor print"),
	"format":     words("text", "markdown", "csv\tplain numbers"),
	"traffic":    words("right\toncoming traffic on the left", "left\toncoming traffic on the right"),
	"paper":      words("a4", "letter"),
	"only":       fromRigs(lampNames),
	"found":      readingsOf,
	"scene":      fromRigs(sceneNames),
	"write":      files("toml"),
	"ies":        files("ies"),
	"found-file": files("csv"),
	"readings":   files("csv"),
	"out":        folders,
}

// complete gives a tree of commands what the shell may offer for their arguments and flags.
func complete(cmd *cobra.Command) {
	for _, c := range cmd.Commands() {
		complete(c)
	}
	switch {
	case cmd.ValidArgsFunction != nil || !cmd.HasParent():
	case cmd.Flags().Lookup("lamp") != nil:
		cmd.ValidArgsFunction = rigs
	case cmd.Name() == "new": // files that are there are not what it is for
		cmd.ValidArgsFunction = folders
	default:
		cmd.ValidArgsFunction = cobra.NoFileCompletions
	}
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		offer := flagCompletions[f.Name]
		if offer == nil {
			offer = cobra.NoFileCompletions
		}
		if err := cmd.RegisterFlagCompletionFunc(f.Name, offer); err != nil {
			panic(err) // a flag that has one already
		}
	})
}

// rigs offers rig files, as many as the command takes.
func rigs(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if cmd.Args != nil && cmd.Args(cmd, append(slices.Clip(args), typed)) != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return files("toml")(cmd, args, typed)
}

func words(texts ...string) completion {
	return cobra.FixedCompletions(texts, cobra.ShellCompDirectiveNoFileComp|cobra.ShellCompDirectiveKeepOrder)
}

func files(ending string) completion {
	return cobra.FixedCompletions([]string{ending}, cobra.ShellCompDirectiveFilterFileExt)
}

var folders = cobra.FixedCompletions(nil, cobra.ShellCompDirectiveFilterDirs)

// fromRigs offers names from the rigs on the line, or from the demo. A rig that cannot be read has
// none to offer.
func fromRigs(names func(r *rigfile.Rig) []cobra.Completion) completion {
	return func(cmd *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		lamps, _ := cmd.Flags().GetStringArray("lamp")
		texts, _ := cmd.Flags().GetStringArray("add")
		added, err := lampsOf(texts, 0, rigfile.ParseAdded)
		if err != nil {
			cobra.CompDebugln(err.Error(), false)
			added = nil
		}
		var out []cobra.Completion
		for _, s := range sources(args, lamps) {
			r, _, err := s.parse(openFile)
			if err != nil {
				cobra.CompDebugln(err.Error(), false)
				continue
			}
			if err := r.Add(added); err != nil {
				cobra.CompDebugln(err.Error(), false)
			}
			for _, n := range names(r) {
				if !slices.Contains(out, n) {
					out = append(out, n)
				}
			}
		}
		return out, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	}
}

// readingsOf offers the lamps of the rigs on the line, to write a reading behind.
func readingsOf(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	names, directive := fromRigs(lampNames)(cmd, args, typed)
	for i, n := range names {
		name, about, _ := strings.Cut(n, "\t")
		names[i] = cobra.CompletionWithDesc(name+"=", about)
	}
	return names, directive | cobra.ShellCompDirectiveNoSpace
}

// lampNames are what --only takes: lamps, pairs, and the lamps of pairs.
func lampNames(r *rigfile.Rig) (names []cobra.Completion) {
	for _, l := range r.Lamps {
		on := fmt.Sprintf("on circuit %s", l.Circuit)
		if !l.Pair {
			names = append(names, cobra.CompletionWithDesc(l.Name, "lamp "+on))
			continue
		}
		names = append(names, cobra.CompletionWithDesc(l.Name, "pair "+on),
			cobra.CompletionWithDesc(l.Name+" (left)", "one of the pair"),
			cobra.CompletionWithDesc(l.Name+" (right)", "one of the pair"))
	}
	return names
}

func sceneNames(r *rigfile.Rig) (names []cobra.Completion) {
	for _, s := range r.Scenes {
		what := fmt.Sprintf("%d circuits", len(s.Circuits))
		if len(s.Circuits) == 1 {
			what = "1 circuit"
		}
		names = append(names, cobra.CompletionWithDesc(s.Name, what))
	}
	return names
}
