package rigfile

// Reading a tree against the description: what is unknown, missing, of the wrong kind or out of range is told, the rest
// becomes records of plain values in SI units.

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"beamfall/cmd/beamfall/internal/quantity"
)

// record is a table that has been read.
type record struct {
	sheet  *sheet
	at     int    // offset of the table
	owner  string // whose table it is, for messages: `lamp "roof bar"`
	values map[string]*value
}

// value is what a key holds, or its default.
type value struct {
	given   bool
	wrong   bool // given, but with a mistake that has been told
	at      int
	text    string // of a text or word
	truth   bool
	numbers []float64 // of a measure: one, two, or of points all in turn
	texts   []string  // of a list …
	places  []int     // … and their offsets
	records []*record // of a table: one; of tables: all
}

// binder reads one tree.
type binder struct {
	*source
	torn bool // what is missing may have been given
}

// where is the place of a value in the sentence of a message.
type where struct {
	owner  string // `lamp "roof bar"`
	dotted string // "at."
}

func (w where) key(name string) string {
	if w.owner == "" {
		return w.dotted + name
	}
	return w.owner + ": " + w.dotted + name
}

// table reads a table.
func (b *binder) table(n *node, s *sheet, w where) *record {
	r := &record{sheet: s, at: n.at, owner: w.owner, values: make(map[string]*value, len(s.keys))}
	var hinted []*key // keys that an unknown one was meant to be
	for _, e := range n.entries {
		k := s.find(e.name)
		if k == nil {
			meant, remedy := s.meant(e.name, w.dotted)
			if meant != nil {
				hinted = append(hinted, meant)
			}
			name := quantity.Quote(w.dotted + e.name)
			b.fault(e.at, w.owner, "key "+name+" is not known", remedy)
			continue
		}
		v := &value{given: true, at: e.at}
		b.value(e.node, k, w, v)
		if v.wrong {
			*v = value{given: true, wrong: true, at: e.at}
		}
		r.values[k.name] = v
	}
	for i := range s.keys {
		k := &s.keys[i]
		if r.values[k.name] != nil {
			continue
		}
		if k.need && !b.torn && !slices.Contains(hinted, k) {
			remedy := "write e.g. " + b.example(k)
			if k.shape == tables {
				remedy = "write " + k.example + " and its keys below it"
			}
			b.fault(n.at, w.owner, w.dotted+k.name+" is missing", remedy)
		}
		r.values[k.name] = preset(k)
	}
	for _, rule := range s.rules {
		b.rule(rule, r, w, hinted)
	}
	return r
}

// rule checks what holds between the keys of a table.
func (b *binder) rule(rule rule, r *record, w where, hinted []*key) {
	given := func(names []string) (found []string) {
		for _, name := range names {
			if r.values[name].given {
				found = append(found, name)
			}
		}
		return found
	}
	switch {
	case rule.one != nil:
		found := given(rule.one)
		if len(found) == 0 && !b.torn && !(rule.unless != "" && r.values[rule.unless].given) &&
			!slices.ContainsFunc(hinted, func(k *key) bool { return slices.Contains(rule.one, k.name) }) {
			b.fault(r.at, w.owner, "none of "+commas(rule.one)+" is given",
				"write e.g. "+b.example(r.sheet.find(rule.one[0])))
		}
		b.apart(found, r, w)
	case rule.apart != nil:
		b.apart(given(rule.apart), r, w)
	case r.values[rule.key].given && !r.values[rule.needs].given && !b.torn:
		b.fault(r.values[rule.key].at, w.key(rule.key), "is given without "+rule.needs,
			"give both or neither")
	}
}

// apart tells that only one of the keys found may be given: at the last of them, as the eye goes down the file.
func (b *binder) apart(found []string, r *record, w where) {
	if len(found) < 2 {
		return
	}
	last := slices.MaxFunc(found, func(a, b string) int { return r.values[a].at - r.values[b].at })
	others := slices.DeleteFunc(slices.Clone(found), func(name string) bool { return name == last })
	b.fault(r.values[last].at, w.key(last), "is given beside "+commas(others), "keep one of them")
}

