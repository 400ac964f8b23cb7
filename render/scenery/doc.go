// Package scenery is what a driver has before the windscreen, as luminances: the ground and its
// ruts, what stands beside the track and on it, the body in the foreground, the glow of the air
// before it all, and the veil that the eye lays over it.
//
//	world, err := scenery.New(ctx, view, eye, scenery.Things{Kinds: sight.Things(), Every: []float64{20, 40, 60}})
//	seen, err := world.Through(ctx, scenery.Window{…}) // cd/m² of each pixel
//
// Every luminance comes from the scene and from geometry/sight. What is made up here is what the
// light falls on: plants at fixed places, ruts, grain. It varies the reflectance of the ground
// about the one that is given, and by how much is said where it is done. The same world gives the
// same luminances, on any number of cores.
package scenery
