package chart

import (
	"math"
	"testing"

	"beamfall/render/draw"
	"beamfall/render/units"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestFrameIsToScale(t *testing.T) {
	for _, c := range []struct {
		name         string
		box          draw.Rect
		across, up   Axis
		exaggeration float64
		want         draw.Rect // the frame's box
		perMetre     float64   // px
	}{
		{"as wide as the box", draw.R(0, 0, 1000, 1000), Axis{From: 0, To: 100}, Axis{From: -20, To: 20}, 1,
			draw.R(0, 300, 1000, 700), 10},
		{"as high as the box", draw.R(0, 0, 1000, 200), Axis{From: 0, To: 100}, Axis{From: -20, To: 20}, 1,
			draw.R(250, 0, 750, 200), 5},
		{"left is up", draw.R(0, 0, 1000, 1000), Axis{From: 50, To: -50}, Axis{From: -20, To: 20}, 1,
			draw.R(0, 300, 1000, 700), 10},
		{"heights three times", draw.R(0, 0, 1000, 1000), Axis{From: 0, To: 100}, Axis{From: 0, To: 10}, 3,
			draw.R(0, 350, 1000, 650), 10},
	} {
		f := ToScale(c.box, c.across, c.up, c.exaggeration)
		if !cmp.Equal(f.Box, c.want, cmpopts.EquateApprox(0, 1e-9)) {
			t.Errorf("%s: box %v, want %v", c.name, f.Box, c.want)
		}
		if math.Abs(f.PerMetre()-c.perMetre) > 1e-9 || math.Abs(f.Exaggeration()-c.exaggeration) > 1e-9 {
			t.Errorf("%s: %g px per metre, heights ×%g; want %g and ×%g", c.name, f.PerMetre(), f.Exaggeration(),
				c.perMetre, c.exaggeration)
		}
		g := Filling(c.box, c.across, c.up, c.exaggeration)
		if g.Box != c.box || math.Abs(g.PerMetre()-c.perMetre) > 1e-9 ||
			math.Abs(g.Exaggeration()-c.exaggeration) > 1e-9 {
			t.Errorf("%s, filling: box %v, %g px per metre, heights ×%g", c.name, g.Box, g.PerMetre(), g.Exaggeration())
		}
		if g.Across.Low() > c.across.Low()+1e-9 || g.Up.High() < c.up.High()-1e-9 {
			t.Errorf("%s, filling: ranges %v and %v leave out some of what was asked for", c.name, g.Across, g.Up)
		}
	}
}

func TestPixelsAndBack(t *testing.T) {
	frames := map[string]Frame{
		"linear": {draw.R(100, 50, 900, 450), Axis{From: -10, To: 70}, Axis{From: -20, To: 20}},
		"turned": {draw.R(100, 50, 900, 450), Axis{From: 20, To: -20}, Axis{From: 70, To: -10}},
		"logarithmic": {draw.R(100, 50, 900, 450), Axis{From: 0.1, To: 1000, Log: true},
			Axis{From: 1000, To: 0.1, Log: true}},
	}
	for name, f := range frames {
		for x := 100.0; x <= 900; x += 50 {
			if got := f.X(f.AcrossAt(x)); math.Abs(got-x) > 1e-6 {
				t.Errorf("%s: column %g comes back as %g", name, x, got)
			}
		}
		for y := 50.0; y <= 450; y += 50 {
			if got := f.Y(f.UpAt(y)); math.Abs(got-y) > 1e-6 {
				t.Errorf("%s: row %g comes back as %g", name, y, got)
			}
		}
	}
	f := frames["linear"]
	for _, c := range []struct{ m, px float64 }{{-10, 100}, {0, 200}, {30, 500}, {70, 900}} { // 10 px per metre
		if got := f.X(c.m); got != c.px {
			t.Errorf("%g m is at column %g, want %g", c.m, got, c.px)
		}
	}
	if top, bottom := f.Y(20), f.Y(-20); top != 50 || bottom != 450 {
		t.Errorf("20 m up is at row %g and 20 m down at %g, want 50 and 450", top, bottom)
	}
	if got := frames["logarithmic"].X(10); math.Abs(got-500) > 1e-9 {
		t.Errorf("10 of 0.1 to 1000 is at column %g, want the middle, 500", got)
	}
	if got := frames["logarithmic"].X(0); math.IsNaN(got) || math.IsInf(got, 0) || got > 100 {
		t.Errorf("nothing on a logarithmic axis is at column %g, want a place left of it", got)
	}
}

// A circle of the world is an ellipse on a picture with exaggerated heights.
func TestArc(t *testing.T) {
	f := ToScale(draw.R(0, 0, 1000, 600), Axis{From: -50, To: 50}, Axis{From: -10, To: 10}, 3)
	for _, p := range f.Arc(draw.Pt(5, 1), 8, 0, math.Pi) {
		if r := math.Hypot(f.AcrossAt(p.X)-5, f.UpAt(p.Y)-1); math.Abs(r-8) > 1e-9 {
			t.Errorf("%v is %g m from the centre, want 8", p, r)
		}
	}
	arc := f.Arc(draw.Point{}, 8, 0, math.Pi/2)
	for i := 1; i < len(arc); i++ {
		mid := draw.Pt((arc[i].X+arc[i-1].X)/2, (arc[i].Y+arc[i-1].Y)/2)
		if sag := 8 - math.Hypot(f.AcrossAt(mid.X), f.UpAt(mid.Y)); sag*f.PerMetre() > 0.125 {
			t.Errorf("a chord is %.2f px off the arc", sag*f.PerMetre())
		}
	}
}

func TestTicks(t *testing.T) {
	even := func(px float64) func(string) float64 { return func(string) float64 { return px } }
	for _, c := range []struct {
		name string
		axis Axis
		px   float64
		want []string
		at   []float64 // SI, where that is not what is written
	}{
		{"metres", Axis{From: 0, To: 50, Unit: units.Metres}, 500, []string{"0", "10", "20", "30", "40", "50"}, nil},
		{"through nought", Axis{From: -12, To: 12, Unit: units.Metres}, 480, []string{"−10", "−5", "0", "5", "10"},
			nil},
		{"turned", Axis{From: 12, To: -12, Unit: units.Metres}, 480, []string{"−10", "−5", "0", "5", "10"}, nil},
		{"tenths", Axis{From: 0, To: 0.35, Unit: units.Metres}, 500, []string{"0", "0.1", "0.2", "0.3"}, nil},
		{"hundreds", Axis{From: 0, To: 900, Unit: units.Metres}, 500, []string{"0", "200", "400", "600", "800"}, nil},
		{"feet", Axis{From: 0, To: 15.24, Unit: units.Feet}, 500, []string{"0", "10", "20", "30", "40", "50"},
			[]float64{0, 3.048, 6.096, 9.144, 12.192, 15.24}}, // NIST SP 811: 1 ft = 0.3048 m
		{"inches", Axis{From: 0, To: 0.254, Unit: units.Inches}, 300, []string{"0", "5", "10"},
			[]float64{0, 0.127, 0.254}},
		{"decades with threes", Axis{From: 0.1, To: 100, Unit: units.Lux, Log: true}, 700,
			[]string{"0.1", "0.3", "1", "3", "10", "30", "100"}, nil},
		{"decades", Axis{From: 0.1, To: 100, Unit: units.Lux, Log: true}, 400, []string{"0.1", "1", "10", "100"}, nil},
		{"every second decade", Axis{From: 0.01, To: 10000, Unit: units.Lux, Log: true}, 400,
			[]string{"0.01", "1", "100", "10000"}, nil},
	} {
		var texts []string
		var at []float64
		for _, tick := range c.axis.ticks(c.px, even(90)) {
			if tick.Text != "" {
				texts, at = append(texts, tick.Text), append(at, tick.At)
			}
		}
		if !cmp.Equal(texts, c.want) {
			t.Errorf("%s: %q, want %q", c.name, texts, c.want)
		}
		if c.at != nil && !cmp.Equal(at, c.at, cmpopts.EquateApprox(0, 1e-12)) {
			t.Errorf("%s: at %v m, want %v", c.name, at, c.at)
		}
	}
}

// Any range at any size has ticks that keep their distance, are round and lie on the axis.
func TestTicksKeepTheirDistance(t *testing.T) {
	for _, unit := range []units.Unit{units.Metres, units.Feet, units.Inches} {
		for _, from := range []float64{-1234.5, -0.3, 0, 17, 1e4} {
			for length := 0.01; length < 1e5; length *= 3.7 {
				for _, px := range []float64{120, 700, 3900} {
					a := Axis{From: from, To: from + length, Unit: unit}
					ticks := a.ticks(px, func(s string) float64 { return 20 + 12*float64(len(s)) })
					if len(ticks) > int(px/8)+2 {
						t.Fatalf("%v on %g px: %d ticks", a, px, len(ticks))
					}
					for i, tick := range ticks {
						if tick.At < a.From-1e-6*length || tick.At > a.To+1e-6*length {
							t.Errorf("%v: tick %q at %g is off the axis", a, tick.Text, tick.At)
						}
						if i > 0 && (tick.At-ticks[i-1].At)/length*px < 20+12*float64(len(tick.Text))-1e-6 {
							t.Errorf("%v on %g px: %q is too close to its neighbour", a, px, tick.Text)
						}
					}
				}
			}
		}
	}
}

// The scale bar is as long as it says, read off the picture: its end is where its ink ends.
func TestScaleBar(t *testing.T) {
	for _, unit := range []units.Unit{units.Metres, units.Feet} {
		c, err := draw.New(1600, 800, draw.Night())
		if err != nil {
			t.Fatal(err)
		}
		f := ToScale(draw.R(100, 100, 1500, 700), Axis{From: 0, To: 70, Unit: unit}, Axis{From: 0, To: 30, Unit: unit},
			1)
		plate := f.DrawScaleBar(c, draw.Pt(200, 600))
		got := 0.0 // the longest run of ink in a row of the plate
		for y := int(plate.Y0) + 4; y < int(plate.Y1)-3; y++ {
			run := 0.0
			for x := int(plate.X0) + 4; x < int(plate.X1)-3; x++ {
				if seen(c.Image().RGBAAt(x, y), eyes[0].m) > 52 {
					run++
				} else {
					run = 0
				}
				got = max(got, run)
			}
		}
		// 20 px are a metre and a quarter of the frame 350 px: 10 m are 200 px, 50 ft (15.24 m) are
		// 304.8 px.
		want := map[string]float64{"m": 200, "ft": 304.8}[unit.Name]
		if math.Abs(got-want) > 3 {
			t.Errorf("%s: the bar is %g px long, want %g", unit.Name, got, want)
		}
	}
}

// Figures that are moved into the picture at its edge do not run into the next: in the strip below
// the axis no run of ink is wider than the widest figure.
func TestFiguresDoNotRunIntoEachOther(t *testing.T) {
	left := 0
	for length := 300.0; length <= 1600; length += 13 {
		c := canvas(t, 1600, 200, draw.Paper())
		f := Frame{Box: draw.R(0, 0, length, 100), Across: Axis{From: 1e6, To: 5e6, Unit: units.Metres}}
		f.DrawAxes(c)
		widest, figures := 0.0, 0
		for _, tick := range f.AcrossTicks(c) {
			w, _ := c.Measure(tick.Text, draw.Small)
			widest = max(widest, w)
			figures++
		}
		runs, from, last := 0, -1, -100 // letters of a figure are less than 8 px apart
		for x := 0; x < 1600; x++ {
			ink := false
			for y := 112; y < 130; y++ {
				ink = ink || c.Image().RGBAAt(x, y) != c.Theme.Background
			}
			if !ink {
				continue
			}
			if x-last > 8 {
				runs, from = runs+1, x
			}
			if last = x; float64(last-from) > widest+3 {
				t.Fatalf("a frame of %g px has ink from %d to %d px, its widest figure %.0f px", length, from, last,
					widest)
			}
		}
		left += figures - runs
	}
	if left == 0 {
		t.Error("no figure was ever in the way of another")
	}
}
