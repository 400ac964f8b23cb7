package figures

import (
	"context"
	"math"
	"testing"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"
	"beamfall/geometry/sight"

	"github.com/google/go-cmp/cmp"
)

// Two floods whose light crosses, and a gap between them: the width of sight is that of all places
// along the line across the track where a person is seen, asked one by one; each step gains over
// the one before, or each column over the first.
func TestCompareOf(t *testing.T) {
	r := assembled(t, `
[[lamp]]
name = "flood"
at = { ahead = "-0.1 m", left = "0.5 m", up = "1 m" }
pair = true
turn = 22
lumens = 4000
output = 0.7
spread = 16
[[lamp]]
name = "spot"
at = { ahead = "-0.1 m", up = "1 m" }
lumens = 2000
output = 0.7
spread = 6
`)
	scenes := []assembly.Scene{{Name: "floods", Lamps: []int{0, 1}}, {Name: "all", Lamps: []int{0, 1, 2}},
		{Name: "spot", Lamps: []int{2}}}
	var panels []Panel
	for _, s := range scenes {
		panels = append(panels, Panel{r, s, s.Name})
	}
	c, err := CompareOf(context.Background(), panels, true, asked, nil)
	if err != nil {
		t.Fatal(err)
	}
	all := make([]geometry.Lamp, len(r.Lamps))
	for i := range all {
		all[i] = r.Lamps[i].Lamp
	}
	const step = 0.5
	var across []sight.Parts
	view := Look(r, r.Site.Scene(all...))
	for left := -45.0; left <= 45; left += step {
		across = append(across, view.Parts(sight.Things()[0], view.OnTrack(50, left)))
	}
	for i, s := range scenes {
		want := 0.0
		for k := range across {
			if across[k].See(s.Lamps).Seen {
				want += step
			}
		}
		w := c.Columns[i].SightWidths[0]
		if w.Thing != "person" || w.Ahead != 50 || !(math.Abs(float64(w.Width)-want) <= 2*step) {
			t.Errorf("%s: %+v, by counting %g m", s.Name, w, want)
		}
	}
	if c.Columns[0].Gain != nil || c.Columns[2].Gain.Over != "all" {
		t.Errorf("gains %+v, %+v", c.Columns[0].Gain, c.Columns[2].Gain)
	}
	g, a, b := c.Columns[1].Gain, &c.Columns[0], &c.Columns[1]
	want := &Gain{
		Over: "floods", Sight: []Farther{}, SightWidths: []SightWidth{{"person", 50,
			b.SightWidths[0].Width - a.SightWidths[0].Width}},
		Glow: Number(None()),
	}
	for i := range a.Sight {
		want.Sight = append(want.Sight, Farther{
			a.Sight[i].Thing, GainIn(a.Sight[i].Range, b.Sight[i].Range),
			GainIn(a.Sight[i].Stop, b.Sight[i].Stop),
		})
	}
	for i := range a.Reach {
		want.Reach = append(want.Reach, Reach{a.Reach[i].Lux, GainIn(a.Reach[i].Range, b.Reach[i].Range)})
	}
	for i := range a.Oncoming {
		want.Oncoming = append(want.Oncoming, EyeGain{a.Oncoming[i].Ahead, b.Oncoming[i].Lux - a.Oncoming[i].Lux})
	}
	nans := cmp.Comparer(func(a, b Number) bool { return a == b || !a.Exists() && !b.Exists() })
	if diff := cmp.Diff(want, g, nans); diff != "" {
		t.Errorf("gain (- want, + got):\n%s", diff)
	}
	// Between the floods nobody is seen straight ahead: all that the spot gives is gained.
	if a.Sight[0].Range.Exists() || g.Sight[0].Range != b.Sight[0].Range {
		t.Errorf("a gain of %v to %v after %v", g.Sight[0].Range, b.Sight[0].Range, a.Sight[0].Range)
	}
	// A beam is that of the only lamp or pair, which mirrors it.
	if beam := c.Columns[0].BeamAcross; math.Abs(float64(beam-degrees(16))) > 1e-3 ||
		Number(c.Columns[1].BeamAcross).Exists() {
		t.Errorf("beams %v, %v", beam, c.Columns[1].BeamAcross)
	}
	if c, err = CompareOf(context.Background(), panels, false, asked, nil); err != nil ||
		c.Columns[2].Gain.Over != "floods" {
		t.Errorf("%v, gain %+v", err, c.Columns[2].Gain)
	}
}
