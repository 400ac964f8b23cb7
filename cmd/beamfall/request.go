package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"

	"github.com/spf13/cobra"
)

// The road of a call: flags → request → rigs → figures → answers, printed as one.

// request is what a call asks for, checked. Nothing in it changes once it is made: what the answer
// to one rig needs to remember is in that rig or in its answer.
type request struct {
	sources []source // of the rigs, in the order of the call
	selection
	figures figures.Options
	drawing

	json    bool
	format  table.Format
	details bool // in text, what few need as well
}

// answer is what a command has worked out of one rig, in the forms in which it can be asked for.
type answer struct {
	json any
	csv  func() *table.Table
	page func(*page) // as text or Markdown
}

// answer works out the answer for every rig of the request and prints them. A rig that fails does
// not keep the others from theirs; the error is that of all that failed.
func (q *request) answer(cmd *cobra.Command, of func(*request, context.Context, *rig) (answer, error)) error {
	outcomes, err := each(cmd.Context(), q, of)
	if err != nil {
		return err
	}
	var answers []answer
	for _, o := range outcomes {
		if o.value.json != nil { // there may be an answer beside an error: the setting that breaks a limit least
			answers = append(answers, o.value)
		}
	}
	if len(answers) > 0 {
		err = q.print(cmd.OutOrStdout(), answers)
	}
	return errors.Join(wrongOf(outcomes), err)
}

// outcome is what came of one of the rigs: a value or an error.
type outcome[T any] struct {
	value T
	err   error
}

// each works something out of every rig of the request, in order: with the request as of that rig
// alone, whose files go to a directory of their own where there are several. The error is that of
// an interruption.
func each[T any](ctx context.Context, q *request,
	of func(*request, context.Context, *rig) (T, error)) ([]outcome[T], error) {
	outcomes := make([]outcome[T], len(q.sources))
	rigs := make([]*rig, len(q.sources))
	for i, s := range q.sources {
		rigs[i], outcomes[i].err = s.read(q.selection)
	}
	nameApart(rigs)
	for i, r := range rigs {
		o := &outcomes[i]
		if o.err == nil {
			o.value, o.err = of(q.alone(i), ctx, r)
		}
		if ctx.Err() != nil {
			return outcomes, o.err
		}
		if o.err != nil && len(q.sources) > 1 {
			o.err = about(q.sources[i], o.err)
		}
	}
	return outcomes, nil
}

// alone is the request as of one of its rigs.
func (q *request) alone(i int) *request {
	one := *q
	if len(q.sources) > 1 {
		one.sources = q.sources[i : i+1]
		one.out = filepath.Join(q.out, q.sources[i].dir)
		one.label = fmt.Sprintf("%s (%d of %d): ", q.sources[i].dir, i+1, len(q.sources))
	}
	return &one
}

// nameApart makes the names of rigs differ, those of one base for example: by their files.
func nameApart(rigs []*rig) {
	count := map[string]int{}
	for _, r := range rigs {
		if r != nil {
			count[r.File.Name]++
		}
	}
	for _, r := range rigs {
		if r != nil && count[r.File.Name] > 1 {
			r.File.Name += " (" + r.dir + ")"
		}
	}
}

// about is an error that says which of several rigs it is of.
func about(s source, err error) error {
	if m := (rigfile.Mistakes)(nil); errors.As(err, &m) || strings.Contains(err.Error(), quantity.Quote(s.file)) {
		return err
	}
	return fmt.Errorf("%s: %w", s.file, err)
}

// wrongOf is the errors of all rigs that failed, and how many of several those are. What is wrong
// in the base of many rigs is said once.
func wrongOf[T any](outcomes []outcome[T]) error {
	var wrong []error
	n, said := 0, map[string]bool{}
	for _, o := range outcomes {
		if o.err == nil {
			continue
		}
		n++
		parts := []error{o.err}
		if m, ok := o.err.(rigfile.Mistakes); ok {
			parts = nil
			for i := range m {
				parts = append(parts, m[i:i+1])
			}
		}
		for _, err := range parts {
			if text := err.Error(); !said[text] {
				wrong, said[text] = append(wrong, err), true
			}
		}
	}
	if n > 0 && len(outcomes) > 1 {
		wrong = append(wrong, failed(fmt.Errorf("%d of %d rigs failed", n, len(outcomes))))
	}
	return errors.Join(wrong...)
}

// print prints answers in the form that was asked for: as JSON one value, which is an array where
// several rigs were asked about.
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
		all := &table.Table{}
		for _, a := range answers {
			all.Append(a.csv())
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
