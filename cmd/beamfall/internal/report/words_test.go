package report

import (
	"math"
	"slices"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/render/units"

	"github.com/google/go-cmp/cmp"
)

// A plan of two scenes: one lit, one dark.
func twoScenes() *figures.Plan {
	lit := figures.Scene{
		Name: "trail", Reach: []figures.Reach{{Lux: 1, Range: 100}, {Lux: 3, Range: none}},
		LitArea:   []figures.LitArea{{Lux: 1, Area: 250}, {Lux: 3}},
		DarkGaps:  []figures.Gap{{From: 0, To: 1.2}, {From: 20, To: 31}},
		Stop:      figures.Stop{SightLux: 1, Range: 100, Speed: 25},
		Oncoming:  []figures.Oncoming{{Ahead: 25, Lux: 80, Veil: 9}, {Ahead: 50, Lux: 12, Veil: 2.5}},
		BodyLight: []figures.BodyLight{{Name: "hood", Mean: 4, Max: 30, Seen: true}, {Name: "cab", Mean: 3, Max: 50}},
		HoodHides: 4.2,
		Sight: []figures.Sight{
			{Thing: "person", Seen: figures.Seen{Range: 200, Stop: 25, NoseUp: none, NoseDown: none,
				Lost: []figures.Gap{{From: 30, To: 45}}}},
			{Thing: "animal", Seen: figures.Seen{Range: 300, Stop: 35, NoseUp: none, NoseDown: none}},
			{Thing: "rut", Seen: figures.Seen{Range: 40, Stop: 10, NoseUp: none, NoseDown: none}},
			{Thing: "drum", Seen: figures.Seen{Range: none, Stop: figures.Speed(none), NoseUp: none,
				NoseDown: none}},
		},
	}
	dark := figures.Scene{
		Name: "camp", Reach: []figures.Reach{{Lux: 1, Range: none}, {Lux: 3, Range: none}},
		LitArea: make([]figures.LitArea, 2), Stop: figures.Stop{Range: none},
		Oncoming:  []figures.Oncoming{{Ahead: 50}},
		BodyLight: []figures.BodyLight{{Name: "hood", Seen: true}, {Name: "cab"}},
	}
	for _, s := range lit.Sight {
		dark.Sight = append(dark.Sight, figures.Sight{Thing: s.Thing,
			Seen: figures.Seen{Range: none, Stop: figures.Speed(none), NoseUp: none, NoseDown: none}})
	}
	return &figures.Plan{Scenes: []figures.Scene{lit, dark}, Asked: asked}
}

// The scenes side by side, in either system of units: 100 m are 328 ft, 250 m² are 2691 ft², 90
// km/h are 56 mph, 50 m are 164 ft (NIST SP 811). Rows that say nothing of any scene are left out.
func TestScenes(t *testing.T) {
	for system, want := range map[units.System][][]string{
		units.Metric: {
			{"person seen to, stops from", "200 m, 90 km/h", "not seen"}, {"  lost between", "30.0 – 45.0 m", ""},
			{"rut seen to, stops from", "40.0 m, 36 km/h", "not seen"},
			{"drum seen to, stops from", "not seen", "not seen"}, {"1 / 3 lx facing, ahead, to", "100 m / –", "–"},
			{"1 / 3 lx on the ground", "250 / 0.0 m²", "0.0 m²"},
			{"under 1 lx facing between", "0.0 – 1.2 m, 1 more", "dark"}, {"oncoming eye at 50 m", "12 lx", "0 lx"},
			{"on the hood, in sight", "4 lx", ""},
			{"ground hidden by body, to", "4.2 m", ""},
		},
		units.Imperial: {
			{"person seen to, stops from", "656 ft, 56 mph", "not seen"}, {"  lost between", "98 – 148 ft", ""},
			{"rut seen to, stops from", "131 ft, 22 mph", "not seen"},
			{"drum seen to, stops from", "not seen", "not seen"}, {"1 / 3 lx facing, ahead, to", "328 ft / –", "–"},
			{"1 / 3 lx on the ground", "2691 / 0.0 ft²", "0.0 ft²"},
			{"under 1 lx facing between", "0.0 – 3.9 ft, 1 more", "dark"}, {"oncoming eye at 164 ft", "12 lx", "0 lx"},
			{"on the hood, in sight", "4 lx", ""},
			{"ground hidden by body, to", "13.8 ft", ""},
		},
	} {
		if diff := cmp.Diff(want, Scenes(system, twoScenes()).Rows); diff != "" {
			t.Errorf("%v (- want, + got):\n%s", system, diff)
		}
	}
}

