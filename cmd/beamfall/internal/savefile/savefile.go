// Package savefile writes files whole or not at all: what is at the place before stays until all of the new file is on
// the disk.
package savefile

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/natefinch/atomic"
)

// Write puts data in the place of a file, or makes one. The error says what could not be written and why.
func Write(name string, data []byte) error {
	info, err := os.Stat(name)
	switch {
	case err == nil && !info.Mode().IsRegular():
		return fmt.Errorf("cannot write %s: it is not a plain file", name)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("cannot write %s: %w", name, reason(err))
	}
	made := err != nil
	if target, err := filepath.EvalSymlinks(name); err == nil {
		name = target // a link stays a link
	}
	if err := atomic.WriteFile(name, bytes.NewReader(data)); err != nil {
		return fmt.Errorf("cannot write %s: %w", name, reason(err))
	}
	if made { // temporary files are for their owner's eyes alone
		if err := os.Chmod(name, 0o644); err != nil {
			return fmt.Errorf("cannot write %s: %w", name, reason(err))
		}
	}
	return nil
}

// Create is Write for a file that must not exist yet.
func Create(name string, data []byte) error {
	if _, err := os.Lstat(name); err == nil {
		return fmt.Errorf("%s is there already and is not overwritten; give another name", name)
	}
	return Write(name, data)
}

// Dir makes a directory for files to be written to.
func Dir(name string) error {
	if err := os.MkdirAll(name, 0o755); err != nil {
		return fmt.Errorf("cannot make the directory %s: %w", name, reason(err))
	}
	return nil
}

// reason is the innermost cause, which names no temporary file.
func reason(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}
