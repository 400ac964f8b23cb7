package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// What every command shares: the flags, and how they are said.

// call is what the flags that every command has say.
type call struct {
	lamps   []string
	scenes  []string
	only    string
	units   string
	json    bool
	format  string
	out     string
	theme   string
	look    render.Theme // that of this name
	width   int
	ahead   float64 // m that pictures show at least, 0: chosen from the light
	behind  float64
	side    float64
	report  report.Options
	traffic string
	text    []byte // of the rig file that was read, or of the demo
}

const caution = "Off-road lamps are for use off the road: on public roads many places require them covered and off.\n" +
	"Local law and licensed practice come first. Never look into a lit lamp."

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "beamfall",
		Short: "Where the light of auxiliary lamps lands, and the tilts to set them to",
		Long: `beamfall takes the lamps of a vehicle that works off the road at night (where they sit, how wide their beams
are, how many lumens, how they are tilted) and works out where each beam meets the ground, how bright it is
there and out to where an obstacle is lit. It draws that to scale, finds the tilts for what the light should
do, and prints what an installer needs to set the brackets: meter readings and marks on a wall.

` + caution,
		Example: `  beamfall plan                          the built-in demo rig
  beamfall new my-truck.toml             a starter rig to fill in
  beamfall plan my-truck.toml            table on the terminal, pictures in beamfall-out
  beamfall aim my-truck.toml --speed 50km/h
  beamfall compare --lamp "up=1m,spread=10,lumens=3000" --lamp "up=1m,spread=36,lumens=3000"`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.NoArgs,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.AddCommand(newPlan(), newAim(), newLux(), newCompare(), newSheet(), newCheck(), newNew(), newExport(), newSchema())
	furnish(root)
	root.SetFlagErrorFunc(wrongFlag)
	root.SetHelpFunc(printHelp)
	root.SetUsageFunc(func(cmd *cobra.Command) error { printUsage(cmd.OutOrStderr(), cmd); return nil })
	return root
}

// flags adds the shared flags to a command.
func (c *call) flags(f *pflag.FlagSet) {
	c.report = report.Options{
		Wall: 7.62, Tolerance: 0.5 * math.Pi / 180, Thresholds: []float64{1, 3}, SightLux: 3, Traffic: 1,
	}
	f.StringArrayVar(&c.lamps, "lamp", nil, `a lamp without a file, as "name=spot,up=1m,spread=10,lumens=3000"; repeatable`)
	f.StringArrayVar(&c.scenes, "scene", nil, "the scene to look at")
	f.StringVar(&c.only, "only", "", "one lamp (or one pair) by its name")
	f.StringVar(&c.units, "units", "", "metric or imperial, instead of what the rig says")
	f.BoolVar(&c.json, "json", false, "print one JSON value and nothing else")
	f.StringVar(&c.format, "format", "text", "how tables are printed: text, markdown or csv (plain numbers)")
	f.StringVar(&c.out, "out", "beamfall-out", "directory for pictures")
	f.StringVar(&c.theme, "theme", "night", "look of the pictures: night or paper")
	f.IntVar(&c.width, "width", 1600, "width of the pictures")
	f.Var(&measure{&c.report.Wall, quantity.Length, 0.1, 200}, "wall", "distance of the aiming wall ahead of the bumper")
	f.Var(&measure{&c.report.GroundReading, quantity.Angle, -45, 45}, "ground-reading",
		"what the tilt meter reads lying on the ground, + nose down; added to each reading")
	f.Var(&measure{&c.report.Tolerance, quantity.Angle, 0.01, 20}, "tolerance", "by how much a tilt may be off")
	f.Var(&levels{&c.report.Thresholds}, "thresholds", "lux that reach and lit area are told for")
	f.Var(&measure{&c.report.SightLux, quantity.Illuminance, 1e-3, 1e5}, "sight-lux", "facing lux that counts as seen, for the stopping speed")
	f.StringVar(&c.traffic, "traffic", "right", "side that traffic keeps to: right or left")
}

// pictureFlags adds the flags of the commands that draw to scale.
func (c *call) pictureFlags(f *pflag.FlagSet) {
	f.Var(&measure{&c.ahead, quantity.Length, 0, 5000}, "ahead", "how far ahead of the bumper pictures show at least")
	f.Var(&measure{&c.behind, quantity.Length, 0, 5000}, "behind", "how far behind the bumper they show at least")
	f.Var(&measure{&c.side, quantity.Length, 0, 5000}, "side", "how far to either side they show at least")
}

// settle checks the flags that have few right values.
func (c *call) settle() error {
	if _, err := table.ParseFormat(c.format); err != nil {
		return fmt.Errorf("--format: %w", err)
	}
	if c.units != "" {
		if _, err := quantity.ParseSystem(c.units); err != nil {
			return fmt.Errorf("--units: %w", err)
		}
	}
	if c.width < 400 || c.width > 8000 {
		return fmt.Errorf("--width: %d is not from 400 to 8000; write e.g. --width 1600", c.width)
	}
	var err error
	if c.look, err = render.ThemeNamed(c.theme); err != nil {
		return fmt.Errorf("--theme: %s is not night or paper", quantity.Quote(c.theme))
	}
	switch c.traffic {
	case "right":
		c.report.Traffic = 1
	case "left":
		c.report.Traffic = -1
	default:
		return fmt.Errorf("--traffic: %s is not right or left", quantity.Quote(c.traffic))
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
