package headlight_test

import (
	"fmt"
	"math"

	"beamfall/beam/headlight"
)

// A low beam that just meets UN R149, and the same of a lamp that gives twice as much.
func Example() {
	low := headlight.Low(headlight.UNR149, headlight.KeepRight)
	twice := low.Times(2)
	fmt.Printf("%.0f lm and %.0f lm\n", low.Flux(), twice.Flux())

	// 0.86° down and 1.72° to the right: the edge of the road at 50 m, from a lamp 0.75 m up
	down, right := 0.86*math.Pi/180, 1.72*math.Pi/180
	cd := low.Candela(math.Cos(down)*math.Cos(right), -math.Cos(down)*math.Sin(right), -math.Sin(down))
	fmt.Printf("%.0f cd, and the rule asks for 10100\n", math.Round(cd/100)*100)
	// Output:
	// 122 lm and 244 lm
	// 11500 cd, and the rule asks for 10100
}

// A lamp mounted for a dip of 1.3 % points lower than one for 1 %, whose axis is level.
func ExampleTilt() {
	fmt.Printf("%.2f° and %.2f°\n", headlight.Tilt(0.01)*180/math.Pi, headlight.Tilt(0.013)*180/math.Pi)
	// Output: 0.00° and 0.17°
}
