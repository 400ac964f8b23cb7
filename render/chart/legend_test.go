package chart

import (
	"math"
	"slices"
	"strings"
	"testing"

	"beamfall/render/draw"
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
	for _, width := range []int{400, 800} {
		for name, legend := range map[string]Box{
			"strip":           LevelStrip(testRamp(draw.Paper())),
			"no entries":      Key(nil, "%d more"),
			"an entry":        Key(entries(1, "fog"), "%d more"),
			"long names":      Key(entries(24, long), "%d more"),
			"200 short names": Key(entries(200, "fog"), "and %d more"),
			"title":           Title(long, long),
			"paragraph":       Paragraph(long),
			"caution":         Caution(long + long),
		} {
			c := canvas(t, width, 100, draw.Paper())
			box := PageArea(c)
			if name == "long names" {
				box.X1 -= box.W() / 4
			}
			high := legend.Height(c, box.W())
			c = canvas(t, width, max(100, int(box.Y0+high)+width/10), draw.Paper())
			box.Y1 = box.Y0 + high
			legend.Draw(c, box)
			if ink := changed(c); ink != (draw.Rect{}) && !box.Inset(-1).Contains(ink) {
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
	c := canvas(t, 1600, 400, draw.Night())
	box := draw.R(100, 100, 1100, 200)
	LevelStrip(testRamp(c.Theme)).Draw(c, box)
	_, h := c.Measure("0", draw.Small)
	y := int(box.Y0 + h + c.U(12+StripHeight/2))
	for i, level := range testRamp(c.Theme).Levels {
		x := 100 + 100*(i+1) // ten bands on 1000 px
		below, above := c.Image().RGBAAt(x-3, y), c.Image().RGBAAt(x+3, y)
		if r := testRamp(c.Theme); below != r.colour(level*0.99) || above != r.colour(level) {
			t.Errorf("at %g lx %v meets %v", level, below, above)
		}
	}
}

// A note that the name leaves room for is written in full: "4° down, 28.8° right, no hit" is
// nothing to guess at.
func TestNotesOfLampsAreWrittenInFull(t *testing.T) {
	const name, note = "bar", "12.6° down, 28.8° right, no hit"
	for n := 1; n <= 9; n++ {
		c := canvas(t, 1600, 400, draw.Paper())
		var entries []KeyEntry
		for i := range n {
			entries = append(entries, KeyEntry{StyleOf(i + 1), name, note})
		}
		box := PageArea(c)
		Key(entries, "").Draw(c, box)
		keyW, _ := PlateSize(c)
		nameW, _ := c.Measure(name, draw.Label)
		noteW, _ := c.Measure(note, draw.Small)
		columns := box.Columns(keyColumns(c, box.W(), entries), c.U(keyGap))
		want := columns[len(columns)-1].X0 + keyW + c.U(keyLine+12) + nameW + c.U(12) + noteW
		if perColumn := (n + len(columns) - 1) / len(columns); perColumn*(len(columns)-1) >= n {
			continue // the last column is empty
		}
		if got := changed(c).X1; got < want-c.U(4) {
			t.Errorf("%d lamps: the key ends at %.0f px, its notes in full at %.0f", n, got, want)
		}
	}
}

// Details that are too long for a line have a second one, so that what they say last, such as fog,
// is not lost.
func TestDetailsHaveTwoLinesIfTheyNeedThem(t *testing.T) {
	const one = "scene trail · section on the centreline · heights ×10"
	const two = one + " · driven nose down 0.5° · grade −12.5 %, cross fall −12.5 % · visibility 6562 ft"
	for _, width := range []int{400, 1600} {
		c := canvas(t, width, width, draw.Night())
		_, line := c.Measure("", draw.Label)
		short := Title("rig", one).Height(c, PageArea(c).W())
		if got := Title("rig", two).Height(c, PageArea(c).W()) - short; math.Abs(got-line) > 1.01 {
			t.Errorf("%d px: long details take %.1f px more than short ones, want a line of %.1f px", width, got, line)
		}
		if got := Title("rig", two+two+two).Height(c, PageArea(c).W()) - short; math.Abs(got-line) > 1.01 {
			t.Errorf("%d px: endless details take %.1f px more than short ones, want a line of %.1f px", width, got,
				line)
		}
	}
}

// Figures are set off where they differ.
func TestFiguresThatDiffer(t *testing.T) {
	for _, c := range []struct {
		values []string
		want   bool
	}{{[]string{"4", "4", "4"}, false}, {[]string{"312 m", "280 m"}, true}} {
		if got := (FigureRow{"reach", c.values}).differ(); got != c.want {
			t.Errorf("%q differ: %v, want %v", c.values, got, c.want)
		}
	}
}

// A figure is written in full, with its label on a line of its own where they have no room side by
// side: "6501 lx at 11.…" is no figure.
func TestFiguresOfNarrowColumnsAreWrittenInFull(t *testing.T) {
	const label, value = "brightest ground", "6501 lx at 11.8 m"
	for n := 2; n <= 4; n++ {
		for _, width := range []int{400, 1600} {
			c := canvas(t, width, width, draw.Paper())
			values := slices.Repeat([]string{value}, n)
			columns := func(in draw.Rect) []draw.Rect { return in.Columns(n, c.U(36)) }
			texts := FigureRows([]FigureRow{{label, values}, {"lamps", values}}, columns).Draw(c, PageArea(c))
			for _, text := range []struct {
				text string
				role draw.Role
				want int
			}{{label, draw.Small, n}, {value, draw.Label, 2 * n}} {
				w, _ := c.Measure(text.text, text.role)
				found := 0
				for _, r := range texts {
					if math.Abs(r.W()-w) < 0.01 {
						found++
					}
				}
				if found != text.want {
					t.Errorf("%d columns on %d px: %d texts as wide as %q, want %d", n, width, found, text.text,
						text.want)
				}
			}
		}
	}
}
