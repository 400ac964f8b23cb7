package render

import (
	"testing"

	"beamfall/geometry"
	"beamfall/render/units"
)

// A picture says what it is drawn for: light on a grade or in fog is not that on level ground in
// clear air.
func TestDetailsSayTheConditions(t *testing.T) {
	for _, test := range []struct {
		site geometry.Site
		want string
	}{
		{geometry.Site{}, "scene x · light"},
		{geometry.Site{Attitude: geometry.NoseUp(0.6*deg, -4)}, "scene x · light · driven nose up 0.6°"},
		{geometry.Site{Ground: geometry.Ground{Grade: 0.3, CrossFall: -0.125}},
			"scene x · light · grade 30 %, cross fall −12.5 %"},
		{geometry.Site{Ground: geometry.Ground{CrossFall: 1e-5}}, "scene x · light"},
		{
			geometry.Site{Ground: geometry.Ground{Profile: []geometry.Knot{{Ahead: 30}, {Ahead: 60, Height: -3}}},
				Visibility: 80},
			"scene x · light · ground profile · visibility 80.0 m",
		},
		{geometry.Site{Attitude: geometry.NoseUp(-1*deg, -4), Visibility: 2000},
			"scene x · light · driven nose down 1.0° · visibility 2000 m"},
	} {
		if got := subject("rig", "x", test.site).details("light"); got != test.want {
			t.Errorf("%q, want %q", got, test.want)
		}
	}
	imperial := subject("rig", "x", geometry.Site{Visibility: 2000})
	imperial.Units = units.Imperial
	if got, want := imperial.details("light"), "scene x · light · visibility 6562 ft"; got != want { // 2000 / 0.3048
		t.Errorf("%q, want %q", got, want)
	}
}
