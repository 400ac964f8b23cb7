package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry"
	"beamfall/render"
	"beamfall/render/draw"

	"github.com/spf13/pflag"
)

// The flags that commands share. What they were set to is checked once, all of it, and becomes a
// request.

// flags are the flags as they were typed.
type flags struct {
	lamps, added        []string
	scenes              []string
	only                []string
	units               string
	json                bool
	format, out, theme  string
	width               int
	ahead, behind, side float64 // m, as for drawing
	exposure            float64 // cd/m², as for drawing
	mapped              string  // what the picture from above is painted with
	figures             figures.Options
	traffic             string
	things              []string
	age, level          float64
	bend                bend
	details             bool
}

// add gives a command the flags that every command has.
func (f *flags) add(set *pflag.FlagSet) {
	f.figures = figures.Options{Wall: render.UsualWall, Tolerance: 0.5 * math.Pi / 180, Thresholds: []float64{1, 3},
		SightLux: 3}
	set.StringArrayVar(&f.lamps, "lamp", nil,
		`a lamp without a file, as "name=spot,up=1m,spread=10,lumens=3000"; repeatable`)
	set.StringArrayVar(&f.added, "add", nil,
		`a lamp beside those of the rig, written as --lamp and lit in every scene; repeatable`)
	set.StringArrayVar(&f.scenes, "scene", nil, "the scene to look at")
	set.StringArrayVar(&f.only, "only", nil, "one lamp (or one pair) by its name")
	set.Var(&f.bend, "bend", `the track ahead as "40 m left" or straight, instead of what the rig says`)
	set.StringVar(&f.units, "units", "", "metric or imperial, instead of what the rig says")
	set.BoolVar(&f.json, "json", false, "print one JSON value and nothing else")
	set.StringVar(&f.format, "format", "text", "how tables are printed: text, markdown or csv (plain numbers)")
	set.StringVarP(&f.out, "out", "o", "beamfall-out", "directory for pictures")
	set.StringVar(&f.theme, "theme", "night", "look of the pictures: night or paper")
	set.IntVar(&f.width, "width", 1600, "width of the pictures")
	set.Var(&measure{&f.figures.Wall, quantity.Length, 0.1, 200}, "wall",
		"distance of the aiming wall ahead of the bumper")
	set.Var(&measure{&f.figures.GroundReading, quantity.Angle, -45, 45}, "ground-reading",
		"what the tilt meter reads lying on the ground, + nose down; added to each reading")
	set.Var(&measure{&f.figures.Tolerance, quantity.Angle, 0.01, 20}, "tolerance", "by how much a tilt may be off")
	set.Var(&levels{&f.figures.Thresholds}, "thresholds", "lux for which reach and lit area are worked out")
	set.Var(&measure{&f.figures.SightLux, quantity.Illuminance, 1e-3, 1e5}, "sight-lux",
		"facing lux that counts as seen, for the stopping speed")
	set.StringVar(&f.traffic, "traffic", "", "side that traffic keeps to, right or left, instead of that of the "+
		"rig's headlights")
}

// addPictures gives a command the flags of those that draw to scale.
func (f *flags) addPictures(set *pflag.FlagSet) {
	set.Var(&measure{&f.ahead, quantity.Length, 0, 5000}, "ahead", "how far ahead of the bumper pictures show at least")
	set.Var(&measure{&f.behind, quantity.Length, 0, 5000}, "behind", "how far behind the bumper they show at least")
	set.Var(&measure{&f.side, quantity.Length, 0, 5000}, "side", "how far to either side they show at least")
	set.Var(&measure{&f.exposure, quantity.Luminance, 1e-4, 1e4}, "exposure",
		"cd/m² that the driver's view shows as mid grey")
}

// addSight gives a command the flags of those that work out what the driver sees.
func (f *flags) addSight(set *pflag.FlagSet) {
	set.StringArrayVar(&f.things, "thing", nil, "a thing to see by its name, e.g. person, rut; repeatable")
	set.Var(&count{&f.age, "years", 20, 75}, "age", "of the driver, instead of what the rig says")
	set.Var(&count{&f.level, "thresholds", 1, 100}, "visibility-level",
		"how many times the threshold counts as seen, instead of what the rig says")
}

