package main

import (
	"errors"
	"fmt"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/quantity"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// How wrong calls are reported: by the flag or the command that they are about, and with what would
// be right.

// wrongFlag says what is wrong with a flag.
func wrongFlag(cmd *cobra.Command, err error) error {
	help := "; see " + cmd.CommandPath() + " --help"
	var (
		value   *pflag.InvalidValueError
		missing *pflag.ValueRequiredError
		unknown *pflag.NotExistError
	)
	switch {
	case errors.As(err, &value):
		name, text := "--"+value.GetFlag().Name, quantity.Quote(value.GetValue())
		switch value.GetFlag().Value.Type() {
		case "int":
			return fmt.Errorf("%s: %s is not a whole number; write e.g. %s %s", name, text, name,
				value.GetFlag().DefValue)
		case "bool":
			return fmt.Errorf("%s: %s is neither true nor false; write %s alone", name, text, name)
		}
		return fmt.Errorf("%s: %w", name, value.Unwrap())
	case errors.As(err, &missing):
		return fmt.Errorf("--%s needs a value%s", missing.GetFlag().Name, help)
	case errors.As(err, &unknown):
		if short := unknown.GetSpecifiedShortnames(); short != "" {
			return fmt.Errorf("%s is no flag; the value of a flag that begins with - follows a =, as in --at=-3m,2m%s",
				quantity.Quote("-"+short), help)
		}
		err := assembly.Unknown("flag", unknown.GetSpecifiedName(), flagNames(cmd))
		if strings.HasSuffix(err.Error(), "?") {
			return err
		}
		return fmt.Errorf("%w%s", err, help)
	}
	return fmt.Errorf("%w%s", err, help)
}

// flagNames are those of the flags that a command has.
func flagNames(cmd *cobra.Command) (names []string) {
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if !f.Hidden {
			names = append(names, f.Name)
		}
	})
	return names
}

// atMost takes as many words as a command has use for.
func atMost(most int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) <= most {
			return nil
		}
		if most == 0 {
			return fmt.Errorf("%s takes %s, and %s is too much", cmd.CommandPath(), what, quantity.Quote(args[0]))
		}
		return fmt.Errorf("%s takes %s, and these are %d: %s", cmd.CommandPath(), what, len(args), quoted(args))
	}
}

// oneRig is what most commands take.
var oneRig = atMost(1, "one rig file")

// quoted is a few words in a line.
func quoted(words []string) string {
	const most = 4
	var out []string
	for i, w := range words {
		if i == most {
			out = append(out, "…")
			break
		}
		out = append(out, quantity.Quote(w))
	}
	return strings.Join(out, ", ")
}
