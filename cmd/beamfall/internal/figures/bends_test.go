package figures

import (
	"math"
	"testing"

	"beamfall/cmd/beamfall/internal/assembly"
)

// Sight along bends: that of the rig itself on that track; the mirror image to the other side; and the lamp that it is owed to.

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

func bendsOf(t *testing.T, r *assembly.Rig, things ...string) []BendSight {
	t.Helper()
	bends, err := BendsOf(t.Context(), r, r.Scenes[0], Options{Things: things}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return bends
}

func TestBendsAreTheTrackOfTheRig(t *testing.T) {
	bends := bendsOf(t, assembled(t, pods("", "35")))
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
	// The pod to the left is what one sees by around a bend to the left; to the right it adds nothing.
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

// Left and right change places when the rig is mirrored: that of the pod, the rest is its own mirror image.
func TestBendsOfTheMirroredRig(t *testing.T) {
	one, other := bendsOf(t, assembled(t, pods("", "35")), "person", "rut"), bendsOf(t, assembled(t, pods("", "-35")), "person", "rut")
	for i := 0; i < 10; i += 2 {
		for k := range one[i].Things {
			for _, pair := range [][2]Number{
				{one[i].Things[k].Range, other[i+1].Things[k].Range}, {one[i+1].Things[k].Range, other[i].Things[k].Range},
			} {
				if a, b := float64(pair[0]), float64(pair[1]); !(math.Abs(a-b) < 2e-3*a) {
					t.Errorf("%+v, %s: %v m, mirrored %v m", *one[i].Bend, one[i].Things[k].Name, a, b)
				}
			}
		}
	}
}

// Where one sees all the way around half a turn, that is what ends it: π · 20 m from where it begins.
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
		{"one of a pair", 100, []Without{{"pod (left)", 53}, {"pod (right)", 100}, {"pod", 50}, {"bar", 70}}, "pod (left)"},
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
