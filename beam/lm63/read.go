package lm63

import (
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// A file is a header of text lines, a TILT line, and then nothing but numbers, in a fixed order.
// Lines count in the header only. (ANSI/IES LM-63-2002, section 5; from memory.)

const (
	maxBytes   = 8 << 20 // size of a file
	maxHeader  = 5000    // lines up to TILT
	maxAngles  = 20000   // in either list
	maxTilts   = 1000
	maxCandela = 1e10 // cd; the sun in a searchlight's mirror is below that
	leastPeak  = 1e-9 // cd; below it a table counts as dark
	leastStep  = 1e-4 // degrees between neighbouring angles
)

const degree = math.Pi / 180

// Read reads a file of at most 8 MiB. Errors begin with the line they are about and say what would
// be right there. What is merely unusual ends up in File.Doubts.
func Read(r io.Reader) (*File, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("LM-63: %w", err)
	}
	if len(data) > maxBytes {
		return nil, fmt.Errorf("LM-63: the file is larger than %d MiB; a photometric file has some hundred "+
			"kilobytes at most",
			maxBytes>>20)
	}
	f, s := &File{}, newSource(data)
	for _, part := range []func(*source) error{f.readHeader, f.readLamp, f.readAngles, f.readCandela, f.readEnd} {
		if err := part(s); err != nil {
			return nil, err
		}
	}
	f.table = f.newTable()
	f.weigh()
	return f, nil
}

var (
	editionLine = regexp.MustCompile(`^(?i)IES(?:NA)?\s*:?\s*(?:LM-63-)?(\d{4}|\d{2})\s*$`)
	tiltLine    = regexp.MustCompile(`^(?i)TILT\s*=\s*(.*)$`)
	keywordLine = regexp.MustCompile(`^\[([^\]]*)\]\s*(.*)$`)
)

func (f *File) readHeader(s *source) error {
	f.Edition = 1986 // the only one whose files do not say which they are
	for {
		text, line, ok := s.nextLine()
		if !ok {
			return fmt.Errorf("line %d: the file ends without a TILT line; LM-63 files have TILT=NONE above "+
				"their numbers", line)
		}
		if line > maxHeader {
			return fmt.Errorf("line %d: no TILT line so far; LM-63 files have TILT=NONE above their numbers", line)
		}
		if m := editionLine.FindStringSubmatch(text); m != nil && line == 1 {
			f.readEdition(m[1])
			continue
		}
		if m := tiltLine.FindStringSubmatch(text); m != nil {
			return f.readTilt(s, m[1], line)
		}
		f.readHeaderLine(text, line)
	}
}

// readEdition takes the year of the first line: four digits, or two in IESNA91.
func (f *File) readEdition(digits string) {
	year, _ := strconv.Atoi(digits)
	if len(digits) == 2 {
		year += 1900
		if year < 1950 {
			year += 100
		}
	}
	switch year {
	case 1986, 1991, 1995, 2002, 2019:
		f.Edition = year
		return
	}
	f.Edition = 2019
	for _, known := range []int{2002, 1995, 1991, 1986} {
		if year < known+4 || known == 2002 && year < 2019 {
			f.Edition = known
		}
	}
	f.doubt("line 1: edition %s of LM-63 is not known; read by the rules of %d", digits, f.Edition)
}

func (f *File) readHeaderLine(text string, line int) {
	m := keywordLine.FindStringSubmatch(text)
	switch {
	case text == "":
	case m == nil:
		f.Labels = append(f.Labels, text)
	case m[1] != "MORE":
		f.Keywords = append(f.Keywords, Keyword{Name: m[1], Text: m[2]})
	case len(f.Keywords) == 0:
		f.doubt("line %d: [MORE] continues nothing", line)
		f.Labels = append(f.Labels, m[2])
	default:
		last := &f.Keywords[len(f.Keywords)-1]
		last.Text += "\n" + m[2]
	}
}

