// Package chart is what charts are made of, drawn on a canvas of package draw.
//
//	page, err := chart.NewPage(1600, draw.Night())        // boxes from top to bottom
//	page.Add(chart.Title("title", "details"), chart.PageGap)
//	room := page.Add(chart.Space(500), chart.PageGap)     // for the drawing
//	page.Add(chart.LevelStrip(ramp), chart.PageGap)       // legend
//	c, texts, err := page.Draw(chart.Caution("caution"))  // all but the drawing
//
//	f := chart.Filling(room, across, up, 1)               // metres become pixels
//	grid := chart.Sample(f, c.U(4), field)                // a field as figures, once
//	f.DrawBands(c, grid, ramp)                            // as areas,
//	lines := f.DrawIsolines(c, grid, ramp)                // and as lines of equal value
//	tags, _ := chart.Layout{Bounds: f.Box}.DrawTags(c, names, width) // labels find their place
//	lines.WriteLevels(c, tags)
//	f.DrawAxes(c)
//
// A Frame is the one place where values become pixels. A Ramp has the levels of a quantity and
// their colours. A Style tells one of many from the others by number, marker and dashes, never by
// hue alone. Whatever writes texts returns their boxes, so that what comes later can keep clear of
// them.
package chart
