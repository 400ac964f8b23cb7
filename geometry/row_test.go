package geometry_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"testing"

	"beamfall/beam"
	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rows and fields are Scene.Lux at speed: the same light to the bound that AddRow states.

// row draws a line of points: along y on the ground or over it, as fields have them, or any line at
// all.
func (d draw) row(r *rig) geometry.Row {
	step := 0.05 * math.Pow(40, d.Float64())
	start, normal := d.place(r)
	switch d.IntN(5) {
	case 4: // up, or down from there
		row := geometry.Row{Start: start, Normal: normal, Step: r3.Vec{Z: step / 8}}
		if d.chance(0.5) {
			row.Start.Z, row.Step.Z = row.Start.Z+100*step/8, -step/8
		}
		return row
	case 0: // any
		return geometry.Row{
			Start:  start,
			Normal: normal,
			Step:   r3.Scale(step, r3.Unit(r3.Vec{X: d.NormFloat64(), Y: d.NormFloat64(), Z: d.NormFloat64() / 20})),
		}
	case 1: // ahead
		return geometry.Row{Start: start, Normal: normal, Step: r3.Vec{X: step, Z: r.grade * step}}
	}
	start.Y -= step * d.between(0, 150)
	start.Z = r.height(start.X, start.Y)
	normal = r.normal(start.X)
	if d.chance(0.4) {
		start.Z += 0.6
		normal = facing
	}
	return geometry.Row{Start: start, Normal: normal, Step: r3.Vec{Y: step, Z: r.crossFall * step}}
}

// axial is what the lamps of a scene would give at p if their axes pointed straight at it.
func axial(s *geometry.Scene, p r3.Vec) float64 {
	sum := 0.0
	for i := range s.Lamps {
		for _, o := range s.Lamps[i].Lamp.Optics {
			sum += o.Beam.Peak() / r3.Norm2(r3.Sub(p, s.Lamps[i].Place))
		}
	}
	return sum
}

func TestRowsAgreeWithLux(t *testing.T) {
	t.Parallel()
	const rows, points = 6, 100
	rigs := drawn(60, 400)
	worst, lit, partial := 0.0, 0, 0
	for seed := range uint64(rigs) {
		d := newDraw(seed + 10000)
		r := d.rig()
		s := r.scene()
		for range rows {
			row := d.row(r)
			const before = 0.125 // AddRow adds to what is there
			got := make([]float64, points)
			for i := range got {
				got[i] = before
			}
			s.AddRow(got, row)
			dark := 0
			for i := range got {
				p := r3.Add(row.Start, r3.Scale(float64(i), row.Step))
				want := s.Lux(p, row.Normal)
				floor := 1e-6*axial(s, p) + 1e-14
				if math.Abs(got[i]-before-want) > 0.003*want+floor {
					t.Fatalf("rig %d, point %d of %+v at %.3f: %.8g lx, Lux has %.8g\n%+v", seed, i, row, p,
						got[i]-before, want, *r)
				}
				if want > 1000*floor {
					lit++
					worst = math.Max(worst, math.Abs(got[i]-before-want)/want)
				}
				if want == 0 {
					dark++
				}
			}
			if dark > 0 && dark < points {
				partial++
			}
		}
	}
	t.Logf("%d lit points of %d, worst %.2g; %d rows partly dark", lit, rigs*rows*points, worst, partial)
	if lit < rigs*rows*points/5 || partial < rigs/2 {
		t.Errorf("%d lit points, %d rows partly dark: too few to mean anything", lit, partial)
	}
}

func TestRowsTogetherAreRowsOneByOne(t *testing.T) {
	for seed := range uint64(20) {
		d := newDraw(seed + 15000)
		r := d.rig()
		s := r.scene()
		rows := []geometry.Row{d.row(r), d.row(r), d.row(r)}
		together, one := [][]float64{make([]float64, 90), make([]float64, 10), make([]float64, 1)}, make([]float64, 90)
		s.AddRows(together, rows)
		for k, row := range rows {
			one = one[:len(together[k])]
			clear(one)
			s.AddRow(one, row)
			for i := range one {
				if together[k][i] != one[i] {
					t.Fatalf("rig %d, row %d, point %d: %v lx, alone %v", seed, k, i, together[k][i], one[i])
				}
			}
		}
	}
}