// value reads the value of a key. Whatever is wrong is told and marks the value as wrong.
func (b *binder) value(n *node, k *key, w where, v *value) {
	if n.form == brokenForm {
		v.wrong = true
		return
	}
	path := w.key(k.name)
	switch k.shape {
	case table:
		b.single(n, k, w, v)
	case tables:
		b.several(n, k, w, v)
	case oneOrTwo, rising, level:
		b.two(n, k, path, v)
	case list:
		b.list(n, k, path, v)
	case points:
		b.points(n, k, path, v)
	default:
		b.scalar(n, k, k.limits, path, v)
	}
}

func (b *binder) wrong(v *value, at int, key, problem, remedy string) {
	v.wrong = true
	b.fault(at, key, problem, remedy)
}

// single reads a table that there is one of.
func (b *binder) single(n *node, k *key, w where, v *value) {
	if n.form == listForm && n.origin == fromHeader {
		b.wrong(v, n.at, w.key(k.name), "is written as one of several tables", "there is one: write "+k.example)
		if n.count > 1 {
			return
		}
		n = n.items[0]
	}
	if n.form != tableForm {
		b.wrong(v, n.at, w.key(k.name), describe(n)+" is not a table", "write e.g. "+b.example(k))
		return
	}
	inner := where{owner: w.owner, dotted: w.dotted + k.name + "."}
	if w.owner == "" && w.dotted == "" {
		inner = where{owner: k.name}
	}
	v.records = append(v.records, b.table(n, k.inside, inner))
}

// several reads tables that there may be many of.
func (b *binder) several(n *node, k *key, w where, v *value) {
	items := []*node{n}
	switch {
	case n.form == listForm && n.count == 0:
		b.wrong(v, n.at, w.key(k.name), "an empty list", "leave it out, or write "+k.example)
		return
	case n.form == listForm:
		items = n.items
		if n.count > k.most {
			b.wrong(v, items[k.most].at, w.key(k.name), fmt.Sprintf("%d of them, more than %d", n.count, k.most),
				"leave out what is not needed")
			return
		}
	case n.form == tableForm:
		b.wrong(v, n.at, w.key(k.name), "is written as a single table", "there may be several: write "+k.example)
	default:
		b.wrong(v, n.at, w.key(k.name), describe(n)+" is not a list of tables", "write "+k.example)
		return
	}
	for i, item := range items {
		if item.form != tableForm {
			if item.form != brokenForm {
				b.wrong(v, item.at, w.key(k.name), describe(item)+" is not a table", "write "+k.example)
			}
			continue
		}
		owner := ordinal(k.name, i)
		name := item.find("name")
		if k.inside.find("name") != nil && name != nil && name.form == textForm && name.text != "" {
			owner = k.name + " " + quantity.Quote(name.text)
		}
		if strings.HasPrefix(w.owner, "lamp ") {
			owner = w.owner + ": " + owner
		}
		v.records = append(v.records, b.table(item, k.inside, where{owner: owner}))
	}
}

// two reads one value or two, according to the shape of the key.
func (b *binder) two(n *node, k *key, path string, v *value) {
	remedy := "write e.g. " + b.example(k)
	if n.form != listForm {
		if k.shape != oneOrTwo {
			b.wrong(v, n.at, path, describe(n)+" is not a list of two", remedy)
			return
		}
		b.scalar(n, k, k.limits, path, v)
		if !v.wrong {
			v.numbers = append(v.numbers, v.numbers[0])
		}
		return
	}
	if n.count != 2 {
		b.wrong(v, n.at, path, fmt.Sprintf("a list of %d, not of two", n.count), remedy)
		return
	}
	for _, item := range n.items {
		b.scalar(item, k, k.limits, path, v)
	}
	if v.wrong || k.shape == oneOrTwo {
		return
	}
	low, high := v.numbers[0], v.numbers[1]
	swapped := b.write(k.name, fmt.Sprintf("[%s, %s]", b.literal(n.items[1]), b.literal(n.items[0])))
	switch {
	case low > high:
		b.wrong(v, n.at, path, fmt.Sprintf("%s comes before %s", shown(n.items[0]), shown(n.items[1])), "write "+swapped)
	case low == high && k.shape == rising:
		b.wrong(v, n.at, path, fmt.Sprintf("from %s to %s is nothing", shown(n.items[0]), shown(n.items[1])), remedy)
	}
}

