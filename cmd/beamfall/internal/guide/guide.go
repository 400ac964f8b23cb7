// Package guide is the pages that the program carries with it: how to go about it, the reference of
// its files, and what its figures rest on. They are Markdown, to be read in the repository, on a
// terminal and as manual pages.
package guide

import (
	"embed"
	"fmt"
	"strings"

	"github.com/cpuguy83/go-md2man/v2/md2man"
)

//go:generate go test -run TestRigFileHoldsTheReference . -update

//go:embed *.md
var pages embed.FS

// Topic is one page.
type Topic struct {
	Name     string
	Summary  string // one line, the title of the page
	Markdown string
}

// Topics are all pages, in the order in which they are best read.
func Topics() []Topic {
	topics := []Topic{{Name: "guide"}, {Name: "rig-file"}, {Name: "seeing"}, {Name: "limits"}, {Name: "physics"},
		{Name: "json"}}
	for i := range topics {
		t := &topics[i]
		text, err := pages.ReadFile(t.Name + ".md")
		if err != nil {
			panic(err) // a page of the list above is not built in
		}
		t.Markdown = string(text)
		title, _, _ := strings.Cut(t.Markdown, "\n")
		t.Summary = strings.TrimPrefix(title, "# ")
	}
	return topics
}

// Manual is the page as a manual page (man(7)) of section 7. Source names what it belongs to.
func (t Topic) Manual(source string) []byte {
	name := "beamfall-" + t.Name
	_, body, _ := strings.Cut(t.Markdown, "\n")
	head := fmt.Sprintf("%% %q \"7\" \"\" %q \"\"\n# NAME\n%s - %s\n\n", strings.ToUpper(name), source, name, t.Summary)
	return md2man.Render([]byte(head + listed(body)))
}

// listed makes definition lists of the tables that are too wide for a manual page.
func listed(markdown string) string {
	const columns = 70
	var out, rows strings.Builder
	end := func() {
		if rows.Len() > 0 {
			if t := cells(parse(rows.String())); t.width() > columns {
				for _, row := range t.pairs() {
					fmt.Fprintf(&out, "`%s`\n: %s\n\n", row[0], strings.Join(row[1:], "\n: "))
				}
			} else {
				out.WriteString(rows.String())
			}
		}
		rows.Reset()
	}
	for line := range strings.Lines(markdown) {
		if strings.HasPrefix(line, "|") {
			rows.WriteString(line)
			continue
		}
		end()
		out.WriteString(line)
	}
	end()
	return out.String()
}
