package sight

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"beamfall/geometry"
)

// A table that numpy worked out from the formulas alone, by sums over very many points;
// testdata/reference/sight.py says how.
func TestReferenceTable(t *testing.T) {
	file, err := os.Open("../../testdata/reference/sight.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	old := func() *View {
		site := demoSite()
		site.Attitude, site.Body = geometry.NoseUp(-0.5*deg, -4.1), site.Body[:1]
		site.Ground, site.Visibility = geometry.Ground{Grade: 0.03, CrossFall: -0.02}, 600
		o := Observer{Age: 68, Glance: 0.4, Level: 10}
		return Look(site.Scene(demoLamps()...), site.Attitude.Driven(demoEye), o, AtNight(0.3))
	}()
	rigs := map[string]struct {
		view *View
		lit  []int
	}{"clear": {demoView(), trail}, "dust": {dusty(), trail}, "old eyes on a slope": {old, []int{0, 1}}}
	things := map[string]Thing{}
	for _, thing := range Things() {
		things[thing.Name] = thing
	}
	worst := map[string]float64{}
	for _, row := range rows[1:] {
		var want [12]float64
		for i := range want {
			if want[i], err = strconv.ParseFloat(row[2+i], 64); err != nil {
				t.Fatal(err)
			}
		}
		rig, ok := rigs[row[0]]
		if !ok {
			t.Fatalf("no rig %q", row[0])
		}
		p := rig.view.Parts(things[row[1]], Place{X: want[0], Y: want[1]})
		got := p.See(rig.lit)
		for i, figure := range []struct {
			name       string
			got, share float64
		}{
			{"lux", got.Lux, 0.005}, {"thing", got.Thing, 0.005}, {"background", got.Background, 0.005},
			{"veil by ground", got.Veil.Ground, 0.01}, {"veil by body", got.Veil.Body, 0.02},
			{"veil by air", got.Veil.Air, 0.01}, {"veil by sky", got.Veil.Sky, 0.02},
			{"size", p.Arcmin, 0.001}, {"threshold", got.Threshold, 0.005}, {"level", got.Level, 0.01},
		} {
			what := fmt.Sprintf("%s: %s at (%g, %g): %s", row[0], row[1], want[0], want[1], figure.name)
			near(t, what, figure.got, want[2+i], figure.share)
			if want[2+i] != 0 {
				worst[figure.name] = math.Max(worst[figure.name], math.Abs(figure.got/want[2+i]-1))
			}
		}
	}
	t.Logf("%d rows, worst off %.3v", len(rows)-1, worst)
	if len(rows) < 12 {
		t.Errorf("%d rows: not the table of sight.py", len(rows))
	}
}