// Rows in even steps are a lattice, anywhere, and the one that leaves it is a row by itself.
func TestRowsInEvenSteps(t *testing.T) {
	lit := 0
	for seed := range uint64(drawn(40, 400)) {
		d := newDraw(seed + 17000)
		r := d.rig()
		s := r.scene()
		rows, lux := make([]geometry.Row, 13), make([][]float64, 13)
		down := r3.Scale(d.between(0.02, 0.5),
			r3.Unit(r3.Vec{X: d.NormFloat64(), Y: d.NormFloat64(), Z: math.Abs(d.NormFloat64())}))
		first := d.row(r)
		for i := range rows {
			rows[i], lux[i] = first, make([]float64, 40)
			rows[i].Start = r3.Add(first.Start, r3.Scale(float64(i), down))
		}
		rows[12].Start.Z += 0.3
		s.AddRows(lux, rows)
		for i, row := range rows {
			for j, got := range lux[i] {
				p := r3.Add(row.Start, r3.Scale(float64(j), row.Step))
				want := s.Lux(p, row.Normal)
				floor := 1e-6*axial(s, p) + 1e-14
				if math.Abs(got-want) > 0.003*want+floor {
					t.Fatalf("rig %d, point %d of row %d, at %.3f: %.8g lx, Lux has %.8g\n%+v", seed, j, i, p, got,
						want, *r)
				}
				if want > 1000*floor {
					lit++
				}
			}
		}
	}
	if lit < 3000 {
		t.Errorf("%d lit points: too few to mean anything", lit)
	}
}

func TestFieldsAreLuxOnTheGroundAndOverIt(t *testing.T) {
	for seed := range uint64(40) {
		d := newDraw(seed + 20000)
		r := d.rig()
		s := r.scene()
		g := geometry.Grid{X0: d.between(-10, 30), Y0: d.between(-10, 0), Step: d.between(0.2, 1), NX: 13, NY: 17}
		ground, err := s.GroundField(context.Background(), g)
		if err != nil {
			t.Fatal(err)
		}
		facing, err := s.FacingField(context.Background(), g, geometry.ObjectHeight)
		if err != nil {
			t.Fatal(err)
		}
		for i := range g.NX {
			for j := range g.NY {
				x, y := g.X0+float64(i)*g.Step, g.Y0+float64(j)*g.Step
				if g.X(i) != x || g.Y(j) != y {
					t.Fatalf("point (%d, %d) at (%v, %v), want (%v, %v)", i, j, g.X(i), g.Y(j), x, y)
				}
				toward := r3.Vec{X: math.Copysign(1, -x)} // a vehicle of no length
				for _, c := range []struct {
					name      string
					got, want float64
				}{
					{"ground", ground.At(i, j), s.Lux(r3.Vec{X: x, Y: y, Z: r.height(x, y)}, r.normal(x))},
					{"GroundLux", s.GroundLux(x, y), s.Lux(r3.Vec{X: x, Y: y, Z: r.height(x, y)}, r.normal(x))},
					{"facing", facing.At(i, j), s.Lux(r3.Vec{X: x, Y: y, Z: r.height(x, y) + 0.6}, toward)},
					{"FacingLux", s.FacingLux(x, y, 0.6), s.Lux(r3.Vec{X: x, Y: y, Z: r.height(x, y) + 0.6}, toward)},
				} {
					floor := 1e-6 * axial(s, r3.Vec{X: x, Y: y, Z: r.height(x, y)})
					if math.Abs(c.got-c.want) > 0.003*c.want+floor {
						t.Fatalf("rig %d: %s at (%.2f, %.2f): %.8g lx, Lux has %.8g\n%+v", seed, c.name, x, y, c.got,
							c.want, *r)
					}
				}
			}
		}
	}
}

func TestFieldDoesNotDependOnCores(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for seed := range uint64(12) {
		r := newDraw(seed + 30000).rig()
		g := geometry.Grid{X0: -10, Y0: -15, Step: 0.5, NX: 100, NY: 61}
		var fields [3]*geometry.Field
		for i, cores := range []int{1, 2, 7} {
			runtime.GOMAXPROCS(cores)
			f, err := r.scene().GroundField(context.Background(), g)
			if err != nil {
				t.Fatal(err)
			}
			fields[i] = f
		}
		for i, v := range fields[0].Lux {
			for _, f := range fields[1:] {
				if math.Float64bits(v) != math.Float64bits(f.Lux[i]) {
					t.Fatalf("rig %d, point %d: %v lx on one core, %v on more", seed, i, v, f.Lux[i])
				}
			}
		}
	}
}

func TestFieldStopsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	s := onLevel(lamp(r3.Vec{Z: 2}, tilted(10), 1, beam.Gaussian(beam.Round(20*deg)).WithFlux(1000)))
	if f, err := s.GroundField(ctx, geometry.Grid{Step: 1, NX: 10, NY: 10}); !errors.Is(err, context.Canceled) ||
		f != nil {
		t.Errorf("field %v, error %v", f, err)
	}
	if _, err := s.LitArea(ctx, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("lit area: %v", err)
	}
	if _, _, err := s.Lit(ctx, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("extent: %v", err)
	}
}

