package render

import (
	"math"
	"strings"
	"testing"
)

// Legends stay in the boxes that they say they take up, at every width and for the longest names.
func TestLegendsStayInTheirBoxes(t *testing.T) {
	long := strings.Repeat("a name of two hundred letters, ", 7)[:200]
	entries := func(n int, name string) []KeyEntry {
		var es []KeyEntry
		for i := range n {
			es = append(es, KeyEntry{StyleOf(i + 1), name, "12.5° down"})
		}
		return es
	}
	for _, width := range []int{400, 1600} {
		for name, draw := range map[string]func(c *Canvas, page Rect) Rect{
			"strip":        func(c *Canvas, page Rect) Rect { return c.LevelStrip(Point{X: page.X0, Y: page.Y0 + 9}, page.W()) },
			"narrow strip": func(c *Canvas, page Rect) Rect { return c.LevelStrip(Point{X: page.X0, Y: page.Y0 + 9}, page.W()/2) },
			"column":       func(c *Canvas, page Rect) Rect { return c.LevelColumn(Point{X: page.X0, Y: page.Y0 + 9}) },
			"no lamps":     func(c *Canvas, page Rect) Rect { return c.LampKey(Point{X: page.X0, Y: page.Y0}, page.W(), nil) },
			"a lamp": func(c *Canvas, page Rect) Rect {
				return c.LampKey(Point{X: page.X0, Y: page.Y0}, page.W(), entries(1, "fog"))
			},
			"long names": func(c *Canvas, page Rect) Rect {
				return c.LampKey(Point{X: page.X0, Y: page.Y0}, page.W(), entries(24, long))
			},
			"narrow": func(c *Canvas, page Rect) Rect {
				return c.LampKey(Point{X: page.X0, Y: page.Y0}, page.W()/4, entries(5, long))
			},
			"200 short names": func(c *Canvas, page Rect) Rect {
				return c.LampKey(Point{X: page.X0, Y: page.Y0}, page.W(), entries(200, "fog"))
			},
			"title":   func(c *Canvas, page Rect) Rect { return c.TitleBlock(long, long) },
			"caution": func(c *Canvas, page Rect) Rect { return c.CautionLine(long + long) },
		} {
			c := canvas(t, width, 3*width, Paper())
			box := draw(c, c.Page())
			if ink := changed(c); ink != (Rect{}) && !box.Inset(-1).Contains(ink) {
				t.Errorf("%s at %d px: ink in %v, box %v", name, width, ink, box)
			}
			if !c.Bounds.Contains(box) {
				t.Errorf("%s at %d px: box %v leaves the picture", name, width, box)
			}
		}
	}
}

// The strip is a scale: under the figure of a level two bands meet.
func TestLevelStripIsAScale(t *testing.T) {
	c := canvas(t, 1600, 400, Night())
	box := c.LevelStrip(Point{X: 100, Y: 100}, 1000)
	_, h := c.Measure("0", Small)
	y := int(box.Y0 + h + c.U(12+stripHeight/2))
	for i, level := range c.Theme.Ramp.Levels {
		x := 100 + 100*(i+1) // ten bands on 1000 px
		if below, above := c.Image().RGBAAt(x-3, y), c.Image().RGBAAt(x+3, y); below != c.Theme.Ramp.Colour(level*0.99) || above != c.Theme.Ramp.Colour(level) {
			t.Errorf("at %g lx %v meets %v", level, below, above)
		}
	}
}

// A note that the name leaves room for is written in full: "4° down, 28.8° right, no hit" is nothing to guess at.
func TestNotesOfLampsAreWrittenInFull(t *testing.T) {
	const name, note = "bar", "12.6° down, 28.8° right, no hit"
	for n := 1; n <= 9; n++ {
		c := canvas(t, 1600, 400, Paper())
		var entries []KeyEntry
		for i := range n {
			entries = append(entries, KeyEntry{StyleOf(i + 1), name, note})
		}
		box := c.LampKey(Point{X: c.Page().X0, Y: c.Page().Y0}, c.Page().W(), entries)
		keyW, _ := c.KeySize()
		nameW, _ := c.Measure(name, Label)
		noteW, _ := c.Measure(note, Small)
		columns := box.Columns(c.keyColumns(box.W(), entries), c.U(keyGap))
		want := columns[len(columns)-1].X0 + keyW + c.U(keyLine+12) + nameW + c.U(12) + noteW
		if perColumn := (n + len(columns) - 1) / len(columns); perColumn*(len(columns)-1) >= n {
			continue // the last column is empty
		}
		if got := changed(c).X1; got < want-c.U(4) {
			t.Errorf("%d lamps: the key ends at %.0f px, its notes in full at %.0f", n, got, want)
		}
	}
}

// Details that are too long for a line have a second one, so that what they say last, such as fog, is not lost.
func TestDetailsHaveTwoLinesIfTheyNeedThem(t *testing.T) {
	const one = "scene trail · section on the centreline · heights ×10"
	const two = one + " · driven nose down 0.5° · grade −12.5 %, cross fall −12.5 % · visibility 6562 ft"
	for _, width := range []int{400, 1600} {
		c := canvas(t, width, width, Night())
		_, line := c.Measure("", Label)
		short := c.TitleBlock("rig", one).H()
		if got := c.TitleBlock("rig", two).H() - short; math.Abs(got-line) > 1.01 {
			t.Errorf("%d px: long details take %.1f px more than short ones, want a line of %.1f px", width, got, line)
		}
		if got := c.TitleBlock("rig", two+two+two).H() - short; math.Abs(got-line) > 1.01 {
			t.Errorf("%d px: endless details take %.1f px more than short ones, want a line of %.1f px", width, got, line)
		}
	}
}
