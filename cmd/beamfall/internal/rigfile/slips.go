package rigfile

// What is not TOML, in words for someone who has never heard of TOML. What went wrong is read off
// the line itself; only where it shows no slip that is known here does go-toml's own message stand.

import (
	"bytes"
	"regexp"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"

	"github.com/pelletier/go-toml/v2"
)

// slips are what people write, by a sign in the line, the surest first.
var slips = []struct {
	sign            *regexp.Regexp
	problem, remedy string
}{
	{regexp.MustCompile(`[\x00-\x08\x0b-\x1f\x7f]`), "a control character", "leave it out"},
	{regexp.MustCompile(`[\x{2018}-\x{201f}]`), "curly quotes", `write plain ones: "`},
	{regexp.MustCompile(`^\s*(//|;|--)`), "this is not a comment", "a # starts a comment"},
	{regexp.MustCompile(`^\s*[\w.-]+\s*:`), "a : after the key", "write key = value"},
	{regexp.MustCompile(`=\s*[-+]?[\d.]+\s*,\s*[-+]?[\d.]+\s*(#|$)`), "a comma in a number, or a list without brackets",
		"use a point for decimals, e.g. 4.5, and brackets for lists, e.g. [36, 14]"},
	{regexp.MustCompile(`[=,\[]\s*[-+]?\d+\s*'`), "feet and inches stand without quotes", `write e.g. "6 ft 3 in"`},
	{regexp.MustCompile(`"[-+]?\d+\s*'[^"]*""`), `a " within a text ends it`, `write e.g. "6 ft 3 in"`},
	{regexp.MustCompile(`"[^"]*\\`), `a \ in a text starts a code such as \n`, `write \\ or / for it`},
	{regexp.MustCompile(`=\s*(#|$)`), "there is no value", "write key = value"},
	{regexp.MustCompile(`=\s*[-+]?0\d`), "a number starts with 0", "leave out the leading zeros"},
	{regexp.MustCompile(`=\s*[-+]?\d*\.(\s|$)`), "a number ends with its decimal point", "write e.g. 5.0"},
	{regexp.MustCompile(`^\s*\[\[[^\]]*\]?\s*(#|$)`), "]] is missing", "write e.g. [[lamp]]"},
	{regexp.MustCompile(`^\s*\[[^\]]*(#|$)`), "] is missing", "write e.g. [vehicle], or [[lamp]] for one of several"},
	{regexp.MustCompile(`^[^"#]*("[^"]*"[^"#]*)*"[^"]*$`), "a text is not closed on its line", `put a " at its end`},
	{regexp.MustCompile(`=\s*'[^']*$`), "a text is not closed on its line", "put a ' at its end"},
	{regexp.MustCompile(`=\s*\[[^\]]*$`), "a list is not closed", "put a ] at its end"},
	{regexp.MustCompile(`=\s*\{[^}]*$`), "a table in braces is not closed", "put a } at its end"},
	{regexp.MustCompile(`^[^=]*$`), "there is no = after the key", "write key = value; a # starts a comment"},
	{regexp.MustCompile(`=\s*("[^"]*"|[^\s"'\[{]+)\s+[^\s#]`), "something stands behind the value",
		"put it on a line of its own, or a # before it"},
}

// syntaxMistakes says what keeps a text from being TOML, as go-toml found at an offset: the first
// thing, and everywhere what is by far the commonest: quantities and words without quotes.
func syntaxMistakes(src *source, at int, err error) Mistakes {
	found := withoutQuotes(src)
	line := place{src, at}.position().Line
	for _, m := range found {
		if m.Line == line {
			return found
		}
	}
	m := leftOpen(src, src.lineStart(at), at)
	if m == nil {
		m = slipAt(src, at)
	}
	if m == nil {
		said := strings.TrimPrefix(err.Error(), "toml: ")
		m = mistakeAt(place{src, at}, "this is not TOML: "+strings.Map(printable, said[:min(len(said), 200)]), seeNew)
	}
	return append(found, m...).sorted(src.name)
}

// longLine is how many bytes a line may have that is looked at more closely.
const longLine = 4000

