package table

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/lines"

	"github.com/google/go-cmp/cmp"
)

func sample() *Table {
	return &Table{
		Title: "lamps",
		Columns: []Column{
			{Name: "#", Right: true, Lead: true}, {Name: "lamp", Least: 12, Lead: true}, {Name: "reach", Right: true},
			{Name: "half-peak zone"},
		},
		Rows: [][]string{
			{"1", "spot, \"long\" | far", "12.5 m", ""},
			{"2", "forest service unit twelve, upper rail (left)", "3 m", "–"},
			{"3", "forest service unit twelve, upper rail (right)", "3.2 m", "12.4 m – sky"},
		},
	}
}

func written(t *testing.T, tab *Table, f Format, width int) string {
	t.Helper()
	var b bytes.Buffer
	if err := tab.Write(&b, f, width); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A table is never wider than it may be, and whatever is folded, every word of every cell is there.
func TestTextFolds(t *testing.T) {
	for _, width := range []int{100, 80, 60, 40, 30} {
		got := written(t, sample(), Text, width)
		if wide := lines.Width(got); wide > width {
			t.Errorf("%d columns where %d are asked for:\n%s", wide, width, got)
		}
		for _, row := range sample().Rows {
			for _, cell := range row {
				for _, word := range strings.Fields(cell) {
					if !strings.Contains(got, word) {
						t.Errorf("%d columns: %q is not in it:\n%s", width, word, got)
					}
				}
			}
		}
	}
}

// In 40 columns heads and names are folded; in 30 columns are set below one another, each time with
// what the row is about.
func TestTextInFewColumns(t *testing.T) {
	want := `lamps
#  lamp             reach  half-peak
                           zone
---------------------------------------
1  spot, "long" |  12.5 m
   far
2  forest service     3 m  –
   unit twelve,
   upper rail
   (left)
3  forest service   3.2 m  12.4 m – sky
   unit twelve,
   upper rail
   (right)
`
	if diff := cmp.Diff(want, written(t, sample(), Text, 39)); diff != "" {
		t.Errorf("39 columns (- want, + got):\n%s", diff)
	}
	if got := written(t, sample(), Text, 30); strings.Count(got, "#  lamp") != 2 {
		t.Errorf("the columns are not set below one another:\n%s", got)
	}
}

// A cell that a spreadsheet would run is a text (OWASP, CSV injection: cells that begin with =, +,
// -, @, tab or carriage return); numbers stay numbers, and all else comes back as it was.
func TestCSV(t *testing.T) {
	tab := sample()
	tab.Rows = append(tab.Rows,
		[]string{"4", "=HYPERLINK(\"http://example.org\")", "-1.5", "+2e-7"},
		[]string{"5", "@SUM(A1)", "-", "+cmd|' /C calc'!A0"}, []string{"6", "\tx", "\rx", "-2+3"})
	rows, err := csv.NewReader(strings.NewReader(written(t, tab, CSV, 40))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := append([][]string{{"#", "lamp", "reach", "half-peak zone"}}, sample().Rows...)
	want = append(want,
		[]string{"4", "'=HYPERLINK(\"http://example.org\")", "-1.5", "+2e-7"},
		[]string{"5", "'@SUM(A1)", "'-", "'+cmd|' /C calc'!A0"}, []string{"6", "'\tx", "'\rx", "'-2+3"})
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Errorf("(- want, + got):\n%s", diff)
	}
}

// What a name says is shown in Markdown as it is: no tag, no link, no picture, no cell of its own
// (CommonMark 0.31, backslash escapes; GFM, tables).
func TestMarkdown(t *testing.T) {
	tab := &Table{Title: "<b>&", Columns: []Column{{Name: "*lamp*"}}, Rows: [][]string{
		{"<script>alert(1)</script>"}, {"[click](http://example.org) ![x](y)"}, {"a|b `c` _d_ # ~e~ \\"},
	}}
	want := `**\<b\>\&**

| \*lamp\* |
| --- |
| \<script\>alert(1)\</script\> |
| \[click\](http://example.org) !\[x\](y) |
| a\|b \` + "`c\\`" + ` \_d\_ \# \~e\~ \\ |
`
	if diff := cmp.Diff(want, written(t, tab, Markdown, 40)); diff != "" {
		t.Errorf("(- want, + got):\n%s", diff)
	}
}

// Tables are put one below the other by the names of their columns; cells of columns that a table
// lacks are empty.
func TestAppend(t *testing.T) {
	var all Table
	for _, one := range []*Table{
		{Columns: []Column{{Name: "rig"}, {Name: "near_m"}}, Rows: [][]string{{"a", "5"}}},
		{Columns: []Column{{Name: "rig"}, {Name: "near_ft"}, {Name: "far_ft"}},
			Rows: [][]string{{"b", "16", "98"}, {"b", "20", ""}}},
		{Columns: []Column{{Name: "near_m"}, {Name: "rig"}}, Rows: [][]string{{"7", "c"}}},
	} {
		all.Append(one)
	}
	var out strings.Builder
	if err := all.Write(&out, CSV, 0); err != nil {
		t.Fatal(err)
	}
	want := "rig,near_m,near_ft,far_ft\na,5,,\nb,,16,98\nb,,20,\nc,7,,\n"
	if out.String() != want {
		t.Errorf("the tables together are\n%swant\n%s", out.String(), want)
	}
}
