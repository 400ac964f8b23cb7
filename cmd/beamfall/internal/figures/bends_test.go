package figures

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r3"
)

// Sight along bends: that of the rig itself on that track; the mirror image to the other side; and
// the lamp that it is owed to.

// pods is a rig with a spot straight ahead and one pod that looks to a side, the eye in the middle.
func pods(track, turn string) string {
	return track + `
[vehicle]
eye = { ahead = "-2 m", left = "0 m", up = "1.6 m" }
[[lamp]]
name = "spot"
at = { ahead = "-1.9 m", left = "0 m", up = "2 m" }
tilt = 1
peak = "30000 cd"
spread = 10
[[lamp]]
name = "pod"
at = { ahead = "-1.5 m", left = "0 m", up = "1.9 m" }
tilt = 4
turn = ` + turn + `
lumens = 3000
output = 0.7
spread = [40, 15]
`
}

// bendsOf is how far a person is seen along bends with the pod turned so; worked out once.
func bendsOf(t *testing.T, turn string) []BendSight {
	t.Helper()
	if _, ok := bendsByTurn[turn]; !ok {
		r := assembled(t, pods("", turn))
		bends, err := BendsOf(t.Context(), r, r.Scenes[0], Bends(r), Options{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		bendsByTurn[turn] = bends
	}
	return bendsByTurn[turn]
}

var bendsByTurn = map[string][]BendSight{}

func TestBendsAreTheTrackOfTheRig(t *testing.T) {
	bends := bendsOf(t, "35")
	for _, tt := range []struct {
		track string
		at    int
	}{
		{"[track]\nbend = \"30 m left\"", 2}, {"[track]\nbend = \"80 m right\"", 7}, {"", 10},
	} {
		r := assembled(t, pods(tt.track, "35"))
		s, err := SightOf(t.Context(), r, r.Scenes[0], nil, Options{Things: []string{"person"}})
		if err != nil {
			t.Fatal(err)
		}
		got, want := bends[tt.at].Things[0], s.Things[0]
		if got.Range != want.Range || got.Stop != want.Stop || got.Name != "person" {
			t.Errorf("%q: %v to %v m, want %v m", tt.track, got.Name, got.Range, want.Range)
		}
	}
	// The pod to the left is what one sees by around a bend to the left; to the right it adds
	// nothing.
	if owed := bends[2].Things[0].OwedTo; owed == nil || owed.Lamp != "pod" {
		t.Errorf("30 m to the left: owed to %+v, want the pod", owed)
	}
	if owed := bends[10].Things[0].OwedTo; owed == nil || owed.Lamp != "spot" {
		t.Errorf("straight on: owed to %+v, want the spot", owed)
	}
	if left, right := bends[2].Things[0].Range, bends[3].Things[0].Range; !(left > 1.3*right) {
		t.Errorf("30 m: %v m to the left, %v m to the right", left, right)
	}
}

// Left and right change places when the rig is mirrored: that of the pod, the rest is its own
// mirror image.
func TestBendsOfTheMirroredRig(t *testing.T) {
	one, other := bendsOf(t, "35"), bendsOf(t, "-35")
	for i := 0; i < 10; i += 2 {
		for k := range one[i].Things {
			for _, pair := range [][2]Number{
				{one[i].Things[k].Range, other[i+1].Things[k].Range},
				{one[i+1].Things[k].Range, other[i].Things[k].Range},
			} {
				if a, b := float64(pair[0]), float64(pair[1]); !(math.Abs(a-b) < 2e-3*a) {
					t.Errorf("%+v, %s: %v m, mirrored %v m", *one[i].Bend, one[i].Things[k].Name, a, b)
				}
			}
		}
	}
}

// Where one sees all the way around half a turn, that is what ends it: π · 20 m from where it
// begins.
func TestSightToTheEndOfABend(t *testing.T) {
	r := assembled(t, `
[track]
bend = "20 m left"
from = "1 m"
[[lamp]]
at = { ahead = "-1.9 m", left = "0 m", up = "2 m" }
turn = 60
lumens = 400000
output = 1
spread = [150, 20]
`)
	s, err := SightOf(t.Context(), r, r.Scenes[0], nil, Options{Things: []string{"animal"}})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := s.Things[0], 1+20*math.Pi; !(math.Abs(float64(got.Range)-want) < 1e-6) || got.LimitedBy != ByEnd {
		t.Errorf("seen to %v m, limited by %s; want %v m, end", got.Range, got.LimitedBy, want)
	}
}

// A limit is where the vehicle has it, or along the track and to the side of that: 60 m past the
// beginning of a bend of 60 m the track has turned by 1 rad, to (20 + 60 sin 1, 60 (1 - cos 1)).
func TestLimitAlongABend(t *testing.T) {
	r := assembled(t, pods("[track]\nbend = \"60 m left\"\nfrom = \"20 m\"", "35")+`
tilt_range = [0, 10]
[[target]]
lux = 3
ahead = ["20 m", "25 m"]
half_width = "1 m"
[[limit]]
at = { ahead = "50 m", left = "3.5 m", up = "1.1 m" }
lux = 500
[[limit]]
at = { along = "80 m", left = "3.5 m", up = "1.1 m" }
lux = 5
`)
	task, err := TaskOf(r, r.Scenes[0], 0)
	if err != nil {
		t.Fatal(err)
	}
	x, y := 20+60*math.Sin(1)-3.5*math.Sin(1), 60*(1-math.Cos(1))+3.5*math.Cos(1)
	for i, want := range []r3.Vec{{X: 50, Y: 3.5, Z: 1.1}, {X: x, Y: y, Z: 1.1}} {
		if at := task.Limits[i].At; r3.Norm(r3.Sub(at, want)) > 1e-9 {
			t.Errorf("limit %d is at %.3f, want %.3f", i+1, at, want)
		}
	}
	a, err := AimOf(t.Context(), r, r.Scenes[0], 0, Options{Things: []string{"person"}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	facing := r3.Vec{X: -math.Cos(1), Y: -math.Sin(1)} // back along the track
	want := r.Lit(r.Scenes[0]).Lux(r3.Vec{X: x, Y: y, Z: 1.1}, facing)
	if got := a.Limits[1].Before; !(math.Abs(got-want) < 1e-6*want) || want < 0.01 {
		t.Errorf("%v lx at the limit along the track, want %v lx", got, want)
	}
}

// What of a target is past the end of a bend, half a turn on, does not count.
func TestTargetsPastTheEndOfABend(t *testing.T) {
	for _, tt := range []struct {
		bend string
		tos  []float64
		cut  int
	}{
		{"30 m left", []float64{RutTo, 30 * math.Pi}, 1},
		{"5 m right", []float64{5 * math.Pi}, 2},
		{"100 m left", []float64{RutTo, PersonTo}, 0},
	} {
		r := assembled(t, pods("[track]\nbend = \""+tt.bend+"\"", "35"))
		task, err := TaskOf(r, r.Scenes[0], 0)
		if err != nil {
			t.Fatal(err)
		}
		var tos []float64
		for _, target := range task.Targets {
			tos = append(tos, target.To)
		}
		if diff := cmp.Diff(tt.tos, tos, cmpopts.EquateApprox(1e-12, 0)); diff != "" || len(task.Cut) != tt.cut {
			t.Errorf("%s: %d cut; ends (- want, + got):\n%s", tt.bend, len(task.Cut), diff)
		}
	}
	r := assembled(t, pods("[track]\nbend = \"20 m left\"",
		"35")+"[[target]]\nname = \"far\"\nsee = \"rock\"\nahead = [\"70 m\", \"90 m\"]\nhalf_width = \"1 m\"\n")
	if _, err := TaskOf(r, r.Scenes[0], 0); err == nil ||
		!strings.Contains(err.Error(), `target "far": 70.0 m along the track is past the end`) {
		t.Errorf("a target past the end: %v", err)
	}
}

// Of a pair one lamp is named where it alone costs nearly as much as both.
func TestOwedTo(t *testing.T) {
	none := Number(None())
	for _, tt := range []struct {
		what    string
		reach   Number
		without []Without
		want    string
	}{
		{"one lamp", 100, []Without{{"bar", 60}, {"spot", 90}}, "bar"},
		{"no lamp adds", 100, []Without{{"bar", 110}, {"spot", 100}}, ""},
		{"not seen without it", 100, []Without{{"bar", 60}, {"spot", none}}, "spot"},
		{"both of a pair", 100, []Without{{"pod (left)", 95}, {"pod (right)", 96}, {"pod", 50}, {"bar", 70}}, "pod"},
		{"one of a pair", 100, []Without{{"pod (left)", 53}, {"pod (right)", 100}, {"pod", 50}, {"bar", 70}},
			"pod (left)"},
		{"not seen", none, []Without{{"bar", none}}, ""},
	} {
		got := ""
		if owed := (&SightThing{Seen: Seen{Range: tt.reach, Without: tt.without}}).owedTo(); owed != nil {
			got = owed.Lamp
		}
		if got != tt.want {
			t.Errorf("%s: owed to %q, want %q", tt.what, got, tt.want)
		}
	}
}