// slipAt finds the slip in the line of an offset.
func slipAt(src *source, at int) Mistakes {
	text := strings.TrimSuffix(string(src.text[src.lineStart(at):src.lineEnd(at)]), "\r")
	for _, slip := range slips {
		if len(text) <= longLine && slip.sign.MatchString(text) {
			return mistakeAt(place{src, at}, slip.problem, slip.remedy)
		}
	}
	return nil
}

var (
	inQuotes = regexp.MustCompile(`"(\\.|[^"\\])*"|'[^']*'`)
	isHeader = regexp.MustCompile(`^\s*\[\[?\s*[A-Za-z][^"',]*$`)
	bareText = regexp.MustCompile(`([\w-]*)\s*([=\[,])\s*([^\s"'=\[\]{},#\x{2018}-\x{201f}][^"'=\[\]{},#]*)`)
	isNumber = regexp.MustCompile(`^[-+]?\d[\d._]*([eE][-+\d]*)?$`) // and an attempt at one
)

// plainLine is a line without its comment, with blanks for what stands in quotes; nothing for a
// long one.
func plainLine(line []byte) []byte {
	if len(line) > longLine {
		return nil
	}
	line = inQuotes.ReplaceAllFunc(line, func(text []byte) []byte { return bytes.Repeat([]byte(" "), len(text)) })
	line, _, _ = bytes.Cut(line, []byte("#"))
	return line
}

// withoutQuotes finds values that should stand in quotes.
func withoutQuotes(src *source) (found Mistakes) {
	for start := 0; start < len(src.text) && len(found) <= mostShown; start = src.lineEnd(start) + 1 {
		line := plainLine(src.text[start:src.lineEnd(start)])
		if isHeader.Match(line) {
			continue
		}
		for _, m := range bareText.FindAllSubmatchIndex(line, -1) {
			value := strings.TrimSpace(string(line[m[6]:m[7]]))
			followed := m[7] < len(line) && strings.IndexByte(`='"`, line[m[7]]) >= 0 // a key, or feet and inches
			if followed || isNumber.MatchString(value) || isTOML("x = "+value) {
				continue
			}
			at := place{src, start + m[6]}
			switch strings.ToLower(value) {
			case "true", "false", "yes", "no", "on", "off":
				problem := value + " is neither true nor false"
				found = append(found, mistakeAt(at, problem, "write true or false, in small letters")...)
				continue
			}
			remedy := "write " + quantity.Quote(value)
			if name := string(line[m[2]:m[3]]); line[m[4]] == '=' && name != "" {
				remedy = "write " + name + " = " + quantity.Quote(value)
			}
			found = append(found, mistakeAt(at, unquoted(value)+" stands without quotes", remedy)...)
		}
	}
	return found
}

// leftOpen finds the list, table in braces or long text that is not closed, when the line where the
// parser gave up is right by itself.
func leftOpen(src *source, start, at int) Mistakes {
	if at < len(src.text) && !isTOML(string(src.text[start:src.lineEnd(at)])) {
		return nil
	}
	const long = `"""`
	if before := src.text[:at]; bytes.Count(before, []byte(long))%2 == 1 {
		opened := place{src, bytes.LastIndex(before, []byte(long))}
		return mistakeAt(opened, "a text in "+long+" is not closed", `write texts on one line, in "`)
	}
	for end := start - 1; end > 0; {
		from := src.lineStart(end)
		line := plainLine(src.text[from:end])
		for _, pair := range []struct{ open, close, problem, remedy string }{
			{"{", "}", "a table in braces is not closed", "put a } at its end"},
			{"[", "]", "a list is not closed", "put a ] at its end"},
		} {
			if bytes.Count(line, []byte(pair.open)) > bytes.Count(line, []byte(pair.close)) {
				return mistakeAt(place{src, from}, pair.problem, pair.remedy)
			}
		}
		end = from - 1
	}
	return nil
}

func isTOML(text string) bool { return toml.Unmarshal([]byte(text), new(map[string]any)) == nil }

// unquoted is a text of the user for a message, shortened, without the quotes that it should have.
func unquoted(text string) string { return strings.Trim(quantity.Quote(text), `"`) }
