package units_test

import (
	"fmt"
	"math"

	"beamfall/render/units"
)

func Example() {
	for _, u := range []units.System{units.Metric, units.Imperial} {
		fmt.Printf("%v: lamp %s up, mark at %s, lit to %s\n", u, u.Length(1.9), u.Mark(0.9716), u.Distance(84.2))
	}
	fmt.Println(units.Setting(2.5*math.Pi/180, 0), "·", units.Light(0.25))
	// Output:
	// metric: lamp 1.90 m up, mark at 0.972 m, lit to 84.2 m
	// imperial: lamp 6 ft 3 in up, mark at 3 ft 2 1/4 in, lit to 276 ft
	// 2.5° down · 0.25 lx
}
