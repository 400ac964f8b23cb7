package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// What readings of a light meter tell of lamps, and what they cannot.

const untold = "cannot tell"

// Fitted is the table of what was found of the lamps.
func Fitted(f *figures.Fit) *table.Table {
	t := &table.Table{
		Title: "What explains the readings best",
		Columns: []table.Column{
			{Name: "lamp", Least: 12, Lead: true}, {Name: "factor", Right: true}, {Name: "between"},
			{Name: "output", Right: true},
			{Name: "tilt off", Right: true}, {Name: "within", Right: true}, {Name: "tilt", Right: true},
		},
	}
	for i := range f.Lamps {
		l := &f.Lamps[i]
		row := []string{l.Name, untold, "", share(l.Output), untold, "", units.Degrees(float64(l.Tilt))}
		if l.Factor.Exists() {
			row[1], row[2] = share(l.Factor), share(l.Low)+" – "+share(l.High)
			row[3] = becomes(row[3], share(l.Corrected))
		}
		if !math.IsNaN(float64(l.TiltError)) {
			row[4], row[5] = Off(l.TiltError), "±"+units.Degrees(float64(l.TiltWithin))
			row[6] = becomes(row[6], units.Degrees(float64(l.Truly)))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// becomes is what the file says and what is found instead.
func becomes(was, is string) string {
	if was == is {
		return was
	}
	return was + " → " + is
}

func share(n figures.Number) string {
	if !n.Exists() {
		return "–"
	}
	return units.Fixed(float64(n), 2)
}

// FittedKey explains the table of lamps.
const FittedKey = "factor: on the light, and between what it is in 95 of 100 cases; output, tilt: in the file → as " +
	"found; tilt off: + too low."

// mostReadings is how many readings are listed; of more, those that are explained worst.
const mostReadings = 24

// Explained is the table of readings with what was predicted and what explains them.
func Explained(u units.System, f *figures.Fit) *table.Table {
	title := ""
	if n := len(f.Readings); n > mostReadings {
		title = fmt.Sprintf("The %d of %d readings that are explained worst (--json has all)", mostReadings, n)
	}
	t := &table.Table{Title: title, Columns: []table.Column{
		{Name: "ahead", Right: true, Lead: true}, {Name: "left", Right: true, Lead: true},
		{Name: "up", Right: true, Lead: true}, {Name: "lit", Least: 8}, {Name: "meter"},
		{Name: "read lx", Right: true}, {Name: "predicted", Right: true}, {Name: "explained", Right: true},
		{Name: "left over", Right: true},
	}}
	for _, r := range listed(f.Readings) {
		t.Rows = append(t.Rows, []string{
			u.Length(r.Ahead), u.Length(r.Left), u.Length(r.Up), r.Lamp, r.Surface,
			units.Metered(r.Lux), units.Metered(float64(r.Predicted)), units.Metered(float64(r.Explained)),
			leftOver(r.Off()),
		})
	}
	return t
}

// listed are the readings to list, in their order.
func listed(all []figures.FitReading) []figures.FitReading {
	if len(all) <= mostReadings {
		return all
	}
	worst := make([]int, len(all))
	for i := range worst {
		worst[i] = i
	}
	slices.SortStableFunc(worst, func(i, j int) int {
		return cmp.Compare(math.Abs(all[j].Off()), math.Abs(all[i].Off()))
	})
	worst = worst[:mostReadings]
	slices.Sort(worst)
	out := make([]figures.FitReading, mostReadings)
	for k, i := range worst {
		out[k] = all[i]
	}
	return out
}

// leftOver is a logarithm as a share: "+4 %".
func leftOver(off float64) string {
	v := 100 * math.Expm1(off)
	if math.Abs(v) < 0.5 {
		return "0 %"
	}
	return fmt.Sprintf("%+.0f %%", v)
}

// FitNotes say how well the readings are explained, which are strange, what they cannot tell and
// what would, and what cannot be written as it is.
func FitNotes(f *figures.Fit) []string {
	out := notes{}
	out.say("readings were off by %s from what the file predicts, and are by %s from what is found (root mean "+
		"square); %s is taken for the error "+
		"of a reading (--reading-error)", units.Percent(math.Expm1(f.Before)), units.Percent(math.Expm1(f.After)),
		units.Percent(f.ReadingError))
	if f.After > 2*f.ReadingError {
		out.say("that is more than readings err: something is other than factors and tilts can explain, such as a " +
			"beam of another width or profile, " +
			"the attitude as driven, ground that is not as in the file, or light from elsewhere")
	}
	// The median of what is left over is not moved by a few wild readings (1.4826 of it is the
	// standard deviation of errors that are normal).
	var left []float64
	for i := range f.Readings {
		left = append(left, math.Abs(f.Readings[i].Off()))
	}
	slices.Sort(left)
	bound := 3 * math.Max(f.ReadingError, 1.4826*left[len(left)/2])
	for i := range f.Readings {
		if r := &f.Readings[i]; math.Abs(r.Off()) > bound {
			out.say("%s: the reading is %s off what the others explain; read it again", r.Where, leftOver(r.Off()))
		}
	}
	if n := 2 * len(f.Lamps); len(f.Readings) < n {
		out.say("%s cannot tell %d figures, a factor and a tilt of each of %s", plural(len(f.Readings), "reading"), n,
			plural(len(f.Lamps), "lamp"))
	}
	for i := range f.Lamps {
		cannotTell(&out, &f.Lamps[i])
	}
	return out
}

// cannotTell says why readings do not tell all of a lamp, and what would.
func cannotTell(out *notes, l *figures.FitLamp) {
	e := &l.Found
	const more = "read it lit alone, at several distances, and above and below the middle of its beam"
	switch {
	case e.Seen == 0:
		out.say("%s: none of its light is in the readings; %s", l.Name, more)
	case e.Seen == 1:
		out.say("%s: one reading cannot tell light from tilt; %s", l.Name, more)
	case e.Twofold:
		out.say("%s: another factor and tilt explain the readings as well; %s", l.Name, more)
	case !e.FactorTold && !e.TiltTold:
		out.say("%s: the readings leave %s, and %s; %s", l.Name, factorLeft(e.Low(), e.High()), tiltLeft(e.TiltOff),
			more)
	case !e.FactorTold:
		out.say("%s: the readings leave %s; %s", l.Name, factorLeft(e.Low(), e.High()), more)
	case !e.TiltTold:
		out.say("%s: the readings leave %s; %s", l.Name, tiltLeft(e.TiltOff), more)
	}
	switch {
	case l.Strange:
		out.say("%s: its light would be an output of %s, and no more than 1 can leave it; if the readings are "+
			"right, its lumens are %s times those of the file, with an output of 1",
			l.Name, share(l.Corrected), share(l.Corrected))
	case l.Factor.Exists() && !l.Output.Exists():
		out.say("%s: its light is not given as lumens and output; multiply what the file gives by %s", l.Name,
			share(l.Factor))
	}
}

// factorLeft and tiltLeft are what readings leave of a factor and of a tilt (rad) that they do not
// tell.
func factorLeft(low, high float64) string {
	const wide = 30
	if high > wide*low {
		return "its factor open"
	}
	return fmt.Sprintf("its factor between %.2g and %.2g", low, high)
}

func tiltLeft(off float64) string {
	const wide = 20 * math.Pi / 180
	if off > wide {
		return "its tilt open"
	}
	return "its tilt to ±" + units.Degrees(off)
}

// FitCSV is the lamps with what was found, one row each.
func FitCSV(f *figures.Fit) *table.Table {
	s := &spreadsheet{}
	for i := range f.Lamps {
		l := &f.Lamps[i]
		s.row()
		s.text("rig", f.Rig)
		s.text("scene", "")
		s.text("lamp", l.Name)
		s.number("factor", float64(l.Factor))
		s.number("factor_low", float64(l.Low))
		s.number("factor_high", float64(l.High))
		s.number("output_before", float64(l.Output))
		s.number("output_after", float64(l.Corrected))
		s.degrees("tilt_error", l.TiltError)
		s.degrees("tilt_error_within", l.TiltWithin)
		s.degrees("tilt_before", l.Tilt)
		s.degrees("tilt_after", l.Truly)
		s.text("readings", strconv.Itoa(l.Found.Seen))
	}
	return &s.Table
}
