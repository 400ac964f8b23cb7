// Package table prints the same rows as text, Markdown or CSV. Nothing that stands in a cell is
// ever cut: in text, what is too wide for the terminal is folded, first within its cell, then by
// setting columns below one another.
package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"beamfall/cmd/beamfall/internal/lines"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// Format is how a table is printed.
type Format string

// The formats.
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
	Least int  // characters that its cells may be folded to where the table is too wide; 0: they stay on one line
	Lead  bool // says what a row is about: repeated where the columns are set below one another
}

// Table is rows under a title.
type Table struct {
	Title   string
	Columns []Column
	Rows    [][]string
}

// DropEmpty leaves out those columns of these names in which no cell says anything.
func (t *Table) DropEmpty(names ...string) {
	for k := len(t.Columns) - 1; k >= 0; k-- {
		says := func(row []string) bool { return row[k] != "" }
		if !slices.Contains(names, t.Columns[k].Name) || slices.ContainsFunc(t.Rows, says) {
			continue
		}
		t.Columns = slices.Delete(t.Columns, k, k+1)
		for i := range t.Rows {
			t.Rows[i] = slices.Delete(t.Rows[i], k, k+1)
		}
	}
}

// Append adds the rows of another table, cell by cell to the columns of the same name. Columns that
// this table lacks are added to its right; a cell of a column that a row lacks is empty.
func (t *Table) Append(other *Table) {
	at := make([]int, len(other.Columns))
	for k, c := range other.Columns {
		at[k] = slices.IndexFunc(t.Columns, func(own Column) bool { return own.Name == c.Name })
		if at[k] < 0 {
			at[k] = len(t.Columns)
			t.Columns = append(t.Columns, c)
		}
	}
	for i, row := range t.Rows {
		t.Rows[i] = append(row, make([]string, len(t.Columns)-len(row))...)
	}
	for _, cells := range other.Rows {
		row := make([]string, len(t.Columns))
		for k, cell := range cells {
			row[at[k]] = cell
		}
		t.Rows = append(t.Rows, row)
	}
}

// Write prints the table, and in text and Markdown its title before it. Text is at most so many
// columns of a terminal wide, as far as cells that must stay on one line allow.
func (t *Table) Write(w io.Writer, f Format, width int) error {
	switch f {
	case CSV:
		return t.writeCSV(w)
	case Markdown:
		return t.writeMarkdown(w)
	}
	var b strings.Builder
	if t.Title != "" {
		b.WriteString(lines.Wrap(t.Title, width) + "\n")
	}
	for i, part := range t.parts(width) {
		if i > 0 {
			b.WriteString("\n")
		}
		part.text(&b, width)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (t *Table) writeCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	head := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = defused(c.Name)
	}
	out.Write(head) // the error is that of the last call
	for _, row := range t.Rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = defused(cell)
		}
		out.Write(cells)
	}
	out.Flush()
	return out.Error()
}

// defused is a cell that a spreadsheet does not take for a formula: one that begins as formulas do,
// and is no number, gets an apostrophe, which spreadsheets take for the sign of a text.
func defused(cell string) string {
	if cell == "" || !strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
		return cell
	}
	if _, err := strconv.ParseFloat(cell, 64); err == nil {
		return cell
	}
	return "'" + cell
}

func (t *Table) writeMarkdown(w io.Writer) error {
	tw := table.NewWriter()
	tw.AppendHeader(t.row(t.head(), Escape))
	tw.SetColumnConfigs(t.configs())
	for _, row := range t.Rows {
		tw.AppendRow(t.row(row, Escape))
	}
	out := tw.RenderMarkdown() + "\n"
	if t.Title != "" {
		out = "**" + Escape(t.Title) + "**\n\n" + out
	}
	_, err := io.WriteString(w, out)
	return err
}

// markup is what Markdown takes for more than a character.
var markup = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", `\<`, ">",
	`\>`, "&", `\&`, "~", `\~`, "#", `\#`)

// Escape is a text as Markdown that shows it as it is, whatever is in it.
func Escape(text string) string { return markup.Replace(text) }

func (t *Table) head() []string {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = c.Name
	}
	return names
}

