// Package savefile writes files whole or not at all: what is at the place before stays until all of
// the new file is on the disk, and is then replaced in one step (os.Rename, which on Windows is
// MoveFileEx with MOVEFILE_REPLACE_EXISTING). A process that is killed at it may leave a file
// .beamfall-*.tmp behind, and nothing else.
package savefile

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
)

// File is a file to be written.
type File struct {
	Name string
	Data []byte

	Replace  bool // a link of that name is replaced, not followed: it was not the user who named the file
	Rewrites bool // it is a new text for a file that was read, if that is the one of this name
}

// Write puts data in the place of a file, or makes one. The error says what could not be written
// and why.
func Write(name string, data []byte) error { return All([]File{{Name: name, Data: data}}) }

// All is Write for several files: the first takes its place when the last is on the disk, so that a
// full disk leaves all of them as they were.
func All(files []File) error {
	written := make([]string, len(files)) // temporary files
	defer func() {
		for _, name := range written {
			if name != "" {
				os.Remove(name) // what could not be removed does no harm
			}
		}
	}()
	targets := make([]string, len(files))
	for i, f := range files {
		target, mode, err := place(f.Name, f.Replace)
		if err == nil {
			targets[i] = target
			written[i], err = beside(target, mode, f.Data)
		}
		if err != nil {
			return fmt.Errorf("cannot write %s: %w", f.Name, err)
		}
	}
	for i, f := range files {
		if err := os.Rename(written[i], targets[i]); err != nil {
			return fmt.Errorf("cannot write %s: %w", f.Name, reason(err))
		}
		written[i] = ""
	}
	return nil
}

// Create is Write for a file that must not exist yet.
func Create(name string, data []byte) error {
	if _, err := os.Lstat(name); err == nil {
		return taken(name)
	}
	target, mode, err := place(name, false)
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	written, err := beside(target, mode, data)
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	defer os.Remove(written)
	// A second name for the file, which unlike a new name never takes the place of another file.
	switch err := os.Link(written, target); {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrExist):
		return taken(name)
	}
	// There are disks on which a file has one name only.
	if _, err := os.Lstat(name); err == nil {
		return taken(name)
	}
	if err := os.Rename(written, target); err != nil {
		return fmt.Errorf("cannot write %s: %w", name, reason(err))
	}
	return nil
}

func taken(name string) error {
	return fmt.Errorf("%s is there already and is not overwritten; give another name", name)
}

// Ready is an error if a file could not be written, before the work for it is done. The directory
// made, if one is named, will be there by then.
func Ready(name, made string) error {
	if made != "" && filepath.Dir(name) == filepath.Clean(made) {
		if _, err := os.Stat(made); errors.Is(err, fs.ErrNotExist) {
			return nil
		}
	}
	if _, _, err := place(name, false); err != nil {
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	return nil
}

// place is where a file is put, links followed unless they are to be replaced, and its mode; an
// error where none can be put.
func place(name string, replace bool) (target string, mode fs.FileMode, err error) {
	if name == "" {
		return "", 0, errors.New("the name is empty")
	}
	if replace {
		if info, err := os.Lstat(name); err == nil && info.Mode()&fs.ModeSymlink != 0 {
			return name, 0, nil
		}
	}
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Lstat(name); err == nil {
			return "", 0, errors.New("it is a link to a file that is not there")
		}
		return name, 0, room(filepath.Dir(name))
	case err != nil:
		return "", 0, reason(err)
	case info.IsDir():
		return "", 0, errors.New("it is a directory")
	case !info.Mode().IsRegular():
		return "", 0, errors.New("it is not a plain file")
	}
	if target, err = filepath.EvalSymlinks(name); err != nil { // a link stays a link
		return "", 0, reason(err)
	}
	// A new file in the place of one that is protected would get round its protection.
	f, err := os.OpenFile(target, os.O_WRONLY, 0)
	if err != nil {
		return "", 0, reason(err)
	}
	return target, info.Mode().Perm(), f.Close()
}

// room is an error if there is no directory for a file.
func room(dir string) error {
	switch info, err := os.Stat(dir); {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("there is no directory %s", dir)
	case err != nil:
		return reason(err)
	case !info.IsDir():
		return fmt.Errorf("%s is not a directory", dir)
	}
	return nil
}

// beside writes a temporary file in the directory of the target, of the mode of the target if that
// is not 0.
func beside(target string, mode fs.FileMode, data []byte) (name string, err error) {
	f, err := temporary(filepath.Dir(target))
	if err != nil {
		return "", reason(err)
	}
	defer func() {
		f.Close()
		if err != nil {
			os.Remove(f.Name())
			name, err = "", reason(err)
		}
	}()
	if mode != 0 {
		if err := f.Chmod(mode); err != nil {
			return "", err
		}
	}
	if _, err := f.Write(data); err != nil {
		return "", err
	}
	if err := f.Sync(); err != nil { // or a new name could come to the disk before what it names
		return "", err
	}
	return f.Name(), f.Close()
}

// temporary makes an empty file of a name that nothing has. Unlike those of os.CreateTemp it is of
// the mode that new files have here.
func temporary(dir string) (f *os.File, err error) {
	for range 100 {
		name := filepath.Join(dir, fmt.Sprintf(".beamfall-%08x.tmp", rand.Uint32()))
		if f, err = os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666); !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
	return nil, err
}

// Dir makes a directory for files to be written to.
func Dir(name string) error {
	if err := os.MkdirAll(name, 0o755); err != nil {
		return fmt.Errorf("cannot make the directory %s: %w", name, reason(err))
	}
	return nil
}

// DirReady is an error if a directory is not there and could not be, before the work for its files
// is done.
func DirReady(name string) error {
	if name == "" {
		return errors.New("the name of a directory is empty; write . for the one you are in")
	}
	for dir := filepath.Clean(name); ; dir = filepath.Dir(dir) {
		info, err := os.Stat(dir)
		switch {
		case err == nil && !info.IsDir():
			return fmt.Errorf("cannot make the directory %s: %s is a file", name, dir)
		case err == nil:
			return nil
		case !errors.Is(err, fs.ErrNotExist):
			return fmt.Errorf("cannot make the directory %s: %w", name, reason(err))
		case dir == filepath.Dir(dir):
			return fmt.Errorf("cannot make the directory %s: %s is not there", name, dir)
		}
	}
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
