package quantity

// Reading: a number, a blank or none, a unit; and for lengths the feet, inches and fractions of a
// tape measure.

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Error is a text that could not be read as the quantity it should be.
type Error struct {
	Problem string // what is wrong, with the text in question: `"1.9" has no unit`
	Remedy  string // what would be right: `write e.g. "1.9 m"`
}

func (e *Error) Error() string { return e.Problem + "; " + e.Remedy }

// longest is the length in bytes above which a text is no quantity.
const longest = 100

var (
	plain = regexp.MustCompile(`^[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?`)
	hex   = regexp.MustCompile(`^[+-]?0[xX]`)
	tape  = regexp.MustCompile(`(?i)^([+-]?)(?:([0-9]+)(?: *(?:ft|foot|feet|') *|'-))?` +
		`(?:([0-9]+(?:\.[0-9]+)?|\.[0-9]+)|(?:([0-9]+) +)?([0-9]+)/([0-9]+)) *(?:in|inch|inches|"|'')$`)
)

// typeset undoes what word processors do to quantities.
var typeset = strings.NewReplacer(
	"\u2212", "-", // minus sign
	"\u2032", "'", "\u2019", "'", "\u2033", `"`, "\u201d", `"`, // primes and closing quotes
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\t", " ", // no-break, narrow and thin spaces
	"\u00ba", "°", // ordinal indicator, taken for a degree sign
)

// Parse reads a text of this kind and returns its value in SI units (angles rad, grades as slopes).
// The error is an *Error. The value is finite; whether it makes sense is for the caller to say.
func (k Kind) Parse(text string) (float64, error) {
	s := strings.TrimSpace(text)
	switch {
	case s == "":
		return 0, k.refuse("an empty text is not %v", k)
	case len(s) > longest:
		return 0, k.refuse("%s is too long for %v", Quote(s), k)
	}
	s = strings.TrimSpace(typeset.Replace(s))
	value, err := k.parse(s)
	if err == nil {
		return value, nil
	}
	if meant, ok := k.meant(s); ok {
		return 0, &Error{Problem: AsError(err).Problem, Remedy: "write " + Quote(meant)}
	}
	// A quantity of another kind deserves to be called by its name.
	if plain.FindString(s) != s {
		for _, other := range []Kind{
			Length, Angle, Speed, Acceleration, Time, Flux, Intensity, Illuminance, Luminance, Share,
		} {
			if _, e := other.parse(s); e == nil && other != k && !(k == Grade && other == Angle) {
				noun := other.String()
				if other == Share {
					noun = "a percentage"
				}
				return 0, k.refuse("%s is %s, not %v", Quote(s), noun, k)
			}
		}
	}
	return 0, err
}

// slips are forms that people write and that are not read, since they could be something else, with
// what they most likely are.
var slips = []struct {
	form *regexp.Regexp
	is   string
}{
	{regexp.MustCompile(`[\x{2010}-\x{2015}]`), "-"}, // dashes of a word processor
	{regexp.MustCompile(` ?½`), " 1/2"},
	{regexp.MustCompile(` ?¼`), " 1/4"},
	{regexp.MustCompile(` ?¾`), " 3/4"},
	{regexp.MustCompile(`([a-zA-Z])\.`), "$1 "},                                                 // 6 ft. 4 in.
	{regexp.MustCompile(`^([-+]?[0-9]+),([0-9]{1,2})($|[^0-9,].*$)`), "$1.$2$3"},                // 1,9 m
	{regexp.MustCompile(`(?i)^([-+]?[0-9]+) *m *([0-9]{2})$`), "$1.$2 m"},                       // 1m90
	{regexp.MustCompile(`(?i)^([-+]?[0-9]+) *(?:ft|feet|foot|')? *-+ *([0-9])`), "$1 ft $2"},    // 6ft-4in, 6-3
	{regexp.MustCompile(`(?i)^([-+]?[0-9]+) *(?:ft|feet|foot|') *([0-9./ ]+)$`), "$1 ft $2 in"}, // 6'3
}

// closeUnit is the inches of feet and inches right behind their number.
var closeUnit = regexp.MustCompile(`( ft .*[0-9])(in)$`)

// meant is the form of a quantity that a text which is none most likely stands for.
func (k Kind) meant(s string) (string, bool) {
	text := s
	for _, slip := range slips {
		text = strings.TrimSpace(slip.form.ReplaceAllString(text, slip.is))
	}
	if text == s {
		return "", false
	}
	_, err := k.parse(text)
	return strings.Join(strings.Fields(closeUnit.ReplaceAllString(text, "$1 $2")), " "), err == nil
}