func (t *Table) row(cells []string, as func(string) string) table.Row {
	r := make(table.Row, len(cells))
	for i, cell := range cells {
		r[i] = as(cell)
	}
	return r
}

func (t *Table) configs() []table.ColumnConfig {
	configs := make([]table.ColumnConfig, len(t.Columns))
	for i, c := range t.Columns {
		configs[i].Number = i + 1
		if c.Right {
			configs[i].Align, configs[i].AlignHeader = text.AlignRight, text.AlignRight
		}
	}
	return configs
}

// plain is text with nothing but a line under the header.
var plain = func() table.Style {
	s := table.StyleDefault
	s.Box = table.BoxStyle{PaddingRight: "  ", MiddleHorizontal: "-", Left: "", Right: ""}
	s.Options = table.Options{SeparateHeader: true}
	s.Format = table.FormatOptions{Header: text.FormatDefault, Footer: text.FormatDefault, Row: text.FormatDefault}
	return s
}()

// gap is between columns.
const gap = 2

// text sets the table as text, its cells and heads folded to the width where that is needed and may
// be.
func (t *Table) text(b *strings.Builder, width int) {
	tw := table.NewWriter()
	tw.SetStyle(plain)
	tw.SetColumnConfigs(t.configs())
	widths := t.widths(width)
	fold := func(cells []string) table.Row {
		r := make(table.Row, len(cells))
		for i, cell := range cells {
			if lines.Width(cell) > widths[i] {
				cell = lines.Wrap(cell, widths[i])
			}
			r[i] = cell
		}
		return r
	}
	tw.AppendHeader(fold(t.head()))
	for _, row := range t.Rows {
		tw.AppendRow(fold(row))
	}
	ruled := false
	for line := range strings.SplitSeq(tw.Render(), "\n") {
		// the rule is under the gap behind the last column too
		if !ruled && line != "" && strings.Trim(line, "-") == "" {
			line, ruled = strings.Repeat("-", total(widths)), true
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}

// widths are those of the columns in text. Where all would be too wide, heads are folded to what
// their cells need; where that is not enough, the cells that may be, those of the widest column
// first.
func (t *Table) widths(width int) []int {
	widths := make([]int, len(t.Columns))
	for i := range t.Columns {
		widths[i] = t.needs(i, lines.Width(t.Columns[i].Name))
	}
	if total(widths) > width {
		for i := range t.Columns {
			widths[i] = t.needs(i, longestWord(t.Columns[i].Name))
		}
	}
	for total(widths) > width {
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

// needs is the width of the cells of a column, at least that of its head.
func (t *Table) needs(column, head int) int {
	for _, row := range t.Rows {
		if column < len(row) {
			head = max(head, lines.Width(row[column]))
		}
	}
	return head
}

func longestWord(s string) (most int) {
	for _, word := range strings.Fields(s) {
		most = max(most, lines.Width(word))
	}
	return most
}

func total(widths []int) int {
	sum := -gap
	for _, w := range widths {
		sum += w + gap
	}
	return sum
}

// parts is the table, or where not even its folded columns fit beside one another, tables of some
// of them, each with the columns that say what a row is about.
func (t *Table) parts(width int) []*Table {
	if total(t.widths(width)) <= width {
		return []*Table{t}
	}
	var lead, rest []int
	for i, c := range t.Columns {
		if c.Lead {
			lead = append(lead, i)
		} else {
			rest = append(rest, i)
		}
	}
	var parts []*Table
	for len(rest) > 0 {
		n := 1
		for n < len(rest) {
			if wider := t.of(append(lead[:len(lead):len(lead)], rest[:n+1]...)); total(wider.widths(width)) > width {
				break
			}
			n++
		}
		parts = append(parts, t.of(append(lead[:len(lead):len(lead)], rest[:n]...)))
		rest = rest[n:]
	}
	return parts
}

// of is some columns of the table.
func (t *Table) of(columns []int) *Table {
	out := &Table{}
	for _, i := range columns {
		out.Columns = append(out.Columns, t.Columns[i])
	}
	for _, row := range t.Rows {
		cells := make([]string, len(columns))
		for k, i := range columns {
			if i < len(row) {
				cells[k] = row[i]
			}
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}
