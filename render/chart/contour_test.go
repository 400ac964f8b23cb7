package chart

import (
	"math"
	"slices"
	"testing"

	"beamfall/render/draw"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r2"
)

// sampled is a field on n × n samples over the square from −half to half.
func sampled(n int, half float64, field func(x, y float64) float64) *Grid {
	d := 2 * half / float64(n-1)
	g := &Grid{NX: n, NY: n, X0: -half, Y0: -half, DX: d, DY: d}
	for j := range n {
		for i := range n {
			g.Values = append(g.Values, field(-half+float64(i)*d, -half+float64(j)*d))
		}
	}
	return g
}

// area of a closed line, positive counterclockwise (the surveyor's formula).
func area(line []draw.Point) float64 {
	sum := 0.0
	for i, p := range line {
		sum += r2.Cross(line[(i+len(line)-1)%len(line)], p) / 2
	}
	return sum
}

func TestContourOfACircle(t *testing.T) {
	g := sampled(101, 10, func(x, y float64) float64 { return 100 - x*x - y*y })
	for _, c := range []struct{ level, radius float64 }{{96, 2}, {64, 6}, {19, 9}} {
		lines := g.Contours(c.level)
		if len(lines) != 1 || !lines[0].Closed {
			t.Errorf("radius %g: %d lines, want one closed", c.radius, len(lines))
			continue
		}
		// Higher values are on the left, so a hill is gone round counterclockwise and its area is
		// positive.
		if got, want := area(lines[0].Points), math.Pi*c.radius*c.radius; math.Abs(got/want-1) > 0.005 {
			t.Errorf("radius %g: area %.3f, want %.3f", c.radius, got, want)
		}
		for _, p := range lines[0].Points {
			if r := math.Hypot(p.X, p.Y); math.Abs(r-c.radius) > 0.01 {
				t.Errorf("radius %g: a point at %.3f", c.radius, r)
			}
		}
	}
}

// The edge of a gaussian beam is straighter between samples in its logarithm than in itself: its
// line from a coarse grid.
func TestContourOfLogarithms(t *testing.T) {
	const want = 7.3
	g := sampled(21, 10, func(x, y float64) float64 { return math.Exp(want*want/4 - (x*x+y*y)/4) })
	worst := func(lines []Contour) float64 {
		off := 0.0
		for _, line := range lines {
			for _, p := range line.Points {
				off = max(off, math.Abs(math.Hypot(p.X, p.Y)-want))
			}
		}
		return off
	}
	ramp := testRamp(draw.Night())
	plain, log := worst(g.Contours(1)), worst(ramp.banded(g).contours()[slices.Index(ramp.Levels, 1)])
	if log > 0.02 || plain < 5*log {
		t.Errorf("off by %.3f plain and %.3f by logarithms, samples 1 apart; want more, and at most 0.02", plain, log)
	}
}

func TestContourOfAPlane(t *testing.T) {
	g := sampled(11, 5, func(x, y float64) float64 { return x + 2*y })
	lines := g.Contours(1.5)
	if len(lines) != 1 || lines[0].Closed {
		t.Fatalf("%d lines, want one open", len(lines))
	}
	line := lines[0].Points
	for _, p := range line {
		if math.Abs(p.X+2*p.Y-1.5) > 1e-12 {
			t.Errorf("%v is not on x + 2y = 1.5", p)
		}
	}
	// It ends at the border, and the higher side, up, is on its left: it runs to the right.
	first, last := line[0], line[len(line)-1]
	if first.X != -5 || last.X != 5 {
		t.Errorf("from x = %g to %g, want from −5 to 5", first.X, last.X)
	}
}

// Across a saddle x·y, the lines of a positive level are in the two quarters where x and y have one
// sign, and cut the cell in the middle off its corners.
func TestContourOfASaddle(t *testing.T) {
	for _, level := range []float64{0.2, -0.2} {
		g := sampled(4, 3, func(x, y float64) float64 { return x * y }) // the middle cell is from −1 to 1
		lines := g.Contours(level)
		if len(lines) != 2 {
			t.Fatalf("level %g: %d lines, want 2", level, len(lines))
		}
		for _, line := range lines {
			for _, p := range line.Points {
				if p.X*p.Y*level < 0 {
					t.Errorf("level %g: %v is in the wrong quarter", level, p)
				}
				if first := line.Points[0]; first.X*p.X < 0 {
					t.Errorf("level %g: a line runs from one quarter to another", level)
				}
			}
		}
	}
}