// request is what the flags ask for of the rigs that are named.
func (f *flags) request(files []string) (*request, error) {
	read := &reads{}
	q := &request{
		selection: selection{scenes: slices.Clone(f.scenes), age: f.age, level: f.level, bend: f.bend, reads: read},
		figures:   f.figures, json: f.json,
		drawing: drawing{out: f.out, width: f.width, ahead: f.ahead, behind: f.behind, side: f.side,
			exposure: f.exposure, reads: read},
	}
	if len(f.only) > 1 {
		return nil, fmt.Errorf("--only: one lamp or pair is looked at, and these are %d: %s", len(f.only),
			quoted(f.only))
	}
	if len(f.only) == 1 {
		q.only = f.only[0]
	}
	var err error
	if q.format, err = table.ParseFormat(f.format); err != nil {
		return nil, fmt.Errorf("--format: %w", err)
	}
	if err := outDirectory(f.out); err != nil {
		return nil, err
	}
	if f.units != "" {
		u, err := quantity.ParseSystem(f.units)
		if err != nil {
			return nil, fmt.Errorf("--units: %w", err)
		}
		q.units = &u
	}
	if f.width < 400 || f.width > 8000 {
		return nil, fmt.Errorf("--width: %d is not from 400 to 8000; write e.g. --width 1600", f.width)
	}
	if q.look, err = draw.ThemeNamed(f.theme); err != nil {
		return nil, fmt.Errorf("--theme: %s is not night or paper", quantity.Quote(f.theme))
	}
	if f.mapped != "" {
		if q.mapped, err = render.MapNamed(f.mapped); err != nil {
			return nil, fmt.Errorf("--map: %s is not ground, facing or sight", quantity.Quote(f.mapped))
		}
	}
	side, ok := map[string]float64{"": 0, "right": 1, "left": -1}[f.traffic]
	if !ok {
		return nil, fmt.Errorf("--traffic: %s is not right or left", quantity.Quote(f.traffic))
	}
	q.figures.Traffic, q.figures.Things, q.details = side, slices.Clone(f.things), f.details
	if len(files) > 0 && len(f.lamps) > 0 {
		return nil, errors.New("a rig file and --lamp were both given; give one or the other")
	}
	if in := slices.Index(files, "-"); in >= 0 && slices.Contains(files[in+1:], "-") {
		return nil, errors.New("- stands for standard input, which can be read once; give it once")
	}
	q.sources = sources(files, f.lamps)
	q.added, err = lampsOf(f.added, 0, rigfile.ParseAdded)
	return q, err
}

// outDirectory is an error for a directory that is likely not meant to be one.
func outDirectory(name string) error {
	const meant = "--out is the directory that files go to, under names of their own; write e.g. --out papers"
	switch ext := strings.ToLower(filepath.Ext(name)); {
	case name == "":
		return errors.New("--out: the name is empty; write e.g. --out beamfall-out, or --out . for the directory " +
			"you are in")
	case name == "-":
		return errors.New("--out: pictures cannot go to standard output; " + meant)
	case slices.Contains([]string{".png", ".pdf", ".html", ".toml", ".csv", ".json", ".txt", ".md", ".ies"}, ext):
		if info, err := os.Stat(name); err != nil || !info.IsDir() {
			return fmt.Errorf("--out: %s looks like a file; %s", quantity.Quote(name), meant)
		}
	}
	return nil
}

// measure is a flag with a unit. Its range is in the kind's first unit.
type measure struct {
	value     *float64
	kind      quantity.Kind
	low, high float64
}

func (m *measure) Set(text string) error {
	v, err := m.kind.Parse(text)
	if err != nil {
		return err
	}
	if v < m.kind.SI(m.low) || v > m.kind.SI(m.high) {
		return fmt.Errorf("%s is not from %s to %s", quantity.Quote(text), m.kind.Show(m.low), m.kind.Show(m.high))
	}
	*m.value = v
	return nil
}

func (m *measure) Type() string {
	return strings.TrimPrefix(strings.TrimPrefix(m.kind.String(), "an "), "a ")
}

func (m *measure) String() string {
	if m.value == nil || *m.value == 0 {
		return ""
	}
	return m.kind.Show(*m.value / m.kind.SI(1))
}

// count is a flag of a plain number.
type count struct {
	value     *float64
	of        string
	low, high float64
}

func (c *count) Set(text string) error {
	v, err := quantity.Number.Parse(text)
	if err != nil {
		return err
	}
	if v < c.low || v > c.high {
		return fmt.Errorf("%s is not from %g to %g", quantity.Quote(text), c.low, c.high)
	}
	*c.value = v
	return nil
}

func (c *count) Type() string { return c.of }

func (c *count) String() string {
	if c.value == nil || *c.value == 0 {
		return ""
	}
	return fmt.Sprint(*c.value)
}

// bend is a flag of the bend of a track. The zero value is not given.
type bend struct {
	text  string
	track geometry.Track // its radius and side
}

func (b *bend) Set(text string) error {
	if err := rigfile.ParseBend(text, &b.track); err != nil {
		return err
	}
	b.text = text
	return nil
}

func (b *bend) Type() string   { return "bend" }
func (b *bend) String() string { return b.text }

// levels is a flag of lux values, rising.
type levels struct{ values *[]float64 }

func (l *levels) Set(text string) error {
	var values []float64
	for part := range strings.SplitSeq(text, ",") {
		v, err := quantity.ParseIlluminance(part)
		if err != nil {
			return err
		}
		if v < 1e-3 || v > 1e5 {
			return fmt.Errorf("%s is not from 0.001 lx to 100000 lx", quantity.Quote(part))
		}
		values = append(values, v)
	}
	if len(values) > 10 {
		return fmt.Errorf("%d values are more than 10", len(values))
	}
	slices.Sort(values)
	*l.values = slices.Compact(values)
	return nil
}

func (l *levels) Type() string { return "lux,lux…" }

func (l *levels) String() string {
	if l.values == nil {
		return ""
	}
	var parts []string
	for _, v := range *l.values {
		parts = append(parts, fmt.Sprint(v))
	}
	return strings.Join(parts, ",")
}
