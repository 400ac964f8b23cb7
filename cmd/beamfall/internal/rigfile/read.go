package rigfile

// The road of a rig file: its text becomes nodes (toml.go), the nodes become values by the
// description of the format (bind.go, format.go), and the values a rig, once what must hold between
// its tables has been checked.

import (
	"cmp"
	"io"
	"path/filepath"
	"slices"
	"strings"
)

// Read reads a rig file. The filename is for messages, and for the name of a rig that has none. The
// error is a Mistakes with all that is wrong in the file, or that of a reader that failed.
func Read(from io.Reader, filename string) (*Rig, error) {
	src, err := load(from, filename)
	if err != nil {
		return nil, err
	}
	root, err := parse(src)
	if err != nil {
		return nil, err
	}
	rig := &Rig{Source: filename, Name: nameOf(filename), text: src}
	r := &reader{}
	top := rigSection(rig)
	r.fill(top, root)
	rig.fillNames()
	for i, table := range top.key("lamp").tables {
		rig.Lamps[i].node = table.node
	}
	r.check(top, rig)
	if len(r.mistakes) > 0 {
		return nil, r.mistakes.sorted()
	}
	return rig, nil
}

// nameOf is a rig by the name of its file.
func nameOf(filename string) string {
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
	all := circuits(rig.Lamps)
	for i := range rig.Scenes {
		s := &rig.Scenes[i]
		fillName(&s.Name, "scene", i)
		if s.Given = true; s.Circuits == nil {
			s.Circuits = all
		}
	}
	if len(rig.Scenes) == 0 {
		if rig.Headlights.Given && !slices.Contains(all, HeadlightCircuit) {
			all = append(all, HeadlightCircuit)
		}
		rig.Scenes = []Scene{{Name: "all lamps", Circuits: all}}
	}
}

func fillName(name *string, what string, i int) { *name = cmp.Or(*name, ordinal(what, i)) }

// circuits of the lamps, each once, in the order of the lamps.
func circuits(lamps []Lamp) []string {
	var all []string
	for _, l := range lamps {
		if !slices.Contains(all, l.Circuit) {
			all = append(all, l.Circuit)
		}
	}
	return all
}