// No data makes a hole with no line round it.
func TestContourEndsAtMissingData(t *testing.T) {
	g := sampled(41, 10, func(x, y float64) float64 {
		if x > 4 {
			return math.NaN()
		}
		return x*x + y*y
	})
	lines := g.Contours(64)
	if len(lines) != 1 || lines[0].Closed {
		t.Fatalf("%d lines, want one open", len(lines))
	}
	for _, p := range []draw.Point{lines[0].Points[0], lines[0].Points[len(lines[0].Points)-1]} {
		if p.X < 3.5 || p.X > 4 {
			t.Errorf("it ends at %v, want the last cell with data, x = 3.5 to 4", p)
		}
	}
}

func TestNoContour(t *testing.T) {
	flat := sampled(5, 1, func(x, y float64) float64 { return 3 })
	for _, level := range []float64{2, 3, 4} {
		if lines := flat.Contours(level); len(lines) != 0 {
			t.Errorf("a plain of 3 has %d lines at %g", len(lines), level)
		}
	}
}

// Each edge of the grid is crossed at most once, so the lines of many hills are whole, whatever
// touches what.
func TestContoursAreWhole(t *testing.T) {
	g := sampled(60, 10, func(x, y float64) float64 {
		return math.Round(2*math.Sin(x)*math.Cos(1.3*y) +
			math.Sin(3*y+x))
	})
	for _, level := range []float64{-1, 0, 0.5, 1} {
		for _, line := range g.Contours(level) {
			last := line.Points[len(line.Points)-1]
			border := func(p draw.Point) bool { return max(math.Abs(p.X), math.Abs(p.Y)) > 10-1e-9 }
			if !line.Closed && !(border(line.Points[0]) && border(last)) {
				t.Errorf("level %g: an open line from %v to %v, neither at the border", level, line.Points[0], last)
			}
			for i := 1; i < len(line.Points); i++ {
				if d := r2.Norm(r2.Sub(line.Points[i], line.Points[i-1])); d > math.Sqrt2*g.DX+1e-9 {
					t.Errorf("level %g: a jump of %.2f", level, d)
				}
			}
		}
		if !cmp.Equal(g.Contours(level), g.Contours(level)) {
			t.Errorf("level %g: another result the second time", level)
		}
	}
}

func TestSpots(t *testing.T) {
	// A line that is straight along its first half and then goes round in small circles.
	var line []draw.Point
	for x := 0.0; x <= 300; x += 10 {
		line = append(line, draw.Pt(x, 100))
	}
	for a := 0.0; a < 30; a += 0.1 {
		line = append(line, draw.Pt(300+15*math.Sin(a), 115-15*math.Cos(a)))
	}
	all := draw.R(-100, 0, 500, 300)
	spots := Spots(line, 60, 20, all, nil)
	if len(spots) == 0 {
		t.Fatal("no spot on a straight line")
	}
	for _, s := range spots[:5] {
		if math.Abs(s.At.Y-100) > 1e-9 || s.Angle != 0 || s.At.X > 270 {
			t.Errorf("a best spot at %v, %g rad; want on the straight part", s.At, s.Angle)
		}
	}
	avoid := []draw.Rect{draw.R(0, 90, 150, 110)}
	clear := Spots(line, 60, 20, draw.R(0, 0, 260, 300), avoid)
	if len(clear) == 0 {
		t.Error("no spot on the 110 px between what is to be avoided and the edge")
	}
	for _, s := range clear {
		if s.At.X < 150+30 || s.At.X > 260-30 {
			t.Errorf("a spot at %v, over what is to be avoided or the edge", s.At)
		}
	}
	if spots := Spots(line[:3], 60, 20, all, nil); spots != nil {
		t.Errorf("%d spots for 60 px on a line of 20", len(spots))
	}
	// Text is upright on a line that runs to the left, and reads up on one that goes up.
	left := []draw.Point{draw.Pt(300, 100), draw.Pt(0, 120)}
	if s := Spots(left, 60, 20, all, nil); len(s) == 0 || math.Abs(s[0].Angle-math.Atan2(20, 300)) > 1e-9 {
		t.Errorf("spots %v, want an angle of %.3f", s[:min(1, len(s))], math.Atan2(20, 300))
	}
}