func TestRowsPastABeamAndAlongIt(t *testing.T) {
	// Lines that a narrow cone meets in each way there is: across it, along it from behind and from
	// ahead, beside it, along its edge, and into its mirror cone behind the lamp, where there is no
	// light.
	beams := map[string]beam.Distribution{
		"gaussian": beam.Gaussian(beam.Round(8 * deg)).WithPeak(
			1e5,
		), "uniform": beam.Uniform(beam.Round(90 * deg)).WithPeak(1e5),
		"isotropic": isotropic(
			1e3,
		), "oval": beam.Uniform(beam.Angles{Across: 50 * deg, UpDown: 10 * deg}).WithPeak(1e4),
		"half": beam.Cosine(beam.Round(120 * deg)).WithPeak(1e3),
	}
	rows := map[string]geometry.Row{
		"across":             {Start: r3.Vec{X: 10, Y: -20, Z: 1.1}, Step: r3.Vec{Y: 0.25}, Normal: facing},
		"along":              {Start: r3.Vec{X: -20.1, Y: 0.09, Z: 1}, Step: r3.Vec{X: 0.25}, Normal: facing},
		"back along":         {Start: r3.Vec{X: 20.1, Y: 0.09, Z: 1}, Step: r3.Vec{X: -0.25}, Normal: facing},
		"beside":             {Start: r3.Vec{X: -20, Y: 3, Z: 0}, Step: r3.Vec{X: 0.25}, Normal: up},
		"behind":             {Start: r3.Vec{X: -10, Y: -20, Z: 1}, Step: r3.Vec{Y: 0.25}, Normal: r3.Vec{X: 1}},
		"along the edge":     {Start: r3.Vec{X: -20, Y: -20.1, Z: 1}, Step: r3.Vec{X: 0.25, Y: 0.2501}, Normal: facing},
		"in the lens' plane": {Start: r3.Vec{Y: -20, Z: 0.5}, Step: r3.Vec{Y: 0.25}, Normal: up},
		"through the lamp": {
			Start:  r3.Vec{X: -20.1, Y: -10.05, Z: 1},
			Step:   r3.Vec{X: 0.25, Y: 0.125},
			Normal: facing,
		},
		"from the side": {
			Start:  r3.Vec{X: 60, Y: 30, Z: 1},
			Step:   r3.Vec{X: -0.5, Y: -0.25},
			Normal: r3.Unit(r3.Vec{X: -1, Y: -1}),
		},
	}
	for name, row := range rows {
		for b, d := range beams {
			for _, width := range []float64{0, 1.2} {
				s := onLevel(lamp(r3.Vec{Z: 1}, geometry.Aim{}, width, d))
				got := make([]float64, 161)
				s.AddRow(got, row)
				for i, v := range got {
					p := r3.Add(row.Start, r3.Scale(float64(i), row.Step))
					if want := s.Lux(p, row.Normal); math.Abs(v-want) > 0.003*want+1e-6*axial(s, p) {
						t.Errorf("%s, %s %v m wide: point %d has %.6g lx, Lux %.6g", name, b, width, i, v, want)
					}
				}
			}
		}
	}
}

// Light is never less than none, however it is interpolated: along rows from the heart of narrow
// and wide beams to far beyond their cutoff, at steps that are interpolated between.
func TestRowsAreNeverNegative(t *testing.T) {
	for _, spread := range []float64{4, 10, 25, 60} {
		s := onLevel(
			lamp(r3.Vec{Z: 2}, geometry.Aim{Tilt: 3 * deg}, 0, beam.Gaussian(beam.Round(spread*deg)).WithPeak(1e5)),
		)
		for _, x := range []float64{10, 30, 90, 200} {
			row := make([]float64, 4001)
			s.AddRow(row, geometry.Row{Start: r3.Vec{X: x, Y: -200}, Step: r3.Vec{Y: 0.1}, Normal: r3.Vec{Z: 1}})
			for i, v := range row {
				if !(v >= 0) {
					t.Fatalf("%v° at x = %v, y = %.1f: %v lx", spread, x, -200+0.1*float64(i), v)
				}
			}
		}
	}
}

// A wide cosine falls to nothing in the plane of the lens ever more steeply. Rows square to that
// plane, which go through it at any part of a step, keep their accuracy up to it, and so do rows
// along a beam in fog.
func TestRowsThroughThePlaneOfTheLens(t *testing.T) {
	for _, spread := range []float64{80, 90, 110, 120, 150, 170, 174.9} {
		d := beam.Cosine(beam.Round(spread * deg)).WithPeak(1e5)
		for _, width := range []float64{0, 1} {
			s := onLevel(lamp(r3.Vec{Z: 2}, geometry.Aim{Turn: 90 * deg}, width, d))
			for _, x := range []float64{20, 100, 300} {
				for _, step := range []float64{0.02, 0.05, 0.1, 0.4} {
					for _, first := range []float64{-7.9, -7.997, 2.01, 2.1, 4.01, 4.1, 8.01, 8.1} {
						row := geometry.Row{Start: r3.Vec{X: x, Y: first * step}, Step: r3.Vec{Y: step}, Normal: up}
						got := make([]float64, 200)
						s.AddRow(got, row)
						for i, v := range got {
							p := r3.Add(row.Start, r3.Scale(float64(i), row.Step))
							if want := s.Lux(p, up); math.Abs(v-want) > 0.003*want+1e-6*axial(s, p)*2/x {
								t.Errorf("%v° over, %v m wide, %v m off: %.6g lx, Lux has %.6g", spread, width, p, v,
									want)
								break
							}
						}
					}
				}
			}
		}
	}
}