// list reads texts.
func (b *binder) list(n *node, k *key, path string, v *value) {
	switch {
	case n.form != listForm:
		b.wrong(v, n.at, path, describe(n)+" is not a list", "write e.g. "+b.example(k))
		return
	case n.count > k.most:
		b.wrong(v, n.at, path, fmt.Sprintf("a list of %d, more than %d", n.count, k.most), "leave out what is not needed")
		return
	}
	for _, item := range n.items {
		one := value{}
		b.scalar(item, k, limits{}, path, &one)
		v.wrong = v.wrong || one.wrong
		v.texts, v.places = append(v.texts, one.text), append(v.places, item.at)
	}
}

// points reads pairs of a distance and a height.
func (b *binder) points(n *node, k *key, path string, v *value) {
	remedy := "write e.g. " + b.example(k)
	switch {
	case n.form != listForm:
		b.wrong(v, n.at, path, describe(n)+" is not a list of points", remedy)
		return
	case n.count > k.most:
		b.wrong(v, n.at, path, fmt.Sprintf("%d points, more than %d", n.count, k.most), "leave out what is not needed")
		return
	case n.count < 2:
		b.wrong(v, n.at, path, "fewer than two points", remedy)
		return
	}
	for i, point := range n.items {
		if point.form != listForm || point.count != 2 {
			if point.form != brokenForm {
				b.wrong(v, point.at, path, fmt.Sprintf("point %d is not a distance and a height", i+1), remedy)
			}
			v.wrong = true
			continue
		}
		name := fmt.Sprintf("%s: point %d", path, i+1)
		distance := value{}
		b.scalar(point.items[0], k, k.limits, name, &distance)
		b.scalar(point.items[1], k, k.heights, name, &distance)
		if distance.wrong {
			v.wrong = true
			continue
		}
		if last := len(v.numbers) - 2; last >= 0 && !v.wrong && distance.numbers[0] <= v.numbers[last] {
			b.wrong(v, point.items[0].at, name,
				shown(point.items[0])+" is not beyond the point before it", "put the points in the order of their distances")
		}
		v.numbers = append(v.numbers, distance.numbers...)
	}
}

// scalar reads a single value and adds it to v.
func (b *binder) scalar(n *node, k *key, l limits, path string, v *value) {
	remedy := "write e.g. " + b.example(k)
	switch {
	case n.form == brokenForm:
		v.wrong = true
	case k.holds == aMeasure:
		b.measure(n, k, l, path, v)
	case k.holds == aTruth:
		switch {
		case n.form == truthForm, b.oneLine && (n.text == "true" || n.text == "false"):
			v.truth = n.text == "true"
		default:
			b.wrong(v, n.at, path, describe(n)+" is neither true nor false", remedy)
		}
	case n.form != textForm:
		b.wrong(v, n.at, path, describe(n)+" is not a text in quotes", remedy)
	case k.holds == aWord:
		v.text = n.text
		if !slices.Contains(k.words, n.text) {
			remedy = "write one of " + commas(k.words)
			if guess := Nearest(n.text, k.words); guess != "" {
				remedy = fmt.Sprintf("did you mean %q?", guess)
			}
			b.wrong(v, n.at, path, quantity.Quote(n.text)+" is not known", remedy)
		}
	default:
		v.text = n.text
		longest := cmp.Or(k.bytes, longestTxt)
		switch {
		case strings.TrimSpace(n.text) == "":
			b.wrong(v, n.at, path, "an empty text", remedy)
		case len(n.text) > longest:
			b.wrong(v, n.at, path, fmt.Sprintf("a text of %d bytes, more than %d", len(n.text), longest), "shorten it")
		case strings.ContainsFunc(n.text, upsetting):
			b.wrong(v, n.at, path, "a control character in "+quantity.Quote(n.text), "leave it out")
		}
	}
}

// upsetting reports a character that a terminal or a picture cannot show as it is.
func upsetting(r rune) bool { return !unicode.IsPrint(r) && r != '\u00a0' && r != '\u202f' }

