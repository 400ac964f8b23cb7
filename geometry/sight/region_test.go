package sight

import (
	"math"
	"testing"
)

// A thing over a region is the thing at each of its places; only the veil is interpolated.
func TestOverIsPartsEverywhere(t *testing.T) {
	v := demoView()
	for _, tt := range []struct {
		thing            Thing
		from, to, beside float64
	}{{person(), 30, 250, 2}, {rut(), 5, 40, 3}} {
		var rows [][]Place
		for s := tt.from; s <= tt.to; s++ {
			var row []Place
			for left := -tt.beside; left <= tt.beside; left++ {
				row = append(row, v.OnTrack(s, left))
			}
			rows = append(rows, row)
		}
		over := v.Over(tt.thing, rows)
		all, most := trail, 0.0
		for i := 0; i < len(over); i += 7 {
			want := v.Parts(tt.thing, over[i].Place)
			got, exact := over[i].See(all), want.See(all)
			most = max(most, math.Abs(got.Veil.Sum()/exact.Veil.Sum()-1))
			if got.Lux != exact.Lux || got.Background != exact.Background {
				t.Fatalf("%s at %v: %+v, want %+v", tt.thing.Name, over[i].Place, got, exact)
			}
		}
		t.Logf("%s: veil off by %.2g", tt.thing.Name, most)
		if most > VeilError {
			t.Errorf("%s: the veil is off by %.2g", tt.thing.Name, most)
		}
	}
}

// Rows that pass the eye come nearer and go away again: what lies behind is as far as what is ahead.
func TestOverPastTheEye(t *testing.T) {
	v := demoView()
	var rows [][]Place
	for s := -30.; s <= 30; s++ {
		var row []Place
		for left := -3.; left <= 3; left++ {
			row = append(row, v.OnTrack(v.eye.at.X+s, v.eye.at.Y+left))
		}
		rows = append(rows, row)
	}
	for _, p := range v.Over(person(), rows) {
		if veil := p.See(trail).Veil.Sum(); !(veil >= 0) {
			t.Fatalf("at %v the veil is %g", p.Place, veil)
		}
	}
}
