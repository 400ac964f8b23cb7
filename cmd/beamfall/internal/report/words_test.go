package report

import (
	"math"
	"testing"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/render/units"

	"github.com/google/go-cmp/cmp"
)

// The figures of a scene in words, in either system of units: 100 m are 328 ft, 250 m² are 2691 ft², 90 km/h are 56 mph,
// 50 m are 164 ft and 0.6 m are 2 ft (NIST SP 811).
func TestWords(t *testing.T) {
	lit := &figures.Scene{
		Reach:     []figures.Reach{{Lux: 1, Range: 100}, {Lux: 3, Range: none}},
		LitArea:   []figures.LitArea{{Lux: 1, Area: 250}},
		DarkGaps:  []figures.Gap{{From: 0, To: 1.2}, {From: 20, To: 31}},
		Stop:      figures.Stop{SightLux: 1, Range: 100, Speed: 25},
		Oncoming:  []figures.Oncoming{{Ahead: 25, Lux: 80, Veil: 9}, {Ahead: 50, Lux: 12, Veil: 2.5}},
		BodyLight: []figures.BodyLight{{Name: "hood", Mean: 4, Max: 30}, {Name: "cab", Max: 0.5}},
	}
	dark := &figures.Scene{
		Reach: []figures.Reach{{Lux: 1, Range: none}}, LitArea: []figures.LitArea{{Lux: 1}}, Stop: figures.Stop{Range: none}, Oncoming: []figures.Oncoming{{Ahead: 50}},
	}
	blind := &figures.Scene{
		Reach: []figures.Reach{{Lux: 1, Range: 8}}, Stop: figures.Stop{Range: none}, Oncoming: []figures.Oncoming{{Ahead: 50, Lux: 3, Veil: none}},
	}
	for _, tt := range []struct {
		what  string
		scene *figures.Scene
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
			"an oncoming driver's eye at 50 m gets 3 lx; how much that dazzles is not known",
		}},
	} {
		if diff := cmp.Diff(tt.want, Scene(tt.units, tt.scene)); diff != "" {
			t.Errorf("%s, %v (- want, + got):\n%s", tt.what, tt.units, diff)
		}
	}
}

// What stands out of a plan, said once for both lamps of a pair.
func TestAdvice(t *testing.T) {
	lamp := func(name string, change func(*figures.Lamp)) figures.Lamp {
		l := figures.Lamp{Setting: figures.Setting{Name: name}, AxisHit: &figures.Hit{}, Far: none, FarParked: none}
		if change != nil {
			change(&l)
		}
		return l
	}
	sky := func(l *figures.Lamp) { l.AxisHit = nil }
	for _, tt := range []struct {
		what  string
		lamps []figures.Lamp
		want  []string
	}{
		{"nothing", []figures.Lamp{lamp("bar", func(l *figures.Lamp) { l.Far, l.FarParked = 40, 40.5 })}, nil},
		{"no hit", []figures.Lamp{lamp("fog (left)", sky), lamp("fog (right)", sky)}, []string{"the axis never meets the ground: fog (both)"}},
		{
			"the sky", []figures.Lamp{lamp("bar", func(l *figures.Lamp) { l.SkyShare = 0.3 }), lamp("spot", func(l *figures.Lamp) { l.SkyShare = 0.29 })},
			[]string{"30 % of the light goes to the sky: bar"},
		},
		{
			"a shadow", []figures.Lamp{lamp("bar", func(l *figures.Lamp) { l.Shade = &figures.Shade{To: 4, By: "hood"} })},
			[]string{"the hood shades the ground straight ahead from bar, up to 4.0 m from the bumper"},
		},
		{"a shadow behind", []figures.Lamp{lamp("bar", func(l *figures.Lamp) { l.Turn, l.Shade = math.Pi, &figures.Shade{To: 4, By: "hood"} })}, nil},
		{
			"glare", []figures.Lamp{lamp("bar", func(l *figures.Lamp) { l.Glare = []figures.BodyLight{{Name: "hood", Mean: 8, Max: 40}} })},
			[]string{"bar puts up to 40 lx on the hood (8 lx on average), which the driver sees"},
		},
		{
			"a far edge that moves", []figures.Lamp{lamp("bar", func(l *figures.Lamp) { l.Far, l.FarParked = 50, 40 })},
			[]string{"as driven the far edge of bar is at 50.0 m; as parked it is at 40.0 m"},
		},
		{
			"a far edge that rises", []figures.Lamp{lamp("bar", func(l *figures.Lamp) { l.FarParked = 40 })},
			[]string{"as driven the far edge of bar goes to the sky; as parked it is at 40.0 m"},
		},
		{
			"a far edge that comes down", []figures.Lamp{lamp("bar", func(l *figures.Lamp) { l.Far = 40 })},
			[]string{"as driven the far edge of bar is at 40.0 m; as parked it goes to the sky"},
		},
	} {
		if diff := cmp.Diff(tt.want, Advice(units.Metric, &figures.Plan{Lamps: tt.lamps})); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", tt.what, diff)
		}
	}
}

// A comparison tells what is behind as behind, and what does not exist in a word.
func TestCompareFigures(t *testing.T) {
	column := func(title string, reach figures.Number, width, area float64) figures.Column {
		return figures.Column{
			Title: title, Reach: []figures.Reach{{Lux: 1, Range: reach}}, Widths: []figures.LitWidth{{Ahead: 10, Lux: 1, Width: width}},
			LitArea: []figures.LitArea{{Lux: 1, Area: area}},
		}
	}
	rear, trail, off := column("rear", none, 0, 122), column("trail", 100, 16, 1329), column("off", none, 0, 0)
	rear.Brightest, rear.GroundShare = &figures.PeakGround{Lux: 393, Ahead: -6.5}, 0.81
	trail.Brightest, trail.DarkGaps = &figures.PeakGround{Lux: 117, Ahead: 8}, []figures.Gap{{From: 0, To: 1.2}, {From: 50, To: 60}}
	c := &figures.Compare{Columns: []figures.Column{rear, trail, off}}
	want := map[string][]string{
		"reach 1 lx": {"–", "100 m", "–"}, "width over 1 lx at 10 m": {"0.0 m", "16.0 m", "0.0 m"}, "ground over 1 lx": {"122 m²", "1329 m²", "0.0 m²"},
		"brightest ground": {"393 lx at 6.5 m behind", "117 lx at 8.0 m", "none lit"}, "dark ahead": {"all dark", "0.0 – 1.2 m, 1 more", "all dark"},
		"light to the ground": {"81 %", "0 %", "0 %"},
	}
	shown := Columns(units.Metric, c)
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
	for _, row := range CompareCSV(units.Imperial, c).Rows {
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
