package main

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
)

// What a call of compare sets side by side, and what each of it is called.

// comparison is what compare is called for beyond the rigs.
type comparison struct {
	files, lamps, only []string
	airs               []string
	buildUp            bool
	title              string
}

// mostPanels have room beside each other in a picture; mostSteps can still be told apart in a
// table.
const mostPanels, mostSteps = 4, 12

// panel is one of the scenes that are compared.
type panel struct {
	rig   *rig
	scene assembly.Scene
	only  string // the lamp that alone is lit in it; empty: all that are
	air   string // as --air has it; empty: as the rig has it
	title string
}

// airFor is what --air asks for.
func airFor(text string) (*rigfile.Air, error) {
	if text == "" {
		return nil, nil
	}
	air := new(rigfile.Air)
	if err := rigfile.ParseAir(text, air); err != nil {
		return nil, fmt.Errorf("--air: %w", err)
	}
	return air, nil
}

// airWords are an --air as a title has it.
func airWords(text string) string {
	switch text = strings.TrimSpace(text); {
	case text == "clear":
		return "clear air"
	case text != "" && strings.ContainsAny(text[:1], "0123456789."):
		return "visibility " + text
	}
	return text
}

// panels are what a call names, two to four: files, then --lamps, or else the demo; of each file
// its first scene or those of --scene, or if it is alone all that it has; of each scene the lamps
// of --only, one by one; all that in each --air. A lamp of --lamp is alone on the vehicle of the
// first file.
func (q *request) panels(c *comparison) (out []panel, err error) {
	asked := sources(c.files, nil)
	if len(c.files) == 0 && len(c.lamps) > 0 {
		asked = nil
	}
	only, airs := c.only, c.airs
	if len(only) == 0 {
		only = []string{""}
	}
	if len(airs) == 0 {
		airs = []string{""}
	}
	alone := len(asked)+len(c.lamps) == 1 && len(only) == 1 && len(airs) == 1
	var wrong []error
	read := func(s source, what selection, air string) *rig {
		var err error
		if what.air, err = airFor(air); err == nil {
			var r *rig
			if r, err = s.read(what); err == nil {
				return r
			}
		}
		if text := err.Error(); !slices.ContainsFunc(wrong, func(err error) bool { return err.Error() == text }) {
			wrong = append(wrong, err)
		}
		return nil
	}
	for _, s := range asked {
		for _, name := range only {
			for _, air := range airs {
				what := q.selection
				what.only = name
				r := read(s, what, air)
				if r == nil {
					continue
				}
				if len(q.scenes) == 0 && !alone {
					r.Scenes = r.Scenes[:1]
				}
				for _, scene := range r.Scenes {
					out = append(out, panel{rig: r, scene: scene, only: name, air: air})
				}
			}
		}
	}
	for i, text := range c.lamps {
		for _, air := range airs {
			s, what := source{lamps: []string{text}, first: i}, q.selection
			if len(c.files) > 0 {
				s.file = c.files[0]
			}
			what.scenes, what.added = nil, nil // they are about rig files
			if r := read(s, what, air); r != nil {
				out = append(out, panel{rig: r, scene: r.Scenes[0], air: air})
			}
		}
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	if len(out) < 2 || len(out) > mostPanels {
		return nil, fmt.Errorf("compare takes two to four, and this is %d; name rig files, scenes of one rig "+
			"(--scene NAME --scene NAME), lamps of it (--only NAME --only NAME), lamps without a file (--lamp … "+
			"--lamp …), "+
			"airs (--air clear --air \"dust 150 m\"), or build one scene up (--build-up)", len(out))
	}
	entitle(out)
	return out, nil
}

// steps are the circuits of the scene of the one rig that is named, each with those before it.
func (q *request) steps(c *comparison) ([]panel, error) {
	if len(c.files) > 1 || len(c.files) > 0 && len(c.lamps) > 0 {
		return nil, errors.New("--build-up is of one rig; name one, and put other lamps beside it with --add")
	}
	if len(c.only) > 0 {
		return nil, errors.New("--build-up adds all circuits of a scene, and --only leaves one lamp; give one or " +
			"the other")
	}
	if len(c.airs) > 1 {
		return nil, fmt.Errorf("--air: a scene is built up in one air, and these are %d: %s", len(c.airs),
			quoted(c.airs))
	}
	if err := q.oneScene(); err != nil {
		return nil, err
	}
	what, err := q.selection, error(nil)
	air := strings.Join(c.airs, "")
	if what.air, err = airFor(air); err != nil {
		return nil, err
	}
	r, err := sources(c.files, c.lamps)[0].read(what)
	if err != nil {
		return nil, err
	}
	scene := r.Scenes[0]
	circuits, name := r.Circuits(scene), quantity.Quote(scene.Name)
	switch n := len(circuits); {
	case n == 0:
		return nil, fmt.Errorf("--build-up: the scene %s lights no lamp; name another with --scene", name)
	case n == 1 && r.IsHeadlight(circuits[0].Lamps[0]):
		return nil, fmt.Errorf("--build-up: the scene %s lights the headlights alone; name the circuits of other "+
			"lamps in it, "+
			"or put lamps beside it with --add", name)
	case n == 1:
		return nil, fmt.Errorf("--build-up: all lamps of the scene %s are on one circuit, %s; give the rig "+
			"[headlights], "+
			"its lamps circuits of their own, or put lamps beside it with --add", name,
			quantity.Quote(circuits[0].Name))
	case n > mostSteps:
		return nil, fmt.Errorf("--build-up: the scene %s has %d circuits, more than %d steps; "+
			"put lamps that are switched on together on one circuit", name, n, mostSteps)
	}
	var out []panel
	var lit []int
	for i, c := range circuits {
		lit = append(lit, c.Lamps...)
		slices.Sort(lit)
		p := panel{rig: r, scene: assembly.Scene{Name: scene.Name, Lamps: slices.Clone(lit)}, air: air, title: c.Name}
		if i > 0 {
			p.title = "+ " + c.Name
		}
		out = append(out, p)
	}
	return out, nil
}

// stepNotes say what a build-up begins with.
func stepNotes(panels []panel) []string {
	r, first := panels[0].rig, panels[0].scene.Lamps[0]
	switch {
	case r.IsHeadlight(first):
		return nil
	case r.File.Headlights.Given:
		return []string{fmt.Sprintf("the scene %s does not light the headlights, so it is built up without them; "+
			"name headlights among its circuits to have them first", panels[0].scene.Name)}
	}
	return []string{"the rig has no [headlights], so it is built up from dark; " +
		"with them the first step is what the vehicle has today"}
}

// pictured are the columns that a picture shows of many steps: of each group of steps the last. The
// first step stands alone; of the others those that add least are shown with the next or the one
// before.
func pictured(columns []figures.Column) (groups [][]int) {
	for i := range columns {
		groups = append(groups, []int{i})
	}
	adds := func(group []int) (sum float64) {
		for _, i := range group {
			if g := columns[i].Gain; g != nil && g.Headline().Exists() {
				sum += float64(g.Headline())
			}
		}
		return math.Abs(sum)
	}
	for len(groups) > mostPanels {
		least := 1
		for i := range groups[1:] {
			if adds(groups[i+1]) < adds(groups[least]) {
				least = i + 1
			}
		}
		with := least + 1
		if with == len(groups) || least > 1 && adds(groups[least-1]) < adds(groups[with]) {
			with = least - 1
		}
		low := min(least, with)
		groups[low] = append(groups[low], groups[low+1]...)
		groups = slices.Delete(groups, low+1, low+2)
	}
	return groups
}

// entitle gives each panel a title that says what it shows and that no other has: what they all
// share is left out.
func entitle(panels []panel) {
	differ := func(of func(*panel) string) bool {
		return slices.ContainsFunc(panels, func(p panel) bool { return of(&p) != of(&panels[0]) })
	}
	file := func(p *panel) string { return p.rig.file + strings.Join(p.rig.lamps, "\n") }
	rigs, airs := differ(file), differ(func(p *panel) string { return p.air })
	scenes := differ(func(p *panel) string { return p.scene.Name })
	for i := range panels {
		p := &panels[i]
		var parts []string
		if rigs {
			parts = append(parts, rigTitle(panels, p))
		}
		if len(p.rig.lamps) == 0 && (scenes || !rigs && !airs && p.only == "") {
			parts = append(parts, p.scene.Name)
		}
		if p.only != "" {
			parts = append(parts, p.only+" alone")
		}
		if airs {
			parts = append(parts, airWords(p.air))
		}
		p.title = strings.Join(parts, ", ")
	}
	count := map[string]int{}
	for _, p := range panels {
		count[p.title]++
	}
	for i := range panels {
		if count[panels[i].title] > 1 {
			panels[i].title += fmt.Sprintf(" (%d)", i+1)
		}
	}
}

// rigTitle is what tells the rig of a panel from the others: its name, and where another has the
// same, its file as well, by as much of the path as differs.
func rigTitle(panels []panel, p *panel) string {
	if len(p.rig.lamps) > 0 {
		return p.rig.File.Lamps[0].Name
	}
	title, base := p.rig.File.Name, filepath.Base(p.rig.file)
	for i := range panels {
		if o := panels[i].rig; o.file != p.rig.file && o.File.Name == title && len(o.lamps) == 0 {
			if filepath.Base(o.file) == base {
				return title + " (" + p.rig.file + ")"
			}
			title = p.rig.File.Name + " (" + base + ")"
		}
	}
	return title
}
