package geometry_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// A table of numbers that numpy worked out on a developer's desk; testdata/reference/lux.py says
// how.

func TestReferenceTable(t *testing.T) {
	file, err := os.Open("../testdata/reference/lux.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	worst, dark := 0.0, 0
	for _, row := range rows[1:] {
		text := func(name string) string { return row[column[name]] }
		list := func(s, sep string) (v []float64) {
			for _, f := range strings.Split(s, sep) {
				x, err := strconv.ParseFloat(f, 64)
				if err != nil {
					t.Fatal(err)
				}
				v = append(v, x)
			}
			return v
		}
		number := func(name string) float64 { return list(text(name), ",")[0] }

		spread := beam.Angles{Across: number("across") * deg, UpDown: number("updown") * deg}
		var shape beam.Shape
		switch field := number("field_across"); {
		case text("profile") == "cosine":
			shape = beam.Cosine(spread)
		case text("profile") == "uniform":
			shape = beam.Uniform(spread)
		case field > 0:
			shape = beam.GaussianField(spread, beam.Angles{Across: field * deg, UpDown: number("field_updown") * deg})
		default:
			shape = beam.Gaussian(spread)
		}
		d := shape.WithFlux(number("lumens"))
		site := &geometry.Site{
			Ground:     geometry.Ground{Grade: number("grade"), CrossFall: number("cross_fall")},
			Attitude:   geometry.NoseUp(number("nose_up")*deg, number("rear_axle")),
			Visibility: number("visibility"),
		}
		if s := text("box"); s != "" {
			b := list(s, "/")
			site.Body = []geometry.Box{box("box", b[0], b[1], b[2], b[3], b[4], b[5])}
		}
		if s := text("knots"); s != "" {
			for _, k := range strings.Split(s, "/") {
				v := list(k, ":")
				site.Ground.Profile = append(site.Ground.Profile, geometry.Knot{Ahead: v[0], Height: v[1]})
			}
		}
		aim := geometry.Aim{Tilt: number("tilt") * deg, Turn: number("turn") * deg, Roll: number("roll") * deg}
		s := site.Scene(lamp(r3.Vec{X: number("ahead"), Y: number("left"), Z: number("up")}, aim, number("width"), d))

		x, y := number("x"), number("y")
		where := fmt.Sprintf("%s, %s at (%v, %v)", text("case"), text("plane"), x, y)
		near(t, where+": peak", d.Peak(), number("peak_cd"), 1e-4)
		normal := facing
		switch text("plane") {
		case "ground":
			normal = site.Ground.Normal(x)
		case "facing":
		default:
			v := list(text("plane"), "/")
			normal = r3.Vec{X: v[0], Y: v[1], Z: v[2]}
		}
		p := site.At(x, y, number("height"))
		lux := []float64{0}
		s.AddRow(lux, geometry.Row{Start: p, Step: r3.Vec{Y: 1}, Normal: normal})
		want := number("lux")
		allowed := 0.005*want + 1e-6*axial(s, p)
		closeTo(t, where, s.Lux(p, normal), want, allowed)
		closeTo(t, where+", in a row", lux[0], want, allowed)
		if want == 0 {
			dark++
			continue
		}
		worst = math.Max(worst, math.Abs(s.Lux(p, normal)-want)/(want+1e-3*axial(s, p)))
	}
	t.Logf("%d values, %d of them dark; worst %.2g", len(rows)-1, dark, worst)
	if len(rows) < 200 || dark < 10 || dark > len(rows)/4 {
		t.Errorf("%d values, %d of them dark: not the table of lux.py", len(rows)-1, dark)
	}
}