// How far things are seen with the nose down and up, where it moves.
func TestNoseInWords(t *testing.T) {
	p := twoScenes()
	p.Scenes = p.Scenes[:1]
	trail := &p.Scenes[0]
	trail.Sight = trail.Sight[:3]
	for i, nose := range [][2]figures.Number{{150, 96}, {none, 310}, {41, none}} {
		s := &trail.Sight[i]
		s.Pitch, s.NoseUp, s.NoseDown = 1*math.Pi/180, nose[0], nose[1]
	}
	trail.Pitched = []figures.Pitched{{Lux: 1, NoseUp: 120, NoseDown: none}, {Lux: 3, NoseUp: none, NoseDown: none}}
	got := Seen(units.Metric, "trail", &p.Asked, trail.Sight)
	const want = "Scene trail: a person in dark clothes is seen out to 200 m (nose 1° down 96.0 m, 1° up 150 m), a " +
		"rut out to 40.0 m;"
	if !strings.HasPrefix(got, want) {
		t.Errorf("%s\nwant %s…", got, want)
	}
	rows := map[string]string{}
	for _, row := range Scenes(units.Metric, p).Rows {
		rows[row[0]] += row[1] + ";"
	}
	if diff := cmp.Diff([]string{"150 / 96.0 m;41.0 m / not seen;", "120 m / –;"},
		[]string{rows["  nose 1° up / down"], rows["  1 lx, nose up / down"]}); diff != "" {
		t.Errorf("(- want, + got):\n%s", diff)
	}
}

// What comes first in a plan: what will be seen, and the speed from which the vehicle stops short
// of it. A person, a rut and the rig's own things are spoken of, or what was asked for.
func TestSeen(t *testing.T) {
	p := twoScenes()
	for _, tt := range []struct {
		scene, want string
		things      []string
	}{
		{"trail", "Scene trail: a person in dark clothes is seen out to 200 m, a rut out to 40.0 m; the vehicle " +
			"stops within sight of a person from up to 90 km/h, " +
			"of a rut from up to 36 km/h (where sight ends, not a safe speed); the drum along the track: not seen.",
			nil},
		{"camp", "Scene camp: a person in dark clothes, a rut and the drum along the track: not seen.", nil},
	} {
		o := asked
		o.Things = tt.things
		seen := p.Scenes[0].Sight
		if tt.scene == "camp" {
			seen = p.Scenes[1].Sight
		}
		if diff := cmp.Diff(tt.want, Seen(units.Metric, tt.scene, &o, seen)); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", tt.scene, diff)
		}
	}
	o := asked
	o.Things = []string{"animal"}
	if got := Seen(units.Metric, "trail", &o, p.Scenes[0].Sight[1:2]); !strings.HasPrefix(got,
		"Scene trail: an animal the size of a deer is seen out to 300 m;") {
		t.Errorf("what was asked for is not spoken of: %s", got)
	}
}

// In detail a scene is told in full: every threshold, every oncoming eye, every box.
func TestSceneInDetail(t *testing.T) {
	said := strings.Join(SceneInDetail(units.Metric, &twoScenes().Scenes[0]), "\n")
	for _, want := range []string{
		"an animal the size of a deer: seen out to 300 m", "a person in dark clothes: not seen from 30.0 m to 45.0 m",
		"the drum along the track: not seen",
		"the vehicle stops within the reach of 1 lx facing from up to 90 km/h",
		"1 lx facing, 0.60 m above the ground, along the track: out to 100 m",
		"dark on the track from 20.0 m to 31.0 m (under 1 lx facing, 0.60 m above the ground)",
		"an oncoming driver's eye at 25 m gets 80 lx, which lays a veil of 9 cd/m²",
		"3 lx on top of the cab, 50 lx at the brightest",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("it does not say %q:\n%s", want, said)
		}
	}
}

