package report

import (
	"testing"

	"beamfall/render/units"

	"github.com/google/go-cmp/cmp"
)

// The figures of a scene in words, in either system of units: 100 m are 328 ft, 250 m² are 2691 ft², 90 km/h are 56 mph,
// 50 m are 164 ft and 0.6 m are 2 ft (NIST SP 811).
func TestWords(t *testing.T) {
	lit := &Scene{
		Reach:     []Reach{{1, number(100)}, {3, nil}},
		LitArea:   []LitArea{{1, 250}},
		DarkGaps:  []Gap{{0, 1.2}, {20, 31}},
		Stop:      Stop{1, number(100), number(90)},
		Oncoming:  []Oncoming{{25, 80, number(9)}, {50, 12, number(2.5)}},
		BodyLight: []BodyLight{{"hood", 4, 30}, {"cab", 0, 0.5}},
	}
	dark := &Scene{Reach: []Reach{{1, nil}}, LitArea: []LitArea{{1, 0}}, Oncoming: []Oncoming{{50, 0, number(0)}}}
	blind := &Scene{Reach: []Reach{{1, number(8)}}, Oncoming: []Oncoming{{50, 3, nil}}}
	for _, tt := range []struct {
		what  string
		scene *Scene
		units units.System
		want  []string
	}{
		{"lit", lit, units.Metric, []string{
			"an obstacle straight ahead (0.60 m up, on its face) gets 1 lx out to 100 m",
			"no obstacle straight ahead gets 3 lx (0.60 m up, on its face)",
			"the vehicle stops within the 1 lx reach from up to 90 km/h; that is where sight ends, not a safe speed",
			"250 m² of ground gets 1 lx or more",
			"dark on the centreline from 0.0 m to 1.2 m (under 1 lx on an obstacle)",
			"dark on the centreline from 20.0 m to 31.0 m (under 1 lx on an obstacle)",
			"an oncoming driver's eye at 50 m gets 12 lx, a veil of 2.5 cd/m²",
			"4 lx on top of the hood, 30 lx at the brightest",
		}},
		{"lit", lit, units.Imperial, []string{
			"an obstacle straight ahead (2 ft up, on its face) gets 1 lx out to 328 ft",
			"no obstacle straight ahead gets 3 lx (2 ft up, on its face)",
			"the vehicle stops within the 1 lx reach from up to 56 mph; that is where sight ends, not a safe speed",
			"2691 ft² of ground gets 1 lx or more",
			"dark on the centreline from 0.0 ft to 3.9 ft (under 1 lx on an obstacle)",
			"dark on the centreline from 66 ft to 102 ft (under 1 lx on an obstacle)",
			"an oncoming driver's eye at 164 ft gets 12 lx, a veil of 2.5 cd/m²",
			"4 lx on top of the hood, 30 lx at the brightest",
		}},
		{"dark", dark, units.Metric, []string{
			"no obstacle straight ahead gets 1 lx (0.60 m up, on its face)", "no ground gets 1 lx", "an oncoming driver's eye at 50 m gets no light",
		}},
		{"a veil outside of what is known", blind, units.Metric, []string{
			"an obstacle straight ahead (0.60 m up, on its face) gets 1 lx out to 8.0 m", "no dark stretch on the centreline before the end of reach",
			"an oncoming driver's eye at 50 m gets 3 lx; no veil can be told",
		}},
	} {
		if diff := cmp.Diff(tt.want, tt.scene.Words(tt.units)); diff != "" {
			t.Errorf("%s, %v (- want, + got):\n%s", tt.what, tt.units, diff)
		}
	}
}

