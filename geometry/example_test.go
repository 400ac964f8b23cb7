package geometry_test

import (
	"context"
	"fmt"
	"math"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// roofSpot is 9000 lm in a beam of 10°, 2.05 m up and 1.9 m behind the bumper, 5° down.
func roofSpot() geometry.Lamp {
	return geometry.Lamp{
		Name: "roof spot", At: r3.Vec{X: -1.9, Z: 2.05}, Aim: geometry.Aim{Tilt: 5 * math.Pi / 180},
		Optics: []geometry.Optic{{Beam: beam.Gaussian(beam.Round(10 * math.Pi / 180)).WithFlux(9000)}},
	}
}

func Example() {
	site := &geometry.Site{Length: 5.2}
	scene := site.Scene(roofSpot())
	hit, _ := site.AxisHit(&scene.Lamps[0])
	fmt.Printf("the axis hits the ground %.1f m ahead\n", hit.X)
	fmt.Printf("ground there: %.0f lx, facing 0.6 m up: %.0f lx\n", scene.GroundLux(hit.X, 0),
		scene.FacingLux(hit.X, 0, 0.6))
	brightest := scene.Brightest()
	fmt.Printf("brightest: %.0f lx at %.1f m\n", brightest.Lux, brightest.At.X)
	// Output:
	// the axis hits the ground 21.5 m ahead
	// ground there: 41 lx, facing 0.6 m up: 446 lx
	// brightest: 163 lx at 9.5 m
}

func ExampleScene_Centreline() {
	line := new(geometry.Site).Scene(roofSpot()).Centreline(1)
	fmt.Printf("1 lx to %.0f m, 3 lx to %.0f m\n", line.Reach(1), line.Reach(3))
	for _, gap := range line.Gaps(1) {
		fmt.Printf("dark from %.1f m to %.1f m\n", gap.From, gap.To)
	}
	// Output:
	// 1 lx to 371 m, 3 lx to 218 m
	// dark from 0.0 m to 1.4 m
}

func ExampleScene_GroundField() {
	scene := new(geometry.Site).Scene(roofSpot())
	grid := geometry.Grid{X0: 0, Y0: -20, Step: 0.1, NX: 1001, NY: 401} // 100 m ahead, 20 m to either side
	field, err := scene.GroundField(context.Background(), grid)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f m² have 3 lx\n", field.AreaOver(3))
	// Output: 311 m² have 3 lx
}

func ExampleSite_Tolerance() {
	near, far := new(geometry.Site).Tolerance(roofSpot(), 0.5*math.Pi/180)
	fmt.Printf("half a degree moves the axis between %.1f m and %.1f m\n", near, far)
	// Output: half a degree moves the axis between 21.3 m and 26.0 m
}

func ExampleTrack() {
	bend := geometry.Track{Radius: 60, Left: true, From: 20}
	x, y := bend.Place(60, 0)
	fmt.Printf("60 m along the track: %.1f m ahead, %.1f m to the left\n", x, y)
	// Output: 60 m along the track: 57.1 m ahead, 12.8 m to the left
}

func ExampleRaised() {
	loaded := geometry.Raised(0.004, -0.038, -0.9, -4) // front 4 mm up, rear 38 mm down
	fmt.Printf("nose up %.2f°\n", loaded.NoseUp()*180/math.Pi)
	// Output: nose up 0.78°
}

func ExampleBraking_Speed() {
	fmt.Printf("from %.0f km/h\n", geometry.GreenBook.Speed(100)*3.6)
	// Output: from 68 km/h
}
