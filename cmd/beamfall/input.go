package main

import (
	"bytes"
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

// Where rigs come from: a file, the --lamp flags, or the demo that is built in.

//go:embed demo.toml
var demo string

// rig reads the rig that a command is called for and leaves what --scene, --only and --units leave of it. Scenes that
// were not asked for stay in it.
func (c *call) rig(args []string) (*assembly.Rig, error) {
	if err := c.settle(); err != nil {
		return nil, err
	}
	file, open, err := c.read(args)
	if err != nil {
		return nil, err
	}
	return c.assemble(file, open)
}

// oneScene reads the rig that a command is called for, and of it the one scene to look at: that of --scene, or the first.
func (c *call) oneScene(args []string) (*assembly.Rig, assembly.Scene, error) {
	if len(c.scenes) > 1 {
		return nil, assembly.Scene{}, fmt.Errorf("--scene: one scene is looked at, and these are %d: %s", len(c.scenes), quoted(c.scenes))
	}
	r, err := c.rig(args)
	if err != nil {
		return nil, assembly.Scene{}, err
	}
	return r, r.Scenes[0], nil
}

// assemble puts a rig together and leaves of it what the flags ask for.
func (c *call) assemble(file *rigfile.Rig, open assembly.Open) (*assembly.Rig, error) {
	r, err := assembly.Assemble(file, open)
	if err != nil {
		return nil, err
	}
	if c.units != "" {
		file.Units.Value, _ = quantity.ParseSystem(c.units)
	}
	if len(c.scenes) > 0 {
		if err := r.Choose(c.scenes); err != nil {
			return nil, fmt.Errorf("--scene: %w", err)
		}
	}
	if c.only != "" {
		if err := r.Only(c.only); err != nil {
			return nil, fmt.Errorf("--only: %w", err)
		}
	}
	return r, nil
}

func (c *call) read(args []string) (*rigfile.Rig, assembly.Open, error) {
	switch {
	case len(args) > 0 && len(c.lamps) > 0:
		return nil, nil, errors.New("a rig file and --lamp were both given; give one or the other")
	case len(args) > 0:
		return c.readFile(args[0])
	case len(c.lamps) > 0:
		file, err := fromLamps(c.lamps)
		return file, openFile("."), err
	}
	c.text = []byte(demo)
	file, err := rigfile.Read(strings.NewReader(demo), "demo.toml")
	return file, openFile("."), err
}

func fromLamps(texts []string) (*rigfile.Rig, error) {
	lamps := make([]rigfile.Lamp, len(texts))
	var wrong []error
	for i, text := range texts {
		var err error
		if lamps[i], err = rigfile.ParseLamp(text, i); err != nil {
			wrong = append(wrong, err)
		}
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	return rigfile.FromLamps(lamps), nil
}

func (c *call) readFile(name string) (*rigfile.Rig, assembly.Open, error) {
	f, err := openPlain(name)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	var text bytes.Buffer
	file, err := rigfile.Read(io.TeeReader(f, &text), name)
	c.text = text.Bytes()
	return file, openFile(filepath.Dir(name)), err
}

// openFile opens files relative to a directory.
func openFile(dir string) assembly.Open {
	return func(name string) (io.ReadCloser, error) {
		if !filepath.IsAbs(name) {
			name = filepath.Join(dir, name)
		}
		return openPlain(name)
	}
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
