package table

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"
	"unicode/utf8"
)

func sample() *Table {
	return &Table{
		Title: "lamps",
		Columns: []Column{
			{Name: "#", Right: true}, {Name: "lamp", Least: 12}, {Name: "reach", Right: true}, {Name: "remark"},
		},
		Rows: [][]string{
			{"1", "spot, \"long\" | far", "12.5 m", ""},
			{"10", strings.Repeat("very ", 30) + "long name (left)", "3 m", "–"},
		},
	}
}

func TestTextIsNoWiderThanWidthAndKeepsTheSide(t *testing.T) {
	var b bytes.Buffer
	if err := sample().Write(&b, Text); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(b.String()) {
		if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > Width {
			t.Errorf("%d characters: %s", n, line)
		}
	}
	if !strings.Contains(b.String(), "… (left)") {
		t.Errorf("the cut name lost its side:\n%s", b.String())
	}
}

func TestCSVParsesToTheCells(t *testing.T) {
	var b bytes.Buffer
	if err := sample().Write(&b, CSV); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 3 || rows[1][1] != sample().Rows[0][1] || rows[2][1] != sample().Rows[1][1] {
		t.Errorf("read back %q", rows)
	}
}

func TestMarkdownHasACellForEachColumn(t *testing.T) {
	var b bytes.Buffer
	if err := sample().Write(&b, Markdown); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(b.String()) {
		if strings.HasPrefix(line, "|") {
			if n := strings.Count(strings.ReplaceAll(line, `\|`, ""), "|"); n != 5 {
				t.Errorf("%d bars: %s", n, line)
			}
		}
	}
}

func TestCut(t *testing.T) {
	for _, tt := range []struct {
		text string
		most int
		want string
	}{
		{"roof bar", 8, "roof bar"}, {"roof bars", 8, "roof ba…"}, {"bumper spot (left)", 14, "bumper… (left)"}, {"Dachbalken über", 12, "Dachbalken …"},
	} {
		if got := Cut(tt.text, tt.most); got != tt.want {
			t.Errorf("Cut(%q, %d) = %q, want %q", tt.text, tt.most, got, tt.want)
		}
	}
}