func (f *File) readTilt(s *source, value string, line int) error {
	switch strings.ToUpper(value) {
	case "NONE":
		return nil
	case "INCLUDE":
	default:
		return fmt.Errorf("line %d: TILT=%s: tilt factors in another file are not read; "+
			"TILT=NONE or TILT=INCLUDE would be right",
			line, cut(value))
	}
	t := &Tilt{}
	var err error
	if t.Geometry, _, err = s.whole("lamp to luminaire geometry", 1, 3); err != nil {
		return err
	}
	n, _, err := s.whole("number of tilt angles", 1, maxTilts)
	if err != nil {
		return err
	}
	if t.Angles, err = s.angles("tilt angle", n, -180, 180); err != nil {
		return err
	}
	for i := range n {
		v, _, line, err := s.number("tilt factor")
		if err != nil {
			return err
		}
		if v < 0 {
			return fmt.Errorf("line %d: tilt factor %d: %g is below 0", line, i+1, v)
		}
		t.Factors = append(t.Factors, v)
	}
	f.Tilt = t
	f.doubt("line %d: TILT=INCLUDE: the tilt factors are not applied; "+
		"the intensities are those of the position measured in",
		line)
	return nil
}

// readLamp reads the thirteen numbers between TILT and the angles.
func (f *File) readLamp(s *source) (err error) {
	// The first failure ends the reading: each step below is skipped once err is set.
	step := func(read func() error) {
		if err == nil {
			err = read()
		}
	}
	number := func(to *float64, what string) {
		step(func() (err error) { *to, _, _, err = s.number(what); return })
	}
	positive := func(to *float64, what string) {
		step(func() (err error) { *to, _, _, err = s.positive(what); return })
	}
	var vertical, horizontal, units int
	whole := func(to *int, what string, low, high int) {
		step(func() (err error) { *to, _, err = s.whole(what, low, high); return })
	}

	whole(&f.Lamps, "number of lamps", 1, 10000)
	step(func() error { return f.readLumens(s) })
	positive(&f.Multiplier, "candela multiplier")
	whole(&vertical, "number of vertical angles", 2, maxAngles)
	whole(&horizontal, "number of horizontal angles", 1, maxAngles)
	whole((*int)(&f.Type), "photometric type (1 = C, 2 = B, 3 = A)", 1, 3)
	whole(&units, "units (1 = feet, 2 = metres)", 1, 2)
	number(&f.Width, "luminous width")
	number(&f.Length, "luminous length")
	number(&f.Height, "luminous height")
	positive(&f.BallastFactor, "ballast factor")
	step(func() error { return f.readThird(s) })
	number(&f.Watts, "input watts")
	if err != nil {
		return err
	}
	if units == 1 {
		const foot = 0.3048 // m, NIST SP 811
		f.Width *= foot
		f.Length *= foot
		f.Height *= foot
	}
	// Every number takes a digit and a separator, so the bytes left bound what may be asked for
	// before it is made.
	need, room := vertical+horizontal+vertical*horizontal, (len(s.rest)+1)/2
	if need > room {
		return fmt.Errorf("line %d: %d vertical and %d horizontal angles ask for %d numbers, "+
			"the rest of the file holds at most %d",
			s.line, vertical, horizontal, need, room)
	}
	f.Vertical = make([]float64, vertical)
	f.Horizontal = make([]float64, horizontal)
	return nil
}

func (f *File) readLumens(s *source) error {
	v, word, line, err := s.number("lumens per lamp")
	if err == nil && v <= 0 && v != -1 {
		err = fmt.Errorf("line %d: lumens per lamp: %s is neither a flux above 0 nor -1 (absolute photometry)", line,
			word)
	}
	f.LumensPerLamp = v
	return err
}

// generationCode is how the 2019 edition writes down where a file comes from: a one, and a one or
// zero in each decimal.
var generationCode = regexp.MustCompile(`^\+?1(?:\.[01]*)?$`)

