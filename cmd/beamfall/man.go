package main

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"beamfall/cmd/beamfall/internal/guide"
	"beamfall/cmd/beamfall/internal/savefile"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// Manual pages, for those who package the program: a page of section 1 for each command and of
// section 7 for each page of the guide. They carry no date, so that they are the same bytes on
// every run.

func newMan() *cobra.Command {
	return &cobra.Command{
		Use:     "man DIR",
		Short:   "Writes the manual pages to a directory",
		Example: "  beamfall man share/man",
		Hidden:  true,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("man needs a directory to write to; write e.g. beamfall man share/man")
			}
			return atMost(1, "one directory")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			root, dir := cmd.Root(), args[0]
			root.DisableAutoGenTag = true
			source := "beamfall " + version()
			pages := map[string][]byte{}
			if err := manual(root, source, pages); err != nil {
				return failed(err)
			}
			for _, t := range guide.Topics() {
				pages["beamfall-"+t.Name+".7"] = t.Manual(source)
			}
			if err := savefile.Dir(dir); err != nil {
				return failed(err)
			}
			for name, text := range pages {
				if err := savefile.Write(filepath.Join(dir, name), text); err != nil {
					return failed(err)
				}
			}
			return nil
		},
		ValidArgsFunction: folders,
	}
}

// manual adds the pages of a command and of those below it.
func manual(cmd *cobra.Command, source string, pages map[string][]byte) error {
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() && !c.IsAdditionalHelpTopicCommand() {
			if err := manual(c, source, pages); err != nil {
				return err
			}
		}
	}
	var b bytes.Buffer
	none := time.Time{}
	if err := doc.GenMan(cmd, &doc.GenManHeader{Section: "1", Source: source, Date: &none}, &b); err != nil {
		return fmt.Errorf("the manual page of %s: %w", cmd.CommandPath(), err)
	}
	name := strings.ReplaceAll(cmd.CommandPath(), " ", "-") + ".1"
	pages[name] = bytes.Replace(b.Bytes(), []byte(none.Format(`"Jan 2006"`)), []byte(`""`), 1)
	return nil
}
