// Package table prints the same rows as text, Markdown or CSV.
package table

import (
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// Format is how a table is printed.
type Format string

const (
	Text     Format = "text"
	Markdown Format = "markdown"
	CSV      Format = "csv"
)

// ParseFormat reads a format's name.
func ParseFormat(name string) (Format, error) {
	switch f := Format(name); f {
	case Text, Markdown, CSV:
		return f, nil
	}
	return "", fmt.Errorf("format %q is not known; write text, markdown or csv", name)
}

// Column heads a column of a table.
type Column struct {
	Name  string
	Right bool // figures, set to the right
	Least int  // characters that it may be cut down to where the table is too wide; 0: never cut
}

// Width is what tables in text fit in, as far as their columns can be cut.
const Width = 100

// gap is between columns.
const gap = 2

// Table is rows under a title.
type Table struct {
	Title   string
	Columns []Column
	Rows    [][]string
}

// plain is text with nothing but a line under the header.
var plain = func() table.Style {
	s := table.StyleDefault
	s.Box = table.BoxStyle{PaddingRight: "  ", MiddleHorizontal: "-", Left: "", Right: ""}
	s.Options = table.Options{SeparateHeader: true}
	s.Format = table.FormatOptions{Header: text.FormatDefault, Footer: text.FormatDefault, Row: text.FormatDefault}
	return s
}()

// Write prints the table, and in text and Markdown its title before it.
func (t *Table) Write(w io.Writer, f Format) error {
	tw := table.NewWriter()
	tw.SetStyle(plain)
	head := make(table.Row, len(t.Columns))
	configs := make([]table.ColumnConfig, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = c.Name
		configs[i].Number = i + 1
		if c.Right {
			configs[i].Align, configs[i].AlignHeader = text.AlignRight, text.AlignRight
		}
	}
	tw.AppendHeader(head)
	tw.SetColumnConfigs(configs)
	widths := t.widths()
	for _, row := range t.Rows {
		r := make(table.Row, len(row))
		for i, cell := range row {
			if f == Text {
				cell = Cut(cell, widths[i])
			}
			r[i] = cell
		}
		tw.AppendRow(r)
	}
	var out string
	switch f {
	case Markdown:
		out = tw.RenderMarkdown()
	case CSV:
		out = tw.RenderCSV()
	default:
		lines := strings.Split(tw.Render(), "\n")
		for i := range lines {
			lines[i] = strings.TrimRight(lines[i], " ")
		}
		out = strings.Join(lines, "\n")
	}
	if t.Title != "" && f == Text {
		out = t.Title + "\n\n" + out
	}
	if t.Title != "" && f == Markdown {
		out = "**" + t.Title + "**\n\n" + out
	}
	_, err := io.WriteString(w, out+"\n")
	return err
}

// widths are those of the columns in text: what the cells need, or less where the table would be too wide. The widest of
// the columns that can be cut is cut first.
func (t *Table) widths() []int {
	widths := make([]int, len(t.Columns))
	total := gap * len(t.Columns)
	for i, c := range t.Columns {
		widths[i] = text.StringWidthWithoutEscSequences(c.Name)
		for _, row := range t.Rows {
			if i < len(row) {
				widths[i] = max(widths[i], text.StringWidthWithoutEscSequences(row[i]))
			}
		}
		total += widths[i]
	}
	for ; total > Width; total-- {
		widest := -1
		for i, c := range t.Columns {
			if c.Least > 0 && widths[i] > c.Least && (widest < 0 || widths[i] > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			break
		}
		widths[widest]--
	}
	return widths
}

// Cut is s in at most so many columns of a terminal, with an ellipsis where it was longer. A last word in brackets, such
// as (left), stays.
func Cut(s string, most int) string {
	if text.StringWidthWithoutEscSequences(s) <= most {
		return s
	}
	tail := ""
	if i := strings.LastIndex(s, " ("); i >= 0 && strings.HasSuffix(s, ")") && len(s)-i < most-3 {
		s, tail = s[:i], s[i:]
	}
	return text.Trim(s, most-len(tail)-1) + "…" + tail
}
