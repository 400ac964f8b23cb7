// Package render draws the pictures: to scale, of where the light of lamps goes.
//
//	c, err := render.Top(ctx, subject, draw.Night(), render.TopOptions{}) // the ground from above
//	err = c.Encode(file)
//
// Top, Side, Wall and View show one Subject, which is a scene of a rig with what must be said
// beside it. Compare shows several, Aim one before and after it is aimed, and Sheet is to set lamps
// by. All take what they show and return a canvas. They stop early, with the context's error, when
// the context ends.
//
// Package draw is the canvas and package chart what charts are made of; here is only what is in a
// picture and where the light in it comes from. The same subject gives the same bytes, on any
// number of cores.
package render