// measure reads a quantity: a text with a unit, or a number where the kind needs none.
func (b *binder) measure(n *node, k *key, l limits, path string, v *value) {
	remedy := "write e.g. " + b.example(k)
	var number float64
	var err error
	switch n.form {
	case textForm:
		number, err = k.kind.Parse(n.text)
		if err != nil && k.zero && b.oneLine && n.text == "0" {
			number, err = 0, nil
		}
	case numberForm:
		number, err = readNumber(n.text)
		if err == nil && !(number == 0 && k.zero) {
			number, err = k.kind.Of(number)
		}
	default:
		b.wrong(v, n.at, path, fmt.Sprintf("%s is not %v", describe(n), k.kind), remedy)
		return
	}
	if err != nil {
		e := quantity.AsError(err)
		if e.Remedy != "" && !strings.HasPrefix(e.Remedy, "write e.g.") {
			remedy = e.Remedy
		}
		b.wrong(v, n.at, path, e.Problem, remedy)
		return
	}
	if breach := l.breach(number, k.kind); breach != "" {
		name := n.text
		switch {
		case k.kind == quantity.Angle:
			name = k.kind.Show(math.Round(number*180/math.Pi*1e6) / 1e6)
		case n.form == numberForm || k.kind.Bare():
			name = k.kind.Show(number)
		}
		b.wrong(v, n.at, path, name+" "+breach, remedy)
		return
	}
	v.numbers = append(v.numbers, number)
}

// readNumber reads a TOML integer or float.
func readNumber(literal string) (float64, error) {
	digits := strings.ReplaceAll(strings.TrimPrefix(literal, "+"), "_", "")
	if len(digits) > 1 && digits[0] == '0' && strings.ContainsAny(digits[1:2], "xob") {
		return 0, &quantity.Error{Problem: quantity.Quote(literal) + " is not a decimal number"}
	}
	number, err := strconv.ParseFloat(digits, 64)
	switch {
	case math.IsNaN(number), err == nil && math.IsInf(number, 0):
		return 0, &quantity.Error{Problem: literal + " is not a number"}
	case err != nil:
		return 0, &quantity.Error{Problem: strings.Trim(quantity.Quote(literal), `"`) + " is too large"}
	}
	return number, nil
}

// describe names a value of the wrong kind.
func describe(n *node) string {
	switch n.form {
	case textForm:
		return quantity.Quote(n.text)
	case listForm:
		return "a list"
	case tableForm:
		return "a table"
	case dateForm:
		return "a date"
	}
	return strings.Trim(quantity.Quote(n.text), `"`)
}

// shown is a quantity as it was written.
func shown(n *node) string { return strings.Trim(quantity.Quote(n.text), `"`) }

// literal is a single value as it stands in the file.
func (b *binder) literal(n *node) string {
	if b.oneLine || n.end <= n.at || n.end-n.at > 100 {
		return n.text
	}
	return string(b.text[n.at:n.end])
}

// example is a key with a right value, in the way of the file or of --lamp.
func (b *binder) example(k *key) string {
	if k.example != "" && k.example[0] == '[' && k.inside != nil { // a table header
		return k.example
	}
	return b.write(k.name, k.example)
}

// write is a key and its value, in the way of the file or of --lamp.
func (b *binder) write(name, literal string) string {
	if b.oneLine {
		return name + "=" + strings.NewReplacer(`"`, "", ", ", ",").Replace(literal)
	}
	return name + " = " + literal
}

var (
	presetOnce sync.Once
	presets    map[*key]*value
)

// preset is the default of a key. All are read once, in the way of the file.
func preset(k *key) *value {
	presetOnce.Do(func() {
		presets = make(map[*key]*value)
		readPresets(rigSheet)
		readPresets(lampFlagSheet)
	})
	return presets[k]
}

// readPresets reads the defaults of a table. A default that is a table itself has all its keys, for it must not ask for
// defaults while they are being read.
func readPresets(s *sheet) {
	for i := range s.keys {
		k := &s.keys[i]
		presets[k] = &value{}
		if k.preset != "" {
			b := &binder{source: &source{text: []byte("preset = " + k.preset)}}
			root, _ := readTOML(b.source)
			b.value(root.find("preset"), k, where{}, presets[k])
			if len(b.mistakes) > 0 {
				panic(b.mistakes) // the description is wrong
			}
		}
		if k.inside != nil {
			readPresets(k.inside)
		}
	}
}
