package sight_test

import (
	"context"
	"fmt"
	"math"

	"beamfall/beam"
	"beamfall/geometry"
	"beamfall/geometry/sight"

	"gonum.org/v1/gonum/spatial/r3"
)

// twoSpots is two spot lamps on a bumper, over level ground, and the eye behind them.
func twoSpots() (*geometry.Scene, r3.Vec) {
	spot := geometry.Lamp{
		Name: "left spot", At: r3.Vec{Y: 0.5, Z: 0.8}, Aim: geometry.Aim{Tilt: 1 * math.Pi / 180},
		Optics: []geometry.Optic{{Beam: beam.Gaussian(beam.Round(10 * math.Pi / 180)).WithFlux(2500)}},
	}
	other := spot
	other.Name, other.At.Y = "right spot", -0.5
	return new(geometry.Site).Scene(spot, other), r3.Vec{X: -2, Y: 0.4, Z: 1.6}
}

func Example() {
	scene, eye := twoSpots()
	view := sight.Look(scene, eye, sight.Usual, sight.AtNight(0.2))
	for _, thing := range sight.Things() {
		fmt.Printf("%-6s seen out to %.0f m\n", thing.Name, view.Along(thing).Sight([]int{0, 1}).Range)
	}
	// Output:
	// person seen out to 181 m
	// animal seen out to 275 m
	// rock   seen out to 168 m
	// plate  seen out to 171 m
	// rut    seen out to 37 m
}

// What each lamp does for a thing is kept, so that it costs nothing to switch one off.
func ExampleParts_See() {
	scene, eye := twoSpots()
	view := sight.Look(scene, eye, sight.Usual, sight.AtNight(0.2))
	person := view.Parts(sight.Things()[0], sight.Place{X: 120})
	for _, lit := range [][]int{{0, 1}, {0}} {
		s := person.See(lit)
		fmt.Printf("%.1f lx, %.3f cd/m² before %.4f cd/m², veil %.3f cd/m²: %.1f times the threshold\n",
			s.Lux, s.Thing, s.Background, s.Veil.Sum(), s.Level)
	}
	// Output:
	// 9.8 lx, 0.155 cd/m² before 0.0026 cd/m², veil 0.015 cd/m²: 33.9 times the threshold
	// 4.9 lx, 0.078 cd/m² before 0.0016 cd/m², veil 0.008 cd/m²: 20.3 times the threshold
}

// A crest hides what is beyond it, and says so.
func ExampleAlong_Sight() {
	scene, eye := twoSpots()
	scene.Site.Ground.Profile = []geometry.Knot{{Ahead: 60}, {Ahead: 120, Height: -6}}
	view := sight.Look(scene, eye, sight.Usual, sight.AtNight(0.2))
	person := view.Along(sight.Things()[0])
	s := person.Sight([]int{0, 1})
	fmt.Printf("seen out to %.0f m, hidden beyond: %v\n", s.Range, s.Hidden)
	// Output:
	// seen out to 71 m, hidden beyond: true
}

// Without the light that the ground before the vehicle throws into the eyes, one would see a little
// farther.
func ExampleAlong_SightIf() {
	scene, eye := twoSpots()
	person := sight.Look(scene, eye, sight.Usual, sight.AtNight(0.2)).Along(sight.Things()[0])
	without := person.SightIf([]int{0, 1}, func(l sight.Light) sight.Light {
		l.Veil.Ground = 0
		return l
	})
	fmt.Printf("%.0f m, and %.0f m\n", person.Sight([]int{0, 1}).Range, without.Range)
	// Output:
	// 181 m, and 239 m
}

// In dust the air glows, most of all by the lamp that is nearer to the line of sight.
func ExampleView_Glow() {
	scene, eye := twoSpots()
	scene.Site.Visibility = 150
	around := sight.AtNight(0.2)
	around.Particles = sight.Dust
	view := sight.Look(scene, eye, sight.Usual, around)
	for i, glow := range view.Glow(r3.Vec{X: 1}) {
		fmt.Printf("%s: %.1f cd/m²\n", scene.Lamps[i].Lamp.Name, glow)
	}
	// Output:
	// left spot: 1.1 cd/m²
	// right spot: 0.6 cd/m²
}

func ExampleParticles_Phase() {
	for _, p := range sight.AllParticles() {
		fmt.Printf("%-4s throws %.3f of the light straight back, per steradian\n", p.Name, p.Phase(-1))
	}
	// Output:
	// dust throws 0.021 of the light straight back, per steradian
	// fog  throws 0.055 of the light straight back, per steradian
	// snow throws 0.039 of the light straight back, per steradian
}

// Where on the ground a person is seen, from right to left.
func ExampleView_Map() {
	scene, eye := twoSpots()
	view := sight.Look(scene, eye, sight.Usual, sight.AtNight(0.2))
	grid := geometry.Grid{X0: 15, Y0: -15, Step: 5, NX: 36, NY: 7}
	m, err := view.Map(context.Background(), sight.Things()[0], grid, []int{0, 1})
	if err != nil {
		panic(err)
	}
	for i := 0; i < grid.NX; i += 7 {
		for j := range grid.NY {
			mark := "."
			if m.At(i, j) >= view.Observer.Level {
				mark = "o"
			}
			fmt.Print(mark)
		}
		fmt.Printf(" %.0f m\n", grid.X(i))
	}
	// Output:
	// ...o... 15 m
	// .ooooo. 50 m
	// .ooooo. 85 m
	// .ooooo. 120 m
	// .ooooo. 155 m
	// ....... 190 m
}

func ExampleObserver_Threshold() {
	young, old := sight.Observer{Age: 25, Glance: 0.2}, sight.Observer{Age: 70, Glance: 0.2}
	fmt.Printf("%.4f cd/m² and %.4f cd/m²\n", young.Threshold(0.1, 10, false), old.Threshold(0.1, 10, false))
	// Output:
	// 0.0246 cd/m² and 0.0728 cd/m²
}

func ExampleVeilPerLux() {
	for _, degrees := range []float64{1, 4, 10} {
		fmt.Printf("%g°: %.3f cd/m² per lux\n", degrees, sight.VeilPerLux(degrees*math.Pi/180, 40))
	}
	// Output:
	// 1°: 15.898 cd/m² per lux
	// 4°: 0.537 cd/m² per lux
	// 10°: 0.075 cd/m² per lux
}
