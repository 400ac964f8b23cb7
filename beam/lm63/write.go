package lm63

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"beamfall/beam"
)

// Header is what a written file says about itself beside its intensities. Empty fields are left out
// or said not to be known.
type Header struct {
	Lamp   string    // what the lamp is called
	Maker  string    // who makes it
	Issued time.Time // date of the file
	Notes  []string  // what the model is, a line each
	Width  float64   // m, luminous width across the beam
	Height float64   // m, luminous height
	Watts  float64   // W, input power
}

// Write writes d as a file of the 2002 edition: type B, absolute, all factors 1. Its angles are
// picked so that the table keeps within 1 % of d wherever d is above 1 % of its peak, but for a
// step of the table at hard edges. Light is left out that is below both a millionth of the peak and
// a thousandth of the mean over what lies ahead. d must not shine backwards.
//
// The header says that the intensities were computed, not measured.
func Write(w io.Writer, d beam.Distribution, header Header) error {
	err := write(w, d, header)
	switch {
	case err != nil && header.Lamp != "":
		return fmt.Errorf("LM-63 file of %q: %w", header.Lamp, err)
	case err != nil:
		return fmt.Errorf("LM-63 file: %w", err)
	}
	return nil
}

func write(w io.Writer, d beam.Distribution, header Header) error {
	peak := d.Peak()
	if !(peak >= leastPeak*1000 && peak <= maxCandela) {
		return fmt.Errorf("peak: %g cd is not from %g to %g cd", peak, leastPeak*1000, maxCandela)
	}
	for _, v := range []float64{header.Width, header.Height, header.Watts} {
		if !(v >= 0 && v <= largest) {
			return fmt.Errorf("width, height or watts: %g is not from 0 to %g", v, largest)
		}
	}
	m := &model{Distribution: d}
	horizontal, vertical, err := m.angles()
	if err != nil {
		return err
	}
	planes, upright := make([][]float64, len(horizontal)), newScale(vertical)
	for i, h := range horizontal {
		planes[i] = make([]float64, len(vertical))
		m.plane(planes[i], h, upright)
	}
	if half, same := leftEqualsRight(horizontal, planes, peak); same {
		horizontal, planes = horizontal[half:], planes[half:]
	}

	// beside a needle of a peak a flood is dim, and yet may be most of the flux
	least := min(1e-6*peak, 1e-3*d.Flux()/(2*math.Pi))
	p := &printer{w: bufio.NewWriter(w)}
	p.header(header)
	p.numbers("1", "-1", "1", strconv.Itoa(len(vertical)), strconv.Itoa(len(horizontal)), "2", "2",
		short(header.Width), "0", short(header.Height))
	p.numbers("1", "1", short(header.Watts))
	p.numbers(angleWords(vertical)...)
	p.numbers(angleWords(horizontal)...)
	for _, plane := range planes {
		p.numbers(candelaWords(plane, least)...)
	}
	return p.w.Flush()
}

// leftEqualsRight finds the index of H = 0 and whether the planes to its left mirror those to its
// right.
func leftEqualsRight(horizontal []float64, planes [][]float64, peak float64) (half int, same bool) {
	n := len(horizontal)
	half = slices.Index(horizontal, 0)
	if n-1 != 2*half {
		return half, false
	}
	for i := range half {
		if horizontal[i] != -horizontal[n-1-i] {
			return half, false
		}
		for v, cd := range planes[i] {
			if math.Abs(cd-planes[n-1-i][v]) > 1e-6*peak {
				return half, false
			}
		}
	}
	return half, true
}

// A printer writes lines as the format has them: CR LF at the end, at most 132 characters. The
// first error stays in w.
type printer struct{ w *bufio.Writer }

const lineLength = 132

func (p *printer) line(text string) {
	p.w.WriteString(text)
	p.w.WriteString("\r\n")
}

func (p *printer) header(h Header) {
	p.line("IESNA:LM-63-2002")
	p.keyword("TEST", "computed from a model, not measured")
	p.keyword("TESTLAB", "none: written by beamfall")
	issued := "not given"
	if !h.Issued.IsZero() {
		issued = h.Issued.Format(time.DateOnly)
	}
	p.keyword("ISSUEDATE", issued)
	maker := h.Maker
	if maker == "" {
		maker = "not given"
	}
	p.keyword("MANUFAC", maker)
	if h.Lamp != "" {
		p.keyword("LUMINAIRE", h.Lamp)
	}
	for _, note := range h.Notes {
		p.keyword("OTHER", note)
	}
	p.line("TILT=NONE")
}

// keyword writes a keyword line, carried on with [MORE] where it is long.
func (p *printer) keyword(name, text string) {
	text = strings.Join(strings.FieldsFunc(text, func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsControl(r)
	}), " ")
	for {
		line := []rune("[" + name + "] " + text)
		if len(line) <= lineLength {
			p.line(string(line))
			return
		}
		end := lineLength
		for end > lineLength/2 && line[end] != ' ' {
			end--
		}
		p.line(string(line[:end]))
		name, text = "MORE", strings.TrimSpace(string(line[end:]))
	}
}

func (p *printer) numbers(words ...string) {
	used := 0
	for _, word := range words {
		switch {
		case used == 0:
		case used+1+len(word) > lineLength:
			p.w.WriteString("\r\n")
			used = 0
		default:
			p.w.WriteByte(' ')
			used++
		}
		p.w.WriteString(word)
		used += len(word)
	}
	p.w.WriteString("\r\n")
}

func short(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func angleWords(degrees []float64) []string {
	words := make([]string, len(degrees))
	for i, a := range degrees {
		words[i] = short(math.Round(a*1e4) / 1e4)
	}
	return words
}

// candelaWords rounds to four digits, and to about the least that counts where that is more.
func candelaWords(cd []float64, least float64) []string {
	words := make([]string, len(cd))
	for i, v := range cd {
		words[i] = "0"
		if v < least {
			continue
		}
		digits := max(math.Floor(math.Log10(v))-3, math.Floor(math.Log10(least)))
		if unit := math.Pow(10, math.Abs(digits)); digits < 0 {
			v = math.Round(v*unit) / unit
		} else {
			v = math.Round(v/unit) * unit
		}
		words[i] = short(v)
	}
	return words
}