func (k Kind) parse(s string) (float64, error) {
	if strings.ContainsRune(s, ',') {
		return 0, &Error{
			Problem: fmt.Sprintf("%s has a comma", Quote(s)),
			Remedy:  fmt.Sprintf("use a point for decimals and nothing between thousands, e.g. %q", k.Example()),
		}
	}
	digits := plain.FindString(s)
	if digits == "" {
		return 0, k.refuse("%s is not a number%s", Quote(s), k.withUnit())
	}
	name := strings.ToLower(strings.TrimSpace(s[len(digits):]))
	u, known := k.find(name)
	if !known {
		if k == Length {
			if m, ok := parseTape(s); ok {
				return m, nil
			}
		}
		return 0, k.doubtUnit(s, name)
	}
	number, err := strconv.ParseFloat(digits, 64)
	if err != nil { // the syntax is known to be right: it overflows
		return 0, k.refuse("%s is too large", Quote(s))
	}
	return k.value(s, number, u)
}

// value is a number of units in SI; s is the whole text, for messages.
func (k Kind) value(s string, number float64, u unit) (float64, error) {
	v := number * u.num / u.den
	if k == Grade && u.name != "%" {
		if math.Abs(v) >= math.Pi/2 {
			return 0, k.refuse("%s is not below 90°", Quote(s))
		}
		v = math.Tan(v)
	}
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, k.refuse("%s is too large", Quote(s))
	}
	return v, nil
}

// Of is the SI value of a number without a unit. Where the kind needs a unit, it is an *Error that
// says so.
func (k Kind) Of(number float64) (float64, error) {
	s := strconv.FormatFloat(number, 'g', -1, 64)
	if !k.Bare() {
		return 0, k.refuse("%s has no unit", s)
	}
	if math.IsInf(number, 0) || math.IsNaN(number) {
		return 0, k.refuse("%s is not a number", s)
	}
	return k.value(s, number, forms[k].units[0])
}

// parseTape reads feet, inches and fractions of an inch: 6 ft 3 in, 6'3", 2 1/4 in. Inches beside
// feet are below 12, fractions are those of a tape measure.
func parseTape(s string) (m float64, ok bool) {
	part := tape.FindStringSubmatch(s)
	if part == nil {
		return 0, false
	}
	number := func(i int) float64 {
		if part[i] == "" {
			return 0
		}
		v, err := strconv.ParseFloat(part[i], 64)
		if err != nil {
			v = math.Inf(1)
		}
		return v
	}
	inches := number(3) + number(4)
	if part[6] != "" {
		switch part[6] {
		case "2", "4", "8", "16", "32", "64":
		default:
			return 0, false
		}
		fraction := number(5) / number(6)
		if fraction >= 1 {
			return 0, false
		}
		inches += fraction
	}
	if part[2] != "" {
		if inches >= 12 {
			return 0, false
		}
		inches += 12 * number(2)
	}
	m = inches * 254 / 10000
	if part[1] == "-" {
		m = -m
	}
	return m, !math.IsInf(m, 0)
}

// doubtUnit says what is wrong with the unit of a text that begins with a number.
func (k Kind) doubtUnit(s, name string) error {
	switch {
	case name == "":
		return k.refuse("%s has no unit", Quote(s))
	case strings.ContainsAny(name[:1], "0123456789._+-") || hex.MatchString(s):
		return k.refuse("%s is not a plain decimal number%s", Quote(s), k.withUnit())
	case len(k.Units()) == 1:
		return k.refuse("%s is not a plain number", Quote(s))
	case strings.ContainsAny(name, "0123456789"):
		return k.refuse("%s is not %v", Quote(s), k)
	}
	return k.refuse("%s: the unit %s is not known here", Quote(s), Quote(name))
}

func (k Kind) withUnit() string {
	if k.Bare() {
		return ""
	}
	return " with a unit"
}

func (k Kind) refuse(format string, args ...any) error {
	remedy := fmt.Sprintf("write e.g. %q", k.Example())
	if k == Length {
		remedy += ` or "6 ft 3 in"`
	}
	return &Error{Problem: fmt.Sprintf(format, args...), Remedy: remedy}
}

// Quote is a text of the user in quotes, for messages: shortened, and with nothing in it that could
// upset a terminal.
func Quote(s string) string {
	const most = 40 // characters
	s = strings.ToValidUTF8(s, "\ufffd")
	if utf8.RuneCountInString(s) > most {
		s = string([]rune(s)[:most-1]) + "…"
	}
	quoted := strconv.Quote(s)
	if tidy := strings.ReplaceAll(quoted, `\"`, `"`); !strings.Contains(tidy, `\`) {
		return tidy // "6'3"" reads better than "6'3\""
	}
	return quoted
}

// AsError is err as an *Error, whatever it is.
func AsError(err error) *Error {
	var e *Error
	if errors.As(err, &e) {
		return e
	}
	return &Error{Problem: err.Error()}
}

// ParseLength reads a length such as 1.9 m, 75 in, 6 ft 3 in, 6'3" or -2 1/4 in, in m. The error is
// an *Error, here and in ParseIlluminance.
func ParseLength(text string) (float64, error) { return Length.Parse(text) }

// ParseIlluminance reads an illuminance such as 5, 5 lx or 0.5 fc (foot-candles), in lx.
func ParseIlluminance(text string) (float64, error) { return Illuminance.Parse(text) }
