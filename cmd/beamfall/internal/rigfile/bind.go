package rigfile

// Nodes to values, by the description: what is unknown, missing, of the wrong kind or out of range
// is reported, the rest goes where the description says, in SI units.

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/geometry"
	"beamfall/geometry/sight"
)

// reader fills sections and gathers the mistakes that it finds.
type reader struct {
	isFlag   bool // a --lamp is read
	mistakes Mistakes

	merged  bool     // the rig is on a base
	removed []string // circuits of lamps that the base has and the rig has not
	origins []Origin // of what has been read, when the rig is on a base
}

// fault notes a mistake; beyond mostKept they are let go.
func (r *reader) fault(at place, key, problem, remedy string) {
	if len(r.mistakes) < mostKept {
		m := mistakeAt(at, problem, remedy)
		m[0].Key = key
		r.mistakes = append(r.mistakes, m...)
	}
}

// fill reads a table into what a section describes, and gives the keys that are not there their
// defaults.
func (r *reader) fill(s *section, table *node) {
	s.node = table
	if s.pos != nil {
		*s.pos = table.position()
	}
	var meant []*key // by keys that are not known
	for _, e := range table.entries {
		k := s.key(e.key)
		if k == nil {
			guess, remedy := s.meant(e.key, r.isFlag)
			meant = append(meant, guess)
			r.fault(e.place, s.owner, "key "+quantity.Quote(s.prefix+e.key)+" is not known", remedy)
			continue
		}
		k.at, k.node = e.place, e.node
		before := len(r.mistakes)
		r.value(s, k, e.node)
		k.bad = len(r.mistakes) > before
		if r.merged && k.section() == nil {
			o := Origin{Table: s.owner, Key: s.prefix + k.name, At: e.position()}
			if e.instead.src != nil {
				o.Instead = e.instead.position()
			}
			r.origins = append(r.origins, o)
		}
	}
	for i := range s.keys {
		k := &s.keys[i]
		if k.node == nil {
			if k.need && !slices.Contains(meant, k) {
				r.missing(s, k, table.place)
			}
			r.byDefault(s, k)
		}
	}
	for _, rule := range s.rules {
		r.follow(rule, s, meant)
	}
	if s.check != nil {
		s.check(r, s)
	}
}

// byDefault gives a key that is not there its default, if it has one; a table that is not there,
// those of its keys.
func (r *reader) byDefault(s *section, k *key) {
	switch inner, isTable := k.into.(*section); {
	case k.preset != "":
		r.value(s, k, literal(k.preset))
	case isTable:
		for i := range inner.keys {
			r.byDefault(inner, &inner.keys[i])
		}
	}
}

// literal is the node of a value of the description.
func literal(text string) *node {
	root, err := parse(&source{text: []byte("x = " + text)})
	if err != nil {
		panic(err) // the description is wrong
	}
	return root.find("x")
}

func (r *reader) missing(s *section, k *key, at place) {
	remedy := "write e.g. " + r.example(k)
	if _, several := k.into.(many); several {
		remedy = "write " + k.example + " and its keys below it"
	}
	r.fault(at, s.owner, s.prefix+k.name+" is missing", remedy)
}

// needs reports keys that have to be given with another.
func (r *reader) needs(s *section, name string, others ...string) {
	for _, other := range others {
		if s.key(other).node == nil {
			remedy := r.writeExample(s.key(other)) + " as well"
			r.fault(s.key(name).at, s.path(name), "is given without "+other, remedy)
		}
	}
}

// follow checks a rule between the keys of a table.
func (r *reader) follow(rule rule, s *section, meant []*key) {
	given := func(names []string) (found []string) {
		for _, name := range names {
			if s.key(name).node != nil {
				found = append(found, name)
			}
		}
		return found
	}
	found := given(append(slices.Clone(rule.one), rule.apart...))
	switch {
	case rule.key != "":
		if s.key(rule.key).node != nil && s.key(rule.needs).node == nil {
			r.fault(s.key(rule.key).at, s.path(rule.key), "is given without "+rule.needs, "give both or neither")
		}
	case len(found) > 1: // reported at the last of them, as the eye goes down the file
		last := slices.MaxFunc(found, func(a, b string) int { return s.key(a).at.at - s.key(b).at.at })
		others := slices.DeleteFunc(found, func(name string) bool { return name == last })
		r.fault(s.key(last).at, s.path(last), "is given beside "+commas(others), "keep one of them")
	case len(found) == 0 && rule.one != nil && (rule.unless == "" || s.key(rule.unless).node == nil) &&
		!slices.ContainsFunc(meant, func(k *key) bool { return k != nil && slices.Contains(rule.one, k.name) }):
		problem := "none of " + commas(rule.one) + " is given"
		if k := s.key(rule.one[0]); len(rule.one) == 1 {
			r.missing(s, k, s.node.place)
		} else {
			r.fault(s.node.place, s.owner, problem, r.writeExample(k))
		}
	}
}

