package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"

	"github.com/spf13/cobra"
)

// The road of a call: flags → request → rigs → figures → answers, printed as one.

// request is what a call asks for, checked. Nothing in it changes once it is made: what the answer to one rig needs to
// remember is in that rig or in its answer.
type request struct {
	sources []source // of the rigs, in the order of the call
	selection
	figures figures.Options
	drawing

	json    bool
	format  table.Format
	details bool // in text, what few need as well
}

// selection is what is looked at of a rig, and in what units it is shown.
type selection struct {
	scenes []string // empty: all
	only   string   // empty: all lamps
	units  *units.System
	age    float64 // of the driver, years; 0: as the rig says
	level  float64 // visibility level that counts as seen; 0: as the rig says
}

// override puts what the flags say in the place of what the rig says, before its lamps are put together.
func (s selection) override(file *rigfile.Rig) {
	if s.units != nil {
		file.Units.Value = *s.units
	}
	if s.age > 0 {
		file.Driver.Age = rigfile.Opt[float64]{Value: s.age, Given: true}
	}
	if s.level > 0 {
		file.Driver.VisibilityLevel = rigfile.Opt[float64]{Value: s.level, Given: true}
	}
}

// narrow leaves of a rig what is looked at. Scenes that were not asked for stay in its file.
func (s selection) narrow(r *assembly.Rig) error {
	if len(s.scenes) > 0 {
		if err := r.Choose(s.scenes); err != nil {
			return fmt.Errorf("--scene: %w", err)
		}
	}
	if s.only != "" {
		if err := r.Only(s.only); err != nil {
			return fmt.Errorf("--only: %w", err)
		}
	}
	return nil
}

// oneScene is an error if more than one scene was asked for.
func (s selection) oneScene() error {
	if len(s.scenes) > 1 {
		return fmt.Errorf("--scene: one scene is looked at, and these are %d: %s", len(s.scenes), quoted(s.scenes))
	}
	return nil
}

// notes say what the figures rest on that was selected.
func (s selection) notes() []string {
	if s.only == "" {
		return nil
	}
	return []string{"the light is that of " + s.only + " alone, as --only asks for; the other lamps are off"}
}

// answer is what a command has worked out of one rig, in the forms in which it can be asked for.
type answer struct {
	json any
	csv  func() *table.Table
	page func(*page) // as text or Markdown
}

// answer works out the answer for every rig of the request and prints them. A rig that fails does not keep the others from
// theirs; the error is that of all that failed.
func (q *request) answer(cmd *cobra.Command, of func(context.Context, *rig) (answer, error)) error {
	var answers []answer
	var failed []error
	for _, s := range q.sources {
		r, err := s.read(q.selection)
		if err == nil {
			var a answer
			if a, err = of(cmd.Context(), r); err == nil {
				answers = append(answers, a)
				continue
			}
		}
		if cmd.Context().Err() != nil {
			return err
		}
		failed = append(failed, err)
	}
	if len(answers) > 0 {
		failed = append(failed, q.print(cmd.OutOrStdout(), answers))
	}
	return errors.Join(failed...)
}

// print prints answers in the form that was asked for: as JSON one value, which is an array where several rigs were
// asked about.
func (q *request) print(w io.Writer, answers []answer) error {
	switch {
	case q.json && len(q.sources) == 1:
		return printJSON(w, answers[0].json)
	case q.json:
		all := make([]any, len(answers))
		for i, a := range answers {
			all[i] = a.json
		}
		return printJSON(w, all)
	case answers[0].page == nil: // what it was called for is in files
		return nil
	case q.format == table.CSV:
		all := answers[0].csv()
		for _, a := range answers[1:] {
			all.Rows = append(all.Rows, a.csv().Rows...)
		}
		return failed(all.Write(w, q.format, 0))
	}
	page := &page{w: w, format: q.format}
	for i, a := range answers {
		if i > 0 {
			page.text("")
		}
		a.page(page)
	}
	return failed(page.err)
}
