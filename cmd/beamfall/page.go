package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"beamfall/cmd/beamfall/internal/lines"
	"beamfall/cmd/beamfall/internal/table"
)

// page prints tables and lists as text or Markdown, no wider than pageWidth. The first error stays.
type page struct {
	w      io.Writer
	format table.Format
	err    error
}

const pageWidth = 100

func (p *page) printf(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format, args...)
	}
}

func (p *page) heading(title string) {
	if p.format == table.Markdown {
		title = "## " + title
	}
	p.printf("%s\n\n", title)
}

func (p *page) table(t *table.Table) {
	if p.err == nil {
		p.err = t.Write(p.w, p.format)
	}
	p.printf("\n")
}

// list prints lines under a title, long ones on several; nothing where there are none.
func (p *page) list(title string, items []string) {
	if len(items) == 0 {
		return
	}
	if p.format == table.Markdown {
		p.printf("**%s**\n\n", title)
		for _, l := range items {
			p.printf("- %s\n", l)
		}
	} else {
		p.printf("%s\n", title)
		for _, l := range items {
			p.printf("  %s\n", strings.ReplaceAll(lines.Wrap(l, pageWidth-4), "\n", "\n    "))
		}
	}
	p.printf("\n")
}

// text prints lines, long ones on several.
func (p *page) text(t string) {
	for line := range strings.SplitSeq(t, "\n") {
		p.printf("%s\n", lines.Wrap(line, pageWidth))
	}
}

func printJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return failed(e.Encode(v))
}
