package main

import "github.com/spf13/cobra"

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "beamfall",
		Short: "What the driver sees by auxiliary lamps, and the tilts to set them to",
		Long: `beamfall takes the lamps of a vehicle that works off the road at night (where they sit, how wide their beams
are, how many lumens, how they are tilted) and says what the driver will see: how far a person or a rut, where
it stays dark, and who is dazzled. It draws where each beam meets the ground and how bright it is there, finds
the tilts by which the driver sees the most, and prints what an installer needs to set the brackets: meter
readings and marks on a wall.

` + caution,
		Example: `  beamfall plan                          the built-in demo rig
  beamfall new my-truck.toml             a starter rig to fill in
  beamfall plan my-truck.toml            tables here, pictures in beamfall-out
  beamfall aim my-truck.toml --speed 50km/h
  beamfall compare my-truck.toml --build-up         what each switch adds`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.NoArgs,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.AddCommand(newPlan(), newSight(), newAim(), newLux(), newCompare(), newSheet(), newRecheck(), newFit(),
		newPage(), newCheck(), newNew(), newExport(), newSchema())
	addHelp(root)
	root.SetFlagErrorFunc(wrongFlag)
	root.SetHelpFunc(printHelp)
	root.SetUsageFunc(func(cmd *cobra.Command) error { printUsage(cmd.OutOrStderr(), cmd); return nil })
	return root
}
