package guide

import (
	"fmt"
	"math"
	"strings"

	"beamfall/cmd/beamfall/internal/lines"
	"beamfall/cmd/beamfall/internal/table"

	"github.com/russross/blackfriday/v2"
)

// A page as plain text: paragraphs wrapped, titles underlined, tables set as the program sets its
// own.

// Text is the page as text of at most so many columns. Only what is code, and words longer than
// that, may be wider.
func (t Topic) Text(columns int) string {
	return strings.TrimLeft(blocks(parse(t.Markdown), columns), "\n")
}

func parse(markdown string) *blackfriday.Node {
	return blackfriday.New(blackfriday.WithExtensions(blackfriday.CommonExtensions)).Parse([]byte(markdown))
}

// blocks is all that stands in a node, an empty line before each block.
func blocks(parent *blackfriday.Node, columns int) string {
	var b strings.Builder
	for n := parent.FirstChild; n != nil; n = n.Next {
		switch n.Type {
		case blackfriday.Heading:
			title := plain(n)
			fmt.Fprintf(&b, "\n%s\n", title)
			if n.Level <= 2 {
				fmt.Fprintln(&b, strings.Repeat([]string{"=", "-"}[n.Level-1], lines.Width(title)))
			}
		case blackfriday.Paragraph:
			b.WriteString("\n" + lines.Wrap(inline(n), columns) + "\n")
		case blackfriday.CodeBlock:
			b.WriteString("\n" + hang(strings.TrimRight(string(n.Literal), "\n"), "    ", "    ") + "\n")
		case blackfriday.List:
			b.WriteString("\n" + items(n, columns))
		case blackfriday.Table:
			b.WriteString("\n" + grid(n, columns))
		case blackfriday.HTMLBlock: // a comment
		default:
			panic("a page has a block that text cannot show: " + n.Type.String())
		}
	}
	return b.String()
}

// items are the items of a list, with no empty lines between them.
func items(list *blackfriday.Node, columns int) string {
	var b strings.Builder
	count := 0
	for item := list.FirstChild; item != nil; item = item.Next {
		mark := "- "
		if count++; list.ListFlags&blackfriday.ListTypeOrdered != 0 {
			mark = fmt.Sprintf("%d. ", count)
		}
		inside := strings.Trim(blocks(item, columns-len(mark)), "\n")
		b.WriteString(hang(inside, mark, strings.Repeat(" ", len(mark))) + "\n")
	}
	return b.String()
}

// grid is a table. One that is too wide is set in two columns: the first, and all that is said of
// it.
func grid(n *blackfriday.Node, columns int) string {
	t := cells(n)
	if t.width() <= columns {
		return t.String()
	}
	rows, first := t.pairs(), 0
	for _, row := range rows {
		first = max(first, lines.Width(row[0]))
	}
	var b strings.Builder
	for _, row := range rows {
		said := make([]string, len(row)-1)
		for i, text := range row[1:] {
			said[i] = lines.Wrap(text, columns-first-2)
		}
		head := row[0] + strings.Repeat(" ", first-lines.Width(row[0])+2)
		b.WriteString(hang(strings.Join(said, "\n"), head, strings.Repeat(" ", first+2)) + "\n")
	}
	return b.String()
}

// chart is a table of a page. Its last column says what the first is about.
type chart struct{ table.Table }

func cells(n *blackfriday.Node) *chart {
	t := &chart{}
	n.Walk(func(n *blackfriday.Node, entering bool) blackfriday.WalkStatus {
		switch {
		case !entering:
		case n.Type == blackfriday.TableRow && n.Parent.Type == blackfriday.TableBody:
			t.Rows = append(t.Rows, nil)
		case n.Type == blackfriday.TableCell && n.IsHeader:
			t.Columns = append(t.Columns, table.Column{Name: plain(n)})
		case n.Type == blackfriday.TableCell:
			row := &t.Rows[len(t.Rows)-1]
			*row = append(*row, plain(n))
		}
		return blackfriday.GoToNext
	})
	return t
}

func (t *chart) String() string {
	var b strings.Builder
	if err := t.Write(&b, table.Text, math.MaxInt); err != nil {
		panic(err) // a builder takes all
	}
	return b.String()
}

func (t *chart) width() int { return lines.Width(t.String()) }

// pairs are each row as its first cell, its last cell, and if there are others a line of them by
// their heads.
func (t *chart) pairs() [][]string {
	var out [][]string
	last := len(t.Columns) - 1
	for _, row := range t.Rows {
		pair := []string{row[0], row[last]}
		var more []string
		for i, cell := range row[1:last] {
			if cell != "" {
				more = append(more, t.Columns[i+1].Name+": "+cell)
			}
		}
		if len(more) > 0 {
			pair = append(pair, strings.Join(more, "; "))
		}
		out = append(out, pair)
	}
	return out
}

// inline is running text on one line. Code keeps its quotes, which set a key apart from a word, and
// is not torn apart.
func inline(n *blackfriday.Node) string {
	return running(n, func(code string) string { return "`" + strings.ReplaceAll(code, " ", lines.Joint) + "`" })
}

// plain is running text with code as it is, for what stands apart by itself: titles and cells.
func plain(n *blackfriday.Node) string { return running(n, func(code string) string { return code }) }

func running(n *blackfriday.Node, code func(string) string) string {
	var b strings.Builder
	n.Walk(func(n *blackfriday.Node, entering bool) blackfriday.WalkStatus {
		switch n.Type {
		case blackfriday.Code:
			b.WriteString(code(string(n.Literal)))
		case blackfriday.Text:
			b.Write(n.Literal)
		}
		return blackfriday.GoToNext
	})
	return strings.Join(strings.Fields(b.String()), " ")
}

// hang puts one text before the first of several lines and another before the rest.
func hang(text, first, rest string) string {
	all := strings.Split(text, "\n")
	for i, line := range all {
		switch {
		case i == 0:
			all[i] = first + line
		case line != "":
			all[i] = rest + line
		}
	}
	return strings.Join(all, "\n")
}
