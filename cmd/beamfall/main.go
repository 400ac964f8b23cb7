// Command beamfall shows where the light of auxiliary lamps lands, and finds the tilts to set them
// to.
//
// Figures go to standard output, everything else to standard error. It exits with 0 when it is
// done, 1 when something could not be done (a file cannot be written, no tilt keeps a limit) and 2
// when the input or the call is wrong.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"unicode"
)

const (
	exitFailed = 1
	exitWrong  = 2
)

// failure is an error of the world, not of the input.
type failure struct{ error }

func (f failure) Unwrap() error { return f.error }

func failed(err error) error {
	if err == nil {
		return nil
	}
	return failure{err}
}

func main() { os.Exit(run(os.Args[1:])) }

func run(args []string) (code int) {
	ctx, stop := signal.NotifyContext(context.Background(), ending()...)
	defer stop()
	context.AfterFunc(ctx, stop) // whoever asks twice is not kept waiting
	out := &output{to: os.Stdout}
	root := newRoot()
	root.SetArgs(args)
	root.SetOut(out)
	err := root.ExecuteContext(ctx)
	if err == nil {
		err = failed(out.err)
	}
	if err == nil {
		return 0
	}
	if ctx.Err() != nil && errors.Is(err, context.Canceled) {
		fmt.Fprintln(os.Stderr, "beamfall: interrupted; nothing more was written")
		return exitFailed
	}
	complain(err)
	return status(err)
}

// output is where answers go. It keeps the first error: help, which cobra prints, does not.
type output struct {
	to  io.Writer
	err error
}

func (o *output) Write(b []byte) (int, error) {
	if o.err != nil {
		return 0, o.err
	}
	n, err := o.to.Write(b)
	if err != nil {
		o.err = fmt.Errorf("cannot write to standard output: %w", err)
	}
	return n, o.err
}

// status is the exit status for an error: of several that are joined, the worst.
func status(err error) (code int) {
	switch e := err.(type) {
	case nil:
		return exitWrong
	case failure:
		return exitFailed
	case interface{ Unwrap() []error }:
		for _, err := range e.Unwrap() {
			code = max(code, status(err))
		}
		return code
	}
	return status(errors.Unwrap(err))
}

// ending are the signals that end the work in good order, but those that whoever started the
// program wants ignored.
func ending() []os.Signal {
	signals := []os.Signal{syscall.SIGTERM}
	for _, s := range []os.Signal{os.Interrupt, syscall.SIGHUP} {
		if !signal.Ignored(s) {
			signals = append(signals, s)
		}
	}
	return signals
}

// complain reports an error, each of its lines after the name of the program.
func complain(err error) {
	for line := range strings.Lines(err.Error()) {
		fmt.Fprintln(os.Stderr, "beamfall: "+printable(strings.TrimRight(line, "\n")))
	}
}

// printable is a text without what could upset a terminal: names of files may hold anything.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return unicode.ReplacementChar
		}
		return r
	}, text)
}
