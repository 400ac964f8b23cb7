package geometry_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Lit areas whose shape is known.

// area is LitArea where nothing goes wrong.
func area(t *testing.T, s *geometry.Scene, lux float64) float64 {
	t.Helper()
	a, err := s.LitArea(context.Background(), lux)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestLitAreaOfAPointIsADisc(t *testing.T) {
	// I h/(r² + h²)^(3/2) ≥ E within r² = (I h/E)^(2/3) - h².
	for _, tt := range []struct{ candela, height, lux float64 }{
		{1000, 2, 1}, {1000, 2, 10}, {1000, 2, 240}, {80000, 2, 1}, {50, 0.5, 3}, {80000, 4, 100},
	} {
		want := math.Pi * (math.Pow(tt.candela*tt.height/tt.lux, 2./3) - tt.height*tt.height)
		s := onLevel(lamp(r3.Vec{X: -2, Y: 0.7, Z: tt.height}, down, 0, isotropic(tt.candela)))
		near(t, fmt.Sprintf("%+v", tt), area(t, s, tt.lux), want, 2e-3)
	}
	dark := onLevel(lamp(r3.Vec{Z: 2}, down, 0, isotropic(1000)))
	if a := area(t, dark, 251); a != 0 {
		t.Errorf("%v m² with more than the 250 lx straight below", a)
	}
	if a := area(t, onLevel(), 1); a != 0 {
		t.Errorf("%v m² without lamps", a)
	}
}

func TestLitAreaOnASlope(t *testing.T) {
	// The disc lies on the slope; seen from above it is narrower by the cosine. h is the
	// perpendicular distance.
	for _, ground := range []geometry.Ground{{Grade: 0.3}, {CrossFall: -0.3}} {
		cos := 1 / math.Hypot(1, 0.3)
		h := 2 * cos
		s := (&geometry.Site{Ground: ground}).Scene(lamp(r3.Vec{Z: 2}, down, 0, isotropic(3000)))
		near(t, "disc on a slope", area(t, s, 5), math.Pi*(math.Pow(3000*h/5, 2./3)-h*h)*cos, 3e-3)
	}
}

func TestLitAreaOfAConeIsItsConic(t *testing.T) {
	// Brighter than the level all over, an even cone lights the whole of its ellipse: straight down
	// a disc π(h tan β)², tilted π a b with the semi-axes of TestEllipse.
	const h = 2.0
	for _, tt := range []struct{ tilt, half float64 }{{90, 20}, {90, 60}, {30, 10}, {20, 15}, {12, 8}, {45, 3}} {
		s := func(d float64) float64 { return math.Sin(d * deg) }
		c := func(d float64) float64 { return 1 / math.Tan(d*deg) }
		major := h * (c(tt.tilt-tt.half) - c(tt.tilt+tt.half)) / 2
		minor := h * s(tt.half) / math.Sqrt(s(tt.tilt+tt.half)*s(tt.tilt-tt.half))
		far := h * math.Hypot(1, c(tt.tilt-tt.half))
		l := lamp(r3.Vec{X: 1, Z: h}, geometry.Aim{Tilt: tt.tilt * deg, Turn: 20 * deg}, 0,
			beam.Uniform(beam.Round(2*tt.half*deg)).WithPeak(20*far*far*far/h))
		near(t, fmt.Sprintf("%+v", tt), area(t, onLevel(l), 10), math.Pi*major*minor, 3e-3)
	}
}

func TestLitAreasApartAddUp(t *testing.T) {
	// A strong lamp ahead, weak ones behind and far aside, each with its own disc.
	one := func(x, y, z, i float64) geometry.Lamp {
		return lamp(r3.Vec{X: x, Y: y, Z: z}, down, 0, beam.Uniform(beam.Round(40*deg)).WithPeak(i))
	}
	s := onLevel(one(20, 0, 4, 1e6), one(-12, 0, 3, 500), one(-6, 9, 2, 200))
	disc := func(h float64) float64 { return math.Pi * sq(h*math.Tan(20*deg)) }
	near(t, "three discs", area(t, s, 10), disc(4)+disc(3)+disc(2), 5e-3)
	near(t, "the one bright enough", area(t, s, 1000), disc(4), 3e-3)
}

func TestLitAreaOfNarrowBeamsOnASlope(t *testing.T) {
	// Far from a strong lamp a narrow cone lights a strip half a metre wide, which no coarse grid
	// finds. On ground that falls ahead by γ a beam ahead meets it at its tilt less γ, one astern
	// at its tilt and γ; h is 2 m · cos γ.
	const fall = 0.086
	gamma := math.Atan(fall)
	site := &geometry.Site{Ground: geometry.Ground{Grade: -fall}}
	cone := func(tilt, turn, half, peak float64) geometry.Lamp {
		return lamp(r3.Vec{Z: 2}, geometry.Aim{Tilt: tilt * deg, Turn: turn * deg}, 0,
			beam.Uniform(beam.Round(2*half*deg)).WithPeak(peak))
	}
	conic := func(t, half float64) float64 { // seen from above
		h := 2 * math.Cos(gamma)
		major := h * (1/math.Tan(t-half) - 1/math.Tan(t+half)) / 2
		return math.Pi * major * h * math.Sin(half) / math.Sqrt(math.Sin(t+half)*math.Sin(t-half)) * math.Cos(gamma)
	}
	want := conic(13.5*deg-gamma, 1*deg) + conic(60*deg+gamma, 2*deg)
	got := area(t, site.Scene(cone(13.5, 0, 1, 2e5), cone(60, 180, 2, 3e6)), 10)
	near(t, "both strips", got, want, 0.01)
}

func TestLitAreaOfAFanStraightDown(t *testing.T) {
	// A gaussian of 2° by 120° from 1 m up: a strip of some centimetres by metres. E = I·h/d³ with
	// the intensity of the rig file's formula; its half width at each place along it by bisection,
	// summed by the trapezium rule.
	const peak, h, lux = 5000.0, 1.0, 30.0
	lit := func(x, y float64) bool { // x along the fan, y across
		d2 := x*x + y*y + h*h
		theta, phi := math.Acos(h/math.Sqrt(d2)), math.Atan2(y, x)
		half := 1 / math.Hypot(math.Cos(phi)/(60*deg), math.Sin(phi)/(1*deg))
		return peak*math.Exp2(-sq(theta/half))*h/(d2*math.Sqrt(d2)) >= lux
	}
	want := 0.0
	const step = 1e-3
	for x := 0.0; lit(x, 0); x += step {
		in, out := 0.0, 1.0
		for range 40 {
			if y := (in + out) / 2; lit(x, y) {
				in = y
			} else {
				out = y
			}
		}
		want += 4 * in * step
		if x == 0 {
			want /= 2
		}
	}
	for _, turn := range []float64{0, 30, 90} {
		fan := lamp(r3.Vec{Z: h}, geometry.Aim{Tilt: 90 * deg, Turn: turn * deg}, 0,
			beam.Gaussian(beam.Angles{Across: 120 * deg, UpDown: 2 * deg}).WithPeak(peak))
		near(t, fmt.Sprintf("turned %v°", turn), area(t, onLevel(fan), lux), want, 0.005)
	}
}

func TestLitAreaAgainstAFineField(t *testing.T) {
	t.Parallel()
	// Cells of 25 cm counted one by one, on rigs with everything.
	for seed := range uint64(5) {
		r := newDraw(seed + 80000).rig()
		s := r.scene()
		const lux, step = 10.0, 0.25
		f, err := s.GroundField(context.Background(), geometry.Grid{X0: -70, Y0: -70, Step: step, NX: 561, NY: 561})
		if err != nil {
			t.Fatal(err)
		}
		cells, edge := 0, false
		for i := range f.NX {
			for j := range f.NY {
				if f.At(i, j) >= lux {
					cells++
					edge = edge || i == 0 || j == 0 || i == f.NX-1 || j == f.NY-1
				}
			}
		}
		if edge {
			continue // goes on beyond this field
		}
		closeTo(t, fmt.Sprintf("rig %d: lit area", seed), area(t, s, lux), float64(cells)*step*step,
			0.01*float64(cells)*step*step+0.15*math.Sqrt(float64(cells)*step*step))
	}
}

func TestAreaOver(t *testing.T) {
	// A ramp by powers of ten: the level 10^k lies k steps along it, however the grid is turned to
	// it.
	const n = 21
	for name, at := range map[string]func(x, y float64) float64{
		"ahead": func(x, _ float64) float64 { return x }, "aside": func(_, y float64) float64 { return y },
	} {
		f := &geometry.Field{Grid: geometry.Grid{Step: 0.5, NX: n, NY: n}, Lux: make([]float64, n*n)}
		for i := range n {
			for j := range n {
				f.Lux[i*n+j] = math.Pow(1.5, at(f.X(i), f.Y(j)))
			}
		}
		for _, from := range []float64{0, 0.1, 3.25, 5, 9.9, 10} {
			near(t, fmt.Sprintf("%s from %v m", name, from), f.AreaOver(math.Pow(1.5, from)*(1+1e-12)), 10*(10-from),
				1e-6)
		}
	}
}

func TestLitWidth(t *testing.T) {
	// Across the disc of a point of light the chord at x is 2 √(R² - x²).
	const candela, h, lux = 4000.0, 2.0, 3.0
	radius := math.Sqrt(math.Pow(candela*h/lux, 2./3) - h*h)
	s := onLevel(lamp(r3.Vec{X: -2, Y: 0.7, Z: h}, down, 0, isotropic(candela)))
	for _, x := range []float64{-12, -2, 0, 5, radius - 2.01} {
		near(t, fmt.Sprintf("chord at %v m", x), s.LitWidth(x, lux), 2*math.Sqrt(radius*radius-sq(x+2)), 1e-6)
	}
	if w := s.LitWidth(radius-1.99, lux); w != 0 {
		t.Errorf("%v m past the disc", w)
	}
	// Two cones side by side: the dark between them does not count.
	cone := beam.Uniform(beam.Round(40 * deg)).WithPeak(1e5)
	two := onLevel(lamp(r3.Vec{Y: 4, Z: 3}, down, 0, cone), lamp(r3.Vec{Y: -4, Z: 3}, down, 0, cone))
	near(t, "two discs", two.LitWidth(0, 1), 4*3*math.Tan(20*deg), 1e-6)
	if w := onLevel().LitWidth(5, 1); w != 0 {
		t.Errorf("%v m without lamps", w)
	}
}
