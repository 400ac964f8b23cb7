package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"

	"github.com/google/go-cmp/cmp"
)

// assembled is a rig put together from the text of a file.
func assembled(t *testing.T, text string) *assembly.Rig {
	t.Helper()
	file, err := rigfile.Read(strings.NewReader(text), "rig.toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := assembly.Assemble(file, func(string) (io.ReadCloser, error) {
		return nil, errors.New("there are no other files")
	})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// none is a figure that does not exist.
var none = figures.Number(figures.None())

var asked = figures.Options{Wall: 7.62, Tolerance: rad(0.5), Thresholds: []float64{1, 3}, SightLux: 3, Traffic: 1}

// truck has a lamp that hits the ground, one that never does, and one to the rear.
const truck = `
[vehicle]
width = "1.9 m"
[[lamp]]
name = "bar"
at = { ahead = "-1.6 m", up = "2 m" }
tilt = 6
lumens = 9000
output = 0.7
spread = 10
[[lamp]]
name = "spot"
at = { ahead = "-0.1 m", left = "0.5 m", up = "0.8 m" }
pair = true
lumens = 3000
output = 0.7
spread = 10
[[lamp]]
name = "work"
at = { ahead = "-4 m", up = "1.5 m" }
tilt = 20
turn = 180
lumens = 2000
output = 0.7
spread = 60
`

