package rigfile

// What the TOML parser has to say, in words for someone who has never heard of TOML. The commonest slip by far is a
// quantity without quotes.

import (
	"bytes"
	"regexp"
	"strings"
	"unicode/utf8"

	"beamfall/cmd/beamfall/internal/quantity"
)

// saying is what a message of the parser that contains a phrase means.
type saying struct{ phrase, problem, remedy string }

var sayings = []saying{
	{"literal string", "a text in ' is not closed on its line", "put a ' at its end"},
	{"multiline", `a text in """ is not closed`, `write texts on one line, in "`},
	{"unterminated", `a text is not closed`, `put a " at its end`},
	{"cannot have new lines", `a text is not closed on its line`, `put a " at its end`},
	{"control characters", "a control character", "leave it out"},
	{"carriage return", "a stray carriage return", "save the file with plain line ends"},
	{"newline but got U+000D", "a stray carriage return", "save the file with plain line ends"},
	{"escape", `a \ in a text starts a code such as \n`, `write \\ or / for it`},
	{`need a character after \`, `a \ in a text starts a code such as \n`, `write \\ or / for it`},
	{"leading zeroes", "a number starts with 0", "leave out the leading zeros"},
	{"'=' after key", "there is no = after the key", "write key = value"},
	{"array is incomplete", "a list is not closed", "put a ] at its end"},
	{"array value", "a comma or ] is missing in a list", `write e.g. ["-1.5 m", "-0.2 m"]`},
	{"inline table is incomplete", "a table in braces is not closed", "put a } at its end"},
	{"inline table key-value", "a comma or } is missing in a table", `write e.g. { ahead = "-1.9 m", up = "2.05 m" }`},
	{"comma in inline table", "a comma too many", "leave it out"},
	{"close array table name", "]] is missing", "write e.g. [[lamp]]"},
	{"close table name", "] is missing", "write e.g. [vehicle], or [[lamp]] for one of several"},
	{"start of key", "this is not a key", "write key = value; a # starts a comment"},
	{"expected key", "this is not a key", "write key = value; a # starts a comment"},
	{"expected value but got U+002C", "a comma too many", "leave it out"},
	{"decimal point must be", "a number ends with its decimal point", "write e.g. 5.0"},
	{"exponent", "a number ends with e", "write it in full, e.g. 16000"},
	{"newline", "something stands behind the value", "put it on a line of its own, or a # before it"},
}

// unquoted is a value without quotes that should have them, from the sign that ends the key to the sign that ends the
// value.
var unquoted = regexp.MustCompile(`^[^"'\[\]{}=,#]+$`)

// unclosed says what is open at the end of a piece of an expression.
func unclosed(piece []byte) (problem, remedy string) {
	if bytes.Count(piece, []byte("{")) > bytes.Count(piece, []byte("}")) {
		return "a table in braces is not closed", "put a } at its end"
	}
	return "a list is not closed", "put a ] at its end"
}

// explain puts a message of the parser into words. The expression begins at start, the parser gave up at at.
func (r *reader) explain(message string, start, at int) (problem, remedy string) {
	if strings.Contains(message, "control characters") || strings.Contains(message, "carriage return") ||
		strings.Contains(message, "leading zeroes") {
		return say(message)
	}
	lineStart := r.lineStart(at)
	before := r.text[max(lineStart, start):at]
	after := r.text[at:r.lineEnd(at)]
	key, hasValue := "", false
	if m := startsKey.FindSubmatch(r.text[start:r.lineEnd(start)]); m != nil {
		key, hasValue = string(m[1]), true
	}
	switch first, _ := utf8.DecodeRune(after); {
	case strings.ContainsRune("\u201c\u201d\u201e\u2018\u2019", first):
		return "curly quotes", `write plain ones: "`
	case first == ':' && !hasValue:
		return "a : after the key", "write key = value"
	case first == ',' && hasValue && !bytes.ContainsAny(before, `[{"'`):
		return "a comma in a number, or a list without brackets",
			"use a point for decimals, e.g. 4.5, and brackets for lists, e.g. [36, 14]"
	}

	// The value around the place where the parser gave up.
	from := bytes.LastIndexAny(before, "=,[{") + 1
	to := bytes.IndexAny(after, ",]}#\r")
	if to < 0 {
		to = len(after)
	}
	value := strings.TrimSpace(string(before[from:]) + string(after[:to]))
	switch {
	case from == 0 || !hasValue:
	case value == "":
		return "there is no value", "write " + lastKey(before, key) + ` = …`
	case value == "yes" || value == "no" || strings.EqualFold(value, "true") || strings.EqualFold(value, "false"):
		return quantity.Quote(value) + " is neither true nor false", "write true or false, in small letters"
	case unquoted.MatchString(value) && before[from-1] != '{':
		remedy = "write "
		if name := lastKey(before[:from], key); name != "" {
			remedy += name + " = "
		}
		return strings.Trim(quantity.Quote(value), `"`) + " stands without quotes", remedy + quantity.Quote(value)
	case strings.HasSuffix(value, "'") || strings.HasSuffix(value, `"`):
		if strings.Count(value, `"`) == 1 && strings.Contains(value, "'") { // 6'3"
			return "feet and inches stand without quotes", `write e.g. "6 ft 3 in"`
		}
		if strings.Contains(value, "'") && strings.HasPrefix(value, `"`) {
			return `a " within a text ends it`, `write e.g. "6 ft 3 in"`
		}
	}
	return say(message)
}

// lastKey is the key whose value begins where before ends; in a list it is none.
func lastKey(before []byte, key string) string {
	trimmed := bytes.TrimRight(before, " \t")
	if !bytes.HasSuffix(trimmed, []byte("=")) {
		return ""
	}
	trimmed = bytes.TrimRight(trimmed[:len(trimmed)-1], " \t")
	from := bytes.LastIndexAny(trimmed, " \t{,.") + 1
	if name := string(trimmed[from:]); name != "" {
		return name
	}
	return key
}

func say(message string) (problem, remedy string) {
	for _, s := range sayings {
		if strings.Contains(message, s.phrase) {
			return s.problem, s.remedy
		}
	}
	return "this cannot be read", seeNew
}