// value reads the value of a key and puts it where the key says. Whatever is wrong is reported
// instead.
func (r *reader) value(s *section, k *key, n *node) {
	given, path := k.node != nil, s.path(k.name)
	if k.given != nil {
		*k.given = given
	}
	switch to := k.into.(type) {
	case *section:
		r.table(s, k, to, n)
	case many:
		r.tables(s, k, to.next, n)
	case *bool:
		switch {
		case n.form == truthForm, r.isFlag && (n.text == "true" || n.text == "false"):
			*to = n.text == "true"
		default:
			r.fault(n.place, path, n.describe()+" is neither true nor false", r.writeExample(k))
		}
	case choice:
		if word, ok := r.text(k, n, path); ok && r.isKnown(n, word, to.words, path) {
			to.set(word, given)
		}
	case *string, *Opt[string]:
		if text, ok := r.text(k, n, path); ok {
			store(to, text, given)
		}
	case *float64, *Opt[float64]:
		if number, ok := r.number(k, n, k.limits, path); ok {
			store(to, number, given)
		}
	case *Angles, *Opt[Angles]:
		if n.form != listForm {
			if number, ok := r.number(k, n, k.limits, path); ok {
				store(to, Angles{number, number}, given)
			}
		} else if two, ok := r.two(k, n, path); ok {
			store(to, Angles{two[0], two[1]}, given)
		}
	case *Interval, *Opt[Interval]:
		if two, ok := r.two(k, n, path); ok && r.inOrder(k, n, two, path) {
			store(to, Interval{two[0], two[1]}, given)
		}
	case *geometry.Track:
		if text, ok := r.text(k, n, path); ok {
			if err := ParseBend(text, to); err != nil {
				r.fault(n.place, path, quantity.AsError(err).Problem, r.writeExample(k))
			}
		}
	case *[]string:
		if r.isList(k, n, path, "a list") {
			*to = []string{}
			for _, item := range n.items {
				text, _ := r.text(k, item, path)
				*to = append(*to, text)
			}
		}
	case *[]GroundPoint:
		if r.isList(k, n, path, "a list of points") {
			*to = r.points(k, n, path)
		}
	}
}

// isKnown reports a word that is not one of those to choose from.
func (r *reader) isKnown(n *node, word string, words []string, path string) bool {
	if slices.Contains(words, word) {
		return true
	}
	remedy := "write one of " + commas(words)
	if guess := Nearest(word, words); guess != "" {
		remedy = fmt.Sprintf("did you mean %q?", guess)
	}
	r.fault(n.place, path, quantity.Quote(word)+" is not known", remedy)
	return false
}

// table reads a table that there is one of.
func (r *reader) table(s *section, k *key, inner *section, n *node) {
	if n.form == listForm && n.header {
		r.fault(n.place, s.path(k.name), "is written as one of several tables", "there is one: write "+k.example)
		n = n.items[0]
	}
	if n.form != tableForm {
		r.fault(n.place, s.path(k.name), n.describe()+" is not a table", r.writeExample(k))
		return
	}
	inner.owner, inner.prefix = s.owner, s.prefix+k.name+"."
	if s.owner == "" && s.prefix == "" {
		inner.owner, inner.prefix = k.name, ""
	}
	r.fill(inner, n)
}

// tables reads tables that there may be many of.
func (r *reader) tables(s *section, k *key, next func() *section, n *node) {
	items, path := n.items, s.path(k.name)
	switch {
	case n.form == tableForm:
		r.fault(n.place, path, "is written as a single table", "there may be several: write "+k.example)
		items = []*node{n}
	case n.form != listForm:
		r.fault(n.place, path, n.describe()+" is not a list of tables", "write "+k.example)
	case len(items) == 0:
		r.fault(n.place, path, "an empty list", "leave it out, or write "+k.example)
	case len(items) > k.most:
		problem := fmt.Sprintf("%d of them, more than %d", len(items), k.most)
		r.fault(items[k.most].place, path, problem, "leave out what is not needed")
		return
	}
	for i, item := range items {
		if item.form != tableForm {
			r.fault(item.place, path, item.describe()+" is not a table", "write "+k.example)
			continue
		}
		inner := next()
		inner.owner = ordinal(k.name, i)
		if name := item.name(); name != "" && inner.key("name") != nil {
			inner.owner = k.name + " " + quantity.Quote(name)
		}
		if k.name == "optic" {
			inner.owner = s.owner + ": " + inner.owner
		}
		k.tables = append(k.tables, inner)
		r.fill(inner, item)
	}
}