func TestRowsAlongABeamInFog(t *testing.T) {
	for _, visibility := range []float64{10, 30, 100} {
		s := (&geometry.Site{Visibility: visibility}).Scene(
			lamp(r3.Vec{Z: 1}, geometry.Aim{}, 0, beam.Gaussian(beam.Round(20*deg)).WithPeak(1e5)),
		)
		for _, step := range []float64{0.1, 0.5, 1} {
			row := geometry.Row{Start: r3.Vec{X: 5, Y: 1}, Step: r3.Vec{X: step}, Normal: up}
			got := make([]float64, 250)
			s.AddRow(got, row)
			for i, v := range got {
				p := r3.Add(row.Start, r3.Scale(float64(i), row.Step))
				if want := s.Lux(p, up); math.Abs(v-want) > 0.003*want+1e-6*axial(s, p) {
					t.Errorf("visibility %v m, %v m off: %.6g lx, Lux has %.6g", visibility, p.X, v, want)
					break
				}
			}
		}
	}
}

// A lamp that looks straight down, or up, has its lens level with every row: none of those before
// it is behind it.
func TestRowsUnderALampThatLooksStraightDown(t *testing.T) {
	beams := []beam.Shape{
		beam.Cosine(beam.Round(120 * deg)),
		beam.Gaussian(beam.Round(150 * deg)),
		beam.Cosine(beam.Angles{Across: 170 * deg, UpDown: 10 * deg}),
	}
	for _, shape := range beams {
		d := shape.WithPeak(1000)
		for _, turn := range []float64{0, 30, 54, 90, 137, 180, -90, -105} {
			for _, tilt := range []float64{90, -90} {
				s := onLevel(lamp(r3.Vec{X: -1, Z: 2}, geometry.Aim{Tilt: tilt * deg, Turn: turn * deg}, 0, d))
				for _, step := range []float64{0.01, 0.03, 0.05, 0.07, 0.1, 0.13, 0.17, 0.19} {
					row := geometry.Row{
						Start:  r3.Vec{X: -1, Y: -20 * step, Z: 2 - math.Copysign(2, tilt)},
						Step:   r3.Vec{Y: step},
						Normal: r3.Vec{Z: math.Copysign(1, tilt)},
					}
					got := make([]float64, 40)
					s.AddRow(got, row)
					for i, v := range got {
						p := r3.Add(row.Start, r3.Scale(float64(i), row.Step))
						closeTo(t, fmt.Sprintf("tilted %v°, turned %v°, at %v", tilt, turn, p), v,
							s.Lux(p, row.Normal), 0.003*v+1e-6*axial(s, p))
					}
				}
			}
		}
	}
}

// Rows beside a bar, along it and across it, are near all of it and not only near its middle and
// ends.
func TestRowsCloseToABar(t *testing.T) {
	const width = 10
	s := onLevel(lamp(r3.Vec{Z: 1}, geometry.Aim{}, width, isotropic(1000)))
	for _, d := range []float64{0.02, 0.05, 0.2, 0.5, 1, 3} {
		for _, step := range []r3.Vec{{Y: 0.11}, {Y: 0.01}, {X: 0.01}, {Z: 0.02}, {X: 0.03, Y: 0.05, Z: -0.02}} {
			row := geometry.Row{Start: r3.Vec{X: d, Y: 1.2, Z: 1}, Step: step, Normal: facing}
			got := make([]float64, 50)
			s.AddRow(got, row)
			for i, v := range got {
				// ∫ I/w · d ds/(r²+s²)^(3/2) over the bar, with d the depth and r the distance from
				// its line
				p := r3.Add(row.Start, r3.Scale(float64(i), row.Step))
				r2 := p.X*p.X + (p.Z-1)*(p.Z-1)
				end := func(s float64) float64 { return s / math.Sqrt(r2+s*s) }
				want := 1000. / width * p.X / r2 * (end(width/2-p.Y) + end(width/2+p.Y))
				near(t, fmt.Sprintf("row at %.3f", p), v, want, 0.003)
				near(t, fmt.Sprintf("light at %.3f", p), s.Lux(p, facing), want, 0.003)
			}
		}
	}
}