// In air that throws light back: how much, from what most, and what to switch off.
func TestGlows(t *testing.T) {
	scene := func(name string, to figures.Number, glow []figures.GlowShare, without ...figures.Without) figures.Scene {
		one := figures.Sight{Thing: "person"}
		one.Range, one.Without = to, without
		return figures.Scene{Name: name, Sight: []figures.Sight{one}, Glow: &figures.Glow{Ahead: 13.6, Lamps: glow}}
	}
	pods := []figures.GlowShare{{Name: "pod (left)", Share: 0.5}, {Name: "pod (right)", Share: 0.5}}
	p := &figures.Plan{Scenes: []figures.Scene{
		scene("trail", 22, []figures.GlowShare{{Name: "bar", Share: 0.81}, {Name: "spot", Share: 0.19}},
			figures.Without{Lamp: "bar", Range: 27}, figures.Without{Lamp: "spot", Range: 20}),
		scene("low", 22, []figures.GlowShare{{Name: "bar", Share: 0.4}, {Name: "pod (left)", Share: 0.3},
			{Name: "pod (right)", Share: 0.3}},
			figures.Without{Lamp: "bar", Range: 22.1}, figures.Without{Lamp: "pod (left)", Range: 25},
			figures.Without{Lamp: "pod", Range: 21}),
		scene("pods", 22, pods, figures.Without{Lamp: "pod (left)", Range: 25},
			figures.Without{Lamp: "pod", Range: none}),
		scene("dense", none, pods),
		{Name: "clear"},
	}}
	want := []string{
		"scene trail: the air in front glows with 13.6 cd/m², 81 % of it from bar; without bar a person in dark " +
			"clothes is seen out to 27.0 m instead of 22.0 m",
		"scene low: the air in front glows with 13.6 cd/m², 60 % of it from pod; no lamp that is switched off " +
			"makes a person in dark clothes seen farther",
		"scene pods: the air in front glows with 13.6 cd/m²; a person in dark clothes is seen out to 22.0 m",
		"scene dense: the air in front glows with 13.6 cd/m²",
	}
	if diff := cmp.Diff(want, Glows(units.Metric, p)); diff != "" {
		t.Errorf("(- want, + got):\n%s", diff)
	}
}

// What stands out of a plan, and the remarks on its lamps, each said once for both lamps of a pair.
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
		{"no hit", []figures.Lamp{lamp("fog (left)", sky), lamp("fog (right)", sky)},
			[]string{"the axis never meets the ground: fog (both)"}},
		{
			"the sky", []figures.Lamp{lamp("bar", func(l *figures.Lamp) { l.SkyShare = 0.3 }),
				lamp("spot", func(l *figures.Lamp) { l.SkyShare = 0.29 })},
			[]string{"30 % of the light goes to the sky: bar"},
		},
		{
			"a shadow", []figures.Lamp{lamp("bar", func(l *figures.Lamp) {
				l.Shade = &figures.Shade{To: 4,
					By: "hood"}
			})},
			[]string{"the hood shades the ground straight ahead from bar, up to 4.0 m from the bumper"},
		},
		{"a shadow behind", []figures.Lamp{lamp("bar", func(l *figures.Lamp) {
			l.Turn, l.Shade = math.Pi,
				&figures.Shade{To: 4, By: "hood"}
		})}, nil},
		{
			"glare", []figures.Lamp{lamp("bar", func(l *figures.Lamp) {
				l.Glare = []figures.BodyLight{{Name: "hood",
					Mean: 8, Max: 40}}
			})},
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
		if diff := cmp.Diff(tt.want, append(Advice(units.Metric, &figures.Plan{Lamps: tt.lamps}),
			Remarks(units.Metric, &figures.Plan{Lamps: tt.lamps})...)); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", tt.what, diff)
		}
	}
}

// A comparison tells what is behind as behind, and what does not exist in a word.
func TestCompareFigures(t *testing.T) {
	column := func(title string, reach figures.Number, width, area float64) figures.Column {
		return figures.Column{
			Title: title, Reach: []figures.Reach{{Lux: 1, Range: reach}},
			Widths:  []figures.LitWidth{{Ahead: 10, Lux: 1, Width: width}},
			LitArea: []figures.LitArea{{Lux: 1, Area: area}},
		}
	}
	rear, trail, off := column("rear", none, 0, 122), column("trail", 100, 16, 1329), column("off", none, 0, 0)
	rear.Brightest, rear.GroundShare = &figures.PeakGround{Lux: 393, Ahead: -6.5}, 0.81
	trail.Brightest, trail.DarkGaps = &figures.PeakGround{Lux: 117, Ahead: 8},
		[]figures.Gap{{From: 0, To: 1.2}, {From: 50, To: 60}}
	c := &figures.Compare{Columns: []figures.Column{rear, trail, off}}
	want := map[string][]string{
		"1 lx facing, ahead, to":            {"–", "100 m", "–"},
		"1 lx on the ground, width at 10 m": {"0.0 m", "16.0 m", "0.0 m"},
		"1 lx on the ground":                {"122 m²", "1329 m²", "0.0 m²"},
		"brightest ground":                  {"393 lx at 6.5 m behind", "117 lx at 8.0 m", "none lit"},
		"under 1 lx facing between":         {"dark", "0.0 – 1.2 m, 1 more", "dark"},
		"light to the ground":               {"81 %", "0 %", "0 %"},
	}
	shown := Columns(units.Metric, &asked, c, false)
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
		"reach_1lx_ft": {"", "328.083989501", ""}, "dark_gaps_ft": {"", "36.745406824", ""},
		"peak_ground_lux": {"393", "117", "0"}, "peak_ground_ahead_ft": {"-21.325459318", "26.24671916", ""},
	} {
		if diff := cmp.Diff(want, plain[name]); diff != "" {
			t.Errorf("%s (- want, + got):\n%s", name, diff)
		}
	}
}

