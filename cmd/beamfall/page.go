package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"beamfall/cmd/beamfall/internal/lines"
	"beamfall/cmd/beamfall/internal/table"

	"golang.org/x/term"
)

// caution closes every page.
const caution = "Off-road lamps are for off-road use; many places require them covered and off on public roads. " +
	"Local law and licensed practice come first. Never look into a lit lamp."

// page prints tables and lists as text, no wider than the terminal, or as Markdown. The first error
// stays.
type page struct {
	w      io.Writer
	format table.Format
	err    error
}

// usualWidth is that of a page that no terminal shows.
const usualWidth = 80

// columns is how wide a page of text may be: as the terminal, but no wider than is good to read.
func columns() int {
	const least, most = 40, 100
	if wide, _, err := term.GetSize(int(os.Stdout.Fd())); err == nil && wide > 0 {
		return max(least, min(wide, most))
	}
	return usualWidth
}

func (p *page) printf(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format, args...)
	}
}

func (p *page) heading(title string) {
	if p.format == table.Markdown {
		p.printf("## %s\n\n", table.Escape(title))
		return
	}
	p.printf("%s\n\n", lines.Wrap(title, columns()))
}

func (p *page) table(t *table.Table) {
	if len(t.Rows) == 0 {
		return
	}
	if p.err == nil {
		p.err = t.Write(p.w, p.format, columns())
	}
	p.printf("\n")
}

// list prints lines under a title, long ones on several; nothing where there are none.
func (p *page) list(title string, items []string) {
	if len(items) == 0 {
		return
	}
	if p.format == table.Markdown {
		p.printf("**%s**\n\n", table.Escape(title))
		for _, l := range items {
			p.printf("- %s\n", table.Escape(l))
		}
	} else {
		p.printf("%s\n", lines.Wrap(title, columns()))
		for _, l := range items {
			p.printf("  %s\n", strings.ReplaceAll(lines.Wrap(l, columns()-4), "\n", "\n    "))
		}
	}
	p.printf("\n")
}

// text prints lines, long ones on several.
func (p *page) text(t string) {
	for line := range strings.SplitSeq(t, "\n") {
		if p.format == table.Markdown {
			p.printf("%s\n", table.Escape(line))
			continue
		}
		p.printf("%s\n", lines.Wrap(line, columns()))
	}
}

func printJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return failed(e.Encode(v))
}
