package lm63

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A source hands out the text of a file first by lines, then by numbers, and knows the line it is
// on. Lines end with CR LF, LF or CR; numbers are separated by blanks, commas and line ends, in any
// mixture.
type source struct {
	rest []byte
	line int // of the first byte of rest, from 1
}

func newSource(data []byte) *source {
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	// Files from the days of floppies end with Ctrl-Z, sometimes filled up with it. Without blank
	// lines behind it, the last line with anything on it is the line that a file ends on.
	return &source{rest: bytes.TrimRight(data, "\x1a\x00 \t\r\n"), line: 1}
}

// nextLine is the next line as UTF-8 and its number.
func (s *source) nextLine() (text string, line int, ok bool) {
	if len(s.rest) == 0 {
		return "", s.line, false
	}
	line = s.line
	end := bytes.IndexAny(s.rest, "\r\n")
	if end < 0 {
		text, s.rest = readable(s.rest), nil
		return text, line, true
	}
	text = readable(s.rest[:end])
	if s.rest[end] == '\r' && end+1 < len(s.rest) && s.rest[end+1] == '\n' {
		end++
	}
	s.rest = s.rest[end+1:]
	s.line++
	return text, line, true
}

// nextWord is the next run of characters between separators and its line.
func (s *source) nextWord() (word []byte, line int, ok bool) {
	i := 0
	for i < len(s.rest) && separates(s.rest[i]) {
		if s.rest[i] == '\n' || s.rest[i] == '\r' && !(i+1 < len(s.rest) && s.rest[i+1] == '\n') {
			s.line++
		}
		i++
	}
	start := i
	for i < len(s.rest) && !separates(s.rest[i]) {
		i++
	}
	word, s.rest = s.rest[start:i], s.rest[i:]
	return word, s.line, len(word) > 0
}

func separates(c byte) bool {
	return c == ' ' || c == ',' || c == '\n' || c == '\r' || c == '\t' || c == '\f' || c == '\v'
}

// readable is a line of the file as UTF-8 without control characters. What is not UTF-8 is taken as
// Latin-1, which older files are written in.
func readable(line []byte) string {
	text := string(line)
	if !utf8.Valid(line) {
		var b strings.Builder
		for _, c := range line {
			b.WriteRune(rune(c))
		}
		text = b.String()
	}
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case unicode.IsControl(r):
			return unicode.ReplacementChar
		}
		return r
	}, text))
}

// quoted is a piece of the file for an error message, cut where it is long.
func quoted(piece []byte) string { return strconv.Quote(cut(readable(piece))) }

func cut(text string) string {
	const most = 24
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}

// largest is the greatest magnitude that any number of a file may have. No lamp comes near it; sums
// and products of such numbers stay far from the limits of float64.
const largest = maxCandela

const longest = 64 // characters of a number

// number is the next number. what names it in errors.
func (s *source) number(what string) (v float64, word string, line int, err error) {
	w, line, ok := s.nextWord()
	if !ok {
		return 0, "", line, fmt.Errorf("line %d: the file ends where the %s should be", line, what)
	}
	// ParseFloat also takes words like NaN and 0x1p4, and gives an infinity for what is too large
	// for it.
	word = string(w[:min(len(w), longest)])
	v, err = strconv.ParseFloat(word, 64)
	if len(w) > longest || len(strings.Trim(word, "+-.0123456789eE")) > 0 || err != nil && !math.IsInf(v, 0) {
		return 0, "", line, fmt.Errorf("line %d: %s: %s is not a number; "+
			"digits with a decimal point would be right, as in 12.5",
			line, what, quoted(w))
	}
	if !(math.Abs(v) <= largest) {
		return 0, "", line, fmt.Errorf("line %d: %s: %s is out of range; at most %.0e would be right",
			line, what, quoted(w), largest)
	}
	return v, word, line, nil
}

// positive is the next number, which has to be above zero.
func (s *source) positive(what string) (v float64, word string, line int, err error) {
	v, word, line, err = s.number(what)
	if err == nil && v <= 0 {
		err = fmt.Errorf("line %d: %s: %s is not above 0", line, what, word)
	}
	return v, word, line, err
}

// whole is the next number, which has to be a whole one between low and high.
func (s *source) whole(what string, low, high int) (n, line int, err error) {
	v, word, line, err := s.number(what)
	if err != nil {
		return 0, line, err
	}
	n = int(v)
	if float64(n) != v || n < low || n > high {
		return 0, line, fmt.Errorf("line %d: %s: %s is not a whole number from %d to %d", line, what, word, low, high)
	}
	return n, line, nil
}