// A gain is the difference of the two figures as they are shown, so that the sum is right on paper.
func TestGained(t *testing.T) {
	for _, tt := range []struct {
		u        units.System
		from, to float64
		want     string
	}{
		{units.Metric, 62.4, 139.2, "+ 77 m"},
		{units.Metric, 62.44, 66.66, "+ 4.3 m"}, // 62.4 m, 66.7 m
		{units.Metric, 208, 190, "− 18 m"},
		{units.Metric, 208.1, 208.3, "same"},
		{units.Metric, float64(none), 24.3, "+ 24.3 m"}, // nowhere seen counts as 0 m
		{units.Metric, 24.3, float64(none), "− 24.3 m"},
		{units.Metric, 9000, 12000, "+ 3000 m"},
		{units.Imperial, 41.4 * units.Foot, 86.6 * units.Foot, "+ 46 ft"}, // 41 ft, 87 ft
	} {
		column := func(far float64) *figures.Column {
			return &figures.Column{
				Sight: []figures.Sight{{Thing: "person", Seen: figures.Seen{Range: figures.Number(far)}}},
				Reach: []figures.Reach{{Lux: 1, Range: none}},
			}
		}
		g := figures.GainOver(column(tt.from), column(tt.to))
		if got := gained(float64(g.Sight[0].Range), tt.to, tt.u.Short); got != tt.want {
			t.Errorf("%g m to %g m: %q, want %q", tt.from, tt.to, got, tt.want)
		}
	}
}

// Columns that have other things and other lamps than the first share its rows; what one has not is
// left blank.
func TestCompareOfUnlikeRigs(t *testing.T) {
	column := func(title, lamp string, things ...string) figures.Column {
		c := figures.Column{
			Title: title, Reach: []figures.Reach{{Lux: 1, Range: none}}, LitArea: []figures.LitArea{{Lux: 1}},
			SightWidths: []figures.SightWidth{{Thing: "person", Ahead: 50, Width: 12}},
		}
		for _, name := range things {
			c.Sight = append(c.Sight, figures.Sight{Thing: name,
				Seen: figures.Seen{Range: 40, Stop: 10, Without: []figures.Without{
					{Lamp: lamp + " (left)", Range: 30}, {Lamp: lamp + " (right)", Range: 31},
					{Lamp: lamp, Range: none},
				}}})
		}
		return c
	}
	blind := column("blind", "bar")
	blind.SightWidths = nil
	c := &figures.Compare{Columns: []figures.Column{blind, column("a", "spot", "person", "rut"),
		column("b", "bar", "person", "rut", "drum")}}
	for i := 1; i < 3; i++ {
		c.Columns[i].Gain = figures.GainOver(&c.Columns[i-1], &c.Columns[i])
	}
	shown := Columns(units.Metric, &asked, c, false)
	var labels []string
	for _, row := range shown.Rows {
		if len(row) != 4 {
			t.Errorf("row %q", row)
		}
		if row[0] == "drum seen to, stops from" && (row[2] != "" || row[3] != "40.0 m, 36 km/h") {
			t.Errorf("row %q", row)
		}
		labels = append(labels, row[0])
	}
	if !slices.Contains(labels, "drum seen to, stops from") {
		t.Errorf("rows %q", labels)
	}
	csv := CompareCSV(units.Metric, c)
	for _, row := range csv.Rows {
		if len(row) != 4 || row[0] == "sight_width_at_50m_m" && !slices.Equal(row[1:], []string{"", "12", "12"}) ||
			row[0] == "seen_to_drum_m" && !slices.Equal(row[1:], []string{"", "", "40"}) {
			t.Errorf("row %q", row)
		}
	}
	// Without both of a pair, in a row for both; the lamp alone has no row.
	if w := Worth(units.Metric, c, false); w != nil {
		t.Errorf("one pair in each column: %q, want no table", w.Rows)
	}
	c.Columns[2].Sight[0].Without = append(c.Columns[2].Sight[0].Without, figures.Without{Lamp: "spot", Range: 35})
	// the only lamps of the others are not in it
	want := [][]string{{"bar", "", "", "not seen"}, {"spot", "", "", "35.0 m"}}
	if w := Worth(units.Metric, c, false); w == nil || cmp.Diff(want, w.Rows) != "" {
		t.Errorf("%+v, want %q", w, want)
	}
	// Of steps, what each lamp of the last is worth: 40 m less what is left without it.
	want = [][]string{{"bar", "not seen", "+ 40.0 m"}, {"spot", "35.0 m", "+ 5.0 m"}}
	if w := Worth(units.Metric, c, true); w == nil || cmp.Diff(want, w.Rows) != "" {
		t.Errorf("%+v, want %q", w, want)
	}
}
