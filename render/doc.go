// Package render draws: pictures to scale of where light goes, on a canvas that scales as one with its width.
//
// A picture is built from the bottom up. A Canvas has a Theme, which holds every colour. A Frame maps metres to pixels
// and draws its own grid, axes and scale bar. Bands fill it with light by the Ramp, Contours draw lines of equal light on the same
// Grid, Styles tell lamps apart, a Layout places labels so that none overlap, and legends say what is what. The
// finished picture is encoded by its caller.
//
// Pixels run right and down from the top left corner, as image.Image has them. Sizes of type and lines are given in
// units: one unit is a pixel of a picture 1600 pixels wide. Angles are in radians, counterclockwise as seen.
//
// The same calls give the same bytes, on any number of cores.
package render