func planned(t *testing.T, text string, u units.System) *figures.Plan {
	t.Helper()
	r := assembled(t, text)
	r.File.Units.Value = u
	o := asked
	o.Things = []string{"person"}
	p, err := figures.PlanOf(t.Context(), r, o, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// cells is a table by its lamps and columns.
func cells(tab *table.Table) map[string]map[string]string {
	out := map[string]map[string]string{}
	name := slices.IndexFunc(tab.Columns, func(c table.Column) bool { return c.Name == "lamp" })
	for _, row := range tab.Rows {
		out[row[name]] = map[string]string{}
		for i, c := range tab.Columns {
			out[row[name]][c.Name] = row[i]
		}
	}
	return out
}

// read is the one length in a text, m: written for people, it is read as people's lengths are.
func read(t *testing.T, text string) float64 {
	t.Helper()
	v, err := quantity.ParseLength(strings.TrimRight(text, " LR"))
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return v
}

// What the tables say is what the JSON says, to half of the last digit shown, in either system of
// units. Beside the figures of the program itself, those of right triangles: axis at h / tan t,
// edges at h / tan(t ± b), wall mark r · tan t lower.
func TestTablesAgreeWithJSON(t *testing.T) {
	for _, tt := range []struct {
		units      units.System
		mark, dist float64 // half of the last digit shown: m
	}{
		{units.Metric, 0.0005, 0.05},
		{units.Imperial, units.Inch / 8, units.Foot / 2},
	} {
		p := planned(t, truck, tt.units)
		set, gives := cells(Setting(tt.units, p)), cells(Gives(tt.units, p))
		if len(set) != 4 || len(gives) != 3 {
			t.Fatalf("%d and %d rows, want 4, and 3 with the pair in one", len(set), len(gives))
		}
		near := func(what, text string, want, within float64) {
			t.Helper()
			if got := read(t, text); !(math.Abs(got-want) <= within+1e-9) {
				t.Errorf("%v: %s is written %q, want %v m", tt.units, what, text, want)
			}
		}
		for i := range p.Lamps {
			l := &p.Lamps[i]
			near(l.Name+": height", set[l.Name]["height"], l.Up, tt.mark)
			if want := strconv.FormatFloat(l.Tilt.Degrees(), 'f', 1, 64) + "°"; set[l.Name]["tilt"] != want {
				t.Errorf("%v: %s: tilt %s, want %s", tt.units, l.Name, set[l.Name]["tilt"], want)
			}
			if l.Wall != nil {
				near(l.Name+": wall mark", set[l.Name]["wall mark up"], l.Wall.Height, tt.mark)
			}
			if cell, ok := gives[l.Name]["axis hits"]; ok && l.AxisHit != nil {
				near(l.Name+": axis", cell, l.AxisHit.Range, tt.dist)
			}
		}
		near("the bar's axis", gives["bar"]["axis hits"], 2/math.Tan(rad(6)), tt.dist)
		near("the bar's wall mark", set["bar"]["wall mark up"], 2-(7.62+1.6)*math.Tan(rad(6)), tt.mark)
		for _, cell := range [][2]string{
			// 2 m / tan 6.5° = 17.55 m = 57.6 ft, 2 m / tan 5.5° = 20.77 m = 68.1 ft
			{gives["bar"]["if 0.5° off"], map[units.System]string{units.Metric: "17.6 – 20.8 m",
				units.Imperial: "58 – 68 ft"}[tt.units]},
			{gives["spot (both)"]["axis hits"], "never"}, {gives["spot (both)"]["#"], "2, 3"},
			{set["work"]["wall mark up"], "–"}, {set["work"]["turn"], "rear"},
			{set["bar"]["from centre"], "centre"}, {set["bar"]["turn"], ""},
		} {
			if cell[0] != cell[1] {
				t.Errorf("%v: %q, want %q", tt.units, cell[0], cell[1])
			}
		}
		for side, end := range map[string]string{"spot (left)": " L", "spot (right)": " R"} {
			if text := set[side]["from centre"]; !strings.HasSuffix(text, end) ||
				math.Abs(read(t, text)-0.5) > tt.mark {
				t.Errorf("%v: %s is written %q from the centre", tt.units, side, text)
			}
		}
	}
}

// All that a bracket is set by is in the table: turn and roll where a lamp has them, the meter
// where it reads something else than the tilt.
func TestSettingHasAllThatIsSet(t *testing.T) {
	const pods = `
[[lamp]]
name = "pod"
at = { left = "0.8 m", up = "1 m" }
pair = true
tilt = 2
turn = 35
roll = 10
lumens = 2000
output = 0.7
spread = 30
`
	p := planned(t, pods, units.Metric)
	p.Asked.GroundReading = rad(-0.4)
	for i := range p.Lamps {
		p.Lamps[i].Reading += figures.Angle(rad(-0.4))
	}
	set := cells(Setting(units.Metric, p))
	for lamp, want := range map[string]map[string]string{
		"pod (left)": {"turn": "35.0° L", "roll": "10.0° R down", "tilt": "2.0°", "meter": "1.6°",
			"height": "1.000 m"},
		"pod (right)": {"turn": "35.0° R", "roll": "10.0° L down", "tilt": "2.0°", "meter": "1.6°"},
	} {
		for column, want := range want {
			if got := set[lamp][column]; got != want {
				t.Errorf("%s: %s is %q, want %q", lamp, column, got, want)
			}
		}
	}
	for _, c := range Setting(units.Metric, planned(t, truck, units.Metric)).Columns {
		if c.Name == "roll" || c.Name == "meter" {
			t.Errorf("a column says nothing: %s", c.Name)
		}
	}
}

// A lamp that has no mark on the wall is named with the reason: right triangles, and a wall behind
// it.
func TestSettingKey(t *testing.T) {
	lamp := func(name, keys string) string {
		return "[[lamp]]\nname = \"" + name + "\"\nlumens = 2000\nspread = 30\n" + keys + "\n"
	}
	key := SettingKey(planned(t, lamp("low", "at = { up = \"1 m\" }\ntilt = 20")+lamp("mast",
		"at = { ahead = \"9 m\", up = \"1 m\" }")+
		lamp("side", "at = { up = \"1.5 m\" }\nturn = 90"), units.Metric))
	for _, want := range []string{"on the ground before it: low", "mounted past it: mast", "aimed away from it: side"} {
		if !strings.Contains(key, want) {
			t.Errorf("%q does not say %q", key, want)
		}
	}
}

// The tables for a spreadsheet have every number of the JSON under its name, lengths in the unit
// that ends it, nothing for null.
func TestCSVAgreesWithJSON(t *testing.T) {
	for system, of := range map[units.System]struct {
		unit string
		size float64
	}{units.Metric: {"_m", 1}, units.Imperial: {"_ft", 0.3048}} {
		p := planned(t, truck, system)
		var b bytes.Buffer
		if err := PlanCSV(system, p).Write(&b, table.CSV, 0); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != 6 { // names, the scene, its lamps
			t.Fatalf("%v: %d rows, %v", system, len(rows), err)
		}
		for i := range p.Lamps {
			text, err := json.Marshal(&p.Lamps[i])
			if err != nil {
				t.Fatal(err)
			}
			l := map[string]any{}
			if err := json.Unmarshal(text, &l); err != nil {
				t.Fatal(err)
			}
			inner := func(key, of string) any {
				if in, ok := l[key].(map[string]any); ok {
					return in[of]
				}
				return nil
			}
			want := map[string]any{
				"axis_range_m": inner("axis_hit", "range_m"), "wall_height_m": inner("wall", "height_m"),
				"wall_drop_m":     inner("wall", "drop_m"),
				"peak_ground_lux": inner("peak_ground", "lux"), "tolerance_near_m": inner("tolerance", "near_m"),
				"tolerance_far_m": inner("tolerance", "far_m"),
				"reach_1lx_m":     l["reach"].([]any)[0].(map[string]any)["range_m"],
			}
			for _, key := range []string{"ahead_m", "left_m", "up_m", "near_m", "far_m", "tilt_deg", "turn_deg",
				"roll_deg", "reading_deg", "flux_lm", "peak_cd", "sky_share"} {
				want[key] = l[key]
			}
			for name, value := range want {
				size := 1.0
				if base, ok := strings.CutSuffix(name, "_m"); ok {
					name, size = base+of.unit, of.size
				}
				column := slices.Index(rows[0], name)
				if column < 0 {
					t.Errorf("%v: no column %s", system, name)
					continue
				}
				cell := rows[i+2][column]
				got, err := strconv.ParseFloat(cell, 64)
				switch want, exists := value.(float64); {
				case !exists && cell != "":
					t.Errorf("%v: %s of %s is %q, want nothing", system, name, p.Lamps[i].Name, cell)
				case exists && (err != nil || math.Abs(got*size-want) > 1e-8*math.Max(1, math.Abs(want))):
					t.Errorf("%v: %s of %s is %q, want %v / %v", system, name, p.Lamps[i].Name, cell, want, size)
				}
			}
		}
	}
}

// A spreadsheet can be put below another: rig and scene come first, each scene has a row of its own
// before those of its lamps, and one without lamps has that row alone. Lamps that no scene lights
// are at the end.
func TestCSVRows(t *testing.T) {
	p := planned(t, truck+"[[scene]]\nname = \"dark\"\ncircuits = []\n[[scene]]\nname = \"trail\"\ncircuits = "+
		"[\"bar\", \"spot\"]\n", units.Metric)
	var got [][]string
	tab := PlanCSV(units.Metric, p)
	lamp := slices.IndexFunc(tab.Columns, func(c table.Column) bool { return c.Name == "lamp" })
	for _, row := range tab.Rows {
		got = append(got, []string{row[0], row[1], row[lamp]})
		if len(row) != len(tab.Columns) {
			t.Errorf("%d cells under %d names", len(row), len(tab.Columns))
		}
	}
	want := [][]string{
		{"rig", "dark", "all"}, {"rig", "trail", "all"}, {"rig", "trail", "bar"}, {"rig", "trail", "spot (left)"},
		{"rig", "trail", "spot (right)"}, {"rig", "", "work"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(- want, + got):\n%s", diff)
	}
}

func TestFigures(t *testing.T) {
	for _, tt := range []struct {
		before, after figures.Number
		want          string
	}{
		{100, 112.4, "+ 12 m"}, {99, 96, "− 3.0 m"}, {100, 100.2, "same"}, {100, figures.Number(math.NaN()), "lost"},
		{figures.Number(math.NaN()), 20, "seen"},
	} {
		if got := farther(units.Metric, tt.before, tt.after); got != tt.want {
			t.Errorf("from %v to %v m: %q, want %q", tt.before, tt.after, got, tt.want)
		}
	}
	for v, want := range map[float64]string{0: "0", 0.25: "0.25", 1e-9: "1e-09", 12345678: "12345678", math.NaN(): ""} {
		if got := digits(v); got != want {
			t.Errorf("digits(%v) = %q, want %q", v, got, want)
		}
	}
}

func TestTogether(t *testing.T) {
	for _, tt := range []struct{ names, want string }{
		{"bar", "bar"}, {"fog (left)|fog (right)", "fog (both)"}, {"fog (left)", "fog (left)"},
		{"fog (right)", "fog (right)"},
		{"bar|fog (left)|fog (right)|work", "bar, fog (both) and work"},
		{"fog (left)|spot (right)", "fog (left) and spot (right)"},
	} {
		if got := together(strings.Split(tt.names, "|")); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.names, got, tt.want)
		}
	}
}

// A grid is the points as they are, row by row: ground lux on the ground in one table, facing lux
// at its height in the other.
func TestGrids(t *testing.T) {
	r := assembled(t, truck)
	var places []figures.Place
	for _, up := range []float64{0, 0.6} {
		for _, ahead := range []float64{10, 20} {
			for _, left := range []float64{2, 0, -2} {
				places = append(places, figures.Place{Ahead: ahead, Left: left, Up: up})
			}
		}
	}
	l := figures.LuxAt(r, r.Scenes[0], places)
	grids := LuxGrids(units.Imperial, l, 3)
	if !strings.Contains(grids[1].Title, "2 ft above the ground") {
		t.Errorf("facing lux is not said to be at its height: %s", grids[1].Title)
	}
	for k, tab := range grids {
		var names []string
		for _, c := range tab.Columns {
			names = append(names, c.Name)
		}
		if want := []string{"ahead", "6.56 ft L", "0 ft", "6.56 ft R"}; !slices.Equal(names, want) {
			t.Errorf("columns %q, want %q", names, want)
		}
		for i, row := range tab.Rows {
			if want := []string{"33 ft", "66 ft"}[i]; row[0] != want {
				t.Errorf("row %q, want %q", row[0], want)
			}
			for j, cell := range row[1:] {
				p := l.Points[6*k+3*i+j]
				if want := units.Metered([]float64{p.Ground, p.Facing}[k]); cell != want {
					t.Errorf("%s at %s: %s, want %s", tab.Title, row[0], cell, want)
				}
			}
		}
	}
}

// Of many readings those are listed that are explained worst, in their order.
func TestReadingsExplainedWorst(t *testing.T) {
	f := &figures.Fit{}
	for i := range 60 {
		r := figures.FitReading{Lux: 100, Explained: 100}
		r.Ahead = float64(i)
		if i%3 == 0 {
			r.Lux = 100 + float64(i) // 0 to 57 % off
		}
		f.Readings = append(f.Readings, r)
	}
	tab := Explained(units.Metric, f)
	if len(tab.Rows) != mostReadings || !strings.Contains(tab.Title, "24 of 60") {
		t.Fatalf("%d readings are listed under %q", len(tab.Rows), tab.Title)
	}
	if last := tab.Rows[mostReadings-1]; last[0] != "57.00 m" || last[8] != "+57 %" {
		t.Errorf("the last listed is %v", last)
	}
	tab = Explained(units.Metric, &figures.Fit{Readings: f.Readings[:mostReadings]})
	if len(tab.Rows) != mostReadings || tab.Title != "" {
		t.Errorf("of few readings %d are listed under %q", len(tab.Rows), tab.Title)
	}
}