// What stands out of a plan, said once for both lamps of a pair.
func TestAdvice(t *testing.T) {
	r := assembled(t, truck)
	hit := &Hit{}
	for _, tt := range []struct {
		what  string
		lamps []Lamp
		want  []string
	}{
		{"nothing", []Lamp{{Name: "bar", AxisHit: hit, Far: number(40), FarParked: number(40.5)}}, nil},
		{"no hit", []Lamp{{Name: "fog (left)"}, {Name: "fog (right)"}}, []string{"the axis never meets the ground: fog (both)"}},
		{"the sky", []Lamp{{Name: "bar", AxisHit: hit, SkyShare: 0.3}, {Name: "spot", AxisHit: hit, SkyShare: 0.29}}, []string{"30 % of the light goes to the sky: bar"}},
		{"a shadow", []Lamp{{Name: "bar", AxisHit: hit, Shade: &Shade{4, "hood"}}}, []string{"the hood shades the ground straight ahead from bar, up to 4.0 m from the bumper"}},
		{"a shadow behind", []Lamp{{Name: "bar", AxisHit: hit, Turn: 180, Shade: &Shade{4, "hood"}}}, nil},
		{"glare", []Lamp{{Name: "bar", AxisHit: hit, glare: []BodyLight{{"hood", 8, 40}}}}, []string{"bar puts up to 40 lx on the hood (8 lx on average), which the driver sees"}},
		{"a far edge that moves", []Lamp{{Name: "bar", AxisHit: hit, Far: number(50), FarParked: number(40)}}, []string{"as driven the far edge of bar is at 50.0 m; as parked it is at 40.0 m"}},
		{"a far edge that rises", []Lamp{{Name: "bar", AxisHit: hit, FarParked: number(40)}}, []string{"as driven the far edge of bar goes to the sky; as parked it is at 40.0 m"}},
		{"a far edge that comes down", []Lamp{{Name: "bar", AxisHit: hit, Far: number(40)}}, []string{"as driven the far edge of bar is at 40.0 m; as parked it goes to the sky"}},
	} {
		if diff := cmp.Diff(tt.want, (&Plan{Lamps: tt.lamps}).advice(r)); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", tt.what, diff)
		}
	}
}

// A comparison tells what is behind as behind, and what does not exist in a word.
func TestCompareFigures(t *testing.T) {
	c := &Compare{Columns: []Column{
		{Title: "rear", Reach: []Reach{{1, nil}}, Brightest: &PeakGround{393, -6.5, 0}, Widths: []LitWidth{{10, 1, 0}}, LitArea: []LitArea{{1, 122}}, GroundShare: 0.81},
		{Title: "trail", Reach: []Reach{{1, number(100)}}, Brightest: &PeakGround{117, 8, 0}, Widths: []LitWidth{{10, 1, 16}}, LitArea: []LitArea{{1, 1329}}, DarkGaps: []Gap{{0, 1.2}, {50, 60}}},
		{Title: "off", Reach: []Reach{{1, nil}}, Widths: []LitWidth{{10, 1, 0}}, LitArea: []LitArea{{1, 0}}},
	}}
	want := map[string][]string{
		"reach 1 lx": {"–", "100 m", "–"}, "width over 1 lx at 10 m": {"0.0 m", "16.0 m", "0.0 m"}, "ground over 1 lx": {"122 m²", "1329 m²", "0.0 m²"},
		"brightest ground": {"393 lx at 6.5 m behind", "117 lx at 8.0 m", "none lit"}, "dark ahead": {"all dark", "0.0 – 1.2 m, 1 more", "all dark"},
		"light to the ground": {"81 %", "0 %", "0 %"},
	}
	shown := c.Table(units.Metric)
	got := map[string][]string{}
	for _, row := range shown.Rows {
		got[row[0]] = row[1:]
	}
	for name := range want {
		if diff := cmp.Diff(want[name], got[name]); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", name, diff)
		}
	}
	plain := map[string][]string{}
	for _, row := range c.Sheet(units.Imperial).Rows {
		plain[row[0]] = row[1:]
	}
	for name, want := range map[string][]string{ // 328.08 ft; 122 m² are 1313.2 ft²; 11.2 m are 36.745 ft
		"reach_1lx_ft": {"", "328.083989501", ""}, "dark_gaps_ft": {"", "36.745406824", ""}, "peak_ground_lux": {"393", "117", "0"}, "peak_ground_ahead_ft": {"-21.325459318", "26.24671916", ""},
	} {
		if diff := cmp.Diff(want, plain[name]); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", name, diff)
		}
	}
}
