package figures

import (
	"encoding/json"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/rigfile"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
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

// within lets angles differ by so much, rad.
func within(off float64) cmp.Option {
	return cmp.Comparer(func(a, b Angle) bool { return math.Abs(float64(a-b)) <= off })
}

func degrees(v float64) Angle { return Angle(v * math.Pi / 180) }

var asked = Options{Wall: 7.62, Tolerance: float64(degrees(0.5)), Thresholds: []float64{1, 3}, SightLux: 3, Traffic: 1}

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

// In JSON angles are degrees and speeds km/h, and what does not exist is null, whether it is a
// number or the whole of a mark.
func TestJSON(t *testing.T) {
	b, err := json.Marshal(&struct {
		A, B Angle
		S, T Speed
		N, M Number
		W    *WallMark
	}{degrees(5), degrees(math.NaN()), 25, Speed(None()), 1.5, Number(math.Inf(1)), nil})
	if want := `{"A":5,"B":null,"S":90,"T":null,"N":1.5,"M":null,"W":null}`; err != nil || string(b) != want {
		t.Errorf("%s, %v, want %s", b, err, want)
	}
}

// Right triangles on level ground: the axis at h / tan t, the edges at h / tan(t ± b), the wall
// mark r · tan t lower; a level lamp has no axis on the ground, and one to the rear no mark on the
// wall.
func TestLamps(t *testing.T) {
	p, err := PlanOf(t.Context(), assembled(t, truck), asked, nil)
	if err != nil {
		t.Fatal(err)
	}
	tan := func(deg float64) float64 { return math.Tan(float64(degrees(deg))) }
	bar, spot, work := &p.Lamps[0], &p.Lamps[1], &p.Lamps[3]
	for what, of := range map[string][2]float64{
		"axis": {bar.AxisHit.Range, 2 / tan(6)}, "lower edge": {float64(bar.Near), 2 / tan(11)},
		"upper edge":             {float64(bar.Far), 2 / tan(1)},
		"half a degree too low":  {float64(bar.Tolerance.Near), 2 / tan(6.5)},
		"half a degree too high": {float64(bar.Tolerance.Far), 2 / tan(5.5)},
		"wall mark":              {bar.Wall.Height, 2 - (7.62+1.6)*tan(6)},
		"drop":                   {bar.Wall.Drop, (7.62 + 1.6) * tan(6)},
		"aside":                  {spot.Wall.Left, 0.5},
	} {
		if math.Abs(of[0]-of[1]) > 1e-3 {
			t.Errorf("%s: %v m, want %v m", what, of[0], of[1])
		}
	}
	if spot.AxisHit != nil || spot.Far.Exists() || work.Wall != nil || p.Lamps[2].Wall.Left != -0.5 {
		t.Errorf("a level lamp hits the ground at %v and %v; one to the rear marks the wall at %v", spot.AxisHit,
			spot.Far, work.Wall)
	}
}

// The tilt for one place, on level ground (right triangles): the axis at d is atan(h/d), the near
// edge that less half of the spread, a level upper edge half of the spread. Of a pair both are set;
// the file has the one that it gives.
func TestTiltFor(t *testing.T) {
	const rig = "[[lamp]]\nname = \"fog\"\nat = { left = \"-0.5 m\", up = \"0.8 m\" }\npair = true\nturn = 12\n" +
		"lumens = 1000\noutput = 0.7\nspread = 20\n"
	for _, tt := range []struct {
		goal Goal
		tilt float64 // degrees
	}{
		{Goal{Hit: 20}, math.Atan(0.8/20) * 180 / math.Pi},
		{Goal{Near: 3}, math.Atan(0.8/3)*180/math.Pi - 10},
		{Goal{LevelEdge: true}, 10},
	} {
		r := assembled(t, rig)
		a, err := TiltFor(r, r.Scenes[0], tt.goal, Options{GroundReading: float64(degrees(0.4))})
		if err != nil {
			t.Errorf("%+v: %v", tt.goal, err)
			continue
		}
		want := []AimLamp{
			{Key: 1, Name: "fog (left)", Free: true, TiltAfter: degrees(tt.tilt), TurnBefore: degrees(-12),
				TurnAfter: degrees(-12), Reading: degrees(tt.tilt + 0.4)},
			{Key: 2, Name: "fog (right)", Free: true, TiltAfter: degrees(tt.tilt), TurnBefore: degrees(12),
				TurnAfter: degrees(12), Reading: degrees(tt.tilt + 0.4)},
		}
		if diff := cmp.Diff(want, a.Lamps, within(2e-5)); diff != "" {
			t.Errorf("%+v (- want, + got):\n%s", tt.goal, diff)
		}
		if diff := cmp.Diff([]Moved{{0, float64(degrees(tt.tilt)), float64(degrees(12))}}, a.Moved,
			cmpopts.EquateApprox(0, 1e-5)); diff != "" {
			t.Errorf("%+v, in the file (- want, + got):\n%s", tt.goal, diff)
		}
	}

	// Of the twin alone the file has the other's turn all the same.
	r := assembled(t, rig)
	if err := r.Only("fog (left)"); err != nil {
		t.Fatal(err)
	}
	a, err := TiltFor(r, r.Scenes[0], Goal{LevelEdge: true}, asked)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]Moved{{0, float64(degrees(10)), float64(degrees(12))}}, a.Moved,
		cmpopts.EquateApprox(0, 1e-5)); diff != "" {
		t.Errorf("the twin alone, in the file (- want, + got):\n%s", diff)
	}
}

