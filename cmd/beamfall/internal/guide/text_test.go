package guide

import (
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/lines"

	"github.com/google/go-cmp/cmp"
)

func TestText(t *testing.T) {
	tests := []struct {
		what, markdown, want string
	}{
		{"titles are underlined", "# Title `a`\n\n## Part\n\n### Small\n", "Title a\n=======\n\nPart\n----\n\nSmall\n"},
		{"a paragraph is one until an empty line", "one\ntwo three four five six\n\nnew\n",
			"one two three four\nfive six\n\nnew\n"},
		{"code keeps its lines", "```sh\nbeamfall plan my-truck.toml   # x\n\n  y\n```\n",
			"    beamfall plan my-truck.toml   # x\n\n      y\n"},
		{"code in a line keeps its quotes", "set `tilt` **now**\n", "set `tilt` now\n"},
		{"code in a line is not torn apart", "so then set it to `tilt = \"5 deg\"`\n",
			"so then set it to\n`tilt = \"5 deg\"`\n"},
		{"lists hang", "- one two three four five\n- six\n", "- one two three four\n  five\n- six\n"},
		{"lists count", "1. one\n2. two\n", "1. one\n2. two\n"},
		{"a comment is not shown", "<!-- x -->\n\ntext\n", "text\n"},
		{"a table that fits", "| a | b |\n| --- | --- |\n| `x` | 1 |\n", "a  b\n----\nx  1\n"},
		{
			"a table that does not", "| a | long head | b |\n| --- | --- | --- |\n| `x` | 1 | why it is so and not else |\n| yy | | no |\n",
			"x   why it is so and\n    not else\n    long head: 1\nyy  no\n",
		},
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, Topic{Markdown: tt.markdown}.Text(20)); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", tt.what, diff)
		}
	}
}

// On a terminal of any usual width no line of a page is wider, and no markup is left.
func TestPagesFitATerminal(t *testing.T) {
	for _, topic := range Topics() {
		code := map[string]bool{}
		for _, m := range fence.FindAllStringSubmatch(topic.Markdown, -1) {
			for line := range strings.Lines(m[2]) {
				code["    "+line] = true
			}
		}
		for _, columns := range []int{60, 80, 100} {
			text := topic.Text(columns)
			for line := range strings.Lines(text) {
				if lines.Width(line) > 100 || lines.Width(line) > columns && !code[line] {
					t.Errorf("%s at %d: %d columns: %s", topic.Name, columns, lines.Width(line), line)
				}
			}
			for _, markup := range []string{"<!--", "```", "**", "| ", "\n#"} {
				if strings.Contains(text, markup) {
					t.Errorf("%s at %d: %q is left", topic.Name, columns, markup)
				}
			}
		}
	}
}

func TestSummaries(t *testing.T) {
	for _, topic := range Topics() {
		if topic.Summary == "" || lines.Width(topic.Summary) > 75 || strings.HasPrefix(topic.Summary, "#") {
			t.Errorf("%s: %q is no summary", topic.Name, topic.Summary)
		}
	}
}

func TestManual(t *testing.T) {
	for _, topic := range Topics() {
		page := string(topic.Manual("beamfall v1"))
		for _, part := range []string{
			`.TH "BEAMFALL-` + strings.ToUpper(topic.Name) + `" "7" "" "beamfall v1"`, ".SH NAME\nbeamfall-" + topic.Name + ` \- `,
		} {
			if !strings.Contains(page, part) {
				t.Errorf("%s: no %s", topic.Name, part)
			}
		}
	}
}