// Radii of bends, m: below the least no vehicle turns, beyond the most a bend is straight.
var radii = within(5, 1e5)

// ParseBend reads a bend such as "60 m left" or "200 ft right", or "straight", into a track. The
// error is a *quantity.Error.
func ParseBend(text string, track *geometry.Track) error {
	wrong := func(problem string) error {
		return &quantity.Error{Problem: problem, Remedy: `write e.g. "60 m left"`}
	}
	words := strings.Fields(text)
	if len(words) == 1 && words[0] == "straight" {
		track.Radius, track.Left = 0, false
		return nil
	}
	side := Side("")
	if len(words) > 0 {
		side = Side(words[len(words)-1])
	}
	if side != LeftSide && side != RightSide {
		return wrong(quantity.Quote(text) + " does not end in left or right")
	}
	size := strings.Join(words[:len(words)-1], " ")
	radius, err := quantity.Length.Parse(size)
	if err != nil {
		return wrong(quantity.AsError(err).Problem)
	}
	if breach := radii.breach(radius, quantity.Length); breach != "" {
		return wrong(size + " " + breach)
	}
	track.Radius, track.Left = radius, side == LeftSide
	return nil
}

// How far one sees through air, m.
var visibilities = within(10, 1e6)

// ParseAir reads what hangs in the air, and how far one sees through it: "clear", "2 km", "dust 150
// m". The error is a *quantity.Error.
func ParseAir(text string, air *Air) error {
	wrong := func(problem string) error {
		return &quantity.Error{Problem: problem, Remedy: `write "clear", "2 km" or e.g. "dust 150 m"`}
	}
	if strings.TrimSpace(text) == "clear" {
		air.Visibility, air.Particles = Opt[float64]{}, sight.Particles{}
		return nil
	}
	particles, size := sight.Particles{}, strings.TrimSpace(text)
	for _, p := range sight.AllParticles() {
		if rest, ok := strings.CutPrefix(size, p.Name); ok {
			particles, size = p, strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(rest), ","))
		}
	}
	visibility, err := quantity.Length.Parse(size)
	if err != nil {
		return wrong(quantity.AsError(err).Problem)
	}
	if breach := visibilities.breach(visibility, quantity.Length); breach != "" {
		return wrong("a visibility of " + size + " " + breach)
	}
	air.Visibility, air.Particles = Opt[float64]{visibility, true}, particles
	return nil
}

// isList reports whether a node is a list that is not too long, and says so when it is not.
func (r *reader) isList(k *key, n *node, path, what string) bool {
	switch {
	case n.form != listForm:
		r.fault(n.place, path, n.describe()+" is not "+what, r.writeExample(k))
	case len(n.items) > k.most:
		problem := fmt.Sprintf("a list of %d, more than %d", len(n.items), k.most)
		r.fault(n.place, path, problem, "leave out what is not needed")
	default:
		return true
	}
	return false
}

// two reads a list of two quantities.
func (r *reader) two(k *key, n *node, path string) (two [2]float64, ok bool) {
	switch {
	case n.form != listForm:
		r.fault(n.place, path, n.describe()+" is not a list of two", r.writeExample(k))
		return two, false
	case len(n.items) != 2:
		r.fault(n.place, path, fmt.Sprintf("a list of %d, not of two", len(n.items)), r.writeExample(k))
		return two, false
	}
	low, okLow := r.number(k, n.items[0], k.limits, path)
	high, okHigh := r.number(k, n.items[1], k.limits, path)
	return [2]float64{low, high}, okLow && okHigh
}

// inOrder reports whether an interval goes from low to high, and says so when it does not.
func (r *reader) inOrder(k *key, n *node, two [2]float64, path string) bool {
	first, second := n.items[0], n.items[1]
	switch {
	case two[0] > two[1]:
		r.fault(n.place, path, fmt.Sprintf("%s comes before %s", first.describeText(), second.describeText()),
			"write "+r.write(k.name, fmt.Sprintf("[%s, %s]", second.written(), first.written())))
	case two[0] == two[1] && k.wide:
		problem := fmt.Sprintf("from %s to %s is nothing", first.describeText(), second.describeText())
		r.fault(n.place, path, problem, r.writeExample(k))
	default:
		return true
	}
	return false
}