// Beam and field angle are measured on the distribution, and are those that were typed: in a
// gaussian the field angle is √(log2 10) = 1.8226 times the beam angle (algebra); 1 lx is at √peak
// (inverse square).
func TestCard(t *testing.T) {
	r := assembled(t, "[[lamp]]\nname = \"bar\"\nat = { up = \"2 m\" }\nlumens = 5000\nspread = [30, 12]\n"+
		"[[lamp]]\nname = \"flood\"\nat = { up = \"1 m\" }\none_lux_at = \"80 m\"\nspread = 40\nfield = 60\n"+
		"[[lamp]]\nname = \"disc\"\nat = { up = \"1.5 m\" }\npeak = \"900 cd\"\nspread = 20\nprofile = \"uniform\"\n")
	round := func(beam, field float64) Card {
		return Card{BeamAcross: degrees(beam), BeamUpDown: degrees(beam), FieldAcross: degrees(field),
			FieldUpDown: degrees(field)}
	}
	want := []Card{
		{BeamAcross: degrees(30), BeamUpDown: degrees(12), FieldAcross: degrees(30 * 1.8226),
			FieldUpDown: degrees(12 * 1.8226)},
		round(40, 60),
		round(20, 20),
	}
	// 0: follows from the other
	strength := []struct{ flux, peak, oneLux float64 }{{5000, 0, 0}, {0, 6400, 80}, {0, 900, 30}}
	got := CheckOf(r).Lamps
	angles := cmpopts.IgnoreFields(Card{}, "Key", "Name", "Circuit", "Flux", "Peak", "OneLux", "Source")
	if diff := cmp.Diff(want, got, angles, within(1e-4)); diff != "" {
		t.Errorf("angles (- want, + got):\n%s", diff)
	}
	for i, c := range got {
		if want := []string{"gaussian", "gaussian", "uniform"}[i]; c.Source != want || c.Key != i+1 {
			t.Errorf("%s: key %d from %s, want %d from %s", c.Name, c.Key, c.Source, i+1, want)
		}
		for what, of := range map[string][2]float64{"lm": {c.Flux, strength[i].flux}, "cd": {c.Peak, strength[i].peak},
			"m for 1 lx": {c.OneLux, strength[i].oneLux}} {
			if of[1] > 0 && math.Abs(of[0]/of[1]-1) > 1e-4 {
				t.Errorf("%s: %v %s, want %v", c.Name, of[0], what, of[1])
			}
		}
	}
}

// Light of several lamps adds up (superposition), on either plane.
func TestLuxAddsUp(t *testing.T) {
	r := assembled(t, truck)
	places := []Place{{10, 2, 0}, {20, 0, 0}, {20, -2, 0.6}}
	l := LuxAt(r, r.Scenes[0], places)
	for i, p := range l.Points {
		var ground, facing float64
		for _, by := range p.Lamps {
			ground += by.Ground
			facing += by.Facing
		}
		if p.Ground != ground || p.Facing != facing || !(facing > 0) || len(p.Lamps) != 4 {
			t.Errorf("%+v: %v and %v lx of %d lamps, which are %v and %v", places[i], p.Ground, p.Facing, len(p.Lamps),
				ground, facing)
		}
	}
}

// At 50 km/h a vehicle stops within v·t + v²/(2a) = 13.889·2.5 + 13.889²/6.8 = 63.1 m (AASHTO's 2.5
// s and 3.4 m/s²); at 8 km/h, 6.3 m, short of where a person is asked for otherwise.
func TestSpeedTargets(t *testing.T) {
	r := assembled(t, truck)
	task, err := TaskOf(r, r.Scenes[0], 50/3.6)
	if err != nil {
		t.Fatal(err)
	}
	if w := task.Targets; len(w) != 1 || w[0].See.Name != "person" || w[0].From != 10 ||
		math.Abs(w[0].To-63.09) > 0.01 || w[0].HalfWidth != 2 {
		t.Errorf("at 50 km/h: %+v", w)
	}
	if !task.Freed || len(task.Brackets) != 2 { // the bar and the spots, not the lamp to the rear
		t.Errorf("%d brackets of lamps that have no range, %v", len(task.Brackets), task.Freed)
	}
	if task, err := TaskOf(r, r.Scenes[0], 8/3.6); err != nil || task.Targets[0].From != task.Targets[0].To ||
		math.Abs(task.Targets[0].To-6.28) > 0.01 {
		t.Errorf("at 8 km/h: %+v, %v", task.Targets, err)
	}
	if task, err := TaskOf(r, r.Scenes[0], 0); err != nil || !task.Usual || len(task.Targets) != 2 {
		t.Errorf("without a speed: %+v, %v", task, err)
	}
}

// Oncoming traffic is on the side that the headlights of the rig spare, unless another is asked
// for.
func TestOncomingSide(t *testing.T) {
	eye := func(side string, traffic float64) float64 {
		r := assembled(t, "[headlights]\ntraffic = \""+side+"\"\n")
		o := asked
		o.Traffic = traffic
		return float64(oncoming(r, r.Lit(r.Scenes[0]), o)[1].Lux)
	}
	left, right := eye("left", 0), eye("right", 0)
	if math.Abs(left/right-1) > 1e-9 || eye("right", 1) != right || eye("left", -1) != left {
		t.Errorf("%g lx and %g lx, want the same", left, right)
	}
	if wrong := eye("right", -1); !(wrong > 2*right) {
		t.Errorf("%g lx on the side that the beam rises to, %g lx on the other", wrong, right)
	}
}
