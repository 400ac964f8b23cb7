package main

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/render/units"
)

// Where rigs come from: files, the --lamp flags, or the demo that is built in.

//go:embed demo.toml
var demo string

// source is where a rig comes from: a file, or lamps as --lamp has them, or without either the
// demo; with both, those lamps on the vehicle of the file.
type source struct {
	file  string
	lamps []string
	first int    // index of the first of the lamps among all of the call, which names it if nothing else does
	dir   string // name of the directory for what is written of it, where there are several rigs
}

// sources are those of a call: a rig for each file, the lamps of --lamp as one more, or the demo.
func sources(files, lamps []string) (out []source) {
	taken := map[string]bool{}
	for _, name := range files {
		out = append(out, source{file: name, dir: dirFor(name, taken)})
	}
	if len(lamps) > 0 || len(out) == 0 {
		out = append(out, source{lamps: lamps})
	}
	return out
}

// dirFor is a directory's name for what is written of a rig file: its own without the ending, and
// with a number if another rig of the call has that, which some disks take to be the same in small
// letters.
func dirFor(file string, taken map[string]bool) string {
	name := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
	if name == "" || strings.Trim(name, ".-") == "" { // standard input, or an ending alone
		name = "rig"
	}
	unique := name
	for n := 2; taken[strings.ToLower(unique)]; n++ {
		unique = fmt.Sprintf("%s-%d", name, n)
	}
	taken[strings.ToLower(unique)] = true
	return unique
}

// rig is a rig that was read and put together, of which what was asked for is left.
type rig struct {
	*assembly.Rig
	source
	read []digest // the files that it was read from: its own and its base
}

// digest is a file with the first digits of the SHA-256 of its bytes.
type digest struct{ name, sum string }

// digests opens files, and notes of each that is read and closed what was in it.
type digests struct {
	all  []digest
	from rigfile.Open
}

func (d *digests) open(name string) (io.ReadCloser, error) {
	f, err := d.from(name)
	if err != nil {
		return nil, err
	}
	sum := sha256.New()
	return &noting{io.TeeReader(f, sum), func() error {
		d.all = append(d.all, digest{name, digits(sum.Sum(nil))})
		return f.Close()
	}}, nil
}

// digits are so many of a SHA-256 that two files of a workshop do not have the same.
func digits(sum []byte) string { return hex.EncodeToString(sum[:4]) }

type noting struct {
	io.Reader
	close func() error
}

func (n *noting) Close() error { return n.close() }

// read reads the rig and leaves of it what is selected.
func (s source) read(what selection) (*rig, error) {
	file, read, err := s.parse(what.reads.open)
	if err != nil {
		return nil, err
	}
	if err := what.override(file); err != nil {
		return nil, err
	}
	r, err := assembly.Assemble(file, what.reads.open)
	if err != nil {
		return nil, err
	}
	return &rig{r, s, read}, what.narrow(r)
}

// parse reads what the rig says, and notes what files say it.
func (s source) parse(open rigfile.Open) (*rigfile.Rig, []digest, error) {
	switch {
	case s.file != "":
		read := digests{from: open}
		file, err := rigfile.OpenFile(s.file, read.open)
		if len(s.lamps) > 0 {
			lamps, wrong := lampsOf(s.lamps, s.first, rigfile.ParseLamp)
			if err = errors.Join(err, wrong); err == nil {
				file.Replace(lamps)
			}
		}
		return file, read.all, err
	case len(s.lamps) > 0:
		lamps, err := lampsOf(s.lamps, s.first, rigfile.ParseLamp)
		if err != nil {
			return nil, nil, err
		}
		return rigfile.FromLamps(lamps), nil, nil
	}
	file, err := rigfile.Read(strings.NewReader(demo), "demo.toml")
	sum := sha256.Sum256([]byte(demo))
	return file, []digest{{"demo.toml", digits(sum[:])}}, err
}

// lampsOf reads lamps as --lamp and --add have them; first is the index of the first. The error has
// all that is wrong in any.
func lampsOf(texts []string, first int, parse func(text string,
	index int) (rigfile.Lamp, error)) ([]rigfile.Lamp, error) {
	lamps := make([]rigfile.Lamp, len(texts))
	var wrong []error
	for i, text := range texts {
		var err error
		if lamps[i], err = parse(text, first+i); err != nil {
			wrong = append(wrong, err)
		}
	}
	return lamps, errors.Join(wrong...)
}

// reads is the files that a call has read, which it must not write over, and what standard input
// held.
type reads struct {
	names []string
	stdin []byte
}

// open is openFile, noted.
func (r *reads) open(name string) (io.ReadCloser, error) {
	if name != "-" {
		r.names = append(r.names, name)
		return openFile(name)
	}
	if r.stdin == nil { // a comparison reads a rig once for each of its panels
		const most = 2 << 20 // twice as much as a rig may have
		all, err := io.ReadAll(io.LimitReader(os.Stdin, most))
		if err != nil {
			return nil, err
		}
		r.stdin = append([]byte{}, all...)
	}
	return io.NopCloser(bytes.NewReader(r.stdin)), nil
}

// selection is what is looked at of a rig, and in what units it is shown.
type selection struct {
	scenes []string       // empty: all
	only   string         // empty: all lamps
	air    *rigfile.Air   // nil: as the rig says
	added  []rigfile.Lamp // to those of the rig
	units  *units.System
	age    float64 // of the driver, years; 0: as the rig says
	level  float64 // visibility level that counts as seen; 0: as the rig says
	bend   bend    // of the track; not given: as the rig says
	reads  *reads  // to note what is read
}

// override puts what the flags say in the place of what the rig says, and beside it, before its
// lamps are put together.
func (s selection) override(file *rigfile.Rig) error {
	if s.units != nil {
		file.Units.Value = *s.units
	}
	if s.age > 0 {
		file.Driver.Age = rigfile.Opt[float64]{Value: s.age, Given: true}
	}
	if s.level > 0 {
		file.Driver.VisibilityLevel = rigfile.Opt[float64]{Value: s.level, Given: true}
	}
	if s.air != nil {
		file.Air.Visibility, file.Air.Particles = s.air.Visibility, s.air.Particles
	}
	if s.bend.text != "" {
		file.Track.Radius, file.Track.Left = s.bend.track.Radius, s.bend.track.Left
	}
	if err := file.Add(s.added); err != nil {
		return fmt.Errorf("--add: %w", err)
	}
	return nil
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

// notes say what the figures of a rig rest on that was selected.
func (s selection) notes(r *rig) (notes []string) {
	track := "the track is " + report.Track(r.System(), &r.File.Track)
	if s.bend.text != "" {
		track += ", as --bend asks for"
	}
	if !r.Site.Track.Straight() {
		notes = append(notes, track+": distances ahead are along it")
	} else if s.bend.text != "" {
		notes = append(notes, track)
	}
	return append(notes, s.litNotes(r)...)
}

// litNotes are those of them on what is lit.
func (s selection) litNotes(r *rig) (notes []string) {
	if s.only != "" {
		return append(notes, "the light is that of "+s.only+" alone, as --only asks for; the other lamps are off")
	}
	if added := r.File.Added(); len(added) > 0 {
		notes = append(notes, "not in the rig file, but added by --add and lit in every scene: "+assembly.List(added))
	}
	return notes
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
