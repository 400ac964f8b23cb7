package rigfile

// The road of a rig file: its text becomes nodes (toml.go), laid over those of its base (base.go);
// the nodes become values by the description of the format (bind.go, format.go), and the values a
// rig, once what must hold between them has been checked (check.go).

import (
	"cmp"
	"errors"
	"io"
	"path/filepath"
	"slices"
	"strings"
)

// OpenFile reads the rig file of a name, and the base that it names. The error is a Mistakes with
// all that is wrong in the files, or that of opening or reading the first.
func OpenFile(name string, open Open) (*Rig, error) {
	src, err := loadFile(name, open)
	if err != nil {
		return nil, err
	}
	return read(src, open)
}

// Read reads a rig file that has no base. The filename is for messages, and for the name of a rig
// that has none. The error is a Mistakes with all that is wrong in the file, or that of a reader
// that failed.
func Read(from io.Reader, filename string) (*Rig, error) {
	src, err := load(from, filename)
	if err != nil {
		return nil, err
	}
	return read(src, func(string) (io.ReadCloser, error) { return nil, errors.New("no other file is read here") })
}

func read(src *source, open Open) (*Rig, error) {
	root, err := parse(src)
	if err != nil {
		return nil, err
	}
	rig := &Rig{Source: src.name, Name: nameOf(src.name), text: src, root: root}
	r := &reader{}
	if root, err = r.onBase(rig, root, open); err != nil {
		return nil, err
	}
	top := rigSection(rig)
	r.fill(top, root)
	rig.fillNames()
	for i, table := range top.key("lamp").tables {
		rig.Lamps[i].node = table.node
	}
	r.check(top, rig)
	if len(r.mistakes) > 0 {
		return nil, r.mistakes.sorted(src.name)
	}
	rig.Origins = r.origins
	return rig, nil
}

// nameOf is a rig by the name of its file.
func nameOf(filename string) string {
	if filename == "-" { // standard input
		return "rig"
	}
	name := strings.TrimSuffix(filepath.Base(filename), filepath.Ext(filename))
	name = strings.Map(printable, strings.ToValidUTF8(name, ""))
	return cmp.Or(strings.TrimSpace(name), "rig")
}

// fillNames gives names to what has none, and the scenes their circuits.
func (rig *Rig) fillNames() {
	for i := range rig.Body {
		fillName(&rig.Body[i].Name, "body", i)
	}
	for i := range rig.Lamps {
		l := &rig.Lamps[i]
		fillName(&l.Name, "lamp", i)
		l.Circuit = cmp.Or(l.Circuit, l.Name)
	}
	for i := range rig.Targets {
		fillName(&rig.Targets[i].Name, "target", i)
	}
	for i := range rig.Limits {
		fillName(&rig.Limits[i].Name, "limit", i)
	}
	all := rig.circuits()
	for i := range rig.Scenes {
		s := &rig.Scenes[i]
		fillName(&s.Name, "scene", i)
		if s.Given = true; s.Circuits == nil {
			s.Circuits = all
		}
	}
	if len(rig.Scenes) == 0 {
		rig.Scenes = []Scene{{Name: "all lamps", Circuits: all}}
	}
}

func fillName(name *string, what string, i int) { *name = cmp.Or(*name, ordinal(what, i)) }

// circuits of the lamps, each once, in the order of the lamps; that of the headlights is the last.
func (rig *Rig) circuits() []string {
	var all []string
	for _, l := range rig.Lamps {
		if !slices.Contains(all, l.Circuit) {
			all = append(all, l.Circuit)
		}
	}
	if rig.Headlights.Given && !slices.Contains(all, HeadlightCircuit) {
		all = append(all, HeadlightCircuit)
	}
	return all
}
