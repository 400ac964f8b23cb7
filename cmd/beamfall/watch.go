package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/fsnotify/fsnotify"
)

// watch does a job now and again whenever a file of a rig is saved, until the context ends. A job
// that fails is reported on standard error, and the next save is waited for: a half-typed rig must
// not end it.
//
// It watches the rig's folder, not the file: editors save by putting a new file in the old one's
// place. Any file there counts, since a rig may name photometric files; what the job itself writes
// lies in a folder below.
func watch(ctx context.Context, rig string, job func() error) error {
	w, err := fsnotify.NewWatcher()
	if err != nil {
		return failed(fmt.Errorf("cannot watch files: %w", err))
	}
	defer w.Close()
	dir := filepath.Dir(rig)
	if err := w.Add(dir); err != nil {
		return failed(fmt.Errorf("cannot watch the folder %s: %w", dir, err))
	}
	try := func() {
		if err := job(); err != nil && ctx.Err() == nil {
			complain(err)
		}
		if ctx.Err() == nil {
			fmt.Fprintf(os.Stderr, "watching %s; Ctrl-C ends it\n", printable(rig))
		}
	}
	try()
	// An editor's save is several events, some milliseconds apart. Should one take longer, the text is
	// read half, and again when the rest is there.
	const pause = 20 * time.Millisecond
	timer := time.NewTimer(pause)
	timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case e, ok := <-w.Events:
			if !ok {
				return nil
			}
			if ext := filepath.Ext(e.Name); e.Op != fsnotify.Chmod &&
				(filepath.Base(e.Name) == filepath.Base(rig) || ext == ".ies" || ext == ".IES") {
				timer.Reset(pause)
			}
		case <-timer.C:
			try()
		case err, ok := <-w.Errors:
			if !ok {
				return nil
			}
			if !errors.Is(err, fsnotify.ErrEventOverflow) {
				return failed(fmt.Errorf("cannot watch the folder %s: %w", dir, err))
			}
			timer.Reset(pause)
		}
	}
}
