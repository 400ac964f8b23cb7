package main

import (
	_ "embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
)

// Where rigs come from: files, the --lamp flags, or the demo that is built in.

//go:embed demo.toml
var demo string

// source is where a rig comes from: a file, or lamps as --lamp has them, or without either the demo.
type source struct {
	file  string
	lamps []string
	first int // index of the first of the lamps among all of the call, which names it if nothing else does
}

// sources are those of a call: a rig for each file, the lamps of --lamp as one more, or the demo.
func sources(files, lamps []string) (out []source) {
	for _, name := range files {
		out = append(out, source{file: name})
	}
	if len(lamps) > 0 || len(out) == 0 {
		out = append(out, source{lamps: lamps})
	}
	return out
}

// rig is a rig that was read and put together, of which what was asked for is left.
type rig struct {
	*assembly.Rig
	source
}

// read reads the rig and leaves of it what is selected.
func (s source) read(what selection) (*rig, error) {
	file, err := s.parse()
	if err != nil {
		return nil, err
	}
	what.override(file)
	r, err := assembly.Assemble(file, openFile)
	if err != nil {
		return nil, err
	}
	return &rig{r, s}, what.narrow(r)
}

// parse reads what the rig says.
func (s source) parse() (*rigfile.Rig, error) {
	switch {
	case s.file != "":
		return rigfile.OpenFile(s.file, openFile)
	case len(s.lamps) > 0:
		return s.fromLamps()
	}
	return rigfile.Read(strings.NewReader(demo), "demo.toml")
}

func (s source) fromLamps() (*rigfile.Rig, error) {
	lamps := make([]rigfile.Lamp, len(s.lamps))
	var wrong []error
	for i, text := range s.lamps {
		var err error
		if lamps[i], err = rigfile.ParseLamp(text, s.first+i); err != nil {
			wrong = append(wrong, err)
		}
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	return rigfile.FromLamps(lamps), nil
}

// openFile opens a rig, its base or a file that one of them names; - is standard input.
func openFile(name string) (io.ReadCloser, error) {
	if name == "-" {
		return io.NopCloser(os.Stdin), nil
	}
	if real, err := filepath.EvalSymlinks(name); err == nil {
		if _, err := rigfile.Resolve("", real); err != nil { // a link to a device
			return nil, fmt.Errorf("cannot read %s: %w", quantity.Quote(name), err)
		}
	}
	return openPlain(name)
}

// openPlain opens a file to read, but nothing that could block or never end.
func openPlain(name string) (*os.File, error) {
	info, err := os.Stat(name)
	if err == nil && !info.Mode().IsRegular() {
		what := "not a plain file"
		if info.IsDir() {
			what = "a directory"
		}
		return nil, fmt.Errorf("cannot read %s: it is %s", quantity.Quote(name), what)
	}
	var f *os.File
	if err == nil {
		f, err = os.Open(name)
	}
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", quantity.Quote(name), err)
	}
	return f, nil
}