func (f *File) readThird(s *source) error {
	v, word, line, err := s.positive("ballast-lamp factor (file generation type in 2019)")
	if err != nil {
		return err
	}
	switch {
	case f.Edition == 2019 && v >= 1 && v < 1.2 && generationCode.MatchString(word):
		f.Generation, v = word, 1
	case v != 1 && f.Edition == 2019:
		f.doubt("line %d: %s is no file generation type; multiplied with as a factor", line, word)
	case v != 1 && f.Edition >= 1995:
		f.doubt("line %d: the number after the ballast factor is reserved in this edition and %s here; multiplied with",
			line, word)
	}
	f.ThirdFactor = v
	return nil
}

// angles reads n ascending angles in degrees between low and high, and hands them out in radians.
func (s *source) angles(what string, n int, low, high float64) ([]float64, error) {
	angles := make([]float64, n)
	var before float64
	for i := range angles {
		v, word, line, err := s.number(fmt.Sprintf("%s %d of %d", what, i+1, n))
		if err != nil {
			return nil, err
		}
		if v < low || v > high {
			return nil, fmt.Errorf("line %d: %s %d of %d: %s° is not from %g° to %g°", line, what, i+1, n, word, low,
				high)
		}
		if i > 0 && v < before+leastStep {
			return nil, fmt.Errorf("line %d: %s %d of %d: %s° after %g°; angles that ascend by at least %g° would "+
				"be right",
				line, what, i+1, n, word, before, leastStep)
		}
		before, angles[i] = v, v*degree
	}
	return angles, nil
}

func (f *File) readAngles(s *source) (err error) {
	vertical, horizontal := [2]float64{0, 180}, [2]float64{-360, 360}
	switch f.Type {
	case TypeB:
		vertical, horizontal = [2]float64{-180, 180}, [2]float64{-90, 90}
	case TypeA:
		vertical, horizontal = [2]float64{-90, 90}, [2]float64{-180, 180}
	}
	f.Vertical, err = s.angles("vertical angle", len(f.Vertical), vertical[0], vertical[1])
	if err != nil {
		return err
	}
	f.Horizontal, err = s.angles("horizontal angle", len(f.Horizontal), horizontal[0], horizontal[1])
	if err != nil {
		return err
	}
	if f.symmetry, err = f.findSymmetry(); err != nil {
		return fmt.Errorf("line %d: %w", s.line, err)
	}
	return nil
}

func (f *File) readCandela(s *source) error {
	factor := f.Multiplier * f.BallastFactor * f.ThirdFactor
	f.Candela = make([]float64, len(f.Vertical)*len(f.Horizontal))
	for i := range f.Candela {
		v, word, line, err := s.number("candela value")
		if err == nil && v < 0 {
			err = fmt.Errorf("line %d: candela value: %s is below 0", line, word)
		}
		if v *= factor; err == nil && v > maxCandela {
			err = fmt.Errorf("line %d: candela value: %s with the factors is %g cd; at most %g cd would be right",
				line, word, v, maxCandela)
		}
		if err != nil {
			h, v := i/len(f.Vertical), i%len(f.Vertical)
			return fmt.Errorf("%w (value %d of %d, at horizontal %.6g°, vertical %.6g°)",
				err, i+1, len(f.Candela), f.Horizontal[h]/degree, f.Vertical[v]/degree)
		}
		f.Candela[i] = v
	}
	if slices.Max(f.Candela) < leastPeak {
		return fmt.Errorf("line %d: all candela values are 0 or next to it; a lamp's are above", s.line)
	}
	return nil
}

// readEnd refuses numbers after the last value: they mean that the counts are wrong, and with them
// every value's place.
func (f *File) readEnd(s *source) error {
	w, line, ok := s.nextWord()
	if !ok {
		return nil
	}
	if _, err := strconv.ParseFloat(string(w), 64); err == nil {
		return fmt.Errorf("line %d: %s follows the last of %d candela values; "+
			"the numbers of angles (%d vertical, %d horizontal) are wrong",
			line, quoted(w), len(f.Candela), len(f.Vertical), len(f.Horizontal))
	}
	f.doubt("line %d: the text after the last candela value is left out", line)
	return nil
}