// points reads pairs of a distance and a height.
func (r *reader) points(k *key, n *node, path string) (points []GroundPoint) {
	if len(n.items) < 2 {
		r.fault(n.place, path, "fewer than two points", r.writeExample(k))
	}
	for i, item := range n.items {
		if item.form != listForm || len(item.items) != 2 {
			r.fault(item.place, path, fmt.Sprintf("point %d is not a distance and a height", i+1), r.writeExample(k))
			return nil
		}
		name := fmt.Sprintf("%s: point %d", path, i+1)
		ahead, ok := r.number(k, item.items[0], k.limits, name)
		height, okHeight := r.number(k, item.items[1], k.heights, name)
		if !ok || !okHeight {
			continue
		}
		if len(points) > 0 && ahead <= points[len(points)-1].Ahead {
			r.fault(item.items[0].place, name, item.items[0].describeText()+" is not beyond the point before it",
				"put the points in the order of their distances")
			return nil
		}
		points = append(points, GroundPoint{ahead, height})
	}
	return points
}

// text reads a text that can be shown.
func (r *reader) text(k *key, n *node, path string) (string, bool) {
	longest := cmp.Or(k.bytes, longestText)
	switch {
	case n.form != textForm:
		r.fault(n.place, path, n.describe()+" is not a text in quotes", r.writeExample(k))
	case strings.TrimSpace(n.text) == "":
		r.fault(n.place, path, "an empty text", r.writeExample(k))
	case len(n.text) > longest:
		r.fault(n.place, path, fmt.Sprintf("a text of %d bytes, more than %d", len(n.text), longest), "shorten it")
	case strings.ContainsFunc(n.text, unprintable):
		r.fault(n.place, path, "a control character in "+quantity.Quote(n.text), "leave it out")
	default:
		if k.refuse != nil {
			if problem, remedy := k.refuse(n.text); problem != "" {
				r.fault(n.place, path, problem, remedy)
				return "", false
			}
		}
		return n.text, true
	}
	return "", false
}

// unprintable reports a character that a terminal or a picture cannot show as it is.
func unprintable(r rune) bool { return !unicode.IsPrint(r) && r != '\u00a0' && r != '\u202f' }

// printable drops characters that cannot be shown.
func printable(r rune) rune {
	if unprintable(r) {
		return -1
	}
	return r
}

// number reads a quantity: a text with a unit, or a number where the kind needs none.
func (r *reader) number(k *key, n *node, l limits, path string) (float64, bool) {
	var number float64
	var err error
	switch {
	case n.form == textForm && !(r.isFlag && k.zero && n.text == "0"):
		number, err = k.kind.Parse(n.text)
	case n.form == textForm:
		number = 0
	case n.form == numberForm:
		number, err = readNumber(n.text)
		if err == nil && !(number == 0 && k.zero) {
			number, err = k.kind.Of(number)
		}
	default:
		r.fault(n.place, path, fmt.Sprintf("%s is not %v", n.describe(), k.kind), r.writeExample(k))
		return 0, false
	}
	if err != nil {
		e := quantity.AsError(err)
		remedy := e.Remedy
		if remedy == "" || strings.HasPrefix(remedy, "write e.g.") {
			remedy = r.writeExample(k)
		}
		r.fault(n.place, path, e.Problem, remedy)
		return 0, false
	}
	if breach := l.breach(number, k.kind); breach != "" {
		shown := n.describeText()
		switch {
		case k.kind == quantity.Angle:
			shown = k.kind.Show(math.Round(number*180/math.Pi*1e6) / 1e6)
		case n.form == numberForm || k.kind.Bare():
			shown = k.kind.Show(number)
		}
		r.fault(n.place, path, shown+" "+breach, r.writeExample(k))
		return 0, false
	}
	return number, true
}

// readNumber reads a number that TOML allows, in decimals.
func readNumber(literal string) (float64, error) {
	number, err := strconv.ParseFloat(strings.ReplaceAll(literal, "_", ""), 64)
	if err != nil {
		return 0, &quantity.Error{Problem: unquoted(literal) + " is not a decimal number"}
	}
	return number, nil
}

// describe names a value of the wrong kind.
func (n *node) describe() string {
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
	return n.describeText()
}

// describeText is a quantity as it was written, without quotes.
func (n *node) describeText() string { return unquoted(n.text) }

// written is a single value as it stands in the file.
func (n *node) written() string {
	if n.src.isFlag || n.end <= n.at || n.end-n.at > 100 {
		return n.describeText()
	}
	return strings.Map(printable, string(n.src.text[n.at:n.end]))
}

// writeExample is the remedy that shows a right value of a key.
func (r *reader) writeExample(k *key) string { return "write e.g. " + r.example(k) }

// example is a key with a right value, in the way of the file or of --lamp.
func (r *reader) example(k *key) string {
	if isHeader.MatchString(k.example) {
		return k.example
	}
	return r.write(k.name, k.example)
}

// write is a key and its value, in the way of the file or of --lamp.
func (r *reader) write(name, literal string) string {
	if r.isFlag {
		return name + "=" + strings.NewReplacer(`"`, "", ", ", ",").Replace(literal)
	}
	return name + " = " + literal
}
